"""docs/adding-a-food-table.md, block by block: the package it builds is installed, imported, linked to and tested."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from data_loaders.checking import check_foods, read_foods

HERE = Path(__file__).parents[1]
PAGE = (HERE / "docs" / "adding-a-food-table.md").read_text(encoding="utf-8")
BLOCK = re.compile(r"```(\w+)\n(.*?)```", re.DOTALL)
FILE = re.compile(r"`([\w-]+\.\w+)`")


def blocks() -> list[tuple[str, str, str]]:
    """Language, file and text of every block; a block belongs to the file named last before it in its language."""
    found: list[tuple[str, str, str]] = []
    endings = {"csv": ".csv", "python": ".py", "toml": ".toml", "text": ".txt", "sh": ""}
    for match in BLOCK.finditer(PAGE):
        language = match[1]
        named = [
            name for name in FILE.findall(BLOCK.sub("", PAGE[: match.start()])) if name.endswith(endings[language])
        ]
        found.append((language, named[-1] if endings[language] else "", match[2]))
    return found


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with every file of the page, where Python finds the package as if pip had installed it.

    pip is not asked, because it would want setuptools from the network; it would write the same two files.
    """
    folder = tmp_path_factory.mktemp("harbour")
    for language, name, text in blocks():
        if language != "sh":
            with (folder / name).open("a", encoding="utf-8") as file:
                file.write(text)
    project = tomllib.loads((folder / "pyproject.toml").read_text())["project"]
    info = folder / f"{project['name'].replace('-', '_')}-{project['version']}.dist-info"
    info.mkdir()
    (info / "METADATA").write_text(f"Metadata-Version: 2.1\nName: {project['name']}\nVersion: {project['version']}\n")
    lines = []
    for group, points in project["entry-points"].items():
        lines += [f"[{group}]", *(f"{name} = {value}" for name, value in points.items())]
    (info / "entry_points.txt").write_text("\n".join(lines) + "\n")
    return folder


def run(place: Path, *command: str) -> subprocess.CompletedProcess[str]:
    environment = os.environ | {"PYTHONPATH": f"{place}{os.pathsep}{HERE}", "NUTRILAB_TABLES": str(place / "tables")}
    return subprocess.run(
        [sys.executable, "-m", *command], cwd=place, env=environment, capture_output=True, text=True, timeout=120
    )


@pytest.fixture(scope="module")
def output(place: Path) -> dict[str, str]:
    """What each command of the page prints."""
    found = {}
    commands = [line for language, _, text in blocks() if language == "sh" for line in text.splitlines()]
    for command in commands:
        done = run(place, *command.split())
        assert done.returncode == 0, f"{command}: {done.stderr}"
        found[command] = done.stdout
    return found


def test_the_page_has_the_files_it_speaks_of() -> None:
    files = {name for _, name, _ in blocks() if name}
    assert files == {"harbour-2026.csv", "harbour_table.py", "pyproject.toml", "picnic.txt", "test_harbour.py"}


def test_its_commands_work(output: dict[str, str]) -> None:
    assert [" ".join(command.split()[:3]) for command in output] == [
        "nutrilab tables import",
        "nutrilab tables list",
        "nutrilab lines --tables",
    ]
    imported, listed, lines = output.values()
    assert "3 foods and 1 measures of Harbour 2026" in imported
    assert "harbour: Harbour 2026, first printing, 3 foods, made up for this page" in listed
    assert "Rock samphire, pickled" in lines
    assert "Mackerel, hot smoked" in lines


def test_its_lines_are_linked_and_weighed_by_the_new_table(place: Path, output: dict[str, str]) -> None:
    done = run(place, "nutrilab", "lines", "--tables", "harbour,usda-sr", "picnic.txt", "--format", "jsonl")
    samphire, mackerel = map(json.loads, done.stdout.splitlines())
    assert (samphire["food_id"], mackerel["food_id"]) == ("harbour:H01", "harbour:H02")
    assert (samphire["sureness"], mackerel["sureness"]) != ("none", "none")
    assert samphire["grams"] == pytest.approx(18, rel=0.03)  # a US and a metric tablespoon differ by 1.4 %
    assert mackerel["grams"] == 150
    assert "fish" in mackerel["allergens"]["contains"]


def test_its_figures_pass_the_checks(place: Path, output: dict[str, str]) -> None:
    report = check_foods(read_foods(place / "tables" / "harbour.foods.parquet"))
    assert (report.foods, report.faulty) == (3, 0)
    assert report.looked["solids"] == report.looked["energy"] == 3
    assert report.missing["NA"] == pytest.approx(1 / 3)


def test_its_own_tests_pass(place: Path) -> None:
    done = run(place, "pytest", "-q", "-p", "no:cacheprovider", "test_harbour.py")
    assert done.returncode == 0, done.stdout
    assert "5 passed" in done.stdout


def test_a_broken_package_stops_nothing_else(place: Path, output: dict[str, str]) -> None:
    module = place / "harbour_table.py"
    text = module.read_text()
    module.write_text("import a_module_that_is_not_there\n")
    try:
        refused = run(place, "nutrilab", "tables", "import", "harbour", "harbour-2026.csv")
        assert (refused.returncode, refused.stdout) == (2, "")
        assert refused.stderr.startswith("harbour: its loader, of the package harbour-table 1.0, cannot be used")
        assert len(refused.stderr.splitlines()) == 1
        assert run(place, "nutrilab", "lines", "--tables", "harbour,usda-sr", "picnic.txt").returncode == 0
    finally:
        module.write_text(text)
