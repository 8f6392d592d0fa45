"""The command line: one file a command. Heavy imports happen inside a command, never here.

Exit status: 0 pack written, no fault · 1 pack written, with faults · 2 input cannot be used, nothing
written · 3 a defect of ours.
"""

from __future__ import annotations

import argparse
import atexit
import gc
import os
import sys
import threading
from contextlib import suppress
from typing import NoReturn

from .. import stopping
from . import batch, changes, inspect, made, nest, new, pack, plugins, series, stage, study, tidy, verify, why

ONE_CORE_EACH = ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS", "VECLIB_MAXIMUM_THREADS")
"""Where array libraries are told how many cores to take: our processes share the cores among themselves,
and sums added up on one core come out the same on every machine."""

RUBBISH = (50_000, 5, 5)
"""How many new objects may pile up before Python looks for circles among them, and how often it looks at
older ones: at its own 700 that took a twentieth of a cold run or more, and found next to nothing. A drawing
that was read is such a circle: where one process reads many, some two million objects pile up and no more."""

COMMANDS = (new, inspect, pack, stage, why, changes, made, verify, batch, series, study, nest, tidy, plugins)


def parser() -> argparse.ArgumentParser:
    top = argparse.ArgumentParser(
        prog="boardwright",
        description="From a finished track plan to everything needed to build the boards under it.",
    )
    top.add_argument("--version", action="store_true", help="print the version and leave")
    commands = top.add_subparsers(dest="command", metavar="COMMAND")
    for module in COMMANDS:
        module.add(commands)
    return top


def main(argv: list[str] | None = None) -> int:
    top = parser()
    options = top.parse_args(argv)
    if options.version:
        from .. import __version__

        print(f"boardwright {__version__}")
        return 0
    if not options.command:
        top.print_help()
        return 2
    for name in ONE_CORE_EACH:
        os.environ.setdefault(name, "1")
    gc.set_threshold(*RUBBISH)
    try:
        with stopping.listening():
            status: int = options.run(options)
    except KeyboardInterrupt:
        return _stopped()
    except BrokenPipeError:
        sys.stderr.close()
        return 0
    except Exception as problem:  # the last line: a defect of ours is told as one, with its trace kept aside
        if stopping.is_asked_for():
            return _stopped()
        from .telling import tell_defect

        tell_defect(problem, getattr(options, "layout", None))
        return 3
    return status


def _stopped() -> int:
    print("\nStopped. What was finished is kept; the pack is as it was.", file=sys.stderr)
    return 130


def command() -> NoReturn:
    """The command as a process of its own. It ends without freeing object by object what the system takes
    back at once: after a pack that took as long as a stage."""
    status = main()
    if threading.active_count() == 1:  # else somebody still has something to finish
        atexit._run_exitfuncs()
        with suppress(OSError, ValueError):  # what cannot be written is then told as ever
            sys.stdout.flush()
            sys.stderr.flush()
            os._exit(status)
    sys.exit(status)
