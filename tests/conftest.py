"""What is loaded when the tests have been collected stays to the end: it is not looked through for rubbish
again and again, which took several per cent of the whole run."""

from __future__ import annotations

import gc

from boardwright.cli import RUBBISH


def pytest_collection_finish() -> None:
    gc.collect()
    gc.freeze()
    gc.set_threshold(*RUBBISH)
