"""Nouns to rows: what was found, and where the rules come from."""

from __future__ import annotations

from boardwright import Finding, FindingList, Severity
from boardwright.grouping import differing, together, told
from boardwright_timber.model.checks import CheckReport
from boardwright_timber.reference import DENSITIES

from .sheet import Column, Show, Table


def findings(findings: FindingList) -> Table:
    """Findings that say one thing of many places have one row, with every place."""
    groups = together(findings.findings, told)
    return Table(
        name="Findings",
        purpose="Everything the tool has to say, worst first. A fault means: do not build this before it is "
        "mended.",
        columns=(
            Column("Severity"),
            Column("Code"),
            Column("What", Show.WRAPPED, widest=60),
            Column("Where", Show.WRAPPED),
            Column("Mend", Show.WRAPPED, widest=60),
        ),
        rows=tuple(
            (
                f.severity.value.upper() if f.severity is Severity.FAULT else f.severity.value,
                f.code,
                _words(same),
                "\n".join(dict.fromkeys(str(place) for one in same for place in one.where)),
                f.mend,
            )
            for same in groups
            for f in same[:1]
        ),
        strong=frozenset(n for n, same in enumerate(groups) if same[0].severity is Severity.FAULT),
        when_empty="Nothing was found amiss.",
    )


def _words(same: list[Finding]) -> str:
    others = [words for words in differing([told(f) for f in same]) if words]
    return same[0].says + (f"\nThe same for: {'; '.join(others)}" if others else "")


def checks(checks: CheckReport) -> Table:
    return Table(
        name="Checks",
        purpose="What was measured on the finished pack: the worst value found, and what it may be.",
        columns=(
            Column("Result"),
            Column("Code"),
            Column("Check", Show.WRAPPED, widest=60),
            Column("Worst", Show.QUANTITY),
            Column("May be"),
            Column("Limit", Show.QUANTITY),
            Column("Unit"),
            Column("Looked at", Show.COUNT),
            Column("Where the worst is", Show.WRAPPED),
        ),
        rows=tuple(
            (
                "passed" if c.passed else "FAULT",
                c.code,
                c.says,
                c.measured,
                "at least" if c.at_least else "at most",
                c.limit,
                c.unit,
                c.counted,
                c.where,
            )
            for c in checks.lines
        ),
        strong=frozenset(n for n, c in enumerate(checks.lines) if not c.passed),
        when_empty="Nothing was checked.",
    )


def sources() -> Table:
    return Table(
        name="Sources",
        purpose="Where the rules and values come from. Read: seen in the source or a page that quotes it. "
        "Memory: not confirmed, check before relying on it.",
        columns=(
            Column("What", Show.WRAPPED, widest=36),
            Column("Source", Show.WRAPPED, widest=90),
            Column("How sure"),
        ),
        rows=SOURCES + _densities(),
    )


PRACTICE = "common practice, no source"

# Each row repeats what the reference tables and the rules' own docstrings say of their source.
SOURCES: tuple[tuple[str, str, str], ...] = (
    ("Clearance holes for bolts", "ISO 273", "read"),
    ("Cup-head bolts", "DIN 603 (near ISO 8677)", "read"),
    ("Nuts", "ISO 4032", "read"),
    ("Plain washers", "ISO 7089", "read"),
    ("Timber washers", "DIN 440 form R (near ISO 7094)", "read; M12 memory"),
    ("Washers on wood: 3 d wide, 0.3 d thick", "EN 1995-1-1, 10.4.3", "memory"),
    ("Lengths bolts are sold in", "ISO 888", "memory"),
    ("Spacing of joists, sizes of members", PRACTICE, ""),
    ("Where boards are split, room round devices", PRACTICE, ""),
    ("Pattern of bolts, dowels and wire holes", PRACTICE, ""),
    ("Screws and glue per joint", PRACTICE, ""),
    ("Kerf and edge trim", "Your saw: measure it. Defaults are " + PRACTICE, ""),
    ("Prices", "The project file. Defaults are examples: ask your merchant.", ""),
    ("Cautions", PRACTICE + "; local codes and licensed practice come first", ""),
)


def _densities() -> tuple[tuple[str, str, str], ...]:
    """One row for each source of the densities that masses are computed from."""
    by_source: dict[tuple[str, str], set[str]] = {}
    for row in DENSITIES:
        by_source.setdefault((row.source, row.mark), set()).add(row.material)
    return tuple(
        (f"Density: {', '.join(sorted(materials))}", source, mark)
        for (source, mark), materials in sorted(by_source.items())
    )
