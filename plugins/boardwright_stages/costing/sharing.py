"""Who causes what cost: the total, shared out over the boards and over the stages of construction.

Claim: each table of shares adds up to the total to the cent. A sheet's price is borne by the parts on it, by
the area of their blanks, offcuts included; a line of hardware by the boards that need it, by their
quantities; delivery and saw cuts by the wood.

What this does not know: parts that fit on no sheet; their wood is in no line.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from decimal import ROUND_HALF_UP, Decimal

from boardwright_timber.model import BoardHardware, BoardParts, CostLine, CostShare, CuttingPlan
from boardwright_timber.model.hardware import STAGES, stage_of

CENT = Decimal("0.01")
type Weights = dict[tuple[str, str], Decimal]  # (board, stage of construction) -> weight


def shares(
    lines: Sequence[CostLine],
    cutting: CuttingPlan,
    parts: Mapping[str, BoardParts],
    hardware: Iterable[BoardHardware],
) -> tuple[tuple[CostShare, ...], tuple[CostShare, ...]]:
    """Shares by board, in name order, and by stage of construction; empty where nothing costs anything."""
    wood = _wood(cutting, parts)
    needs = _needs(hardware)
    all_wood: Weights = {}
    for weights in wood.values():
        _add(all_wood, weights)
    weighed = []
    for line in lines:
        own: Weights = {}
        if line.group in ("sheets", "bars"):
            own = wood.get(line.item, own)
        else:
            for item in (line.item, *line.covers):
                _add(own, needs.get(item, {}))
        weighed.append(own or all_wood)
    boards = sorted({board for weights in weighed for board, _ in weights})
    known = {stage for weights in weighed for _, stage in weights}
    stages = [stage for stage in STAGES if stage in known]
    return _shared(lines, weighed, 0, boards), _shared(lines, weighed, 1, stages)


def _shared(
    lines: Sequence[CostLine], weighed: Sequence[Weights], by: int, names: Sequence[str]
) -> tuple[CostShare, ...]:
    """``by`` 0: the board, 1: the stage. Rounded one after the other so that the sum is right to the cent: a
    share is the rounded sum up to it less the rounded sum before."""
    found, sum_, before = [], 0.0, Decimal("0.00")
    for name in names:
        of_lines = tuple(_part_of(weights, by, name) for weights in weighed)
        part_of_total = sum(part * float(line.total) for part, line in zip(of_lines, lines, strict=True))
        sum_ += round(part_of_total, 9)  # as the workbook does: a twelfth of 0.18 is half a cent
        now = Decimal(repr(round(sum_, 9))).quantize(CENT, ROUND_HALF_UP)
        found.append(CostShare(of=name, amount=now - before, of_lines=of_lines))
        before = now
    return tuple(found)


def _part_of(weights: Weights, by: int, name: str) -> float:
    whole = sum(weights.values(), Decimal(0))
    mine = sum((w for key, w in weights.items() if key[by] == name), Decimal(0))
    return round(float(mine / whole), 12) if whole else 0.0


def _add(sums: Weights, more: Weights) -> None:
    for key, weight in more.items():
        sums[key] = sums.get(key, Decimal(0)) + weight


def _wood(cutting: CuttingPlan, parts: Mapping[str, BoardParts]) -> dict[str, Weights]:
    """By stock: the area of the blanks of each board and stage."""
    of = {
        p.id: (board, "decks" if p.role == "deck" else "frames")
        for board in parts
        for p in parts[board].parts
    }
    found: dict[str, Weights] = {}
    for sheet in cutting.sheets:
        for placed in sheet.parts:
            if placed.part in of:
                area = Decimal(repr(round(placed.length_mm * placed.width_mm, 3))) * sheet.times
                _add(found.setdefault(sheet.stock, {}), {of[placed.part]: area})
    return found


def _needs(hardware: Iterable[BoardHardware]) -> dict[str, Weights]:
    """By item: the quantity of each board."""
    found: dict[str, Weights] = {}
    for board in hardware:
        for line in board.lines:
            key = (board.board, stage_of(line.item))
            _add(found.setdefault(line.item, {}), {key: Decimal(repr(line.quantity))})
    return found
