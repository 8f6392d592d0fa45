"""What the joist stage has to say about a board, in the builder's words."""

from __future__ import annotations

import itertools
from collections.abc import Iterable

from boardwright import Notes, Place
from boardwright.plan.model import Device
from boardwright_timber.model import Board, Member

from .choose import Row, excess
from .places import Blocked
from .settings import JoistSettings

TOUCH_MM2 = 0.01
TELL_MM = 0.001


class Complaints:
    """Judges one board; places are told in plan coordinates."""

    def __init__(self, board: Board, settings: JoistSettings, notes: Notes) -> None:
        self._board = board
        self._settings = settings
        self._notes = notes

    def about_devices_in_members(self, devices: tuple[Device, ...], members: Iterable[Member]) -> None:
        """Devices that need room where a side, end or well side stands."""
        import shapely

        shapes = [(m, shapely.Polygon(m.outline)) for m in members]
        for device in sorted(devices, key=lambda d: d.id):
            near, itself = (
                shapely.Polygon([self._board.to_local(p) for p in ring])
                for ring in (device.keepout(), device.footprint())
            )
            met = [m.id for m, shape in shapes if near.intersection(shape).area > TOUCH_MM2]
            struck = [m.id for m, shape in shapes if itself.intersection(shape).area > TOUCH_MM2]
            if not met:
                continue
            what = (
                f"Device {device.id} itself stands in"
                if struck
                else f"The clearance of device {device.id} reaches into"
            )
            self._notes.caution(
                "BW-JOIST-002",
                f"{what} {' and '.join(struck or met)}.",
                Place(board=self._board.id, item=device.id, x_mm=device.x_mm, y_mm=device.y_mm),
                "Move or turn the device, or or reduce its clearance in the device list; else cut a notch.",
            )

    def about_spacing(
        self,
        row: Row,
        chosen: tuple[int, ...],
        blocked: list[Blocked],
        devices: tuple[Device, ...],
        left_mm: float,
    ) -> None:
        """Every place where the deck spans too far, and what stands in the way of a joist there."""
        told = False
        limits = [row.start, *(row.positions[i] for i in chosen), row.end]
        missing = [excess(row, b, a) for b, a in zip((None, *chosen), chosen, strict=False)]
        missing.append(row.end_excess[chosen[-1]] if chosen else row.bare_excess)
        for (low, high), short in zip(itertools.pairwise(limits), missing, strict=True):
            if short <= TELL_MM:
                continue
            told = True
            names = sorted(
                {b.device for b in blocked if b.device is not None and b.low < high and b.high > low}
            )
            self._fault(low, high, short, names, devices)
        if not told and left_mm > self._settings.spacing_mm + TELL_MM:
            self._fault(row.start, row.end, left_mm - self._settings.spacing_mm, [], devices)

    def _fault(
        self, low: float, high: float, short: float, names: list[str], devices: tuple[Device, ...]
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
            why = "the corners of the frame leave no place for a joist"
            mend = "Reduce joists.min_gap_mm, or allow more joists.spacing_mm under a thicker deck."
        self._notes.fault(
            "BW-JOIST-001",
            f"Board {self._board.id}: the deck spans {limit + short:.1f} mm between {low:.0f} and {high:.0f} "
            f"mm from the board's left end, {short:.1f} mm more than allowed ({limit:g} mm): {why}.",
            places,
            mend,
        )

    def about_bevels(self, members: Iterable[Member], max_bevel_deg: float) -> None:
        for member in members:
            bevel = max(abs(member.left_bevel_deg), abs(member.right_bevel_deg))
            if bevel > max_bevel_deg + 0.05:
                x, y = self._board.to_plan(member.outer_start)
                self._notes.caution(
                    "BW-JOIST-003",
                    f"An end of joist {member.id} is cut {bevel:.0f}° off square, more than your saw does "
                    f"({max_bevel_deg:g}°).",
                    Place(board=self._board.id, item=member.id, x_mm=round(x, 1), y_mm=round(y, 1)),
                    "Cut it square at its shorter face and glue a block into the corner.",
                )
