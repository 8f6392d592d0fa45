"""How long a bolt is bought: wood gripped + washers + nut + one pitch, next length sold.

A cup-head bolt has no washer under its head: the head and square neck bear on the wood. A hex bolt has one at
each end; a tee nut lies in the wood and has none. Sizes: DIN 603, ISO 4017, ISO 4032, DIN 315, DIN 440 or ISO
7089, as the reference tables have them.
"""

from __future__ import annotations

from boardwright_timber.reference import (
    CUP_HEAD_BOLTS,
    NUTS,
    PLAIN_WASHERS,
    TIMBER_WASHERS,
    WING_NUTS,
    BoltChoice,
    Washer,
    bolt_for,
    hex_bolt_for,
)

from .settings import HardwareSettings

CUP = "cup bolt"


def known_sizes(fastener: str, settings: HardwareSettings) -> list[str]:
    """Sizes of which both bolt and washer are tabulated."""
    heads = CUP_HEAD_BOLTS if fastener == CUP else NUTS
    return [s for s in heads if s in washer_table(settings)]


def washer_table(settings: HardwareSettings) -> dict[str, Washer]:
    return TIMBER_WASHERS if settings.washer == "timber" else PLAIN_WASHERS


def washers_at(fastener: str, nut: str) -> int:
    """Washers of one bolt: under its nut unless that stays in the wood, and under a hex head."""
    return (nut != "tee nut") + (fastener != CUP)


def bolt_length(fastener: str, nut: str, size: str, grip_mm: float, settings: HardwareSettings) -> BoltChoice:
    """The bolt for wood ``grip_mm`` thick. Raises ValueError when none is long enough.

    >>> bolt_length("cup bolt", "hex nut", "M8", 24, HardwareSettings()).length_mm   # 24 + 3 + 6.8 + 1.25
    40.0
    """
    washers = (washer_table(settings)[size],) * washers_at(fastener, nut)
    height = WING_NUTS[size].height_mm if nut == "wing nut" else None
    if fastener == CUP:
        return bolt_for(size, grip_mm, washers, height)
    return hex_bolt_for(size, grip_mm, washers, 0.0 if nut == "tee nut" else height)


def bought_mm(fastener: str, nut: str, size: str, grip_mm: float, settings: HardwareSettings) -> float:
    """The length bought; 0 where none is (the hardware list says why)."""
    if size not in known_sizes(fastener, settings):
        return 0.0
    try:
        return bolt_length(fastener, nut, size, grip_mm, settings).length_mm
    except ValueError:
        return 0.0
