"""The summary workbook of a batch: a row a project, and what to look at first."""

from __future__ import annotations

from boardwright.many.model import Batch, Project
from boardwright_timber.model.together import SeriesResult, Together

from ..workbook import buying, cutting, shares, tables
from ..workbook.build import built
from ..workbook.cautions import CAUTIONS
from ..workbook.exchange import exchange
from ..workbook.sheet import Block, Column, Front, Line, Show, Table, Tick
from .figures import figure_columns, figure_values

STATES = {
    0: "pack written",
    1: "pack with faults",
    2: "no pack: input cannot be used",
    3: "no whole pack: a defect of ours",
}


def workbook(batch: Batch) -> bytes:
    sheets = (_projects(batch), _findings(batch), *_together(batch.together))
    front = Front(
        name="Summary",
        title=batch.series.name if batch.series else "Batch",
        purpose=f"{len(batch.projects)} {'kinds of module' if batch.series else 'projects'}, each with a "
        "pack of its own.",
        blocks=(
            Block(heading="At a glance", lines=_glance(batch)),
            *_shared(batch),
            Block(heading="Look at these first", lines=_bad(batch)),
            Block(heading="Work safely", lines=tuple(Line(label=a, remark=b) for a, b in CAUTIONS)),
            Block(
                heading="In this workbook",
                lines=tuple(Line(label=t.name, remark=t.purpose, sheet=t.name) for t in sheets),
            ),
        ),
    )
    return built(front, sheets)


def _shared(batch: Batch) -> tuple[Block, ...]:
    if not isinstance(batch.together, Together):
        return ()
    lines = tuple(Line(label="", remark=sentence) for sentence in batch.together.says)
    said = tuple(
        Line(label=f.code, remark=f"{f.says}. {f.mend}", strong=f.severity.value == "fault")
        for f in batch.findings
        if f.severity.value in ("fault", "caution")
    )
    return (Block(heading="Bought together", lines=(*lines, *said)),)


def _together(together: object) -> tuple[Table, ...]:
    """What the merchant and the saw need for all projects in one."""
    if not isinstance(together, Together):
        return ()
    return (
        _marks(together),
        *(_series(together.series, together.cost.currency) if together.series else ()),
        buying.cost(together.cost),
        *exchange(together.cost),
        buying.hardware(together.hardware),
        buying.hardware_by_board(together.hardware),
        cutting.stock(together.cutting, {}),
        cutting.cuts(together.cutting),
        cutting.shaping(together.cutting),
        cutting.repeats(together.cutting),
        tables.parts(together.parts, together.cutting),
        shares.work(together.cost),
    )


def _marks(together: Together) -> Table:
    """Shares add up to the total at the prices as written; they do not follow a price that is changed."""
    currency = together.cost.currency
    return Table(
        name="Shares",
        purpose="What each project bears of what is bought together, at the prices of the project files: a "
        "sheet is borne by the parts on it, a box by those that need it. The mark begins the names of a "
        "project's boards and parts.",
        columns=(
            Column("Mark"),
            Column("Project"),
            Column("Layout", Show.WRAPPED),
            Column("Copies", Show.COUNT),
            Column("Boards", Show.COUNT),
            Column("Parts", Show.COUNT),
            Column("By itself", Show.MONEY, currency),
            Column("Share", Show.MONEY, currency),
        ),
        rows=tuple(
            (p.mark, p.label, p.name, p.copies, p.boards, p.parts, p.alone, p.share)
            for p in together.projects
        ),
        closing=(("Total", None, None, None, None, None, together.alone, together.cost.total),),
    )


def _series(series: SeriesResult, currency: str) -> tuple[Table, ...]:
    return (
        Table(
            name="Modules",
            purpose="Every module of the series with its number, as on labels.html, and what it bears of the "
            "whole.",
            columns=(
                Column("Number", Show.COUNT),
                Column("Module"),
                Column("Mark"),
                Column("Cost", Show.MONEY, currency),
                Column("Built", Show.TICK),
            ),
            rows=tuple((c.number, c.module, c.mark, c.cost, Tick()) for c in series.copies),
        ),
        Table(
            name="Ends",
            purpose="Every pair of ends that may meet, from the holes of the finished parts: how far the "
            "worst hole lies from its mate, and the worst rail.",
            columns=(
                Column("End"),
                Column("Meets"),
                Column("How", Show.WRAPPED),
                Column("Holes", Show.COUNT),
                Column("Holes apart", Show.QUANTITY, "mm"),
                Column("Rails apart", Show.QUANTITY, "mm"),
                Column("Connectors", Show.WRAPPED),
                Column("Mates"),
            ),
            rows=tuple(
                (
                    met.one,
                    met.other,
                    "one module turned round" if met.turned else "both as drawn",
                    met.holes,
                    round(met.apart_mm, 2),
                    round(met.rails_mm, 2) if met.rails_mm is not None else "not alike",
                    met.amiss or (f"{met.connectors} fit" if met.connectors else "none"),
                    "yes" if met.mates else "NO",
                )
                for met in series.ends
            ),
            strong=frozenset(n for n, met in enumerate(series.ends) if not met.mates),
        ),
    )


def _glance(batch: Batch) -> tuple[Line, ...]:
    found = ((says, [p for p in batch.projects if p.status == status]) for status, says in STATES.items())
    return tuple(
        Line(label=says[:1].upper() + says[1:], value=len(those), show=Show.COUNT, strong=says != STATES[0])
        for says, those in found
        if those
    )


def _bad(batch: Batch) -> tuple[Line, ...]:
    lines = tuple(
        Line(label=p.label, remark=f"{p.says[:1].upper()}{p.says[1:]}: {_first_fault(p)}", strong=True)
        for p in batch.projects
        if p.status
    )
    return lines or (Line(label="None", remark="Every project has a pack without faults."),)


def _first_fault(p: Project) -> str:
    return next((f"{f['says']} ({f['code']})" for f in p.findings if f["severity"] == "fault"), "")


def _projects(batch: Batch) -> Table:
    figures = next((p.figures for p in batch.projects if p.figures), ())
    return Table(
        name="Projects",
        purpose="What each project comes to by itself.",
        columns=(
            Column("Project"),
            Column("Layout", Show.WRAPPED),
            Column("State", Show.WRAPPED),
            *figure_columns(figures),
            Column("Faults", Show.COUNT),
            Column("Cautions", Show.COUNT),
        ),
        rows=tuple(
            (
                p.label,
                p.name,
                STATES[p.status],
                *figure_values(figures, p.figures),
                p.count("fault"),
                p.count("caution"),
            )
            for p in batch.projects
        ),
        strong=frozenset(n for n, p in enumerate(batch.projects) if p.status),
    )


def _findings(batch: Batch) -> Table:
    told = [(p.label, f) for p in batch.projects for f in p.findings if f["severity"] in ("fault", "caution")]
    return Table(
        name="Findings",
        purpose="Faults and cautions of all projects; notes are in each pack.",
        columns=(
            Column("Project"),
            Column("Kind"),
            Column("Code"),
            Column("What", Show.WRAPPED, widest=80),
            Column("Where", Show.WRAPPED, widest=40),
            Column("Mend", Show.WRAPPED, widest=60),
        ),
        rows=tuple((p, f["severity"], f["code"], f["says"], f["where"], f["mend"]) for p, f in told),
        strong=frozenset(n for n, (_, f) in enumerate(told) if f["severity"] == "fault"),
        when_empty="Nothing was found amiss.",
    )
