"""Made parts against the parts of the plan: which serve as which, and what to say of the rest."""

from __future__ import annotations

from collections.abc import Mapping

from boardwright import Notes, Place
from boardwright_timber.likeness import NO_WORK, work_on
from boardwright_timber.model import BoardParts, Part
from boardwright_timber.model.made import MadeParts, MadeRecord, Serving

from ..changes.matching import matched
from ..nesting.settings import StockSettings


def serving(
    record: MadeRecord,
    parts: Mapping[str, BoardParts],
    stock: StockSettings,
    currency: str,
    file: str,
    notes: Notes,
) -> MadeParts:
    """Match made parts with the plan's; a finding for each that must be worked on or serves no more."""
    planned = {p.id: p for name in sorted(parts) for p in parts[name].parts}
    pairs = {a.id: b for a, b in matched(record.parts, planned.values())}
    served, wasted = [], []
    for made in sorted(record.parts, key=lambda p: p.id):
        new = pairs.get(made.id)
        if new is None:
            wasted.append(made.id)
            _tell_wasted(made, planned.get(made.id), stock, currency, file, notes)
            continue
        work = work_on(made, new) or NO_WORK
        served.append(Serving(made=made.id, part=new.id, drill=work.drill, unused=work.unused))
        if work != NO_WORK or made.id != new.id:
            _tell_work(made, new, served[-1], file, notes)
    if served:
        notes.note(
            "BW-MADE-003",
            f"{len(served)} of {len(planned)} parts are made: they are on no sheet and in no cost.",
            Place(file=file),
            "Nothing to do. What is not made after all: boardwright made --undo PART.",
        )
    return MadeParts(serving=tuple(served), wasted=tuple(wasted))


def _tell_wasted(
    made: Part, now: Part | None, stock: StockSettings, currency: str, file: str, notes: Notes
) -> None:
    why = differs(made, now) if now else "the plan has no part of that number, and none it could serve as"
    worth = _worth(made, stock)
    cost = f"; the wood is worth about {worth:.2f} {currency}" if worth is not None else ""
    notes.caution(
        "BW-MADE-001",
        f"{made.id} is made and no longer fits the plan: {why}{cost}.",
        Place(file=file, board=made.board, item=made.id),
        "Take the change back if the part is worth more to you; else make it anew and say "
        f"boardwright made --undo {made.id}.",
    )


def _tell_work(made: Part, new: Part, how: Serving, file: str, notes: Notes) -> None:
    bits = [f"it is {new.id} now, so write that on it"] if made.id != new.id else []
    bits += [f"drill {_holes(how.drill)} more"] if how.drill else []
    bits += [f"leave {_holes(how.unused)} unused"] if how.unused else []
    notes.caution(
        "BW-MADE-002",
        f"{made.id} is made and can stay: {'; '.join(bits)}.",
        Place(file=file, board=new.board, item=new.id),
        f"Compare it with the drilling list of {new.id}, then say boardwright made {new.id}"
        + (f" and boardwright made --undo {made.id}." if made.id != new.id else "."),
    )


def differs(made: Part, now: Part) -> str:
    """What keeps a made part from being the part of its number."""
    if made.material != now.material:
        return f"it is of {made.material}, now {now.material}"
    told = (("thickness", "thickness_mm"), ("length", "length_mm"), ("width", "width_mm"))
    for word, field in told:
        was, is_ = getattr(made, field), getattr(now, field)
        if abs(was - is_) > 0.05:
            return f"its {word} is {was:.1f} mm, now {is_:.1f} mm"
    if (made.left_bevel_deg, made.right_bevel_deg) != (now.left_bevel_deg, now.right_bevel_deg):
        return "its ends are bevelled otherwise"
    if abs(made.top_tilt_deg - now.top_tilt_deg) > 0.05:
        return "its top is bevelled otherwise"
    if len(made.openings) != len(now.openings):
        return f"it has {len(made.openings)} openings, now {len(now.openings)}"
    if work_on(_undrilled(made), _undrilled(now)) is None:
        return "its profile is another"
    return "a new hole comes too near one that is there"


def _undrilled(part: Part) -> Part:
    from msgspec.structs import replace

    return replace(part, holes=())


def _worth(part: Part, stock: StockSettings) -> float | None:
    """Price of a part's blank by the cheapest square metre of its kind in stock; None: no price is known."""
    rates = [
        float(s.price) / (s.length_mm * s.width_mm)
        for s in stock.sheets
        if s.price is not None
        and s.material == part.material
        and abs(s.thickness_mm - part.thickness_mm) < 0.01
    ]
    return min(rates) * part.length_mm * part.width_mm if rates else None


def _holes(n: int) -> str:
    return "1 hole" if n == 1 else f"{n} holes"
