"""A nested list as files: ``nest.json``, ``workbook.xlsx``, ``dxf/sheets/``; sheets sawn alike are shown
once."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from decimal import Decimal

import msgspec

from boardwright_timber.model import CuttingPlan, Nested

from ..drawings import names
from ..drawings.dxf import write_dxf
from ..offcuts.outputs import PATH as OFFCUTS
from ..offcuts.stock_file import stock_file
from .model import NestFile, NestGroup, NestPlacement, NestSheet
from .sheet import plain_sheet


def nest_files(nested: Nested) -> Mapping[str, bytes]:
    from .book import workbook

    data = nest_file(nested)
    text = msgspec.json.format(msgspec.json.encode(data, order="deterministic"), indent=1)
    files = {"nest.json": text + b"\n", "workbook.xlsx": workbook(nested, data)}
    files[OFFCUTS] = stock_file(nested.plan.sheets)
    return files | _drawings(nested)


def nest_file(nested: Nested) -> NestFile:
    plan, row_of = nested.plan, dict(nested.rows)
    groups = tuple(_groups(plan))
    price_of = dict(nested.prices)
    prices = [price_of[s.stock] for s in plan.sheets]
    return NestFile(
        pieces=nested.name,
        sheets_used=len(plan.sheets),
        lower_bound=sum(g.lower_bound for g in groups),
        proven=all(g.proven for g in groups),
        kerf_mm=nested.kerf_mm,
        trim_mm=nested.trim_mm,
        stages=nested.stages,
        price=float(sum((p for p in prices if p is not None), Decimal(0))),
        price_complete=None not in prices,
        groups=groups,
        sheets=tuple(
            NestSheet(
                id=s.id,
                stock=s.stock,
                material=s.material,
                thickness_mm=s.thickness_mm,
                length_mm=s.length_mm,
                width_mm=s.width_mm,
                used_fraction=s.used_fraction,
                alike=s.alike,
                placements=tuple(
                    NestPlacement(
                        id=row_of[p.part],
                        part=p.part,
                        x_mm=p.x_mm,
                        y_mm=p.y_mm,
                        length_mm=p.length_mm,
                        width_mm=p.width_mm,
                        turned=p.turned,
                    )
                    for p in s.parts
                ),
                offcuts=s.offcuts,
                cut_tree=s.tree,
                cuts=s.cuts,
            )
            for s in plan.sheets
        ),
        unplaced=plan.unplaced,
        findings=nested.findings,
    )


def _groups(plan: CuttingPlan) -> list[NestGroup]:
    used = Counter((s.material, s.thickness_mm) for s in plan.sheets)
    bars = {(s.material, s.thickness_mm) for s in plan.sheets if s.bar}
    bars -= {(s.material, s.thickness_mm) for s in plan.sheets if not s.bar}
    groups = []
    for material, thickness, fewest in plan.lower_bounds:
        count = used[material, thickness]
        called = "bar" if (material, thickness) in bars else "sheet"
        sheets = f"1 {called}" if count == 1 else f"{count} {called}s"
        says = (
            f"{sheets}; fewer is impossible" if count == fewest else f"{sheets}; at least {fewest} are needed"
        )
        groups.append(
            NestGroup(
                material=material,
                thickness_mm=thickness,
                sheets_used=count,
                lower_bound=fewest,
                proven=count == fewest,
                says=says,
            )
        )
    return groups


def _drawings(nested: Nested) -> dict[str, bytes]:
    """Path -> drawing, one for sheets sawn alike; parts named by their rows where it is for many."""
    copies = Counter(s.alike or s.id for s in nested.plan.sheets)
    row_of = dict(nested.rows)
    drawings = {}
    for sheet in nested.plan.sheets:
        if sheet.alike:
            continue
        many = copies[sheet.id] > 1
        called = {p.part: row_of[p.part] if many else p.part for p in sheet.parts}
        note = f"Cut {copies[sheet.id]} {sheet.called.lower()}s like this one" if many else ""
        drawings[names.sheet_path(sheet.id, sheet.bar)] = write_dxf(plain_sheet(sheet, called, note))
    return drawings
