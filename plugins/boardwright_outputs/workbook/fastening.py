"""Nouns to rows: which screws go where, their holes, and their distances beside those of the table."""

from __future__ import annotations

from collections.abc import Mapping

from boardwright_timber.model import BoardFastening

from .sheet import Column, Show, Table


def fastening(boards: Mapping[str, BoardFastening]) -> Table:
    rows = tuple(
        (
            name,
            line.joins,
            line.screw,
            line.quantity,
            line.pilot_mm,
            line.countersink_mm,
            line.first,
            line.edge_mm,
            line.edge_wanted_mm,
            line.apart_mm,
            line.apart_wanted_mm,
            "kept" if line.kept else "less than wanted: drill first, the glue carries it",
            line.glue,
            line.source,
        )
        for name, board in boards.items()
        for line in board.lines
    )
    return Table(
        name="Fastening",
        purpose="Screws by kind of joint: pilot and countersink in the through strip, distances there are "
        "beside those the table wants. Glue goes on before the clamps.",
        columns=(
            Column("Board"),
            Column("Joins", Show.WRAPPED, widest=34),
            Column("Screw"),
            Column("How many", Show.COUNT),
            Column("Pilot", Show.MM, "mm"),
            Column("Countersink", Show.MM, "mm"),
            Column("Drill first", Show.WRAPPED, widest=26),
            Column("From edge,\nleast", Show.MM, "mm"),
            Column("From edge,\nwanted", Show.MM, "mm"),
            Column("Apart,\nleast", Show.MM, "mm"),
            Column("Apart,\nwanted", Show.MM, "mm"),
            Column("Result", Show.WRAPPED, widest=24),
            Column("Glue", Show.WRAPPED, widest=24),
            Column("Source", Show.WRAPPED, widest=40),
        ),
        rows=rows,
        when_empty="No screws.",
    )
