"""Batches and the physical steps; the mass balance over random recipes."""

from __future__ import annotations

from dataclasses import astuple
from math import sqrt

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from nutrilab.cooking import yields
from nutrilab.cooking.errors import Cause, Source, deviation
from nutrilab.cooking.kinds import is_a, is_raw, kind_of, stove_kinds
from nutrilab.cooking.media import Put, item, sort
from nutrilab.cooking.retention import choose, table
from nutrilab.cooking.steps import (
    NOTHING,
    Batch,
    lose_fat,
    lose_water,
    mix,
    of_food,
    of_unknown,
    of_water,
    retain,
    solids,
    take_up,
)
from nutrilab.foods import Food, embedded
from nutrilab.lines import parse_line
from nutrilab.recipe import METHODS, Cooking, Method
from nutrilab.remarks import InputError
from tests.stages import cook_stage

MINCE = Food("t:mince", "Beef, ground, 80% lean meat / 20% fat, raw", "Beef Products", "test", None,
             {"WATER": 61.94, "PROCNT": 17.17, "FAT": 20.0, "FASAT": 7.58, "F18D1": 8.0, "CHOCDF": 0.0, "FIBTG": 0.0,
              "ASH": 0.87, "NA": 66.0, "ENERC_KCAL": 254.0, "ENERC_KJ": 1063.0})  # fmt: skip
SALT = Food("t:salt", "Salt, table", "Spices and Herbs", "test", None, {"NA": 38758.0, "WATER": 0.2, "ASH": 99.8})


def test_missing_is_never_zero() -> None:
    half = Food("t:half", "something", "", "test", None, {"FAT": 10.0})
    both = of_food(MINCE, 100) + of_food(half, 300)
    assert both.get("FAT") == pytest.approx(50)
    assert both.coverage("FAT") == 1
    assert both.coverage("PROCNT") == pytest.approx(0.25)
    assert "PROCNT" not in of_food(half, 300).amounts
    assert of_unknown(50).coverage("FAT") == 0


def test_coverage_is_of_raw_mass_and_stays_when_water_leaves() -> None:
    dry, _ = lose_water(of_food(MINCE, 100) + of_unknown(100), 50)
    assert dry.mass == pytest.approx(150)
    assert dry.coverage("FAT") == pytest.approx(0.5)
    wet = of_food(MINCE, 100) + of_water(100)
    assert wet.coverage("FAT") == 1


def test_available_carbohydrate_is_derived_by_food() -> None:
    """USDA SR28 20081: 76.31 g carbohydrate by difference, 2.7 g fibre."""
    flour = of_food(embedded().food("sr:20081"), 200)
    assert flour.get("CHOAVL") == pytest.approx(2 * (76.31 - 2.7))
    assert flour.coverage("CHOAVL") == 1


def test_water_leaves_alone() -> None:
    raw = of_food(MINCE, 200)
    cooked, flow = lose_water(raw, 60)
    assert (cooked.mass, cooked.get("WATER")) == pytest.approx((140, 123.88 - 60))
    for tagname in ("FAT", "PROCNT", "NA", "ENERC_KCAL"):
        assert cooked.get(tagname) == raw.get(tagname)
    assert (flow.mass, flow.water, flow.fat, flow.sodium, flow.energy) == (60, 60, 0, 0, 0)
    with pytest.raises(ValueError, match="water"):
        lose_water(raw, 130)


def test_fat_takes_its_acids_and_its_energy() -> None:
    """9.02 kcal a gram of meat fat: Merrill and Watt, USDA Agriculture Handbook 74, 1973, table 13."""
    raw = of_food(MINCE, 100)
    cooked, flow = lose_fat(raw, 10)
    assert cooked.mass == pytest.approx(90)
    assert cooked.get("FAT") == pytest.approx(10)
    assert cooked.get("FASAT") == pytest.approx(3.79)
    assert cooked.get("F18D1") == pytest.approx(4)
    assert cooked.get("ENERC_KCAL") == pytest.approx(254 - 90.2)
    assert cooked.get("ENERC_KJ") == pytest.approx(1063 - 90.2 * 4.184)
    assert cooked.get("FIBTG") == 0
    assert cooked.get("NA") == raw.get("NA")
    assert flow.energy == pytest.approx(90.2)
    with pytest.raises(ValueError, match="fat"):
        lose_fat(raw, 21)


def test_retention_is_by_component() -> None:
    cooked, flow = retain(of_food(MINCE, 100), {"NA": 0.55})
    assert cooked.get("NA") == pytest.approx(36.3)
    assert flow.sodium == pytest.approx(29.7)
    assert cooked.mass == 100


def test_nothing_more_is_taken_up_than_was_poured() -> None:
    oil = of_food(Food("t:oil", "Oil, canola", "Fats and Oils", "test", None, {"FAT": 100.0}), 50)
    taken, left = take_up(oil, 80)
    assert (taken.mass, left.mass) == (50, 0)
    taken, left = take_up(oil, 20)
    assert (taken.get("FAT"), left.get("FAT")) == pytest.approx((20, 30))
    assert take_up(NOTHING, 5) == (NOTHING, NOTHING)


def test_doubts_of_two_lines_add_in_squares_and_those_of_one_line_as_they_are() -> None:
    """JCGM 100:2008, 5.1.2: independent contributions add in squares; 5.2.2: fully correlated ones as they are."""
    one, other = Source(Cause.AMOUNT, "mince", "pie", 1), Source(Cause.AMOUNT, "mince", "pie", 2)
    both = of_food(MINCE, 100, 70, 140, one) + of_food(MINCE, 100, 60, 130, other)
    assert deviation(both.spread, "FAT") == pytest.approx((sqrt(6**2 + 8**2), sqrt(8**2 + 6**2)))
    assert deviation(both.scaled(0.5).spread, "FAT") == pytest.approx((5, 5))
    again = of_food(MINCE, 100, 70, 140, one).scaled(0.5) + of_food(MINCE, 100, 70, 140, one).scaled(0.5)
    assert deviation(again.spread, "FAT") == pytest.approx((6, 8))


def test_solids_of_a_sound_food_add_up() -> None:
    food = of_food(embedded().food("sr:01123"), 100)
    assert solids(food) == pytest.approx(100, abs=1)


KINDS = [
    ("sr:23572", "beef-mince", True), ("sr:13069", "beef", False), ("sr:05062", "chicken", True),
    ("sr:05006", "chicken-skin", True), ("sr:15015", "lean-fish", True), ("sr:15236", "oily-fish", True),
    ("sr:20120", "pasta", True), ("sr:20121", "", False), ("sr:20044", "rice", True), ("sr:16027", "pulses", True),
    ("sr:16028", "", False), ("sr:11352", "potato", True), ("sr:11124", "carrot", True), ("sr:11529", "tomato", True),
    ("sr:11531", "tomato-product", False), ("sr:04582", "oil", False), ("sr:01001", "butter", False),
    ("sr:02047", "salt", False), ("sr:14429", "water", False), ("sr:14096", "wine", False),
    ("sr:20081", "flour", False), ("sr:01123", "egg", True), ("sr:10123", "bacon", True), ("sr:16069", "lentils", True),
    ("sr:01077", "milk", False), ("sr:21003", "ready-dish", False),
]  # fmt: skip


@pytest.mark.parametrize(("food_id", "kind", "raw"), KINDS)
def test_kinds(food_id: str, kind: str, raw: bool) -> None:
    food = embedded().food(food_id)
    assert (kind_of(food), is_raw(food)) == (kind, raw), food.name


def test_kinds_have_parents_that_exist_or_group() -> None:
    groups = {"meat", "poultry", "fish", "grain", "fruit", "cooked-sausage", "sausage", "offal", "vegetable", "pulses"}
    for kind in stove_kinds().values():
        assert not kind.parent or kind.parent in stove_kinds() or kind.parent in groups, kind.name
    assert is_a("beef-mince", "meat")
    assert not is_a("beef-mince", "poultry")


RETENTION = [
    ("sr:11124", "boiled", True, 3455), ("sr:11124", "stir-fried", False, 3465), ("sr:20120", "boiled", True, 381),
    ("sr:20044", "boiled", False, 432), ("sr:05062", "roasted", False, 805), ("sr:23572", "stewed", False, 754),
    ("sr:15015", "poached", True, 2401), ("sr:16027", "boiled", True, 521), ("sr:11352", "roasted", False, 3301),
    ("sr:01077", "simmered", False, 2152), ("sr:20121", "boiled", True, None), ("sr:02047", "boiled", True, None),
]  # fmt: skip


@pytest.mark.parametrize(("food_id", "method", "drained", "code"), RETENTION)
def test_retention_row_by_food_and_method(food_id: str, method: str, drained: bool, code: int | None) -> None:
    row = choose(
        embedded().food(food_id), Cooking(method=method, minutes=60 if food_id == "sr:16027" else None), drained
    )
    assert (row.code if row else None) == code


def test_the_retention_table_is_whole() -> None:
    assert len(table()) == 270
    for row in table().values():
        assert all(0 <= share <= 1 for share in row.factors.values())
        assert not row.kind or row.kind in stove_kinds() or row.kind in ("fish", "meat"), row.words


def put(food_id: str, grams: float, text: str = "") -> Put:
    food = embedded().food(food_id)
    return Put(food, grams, grams, grams, food.name, parse_line(text or food.name), line=1)


@pytest.mark.parametrize(
    ("lines", "cooking", "media"),
    [
        ([("sr:11352", ""), ("sr:04582", "1 l oil, for deep-frying")], Cooking(method="deep-fried"), "oil"),
        ([("sr:11282", ""), ("sr:04582", "1 tbsp oil")], Cooking(method="pan-fried"), ""),
        ([("sr:15015", ""), ("sr:04582", "oil for frying")], Cooking(method="pan-fried"), "oil"),
        ([("sr:20120", ""), ("sr:14429", "5 l water")], Cooking(method="boiled", drained=True), "liquid"),
        ([("sr:20120", ""), ("sr:02047", "1 tbsp salt")], Cooking(method="boiled", drained=True), "liquid"),
        ([("sr:11352", ""), ("sr:01001", "butter"), ("sr:02047", "salt")], Cooking(method="boiled", drained=True), ""),
        ([("sr:11352", ""), ("sr:01077", "milk")], Cooking(method="boiled", drained=True), ""),
        ([("sr:20044", ""), ("sr:14429", "600 ml water")], Cooking(method="boiled"), ""),
        ([("sr:05062", ""), ("sr:04053", "2 tbsp olive oil")], Cooking(method="raw", drained=True), "marinade"),
        ([("sr:05062", ""), ("sr:20081", "flour, for dusting")], Cooking(method="pan-fried"), "coating"),
        ([("sr:05062", ""), ("sr:20081", "2 tbsp flour")], Cooking(method="stewed"), ""),
    ],
)
def test_what_is_medium_and_what_is_food(lines: list[tuple[str, str]], cooking: Cooking, media: str) -> None:
    pot = sort([item(put(food_id, 100, text)) for food_id, text in lines], [], cooking)
    found = [name for name in ("oil", "liquid", "marinade", "coating") if getattr(pot, name)]
    assert found == ([media] if media else [])


# --- properties over random recipes

FOODS = [
    "sr:23572", "sr:05062", "sr:15015", "sr:20120", "sr:20044", "sr:16027", "sr:11352", "sr:11124", "sr:11529",
    "sr:04582", "sr:01001", "sr:02047", "sr:14429", "sr:14096", "sr:20081", "sr:01123", "sr:10123", "sr:01077",
    "sr:01009", "sr:11282",
]  # fmt: skip
TEXTS = st.sampled_from(["", "for frying", "for dusting", "for the marinade", "for the water", "finely chopped"])
lines = st.builds(
    lambda food_id, grams, text, low, high: Put(
        embedded().food(food_id) if food_id else None,
        grams,
        grams * low,
        grams * high,
        food_id or "?",
        parse_line(text),
        line=1,
    ),
    st.sampled_from([*FOODS, None]),
    st.just(0.0) | st.floats(0.001, 5000),
    TEXTS,
    st.floats(0.5, 1),
    st.floats(1, 2),
)
grams = st.none() | st.floats(1, 8000)
cookings = st.none() | st.builds(
    Cooking,
    method=st.none() | st.sampled_from(METHODS),
    minutes=st.none() | st.floats(0, 300),
    drained=st.booleans(),
    covered=st.none() | st.booleans(),
    weight_before=grams,
    weight_after=grams,
    loss=st.none() | st.floats(0, 0.9),
    fat_drained=st.none() | st.floats(0, 200),
    oil_left=st.none() | st.floats(0, 2000),
    salted_water=st.none() | st.floats(0, 40),
    flamed=st.booleans(),
)
names = st.sampled_from(["ragu", "soup", "sponge", "chips", "assembly", "white sauce"])
quick = settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.filter_too_much])


@given(st.lists(lines, max_size=6), st.lists(st.floats(0, 900), max_size=2), cookings, names)
@quick
def test_the_balance_closes(puts: list[Put], shares: list[float], cooking: Cooking | None, name: str) -> None:
    """In + taken up = out + lost + left over; no negative water, fat, sodium, energy or mass anywhere."""
    part = of_food(MINCE, 500) + of_water(300)
    parts = [("part", part.scaled(share / 900)) for share in shares]
    try:
        stage = cook_stage(puts, parts, cooking, name)
    except InputError:
        assume(False)
    size = 1e-9 * max(1.0, *astuple(stage.balance.into), *astuple(stage.balance.taken_up))
    assert all(abs(gap) <= size for gap in astuple(stage.balance.gap))
    for flow in (stage.balance.into, stage.balance.taken_up, stage.balance.out, stage.balance.lost):
        assert all(v >= -size for v in astuple(flow))
    assert all(v >= -size for v in stage.cooked.amounts.values())
    assert all(low <= high for effects in stage.cooked.spread.values() for low, high in effects.values())
    for tagname in ("FAT", "WATER", "NA", "PROCNT"):
        assert 0 <= stage.cooked.coverage(tagname) <= 1


@given(st.lists(lines, min_size=1, max_size=6), cookings, names, st.sampled_from([0.5, 2.0, 10.0]))
@quick
def test_a_doubled_batch_is_twice_the_batch(puts: list[Put], cooking: Cooking | None, name: str, times: float) -> None:
    def more(p: Put) -> Put:
        return Put(p.food, p.grams * times, p.low * times, p.high * times, p.name, p.reading, line=1)

    def scaled(value: float | None) -> float | None:
        return None if value is None else value * times

    bigger = cooking and Cooking(
        cooking.method, cooking.minutes, cooking.drained, cooking.covered, scaled(cooking.weight_before),
        scaled(cooking.weight_after), cooking.loss, scaled(cooking.fat_drained), scaled(cooking.oil_left),
        cooking.salted_water, cooking.flamed,
    )  # fmt: skip
    try:
        one = cook_stage(puts, [], cooking, name).cooked
    except InputError:
        assume(False)
    many = cook_stage([more(p) for p in puts], [], bigger, name).cooked
    same(many, one.scaled(times))


@pytest.mark.parametrize("grams", [0.001, 1.0, 1e5])
@pytest.mark.parametrize(
    ("loss", "answer"), [(0.2, "refused"), (0.1, "refused"), (1e-3, "said"), (1e-5, "said"), (1e-9, "silent")]
)
def test_water_that_oil_does_not_hold_is_missed_at_any_size(grams: float, loss: float, answer: str) -> None:
    """By a little it is the scales, and said; by much it is refused."""
    oil = Put(embedded().food("sr:04053"), grams, grams, grams, "oil", parse_line("oil"), line=1)
    try:
        made = cook_stage([oil], [], Cooking(loss=loss), "oil")
    except InputError:
        assert answer == "refused"
    else:
        assert answer == ("said" if "scales-and-lines" in {r.code for r in made.remarks} else "silent")


@given(st.lists(lines, min_size=1, max_size=6), st.floats(0.001, 0.999))
@quick
def test_parts_of_a_stage_are_exact(puts: list[Put], share: float) -> None:
    """What one dish takes and what is left of it make the stage again."""
    stage = cook_stage(puts, [], Cooking(method="stewed", minutes=30), "stew").cooked
    used = cook_stage([], [("some", stage.scaled(share))], None, "dish").cooked
    same(mix([used, stage.scaled(1 - share)]), stage)


def same(a: Batch, b: Batch) -> None:
    assert a.mass == pytest.approx(b.mass, rel=1e-9, abs=1e-6)
    assert a.raw == pytest.approx(b.raw, rel=1e-9, abs=1e-6)
    assert a.amounts.keys() == b.amounts.keys()
    for tagname, amount in a.amounts.items():
        assert amount == pytest.approx(b.amounts[tagname], rel=1e-9, abs=1e-6), tagname
    for tagname, mass in a.known.items():
        assert mass == pytest.approx(b.known[tagname], rel=1e-9, abs=1e-6), tagname


@pytest.mark.parametrize(
    ("name", "method", "kind"),
    [
        ("Lamb and barley stew with dumplings", "simmered", "stew"),
        ("Beef in beer with soup vegetables", "simmered", "soup"),
        ("Carrot cake with cream cheese icing", "baked", "cake"),
        ("Chicken and leek pie", "baked", "savoury pie"),
        ("Rhubarb pie", "baked", "fruit pie or crumble"),
        ("Mince pies", "baked", "fruit pie or crumble"),
        ("Bean stew", "simmered", "stew"),
        ("Fish cakes", "pan-fried", "meatballs or loaf"),
        ("Meat loaf with gravy", "baked", "meatballs or loaf"),
        ("Sausage rolls", "baked", "savoury pie"),
        ("Egg curry", "pan-fried", None),
        ("Tuna steak", "grilled", None),
    ],
)
def test_what_a_dish_is_stands_last_before_what_it_comes_with(name: str, method: str, kind: str | None) -> None:
    found = yields.of_dish((name,), Method(method))
    assert (found.kind if found else None) == kind


def test_a_kind_that_only_comes_with_a_dish_does_not_stand_before_its_foods() -> None:
    own, beside = (yields.of_dish((name,), Method.BAKED) for name in ("Batter pudding", "Beef with batter pudding"))
    assert own is not None
    assert own.whole
    assert beside is not None
    assert not beside.whole
