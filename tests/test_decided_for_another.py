"""A decision is for the food it names, for no other, and makes nothing surer than it says."""

from __future__ import annotations

from pathlib import Path

import pytest

from nutrilab import open_kitchen
from nutrilab.doubt import doubts
from nutrilab.kitchen import Kitchen
from nutrilab.recipe import read_recipe
from nutrilab.remarks import Code, InputError
from nutrilab.results import DishResult

PACK = "- {name: House block, fat: 80 g, carbohydrate: 1 g, protein: 1 g, contains: []}\n"


def of(folder: Path | None) -> Kitchen:
    return open_kitchen(folder).kitchen()


def deciding(folder: Path, *decisions: str) -> Kitchen:
    (folder / "decisions.yaml").write_text("".join(f"{one}\n" for one in decisions), "utf-8")
    return of(folder)


@pytest.mark.parametrize(
    ("decision", "line", "allergen"),
    [
        ("butter: olive oil", "100 g butter, peanut", "peanuts"),
        ("milk: sunflower oil", "400 ml milk, coconut", ""),
        ("flour: sr:20081", "100 g flour, rice", ""),
        ("pepper: 160 g", "2 peppers, black", ""),
    ],
)
def test_what_is_decided_of_one_food_is_not_for_another(
    tmp_path: Path, decision: str, line: str, allergen: str
) -> None:
    """ "butter, peanut" is peanut butter: what was decided of butter is not for it."""
    with_it = deciding(tmp_path, decision).line(line)
    without = of(None).line(line)
    assert [food.link.food for food in with_it.foods] == [food.link.food for food in without.foods]
    assert with_it.grams == without.grams
    assert set(with_it.findings.contains) == set(without.findings.contains)
    assert not allergen or allergen in with_it.findings.contains


def test_an_own_pack_of_one_food_is_not_for_another(tmp_path: Path) -> None:
    (tmp_path / "products.yaml").write_text(PACK, "utf-8")
    (tmp_path / "decisions.yaml").write_text("butter: own:house-block\n", "utf-8")
    assert "peanuts" in of(tmp_path).line("100 g butter, peanut").findings.contains


def wide(folder: Path, line: str) -> float:
    path = folder / "dish.txt"
    path.write_text(f"Quay plate\nServes 1\n{line}\n", "utf-8")
    low, high = of(folder).dish(read_recipe(path)).whole.per_portion_range["energy_kcal"] or (0.0, 0.0)
    return high / low


@pytest.mark.parametrize("said", ["beef mince", "pork shoulder"])
def test_words_are_no_surer_by_a_decision_than_in_a_line(tmp_path: Path, said: str) -> None:
    written = wide(tmp_path, f"200 g {said}")
    (tmp_path / "decisions.yaml").write_text(f"house meat: {said}\n", "utf-8")
    assert wide(tmp_path, "200 g house meat") == pytest.approx(written, rel=1e-6)


def test_a_large_egg_weighs_what_its_class_does(tmp_path: Path) -> None:
    kitchen = deciding(tmp_path, "egg: 65 g")
    assert kitchen.line("2 large eggs").grams == of(None).line("2 large eggs").grams
    assert kitchen.line("2 eggs").grams != of(None).line("2 eggs").grams


@pytest.mark.parametrize("value", ["~", "'?'", "'...'", "{food: '-'}"])
def test_a_value_without_a_word_decides_nothing(tmp_path: Path, value: str) -> None:
    with pytest.raises(InputError, match="nothing beside it"):
        deciding(tmp_path, f"milk: {value}").line("100 ml milk")


def test_the_advice_to_serve_by_weight_keeps_the_portions(tmp_path: Path) -> None:
    path = tmp_path / "dish.yaml"
    text = "dish: Bowl\nportions: 4\ningredients: [800 g sugar]\nserve with: [100 g water]\n"
    path.write_text(text, "utf-8")

    def cooked() -> DishResult:
        return of(None).dish(read_recipe(path))

    advice = doubts(cooked())["energy_kcal"][0].advice
    assert advice is not None
    assert "weigh out 200 g for each" in advice
    path.write_text(text.replace("portions: 4", "portion weight: 200 g"), "utf-8")
    assert cooked().portions == 4


@pytest.mark.parametrize(
    ("decision", "line", "asked"),
    [
        ("onion: 1800 g", "2 onions", True),
        ("onion: 18 g", "2 onions", True),
        ("onion: 180 g", "2 onions", False),
        ("egg: 580 g", "2 eggs", True),
        ("egg: 58 g", "2 eggs", False),
        ("garlic clove: 40 g", "2 garlic cloves", True),
        ("potato: 300 g", "2 potatoes", False),
    ],
)
def test_a_nought_too_many_in_an_own_weight_is_asked_about(
    tmp_path: Path, decision: str, line: str, asked: bool
) -> None:
    found = deciding(tmp_path, decision).line(line)
    assert any(remark.code == Code.IMPROBABLE for remark in found.remarks) is asked, found.remarks
