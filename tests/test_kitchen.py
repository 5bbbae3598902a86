"""From lines and recipes to records and results, where several rooms of the house meet."""

from __future__ import annotations

from pathlib import Path

import pytest

from nutrilab.foods import embedded
from nutrilab.kitchen import Kitchen
from nutrilab.recipe import read_recipe
from nutrilab.remarks import InputError


@pytest.fixture(scope="module")
def kitchen() -> Kitchen:
    return Kitchen([embedded()])


@pytest.mark.parametrize(
    ("line", "name", "contains", "not_milk_nor_gluten"),
    [
        ("200 ml milk, coconut", "coconut milk", set(), True),
        ("200 ml milk, soya", "soya milk", {"soya"}, True),
        ("1 tbsp butter, peanut", "peanut butter", {"peanuts"}, True),
        ("100 g flour, rice", "rice flour", set(), True),
        ("200 ml milk, semi-skimmed", "semi-skimmed milk", {"milk"}, False),
        ("100 g flour, plain, sifted", "plain flour", {"gluten"}, False),
        ("200 ml milk, coconut and 20 g butter", "", {"milk"}, False),
    ],
)
def test_the_kind_behind_the_comma(
    kitchen: Kitchen, line: str, name: str, contains: set[str], not_milk_nor_gluten: bool
) -> None:
    record = kitchen.line(line)
    assert contains <= set(record.findings.contains)
    if name:
        assert record.foods[0].name == name
    if not_milk_nor_gluten:
        assert not {"milk", "gluten"} & {*record.findings.contains, *record.findings.check}


STAGES = """  - stage: mash
    ingredients: [900 g potatoes, 60 g butter]
    cooking: {method: boiled, drained: true, weight after: 900 g}
"""
PIE = """  - stage: pie
    ingredients: [2/3 of mash%s, 300 g cod fillet, 2 eggs]
    cooking: {method: baked, loss: 10%%}
"""


def test_a_stage_of_another_recipe_is_that_stage(kitchen: Kitchen, tmp_path: Path) -> None:
    (tmp_path / "mash.yaml").write_text("dish: Mash\nportions: 6\nstages:\n" + STAGES)
    (tmp_path / "one.yaml").write_text("dish: Pie\nportions: 4\nstages:\n" + STAGES + PIE % "")
    (tmp_path / "two.yaml").write_text("dish: Pie\nportions: 4\nstages:\n" + PIE % " from mash.yaml")
    one, two = (kitchen.dish(read_recipe(tmp_path / name)) for name in ("one.yaml", "two.yaml"))
    assert one.whole == two.whole
    assert set(one.allergens.contains) == set(two.allergens.contains) == {"milk", "eggs", "fish"}


def test_a_halved_batch_halves_the_whole_and_keeps_the_portion(kitchen: Kitchen, tmp_path: Path) -> None:
    text = "dish: Soup\nportions: {}\ningredients: [{} g leeks, {} g butter, {} ml milk]\n"
    text += "cooking: {{method: simmered, weight after: {} g}}\n"
    (tmp_path / "one.yaml").write_text(text.format(4, 400, 40, 600, 800))
    (tmp_path / "half.yaml").write_text(text.format(2, 200, 20, 300, 400))
    one, half = (kitchen.dish(read_recipe(tmp_path / name)) for name in ("one.yaml", "half.yaml"))
    assert half.whole.mass == pytest.approx(one.whole.mass / 2)
    assert dict(half.whole.per_portion) == pytest.approx(dict(one.whole.per_portion))


def test_cereals_and_nuts_are_named_for_the_dish(kitchen: Kitchen, tmp_path: Path) -> None:
    (tmp_path / "a.yaml").write_text(
        "dish: A\nportions: 1\ningredients: [50 g rye flour, 50 g plain flour, 20 g walnuts, 1 egg]\n"
    )
    answer = kitchen.dish(read_recipe(tmp_path / "a.yaml")).allergens
    assert [answer.named(allergen) for allergen in answer.contains] == ["gluten (rye, wheat)", "eggs", "nuts (walnut)"]


def test_what_is_to_be_said_of_another_recipes_stage_is_said(kitchen: Kitchen, tmp_path: Path) -> None:
    (tmp_path / "sauce.yaml").write_text("dish: Sauce\nportions: 4\ningredients: [200 ml milk, salt to taste]\n")
    (tmp_path / "pie.yaml").write_text(
        "dish: Pie\nportions: 4\ningredients: [all of sauce from sauce.yaml, 400 g cod fillet]\n"
    )
    said = [remark.message for remark in kitchen.dish(read_recipe(tmp_path / "pie.yaml")).remarks]
    assert any("no amount is given for salt" in message for message in said)


@pytest.mark.parametrize("portions", [0.0, -1.0, float("nan"), float("inf")])
def test_a_number_of_portions_that_cannot_be(kitchen: Kitchen, tmp_path: Path, portions: float) -> None:
    (tmp_path / "a.yaml").write_text("dish: A\nportions: 1\ningredients: [1 egg]\n")
    with pytest.raises(InputError, match="portions cannot be"):
        kitchen.dish(read_recipe(tmp_path / "a.yaml"), portions)


def test_more_fat_than_weight_is_refused(kitchen: Kitchen, tmp_path: Path) -> None:
    text = "dish: A\nportions: 1\ningredients: [500 g butter, 100 g flour]\n"
    (tmp_path / "a.yaml").write_text(text + "cooking: {method: baked, weight before: 200 g, weight after: 190 g}\n")
    with pytest.raises(InputError, match="look at its weights"):
        kitchen.dish(read_recipe(tmp_path / "a.yaml"))
