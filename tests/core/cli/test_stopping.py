"""Ctrl-C that a library takes for a failure of its own still stops the command, and is told as that."""

from __future__ import annotations

import signal
from argparse import ArgumentParser, Namespace
from collections.abc import Callable

import pytest

from boardwright import cli, stopping
from boardwright.engine.work import Work, do


def swallowed() -> str:
    """As a library does that is interrupted while it loads."""
    try:
        signal.raise_signal(signal.SIGINT)
    except KeyboardInterrupt:
        raise ImportError("multiarray failed to import") from None
    return "not stopped"


def plain_failure() -> str:
    raise ImportError("no such library")


def ran(monkeypatch: pytest.MonkeyPatch, act: Callable[[], object]) -> int:
    """The status of a command that does this."""

    class Command:
        @staticmethod
        def run(options: Namespace) -> int:
            act()
            return 0

    def parser() -> ArgumentParser:
        top = ArgumentParser()
        top.set_defaults(version=False, command="act", run=Command.run)
        return top

    monkeypatch.setattr(cli, "parser", parser)
    return cli.main([])


def call(function: Callable[[], str]) -> Callable[[], object]:
    return lambda: do(Work(function, {}, None, str))


@pytest.mark.parametrize("act", [swallowed, call(swallowed)], ids=["command", "stage"])
def test_it_is_stopped_and_says_so(
    act: Callable[[], object], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert ran(monkeypatch, act) == 130
    assert capsys.readouterr().err.strip() == "Stopped. What was finished is kept; the pack is as it was."
    assert signal.getsignal(signal.SIGINT) is signal.default_int_handler


def test_a_failure_after_it_in_the_next_command_is_a_failure(monkeypatch: pytest.MonkeyPatch) -> None:
    assert ran(monkeypatch, swallowed) == 130
    assert ran(monkeypatch, plain_failure) == 3
    with stopping.listening():
        made = do(Work(plain_failure, {}, None, str))
    assert made.error.startswith("ImportError: no such library (test_stopping.py, line ")
