"""Bolts, nuts, washers and their holes, from open standards.

Claim: every table names its standard; sizes in millimetres. All rows were read in data pages that quote
the standard, except where a row says ``memory``.

Glossary
    clearance hole   hole a bolt passes through freely; ISO 273 has three fits: fine, medium, coarse
    cup-head bolt    DIN 603 (near ISO 8677): domed head, square neck that bites into the wood
    stack-up         all that lies between the underside of the head and the far side of the nut
    timber washer    DIN 440 form R (near ISO 7094): at least 3 d wide and 0.3 d thick
    wing nut         turned by hand; its wings sweep a circle as wide as ``span_mm``
    tee nut          a threaded barrel with a spiked flange, pulled into the far face of the wood

What this does not know: brands of coating, and how often a tee nut may be pulled before it turns in the wood.
"""

from __future__ import annotations

from typing import Literal

import msgspec

type Fit = Literal["fine", "medium", "coarse"]

CLEARANCE_HOLES_MM: dict[str, dict[Fit, float]] = {  # ISO 273, read
    "M3": {"fine": 3.2, "medium": 3.4, "coarse": 3.6},
    "M4": {"fine": 4.3, "medium": 4.5, "coarse": 4.8},
    "M5": {"fine": 5.3, "medium": 5.5, "coarse": 5.8},
    "M6": {"fine": 6.4, "medium": 6.6, "coarse": 7.0},
    "M8": {"fine": 8.4, "medium": 9.0, "coarse": 10.0},
    "M10": {"fine": 10.5, "medium": 11.0, "coarse": 12.0},
    "M12": {"fine": 13.0, "medium": 13.5, "coarse": 14.5},
}


def clearance_hole_mm(size: str, fit: Fit = "medium") -> float:
    """Diameter of the clearance hole for a bolt, ISO 273. Raises ``ValueError`` naming what is known.

    >>> clearance_hole_mm("M8", "medium")
    9.0
    """
    if size not in CLEARANCE_HOLES_MM:
        raise ValueError(f"no clearance hole for {size}; known sizes: {', '.join(CLEARANCE_HOLES_MM)}")
    row = CLEARANCE_HOLES_MM[size]
    if fit not in row:
        raise ValueError(f"no fit called {fit}; known fits: {', '.join(row)}")
    return row[fit]


class CupHeadBolt(msgspec.Struct, frozen=True, kw_only=True):
    """DIN 603, read. ``thread_mm`` holds for lengths up to 125, ``long_thread_mm`` up to 200."""

    head_diameter_max_mm: float
    head_height_max_mm: float
    square_max_mm: float
    neck_max_mm: float
    thread_mm: float
    long_thread_mm: float
    pitch_mm: float


def _cup_head(*row: float) -> CupHeadBolt:
    names = CupHeadBolt.__struct_fields__
    return CupHeadBolt(**dict(zip(names, row, strict=True)))


CUP_HEAD_BOLTS: dict[str, CupHeadBolt] = {  # DIN 603, read
    "M5": _cup_head(13.55, 3.30, 5.48, 4.10, 16, 22, 0.8),
    "M6": _cup_head(16.55, 3.88, 6.48, 4.60, 18, 24, 1.0),
    "M8": _cup_head(20.65, 4.88, 8.58, 5.60, 22, 28, 1.25),
    "M10": _cup_head(24.65, 5.38, 10.58, 6.60, 26, 32, 1.5),
    "M12": _cup_head(30.65, 6.95, 12.70, 8.75, 30, 36, 1.75),
}


class Nut(msgspec.Struct, frozen=True, kw_only=True):
    """ISO 4032, read. (DIN 934, also sold: M10 is 17 across flats, M12 is 19.)"""

    across_flats_mm: float
    across_corners_min_mm: float
    height_max_mm: float


NUTS: dict[str, Nut] = {  # ISO 4032, read
    size: Nut(across_flats_mm=s, across_corners_min_mm=e, height_max_mm=m)
    for size, s, e, m in (
        ("M4", 7.0, 7.66, 3.2),
        ("M5", 8.0, 8.79, 4.7),
        ("M6", 10.0, 11.05, 5.2),
        ("M8", 13.0, 14.38, 6.8),
        ("M10", 16.0, 17.77, 8.4),
        ("M12", 18.0, 20.03, 10.8),
    )
}


class WingNut(msgspec.Struct, frozen=True, kw_only=True):
    """DIN 315, German form, memory: ``height_mm`` is the threaded part, ``over_all_mm`` with the wings."""

    height_mm: float
    over_all_mm: float
    span_mm: float


WING_NUTS: dict[str, WingNut] = {  # DIN 315: memory
    size: WingNut(height_mm=m, over_all_mm=h, span_mm=e)
    for size, m, h, e in (
        ("M4", 4.6, 10.5, 20.0),
        ("M5", 6.5, 13.0, 26.0),
        ("M6", 8.0, 17.0, 33.0),
        ("M8", 10.0, 20.0, 39.0),
        ("M10", 12.0, 25.0, 51.0),
        ("M12", 14.0, 33.5, 65.0),
    )
}


class TeeNut(msgspec.Struct, frozen=True, kw_only=True):
    """As commonly sold; no standard. ``hole_mm`` is what its barrel is driven into."""

    hole_mm: float
    barrel_mm: float
    flange_mm: float


TEE_NUTS: dict[str, TeeNut] = {  # common practice, no source
    "M5": TeeNut(hole_mm=6.5, barrel_mm=8.0, flange_mm=17.0),
    "M6": TeeNut(hole_mm=8.0, barrel_mm=9.0, flange_mm=19.0),
    "M8": TeeNut(hole_mm=10.0, barrel_mm=11.0, flange_mm=22.0),
    "M10": TeeNut(hole_mm=12.0, barrel_mm=13.0, flange_mm=26.0),
}


class Washer(msgspec.Struct, frozen=True, kw_only=True):
    hole_mm: float
    diameter_mm: float
    thickness_mm: float


PLAIN_WASHERS: dict[str, Washer] = {  # ISO 7089, read
    size: Washer(hole_mm=d1, diameter_mm=d2, thickness_mm=h)
    for size, d1, d2, h in (
        ("M4", 4.3, 9.0, 0.8),
        ("M5", 5.3, 10.0, 1.0),
        ("M6", 6.4, 12.0, 1.6),
        ("M8", 8.4, 16.0, 1.6),
        ("M10", 10.5, 20.0, 2.0),
        ("M12", 13.0, 24.0, 2.5),
    )
}

TIMBER_WASHERS: dict[str, Washer] = {  # DIN 440 form R, read (M12 diameter and thickness: memory)
    size: Washer(hole_mm=d1, diameter_mm=d2, thickness_mm=h)
    for size, d1, d2, h in (
        ("M5", 5.5, 18.0, 2.0),
        ("M6", 6.6, 22.0, 2.0),
        ("M8", 9.0, 28.0, 3.0),
        ("M10", 11.0, 34.0, 3.0),
        ("M12", 13.5, 44.0, 4.0),
    )
}


def bears_on_wood(size: str, washer: Washer) -> bool:
    """EN 1995-1-1 10.4.3: a washer on wood is at least 3 d wide and 0.3 d thick (rule: memory)."""
    d = float(size.removeprefix("M"))
    return washer.diameter_mm >= 3 * d and washer.thickness_mm >= 0.3 * d


# Lengths cup-head bolts are sold in, mm. ISO 888 preferred lengths up to 200: memory.
BOLT_LENGTHS_MM: tuple[float, ...] = (
    *(16.0, 20.0, 25.0, 30.0, 35.0, 40.0, 45.0, 50.0, 55.0, 60.0, 65.0, 70.0, 75.0, 80.0),
    *(90.0, 100.0, 110.0, 120.0, 130.0, 140.0, 150.0, 160.0, 180.0, 200.0),
)


class BoltChoice(msgspec.Struct, frozen=True, kw_only=True):
    """A bolt's length and the sum it comes from. ``thread_starts_mm`` is measured from under the head."""

    size: str
    stack_up_mm: float
    length_mm: float
    thread_starts_mm: float
    nut_starts_mm: float

    @property
    def nut_runs_up(self) -> bool:
        """The thread begins before the nut is tight."""
        return self.thread_starts_mm <= self.nut_starts_mm


def bolt_for(
    size: str, grip_mm: float, washers: tuple[Washer, ...], nut_mm: float | None = None
) -> BoltChoice:
    """Shortest cup-head bolt for wood ``grip_mm`` thick: grip + washers + nut + one pitch, next length up.

    ``nut_mm`` is the nut's height (None: a hex nut's, ISO 4032).

    Raises ``ValueError`` when the size is not tabulated or no length is long enough.

    >>> bolt_for("M8", 36, (PLAIN_WASHERS["M8"],)).length_mm   # 36 + 1.6 + 6.8 + 1.25 = 45.65
    50.0
    """
    if size not in CUP_HEAD_BOLTS:
        raise ValueError(f"no cup-head bolt {size}; known sizes: {', '.join(CUP_HEAD_BOLTS)}")
    bolt = CUP_HEAD_BOLTS[size]
    nut_starts = grip_mm + sum(w.thickness_mm for w in washers)
    stack_up = round(nut_starts + (NUTS[size].height_max_mm if nut_mm is None else nut_mm) + bolt.pitch_mm, 6)
    length = next((n for n in BOLT_LENGTHS_MM if n >= stack_up), None)
    if length is None:
        raise ValueError(f"no {size} bolt is {stack_up:g} mm long; longest is {BOLT_LENGTHS_MM[-1]:g} mm")
    thread = bolt.thread_mm if length <= 125 else bolt.long_thread_mm
    return BoltChoice(
        size=size,
        stack_up_mm=stack_up,
        length_mm=length,
        thread_starts_mm=max(0.0, length - thread),
        nut_starts_mm=round(nut_starts, 6),
    )


PITCH_MM: dict[str, float] = {  # ISO 261 coarse series; M5 to M12 as in DIN 603 (read), M4: memory
    "M4": 0.7,
    "M5": 0.8,
    "M6": 1.0,
    "M8": 1.25,
    "M10": 1.5,
    "M12": 1.75,
}

STRESS_AREA_MM2: dict[str, float] = {  # ISO 898-1, coarse thread: memory
    "M4": 8.78,
    "M5": 14.2,
    "M6": 20.1,
    "M8": 36.6,
    "M10": 58.0,
    "M12": 84.3,
}
GRADES_N_MM2: dict[str, float] = {  # f_u by property class, ISO 898-1 and EN 1993-1-8 table 3.1: memory
    "4.6": 400.0,
    "4.8": 400.0,
    "5.6": 500.0,
    "5.8": 500.0,
    "8.8": 800.0,
}


def bolt_tension_n(size: str, grade: str = "4.6") -> float:
    """Design tension of a bolt, 0.9 f_u A_s / 1.25 (EN 1993-1-8, memory).

    >>> round(bolt_tension_n("M8"))   # 0.9 × 400 × 36.6 / 1.25
    10541
    """
    return 0.9 * GRADES_N_MM2[grade] * STRESS_AREA_MM2[size] / 1.25


def hex_bolt_for(
    size: str, grip_mm: float, washers: tuple[Washer, ...], nut_mm: float | None = None
) -> BoltChoice:
    """Shortest hex bolt threaded to its head: grip + washers + nut + one pitch, next length sold.

    ``nut_mm`` is the height of what it goes into beyond the washers (None: a hex nut's, ISO 4032); 0 for a
    tee nut, whose barrel lies in the wood. Raises ``ValueError`` when no length is long enough.

    >>> hex_bolt_for("M8", 24, (PLAIN_WASHERS["M8"],) * 2).length_mm   # 24 + 3.2 + 6.8 + 1.25 = 35.25
    40.0
    """
    nut = NUTS[size].height_max_mm if nut_mm is None else nut_mm
    nut_starts = round(grip_mm + sum(w.thickness_mm for w in washers), 6)
    stack_up = round(nut_starts + nut + PITCH_MM[size], 6)
    length = next((n for n in BOLT_LENGTHS_MM if n >= stack_up), None)
    if length is None:
        raise ValueError(f"no {size} bolt is {stack_up:g} mm long; longest is {BOLT_LENGTHS_MM[-1]:g} mm")
    return BoltChoice(
        size=size, stack_up_mm=stack_up, length_mm=length, thread_starts_mm=0.0, nut_starts_mm=nut_starts
    )
