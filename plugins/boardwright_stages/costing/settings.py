"""What things cost. The default prices are examples of the usual order of size, not a merchant's."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Annotated

import msgspec
from msgspec import Meta
from msgspec.structs import replace

from boardwright import Section
from boardwright.plan.source import SourceFile

from ..nesting.settings import refuse_negative


class Price(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What one pack costs. A pack holds ``holds`` of the unit the item is counted in."""

    price: Annotated[Decimal, Meta(description="Price of one pack, 0 or more.")]
    currency: Annotated[
        str, Meta(max_length=8, description="Its currency, when not that of [costing]; see [currencies].")
    ] = ""
    holds: Annotated[int, Meta(gt=0, description="How many (or how much) one pack holds.")] = 1
    called: Annotated[str, Meta(description="What the pack is called: box of 200, bottle.")] = ""
    smaller: Annotated[
        Decimal | None,
        Meta(description="Price of a smaller pack of the same; leave out when there is none."),
    ] = None
    smaller_holds: Annotated[
        int, Meta(gt=0, description="How many (or how much) the smaller pack holds.")
    ] = 1
    smaller_called: Annotated[str, Meta(description="What the smaller pack is called: bag of 25.")] = ""

    def __post_init__(self) -> None:
        refuse_negative(self.price)
        if self.smaller is not None:
            refuse_negative(self.smaller)


def _box(price: str, holds: int, bag: str, bag_holds: int = 25) -> Price:
    return Price(
        price=Decimal(price),
        holds=holds,
        called=f"box of {holds}",
        smaller=Decimal(bag),
        smaller_holds=bag_holds,
        smaller_called=f"bag of {bag_holds}",
    )


def _each(price: str) -> Price:
    return Price(price=Decimal(price))


# Common practice, no source: replace them with your merchant's.
EXAMPLE_PRICES: dict[str, Price] = {
    "screw-4x50": _box("9.00", 200, "2.00"),
    "screw-3x40": _box("6.00", 200, "1.50"),
    "screw-3.5x45": _box("8.00", 200, "1.80"),
    "screw-5x90": _box("12.00", 100, "2.50", 10),
    "screw-4x60": _box("11.00", 200, "2.30"),
    **{f"screw-3.5x{n}": _box("6.00", 200, "1.50") for n in (12, 16, 20, 25, 30, 35, 40, 50)},
    **{
        f"bolt-M8x{n}": _each(p)
        for n, p in (
            (30, "0.38"),
            (35, "0.40"),
            (40, "0.42"),
            (45, "0.45"),
            (50, "0.48"),
            (55, "0.52"),
            (60, "0.55"),
        )
    },
    **{
        f"bolt-M6x{n}": _each(p)
        for n, p in (
            (30, "0.23"),
            (35, "0.25"),
            (40, "0.28"),
            (45, "0.30"),
            (50, "0.32"),
            (55, "0.35"),
            (60, "0.38"),
        )
    },
    "corner-block-strip": Price(price=Decimal("1.60"), holds=1000, called="metre of 25 × 25"),
    "leg-timber-44": Price(price=Decimal("5.75"), holds=2400, called="length of 2.4 m, 44 × 44"),
    "wall-batten": Price(price=Decimal("5.75"), holds=2400, called="length of 2.4 m, 44 × 44"),
    "leg-bolt-M8": _each("0.80"),
    "leg-angle-40": _each("0.60"),
    "adjustable-foot": _each("1.50"),
    "trestle": _each("18.00"),
    "wall-bracket": _each("9.00"),
    "wall-screw-6x100": _box("18.00", 100, "2.60", 10),
    "wall-plug-8x50": _box("6.00", 100, "1.50"),
    "nut-M6": _each("0.06"),
    "nut-M8": _each("0.10"),
    "timber-washer-M6": _each("0.15"),
    "timber-washer-M8": _each("0.20"),
    "washer-M6": _each("0.04"),
    "washer-M8": _each("0.06"),
    **{f"wing-nut-{size}": _each(p) for size, p in (("M6", "0.25"), ("M8", "0.40"))},
    **{f"tee-nut-{size}": _each(p) for size, p in (("M6", "0.25"), ("M8", "0.35"))},
    **{f"hex-bolt-{size}x{n}": _each("0.45") for size in ("M6", "M8") for n in (30, 35, 40, 45, 50, 55, 60)},
    "toggle-catch": _each("3.00"),
    "rail-plate": _each("0.80"),
    "rail-screw": Price(price=Decimal("6.00"), holds=100, called="box of 100"),
    "dowel-8": _each("4.50"),
    "dowel-10": _each("5.00"),
    **{
        f"wire-{size}": Price(price=Decimal(p), holds=100, called="100 m of wire")
        for size, p in (("0.14", "9.00"), ("0.22", "11.00"), ("0.25", "12.00"), ("0.34", "14.00"))
    },
    **{
        f"wire-{size}": Price(price=Decimal(p), holds=25, called="25 m of wire")
        for size, p in (("0.5", "6.00"), ("0.75", "7.50"), ("1", "9.00"), ("1.5", "12.00"))
    },
    **{
        f"wire-{size}": Price(price=Decimal(p), holds=10, called="10 m of wire")
        for size, p in (("2.5", "9.00"), ("4", "14.00"))
    },
    "plug-2": _each("0.60"),
    "plug-15": _each("3.50"),
    "terminal-strip-12": _each("1.80"),
    "sealer": Price(price=Decimal("15.00"), holds=2500, called="tin of 2.5 l"),
    "underlay": Price(price=Decimal("4.50"), holds=100, called="m² of underlay"),
    "abrasive": Price(price=Decimal("4.00"), holds=10, called="pack of 10 sheets"),
    "wood-glue": Price(price=Decimal("9.50"), holds=750, called="bottle of 750 ml"),
}


class Minutes(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Rates of work, in minutes. All defaults: common practice, no source."""

    cut: Annotated[float, Meta(ge=0, description="To set up and make one saw cut.")] = 3.0
    routed_metre: Annotated[float, Meta(ge=0, description="To set up and mill one metre by router.")] = 1.5
    contour: Annotated[float, Meta(ge=0, description="To trace and saw one curve, opening or bevel.")] = 8.0
    hole: Annotated[float, Meta(ge=0, description="To mark and drill one hole.")] = 1.0
    screw: Annotated[float, Meta(ge=0, description="To drive one screw.")] = 0.5
    board: Annotated[float, Meta(ge=0, description="To glue up and square one board.")] = 60.0


class Supplier(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What one supplier of sheets takes besides, in the currency of [costing]."""

    delivery: Annotated[Decimal | None, Meta(description="Price of a delivery; left out: you fetch it.")] = (
        None
    )
    minimum_order: Annotated[Decimal | None, Meta(description="Least worth of goods delivered.")] = None
    charge_per_cut: Annotated[Decimal | None, Meta(description="For one saw cut on the sheets sold.")] = None

    def __post_init__(self) -> None:
        for price in (self.delivery, self.charge_per_cut, self.minimum_order):
            if price is not None:
                refuse_negative(price)


class CostingSettings(Section, frozen=True, kw_only=True, table="costing"):
    """Currency and prices. Sheets have their prices in [stock]."""

    currency: Annotated[
        str, Meta(min_length=1, max_length=8, description="Code of the currency of all prices (ISO 4217).")
    ] = "EUR"
    price_list: Annotated[
        str,
        Meta(
            description="A price list beside this file: CSV, XLSX or TOML with item and price, and if wanted "
            "currency, holds, called. Prices in this file win over it, it wins over the examples."
        ),
    ] = ""
    suppliers: Annotated[
        dict[str, Supplier],
        Meta(description="What suppliers named in [stock] take; the keys below hold for all others."),
    ] = msgspec.field(default_factory=dict)
    prices: Annotated[
        dict[str, Price],
        Meta(description="Price of a pack of each hardware item; what is not given keeps its example price."),
    ] = msgspec.field(default_factory=dict)
    owned: Annotated[
        dict[str, Annotated[float, Meta(ge=0, le=1e9)]],
        Meta(description="Hardware that is there already, in its own unit: taken off what is bought."),
    ] = msgspec.field(default_factory=dict)
    spare_screws_percent: Annotated[
        float,
        Meta(ge=0, le=100, description="Screws bought beyond those counted: some strip or are dropped."),
    ] = 5.0
    share_boxes_mm: Annotated[
        float,
        Meta(
            ge=0,
            le=50,
            description="A screw or bolt may be bought up to this much longer, from the box of a size that "
            "is needed too, where the wood is deep enough and it costs less; 0: each size by itself. Common "
            "practice, no source.",
        ),
    ] = 5.0
    tax_percent: Annotated[
        float,
        Meta(ge=0, le=100, description="Tax on top of all prices; 0: prices are given with it."),
    ] = 0.0
    minutes: Annotated[Minutes, Meta(description="How long each kind of work takes.")] = Minutes()
    delivery: Annotated[
        Decimal | None,
        Meta(description="Price of the delivery of all material; leave out when you fetch it yourself."),
    ] = None
    minimum_order: Annotated[
        Decimal | None,
        Meta(description="Least worth of goods the merchant delivers; leave out when there is none."),
    ] = None
    charge_per_cut: Annotated[
        Decimal | None,
        Meta(description="What the merchant takes for one saw cut; leave out when you saw yourself."),
    ] = None

    def __post_init__(self) -> None:
        for price in (self.delivery, self.charge_per_cut, self.minimum_order):
            if price is not None:
                refuse_negative(price)

    def file_beside(self) -> tuple[str, str] | None:
        return ("price_list", self.price_list) if self.price_list else None

    def completed(self, files: Mapping[str, SourceFile]) -> CostingSettings:
        """With the list's prices under those of the project file."""
        if "costing" not in files:
            return self
        from .price_list import read_prices

        listed = {
            item: Price(price=p.price, currency=p.currency, holds=p.holds, called=p.called)
            for item, p in read_prices(files["costing"]).items()
        }
        return replace(self, prices=listed | self.prices)
