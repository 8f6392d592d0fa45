"""The pattern of the ends that mate with the next module: one for all ends of the layout.

Claim: every such end is drilled at the same places from its middle, at the same heights. ``symmetric``: they
are mirrored, so any end of any copy mates with any other, the module either way round. ``handed``: ends that
face right (up, where none does) carry the pattern, ends that face left its mirror image, so a right end mates
with any left end and with nothing else.

    t    along an end from its start to its end, as for any joint: two ends face to face run opposite ways

A place counts only where every end is clear for it, on its own side and, as copies are all alike, mirrored on
the next one's. Rails meet where tracks cross all ends at the same, mirrored places; else a finding says so.

What this does not know: the next module, if it is not a copy of this one; catches (ends are bolted).
"""

from __future__ import annotations

from boardwright import All, Notes, Place, stage
from boardwright.plan.model import Point
from boardwright_timber.model import Board, BoardPlan, EndPattern, EndRoom, Frame, FrameSize, Joint, Joists

from ..framing.settings import FramingSettings
from ..framing.sized import AS_SET, sized
from ..strength.levels import AS_ALL, NO_LEVELS, BoardSupports
from ..strength.settings import StrengthSettings, SupportSettings
from ..wiring.settings import WiringSettings
from .access import in_reach, turning
from .bores import bolt_bore, dowel_bore
from .facing import hand_of
from .holding import leaning_nmm, rows
from .mating import Half, Mate, mates
from .module_ends import AS_CHOSEN, ModuleEndSettings
from .profiled import EndFace, profiled
from .rails import rail_strips, taken_by_rails
from .settings import Bore, JointSettings
from .shared_room import fastener_of, placed, shared
from .spans import Spans, common, union, without

FRAMING = FramingSettings()
STRENGTH, SUPPORTS, WIRING = StrengthSettings(), SupportSettings(), WiringSettings()
RAILS_MEET_MM = 0.5
WIRE_HAND_MM = 10.0  # wood or air round a wire hole, as at any joint


@stage()
def end_pattern(
    boards: All[Board],
    plans: All[BoardPlan],
    frames: All[Frame],
    joists: All[Joists],
    settings: JointSettings,
    notes: Notes,
    wiring: WiringSettings = WIRING,
    strength: StrengthSettings = STRENGTH,
    supports: SupportSettings = SUPPORTS,
    profiles: ModuleEndSettings = AS_CHOSEN,
    framing: FramingSettings = FRAMING,
    size: FrameSize = AS_SET,
    levels: All[BoardSupports] = NO_LEVELS,
) -> EndPattern:
    """Where every end that mates with the next module is drilled, from its middle."""
    ends = _ends(boards, plans, frames, joists, settings)
    bare = [e for e in ends if not e.mates]
    for end in bare:
        notes.fault(
            "BW-JOINT-012",
            f"Nothing to bolt a module to at {end.joint.id}: no straight member stands along it.",
            Place(board=end.half.board.id, item=end.joint.id),
            "Draw the line along a straight edge of the layout.",
        )
    ends = [e for e in ends if e.mates]
    if not ends:
        return EndPattern()
    _check_rails(ends, settings, notes)
    moment = _moment(ends, strength, supports, levels)
    deck_mm = sized(framing, size).deck_thickness_mm
    room = _room(ends, settings, wiring, moment, deck_mm)
    pattern = placed(room, settings, wiring)
    profile = profiles.chosen
    if profile is None or not profile.bolts:
        _say_what_is_missing(ends, pattern, room.bolts_wanted, settings, notes)
    if profile is None:
        return pattern
    faces = [e.seen(supports.floor_below_mm + deck_mm) for e in ends]
    return profiled(pattern, faces, profile, deck_mm, settings, notes)


@stage()
def end_room(
    boards: All[Board],
    plans: All[BoardPlan],
    frames: All[Frame],
    joists: All[Joists],
    settings: JointSettings,
    wiring: WiringSettings = WIRING,
    strength: StrengthSettings = STRENGTH,
    supports: SupportSettings = SUPPORTS,
    framing: FramingSettings = FRAMING,
    size: FrameSize = AS_SET,
    levels: All[BoardSupports] = NO_LEVELS,
) -> EndRoom:
    """Where every end that mates with the next module has room, whatever was chosen there: for a series."""
    ends = [e for e in _ends(boards, plans, frames, joists, settings) if e.mates]
    if not ends:
        return EndRoom()
    moment = _moment(ends, strength, supports, levels)
    return _room(ends, settings, wiring, moment, sized(framing, size).deck_thickness_mm)


def _ends(
    boards: All[Board],
    plans: All[BoardPlan],
    frames: All[Frame],
    joists: All[Joists],
    settings: JointSettings,
) -> list[_End]:
    """All ends that are to mate with the next module, by name."""
    found = [
        _End(joint, Half(board, frames[id_], joists[id_], plans[id_].devices), plans[id_], settings)
        for id_, board in boards.items()
        for joint in board.ends
        if id_ in frames and id_ in joists
    ]
    return sorted(found, key=lambda e: e.joint.id)


def _moment(
    ends: list[_End], strength: StrengthSettings, supports: SupportSettings, levels: All[BoardSupports]
) -> float:
    return max(e.moment(strength, levels.get(e.half.board.id, AS_ALL).over(supports)) for e in ends)


class _End:
    """One end with what stands behind it; everything is told from its middle, turned to face right."""

    def __init__(self, joint: Joint, half: Half, plan: BoardPlan, settings: JointSettings) -> None:
        self.joint, self.half, self.settings = joint, half, settings
        self.mates: tuple[Mate, ...] = mates(joint, half, settings.reach_mm)
        self.strips = rail_strips(half, plan, joint, settings)
        self.hand = hand_of(joint)

    def moment(self, strength: StrengthSettings, supports: SupportSettings) -> float:
        alike = (supports.from_end, supports.from_end)
        return leaning_nmm(self.joint, (self.half, self.half), strength, alike)

    def clear(self, bore: Bore) -> Spans:
        return self._turned(union(s for m in self.mates for s in m.clear(bore)))

    def bolted(self, bore: Bore, z_mm: float) -> tuple[Spans, Spans]:
        """Where a bolt may go at this height, and of that where a hand gets to it."""
        thick = min(m.member.thickness_mm for m in self.mates)
        clear = union(s for m in self.mates for s in m.clear(bore))
        clear = without(clear, taken_by_rails(self.joint, self.half, self.strips, z_mm, bore))
        clear = turning(clear, self.mates, z_mm, self.settings)
        handy = in_reach(self.joint, self.half, thick, z_mm, self.settings)
        return self._turned(clear), self._turned(common(clear, handy))

    def seen(self, deck_above_level_mm: float) -> EndFace:
        """What a profile is held against: this end without its wood."""
        return EndFace(
            id=self.joint.id,
            board=self.half.board.id,
            width_mm=self.joint.length_mm,
            depth_mm=min(m.member.top_mm - m.member.bottom_mm for m in self.mates),
            deck_above_floor_mm=deck_above_level_mm + self.half.board.level_mm,
            rails_mm=tuple(sorted(self.hand * t for t in self.rails_mm)),
            bolted=lambda bore, z_mm: self.bolted(bore, z_mm)[0],
            clear=lambda bore, _: self.clear(bore),
        )

    @property
    def rails_mm(self) -> tuple[float, ...]:
        """Places of tracks, from the middle, as they lie along the end itself."""
        return tuple(sorted(s.along_mm - self.joint.length_mm / 2 for s in self.strips))

    def _turned(self, spans: Spans) -> Spans:
        middle = self.joint.length_mm / 2
        moved = [(a - middle, b - middle) for a, b in spans]
        return tuple(moved) if self.hand > 0 else tuple((-b, -a) for a, b in reversed(moved))


def places_of(joint: Joint, pattern: tuple[Point, ...]) -> tuple[Point, ...]:
    """Places and heights of the pattern as places along one end and heights, rising."""
    middle = joint.length_mm / 2
    return tuple(sorted((round(middle + hand_of(joint) * t, 6), z) for t, z in pattern))


def _room(
    ends: list[_End], settings: JointSettings, wiring: WiringSettings, moment_nmm: float, deck_mm: float
) -> EndRoom:
    bolt, dowel = bolt_bore(settings), dowel_bore(settings)
    top = min(m.member.top_mm for e in ends for m in e.mates)
    bottom = max(m.member.bottom_mm for e in ends for m in e.mates)
    depth = top - bottom
    places = shared((e.clear(bolt) for e in ends), settings)
    held = rows(moment_nmm, depth, places, bolt, settings, fastener_of(settings))
    heights = tuple(round(top + z, 6) for z in held.z_mm)
    bolted = [e.bolted(bolt, z) for e in ends for z in heights]
    below = depth / 2 if settings.fixings_below_mm is None else settings.fixings_below_mm
    d = min(wiring.hole_diameter_mm, depth / 4)
    wire = Bore(diameter_mm=d, room_mm=d + 2 * WIRE_HAND_MM, end_margin_mm=1.5 * d, edge_margin_mm=d)
    return EndRoom(
        ends=tuple(e.joint.id for e in ends),
        deck_mm=deck_mm,
        bolts_z_mm=heights,
        bolts_wanted=held.wanted,
        bolts_mm=shared((clear for clear, _ in bolted), settings),
        handy_mm=shared((handy for _, handy in bolted), settings),
        dowels_z_mm=round(top - below, 6),
        dowels_mm=shared((e.clear(dowel) for e in ends), settings),
        wires_z_mm=round(top - depth / 2, 6),
        wires_diameter_mm=d,
        wires_mm=shared((e.clear(wire) for e in ends), settings),
    )


def _say_what_is_missing(
    ends: list[_End], pattern: EndPattern, wanted: int, settings: JointSettings, notes: Notes
) -> None:
    bolts, dowels = len(pattern.bolts_mm), len(pattern.dowels_mm)
    wanted = len(settings.bolts_at_mm) or wanted  # a rule's places are all there are to be
    pins = len(settings.dowels_at_mm) or settings.dowels_per_joint
    names = ", ".join(e.joint.id for e in ends)
    where = [Place(board=e.half.board.id, item=e.joint.id) for e in ends]
    says = (
        f"The ends that mate with the next module ({names}) have in common room for {bolts} of {wanted} "
        f"bolts and {dowels} of {pins} dowels."
    )
    mend = "Move what stands behind these ends, or make the shortest of them longer."
    if wanted and not bolts:
        notes.fault("BW-JOINT-012", says, where, mend)
    elif bolts < wanted or dowels < pins:
        notes.caution("BW-JOINT-012", says, where, mend)


def _check_rails(ends: list[_End], settings: JointSettings, notes: Notes) -> None:
    """Rails of any two ends that may come together must meet."""
    for one in ends:
        for other in ends:
            if settings.pattern == "handed" and (one.hand, other.hand) != (1, -1):
                continue
            met = tuple(-p for p in reversed(other.rails_mm))
            same = len(met) == len(one.rails_mm) and all(
                abs(a - b) <= RAILS_MEET_MM for a, b in zip(one.rails_mm, met, strict=True)
            )
            if same or one.joint.id > other.joint.id:
                continue
            notes.caution(
                "BW-JOINT-011",
                f"Where a module's end {one.joint.id} comes to an end {other.joint.id}, rails do not meet: "
                f"tracks cross them at {_listed(one.rails_mm)} and {_listed(met)} mm from their middle.",
                [Place(board=e.half.board.id, item=e.joint.id) for e in (one, other)],
                "Lay the tracks over the middle of both ends, or mirrored about it.",
            )


def _listed(places: tuple[float, ...]) -> str:
    return ", ".join(f"{p:.1f}" for p in places) or "no place"
