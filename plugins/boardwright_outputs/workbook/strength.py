"""Nouns to rows: sag and strength of every board on its supports."""

from __future__ import annotations

from collections.abc import Mapping

from boardwright_timber.model import BoardStrength

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
