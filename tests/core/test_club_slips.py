"""Slips in a club's plugin are told as the plugin's, with what to mend, not as a defect of ours."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from boardwright.catalogue import collect
from boardwright.errors import PluginError
from boardwright.local import MODULE
from boardwright.plan.model import TrackPlan
from boardwright.stages import stage, wire

HOUSE = """from boardwright import hookimpl
@hookimpl
def boardwright_stages():
    return {}
"""


@pytest.mark.parametrize(
    ("answer", "told"),
    [
        ("len", "not iterable"),
        ("[rule]", "name 'rule' is not defined"),
        ("['rule']", "'rule', which is no function"),
        ("None", "not iterable"),
    ],
)
def test_a_hook_that_answers_no_list_of_functions(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, answer: str, told: str
) -> None:
    monkeypatch.delitem(sys.modules, MODULE, raising=False)
    (tmp_path / "house.py").write_text(HOUSE.format(answer))
    with pytest.raises(PluginError) as refused:
        collect((), tmp_path / "house.py")
    (finding,) = refused.value.findings
    assert finding.code == "BW-PLUG-020"
    assert "house.py" in finding.says
    assert told in finding.says


def test_an_annotation_of_something_not_imported_is_named() -> None:
    @stage()
    def rule(plan: TrackPlan) -> Deckk:  # type: ignore[name-defined]  # noqa: F821  # what is tested
        return None

    with pytest.raises(PluginError) as refused:
        wire(rule)
    assert refused.value.findings[0].code == "BW-PLUG-002"
    assert "'Deckk' is not defined" in refused.value.findings[0].says
