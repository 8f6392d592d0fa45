"""For authors of plugins: try a stage with plain values, and prove that it keeps the contract.

    from boardwright.testing import StageContract, call

    class TestMyJoists(StageContract):
        stage = staticmethod(my_joists)

        def arguments(self):
            return {"board": …, "frame": …, "settings": MySettings()}

The contract: the answer is of the type the annotation promises; called twice it is the same to the byte;
the order of boards in ``All`` and ``Near`` does not matter; the arguments are not changed; every finding has
a code, a sentence and, unless it is a note, a mend. What this cannot see: a stage that reads a file, the
clock or a global, if two calls happen to agree.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Any

from .. import canon
from ..engine.work import Work, Worked, do
from ..findings import Severity
from ..stages import Reads, Stage, wire

NOTHING: Mapping[str, bytes] = MappingProxyType({})


def call(stage: Callable[..., Any], **arguments: Any) -> tuple[Any, Worked]:
    """Call a stage as the engine does. Returns (its answer, the record of the call).

    ``Notes`` and ``Memo`` are supplied; every other parameter must be given. Raises AssertionError with the
    traceback when the stage raises.
    """
    wired = wire(stage)
    worked = _do(wired, arguments)
    assert worked.data is not None, worked.trace or "; ".join(f.says for f in worked.unusable_input)
    return canon.decode(worked.data, wired.answers), worked


def _do(wired: Stage, arguments: Mapping[str, Any], kept: Mapping[str, bytes] = NOTHING) -> Worked:
    names = {i.reads: i.name for i in wired.inputs if i.reads in (Reads.NOTES, Reads.MEMO)}
    notes, memo = names.get(Reads.NOTES), names.get(Reads.MEMO)
    return do(Work(wired.function, dict(arguments), notes, wired.answers, memo, dict(kept)))


class StageContract:
    """Inherit, and give ``stage`` and ``arguments``: pytest then runs the contract on your stage."""

    stage: Callable[..., Any]

    def arguments(self) -> dict[str, Any]:
        """Arguments by name for one call, ``Notes`` and ``Memo`` excepted; made anew at each call."""
        raise NotImplementedError("give arguments() in your test class")

    def _worked(self, arguments: Mapping[str, Any]) -> Worked:
        worked = _do(wire(self.stage), arguments)
        assert worked.data is not None, worked.trace
        return worked

    def test_answer_is_what_the_annotation_says(self) -> None:
        call(self.stage, **self.arguments())

    def test_twice_the_same(self) -> None:
        one, two = self._worked(self.arguments()), self._worked(self.arguments())
        assert one.data == two.data
        assert one.findings == two.findings

    def test_pieces_kept_change_nothing(self) -> None:
        """The second call finds in its memo what the first one used."""
        one = self._worked(self.arguments())
        two = _do(wire(self.stage), self.arguments(), one.pieces)
        assert (one.data, one.findings, one.pieces) == (two.data, two.findings, two.pieces)

    def test_order_of_boards_does_not_matter(self) -> None:
        arguments = self.arguments()
        for i in wire(self.stage).inputs:
            if i.reads in (Reads.ALL, Reads.NEAR):
                arguments[i.name] = dict(reversed(arguments[i.name].items()))
        assert self._worked(arguments).data == self._worked(self.arguments()).data

    def test_arguments_are_left_alone(self) -> None:
        arguments = self.arguments()
        before = {name: canon.encode(value) for name, value in arguments.items()}
        self._worked(arguments)
        assert {name: canon.encode(value) for name, value in arguments.items()} == before

    def test_findings_say_what_to_do(self) -> None:
        for finding in self._worked(self.arguments()).findings:
            assert finding.code
            assert finding.says
            assert finding.mend or finding.severity in (Severity.NOTE, Severity.MENDED), finding.code
