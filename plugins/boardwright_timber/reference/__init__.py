"""Reference tables of the trade, each row with its source."""

from .fasteners import (
    BOLT_LENGTHS_MM,
    CLEARANCE_HOLES_MM,
    CUP_HEAD_BOLTS,
    NUTS,
    PLAIN_WASHERS,
    TIMBER_WASHERS,
    BoltChoice,
    CupHeadBolt,
    Fit,
    Nut,
    Washer,
    bears_on_wood,
    bolt_for,
    clearance_hole_mm,
)
from .materials import DENSITIES, MATERIALS, Density, UnknownMaterialError, density_kg_m3, density_row

__all__ = [
    "BOLT_LENGTHS_MM",
    "CLEARANCE_HOLES_MM",
    "CUP_HEAD_BOLTS",
    "DENSITIES",
    "MATERIALS",
    "NUTS",
    "PLAIN_WASHERS",
    "TIMBER_WASHERS",
    "BoltChoice",
    "CupHeadBolt",
    "Density",
    "Fit",
    "Nut",
    "UnknownMaterialError",
    "Washer",
    "bears_on_wood",
    "bolt_for",
    "clearance_hole_mm",
    "density_kg_m3",
    "density_row",
]
