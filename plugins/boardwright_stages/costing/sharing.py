"""Who causes what cost: the total, shared out over the boards and over the stages of construction.

Claim: each table of shares adds up to the total to the cent. A sheet's price is borne by the parts on it, by
the area of their blanks, offcuts included; a line of hardware by the boards that need it, by their
quantities; delivery and saw cuts by the wood.

What this does not know: parts that fit on no sheet; their wood is in no line.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from decimal import ROUND_FLOOR, Decimal

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
    spent: Weights = {}
    for line in lines:
        weights = wood.get(line.item, {}) if line.group in ("sheets", "bars") else needs.get(line.item, {})
        weights = weights or all_wood
        whole = sum(weights.values(), Decimal(0))
        if whole:
            _add(spent, {key: line.total * weight / whole for key, weight in weights.items()})
    total = sum((line.total for line in lines), Decimal("0.00"))
    boards: dict[str, Decimal] = {}
    stages: dict[str, Decimal] = {}
    for (board, stage), amount in sorted(spent.items()):
        boards[board] = boards.get(board, Decimal(0)) + amount
        stages[stage] = stages.get(stage, Decimal(0)) + amount
    ordered = {stage: stages[stage] for stage in STAGES if stage in stages}
    return _to_the_cent(boards, total), _to_the_cent(ordered, total)


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


def _to_the_cent(amounts: Mapping[str, Decimal], total: Decimal) -> tuple[CostShare, ...]:
    """Rounded down, and the cents left over given to the largest remainders."""
    down = {name: amount.quantize(CENT, ROUND_FLOOR) for name, amount in amounts.items()}
    cents = int((total - sum(down.values(), Decimal(0))) / CENT)
    by_remainder = sorted(amounts, key=lambda name: (down[name] - amounts[name], name))
    for name in by_remainder[: max(cents, 0)]:
        down[name] += CENT
    return tuple(CostShare(of=name, amount=amount) for name, amount in down.items())
