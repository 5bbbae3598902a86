"""A dish followed back to its lines, and what the kitchen makes of oil, packs and parts on the way."""

from __future__ import annotations

from pathlib import Path

import pytest

from nutrilab.allergens.ingredients_list import as_text
from nutrilab.foods import embedded
from nutrilab.kitchen import DishResult, Kitchen
from nutrilab.nutrition import KEYS
from nutrilab.products import load
from nutrilab.recipe import read_recipe
from nutrilab.tracing import IN_COOKING, brings, ingredients, sureness_of, used

DEMOS = sorted(p for p in (Path(__file__).parents[1] / "demo_recipes").iterdir() if p.suffix in (".yaml", ".txt"))


def cooked(folder: Path, recipe: str, packs: str | None = None) -> DishResult:
    (folder / "dish.yaml").write_text(recipe, encoding="utf-8")
    products = None
    if packs is not None:
        (folder / "products.yaml").write_text(packs, encoding="utf-8")
        products = load(folder / "products.yaml")
    return Kitchen([embedded()], products=products).dish(read_recipe(folder / "dish.yaml"))


@pytest.mark.parametrize("path", DEMOS, ids=lambda p: p.stem)
@pytest.mark.parametrize("key", KEYS)
def test_what_lines_bring_adds_up_to_the_portion(path: Path, key: str) -> None:
    products = load(path.parent / "packs" / "quayside.yaml")
    result = Kitchen([embedded()], products=products).dish(read_recipe(path))
    found = brings(result, key)
    assert sum(one.amount for one in found) == pytest.approx(result.whole.per_portion[key], rel=1e-9, abs=1e-12)
    lines = [one for one in found if one.text != IN_COOKING]
    assert sum(one.share for one in lines) == pytest.approx(1.0)
    assert [one.amount for one in lines] == sorted((one.amount for one in lines), reverse=True)


def test_a_part_of_a_stage_brings_its_part(tmp_path: Path) -> None:
    text = """dish: Broth with butter
portions: 2
stages:
  - stage: base
    ingredients: [100 g butter, 100 g plain flour]
  - stage: dish
    ingredients: [half of base, 20 g butter]
"""
    grams = {(one.stage.stage.name, one.number): one.grams for one in used(cooked(tmp_path, text))}
    assert grams == {("base", 1): 50.0, ("base", 2): 50.0, ("dish", 2): 20.0}
    assert as_text(ingredients(cooked(tmp_path, text))) == "Ingredients: butter (MILK) (58%), plain flour (WHEAT)."


def test_a_part_of_a_part_of_a_stage(tmp_path: Path) -> None:
    text = """dish: Supper
portions: 1
stages:
  - stage: a
    ingredients: [100 g sugar]
  - stage: b
    ingredients: [half of a, 50 g plain flour]
  - stage: c
    ingredients: [half of b, 25% of a]
"""
    grams = {(one.stage.stage.name, one.number): one.grams for one in used(cooked(tmp_path, text))}
    assert grams == {("a", 1): pytest.approx(50.0), ("b", 2): pytest.approx(25.0)}


def test_what_is_served_with_counts_for_every_portion(tmp_path: Path) -> None:
    text = "dish: Soup\nportions: 4\ningredients: [800 g leeks]\nserve with: [30 g butter]\n"
    result = cooked(tmp_path, text)
    assert {one.food.name: one.grams for one in used(result)}["butter"] == 120.0
    butter = next(one for one in brings(result, "energy_kcal") if one.text == "30 g butter")
    assert butter.amount == pytest.approx(0.3 * (9 * 81.11 + 4 * 0.06 + 4 * 0.85), rel=1e-6)  # SR28 01001


def test_sureness_shares_add_up_and_an_unknown_thing_is_none(tmp_path: Path) -> None:
    result = cooked(tmp_path, "dish: Odd\nportions: 1\ningredients: [100 g carrots, 300 g qwxyzzt]\n")
    assert sureness_of(result) == {"sure": 0.25, "likely": 0.0, "doubtful": 0.0, "none": 0.75}


PACK = "- {name: tart relish, per: 100 g, salt: 1 g, ingredients: 'plums, sugar', contains: [], sulphites: 200 mg/kg}\n"


def test_sulphites_of_a_pack_are_diluted_into_a_check_and_never_cleared(tmp_path: Path) -> None:
    text = "dish: Plate\nportions: 1\ningredients: [10 g tart relish, 990 g potatoes]\n"
    loud = cooked(tmp_path, text, PACK)
    sentences = (*loud.allergens.contains.get("sulphites", ()), *loud.allergens.check.get("sulphites", ()))
    assert any("about 2.0 mg/kg" in said and "clears nothing" in said for said in sentences)
    assert "sulphites" in loud.allergens.contains  # the pack is above 10 mg/kg: dilution takes no allergen away


def test_a_pack_below_the_limit_is_checked_with_its_dose(tmp_path: Path) -> None:
    text = "dish: Plate\nportions: 1\ningredients: [500 g tart relish, 500 g potatoes]\n"
    result = cooked(tmp_path, text, PACK.replace("200 mg/kg", "8 mg/kg"))
    assert any("about 4.0 mg/kg" in said for said in result.allergens.check["sulphites"])


def test_a_pack_shows_its_own_ingredients_with_the_laws_words(tmp_path: Path) -> None:
    says = "water, preservative: sulphur dioxide, mustard seed"
    pack = f"- {{name: sea pickle, per: 100 g, salt: 1 g, ingredients: '{says}'}}\n"
    result = cooked(tmp_path, "dish: Plate\nportions: 1\ningredients: [50 g sea pickle]\n", pack)
    assert "sea pickle (water, preservative: SULPHUR DIOXIDE, MUSTARD seed)" in as_text(ingredients(result))


def test_frying_oil_nobody_measured_is_what_the_food_takes_up(tmp_path: Path) -> None:
    """Uptake by the table of what is fried in it, in the figures, the line and the list of ingredients alike."""
    text = "portions: 2\ningredients: [400 g cod fillet, 'sunflower oil, for frying']\ncooking: {method: pan-fried}"
    result = cooked(tmp_path, f"dish: Cakes\n{text}\n")
    oil = result.stages[0].records[1]
    assert oil.foods[0].weight.ground == "published uptake"
    assert oil.grams == pytest.approx(0.08 * 400)  # uptake.csv, pan-fried fish: 8 g oil to 100 g (FNDDS 2015-2016)
    assert (oil.low, oil.high) == (pytest.approx(0.03 * 400), pytest.approx(0.10 * 400))
    assert [r.code for r in result.remarks].count("common-practice-amount") == 0
    assert {r.code for r in result.remarks} >= {"frying-oil-estimated"}
    assert result.whole.per_portion["fat"] == pytest.approx(
        (0.67 * 4 + 32) / 2, rel=0.02
    )  # SR28 15015: 0.67 g in 100 g


@pytest.mark.parametrize(
    ("line", "named"),
    [("juice of 3 lemons", "lemon juice"), ("2 egg yolks", "egg yolks"), ("zest of 1 orange", "orange zest")],
)
def test_the_part_that_is_used_stands_in_the_list(tmp_path: Path, line: str, named: str) -> None:
    text = as_text(ingredients(cooked(tmp_path, f"dish: Glass\nportions: 1\ningredients: [{line}]\n")))
    assert text.lower() == f"ingredients: {named}.".lower()
