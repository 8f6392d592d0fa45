"""The workbook of a study: the constructions, what each step costs and buys, what is wrong with some."""

from __future__ import annotations

from boardwright.many.choosing import shown
from boardwright.many.model import Construction, Study

from ..workbook.build import built
from ..workbook.sheet import Block, Column, Front, Line, Show, Table
from .figures import figure_columns, figure_values

BEST = "best"


def workbook(study: Study) -> bytes:
    tables = (_constructions(study), _steps(study), _troubles(study))
    best = [c for c in study.constructions if c.best]
    front = Front(
        name="Summary",
        title=study.name or "Unnamed layout",
        purpose="Constructions of one layout compared. Number 0 is the project as it stands.",
        blocks=(
            Block(
                heading="Varied",
                lines=tuple(
                    Line(
                        label=" + ".join(v.keys),
                        value=len(v.rows),
                        show=Show.COUNT,
                        remark=", ".join(" + ".join(map(shown, row)) for row in v.rows),
                    )
                    for v in study.varied
                ),
            ),
            Block(
                heading="Choices that no other beats",
                lines=tuple(Line(label=f"No. {c.number}", remark=said(c, study.counts)) for c in best)
                or (Line(label="None", remark="Every construction has faults."),),
            ),
            Block(
                heading="In this workbook",
                lines=tuple(Line(label=t.name, remark=t.purpose, sheet=t.name) for t in tables),
            ),
        ),
    )
    return built(front, tables)


def said(c: Construction, counts: tuple[str, ...]) -> str:
    """A construction in one line: its settings and the figures that count."""
    settings = ", ".join(f"{key} {shown(value)}" for key, value in c.settings) or "the project as it stands"
    figures = ", ".join(f"{f.says.lower()} {f.shown}" for f in c.figures if f.key in counts)
    return f"{settings}: {figures}"


def verdict(c: Construction) -> str:
    if c.refused:
        return "cannot be made"
    if c.faults:
        return "faults: do not build"
    return BEST if c.best else f"beaten by {c.beaten_by}"


def _constructions(study: Study) -> Table:
    keys = [k for v in study.varied for k in v.keys]
    figures = next((c.figures for c in study.constructions if c.figures), ())
    return Table(
        name="Constructions",
        purpose="What each construction comes to. Best: no other is as good in every figure that counts "
        "(" + ", ".join(f.says.lower() for f in figures if f.key in study.counts) + ") and better in one.",
        columns=(
            Column("No.", Show.COUNT),
            *(Column(key, Show.WRAPPED) for key in keys),
            *figure_columns(figures),
            Column("Faults", Show.COUNT),
            Column("Cautions", Show.COUNT),
            Column("Verdict"),
        ),
        rows=tuple(
            (
                c.number,
                *(shown(dict(c.settings)[k]) if c.settings else "" for k in keys),
                *figure_values(figures, c.figures),
                c.faults,
                c.cautions,
                verdict(c),
            )
            for c in study.constructions
        ),
        strong=frozenset(n for n, c in enumerate(study.constructions) if c.best),
    )


def _steps(study: Study) -> Table:
    return Table(
        name="Steps",
        purpose="What each step costs and what it buys, over all pairs of constructions alike in all else.",
        columns=(
            Column("Setting", Show.WRAPPED),
            Column("From"),
            Column("To"),
            Column("Pairs", Show.COUNT),
            Column("Costs", Show.WRAPPED, widest=60),
            Column("Buys", Show.WRAPPED, widest=60),
            Column("One way or the other", Show.WRAPPED, widest=60),
            Column("Faults\nmended", Show.COUNT),
            Column("Faults\nbrought", Show.COUNT),
        ),
        rows=tuple(
            (
                " + ".join(s.keys),
                " + ".join(map(shown, s.old)),
                " + ".join(map(shown, s.new)),
                s.pairs,
                ", ".join(s.costs),
                ", ".join(s.buys),
                ", ".join(s.either),
                s.mends,
                s.breaks,
            )
            for s in study.steps
        ),
        when_empty="Nothing has more than one value.",
    )


def _troubles(study: Study) -> Table:
    return Table(
        name="Faults",
        purpose="Why some constructions must not be built, or cannot be made.",
        columns=(
            Column("No.", Show.COUNT),
            Column("Code"),
            Column("What", Show.WRAPPED, widest=80),
            Column("Where", Show.WRAPPED, widest=40),
            Column("Mend", Show.WRAPPED, widest=60),
        ),
        rows=tuple(
            (c.number, f["code"], f["says"], f["where"], f["mend"])
            for c in study.constructions
            for f in c.findings
            if f["severity"] == "fault"
        ),
        when_empty="No construction has a fault.",
    )
