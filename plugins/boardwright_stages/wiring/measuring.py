"""How large and how many the wire holes are: made to the measure of the wires that will cross.

Claim: within a quarter of the frame's depth (UK guidance for floor joists, read), a joint's holes are as
large as its bundle or its plug's body asks for, as many as the bundle fills at the fill limit (NEC chapter 9
table 1, read), and one more, spare. Sizes of bits: common practice, no source.

A joist's holes are made to its own bundle: 20 mm at least (holes of 20 to 25 mm: common practice, no source),
and a quarter more than is reckoned, as wires lie round wells and other wires.

What this does not know: where within a joist a wire will cross.
"""

from __future__ import annotations

import math

import msgspec

from boardwright_timber.model import JointDemand
from boardwright_timber.reference import fill_limit

from .settings import WiringSettings

#: Bits and hole saws, mm: common practice, no source.
BITS_MM = (
    8.0,
    10.0,
    12.0,
    14.0,
    16.0,
    18.0,
    20.0,
    22.0,
    25.0,
    28.0,
    30.0,
    32.0,
    35.0,
    38.0,
    40.0,
    45.0,
    50.0,
)
PLUG_AIR_MM = 1.0  # round a plug's body
DEPTH_SHARE = 0.25
MOST_HOLES = 12
LEAST_MM = 20.0  # in a joist
AWRY = 1.25


class Wanted(msgspec.Struct, frozen=True):
    """Holes wanted through a joint."""

    count: int
    diameter_mm: float


def wanted(
    demand: JointDemand | None, depth_mm: float, plug_body_mm: float, settings: WiringSettings
) -> Wanted:
    """Holes through a joint whose shallower frame is ``depth_mm`` deep."""
    if settings.joint_holes_at_mm:
        return Wanted(len(settings.joint_holes_at_mm), settings.hole_diameter_mm)
    if demand is None or not settings.made_to_measure:
        return Wanted(settings.holes_per_joint, settings.hole_diameter_mm)
    largest = depth_mm * DEPTH_SHARE
    bundle = math.sqrt(demand.squares_mm2 / fill_limit(demand.cores))
    plug = plug_body_mm + PLUG_AIR_MM if plug_body_mm else 0.0
    diameter = _bit(max(bundle, plug), largest)
    each = fill_limit(max(3, demand.cores)) * diameter**2  # a bundle that is parted has many cores still
    used = max(1, math.ceil(demand.squares_mm2 / each - 1e-9)) if bundle > diameter else 1
    return Wanted(min(max(used + 1, settings.holes_per_joint), MOST_HOLES), diameter)


def in_joist(measured: bool, demand: JointDemand | None, depth_mm: float, settings: WiringSettings) -> Wanted:
    """Holes in a joist that so much must cross: at least two, the one for all of it, the other spare."""
    if not (measured and settings.made_to_measure):
        return Wanted(2, settings.hole_diameter_mm)
    bundle = math.sqrt(demand.squares_mm2 * AWRY / fill_limit(demand.cores)) if demand else 0.0
    diameter = _bit(max(bundle, LEAST_MM), depth_mm * DEPTH_SHARE)
    used = 1
    if demand and bundle > diameter:
        each = fill_limit(max(3, demand.cores)) * diameter**2
        used = math.ceil(demand.squares_mm2 * AWRY / each - 1e-9)
    return Wanted(min(used + 1, MOST_HOLES), diameter)


def _bit(least_mm: float, largest_mm: float) -> float:
    """The smallest bit that will do; of those that the frame bears the largest, when none will do."""
    borne = [b for b in BITS_MM if b <= largest_mm + 1e-9] or [BITS_MM[0]]
    return next((b for b in borne if b >= least_mm - 1e-9), borne[-1])
