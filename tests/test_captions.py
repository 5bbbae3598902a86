"""Captions: one line for the screen, three for a description; nothing that can harm is left out for shortness."""

from __future__ import annotations

from pathlib import Path

import pytest

from nutrilab.allergens import ALLERGENS
from nutrilab.kitchen import DishResult
from nutrilab.law.rounding import declared
from nutrilab.sheets.captions import caption, description, screen
from tests.dishes import demos, dish

EVERYTHING = (
    "100 g plain flour", "100 g prawns", "2 eggs", "200 g cod", "50 g peanuts", "50 g tofu", "100 ml milk",
    "50 g walnuts", "2 celery sticks", "1 tsp English mustard", "1 tbsp sesame seeds", "100 ml white wine",
    "50 g lupin flour", "200 g mussels",
)  # fmt: skip


@pytest.mark.parametrize("result", demos(), ids=lambda result: result.recipe.dish)
def test_one_line_then_three_with_the_figures_of_the_declaration(result: DishResult) -> None:
    lines = caption(result).split("\n")
    assert lines[1] == ""
    assert lines[5:] == [""]
    assert lines[0] == screen(result)
    assert "\n".join(lines[2:5]) == description(result)
    for key in ("energy_kcal", "salt"):
        assert declared(key, result.whole.per_portion[key]) in lines[0]
    for key, value in result.whole.per_portion.items():
        assert declared(key, value) in lines[2]
    assert lines[2].startswith(result.recipe.dish)
    for allergen in result.allergens.contains:
        assert result.allergens.named(allergen) in lines[0]
        assert result.allergens.named(allergen) in lines[3]
    assert lines[4] == " ".join(result.cautions)
    assert "Check every pack" in lines[0]
    assert "free from" not in caption(result).lower()


def test_a_line_with_few_allergens_fits_the_screen(tmp_path: Path) -> None:
    squares = dish(tmp_path, "Slipway squares", "200 g plain flour", "100 g butter", "2 eggs")
    assert len(squares.allergens.contains) == 3
    assert len(screen(squares)) <= 90


def test_a_list_of_all_allergens_is_never_cut(tmp_path: Path) -> None:
    result = dish(tmp_path, "Everything soup", *EVERYTHING)
    assert set(result.allergens.contains) | set(result.allergens.check) == set(ALLERGENS)
    for allergen in ALLERGENS:
        assert allergen in screen(result)
        assert allergen in description(result).split("\n")[1]


def test_what_is_to_be_checked_is_kept_apart_from_what_is_contained(tmp_path: Path) -> None:
    result = dish(tmp_path, "Broth", "1 vegetable stock cube", "1 litre water")
    assert result.allergens.check
    contained, checked = screen(result).split("Check every pack")
    for allergen in result.allergens.check:
        assert allergen in checked
        assert allergen not in contained
    assert "above all for" in checked


def test_what_a_pack_may_contain_stands_in_both(tmp_path: Path) -> None:
    result = dish(tmp_path, "Snack", "100 g Slipway seed crackers")
    assert "Contains sesame. May contain milk, nuts. Check every pack." in screen(result)
    assert "May contain, says the pack: milk, nuts." in description(result)


def test_nothing_found_is_no_promise(tmp_path: Path) -> None:
    result = dish(tmp_path, "Leaves", "200 g lettuce")
    assert screen(result).endswith("The words name no allergen. Check every pack.")
    assert "nothing in the words of the recipe points to" in description(result).split("\n")[1]
    assert "no promise" in description(result).split("\n")[2]


def test_lines_that_were_not_understood_are_counted_and_named(tmp_path: Path) -> None:
    result = dish(tmp_path, "Glitter leaves", "200 g lettuce", "20 g edible glitter", "1 gribbleworth")
    assert "NOT COMPLETE: 2 lines not understood." in screen(result)
    assert "at least" in screen(result)
    second = description(result).split("\n")[1]
    assert '"20 g edible glitter", "1 gribbleworth"' in second
    assert "Nor are they in the figures." in second


def test_figures_that_are_not_known_are_never_zero(tmp_path: Path) -> None:
    result = dish(tmp_path, "Glitter", "20 g edible glitter")
    assert screen(result).startswith("A portion: energy not known, salt not known.")
    assert "Not known: energy, fat" in description(result)


def test_names_and_lines_that_are_too_long_or_active_stay_one_line(tmp_path: Path) -> None:
    result = dish(tmp_path, "Pie\u202e\x1b[31m " + "very " * 2000, "1 egg", "20 g " + "glitter " * 1000)
    text = caption(result)
    assert text.count("\n") == 5
    assert len(text) < 2000
    assert not {"\u202e", "\x1b"} & set(text)
    assert "Contains: eggs." in text
