"""Stages to portions: hand-worked examples, order of trust, ranges, and what is refused."""

from __future__ import annotations

from dataclasses import replace

import pytest

from nutrilab.cooking.balance import QUANTITIES
from nutrilab.cooking.errors import deviation
from nutrilab.cooking.steps import MASS, NOTHING, of_food, of_unknown
from nutrilab.foods import Food, embedded
from nutrilab.lines import parse_line
from nutrilab.nutrition import (
    KEYS,
    Put,
    StageResult,
    coverage,
    declared_values,
    per_100g,
    portion,
    ranges,
    totals,
)
from nutrilab.recipe import Cooking
from nutrilab.remarks import InputError
from tests.stages import cook_stage

MINCE, CHICKEN, COD, PASTA, RICE, POTATO = "sr:23572", "sr:05062", "sr:15015", "sr:20120", "sr:20044", "sr:11352"
ONION, TOMATOES, OIL, BUTTER, SALT, WATER = "sr:11282", "sr:11531", "sr:04582", "sr:01001", "sr:02047", "sr:14429"
FLOUR, EGG, MILK, SUGAR, WINE, LAMB, CARROT = (
    "sr:20081", "sr:01123", "sr:01077", "sr:19335", "sr:14096", "sr:17011", "sr:11124",
)  # fmt: skip


def put(food_id: str, grams: float, text: str = "", low: float | None = None, high: float | None = None) -> Put:
    food = embedded().food(food_id)
    low, high = (grams if end is None else end for end in (low, high))
    return Put(food, grams, low, high, food.name.split(",")[0].lower(), parse_line(text or food.name), line=1)


def stage(puts: list[Put], cooking: Cooking | None = None, name: str = "stage") -> StageResult:
    return cook_stage(puts, [], cooking, name)


def codes(result: StageResult) -> set[str]:
    return {remark.code for remark in result.remarks}


def test_by_hand() -> None:
    """A ragu weighed out of the pan, from the values of USDA SR28 per 100 g, by hand.

    500 g mince 80/20 (20.00 g fat, 17.17 protein, 66 mg Na), 150 g onion (0.10, 1.10, 4), 5 g salt (Na 38,758);
    650 g of food and salt in, 520 g out.
    """
    result = stage([put(MINCE, 500), put(ONION, 150), put(SALT, 5)], Cooking(method="stewed", weight_after=520))
    hundred = per_100g(result.cooked)
    assert hundred["fat"] == pytest.approx((100 + 0.15) / 5.2)
    assert hundred["protein"] == pytest.approx((5 * 17.17 + 1.5 * 1.10) / 5.2)
    assert hundred["salt"] == pytest.approx((5 * 66 + 1.5 * 4 + 0.05 * 38758) * 2.5 / 1000 / 5.2)
    assert result.weight_from == "weighed"
    assert portion(result.cooked, 4)["fat"] == pytest.approx((100 + 0.15) / 4)


def test_energy_is_the_regulations() -> None:
    """SR28 20081 flour: 10.33 g protein, 0.98 fat, 76.31 carbohydrate of which 2.7 fibre."""
    values = declared_values(of_food(embedded().food(FLOUR), 100))
    assert values["energy_kcal"] == pytest.approx(4 * 10.33 + 9 * 0.98 + 4 * 73.61 + 2 * 2.7)
    assert values["energy_kj"] == pytest.approx(17 * 10.33 + 37 * 0.98 + 17 * 73.61 + 8 * 2.7)
    assert values["carbohydrate"] == pytest.approx(73.61)


# --- the order of trust


def test_weighing_beats_the_table() -> None:
    weighed = stage([put(COD, 1000)], Cooking(method="baked", weight_before=1000, weight_after=900, loss=0.5))
    assert weighed.weight_from == "weighed"
    assert weighed.cooked.mass == pytest.approx(900)


def test_stated_loss_beats_the_table() -> None:
    result = stage([put(COD, 1000)], Cooking(method="baked", loss=0.12))
    assert result.weight_from == "stated loss"
    assert result.cooked.mass == pytest.approx(880)


def test_published_yield_comes_with_factor_range_and_source() -> None:
    result = stage([put(COD, 1000)], Cooking(method="baked"))
    step = next(s for s in result.steps if s.name == "water lost")
    assert result.weight_from == "published yield"
    assert step.factor == pytest.approx(result.cooked.mass / 1000)
    assert (step.low or 1) < result.cooked.mass / 1000 < (step.high or 0)
    assert "CoFID" in step.source
    down, up = deviation(result.cooked.spread, MASS)
    assert down > 0
    assert up > 0


def test_median_for_the_kind_of_dish() -> None:
    """FNDDS 2015-2016: cakes lose 10 % (median), soups 15 %."""
    cake = stage([put(FLOUR, 200), put(SUGAR, 200), put(BUTTER, 200), put(EGG, 200)], Cooking(method="baked"), "sponge")
    assert cake.weight_from == "median for this kind of dish"
    assert cake.cooked.mass == pytest.approx(720)
    soup = stage([put(CARROT, 500), put(WATER, 500)], Cooking(method="simmered"), "carrot soup")
    assert soup.cooked.mass == pytest.approx(850)
    covered = stage([put(CARROT, 500), put(WATER, 500)], Cooking(method="simmered", covered=True), "carrot soup")
    assert covered.cooked.mass > soup.cooked.mass


def test_the_dish_tells_the_kind_where_the_stage_does_not() -> None:
    puts = [put(CARROT, 500), put(WATER, 500)]
    result = cook_stage(puts, [], Cooking(method="simmered"), "base", dish="Carrot soup")
    assert result.weight_from == "median for this kind of dish"


def test_nothing_is_said_aloud() -> None:
    result = stage([put(FLOUR, 300), put(WATER, 200)], Cooking(method="baked"), "thing")
    assert result.weight_from == "none"
    assert result.cooked.mass == pytest.approx(500)
    assert codes(result) == {"no-moisture-loss"}
    assert codes(stage([put(PASTA, 300)], None, "thing")) == {"no-moisture-loss"}


def test_no_cooking_needs_no_word_where_nothing_wants_cooking() -> None:
    assert not stage([put(ONION, 100), put(OIL, 10)], None, "salad").remarks
    assert not stage([put(ONION, 100), put(OIL, 10)], Cooking(method="raw"), "salad").remarks


# --- water and salt


def test_dry_pasta_takes_up_water() -> None:
    result = stage([put(PASTA, 400)], Cooking(method="boiled", drained=True))
    assert 800 < result.cooked.mass < 1200
    assert result.cooked.get("PROCNT") == pytest.approx(4 * 13.04)  # SR28 20120
    assert result.balance.taken_up.water == pytest.approx(result.cooked.mass - 400)


def test_salted_water_by_its_strength() -> None:
    """100 g pasta that takes up 139 g of water of 10 g salt a litre takes up 1.39 g of salt."""
    plain = stage([put(PASTA, 100)], Cooking(method="boiled", drained=True, weight_after=239)).cooked
    salted = stage([put(PASTA, 100)], Cooking(method="boiled", drained=True, weight_after=239, salted_water=10)).cooked
    assert (salted.get("NA") - plain.get("NA")) * 2.5 / 1000 == pytest.approx(1.39)


def test_pasta_water_is_not_counted() -> None:
    """40 g of salt in 4 litres: what the water carries into the pasta stays, the rest is poured away."""
    listed = [put(PASTA, 400), put(WATER, 4000), put(SALT, 40)]
    result = stage(listed, Cooking(method="boiled", drained=True, weight_after=960))
    assert result.cooked.mass == pytest.approx(960)
    salt = declared_values(result.cooked)["salt"]
    assert salt == pytest.approx(40 * 560 / 4040 * 0.38758 * 2.5, rel=0.05)
    assert result.left_over.mass == pytest.approx(4040 - 560)
    unlisted = stage([put(PASTA, 400), put(SALT, 40)], Cooking(method="boiled", drained=True, weight_after=960))
    assert declared_values(unlisted.cooked)["salt"] == pytest.approx(salt, rel=0.05)
    assert "salt-in-cooking-water" in codes(unlisted)


def test_potatoes_take_up_less_salt_than_their_water_holds() -> None:
    """CoFID 13-605, 13-490: 63 mg sodium per 100 g from water of 8.3 g salt a litre."""
    cooking = Cooking(method="boiled", drained=True, salted_water=8.3)
    plain = stage([put(POTATO, 1000)], Cooking(method="boiled", drained=True)).cooked
    salted = stage([put(POTATO, 1000)], cooking).cooked
    taken = 100 * (salted.get("NA") - plain.get("NA")) / salted.mass
    assert taken == pytest.approx(63, rel=0.35)
    down, up = deviation(salted.spread, "NA")
    assert down > 0
    assert up > 0


def test_salt_beside_butter_is_eaten() -> None:
    result = stage([put(POTATO, 1000), put(BUTTER, 50), put(SALT, 6)], Cooking(method="boiled", drained=True), "mash")
    assert (declared_values(result.cooked)["salt"] or 0) > 6 * 0.387 * 2.5


def test_sodium_leaches_from_boiled_and_drained_food() -> None:
    """USDA retention factors R6, code 3455: 95 % of the sodium of drained root vegetables stays."""
    result = stage([put(CARROT, 500)], Cooking(method="boiled", drained=True))
    assert result.cooked.get("NA") == pytest.approx(5 * 69 * 0.95)
    used = stage([put(CARROT, 500), put(WATER, 500)], Cooking(method="boiled"))
    assert used.cooked.get("NA") == pytest.approx(5 * 69 + 5 * 3)  # SR28 14429: 3 mg in 100 g


def test_rice_cooked_dry() -> None:
    """300 g rice and 600 g water weigh what rice weighs, not less than dry and not more than both."""
    result = stage([put(RICE, 300), put(WATER, 600)], Cooking(method="boiled"))
    assert 800 < result.cooked.mass < 900
    assert result.balance.taken_up.mass == 0


# --- fat, oil, marinade, coating


def test_fat_drips_in_the_oven() -> None:
    result = stage([put(LAMB, 1000)], Cooking(method="roasted"))
    lost = result.balance.lost
    assert lost.fat > 20
    assert lost.mass == pytest.approx(lost.water + lost.fat)
    assert "fat-dripped" in codes(result)
    low, high = ranges(result.cooked)["fat"] or (0, 0)
    assert high >= result.raw.get("FAT") - 1e-6  # it may all be eaten
    assert low < result.cooked.get("FAT")


def test_fat_stays_where_something_soaks_it_up() -> None:
    tray = stage([put(LAMB, 1000), put(POTATO, 1000)], Cooking(method="roasted"))
    assert tray.cooked.get("FAT") == pytest.approx(tray.raw.get("FAT"))


def test_fat_the_cook_poured_off() -> None:
    result = stage([put(MINCE, 500)], Cooking(method="pan-fried", fat_drained=60))
    assert result.cooked.get("FAT") == pytest.approx(40)
    assert result.balance.lost.fat == pytest.approx(60)


def test_frying_oil_by_what_is_left() -> None:
    result = stage([put(POTATO, 1000), put(OIL, 1500)], Cooking(method="deep-fried", oil_left=1430))
    assert result.cooked.get("FAT") == pytest.approx(70, abs=1.5)
    assert result.left_over.mass == pytest.approx(1430)


def test_frying_oil_by_published_uptake_never_more_than_poured() -> None:
    """CoFID 13-595 homemade chips: 6.7 g fat per 100 g."""
    result = stage([put(POTATO, 1000), put(OIL, 1500, "oil for deep-frying")], Cooking(method="deep-fried"))
    assert per_100g(result.cooked)["fat"] == pytest.approx(6.7, abs=0.5)
    little = stage([put(POTATO, 1000), put(OIL, 20, "oil for deep-frying")], Cooking(method="deep-fried"))
    assert little.cooked.get("FAT") == pytest.approx(20 + 10 * 0.09, abs=0.5)
    assert little.left_over.mass == 0


def test_frying_oil_without_an_amount_is_not_forgotten() -> None:
    result = stage([put(POTATO, 1000), put(OIL, 0, "oil for deep-frying")], Cooking(method="deep-fried"))
    assert result.cooked.get("FAT") > 30
    assert "frying-oil-estimated" in codes(result)
    none = stage([put(POTATO, 1000)], Cooking(method="deep-fried"))
    assert "no-frying-oil" in codes(none)


def test_food_that_weighs_more_when_fried_has_taken_up_oil_and_no_water() -> None:
    """1 kg of potatoes takes up 39 g of oil by the table; weighed 1,100 g, at least 100 g of it."""
    for poured in (1500, 0):
        cooking = Cooking(method="deep-fried", weight_after=1100)
        result = stage([put(POTATO, 1000), put(OIL, poured, "oil for frying")], cooking)
        assert result.cooked.mass == pytest.approx(1100)
        assert result.cooked.get("FAT") == pytest.approx(101, abs=1)
        assert result.cooked.get("WATER") == pytest.approx(result.raw.get("WATER"))
        assert [eaten.grams for eaten in result.eaten.values()] == pytest.approx([100])
    lighter = stage([put(POTATO, 1000), put(OIL, 1500, "oil for frying")], replace(cooking, weight_after=600))
    assert lighter.cooked.get("FAT") == pytest.approx(40, abs=1)
    with pytest.raises(InputError, match="write in the line that is missing"):
        stage([put(POTATO, 1000), put(OIL, 50, "oil for frying")], replace(cooking, weight_after=1200))


def test_oil_in_the_pan_is_eaten() -> None:
    result = stage([put(ONION, 300), put(OIL, 30, "2 tbsp oil")], Cooking(method="pan-fried"))
    assert result.cooked.get("FAT") > 30


def test_marinade_and_coating_stay_behind_in_part() -> None:
    marinated = stage([put(CHICKEN, 600), put(OIL, 100, "100 ml oil")], Cooking(method="raw", drained=True))
    assert 600 < marinated.cooked.mass < 700
    assert marinated.cooked.mass + marinated.left_over.mass == pytest.approx(700)
    floured = stage([put(CHICKEN, 600), put(FLOUR, 300, "flour, for dusting")], Cooking(method="pan-fried"))
    assert 0 < floured.left_over.mass < 300


def test_reduction_loses_water_and_alcohol_only() -> None:
    result = stage([put(WINE, 300)], Cooking(method="simmered", minutes=15, weight_after=100), "reduction")
    assert result.cooked.mass == pytest.approx(100)
    assert result.cooked.get("ALC") == pytest.approx(3 * 10.6 * 0.40)  # SR28 14096: 10.6 g alcohol
    assert result.cooked.get("K") == pytest.approx(result.raw.get("K"))
    assert result.balance.lost.water == pytest.approx(200 - 3 * 10.6 * 0.60)


# --- what cannot be


@pytest.mark.parametrize(
    ("puts", "cooking", "words"),
    [
        ([put(FLOUR, 300), put(EGG, 100)], Cooking(method="baked", weight_before=400, weight_after=450), "nothing was"),
        (
            [put(FLOUR, 300), put(EGG, 100)],
            Cooking(method="baked", weight_after=450),
            "come to 400 g; write in the line that is missing",
        ),
        ([put(FLOUR, 300), put(EGG, 100)], Cooking(method="baked", weight_after=250), "it cannot lose"),
        ([put(SUGAR, 300)], Cooking(method="baked", loss=0.2), "it cannot lose"),
        ([put(POTATO, 300), put(OIL, 100)], Cooking(method="deep-fried", oil_left=120), "only 100 g was poured"),
        ([put(MINCE, 100)], Cooking(method="pan-fried", fat_drained=50), "only 20 g"),
    ],
)
def test_an_impossible_dish_is_refused(puts: list[Put], cooking: Cooking, words: str) -> None:
    with pytest.raises(InputError, match=words):
        stage(puts, cooking)


def test_doubtful_dishes_are_named() -> None:
    values = {"FAT": 95.0, "PROCNT": 20.0, "CHOCDF": 10.0, "WATER": 5.0, "ASH": 1.0, "FIBTG": 0.0}
    wrong = Food("own:1", "spread", "", "own", None, values)
    result = cook_stage([Put(wrong, 100, 100, 100, "spread", parse_line("spread"))], [], None, "spread")
    assert {"much-fat", "impossible-energy", "sum-not-100"} <= codes(result)
    assert not codes(stage([put(OIL, 100)], None, "oil"))  # oil is all fat, and that is right


def test_scales_and_lines_that_disagree() -> None:
    result = stage([put(COD, 1000)], Cooking(method="baked", weight_before=1400, weight_after=1200))
    assert result.cooked.mass == pytest.approx(1200)
    assert result.balance.lost.water == pytest.approx(200)
    assert result.cooked.coverage("FAT") == pytest.approx(1000 / 1400)
    assert "scales-and-lines" in codes(result)
    near = stage([put(COD, 1000)], Cooking(method="baked", weight_before=1020, weight_after=900))
    assert near.cooked.coverage("FAT") == 1
    assert "scales-and-lines" not in codes(near)


# --- portions, ranges, coverage


def test_a_part_carries_its_share_and_the_rest_is_left() -> None:
    sauce = stage([put(BUTTER, 50), put(FLOUR, 50), put(MILK, 700)], Cooking(method="simmered", weight_after=740))
    pie = cook_stage([put(COD, 400)], [("80% of sauce", sauce.cooked.scaled(0.8))], Cooking(method="baked"), "pie")
    assert pie.raw.mass == pytest.approx(400 + 0.8 * 740)
    assert pie.cooked.get("PROCNT") == pytest.approx(0.8 * sauce.cooked.get("PROCNT") + 4 * 17.81)  # SR28 15015


def test_ranges_hold_the_value_and_follow_the_lines() -> None:
    result = stage([put(BUTTER, 100, low=50, high=150), put(FLOUR, 200)], Cooking(method="raw"))
    low, high = ranges(result.cooked)["fat"] or (0, 0)
    assert (low, high) == pytest.approx((81.11 * 0.5 + 1.96, 81.11 * 1.5 + 1.96))  # SR28 01001, 20081
    kcal = ranges(result.cooked)["energy_kcal"] or (0, 0)
    one = declared_values(of_food(embedded().food(BUTTER), 50))["energy_kcal"] or 0
    assert kcal[1] - kcal[0] == pytest.approx(2 * one)


def test_totals_of_a_dish() -> None:
    result = stage([put(MINCE, 500), put(ONION, 150)], Cooking(method="stewed", weight_after=520))
    whole = totals(result.cooked, 4)
    assert whole.mass == 520
    assert whole.per_portion["fat"] == pytest.approx(25.0375)
    assert set(whole.per_portion) == set(KEYS) == set(whole.per_portion_range)
    assert whole.coverage["mass_linked"] == 1


def test_unknown_food_lowers_coverage_not_values() -> None:
    result = cook_stage(
        [put(MINCE, 300), Put(None, 100, 100, 100, "glorp", parse_line("100 g glorp"))], [], None, "stage"
    )
    found = coverage(result.cooked)
    assert found["mass_linked"] == pytest.approx(0.75)
    assert found["energy_kcal"] == pytest.approx(0.75)
    assert declared_values(result.cooked)["fat"] == pytest.approx(60)
    assert declared_values(of_unknown(100)) == dict.fromkeys(KEYS)


def test_an_empty_stage() -> None:
    result = stage([], None)
    assert result.cooked.mass == 0
    assert per_100g(NOTHING) == dict.fromkeys(KEYS)


def test_a_pot_of_water() -> None:
    result = stage([put(WATER, 500)], Cooking(method="boiled"), "kettle")
    assert (result.weight_from, codes(result)) == ("none", {"no-moisture-loss"})


def test_boiled_in_water_that_is_not_listed() -> None:
    """Bognar 2002, BFE-R-02-03: carrots, boiled, 94 %; nobody boils carrots in nothing."""
    result = stage([put(CARROT, 500)], Cooking(method="boiled"))
    assert result.weight_from == "published yield"


def test_toast() -> None:
    """CoFID 2021: bread loses 10 to 22 % when toasted."""
    result = stage([put("sr:18069", 200)], Cooking(method="toasted"))
    assert 156 <= result.cooked.mass <= 180


def test_the_balance_reads_as_a_table() -> None:
    result = stage([put(MINCE, 500), put(SALT, 5)], Cooking(method="grilled"))
    rows = result.balance.rows()
    assert [r[0] for r in rows] == list(QUANTITIES)
    for _, _, into, up, out, lost, left in rows:
        assert into + up == pytest.approx(out + lost + left, abs=1e-6)
