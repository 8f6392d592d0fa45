"""Of several ways to make one artefact the project file picks one; names nobody offers are told."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import msgspec
import pytest

from boardwright import Section, stage
from boardwright.catalogue import Catalogue, arrange
from boardwright.errors import InputError, PluginError
from boardwright.plan.model import TrackPlan
from boardwright.stages import wire


class Hull(msgspec.Struct, frozen=True):
    pass


class Keel(msgspec.Struct, frozen=True):
    pass


class HullSettings(Section, frozen=True, kw_only=True, table="hull"):
    style: str = "carvel"


class ClinkSettings(Section, frozen=True, kw_only=True, table="clink"):
    lap_mm: float = 20.0


@stage(name="hull", style="carvel", chosen_by="hull.style")
def carvel(plan: TrackPlan, settings: HullSettings) -> Hull:
    return Hull()


@stage(name="hull", style="clinker", chosen_by="hull.style")
def clinker(plan: TrackPlan, settings: ClinkSettings) -> Hull:
    return Hull()


@stage(name="hull", style="carvel", chosen_by="hull.style")
def carvel_again(plan: TrackPlan) -> Hull:
    return Hull()


@stage(name="hull", style="keel", chosen_by="hull.style")
def makes_a_keel(plan: TrackPlan) -> Keel:
    return Keel()


@stage(name="hull", style="nameless")
def without_a_setting(plan: TrackPlan) -> Hull:
    return Hull()


@stage()
def launch(hull: Hull) -> Keel:
    return Keel()


def offered(*styles: Callable[..., Any], **tables: Any) -> Catalogue:
    return arrange([wire(launch, "yard")], [wire(s, "yard") for s in styles], tables)


def taking_part(catalogue: Catalogue) -> list[Callable[..., Any]]:
    return [s.function for s in catalogue.stages]


def test_the_settings_own_default_picks() -> None:
    assert taking_part(offered(carvel, clinker)) == [carvel, launch]


def test_the_project_file_picks() -> None:
    assert taking_part(offered(carvel, clinker, hull={"style": "clinker"})) == [clinker, launch]


def test_settings_of_a_style_that_takes_no_part_are_known_still() -> None:
    assert set(offered(carvel, clinker).sections) == {"hull", "clink"}


@pytest.mark.parametrize(("name", "told"), [("clincker", '"clincker"'), (7, "7"), (["x"], "a list")])
def test_a_name_nobody_offers_is_told_with_those_there_are(name: Any, told: str) -> None:
    with pytest.raises(InputError) as refused:
        offered(carvel, clinker, hull={"style": name})
    (finding,) = refused.value.findings
    assert finding.code == "BW-PROJ-011"
    assert told in finding.says
    assert finding.mend.startswith('Choose one of "carvel", "clinker"')


def test_a_style_chosen_by_a_setting_that_does_not_exist_is_the_plugins_fault() -> None:
    @stage(name="hull", style="raft", chosen_by="hull.styl")
    def raft(plan: TrackPlan, settings: HullSettings) -> Hull:
        return Hull()

    with pytest.raises(PluginError) as refused:
        offered(carvel, raft)
    (finding,) = refused.value.findings
    assert finding.code == "BW-PLUG-018"
    assert "chosen by hull.styl, which is no setting" in finding.says
    assert finding.mend == "Did you mean 'hull.style'?"


@pytest.mark.parametrize(
    ("second", "told"),
    [
        (carvel_again, "both"),
        (makes_a_keel, "same thing"),
        (without_a_setting, "without the setting"),
    ],
)
def test_styles_that_cannot_be_chosen_between_are_refused(second: Callable[..., Any], told: str) -> None:
    told = {"both": "two styles of hull.style are called 'carvel'"}.get(told, told)
    with pytest.raises(PluginError) as refused:
        offered(carvel, second)
    assert told in str(refused.value)
    assert {f.code for f in refused.value.findings} == {"BW-PLUG-018"}
