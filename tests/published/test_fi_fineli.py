"""The Finnish table's loader on the whole published release, every value against an independent read of the file.

Source: Fineli, release 20.0 (National Institute for Health and Welfare THL, 2015; CC BY 4.0, stated in descript.txt).
component_value.csv holds 55,948 values of 1,422 foods, 7 of them empty. The release has neither traces nor "less than"
(every value is a number or empty), so no note of these kinds may come out of it.

The independent read is Python's csv with decimals, and knows nothing of the loader: it holds every value, in the unit
of component.csv, against the table. Foods printed with their waste (28 of the 29 with an edible share below 100 %) are
held against the printed value divided by that share.
"""

from __future__ import annotations

import csv
from collections import Counter
from decimal import Decimal
from pathlib import Path

import pytest

from data_loaders import checking, registry
from data_loaders.leaving_out import leave_out
from data_loaders.schema import TableData, TableError
from nutrilab.allergens.foods import witness
from nutrilab.foods import Food
from nutrilab.law.energy import energy_regulation

FOLDER = Path(__file__).parents[3] / "shared" / "reference" / "fineli"
# The publisher's names that are not ours, and the factor of its unit (component.csv).
NAMES = {"ENERC": "ENERC_KJ", "PROT": "PROCNT", "FIBC": "FIBTG", "VITA": "VITA_RAE", "FAMCIS": "FAMSCIS"}
IN_MILLIGRAMS = "F18D2CN6"  # a fatty acid, which our tables give in grams
# "free of" in specdiet.csv -> allergen
FREE = {"GLUTFREE": "gluten", "MILKFREE": "milk", "EGGFREE": "eggs", "SOYAFREE": "soya"}


def published(name: str) -> list[dict[str, str]]:
    if not FOLDER.exists():
        pytest.skip("the published release ../shared/reference/fineli is not beside this project: it is not compared")
    with (FOLDER / name).open(encoding="iso-8859-1", newline="") as file:
        return list(csv.DictReader(file, delimiter=";"))


@pytest.fixture(scope="module")
def table() -> TableData:
    published("food.csv")
    return registry.load("fi-fineli", FOLDER)


def test_every_value_is_the_published_one(table: TableData) -> None:
    rows = published("component_value.csv")
    assert len(rows) == 55_948
    shares = {row["FOODID"]: Decimal(row["EDPORT"]) / 100 for row in published("food.csv")}
    printed: dict[str, Decimal] = {}
    for row in rows:
        if row["EUFDNAME"] in ("WATER", "PROT", "FAT", "CHOAVL", "FIBC", "ASH"):
            value = Decimal(row["BESTLOC"].replace(",", "."))
            printed[row["FOODID"]] = printed.get(row["FOODID"], Decimal(0)) + value
    as_bought = {food for food, share in shares.items() if share < 1 and printed[food] <= 100 * share + 3}
    assert len(as_bought) == 28
    assert [food for food, share in shares.items() if share < 1 and food not in as_bought] == ["28913"]  # the potato
    foods = table.foods.set_index("food_id").to_dict("index")
    empty = 0
    for row in rows:
        tagname = NAMES.get(row["EUFDNAME"], row["EUFDNAME"])
        found = foods[f"fi:{row['FOODID']}"][tagname]
        if not row["BESTLOC"]:
            empty += 1
            assert found != found, row
            continue
        wanted = Decimal(row["BESTLOC"].replace(",", "."))
        if tagname == IN_MILLIGRAMS:
            wanted /= 1000
        if row["FOODID"] in as_bought:
            wanted /= shares[row["FOODID"]]
        assert found == pytest.approx(float(wanted), rel=1e-12), row
    assert empty == 7
    derived = {"ENERC_KCAL", "ALC"}
    told = int(table.foods.drop(columns=list(derived)).iloc[:, 6:].notna().to_numpy().sum())
    assert told == len(rows) - empty  # and nothing else came out


def test_foods_names_and_measures_are_all_there(table: TableData) -> None:
    told = {row["FOODID"] for row in published("component_value.csv")}
    assert set(table.foods["food_id"]) == {f"fi:{number}" for number in told}
    english = {f"fi:{row['FOODID']}": row["FOODNAME"] for row in published("foodname_EN.csv")}
    for food_id, name in table.foods[["food_id", "name"]].to_numpy():
        assert name.upper() == " ".join(english[food_id].split()).upper() or name.upper() == english[food_id].upper()
    assert table.foods["group"].str.len().min() > 0
    measures = [
        row for row in published("foodaddunit.csv") if row["FOODID"] in told and row["FOODUNIT"] != "PORT1000KJ"
    ]
    assert len(table.measures) == len(measures) == 7_300
    grams = sorted(float(row["MASS"].replace(",", ".")) for row in measures)
    assert sorted(table.measures["grams"]) == pytest.approx(grams)


def test_no_trace_and_no_less_than_is_made_up(table: TableData) -> None:
    assert table.notes is not None
    assert set(table.notes["kind"]) == {"converted"}
    assert set(table.notes[table.notes["words"].str.startswith("alcohol")]["tagname"]) == {"ALC"}


def test_protein_is_mostly_nitrogen_by_6_25(table: TableData) -> None:
    """As Annex I of Regulation (EU) No 1169/2011 wants it; in the rest the two come from different sources."""
    foods = table.foods[table.foods["NT"] > 0.5]
    factor = foods["PROCNT"] / foods["NT"]
    assert len(foods) == 735
    assert factor.median() == pytest.approx(6.25, abs=0.005)
    assert ((factor - 6.25).abs() < 0.1).mean() == pytest.approx(0.846, abs=0.001)


def test_energy_follows_the_regulation(table: TableData) -> None:
    """Annex XIV from the components against the published energy; sweets of sugar alcohols and acids are the rest."""
    agree = [
        abs(energy_regulation({tag: value for tag, value in row.items() if value == value})[0] - row["ENERC_KJ"])
        <= max(20.0, 0.02 * row["ENERC_KJ"])
        for row in table.foods.iloc[:, 6:].to_dict("records")
    ]
    assert sum(agree) / len(agree) > 0.9


def test_what_is_left_out_is_one_sum_of_fatty_acids_and_the_table_is_sound(table: TableData) -> None:
    kept = leave_out(table, "the table")
    assert len(kept.left_out) == 1
    assert kept.left_out[0].startswith("fi:11695: Fatty acids, total, as triglycerides of 101.985 g")
    report = checking.check_foods(kept.foods)
    assert report.sound
    assert report.faulty < 0.04
    assert report.faults["anchors"] == ()


def test_the_map_of_groups_never_speaks_against_the_publisher(table: TableData) -> None:
    """specdiet.csv states of which foods the publisher says they are free of gluten, milk, egg or soya.

    No food it calls free of milk, egg or soya is said to contain it; of the grains, oats and oat drinks are: they may
    be called free of gluten in Finland, and are a cereal of Annex II all the same.
    """
    free: dict[str, set[str]] = {}
    for row in published("specdiet.csv"):
        if row["SPECDIET"] in FREE:
            free.setdefault(f"fi:{row['FOODID']}", set()).add(FREE[row["SPECDIET"]])
    against: Counter[str] = Counter()
    for food_id, name, group in table.foods[["food_id", "name", "group"]].to_numpy():
        said = witness(Food(food_id, name, group, "test", None, {})).certain
        for allergen in said & free.get(food_id, set()):
            assert allergen == "gluten", (food_id, name)
            assert "oat" in name.lower(), (food_id, name)
            against[allergen] += 1
    assert against["gluten"] == 5


def test_a_file_that_is_cut_short_is_refused(tmp_path: Path) -> None:
    """A third of the values: whole rows, so that nothing else would tell."""
    published("food.csv")
    for file in FOLDER.iterdir():
        if file.suffix == ".csv":
            (tmp_path / file.name).write_bytes(file.read_bytes())
    values = (tmp_path / "component_value.csv").read_bytes()
    (tmp_path / "component_value.csv").write_bytes(values[: values.index(b"\n", len(values) // 3) + 1])
    with pytest.raises(TableError, match="the file is cut short"):
        registry.load("fi-fineli", tmp_path)
