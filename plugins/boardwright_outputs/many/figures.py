"""Figures as columns of a table: the core's figures know their unit and digits, a table its formats."""

from __future__ import annotations

from collections.abc import Sequence

from boardwright.figures import Figure

from ..workbook.sheet import Column, Show, Value

_SHOW = {"mm": Show.MM, "kg": Show.KG, "m²": Show.M2, "": Show.COUNT}


def figure_columns(figures: Sequence[Figure]) -> tuple[Column, ...]:
    return tuple(
        Column(
            f.says,
            Show.MONEY if f.digits == 2 and f.unit not in _SHOW else _SHOW.get(f.unit, Show.MM),
            f.unit,
        )
        for f in figures
    )


def figure_values(wanted: Sequence[Figure], found: Sequence[Figure]) -> tuple[Value, ...]:
    """The values of the wanted figures; empty where there is none."""
    by_key = {f.key: f.value for f in found}
    return tuple(by_key.get(f.key) for f in wanted)
