"""Impossible is refused, improbable said first; what is missing lowers coverage and completeness; figures agree."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pandas as pd
import pytest
from click.testing import CliRunner

from data_loaders import checking
from data_loaders.leaving_out import leave_out
from data_loaders.schema import Provenance, TableData
from nutrilab import plausible
from nutrilab.cli import main
from nutrilab.datafiles import rows
from nutrilab.energy import available_carbohydrate
from nutrilab.foods import embedded
from nutrilab.kitchen import Kitchen
from nutrilab.recipe import InputError, read_recipe
from nutrilab.results import DishResult


@pytest.fixture(scope="module")
def kitchen() -> Kitchen:
    return Kitchen([embedded()])


def cooked(
    kitchen: Kitchen,
    folder: Path,
    *lines: str,
    portions: float = 4,
    cooking: str = "",
    dish: str = "Slipway supper",
) -> DishResult:
    file = folder / "dish.yaml"
    listed = "".join(f"- {line}\n" for line in lines)
    how = f"cooking: {{{cooking}}}\n" if cooking else ""
    file.write_text(f"dish: {dish}\nportions: {portions}\ningredients:\n{listed}{how}", encoding="utf-8")
    return kitchen.dish(read_recipe(file))


@pytest.mark.parametrize(
    ("lines", "portions", "says"),
    [
        (["25 kg potatoes"], 50, "25 kg"),
        (["12 kg leeks"], 4, "a portion"),
        (["3 kg rice", "1 litre water"], 1, "kg a portion"),
        (["500 g cod", "1 litre sunflower oil, for deep-frying"], 2, "oil"),
        (["400 g potatoes", "600 ml oil for frying"], 4, "oil"),
        (["4 kg butter"], 2, "kcal"),
        (["1 kg leeks", "300 g salt"], 4, "salt"),
        (["9 litres water", "1 kg carrots"], 3, "a portion weighs"),
    ],
)
def test_the_improbable_is_said_first(
    kitchen: Kitchen, tmp_path: Path, lines: list[str], portions: float, says: str
) -> None:
    result = cooked(kitchen, tmp_path, *lines, portions=portions)
    first = result.remarks[0]
    assert first.code == plausible.CODE
    assert any(says in r.message for r in result.remarks if r.code == plausible.CODE)


@pytest.mark.parametrize(
    ("lines", "dish"),
    [
        (["1 kg potatoes", "200 g cod"], "Supper"),
        (["100 g salt", "50 g dried thyme"], "Herb salt"),
        (["20 kg leeks"], "Soup"),
    ],
)  # fmt: skip
def test_what_a_kitchen_does_is_not_improbable(kitchen: Kitchen, tmp_path: Path, lines: list[str], dish: str) -> None:
    result = cooked(kitchen, tmp_path, *lines, portions=60 if "20 kg leeks" in lines else 4, dish=dish)
    assert plausible.CODE not in {remark.code for remark in result.remarks}


def test_a_line_alone_is_looked_at_too(kitchen: Kitchen) -> None:
    assert kitchen.line("30 kg flour").remarks[0].code == plausible.CODE
    assert plausible.CODE not in {remark.code for remark in kitchen.line("10 kg flour").remarks}


@pytest.mark.parametrize(
    ("lines", "cooking"),
    [
        (["500 g potatoes", "1 litre water"], "method: boiled, drained: true, salted water: 400"),
        (["500 g potatoes", "1 litre water"], "method: boiled, drained: true, salted water: 361"),
        (["500 g sugar", "200 ml water"], "method: simmered, weight after: 490 g"),
        (["400 g butter", "100 g sugar"], "method: baked, weight after: 410 g"),
    ],
)
def test_the_impossible_is_refused(kitchen: Kitchen, tmp_path: Path, lines: list[str], cooking: str) -> None:
    with pytest.raises(InputError):
        cooked(kitchen, tmp_path, *lines, cooking=cooking)


def test_water_as_salt_as_can_be_is_none_of_it(kitchen: Kitchen, tmp_path: Path) -> None:
    """CRC Handbook of Chemistry and Physics (from memory): 359 g of sodium chloride a litre at 20 C."""
    cooked(
        kitchen, tmp_path, "500 g potatoes", "1 litre water", cooking="method: boiled, drained: true, salted water: 359"
    )


def test_sugars_are_part_of_carbohydrate_and_saturates_of_fat() -> None:
    """Regulation (EU) No 1169/2011, Annex I points 3, 8 and 9."""
    assert available_carbohydrate({"CHOCDF": 2.8, "SUGAR": 3.7}) == 3.7
    assert available_carbohydrate({"CHOAVL": 5.0, "SUGAR": 3.7}) == 5.0
    assert available_carbohydrate({"CHOAVLM": 3.0, "SUGAR": 3.2}) == 3.2
    table = embedded()
    for food_id in table.ids[::37]:
        values = table.food(food_id).values
        found = available_carbohydrate(values)
        if found is not None and "SUGAR" in values:
            assert found >= values["SUGAR"]


@pytest.mark.parametrize("line", ["300 ml single cream", "300 ml double cream", "200 ml whole milk"])
def test_declared_sugars_are_never_above_declared_carbohydrate(kitchen: Kitchen, tmp_path: Path, line: str) -> None:
    from nutrilab.sheets.records import dish_record

    result = cooked(kitchen, tmp_path, line)
    per = result.whole.per_100g
    assert per["carbohydrate"] >= per["sugars"]
    declared = dish_record(result)["declared_per_100g"]
    assert float(declared["carbohydrate"].split()[0]) >= float(declared["sugars"].split()[0])


def test_a_table_that_contradicts_itself_is_named() -> None:
    said = plausible.contradictions("cream", {"CHOCDF": 2.8, "FIBTG": 0.0, "SUGAR": 3.7, "FAT": 19, "FASAT": 12})
    assert [remark.code for remark in said] == ["table-contradicts-itself"]
    assert "3.7 g of sugars in 2.8 g of carbohydrate" in said[0].message
    assert not plausible.contradictions("cream", {"CHOCDF": 3.4, "FIBTG": 0.0, "SUGAR": 3.7})  # rounding
    assert plausible.contradictions("oil", {"FAT": 10.0, "FASAT": 12.0})


@pytest.mark.parametrize("line", ["a pile of zorblewick", "some sardines, to garnish", "2 Zappo bars"])
def test_a_line_that_could_not_be_weighed_lowers_coverage_and_completeness(
    kitchen: Kitchen, tmp_path: Path, line: str
) -> None:
    result = cooked(kitchen, tmp_path, "2 tbsp water", line)
    assert result.unweighed == (line,)
    assert not result.complete
    assert all(share < 1 for share in result.whole.coverage.values())
    whole = cooked(kitchen, tmp_path, "200 g leeks")
    assert whole.complete
    assert whole.whole.coverage["mass_linked"] == pytest.approx(1)


def test_json_csv_and_sheet_agree_about_completeness(tmp_path: Path) -> None:
    for lines, complete in (("[200 g leeks, 100 g butter]", True), ("[200 g leeks, a pile of zorblewick]", False)):
        file = tmp_path / "dish.yaml"
        file.write_text(f"dish: Quay leeks\nportions: 2\ningredients: {lines}\n", encoding="utf-8")
        out = {
            form: CliRunner().invoke(main, ["analyse", str(file), "--format", form]).output
            for form in ("json", "csv", "text")
        }
        assert json.loads(out["json"])["complete"] is complete
        first = next(csv.DictReader(io.StringIO(out["csv"])))
        assert first["complete"] == ("yes" if complete else "NO")
        assert ("NOT COMPLETE" in out["text"]) is not complete


def test_a_value_missing_for_a_trace_of_the_weight_leaves_the_dish_complete(kitchen: Kitchen, tmp_path: Path) -> None:
    assert cooked(kitchen, tmp_path, "2 kg leeks", "1 bay leaf").complete


def test_every_limit_has_its_source() -> None:
    assert all(row["source"].strip() and float(row["most"]) > 0 for row in rows("plausible.csv"))
    with pytest.raises(KeyError):
        plausible.limit("nothing of the kind")


# -- tables --------------------------------------------------------------------------------------


def table_of(**values: float) -> TableData:
    named = {"food_id": ["x:1", "x:2"], "name": ["Salt, table", "Leek"], "scientific_name": "", "group": "g"}
    known = {"source": "s", "refuse": 0.0, "NA": [38758.0, 20.0], "PROCNT": [0.0, 1.5]}
    foods = pd.DataFrame(named | known)
    for name, value in values.items():
        foods[name] = [foods[name].iloc[0] if name in foods else 0.0, value]
    measures = pd.DataFrame(
        {"food_id": ["x:2", "x:2"], "words": ["leek", "heap"], "amount": 1.0, "grams": [90.0, 1e300]}
    )
    return TableData(foods, measures, Provenance("made up", "1", "none", "none", "none", "none", "none"))


@pytest.mark.parametrize(
    ("tagname", "value"), [("PROCNT", 101.0), ("NA", 45_000.0), ("FAT", -1.0), ("ENERC_KCAL", 1200.0)]
)
def test_what_no_food_can_hold_is_left_out_with_a_word(tagname: str, value: float) -> None:
    table = leave_out(table_of(**{tagname: value}), "made up")
    assert pd.isna(table.foods[tagname].iloc[1])
    assert any(sentence.startswith("x:2: ") and "left out" in sentence for sentence in table.left_out)
    assert list(table.measures["grams"]) == [90.0]
    assert any("1e+300" in sentence for sentence in table.left_out)


def test_a_unit_wrong_by_a_thousand_is_seen() -> None:
    table = table_of()
    assert not checking.check_foods(table.foods).faults["anchors"]
    table.foods["NA"] /= 1000
    report = checking.check_foods(table.foods)
    assert [fault.food_id for fault in report.faults["anchors"]] == ["x:1"]
    assert not report.sound


def test_the_embedded_table_keeps_its_anchors() -> None:
    """USDA SR28: every anchor is found and none is off."""
    path = Path(plausible.__file__).parent / "data" / "usda-sr.foods.parquet"
    report = checking.check_foods(checking.read_foods(path))
    assert report.looked["anchors"] >= 7
    assert not report.faults["anchors"]
