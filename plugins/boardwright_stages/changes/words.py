"""A comparison in words, for the terminal."""

from __future__ import annotations

from collections.abc import Sequence

from boardwright_timber.model.changes import BoardFate, Changes, Fate, PartFate

MANY = 12  # so many part numbers are named in one line


def in_words(c: Changes) -> tuple[str, ...]:
    """Line by line: parts, boards, legs, joints, sheets, money."""
    return (*_copies(c), *_parts(c), *_boards(c), *_legs(c), *_joints(c), *_money(c))


def _copies(c: Changes) -> list[str]:
    if c.copies_before == c.copies_after == 1:
        return []
    times = f"{c.copies_after}"
    if c.copies_before != c.copies_after:
        times = f"{c.copies_before} before, {c.copies_after} now"
    return [f"Copies: {times}. Parts and legs are told for one copy; wood lost, sheets and money for all."]


def _parts(c: Changes) -> list[str]:
    make, drill = c.of(Fate.REMAKE), c.of(Fate.DRILL)
    other, gone = c.of(Fate.RENUMBERED), c.of(Fate.LEFT_OVER)
    same = len(c.of(Fate.SAME))
    lines = [f"{_count(same, 'part')} as {'it was' if same == 1 else 'they were'}."]
    if other:
        named = _named([f"{p.before} is now {p.after}" for p in other])
        lines.append(f"{_count(len(other), 'part')} the same with another number: {named}.")
    if drill:
        named = _named([f"{_pair(p)}: {_holes(p)}" for p in drill])
        lines.append(f"{_count(len(drill), 'part')} usable with other holes: {named}.")
    replaced = {p.before for p in gone} & {p.after for p in make}
    again = [p for p in make if p.after in replaced]
    new = [p for p in make if p.after not in replaced]
    left = [p.before for p in gone if p.before not in replaced]
    if again:
        lines.append(f"{_made(again)} anew, for the old no longer fits: {_named([p.after for p in again])}.")
    if new:
        lines.append(f"{_made(new)}: {_named([p.after for p in new])}.")
    if left:
        lines.append(f"{_count(len(left), 'part')} no longer needed: {_named(left)}.")
    if gone and c.wood_lost is not None:
        blanks = "its blank" if len(gone) == 1 else "their blanks"
        times = f" in each of {c.copies_before} copies" if c.copies_before > 1 else ""
        lines.append(
            f"Wood lost, if cut already: {_count(len(gone), 'part')}{times}, worth about {c.wood_lost} "
            f"{c.currency} by the area of {blanks}."
        )
    return lines


def _made(parts: Sequence[PartFate]) -> str:
    area = sum(p.area_m2 for p in parts)
    return f"{_count(len(parts), 'part')} to make ({area:.2f} m²)"


def _holes(p: PartFate) -> str:
    bits = [f"{_count(p.holes, 'hole')} to drill"] if p.holes else []
    return ", ".join(bits + ([f"{p.unused} unused"] if p.unused else []))


def _pair(p: PartFate) -> str:
    return p.after if p.before == p.after else f"{p.before}, now {p.after}"


def _boards(c: Changes) -> list[str]:
    untouched = [b.board for b in c.boards if b.untouched]
    lines = [f"Untouched: {_named(untouched)}."] if untouched else []
    renamed = _renamed(c)
    lines += [f"{old} is now called {new}; its parts are as they were." for new, old in renamed.items()]
    told = {*renamed, *renamed.values()}
    return lines + [f"{b.board}: {_board(b)}." for b in c.boards if not b.untouched and b.board not in told]


def _renamed(c: Changes) -> dict[str, str]:
    """New boards whose parts are all those, and only those, of one board that is gone: its name by theirs."""
    gone = [b.board for b in c.boards if b.is_gone and not b.left_over]
    found = {}
    for b in c.boards:
        parts = [p for p in c.parts if p.board == b.board and p.after]
        if b.is_new and parts and all(p.fate is Fate.RENUMBERED for p in parts):
            for old in gone:
                if {p.after for p in c.parts if p.before.startswith(f"{old}-")} == {p.after for p in parts}:
                    found[b.board] = old
    return found


def _board(b: BoardFate) -> str:
    bits = ["new"] if b.is_new else ["gone"] if b.is_gone else []
    bits += [f"{b.remake} to make"] if b.remake else []
    bits += [f"{b.drill} usable with other holes"] if b.drill else []
    bits += [f"{b.left_over} no longer needed"] if b.left_over else []
    kept = b.same + b.renumbered
    return ", ".join(bits + ([f"{kept} unaffected"] if kept else []))


def _legs(c: Changes) -> list[str]:
    """Boards whose legs change alike in one line."""
    alike: dict[tuple[str, str], list[str]] = {}
    for legs in c.legs:
        alike.setdefault((_lengths(legs.before_mm), _lengths(legs.after_mm)), []).append(legs.board)
    return [
        f"Legs of {_named(boards)}{' each' if len(boards) > 1 else ''}: {before} before, {after} now."
        for (before, after), boards in alike.items()
    ]


def _lengths(legs_mm: Sequence[float]) -> str:
    """So many of each length, the shortest first."""
    counted = [f"{legs_mm.count(one)} of {one:g} mm" for one in dict.fromkeys(legs_mm)]
    return ", ".join(counted) or "none"


def _joints(c: Changes) -> list[str]:
    told = (("moved", c.joints_moved), ("new", c.joints_new), ("gone", c.joints_gone))
    return [f"Joints {how}: {_named(names)}." for how, names in told if names]


def _money(c: Changes) -> list[str]:
    """Of the whole layout, or of what is left of it: a part that is made is neither cut nor paid again."""
    lines = []
    what, sheets = "The whole layout", "Sheets, if all were bought anew"
    if c.made_before or c.made_after:
        made = f"{_count(c.made_before, 'part')} before, {_count(c.made_after, 'part')} now"
        lines.append(f"What is made is not counted in sheets and money: {made}.")
        what, sheets = "The rest", "Sheets for the rest"
    if c.sheets_before != c.sheets_after:
        lines.append(f"{sheets}: {c.sheets_before} before, {c.sheets_after} now.")
    if c.cost_before is None or c.cost_after is None:
        return [*lines, "Money cannot be compared: a total is partial, or the currency changed."]
    more = c.cost_after - c.cost_before
    if not more:
        return [*lines, f"{what} costs as much as before: {c.cost_after} {c.currency}."]
    how = f"{abs(more)} {c.currency} {'more' if more > 0 else 'less'}"
    before, now = f"{c.cost_before} {c.currency} before", f"{c.cost_after} {c.currency} now"
    return [*lines, f"{what}, bought anew, costs {how}: {before}, {now}."]


def _count(n: int, what: str) -> str:
    return f"{n} {what}" if n == 1 else f"{n} {what}s"


def _named(names: Sequence[str]) -> str:
    if len(names) > MANY:
        return ", ".join(names[:MANY]) + f" and {len(names) - MANY} more"
    return ", ".join(names)
