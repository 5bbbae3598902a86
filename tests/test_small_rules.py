"""Small rules of the core that could once be taken away without a test noticing; each has a case of its own here.

Grounds: common practice, no source, unless said.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from nutrilab.allergens.find import find
from nutrilab.foods import embedded
from nutrilab.kitchen import Kitchen
from nutrilab.law.conversions import UK_ENERGY
from nutrilab.lines import Amount
from nutrilab.lines.foods import foods
from nutrilab.lines.names import name_of
from nutrilab.lines.numbers import number
from nutrilab.lines.query import read
from nutrilab.linking.judging import guarded
from nutrilab.recipe import read_recipe
from nutrilab.weighing.as_bought import refuse
from nutrilab.wording import wording


@pytest.fixture(scope="module")
def kitchen() -> Kitchen:
    return Kitchen([embedded()])


@pytest.mark.parametrize("text", ["70% chocolate", "70 % chocolate", "5 per cent mince", "1st class", "180° oven"])
def test_a_percentage_or_a_rank_is_no_amount(text: str) -> None:
    assert number(text, 0) is None


def test_the_low_end_of_a_range_is_that_of_its_lower_number(kitchen: Kitchen) -> None:
    two, range_ = kitchen.line("200 g leeks"), kitchen.line("200-300 g leeks")
    assert (range_.low, range_.grams, range_.high) == (two.grams, 250, 300)
    spoons = kitchen.line("1-3 tbsp olive oil")
    one, three = kitchen.line("1 tbsp olive oil"), kitchen.line("3 tbsp olive oil")
    assert spoons.low is not None
    assert one.low is not None
    assert three.grams is not None
    assert one.low <= spoons.low <= (one.grams or 0)
    assert (spoons.high or 0) >= three.grams


@pytest.mark.parametrize(
    "name", ["vegan halloumi", "alcohol free gin", "chicken essence", "mock crab", "rum flavouring"]
)
def test_a_word_that_turns_a_name_into_another_food_guards_it(name: str) -> None:
    query = read(name, None, name)
    food = frozenset(token for token in query.tokens if token in ("halloumi", "gin", "chicken", "crab", "rum"))
    assert guarded(query, food)
    assert not guarded(query, frozenset(query.tokens))


def test_a_guarded_food_is_refused(kitchen: Kitchen) -> None:
    food = kitchen.line("100 g vegan pecorino").foods[0].link.food
    assert food is None or "romano" not in food.name.lower()


def test_two_reasons_for_doubt_are_a_doubt(kitchen: Kitchen) -> None:
    """A row that is only likely, and a word of the name it does not account for."""
    assert kitchen.line("1 cup evaporated milk").sureness == "likely"
    assert kitchen.line("1 cup undiluted evaporated milk").sureness == "doubtful"


def test_every_half_before_an_or_is_spelt_out_and_no_more_than_three() -> None:
    """ "Whole, Greek or coconut yoghurt": Annex II, 7; more halves than three are no list a cook writes."""
    assert "milk" in find("Greek or coconut yoghurt").contains
    assert "milk" in find("whole, natural, Greek or coconut yoghurt").contains
    from nutrilab.allergens.rules import rulebook

    tokens = rulebook().read("plain, whole, natural, Greek, set or coconut yoghurt").tokens
    assert tokens.count("yoghurt") == 1 + 3


SALTED = """dish: Slipway potatoes
portions: 4
ingredients: [5 kg potatoes, 300 ml water, 10 g salt]
cooking: {method: boiled, minutes: 20, drained: true}
"""


def test_food_takes_up_no_more_salt_than_is_listed_for_its_water(kitchen: Kitchen, tmp_path: Path) -> None:
    file = tmp_path / "potatoes.yaml"
    file.write_text(SALTED, encoding="utf-8")
    salt = kitchen.dish(read_recipe(file)).batch.get("NA") * 2.5 / 1000
    potatoes = kitchen.line("5 kg potatoes").foods[0].link.food
    assert potatoes is not None
    raw = 5000 / 100 * potatoes.values["NA"] * 2.5 / 1000
    assert salt <= 10 + raw + 0.01


@pytest.mark.parametrize(("grams", "bones"), [(1500.0, True), (950.0, True), (850.0, False), (300.0, False)])
def test_a_chicken_from_900_g_is_the_bird(grams: float, bones: bool) -> None:
    """USDA SR28 05006 and 05109: bone 27 to 32 %."""
    found = refuse(wording("chicken"), ("chicken",), ("@meat",), False, grams)
    assert (found is not None) is bones


def test_the_middle_of_a_range_lies_between_its_ends() -> None:
    assert Amount(2, "g", 4).middle == 3
    assert Amount(2, "g").middle == 2


def test_work_alone_stays_a_name() -> None:
    """Common practice, no source: "salt and chopped" names two things, however odd the second is."""
    assert foods("salt and chopped parsley")[0] == ("salt", "parsley")
    assert foods("parsley and chopped")[0][-1] == "chopped"


def test_the_uk_tables_count_alcohol_at_29_kj_and_7_kcal() -> None:
    """McCance and Widdowson's The Composition of Foods, 7th edition: energy conversion factors."""
    assert UK_ENERGY["ALC"] == (29.0, 7.0)


def test_fresh_before_work_goes_with_the_name() -> None:
    found = name_of("fresh chopped parsley")
    assert (found.words, found.before) == (("fresh", "parsley"), "chopped")
    assert name_of("fresh parsley").words == ("fresh", "parsley")


def test_a_name_of_one_size_word_is_left_alone() -> None:
    assert name_of("eggs large").sizes == ("large",)
    assert name_of("eggs large").words == ("eggs",)
