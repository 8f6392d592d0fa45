"""Sums inside the data: areas, masses, sheets, hardware and money.

Claim: every total of ``pack.json`` is the sum of what it is said to be the sum of.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterator
from decimal import ROUND_HALF_UP, Decimal

from shapely import Polygon

from .opened import Opened
from .record import Part

CENT = Decimal("0.01")


def check_sums(opened: Opened) -> Iterator[str]:
    _parts(opened)
    _money(opened)
    cost = opened.pack.cost
    yield (
        f"Areas, masses, sheets and hardware add up; {len(cost.lines)} lines of cost make "
        f"{cost.total} {cost.currency}."
    )


def _parts(opened: Opened) -> None:
    for board in opened.pack.boards:
        mass = math.fsum(p.mass_kg for p in board.parts)
        if abs(mass - board.mass_kg) > 1e-4:
            opened.fault(
                "BW-VERIFY-071",
                f"board {board.id} is told to weigh {board.mass_kg:.3f} kg, its parts weigh {mass:.3f} kg",
                board=board.id,
            )
        by_kind: dict[tuple[str, float], list[float]] = defaultdict(list)
        for part in board.parts:
            if part.board != board.id:
                opened.fault(
                    "BW-VERIFY-070",
                    f"part {part.id} is listed with board {board.id} and says {part.board}",
                    board=board.id,
                    item=part.id,
                )
            slots = math.fsum(
                max(h.slot_mm - h.diameter_mm, 0.0) * h.diameter_mm + math.pi * h.diameter_mm**2 / 4
                for h in part.holes
            )
            area = Polygon(part.ring).area - math.fsum(Polygon(o).area for o in part.openings) - slots
            if abs(area - part.area_mm2) > 0.05:
                opened.fault(
                    "BW-VERIFY-070",
                    f"part {part.id} is told to have {part.area_mm2:.1f} mm², its profile less its holes has "
                    f"{area:.1f} mm²",
                    board=board.id,
                    item=part.id,
                )
            if (volume := _volume(part)) > 0:
                by_kind[part.material, part.thickness_mm].append(part.mass_kg / volume)
        for (material, thick), densities in by_kind.items():
            if max(densities) > min(densities) * 1.001:
                opened.fault(
                    "BW-VERIFY-071",
                    f"board {board.id}: parts of one wood, {material} {thick:g} mm, weigh differently for "
                    "their size",
                    board=board.id,
                )


def _volume(part: Part) -> float:
    """Wood in a part, mm³: its face times its thickness, less the wedges its bevels take off."""
    t = part.thickness_mm
    turns = (abs(math.tan(math.radians(b))) for b in (part.left_bevel_deg, part.right_bevel_deg))
    top = part.length_mm * t * t / 2 * abs(math.tan(math.radians(part.top_bevel_deg)))
    return part.area_mm2 * t - part.width_mm * t * t / 2 * math.fsum(turns) - top


def _money(opened: Opened) -> None:
    pack, cost = opened.pack, opened.pack.cost
    for line in cost.lines:
        price = line.price if line.price is not None else Decimal(0)
        right = (line.quantity * price).quantize(CENT, ROUND_HALF_UP)
        if right != line.total:
            opened.fault(
                "BW-VERIFY-072",
                f"cost of {line.item}: {line.quantity} × {price} is {right}, told is {line.total}",
                file="pack.json",
                item=line.item,
            )
    if (total := sum((line.total for line in cost.lines), Decimal(0))) != cost.total:
        opened.fault(
            "BW-VERIFY-072",
            f"the lines of cost make {total}, the total is told as {cost.total}",
            file="pack.json",
        )
    if cost.area_m2 > 0:
        each = (cost.total / cost.area_m2).quantize(CENT, ROUND_HALF_UP)
        if each != cost.per_square_metre:
            opened.fault(
                "BW-VERIFY-072",
                f"a square metre costs {each}, told is {cost.per_square_metre}",
                file="pack.json",
            )
    bought = {line.item: line.quantity for line in cost.lines if line.group in ("sheets", "bars")}
    sawn: Counter[str] = Counter()
    for sheet in pack.cutting.sheets:
        sawn[sheet.stock] += sheet.times
    for stock in sorted(bought.keys() | sawn.keys()):
        if bought.get(stock, Decimal(0)) != sawn[stock]:
            opened.fault(
                "BW-VERIFY-073",
                f"{sawn[stock]} sheets of {stock} are sawn, {bought.get(stock, 0)} are in the cost",
                file="pack.json",
                item=stock,
            )
    needed: dict[tuple[str, str], float] = defaultdict(float)
    for board in pack.boards:
        for need in board.hardware:
            needed[need.item, need.unit] += need.quantity * pack.cutting.copies
    for bill in cost.lines:
        want = needed.get((bill.item, bill.unit))
        if want is not None and abs(float(bill.quantity) - want) > 1e-6:
            opened.fault(
                "BW-VERIFY-073",
                f"the boards need {want:g} of {bill.item}, {bill.quantity} are in the cost",
                file="pack.json",
                item=bill.item,
            )
