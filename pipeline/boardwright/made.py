"""The list of what is made, which the builder keeps beside the project file.

The core hands its text to the stages as ``MadeList`` and knows nothing of what is in it: plugins write it
(``boardwright_made``) and read it.
"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import msgspec

from .disk import read_file
from .errors import InputError
from .findings import Place
from .settings import Section


class MadeSettings(Section, frozen=True, kw_only=True, table="made"):
    file: Annotated[
        str,
        msgspec.Meta(
            description="The list of parts that are made, kept by `boardwright made`; read if it is there."
        ),
    ] = "made.json"


class MadeList(msgspec.Struct, frozen=True):
    """The list's text and its file; empty when there is none."""

    parts_made: str = ""
    file: str = ""


NOTHING_MADE = MadeList()


def read_list(folder: Path, file: str) -> MadeList:
    """The list beside a project file. Raises InputError when it is there and cannot be read."""
    if not file or not (folder / file).is_file():
        return NOTHING_MADE
    try:
        return MadeList(read_file(folder / file).decode("utf-8-sig"), file)
    except (OSError, UnicodeDecodeError) as problem:
        raise InputError.of(
            "BW-MADE-010",
            f"the list of what is made cannot be read: {problem}",
            Place(file=file, key="[made] file"),
            "Bring it back from a copy; or take it away, and mark what is made again.",
        ) from problem
