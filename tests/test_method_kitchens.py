"""Methods in many hands: shorthand, one long paragraph, several pans, brines, batters, soaked pulses, glazes."""

from __future__ import annotations

from pathlib import Path

import pytest

from nutrilab.method.times import minutes
from nutrilab.results import DishResult
from tests.test_method import codes, cooked, named, rows_of, steps
from tests.test_method_faults import grams, said


def methods(result: DishResult) -> set[str]:
    found = (stage.stage.cooking for stage in result.stages)
    return {str(one.method) for one in found if one is not None and one.method is not None and one.method != "raw"}


def test_a_paragraph_without_a_heading_is_the_method(tmp_path: Path) -> None:
    result = cooked(
        tmp_path,
        "Pork schnitzel\nServes 4\n500 g pork loin steaks\n60 g flour\n2 eggs\n120 g dried breadcrumbs\n"
        "150 ml sunflower oil\nBash the pork flat. Put the flour, eggs and crumbs on three plates. Flour the pork, "
        "then dip in egg and coat in crumbs. Heat the oil in a frying pan and fry for 3 minutes on each side.",
    )
    assert methods(result) == {"pan-fried"}
    assert grams(result, "fat") < 100  # 138 g of oil are in the pan
    assert "frying-oil-estimated" in codes(result)


@pytest.mark.parametrize(
    "last",
    [
        "Layer the cabbage and apples in a casserole, dot with butter, add the sugar, cover and bake for 2 hours.",
        "So we get our cabbage and our apples in a pot, butter goes in. Then add the sugar. Then cook it in the oven "
        "for two hours.",
    ],
)
def test_one_long_sentence_is_no_ingredient(tmp_path: Path, last: str) -> None:
    lines = "Cabbage\nServes 6\n1 kg red cabbage\n2 apples\n50 g butter\n60 g sugar\n"
    assert methods(cooked(tmp_path, lines + last)) == {"baked"}


@pytest.mark.parametrize(
    "line",
    ["butter, the best you can find, for greasing the tin", "bag of salad leaves, washed, spun dry, stored in a cloth"],
)
def test_a_long_line_of_the_list_stays_in_it(tmp_path: Path, line: str) -> None:
    result = cooked(tmp_path, f"Supper\nServes 2\n200 g rice\n{line}\nMethod\nBoil the rice for 12 minutes.")
    assert any(r.parsed.text == line for stage in result.stages for r in stage.records)


def test_the_shorthand_of_a_kitchen(tmp_path: Path) -> None:
    result = cooked(
        tmp_path,
        "Daube\nServes 6\n1.2 kg stewing beef\n2 onions\n3 carrots\n500 ml beef stock\n2 tbsp oil\nMethod:\n"
        "- brown beef in oil, 10 min\n- add veg + stock\n- oven 150C 3 hrs lid on",
    )
    assert result.cooked_mass == pytest.approx(2190 * 0.8, rel=0.08)
    assert "step-not-understood" not in codes(result)
    cooking = result.stages[-1].stage.cooking
    assert cooking is not None
    assert cooking.covered
    assert cooking.minutes == 180


@pytest.mark.parametrize("words", ["Prawns and stock in.", "Prawns and stock, 5 more minutes."])
def test_what_goes_in_needs_no_verb(words: str) -> None:
    found = steps("Fry the onion.", words, lines=named("1 onion", "300 g prawns", "500 ml fish stock"))
    assert found[-1].does == "add"
    assert set(found[-1].foods) == {1, 2}


BRINES = [
    "Boil the water with the salt and sugar until dissolved and leave to cool. Sink the beef in the brine and "
    "leave for "
    "a week. Lift out, rinse, put in a pan of fresh water and simmer for 3 hours. Drain and slice.",
    "Dissolve the salt and sugar in the water. Leave the beef in the brine for 5 days. Discard the brine, put the beef "
    "in a clean pan, cover with fresh water and simmer for 3 hours. Lift out.",
    "Bring the water, salt and sugar to the boil, then cool. Add the beef to the brine and refrigerate for 3 days. "
    "Lift "
    "the beef out of the brine, put it in a pan of water and simmer for 3 hours. Lift out.",
]


@pytest.mark.parametrize("method", BRINES)
def test_salt_and_sugar_of_a_brine_stay_behind(tmp_path: Path, method: str) -> None:
    lines = "Salt beef\nServes 8\n2 kg beef brisket\n250 g salt\n120 g sugar\n2.5 litres water\nMethod\n"
    result = cooked(tmp_path, lines + method)
    assert grams(result, "salt") < 30
    assert grams(result, "sugars") < 15
    assert result.cooked_mass == pytest.approx(1450, rel=0.1)  # brisket, simmered: 0.70 to 0.75


def test_a_cure_that_is_rinsed_off_takes_its_sugar_along(tmp_path: Path) -> None:
    result = cooked(
        tmp_path,
        "Trout\nServes 6\n600 g trout fillets\n60 g salt\n60 g sugar\n20 g dill\nMethod\nMix the salt, sugar and dill. "
        "Rub all over the trout and chill for 24 hours. Rinse off the cure. Grill for 2 minutes.",
    )
    assert grams(result, "sugars") < 8
    assert grams(result, "salt") < 8


def test_salt_that_is_rinsed_off_counts_though_nothing_is_heated(tmp_path: Path) -> None:
    lines = (
        "Slaw\nServes 6\n500 g white cabbage\n2 carrots\n20 g salt\nMethod\nToss the cabbage with the salt and leave"
    )
    result = cooked(tmp_path, f"{lines} for an hour. Rinse, squeeze dry and mix with the grated carrots.")
    assert grams(result, "salt") < 12


def test_fish_cakes_are_fried_and_eat_what_they_take_up(tmp_path: Path) -> None:
    result = cooked(
        tmp_path,
        "Fish cakes\nServes 4\n500 g cod\n300 ml milk\n700 g potatoes\n1 egg\n50 g flour\n100 g breadcrumbs\n"
        "150 ml sunflower oil\nMethod\nPoach the cod in the milk for 8 minutes, lift out and flake. Boil the potatoes "
        "for 15 minutes, drain and mash. Mix the fish into the mash, shape into eight cakes. Dip in flour, then beaten "
        "egg, then crumbs. Shallow fry in the oil for 4 minutes each side.",
    )
    assert methods(result) == {"poached", "boiled", "pan-fried"}
    assert grams(result, "fat") < 115  # 138 g of oil are in the pan


@pytest.mark.parametrize("soak", ["Soak the chickpeas in cold water overnight. Drain and", "Drain the chickpeas and"])
def test_pulses_that_are_soaked_and_not_boiled_hold_their_water(tmp_path: Path, soak: str) -> None:
    line = "400 g dried chickpeas, soaked overnight" if soak.startswith("Drain") else "400 g dried chickpeas"
    result = cooked(
        tmp_path,
        f"Falafel\nServes 4\n{line}\n1 onion\n30 g parsley\n1 litre vegetable oil\nMethod\n{soak} blitz with the onion "
        "and parsley. Shape into balls. Heat the oil to 180C and fry in batches for 4 minutes.",
    )
    before = sum(row.before for row in rows_of(result).values())
    assert before == pytest.approx(400 + 400 + 150 + 30 + 80, rel=0.08)
    assert "water-from-method" in codes(result)


def test_water_of_soaking_moves_no_energy_and_boiled_pulses_none_twice(tmp_path: Path) -> None:
    lines = "Beans\nServes 4\n300 g dried haricot beans\n1 onion\nMethod\n"
    boiled = "Boil the beans with the onion for 60 minutes and drain."
    soaked, plain = (cooked(tmp_path, lines + way + boiled) for way in ("Soak the beans overnight and drain. ", ""))
    assert soaked.cooked_mass == pytest.approx(plain.cooked_mass)
    assert soaked.whole.per_portion["energy_kcal"] == plain.whole.per_portion["energy_kcal"]


@pytest.mark.parametrize(
    "batter",
    [
        "For the batter whisk the egg and sparkling water, then stir in the flour.",
        "To make the batter, beat the egg with the sparkling water and sift in the flour.",
    ],
)
def test_a_batter_made_in_two_steps_is_one_batter(tmp_path: Path, batter: str) -> None:
    result = cooked(
        tmp_path,
        "Tempura\nServes 4\n200 g sweet potato\n200 g courgette\n150 g plain flour\n250 ml sparkling water\n1 egg\n"
        f"1 litre vegetable oil\nMethod\n{batter} Heat the oil to 180C. Dip the vegetables in the batter and fry in "
        "batches for 3 minutes.",
    )
    coating = {text for s in result.stages for text in (s.stage.cooking.coating if s.stage.cooking else ())}
    assert {"150 g plain flour", "250 ml sparkling water"} <= coating


def test_chips_blanched_in_cooler_oil_share_the_bath_of_the_fish(tmp_path: Path) -> None:
    result = cooked(
        tmp_path,
        "Plaice and chips\nServes 4\n600 g plaice fillets\n150 g plain flour\n200 ml lager\n1.2 kg potatoes, cut into "
        "chips\n1.5 litres rapeseed oil\nMethod\n1. Heat the oil to 130C. Fry the chips for 8 minutes, drain and set "
        "aside.\n2. Whisk the flour and lager to a smooth batter. Dip in the plaice and fry at 180C for 5 minutes.\n"
        "3. Fry the chips again for 3 minutes until crisp.",
    )
    fried = [s for s in result.stages if s.stage.cooking and s.stage.cooking.method == "deep-fried"]
    assert sorted(s.stage.cooking.minutes or 0 for s in fried if s.stage.cooking) == [5, 11]
    assert "no-frying-oil" not in codes(result)
    assert grams(result, "fat") == pytest.approx(1200 * 0.039 + 0.114 * 820 + 10, abs=20)  # data/uptake.csv


def test_a_joint_and_what_is_put_beside_it_lose_once(tmp_path: Path) -> None:
    result = cooked(
        tmp_path,
        "Lamb\nServes 6\n2 kg lamb shoulder, boned\n1 kg potatoes\n2 tbsp oil\nMethod\nRoast the lamb in the oil "
        "for 40 "
        "minutes at 220C. Add the potatoes around it and roast for another hour.",
    )
    assert len(result.stages) == 1
    cooking = result.stages[0].stage.cooking
    assert cooking is not None
    assert cooking.minutes == 100


@pytest.mark.parametrize(
    ("text", "time"),
    [("roast for another hour", 60), ("bake 1 hr 15", 75), ("stir-fry for 3 more.", 3), ("3 hours, 200 g of it", 180)],
)
def test_times_as_they_are_written(text: str, time: float) -> None:
    assert minutes(text) == time


@pytest.mark.parametrize(
    "rub",
    ["Rub the skin with the salt. Roast for 2 hours.", "Mix the salt and honey and brush over. Roast for 2 hours."],
)
def test_salt_and_glaze_are_not_roasted_alone(tmp_path: Path, rub: str) -> None:
    result = cooked(tmp_path, f"Belly\nServes 6\n2 kg pork belly\n20 g salt\n40 g honey\nMethod\n{rub} Rest the pork.")
    assert "long-heat-no-loss" not in codes(result)
    assert result.cooked_mass < 1700


def test_what_was_boiled_is_glazed_and_its_cider_stays_in_the_pan(tmp_path: Path) -> None:
    result = cooked(
        tmp_path,
        "Ham\nServes 10\n3 kg gammon joint\n1 litre cider\n80 g honey\n2 tbsp mustard\nMethod\nPut the gammon and "
        "cider "
        "in a pan, top up with water and simmer for 2 hours. Drain. Mix the honey and mustard, brush over and roast at "
        "200C for 30 minutes.",
    )
    assert methods(result) == {"simmered", "roasted"}
    assert result.cooked_mass < 2500


def test_what_waits_in_a_marinade_is_not_boiled_with_the_noodles(tmp_path: Path) -> None:
    result = cooked(
        tmp_path,
        "Stir-fry\nServes 3\n400 g pork fillet\n200 g broccoli\n150 g beansprouts\n2 tbsp oil\n3 tbsp soy sauce\n"
        "250 g egg noodles\nMethod\nMarinate the pork in the soy for 20 minutes. Boil the noodles for 4 minutes, "
        "drain. "
        "Stir-fry the pork in the oil for 3 minutes. Add the broccoli and beansprouts and stir-fry for 3 more. Toss in "
        "the noodles.",
    )
    boiled = [row for row in rows_of(result).values() if "boiled" in row.done]
    assert [row.foods for row in boiled] == [("egg noodle",)]


def test_crumbs_toasted_at_the_end_are_not_the_whole_dish(tmp_path: Path) -> None:
    result = cooked(
        tmp_path,
        "Greens\nServes 4\n400 g spaghetti\n300 g broccoli\n4 tbsp olive oil\n50 g breadcrumbs\nMethod\nBoil the "
        "spaghetti for 9 minutes, drain, and toss with the broccoli and oil. Toast the breadcrumbs in a dry pan and "
        "scatter over.",
    )
    toasted = [row for row in rows_of(result).values() if "toasted" in row.done]
    assert [row.foods for row in toasted] == [("breadcrumb",)]


def test_mushrooms_fried_in_more_butter_do_not_fry_the_stew(tmp_path: Path) -> None:
    result = cooked(
        tmp_path,
        "Chicken in wine\nServes 4\n1 kg chicken thighs\n500 ml red wine\n200 g mushrooms\n50 g "
        "butter\nMethod\nBrown the "
        "chicken in some of the butter. Add the wine and simmer for 45 minutes. Fry the mushrooms in butter and add.",
    )
    assert all("chicken thigh" not in row.foods for row in rows_of(result).values() if "pan-fried" in row.done)


@pytest.mark.parametrize("dish", ["mix with the crushed biscuits. Chill.", "stir into the biscuits."])
def test_butter_that_is_melted_loses_nothing(tmp_path: Path, dish: str) -> None:
    result = cooked(
        tmp_path, f"Base\nServes 8\n200 g digestive biscuits\n100 g butter\nMethod\nMelt the butter and {dish}"
    )
    assert result.cooked_mass == pytest.approx(300, abs=1)


def test_the_mixture_goes_into_the_pan_of_butter(tmp_path: Path) -> None:
    result = cooked(
        tmp_path,
        "Bubble\nServes 2\n500 g leftover mashed potato\n250 g cooked cabbage\n40 g butter\nMethod\nMix the potato and "
        "cabbage. Melt the butter in a frying pan, add the mixture and fry for 16 minutes.",
    )
    assert [row.foods for row in rows_of(result).values()] == [("leftover mashed potato", "cabbage", "butter")]


def test_a_marinade_that_is_shaken_off(tmp_path: Path) -> None:
    result = cooked(
        tmp_path,
        "Mackerel\nServes 4\n500 g mackerel fillets\n4 tbsp soy sauce\n2 tbsp honey\nMethod\nWhisk the soy and "
        "honey. Pour "
        "over the mackerel and leave for 30 minutes. Shake off the marinade and grill for 8 minutes.",
    )
    assert grams(result, "sugars") < 20  # of 34 g
    assert any("soy" in entry for entry in result.allergens.contains["soya"])


def test_strain_and_discard_is_one_thing(tmp_path: Path) -> None:
    result = cooked(
        tmp_path,
        "Stock\nServes 8\n500 g chicken wings\n2 onions\n2 litres water\nMethod\nSimmer the wings and onions in "
        "the water "
        "for 3 hours. Strain and discard the solids.",
    )
    assert "Strain" not in said(result, "thrown-away-part")


@pytest.mark.parametrize("spirit", ["2 tbsp brandy", "30 ml rum", "2 tbsp dry sherry"])
def test_spirits_stirred_in_off_the_heat_are_not_boiled(tmp_path: Path, spirit: str) -> None:
    name = spirit.split()[-1]
    lines = f"Beef in cream\nServes 4\n800 g beef\n300 ml beef stock\n100 ml double cream\n{spirit}\nMethod\n"
    late = cooked(
        tmp_path, f"{lines}Simmer the beef in the stock for 60 minutes. Off the heat, stir in the cream and {name}."
    )
    early = cooked(tmp_path, f"{lines}Simmer the beef in the stock with the {name} for 60 minutes. Stir in the cream.")
    energy = [result.whole.per_portion["energy_kcal"] or 0.0 for result in (late, early)]
    assert energy[0] > energy[1] + 4


@pytest.mark.parametrize("dish", ["cover and bake", "bake uncovered"])
def test_hours_in_the_oven_lose_more_than_minutes(tmp_path: Path, dish: str) -> None:
    lines = "Casserole\nServes 4\n1 kg stewing beef\n2 onions\n400 g tin tomatoes\n300 ml stock\nMethod\n"
    short, long = (
        cooked(tmp_path, f"{lines}Put everything in a dish, {dish} for {time}.").cooked_mass
        for time in ("20 minutes", "3 hours")
    )
    assert long < 0.93 * short


def test_what_is_heated_for_minutes_is_cooked(tmp_path: Path) -> None:
    result = cooked(
        tmp_path,
        "Custard\nServes 4\n500 ml milk\n4 eggs\n60 g sugar\nMethod\nHeat the milk, eggs and sugar for 10 minutes.",
    )
    assert methods(result) == {"simmered"}


@pytest.mark.parametrize("fry", ["Fry at 170C for 12 minutes, in batches.", "Deep-fry for 12 minutes."])
def test_buttermilk_that_meat_is_soaked_in_stays_behind(tmp_path: Path, fry: str) -> None:
    result = cooked(
        tmp_path,
        "Chicken\nServes 4\n1 kg chicken thighs\n500 ml buttermilk\n2 tsp salt\n250 g plain flour\n1 litre "
        "vegetable oil\n"
        f"Method\nSoak the chicken in the buttermilk and salt overnight. Lift out and dredge in the flour. {fry}",
    )
    assert methods(result) == {"deep-fried"}
    assert grams(result, "sugars") < 10  # 24 g in the buttermilk
    left = [text for s in result.stages for text in (s.stage.cooking.marinade if s.stage.cooking else ())]
    assert left == ["500 ml buttermilk", "2 tsp salt"]
    assert any("buttermilk" in entry for entry in result.allergens.contains["milk"])


@pytest.mark.parametrize("line", ["300 ml boiling vegetable stock", "300 ml boiling water"])
def test_couscous_under_boiling_stock_is_cooked(tmp_path: Path, line: str) -> None:
    result = cooked(
        tmp_path,
        f"Couscous\nServes 4\n250 g couscous\n{line}\n1 cucumber\nMethod\nPour the {line.split()[-1]} over the "
        "couscous, "
        "cover and leave for 5 minutes. Add the diced cucumber.",
    )
    assert methods(result) == {"boiled"}
    assert "no-moisture-loss" not in codes(result)


def test_headings_on_the_line_of_their_steps(tmp_path: Path) -> None:
    result = cooked(
        tmp_path,
        "Clams\nServes 4\nFor the clams\n1 kg clams\n200 ml white wine\n3 tbsp olive oil\nFor the pasta\n350 g "
        "spaghetti\n"
        "Method\nClams: heat the oil, add the clams and wine, cover for 4 minutes.\nPasta: boil in salted water "
        "till just "
        "done, drain, toss with the clams.",
    )
    assert result.cooked_mass > 1000


@pytest.mark.parametrize(
    ("rest", "told"),
    [("Lift out and flake.", True), ("Lift out. Boil the milk down and pour it over the cod.", False)],
)
def test_milk_that_fish_is_lifted_out_of_is_told(tmp_path: Path, rest: str, told: bool) -> None:
    lines = "Cod\nServes 2\n300 g cod\n300 ml milk\nMethod\nPoach the cod in the milk for 8 minutes."
    assert ("Lift out" in said(cooked(tmp_path, f"{lines} {rest}"), "thrown-away-part")) is told
