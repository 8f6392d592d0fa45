"""The front sheet: what the pack comes to, what to look at first, how to work safely, what it was made
from."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping

from boardwright import FindingList, Provenance, Severity
from boardwright.display import IN_MM, DisplaySettings
from boardwright.plan.model import TrackPlan
from boardwright_timber.model import Board, BoardParts, Cost, CuttingPlan, Splitting

from .buying import COST, CostCells, unsheeted
from .cautions import CAUTIONS
from .sheet import Block, Formula, Front, Line, Show, Table

_LENGTHS = {
    "mm": "Lengths are in millimetres.",
    "in": "Lengths are in inches; the hidden columns hold the millimetres they are worked out from.",
    "mm and in": "Lengths are in millimetres; at the right end of each table the same in inches.",
}
_VERDICT = {
    Severity.FAULT: ("Faults", "Do not build before every fault is mended."),
    Severity.CAUTION: ("Cautions", "Can be built, but look at these first."),
    Severity.MENDED: ("Mended", "Input that was repaired: see how."),
    Severity.NOTE: ("Notes", "Worth knowing."),
}


def front(
    plan: TrackPlan,
    splitting: Splitting,
    boards: Mapping[str, Board],
    parts: Mapping[str, BoardParts],
    cutting: CuttingPlan,
    cost: Cost,
    findings: FindingList,
    provenance: Provenance,
    tables: tuple[Table, ...],
    show: DisplaySettings = IN_MM,
) -> Front:
    scale = f"1:{plan.scale_ratio:g}"
    return Front(
        name="Summary",
        title=plan.name or "Unnamed layout",
        purpose=f"Fabrication pack made from {plan.drawing_file}, scale {scale}. {_LENGTHS[show.units]}",
        blocks=(
            Block(heading="At a glance", lines=_glance(splitting, boards, parts, cutting, cost)),
            Block(heading="Findings", lines=_findings(findings)),
            Block(heading="Sheets needed", lines=_sheets(cutting, show)),
            Block(heading="Work safely", lines=tuple(Line(label=a, remark=b) for a, b in CAUTIONS)),
            Block(
                heading="In this workbook",
                lines=tuple(Line(label=t.name, remark=t.purpose, sheet=t.name) for t in tables),
            ),
            *_house_rules(provenance),
            Block(heading="Made from", lines=_made_from(provenance)),
        ),
    )


def _glance(
    splitting: Splitting,
    boards: Mapping[str, Board],
    parts: Mapping[str, BoardParts],
    cutting: CuttingPlan,
    cost: Cost,
) -> tuple[Line, ...]:
    cells = CostCells(cost)
    heaviest = max(parts, key=lambda b: parts[b].mass_kg, default="")
    unplaced = len(cutting.unplaced)
    return (
        *_copies(cost),
        Line(label="Boards", value=len(boards), show=Show.COUNT),
        Line(label="Joints", value=len(splitting.joints), show=Show.COUNT),
        Line(label="Parts", value=sum(len(p.parts) for p in parts.values()), show=Show.COUNT),
        Line(
            label="Sheets and bars" if cutting.bar_count else "Sheets",
            value=cutting.sheet_count,
            show=Show.COUNT,
            remark=f"PARTS NOT PLACED: {unplaced} (see Stock)" if unplaced else "",
            strong=bool(unplaced),
        ),
        Line(
            label="Mass of wood, kg",
            value=sum(p.mass_kg for p in parts.values()),
            show=Show.KG,
            remark=f"Heaviest board: {heaviest}, {parts[heaviest].mass_kg:.1f} kg bare" if heaviest else "",
        ),
        Line(label="Area of the boards, m²", value=cost.area_m2, show=Show.M2),
        Line(
            label=f"Cost of materials, {cost.currency}",
            value=Formula(f"{COST}!{cells.total}", cost.total),
            show=Show.MONEY,
            remark=_partial(cost, cells),
            strong=True,
        ),
        *_taxed(cost, cells),
        Line(
            label=f"Cost per square metre, {cost.currency}",
            value=Formula(f"{COST}!{cells.per_m2}", cost.per_square_metre),
            show=Show.MONEY,
        ),
    )


def _copies(cost: Cost) -> tuple[Line, ...]:
    """A line that is only there when more than one copy of the layout is built."""
    if cost.copies == 1:
        return ()
    remark = f"all alike. Sheets, area and cost are for all of them ({cost.per_copy} {cost.currency} each)"
    remark += "; boards, joints, parts, mass and hardware by board are for one."
    return (
        Line(label="Copies of the layout", value=cost.copies, show=Show.COUNT, remark=remark, strong=True),
    )


def _taxed(cost: Cost, cells: CostCells) -> tuple[Line, ...]:
    """What is paid in the end, where tax comes on top of the prices."""
    if not cost.tax_percent or cost.total_with_tax is None:
        return ()
    total = f"{COST}!{cells.total}"
    sum_ = Formula(f"{total}+ROUND({total}*{cost.tax_percent!r}/100,2)", cost.total_with_tax)
    label = f"With {cost.tax_percent:g} % tax, {cost.currency}"
    return (Line(label=label, value=sum_, show=Show.MONEY, strong=True),)


def _partial(cost: Cost, cells: CostCells) -> str | Formula:
    return unsheeted(cost) if not cost.lines else Formula(f'{COST}!{cells.remark}&""', cells.remark_value)


def _findings(findings: FindingList) -> tuple[Line, ...]:
    counts = [(s, findings.count(s)) for s in _VERDICT]
    if not any(count for _, count in counts):
        return (Line(label="None", remark="Nothing was found amiss."),)
    return tuple(
        Line(
            label=_VERDICT[severity][0],
            value=count,
            show=Show.COUNT,
            remark=_VERDICT[severity][1],
            strong=severity is Severity.FAULT,
        )
        for severity, count in counts
        if count
    )


def _sheets(cutting: CuttingPlan, show: DisplaySettings) -> tuple[Line, ...]:
    fewest = {(material, thick): n for material, thick, n in cutting.lower_bounds}
    kinds: Counter[tuple[str, float, float, float, str]] = Counter()
    together: Counter[tuple[str, float]] = Counter()
    for s in cutting.sheets:
        kinds[s.material, s.thickness_mm, s.length_mm, s.width_mm, s.stock] += s.times
        together[s.material, s.thickness_mm] += s.times
    lines = []
    for (material, thick, length, width, stock), count in sorted(kinds.items()):
        remark = f"{material}, {thick:g} mm thick, {length:g} × {width:g} mm"
        bound = fewest.get((material, thick))
        if bound is not None:
            fewer = together[material, thick] > bound
            remark += f"; at least {bound} whatever the plan" if fewer else "; no plan can do with fewer"
        lines.append(Line(label=stock, value=count, show=Show.COUNT, remark=show.prose(remark)))
    return tuple(lines) or (Line(label="None", remark="No sheet is cut."),)


def _made_from(provenance: Provenance) -> tuple[Line, ...]:
    return (
        *(Line(label=s.file, remark=f"SHA-256 {s.sha256}") for s in provenance.sources),
        *(Line(label=name, remark=f"version {version}") for name, version in provenance.versions),
    )


def _house_rules(provenance: Provenance) -> tuple[Block, ...]:
    """A block that is only there when the project follows house rules."""
    lines = tuple(
        Line(
            label=r.setting,
            remark=f"{r.says} ({'; '.join(filter(None, [r.by, r.why.rstrip('.')]))}): "
            + ("kept" if r.kept else "departed from, as it may be" if r.may_change else "BROKEN"),
            strong=not (r.kept or r.may_change),
        )
        for r in provenance.rules
    )
    return (Block(heading="House rules", lines=lines),) if lines else ()
