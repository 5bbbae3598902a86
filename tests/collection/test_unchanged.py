"""What is done again: exactly the dishes that a change can touch, whatever file it is in, with its allergens."""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

import nutrilab
from nutrilab.allergens import cautions
from nutrilab.collection import marking, processes, rows
from nutrilab.collection.working import Job, Part
from nutrilab.products import import_products
from tests.collection.supper import dishes, in_this_process, recipe, run
from tests.collection.supper import here as here

pytestmark = pytest.mark.usefixtures("here")
MILK, PEANUTS = "butter (**milk**), salt", "**peanuts**, salt"


def pack(name: str, ingredients: str) -> str:
    figures = "energy kcal: 400\n  fat: 30 g\n  carbohydrate: 20 g\n  protein: 5 g\n  salt: 1.5 g\n"
    return f"- name: {name}\n  per: 100 g\n  {figures}  ingredients: '{ingredients}'\n"


def pack_csv(name: str, ingredients: str) -> str:
    head = "name,per,energy kcal,fat,carbohydrate,protein,salt,ingredients"
    return f'{head}\n{name},100 g,400,30,20,5,1.5,"{ingredients}"\n'


def dish(name: str, *lines: str, products: str = "") -> str:
    named = f"products: {products}\n" if products else ""
    return f"dish: {name}\nportions: 2\n{named}ingredients:\n" + "".join(f"  - {line}\n" for line in lines)


FILES = {
    "plain.yaml": dish("Plain", "100 g leeks"),
    "toast.yaml": dish("Toast", "20 g Slipway spread", products="packs/spread.yaml"),
    "packs/spread.yaml": pack("Slipway spread", MILK),
    "cake.yaml": dish("Cake", "20 g Jetty cream", products="packs.csv"),
    "packs.csv": pack_csv("Jetty cream", MILK),
    "pie.yaml": dish("Pie", "all of Sauce from parts/sauce.yaml", "200 g leeks"),
    "parts/sauce.yaml": dish("Sauce", "30 g butter", "20 g Quay paste"),
    "stew.yaml": dish("Stew", "all of Stock from .kept/stock.yaml", "200 g leeks"),
    ".kept/stock.yaml": dish("Stock", "30 g butter"),
    "club/roll.yaml": dish("Roll", "20 g Harbour relish"),
    "club/products.yaml": pack("Harbour relish", MILK),
    "club/decisions.yaml": "gribbles: none\n",
    "said/row.jsonl": json.dumps(recipe("Row", "20 g Ebb paste")) + "\n",
    "said/products.yaml": pack("Ebb paste", MILK),
}


def write(folder: Path, files: dict[str, str]) -> None:
    for name, text in files.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(text, encoding="utf-8")


@pytest.fixture(scope="module")
def first(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The recipes and their results."""
    top = tmp_path_factory.mktemp("unchanged")
    write(top / "recipes", FILES)
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(processes, "run", in_this_process)
        ran = run(top / "recipes", "-o", top / "out")
    assert ran.exit_code == 0, ran.stderr
    return top


@pytest.fixture
def place(first: Path, tmp_path: Path) -> Path:
    """The same for one test."""
    return Path(shutil.copytree(first, tmp_path / "place"))


@pytest.fixture
def done(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The dishes that are done from now on; a list of packs by a recipe's name is looked at each time."""
    found: list[str] = []

    def noted(jobs: Iterator[Job], tables: str | None, workers: int) -> Iterator[Part]:
        def each() -> Iterator[Job]:
            for job in jobs:
                found.extend(entry.file for entry in job.entries if entry.file != "packs/spread.yaml")
                yield job

        return in_this_process(each(), tables, workers)

    monkeypatch.setattr(processes, "run", noted)
    return found


@pytest.mark.parametrize(
    ("changed", "again"),
    [
        ({"packs/spread.yaml": pack("Slipway spread", PEANUTS)}, "toast.yaml"),
        ({"packs.csv": pack_csv("Jetty cream", PEANUTS)}, "cake.yaml"),
        ({".kept/stock.yaml": dish("Stock", "30 g peanuts")}, "stew.yaml"),
        ({"parts/sauce.yaml": dish("Sauce", "30 g peanuts")}, "parts/sauce.yaml pie.yaml"),
        ({"parts/products.yaml": pack("Quay paste", PEANUTS)}, "parts/sauce.yaml pie.yaml"),
        ({".kept/products.yaml": pack("Butter", PEANUTS)}, "stew.yaml"),
        ({"club/products.yaml": pack("Harbour relish", PEANUTS)}, "club/roll.yaml"),
    ],
)
def test_an_allergen_that_a_file_brings_is_told(
    place: Path, done: list[str], changed: dict[str, str], again: str
) -> None:
    before = dishes(place / "out")
    write(place / "recipes", changed)
    assert run(place / "recipes", "-o", place / "out").exit_code == 0
    assert done == again.split()
    for file, row in dishes(place / "out").items():
        assert row["peanuts"] == ("contains" if file in done else ""), file
        assert file in done or row == before[file]
    del done[:]
    assert "computed in this run: 0" in run(place / "recipes", "-o", place / "out").stderr
    assert done == []


CLUB, ROW = "club/roll.yaml", "said/row.jsonl#1"
OTHERS = {"cake.yaml", "parts/sauce.yaml", "pie.yaml", "plain.yaml", ROW, "stew.yaml", "toast.yaml"}
LINK = "link: https://supper.example/allergens\n"


def another_program(monkeypatch: pytest.MonkeyPatch, folder: Path) -> None:
    monkeypatch.setattr(marking, "program", lambda: "another")


def another_version(monkeypatch: pytest.MonkeyPatch, folder: Path) -> None:
    monkeypatch.setattr(nutrilab, "__version__", "0.0.another")


def imported_packs(monkeypatch: pytest.MonkeyPatch, folder: Path) -> None:
    monkeypatch.setenv("NUTRILAB_TABLES", str(folder))
    write(folder, {"packs.yaml": pack("Village curd", MILK)})
    import_products(folder / "packs.yaml", folder)


def settings_of_the_machine(monkeypatch: pytest.MonkeyPatch, folder: Path) -> None:
    monkeypatch.setenv("NUTRILAB_TABLES", str(folder))
    write(folder, {"kitchen.yaml": LINK})


@pytest.mark.parametrize(
    ("change", "again", "why"),
    [
        (another_program, {CLUB, *OTHERS}, "nutrilab changed"),
        (another_version, {CLUB, *OTHERS}, "nutrilab changed"),
        (imported_packs, {CLUB, *OTHERS}, "food tables changed"),
        (settings_of_the_machine, {CLUB, *OTHERS}, "the settings of the kitchen changed"),
        ({"kitchen.yaml": LINK}, OTHERS, "the settings of the kitchen changed"),
        ({"club/decisions.yaml": "gribbles: 20 g\n"}, {CLUB}, "decisions changed"),
        ({"club/products.yaml": pack("Harbour relish", PEANUTS)}, {CLUB}, "own products changed"),
        ({"said/products.yaml": pack("Ebb paste", PEANUTS)}, {ROW}, "own products changed"),
        ({"products.yaml": pack("Village curd", MILK)}, OTHERS, "own products changed"),
        ({"packs/spread.yaml": pack("Slipway spread", PEANUTS)}, {"toast.yaml"}, "own products changed"),
        ({"packs.csv": pack_csv("Jetty cream", PEANUTS)}, {"cake.yaml"}, "own products changed"),
        ({"parts/products.yaml": pack("Quay", MILK)}, {"parts/sauce.yaml", "pie.yaml"}, "own products changed"),
        ({"parts/sauce.yaml": dish("Sauce", "9 g butter")}, {"parts/sauce.yaml", "pie.yaml"}, "its recipe changed"),
        ({".kept/stock.yaml": dish("Stock", "9 g butter")}, {"stew.yaml"}, "its recipe changed"),
        ({"plain.yaml": dish("Plain", "9 g leeks")}, {"plain.yaml"}, "its recipe changed"),
    ],
)
def test_what_a_change_touches_is_done_again_and_told_with_its_reason(
    place: Path, done: list[str], monkeypatch: pytest.MonkeyPatch, change: Any, again: set[str], why: str
) -> None:
    def salted(result: Any) -> dict[str, Any]:
        """Figures of a dish that is done again: they moved."""
        found = values(result)
        return {**found, "salt": (found["salt"] or 0.0) + 1.0}

    values = rows.dish_values
    monkeypatch.setattr(rows, "dish_values", salted)
    if callable(change):
        change(monkeypatch, place / "tables")
    else:
        write(place / "recipes", change)
    ran = run(place / "recipes", "-o", place / "out", "--changed")
    assert ran.exit_code == 0, ran.stderr
    assert set(done) == again
    told = [line for line in ran.stdout.splitlines() if line not in cautions()]
    assert {line.split(": ")[0] for line in told} == again
    assert {line.rpartition(", because ")[2].rstrip(".") for line in told} == {why}


def test_a_recipe_on_its_own_is_looked_over_with_all_it_is_made_of(place: Path, done: list[str]) -> None:
    alone = place / "recipes" / "cake.yaml"
    assert run(alone, "-o", place / "alone").exit_code == 0
    write(place / "recipes", {"packs.csv": pack_csv("Jetty cream", PEANUTS)})
    run(alone, "-o", place / "alone")
    assert dishes(place / "alone")["cake.yaml"]["peanuts"] == "contains"
    assert done == ["cake.yaml"] * 2
    run(alone, "-o", place / "alone")
    assert done == ["cake.yaml"] * 2


def test_a_line_of_many_has_the_packs_beside_its_file(place: Path, done: list[str]) -> None:
    row = dishes(place / "out")["said/row.jsonl#1"]
    assert row["milk"] == "contains"
    assert row["complete"] is True
    write(place / "recipes", {"said/products.yaml": pack("Ebb paste", PEANUTS)})
    run(place / "recipes", "-o", place / "out")
    assert done == ["said/row.jsonl#1"]
    assert dishes(place / "out")["said/row.jsonl#1"]["peanuts"] == "contains"


@pytest.mark.parametrize(
    ("file", "late"),
    [("tart.yaml", "late.csv"), ("flan.yaml", ".kept/late.yaml")],
)
def test_what_a_dish_lacked_is_looked_for_again(place: Path, done: list[str], file: str, late: str) -> None:
    tart = {"tart.yaml": dish("Tart", "20 g Ebb curd", products=late)}
    flan = {"flan.yaml": dish("Flan", f"all of Curd from {late}")}
    write(place / "recipes", {file: (tart | flan)[file]})
    for source in (place / "recipes", place / "recipes" / file):
        (place / "recipes" / late).unlink(missing_ok=True)
        out = place / f"out-{source.name}"
        assert run(source, "-o", out).exit_code == (1 if source.is_dir() else 2)
        assert not out.exists() or file not in dishes(out)
        there = pack_csv("Ebb curd", PEANUTS) if late.endswith("csv") else dish("Curd", "20 g peanuts")
        write(place / "recipes", {late: there})
        assert run(source, "-o", out).exit_code == 0
        assert dishes(out)[file]["peanuts"] == "contains"
