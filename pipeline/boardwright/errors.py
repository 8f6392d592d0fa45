"""Errors that stop a command. Each carries findings, so a modeller reads what, where and what to do.

``InputError``   the drawing, the device list or the project file cannot be used (exit status 2)
``PluginError``  plugins do not fit together (exit status 2)
``DefectError``  a defect of ours (exit status 3)
"""

from __future__ import annotations

from collections.abc import Iterable

from .findings import Finding, Place, Severity


class BoardwrightError(Exception):
    """Root of our errors. ``findings`` holds every matter found, not only the first."""

    exit_status = 3

    def __init__(self, findings: Iterable[Finding]) -> None:
        self.findings = tuple(findings)
        super().__init__("; ".join(f.says for f in self.findings))

    @classmethod
    def of(cls, code: str, says: str, where: Place | None = None, mend: str = "") -> BoardwrightError:
        """Make the error for one matter."""
        places = (where,) if where else ()
        return cls([Finding(code=code, severity=Severity.FAULT, says=says, where=places, mend=mend)])


class InputError(BoardwrightError):
    exit_status = 2


class PluginError(BoardwrightError):
    exit_status = 2


class DefectError(BoardwrightError):
    exit_status = 3
