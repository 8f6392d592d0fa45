"""What the joist stage has to say about a board, in the builder's words."""

from __future__ import annotations

import itertools
from collections.abc import Collection, Iterable, Sequence
from typing import TYPE_CHECKING

from boardwright import Notes, Place
from boardwright.plan.model import Device
from boardwright_timber.model import Board, Member

from ..framing.settings import FramingSettings
from .choose import Row, excess
from .places import Blocked, hangs_above
from .risers import Stood
from .seam_complaints import SeamComplaints, listed
from .settings import JoistSettings
from .trimming import Trimmed

if TYPE_CHECKING:
    from shapely import Polygon

TOUCH_MM2 = 0.01
TELL_MM = 0.001
#: Kinds that are fitted through or on a member as often as clear of it: no fault when they stand in one.
FITTED_IN_WOOD = frozenset({"feed", "panel", "plug"})


class Complaints(SeamComplaints):
    """Judges one board; places are told in plan coordinates."""

    def __init__(self, board: Board, settings: JoistSettings, notes: Notes) -> None:
        super().__init__(board, notes)
        self._settings = settings

    def about_devices_in_members(self, devices: tuple[Device, ...], members: Iterable[Member]) -> None:
        """Devices that need room where a side, end or well side stands: those do not move aside."""
        import shapely

        shapes = [(m, shapely.Polygon(m.outline)) for m in members]
        for device in sorted(devices, key=lambda d: d.id):
            near, itself = (
                shapely.Polygon([self._board.to_local(p) for p in ring])
                for ring in (device.keepout(), device.footprint())
            )
            there = [(m, shape) for m, shape in shapes if not hangs_above(device, m.top_mm)]
            met = [m for m, shape in there if near.intersection(shape).area > TOUCH_MM2]
            struck = [(m, shape) for m, shape in there if itself.intersection(shape).area > TOUCH_MM2]
            place = Place(board=self._board.id, item=device.id, x_mm=device.x_mm, y_mm=device.y_mm)
            if not met:
                continue
            if not struck:
                self._notes.caution(
                    "BW-JOIST-002",
                    f"The clearance of device {device.id} reaches into {listed(m.id for m in met)}.",
                    place,
                    "Move or turn the device, or reduce its clearance in the device list.",
                )
                continue
            names = listed(m.id for m, _ in struck)
            if device.kind in FITTED_IN_WOOD:
                self._notes.caution(
                    "BW-JOIST-002",
                    f"Device {device.id} itself stands in {names}.",
                    place,
                    f"Cut an opening there if it is meant to be in the wood; else move the {device.kind}.",
                )
                continue
            deepest = max(_reach_into(m, itself) for m, _ in struck)
            self._notes.fault(
                "BW-JOIST-004",
                f"Device {device.id} itself stands in {names}: {deepest:.1f} mm of it are inside the wood, "
                "and sides and ends cannot move aside.",
                place,
                f"Move the device away from it by {deepest:.1f} mm at least, or turn it.",
            )

    def about_depth(self, devices: Iterable[Device], own: tuple[str, ...], depth_mm: float) -> None:
        """Devices that hang lower than the frame: the board would stand on them."""
        low = sorted((d for d in devices if d.id in own and d.depth_mm > depth_mm), key=lambda d: d.id)
        if not low:
            return
        deepest = max(d.depth_mm for d in low)
        one = len(low) == 1
        told = listed(f"{d.id} by {d.depth_mm - depth_mm:.0f} mm" for d in low)
        self._notes.caution(
            "BW-JOIST-005",
            f"Board {self._board.id}: {told} {'hangs' if one else 'hang'} below the frame, which is "
            f"{depth_mm:g} mm deep, and will be hit when the board stands on a bench or on its edge.",
            [Place(board=self._board.id, item=d.id, x_mm=d.x_mm, y_mm=d.y_mm) for d in low],
            f"Make framing.depth_mm {deepest:g} or more, or screw feet under the frame that are "
            f"{deepest - depth_mm:.0f} mm high or higher.",
        )

    def about_settings(self, thickness_mm: float) -> bool:
        """Can two joists stand as near each other as the limit asks? Told once, in place of every bay."""
        limit, gap = self._settings.spacing_mm, self._settings.min_gap_mm
        if limit >= thickness_mm + gap:
            return True
        self._notes.fault(
            "BW-JOIST-006",
            f"Two settings contradict each other: joists may be no further apart than {limit:g} mm "
            f"(joists.spacing_mm), and no nearer than {thickness_mm + gap:g} mm ({thickness_mm:g} mm of wood "
            f"and {gap:g} mm of joists.min_gap_mm).",
            Place(key="joists.spacing_mm"),
            f"Set joists.spacing_mm to {thickness_mm + gap:g} or more, or reduce joists.min_gap_mm.",
        )
        return False

    def about_spacing(
        self,
        row: Row,
        chosen: tuple[int, ...],
        blocked: list[Blocked],
        devices: tuple[Device, ...],
        left_mm: float,
        trimmed: Collection[tuple[float, float]] = (),
    ) -> None:
        """Every place where the deck spans too far, and what stands in the way of a joist there."""
        told = False
        cramped: list[tuple[float, float, float]] = []
        limits = [row.start, *(row.positions[i] for i in chosen), row.end]
        missing = [excess(row, b, a) for b, a in zip((None, *chosen), chosen, strict=False)]
        missing.append(row.end_excess[chosen[-1]] if chosen else row.bare_excess)
        for (low, high), short in zip(itertools.pairwise(limits), missing, strict=True):
            if short <= TELL_MM or (low, high) in trimmed:
                continue
            told = True
            names = sorted(
                {b.device for b in blocked if b.device is not None and b.low < high and b.high > low}
            )
            if names:
                self._fault(low, high, short, names, devices)
            else:
                cramped.append((short, low, high))
        if cramped:
            short, low, high = max(cramped, key=lambda c: (c[0], -c[1]))
            self._fault(low, high, short, [], devices, more=len(cramped) - 1)
        if not told and left_mm > self._settings.spacing_mm + TELL_MM:
            self._fault(row.start, row.end, left_mm - self._settings.spacing_mm, [], devices)

    def _fault(
        self,
        low: float,
        high: float,
        short: float,
        names: list[str],
        devices: tuple[Device, ...],
        more: int = 0,
    ) -> None:
        limit = self._settings.spacing_mm
        x, y = self._board.to_plan(((low + high) / 2, self._board.width_mm / 2))
        places = [Place(board=self._board.id, x_mm=round(x, 1), y_mm=round(y, 1))]
        places += [
            Place(board=self._board.id, item=d.id, x_mm=d.x_mm, y_mm=d.y_mm)
            for d in sorted(devices, key=lambda d: d.id)
            if d.id in names
        ]
        if names:
            why = f"no joist can stand clear of {', '.join(names)}"
            mend = (
                f"Move or turn a device so that {short:.0f} mm are gained, reduce its clearance in the "
                "device list, or allow more joists.spacing_mm under a thicker deck."
            )
        else:
            why = "the frame and the least gap between joists leave no place for one"
            if more:
                why += f"; the same, by no more, in {more} other place{'s' if more > 1 else ''}"
            mend = "Reduce joists.min_gap_mm, or allow more joists.spacing_mm under a thicker deck."
        self._notes.fault(
            "BW-JOIST-001",
            f"Board {self._board.id}: the deck spans {limit + short:.1f} mm between {low:.0f} and {high:.0f} "
            f"mm from the board's left end, {short:.1f} mm more than allowed ({limit:g} mm): {why}.",
            places,
            mend,
        )

    def about_deck(
        self, framing: FramingSettings, asked_mm: float, closer_mm: float, narrow_mm: float
    ) -> None:
        """Joists closer than asked for, since the deck (0: a whole one, else so narrow) would sag between."""
        key = "open_top.riser_spacing_mm" if narrow_mm else "joists.spacing_mm"
        strip = f"a strip {narrow_mm:.0f} mm wide of " if narrow_mm else "a deck of "
        self._notes.note(
            "BW-JOIST-012",
            f"Board {self._board.id}: joists stand at most {closer_mm:.0f} mm apart, not {asked_mm:g}: "
            f"{strip}{framing.deck_thickness_mm:g} mm {framing.deck_material} keeps the limits of [strength] "
            "no farther.",
            Place(board=self._board.id, key=key),
            "Nothing; or take a thicker deck (framing.deck_thickness_mm), or set joists.by_deck to false.",
        )

    def about_trimming(self, opened: Iterable[Trimmed]) -> None:
        """Joists that are cut at devices: a note, since it is how the board is to be built."""
        for each in opened:
            x, y = self._board.to_plan(each.joists[0].outer_start)
            self._notes.note(
                "BW-JOIST-008",
                f"Board {self._board.id}: no joist can pass {listed(each.devices)}, so one is cut there and "
                f"trimmed with {len(each.noggins)} noggin{'s' if len(each.noggins) > 1 else ''} between its "
                "neighbours.",
                Place(board=self._board.id, x_mm=round(x, 1), y_mm=round(y, 1)),
                "Nothing, or move a device. joists.trim = false forbids it.",
            )

    def about_hands(self, found: tuple[Device, ...]) -> None:
        """Devices that no hand gets beside: one line a board."""
        if found:
            self._notes.caution(
                "BW-JOIST-009",
                f"Board {self._board.id}: no hand {self._settings.hand_mm:g} mm wide gets beside "
                f"{listed(d.id for d in found)} from below.",
                [Place(board=self._board.id, item=d.id, x_mm=d.x_mm, y_mm=d.y_mm) for d in found],
                "Give it more clearance in the device list, so that joists keep farther off, move it away "
                "from the frame, or fit it before the frame is closed.",
            )

    def about_risers(self, stood: Stood, missed: Sequence[Member], least_mm: float) -> None:
        """Risers that split, and wood under the deck on whose faces devices leave no room for a riser; a
        caution where the deck has ``missed`` one."""
        for riser in stood.narrow:
            x, y = self._board.to_plan(riser.outer_start)
            self._notes.caution(
                "BW-JOIST-020",
                f"Riser {riser.id} is only {riser.length_mm:.1f} mm wide, not the {least_mm:g} mm "
                "wanted: there is no room for more under the deck. It splits easily.",
                Place(board=self._board.id, item=riser.id, x_mm=round(x, 1), y_mm=round(y, 1)),
                "Glue it, and drive one screw in a pilot hole in its middle; or move the device beside it by "
                f"{least_mm - riser.length_mm:.1f} mm, or reduce its clearance in the device list.",
            )
        for wood in stood.bare:
            x, y = self._board.to_plan(wood.outer_start)
            says = f"No riser can stand on {wood.role} {wood.id} under the deck: devices take its place."
            place = Place(board=self._board.id, item=wood.id, x_mm=round(x, 1), y_mm=round(y, 1))
            if wood in missed:
                mend = f"Move the device, or glue a block on top of the {wood.role} by hand."
                self._notes.caution("BW-JOIST-007", says, place, mend)
            else:
                says += " The deck keeps its limits without."
                self._notes.note("BW-JOIST-007", says, place, "Nothing.")

    def about_bevels(self, members: Iterable[Member], max_bevel_deg: float) -> None:
        for member in members:
            bevel = max(abs(member.left_bevel_deg), abs(member.right_bevel_deg))
            if bevel > max_bevel_deg + 0.05:
                x, y = self._board.to_plan(member.outer_start)
                self._notes.caution(
                    "BW-JOIST-003",
                    f"An end of joist {member.id} is cut {bevel:.1f}° off square, more than your saw does "
                    f"({max_bevel_deg:g}°).",
                    Place(board=self._board.id, item=member.id, x_mm=round(x, 1), y_mm=round(y, 1)),
                    "Cut it square at its shorter face and glue a block into the corner.",
                )


def _reach_into(member: Member, shape: Polygon) -> float:
    """How far a shape that meets a member must move square to it, to the side that is nearer, to leave it."""
    (dx, dy), (ox, oy) = member.direction, member.outer_start
    across = [dx * (y - oy) - dy * (x - ox) for x, y in shape.exterior.coords[:-1]]
    return float(min(member.thickness_mm - min(across), max(across)))
