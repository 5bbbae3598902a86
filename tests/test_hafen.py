"""A made-up German table of thirty foods in a package of its own (tests/hafen/): followed from the page to a line."""

from __future__ import annotations

import csv
import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from data_loaders.schema import components

HERE = Path(__file__).parents[1]
PACKAGE = HERE / "tests" / "hafen"
LINES = "200 g Weizenmehl\n100 ml Apfelsaft\n100 ml Vollmilch\n50 g Haselnüsse\n2 EL Mehl\n300 g courgettes\n"


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The package where Python finds it as if pip had installed it, its table imported."""
    folder = tmp_path_factory.mktemp("hafen")
    for file in PACKAGE.iterdir():
        if file.is_file():
            shutil.copy(file, folder)
    info = folder / "hafen_tabelle-1.0.dist-info"
    info.mkdir()
    (info / "METADATA").write_text("Metadata-Version: 2.1\nName: hafen-tabelle\nVersion: 1.0\n")
    (info / "entry_points.txt").write_text("[nutrilab.food_tables]\nhafen = hafen_tabelle\n")
    (folder / "lines.txt").write_text(LINES, encoding="utf-8")
    return folder


def run(place: Path, *command: str) -> subprocess.CompletedProcess[str]:
    environment = os.environ | {"PYTHONPATH": f"{place}{os.pathsep}{HERE}", "NUTRILAB_TABLES": str(place / "tables")}
    return subprocess.run(
        [sys.executable, "-m", "nutrilab", *command],
        cwd=place, env=environment, capture_output=True, text=True, timeout=120, check=False,
    )  # fmt: skip


@pytest.fixture(scope="module")
def imported(place: Path) -> subprocess.CompletedProcess[str]:
    return run(place, "tables", "import", "hafen", "hafen-2026.csv")


def test_import_says_what_is_left_out_how_to_go_on_and_what_reaches_it(imported) -> None:
    assert imported.returncode == 0, imported.stderr
    assert imported.stderr.strip() == "hafen:29, Holundersirup: per 100 ml without a density, left out"
    assert "29 foods and 11 measures of Hafentabelle 2026" in imported.stdout
    assert "tables: [hafen, usda-sr] in kitchen.yaml" in imported.stdout
    assert "35 words of cooks reach its foods" in imported.stdout


def test_german_lines_are_linked_weighed_and_heard(place: Path, imported) -> None:
    done = run(place, "lines", "--tables", "hafen,usda-sr", "lines.txt", "--format", "jsonl")
    assert done.returncode == 0, done.stderr
    flour, juice, milk, nuts, _, courgettes = map(json.loads, done.stdout.splitlines())
    assert [one["food_id"] for one in (flour, juice, milk, nuts)] == ["hafen:1", "hafen:26", "hafen:8", "hafen:24"]
    assert {one["sureness"] for one in (flour, juice, milk)} == {"sure"}
    assert juice["grams"] == pytest.approx(105)  # the table's own density
    assert milk["grams"] == pytest.approx(103)
    for one, allergen in ((flour, "gluten"), (milk, "milk"), (nuts, "nuts")):
        assert allergen in {**one["allergens"]["contains"], **one["allergens"]["check"]}, one
    assert courgettes["food_id"].startswith("sr:")


def test_drinks_are_kept_by_weight(place: Path, imported) -> None:
    done = run(place, "tables", "compare", "hafen", "usda-sr", "Vollmilch")
    assert done.returncode == 0, done.stderr
    assert "hafen: Vollmilch (Milk, whole) (sure)" in done.stdout
    assert f"fat {3.7 / 1.03:.1f}" in done.stdout


def test_a_food_is_compared_as_an_ingredient_is_read(place: Path, imported) -> None:
    """With the percentage that is stated in brackets, and total carbohydrate named as such."""
    done = run(place, "tables", "compare", "hafen", "usda-sr", "beef mince (5 %)")
    assert "usda-sr: Beef, ground, 95% lean meat / 5% fat, raw (sure)" in done.stdout
    told = run(place, "tables", "compare", "usda-sr", "plain flour").stdout
    assert "carbohydrate 73.6" in told
    assert "total (with fibre) 76.3" in told


def test_the_page_lists_tagnames_that_stand_with_their_units() -> None:
    page = (HERE / "docs" / "adding-a-food-table.md").read_text(encoding="utf-8")
    rows = page.partition("### Which tagnames")[2].partition("All others")[0].splitlines()
    looked = 0
    for row in (line for line in rows if line.startswith("| ") and "`" in line):
        cells = [cell.strip() for cell in row.strip("|").split("|")]
        for group, unit in zip(cells[1].split(";"), cells[2].split(";") * 4, strict=False):
            for n, tagname in enumerate(part.strip(" `") for part in group.split(",")):
                units = [one.strip() for one in unit.split(",")]
                assert components()[tagname].unit == units[min(n, len(units) - 1)], tagname
                looked += 1
    assert looked > 20


def test_the_fixture_is_whole() -> None:
    with (PACKAGE / "hafen-2026.csv").open(encoding="utf-8", newline="") as file:
        assert len(list(csv.DictReader(file, delimiter=";"))) == 30
