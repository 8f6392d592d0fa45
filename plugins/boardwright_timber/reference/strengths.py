"""Stiffness and strength of materials, and how load duration, damp and creep change them.

Claim: every row carries its source and a mark that says how well the source was seen.

Glossary
    along, across   bending flat on, the span along the face grain or across it
    edgewise        the strip stands on edge, as sides and joists do
    service class   1: heated rooms; 2: damp at times (sheds, lofts, garages); EN 1995-1-1 2.3.1.3
    k_mod           what is left of strength under a load of some duration in some climate
    k_def           how much a lasting sag grows with time, as a share of the first sag
    gamma_m         partial factor: strength is divided by it
    read, memory    as in ``materials``; read second-hand: in a work that repeats the source
    calc            worked out from rows that were read

What this does not know: knots, damp boards, panels sold under the name of another. Means are for sag,
characteristic values (5 % of pieces are weaker) for strength. N/mm².
"""

from __future__ import annotations

from typing import Literal

import msgspec

type Sureness = Literal["read", "read second-hand", "memory", "calc"]
type Duration = Literal["permanent", "short"]
type ServiceClass = Literal[1, 2]

C90_N_MM2 = 2.5  # f_c,90,k: C24 pressed across the grain, EN 338 (read); plywood on edge bears more


class Strength(msgspec.Struct, frozen=True, kw_only=True):
    """One row, N/mm²: E is a mean, f is characteristic. ``thickness_mm`` None: any thickness.

    ``shear_modulus`` and ``shear_strength`` are those of a strip on edge (panel shear). ``k_cr`` is the share
    of a strip's width that cracks leave for shear, EN 1995-1-1 6.1.7 (memory).
    """

    material: str
    thickness_mm: float | None
    along_n_mm2: float
    across_n_mm2: float
    bending_along_n_mm2: float
    bending_across_n_mm2: float
    shear_modulus_n_mm2: float
    shear_strength_n_mm2: float
    k_cr: float = 1.0
    solid: bool = False
    source: str
    mark: Sureness

    @property
    def edgewise_n_mm2(self) -> float:
        """E on edge. In a panel all plies pull together: half the sum of both flat values (calc)."""
        return self.along_n_mm2 if self.solid else (self.along_n_mm2 + self.across_n_mm2) / 2

    @property
    def edgewise_bending_n_mm2(self) -> float:
        """Bending strength on edge: for panels the lower flat value, on the safe side (judgement)."""
        return min(self.bending_along_n_mm2, self.bending_across_n_mm2)


class Climate(msgspec.Struct, frozen=True, kw_only=True):
    """A material in one service class: EN 1995-1-1 tables 3.1 and 3.2. ``k_mod`` by load duration."""

    material: str
    service_class: ServiceClass
    k_mod: dict[Duration, float]
    k_def: float
    source: str
    mark: Sureness


_BIRCH = "Finnish plywood handbook by a pocket-book table; shear 620 and 9.5 from its 9 mm row"
_CONIFER = "Finnish plywood handbook by a pocket-book table; shear 530 and 7.0 from memory"
_OSB = "EN 12369-1 by a panel maker's table"
_MDF = "EN 12369-1, MDF.LA over 12 to 19 mm, little trusted; shear likewise"


def _ply(material: str, source: str, shear: tuple[float, float], *rows: tuple[float, ...]) -> list[Strength]:
    return [
        Strength(
            material=material,
            thickness_mm=t,
            along_n_mm2=e,
            across_n_mm2=e90,
            bending_along_n_mm2=f,
            bending_across_n_mm2=f90,
            shear_modulus_n_mm2=shear[0],
            shear_strength_n_mm2=shear[1],
            source=source,
            mark="memory" if material == "mdf" else "read",
        )
        for t, f, f90, e, e90 in rows
    ]


STRENGTHS: tuple[Strength, ...] = (
    *_ply(
        "birch ply",
        _BIRCH,
        (620.0, 9.5),
        (9.0, 45.6, 32.1, 11395.0, 6105.0),
        (12.0, 42.9, 33.2, 10719.0, 6781.0),
        (18.0, 40.2, 34.1, 10048.0, 7452.0),
    ),
    *_ply(
        "conifer ply",
        _CONIFER,
        (530.0, 7.0),
        (9.0, 26.0, 18.3, 8465.0, 4535.0),
        (12.0, 24.5, 19.0, 7963.0, 5037.0),
        (18.0, 23.0, 19.5, 7464.0, 5536.0),
    ),
    *_ply(
        "osb3",
        _OSB,
        (1080.0, 6.8),
        (9.0, 18.0, 9.0, 4930.0, 1980.0),
        (12.0, 16.4, 8.2, 4930.0, 1980.0),
        (18.0, 14.8, 7.4, 4930.0, 1980.0),
    ),
    *_ply("mdf", _MDF, (800.0, 10.0), (18.0, 21.0, 21.0, 3000.0, 3000.0)),
    # A deck of extruded polystyrene on a frame: only the order of size is known (memory).
    Strength(
        material="foam",
        thickness_mm=None,
        along_n_mm2=15.0,
        across_n_mm2=15.0,
        bending_along_n_mm2=0.4,
        bending_across_n_mm2=0.4,
        shear_modulus_n_mm2=5.0,
        shear_strength_n_mm2=0.2,
        source="extruded polystyrene board, usual order of size",
        mark="memory",
    ),
    Strength(
        material="softwood",
        thickness_mm=None,
        along_n_mm2=11000.0,
        across_n_mm2=370.0,
        bending_along_n_mm2=24.0,
        bending_across_n_mm2=24.0,  # never laid across: a strip's grain runs along it
        shear_modulus_n_mm2=690.0,
        shear_strength_n_mm2=4.0,
        k_cr=0.67,
        solid=True,
        source="EN 338 class C24 (pocket-book table); shear 4.0 of the 2016 edition by a joist sheet",
        mark="read",
    ),
)

GAMMA_M: dict[str, float] = {  # EN 1995-1-1 table 2.3: 1.3 solid read second-hand, panels memory
    "softwood": 1.3,
    "birch ply": 1.2,
    "conifer ply": 1.2,
    "osb3": 1.2,
    "mdf": 1.3,
    "foam": 1.5,  # judgement: no timber standard knows it
}

_FOAM = "our judgement: no timber standard knows foam"
_TABLES = "EN 1995-1-1 tables 3.1 and 3.2"


def _climates(
    mark: Sureness, materials: tuple[str, ...], *rows: tuple[ServiceClass, float, float, float]
) -> list[Climate]:
    return [
        Climate(
            material=material,
            service_class=served,
            k_mod={"permanent": lasting, "short": short},
            k_def=k_def,
            source=_FOAM if material == "foam" else _TABLES,
            mark=mark,
        )
        for material in materials
        for served, lasting, short, k_def in rows
    ]


CLIMATES: tuple[Climate, ...] = (
    *_climates("read second-hand", ("softwood",), (1, 0.60, 0.90, 0.60), (2, 0.60, 0.90, 0.80)),
    *_climates(
        "read second-hand", ("birch ply", "conifer ply"), (1, 0.60, 0.90, 0.80), (2, 0.60, 0.90, 1.00)
    ),
    # Foam creeps and takes up no damp; both rows judgement.
    *_climates("memory", ("foam",), (1, 0.40, 0.90, 2.00), (2, 0.40, 0.90, 2.00)),
    *_climates("memory", ("osb3",), (1, 0.40, 0.90, 1.50), (2, 0.30, 0.70, 2.25)),
    # Class 2 has no row for MDF under lasting load: the standard does not want it there. Half of class 1 and
    # the creep of MDF.HLS are taken, to say something rather than nothing (judgement).
    *_climates("memory", ("mdf",), (1, 0.20, 0.80, 2.25), (2, 0.10, 0.45, 3.00)),
)


def strength_row(material: str, thickness_mm: float) -> Strength:
    """The row of the nearest tabulated thickness (of two equally near, the thinner).

    Raises ``KeyError`` for a material without rows.

    >>> strength_row("birch ply", 12).edgewise_n_mm2
    8750.0
    """
    rows = [row for row in STRENGTHS if row.material == material]
    if not rows:
        raise KeyError(material)
    return min(rows, key=lambda row: abs((row.thickness_mm or thickness_mm) - thickness_mm))


def climate_row(material: str, service_class: ServiceClass) -> Climate:
    """Duration and creep factors. Raises ``KeyError`` for a material or class without a row."""
    for row in CLIMATES:
        if row.material == material and row.service_class == service_class:
            return row
    raise KeyError(material)
