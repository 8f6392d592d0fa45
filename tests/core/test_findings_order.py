"""The order of findings in a report: worst first, each said once."""

from __future__ import annotations

from boardwright.findings import Finding, Place, Severity, worst_first


def finding(severity: Severity, says: str, board: str | None = None) -> Finding:
    return Finding(code="BW-X-001", severity=severity, says=says, where=(Place(board=board),))


def test_worst_first_and_each_once() -> None:
    """A note, a fault twice word for word, the fault of another board: note last, the repeat gone."""
    note, fault = finding(Severity.NOTE, "n"), finding(Severity.FAULT, "f")
    other = finding(Severity.FAULT, "f", board="B02")
    assert worst_first([note, fault, other, finding(Severity.FAULT, "f")]) == (fault, other, note)
