"""A stock file: what there is to cut from, and the saw. TOML:

[saw]
kerf_mm = 3.0            # width the blade takes
trim_mm = 10.0           # off every factory edge first; left out: none
stages = 3               # changes of direction; 0 or left out: as many as you like

[[sheet]]
material = "birch ply"
thickness_mm = 12.0
length_mm = 2440.0       # along the grain
width_mm = 1220.0
quantity = 0             # how many there are; 0 or left out: as many as needed
price = 60.00            # of one; left out: not known
name = "…"               # optional: what it is called in the plan
shape = [[0, 0], [800, 0], [500, 600]]   # optional: corners of an offcut that is no rectangle
keep_out = [[[100, 100], [150, 100], [150, 150]]]   # optional: knots, holes: nothing is cut from there
bar = false              # true: planed timber, cut to length only, for pieces of just its width
"""

from __future__ import annotations

import tomllib
from collections import Counter
from decimal import Decimal
from typing import Annotated, Any, Literal

import msgspec
from msgspec import Meta

from boardwright import Place
from boardwright.errors import InputError
from boardwright.plan.model import Point
from boardwright.plan.source import SourceFile

from .settings import CuttingSettings, StockSettings, StockSheet, refuse_negative


class Saw(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A file that says nothing of trim and stages asks for none: whole sheets, any number of turns."""

    kerf_mm: Annotated[float, Meta(ge=0, le=20)] = CuttingSettings().kerf_mm
    trim_mm: Annotated[float, Meta(ge=0)] = 0.0
    stages: Literal[0, 2, 3] = 0


class FileSheet(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    material: Annotated[str, Meta(min_length=1)]
    thickness_mm: Annotated[float, Meta(gt=0)]
    length_mm: Annotated[float, Meta(gt=0, le=1e6)]
    width_mm: Annotated[float, Meta(gt=0, le=1e6)]
    quantity: Annotated[int, Meta(ge=0)] = 0
    price: Decimal | None = None
    name: str = ""
    bar: bool = False
    shape: tuple[Point, ...] = ()
    keep_out: tuple[tuple[Point, ...], ...] = ()

    def __post_init__(self) -> None:
        if self.price is not None:
            refuse_negative(self.price)


class StockFile(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    saw: Saw = Saw()
    sheet: tuple[FileSheet, ...] = ()


def sheets_in(source: SourceFile) -> tuple[tuple[StockSheet, ...], Saw]:
    """Sheets and saw; there may be none. Raises InputError naming the key that cannot be used."""
    try:
        tables: dict[str, Any] = tomllib.loads(source.data.decode("utf-8-sig"), parse_float=Decimal)
        file = msgspec.convert(_plain(tables), type=StockFile)
        sheets = _named(file.sheet)
    except (ValueError, msgspec.ValidationError) as problem:  # text, TOML, shapes; types
        says, _, path = str(problem).partition(" - at `$.")
        raise InputError.of(
            "BW-NEST-010",
            f"the stock file cannot be used: {says}",
            Place(file=source.name, key=path.rstrip("`") or None),
            "[saw] has kerf_mm, trim_mm, stages (0, 2 or 3); each [[sheet]] has material, thickness_mm, "
            "length_mm, width_mm and, if wanted, quantity, price, name, bar, shape, keep_out.",
        ) from problem
    return sheets, file.saw


def read_stock(source: SourceFile) -> tuple[StockSettings, CuttingSettings]:
    """What there is to cut from, and how. Raises InputError, also where there is nothing."""
    sheets, saw = sheets_in(source)
    if not sheets:
        raise InputError.of(
            "BW-NEST-011",
            "the stock file has no [[sheet]]",
            Place(file=source.name),
            "Add at least one [[sheet]] with material, thickness_mm, length_mm and width_mm.",
        )
    return StockSettings(sheets=sheets), CuttingSettings(
        kerf_mm=saw.kerf_mm, trim_mm=saw.trim_mm, stages=saw.stages
    )


def _plain(value: Any, key: str = "") -> Any:
    """Prices stay decimals; every other number becomes a float."""
    if isinstance(value, dict):
        return {k: _plain(v, k) for k, v in value.items()}
    if isinstance(value, list):
        return [_plain(v, key) for v in value]
    if isinstance(value, Decimal):
        return value if key == "price" else float(value)
    if key == "price" and isinstance(value, int) and not isinstance(value, bool):
        return Decimal(value)
    return value


def _named(sheets: tuple[FileSheet, ...]) -> tuple[StockSheet, ...]:
    names = [
        s.name or f"{s.material} {s.thickness_mm:g} mm, {s.length_mm:g} × {s.width_mm:g}" for s in sheets
    ]
    often = Counter(names)
    seen: Counter[str] = Counter()
    made = []
    for name, s in zip(names, sheets, strict=True):
        seen[name] += 1
        made.append(
            StockSheet(
                name=name if often[name] == 1 or s.name else f"{name} ({seen[name]})",
                material=s.material,
                thickness_mm=s.thickness_mm,
                length_mm=s.length_mm,
                width_mm=s.width_mm,
                price=s.price,
                quantity=s.quantity,
                bar=s.bar,
                shape=s.shape,
                keep_out=s.keep_out,
            )
        )
    return tuple(made)
