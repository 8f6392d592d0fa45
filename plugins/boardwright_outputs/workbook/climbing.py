"""The risers of boards on which a track climbs, a row each: where, how high, how the top is cut."""

from __future__ import annotations

from collections.abc import Mapping

from boardwright_timber.model import Board, BoardParts, Frame, Joists, Member, MemberRole, Part

from .sheet import Column, Show, Table, Tick, Value


def climb(frames: Mapping[str, Frame]) -> bool:
    """Whether any deck is other than level."""
    return any(frame.climbs for frame in frames.values())


def risers(
    boards: Mapping[str, Board],
    frames: Mapping[str, Frame],
    joists: Mapping[str, Joists],
    parts: Mapping[str, BoardParts],
) -> Table:
    rows: list[tuple[Value, ...]] = []
    for name in boards:
        if name in frames and frames[name].climbs:
            by_id = parts[name].by_member
            rows += [_row(m, by_id[m.id]) for m in joists[name].members if m.role is MemberRole.RISER]
    return Table(
        name="Risers",
        purpose="Uprights under decks that climb. x and y are from the datum corner of the board to the "
        "middle of the riser; its top is told above the board's level, there. Left and right are as seen on "
        "the drawn face. Saw the top from the left height to the right one, the blade tilted by the bevel, "
        "and write the part's name on it: no two need be alike.",
        columns=(
            Column("Riser"),
            Column("Board"),
            Column("x", Show.MM, "mm"),
            Column("y", Show.MM, "mm"),
            Column("Top above\nlevel", Show.MM, "mm"),
            Column("Long", Show.MM, "mm"),
            Column("Left\nheight", Show.MM, "mm"),
            Column("Right\nheight", Show.MM, "mm"),
            Column("Top\nbevel", Show.DEGREES, "°"),
            Column("Higher face"),
            Column("Deck's gradient"),
            Column("Done", Show.TICK),
        ),
        rows=tuple(rows),
    )


def _row(member: Member, part: Part) -> tuple[Value, ...]:
    x, y = (sum(p[axis] for p in member.outline) / 4 for axis in (0, 1))
    _, _, (_, right), (_, left) = part.ring
    tilt = part.top_tilt_deg
    return (
        member.id,
        part.board,
        round(x, 3),
        round(y, 3),
        round(sum(member.corner_tops) / 4, 3),
        part.length_mm,
        left,
        right,
        abs(tilt),
        "" if not tilt else "drawn" if tilt > 0 else "back",
        "level" if not member.top_grade else f"1 in {1 / member.top_grade:.0f}",
        Tick(),
    )
