"""A dish followed back to its lines, and what the kitchen makes of oil, packs and parts on the way."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest

from nutrilab.foods import embedded
from nutrilab.ingredients import as_text
from nutrilab.kitchen import DishResult, Kitchen
from nutrilab.measures import Ground
from nutrilab.nutrition import KEYS
from nutrilab.products import load
from nutrilab.recipe import read_recipe
from nutrilab.records import dish_record
from nutrilab.sheets.csv_figures import as_csv
from nutrilab.sheets.trace import stages
from nutrilab.tracing import IN_COOKING, brings, in_dish, ingredients, sureness_of, used

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


def test_stages_of_one_name_in_two_recipes_are_told_apart(tmp_path: Path) -> None:
    other = "dish: Milk\nportions: 1\nstages:\n- stage: sauce\n  ingredients: [500 ml whole milk]\n"
    (tmp_path / "milk.yaml").write_text(other, encoding="utf-8")
    text = """dish: Supper
portions: 1
stages:
  - stage: sauce
    ingredients: [100 g butter, all of sauce from milk.yaml]
  - stage: dish
    ingredients: [half of sauce]
"""
    result = cooked(tmp_path, text)
    of_milk, of_butter, _ = stages(result, ("fat",))
    assert of_milk.rows[0].brought["fat"] == "8.4 g"  # SR28 01211: 3.25 g, half of 516 g
    assert of_butter.rows[0].brought["fat"] == "41 g"  # SR28 01001: 81.11 g, half of 100 g
    assert (of_milk.part, of_butter.part) == ("50% of it is in the dish",) * 2


def test_a_stage_of_nothing_but_parts_has_its_share(tmp_path: Path) -> None:
    text = """dish: Supper
portions: 1
stages:
  - stage: a
    ingredients: [100 g sugar]
  - stage: b
    ingredients: [all of a]
    left over: true
  - stage: c
    ingredients: [25% of b]
"""
    result = cooked(tmp_path, text)
    assert [(stage.stage.name, share) for stage, share in in_dish(result)] == [("a", 0.25), ("b", 0.25), ("c", 1.0)]
    assert [stage.part for stage in stages(result, ())] == ["25% of it is in the dish"] * 2 + [""]


@pytest.mark.parametrize("count", [30, 1500])
def test_stages_taken_in_many_ways_or_one_behind_another(tmp_path: Path, count: int) -> None:
    """2 ** 30 ways lead to the first of 30 stages, and 1,500 stages stand one behind another."""
    taken = ["half of s{}", "50% of s{}"] if count < 100 else ["all of s{}"]
    lines = ["dish: Deep", "portions: 1", "stages:", "- stage: s0", "  ingredients: [100 g sugar]"]
    for n in range(1, count):
        lines += [f"- stage: s{n}", f"  ingredients: [{', '.join(one.format(n - 1) for one in taken)}]"]
    result = cooked(tmp_path, "\n".join(lines))
    assert [share for _, share in in_dish(result)] == pytest.approx([1.0] * count)
    assert next(used(result)).grams == pytest.approx(100.0)


def test_two_of_one_name_in_a_line_share_what_was_taken_up(tmp_path: Path) -> None:
    """800 g potatoes take up 250 ml of oil less the 200 g left."""
    text = """dish: Chips
portions: 2
ingredients: [800 g potatoes, "200 ml sunflower oil for frying, plus 50 ml sunflower oil"]
cooking: {method: deep-fried, frying oil left: 200 g}
"""
    result = cooked(tmp_path, text)
    oil = [one for one in used(result) if one.food.name == "sunflower oil"]
    weights = [one.food.weight.grams or 0.0 for one in oil]
    assert [one.grams for one in oil] == pytest.approx([(sum(weights) - 200) * w / sum(weights) for w in weights])
    assert len(brings(result, "fat")) == 2  # nothing is left to be "gained in cooking"
    rows = [row for row in csv.DictReader(io.StringIO(as_csv([result])[1:])) if row["kind"] == "line"]
    assert [float(row["grams in the dish"]) for row in rows[1:]] == pytest.approx([one.grams for one in oil])


def test_what_is_served_with_counts_for_every_portion(tmp_path: Path) -> None:
    text = "dish: Soup\nportions: 4\ningredients: [800 g leeks]\nserve with: [30 g butter]\n"
    result = cooked(tmp_path, text)
    assert {one.food.name: one.grams for one in used(result)}["butter"] == 120.0
    butter = next(one for one in brings(result, "energy_kcal") if one.text == "30 g butter")
    assert butter.amount == pytest.approx(0.3 * (9 * 81.11 + 4 * 0.06 + 4 * 0.85), rel=1e-6)  # SR28 01001


def test_sureness_shares_add_up_and_an_unknown_thing_is_none(tmp_path: Path) -> None:
    result = cooked(tmp_path, "dish: Odd\nportions: 1\ningredients: [100 g carrots, 300 g qwxyzzt]\n")
    assert sureness_of(result) == {"sure": 0.25, "likely": 0.0, "doubtful": 0.0, "none": 0.75}


def test_a_pack_in_a_line_with_others_names_its_own_allergens_alone(tmp_path: Path) -> None:
    pack = "- {name: House pesto, aliases: [pesto], ingredients: 'basil, rapeseed oil, cheese (**milk**)'}\n"
    for line in ("100 g pesto and 50 g walnuts", "50 g walnuts and 40 g pesto"):
        result = cooked(tmp_path, f"dish: Toast\nportions: 1\ningredients: [{line}]\n", pack)
        told = {"".join(run.text for run in entry.runs): entry.runs for entry in ingredients(result)}
        assert set(told) == {"House pesto (basil, rapeseed oil, cheese (milk))", "walnuts"}
        marked = {run.text for runs in told.values() for run in runs if run.kind == "allergen"}
        assert marked == {"milk", "walnuts"}
        assert set(result.allergens.contains) == {"milk", "nuts"}


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
    stage = result.stages[0]
    oil = stage.weight(2, stage.records[1].foods[0])
    assert oil.ground == Ground.UPTAKE
    assert oil.grams == pytest.approx(0.012 * 400)  # uptake.csv, pan-fried fish without a coat (CoFID 16-129)
    assert (oil.low, oil.high) == (pytest.approx(0.0), pytest.approx(0.04 * 400))
    assert stage.records[1].foods[0].weight.ground == Ground.PRACTICE  # what was weighed stays as it was
    line = dish_record(result)["stages"][0]["lines"][1]
    assert (line["grams"], line["grams_from"], line["warnings"]) == (oil.grams, "published uptake", [])
    assert [r.code for r in result.remarks].count("common-practice-amount") == 0
    assert {r.code for r in result.remarks} >= {"frying-oil-estimated"}
    assert result.whole.per_portion["fat"] == pytest.approx(
        (0.67 * 4 + 4.8) / 2, rel=0.02
    )  # SR28 15015: 0.67 g in 100 g


@pytest.mark.parametrize("line", ["parmesan, for frying", "salt, for frying"])
def test_only_oil_is_left_to_what_the_food_takes_up(tmp_path: Path, line: str) -> None:
    """Other food without an amount keeps its common weight in a frying pan: nothing counts as 0 g in silence."""
    text = f"portions: 2\ningredients: [400 g cod fillet, '{line}']\ncooking: {{method: pan-fried}}"
    result = cooked(tmp_path, f"dish: Cakes\n{text}\n")
    one = list(used(result))[1]
    assert one.grams
    assert one.food.weight.ground == Ground.PRACTICE
    assert result.stages[0].result.raw.mass == pytest.approx(400 + one.grams)


@pytest.mark.parametrize(
    ("line", "named"),
    [("juice of 3 lemons", "lemon juice"), ("2 egg yolks", "egg yolks"), ("zest of 1 orange", "orange zest")],
)
def test_the_part_that_is_used_stands_in_the_list(tmp_path: Path, line: str, named: str) -> None:
    text = as_text(ingredients(cooked(tmp_path, f"dish: Glass\nportions: 1\ningredients: [{line}]\n")))
    assert text.lower() == f"ingredients: {named}.".lower()


def test_frying_oil_from_a_pack_of_its_own_is_frying_oil(tmp_path: Path) -> None:
    pack = "- {name: Lamp oil, aliases: [vegetable oil], per: 100 g, fat: 100 g, energy kcal: 900, energy kJ: 3700}\n"
    lines = "[1 kg potatoes, 1 litre vegetable oil for frying]"
    result = cooked(
        tmp_path, f"dish: Chips\nportions: 4\ningredients: {lines}\ncooking: {{method: deep-fried}}\n", pack
    )
    oil = next(one for one in used(result) if one.food.product)
    assert oil.grams == pytest.approx(39)  # uptake.csv, deep-fried potato: 0.039 g a gram (CoFID 13-595)
    assert "no-frying-oil" not in {remark.code for remark in result.remarks}
