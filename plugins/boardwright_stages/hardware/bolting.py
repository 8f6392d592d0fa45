"""Bolts, nuts, washers, catches and dowels of a board's own joints.

Bolt length = wood gripped + washers + nut + one pitch, next preferred length up (DIN 603, ISO 4032, DIN 440
or ISO 7089). A cup-head bolt has no washer under its head: the head and square neck bear on the wood. A hex
bolt has one at each end; a tee nut lies in the wood and has none.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from boardwright import Notes, Place
from boardwright_timber.model import Board, Fixing, FixingKind, Frame, HardwareLine, MemberRole
from boardwright_timber.reference import CUP_HEAD_BOLTS, BoltChoice

from .lengths import CUP, bolt_length, known_sizes, washers_at
from .settings import HardwareSettings


def joint_lines(
    board: Board, frame: Frame, fixings: Sequence[Fixing], settings: HardwareSettings, notes: Notes
) -> Iterator[HardwareLine]:
    """Lines for the fixings of the joints this board counts."""
    bolts = [f for f in fixings if f.kind is FixingKind.BOLT]
    chosen: Counter[tuple[str, str, float]] = Counter()
    reasons: dict[tuple[str, str, float], str] = {}
    reach: dict[tuple[str, str, float], float] = {}
    nuts: Counter[tuple[str, str]] = Counter()
    washers: Counter[str] = Counter()
    for (fastener, nut, size, grip), number in sorted(
        Counter((f.fastener or CUP, f.nut or "hex nut", f.size, f.grip_mm) for f in bolts).items()
    ):
        choice = _choose(board, fastener, nut, size, grip, settings, notes)
        if choice is None:
            continue
        _check(board, frame, fastener, choice, notes)
        key = (fastener, size, choice.length_mm)
        chosen[key] += number
        reasons[key] = (
            f"{grip:g} wood + {choice.stack_up_mm - grip:g} {_beyond(fastener, nut)} = "
            f"{choice.stack_up_mm:g}, next length {choice.length_mm:g}"
        )
        spare = max(choice.nut_starts_mm - choice.thread_starts_mm, 0.0)  # until a nut meets no thread
        reach[key] = min(reach.get(key, spare), spare)
        nuts[nut, size] += number
        washers[size] += number * washers_at(fastener, nut)
    grades = sorted({f.grade for f in bolts if f.grade})
    grade = f", grade {' and '.join(grades)} or better" if grades else ""
    for (fastener, size, length), number in sorted(chosen.items()):
        cup = fastener == CUP
        yield HardwareLine(
            item=f"{'' if cup else 'hex-'}bolt-{size}x{length:g}",
            says=f"Cup-head square-neck bolt {size} × {length:g}{grade} (DIN 603)"
            if cup
            else f"Hex bolt {size} × {length:g}{grade}, threaded to its head (ISO 4017)",
            quantity=number,
            unit="piece",
            why=f"{_joints(bolts)}: {reasons[fastener, size, length]}",
            at_most_mm=round(length + reach[fastener, size, length], 6),
        )
    for (nut, size), number in sorted(nuts.items()):
        item, says = NUT_WORDS[nut]
        why = f"one for each {size} bolt"
        yield HardwareLine(
            item=f"{item}-{size}", says=says.format(size=size), quantity=number, unit="piece", why=why
        )
    for size, number in sorted((s, n) for s, n in washers.items() if n):
        timber = settings.washer == "timber"
        yield HardwareLine(
            item=f"{'timber-' if timber else ''}washer-{size}",
            says=f"Timber washer {size} (DIN 440)" if timber else f"Plain washer {size} (ISO 7089)",
            quantity=number,
            unit="piece",
            why="one under each nut"
            if number == sum(n for (_, s, _), n in chosen.items() if s == size)
            else "one under each nut and each hex head",
        )
    catches = [f for f in fixings if f.kind is FixingKind.CATCH]
    if catches:
        yield HardwareLine(
            item="toggle-catch",
            says="Toggle-type catch with its hook and screws no longer than the sides are thick",
            quantity=len(catches),
            unit="piece",
            why=f"{_joints(catches)}, one at each end",
        )
    dowels = [f for f in fixings if f.kind is FixingKind.DOWEL]
    for size, number in sorted(Counter(f.size for f in dowels).items()):
        yield HardwareLine(
            item=f"dowel-{size}",
            says=f"Pattern-maker's dowel {size} mm, plug and socket",
            quantity=number,
            unit="pair",
            why=_joints(dowels),
        )


NUT_WORDS = {
    "hex nut": ("nut", "Nut {size} (ISO 4032)"),
    "wing nut": ("wing-nut", "Wing nut {size} (DIN 315)"),
    "tee nut": ("tee-nut", "Tee nut {size}, spiked"),
}


def _joints(fixings: Sequence[Fixing]) -> str:
    """The joints these belong to, in words: joint J01; joints J01, J02."""
    names = sorted({f.joint for f in fixings})
    return f"joint{'s' * (len(names) > 1)} {', '.join(names)}"


def _beyond(fastener: str, nut: str) -> str:
    """What a bolt's length holds besides wood, in words."""
    number = washers_at(fastener, nut)
    held = {0: "", 1: "washer, ", 2: "two washers, "}[number]
    return f"{held}nut and one pitch" if nut != "tee nut" else f"{held.removesuffix(', ')} and one pitch"


def _choose(
    board: Board, fastener: str, nut: str, size: str, grip_mm: float, settings: HardwareSettings, notes: Notes
) -> BoltChoice | None:
    known = known_sizes(fastener, settings)
    if size not in known:
        notes.caution(
            "BW-HARD-001",
            f"No {fastener.replace('cup', 'cup-head')} {size} is tabulated: the bolts of board {board.id} "
            "are left out of the list.",
            Place(board=board.id),
            f"Choose joints.bolt_size from {', '.join(known)}, or buy them by hand.",
        )
        return None
    try:
        return bolt_length(fastener, nut, size, grip_mm, settings)
    except ValueError as error:
        notes.caution(
            "BW-HARD-002",
            f"Board {board.id}: {error}; these bolts are left out of the list.",
            Place(board=board.id),
            "Make the ends thinner, or use threaded rod with a nut at each end.",
        )
        return None


def _check(board: Board, frame: Frame, fastener: str, choice: BoltChoice, notes: Notes) -> None:
    neck = CUP_HEAD_BOLTS[choice.size].neck_max_mm if fastener == CUP else 0.0
    ends = [m.thickness_mm for m in frame.members if m.role is MemberRole.END]
    if ends and min(ends) < neck:
        notes.caution(
            "BW-HARD-003",
            f"Board {board.id}: the square neck of an {choice.size} bolt ({neck:g} mm) is longer than "
            f"its end is thick ({min(ends):g} mm).",
            Place(board=board.id),
            "Glue a block behind the end, choose a smaller bolt, or make the ends thicker.",
        )
    if not choice.nut_runs_up:
        notes.caution(
            "BW-HARD-004",
            f"Board {board.id}: the thread of a {choice.size} × {choice.length_mm:g} bolt starts "
            f"{choice.thread_starts_mm:g} mm from its head; the nut must reach {choice.nut_starts_mm:g} mm.",
            Place(board=board.id),
            "Put more washers under the nut, or use a bolt threaded to its head.",
        )
