"""Stages that do not say how they are cooked, steps whose factor is a gain, and what is added when the dish is done."""

from __future__ import annotations

from dataclasses import fields

import pytest

from nutrilab.cooking.media import Put
from nutrilab.cooking.stage import StageResult
from nutrilab.cooking.steps import Flow
from nutrilab.foods import embedded
from nutrilab.lines import parse_line
from nutrilab.recipe import METHODS, Cooking, Line, Recipe, Stage
from nutrilab.results import DishResult
from nutrilab.sheets import terminal
from tests.dishes import kitchen
from tests.stages import cook_stage

FLOUR, EGG, SUGAR, RICE, WATER, PASTA = "sr:20081", "sr:01123", "sr:19335", "sr:20044", "sr:14429", "sr:20120"
ICING, COCOA, PARSLEY, BREAD, CHEESE, CARROT = "sr:19336", "sr:19165", "sr:11297", "sr:18069", "sr:01032", "sr:11124"
OIL, CHICKEN = "sr:04582", "sr:05062"


def dish(name: str, lines: str, cooking: Cooking | None = None) -> DishResult:
    stage = Stage(name, tuple(Line(line.strip()) for line in lines.split(";")), cooking)
    return kitchen().dish(Recipe(name, (stage,), 4))


def said(result: DishResult, code: str = "no-moisture-loss") -> str:
    return " ".join(remark.message for remark in result.remarks if remark.code == code)


# (dish, lines, foods that must be named)
COOKED = [
    (
        "Jetty carrot soup",
        "25 g butter; 1 onion; 600 g carrots; 1 litre vegetable stock; parsley to serve",
        "carrots and onion",
    ),
    ("Sponge", "200 g butter; 200 g sugar; 4 eggs; 200 g self-raising flour", "eggs and self-raising flour"),
    ("Almond torte", "200 g ground almonds; 200 g sugar; 6 eggs", "eggs"),
    ("Mash", "1 kg potatoes; 50 g butter", "potatoes"),
    ("Supper", "1 onion; 2 cloves garlic; 400 g tin chopped tomatoes; 2 tbsp olive oil", "onion"),
    ("Pot", "2 carrots; 1 leek; 1.5 litres water", "leek and carrots"),
    ("White sauce", "30 g butter; 30 g plain flour; 500 ml milk", "plain flour"),
    ("Strawberry jam", "1 kg strawberries; 1 kg sugar", "strawberries"),
    ("Roast vegetables", "2 red peppers; 2 courgettes; 3 tbsp olive oil", "courgettes and red peppers"),
    ("Onion tray", "4 onions; 3 tbsp olive oil", "onions"),
    ("Vegetable curry", "1 cauliflower; 1 tin coconut milk; 2 tbsp curry paste", "cauliflower"),
    ("Flapjack", "250 g oats; 125 g butter; 125 g golden syrup", "oats"),
    ("Chicken salad", "400 g chicken breast; 1 lettuce", "chicken breast"),
    ("Potato salad", "500 g new potatoes; 100 g mayonnaise", "new potatoes"),
    ("Custard", "500 ml milk; 5 egg yolks; 50 g sugar", "egg yolks"),
    ("Buttered leeks", "500 g leeks; 50 g butter", "leeks"),
    ("Bouillon", "300 g mushrooms; 1 vegetable stock cube; 800 ml water", "mushrooms"),
    ("Fillets", "4 salmon fillets; 1 lemon", "salmon fillets"),
    ("Rolls", "400 g sausage meat; 300 g puff pastry; 1 egg", "sausage meat, puff pastry and egg"),
]
RAW = [
    ("Greek salad", "4 tomatoes; 1 cucumber; 1 red onion; 200 g feta; 4 tbsp olive oil"),
    ("Harbour bowl", "4 tomatoes; 1 cucumber; 1 onion; 200 g feta; 4 tbsp olive oil"),
    ("Salsa", "4 tomatoes; 1 onion; 1 lime"),
    ("Coleslaw", "300 g white cabbage; 2 carrots; 1 onion; 150 g mayonnaise"),
    ("Vinaigrette", "6 tbsp olive oil; 2 tbsp vinegar; 1 shallot; 1 tsp Dijon mustard"),
    ("Ham sandwich", "4 slices bread; 20 g butter; 2 slices ham; 1 tomato; 1 lettuce"),
    ("Lunch", "4 slices bread; 20 g butter; 4 slices ham; 2 tomatoes; 1 cucumber"),
    ("Green smoothie", "100 g spinach; 1 banana; 300 ml water"),
    ("Lemonade", "4 lemons; 100 g sugar; 1 litre water"),
    ("Fruit salad", "2 apples; 200 g strawberries; 1 orange"),
    ("Muesli", "300 g oats; 100 g raisins; 50 g almonds"),
    ("Fruit and nuts", "100 g raisins; 50 g almonds"),
    ("Gazpacho", "1 kg tomatoes; 1 cucumber; 1 onion; 200 ml water; 4 tbsp olive oil"),
    ("Mayonnaise", "2 egg yolks; 300 ml oil; 1 tbsp vinegar"),
    ("Chocolate mousse", "200 g chocolate; 4 eggs; 100 ml cream"),
    ("Crudites", "3 carrots; 1 cucumber; 1 red pepper"),
    ("Plate", "200 g smoked salmon; 4 slices rye bread; 1 lemon; 2 hard-boiled eggs"),
    ("Sangria", "750 ml red wine; 2 oranges; 1 lemon"),
    ("Ceviche", "400 g sea bass fillet; 4 limes; 1 red onion"),
    ("Parma ham and melon", "8 slices parma ham; 1 melon"),
    ("Pesto", "50 g basil; 50 g parmesan; 100 ml olive oil; 1 clove garlic"),
    ("Shortcrust dusting", "200 g cooked rice; 2 g flour for dusting"),
]


@pytest.mark.parametrize(("name", "lines", "named"), COOKED)
def test_what_is_cooked_without_saying_so_is_told(name: str, lines: str, named: str) -> None:
    assert said(dish(name, lines)).startswith(f"the cooking of {named}")
    assert "no water is taken off" in said(dish(name, lines))


@pytest.mark.parametrize(("name", "lines"), RAW)
def test_of_a_salad_a_drink_a_dressing_a_sandwich_there_is_nothing_to_say(name: str, lines: str) -> None:
    assert said(dish(name, lines)) == ""
    assert said(dish(name, lines, Cooking(method="raw"))) == ""


@pytest.mark.parametrize("method", [method for method in METHODS if method != "raw"])
def test_a_method_without_a_fitting_yield_always_says_so(method: str) -> None:
    """Sugar, honey and yoghurt have no row in the yield table, and "thing" is no kind of dish."""
    result = dish("thing", "200 g sugar; 100 g honey; 300 g yoghurt", Cooking(method=method))
    assert result.stages[0].result.weight_from == "none"
    assert "none is taken off" in said(result)


def test_many_small_foods_without_a_yield_are_told_too() -> None:
    lines = "500 g chicken breast;" + ";".join(f"20 g {nut}" for nut in ("almonds", "hazelnuts", "walnuts", "cashews"))
    assert "nothing is known of what cooking takes from" in said(dish("thing", lines, Cooking(method="grilled")))


# --- a gain is called one ---------------------------------------------------------------------------------------------


def put(food_id: str, grams: float, purpose: str | None = None, line: int = 1) -> Put:
    food = embedded().food(food_id)
    reading = parse_line(f"{food.name}, {purpose or ''}")
    assert reading.purpose == purpose
    return Put(food, grams, grams, grams, food.name, reading, line=line)


def test_rice_that_drinks_its_water_gains_and_what_boils_off_is_no_factor() -> None:
    result = cook_stage([put(RICE, 300), put(WATER, 900)], [], Cooking(method="simmered"), "rice")
    gained, lost = (next(s for s in result.steps if s.name == name) for name in ("weight gained", "water lost"))
    assert gained.factor is not None
    assert gained.factor == pytest.approx(2.89, abs=0.2)
    assert gained.flow == Flow()
    assert f"{300 * (gained.factor - 1):.0f} g of the water in the pot" in gained.words
    assert lost.factor is None
    assert lost.flow.mass == pytest.approx(1200 - 300 * gained.factor)
    assert not any(step.way == "lost" and (step.factor or 0) > 1 for step in result.steps)


def test_the_terminal_words_the_gain() -> None:
    text = " ".join(
        terminal.dish(
            dish("Rice", "300 g basmati rice; 900 ml water", Cooking(method="simmered")), explain=True
        ).split()
    )
    assert "weight gained: factor 2." in text
    assert "water lost" not in text


# --- added when it is done --------------------------------------------------------------------------------------------


def baked(*extra: Put, cooking: Cooking | None = None) -> StageResult:
    cooking = cooking or Cooking(method="baked", weight_before=600, weight_after=540)
    return cook_stage([put(FLOUR, 200), put(SUGAR, 200), put(EGG, 200), *extra], [], cooking, "tray")


def test_icing_sugar_for_dusting_is_not_on_the_scales() -> None:
    plain, dusted = baked(), baked(put(ICING, 60, "for dusting", 4))
    assert not [remark for remark in dusted.remarks if remark.code == "scales-and-lines"]
    assert dusted.cooked.mass == pytest.approx(600)
    assert dusted.raw.mass == pytest.approx(660)
    sugar = embedded().food(ICING).values["SUGAR"] * 0.6
    assert dusted.cooked.get("SUGAR") - plain.cooked.get("SUGAR") == pytest.approx(sugar)
    assert [step.flow for step in dusted.steps] == [step.flow for step in plain.steps]
    assert any(remark.code == "added-after-weighing" for remark in dusted.remarks)
    assert any(remark.code == "scales-and-lines" for remark in baked(put(ICING, 60, None, 4)).remarks)


@pytest.mark.parametrize(
    ("food", "purpose", "text", "after"),
    [
        (ICING, "for dusting", "icing sugar, to dust", True),
        (COCOA, "for dusting", "cocoa for dusting", True),
        (FLOUR, "for dusting", "flour, for dusting", False),
        (PARSLEY, "to serve", "parsley, to serve", True),
        (PARSLEY, "to garnish", "parsley, to garnish", True),
        (PARSLEY, "to garnish", "parsley to decorate", True),
        (CHEESE, "to garnish", "grated parmesan for the top", False),
        (CHEESE, "to garnish", "parmesan, to sprinkle", False),
        (OIL, "for frying", "oil for frying", False),
        (PARSLEY, None, "parsley", False),
    ],
)
def test_which_purposes_come_after_the_weighing(food: str, purpose: str | None, text: str, after: bool) -> None:
    row = embedded().food(food)
    extra = Put(row, 30, 30, 30, row.name, parse_line(text), line=4)
    assert extra.reading.purpose == purpose
    result = baked(extra, cooking=Cooking(method="baked", weight_after=500))
    assert result.cooked.mass == pytest.approx(530 if after else 500)


def test_what_is_raw_is_weighed_whole_and_so_is_what_the_scales_show() -> None:
    raw = baked(put(PARSLEY, 30, "to serve", 4), cooking=Cooking(method="raw", weight_after=630))
    assert raw.cooked.mass == pytest.approx(630)
    whole = baked(put(PARSLEY, 30, "to serve", 4), cooking=Cooking(method="baked", weight_after=620))
    assert whole.cooked.mass == pytest.approx(620)  # more than the rest weighs: the parsley was on the scales


def test_pasta_gains_water_and_its_cheese_comes_after() -> None:
    cooking = Cooking(method="boiled", drained=True, weight_after=960)
    result = cook_stage([put(PASTA, 400), put(CHEESE, 50, "to serve", 2)], [], cooking, "pasta")
    assert result.cooked.mass == pytest.approx(1010)


def test_rice_to_serve_that_nobody_cooked_is_told() -> None:
    puts = [put(CHICKEN, 400), put(CARROT, 200, line=2), put(RICE, 300, "to serve", 3)]
    result = cook_stage(puts, [], Cooking(method="stewed", minutes=40), "stew")
    (told,) = [r.message for r in result.remarks if r.message.startswith("the cooking of")]
    assert "Rice" in told
    assert result.cooked.mass > 300
    assert result.weight_from == "median for this kind of dish"


@pytest.mark.parametrize("method", [None, *METHODS])
@pytest.mark.parametrize("weights", [{}, {"weight_after": 640.0}, {"loss": 0.1}, {"weight_before": 700.0, "loss": 0.1}])
def test_the_balance_closes_with_what_is_added(method: str | None, weights: dict[str, float]) -> None:
    puts = [put(CHICKEN, 400), put(CARROT, 300, line=2), put(OIL, 20, line=3)]
    puts += [put(BREAD, 90, "to serve", 4), put(PARSLEY, 10, "to garnish", 5), put(ICING, 25, "for dusting", 6)]
    result = cook_stage(puts, [], Cooking(method=method, minutes=20, **weights), "dish")  # type: ignore[arg-type]
    for one in fields(Flow):
        assert getattr(result.balance.gap, one.name) == pytest.approx(0, abs=1e-6)


def test_a_dish_counts_what_is_added_in_figures_and_allergens() -> None:
    lines = "200 g flour; 200 g sugar; 4 eggs; 20 g chopped hazelnuts, to decorate"
    result = dish("Sponge", lines, Cooking(method="baked", weight_before=600, weight_after=540))
    assert result.whole.mass == pytest.approx(560, abs=1)
    assert "nuts" in result.allergens.contains
