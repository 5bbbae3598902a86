"""The list of ingredients as the Regulation asks for it."""

from __future__ import annotations

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nutrilab.allergens import Findings, find
from nutrilab.allergens.ingredients_list import Entry, Ingredient, ingredients_list
from nutrilab.ingredients import as_html, as_json, as_text


def of(name: str, grams: float | None, **more: object) -> Ingredient:
    return Ingredient(name, grams, find(name), **more)  # type: ignore[arg-type]


def text_of(entry: Entry) -> str:
    return "".join(run.text for run in entry.runs)


def test_heaviest_first_and_what_nobody_weighed_last() -> None:
    """Ground: Regulation (EU) No 1169/2011, Articles 18 to 22 and Annexes VII and VIII (from memory)."""
    made = ingredients_list([of("salt", None), of("onion", 100), of("smoked haddock", 400), of("leek", 200)])
    assert [text_of(e).split(" (")[0] for e in made] == ["smoked haddock", "leek", "onion", "salt"]
    assert "not weighed" in as_text(made)


def test_allergens_are_emphasised_in_the_name_or_behind_it() -> None:
    """Ground: Regulation (EU) No 1169/2011, Articles 18 to 22 and Annexes VII and VIII (from memory)."""
    text = as_text(
        ingredients_list([of("plain flour", 200), of("ground almonds", 100), of("butter", 50), of("eggs", 40)])
    )
    assert text == "Ingredients: plain flour (WHEAT), ground ALMONDS, butter (MILK), EGGS."


def test_only_part_of_a_stage_counts() -> None:
    """Ground: Regulation (EU) No 1169/2011, Articles 18 to 22 and Annexes VII and VIII (from memory)."""
    made = ingredients_list([of("onion", 300, share=0.2), of("leek", 100)])
    assert [text_of(e) for e in made] == ["leek", "onion"]
    assert made[1].grams == pytest.approx(60)


def test_one_name_stands_once_with_its_whole_weight() -> None:
    """Ground: Regulation (EU) No 1169/2011, Articles 18 to 22 and Annexes VII and VIII (from memory)."""
    made = ingredients_list([of("butter", 60), of("leek", 90), of("butter", 50)])
    assert [text_of(e) for e in made] == ["butter (milk)", "leek"]
    assert made[0].grams == 110


def test_what_the_dish_is_named_after_shows_its_percentage_of_the_finished_dish() -> None:
    """Ground: Regulation (EU) No 1169/2011, Articles 18 to 22 and Annexes VII and VIII (from memory)."""
    (fish, _) = ingredients_list([of("smoked haddock", 400, named=True), of("leek", 200)], finished=500)
    assert fish.percent == pytest.approx(80)
    assert "(80%)" in text_of(fish)


def test_more_than_a_hundred_percent_is_said_by_weight() -> None:
    """Ground: Regulation (EU) No 1169/2011, Articles 18 to 22 and Annexes VII and VIII (from memory)."""
    (tomato,) = ingredients_list([of("tomatoes", 250, named=True)], finished=200)
    assert "125 g for 100 g" in text_of(tomato)


def test_water_counts_as_far_as_it_stays() -> None:
    """Ground: Regulation (EU) No 1169/2011, Articles 18 to 22 and Annexes VII and VIII (from memory)."""
    lines = [of("leek", 200), of("water", 300)]
    assert [text_of(e) for e in ingredients_list(lines)] == ["water", "leek"]
    stayed = ingredients_list(lines, finished=300)  # 100 g of the 300 g stay
    assert [text_of(e) for e in stayed] == ["leek", "water"]
    assert stayed[1].grams == pytest.approx(100)


def test_water_up_to_five_percent_is_not_listed() -> None:
    """Ground: Regulation (EU) No 1169/2011, Articles 18 to 22 and Annexes VII and VIII (from memory)."""
    assert [text_of(e) for e in ingredients_list([of("leek", 200), of("water", 300)], finished=210)] == ["leek"]
    assert len(ingredients_list([of("leek", 200), of("water", 300)], finished=212)) == 2
    assert [text_of(e) for e in ingredients_list([of("leek", 200), of("water", 10)], finished=200)] == ["leek"]


def test_a_compound_ingredient_shows_its_own() -> None:
    """Ground: Regulation (EU) No 1169/2011, Articles 18 to 22 and Annexes VII and VIII (from memory)."""
    own = "Salt, palm oil (**soya**), **celery** seed 5%"
    cube = Ingredient("stock cube", 20, Findings({"celery": ("x",), "soya": ("x",)}), own=own)
    text = as_text(ingredients_list([cube]))
    assert text == "Ingredients: stock cube (Salt, palm oil (SOYA), CELERY seed (5%))."


def test_what_the_pack_states_beside_its_ingredients_is_not_lost() -> None:
    """Ground: Regulation (EU) No 1169/2011, Articles 18 to 22 and Annexes VII and VIII (from memory)."""
    cube = Ingredient("stock cube", 20, Findings({"milk": ("x",)}), own="salt, flavouring")
    assert "MILK" in as_text(ingredients_list([cube]))


def test_what_is_to_be_checked_stands_there_as_a_question() -> None:
    """Ground: Regulation (EU) No 1169/2011, Articles 18 to 22 and Annexes VII and VIII (from memory)."""
    assert "check the pack: mustard" in as_text(ingredients_list([of("curry paste", 20)]))


def test_html_escapes_what_a_cook_or_a_pack_wrote() -> None:
    """Ground: common practice, no source."""
    entry = ingredients_list(
        [Ingredient("<script>alert(1)</script> butter", 10, find("butter"), own="<img src=x> **milk**")]
    )
    page = as_html(entry)
    assert "<script" not in page
    assert "<img" not in page
    assert "<strong>milk</strong>" in page


def test_json_keeps_runs_and_their_kinds() -> None:
    """Ground: common practice, no source."""
    (entry,) = json.loads(json.dumps(as_json(ingredients_list([of("ground almonds", 100)]))))
    assert entry["runs"] == [{"text": "ground ", "kind": "plain"}, {"text": "almonds", "kind": "allergen"}]
    assert entry["grams"] == 100


names = st.sampled_from(["butter", "leek", "plain flour", "smoked haddock", "curry paste", "ground almonds", "water"])
weights = st.one_of(st.none(), st.floats(min_value=0.1, max_value=5000))


@given(st.lists(st.tuples(names, weights), max_size=8), st.floats(min_value=1, max_value=9000))
def test_the_list_descends_and_loses_no_allergen(lines: list[tuple[str, float | None]], finished: float) -> None:
    """Ground: Regulation (EU) No 1169/2011, Articles 18 to 22 and Annexes VII and VIII (from memory)."""
    made = ingredients_list([of(name, grams) for name, grams in lines], finished)
    known = [entry.grams for entry in made if entry.grams is not None]
    assert known == sorted(known, reverse=True)
    shown = as_text(made)
    for word, marked in (
        ("butter", "MILK"),
        ("plain flour", "WHEAT"),
        ("smoked haddock", "FISH"),
        ("ground almonds", "ALMONDS"),
    ):
        assert (word in {name for name, _ in lines}) == (marked in shown)
