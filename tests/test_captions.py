"""Captions in three lengths: what may harm stands in each of them whole, and first what is not complete."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner

from nutrilab import open_kitchen
from nutrilab.allergens import ALLERGENS
from nutrilab.cli import LENGTHS, main
from nutrilab.kitchen import DishResult
from nutrilab.law.rounding import declared
from nutrilab.sheets import captions
from nutrilab.sheets.answer import answer
from nutrilab.sheets.captions import caption, texts, too_long
from tests.dishes import DEMOS, demos, dish

EVERYTHING = (
    "100 g plain flour", "100 g prawns", "2 eggs", "200 g cod", "50 g peanuts", "50 g tofu", "100 ml milk",
    "50 g walnuts", "2 celery sticks", "1 tsp English mustard", "1 tbsp sesame seeds", "100 ml white wine",
    "50 g lupin flour", "200 g mussels",
)  # fmt: skip
LINK = "https://supper.example/allergens"
CAUTION = ("cross-contact not covered", "check every pack", "local food law", "registered dietitian")


def everything(tmp_path: Path, *more: str, name: str = "Everything soup") -> DishResult:
    result = dish(tmp_path, name, *EVERYTHING, *more)
    assert set(result.allergens.contains) | set(result.allergens.check) == set(ALLERGENS)
    return result


def test_the_command_line_knows_the_lengths() -> None:
    assert tuple(captions.LENGTHS) == LENGTHS
    assert list(captions.LENGTHS.values()) == [300, 600, 2200]


@pytest.mark.parametrize("length", LENGTHS)
@pytest.mark.parametrize("result", demos(), ids=lambda result: result.recipe.dish)
def test_what_every_length_says_of_every_demo(result: DishResult, length: str) -> None:
    for text in texts(result, length):
        for key in ("energy_kcal", "salt"):
            assert declared(key, result.per_portion[key]) in text
        for allergen in result.allergens.contains:
            assert result.allergens.named(allergen) in text
        for allergen in (*result.allergens.check, *result.allergens.may):
            assert allergen in text
        for word in CAUTION:
            assert word in text.lower()
        assert "free from" not in text.lower()
        assert text.startswith("NOT COMPLETE: ") == (not result.complete)
    told = answer(result)
    assert told.contains.startswith("contains ") == bool(result.allergens.contains)


@pytest.mark.parametrize("length", LENGTHS)
def test_a_text_keeps_to_its_length_or_the_shortest_is_given_and_said(length: str, tmp_path: Path) -> None:
    most = captions.LENGTHS[length]
    hard = everything(tmp_path, "20 g edible glitter", name="Platter " * 30)
    for result in (*demos(), hard, replace(hard, link=LINK)):
        text, said = caption(result, length).removesuffix("\n"), too_long(result, length)
        if said is None:
            assert len(text) <= most
        else:
            assert len(text) > most
            assert text == min(texts(result), key=len)
            assert f"has {len(text)} characters, not {most}" in said
    assert (too_long(hard, length) is None) == (length != "short")


def test_each_length_is_the_fullest_that_fits(tmp_path: Path) -> None:
    squares = dish(tmp_path, "Slipway squares", "200 g plain flour", "100 g butter", "2 eggs")
    short, medium, long = (caption(squares, length).rstrip("\n") for length in LENGTHS)
    assert len(short) <= 300
    assert len(short) < len(medium) <= 600
    assert "\n" not in short
    assert medium.split("\n")[0] == squares.recipe.dish
    assert all(word in medium.lower() and word in long.lower() for word in CAUTION)
    for key, value in squares.per_portion.items():
        assert declared(key, value) in long
    assert "USDA SR28" in long
    assert medium == texts(squares, "medium")[0]
    assert texts(squares, "long")[1:] == texts(squares, "medium")


def test_a_link_of_the_kitchen_stands_in_each_length_that_has_room(tmp_path: Path) -> None:
    plain = dish(tmp_path, "Leeks in butter", "200 g leeks", "20 g butter")
    linked = replace(plain, link=LINK)
    for length in LENGTHS:
        assert LINK in caption(linked, length)
        assert "http" not in caption(plain, length)
        assert "More" not in caption(plain, length)
    hard = replace(everything(tmp_path), link=LINK)
    assert LINK not in caption(hard, "short")  # it goes before anything else does
    assert LINK in caption(hard, "medium")


def test_kitchen_yaml_sets_the_link(tmp_path: Path) -> None:
    (tmp_path / "kitchen.yaml").write_text(f"link: {LINK}\n")
    (tmp_path / "leeks.txt").write_text("Leeks\nServes 2\n\n200 g leeks\n20 g butter\n")
    ran = CliRunner().invoke(main, ["analyse", str(tmp_path / "leeks.txt"), "--format", "caption"])
    assert ran.stdout.rstrip().endswith(f"More: {LINK}")
    assert ran.stderr == ""


@pytest.mark.parametrize("length", LENGTHS)
def test_a_list_of_all_allergens_is_never_cut(length: str, tmp_path: Path) -> None:
    text = caption(everything(tmp_path), length)
    for allergen in ALLERGENS:
        assert allergen in text


def test_what_is_to_be_checked_is_kept_apart_from_what_is_contained(tmp_path: Path) -> None:
    result = dish(tmp_path, "Broth", "1 vegetable stock cube", "1 litre water")
    assert result.allergens.check
    for text in texts(result):
        contained, checked = re.split("check the pack (?:of vegetable stock cube )?for ", text.lower())
        for allergen in result.allergens.check:
            assert allergen in checked
            assert allergen not in contained


def test_the_packs_to_look_at_are_named_where_there_is_room(tmp_path: Path) -> None:
    few = dish(tmp_path, "Broth", "1 vegetable stock cube", "1 tbsp Dijon mustard", "1 litre water", "salt")
    for length in LENGTHS:
        assert "heck the pack of vegetable stock cube and Dijon mustard for " in caption(few, length)
    many = ("vegetable stock cube", "tbsp Dijon mustard", "tbsp soy sauce", "tbsp curry powder", "pork sausages")
    told = caption(dish(tmp_path, "Broth", *(f"2 {one}" for one in many)), "long")
    assert re.search("the pack of [^.]+, [^.]+ and [0-9] more for ", told)


def test_names_of_packs_give_way_where_a_caption_would_be_too_long(tmp_path: Path) -> None:
    found = dish(tmp_path, "Broth", "1 vegetable stock cube", "1 tbsp Dijon mustard", "1 litre water",
                 "100 g Cheddar", "200 g raw prawns", "1 tbsp soy sauce", "2 tbsp sesame seeds")  # fmt: skip
    assert len(texts(found)[-2]) <= captions.LENGTHS["short"]
    assert "heck the pack of " in caption(found, "long")
    short = caption(found, "short")
    assert len(short) <= captions.LENGTHS["short"] + 1
    assert all(allergen in short for allergen in (*found.allergens.contains, *found.allergens.check))


def test_no_pack_stands_for_what_another_thing_asks(tmp_path: Path) -> None:
    """Who looks for soya on the mustard finds none: a step names bread, and nobody knows which pack that is."""
    steps = ("", "Method", "1. Stir all together.", "2. Serve with bread on the side.")
    found = dish(tmp_path, "Broth", "1 tbsp Dijon mustard", "1 litre water", "200 g carrots", *steps)
    assert {"sulphites", "soya"} <= set(found.allergens.check)
    for text in texts(found):
        assert "pack of" not in text
        assert "heck the pack for " in text


def test_a_pack_is_named_though_its_line_is_doubtful(tmp_path: Path) -> None:
    found = dish(tmp_path, "Broth", "1 tbsp Dijon mustard", "1 litre water", "2 beef sausages")
    assert found.allergens.unresolved == ("2 beef sausages",)
    assert "heck the pack of beef sausages and Dijon mustard for " in caption(found, "long")


def test_no_pack_stands_for_sulphites_that_another_states(tmp_path: Path) -> None:
    packs = "- name: Quay perry\n  ingredients: pears\n  sulphites: 9\n"
    (tmp_path / "products.yaml").write_text(packs, encoding="utf-8")
    path = tmp_path / "broth.txt"
    path.write_text("Broth\nServes 4\n\n1 tbsp Dijon mustard\n1 litre water\n20 ml Quay perry\n", encoding="utf-8")
    found = open_kitchen(tmp_path).dish(path)
    assert "sulphites" in found.allergens.to_check
    assert "heck the pack for sulphites" in caption(found, "long")


def test_another_kind_of_what_is_contained_is_to_be_checked(tmp_path: Path) -> None:
    result = dish(tmp_path, "Pasties", "200 g plain flour", "4 sausages")
    assert "gluten" in result.allergens.also
    assert "gluten" not in result.allergens.check
    for text in texts(result):
        assert "other kinds of gluten" in text


def test_what_a_pack_may_contain_stands_in_each(tmp_path: Path) -> None:
    result = dish(tmp_path, "Snack", "100 g Slipway seed crackers")
    for text in texts(result):
        assert "Contains sesame." in text
        assert ("May contain, says the pack: milk, nuts." in text) != ("May contain milk, nuts." in text)


def test_what_is_contained_is_not_said_to_be_a_trace_as_well_but_for_another_nut(tmp_path: Path) -> None:
    result = dish(tmp_path, "Snack", "100 g Slipway seed crackers", "50 g butter", "20 g almonds")
    assert set(result.allergens.may) >= {"milk", "nuts"}
    for text in texts(result):
        assert "milk, nuts (almond)" in text
        assert ("May contain, says the pack: nuts." in text) != ("May contain nuts." in text)


def test_nothing_found_is_no_promise(tmp_path: Path) -> None:
    result = dish(tmp_path, "Leaves", "200 g lettuce")
    for text in texts(result):
        assert "Its words name no allergen, which is no promise that it has none." in text


def test_lines_that_were_not_understood_come_first_and_are_named_where_there_is_room(tmp_path: Path) -> None:
    result = dish(tmp_path, "Glitter leaves", "200 g lettuce", "20 g edible glitter", "1 gribbleworth", "cod")
    for text in texts(result):
        assert text.startswith("NOT COMPLETE: 2 lines of the recipe not understood, allergens may be missing; ")
        assert "one line not counted, figures too low." in text
        assert "at least" in text
    long = caption(result, "long").split("\n")
    assert long[1] == 'Not understood: "20 g edible glitter", "1 gribbleworth".'
    assert long[2] == 'Not counted: "cod".'


def test_energy_in_two_units_is_one_claim(tmp_path: Path) -> None:
    """ "539 kcal (at least 2259 kJ)" made two: rounding hides in one unit what the other shows."""
    for result in (*demos(), dish(tmp_path, "Leaves", "2 kg lettuce", "20 g edible glitter")):
        (line,) = [line for line in caption(result, "long").split("\n") if " kJ)" in line]
        assert "least" not in line.split("(")[1].split(")")[0]


def test_figures_that_are_not_known_are_never_zero(tmp_path: Path) -> None:
    result = dish(tmp_path, "Glitter", "20 g edible glitter")
    for text in texts(result)[1:]:
        assert "A portion: energy not known, salt not known." in text
    assert "Energy not known.\nFat not known, saturates not known" in texts(result)[0]


def test_names_and_lines_that_are_too_long_or_active_stay_one_line(tmp_path: Path) -> None:
    result = dish(tmp_path, "Pie\u202e\x1b[31m " + "very " * 2000, "1 egg", "20 g " + "glitter " * 1000)
    for length in LENGTHS:
        text = caption(result, length)
        assert len(text) < 1000
        assert not {"\u202e", "\x1b"} & set(text)
        assert "Contains eggs." in text
    assert caption(result, "long").count("\n") == 8


class TestCommand:
    def run(self, *arguments: str) -> tuple[int, str, str]:
        ran = CliRunner().invoke(main, ["analyse", str(DEMOS[1]), *arguments])
        return ran.exit_code, ran.stdout, ran.stderr

    def test_medium_is_what_is_given_unasked(self) -> None:
        asked = self.run("--format", "caption", "--length", "medium")
        assert self.run("--format", "caption") == asked
        assert asked == (0, caption(demos()[1], "medium"), "")

    def test_what_does_not_fit_is_given_whole_and_said_beside_it(self, tmp_path: Path) -> None:
        path = tmp_path / "soup.txt"
        path.write_text("\n".join(["Soup", "Serves 4", "", *EVERYTHING]))
        ran = CliRunner().invoke(main, ["analyse", str(path), "--format", "caption", "--length", "short"])
        assert ran.exit_code == 0
        assert all(allergen in ran.stdout for allergen in ALLERGENS)
        assert ran.stderr.startswith("Soup: the shortest complete caption has ")
        assert len(ran.stderr.splitlines()) == 1

    @pytest.mark.parametrize("form", ["text", "json", "html", "label", "jsonld", "still", "csv", "pdf"])
    def test_a_length_of_anything_else_is_refused(self, form: str) -> None:
        code, out, err = self.run("--format", form, "--length", "short")
        assert (code, out) == (2, "")
        assert (
            err == "--length says how a caption is made, and this makes none; leave it out, or say --format caption\n"
        )

    def test_figures_that_hardly_can_be_are_told_to_the_cook_before_they_are_published(self, tmp_path: Path) -> None:
        path = tmp_path / "soup.txt"
        path.write_text("Soup\nServes 2\n\n200 g leeks\n5 kg salt\n")
        for form in ("caption", "still"):
            ran = CliRunner().invoke(main, ["analyse", str(path), "--format", form])
            assert ran.exit_code == 0
            assert "Soup: before you publish this: " in ran.stderr
            assert "5 kg salt" in ran.stderr


def test_a_nut_that_nobody_names_hides_behind_no_other(tmp_path: Path) -> None:
    """Annex II, 8 names each nut: a guest who may eat almonds must see that there are others."""
    from nutrilab.sheets import chart_page, csv_dishes, still, terminal
    from nutrilab.sheets.page import sheet

    result = dish(tmp_path, "Nut bar", "100 g mixed nuts", "30 g almonds")
    words = "nuts (almond and a kind not known)"
    shown = (
        *(caption(result, length) for length in LENGTHS),
        csv_dishes.as_csv([result]),
        " ".join(terminal.dish(result).split()),
        " ".join(line.text for line in still.still(result).lines),
    )
    for text in shown:
        assert words in text
    for page in (sheet(result), chart_page.chart_page([result])):
        assert "almond and a kind not known" in page
