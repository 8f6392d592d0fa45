"""Nouns to rows: the anchors that hold battens to a wall. The sheet is there only when a board has any."""

from __future__ import annotations

from collections.abc import Mapping

from boardwright_timber.model import BoardFixings

from .sheet import Column, Show, Table


def anchors(fixings: Mapping[str, BoardFixings]) -> Table:
    rows = tuple(
        (a.id, board, a.batten, a.along_mm, a.x_mm, a.y_mm, -a.z_mm, a.screw, a.plug or "none")
        for board, own in fixings.items()
        for a in own.anchors
    )
    return Table(
        name="Wall anchors",
        purpose="Screws through battens into the wall, counted by a rule of thumb (common practice, no "
        "source). Whether they hold is for your wall, local codes and a competent person: find out what it "
        "is made of and what runs in it before drilling. x and y are on the plan.",
        columns=(
            Column("Anchor"),
            Column("Board"),
            Column("Batten", Show.COUNT),
            Column("Along it", Show.MM, "mm"),
            Column("x", Show.MM, "mm"),
            Column("y", Show.MM, "mm"),
            Column("Below the\nframe's top", Show.MM, "mm"),
            Column("Screw"),
            Column("Plug"),
        ),
        rows=rows,
    )
