"""`boardwright why`: what would run, or what the last pack did anew, and why; nothing is run."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from ..engine.reasons import Reason


def add(commands: Any) -> None:
    p = commands.add_parser(
        "why",
        help="say what would run and why",
        description="Say which stages would run now, for which boards, and why; or, with --last, what "
        "the last pack did anew. Nothing is run.",
    )
    p.add_argument(
        "stage", nargs="?", metavar="STAGE[@BOARD]", help="only this stage, or this stage of one board"
    )
    p.add_argument(
        "layout", nargs="?", type=Path, default=Path("layout.toml"), help="project file (layout.toml)"
    )
    p.add_argument(
        "--last",
        action="store_true",
        help="what changed between the last two packs, and what was made again; with a stage, in figures",
    )
    p.add_argument("--parts", action="store_true", help="also show the parts of the key, for a developer")
    p.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    from msgspec.structs import replace

    from ..engine.history import last_changes
    from ..engine.why import Foresight
    from ..errors import BoardwrightError
    from ..packing import opened_store, prepare, shown
    from .telling import plain, stage_and_project, tell_end, tell_findings, tell_unknown, terminal_width

    wanted, project_file = stage_and_project(options.stage, options.layout)
    try:
        with opened_store(project_file) as store:
            ready = prepare(project_file, store, lambda _: None, Foresight)
            reasons = ready.run.look()
            parts_made = (*ready.catalogue.stages, *ready.catalogue.outputs)
            none, first = not store.last_walk(), not store.walk_before()
            if options.last:
                reasons = last_changes(parts_made, store)
    except BoardwrightError as error:
        tell_findings([shown(f) for f in error.findings])
        return error.exit_status
    stage, _, board = (wanted or "").partition("@")
    names = {s.name for s in (parts_made if options.last else ready.catalogue.stages)}
    if stage and stage not in names:
        tell_unknown("stage", stage, names)
        return 2
    if board and board not in (boards := ready.run.boards):
        tell_unknown("board", board, boards)
        return 2
    prose = ready.display.prose
    told = [
        replace(r, says=tuple(map(prose, r.says)), roots=tuple(map(prose, r.roots)))
        for r in reasons
        if (not stage or r.stage == stage) and (not board or r.item == board)
    ]
    whole = not (stage or options.parts)
    if none and whole:
        tell_end("There is no pack here yet: everything would be made for the first time.")
        return 0
    if options.last and first:
        tell_end("There has been one pack here: everything was made for the first time.")
    elif not told:
        print("The last two packs do not differ in this." if options.last else "Nothing would run.")
    if options.last and whole:
        shown_lines = in_short(told, terminal_width())
    elif whole:
        waiting = [r for r in told if r.waits]
        shown_lines = lines([r for r in told if not r.waits], terminal_width())
        shown_lines += in_turn(waiting, terminal_width())
    else:
        did = "made again" if options.last else "would run"
        shown_lines = lines(told, terminal_width(), options.parts, did)
    for line in shown_lines:
        print(plain(line))
    return 0


def in_short(reasons: Sequence[Reason], width: int) -> list[str]:
    """What changed outside, and in one line a board what was made again; empty for no reasons."""
    from .telling import wrapped

    if not reasons:
        return []
    roots = dict.fromkeys(root for r in reasons for root in r.roots)
    out = ["Changed since the pack before:"]
    for root in roots or ("nothing of yours: a stored result was damaged or tidied away",):
        out += wrapped(f"- {root}", width, "  ", "    ")
    out.append("Made again because of it:")
    out += _by_board(reasons, width)
    return [*out, *wrapped("The figures behind one of them: boardwright why --last STAGE[@BOARD]", width)]


def in_turn(waiting: Sequence[Reason], width: int) -> list[str]:
    """In one line a board, what runs only if what it reads comes out otherwise; boards alike together."""
    from .telling import wrapped

    if not waiting:
        return []
    then = "After it, where what it made is not as before, what reads that runs in turn, and so on; at most:"
    after = "What one of them waits for: boardwright why STAGE[@BOARD]"
    return [*wrapped(then, width), *_by_board(waiting, width), *wrapped(after, width)]


def _by_board(reasons: Sequence[Reason], width: int) -> list[str]:
    """Boards and what was, or may be, made for them; boards with the same list in one line."""
    from .telling import wrapped

    by_item: dict[str, list[str]] = {}
    for r in reasons:
        gone = r.says == (f"board {r.item} is gone",)
        by_item.setdefault(r.item, []).append("gone" if gone else r.stage.replace("_", " "))
    alike: dict[tuple[str, ...], list[str]] = {}
    for item, stages in sorted(by_item.items()):
        alike.setdefault(tuple(stages), []).append(item)
    out = []
    for made, items in alike.items():
        of = f"board{'s' if len(items) > 1 else ''} {', '.join(items)}" if items[0] else "the whole layout"
        out += wrapped(f"{of}: {', '.join(made)}", width, "  ", "    ")
    return out


def lines(
    reasons: Sequence[Reason], width: int, with_parts: bool = False, did: str = "would run"
) -> list[str]:
    """Reasons in words, boards with the same reason together; a reason told before is pointed at."""
    from .telling import wrapped

    groups: dict[tuple[Any, ...], list[Reason]] = {}
    for r in reasons:
        groups.setdefault((r.stage, r.waits, r.says, r.roots), []).append(r)
    out: list[str] = []
    told: set[str] = set()
    for (stage, waits, says, roots), same in groups.items():
        of = " of " + ", ".join(r.item for r in same) if same[0].item else ""
        text = f"{stage}{of} may run, {says[0]}" if waits else f"{stage}{of} {did}"
        because = roots if waits else says
        fresh = [b for b in because if b not in told]
        told.update(because)
        if not fresh:
            out += wrapped(text + (" (reasons above)" if waits else ": reasons above"), width, "", "    ")
        elif len(because) == 1:
            out += wrapped(f"{text}: {because[0]}", width, "", "    ")
        else:
            out += wrapped(text + ":", width, "", "    ")
            for b in fresh:
                out += wrapped("- " + b, width, "  ", "    ")
            if len(fresh) < len(because):
                out.append("  - and reasons above")
        if with_parts:
            for r in same:
                of_item = f"{r.item} " if r.item else ""
                out += [f"    {of_item}{name}: {old} → {new}" for name, old, new in r.parts]
    return out
