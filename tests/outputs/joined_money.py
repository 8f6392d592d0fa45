"""Cut sheets, hardware, cost, checks and findings of ``joined``: what is told about it."""

from __future__ import annotations

from decimal import Decimal

from joined_wood import PLY

from boardwright import Finding, FindingList, Place, Provenance, Severity
from boardwright.stages import SourceDigest
from boardwright_timber.model import (
    BoardHardware,
    Cost,
    CostLine,
    Cut,
    CutSheet,
    CuttingPlan,
    HardwareLine,
    PlacedPart,
)
from boardwright_timber.model.checks import CheckLine, CheckReport


def make_cutting() -> CuttingPlan:
    """One deck and a side on the first sheet, the side turned; strips on the second."""
    deck = CutSheet(
        id="S01",
        stock="plywood 9 mm 2440 × 1220",
        material=PLY,
        thickness_mm=9.0,
        length_mm=2440.0,
        width_mm=1220.0,
        kerf_mm=3.0,
        trim_mm=10.0,
        parts=(
            PlacedPart(part="B01-D", x_mm=10.0, y_mm=10.0, length_mm=1200.0, width_mm=600.0),
            PlacedPart(part="B02-D", x_mm=1213.0, y_mm=10.0, length_mm=600.0, width_mm=900.0, turned=True),
        ),
        cuts=(
            Cut(
                step=1,
                piece="sheet",
                along="width",
                at_mm=1210.0,
                from_mm=0.0,
                to_mm=1220.0,
                setting_mm=1200.0,
                from_edge="left",
                says="Cut across at 1200 mm",
            ),
            Cut(
                step=2,
                piece="left piece",
                along="length",
                at_mm=610.0,
                from_mm=0.0,
                to_mm=1210.0,
                setting_mm=600.0,
                from_edge="bottom",
                says="Rip at 600 mm, B01-D is free",
            ),
        ),
        used_fraction=0.42,
    )
    return CuttingPlan(sheets=(deck,), lower_bounds=((PLY, 9.0, 1),))


def hardware() -> dict[str, BoardHardware]:
    return {
        b: BoardHardware(
            board=b,
            lines=(
                HardwareLine(
                    item="screw-4x50",
                    says="screw 4 × 50 mm",
                    quantity=28,
                    unit="piece",
                    why="14 butts of 2",
                ),
            ),
        )
        for b in ("B01", "B02")
    }


def cost() -> Cost:
    return Cost(
        currency="EUR",
        lines=(
            CostLine(
                group="sheets",
                item="ply-9",
                says="birch plywood 9 mm",
                quantity=Decimal(1),
                unit="sheet",
                price=Decimal("31.50"),
                total=Decimal("31.50"),
            ),
            CostLine(
                group="hardware",
                item="glue",
                says="wood glue",
                quantity=Decimal("0.4"),
                unit="litre",
                price=None,
                total=Decimal(0),
            ),
        ),
        total=Decimal("31.50"),
        complete=False,
        per_square_metre=Decimal("25.20"),
        area_m2=Decimal("1.25"),
    )


def checks() -> CheckReport:
    return CheckReport(
        lines=(
            CheckLine(
                code="BW-CHECK-001",
                says="mating holes coincide",
                measured=0.0,
                limit=0.01,
                unit="mm",
                counted=5,
                passed=True,
                where="J01",
            ),
        )
    )


def findings() -> FindingList:
    return FindingList(
        findings=(
            Finding(
                code="BW-TEST-001",
                severity=Severity.FAULT,
                says="device M1 stands in the way of joist B01-K2",
                where=(Place(file="devices.csv", row=3, board="B01"),),
                mend="Move M1 or let the joist move.",
            ),
            Finding(code="BW-TEST-002", severity=Severity.NOTE, says="board B02 is light"),
        )
    )


def provenance() -> Provenance:
    return Provenance(
        sources=(SourceDigest(file="plan.dxf", sha256="ab" * 32),),
        versions=(("boardwright", "0.1.0"),),
        settings={"joists": {"spacing_mm": 400.0}},
    )
