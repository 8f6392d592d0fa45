"""The files a project names, read: drawing, device list, and the lists that sections want.

What this does not know: what is in them.
"""

from __future__ import annotations

from .disk import nearest, read_file
from .errors import InputError
from .findings import Finding, Place, Severity
from .plan.settings import DeviceSettings, DrawingSettings
from .plan.source import SourceFile
from .project import Project


def read_sources(layout: Project) -> tuple[SourceFile, SourceFile | None]:
    """The drawing's and the device list's bytes. Raises InputError naming each file that is missing."""
    problems: list[Finding] = []
    drawing_name = layout.section(DrawingSettings).file
    device_name = layout.section(DeviceSettings).file
    if not drawing_name:
        problems.append(
            Finding(
                code="BW-PROJ-006",
                severity=Severity.FAULT,
                says="the project file names no drawing",
                where=(Place(file=layout.file, key="[drawing] file"),),
                mend='Write the drawing\'s name: file = "plan.dxf".',
            )
        )
    drawing = _source(layout, drawing_name, "[drawing] file", problems) if drawing_name else None
    device_list = _source(layout, device_name, "[devices] file", problems) if device_name else None
    if problems or drawing is None:
        raise InputError(problems)
    return drawing, device_list


def read_lists(layout: Project) -> dict[str, SourceFile]:
    """Files that sections want read, by table. Raises InputError naming each that is missing."""
    problems: list[Finding] = []
    wanted = {table: section.file_beside() for table, section in sorted(layout.sections.items())}
    found = {
        table: _source(layout, asked[1], f"[{table}] {asked[0]}", problems)
        for table, asked in wanted.items()
        if asked
    }
    if problems:
        raise InputError(problems)
    return {table: source for table, source in found.items() if source}


def _source(layout: Project, name: str, key: str, problems: list[Finding]) -> SourceFile | None:
    try:
        return SourceFile(name, read_file(layout.folder / name))
    except OSError as problem:
        problems.append(
            Finding(
                code="BW-PROJ-007",
                severity=Severity.FAULT,
                says=f"the file {name} cannot be read: {problem.strerror or problem}",
                where=(Place(file=layout.file, key=key),),
                mend=nearest(layout.folder, name)
                or "Put the file beside the project file, or correct its name.",
            )
        )
        return None
