"""One purchase and one cutting plan: all parts of all projects from shared stock, boxes rounded up once.

Claim: every part of every pack is cut as often as its own pack has it cut, by the machinery that cuts one
project; hardware is added up before it is rounded to boxes; the total is shared out to the cent, a sheet
borne by the parts on it. The parts are those of the packs: nothing is designed anew.

Glossary
    mark   P1, P2 …: a project in the names of its boards and parts

What this does not know: when each project is built, and who drives to the merchant.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal

import msgspec
from msgspec.structs import replace

from boardwright import Notes, Place
from boardwright.errors import InputError
from boardwright_timber.model import (
    Board,
    BoardHardware,
    BoardParts,
    Cost,
    CostShare,
    CuttingPlan,
    HardwareLine,
)
from boardwright_timber.model.together import SharedProject, Together

from ..costing.stages import cost
from ..nesting.stages import cutting
from .packs import Bought, read_pack
from .terms import Terms, agreed


def buy_together(packs: Mapping[str, bytes], notes: Notes) -> Together:
    """From the packs' data. Raises InputError when one cannot be read or they are in several currencies."""
    digits = len(str(len(packs)))
    bought = [_read(f"P{n:0{digits}d}", label, data) for n, (label, data) in enumerate(packs.items(), 1)]
    _one_currency(bought)
    terms = agreed(bought, notes)
    parts = {b: p for project in bought for b, p in project.parts.items()}
    copies = {b: project.copies for project in bought for b in project.parts}
    plan = _cut(parts, copies, terms, notes)
    hardware = {b: _times(h, p.copies) for p in bought for b, h in p.hardware.items()}
    money = _costed(bought, plan, parts, hardware, terms, notes)
    alone = sum((p.alone for p in bought), Decimal("0.00"))
    found = Together(
        projects=tuple(_shared(p, money) for p in bought),
        parts=parts,
        hardware=hardware,
        cutting=plan,
        cost=money,
        alone=alone,
        sheets_alone=sum(p.sheets for p in bought),
    )
    return replace(found, says=_says(found))


def _read(mark: str, label: str, data: bytes) -> Bought:
    try:
        return read_pack(mark, label, data)
    except msgspec.MsgspecError as problem:
        raise InputError.of(
            "BW-MANY-013",
            f"the pack of {label} cannot be read: {problem}",
            Place(file=label),
            "Make that pack anew: take its folder away and run the batch again.",
        ) from problem


def _one_currency(bought: Sequence[Bought]) -> None:
    first = bought[0]
    for other in bought[1:]:
        if other.currency != first.currency:
            raise InputError.of(
                "BW-MANY-014",
                f"{first.label} counts in {first.currency}, {other.label} in {other.currency}: they cannot "
                "be bought together",
                Place(file=other.label, key="costing.currency"),
                "Give all projects one currency, with prices in it.",
            )


def _cut(
    parts: Mapping[str, BoardParts], copies: Mapping[str, int], terms: Terms, notes: Notes
) -> CuttingPlan:
    """Every part as often as its project is built; a part that is made twice is told once."""
    many = {b: replace(p, parts=p.parts * copies[b], tools=p.tools * copies[b]) for b, p in parts.items()}
    plan = cutting(many, terms.stock, terms.cutting, notes, router=terms.router, currencies=terms.currencies)
    return replace(
        plan,
        unplaced=tuple(dict.fromkeys(plan.unplaced)),
        repeats=tuple(replace(r, parts=tuple(dict.fromkeys(r.parts))) for r in plan.repeats),
    )


def _times(hardware: BoardHardware, copies: int) -> BoardHardware:
    def more(line: HardwareLine) -> HardwareLine:
        quantity = round(line.quantity * copies, 6)
        return line if copies == 1 else replace(line, quantity=quantity, why=f"{copies} × {line.why}")

    return replace(hardware, lines=tuple(map(more, hardware.lines)))


def _costed(
    bought: Sequence[Bought],
    plan: CuttingPlan,
    parts: Mapping[str, BoardParts],
    hardware: Mapping[str, BoardHardware],
    terms: Terms,
    notes: Notes,
) -> Cost:
    """The bill of all of it. Boards that are built in copies are there as often, for area and work."""
    boards: dict[str, Board] = {}
    made: dict[str, BoardParts] = {}
    base: dict[str, str] = {}
    for project in bought:
        for n in range(project.copies):
            for b, board in project.boards.items():
                name = b if not n else f"{b} copy {n + 1}"
                base[name] = b
                boards[name] = replace(board, id=name)
                made[name] = replace(parts[b], board=name)
    money = cost(
        plan,
        hardware,
        boards,
        terms.stock,
        terms.costing,
        notes,
        parts=made,
        currencies=terms.currencies,
    )
    shares: dict[str, Decimal] = {}
    for share in money.by_board:
        shares[base[share.of]] = shares.get(base[share.of], Decimal("0.00")) + share.amount
    by_board = tuple(CostShare(of=b, amount=amount) for b, amount in sorted(shares.items()))
    return replace(money, by_board=by_board)


def _shared(project: Bought, money: Cost) -> SharedProject:
    share = sum((s.amount for s in money.by_board if s.of in project.parts), Decimal("0.00"))
    return SharedProject(
        mark=project.mark,
        label=project.label,
        name=project.name,
        copies=project.copies,
        boards=len(project.parts),
        parts=sum(len(p.parts) for p in project.parts.values()),
        sheets=project.sheets,
        alone=project.alone,
        share=share,
    )


def _says(found: Together) -> tuple[str, ...]:
    total, currency = found.cost.total, found.cost.currency
    less = "less" if found.saved >= 0 else "more"
    return (
        f"Bought together: {total} {currency} and {found.cutting.sheet_count} sheets and bars. "
        f"Each by itself: {found.alone} {currency} and {found.sheets_alone}. "
        f"That is {abs(found.saved)} {currency} {less}.",
        *(f"{p.mark} {p.label}: {p.share} {currency}, by itself {p.alone}." for p in found.projects),
    )
