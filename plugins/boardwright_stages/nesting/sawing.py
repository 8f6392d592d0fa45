"""The cuts of a sheet in sawing order, and where every part lies.

Order: the edges are trimmed, then all cuts of the first stage, then all of the second, and so on: strips are
ripped full length first, then cross-cut (common practice, no source). The fence is set from the left or
bottom edge of the piece in hand, always a sawn one; only the first two trims are set from the far edge.

Places are real millimetres: the tree counts in hundredths, so what rounding saves moves into the last offcut.
Strips and lengths are set to the very size of the part, so that every list says one figure for it. What would
be left at a far edge narrower than ``smallest_offcut_mm`` goes with the trim: no shaving is sawn there.

Glossary
    piece     ``sheet``; ``1``, ``2`` … as they are freed from it, ``2.1`` from piece 2, offcuts among them
    setting   the width kept between fence and blade
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Literal

import msgspec

from boardwright_timber.model import Cut, CutPiece, Offcut, PlacedPart

from .piece import UNITS_PER_MM, Piece, mm
from .settings import CuttingSettings, StockSheet
from .shown import shown

WHOLE = "sheet"
SLIVER_MM = 5.0  # what is narrower is no offcut to speak of: our judgement, no source
type Edge = Literal["left", "right", "bottom", "top"]


class Sawn(msgspec.Struct, frozen=True):
    """The part a blank on this sheet is for. Size as it lies on the sheet."""

    part: str
    length_mm: float
    width_mm: float
    turned: bool


class Spot(msgspec.Struct, frozen=True):
    """A piece with its real place on the sheet, its name, and its pieces in turn."""

    name: str
    piece: Piece
    left: float
    bottom: float
    right: float
    top: float
    parts: tuple[Spot, ...]
    sawn: Sawn | None

    @property
    def size(self) -> str:
        return f"{shown(self.right - self.left)} × {shown(self.top - self.bottom)} mm"

    @property
    def says(self) -> str:
        if self.sawn:
            return f"part {self.sawn.part}"
        wide = min(self.right - self.left, self.top - self.bottom)
        if not self.parts and wide < SLIVER_MM:
            return f"a sliver {shown(wide)} mm wide"
        return f"piece {self.name}" if self.parts else f"offcut {self.name} ({self.size})"


def laid_out(
    root: Piece, stock: StockSheet, settings: CuttingSettings, sawn: Mapping[tuple[int, int], Sawn]
) -> Spot:
    """The usable area with everything in it. ``sawn`` by the lower left corner of their blanks, in units."""
    trim, kerf = settings.trim_mm, settings.kerf_mm
    low = trim * stock.edge_trim
    reach = real_size(root, kerf, sawn)
    used = (trim + reach[0], stock.width_mm if stock.bar else low + reach[1])
    far = []
    for edge, reached in zip((stock.length_mm - trim, stock.width_mm - low), used, strict=True):
        shaving = 1 / UNITS_PER_MM <= edge - reached < settings.smallest_offcut_mm
        far.append(reached if shaving and trim > 0 else edge)
    return _spot(root, "", (trim, low, far[0], far[1]), kerf, sawn)


def real_size(piece: Piece, kerf_mm: float, sawn: Mapping[tuple[int, int], Sawn]) -> tuple[float, float]:
    """Length and width its parts really need, in mm; 0 where it holds none."""
    if piece.blank is not None:
        own = sawn[piece.left, piece.bottom]
        return own.length_mm, own.width_mm
    last = max((n for n, c in enumerate(piece.children) if not c.is_waste), default=-1)
    length = width = 0.0
    for n, child in enumerate(piece.children[: last + 1]):
        x, y = _kept_size(child, kerf_mm, sawn)
        between = kerf_mm if n else 0.0
        length = max(length, x) if piece.ripped else length + between + x
        width = width + between + y if piece.ripped else max(width, y)
    return length, width


def _kept_size(child: Piece, kerf_mm: float, sawn: Mapping[tuple[int, int], Sawn]) -> tuple[float, float]:
    """The same where less than a unit is waste; else the piece as the tree counts it."""
    sizes = zip(real_size(child, kerf_mm, sawn), (mm(child.length), mm(child.width)), strict=True)
    x, y = (real if counted - real < 1 / UNITS_PER_MM else counted for real, counted in sizes)
    return x, y


def _spot(
    piece: Piece,
    name: str,
    box: tuple[float, float, float, float],
    kerf_mm: float,
    sawn: Mapping[tuple[int, int], Sawn],
) -> Spot:
    left, bottom, right, top = box
    inside = []
    start, end = (bottom, top) if piece.ripped else (left, right)
    for n, child in enumerate(piece.children, 1):
        reach = start + _kept_size(child, kerf_mm, sawn)[1 if piece.ripped else 0]
        if child.is_waste or end - reach < 1 / UNITS_PER_MM:
            reach = end if n == len(piece.children) else reach
        span = (left, start, right, reach) if piece.ripped else (start, bottom, reach, top)
        inside.append(_spot(child, f"{name}.{n}" if name else str(n), span, kerf_mm, sawn))
        start = reach + kerf_mm
    own = None if piece.blank is None else sawn[piece.left, piece.bottom]
    left, bottom, right, top = (round(v, 6) for v in box)
    return Spot(name or WHOLE, piece, left, bottom, right, top, tuple(inside), own)


def placed_parts(spot: Spot) -> Iterator[PlacedPart]:
    """Every part where it lies, its blank in the lower left corner of its piece."""
    if spot.sawn is not None:
        yield PlacedPart(x_mm=spot.left, y_mm=spot.bottom, **msgspec.structs.asdict(spot.sawn))
    for inner in spot.parts:
        yield from placed_parts(inner)


def cut_tree(spot: Spot) -> CutPiece:
    """The same, as the pack says it."""
    return CutPiece(
        name=spot.name,
        x_mm=spot.left,
        y_mm=spot.bottom,
        length_mm=round(spot.right - spot.left, 6),
        width_mm=round(spot.top - spot.bottom, 6),
        part=spot.sawn.part if spot.sawn else "",
        pieces=tuple(cut_tree(inner) for inner in spot.parts),
    )


def worth_keeping(tree: CutPiece, settings: CuttingSettings, bar: bool = False) -> Iterator[Offcut]:
    """Offcuts that the next project can use, in the order of the tree."""
    if not tree.part and not tree.pieces:
        short, long = sorted((tree.length_mm, tree.width_mm))
        if (bar or short >= settings.keep_width_mm) and long >= settings.keep_length_mm:
            yield Offcut(
                piece=tree.name,
                x_mm=tree.x_mm,
                y_mm=tree.y_mm,
                length_mm=tree.length_mm,
                width_mm=tree.width_mm,
            )
    for inner in tree.pieces:
        yield from worth_keeping(inner, settings, bar)


def saw_cuts(spot: Spot, stock: StockSheet, settings: CuttingSettings) -> tuple[Cut, ...]:
    """All cuts of a sheet, in sawing order; pieces cut alike follow each other, to be stacked."""
    cuts = list(_trims(spot, stock, settings))
    stage = [spot]
    while stage:
        alike: dict[tuple[object, ...], list[tuple[Spot, list[Cut]]]] = {}
        for whole in stage:
            made = list(_divided(whole, settings.kerf_mm))
            alike.setdefault(_cut_like(whole, made), []).append((whole, made))
        for group in alike.values():
            for whole, made in group:
                cuts += _stacked(whole, made, group[0][0]) if len(group) > 1 else made
        stage = [inner for whole in stage for inner in whole.parts]
    said: list[Cut] = []
    for n, cut in enumerate(cuts, 1):
        same = bool(said) and not cut.says.startswith("Trim") and _set_like(cut) == _set_like(said[-1])
        says = f"{cut.says} The setting stays." if same else cut.says
        says = says.replace("the sheet", "the bar") if stock.bar else says
        said.append(msgspec.structs.replace(cut, step=n, says=says))
    return tuple(said)


def _cut_like(whole: Spot, made: Sequence[Cut]) -> tuple[object, ...]:
    """Pieces with one of these are cut together in a stack."""
    sizes = tuple(round(v, 3) for v in (whole.right - whole.left, whole.top - whole.bottom))
    return (sizes, tuple((c.along, round(c.setting_mm, 3)) for c in made))


def _set_like(cut: Cut) -> tuple[str, float]:
    return (cut.along, round(cut.setting_mm, 2))


def _stacked(whole: Spot, made: Sequence[Cut], first: Spot) -> Iterator[Cut]:
    """The cuts of one piece of a stack; all but the first are made together with the first one's."""
    for cut in made:
        if whole is first:
            yield cut
        else:
            says = f"{cut.says} Can be stacked on piece {first.name} and cut with it."
            yield msgspec.structs.replace(cut, says=says)


def _divided(whole: Spot, kerf_mm: float) -> Iterator[Cut]:
    """The cuts that divide one piece, from its left or bottom edge."""
    rip = whole.piece.ripped
    start, end = (whole.bottom, whole.top) if rip else (whole.left, whole.right)
    edge: Edge = "bottom" if rip else "left"
    called = "the sheet" if whole.name == WHOLE else f"piece {whole.name}"
    for n, child in enumerate(whole.parts):
        reach = child.top if rip else child.right
        if reach >= end:
            return
        rest = whole.parts[n + 1 :]
        leaves = f" What is left is {rest[0].says}." if len(rest) == 1 and _ends_at(rest[0], end, rip) else ""
        if not rest and end - reach < kerf_mm:
            leaves = (
                f" Only {shown(end - reach)} mm comes off, less than the blade takes: "
                "clamp a scrap against that edge so that the blade cuts on both sides."
            )
        setting = round(reach - start, 6)
        yield Cut(
            step=0,
            piece=whole.name,
            along="length" if rip else "width",
            at_mm=reach,
            from_mm=whole.left if rip else whole.bottom,
            to_mm=whole.right if rip else whole.top,
            setting_mm=setting,
            from_edge=edge,
            says=f"{'Rip' if rip else 'Cross-cut'} {called} {shown(setting)} mm from its {edge} edge: "
            f"{child.says}.{leaves}",
        )
        start = reach + kerf_mm


def shavings(spot: Spot, kerf_mm: float) -> int:
    """Cuts that take off less than the blade is wide."""
    rip = spot.piece.ripped
    last = spot.parts[-1] if spot.parts else None
    left = 0.0 if last is None else (spot.top - last.top if rip else spot.right - last.right)
    return (0 < left < kerf_mm) + sum(shavings(inner, kerf_mm) for inner in spot.parts)


def _ends_at(spot: Spot, end: float, rip: bool) -> bool:
    return (spot.top if rip else spot.right) >= end


def _trims(spot: Spot, stock: StockSheet, settings: CuttingSettings) -> Iterator[Cut]:
    """Bottom, left, top, right: the first two make the edges everything else is measured from."""
    trim, kerf = settings.trim_mm, settings.kerf_mm
    if trim <= 0:
        return
    length, width = stock.length_mm, stock.width_mm
    if stock.bar:
        yield _trim("left", "right", "width", trim - kerf, 0.0, width, length - trim)
        yield _trim("right", "left", "width", spot.right, 0.0, width, spot.right - trim)
        return
    yield _trim("bottom", "top", "length", trim - kerf, 0.0, length, width - trim)
    yield _trim("left", "right", "width", trim - kerf, trim, width, length - trim)
    yield _trim("top", "bottom", "length", spot.top, trim, length, spot.top - trim)
    yield _trim("right", "left", "width", spot.right, trim, spot.top, spot.right - trim)


def _trim(
    side: Edge,
    edge: Edge,
    along: Literal["length", "width"],
    at_mm: float,
    from_mm: float,
    to_mm: float,
    setting_mm: float,
) -> Cut:
    return Cut(
        step=0,
        piece=WHOLE,
        along=along,
        at_mm=round(at_mm, 6),
        from_mm=round(from_mm, 6),
        to_mm=round(to_mm, 6),
        setting_mm=round(setting_mm, 6),
        from_edge=edge,
        says=f"Trim the {side} edge of the sheet, leaving {shown(setting_mm)} mm "
        f"measured from its {edge} edge.",
    )
