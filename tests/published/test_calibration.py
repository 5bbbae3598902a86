"""Ranges of a portion against published dishes that a cook wrote down by heart; see tests/published/calibration.py.

Source: USDA ARS, Food and Nutrient Database for Dietary Studies 2015-2016 (2018); measures and their spread: USDA
SR28, WEIGHT.
"""

from __future__ import annotations

import zipfile
from math import log, sqrt
from statistics import median

import pytest

from nutrilab.foods import embedded
from tests.derive.extracts import ascii_rows
from tests.published import blurring, calibration, calibration_misses, test_fndds

INSIDE = (0.85, 0.95)  # share of dishes whose published figure lies in its range
WIDTH = 0.30  # most median width of the range of kcal
ARCHIVE = test_fndds.REFERENCE / "sr28.zip"
ALL = "foods and amounts"


def test_the_page_is_in_step() -> None:
    assert calibration.put_down() == calibration.page(), "run: python -m tests.published.calibration --write"


@pytest.mark.parametrize("key", calibration.FIGURES)
def test_nine_in_ten_published_figures_lie_in_the_range(key: str) -> None:
    assert INSIDE[0] <= calibration.result("extract", ALL, key).inside <= INSIDE[1]


def test_ranges_of_energy_are_not_too_wide_to_help() -> None:
    assert calibration.result("extract", ALL, "energy_kcal").width <= WIDTH


@pytest.mark.parametrize("key", calibration.FIGURES)
def test_dishes_of_the_whole_table(key: str) -> None:
    """A sample of dishes, most of which the extract has not, within two standard deviations of a share of so many."""
    found = calibration.result("whole table", ALL, key)
    least, most = (2 * sqrt(end * (1 - end) / (found.dishes / calibration.COOKS)) for end in INSIDE)
    assert found.dishes > 750
    assert INSIDE[0] - least <= found.inside <= INSIDE[1] + most


def test_enough_dishes_are_looked_at() -> None:
    assert len({dish.code for dish in calibration.written("extract")}) > 380
    assert len(calibration.complete("extract", ALL)) > 850


@pytest.mark.parametrize("key", ["fat", "protein", "salt", calibration.REGULATION])
def test_the_rod_is_straight(key: str) -> None:
    """With nothing blurred all lie inside, but for fish that FNDDS counts without the salt that SR28's has."""
    found = calibration.result("extract", "nothing", key)
    assert found.inside >= 0.97
    assert found.ratio == pytest.approx(1.0, abs=0.005)


def test_the_rod_is_not_bent_by_how_the_cook_rounds() -> None:
    """Rounded amounts are neither more nor less than what the cook has, in the middle."""
    for grams in (7, 13, 33, 47, 62, 88, 112, 187, 260, 420, 777, 1230):
        assert abs(log(float(blurring.by_weight(grams).split()[0]) / grams)) < 0.25
    steps = ((0.1, blurring.SPOONS), (0.7, blurring.TABLESPOONS), (0.2, blurring.CUPS), (0.4, blurring.PIECES))
    for start, some in steps:
        numbers = [start * 1.07**n for n in range(40)]
        off = [log(sum(blurring.rounded(number, some)) / number) for number in numbers]
        assert abs(median(off)) < 0.06
        assert max(map(abs, off)) < 0.7


def test_the_check_sees_ranges_that_are_half_as_wide() -> None:
    """What the shares go by can fail."""
    held = [one.figures["protein"] for one in calibration.complete("extract", ALL)]
    half = [one._replace(low=(one.low + one.value) / 2, high=(one.high + one.value) / 2) for one in held]
    assert sum(one.inside for one in half) < sum(one.inside for one in held) - 0.08 * len(held)


def test_a_miss_is_parted_among_its_causes() -> None:
    """Where the amounts are exact no amount is to blame, and where the foods are, no food is."""
    for blur, innocent in (("foods", "amount"), ("amounts", "food")):
        found = [part for one in calibration.complete("extract", blur) for part in calibration_misses.parts(one, "fat")]
        blamed = [part.adds for part in found if part.cause == innocent]
        assert all(abs(adds) < 0.05 for adds in blamed), blur
        assert any(abs(part.adds) > 5 for part in found if part.cause not in (innocent, "cooking"))
    for one in calibration_misses.misses("extract", ALL, "energy_kcal"):
        assert calibration_misses.times_out(one.figures["energy_kcal"]) > 0.9


# name of SR28 -> what a cook may write of it
PLAIN = {
    "Onions, raw": {"onions"},
    "Milk, reduced fat, fluid, 2% milkfat, with added vitamin A and vitamin D": {"milk", "reduced fat milk"},
    "Chicken, broilers or fryers, breast, meat only, cooked, roasted": {"roasted chicken breast"},
    "Tomato products, canned, sauce": {"canned tomato sauce"},
    "Oil, olive, salad or cooking": {"oil", "olive oil"},
    "Spices, pepper, black": {"black pepper"},
    "Beef, ground, 80% lean meat / 20% fat, raw": {"ground beef"},
    "Egg, yolk, raw, fresh": {"egg yolk"},
    "Rice, white, long-grain, regular, enriched, cooked": {
        "cooked rice", "cooked white rice", "cooked long-grain white rice",
    },
    "Soup, beef broth or bouillon, powder, prepared with water": {"beef broth"},
    "Cheese, cheddar": {"cheddar cheese"},
}  # fmt: skip


@pytest.mark.parametrize("name", PLAIN)
def test_plain_words(name: str) -> None:
    group = next(embedded().groups[n] for n, one in enumerate(embedded().names) if one == name)
    assert {blurring.plain(name, group).told(count) for count in (1, 2, 3)} == PLAIN[name]


@pytest.mark.parametrize(
    ("said", "told"),
    [
        (blurring.by_weight(95), "100 g"), (blurring.by_weight(62), "60 g"), (blurring.by_weight(3.4), "3 g"),
        (blurring.by_volume(0.5), "1/2 tsp"), (blurring.by_volume(16.5), "1/3 cup"), (blurring.by_volume(7), "2 tbsp"),
        (blurring.by_volume(100), "2 cups"), (blurring.by_volume(0.05), "pinch"),
        (blurring.by_volume(60), "1 1/4 cups"), (blurring.by_count(0.86, "", "onions"), "1 onion"),
        (blurring.by_count(2.7, "clove", "garlic"), "3 cloves garlic"),
        (blurring.by_count(3.1, "large", "oranges"), "3 large oranges"),
    ],
)  # fmt: skip
def test_kitchen_amounts(said: str, told: str) -> None:
    assert said == told


def test_how_much_one_measure_weighs_is_spread_as_sr28_says() -> None:
    if not ARCHIVE.exists():
        pytest.skip("SR28 (../shared/reference) is not here: the spread of its measures is not reckoned again")
    found: dict[str, list[float]] = {kind: [] for kind in blurring.SPREAD}
    with zipfile.ZipFile(ARCHIVE) as archive:
        for row in ascii_rows(archive, "WEIGHT.txt"):
            food_id, grams, deviation = f"sr:{row[0]}", float(row[4]), float(row[6] or 0) if len(row) > 6 else 0.0
            kind = blurring.kind_of(row[3])
            if kind and deviation and food_id in embedded():
                group = embedded().food(food_id).group
                if group not in (*blurring.MEATS, *blurring.READY):
                    found[kind].append(deviation / grams)
    assert {kind: round(median(some), 3) for kind, some in found.items()} == blurring.SPREAD
    assert all(len(some) >= 20 for some in found.values())
