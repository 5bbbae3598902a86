"""The FoodData Central loader on published files: parts of the Foundation download of 2022.

Source: USDA ARS, FoodData Central, Foundation Foods, 2022 (CC0): nutrient.csv and food_portion.csv with their official
heads, food_nutrient.csv cut to three columns. food.csv and measure_unit.csv are not at hand, so the whole import makes
them up: a food that has carbohydrate by difference, or fat, is taken for a Foundation food, the others for the samples
behind them; names are "Food" and the id. Values, counts and shares below are those of the published rows.
"""

from __future__ import annotations

import shutil
from pathlib import Path

import pandas as pd
import pytest

from data_loaders import usda_fdc
from data_loaders.csv_files import Download, listed
from data_loaders.schema import TableData, components
from data_loaders.usda_fdc_nutrients import Nutrients, ways
from tests.published.extracted import EXTRACTS as FOLDER

WHOLE = Path(__file__).parents[3] / "shared" / "reference" / "fdc-foundation-partial"
# Rows of each file in the parts that are at hand, and in the extract that goes with the project
COUNTED = {
    "whole table": {"nutrient.csv": 474, "food_portion.csv": 10_678, "food_nutrient.csv": 130_334},
    "extract": {"nutrient.csv": 474, "food_portion.csv": 4, "food_nutrient.csv": 350},
}
EXTRACTS = {
    "nutrient.csv": "fdc_nutrients.csv",
    "food_portion.csv": "fdc_portions.csv",
    "food_nutrient.csv": "fdc_values.csv",
}


of_all_foods = pytest.mark.parametrize("source", ["whole table"], indirect=True, scope="module")


@pytest.fixture(scope="module", params=COUNTED)
def source(request: pytest.FixtureRequest) -> str:
    return str(request.param)


@pytest.fixture(scope="module")
def files(source: str, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the published rows under their official names."""
    if source == "whole table":
        if not WHOLE.exists():
            pytest.skip(f"the parts of FoodData Central ({WHOLE.name}) are not here: the whole table is not compared")
        return WHOLE
    folder = tmp_path_factory.mktemp("extract")
    for name, extract in EXTRACTS.items():
        lines = (FOLDER / extract).read_text("utf-8").splitlines(keepends=True)
        (folder / name).write_text("".join(line for line in lines if line[0] != "#"), "utf-8")
    return folder


@pytest.fixture(scope="module")
def table(files: Path, source: str, tmp_path_factory: pytest.TempPathFactory) -> TableData:
    """The whole import of the published rows."""
    place = tmp_path_factory.mktemp("FoodData_Central_foundation_food_csv_2022-10-28")
    for name in COUNTED[source]:
        shutil.copy(files / name, place)
    values = pd.read_csv(files / "food_nutrient.csv")
    portions = pd.read_csv(files / "food_portion.csv", dtype=str)
    whole = set(values["fdc_id"][values["nutrient_id"].isin((1005, 1085))])
    ids = dict.fromkeys([*values["fdc_id"], *portions["fdc_id"].astype(int)])
    kinds = ["foundation_food" if fdc_id in whole else "sub_sample_food" for fdc_id in ids]
    food = pd.DataFrame({"fdc_id": list(ids), "data_type": kinds, "description": [f"Food {i}" for i in ids]})
    food.to_csv(place / "food.csv", index=False, quoting=1)
    units = sorted(set(portions["measure_unit_id"]))
    names = {"1000": "cup", "1001": "tablespoon", "9999": "undetermined"}  # from memory
    unit = pd.DataFrame({"id": units, "name": [names.get(unit, f"unit {unit}") for unit in units]})
    unit.to_csv(place / "measure_unit.csv", index=False, quoting=1)
    return usda_fdc.load(place)


def known(table: TableData, fdc_id: int) -> dict[str, float]:
    foods = table.foods[table.foods["food_id"] == f"fdc:{fdc_id}"].iloc[0, 6:].dropna()
    return {str(tagname): float(value) for tagname, value in foods.items()}


def test_the_heads_are_accepted_and_every_row_is_read(files: Path, source: str) -> None:
    download = Download(files, listed(files))
    needed = {
        "nutrient.csv": {"id": "int64", "unit_name": "string", "nutrient_nbr": "string"},
        "food_portion.csv": {
            "fdc_id": "int64", "amount": "float64", "measure_unit_id": "string", "portion_description": "string",
            "modifier": "string", "gram_weight": "float64",
        },
        "food_nutrient.csv": {"fdc_id": "int64", "nutrient_id": "int64", "amount": "float64"},
    }  # fmt: skip
    for name, columns in needed.items():
        rows = sum(batch.rows.num_rows for _, batch in download.batches(name, columns))
        assert rows == COUNTED[source][name], name


def test_every_nutrient_read_is_in_nutrient_csv_with_its_number_and_unit(files: Path) -> None:
    told, factors = Nutrients(), {}
    for row in pd.read_csv(files / "nutrient.csv", dtype=str).fillna("").to_dict("records"):
        way = told.tell(int(row["id"]), row["nutrient_nbr"], row["unit_name"])
        if way:
            factors[way[0]] = way[1]
    assert len(factors) == len(ways())  # all of SR's numbers, and those of usda_fdc_nutrients.csv
    assert {ways()[place].tagname: factor for place, factor in factors.items() if factor != 1} == {"NACL": 0.001}


def test_values_of_single_foods(table: TableData) -> None:
    """Rows of food_nutrient.csv, by fdc_id; the names are those of the download as far as remembered."""
    hummus, egg, apple = (known(table, fdc_id) for fdc_id in (321358, 748967, 1750340))
    assert {t: hummus[t] for t in ("PROCNT", "FAT", "FASAT", "CHOCDF", "SUGAR", "FIBTG", "NA", "WATER")} == {
        "PROCNT": 7.35, "FAT": 17.1, "FASAT": 2.22, "CHOCDF": 14.9, "SUGAR": 0.34, "FIBTG": 5.4, "NA": 438,
        "WATER": 58.7,
    }  # fmt: skip
    assert (hummus["ENERC_KCAL"], hummus["ENERC_KJ"]) == (229, 960)
    assert (egg["PROCNT"], egg["FAT"], egg["CHOCDF"], egg["FIBTG"], egg["NA"]) == (12.4, 9.96, 0.96, 0, 129)
    assert (apple["ENERC_KCAL"], apple["SUGAR"]) == (58.20306, 13.33)  # 958 where there is no 208; 269 before 269.3
    assert "ENERC_KJ" not in apple


@of_all_foods
def test_what_stands_in_for_what_and_how_often(table: TableData) -> None:
    columns = table.foods.iloc[:, 6:].notna().sum()
    assert len(table.foods) == 252
    assert {t: int(columns[t]) for t in ("CHOCDF", "FAT", "ENERC_KCAL", "ENERC_KJ", "SUGAR", "FIBTG")} == {
        "CHOCDF": 235, "FAT": 252, "ENERC_KCAL": 235, "ENERC_KJ": 135, "SUGAR": 128, "FIBTG": 118,
    }  # fmt: skip
    assert table.notes is not None
    words = table.notes["words"].str.extract(r"([\d.]+)\)")[0]
    assert words.value_counts().to_dict() == {"958": 97, "957": 3, "269.3": 123, "293": 7, "298": 12}


@of_all_foods
def test_general_energy_is_four_nine_four(files: Path) -> None:
    """957 is 4 kcal/g of protein, 9 of fat, 4 of carbohydrate with its fibre, in all 100 foods that have it."""
    values = pd.read_csv(files / "food_nutrient.csv").pivot(index="fdc_id", columns="nutrient_id", values="amount")
    values = values[values[2047].notna()]
    assert len(values) == 100
    assert (4 * values[1003] + 9 * values[1004] + 4 * values[1005] - values[2047]).abs().max() < 1e-9


@of_all_foods
def test_foods_are_whole(table: TableData) -> None:
    """Water, protein, fat, carbohydrate and ash of each food come to 100 g, to 101.9 g in one."""
    solids = table.foods[["WATER", "PROCNT", "FAT", "CHOCDF", "ASH"]].sum(axis=1, min_count=5).dropna()
    assert len(solids) == 235
    assert solids.between(99.9, 101.9).all()


def test_measures_of_the_edible_part(table: TableData) -> None:
    """Rows of food_portion.csv; of 10,678 those of foods taken, none of peel or in the shell."""
    found = table.measures[table.measures["food_id"].isin(("fdc:321358", "fdc:328637", "fdc:748967"))]
    assert found[["food_id", "amount", "words", "grams"]].to_numpy().tolist() == [
        ["fdc:321358", 2.0, "tablespoon", 33.9],
        ["fdc:328637", 1.0, "unit 1050", 17.0],
        ["fdc:328637", 1.0, "cup, shredded", 105.0],
        ["fdc:748967", 1.0, "unit 1099, whole without shell", 50.3],
    ]
    assert not table.measures["words"].str.contains("(?:Peel|Unpeeled|in shell)$").any()


def test_provenance(table: TableData) -> None:
    assert table.provenance.source == "USDA FoodData Central (Foundation)"
    assert table.provenance.licence.startswith("CC0")
    assert set(EXTRACTS) < set(table.provenance.inputs)
    assert set(table.foods.columns[6:]) <= set(components())
