"""Bolts, nuts, washers and dowels of a board's own joints.

Bolt length = wood gripped + washer + nut + one pitch, next preferred length up (DIN 603, ISO 4032, DIN 440 or
ISO 7089). A cup-head bolt has no washer under its head: the head and square neck bear on the wood.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from boardwright import Notes, Place
from boardwright_timber.model import Board, Fixing, FixingKind, Frame, HardwareLine, MemberRole
from boardwright_timber.reference import (
    CUP_HEAD_BOLTS,
    PLAIN_WASHERS,
    TIMBER_WASHERS,
    BoltChoice,
    bolt_for,
)

from .settings import HardwareSettings


def joint_lines(
    board: Board, frame: Frame, fixings: Sequence[Fixing], settings: HardwareSettings, notes: Notes
) -> Iterator[HardwareLine]:
    """Lines for the fixings of the joints this board counts."""
    bolts = [f for f in fixings if f.kind is FixingKind.BOLT]
    chosen: Counter[tuple[str, float]] = Counter()
    reasons: dict[tuple[str, float], str] = {}
    sizes: Counter[str] = Counter()
    for (size, grip), number in sorted(Counter((f.size, f.grip_mm) for f in bolts).items()):
        choice = _choose(board, size, grip, settings, notes)
        if choice is None:
            continue
        _check(board, frame, choice, notes)
        chosen[size, choice.length_mm] += number
        reasons[size, choice.length_mm] = (
            f"{grip:g} wood + {choice.stack_up_mm - grip:g} washer, nut and one pitch = "
            f"{choice.stack_up_mm:g}, next length {choice.length_mm:g}"
        )
        sizes[size] += number
    joints = ", ".join(sorted({f.joint for f in bolts}))
    for (size, length), number in sorted(chosen.items()):
        yield HardwareLine(
            item=f"bolt-{size}x{length:g}",
            says=f"Cup-head square-neck bolt {size} × {length:g} (DIN 603)",
            quantity=number,
            unit="piece",
            why=f"joints {joints}: {reasons[size, length]}",
        )
    for size, number in sorted(sizes.items()):
        why = f"one for each {size} bolt"
        timber = settings.washer == "timber"
        yield HardwareLine(
            item=f"nut-{size}", says=f"Nut {size} (ISO 4032)", quantity=number, unit="piece", why=why
        )
        yield HardwareLine(
            item=f"{'timber-' if timber else ''}washer-{size}",
            says=f"Timber washer {size} (DIN 440)" if timber else f"Plain washer {size} (ISO 7089)",
            quantity=number,
            unit="piece",
            why=f"{why}, under its nut",
        )
    dowels = [f for f in fixings if f.kind is FixingKind.DOWEL]
    for size, number in sorted(Counter(f.size for f in dowels).items()):
        yield HardwareLine(
            item=f"dowel-{size}",
            says=f"Pattern-maker's dowel {size} mm, plug and socket",
            quantity=number,
            unit="pair",
            why=f"joints {', '.join(sorted({f.joint for f in dowels}))}",
        )


def _choose(
    board: Board, size: str, grip_mm: float, settings: HardwareSettings, notes: Notes
) -> BoltChoice | None:
    table = TIMBER_WASHERS if settings.washer == "timber" else PLAIN_WASHERS
    known = [s for s in CUP_HEAD_BOLTS if s in table]
    if size not in known:
        notes.caution(
            "BW-HARD-001",
            f"No cup-head bolt {size} is tabulated: the bolts of board {board.id} are left out of the list.",
            Place(board=board.id),
            f"Choose joints.bolt_size from {', '.join(known)}, or buy them by hand.",
        )
        return None
    try:
        return bolt_for(size, grip_mm, (table[size],))
    except ValueError as error:
        notes.caution(
            "BW-HARD-002",
            f"Board {board.id}: {error}; these bolts are left out of the list.",
            Place(board=board.id),
            "Make the ends thinner, or use threaded rod with a nut at each end.",
        )
        return None


def _check(board: Board, frame: Frame, choice: BoltChoice, notes: Notes) -> None:
    neck = CUP_HEAD_BOLTS[choice.size].neck_max_mm
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
