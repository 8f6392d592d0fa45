"""A plugin's settings explain themselves when they are refused; ours are explained on a page."""

from __future__ import annotations

from typing import Annotated

import msgspec
import pytest

from boardwright.plan.settings import DrawingSettings
from boardwright.refusing import CHANGE, refused
from boardwright.settings import Section


class ClubSettings(Section, frozen=True, kw_only=True, table="club of a test"):
    apart_mm: Annotated[float, msgspec.Meta(gt=0, description="Joists stand no further apart.")] = 300.0
    plain: int = 3


@pytest.mark.parametrize(
    ("values", "mend"),
    [
        ({"apart_mm": -1.0}, "Change the value. What it is: Joists stand no further apart."),
        ({"plain": "x"}, "Change the value; it is a plugin's."),
    ],
)
def test_of_a_plugin(values: dict[str, object], mend: str) -> None:
    (found,) = refused("layout.toml", "club", ClubSettings, values)
    assert found.mend == mend


def test_of_ours() -> None:
    (found,) = refused("layout.toml", "drawing", DrawingSettings, {"gap_mm": -1})
    assert found.mend == CHANGE


class PairSettings(Section, frozen=True, kw_only=True, table="pair of a test"):
    low_mm: float = 1.0
    high_mm: float = 2.0

    def __post_init__(self) -> None:
        if self.low_mm > self.high_mm:
            raise ValueError(f"low_mm = {self.low_mm:g} lies above high_mm = {self.high_mm:g}")


def test_of_two_settings_that_only_together_are_wrong() -> None:
    """Alone either keeps the other's default: 1.5 lies below 2, and 1 below 1.2."""
    (found,) = refused("layout.toml", "pair", PairSettings, {"low_mm": 1.5, "high_mm": 1.2})
    assert (found.code, found.where[0].key) == ("BW-PROJ-005", "[pair]")
    assert "low_mm = 1.5 lies above high_mm = 1.2" in found.says
    (alone,) = refused("layout.toml", "pair", PairSettings, {"low_mm": 3.0, "high_mm": 2.0})
    assert "low_mm = 3" in alone.says  # told once, by the key that is wrong by itself
