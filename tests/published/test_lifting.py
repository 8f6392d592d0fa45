"""What a person may lift, against two published guidelines. Both are filters, not safe limits.

HSE guideline filter (L23): 25 kg for men between elbow and knuckle close to the body (read), 15 kg at arm's
length (memory); a team of two lifts two thirds of the sum (read).
NIOSH revised equation (read): RWL = 23 · HM · VM · DM · AM · FM · CM, with H the hands' distance in front of
the ankles in cm, V their height and D the way up; HM = 25/H, VM = 1 − 0.003·|V − 75|, DM = 0.82 + 4.5/D, and
none of them above 1. AM, FM and CM are 1 here: no twist, seldom, good grip.
"""

from __future__ import annotations

import math

import pytest

from boardwright_stages.splitting.limits import LIFTING_KG, TEAM_OF_TWO
from boardwright_stages.splitting.settings import SplittingSettings


def niosh_kg(h_cm: float, v_cm: float, d_cm: float) -> float:
    hm = min(1.0, 25 / h_cm)
    vm = 1 - 0.003 * abs(v_cm - 75)
    dm = min(1.0, 0.82 + 4.5 / max(d_cm, 25))
    return 23 * hm * vm * dm


def test_the_equation_gives_its_published_examples() -> None:
    assert niosh_kg(25, 75, 25) == pytest.approx(23.0)  # read: the best lift there is
    # read at second hand: H 45, V 25, D 40 → 23 × 0.5556 × 0.85 × 0.9325 = 10.13 kg
    assert niosh_kg(45, 25, 40) == pytest.approx(10.13, rel=1e-3)


def test_a_team_of_two_lifts_two_thirds_of_the_sum() -> None:
    assert math.floor(TEAM_OF_TWO * (25 + 25)) == 33  # read
    assert math.floor(TEAM_OF_TWO * (16 + 16)) == 21  # read


def test_one_person_is_asked_for_no_more_than_either_guideline_allows() -> None:
    """A board held with its middle 38 cm in front, from a trestle at 75 cm: 23 × 25 / 38 = 15.1 kg."""
    assert LIFTING_KG[1] == 15.0  # HSE at arm's length, memory
    assert LIFTING_KG[1] <= niosh_kg(38, 75, 25) < LIFTING_KG[1] + 0.2
    assert LIFTING_KG[1] > niosh_kg(45, 75, 25)  # farther out or from the floor the filter is no promise
    assert LIFTING_KG[1] > niosh_kg(38, 20, 55)


def test_two_people_stay_below_twice_one_and_below_the_published_team() -> None:
    assert LIFTING_KG[2] == pytest.approx(2 / 3 * 2 * 15.0)
    assert LIFTING_KG[2] < 2 * LIFTING_KG[1]
    assert LIFTING_KG[2] <= 21  # read: two women, close to the body


def test_the_settings_ask_for_the_guideline() -> None:
    assert SplittingSettings().most_kg is None
    assert SplittingSettings(people=1).most_kg == LIFTING_KG[1]
    assert SplittingSettings(people=2, max_mass_kg=30).most_kg == LIFTING_KG[2]
    assert SplittingSettings(people=2, max_mass_kg=9).most_kg == 9


@pytest.mark.parametrize(("scale", "gauge"), [(87, 16.5), (160, 9.0), (120, 12.0), (220, 6.5)])
def test_rails_lie_as_far_apart_as_published(scale: float, gauge: float) -> None:
    """NEM 010, read: standard gauge 1435 mm over the scale, rounded to half a millimetre."""
    assert 2 * SplittingSettings().rail_mm(scale) == pytest.approx(gauge, abs=0.05)
