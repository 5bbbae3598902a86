"""The Python door: the page of the docs as it runs, the same answers as the command line, errors in their places."""

from __future__ import annotations

import doctest
import importlib
import json
import os
import pkgutil
import subprocess
import sys
import zipfile
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

import data_loaders
import nutrilab as nl
from nutrilab import store
from nutrilab.cli import main

ROOT = Path(__file__).parents[1]
PIE = ROOT / "demo_recipes" / "harbour-fish-pie.yaml"
PACKS = '- name: Harbour relish\n  ingredients: "vinegar, MUSTARD seed, onion"\n  per: 100 g\n  salt: 2 g\n  fat: 1 g\n'


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A cook's folder: a decision, a pack, two dishes."""
    monkeypatch.setenv("NUTRILAB_TABLES", str(tmp_path / "tables"))
    place = tmp_path / "supper"
    place.mkdir()
    (place / "products.yaml").write_text(PACKS, encoding="utf-8")
    (place / "decisions.yaml").write_text("skipper's butter: sr:01145\n", encoding="utf-8")
    (place / "toast.txt").write_text("Toast\nServes 2\n2 tbsp harbour relish\n100 g bread\n20 g skipper's butter\n")
    (place / "soup.yaml").write_text("dish: Soup\nportions: 4\ningredients:\n  - 4 leeks\n  - 1 l water\n")
    return place


def told(*arguments: object) -> object:
    ran = CliRunner().invoke(main, [str(word) for word in arguments])
    assert ran.exit_code == 0, ran.output
    return json.loads(ran.stdout)


# -- the page --------------------------------------------------------------------------------------


def test_the_page_of_the_docs_runs_as_it_stands(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.chdir(ROOT)
    monkeypatch.setenv("NUTRILAB_TABLES", str(tmp_path / "none"))
    ran = doctest.testfile(str(ROOT / "docs" / "from-python.md"), module_relative=False, optionflags=doctest.ELLIPSIS)
    assert ran.attempted > 25
    assert ran.failed == 0


def test_five_lines_as_the_contract_has_them(folder: Path) -> None:
    kitchen = nl.open_kitchen(f"{folder}/")
    dish = kitchen.dish(nl.read_recipe(str(folder / "toast.txt")))
    assert dish.per_portion["salt"] == pytest.approx(dish.to_dict()["per_portion"]["salt"])
    assert {"mustard", "gluten", "milk"} <= set(dish.allergens.contains)
    assert kitchen.line("2 leeks").grams == kitchen.line("2 leeks").to_dict()["grams"]
    assert [one.recipe.dish for one in kitchen.dishes(kitchen.recipes())] == ["Soup", "Toast"]


# -- the same as the command line ------------------------------------------------------------------


@pytest.mark.parametrize("name", ["toast.txt", "soup.yaml"])
def test_a_dish_is_that_of_the_command_line(folder: Path, name: str) -> None:
    printed = told("analyse", folder / name, "--format", "json")
    assert isinstance(printed, dict)
    printed.pop("made_by")
    assert json.loads(json.dumps(nl.open_kitchen(folder).dish(folder / name).to_dict())) == printed


def test_a_line_is_that_of_the_command_line(folder: Path) -> None:
    (folder / "list").write_text("2 tbsp skipper's butter\n")
    assert (
        told("lines", folder / "list", "--format", "jsonl")
        == nl.open_kitchen(folder).line("2 tbsp skipper's butter").to_dict()
    )


def test_portions_and_tables_are_those_asked_for(folder: Path) -> None:
    kitchen = nl.open_kitchen(folder)
    four, eight = kitchen.dish(folder / "soup.yaml"), kitchen.dish(folder / "soup.yaml", portions=8)
    salt, half = four.per_portion["salt"], eight.per_portion["salt"]
    assert salt is not None
    assert half == pytest.approx(salt / 2)
    with pytest.raises(nl.NutrilabError, match="there is no such food table"):
        nl.open_kitchen(folder, tables="of-the-moon")
    (folder / "kitchen.yaml").write_text("tables: [of-the-moon]\n")
    with pytest.raises(nl.NutrilabError, match=r"kitchen.yaml: there is no food table"):
        nl.open_kitchen(folder)
    assert nl.open_kitchen(folder, tables=["usda-sr"]).line("1 leek").sureness == "sure"


def test_without_a_folder_only_the_embedded_table_counts(folder: Path) -> None:
    """But for packs that a recipe names itself: they are part of it."""
    kitchen = nl.open_kitchen(None)
    plain = kitchen.dish(nl.read_recipe(folder / "toast.txt"))
    assert not any("pack of" in said for found in plain.allergens.contains.values() for said in found)
    assert kitchen.line("20 g skipper's butter").foods[0].link.why != "your decision"
    text = "dish: Toast\nportions: 2\nproducts: products.yaml\ningredients: [2 tbsp harbour relish]\n"
    (folder / "named.yaml").write_text(text)
    assert "mustard" in kitchen.dish(folder / "named.yaml").allergens.contains
    with pytest.raises(nl.NutrilabError, match="no folder was opened"):
        kitchen.recipes()


def test_packs_of_the_folder_count_for_a_recipe_of_another(folder: Path, tmp_path: Path) -> None:
    (tmp_path / "guest.txt").write_text("Guest toast\nServes 1\n2 tbsp harbour relish\n")
    assert "mustard" in nl.open_kitchen(folder).dish(tmp_path / "guest.txt").allergens.contains


# -- errors ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("bad", ["no-such.yaml", "broken.yaml", ".", "", "a\0b", 5, None])
def test_a_bad_one_yields_its_error_in_its_place_or_raises(folder: Path, bad: object) -> None:
    (folder / "broken.yaml").write_text("dish: [\n")
    place = folder / bad if isinstance(bad, str) else bad
    kitchen = nl.open_kitchen(folder)
    asked = [folder / "soup.yaml", place, nl.read_recipe(folder / "toast.txt")]
    first, error, last = kitchen.dishes(asked, errors="keep")  # type: ignore[list-item]
    assert isinstance(first, nl.Dish)
    assert isinstance(error, nl.NutrilabError)
    assert isinstance(last, nl.Dish)
    with pytest.raises(nl.NutrilabError) as raised:
        kitchen.dishes(asked)  # type: ignore[arg-type]
    assert str(raised.value) == str(error)


def test_a_dish_without_portions_or_with_none_at_all_is_kept_as_an_error(folder: Path) -> None:
    (folder / "stew.txt").write_text("Stew\n500 g beef\n")
    (error,) = nl.open_kitchen(folder).dishes([folder / "stew.txt"], errors="keep")
    assert "portions" in str(error)
    for portions in (0, -1, float("nan"), float("inf")):
        with pytest.raises(nl.NutrilabError, match="portions"):
            nl.open_kitchen(folder).dish(folder / "soup.yaml", portions)


@pytest.mark.parametrize("place", ["missing", "supper/soup.yaml", "a\0b", 7])
def test_a_folder_that_is_none_is_refused(folder: Path, place: object) -> None:
    with pytest.raises(nl.NutrilabError):
        nl.open_kitchen(folder.parent / place if isinstance(place, str) else place)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("name", "text"), [("products.yaml", "- nom: x\n"), ("decisions.yaml", "- x\n"), ("kitchen.yaml", "tables: {}\n")]
)
def test_what_is_wrong_in_a_folder_shows_when_it_is_opened(folder: Path, name: str, text: str) -> None:
    (folder / name).write_text(text)
    with pytest.raises(nl.NutrilabError, match=name):
        nl.open_kitchen(folder)


def test_a_decision_for_a_food_that_is_not_there_is_refused(folder: Path) -> None:
    (folder / "decisions.yaml").write_text("harbour sauce: own:no-such\n")
    with pytest.raises(nl.NutrilabError, match=r"decisions.yaml, line 1"):
        nl.open_kitchen(folder)


def test_words_that_are_no_choice_are_refused(folder: Path) -> None:
    kitchen = nl.open_kitchen(folder)
    for call in (
        lambda: kitchen.dishes([], errors="ignore"),  # type: ignore[call-overload]
        lambda: kitchen.dishes(str(folder / "soup.yaml")),
        lambda: kitchen.dishes(nl.read_recipe(folder / "soup.yaml")),  # type: ignore[arg-type]
        lambda: kitchen.line("1 leek", cup="imperial"),
        lambda: kitchen.dishes(None),  # type: ignore[arg-type]
        lambda: kitchen.line(None),  # type: ignore[arg-type]
        lambda: kitchen.dish(folder / "soup.yaml", portions="six"),  # type: ignore[arg-type]
    ):
        with pytest.raises(nl.NutrilabError):
            call()


def test_every_error_of_the_packages_has_one_base() -> None:
    """But for those that never leave their room: page_file answers two of them with a sentence of its own."""
    found = set()
    for package in (nl, data_loaders):
        for module in pkgutil.walk_packages(package.__path__, f"{package.__name__}."):
            if not module.name.endswith("__main__"):
                inside = vars(importlib.import_module(module.name)).values()
                found |= {one for one in inside if isinstance(one, type) and issubclass(one, Exception)}
    ours = {one for one in found if one.__module__.startswith(("nutrilab", "data_loaders"))}
    assert {nl.InputError, nl.NutrilabError} < ours
    strangers = {one.__name__ for one in ours if not issubclass(one, nl.NutrilabError)}
    assert {name for name in strangers if not name.startswith("_")} <= {"TooDeepError", "TooMuchError"}


# -- what it looks like, and what importing costs --------------------------------------------------


def test_what_is_shown_of_a_value_is_short(folder: Path) -> None:
    name = "Deckhand " * 40
    (folder / "long.yaml").write_text(f"dish: {name}\nportions: 2\ningredients:\n  - 200 g leeks\n  - 1 grotzle\n")
    kitchen = nl.open_kitchen(folder)
    recipe = nl.read_recipe(folder / "long.yaml")
    dish, line = kitchen.dish(recipe), kitchen.line("200 g " + "leeks and " * 500)
    assert "not complete" in repr(dish)
    for value, word in ((recipe, "<recipe"), (dish, "<dish"), (line, "<line"), (kitchen, "<kitchen")):
        assert repr(value).startswith(word)
        assert len(repr(value)) < 400
    assert repr(kitchen).endswith("usda-sr; 1 decisions, 1 own products>")


def test_importing_loads_nothing_but_the_door() -> None:
    code = "import nutrilab, sys; print([m for m in sys.modules if m.startswith(('nutrilab.', 'click'))])"
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, env=os.environ)
    assert ran.stdout == "[]\n"
    assert set(nl.__all__) <= set(dir(nl))
    assert all(getattr(nl, name).__name__ == name for name in nl.__all__)
    with pytest.raises(AttributeError, match="no_such"):
        nl.no_such  # type: ignore[attr-defined]  # noqa: B018


def test_the_tables_folder_is_where_the_command_line_had_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("NUTRILAB_TABLES", raising=False)
    assert store.tables_folder() == Path(click.get_app_dir("nutrilab"))


def test_the_wheel_carries_the_mark_of_a_typed_package(tmp_path: Path) -> None:
    """And what the door reads: the data, and the templates."""
    builder = pytest.importorskip("hatchling.builders.wheel")
    (path,) = builder.WheelBuilder(str(ROOT)).build(directory=str(tmp_path), versions=["standard"])
    with zipfile.ZipFile(path) as wheel:
        names = set(wheel.namelist())
    assert {"nutrilab/py.typed", "data_loaders/py.typed", "nutrilab/data/energy_factors.csv"} <= names
