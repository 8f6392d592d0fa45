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
