"""The Canadian and the Norwegian loader on whole files in the published layouts, made up; and that they are called
untried. Layouts: ../shared/reference/canada (names, measures, refuse as published) and norway (lists and one food)."""

from __future__ import annotations

import csv
import io
import json
from math import isnan
from pathlib import Path

import pytest

from data_loaders import registry
from data_loaders.keyed import listed
from data_loaders.schema import TableData
from tests.untried_tables import AMOUNTS, NUTRIENTS, canadian, norwegian, put

REFERENCE = Path(__file__).parents[2] / "shared" / "reference"
KEPT = {203: "PROCNT", 204: "FAT", 205: "CHOCDF", 208: "ENERC_KCAL", 810: "STARCH", 255: "WATER", 291: "FIBTG",
        307: "NA", 317: "SE", 409: "NIAEQ"}  # fmt: skip


@pytest.fixture(scope="module")
def canada(tmp_path_factory: pytest.TempPathFactory) -> TableData:
    return registry.load("ca-cnf", put(tmp_path_factory.mktemp("canada"), canadian()))


@pytest.fixture(scope="module")
def norway(tmp_path_factory: pytest.TempPathFactory) -> TableData:
    return registry.load("no-matvaretabellen", put(tmp_path_factory.mktemp("norway"), norwegian()))


def test_every_canadian_amount_is_there_and_nothing_else(canada: TableData) -> None:
    foods = canada.foods.set_index("food_id")
    told = {
        (f"ca:{food}", KEPT[key]): float(text) for food, some in AMOUNTS for key, text in some.items() if key in KEPT
    }
    for (food_id, tagname), value in told.items():
        assert foods.loc[food_id, tagname] == value
    assert int(canada.foods.iloc[:, 6:].notna().to_numpy().sum()) == len(told)
    assert isnan(foods.loc["ca:4001", "WATER"])  # no row: missing, never 0
    assert foods.loc["ca:4001", "FAT"] == 0  # a printed 0


def test_canadian_names_numbers_measures_and_refuse(canada: TableData) -> None:
    butter, carrot, _, samphire = canada.foods.to_dict("records")
    assert (butter["name"], butter["source"], butter["group"]) == (
        "Butter, regular", "CNF 2015, NDB 01001", "Dairy and Egg Products")  # fmt: skip
    assert samphire["source"] == "CNF 2015"
    assert carrot["refuse"] == pytest.approx(0.11)
    assert canada.measures.to_numpy().tolist() == [
        ["ca:118", 100.0, "ml", pytest.approx(95.95)],
        ["ca:2485", 125.0, "ml chopped", pytest.approx(67.6)],
        ["ca:2485", 1.0, "carrot", pytest.approx(61)],
    ]


def test_a_number_that_is_another_nutrients_is_not_kept() -> None:
    own = listed("ca_cnf_nutrients")
    assert (own["430"], own["859"]) == ("none", "none")
    assert {key for key, code, *_ in NUTRIENTS if own.get(str(code)) == "none"} == {430, 846}


def test_the_published_canadian_names_are_read(tmp_path: Path) -> None:
    """Names, nutrients, measures, factors and refuse as published in 2015, with one made-up amount for each food."""
    folder = REFERENCE / "canada"
    if not folder.exists():
        pytest.skip("the published names ../shared/reference/canada are not beside this project")
    files = canadian() | {path.name: path.read_bytes() for path in folder.glob("*.csv")}
    names = list(csv.DictReader(io.StringIO(files["FOOD_NAME.csv"].decode("iso-8859-1"))))
    amounts = "".join(f"{row['FoodID']},203,1.5,0,0,0,2010-01-01\r\n" for row in names)
    head = files["NUTRIENT_AMOUNT.csv"].partition(b"\r\n")[0].decode()
    table = registry.load("ca-cnf", put(tmp_path, files | {"NUTRIENT_AMOUNT.csv": f"{head}\r\n{amounts}".encode()}))
    assert table.foods["name"].tolist() == [row["FoodDescription"].strip() for row in names]
    assert len(names) == 5690
    numbered = sum(bool(row["CountryCode"].strip()) for row in names)
    assert (table.foods["source"] != "CNF 2015").sum() == numbered == 4695
    assert len(table.measures) > 19_000
    assert table.foods["refuse"].max() < 1


def test_norwegian_values_keep_missing_estimates_and_what_is_below_the_limit_apart(norway: TableData) -> None:
    gram, herring = norway.foods.to_dict("records")
    assert (gram["food_id"], gram["name"], gram["scientific_name"], gram["group"]) == (
        "no:05.383", "Gram flour", "Cicer arietinum L.", "Flour")  # fmt: skip
    assert (gram["ENERC_KJ"], gram["PROCNT"], gram["CHOAVL"], gram["F18D1"]) == (1581.1, 22.7, 53.8, 1.25)
    assert isnan(gram["ID"])  # empty, source 10: missing value
    assert isnan(gram["ALC"])  # no cell at all
    assert gram["VITC"] == 0
    assert herring["refuse"] == pytest.approx(0.4)
    assert norway.notes is not None
    noted = {(food, tag): (kind, low, high) for food, tag, kind, low, high, _ in norway.notes.to_numpy()}
    assert noted["no:05.383", "VITC"][0] == "less than"  # source 60a: printed 0, nobody tells the limit
    assert isnan(noted["no:05.383", "VITC"][2])
    assert noted["no:05.383", "F18D1"][0] == "estimate"
    assert (herring["NA"], noted["no:04.900", "NA"]) == (2, ("less than", 0.0, 4.0))
    assert (herring["SE"], noted["no:04.900", "SE"]) == (1.5, ("less than", 0.0, 3.0))
    assert ("no:05.383", "NA") not in noted


def test_norwegian_portions(norway: TableData) -> None:
    assert norway.measures.to_numpy().tolist() == [["no:05.383", 1.0, "portion", 95.0], ["no:05.383", 1.0, "dl", 60.0]]


def test_the_published_norwegian_food_and_lists_are_read(tmp_path: Path) -> None:
    folder = REFERENCE / "norway"
    if not folder.exists():
        pytest.skip("the published lists ../shared/reference/norway are not beside this project")
    table = registry.load("no-matvaretabellen", folder)
    cells = json.loads((folder / "test-foods-en.json").read_text("utf-8"))["foods"][0]
    (food,) = table.foods.to_dict("records")
    kept = listed("no_matvaretabellen_nutrients")
    for key, cell in cells.items():
        if isinstance(cell, dict) and key in kept:
            value = food[kept[key]]
            assert (value != value) if not cell["value"] else value == float(cell["value"]), key


def test_both_are_called_untried(canada: TableData, norway: TableData) -> None:
    assert canada.provenance.untried
    assert norway.provenance.untried
    for told in (canada.provenance, norway.provenance):
        assert told.licence.startswith("not verified")
