"""Nouns to rows: one function a worksheet about boards, parts, sawing and drilling. Nothing is worked out
here beyond counting and putting in words; money and hardware are in ``buying``, what was found is in
``findings``.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping

from boardwright_timber.model import (
    Board,
    BoardFixings,
    BoardParts,
    CuttingPlan,
    Face,
    Fixing,
    FixingKind,
    Hole,
    Joint,
    Joists,
    Part,
    Splitting,
)

from ..drawings.views.part import kind_name
from .sheet import FIRST_ROW, Column, Formula, Picture, Show, Table, Tick, Value


def boards(
    boards: Mapping[str, Board],
    joists: Mapping[str, Joists],
    parts: Mapping[str, BoardParts],
    splitting: Splitting,
    pictures: tuple[Picture, ...] = (),
) -> Table:
    margins = {b.id: b.margins for b in splitting.boards}
    rows = tuple(
        (
            b.id,
            b.outline,
            b.level_mm,
            b.length_mm,
            b.width_mm,
            len(joists[b.id].joists),
            joists[b.id].spacing_mm,
            joists[b.id].limit_mm,
            len(parts[b.id].parts),
            parts[b.id].mass_kg,
            ", ".join(j.id for j in b.joints),
            "yes" if b.lift_out else "",
            margins.get(b.id, ""),
        )
        for b in boards.values()
    )
    mass = sum(parts[b].mass_kg for b in boards)
    last = FIRST_ROW + max(len(rows), 1) - 1
    return Table(
        name="Boards",
        purpose="Every board as it is built. Mass is the wood only: no hardware, track, wiring or scenery.",
        columns=(
            Column("Board"),
            Column("Outline"),
            Column("Level", Show.MM, "mm"),
            Column("Length", Show.MM, "mm"),
            Column("Width", Show.MM, "mm"),
            Column("Joists", Show.COUNT),
            Column("Widest gap\nof support", Show.MM, "mm"),
            Column("Gap\nallowed", Show.MM, "mm"),
            Column("Parts", Show.COUNT),
            Column("Mass", Show.KG, "kg"),
            Column("Joints", Show.WRAPPED, widest=30),
            Column("Lift-out"),
            Column("Room under the limits", Show.WRAPPED, widest=40),
        ),
        rows=rows,
        closing=(
            ("All boards", *(None,) * 8, Formula(f"SUM(J{FIRST_ROW}:J{last})", mass), None, None, None),
        ),
        pictures=pictures,
    )


def joints(splitting: Splitting, fixings: Mapping[str, BoardFixings]) -> Table:
    every = {f for board in fixings.values() for f in board.fixings}
    ends = tuple(end for board in splitting.boards for end in board.ends)
    rows = tuple(_joint(j, [f for f in every if f.joint == j.id]) for j in (*splitting.joints, *ends))
    return Table(
        name="Joints",
        purpose="Where boards meet. Clamp the two mating ends together and drill both at once, or drill them "
        "from one jig. x and y are on the plan. Ends of the layout where the next module comes stand last.",
        columns=(
            Column("Joint"),
            Column("Boards"),
            Column("Placed by"),
            Column("Length", Show.MM, "mm"),
            Column("Start x", Show.MM, "mm"),
            Column("Start y", Show.MM, "mm"),
            Column("End x", Show.MM, "mm"),
            Column("End y", Show.MM, "mm"),
            Column("Tracks\nacross", Show.COUNT),
            Column("Most off\nsquare", Show.DEGREES, "°"),
            Column("To nearest\nturnout", Show.MM, "mm"),
            Column("To nearest\ndevice", Show.MM, "mm"),
            Column("Bolts or\ncatches", Show.WRAPPED, widest=16),
            Column("Dowels", Show.WRAPPED, widest=16),
        ),
        rows=rows,
        when_empty="One board: there is no joint.",
    )


def reasons(splitting: Splitting) -> Table:
    ends = tuple(end for board in splitting.boards for end in board.ends)
    return Table(
        name="Joint reasons",
        purpose="Why each joint is where it is, what its place costs, counted in boards, and what the next "
        "best place would have cost.",
        columns=(
            Column("Joint"),
            Column("Boards"),
            Column("To nearest\nturnout", Show.MM, "mm"),
            Column("To nearest\ndevice", Show.MM, "mm"),
            Column("Most off\nsquare", Show.DEGREES, "°"),
            Column("Why it is here", Show.WRAPPED, widest=85),
        ),
        rows=tuple(
            (
                j.id,
                _both(j),
                j.nearest_turnout_mm,
                j.nearest_device_mm,
                _most_off_square(j),
                j.why,
            )
            for j in (*splitting.joints, *ends)
        ),
        when_empty="One board: there is no joint.",
    )


def _both(joint: Joint) -> str:
    first, second = joint.boards
    return f"{first} + {second}" if first != second else f"{first} + the next module"


def _most_off_square(joint: Joint) -> float | None:
    return max((c.off_square_deg for c in joint.crossings), key=abs, default=None)


def _joint(joint: Joint, fixings: list[Fixing]) -> tuple[Value, ...]:
    return (
        joint.id,
        _both(joint),
        "the drawing" if joint.drawn else "what is made" if joint.held else "the rules",
        joint.length_mm,
        *joint.start,
        *joint.end,
        len(joint.crossings),
        _most_off_square(joint),
        joint.nearest_turnout_mm,
        joint.nearest_device_mm,
        _sizes(fixings, FixingKind.BOLT, FixingKind.CATCH),
        _sizes(fixings, FixingKind.DOWEL),
    )


def _sizes(fixings: list[Fixing], *kinds: FixingKind) -> str:
    sizes = Counter(f.called if f.size != "toggle" else "catch" for f in fixings if f.kind in kinds)
    return ", ".join(
        f"{count} {'of' if '×' in size else '×'} {size}" for size, count in sorted(sizes.items())
    )


def parts(parts: Mapping[str, BoardParts], cutting: CuttingPlan) -> Table:
    found: dict[str, dict[str, None]] = {}
    for sheet in cutting.sheets:
        for placed in sheet.parts:
            found.setdefault(placed.part, {})[sheet.id] = None
    sheet_of = {part: ", ".join(sheets) for part, sheets in found.items()}
    each = f" {cutting.copies} of each are cut, of drill jigs one." if cutting.copies > 1 else ""
    if cutting.spare:
        more = ", ".join(f"{n} of {part}" for part, n in sorted(Counter(cutting.spare).items()))
        each += f" Spare ends besides: {more}."
    if cutting.made:
        each += f" Made already and not cut: {', '.join(cutting.made)}."
    return Table(
        name="Parts",
        purpose="Every piece of wood, one row each. Length and width are the blank to cut, long point to "
        "long point. Bevels are off square, positive when the drawn face is the longer one." + each,
        columns=(
            Column("Part"),
            Column("Board"),
            Column("Role"),
            Column("Label to write on it", Show.WRAPPED, widest=30),
            Column("Material", Show.WRAPPED, widest=24),
            Column("Thick", Show.MM, "mm"),
            Column("Length", Show.MM, "mm"),
            Column("Width", Show.MM, "mm"),
            Column("Grain along"),
            Column("Shape"),
            Column("Left\nbevel", Show.DEGREES, "°"),
            Column("Right\nbevel", Show.DEGREES, "°"),
            Column("Holes", Show.COUNT),
            Column("Mass", Show.KG, "kg"),
            Column("Cut from", Show.WRAPPED, widest=24),
            Column("Done", Show.TICK),
        ),
        rows=tuple(
            (
                p.id,
                p.board,
                p.role,
                p.label,
                p.material,
                p.thickness_mm,
                p.length_mm,
                p.width_mm,
                p.grain.value,
                "straight" if _is_blank(p) else "see drawing",
                p.left_bevel_deg,
                p.right_bevel_deg,
                len(p.holes),
                p.mass_kg,
                sheet_of.get(p.id, "nothing: not placed"),
                Tick(),
            )
            for p in _every(parts)
        ),
    )


def _every(parts: Mapping[str, BoardParts]) -> Iterator[Part]:
    return (p for board in parts.values() for p in board.cut)


def _is_blank(part: Part) -> bool:
    """Is the part its blank and no more: a plain rectangle?"""
    corners = {(0.0, 0.0), (part.length_mm, 0.0), (part.length_mm, part.width_mm), (0.0, part.width_mm)}
    return set(part.ring) == corners and not part.openings


def drilling(parts: Mapping[str, BoardParts]) -> Table:
    return Table(
        name="Drilling",
        purpose="Holes by part. x and y are measured from the datum corner, lower left of the drawn face "
        "(a member's outer face, a deck's upper face), also for holes drilled from the back. A hole off "
        "square slants along x.",
        columns=(
            Column("Part"),
            Column("Hole", Show.COUNT),
            Column("Kind"),
            Column("x", Show.MM, "mm"),
            Column("y", Show.MM, "mm"),
            Column("Diameter", Show.MM, "mm"),
            Column("Depth", Show.MM, "mm"),
            Column("Drill from"),
            Column("Off square\nalong x", Show.DEGREES, "°"),
            Column("Mates across\njoint"),
            Column("Note", Show.WRAPPED),
            Column("Done", Show.TICK),
        ),
        rows=tuple(_hole(p, number, hole) for p in _every(parts) for number, hole in enumerate(p.holes, 1)),
        when_empty="There is nothing to drill.",
    )


def _hole(part: Part, number: int, hole: Hole) -> tuple[Value, ...]:
    return (
        part.id,
        number,
        kind_name(hole),
        hole.x_mm,
        hole.y_mm,
        hole.diameter_mm,
        "through" if hole.depth_mm is None else hole.depth_mm,
        "drawn face" if hole.face is Face.OUTER else "back",
        hole.tilt_deg or None,
        hole.joint or "",
        hole.note,
        Tick(),
    )
