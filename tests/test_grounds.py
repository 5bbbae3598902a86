"""Each check of the allergens names its ground beside it: a published text or table, or that there is none."""

from __future__ import annotations

import ast
import csv
import re
from pathlib import Path

import pytest

HERE = Path(__file__).parent
FILES = (
    "test_allergens", "test_allergen_words", "test_allergen_method", "test_allergen_dish", "test_siblings",
    "test_doubt", "test_packs", "test_ingredients_list", "test_languages",
)  # fmt: skip
GROUND = re.compile(
    r"Annex(es)? [IV]|Articles? \d|Regulation \(E[CU]\)|FALCPA|21 CFR|SR28|CoFID|CIQUAL|common practice|that of the row"
)
ENTRIES = (
    "gluten", "crustaceans", "eggs", "fish", "peanuts", "soya", "milk", "nuts", "celery", "mustard", "sesame",
    "sulphites", "lupin", "molluscs",
)  # fmt: skip


def _without_ground(source: str) -> list[str]:
    """Names of the test functions that say nowhere in them, or in what they are tried with, what their ground is."""
    lines = source.split("\n")
    found = []
    for node in ast.parse(source).body:
        if isinstance(node, ast.FunctionDef) and node.name.startswith("test_"):
            first = min([node.lineno, *(d.lineno for d in node.decorator_list)])
            if not GROUND.search("\n".join(lines[first - 1 : node.end_lineno])):
                found.append(node.name)
    return found


@pytest.mark.parametrize("name", FILES)
def test_each_check_names_its_ground(name: str) -> None:
    assert _without_ground((HERE / f"{name}.py").read_text(encoding="utf-8")) == []


def test_a_check_without_ground_is_found() -> None:
    assert _without_ground("def test_x() -> None:\n    assert 1\n") == ["test_x"]
    assert _without_ground('def test_x() -> None:\n    """Annex II, 7."""\n') == []


def test_each_gold_line_names_the_entries_of_annex_2_or_that_it_has_no_source() -> None:
    with (HERE / "gold" / "allergens.csv").open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            named = {int(number) for number in re.findall(r"\d+", row["ground"].removeprefix("Annex II").split(";")[0])}
            assert named == {ENTRIES.index(key) + 1 for key in row["contains"].split("|") if key}, row["text"]
            assert named or "no source" in row["ground"], row["text"]
            assert bool(row["usually"]) <= ("no source" in row["ground"]), row["text"]
