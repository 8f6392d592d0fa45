"""What the merchant sells, and how it is sawn."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Annotated, Literal

import msgspec
from msgspec import Meta
from msgspec.structs import replace

from boardwright import Section
from boardwright.plan.model import Point
from boardwright.plan.source import SourceFile


def refuse_negative(price: Decimal) -> None:
    """Raises ValueError, told by the project file's reader with its place, for a price below 0."""
    if not price.is_finite() or price < 0:
        raise ValueError(f"price is {price}; it must be a number, 0 or more")


class StockSheet(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One kind of sheet. ``quantity`` 0: as many as needed. ``price`` None: not known."""

    name: Annotated[str, Meta(min_length=1, description="What the sheet is called in the pack.")]
    material: Annotated[str, Meta(min_length=1, description="Material, as parts name it.")]
    thickness_mm: Annotated[float, Meta(gt=0, description="Nominal thickness, as parts name it.")]
    length_mm: Annotated[
        float, Meta(ge=20, description="Length, along the grain of the face. In millimetres: 2440, not 2.44.")
    ] = 2440.0
    width_mm: Annotated[float, Meta(gt=0, description="Width, across the grain of the face.")] = 1220.0
    price: Annotated[
        Decimal | None, Meta(description="Price of one sheet, 0 or more; leave out when not known.")
    ] = None
    quantity: Annotated[int, Meta(ge=0, description="How many there are; 0: as many as needed.")] = 0
    currency: Annotated[
        str,
        Meta(
            max_length=8, description="Currency of its price, when not that of [costing]; see [currencies]."
        ),
    ] = ""
    grade: Annotated[str, Meta(description="Grade of its faces, as the merchant names it; for the list.")] = (
        ""
    )
    supplier: Annotated[
        str, Meta(description="Who sells it; [costing.suppliers] has what they take for delivery and cuts.")
    ] = ""
    actual_mm: Annotated[
        Annotated[float, Meta(gt=0)] | None,
        Meta(
            description="Its measured thickness, where that is not the nominal one. Frames fit what is "
            "bought: [framing] must have this thickness.",
        ),
    ] = None
    shape: Annotated[
        tuple[Point, ...],
        Meta(
            description="Corners of an offcut that is no rectangle, in turn, in mm from its lower left, x "
            "along the grain; length_mm × width_mm is the rectangle round it."
        ),
    ] = ()
    keep_out: Annotated[
        tuple[tuple[Point, ...], ...],
        Meta(description="Places nothing is cut from (knots, holes, old screws): corners of each, in turn."),
    ] = ()
    bar: Annotated[
        bool,
        Meta(
            description="true: planed timber, a bar. Its width is finished, so it is cut to length only, and "
            "only parts of just its width come from it."
        ),
    ] = False

    @property
    def real_mm(self) -> float:
        """Its thickness, measured where that is known: what parts are made of."""
        return self.thickness_mm if self.actual_mm is None else self.actual_mm

    @property
    def edge_trim(self) -> float:
        """1 where the long edges are trimmed too, else 0."""
        return 0.0 if self.bar else 1.0

    def __post_init__(self) -> None:
        if self.price is not None:
            refuse_negative(self.price)
        for name, rings in (("shape", (self.shape,) if self.shape else ()), ("keep_out", self.keep_out)):
            for ring in rings:
                if len(ring) < 3:
                    raise ValueError(f"{name} has {len(ring)} corners; it must have 3 or more")
        if any(not (0 <= x <= self.length_mm and 0 <= y <= self.width_mm) for x, y in self.shape):
            raise ValueError("shape reaches beyond length_mm × width_mm; write the rectangle round it there")
        if self.bar and (self.shape or self.keep_out):
            raise ValueError("shape and keep_out are for sheets; cut a bad place out of a bar by hand")

    @property
    def outline(self) -> tuple[Point, ...]:
        """Its corners, in turn."""
        length, width = self.length_mm, self.width_mm
        return self.shape or ((0.0, 0.0), (length, 0.0), (length, width), (0.0, width))


# Sheet sizes: read (mill pages). Prices are placeholders of the usual order of size, common practice, no
# source: put in your merchant's.
_SHEETS = tuple(
    StockSheet(
        name=f"birch ply {thickness:g} mm, 2440 × 1220",
        material="birch ply",
        thickness_mm=thickness,
        price=Decimal(price),
    )
    for thickness, price in ((4.0, "28.00"), (6.5, "38.00"), (9.0, "48.00"), (12.0, "60.00"), (18.0, "85.00"))
)


# Sizes and prices: common practice, no source.
_BARS = tuple(
    StockSheet(
        name=f"softwood {thickness:g} × {width:g}, planed, 2400",
        material="softwood",
        thickness_mm=thickness,
        length_mm=2400.0,
        width_mm=width,
        price=Decimal(price),
        bar=True,
    )
    for thickness, width, price in ((18.0, 70.0, "4.80"), (18.0, 95.0, "6.40"), (21.0, 70.0, "5.40"))
)


class StockSettings(Section, frozen=True, kw_only=True, table="stock"):
    """Sheets and bars to cut from."""

    sheets: Annotated[tuple[StockSheet, ...], Meta(description="The kinds of sheet and bar there are.")] = (
        *_SHEETS,
        *_BARS,
    )
    offcuts: Annotated[
        str,
        Meta(
            description="A file of offcuts beside this one, such as the offcuts.toml of an earlier pack: "
            "they are added to the sheets above."
        ),
    ] = ""

    def file_beside(self) -> tuple[str, str] | None:
        return ("offcuts", self.offcuts) if self.offcuts else None

    def completed(self, files: Mapping[str, SourceFile]) -> StockSettings:
        """With the offcuts added; sheets without a price of their own, and the example sheets, with that of
        the price list."""
        if "stock" in files:
            from .stock_file import sheets_in

            mine = replace(self, sheets=(*self.sheets, *sheets_in(files["stock"])[0]))
            return mine._priced(files)
        return self._priced(files)

    def _priced(self, files: Mapping[str, SourceFile]) -> StockSettings:
        if "costing" not in files:
            return self
        from ..costing.price_list import read_prices

        listed = read_prices(files["costing"])
        examples = (*_SHEETS, *_BARS)
        return replace(
            self,
            sheets=tuple(
                replace(s, price=listed[s.name].price, currency=listed[s.name].currency or s.currency)
                if s.name in listed and (s.price is None or s in examples)
                else s
                for s in self.sheets
            ),
        )


class CuttingSettings(Section, frozen=True, kw_only=True, table="cutting"):
    """How sheets are sawn."""

    kerf_mm: Annotated[float, Meta(ge=0, le=20, description="Width of the cut the saw takes away.")] = 3.0
    trim_mm: Annotated[
        float, Meta(ge=0, description="Cut off all round before anything else: factory edges are not true.")
    ] = 10.0
    stages: Annotated[
        Literal[0, 2, 3],
        Meta(
            description="How often the sawing may change direction: 2 = rip, then cross-cut; 3 = once more; "
            "0 = no limit. One last trimming cut of a piece is always allowed."
        ),
    ] = 3
    tool: Annotated[
        Literal["guide", "wall saw", "table saw"],
        Meta(
            description="guide: circular saw and guide, either way first; wall saw (the merchant's) and "
            "table saw: sheets are ripped to strips first. Common practice, no source."
        ),
    ] = "guide"
    longest_rip_mm: Annotated[
        float, Meta(ge=0, description="Longest cut along a sheet the saw makes, trims excepted; 0: any.")
    ] = 0.0
    longest_cross_cut_mm: Annotated[
        float, Meta(ge=0, description="Longest cut across a sheet the saw makes, trims excepted; 0: any.")
    ] = 0.0
    smallest_piece_mm: Annotated[
        float, Meta(ge=0, description="Least side of a piece that can be held at the saw; 0: any.")
    ] = 0.0
    grain: Annotated[bool, Meta(description="Keep the grain of parts along the sheet's length.")] = True
    share_blanks: Annotated[
        Literal["never", "when cheaper", "always"],
        Meta(
            description="Two curved parts from one blank, parted with a jigsaw: never, when it costs less, "
            "or wherever it takes less wood and costs no more."
        ),
    ] = "when cheaper"
    jigsaw_mm: Annotated[
        float, Meta(ge=0, le=50, description="Room for a jigsaw between two parts that share a blank.")
    ] = 8.0
    smallest_offcut_mm: Annotated[
        float,
        Meta(
            ge=0,
            le=200,
            description="Nothing narrower is sawn off at a far edge: it is cut off with the trim.",
        ),
    ] = 8.0
    keep_length_mm: Annotated[
        float, Meta(ge=0, description="An offcut is worth keeping when its longer side is at least this.")
    ] = 300.0
    keep_width_mm: Annotated[float, Meta(ge=0, description="And when its shorter side is at least this.")] = (
        100.0
    )
