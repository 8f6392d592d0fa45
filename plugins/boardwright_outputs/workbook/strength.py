"""Nouns to rows: sag and strength of every board on its supports, the height it takes, how it moves."""

from __future__ import annotations

from collections.abc import Mapping

from boardwright_timber.model import BoardStand, BoardStrength, LayoutMovement, LayoutSpace, Leg

from .sheet import Column, Show, Table


def strength(strengths: Mapping[str, BoardStrength]) -> Table:
    rows = tuple(
        (
            b,
            found.support,
            len(found.points),
            line.says,
            line.measured,
            line.limit,
            line.unit,
            line.use_percent,
            "kept" if line.passed else "OVER",
            line.where,
            line.rule,
            line.source,
        )
        for b, found in strengths.items()
        for line in found.lines
    )
    return Table(
        name="Strength",
        purpose="Sag and strength of each board on its supports: an aid, not a structural design. "
        "Nobody stands on a board; walls and anything overhead by licensed practice.",
        columns=(
            Column("Board"),
            Column("Stands on", Show.WRAPPED, widest=24),
            Column("Supports", Show.COUNT),
            Column("Figure", widest=26),
            Column("Is at most", Show.QUANTITY),
            Column("Limit", Show.QUANTITY),
            Column("Unit"),
            Column("Used, %", Show.QUANTITY),
            Column("Result"),
            Column("Where the worst is", Show.WRAPPED, widest=30),
            Column("Rule", Show.WRAPPED, widest=50),
            Column("Source", Show.WRAPPED, widest=36),
        ),
        rows=rows,
        strong=frozenset(n for n, row in enumerate(rows) if row[8] == "OVER"),
        when_empty="No sag could be told.",
    )


def legs(stands: Mapping[str, BoardStand]) -> Table:
    """The cut list of what stands under the boards."""
    rows = tuple(
        row
        for b, stand in stands.items()
        for row in (
            *((b, leg.id, *_what(leg), leg.x_mm, leg.y_mm, leg.side_mm, leg.length_mm) for leg in stand.legs),
            *(
                (b, r.id, "rail across", "leg to leg", *r.start, stand.legs[0].side_mm, r.length_mm)
                for r in stand.rails
            ),
        )
    )
    return Table(
        name="Legs",
        purpose="Legs, rails, posts to saw, square ends, whole millimetres; a leg's foot takes up the rest. "
        "A leg runs up by the lap at the inner face of its member and is bolted through it; a rail reaches "
        "over both its legs. "
        "Of all boards together saw the longest first: the lengths bought are reckoned so. "
        "Places are from the board's datum corner.",
        columns=(
            Column("Board"),
            Column("Piece"),
            Column("What"),
            Column("Where", Show.WRAPPED, widest=24),
            Column("x", Show.MM, "mm"),
            Column("y", Show.MM, "mm"),
            Column("Square of", Show.MM, "mm"),
            Column("Length", Show.MM, "mm"),
        ),
        rows=rows,
        when_empty="No board stands on legs of its own.",
    )


def _what(leg: Leg) -> tuple[str, str]:
    """What it is called, and where it stands."""
    if leg.on:
        return "post", f"under {leg.member}, on board {leg.on}"
    return "leg", f"{'beside' if leg.lap_mm else 'under'} {leg.member}"


def space(found: LayoutSpace) -> Table:
    rows = tuple(
        (b.board, b.style, b.deck_mm, b.rise_mm, b.frame_mm, b.devices_mm, b.takes_mm, b.below, b.free_mm)
        for b in found.boards
    )
    return Table(
        name="Space",
        purpose="Height that each board takes, from the top of its deck down, and what is free above the "
        "board below it.",
        columns=(
            Column("Board"),
            Column("Style"),
            Column("Deck", Show.MM, "mm"),
            Column("Free below\na raised deck", Show.MM, "mm"),
            Column("Frame below\nthe deck", Show.MM, "mm"),
            Column("Deepest\ndevice", Show.MM, "mm"),
            Column("Takes\nin all", Show.MM, "mm"),
            Column("Board\nbelow"),
            Column("Free above\nthat board", Show.MM, "mm"),
        ),
        rows=rows,
        when_empty="No board was built.",
    )


def movement(found: LayoutMovement) -> Table:
    rows = tuple(
        (b.board, b.material, b.along_mm, b.across_mm, b.rails_mm, b.rule, b.source) for b in found.boards
    )
    return Table(
        name="Movement",
        purpose="How much decks swell and shrink over the year, and the gaps rails want along each board.",
        columns=(
            Column("Board"),
            Column("Deck"),
            Column("Length\nchanges by", Show.MM, "mm"),
            Column("Width\nchanges by", Show.MM, "mm"),
            Column("Gaps in\nits rails", Show.MM, "mm"),
            Column("Rule", Show.WRAPPED, widest=44),
            Column("Source", Show.WRAPPED, widest=44),
        ),
        rows=rows,
        when_empty="Nothing is known of these materials.",
    )
