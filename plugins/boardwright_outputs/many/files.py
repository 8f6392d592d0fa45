"""What a batch and a study are shown with: data, a workbook, and for a study a page."""

from __future__ import annotations

from collections.abc import Mapping

from boardwright.many.model import Batch, Study
from boardwright_timber.model.together import Together

from .data import written


def study_files(study: Study) -> Mapping[str, bytes]:
    from .study_book import workbook
    from .study_page import page

    return {"study.json": written(study), "index.html": page(study), "workbook.xlsx": workbook(study)}


def batch_files(batch: Batch) -> Mapping[str, bytes]:
    from .batch_book import workbook

    files = {"batch.json": written(batch), "workbook.xlsx": workbook(batch)}
    if isinstance(batch.together, Together):
        files |= _sheets(batch.together)
        if batch.together.series:
            from .series_labels import labels

            files["labels.html"] = labels(batch.together)
    return files


def _sheets(together: Together) -> dict[str, bytes]:
    """Each different sheet full size, its parts named with their project and board; what is left over."""
    from ..drawings import names
    from ..drawings.dxf import write_dxf
    from ..nest.sheet import plain_sheet
    from ..offcuts.outputs import PATH
    from ..offcuts.stock_file import stock_file

    files = {PATH: stock_file(together.cutting.sheets)}
    for sheet in together.cutting.sheets:
        note = f"Cut {sheet.times} {sheet.called.lower()}s like this one" if sheet.times > 1 else ""
        called = {p.part: p.part for p in sheet.parts}
        files[names.sheet_path(sheet.id, sheet.bar)] = write_dxf(plain_sheet(sheet, called, note))
    return files
