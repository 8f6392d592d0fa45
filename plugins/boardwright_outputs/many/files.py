"""What a batch and a study are shown with: data, a workbook, and for a study a page."""

from __future__ import annotations

from collections.abc import Mapping

from boardwright.many.model import Batch, Study

from .data import written


def study_files(study: Study) -> Mapping[str, bytes]:
    from .study_book import workbook
    from .study_page import page

    return {"study.json": written(study), "index.html": page(study), "workbook.xlsx": workbook(study)}


def batch_files(batch: Batch) -> Mapping[str, bytes]:
    from .batch_book import workbook

    return {"batch.json": written(batch), "workbook.xlsx": workbook(batch)}
