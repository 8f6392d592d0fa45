"""Each sheet's cut list made as a saw would make it.

Claim: every cut goes from edge to edge of one piece in hand, with the fence as told; after the last one each
part's blank lies there as a piece of its own.

Glossary
    piece in hand   a rectangle of what the sheet is in by then
    kerf            what the saw turns to dust: between ``at`` and ``at`` + kerf
"""

from __future__ import annotations

from collections.abc import Iterator

from . import bars
from .opened import Opened, many
from .record import Cut, Sheet

type Piece = tuple[float, float, float, float]  # left, bottom, right, top

NEAR_MM = 2e-5
SETTING_MM = 0.006  # one fence setting may serve sizes that nobody can tell apart


def check_sawing(opened: Opened) -> Iterator[str]:
    cuts = 0
    for sheet in opened.pack.cutting.sheets:
        if sheet.routing:
            continue  # see ``milling``
        cuts += len(sheet.cuts)
        if any(cut.slant for cut in sheet.cuts):
            _saw_bar(opened, sheet)
        else:
            _saw(opened, sheet)
    yield f"{many(cuts, 'saw cut')}, made one after another from edge to edge, free every part."


def _saw(opened: Opened, sheet: Sheet) -> None:
    pieces: list[Piece] = [(0.0, 0.0, sheet.length_mm, sheet.width_mm)]
    for step, cut in enumerate(sheet.cuts, 1):
        at = f"{sheet.id}, cut {cut.step}"
        if cut.step != step:
            opened.fault(
                "BW-VERIFY-062", f"sheet {sheet.id}: cut {cut.step} stands where cut {step} should", item=at
            )
            return
        piece = next((p for p in pieces if _edge_to_edge(p, cut)), None)
        if piece is None:
            opened.fault(
                "BW-VERIFY-062",
                f"sheet {sheet.id}: cut {cut.step} goes from edge to edge of no piece in hand: a saw cannot "
                "make it",
                item=at,
            )
            return
        pieces.remove(piece)
        pieces += _divided(piece, cut, sheet.kerf_mm)
        fence = _fence(piece, cut, sheet.kerf_mm)
        if fence is None or abs(fence - cut.setting_mm) > SETTING_MM:
            told = "no fence" if fence is None else f"{fence:.2f} mm"
            opened.fault(
                "BW-VERIFY-063",
                f"sheet {sheet.id}: cut {cut.step} is told with the fence at {cut.setting_mm:.2f} mm from "
                f"the {cut.from_edge} edge, its place on the sheet asks for {told}",
                item=at,
            )
    common: set[tuple[float, float, float, float]] = set()
    for placed in sheet.parts:
        if placed.shares in common:
            continue
        if placed.shares:
            common.add(placed.shares)
        x, y, length, width = placed.shares or (
            placed.x_mm,
            placed.y_mm,
            placed.length_mm,
            placed.width_mm,
        )
        blank = (x, y, x + length, y + width)
        freed = next(
            (p for p in pieces if max(abs(a - b) for a, b in zip(p, blank, strict=True)) < 0.01), None
        )
        if freed is None:
            opened.fault(
                "BW-VERIFY-064",
                f"sheet {sheet.id}: the cuts do not leave {placed.part} as a piece of its own",
                item=f"{sheet.id}, {placed.part}",
            )
        else:
            pieces.remove(freed)


def _saw_bar(opened: Opened, sheet: Sheet) -> None:
    """A bar with slanted cuts."""
    pieces: list[bars.Solid] = [(bars.square(0.0), bars.square(sheet.length_mm))]
    for step, cut in enumerate(sheet.cuts, 1):
        at = f"{sheet.id}, cut {cut.step}"
        across = (cut.from_mm, cut.to_mm) == (0.0, sheet.width_mm) and cut.along == "width"
        piece = next((p for p in pieces if bars.holds(p, cut)), None)
        if cut.step != step or not across or piece is None:
            opened.fault(
                "BW-VERIFY-062",
                f"bar {sheet.id}: cut {cut.step} goes from edge to edge of no piece in hand: a saw cannot "
                "make it",
                item=at,
            )
            return
        pieces.remove(piece)
        pieces += bars.divided(piece, cut, sheet)
        length = bars.setting(piece, cut, sheet)
        if length is None or abs(length - cut.setting_mm) > SETTING_MM:
            told = "another end" if length is None else f"{length:.2f} mm"
            opened.fault(
                "BW-VERIFY-063",
                f"bar {sheet.id}: cut {cut.step} is told at {cut.setting_mm:.2f} mm from the {cut.from_edge} "
                f"end, its place on the bar asks for {told}",
                item=at,
            )
    for placed in sheet.parts:
        part = opened.parts.get(placed.part)
        freed = next((p for p in pieces if part is not None and bars.is_part(p, part, placed)), None)
        if freed is None:
            opened.fault(
                "BW-VERIFY-064",
                f"bar {sheet.id}: the cuts do not leave {placed.part} as a piece of its own",
                item=f"{sheet.id}, {placed.part}",
            )
        else:
            pieces.remove(freed)


def _edge_to_edge(piece: Piece, cut: Cut) -> bool:
    left, bottom, right, top = piece
    if cut.along == "length":
        ends, across = (left, right), (bottom, top)
    else:
        ends, across = (bottom, top), (left, right)
    meets = abs(ends[0] - cut.from_mm) < NEAR_MM and abs(ends[1] - cut.to_mm) < NEAR_MM
    return meets and across[0] - NEAR_MM <= cut.at_mm < across[1] - NEAR_MM


def _divided(piece: Piece, cut: Cut, kerf: float) -> list[Piece]:
    left, bottom, right, top = piece
    near, far = cut.at_mm, cut.at_mm + kerf
    two = (
        [(left, bottom, right, near), (left, far, right, top)]
        if cut.along == "length"
        else [(left, bottom, near, top), (far, bottom, right, top)]
    )
    return [p for p in two if p[2] - p[0] > NEAR_MM and p[3] - p[1] > NEAR_MM]


def _fence(piece: Piece, cut: Cut, kerf: float) -> float | None:
    """The width kept, measured from the edge named; None where that edge does not lie along the cut."""
    left, bottom, right, top = piece
    return {
        ("length", "bottom"): cut.at_mm - bottom,
        ("length", "top"): top - cut.at_mm - kerf,
        ("width", "left"): cut.at_mm - left,
        ("width", "right"): right - cut.at_mm - kerf,
    }.get((cut.along, cut.from_edge))
