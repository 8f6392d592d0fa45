"""Why the joists of one board stand where they do: sentences for the builder, with the figures behind them.

Claim: each sentence is a comparison that was made, not a rule of thumb. What devices and holes changed is
told against the same board with nothing below its deck and no hole asked for.

Glossary
    limit    how far apart supports may stand along the board, and which setting or sum it comes from
    alone    the choice of joists if the frame were all there is: no device below, no hole to be made
    pushed   a joist that would stand in a device's keep-out if it stood where it stands alone

What this does not know: strength beyond the span the deck bears.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import NamedTuple

from msgspec.structs import replace

from boardwright_timber.model import LongSeam, Member

from .choose import Row, choose
from .columns import Both
from .places import Blocked, legal
from .region import Region
from .span import Spacing, row_of
from .trimming import Trimmed

TELL_MM = 1.0  # less than the width of a pencil line is no move
SEAM_MM = 1.0


class Limit(NamedTuple):
    """``rule``: the setting that asks for ``asked_mm``; ``bears_mm``: the deck's own span, None where it is
    not reckoned."""

    rule: str
    asked_mm: float
    limit_mm: float
    deck: str
    bears_mm: float | None = None


class Alone(NamedTuple):
    """The room inside the frame, what the frame takes of it, the limits of the joists, and how little one
    suits a position (None: none can stand there)."""

    region: Region
    taken: Sequence[Blocked]
    spacing: Spacing
    reluctant: Callable[[float], int | None]

    def ideal(self, row: Row) -> list[float]:
        """Where joists would stand with nothing below the deck and no hole to be made."""
        half = self.spacing.thickness_mm / 2
        free = legal(self.region.low_x + half, self.region.high_x - half, list(self.taken))
        alone = row_of(self.region, free, self.spacing, self.reluctant, known=row)
        return [alone.positions[i] for i in choose(alone)]


def told(
    limit: Limit,
    alone: Alone,
    row: Row,
    chosen: Sequence[int],
    joists: Sequence[Member],
    below: Sequence[Blocked],
    trimmed: Sequence[Trimmed],
    parted: Both,
    left_mm: float,
) -> tuple[str, ...]:
    """``joists``: as they are named, from left to right; ``below``: what devices take; ``left_mm``: the
    largest span that is left."""
    said = [limit_in_words(limit), count_in_words(len(joists), left_mm, limit.limit_mm, row)]
    if trimmed:
        said += trimmed_in_words(trimmed)
    elif len(chosen) == len(joists):
        said += _placed(alone, row, chosen, [j.id for j in joists], below)
    return (*said, *seams_in_words(parted.seams, joists), *long_seams_in_words(parted.long_seams))


def limit_in_words(limit: Limit) -> str:
    """Where the largest spacing comes from."""
    said = f"Supports of the deck at most {limit.limit_mm:.0f} mm apart"
    if limit.bears_mm is None:
        return f"{said}: {limit.rule}."
    bears = f"{limit.deck} keeps the limits of [strength] up to {limit.bears_mm:.0f} mm"
    if limit.bears_mm < limit.asked_mm and limit.limit_mm < limit.asked_mm:
        return f"{said}, not {limit.rule}, {limit.asked_mm:.0f} mm: {bears}."
    if limit.limit_mm < limit.asked_mm:
        return f"{said}: {limit.rule}, {limit.asked_mm:.0f} mm, along slanting tracks; {bears}."
    return f"{said}: {limit.rule}; {bears}."


def count_in_words(joists: int, left_mm: float, limit_mm: float, row: Row) -> str:
    """How many, and what one fewer would leave at best: the whole length in equal bays."""
    if not joists:
        return f"No joist: the frame alone leaves {left_mm:.0f} mm."
    leaves = "1 joist leaves" if joists == 1 else f"{joists} joists leave"
    fewer = (row.end - row.start) / joists
    better = f"; one fewer would leave {fewer:.0f} mm at best" if fewer > limit_mm else ""
    return f"{leaves} {left_mm:.0f} mm at most{better}."


def trimmed_in_words(opened: Iterable[Trimmed]) -> Iterator[str]:
    for each in opened:
        noggins = f"{len(each.noggins)} noggin{'s' if len(each.noggins) > 1 else ''}"
        cut = f"{', '.join(each.devices)} leave" + ("s" if len(each.devices) == 1 else "")
        yield f"{cut} no place for a whole joist: one is cut and trimmed with {noggins}."


def seams_in_words(seams: Sequence[float], joists: Iterable[Member]) -> Iterator[str]:
    """The joists that carry a seam of the deck."""
    middles = [(j.id, (j.outer_start[0] + j.inner_start[0]) / 2) for j in joists]
    over = [name for name, x in middles if any(abs(x - seam) < SEAM_MM for seam in seams)]
    if over:
        yield f"The deck is longer than a sheet: its pieces meet over {', '.join(over)}."


def long_seams_in_words(seams: Sequence[LongSeam]) -> Iterator[str]:
    """Where a deck is parted along the board."""
    if seams:
        at = ", ".join(f"{y:.0f}" for y in sorted({s.y_mm for s in seams}))
        plates = sum(len(s.plates) for s in seams)
        yield (
            f"The deck is wider than a sheet: its pieces meet along the board {at} mm from its lower edge, "
            f"on {plates} plates between the joists."
        )


def _placed(
    alone: Alone, row: Row, chosen: Sequence[int], names: Sequence[str], below: Sequence[Blocked]
) -> Iterator[str]:
    """What devices and holes have changed."""
    if not below and not any(row.reluctance) and not any(row.spoilt):
        return
    ideal, stands = alone.ideal(row), [row.positions[i] for i in chosen]
    if len(ideal) != len(stands):
        by = _in_the_way(ideal, below)
        why = f"clear of {by}" if by else "so that holes beside them can be made"
        yield f"{len(stands)}, not the {len(ideal)} that would do with nothing below the deck: {why}."
        return
    along = []
    for name, x, even in zip(names, stands, ideal, strict=True):
        if abs(x - even) < TELL_MM:
            continue
        way = "farther from" if x > even else "nearer to"
        move = f"{name} stands {abs(x - even):.0f} mm {way} the datum end"
        if by := _in_the_way([even], below):
            yield f"{move} than with nothing below the deck: clear of {by}."
        else:
            along.append(move)
    if along:
        holes = choose(replace(row, reluctance=(0,) * len(row.positions), spoilt=())) != tuple(chosen)
        why = "for holes beside joists and squarer ends" if holes else "to keep spans even beside the others"
        yield f"{', '.join(along)}, {why}."


def _in_the_way(places: Iterable[float], below: Sequence[Blocked]) -> str:
    found = {b.device for x in places for b in below if b.low < x < b.high and b.device is not None}
    return ", ".join(sorted(found))
