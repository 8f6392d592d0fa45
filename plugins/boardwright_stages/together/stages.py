"""One purchase and one cutting plan: all parts of all projects from shared stock, boxes rounded up once.

Claim: every part of every pack is cut as often as its own pack has it cut, by the machinery that cuts one
project; hardware is added up before it is rounded to boxes; the total is shared out to the cent, a sheet
borne by the parts on it. The parts are those of the packs: nothing is designed anew.

Glossary
    mark   P1, P2 …: a project in the names of its boards and parts; M1, M2 …: a kind of module of a series
    tool   a drill jig: one is cut however many copies it drills; in a series one serves all that are alike

What this does not know: when each project is built, and who drives to the merchant.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal

import msgspec
from msgspec.structs import replace

from boardwright import Notes, Place
from boardwright.errors import InputError
from boardwright.many.model import Series
from boardwright_timber.likeness import shape
from boardwright_timber.model import (
    Board,
    BoardHardware,
    BoardParts,
    Cost,
    CostShare,
    CuttingPlan,
    EndPattern,
    HardwareLine,
)
from boardwright_timber.model.together import SeriesCopy, SeriesResult, SharedProject, Together

from ..costing.stages import cost
from ..nesting.repeats import spare_ends
from ..nesting.stages import cutting
from .mating import proved
from .packs import Bought, read_pack
from .terms import Terms, agreed


def buy_together(packs: Mapping[str, bytes], notes: Notes, series: Series | None = None) -> Together:
    """From the packs' data; of a ``series`` its ends are proved besides. Raises InputError when one cannot be
    read or they are in several currencies."""
    digits = len(str(len(packs)))
    kind = "M" if series else "P"
    bought = [_read(f"{kind}{n:0{digits}d}", label, data) for n, (label, data) in enumerate(packs.items(), 1)]
    _one_currency(bought)
    terms = agreed(bought, notes)
    parts = {b: p for project in bought for b, p in project.parts.items()}
    jigs = sum(len(p.tools) for p in parts.values())
    if series:
        parts = each_jig_once(parts)
    copies = {b: project.copies for project in bought for b in project.parts}
    spare = spare_of(bought, parts, series)
    plan = _cut(parts, copies, spare, terms, notes)
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
    if series:
        tools = tuple(t.id for p in parts.values() for t in p.tools)
        found = replace(
            found,
            series=SeriesResult(
                name=series.name,
                copies=numbered(series, found.projects),
                ends=proved(bought, series.mate, notes),
                spare=spare,
                jigs=tools,
                jigs_saved=jigs - len(tools),
            ),
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
    parts: Mapping[str, BoardParts],
    copies: Mapping[str, int],
    spare: Sequence[str],
    terms: Terms,
    notes: Notes,
) -> CuttingPlan:
    """Every part as often as its project is built, the spare ones besides, tools once; a part that is made
    twice is told once."""
    more = Counter(spare)
    many = {
        b: replace(p, parts=tuple(one for one in p.parts for _ in range(copies[b] + more[one.id])))
        for b, p in parts.items()
    }
    plan = cutting(many, terms.stock, terms.cutting, notes, router=terms.router, currencies=terms.currencies)
    return replace(
        plan,
        spare=tuple(spare),
        unplaced=tuple(dict.fromkeys(plan.unplaced)),
        repeats=tuple(replace(r, parts=tuple(dict.fromkeys(r.parts))) for r in plan.repeats),
    )


def each_jig_once(parts: Mapping[str, BoardParts]) -> dict[str, BoardParts]:
    """Of drill jigs that are the same piece of wood, the first alone."""
    seen: set[object] = set()
    found = {}
    for board, own in parts.items():
        kept = []
        for tool in own.tools:
            if shape(tool) not in seen:
                seen.add(shape(tool))
                kept.append(tool)
        found[board] = replace(own, tools=tuple(kept))
    return found


def spare_of(
    bought: Sequence[Bought], parts: Mapping[str, BoardParts], series: Series | None
) -> tuple[str, ...]:
    """Names of parts that are cut besides: of a series, spare end plates of each kind that there is in it."""
    if series is None:
        return tuple(part for project in bought for part in project.spare)
    ends = tuple(e.id for project in bought for b in project.boards.values() for e in b.ends)
    return spare_ends(parts, EndPattern(ends=ends)) * series.spare_ends


def numbered(series: Series, projects: Sequence[SharedProject]) -> tuple[SeriesCopy, ...]:
    """Every copy with its number and its share of the cost, which add up to the whole to the cent."""
    first = {m.name: m.first for m in series.modules}
    found = []
    for project in projects:
        cents, over = divmod(int(project.share * 100), project.copies)
        for n in range(project.copies):
            cost_ = Decimal(cents + (n < over)) / 100
            found.append(
                SeriesCopy(
                    number=first[project.label] + n,
                    module=project.label,
                    mark=project.mark,
                    cost=cost_.quantize(Decimal("0.01")),
                )
            )
    return tuple(found)


def _times(hardware: BoardHardware, copies: int) -> BoardHardware:
    def more(line: HardwareLine) -> HardwareLine:
        if copies == 1:
            return line
        quantity, pieces = round(line.quantity * copies, 6), line.pieces_mm * copies
        return replace(line, quantity=quantity, pieces_mm=pieces, why=f"{copies} × {line.why}")

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
        saw=terms.cutting,
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
        *(_of_series(found.series, found.projects, currency) if found.series else ()),
    )


def _of_series(series: SeriesResult, projects: Sequence[SharedProject], currency: str) -> Iterator[str]:
    for project in projects:
        own = [c for c in series.copies if c.mark == project.mark]
        yield (
            f"{project.label}: numbers {own[0].number} to {own[-1].number}, {own[0].cost} {currency} each."
            if len(own) > 1
            else f"{project.label}: number {own[0].number}, {own[0].cost} {currency}."
        )
    bad = sum(not met.mates for met in series.ends)
    yield (
        f"{bad} of {len(series.ends)} pairs of ends do not mate."
        if bad
        else f"All {len(series.ends)} pairs of ends mate."
    )
    if series.jigs:
        jigs = "1 drill jig serves" if len(series.jigs) == 1 else f"{len(series.jigs)} drill jigs serve"
        again = f"; {series.jigs_saved} more of the same would be cut by the single packs"
        yield f"{jigs} all{again if series.jigs_saved else ''}."
    if series.spare:
        times = {name: series.spare.count(name) for name in series.spare}
        yield f"Spare end plates: {', '.join(f'{n} × {name}' for name, n in times.items())}."
