"""Wire, plugs and terminal strips of one board, counted from the wire schedule.

Claim: the metres of every size and colour over all boards are those of the schedule's legs. A plug is counted
by the first of its joint's boards; of one at a module's end, half a pair. One terminal for every core that
starts at a device of this board.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from boardwright import All, stage
from boardwright_timber.model import Board, HardwareLine, WireHardware, WireKind, WireSchedule

STRIP_WAYS = 12  # common practice, no source: strips are sold with twelve ways


@stage()
def wire_hardware(boards: All[Board], wires: WireSchedule = WireSchedule()) -> All[WireHardware]:
    """For the whole layout at once: the schedule is long, and each board needs a few lines of it."""
    return {name: WireHardware(lines=tuple(wire_lines(board, wires))) for name, board in boards.items()}


def wire_lines(board: Board, wires: WireSchedule) -> Iterator[HardwareLine]:
    """Wire by size, thinnest first, and colour; then plugs, then terminal strips."""
    pieces: dict[tuple[float, str, str], list[float]] = {}
    labels: dict[tuple[float, str, str], list[str]] = {}
    for run in wires.runs:
        for leg in run.legs:
            if leg.board == board.id:
                for colour in run.colours:
                    key = (run.area_mm2, run.size, colour)
                    pieces.setdefault(key, []).append(leg.length_mm)
                    labels.setdefault(key, []).append(run.label.split()[0])
    for key in sorted(pieces):
        _, size, colour = key
        item = f"wire-{size.removesuffix(' mm²').replace(' ', '')}"
        number = len(pieces[key])
        yield HardwareLine(
            item=f"{item}-{colour}",
            says=f"Flexible wire {size}, one core, {colour}",
            quantity=round(sum(pieces[key]) / 1000, 3),
            unit="m",
            why=f"{number} piece{'s' if number > 1 else ''} of {', '.join(dict.fromkeys(labels[key]))}, "
            f"the longest {max(pieces[key]):.0f} mm",
            priced_as=item,
        )
    own = [p for p in wires.plugs if p.boards[0] == board.id]
    for ways in sorted({p.ways for p in own}):
        ids = [p.id for p in own if p.ways == ways]
        yield HardwareLine(
            item=f"plug-{ways}",
            says=f"Plug and socket, {ways} ways, polarised",
            quantity=sum(not p.half for p in own if p.ways == ways)
            + math.ceil(sum(bool(p.half) for p in own if p.ways == ways) / 2),
            unit="pair",
            why=f"plugs {', '.join(ids)}",
        )
    here = [r for r in wires.runs if r.kind is not WireKind.DROPPER and r.legs[:1]]
    cores = sum(r.cores for r in here if r.legs[0].board == board.id)
    if cores:
        yield HardwareLine(
            item=f"terminal-strip-{STRIP_WAYS}",
            says=f"Terminal strip, {STRIP_WAYS} ways",
            quantity=math.ceil(cores / STRIP_WAYS),
            unit="piece",
            why=f"{cores} cores start on this board",
        )
