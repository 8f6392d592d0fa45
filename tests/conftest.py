"""What is loaded when the tests have been collected stays to the end: it is not looked through for rubbish
again and again, which took several per cent of the whole run.

No test fails for being slow: a busy machine is no defect of the code (``tests/benchmarks`` measures)."""

from __future__ import annotations

import gc

from hypothesis import settings

from boardwright.cli import RUBBISH

settings.register_profile("here", settings(), deadline=None)
settings.load_profile("here")


def pytest_collection_finish() -> None:
    gc.collect()
    gc.freeze()
    gc.set_threshold(*RUBBISH)
