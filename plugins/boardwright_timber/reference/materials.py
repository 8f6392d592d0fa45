"""Materials of boards: what a panel or strip weighs.

Claim: every row carries its source and a mark that says how well the source was seen.

Glossary
    read     the figure was seen in the source named
    memory   from experience, not seen in a source: weigh a sheet before relying on it
    mean     average density at delivery, the one that gives mass (not the low value used for strength)

What this does not know: the sheet in your shed. Damp wood is heavier; 5 % either way is usual.
"""

from __future__ import annotations

from typing import Literal

import msgspec

from boardwright.errors import InputError
from boardwright.findings import Finding, Place, Severity

type Mark = Literal["read", "memory"]


class Density(msgspec.Struct, frozen=True, kw_only=True):
    """One row: density at a nominal thickness. ``thickness_mm`` None: the same at every thickness."""

    material: str
    thickness_mm: float | None
    density_kg_m3: float
    source: str
    mark: Mark


class UnknownMaterialError(InputError, ValueError):
    """A material that no row describes."""


_BIRCH = "birch plywood datasheet: sheet masses and densities by thickness"
_CONIFER = "pocket-book table of Finnish plywood values (mean density)"

DENSITIES: tuple[Density, ...] = (
    *(
        Density(material="birch ply", thickness_mm=t, density_kg_m3=d, source=_BIRCH, mark="read")
        for t, d in (
            (4.0, 660.0),
            (6.5, 670.0),
            (9.0, 710.0),
            (12.0, 695.0),
            (15.0, 690.0),
            (18.0, 685.0),
            (24.0, 680.0),
        )
    ),
    *(
        Density(material="conifer ply", thickness_mm=t, density_kg_m3=520.0, source=_CONIFER, mark="read")
        for t in (9.0, 12.0, 18.0)
    ),
    Density(
        material="osb3",
        thickness_mm=None,
        density_kg_m3=620.0,
        source="usual mean of OSB/3; EN 12369-1 gives only the characteristic 550",
        mark="memory",
    ),
    Density(
        material="mdf",
        thickness_mm=None,
        density_kg_m3=740.0,
        source="usual mean of MDF; EN 12369-1 gives only the characteristic 600 (over 12 to 19 mm)",
        mark="memory",
    ),
    Density(
        material="foam",
        thickness_mm=None,
        density_kg_m3=33.0,
        source="extruded polystyrene board, usual 30 to 36",
        mark="memory",
    ),
    Density(
        material="softwood",
        thickness_mm=None,
        density_kg_m3=420.0,
        source="EN 338 mean density of C24 (C16: 370)",
        mark="read",
    ),
)

MATERIALS: tuple[str, ...] = tuple(dict.fromkeys(row.material for row in DENSITIES))


def density_row(material: str, thickness_mm: float) -> Density:
    """The row of the nearest tabulated thickness (of two equally near, the thinner).

    Raises ``UnknownMaterialError`` (an ``InputError`` and a ``ValueError``) naming the known materials.

    >>> density_row("birch ply", 12).density_kg_m3
    695.0
    """
    rows = [row for row in DENSITIES if row.material == material]
    if not rows:
        raise UnknownMaterialError(
            [
                Finding(
                    code="BW-TIMBER-001",
                    severity=Severity.FAULT,
                    says=f"The material “{material}” is not known. Known: {', '.join(MATERIALS)}.",
                    where=(Place(item=material),),
                    mend="Use one of the known names in the project file.",
                )
            ]
        )
    return min(rows, key=lambda row: abs((row.thickness_mm or thickness_mm) - thickness_mm))


def density_kg_m3(material: str, thickness_mm: float) -> float:
    """Mean density in kg/m³, from the nearest tabulated thickness.

    Raises ``UnknownMaterialError`` naming the known materials.

    >>> density_kg_m3("birch ply", 18)
    685.0
    """
    return density_row(material, thickness_mm).density_kg_m3
