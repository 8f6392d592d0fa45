"""Checks: the result proved from the parts and their placements, not from the stages that made them.

Every check has a line in the report, passed or not; a check that fails is also a fault.

What this does not know: strength, sag, and whether wires reach (the wiring stage checks that on the frame).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import TYPE_CHECKING

from boardwright import All, Notes, Place, stage
from boardwright.plan.model import Ring, TrackPlan
from boardwright_timber.model import (
    Board,
    BoardParts,
    BoardPlan,
    BoardStand,
    CheckLine,
    CheckReport,
    EdgeKind,
    Frame,
    Joint,
)
from boardwright_timber.rising import LEAST_UNDER

from ..framing.on_deck import hung
from ..joints.settings import JointSettings
from ..splitting.settings import SplittingSettings
from ..strength.settings import SupportSettings
from .climbing import met, passed_over, reached
from .geometry import (
    Worst,
    edge_distance,
    ends_alike,
    is_joist,
    joists_in_keepouts,
    mating,
    outside_deck,
    overlaps,
    tiling,
    within_boards,
    wood_between,
    worst,
)
from .legs import legs_met
from .reassembly import Drilled, Solid, drilled, solid
from .risers import WHOLE_PERCENT, stood_below

if TYPE_CHECKING:
    from shapely import Polygon

JOINTS = JointSettings()
NO_STANDS: Mapping[str, BoardStand] = MappingProxyType({})
DECK = "deck"
EDGING = tuple(kind.value for kind in EdgeKind)
SHARP = (
    "Mend what BW-FRAME-014 says of that board first; else draw the track over that riser in a wider curve, "
    "or in shorter pieces, or let it climb less. If it turns by less than a right angle there and climbs 3 % "
    "at most, please report it as a defect."
)
LEVELS = "A level reaches into the one below: mend what BW-SPACE-006 says of it."
DEFECT = "Look at the findings of that board first; if there are none, please report it as a defect."
OF_DEVICES = (
    "Devices' holes: move the device, or write a smaller hole, or 0, into its row. Of others: look at the "
    "findings of that board first; if there are none, please report it as a defect."
)
TILE_MM2 = 1.0
MATE_MM = 0.01
TOUCH_MM2 = 0.01  # area left by coordinates stored to 1e-6 mm along metres of edge
TOUCH_MM = 1e-5
EDGE_DIAMETERS = 1.0
WOOD_MM = 3.0
REACH_MM = 0.1
CORNER_MM = 0.2  # on a curve a deck is no plane
UNDER_PERCENT = 0.1  # rounding


@stage()
def checks(
    plan: TrackPlan,
    boards: All[Board],
    board_plans: All[BoardPlan],
    parts: All[BoardParts],
    frames: All[Frame],
    splitting: SplittingSettings,
    supports: SupportSettings,
    notes: Notes,
    joints_set: JointSettings = JOINTS,
    stands: All[BoardStand] = NO_STANDS,
) -> CheckReport:
    """Check the whole layout; one line a check, always in this order."""
    import shapely

    from ..splitting.piece import FIT_MM
    from ..strength.levels import about_levels
    from ..strength.standing import about_names

    about_names(boards, supports, notes)
    about_levels((b.level_mm for b in boards.values()), supports, notes)
    solids: dict[str, list[Solid]] = {}
    holes: dict[str, list[Drilled]] = {}
    for name in sorted(parts):
        solids[name] = [solid(boards[name], p) for p in parts[name].parts]
        holes[name] = [hole for p in parts[name].parts for hole in drilled(boards[name], p)]
    devices = {n: hung(boards[n], frames[n], board_plans[n].devices) for n in solids}
    decks = {n: [s for s in each if s.part.role == DECK] for n, each in solids.items()}
    members = [(n, s) for n, each in solids.items() for s in each if s.part.role != DECK]
    edging = [(n, s) for n, s in members if s.part.role in EDGING]
    framed = [(n, s) for n, s in members if s.part.role not in EDGING]
    open_ = {n: _open_shapes(boards[n], frames[n]) for n in sorted(parts) if frames[n].deck}
    roofs = {n: shapely.union_all([s.shape for s in each]) for n, each in decks.items() if each}
    roofs |= {n: shape for n, (shape, _) in open_.items()}
    every = [p for name in sorted(parts) for p in parts[name].parts]
    joints = {j.id: j for name in sorted(boards) for j in boards[name].joints}
    stood = {n: [_at_line(boards[n], joints, h) for h in each] for n, each in holes.items()}
    alone, apart = mating((joints[j] for j in sorted(joints)), stood)

    report = _Report(notes)
    report.at_most(
        "BW-CHECK-001",
        "The boards' decks cover the drawn outline exactly once",
        tiling(
            plan.outlines,
            [(boards[n].outline, deck) for n, each in decks.items() for deck in each],
            [(boards[n].outline, *shapes) for n, shapes in open_.items()],
            [(b.outline, strip) for b in boards.values() if b.clear_mm for strip in _gaps(b)],
            [(boards[n].outline, passed_over(frames[n], decks[n])) for n in sorted(open_) if decks.get(n)],
        ),
        TILE_MM2,
        "mm²",
    )
    report.at_most(
        "BW-CHECK-002", "Every hole through a joint has its mate in the other board", alone, 0.0, "holes"
    )
    report.at_most("BW-CHECK-003", "Mating holes meet, in plan and in height", apart, MATE_MM, "mm")
    report.at_most(
        "BW-CHECK-004",
        "No joist stands in a device's clearance",
        joists_in_keepouts(
            (s, boards[n].level_mm - s.high_mm, devices[n]) for n, s in members if is_joist(s.part)
        ),
        TOUCH_MM2,
        "mm²",
    )
    most = FIT_MM + TOUCH_MM
    is_told = _oversize(boards, roofs, splitting, as_split=True).value <= most
    report.at_most(
        "BW-CHECK-005",
        "No board is larger than wanted",
        _oversize(boards, roofs, splitting),
        most,
        "mm too large",
        "Splitting found no joint that parts it: mend what BW-SPLIT-001 says of it." if is_told else DEFECT,
    )
    shared = overlaps([s for _, s in members])
    report.at_most(
        "BW-CHECK-006",
        "No two members stand in the same place",
        shared,
        TOUCH_MM2,
        "mm²",
        LEVELS if shared.value > TOUCH_MM2 and not _meet_on_a_level(boards, members) else DEFECT,
    )
    report.at_most(
        "BW-CHECK-007",
        "Every member stands under its own deck",
        outside_deck((s, roofs[n]) for n, s in framed if n in roofs),
        TOUCH_MM2,
        "mm²",
    )
    report.at_least(
        "BW-CHECK-008",
        "Holes keep away from the edges of their parts (middle to edge)",
        edge_distance(every),
        EDGE_DIAMETERS,
        "hole diameters",
        OF_DEVICES,
    )
    report.at_least(
        "BW-CHECK-009",
        "Holes keep away from each other (wood between)",
        wood_between(every),
        WOOD_MM,
        "mm",
        OF_DEVICES,
    )
    ends = [end for n in sorted(boards) for end in boards[n].ends if n in parts]
    if ends:
        report.at_most(
            "BW-CHECK-010",
            "Every end that mates with the next module is drilled as any other",
            ends_alike(ends, holes, joints_set.pattern == "handed"),
            MATE_MM,
            "mm",
        )
    climbing = {n: frames[n] for n in sorted(parts) if frames[n].climbs}
    if climbing:
        middles, corners = reached(climbing, solids)
        steps = met(boards, board_plans, frames)
        report.at_most(
            "BW-CHECK-011", "Risers reach decks that climb, in the middle", middles, REACH_MM, "mm"
        )
        says = "Risers reach decks that climb, at corners"
        report.at_most("BW-CHECK-012", says, corners, CORNER_MM, "mm", SHARP)
        report.at_most("BW-CHECK-013", "Decks of one track meet at joints in height", steps, REACH_MM, "mm")
    if open_:
        report.at_least(
            "BW-CHECK-014",
            "Risers stand below their decks",
            stood_below(solids, decks),
            WHOLE_PERCENT * LEAST_UNDER - UNDER_PERCENT,
            "% of each",
        )
    legs = [
        met
        for n in sorted(stands)
        if n in solids
        for met in legs_met(boards[n], stands[n], solids[n], holes[n], devices[n], joints_set)
    ]
    if legs:
        report.at_most(
            "BW-CHECK-015",
            "Legs run up clear of wood, devices, bolts, dowels and wire holes, but where it is told",
            worst(legs),
            TOUCH_MM2,
            "mm²",
        )
    if edging:
        report.at_most(
            "BW-CHECK-016",
            "Strips along edges stand outside every board",
            within_boards(boards, edging),
            TOUCH_MM2,
            "mm²",
        )
    return CheckReport(lines=tuple(report.lines))


def _gaps(board: Board) -> list[Polygon]:
    """The strips between a lift-out's edges and the lines of its joints, and a little on at slanted ends."""
    import shapely

    lines = [shapely.LineString((j.start, j.end)) for j in board.joints]
    return [line.buffer(board.clear_mm, cap_style="square") for line in lines]


def _at_line(board: Board, joints: dict[str, Joint], drilled: Drilled) -> Drilled:
    """A hole of a lift-out as it lies on the joint's line, across the working clearance."""
    joint = joints.get(drilled.hole.joint or "")
    if not board.clear_mm or joint is None:
        return drilled
    (x, y), _ = board.face(joint)
    a, b, z = drilled.at
    return Drilled(drilled.part, drilled.hole, (a - x + joint.start[0], b - y + joint.start[1], z))


def _open_shapes(board: Board, frame: Frame) -> tuple[Polygon, Polygon]:
    """Outline and deck, in plan, of a board that its deck does not cover whole."""
    import shapely

    def in_plan(ring: Ring) -> Ring:
        return tuple(board.to_plan(p) for p in ring)

    deck = [shapely.Polygon(in_plan(p.ring), [in_plan(w) for w in p.wells]) for p in frame.deck]
    return shapely.Polygon(board.ring, board.wells), shapely.union_all(deck)


def _oversize(
    boards: Mapping[str, Board],
    roofs: Mapping[str, Polygon],
    splitting: SplittingSettings,
    *,
    as_split: bool = False,
) -> Worst:
    """How much too large decks are; ``as_split``: those may be as large as the board splitting left, which
    has told of every board that it left too large."""
    import shapely

    found = []
    for name, roof in roofs.items():
        long, short = splitting.box_mm
        if as_split or boards[name].stays_whole:
            long, short = max(long, boards[name].length_mm), max(short, boards[name].width_mm)
        corners = [boards[name].to_local((x, y)) for x, y in shapely.get_coordinates(roof).tolist()]
        xs, ys = zip(*corners, strict=True)
        length, width = max(xs) - min(xs), max(ys) - min(ys)
        over = max(max(length, width) - long, min(length, width) - short, 0.0)
        found.append((over, f"board {name}"))
    return worst(found)


def _meet_on_a_level(boards: All[Board], members: Sequence[tuple[str, Solid]]) -> bool:
    """Whether members stand in the same place on one level; else, where any do, one level is in another."""
    return any(
        overlaps([s for n, s in members if boards[n].level_mm == level]).value > TOUCH_MM2
        for level in {boards[n].level_mm for n, _ in members}
    )


class _Report:
    """Collects lines and raises a fault for every line that fails."""

    def __init__(self, notes: Notes) -> None:
        self.lines: list[CheckLine] = []
        self._notes = notes

    def at_most(
        self, code: str, says: str, found: Worst, limit: float, unit: str, mend: str = DEFECT
    ) -> None:
        self._add(code, says, found, limit, unit, found.value <= limit, False, mend)

    def at_least(
        self, code: str, says: str, found: Worst, limit: float, unit: str, mend: str = DEFECT
    ) -> None:
        if not found.counted:
            found = Worst(limit)
        self._add(code, says, found, limit, unit, found.value >= limit - 1e-6, True, mend)

    def _add(
        self,
        code: str,
        says: str,
        found: Worst,
        limit: float,
        unit: str,
        passed: bool,
        at_least: bool,
        mend: str = DEFECT,
    ) -> None:
        measured = round(found.value, 6)
        self.lines.append(
            CheckLine(
                code=code,
                says=says,
                measured=measured,
                limit=limit,
                unit=unit,
                counted=found.counted,
                passed=passed,
                where=found.where,
                at_least=at_least,
            )
        )
        if not passed:
            self._notes.fault(
                code,
                f"This check failed: {says[0].lower()}{says[1:]}. Measured {figures(measured, limit)} {unit} "
                f"({'at least' if at_least else 'at most'} {limit:.3g}), at {found.where}.",
                Place(item=found.where or None),
                mend,
            )


def figures(measured: float, limit: float) -> str:
    """Three figures of what was measured, or all before the point; more where that would be the very limit as
    told."""
    few = f"{measured:.3g}" if abs(measured) < 999.5 else f"{measured:.0f}"
    return few if few != f"{limit:.3g}" else f"{measured:g}"
