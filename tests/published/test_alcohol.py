"""Alcohol left in food: each row of the published list.

Source: USDA Table of Nutrient Retention Factors, Release 6, USDA ARS 2007, codes 5001 to 5010, per cent left.
"""

from __future__ import annotations

import pytest

from nutrilab.cooking.retention import alcohol_left, by_code, situation
from nutrilab.cooking.steps import of_food
from nutrilab.foods import Food
from nutrilab.lines import parse_line
from nutrilab.nutrition import Put
from nutrilab.recipe import Cooking
from tests.stages import cook_stage

WINE = Food("test:wine", "Wine, table, red", "", "test", None, {"ALC": 10.0, "WATER": 87.0, "ENERC_KCAL": 80.0})
PUBLISHED = [
    (5001, 70, Cooking(method="raw", minutes=480)),
    (5002, 85, Cooking(method="simmered", minutes=0)),
    (5003, 75, Cooking(method="pan-fried", minutes=0, flamed=True)),
    (5004, 40, Cooking(method="simmered", minutes=15)),
    (5005, 35, Cooking(method="baked", minutes=30)),
    (5006, 25, Cooking(method="stewed", minutes=60)),
    (5007, 20, Cooking(method="braised", minutes=90)),
    (5008, 10, Cooking(method="simmered", minutes=120)),
    (5009, 5, Cooking(method="braised", minutes=150)),
]


@pytest.mark.parametrize(("code", "left", "cooking"), PUBLISHED, ids=lambda v: str(v) if isinstance(v, int) else "")
def test_by_method_and_minutes(code: int, left: int, cooking: Cooking) -> None:
    assert alcohol_left(cooking) == pytest.approx(left / 100)
    stage = cook_stage([Put(WINE, 200, 200, 200, "red wine", parse_line("200 ml red wine"))], [], cooking, "sauce")
    assert stage.cooked.get("ALC") == pytest.approx(20 * left / 100)


@pytest.mark.parametrize(("code", "left"), [(code, left) for code, left, _ in PUBLISHED] + [(5010, 45)])
def test_by_code(code: int, left: int) -> None:
    row = by_code(code)
    assert row is not None
    assert row.factors == {"ALC": left / 100}


def test_not_stirred_in_and_baked_25_minutes() -> None:
    assert situation("on top") == 0.45


def test_between_two_times_the_line_counts() -> None:
    assert alcohol_left(Cooking(method="simmered", minutes=22.5)) == pytest.approx(0.375)
    assert alcohol_left(Cooking(method="simmered", minutes=400)) == pytest.approx(0.05)


def test_two_cookings_go_on_along_the_curve() -> None:
    """A sauce of 15 minutes that is baked for 15 more stands where 30 minutes stand, not at 40 % of 40 %."""
    put = Put(WINE, 200, 200, 200, "red wine", parse_line("200 ml red wine"))
    sauce = cook_stage([put], [], Cooking(method="simmered", minutes=15), "sauce").cooked
    pie = cook_stage([], [("all of sauce", sauce)], Cooking(method="baked", minutes=15), "pie").cooked
    assert pie.get("ALC") == pytest.approx(of_food(WINE, 200).get("ALC") * 0.35)


def test_alcohol_takes_its_mass_and_its_energy_with_it() -> None:
    stage = cook_stage(
        [Put(WINE, 200, 200, 200, "wine", parse_line("wine"))], [], Cooking(method="simmered", minutes=60), "wine"
    )
    lost = 20 * 0.75
    assert stage.cooked.mass == pytest.approx(200 - lost)
    assert stage.cooked.get("ENERC_KCAL") == pytest.approx(160 - lost * 6.93)


def test_without_a_time_it_reads_high_and_is_said() -> None:
    stage = cook_stage([Put(WINE, 200, 200, 200, "wine", parse_line("wine"))], [], Cooking(method="simmered"), "wine")
    assert stage.cooked.get("ALC") == pytest.approx(20 * 0.40)
    assert "no-minutes" in {r.code for r in stage.remarks}
