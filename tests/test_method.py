"""The written method read: steps, what they are done to, and what that does to weights and figures."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path

import pytest

from nutrilab import as_read
from nutrilab.datafiles import rows
from nutrilab.foods import embedded
from nutrilab.kitchen import Kitchen
from nutrilab.method import Named
from nutrilab.method import reading as method
from nutrilab.method.clauses import clauses
from nutrilab.method.times import degrees, minutes
from nutrilab.method.words import places, reductions, verbs
from nutrilab.recipe import METHODS, InputError, Line, read_recipe
from nutrilab.records import dish_record
from nutrilab.results import DishResult
from nutrilab.sheets import terminal
from nutrilab.sheets.page import sheet
from tests.method_recipes import SUPPERS, Supper


@cache
def kitchen() -> Kitchen:
    return Kitchen([embedded()], alternatives=False)


def cooked(folder: Path, text: str, name: str = "dish.txt") -> DishResult:
    path = folder / name
    path.write_text(text.strip(), encoding="utf-8")
    return kitchen().dish(read_recipe(path))


def rows_of(result: DishResult) -> dict[str, as_read.CookedAsRead]:
    return {row.stage: row for row in as_read.cooked_as_read(result)}


def codes(result: DishResult) -> set[str]:
    return {remark.code for remark in result.remarks}


def steps(*sentences: str, lines: tuple[Named, ...] = ()) -> list[method.Step]:
    return list(method.steps_of([Line(text, n) for n, text in enumerate(sentences, 1)], lines))


def named(*texts: str) -> tuple[Named, ...]:
    """Lines as the kitchen names them."""
    recipe = [(text, kitchen().line(text)) for text in texts]
    return tuple(as_read._named(n, Line(text, n + 1), record, "") for n, (text, record) in enumerate(recipe))


# --- twenty suppers ---------------------------------------------------------------------------------------------------


def test_sixteen_of_twenty_suppers_weigh_what_published_yields_say(tmp_path: Path) -> None:
    near = [s for s in SUPPERS if abs(cooked(tmp_path, s.text).cooked_mass / s.cooked - 1) <= 0.08]
    assert len(SUPPERS) == 20
    assert len(near) >= 16, [s.name for s in SUPPERS if s not in near]


@pytest.mark.parametrize("supper", SUPPERS, ids=lambda s: s.name)
def test_no_supper_is_reckoned_raw(tmp_path: Path, supper: Supper) -> None:
    result = cooked(tmp_path, supper.text)
    heated = [row for row in as_read.cooked_as_read(result) if row.done != "put together"]
    assert heated
    assert all(row.weight_from == "read from the method" for row in heated), heated
    assert any(abs(row.after - row.before) > 1 for row in heated) or "mash" in supper.name
    assert "step-not-understood" not in codes(result)


# --- words ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("simmer for 10 minutes", 10),
        ("cook for 10-12 mins", 11),
        ("bake for 25 to 30 minutes", 27.5),
        ("stew for 1½ hours", 90),
        ("braise for 1 1/2 hours", 90),
        ("roast for an hour and a half", 90),
        ("roast for half an hour", 30),
        ("roast for 1 hour 20 minutes", 80),
        ("fry for 4 minutes on each side", 8),
        ("grill for 3 mins per side", 6),
        ("bake for 1 hour, then uncovered for a further 20 minutes", 80),
        ("cook for a couple of minutes", 2),
        ("leave overnight", 480),
        ("fry for 30 seconds", 0.5),
        ("cook for twenty minutes", 20),
        ("cook for 10 minutes, or 5 minutes if they are small", 10),
        ("stir in 2 eggs", None),
        ("cut into 2 cm pieces", None),
    ],
)
def test_minutes(text: str, expected: float | None) -> None:
    assert minutes(text) == (None if expected is None else pytest.approx(expected))


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("heat the oven to 200C/180C fan/gas 6", 200),
        ("preheat the oven to 350F", 177),
        ("bake at 400°F", 204),
        ("bake at gas mark 5", 190),
        ("bake at 170 degrees C", 170),
        ("heat the oil to 180°C", 180),
        ("add 200 g flour", None),
        ("simmer for 45 minutes", None),
    ],
)
def test_degrees(text: str, expected: float | None) -> None:
    assert degrees(text) == (None if expected is None else pytest.approx(expected, abs=1))


def test_a_sentence_is_cut_where_something_else_is_done() -> None:
    text = (
        "Bring some salted water to the boil, add the pasta and cook for 10 minutes, then drain and toss with the oil."
    )
    assert [clause.text for clause in clauses([Line(text)])] == [
        "Bring some salted water to the boil",
        "add the pasta",
        "cook for 10 minutes",
        "drain",
        "toss with the oil",
    ]


def test_a_line_that_the_page_broke_is_one_sentence() -> None:
    found = steps("Put the lentils in a pan and simmer for", "30 minutes until soft.")
    assert [step.minutes for step in found] == [None, 30]


@pytest.mark.parametrize(
    ("text", "foods"),
    [
        ("Brown the meat.", [0]),
        ("Brown the beef.", [0]),
        ("Add the stock.", [1]),
        ("Soften the vegetables.", [2, 3, 6]),
        ("Fry the onions and carrots in the oil.", [2, 3, 4]),
        ("Pour in the wine.", [5]),
        ("Boil the potatoes.", [6]),
        ("Stir in the tomato puree.", [7]),
        ("Fold in the herbs.", [8]),
        ("Add the liquids.", [1, 5]),
        ("Add the spuds.", [6]),
    ],
)
def test_what_a_step_calls_a_line(text: str, foods: list[int]) -> None:
    lines = named(
        "600 g braising steak", "500 ml beef stock", "2 onions, sliced", "3 carrots", "2 tbsp olive oil",
        "150 ml red wine", "800 g floury potatoes", "1 tbsp tomato puree", "a handful of parsley",
    )  # fmt: skip
    found = steps(text, lines=lines)
    assert sorted(found[0].foods) == foods


def test_stock_of_an_animal_is_not_the_animal() -> None:
    lines = named("500 g chicken thigh fillets", "400 ml chicken stock", "400 ml coconut milk", "200 ml whole milk")
    found = steps("Brown the chicken. Add the chicken stock. Stir in the coconut milk.", lines=lines)
    assert [step.foods for step in found] == [(0,), (1,), (2,)]


def test_parts_of_a_line() -> None:
    lines = named("100 g butter", "60 g cheddar", "500 ml vegetable stock")
    found = steps("Melt half the butter. Add the rest of the butter. Pour in the remaining stock.", lines=lines)
    assert [dict(step.shares) for step in found] == [{0: 0.5}, {0: 0.5}, {2: 0.5}]


def test_what_is_not_done_is_not_done() -> None:
    (step,) = steps("Do not drain the beans.")
    assert step.does == "prepare"


def test_a_step_that_is_not_understood_is_listed(tmp_path: Path) -> None:
    result = cooked(
        tmp_path,
        "Hatch soup\nServes 2\n500 g carrots\n500 ml vegetable stock\nMethod\n"
        "Simmer the carrots in the stock for 20 minutes.\nThen gribble everything with zorb and vibble.",
    )
    assert result.method is not None
    assert [step.text for step in result.method.unread] == ["Then gribble everything with zorb and vibble."]
    (remark,) = (remark for remark in result.remarks if remark.code == "step-not-understood")
    assert "gribble" in remark.message


# --- what happens to weights ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("line", "sentence", "cooked_row"),
    [
        ("300 g spaghetti", "Boil the spaghetti for 10 minutes and drain.", "sr:20121"),
        ("300 g basmati rice", "Cook the rice in boiling water for 12 minutes, then drain well.", "sr:20045"),
        ("300 g puy lentils", "Simmer the lentils for 25 minutes, then drain.", "sr:16070"),
        ("300 g dried chickpeas", "Soak the chickpeas overnight. Drain and boil for 1 hour, then drain.", "sr:16057"),
        ("300 g pearl barley", "Boil the barley for 40 minutes and drain.", "sr:20006"),
    ],
)
def test_dry_food_comes_out_as_the_cooked_row(tmp_path: Path, line: str, sentence: str, cooked_row: str) -> None:
    """Water and energy per 100 g within 8 % of what SR28 has for the food cooked."""
    result = cooked(tmp_path, f"Quay bowl\nServes 4\n{line}\nMethod\n{sentence}")
    row = embedded().food(cooked_row).values
    assert 100 * result.batch.get("WATER") / result.batch.mass == pytest.approx(row["WATER"], rel=0.08)
    assert result.whole.per_100g["energy_kcal"] == pytest.approx(row["ENERC_KCAL"], rel=0.08)


def test_grain_takes_up_no_more_water_than_it_is_given(tmp_path: Path) -> None:
    result = cooked(
        tmp_path,
        "Rigger's bulgur\nServes 4\n200 g bulgur wheat\nMethod\n"
        "Put the bulgur in a bowl, pour over 300 ml boiling water, cover and leave for 15 minutes.",
    )
    assert result.cooked_mass <= 500.5
    assert result.cooked_mass == pytest.approx(500, rel=0.15)


def test_energy_a_portion_does_not_move_when_only_water_does(tmp_path: Path) -> None:
    lines = "Gale stew\nServes 4\n600 g lean braising steak\n300 g carrots\n500 ml beef stock\n"
    with_method = cooked(tmp_path, f"{lines}Method\nSimmer everything for 2 hours.")
    without = cooked(tmp_path, lines)
    assert with_method.cooked_mass < 0.95 * without.cooked_mass
    assert with_method.whole.per_portion["energy_kcal"] == without.whole.per_portion["energy_kcal"]


@pytest.mark.parametrize(
    ("words", "grams"),
    [
        ("until reduced by half", 250),
        ("until it has reduced by a third", 500 / 3),
        ("until reduced by two thirds", 1000 / 3),
        ("until syrupy", 350),
        ("until almost all the liquid has gone", 450),
    ],
)
def test_a_reduction_is_of_the_liquid_and_not_of_the_dish(tmp_path: Path, words: str, grams: float) -> None:
    result = cooked(
        tmp_path,
        f"Mooring relish with onions\nServes 4\n1 kg onions\n500 ml water\nMethod\n"
        f"Boil the water {words}. Add the onions and serve raw.",
    )
    (cooking,) = (s.stage.cooking for s in result.stages if s.stage.cooking and s.stage.cooking.boiled_off)
    assert cooking.boiled_off is not None
    assert cooking.boiled_off[0] == pytest.approx(grams, rel=0.01)
    assert cooking.boiled_off[1] <= cooking.boiled_off[0] <= cooking.boiled_off[2]
    assert result.cooked_mass == pytest.approx(1500 - grams, rel=0.02)


def test_thick_says_nothing_of_water_where_flour_binds(tmp_path: Path) -> None:
    result = cooked(
        tmp_path,
        "White sauce\nServes 4\n50 g butter\n50 g plain flour\n600 ml whole milk\nMethod\n"
        "Melt the butter, stir in the flour, add the milk and simmer for 5 minutes until thickened.",
    )
    assert not any(s.stage.cooking and s.stage.cooking.boiled_off for s in result.stages)


@pytest.mark.parametrize(
    "sentence",
    [
        "Brown the mince, pour off the fat, add the tomatoes and simmer for 30 minutes.",
        "Brown the mince, then drain off the fat. Add the tomatoes and simmer for 30 minutes.",
        "Brown the mince and spoon off the excess fat. Add the tomatoes and simmer for 30 minutes.",
    ],
)
def test_fat_that_is_poured_off_is_not_eaten(tmp_path: Path, sentence: str) -> None:
    lines = "Winch mince\nServes 4\n500 g minced beef (20% fat)\n400 g tin chopped tomatoes\nMethod\n"
    poured = cooked(tmp_path, lines + sentence)
    kept = cooked(tmp_path, f"{lines}Brown the mince, add the tomatoes and simmer for 30 minutes.")
    less = 4 * ((kept.whole.per_portion["fat"] or 0) - (poured.whole.per_portion["fat"] or 0))
    assert 15 < less < 60
    assert "fat-dripped" in codes(poured)


def test_draining_off_water_pours_no_fat(tmp_path: Path) -> None:
    result = cooked(
        tmp_path,
        "Ham hock broth\nServes 4\n500 g pork belly\n500 g potatoes\nMethod\nBoil the pork and potatoes for 40 "
        "minutes, then drain off the water.",
    )
    assert not any(s.stage.cooking and s.stage.cooking.fat_poured for s in result.stages)


def test_kitchen_paper_drains_no_water(tmp_path: Path) -> None:
    result = cooked(
        tmp_path, "Fritter\nServes 2\n400 g courgettes\n4 tbsp oil\nMethod\nFry in the oil and drain on kitchen paper."
    )
    assert not any(s.stage.cooking and s.stage.cooking.drained for s in result.stages)


def test_a_marinade_that_is_thrown_away_counts_as_far_as_it_sticks(tmp_path: Path) -> None:
    lines = (
        "Pontoon chicken\nServes 4\n600 g chicken breast fillets\n150 ml soy sauce\n50 ml oil\nMethod\n"
        "Mix the soy sauce and oil, add the chicken and marinate for 2 hours. "
    )
    away = cooked(tmp_path, f"{lines}Lift the chicken out of the marinade and grill for 12 minutes.")
    whole = cooked(tmp_path, f"{lines}Tip everything into a dish and bake for 30 minutes.")
    assert (away.whole.per_portion["salt"] or 0) < 0.5 * (whole.whole.per_portion["salt"] or 0)
    assert "marinade-estimated" in codes(away)
    assert (away.allergens.contains.keys() & {"soya"}) == {"soya"}


# --- frying -----------------------------------------------------------------------------------------------------------

FRIED = [
    "1 litre sunflower oil, for deep frying|Fry the fish for 6 minutes.",
    "1 litre sunflower oil, for deep frying|Cut the fish into strips and serve.",
    "1 litre sunflower oil|Heat the oil to 180C and fry the fish in batches for 6 minutes.",
    "1 litre sunflower oil|Fill a deep pan a third full of oil. Fry the fish until golden.",
    "1 litre sunflower oil|Deep-fry the fish for 5 minutes and drain on kitchen paper.",
    "600 ml sunflower oil|Shallow-fry the fish for 4 minutes on each side.",
]


@pytest.mark.parametrize("words", FRIED)
def test_oil_that_is_poured_is_never_eaten_whole(tmp_path: Path, words: str) -> None:
    oil, sentence = words.split("|")
    result = cooked(tmp_path, f"Capstan haddock\nServes 4\n800 g haddock fillets\n{oil}\nMethod\n{sentence}")
    assert 4 * (result.whole.per_portion["fat"] or 0) < 0.2 * 800
    assert 4 * (result.whole.per_portion["fat"] or 0) > 0.02 * 800
    assert "frying-oil-estimated" in codes(result)


def test_oil_for_deep_frying_without_any_method(tmp_path: Path) -> None:
    result = cooked(tmp_path, "Capstan haddock\nServes 4\n800 g haddock fillets\n1 litre oil, for deep frying")
    assert 4 * (result.whole.per_portion["fat"] or 0) < 0.2 * 800


def test_fry_without_fat_is_a_contradiction(tmp_path: Path) -> None:
    dish = "Cutter courgettes\nServes 2\n500 g courgettes\n"
    assert "fried-without-fat" in codes(cooked(tmp_path, f"{dish}Method\nFry the courgettes for 8 minutes."))
    assert "fried-without-fat" not in codes(
        cooked(tmp_path, f"{dish}1 tbsp oil\nMethod\nFry the courgettes in the oil.")
    )
    dry = cooked(tmp_path, f"{dish}Method\nDry-fry the courgettes in a non-stick pan for 8 minutes.")
    assert "fried-without-fat" not in codes(dry)


def test_hours_of_heat_without_a_loss_are_a_contradiction(tmp_path: Path) -> None:
    dish = "Bilge cake\nServes 4\n500 g honey\n500 g sugar\nMethod\nSteam the honey and sugar for 2 hours."
    result = cooked(tmp_path, dish)
    assert ("long-heat-no-loss" in codes(result)) == (result.cooked_mass > 980)


# --- several pots -----------------------------------------------------------------------------------------------------


def test_what_is_cooked_apart_has_stages_of_its_own(tmp_path: Path) -> None:
    result = cooked(
        tmp_path,
        "Bollard cottage pie\nServes 6\n1 kg floury potatoes\n60 g butter\n100 ml milk\n500 g beef mince\n1 onion\n"
        "1 tbsp oil\n400 ml beef stock\n75 g cheddar\nMethod\n"
        "Boil the potatoes in salted water for 15 minutes, drain and mash with the butter and milk.\n"
        "Meanwhile, heat the oil in a large pan and fry the onion for 10 minutes. Add the mince, brown it, add the "
        "stock and simmer for 30 minutes.\nTop with the mash and the cheese. Bake for 30 minutes.",
    )
    found = rows_of(result)
    methods = [stage.stage.cooking.method for stage in result.stages if stage.stage.cooking]
    assert sorted(methods) == ["baked", "boiled", "raw", "simmered"]
    assert found["mash"].foods[1:] == ("butter", "milk")
    assert found["Bollard cottage pie"].foods[-1] == "cheddar"
    boiled = next(stage for stage in result.stages if stage.stage.cooking and stage.stage.cooking.method == "boiled")
    assert boiled.stage.cooking is not None
    assert boiled.stage.cooking.drained
    assert boiled.stage.cooking.salted_water


@pytest.mark.parametrize(
    "text",
    [
        "For the sauce:\nSimmer the tomatoes for 20 minutes.\nFor the rice:\nBoil the rice for 12 minutes and drain.",
        "1. For the sauce, simmer the tomatoes for 20 minutes.\n2. Boil the rice for 12 minutes, drain. Serve.",
        "Simmer the tomatoes for 20 minutes. Meanwhile, in another pan, boil the rice for 12 minutes, then drain.",
    ],
)
def test_several_stages_however_they_are_told(tmp_path: Path, text: str) -> None:
    result = cooked(tmp_path, f"Two pan supper\nServes 4\n800 g tomatoes\n300 g long grain rice\nMethod\n{text}")
    assert sorted(s.stage.cooking.method or "" for s in result.stages if s.stage.cooking) == [
        "boiled",
        "raw",
        "simmered",
    ]


def test_parboiled_potatoes_are_roast_potatoes(tmp_path: Path) -> None:
    result = cooked(
        tmp_path,
        "Ropewalk roast potatoes\nServes 6\n1.5 kg potatoes\n100 g goose fat\nMethod\nParboil the potatoes for 8 "
        "minutes and drain. Heat the fat in a roasting tin, add the potatoes and roast for 50 minutes.",
    )
    assert [stage.stage.cooking.method for stage in result.stages if stage.stage.cooking] == ["roasted"]
    assert result.cooked_mass == pytest.approx(1500 * (0.741 - 0.041) + 100, rel=0.03)  # CoFID 13-492


def test_water_of_the_method_counts_where_no_line_has_it(tmp_path: Path) -> None:
    dish = (
        "Lock-keeper's dal\nServes 4\n300 g red lentils\n{}Method\nAdd 1.2 litres of water and simmer for 30 minutes."
    )
    with_line = cooked(tmp_path, dish.format("1.2 litres water\n"))
    without = cooked(tmp_path, dish.format(""))
    assert without.cooked_mass == pytest.approx(with_line.cooked_mass, rel=0.02)
    assert "water-from-method" in codes(without)
    assert "water-from-method" not in codes(with_line)


def test_places_stay_those_of_the_cooks_list(tmp_path: Path) -> None:
    result = cooked(
        tmp_path,
        "Wharf noodles\nServes 4\n800 g tomatoes\n300 g egg noodles\n50 g parmesan\nMethod\nSimmer the tomatoes for 20 "
        "minutes. Boil the noodles for 4 minutes and drain. Toss together and scatter with the parmesan.",
    )
    assert any("[Wharf noodles, line 2: 300 g egg noodles]" in e for e in result.allergens.contains["gluten"])
    assert any("[Wharf noodles, line 3: 50 g parmesan]" in e for e in result.allergens.contains["milk"])


def test_rice_to_serve_is_boiled_rice(tmp_path: Path) -> None:
    result = cooked(tmp_path, "Gunwale curry\nServes 1\nbasmati rice, to serve")
    (remark,) = (remark for remark in result.remarks if remark.code == "weighed-as-served")
    assert "dry" in remark.message
    assert result.whole.per_100g["energy_kcal"] == pytest.approx(130, rel=0.08)  # SR28 20045, boiled
    stated = cooked(
        tmp_path, "Gunwale curry\nServes 4\n500 g carrots\n300 g basmati rice, to serve\nMethod\nSteam the carrots."
    )
    assert stated.cooked_mass > 1200  # what was bought dry is boiled


# --- what a text recipe may state -------------------------------------------------------------------------------------

PLAIN = "Signal stew\n{}\n600 g carrots\n400 ml vegetable stock\nMethod\nSimmer for 20 minutes.\n{}"


@pytest.mark.parametrize(
    "line",
    [
        "Cooked weight: 0.8 kg",
        "Weighs 800 g after cooking",
        "It weighs 800 g when cooked.",
        "Weight after cooking: 800 g",
        "Finished weight = 800g",
    ],
)
def test_the_cooks_own_weighing_stands_before_what_is_read(tmp_path: Path, line: str) -> None:
    result = cooked(tmp_path, PLAIN.format("Serves 4", line))
    assert result.cooked_mass == pytest.approx(800)
    assert result.stages[-1].result.weight_from == "weighed"


def test_a_portion_and_cups_and_oil_left(tmp_path: Path) -> None:
    result = cooked(tmp_path, PLAIN.format("Portion: 300 g\nCups: metric", "Cooked weight: 900 g"))
    assert result.portions == pytest.approx(3)
    assert result.recipe.cup == "metric"
    fried = (
        "Signal chips\nServes 4\n1 kg potatoes\n1 litre sunflower oil\nMethod\nDeep-fry the potatoes for 8 minutes.\n"
    )
    left = cooked(tmp_path, f"{fried}Oil left: 900 ml")
    poured = 4 * (left.whole.per_portion["fat"] or 0)
    assert poured == pytest.approx(921.4 - 900 * 0.92, abs=3)


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("Cooked weight: heavy", "no weight"),
        ("Cooked weight: 0 g", "above 0"),
        ("Cups: imperial", "us (236.6 ml) or metric"),
        ("Cooked weight: 800 g\nCooked weight: 900 g", "second time"),
    ],
)
def test_what_cannot_be_is_refused_with_its_line(tmp_path: Path, line: str, said: str) -> None:
    with pytest.raises(InputError, match=r"dish\.txt, line \d+: ") as told:
        cooked(tmp_path, PLAIN.format("Serves 4", line))
    assert said in str(told.value)


def test_headings_without_a_colon(tmp_path: Path) -> None:
    path = tmp_path / "dish.txt"
    path.write_text(
        "Harbour tart\nServes 4\nFor the prawns\n400 g raw king prawns\n2 tbsp oil\nPastry\n200 g plain flour\n"
        "100 g butter\nFILLING\n3 eggs\n200 ml double cream\n",
        encoding="utf-8",
    )
    recipe = read_recipe(path)
    assert [stage.name for stage in recipe.stages] == ["For the prawns", "Pastry", "FILLING", "Harbour tart"]
    assert "taken-for-heading" in {remark.code for remark in recipe.remarks}


@pytest.mark.parametrize("line", ["Pastry", "Stock", "Custard", "For the top, chopped nuts"])
def test_food_without_an_amount_stays_food(tmp_path: Path, line: str) -> None:
    path = tmp_path / "dish.txt"
    path.write_text(f"Harbour tart\nServes 4\n3 eggs\n{line}\n200 g sugar\nSalt\n", encoding="utf-8")
    recipe = read_recipe(path)
    assert [entry.text for entry in recipe.stages[0].entries] == ["3 eggs", line, "200 g sugar", "Salt"]


# --- pages and sheets -------------------------------------------------------------------------------------------------

INSTRUCTIONS = [
    "Boil the spaghetti for 10 minutes and drain. Toss with the oil.",
    ["Boil the spaghetti for 10 minutes and drain.", "Toss with the oil."],
    [{"@type": "HowToStep", "text": "Boil the spaghetti for 10 minutes and drain. Toss with the oil."}],
    [{"@type": "HowToSection", "name": "Pasta", "itemListElement": [
        {"@type": "HowToStep", "text": "Boil the spaghetti for 10 minutes and drain."},
        {"@type": "HowToStep", "name": "Toss with the oil."}]}],
    {"@type": "ItemList", "itemListElement": [{"@type": "HowToStep", "text": "Boil the spaghetti and drain."}]},
]  # fmt: skip


@pytest.mark.parametrize("instructions", INSTRUCTIONS)
def test_the_method_of_a_page_counts(tmp_path: Path, instructions: object) -> None:
    lines = ["400 g spaghetti", "50 ml olive oil"]
    page = {"@context": "https://schema.org", "@type": "Recipe", "name": "Jib spaghetti", "recipeYield": "4",
            "recipeIngredient": lines, "recipeInstructions": instructions}  # fmt: skip
    result = cooked(tmp_path, json.dumps(page), "page.json")
    assert result.cooked_mass == pytest.approx(400 * 2.391 + 46, rel=0.03)


def test_how_it_was_cooked_is_said_everywhere(tmp_path: Path) -> None:
    result = cooked(tmp_path, SUPPERS[1].text)
    record = json.loads(json.dumps(dish_record(result)))["method"]
    first = record[0]
    assert {"stage", "foods", "done", "weight_before_g", "weight_after_g", "factor", "weight_from", "facts"} <= set(
        first
    )
    assert first["factor"] == pytest.approx(first["weight_after_g"] / first["weight_before_g"])
    assert {fact["from"] for row in record for fact in row["facts"]} == {"read from the method"}
    assert any("reduced by a third" in fact["sentence"] for row in record for fact in row["facts"])
    text, page = terminal.dish(result, explain=True), sheet(result)
    for one in (text, page):
        assert "How it was cooked, as read from the method" in one
        assert "boiled, 10 minutes, drained" in " ".join(one.split())
    assert "as read from the method" not in terminal.dish(result)


def test_a_recipe_without_a_method_says_nothing_of_one(tmp_path: Path) -> None:
    result = cooked(tmp_path, "Deck salad\nServes 2\n2 tomatoes\n1 tbsp olive oil")
    assert result.method is None
    assert "as read from the method" not in terminal.dish(result, explain=True)
    assert dish_record(result)["method"] == []


def test_a_recipe_file_that_says_its_cooking_is_not_read_again(tmp_path: Path) -> None:
    text = "dish: Deck rice\nportions: 2\ningredients: [200 g rice]\ncooking: {method: boiled, drained: true}\n"
    assert cooked(tmp_path, text, "dish.yaml").method is None


# --- the word lists ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("table", ["verbs", "places", "reductions", "names"])
def test_every_word_has_a_ground(table: str) -> None:
    found = rows(f"method/{table}.csv")
    assert found
    assert all(row["ground"] and row["words"] for row in found)


def test_word_lists_speak_of_methods_and_kinds_there_are() -> None:
    assert {verb.method for verb in verbs().values()} <= {"", *METHODS}
    assert {value for sets in places().values() for key, value in sets if key == "method"} <= set(METHODS)
    of_kinds = {member for row in rows("method/names.csv") if row["of"] == "kinds" for member in row["members"].split()}
    assert of_kinds <= {row[key] for row in rows("cooking_kinds.csv") for key in ("kind", "parent")}
    assert all(0 < one.low <= one.share <= one.high <= 1 for one in reductions().values())
    longest = max(len(phrase) for table in (verbs(), places(), reductions()) for phrase in table)
    assert longest <= 6  # what `method.words` looks ahead


# --- in other words ---------------------------------------------------------------------------------------------------


def test_a_spoon_of_the_oil_and_a_bath_of_the_rest(tmp_path: Path) -> None:
    result = cooked(
        tmp_path,
        "Breakwater chicken\nServes 4\n600 g chicken breasts\n50 g flour\n2 eggs\n120 g panko\n500 ml sunflower oil\n"
        "For the sauce:\n1 onion\n1 carrot\n400 ml chicken stock\nMethod\nFor the sauce, soften the onion and carrot "
        "in 1 tbsp of the oil, add the stock and simmer for 20 minutes.\nCoat the chicken in the flour, egg and panko. "
        "Heat the remaining oil to 170C and fry for 6 minutes until golden.",
    )
    assert 4 * (result.whole.per_portion["fat"] or 0) < 130
    assert "frying-oil-estimated" in codes(result)


def test_oil_that_is_beaten_in_is_eaten(tmp_path: Path) -> None:
    result = cooked(
        tmp_path,
        "Gunner's mayonnaise\nServes 8\n300 ml sunflower oil\n2 egg yolks\n1 tbsp vinegar\n500 g potatoes\nMethod\n"
        "Whisk the yolks and vinegar, then drip in the oil, whisking all the time. Boil the potatoes for 15 "
        "minutes and drain. Serve with the mayonnaise.",
    )
    assert 8 * (result.whole.per_portion["fat"] or 0) > 270


def test_two_lines_of_one_name_go_where_their_headings_say(tmp_path: Path) -> None:
    result = cooked(
        tmp_path,
        "Gull's nest toad\nServes 4\n8 pork sausages\n140 g plain flour\n4 eggs\n200 ml milk\nFor the gravy:\n1 onion\n"
        "1 tbsp oil\n1 tbsp plain flour\n300 ml beef stock\nMethod\nWhisk the flour, eggs and milk to a batter. Roast "
        "the sausages for 15 minutes, pour in the batter and bake for 30 minutes.\nFor the gravy, fry the onion in the "
        "oil. Stir in the flour, then the stock and bubble for 5 minutes.",
    )
    of_flour = {stage.stage.name for stage in result.stages for e in stage.stage.entries if "flour" in e.text}
    assert len(of_flour) == 2


@pytest.mark.parametrize(
    ("sentence", "what"),
    [
        ("Pop the chops in a moderate oven for 40 minutes.", "roasted or baked"),
        ("Cook the chops under a hot grill for 6 minutes a side.", "grilled"),
        ("Slide the chops under the grill and cook for 12 minutes.", "grilled"),
        ("Cook the chops on the barbecue for 12 minutes.", "grilled"),
        ("Cook the chops in a frying pan for 12 minutes.", "pan-fried"),
        ("Cook the chops in the microwave for 8 minutes.", "microwaved"),
        ("Gently poach the chops in the cider for 20 minutes.", "poached"),
        ("Put the chops and the cider in a casserole and bubble for 40 minutes.", "simmered"),
    ],
)
def test_where_it_is_done_tells_how(tmp_path: Path, sentence: str, what: str) -> None:
    dish = f"Capstan supper\nServes 4\n800 g pork loin steaks\n100 ml cider\n1 tbsp oil\nMethod\n{sentence}"
    result = cooked(tmp_path, dish.replace("loin steaks", "chops"))
    found = {stage.stage.cooking.method for stage in result.stages if stage.stage.cooking} - {"raw"}
    assert found
    assert all(method_ in what for method_ in found if method_)


def test_a_method_of_any_length_is_read_in_reasonable_steps() -> None:
    lines = [Named(n, f"100 g food{n}", ((f"food{n}",),), frozenset({"vegetable"}), 100.0) for n in range(300)]
    text = [
        Line(f"Fry food{n} in a pan, add everything and simmer for {n} minutes in another pan.", n) for n in range(900)
    ]
    read = method.read(text, lines, "dish")
    assert len(read.steps) <= 401
    assert any(not step.understood for step in read.steps)  # what is too much is listed, not dropped
