"""Made parts against the parts of the plan: which serve as which, and what to say of the rest."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from boardwright import Notes, Place
from boardwright_timber.likeness import NO_WORK, work_on
from boardwright_timber.model import Board, BoardParts, Part
from boardwright_timber.model.made import MadeBoard, MadeParts, MadePlace, MadeRecord, Serving

from ..nesting.settings import StockSettings
from .pairing import MOVED_MM, as_built_in, paired, work_of
from .places import apart_mm, place_of


def serving(
    record: MadeRecord,
    boards: Mapping[str, Board],
    parts: Mapping[str, BoardParts],
    stock: StockSettings,
    currency: str,
    file: str,
    notes: Notes,
) -> MadeParts:
    """Match made parts with the plan's; a finding for each that must be worked on or serves no more."""
    planned = {p.id: p for name in sorted(parts) for p in parts[name].parts}
    stands = {
        p.id: place_of(p, boards[name].origin, boards[name].angle_deg)
        for name in sorted(parts)
        for p in parts[name].parts
    }
    pairs = paired(record, planned, stands)
    stood = {name: place for b in record.boards for name, place in b.places.items()}
    served: list[Serving] = []
    wasted: dict[tuple[str, str], list[Part]] = {}  # by board, and why
    for made in sorted(record.parts, key=lambda p: p.id):
        new = pairs.get(made.id)
        if new is None:
            wasted.setdefault((made.board, _why(made, planned.get(made.id))), []).append(made)
            continue
        work = work_of(made, new, stood, stands) or NO_WORK
        served.append(Serving(made=made.id, part=new.id, drill=work.drill, unused=work.unused))
        if work != NO_WORK or made.id != new.id:
            _tell_work(made, new, served[-1], file, notes)
    for (_, why), gone in wasted.items():
        _tell_wasted(gone, why, stock, currency, file, notes)
    for board in record.boards:
        _tell_moved(board, {p.id: p for p in record.parts}, pairs, stands, file, notes)
    if served:
        notes.note(
            "BW-MADE-003",
            f"{len(served)} of {len(planned)} parts are made: they are on no sheet and in no cost.",
            Place(file=file),
            "Nothing to do. What is not made after all: boardwright made --undo PART.",
        )
    return MadeParts(
        serving=tuple(served), wasted=tuple(sorted(p.id for gone in wasted.values() for p in gone))
    )


def _tell_moved(
    board: MadeBoard,
    made: Mapping[str, Part],
    pairs: Mapping[str, Part],
    stands: Mapping[str, MadePlace],
    file: str,
    notes: Notes,
) -> None:
    """Parts of a board that stand elsewhere in it now, or the other way round."""
    told = []
    for name, was in board.places.items():
        new = pairs.get(name)
        if new is None or new.board != board.id:
            continue
        if as_built_in(made[name], new, was, stands[new.id]) is not None:
            continue
        far = apart_mm(was, stands[new.id])
        told.append(f"{name} by {far:.0f} mm" if far > MOVED_MM else f"{name} the other way round")
    if not told:
        return
    one = len(told) == 1
    are, them = ("a made part stands", "it") if one else ("made parts stand", "them")
    (notes.caution if board.complete else notes.note)(
        "BW-MADE-005",
        f"Of board {board.id} {are} elsewhere in the plan now: {', '.join(told)}.",
        Place(file=file, board=board.id),
        f"Not glued in yet: put {them} where the drawing of {board.id} has {them} now, then say boardwright "
        f"made {board.id}. Glued in: take the change back (joists stand clear of what hangs under the deck), "
        f"or loosen {them}.",
    )


def _why(made: Part, now: Part | None) -> str:
    """Why a made part serves as none; ``now``: the plan's part of its number."""
    if now is None:
        return "the plan has no part of that number, and none it could serve as"
    if work_on(made, now) is not None:
        return "another made part serves as that of its number"
    return differs(made, now)


def _tell_wasted(
    gone: Sequence[Part], why: str, stock: StockSettings, currency: str, file: str, notes: Notes
) -> None:
    """Parts of one board that no longer fit, all for the same reason."""
    ids = [p.id for p in gone]
    worth = [_worth(p, stock) for p in gone]
    known = [w for w in worth if w is not None]
    cost = f"; the wood is worth about {sum(known):.2f} {currency}" if len(known) == len(worth) else ""
    one = len(ids) == 1
    are, each = ("is made and no longer fits", "") if one else ("are made and no longer fit", "of each, ")
    notes.caution(
        "BW-MADE-001",
        f"{', '.join(ids)} {are} the plan: {each}{why}{cost}.",
        [Place(file=file, board=p.board, item=p.id) for p in gone],
        f"Take the change back if the {'part is' if one else 'parts are'} worth more to you; else make "
        f"{'it' if one else 'them'} anew and say boardwright made --undo {' '.join(ids)}.",
    )


def _tell_work(made: Part, new: Part, how: Serving, file: str, notes: Notes) -> None:
    bits = [f"it is {new.id} now, so write that on it"] if made.id != new.id else []
    bits += [f"drill {_holes(how.drill)} more"] if how.drill else []
    bits += [f"leave {_holes(how.unused)} unused"] if how.unused else []
    notes.caution(
        "BW-MADE-002",
        f"{made.id} is made and can stay: {'; '.join(bits)}.",
        Place(file=file, board=new.board, item=new.id),
        f"Compare it with the drilling list of {new.id}, then say boardwright made {_what(made, new)}.",
    )


def _what(made: Part, new: Part) -> str:
    """What to mark anew. In one board numbers may have changed places: all of it at once, or one is lost."""
    if made.id == new.id:
        return new.id
    if made.board == new.board:
        return f"{new.board} when all of it is as drawn: its old numbers go off the list"
    return f"{new.id} and boardwright made --undo {made.id}"


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
