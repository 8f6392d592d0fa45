"""Nouns to rows: the sheets, and how they are cut by saw, by router and by hand."""

from __future__ import annotations

from collections.abc import Mapping

from boardwright.plan.model import Ring
from boardwright_timber.model import BoardParts, CutSheet, CuttingPlan, Part, PlacedPart

from ..drawings.placing import moved, on_sheet
from ..drawings.views.sheet import parts_by_id
from .sheet import Column, Picture, Show, Table, Tick


def stock(cutting: CuttingPlan, boards: Mapping[str, BoardParts]) -> Table:
    """``boards``: the parts whose outlines are drawn; others are drawn as their blanks."""
    parts = parts_by_id(boards)
    return Table(
        name="Stock",
        purpose="What to buy and saw: sheets, bars, boards of timber, and what lies where on them. The datum "
        "is the lower left corner, length along x. Cuts are on the sheet Cutting.",
        columns=(
            Column("Piece"),
            Column("Stock"),
            Column("Material", Show.WRAPPED),
            Column("Thick", Show.MM, "mm"),
            Column("Length", Show.MM, "mm"),
            Column("Width", Show.MM, "mm"),
            Column("Kerf", Show.MM, "mm"),
            Column("Edge\ntrim", Show.MM, "mm"),
            Column("Cut\nlike this", Show.COUNT),
            Column("Parts", Show.COUNT),
            Column("Cuts", Show.COUNT),
            Column("Used", Show.PERCENT, "%"),
        ),
        rows=tuple(
            (
                s.id,
                s.stock,
                s.material,
                s.thickness_mm,
                s.length_mm,
                s.width_mm,
                s.kerf_mm,
                s.trim_mm,
                s.times,
                len(s.parts),
                len(s.cuts),
                s.used_fraction,
            )
            for s in cutting.sheets
        ),
        closing=tuple(("Not placed", u.part, u.why) for u in cutting.unplaced),
        when_empty="Nothing is cut.",
        pictures=tuple(_picture(s, parts) for s in cutting.sheets),
    )


def _picture(sheet: CutSheet, parts: Mapping[str, Part]) -> Picture:
    """The sheet with its parts as they lie."""
    names = ", ".join(p.part for p in sheet.parts)
    return Picture(
        title=f"{sheet.id}: {sheet.stock}",
        says=f"{sheet.called} {sheet.id} with its parts: {names or 'none'}.",
        width_mm=sheet.length_mm,
        height_mm=sheet.width_mm,
        boxes=tuple((p.x_mm, p.y_mm, p.length_mm, p.width_mm, p.part) for p in sheet.parts),
        shapes=tuple(_rings(parts[p.part], p) if p.part in parts else () for p in sheet.parts),
    )


def _rings(part: Part, placed: PlacedPart) -> tuple[Ring, ...]:
    """The part's outline and openings on the sheet; none where it is the whole of its blank."""
    corners = {(x, y) for x in (0.0, part.length_mm) for y in (0.0, part.width_mm)}
    if set(part.ring) == corners and not part.openings:
        return ()
    place = on_sheet(part, placed)
    return tuple(moved(ring, place) for ring in (part.ring, *part.openings))


def cuts(cutting: CuttingPlan) -> Table:
    return Table(
        name="Cutting",
        purpose="Cuts in sawing order. Set the fence to the setting, measured from the edge named of the "
        "piece in hand; the kerf falls beyond it. At, from and to are measured on the whole sheet from its "
        "datum.",
        columns=(
            Column("Sheet"),
            Column("Cut", Show.COUNT),
            Column("Piece in hand"),
            Column("Saw along"),
            Column("Fence\nsetting", Show.MM, "mm"),
            Column("From edge"),
            Column("At", Show.MM, "mm"),
            Column("From", Show.MM, "mm"),
            Column("To", Show.MM, "mm"),
            Column("What it does", Show.WRAPPED, widest=60),
            Column("Done", Show.TICK),
        ),
        rows=tuple(
            (
                s.id,
                c.step,
                in_hand(s, c.piece),
                c.along,
                c.setting_mm,
                c.from_edge,
                c.at_mm,
                c.from_mm,
                c.to_mm,
                c.says,
                Tick(),
            )
            for s in cutting.sheets
            for c in s.cuts
        ),
        when_empty="There is nothing to saw.",
    )


def in_hand(sheet: CutSheet, piece: str) -> str:
    """The piece to be cut; a bar is no sheet."""
    return "bar" if sheet.bar and piece == "sheet" else piece


def routing(cutting: CuttingPlan) -> Table:
    return Table(
        name="Routing",
        purpose="What the router does, sheet by sheet in this order: holes, slots, openings, outlines. x and "
        "y are measured on the sheet from its datum: the hole's middle, or where the cutter meets its path. "
        "Goggles, ear defenders, dust extraction; clamp the sheet; no hands near a cutter that turns.",
        columns=(
            Column("Sheet"),
            Column("Step", Show.COUNT),
            Column("Part"),
            Column("Kind"),
            Column("x", Show.MM, "mm"),
            Column("y", Show.MM, "mm"),
            Column("Diameter", Show.MM, "mm"),
            Column("Path", Show.MM, "mm"),
            Column("Bridges", Show.COUNT),
            Column("What it does", Show.WRAPPED, widest=60),
            Column("Done", Show.TICK),
        ),
        rows=tuple(
            (
                s.id,
                r.step,
                r.part,
                r.kind,
                *r.at,
                r.diameter_mm or None,
                r.length_mm or None,
                len(r.tabs),
                r.says,
                Tick(),
            )
            for s in cutting.sheets
            if s.routing
            for r in s.routing.steps
        ),
        when_empty="No sheet is cut by router.",
    )


def shaping(cutting: CuttingPlan) -> Table:
    return Table(
        name="Shaping",
        purpose="What is sawn by hand once a sheet is cut up: openings, curved and slanted edges, bevels. "
        "Clamp the part, wear goggles and a dust mask, keep both hands on the saw.",
        columns=(
            Column("Sheet"),
            Column("Step", Show.COUNT),
            Column("Part"),
            Column("Kind"),
            Column("What to do", Show.WRAPPED, widest=70),
            Column("Done", Show.TICK),
        ),
        rows=tuple(
            (s.id, c.step, c.part, c.kind, c.says, Tick()) for s in cutting.sheets for c in s.contours
        ),
        when_empty="Every part is a plain rectangle.",
    )


def repeats(cutting: CuttingPlan) -> Table:
    return Table(
        name="Alike",
        purpose="Parts just alike: same profile, openings, holes and bevels. Saw them in a stack, drill them "
        "in one set-up, write each one's own label on it.",
        columns=(
            Column("Number", Show.COUNT),
            Column("Material", Show.WRAPPED, widest=24),
            Column("Thick", Show.MM, "mm"),
            Column("Length", Show.MM, "mm"),
            Column("Width", Show.MM, "mm"),
            Column("Holes\nin each", Show.COUNT),
            Column("Boards", Show.WRAPPED, widest=30),
            Column("Parts", Show.WRAPPED, widest=60),
            Column("Done", Show.TICK),
        ),
        rows=tuple(
            (
                r.number,
                r.material,
                r.thickness_mm,
                r.length_mm,
                r.width_mm,
                r.holes,
                ", ".join(r.boards),
                ", ".join(r.parts),
                Tick(),
            )
            for r in cutting.repeats
        ),
        when_empty="No two parts are alike.",
    )
