"""A draft reads back as the recipe it was made from, to the last digit, whatever its lines hold."""

from __future__ import annotations

import json
from dataclasses import fields, replace
from functools import cache
from pathlib import Path
from typing import Any

import jsonschema
import pytest
import yaml
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st

from nutrilab import draft as drafting
from nutrilab.cli import main
from nutrilab.datafiles import FOLDER
from nutrilab.foods import embedded
from nutrilab.kitchen import Kitchen
from nutrilab.measures import PORTIONS
from nutrilab.recipe import Cooking, InputError, Line, Method, Recipe, Stage, read_recipe, writing, yaml_file
from nutrilab.results import DishResult
from tests.method_recipes import SUPPERS

ROOT = Path(__file__).parents[1]
SCHEMA = json.loads((FOLDER / "recipe.schema.json").read_text(encoding="utf-8"))
# Odd recipes as cooks type them, divided by a line of four signs.
ODD = (ROOT / "tests" / "odd_recipes.txt").read_text(encoding="utf-8").rstrip("\n").split("\n====\n")
FUZZ = ROOT / "tests" / "fuzz" / "corpus"
CORPUS = sorted(p for of in ("recipes", "pages") for p in (FUZZ / of).iterdir() if p.suffix not in (".yaml", ".yml"))
DEMOS = sorted(p for p in (ROOT / "demo_recipes").iterdir() if p.suffix in (".txt", ".html", ".json"))


@cache
def kitchen() -> Kitchen:
    return Kitchen([embedded()], alternatives=False)


def count(recipe: Recipe) -> float | None:
    return None if recipe.portions or recipe.portion_weight else PORTIONS


def drafted(path: Path) -> tuple[DishResult, DishResult, str]:
    """A recipe cooked, its draft cooked, and the draft."""
    recipe = read_recipe(path)
    first = kitchen().dish(recipe, count(recipe))
    text = drafting.draft(first, recipe, path.name)
    to = path.with_name("draft of it.yaml")
    to.write_text(text, encoding="utf-8")
    return first, kitchen().dish(read_recipe(to), count(recipe)), text


def same(folder: Path, text: str | bytes, name: str) -> str:
    """Cook a recipe and its draft, and hold them against each other; returns the draft."""
    path = folder / name
    path.write_bytes(text.encode() if isinstance(text, str) else text)
    first, second, written = drafted(path)
    assert second.per_portion == first.per_portion
    assert second.per_100g == first.per_100g
    assert second.whole.per_portion_range == first.whole.per_portion_range
    assert second.cooked_mass == first.cooked_mass
    assert second.portions == first.portions
    for of in ("contains", "check", "may"):
        assert set(getattr(second.allergens, of)) == set(getattr(first.allergens, of))
    assert set(second.allergens.unresolved) == set(first.allergens.unresolved)
    jsonschema.validate(yaml.safe_load(written), SCHEMA)
    return written


def page(text: str, script: bool = True) -> str:
    """A text recipe as a saved page, or as its data alone."""
    dish, *rest = text.strip().splitlines()
    at = rest.index("Method") if "Method" in rest else len(rest)
    data = {
        "@context": "https://schema.org", "@type": "Recipe", "name": dish, "recipeYield": rest[0],
        "recipeIngredient": rest[1:at],
        "recipeInstructions": [{"@type": "HowToStep", "text": line} for line in rest[at + 1 :]],
    }  # fmt: skip
    found = json.dumps(data).replace("<", "\\u003c")
    return f'<html><script type="application/ld+json">{found}</script></html>' if script else found


@pytest.mark.parametrize("text", [s.text for s in SUPPERS], ids=[s.name for s in SUPPERS])
def test_a_supper_and_its_draft_are_one(tmp_path: Path, text: str) -> None:
    assert "read from method: true" in same(tmp_path, text.strip(), "supper.txt")


@pytest.mark.parametrize("text", [s.text for s in SUPPERS], ids=[s.name for s in SUPPERS])
def test_a_page_and_its_draft_are_one(tmp_path: Path, text: str) -> None:
    same(tmp_path, page(text), "supper.html")
    same(tmp_path, page(text, script=False), "supper.json")


@pytest.mark.parametrize("text", ODD, ids=[text.splitlines()[0] for text in ODD])
def test_an_odd_recipe_and_its_draft_are_one(tmp_path: Path, text: str) -> None:
    same(tmp_path, text, "odd.txt")
    same(tmp_path, page(text), "odd.html")


def test_there_are_thirty_odd_ones() -> None:
    assert len(ODD) >= 30


@pytest.mark.parametrize("path", [*CORPUS, *DEMOS], ids=lambda p: p.name)
def test_what_can_be_read_at_all_and_its_draft_are_one(tmp_path: Path, path: Path) -> None:
    try:
        read_recipe(path)
    except InputError:
        return  # refused with a sentence: no draft of it
    same(tmp_path, path.read_bytes(), path.name)


# --- what a draft says ------------------------------------------------------------------------------------------------


def test_the_lines_stand_word_for_word_and_guesses_say_why(tmp_path: Path) -> None:
    text = same(
        tmp_path,
        "Dock stew\nServes 4\n1 kg braising steak\na knob of butter\n500 ml red wine\nMethod\n"
        "Fry the steak in the butter. Add the wine and reduce by half. Cover and simmer for 2 hours. "
        "Fribble it well over.",
        "dock.txt",
    )
    assert "- a knob of butter" in text
    assert "  # guessed: 15 g of butter, what cooks usually take" in text
    assert 'boiled off: 248.5 g  # guessed: "reduce by half"' in text
    assert "minutes: 120  # guessed:" in text
    assert '# not understood in the method: "Fribble it well over."' in text
    assert "  - Fry the steak in the butter." in text


def test_what_only_looks_like_a_part_of_a_stage_stays_an_ingredient(tmp_path: Path) -> None:
    text = page("Rest\nServes 2\nthe rest of the sugar\nall of the icing\n200 g flour\nMethod\nBake for 20 minutes.")
    written = same(tmp_path, text, "rest.html")
    assert "- as written: the rest of the sugar" in written
    assert "- as written: all of the icing" in written


def test_only_water_that_no_line_has_is_said_to_be_of_the_method(tmp_path: Path) -> None:
    text = "Lentils\nServes 2\n200 g red lentils\n1 onion\nMethod\nSimmer the lentils in 600 ml water for 20 minutes."
    for name, of in (("a.txt", text), ("a.html", page(text)), ("a.json", page(text, script=False))):
        marked = [line for line in same(tmp_path, of, name).splitlines() if "only the method names it" in line]
        assert [line.strip().partition("  #")[0] for line in marked] == ["- 600 ml water"]


def test_a_draft_without_portions_says_where_to_write_them(tmp_path: Path) -> None:
    assert "# portions: 4  # nowhere said" in same(tmp_path, "Soup\n1 leek\n500 ml water", "soup.txt")


@pytest.mark.parametrize("one", fields(Cooking), ids=lambda one: one.name)
def test_every_fact_of_a_cooking_can_be_said_in_a_recipe_file(one: Any) -> None:
    values: dict[str, Any] = {
        "method": Method.BRAISED, "boiled_off": (100.5, 80.0, 1.25e2), "marinade": ("2 tbsp honey",), "line": 3,
        "coating": ("2 tbsp honey",), "thrown": ("1 kg beef",),
        "loss": 0.12, "salted_water": 8.4, "minutes": 12.345,
    }  # fmt: skip
    value = values.get(one.name, True if one.type == "bool" or one.name == "covered" else 1234.5 / 7)
    cooking = replace(Cooking(), **{one.name: value})
    read = reread(Recipe("Stew", (Stage("Stew", (Line("2 tbsp honey"), Line("1 kg beef")), cooking),), 4.0))
    if one.name != "line":  # where it stood in the file it came from
        assert getattr(read.stages[0].cooking, one.name) == value


def reread(recipe: Recipe) -> Recipe:
    """A recipe through its draft."""
    return yaml_file.read(drafting.draft(kitchen_without_stove(recipe), recipe, "stew.txt"), "stew.yaml")


def kitchen_without_stove(recipe: Recipe) -> DishResult:
    """The result of a plain recipe, with these stages whatever they would do on the stove."""
    plain = replace(recipe, stages=tuple(replace(stage, cooking=None) for stage in recipe.stages))
    result = kitchen().dish(plain)
    cooked = tuple(replace(c, stage=s) for c, s in zip(result.stages, recipe.stages, strict=True))
    return replace(result, recipe=recipe, stages=cooked)


@settings(max_examples=300, deadline=None)
@given(st.text(max_size=60))
def test_any_text_reads_back_as_it_is(text: str) -> None:
    text = text.encode("utf-8", "ignore").decode()
    node = yaml_file.document(f"- {writing.scalar(text)}\n", "x.yaml")
    assert node is not None
    assert node.value[0].value == text


LINES = st.text(
    st.characters(codec="utf-8", exclude_characters="\n\r\x00") | st.sampled_from(list(":#-\"'\t{}[]&*!|>%@`?, ")),
    min_size=1, max_size=40,
).filter(lambda text: bool(text.strip()) and len(text.splitlines()) == 1)  # fmt: skip


@settings(max_examples=60, deadline=None)
@given(LINES, st.lists(LINES, min_size=1, max_size=4), st.lists(LINES, max_size=2), st.floats(1e-2, 1e5))
def test_any_recipe_reads_back(dish: str, lines: list[str], steps: list[str], portions: float) -> None:
    entries = tuple(Line(line.strip()) for line in lines)
    method = tuple(Line(step.strip()) for step in steps)
    recipe = Recipe(dish.strip(), (Stage(dish.strip(), entries),), round(portions, 4), method=method)
    read = reread(recipe)
    assert read.dish == recipe.dish
    assert read.portions == recipe.portions
    assert [line.text for line in read.method] == [line.text for line in method]
    assert [entry.text for entry in read.stages[0].entries] == [entry.text for entry in entries]


@settings(max_examples=300, deadline=None)
@given(st.floats(1e-6, 1e7))
def test_any_number_reads_back_as_it_is(value: float) -> None:
    from nutrilab.recipe import amounts

    assert amounts.grams(f"{writing.number(value)} g") == value


# --- keys of a recipe file --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("cooking", "words"),
    [
        ("{method: simmered, boiled off at least: 20 g}", "stands without"),
        ("{method: simmered, boiled off: 20 g, boiled off at least: 30 g}", "outside its own ends"),
        ("{method: baked, marinade left behind: [2 tbsp hony]}", "is no line of this stage"),
        ("{method: baked, marinade left behind: 2 tbsp honey}", "is a list"),
        ("{method: baked, read from method: perhaps}", "must be yes or no"),
    ],
)
def test_what_cannot_be_in_a_cooking_is_refused(tmp_path: Path, cooking: str, words: str) -> None:
    path = tmp_path / "dish.yaml"
    path.write_text(f"dish: Ham\nportions: 4\ningredients: [1 kg ham, 2 tbsp honey]\ncooking: {cooking}\n")
    with pytest.raises(InputError, match=words):
        read_recipe(path)


def test_a_recipe_file_may_hold_its_method_and_it_is_read(tmp_path: Path) -> None:
    path = tmp_path / "dish.yaml"
    path.write_text(
        "dish: Mash\nportions: 4\ningredients: [1 kg potatoes, 50 g butter]\n"
        "method as written: ['Roast the potatoes for 45 minutes, then mash with the butter.']\n"
    )
    result = kitchen().dish(read_recipe(path))
    assert result.method is not None
    assert result.cooked_mass < 900


# --- the command ------------------------------------------------------------------------------------------------------


def run(*args: object) -> Any:
    return CliRunner().invoke(main, ["draft", *map(str, args)])


def source(folder: Path) -> Path:
    path = folder / "soup.txt"
    path.write_text("Soup\nServes 4\n500 g leeks\n500 ml water\nMethod\nSimmer for 20 minutes.\n")
    return path


def test_a_draft_goes_to_the_screen_or_into_a_new_file(tmp_path: Path) -> None:
    shown = run(source(tmp_path))
    assert shown.exit_code == 0
    assert shown.stdout.startswith("# Drafted by nutrilab from soup.txt")
    written = run(source(tmp_path), "-o", tmp_path / "soup.yaml")
    assert written.exit_code == 0
    assert (tmp_path / "soup.yaml").read_text() == shown.stdout
    assert "nutrilab analyse" in written.stderr


def test_a_draft_is_never_written_over_a_file(tmp_path: Path) -> None:
    path = source(tmp_path)
    assert run(path, "-o", tmp_path / "soup.yaml").exit_code == 0
    before = (tmp_path / "soup.yaml").read_bytes()
    again = run(path, "-o", tmp_path / "soup.yaml")
    assert (again.exit_code, again.stdout) == (2, "")
    assert again.stderr.count("\n") == 1
    assert "is there already" in again.stderr
    assert (tmp_path / "soup.yaml").read_bytes() == before


@pytest.mark.parametrize(
    ("name", "words"),
    [("soup.txt", "end its name with .yaml"), (".", "this is a folder"), ("no/soup.yaml", "cannot be written")],
)
def test_a_place_no_draft_can_have_is_refused(tmp_path: Path, name: str, words: str) -> None:
    path = source(tmp_path)
    there = sorted(tmp_path.iterdir())
    found = run(path, "-o", tmp_path / name)
    assert (found.exit_code, found.stdout) == (2, "")
    assert words in found.stderr
    assert sorted(tmp_path.iterdir()) == there


def test_a_recipe_file_needs_no_draft(tmp_path: Path) -> None:
    path = tmp_path / "dish.yaml"
    path.write_text("dish: Mash\nportions: 4\ningredients: [1 kg potatoes]\n")
    found = run(path)
    assert (found.exit_code, found.stdout) == (2, "")
    assert "a recipe file already" in found.stderr


@pytest.mark.parametrize("name", ["missing.txt", "missing.srt", "missing.yaml"])
def test_what_is_not_there_is_said(tmp_path: Path, name: str) -> None:
    found = run(tmp_path / name)
    assert found.exit_code == 2
    assert "there is no such file" in found.stderr


def test_a_draft_that_takes_a_stage_of_a_file_lies_beside_it(tmp_path: Path) -> None:
    (tmp_path / "mash.txt").write_text("mash\nServes 2\n500 g potatoes\n")
    path = tmp_path / "pie.txt"
    path.write_text("Pie\nServes 2\nall of mash from mash.txt\n200 g cod\n")
    (tmp_path / "else").mkdir()
    found = run(path, "-o", tmp_path / "else" / "pie.yaml")
    assert found.exit_code == 2
    assert "into the folder of that file" in found.stderr
    assert run(path, "-o", tmp_path / "pie.yaml").exit_code == 0


def test_portions_that_nobody_wrote_may_be_said(tmp_path: Path) -> None:
    path = tmp_path / "soup.txt"
    path.write_text("Soup\n500 g leeks\n")
    assert "\nportions: 5\n" in run(path, "--portions", 5).stdout
