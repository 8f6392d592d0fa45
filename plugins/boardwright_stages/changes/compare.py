"""Two packs side by side, from their data files: what is still good, what must be made, what it costs."""

from __future__ import annotations

import math
from collections import Counter
from decimal import ROUND_HALF_UP, Decimal

import msgspec

from boardwright.errors import InputError
from boardwright.findings import Place
from boardwright.plan.model import Point
from boardwright_timber.likeness import NO_WORK, work_on
from boardwright_timber.model import Part
from boardwright_timber.model.changes import BoardFate, Changes, Fate, LegFate, PartFate

from .matching import matched
from .words import in_words

MOVED_MM = 0.05


class PastLeg(msgspec.Struct, frozen=True):
    length_mm: float


class PastBoard(msgspec.Struct, frozen=True):
    id: str
    parts: tuple[Part, ...]
    tools: tuple[Part, ...] = ()
    legs: tuple[PastLeg, ...] = ()


class PastJoint(msgspec.Struct, frozen=True):
    id: str
    start: Point
    end: Point


class PastSheet(msgspec.Struct, frozen=True):
    times: int = 1
    stock: str = ""
    material: str = ""
    thickness_mm: float = 0.0
    length_mm: float = 0.0
    width_mm: float = 0.0


class PastCutting(msgspec.Struct, frozen=True):
    sheets: tuple[PastSheet, ...] = ()
    copies: int = 1
    spare: tuple[str, ...] = ()
    made: tuple[str, ...] = ()


class PastLine(msgspec.Struct, frozen=True):
    group: str
    item: str
    price: Decimal | None = None


class PastCost(msgspec.Struct, frozen=True):
    currency: str
    total: Decimal
    complete: bool
    lines: tuple[PastLine, ...] = ()


class Past(msgspec.Struct, frozen=True):
    """What a comparison needs of a ``pack.json``; the rest is passed over."""

    boards: tuple[PastBoard, ...]
    joints: tuple[PastJoint, ...]
    cutting: PastCutting
    cost: PastCost

    @property
    def parts(self) -> list[Part]:
        return [p for b in self.boards for p in b.parts]


def read(data: bytes, what: str) -> Past:
    """A pack's data. Raises InputError when it is none."""
    try:
        return msgspec.json.decode(data, type=Past)
    except (msgspec.DecodeError, UnicodeDecodeError) as error:
        raise InputError.of(
            "BW-CHANGE-001",
            f"the data of the {what} pack cannot be read: {error}",
            Place(file="pack.json"),
            "Make that pack anew; one of an older release cannot always be compared.",
        ) from error


def compare(before: bytes, after: bytes) -> Changes:
    """What becomes of every part of two packs."""
    was, now = read(before, "earlier"), read(after, "later")
    parts = fates(was.parts, now.parts)
    joints_was, joints_now = ({j.id: j for j in p.joints} for p in (was, now))
    same_money = was.cost.currency == now.cost.currency
    changes = Changes(
        parts=parts,
        boards=_boards(parts, {b.id for b in was.boards}, {b.id for b in now.boards}),
        legs=_legs(was, now),
        joints_new=tuple(sorted(joints_now.keys() - joints_was.keys())),
        joints_gone=tuple(sorted(joints_was.keys() - joints_now.keys())),
        joints_moved=tuple(
            sorted(j for j in joints_was.keys() & joints_now.keys() if _moved(joints_was[j], joints_now[j]))
        ),
        currency=now.cost.currency,
        cost_before=was.cost.total if was.cost.complete and same_money else None,
        cost_after=now.cost.total if now.cost.complete and same_money else None,
        sheets_before=sum(s.times for s in was.cutting.sheets),
        sheets_after=sum(s.times for s in now.cutting.sheets),
        made_before=len(was.cutting.made),
        made_after=len(now.cutting.made),
        copies_before=was.cutting.copies,
        copies_after=now.cutting.copies,
        wood_lost=_lost(was, now, {p.before for p in parts if p.fate is Fate.LEFT_OVER}),
    )
    return msgspec.structs.replace(changes, lines=in_words(changes))


def fates(before: list[Part], after: list[Part]) -> tuple[PartFate, ...]:
    """Every part of both, in order of number."""
    pairs = matched(before, after)
    found = [_fate(a, b) for a, b in pairs]
    kept = {a.id for a, _ in pairs}, {b.id for _, b in pairs}
    found += [
        PartFate(fate=Fate.LEFT_OVER, before=p.id, board=p.board, area_m2=_area(p))
        for p in before
        if p.id not in kept[0]
    ]
    found += [
        PartFate(fate=Fate.REMAKE, after=p.id, board=p.board, holes=len(p.holes), area_m2=_area(p))
        for p in after
        if p.id not in kept[1]
    ]
    return tuple(sorted(found, key=lambda f: (f.after or f.before, f.before)))


def _fate(a: Part, b: Part) -> PartFate:
    work = work_on(a, b) or NO_WORK
    fate = Fate.DRILL if work != NO_WORK else Fate.SAME if a.id == b.id else Fate.RENUMBERED
    return PartFate(
        fate=fate,
        before=a.id,
        after=b.id,
        board=b.board,
        area_m2=_area(b),
        holes=work.drill,
        unused=work.unused,
    )


def _boards(parts: tuple[PartFate, ...], was: set[str], now: set[str]) -> tuple[BoardFate, ...]:
    count = Counter((p.board, p.fate) for p in parts)
    return tuple(
        BoardFate(
            board=b,
            same=count[b, Fate.SAME],
            renumbered=count[b, Fate.RENUMBERED],
            drill=count[b, Fate.DRILL],
            remake=count[b, Fate.REMAKE],
            left_over=count[b, Fate.LEFT_OVER],
            is_new=b not in was,
            is_gone=b not in now,
        )
        for b in sorted(was | now)
    )


def _legs(was: Past, now: Past) -> tuple[LegFate, ...]:
    """Boards that are in both packs and stand on other legs, by name."""
    before, after = (
        {b.id: tuple(sorted(leg.length_mm for leg in b.legs)) for b in pack.boards} for pack in (was, now)
    )
    return tuple(
        LegFate(board=b, before_mm=before[b], after_mm=after[b])
        for b in sorted(before.keys() & after.keys())
        if before[b] != after[b]
    )


def _lost(was: Past, now: Past, left_over: set[str]) -> Decimal | None:
    """What the blanks of these parts are worth, of all copies: by area, at the price of the cheapest such
    sheet or bar that either pack cuts (parts that are made lie on none)."""
    rates: dict[tuple[str, float], float] = {}
    for pack in (was, now):
        price = {line.item: line.price for line in pack.cost.lines if line.group in ("sheets", "bars")}
        for sheet in pack.cutting.sheets:
            each = price.get(sheet.stock)
            if each is not None and pack.cost.currency == now.cost.currency:
                kind = (sheet.material, sheet.thickness_mm)
                rate = float(each) / (sheet.length_mm * sheet.width_mm)
                rates[kind] = min(rate, rates.get(kind, rate))
    lost = 0.0
    spare = Counter(was.cutting.spare)
    for part in (p for p in was.parts if p.id in left_over):
        if (part.material, part.thickness_mm) not in rates:
            return None
        pieces = was.cutting.copies + spare[part.id]
        lost += pieces * rates[part.material, part.thickness_mm] * part.length_mm * part.width_mm
    return Decimal(repr(round(lost, 6))).quantize(Decimal("0.01"), ROUND_HALF_UP)


def _moved(a: PastJoint, b: PastJoint) -> bool:
    return max(math.dist(a.start, b.start), math.dist(a.end, b.end)) > MOVED_MM


def _area(part: Part) -> float:
    return round(part.length_mm * part.width_mm / 1e6, 6)
