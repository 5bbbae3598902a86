"""The Swiss table's loader on a small file in the published form; made-up figures but for the milk and the oil.

Broken files: test_keyed_tables_broken.py.
"""

from __future__ import annotations

import csv
import io
from math import isnan
from pathlib import Path

import pytest

from data_loaders import ch_sfcd, registry
from data_loaders.leaving_out import leave_out
from data_loaders.schema import TableData

LANGUAGES = ("name D", "synonyms D", "name F", "synonyms F", "name I", "synonyms I", "name E", "synonyms E")
HEAD = ["ID", "ID V 4.0", "ID SwissFIR", *LANGUAGES, *(f"category {of}" for of in "DFIE"), "specific gravity"]
UNITS = {"ENERC_KJ": "kilojoule", "NA": "milligram", "VITC": "milligram", "VITA": "retinol equivalent"}
WEIGHED, POURED = "per 100g edible portion", "per 100ml food volume"
# id, English name, category, specific gravity, of what, {tagname: value or (value, type)}
FOODS = [
    ("62", "Whole milk, pasteurized", "Milk and dairy products/Milk", "1", POURED,
     {"ENERC_KJ": "284", "WATER": "87.3", "PROCNT": "3.3", "FAT": "4", "CHOAVL": "4.7", "ALC": "0", "NA": "39"}),
    ("591", "Olive oil", "Fats and oils/Oils", "0.9", POURED, {"ENERC_KJ": "3330", "FAT": "89.9", "WATER": "0"}),
    ("900", "Rock samphire juice", "Vegetables/Vegetable juices", "1.14", POURED, {"WATER": "95", "CHOAVL": "4"}),
    ("901", "Seaweed crispbread", "Bread/Crispbread", "", WEIGHED,
     {"FAT": "9", "SUGAR": ("0", "trace"), "NA": ("4", "less than"), "VITC": ("0", "less than"),
      "VITA": ("3", "trace"), "PROCNT": ("11", "best estimate")}),
    ("902", "Harbour squash", "Drinks", "", POURED, {"CHOAVL": "10"}),
]  # fmt: skip


def rows() -> list[list[str]]:
    head = list(HEAD)
    for column in ch_sfcd.columns():
        head += [column.name, *ch_sfcd.BLOCK]
    found = [[*head, "record has changed"]]
    for number, name, category, gravity, of_what, values in FOODS:
        row = [number, "", "", "", "", "", "", "", "", name, "", "", "", "", category, gravity]
        for column in ch_sfcd.columns():
            value = values.get(column.tagname, "")
            text, kind = value if isinstance(value, tuple) else (value, "weighted")
            unit = UNITS.get(column.tagname, "gram")
            row += [text, unit, of_what, kind, "made up"] if text else [""] * 5
        found.append([*row, "1"])
    return found


def written(found: list[list[str]]) -> bytes:
    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerows(found)
    return text.getvalue().encode()


@pytest.fixture(scope="module")
def table(tmp_path_factory: pytest.TempPathFactory) -> TableData:
    path = tmp_path_factory.mktemp("swiss") / "generic-foods.csv"
    path.write_bytes(written(rows()))
    return registry.load("ch-sfcd", path)


def value(table: TableData, number: int, tagname: str) -> float:
    return float(table.foods.set_index("food_id").loc[f"ch:{number}", tagname])


def noted(table: TableData, number: int, tagname: str) -> list[tuple[str, float, float]]:
    assert table.notes is not None
    some = table.notes[(table.notes["food_id"] == f"ch:{number}") & (table.notes["tagname"] == tagname)]
    return [tuple(row) for row in some[["kind", "low", "high"]].to_numpy()]


def test_what_is_printed_per_100_ml_is_brought_to_100_g(table: TableData) -> None:
    assert (value(table, 62, "NA"), value(table, 62, "FAT")) == (39, 4)
    assert value(table, 591, "FAT") == pytest.approx(99.9, abs=0.05)
    assert [kind for kind, *_ in noted(table, 591, "FAT")] == ["converted"]


def test_figures_that_come_to_100_g_as_they_stand_are_not_divided(table: TableData) -> None:
    assert value(table, 900, "CHOAVL") == 4
    assert noted(table, 900, "CHOAVL") == [("converted", pytest.approx(4 / 1.14), 4.0)]


def test_missing_trace_and_less_than_are_kept_apart(table: TableData) -> None:
    assert isnan(value(table, 901, "STARCH"))
    assert value(table, 901, "SUGAR") == 0.05  # a trace printed as 0: half of the step of the column
    assert noted(table, 901, "SUGAR") == [("trace", 0.0, 0.1)]
    assert value(table, 901, "VITA") == 3  # a trace with a number above 0
    assert noted(table, 901, "VITA") == [("trace", 0.0, 3.0)]
    assert value(table, 901, "NA") == 2  # less than 4
    assert noted(table, 901, "NA") == [("less than", 0.0, 4.0)]
    assert noted(table, 901, "VITC") == [("less than", 0.0, 0.1)]
    assert [kind for kind, *_ in noted(table, 901, "PROCNT")] == ["estimate"]
    assert noted(table, 901, "FAT") == []


def test_a_food_per_100_ml_without_a_density_is_left_out_and_said(table: TableData) -> None:
    assert "ch:902" not in set(table.foods["food_id"])
    (said,) = table.left_out
    assert said == "ch:902, Harbour squash: it is printed per 100 ml without a density, so it was left out"
    assert leave_out(table, "the table").left_out == table.left_out  # the check of values says no less


def test_only_a_finely_printed_density_is_a_measure(table: TableData) -> None:
    assert table.measures.to_numpy().tolist() == [["ch:900", 1.0, "ml", 1.14]]


def test_a_folder_with_the_file_will_do(tmp_path: Path) -> None:
    (tmp_path / "generic-foods.csv").write_bytes(written(rows()))
    assert len(registry.load("ch-sfcd", tmp_path).foods) == 4
