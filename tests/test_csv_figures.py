"""The long form of the CSV: RFC 4180, the figures of the JSON, units and sources, cells no spreadsheet runs."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest

from data_loaders.schema import components
from nutrilab.recipe import read_recipe
from nutrilab.records import dish_record
from nutrilab.results import DishResult
from nutrilab.sheets.csv_figures import COLUMNS, as_csv
from nutrilab.sheets.safe import FORMULA, cell, plain
from tests.dishes import demos, dish, kitchen

Rows = list[dict[str, str]]


def unmarked(text: str) -> str:
    """A table without the mark that says its letters are UTF-8."""
    assert text[0] == "\ufeff"
    return text[1:]


def read(*results: DishResult) -> Rows:
    return list(csv.DictReader(io.StringIO(unmarked(as_csv(results)), newline=""), strict=True))


def of(rows: Rows, kind: str) -> Rows:
    return [row for row in rows if row["kind"] == kind]


def test_it_is_a_table_as_rfc_4180_has_it() -> None:
    text = unmarked(as_csv(demos()))
    assert text.endswith("\r\n")
    rows = list(csv.reader(io.StringIO(text, newline=""), strict=True))
    assert tuple(rows[0]) == COLUMNS
    assert {len(row) for row in rows} == {len(COLUMNS)}  # section 2, 4: the same number of fields throughout
    assert "\n" not in text.replace("\r\n", "")  # section 2, 1: lines end with CR LF
    assert {row[0] for row in rows[1:]} == {result.recipe.dish for result in demos()}


@pytest.mark.parametrize("result", demos(), ids=lambda result: result.recipe.dish)
def test_figures_are_those_of_the_json(result: DishResult) -> None:
    record = dish_record(result)
    keys = list(record["per_portion"])
    rows = of(read(result), "figure")
    assert len(rows) == len(keys) == 9
    for key, row in zip(keys, rows, strict=True):
        low, high = record["per_portion_range"][key]
        for column, value in (
            ("a portion", record["per_portion"][key]),
            ("per 100 g", record["per_100g"][key]),
            ("portion low", low),
            ("portion high", high),
            ("known for share of weight", record["coverage"][key]),
        ):
            assert float(row[column]) == value
        assert row["declared a portion"] == record["declared_per_portion"][key]
        assert row["declared per 100 g"] == record["declared_per_100g"][key]
        assert row["unit"] == {"energy_kj": "kJ", "energy_kcal": "kcal"}.get(key, "g")
        assert "USDA SR28" in row["source"]


def test_components_have_units_coverage_and_sources() -> None:
    pie = next(result for result in demos() if result.recipe.dish == "Harbour fish pie")
    rows = {row["name"]: row for row in of(read(pie), "component")}
    assert len(rows) > 100  # SR28 holds 150 components
    sodium = rows["Sodium, Na (NA)"]
    assert (sodium["unit"], sodium["source"]) == ("mg", "USDA SR28")
    salt = pie.whole.per_portion["salt"]
    assert salt is not None
    assert float(sodium["a portion"]) * 2.5 / 1000 == pytest.approx(salt)
    for row in rows.values():
        tagname = row["name"].rsplit("(", 1)[1].rstrip(")")
        assert row["unit"] == components()[tagname].unit
        assert 0 < float(row["known for share of weight"]) <= 1
        assert row["source"]


def test_vitamins_and_minerals_say_what_was_counted_and_what_is_not_known() -> None:
    rows = {row["name"]: row for row in of(read(demos()[0]), "vitamin or mineral")}
    assert len(rows) == 27  # Regulation (EU) No 1169/2011, Annex XIII part A: 13 vitamins and 14 minerals
    assert rows["Vitamin C"]["unit"] == "mg"
    assert float(rows["Vitamin C"]["a portion"]) > 0
    assert rows["Iodine"]["a portion"] == ""  # SR28 has no iodine: missing is never zero
    assert rows["Iodine"]["declared a portion"] == "not known"


def test_a_drink_has_its_level_by_100_ml(tmp_path: Path) -> None:
    """2.49 g of sugars in 100 g are 2.51 g in 100 ml: above the 2.5 g up to which a drink is low in them."""
    text = "dish: Squash\nportions: 4\ndrink: true\ningredients: [1 kg water, 25.6 g caster sugar]\n"
    (tmp_path / "squash.yaml").write_text(text, "utf-8")
    rows = read(kitchen().dish(read_recipe(tmp_path / "squash.yaml")))
    sugars = next(row for row in of(rows, "figure") if row["name"] == "of which sugars")
    assert float(sugars["per 100 g"]) == pytest.approx(100 * 25.6 * 0.998 / 1025.6, rel=2e-3)  # SR28 19335
    assert float(sugars["per 100 g"]) < 2.5
    assert (sugars["level"], sugars["note"]) == ("medium", "2.5 g per 100 ml")


def test_lines_have_grams_ground_food_and_sureness() -> None:
    pie = next(result for result in demos() if result.recipe.dish == "Harbour fish pie")
    rows = of(read(pie), "line")
    assert len(rows) == 17  # 16 lines; "salt and freshly ground black pepper" is two foods
    flour = next(row for row in rows if row["name"] == "50 g plain flour")
    assert (flour["stage"], flour["line"], flour["grams"], flour["unit"]) == ("white sauce", "2", "50.0", "g")
    assert flour["grams in the dish"] == "40.0"  # 80 % of the sauce
    assert (flour["grams from"], flour["food id"], flour["how sure"]) == ("weighed", "sr:20581", "sure")
    assert float(flour["grams low"]) < 50 < float(flour["grams high"])


def test_allergens_cautions_remarks_and_tables_travel_along(tmp_path: Path) -> None:
    result = dish(tmp_path, "Snack", "100 g Slipway seed crackers", "20 g almonds", "1 vegetable stock cube", "1 zub")
    rows = read(result)
    assert [row["name"] for row in of(rows, "contains")] == [*map(result.allergens.named, result.allergens.contains)]
    assert "nuts (almond)" in {row["name"] for row in of(rows, "contains")}
    assert {row["name"] for row in of(rows, "check the pack")} == set(result.allergens.check)
    assert {row["name"] for row in of(rows, "may contain")} == {"milk", "nuts"}
    assert [row["note"] for row in of(rows, "caution")] == list(result.cautions)
    assert len(of(rows, "remark")) == len(result.remarks)
    assert {row["name"] for row in of(rows, "food table")} == {t.provenance.source for t in result.tables}
    assert rows[0]["kind"] == "NOT COMPLETE"
    assert rows[0]["name"] == "1 zub"
    assert {row["complete"] for row in rows} == {"NO"}
    assert next(row for row in of(rows, "line") if row["name"] == "1 zub")["food id"] == ""


def test_a_complete_dish_says_so() -> None:
    rows = read(demos()[0])
    assert {row["complete"] for row in rows} == {"yes"}
    assert not of(rows, "NOT COMPLETE")


@pytest.mark.parametrize(
    ("value", "written"),
    [
        (None, ""),
        (-1.5, "-1.5"),
        (0.1 + 0.2, "0.30000000000000004"),
        (3, "3"),
        (float("nan"), ""),
        (float("inf"), ""),
        ("plain flour", "plain flour"),
        ("salt - and pepper", "salt - and pepper"),
        ("a@b", "a@b"),
        ("=1+1", "'=1+1"),
        ("+1", "'+1"),
        ("-1", "'-1"),
        ("@SUM(A1)", "'@SUM(A1)"),
        ("\t=1", "' =1"),
        ("\r=1", "' =1"),
        ("  =1", "'  =1"),
        ('"=1', "'\"=1"),
        ("＝1", "'＝1"),
        ("\u200b=1", "'=1"),
        ("\u202e=1", "'=1"),
        ("soup;=1+1", "soup;'=1+1"),
        ("soup; @x", "soup;' @x"),
        ("a\nb", "a b"),
    ],
)
def test_cells(value: str | float | None, written: str) -> None:
    assert cell(value) == written


def test_a_number_of_numpy_is_written_as_a_number() -> None:
    import numpy as np

    assert cell(np.float64(-2.5)) == "-2.5"


@pytest.mark.parametrize("before", ["", " ", "\t", "\r\n", "\u200b", "\ufeff", "\u202e", "\u3164", "\x00", "\u00a0"])
@pytest.mark.parametrize("sign", FORMULA)
def test_no_cell_of_a_text_begins_like_a_formula(before: str, sign: str) -> None:
    assert cell(f"{before}{sign}1")[0] == "'"


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("crème fraîche, ½ tsp", "crème fraîche, ½ tsp"),
        ("naïve e\u0301", "naïve e\u0301"),
        ("שקשוקה", "שקשוקה"),
        ("豆腐", "豆腐"),
        ("a\u202eb\u2066c\u200fd", "abcd"),
        ("mi\u200blk\u00ad", "milk"),
        ("a\x1b[31mb\x07\x9b", "a [31mb  "),
        ("a\r\nb\u2028c\tt", "a  b c t"),
        ("\ud800", "\ufffd"),
        ("\U000e0041\u3164x", "x"),
        ("e" + "\u0301" * 100, "e" + "\u0301" * 4),
    ],
)
def test_plain_keeps_letters_and_takes_out_what_controls(text: str, shown: str) -> None:
    assert plain(text) == shown
    assert plain(plain(text)) == plain(text)


def test_plain_cuts_with_an_ellipsis_only_where_it_is_asked_to() -> None:
    assert plain("x" * 50) == "x" * 50
    assert plain("x" * 50, 10) == "x" * 9 + "…"
    assert plain("x" * 10, 10) == "x" * 10
    assert plain("word and more", 6) == "word…"
