"""Faults of reading a method, each by the example that showed it and by others of its class."""

from __future__ import annotations

from pathlib import Path

import pytest

from nutrilab.recipe import InputError, Line, read_recipe
from nutrilab.results import DishResult
from tests.method_recipes import MORE, SUPPERS, Supper
from tests.test_method import codes, cooked, rows_of


def grams(result: DishResult, figure: str) -> float:
    """What the whole dish holds of a figure [g, kcal]."""
    return result.portions * (result.whole.per_portion[figure] or 0.0)


def shares(result: DishResult, text: str) -> list[float]:
    """The shares in which a line stands in the stages."""
    entries = (entry for stage in result.stages for entry in stage.stage.entries)
    return [entry.share for entry in entries if isinstance(entry, Line) and entry.text == text]


def said(result: DishResult, code: str) -> str:
    return " ".join(remark.message for remark in result.remarks if remark.code == code)


def eaten(result: DishResult, text: str) -> float:
    """Grams of a line that its stage was given, all parts of it."""
    return sum(r.grams or 0.0 for stage in result.stages for r in stage.records if r.parsed.text.strip() == text)


# --- thirteen more recipes --------------------------------------------------------------------------------------------


@pytest.mark.parametrize("supper", MORE, ids=lambda s: s.name)
def test_recipes_of_other_trades_weigh_what_was_worked_out_by_hand(tmp_path: Path, supper: Supper) -> None:
    assert cooked(tmp_path, supper.text).cooked_mass == pytest.approx(supper.cooked, rel=0.08)


@pytest.mark.parametrize("supper", [*SUPPERS, *MORE], ids=lambda s: s.name)
def test_no_supper_raises_a_false_alarm(tmp_path: Path, supper: Supper) -> None:
    found = codes(cooked(tmp_path, supper.text))
    assert not found & {"method-names-unlisted", "served-with-unlisted", "step-not-understood", "long-heat-no-loss"}


# --- batches in one oil -----------------------------------------------------------------------------------------------

BATCHES = [
    "Heat the oil to 180C and fry the fish for 6 minutes. Drain. Fry the chips in the oil for 8 minutes.",
    "Deep-fry the fish for 6 minutes and keep warm. Fry the chips in the same oil for 8 minutes.",
    "Heat the oil to 180C in a deep pan. Fry the fish for 6 minutes, then lift out. Add the chips and fry "
    "for 8 minutes.",
]


@pytest.mark.parametrize("method", BATCHES)
def test_each_batch_takes_up_its_own_oil(tmp_path: Path, method: str) -> None:
    lines = "Friday fish\nServes 4\n600 g haddock fillets\n1 kg potatoes, cut into chips\n1 litre sunflower oil\n"
    result = cooked(tmp_path, f"{lines}Method\n{method}")
    fried = [s for s in result.stages if s.stage.cooking and s.stage.cooking.method == "deep-fried"]
    assert len(fried) == 2
    assert sum(shares(result, "1 litre sunflower oil")) == pytest.approx(1, abs=1e-9)
    assert grams(result, "fat") == pytest.approx(600 * 0.08 + 1000 * 0.039 + 5, abs=8)  # data/uptake.csv
    left = sum(stage.result.left_over.mass for stage in result.stages)
    assert left == pytest.approx(921 - 48 - 39, abs=15)


def test_oil_left_is_what_no_batch_took_up(tmp_path: Path) -> None:
    lines = "Friday fish\nServes 4\n600 g haddock fillets\n1 kg potatoes, cut into chips\n1 litre sunflower oil\n"
    result = cooked(tmp_path, f"{lines}Method\n{BATCHES[0]}\nOil left: 800 g")
    assert grams(result, "fat") == pytest.approx(921.4 - 800 + 5, abs=6)


# --- lines used in parts ----------------------------------------------------------------------------------------------


def test_half_the_butter_is_half_the_butter(tmp_path: Path) -> None:
    result = cooked(
        tmp_path,
        "Mash and leeks\nServes 4\n1 kg potatoes\n100 g butter\n400 g leeks\nMethod\nBoil the potatoes for 15 minutes, "
        "drain and mash with half the butter. Meanwhile, in another pan, soften the leeks in the rest of the butter.",
    )
    assert shares(result, "100 g butter") == [0.5, 0.5]
    assert eaten(result, "100 g butter") == pytest.approx(100)
    assert "1/2 of the butter" in rows_of(result)["leek"].foods


def test_the_rest_of_the_stock_goes_elsewhere(tmp_path: Path) -> None:
    result = cooked(
        tmp_path,
        "Chicken and couscous\nServes 4\n800 g chicken thighs\n600 ml chicken stock\n300 g couscous\n1 onion\nMethod\n"
        "Simmer the chicken with the onion and half the stock for 30 minutes. Pour the rest of the stock, "
        "boiling, over "
        "the couscous in a bowl, cover and leave for 5 minutes.",
    )
    assert sorted(shares(result, "600 ml chicken stock")) == [0.5, 0.5]


def test_what_is_reserved_comes_later(tmp_path: Path) -> None:
    result = cooked(
        tmp_path,
        "Cauliflower supper\nServes 4\n600 g cauliflower\n40 g butter\n40 g flour\n500 ml milk\n150 g cheddar\nMethod\n"
        "Boil the cauliflower for 8 minutes and drain. Melt the butter, stir in the flour, whisk in the milk "
        "and simmer "
        "for 5 minutes. Reserve a third of the cheese and stir the rest into the sauce. Pour over the cauliflower, "
        "scatter with the reserved cheese and bake for 20 minutes.",
    )
    assert sorted(shares(result, "150 g cheddar")) == [pytest.approx(1 / 3), pytest.approx(2 / 3)]
    assert any("[Cauliflower supper, line 5: 150 g cheddar]" in e for e in result.allergens.contains["milk"])
    assert len([e for e in result.allergens.contains["milk"] if "cheddar" in e]) == 1


def test_a_spoon_of_the_oil_is_a_spoon(tmp_path: Path) -> None:
    result = cooked(
        tmp_path,
        "Deck salad\nServes 4\n300 ml olive oil\n400 g courgettes\n500 g tomatoes\nMethod\nFry the "
        "courgettes in 2 tbsp of "
        "the oil for 8 minutes. Toss the tomatoes with the rest of the oil in a bowl.",
    )
    assert min(shares(result, "300 ml olive oil")) * 276 == pytest.approx(28, abs=2)


def test_parts_that_come_together_are_one_line(tmp_path: Path) -> None:
    result = cooked(
        tmp_path,
        "Braised lamb\nServes 4\n800 g diced lamb\n2 tbsp oil\n2 onions\n400 ml lamb stock\nMethod\nBrown "
        "the lamb in half "
        "the oil. Remove. Soften the onions in the rest of the oil. Return the lamb to the pan with the "
        "stock and simmer "
        "for 90 minutes.",
    )
    assert shares(result, "2 tbsp oil") == [1.0]


def test_a_recipe_file_may_say_a_share_of_a_line(tmp_path: Path) -> None:
    path = tmp_path / "dish.yaml"
    path.write_text("dish: Buns\nportions: 2\ningredients: [half of 50 g butter, 1/3 of 90 g sugar, half of a lemon]\n")
    entries = read_recipe(path).stages[0].entries
    assert [(e.text, e.share) for e in entries if isinstance(e, Line)] == [
        ("50 g butter", 0.5), ("90 g sugar", pytest.approx(1 / 3)), ("half of a lemon", 1.0),
    ]  # fmt: skip
    assert isinstance(entries[0], Line)
    assert entries[0].written == "1/2 of 50 g butter"
    path.write_text("dish: Buns\nportions: 2\ningredients: [120% of 50 g butter]\n")
    with pytest.raises(InputError, match="more than all"):
        read_recipe(path)


# --- coatings, marinades, brines --------------------------------------------------------------------------------------

BREADED = (
    "Jetty cutlets\nServes 4\n600 g chicken breasts\n200 g plain flour\n4 eggs\n400 g breadcrumbs\n"
    "400 ml sunflower oil\nMethod\n"
)


def test_flour_egg_and_crumbs_count_as_far_as_they_stick(tmp_path: Path) -> None:
    result = cooked(
        tmp_path,
        f"{BREADED}Coat the chicken in the flour, then the beaten eggs, then the breadcrumbs. Heat the oil "
        "and fry for 4 "
        "minutes a side.",
    )
    stuck = 600 * (0.05 + 0.11 + 0.17)  # data/uptake.csv
    (stage,) = (s for s in result.stages if s.stage.cooking and s.stage.cooking.coating)
    assert stage.result.left_over.mass == pytest.approx(200 + 216 + 400 + 368 - stuck - 600 * 0.05, rel=0.04)
    assert "coating-estimated" in codes(result)
    assert {"eggs", "gluten"} <= result.allergens.contains.keys()


@pytest.mark.parametrize(
    "method",
    [
        "Whisk the flour and beer to a batter. Dip the fish in the batter and deep-fry for 6 minutes.",
        "Make a batter with the flour and beer. Coat the fish in the batter, then fry in the oil at 180C for "
        "6 minutes.",
    ],
)
def test_a_batter_counts_as_far_as_it_sticks(tmp_path: Path, method: str) -> None:
    lines = (
        "Beer haddock\nServes 4\n600 g haddock fillets\n300 g plain flour\n450 ml beer\n1 litre sunflower oil\nMethod\n"
    )
    result = cooked(tmp_path, lines + method)
    assert grams(result, "carbohydrate") == pytest.approx(600 * 0.36 * 0.4 * 0.74, rel=0.15)
    assert "216 g of" in said(result, "coating-estimated")


def test_flour_of_a_stew_is_eaten_whole(tmp_path: Path) -> None:
    result = cooked(
        tmp_path,
        "Flour stew\nServes 4\n600 g braising steak\n60 g plain flour\n500 ml beef stock\nMethod\nToss the beef in the "
        "flour, add the stock and simmer for 2 hours.",
    )
    assert grams(result, "carbohydrate") > 40


@pytest.mark.parametrize(
    "method",
    [
        "Dissolve the salt in the water, add the pork and brine overnight. Fry the pork in the oil for 8 minutes.",
        "Brine the pork in the salt and water for 8 hours. Drain and pat dry, then grill for 12 minutes.",
        "Mix the water and salt to a brine, add the pork and leave to brine overnight. Roast for 40 minutes.",
    ],
)
def test_a_brine_stays_behind(tmp_path: Path, method: str) -> None:
    result = cooked(
        tmp_path,
        f"Brined pork\nServes 4\n800 g pork loin steaks\n1 litre water\n60 g salt\n1 tbsp oil\nMethod\n{method}",
    )
    assert grams(result, "salt") < 10
    assert result.cooked_mass < 850


def test_a_marinade_of_what_is_grilled_stays_behind_and_its_allergens_do_not(tmp_path: Path) -> None:
    lines = "Skewers\nServes 4\n600 g chicken thigh fillets\n150 ml soy sauce\n50 ml oil\nMethod\n"
    mix = "Mix the soy sauce and oil, add the chicken and marinate for 2 hours. "
    grilled = cooked(tmp_path, f"{lines}{mix}Thread onto skewers and barbecue for 12 minutes.")
    poured = cooked(tmp_path, f"{lines}{mix}Grill for 12 minutes, then pour over the marinade.")
    assert grams(grilled, "salt") < 0.6 * grams(poured, "salt")
    assert "soya" in grilled.allergens.contains


def test_salt_that_is_rinsed_off_is_hardly_eaten(tmp_path: Path) -> None:
    result = cooked(
        tmp_path,
        "Aubergine\nServes 4\n800 g aubergine, sliced\n40 g salt\n4 tbsp oil\nMethod\nToss the aubergine "
        "with the salt and "
        "leave for 1 hour. Rinse and pat dry. Fry in the oil for 10 minutes.",
    )
    assert grams(result, "salt") == pytest.approx(800 * 0.012, rel=0.2)


# --- what is thrown away ----------------------------------------------------------------------------------------------

STOCK = (
    "Stock soup\nServes 4\n600 g chicken thigh fillets\n200 g carrots\n100 g celery\n2 bay leaves\n1.5 litres water\n"
    "200 g leeks\nMethod\nSimmer the chicken, carrots, celery and bay leaves in the water for 40 minutes. {} "
    "Add the leeks and simmer for 10 minutes. Shred the chicken and return it to the soup."
)


@pytest.mark.parametrize(
    "words",
    [
        "Strain the stock and discard the vegetables and bay leaves.",
        "Strain, discarding the vegetables and bay leaves.",
        "Lift out the chicken. Strain the stock through a sieve, then throw the vegetables and bay leaves away.",
        "Remove the chicken, then strain the liquid.",
    ],
)
def test_what_is_strained_off_leaves_the_figures(tmp_path: Path, words: str) -> None:
    result = cooked(tmp_path, STOCK.format(words))
    thrown = {text for s in result.stages if s.stage.cooking for text in s.stage.cooking.thrown}
    assert thrown == {"200 g carrots", "100 g celery", "2 bay leaves"}
    assert "thrown away" in said(result, "thrown-away")
    assert "celery" in result.allergens.contains
    assert sum(s.result.left_over.mass for s in result.stages) == pytest.approx(300, abs=5)


def test_a_bay_leaf_that_is_fished_out(tmp_path: Path) -> None:
    for words in (
        "Remove the bay leaves.",
        "Fish out and discard the bay leaves.",
        "Take out the bay leaves and serve.",
    ):
        result = cooked(
            tmp_path,
            f"Beans\nServes 2\n400 g carrots\n3 bay leaves\n300 ml water\nMethod\nSimmer everything for 20 "
            f"minutes. {words}",
        )
        assert [s.stage.cooking.thrown for s in result.stages if s.stage.cooking] == [("3 bay leaves",)], words


@pytest.mark.parametrize(
    "words",
    ["Remove and discard the skin.", "Discard the bones.", "Push through a sieve.", "Throw away any that stay shut."],
)
def test_what_stands_in_no_line_is_a_remark(tmp_path: Path, words: str) -> None:
    result = cooked(
        tmp_path,
        f"Pier pot\nServes 4\n8 chicken thighs\n300 ml water\nMethod\nSimmer the chicken in the water for 40 "
        f"minutes. {words}",
    )
    assert "thrown-away-part" in codes(result)
    assert not any(s.stage.cooking.thrown for s in result.stages if s.stage.cooking)


@pytest.mark.parametrize(
    "words", ["Skim off the fat.", "Skim the fat from the surface.", "Skim off and discard the fat."]
)
def test_fat_that_is_skimmed_is_not_eaten(tmp_path: Path, words: str) -> None:
    lines = "Belly pot\nServes 4\n800 g pork belly\n500 ml water\nMethod\nSimmer the pork in the water for 2 hours. "
    kept, skimmed = cooked(tmp_path, lines), cooked(tmp_path, lines + words)
    assert grams(skimmed, "fat") < grams(kept, "fat") - 20


def test_scum_is_no_fat(tmp_path: Path) -> None:
    lines = "Belly pot\nServes 4\n800 g pork belly\n500 ml water\nMethod\nSimmer the pork in the water for 2 hours. "
    assert grams(cooked(tmp_path, f"{lines}Skim off the scum."), "fat") == grams(cooked(tmp_path, lines), "fat")


# --- minutes and lids -------------------------------------------------------------------------------------------------

STEW = "Gale stew\nServes 4\n600 g braising steak\n300 g carrots\n500 ml beef stock\nMethod\nSimmer everything, {}."


def test_hours_lose_more_than_minutes_and_a_lid_keeps(tmp_path: Path) -> None:
    weights = [
        cooked(tmp_path, STEW.format(how)).cooked_mass
        for how in (
            "uncovered, for 3 hours",
            "uncovered, for 1 hour",
            "covered, for 1 hour",
            "uncovered, for 20 minutes",
        )
    ]
    assert weights[0] < 0.93 * weights[1] < weights[1] < weights[2]
    assert weights[1] < weights[3]


def test_energy_does_not_move_with_the_minutes(tmp_path: Path) -> None:
    short, long = (cooked(tmp_path, STEW.format(how)) for how in ("for 20 minutes", "for 3 hours"))
    assert short.whole.per_portion["energy_kcal"] == long.whole.per_portion["energy_kcal"]


# --- losses where there was none --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "lines",
    [
        "1 kg mussels\n150 ml white wine\nMethod\nSteam the mussels in the wine for 5 minutes.",
        "400 g raw king prawns\n200 ml water\nMethod\nSteam the prawns over the water for 6 minutes.",
        "500 g plums\n100 g sugar\nMethod\nMicrowave the plums and sugar for 6 minutes.",
        "400 g clams\n100 ml cider\n200 ml double cream\nMethod\nSteam the clams in the cider and cream for 5 minutes.",
    ],
)
def test_what_is_steamed_loses_something(tmp_path: Path, lines: str) -> None:
    result = cooked(tmp_path, f"Pier bowl\nServes 2\n{lines}")
    assert result.cooked_mass < 0.995 * result.stages[-1].result.raw.mass
    assert "no-moisture-loss" not in codes(result)


def test_only_the_liquid_named_is_reduced(tmp_path: Path) -> None:
    result = cooked(
        tmp_path,
        "Duck with orange\nServes 4\n400 ml orange juice\n2 duck breasts\n300 ml chicken stock\nMethod\nFry "
        "the duck for 12 "
        "minutes. Boil the orange juice in another pan until reduced by half, then add the stock.",
    )
    (off,) = (s.stage.cooking.boiled_off for s in result.stages if s.stage.cooking and s.stage.cooking.boiled_off)
    assert off[0] == pytest.approx(0.5 * 419, rel=0.03)


@pytest.mark.parametrize(
    "words", ["until it reaches setting point", "to 105C", "until the skin wrinkles on a cold plate"]
)
def test_a_jam_sets_at_its_solids(tmp_path: Path, words: str) -> None:
    result = cooked(
        tmp_path,
        f"Plum jam\nServes 40\n1 kg plums\n800 g sugar\n200 ml water\nMethod\nBoil everything hard for 15 "
        f"minutes {words}.",
    )
    assert 100 * result.batch.get("WATER") / result.batch.mass == pytest.approx(30.5, abs=4)  # SR28 19297


# --- what the list lacks ----------------------------------------------------------------------------------------------

LISTED = (
    "Bollard stew\nServes 4\n600 g braising steak\n2 onions\n2 carrots\n500 ml beef stock\n1 tbsp "
    "oil\nMethod\nBrown the "
    "beef and onions in the oil. Add the carrots and stock and simmer for 2 hours. {}"
)


@pytest.mark.parametrize(
    ("words", "names"),
    [
        ("Stir in the capers.", "caper"),
        ("Add a splash of red wine and the tomato puree.", "red wine and tomato puree"),
        ("Add the rice and cook for 10 minutes.", "rice"),
        ("Add a dash of soy sauce.", "soy sauce"),
        ("Thicken with cornflour.", "cornflour"),
        ("Serve with boiled potatoes and green beans.", "boiled potato and green bean"),
    ],
)
def test_a_food_that_only_the_method_names_is_a_remark(tmp_path: Path, words: str, names: str) -> None:
    result = cooked(tmp_path, LISTED.format(words))
    assert names in said(result, "method-names-unlisted") + said(result, "served-with-unlisted")


@pytest.mark.parametrize(
    "words",
    [
        "Season with salt and pepper.",
        "Pour the sauce over the meat and vegetables.",
        "Stir the mixture until it has the consistency of double cream.",
        "Cut the meat into pieces the size of a walnut.",
        "Return the beef to the casserole dish and put on the lid.",
        "Top up with a little boiling water.",
        "Spoon the stew into warm bowls.",
        "Strain the stock into a clean pan and bring to the boil.",
        "Line a baking tray with baking paper and grease it with butter.",
        "Serve the stew at once.",
    ],
)
def test_what_needs_no_line_is_no_remark(tmp_path: Path, words: str) -> None:
    assert not codes(cooked(tmp_path, LISTED.format(words))) & {"method-names-unlisted", "served-with-unlisted"}


# --- to serve ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("line", ["basmati rice, to serve", "a handful of pasta on the side", "couscous, to serve"])
def test_what_is_beside_weighs_as_served(tmp_path: Path, line: str) -> None:
    result = cooked(
        tmp_path, f"Gunwale curry\nServes 4\n600 g carrots\n{line}\nMethod\nSteam the carrots for 10 minutes."
    )
    assert "dry" in said(result, "weighed-as-served")


@pytest.mark.parametrize(
    ("words", "method"),
    [
        ("Serve with boiled potatoes.", "boiled"),
        ("Serve with the steamed potatoes.", "steamed"),
        ("Serve the fish with boiled new potatoes.", "boiled"),
    ],
)
def test_what_is_served_boiled_is_boiled(tmp_path: Path, words: str, method: str) -> None:
    result = cooked(
        tmp_path, f"Cod\nServes 4\n600 g cod fillets\n500 g new potatoes\nMethod\nBake the cod for 15 minutes. {words}"
    )
    found = {s.stage.cooking.method for s in result.stages if s.stage.cooking}
    assert method in found


# --- small rules of reading -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "sentence",
    [
        "Fry the onions for 10 minutes until soft but not coloured.",
        "Fry the onions for 10 minutes without letting them brown.",
        "Fry the onions for 10 minutes, but do not let them catch.",
    ],
)
def test_how_a_thing_is_not_done_is_no_step_left_out(tmp_path: Path, sentence: str) -> None:
    result = cooked(tmp_path, f"Onions\nServes 2\n400 g onions\n1 tbsp oil\nMethod\n{sentence}")
    assert [s.stage.cooking.method for s in result.stages if s.stage.cooking] == ["pan-fried"]


def test_the_bones_of_a_fish_are_no_other_fish(tmp_path: Path) -> None:
    result = cooked(tmp_path, MORE[0].text)
    assert "cod fillet" not in rows_of(result)["stock"].foods


def test_chocolate_melted_over_water_is_not_steamed(tmp_path: Path) -> None:
    result = cooked(
        tmp_path,
        "Pots\nServes 6\n200 g dark chocolate\n100 g butter\n4 eggs\n150 g sugar\n50 g plain flour\nMethod\nDust six "
        "moulds with flour. Melt the chocolate and butter over simmering water. Whisk the eggs and sugar, fold in the "
        "chocolate and flour and bake for 12 minutes.",
    )
    assert [s.stage.cooking.method for s in result.stages if s.stage.cooking] == ["baked"]
    assert not any(s.stage.cooking.coating for s in result.stages if s.stage.cooking)


@pytest.mark.parametrize("words", ["Lift the fish out of the pickling liquid.", "Take the fish out of the syrup."])
def test_a_liquid_that_food_is_lifted_out_of_is_a_remark(tmp_path: Path, words: str) -> None:
    result = cooked(
        tmp_path,
        "Herring\nServes 6\n800 g herring fillets\n400 ml white wine vinegar\n200 g sugar\nMethod\nBring the "
        "vinegar and "
        f"sugar to the boil, pour over the fish and leave to cool. {words}",
    )
    assert "thrown-away-part" in codes(result)


def test_a_pancake_is_fried_whatever_milk_is_in_it(tmp_path: Path) -> None:
    for words in ("and cook for 1 minute on each side", "and cook until golden underneath", "and cook for 2 minutes"):
        result = cooked(
            tmp_path,
            "Drop scones\nServes 4\n200 g plain flour\n2 eggs\n400 ml milk\n30 g butter\nMethod\nWhisk the "
            "flour, eggs and "
            f"milk to a batter. Melt the butter in a frying pan, pour in a ladle of the batter {words}.",
        )
        assert [s.stage.cooking.method for s in result.stages if s.stage.cooking] == ["pan-fried"], words


SAID = [
    "Dip the chicken in the egg and then in the panko. Heat the oil to 180C. Fry it in the oil for 6 "
    "minutes, then take it "
    "out. Fry the chips in the same oil for 8 minutes.",
    "Right, so I'm heating my oil up to a hundred and eighty. Dip the chicken in the egg and then in the "
    "panko. That goes "
    "in the oil for six minutes, and then we'll take it out. Now the chips go into the same oil for eight minutes.",
]


@pytest.mark.parametrize("method", SAID, ids=("written", "spoken"))
def test_it_goes_into_the_oil(tmp_path: Path, method: str) -> None:
    lines = (
        "Katsu\nServes 4\n600 g chicken breasts\n150 g panko\n2 eggs\n1 kg potatoes\n1 litre vegetable oil\nMethod\n"
    )
    result = cooked(tmp_path, lines + method)
    fried = [s.stage.cooking for s in result.stages if s.stage.cooking and s.stage.cooking.method == "deep-fried"]
    assert [len(cooking.coating) for cooking in fried] == [2, 0]
    assert 0 < min(shares(result, "1 litre vegetable oil")) < 1


@pytest.mark.parametrize("words", ["throw away the cooking water", "discard the cooking liquid and vegetables"])
def test_a_ham_is_drained_of_what_is_thrown_away(tmp_path: Path, words: str) -> None:
    result = cooked(
        tmp_path,
        "Ham\nServes 8\n2 kg gammon joint\n2 carrots\n3 litres water\n100 g honey\nMethod\nSimmer the gammon "
        "and carrots in "
        f"the water for 2 hours. Lift out the gammon and {words}. Brush with the honey and bake for 30 minutes.",
    )
    assert any(s.stage.cooking.drained for s in result.stages if s.stage.cooking)
    assert result.cooked_mass < 1700


def test_chips_fried_twice_and_fish_in_batter_share_one_bath(tmp_path: Path) -> None:
    """The oil stands under the heading of the fish, the chips go in first and come back."""
    result = cooked(
        tmp_path,
        "Breakwater fish and chips\nServes 4\n\nFor the fish\n4 cod fillets (about 170 g each)\n100 g plain flour\n"
        "200 ml beer\nsalt\n1 litre sunflower oil, for deep frying\n\nFor the chips\n1 kg floury potatoes, in chips\n\n"
        "To serve\n200 g mushy peas\n\nMethod\nHeat the oil to 160C. Fry the chips for 6 minutes until soft but not "
        "coloured. Lift out. Whisk the flour, beer and a pinch of salt to a batter. Dip the fish in the batter and fry "
        "at 180C for 6 minutes. Fry the chips again for 3 minutes until golden. Serve with the peas.\n",
    )
    fried = [s for s in result.stages if s.stage.cooking and s.stage.cooking.method == "deep-fried"]
    assert len(fried) == 2
    for stage in fried:
        names = {food.name for record in stage.records for food in record.foods}
        assert "sunflower oil" in names
        assert ("floury potatoes" in names) != ("cod fillets" in names)
    assert "no-frying-oil" not in {remark.code for remark in result.remarks}


@pytest.mark.parametrize(
    "rice",
    [
        "Meanwhile, rinse the rice, put it in a pan with 600 ml water, bring to the boil, cover and cook for 12 min.",
        "Wash the rice and tip it into a pan of salted water. Boil for 11 minutes and drain.",
    ],
)
def test_rice_that_is_put_into_a_pan_takes_nothing_else_along(tmp_path: Path, rice: str) -> None:
    result = cooked(
        tmp_path,
        "Ropewalk curry\nServes 4\n2 tbsp oil\n2 onions\n800 g chicken thigh fillets\n400 g tin chopped tomatoes\n"
        f"300 g basmati rice\nMethod\nFry the onions in the oil. Add the chicken and the tomatoes and simmer for 40 "
        f"minutes. {rice} Serve the curry with the rice.\n",
    )
    names = [{food.name for record in stage.records for food in record.foods} for stage in result.stages]
    alone = [stage for stage, inside in zip(result.stages, names, strict=True) if "basmati rice" in inside]
    assert len(alone) == 1
    assert not any("chicken" in name for name in names[result.stages.index(alone[0])])
    assert alone[0].stage.cooking is not None
    assert alone[0].result.cooked.mass > 650
