"""The built-in outputs' door: what this package writes into a pack.

The output modules import no drawing or spreadsheet library before they are called, so collecting them is
cheap.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from boardwright import Notes, hookimpl
from boardwright.many.model import Batch, Study

from .book.outputs import OUTPUTS as BOOK
from .book.step_pictures import STAGES as STEP_PICTURES
from .drawings.outputs import OUTPUTS as DRAWINGS
from .drawings.stages import STAGES as PICTURES
from .labels.outputs import OUTPUTS as LABELS
from .manifest.outputs import OUTPUTS as MANIFEST
from .offcuts.outputs import OUTPUTS as OFFCUTS
from .templates.outputs import OUTPUTS as TEMPLATES
from .workbook.outputs import OUTPUTS as WORKBOOK


@hookimpl
def boardwright_stages() -> Iterable[Callable[..., Any]]:
    """Pictures that several outputs show."""
    return (*PICTURES, *STEP_PICTURES)


@hookimpl
def boardwright_outputs() -> Iterable[Callable[..., Any]]:
    return (*WORKBOOK, *DRAWINGS, *BOOK, *MANIFEST, *OFFCUTS, *TEMPLATES, *LABELS)


@hookimpl
def boardwright_nest_files(nested: Any) -> Mapping[str, bytes]:
    """``nest.json``, one DXF for each different sheet, and a workbook."""
    from .nest.files import nest_files

    return nest_files(nested)


@hookimpl
def boardwright_batch_files(batch: Batch) -> Mapping[str, bytes]:
    """``batch.json`` and a summary workbook; with what is bought together, its cut sheets too."""
    from .many.files import batch_files

    return batch_files(batch)


@hookimpl
def boardwright_study_files(study: Study) -> Mapping[str, bytes]:
    """``study.json``, a workbook, and a page with a picture."""
    from .many.files import study_files

    return study_files(study)


@hookimpl
def boardwright_verify(files: Mapping[str, bytes], notes: Notes) -> Iterable[str]:
    """Boards put together again from the files, and everything that must agree with it."""
    from .verify.verifier import proved

    return proved(files, notes)
