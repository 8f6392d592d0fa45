"""Ctrl-C, also where a library takes it for a failure of its own.

A library that is interrupted while it loads may tell that it cannot be loaded. What fails after Ctrl-C was
heard is no defect, then: whoever catches failures asks here first.

What this does not know: Ctrl-C in worker processes, which leave it to their parent (``engine.workers``).
"""

from __future__ import annotations

import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType

_heard = threading.Event()


@contextmanager
def listening() -> Iterator[None]:
    """Ctrl-C raises KeyboardInterrupt as ever, and is remembered until the next command."""
    _heard.clear()
    ours = threading.current_thread() is threading.main_thread()
    if not ours or signal.getsignal(signal.SIGINT) is not signal.default_int_handler:
        yield
        return
    signal.signal(signal.SIGINT, _stop)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, signal.default_int_handler)


def is_asked_for() -> bool:
    """Whether Ctrl-C was heard since the command began."""
    return _heard.is_set()


def _stop(number: int, frame: FrameType | None) -> None:
    _heard.set()
    signal.default_int_handler(number, frame)
