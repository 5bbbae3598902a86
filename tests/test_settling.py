"""What to settle first: what matters most before all else, each with its place and its cure, never more than three."""

from __future__ import annotations

from pathlib import Path

import pytest

from nutrilab.doubt import doubts, share_in_words
from nutrilab.foods import embedded
from nutrilab.kitchen import Kitchen
from nutrilab.recipe import read_recipe
from nutrilab.records import dish_record
from nutrilab.results import DishResult
from nutrilab.settling import MOST, ToSettle, settle_first
from tests.dishes import DEMOS, demos, dish


def of(folder: Path, *lines: str) -> tuple[ToSettle, ...]:
    return settle_first(dish(folder, "Jetty supper", *lines))


def cooked(folder: Path, name: str, text: str) -> DishResult:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return Kitchen([embedded()]).dish(read_recipe(path))


def test_a_line_not_understood_comes_before_all_else(tmp_path: Path) -> None:
    """An allergen may be missing: no figure outweighs that."""
    first, second, third = of(tmp_path, "1 stock cube", "salt", "cod fillet", "80 g zorblax paste")
    assert first.what == 'Not understood, so an allergen may be missing: "80 g zorblax paste".'
    assert first.where == "line 4"
    assert "nutrilab lines dish.txt --ask" in first.do
    assert '"zorblax paste: none" into decisions.yaml' in first.do
    assert (second.where, second.do) == ("line 3", "Weigh it and write the grams in the line.")
    assert "1 stock cube (celery, gluten)" in third.what


def test_a_doubtful_food_is_named_with_the_line_that_decides_it(tmp_path: Path) -> None:
    first = of(tmp_path, "2 fishcakes", "100 g leeks")[0]
    record = dish_record(dish(tmp_path, "Jetty supper", "2 fishcakes", "100 g leeks"))["stages"][0]["lines"][0]
    assert record["sureness"] == "doubtful"
    assert f'write "fishcakes: {record["food_id"]}" into decisions.yaml' in first.do
    assert record["food_name"] in first.do


def test_what_is_written_settles_it(tmp_path: Path) -> None:
    """The decision that the sentence names makes the line understood."""
    (tmp_path / "decisions.yaml").write_text("zorblax paste: none\n", encoding="utf-8")
    (tmp_path / "supper.txt").write_text("Supper\nServes 2\n\n100 g leeks\n80 g zorblax paste\n", encoding="utf-8")
    from nutrilab.folder import Folder

    found = Folder(tmp_path).kitchen().dish(read_recipe(tmp_path / "supper.txt"))
    assert found.complete
    assert not any("zorblax" in one.what for one in settle_first(found))


def test_lines_with_one_cure_are_one_thing(tmp_path: Path) -> None:
    first, *others = of(tmp_path, *(f"{n} g zorblax of the {n}th kind" for n in range(10, 16)))
    assert "and 3 more" in first.what
    assert first.where == "line 1; line 2; line 3; line 4; line 5; line 6"
    assert not any("Not understood" in one.what for one in others)


def test_a_number_that_hardly_can_be_is_looked_at_before_a_pack(tmp_path: Path) -> None:
    found = of(tmp_path, "5 kg salt", "100 g leeks", "1 stock cube")
    assert "100 g hold" in found[0].what
    assert found[0].do == "Look at the number, and put it right if it is wrong."
    assert "stock cube" in found[1].what


def test_a_pack_of_another_kind_of_what_is_contained_counts(tmp_path: Path) -> None:
    """Annex II, 1 and 8: which cereal or nut it is has to be named."""
    asked = of(tmp_path, "100 g plain flour", "½ tsp English mustard")[0]
    assert asked.what == "Only the pack tells: ½ tsp English mustard (gluten, sulphites)."


@pytest.mark.parametrize("result", demos(), ids=[path.stem for path in DEMOS])
def test_what_narrows_a_figure_most_comes_last_and_is_what_the_doubt_says(result: DishResult) -> None:
    found = settle_first(result)
    assert len(found) <= MOST
    advice = [one for key in doubts(result).values() for one in key if one.advice]
    for one in found:
        if "of what is unsure" in one.what:
            best = next(d for d in advice if d.advice and one.do.lower().startswith(d.advice.lower()))
            assert f"{share_in_words(best.share)} of what is unsure" in one.what
    kinds = ["of what is unsure" in one.what for one in found]
    assert kinds == sorted(kinds)


def test_a_weighing_says_which_keys_hold_it(tmp_path: Path) -> None:
    """The keys are those of a recipe file (docs/recipe-format.md)."""
    pie = next(result for result in demos() if "fish cakes" in result.recipe.dish)
    oil = next(one for one in settle_first(pie) if "Frying oil" in one.what)
    assert oil.where == "fish cakes"
    assert '"frying oil left:" under "cooking:" of that stage' in oil.do


def test_a_text_needs_a_recipe_file_for_that(tmp_path: Path) -> None:
    curry = next(result for result in demos() if result.recipe.dish == "Ropewalk chicken curry")
    water = next(one for one in settle_first(curry) if "Salt in the water" in one.what)
    assert "nutrilab draft ropewalk-chicken-curry.txt -o ropewalk-chicken-curry.yaml" in water.do


def test_places_are_those_of_the_cooks_own_list() -> None:
    """Also where the method made other stages of it: the stock is line 10 of the curry, whatever pot it goes into."""
    curry = next(result for result in demos() if result.recipe.dish == "Ropewalk chicken curry")
    assert settle_first(curry)[0].where == "line 10"
    told = dish_record(curry)["doubt"]["salt"]
    assert {"stage": "Ropewalk chicken curry", "line": 10}.items() <= next(
        one for one in told if one.get("line") == 10
    ).items()


def test_a_dish_with_nothing_open_has_nothing_to_settle(tmp_path: Path) -> None:
    assert of(tmp_path, "100 g caster sugar") == ()


def test_the_record_has_them(tmp_path: Path) -> None:
    result = dish(tmp_path, "Jetty supper", "1 stock cube", "cod fillet")
    assert dish_record(result)["settle_first"] == [
        {"what": one.what, "where": one.where, "do": one.do} for one in settle_first(result)
    ]


def test_a_file_name_stands_as_a_command_line_takes_it(tmp_path: Path) -> None:
    found = cooked(tmp_path, "jetty supper; rm x.txt", "Supper\nServes 2\n\n80 g zorblax paste\n")
    assert "nutrilab lines 'jetty supper; rm x.txt' --ask" in settle_first(found)[0].do


def test_advice_about_a_pack_names_one_place_to_write_it(tmp_path: Path) -> None:
    """A line's own words go into the line, the figures of a pack into the file of own products."""
    found = of(tmp_path, "250 g flour", "250 g butter")
    which = next(one for one in found if one.what.startswith("Which butter"))
    assert which.do == "Write the exact name of the butter, as on its pack, into its line."
    for result in demos():
        assert not any(one.do.count("products.yaml") > 1 for one in settle_first(result))


@pytest.mark.parametrize(
    ("lines", "begins", "asks"),
    [
        (("250 g flour", "250 g butter"), "Which butter", "food"),
        (("500 ml vegetable stock", "200 g leeks"), "Which vegetable stock", "pack"),
        (("3 big handfuls of walnuts", "100 g leeks"), '"3 big handfuls of walnuts"', "weight"),
        (("1 stock cube", "500 g leeks"), "Only the pack tells", "pack"),
    ],
)
def test_what_each_thing_asks_for(tmp_path: Path, lines: tuple[str, ...], begins: str, asks: str) -> None:
    found = [one for one in of(tmp_path, *lines) if one.what.startswith(begins)]
    assert [one.of for one in found] == [asks], of(tmp_path, *lines)


def test_a_line_that_lists_more_foods_leaves_the_dish_incomplete_and_comes_first(tmp_path: Path) -> None:
    found = dish(tmp_path, "Cakes", "200 g butter, sugar, flour, eggs", "1 tsp baking powder")
    assert not found.complete
    assert found.not_counted == ("200 g butter, sugar, flour, eggs",)
    assert "not counted: sugar, flour and eggs" in settle_first(found)[0].what
