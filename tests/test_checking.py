"""Checks of a food table: each finds the fault it is for, keeps quiet on good rows, and knows the real table."""

from __future__ import annotations

from pathlib import Path

import pandas as pd
import pytest

from data_loaders import schema
from data_loaders.checking import Report, check_foods, checks, read_foods
from data_loaders.schema import FOOD_COLUMNS, TableError
from nutrilab.foods import embedded
from nutrilab.law.energy import energy_regulation, factors
from nutrilab.sheets import tables as sheet

# USDA SR28, 01009 Cheese, cheddar, but for energy, which is by the factors of the Regulation.
CHEDDAR = {
    "WATER": 37.02, "PROCNT": 22.87, "FAT": 33.31, "CHOCDF": 3.09, "ASH": 3.71, "FIBTG": 0.0, "SUGAR": 0.48,
    "FASAT": 18.867, "FAMS": 9.391, "FAPU": 0.942, "NA": 653.0, "ENERC_KCAL": 403.63, "ENERC_KJ": 1673.79,
}  # fmt: skip


def table(*changes: dict[str, float | None], names: tuple[str, ...] = ()) -> pd.DataFrame:
    """Cheddars, each with something changed; None takes a value out."""
    rows = []
    for number, change in enumerate(changes, 1):
        name = names[number - 1] if names else f"Cheese {number}"
        rows.append([f"x:{number}", name, "", "dairy", "made up", 0.0, *(CHEDDAR | change).values()])
    return pd.DataFrame(rows, columns=[*FOOD_COLUMNS, *(CHEDDAR | changes[0])]).astype(dict.fromkeys(CHEDDAR, float))


def found(report: Report) -> set[str]:
    return {name for name, faults in report.faults.items() if faults}


def test_a_good_food_passes_every_check_that_can_look_at_it() -> None:
    report = check_foods(table({}))
    assert found(report) == set()
    of_units = ("anchors", "middles")  # it is none of those foods, and has no others beside it
    assert all(looked == (name not in of_units) for name, looked in report.looked.items())
    assert (report.faulty, report.sound) == (0, True)


@pytest.mark.parametrize(
    ("change", "expected"),
    [
        ({"WATER": 31.9}, {"solids"}),  # 94.9 g
        ({"WATER": 32.1}, set()),  # 95.1 g
        ({"WATER": 42.1}, {"solids"}),
        ({"ENERC_KCAL": 320.0, "ENERC_KJ": 1339.0}, {"energy"}),
        ({"ENERC_KCAL": 340.0, "ENERC_KJ": 1422.0}, set()),  # 16 % off
        ({"ENERC_KJ": 403.63}, {"units"}),
        ({"FASAT": 33.5, "FAMS": 0.0, "FAPU": 0.0}, {"saturates"}),
        ({"FAMS": 15.0}, {"fatty acids"}),
        ({"SUGAR": 3.7}, {"sugars"}),
        ({"FIBTG": 3.7}, {"fibre"}),
        ({"NA": 4000.0}, {"sodium"}),
        ({"NA": 40_000.0}, {"impossible", "sodium"}),
        ({"NA": -1.0}, {"impossible"}),
        ({"FAT": 133.31}, {"impossible", "solids", "energy", "macronutrients"}),
        ({"ENERC_KCAL": 950.0, "ENERC_KJ": 3975.0}, {"impossible", "energy"}),
    ],
)
def test_each_fault_is_found_and_no_other(change: dict[str, float], expected: set[str]) -> None:
    report = check_foods(table(change, *[{}] * 20))
    assert found(report) == expected
    for name in expected:
        (fault,) = report.faults[name]
        assert (fault.food_id, fault.name) == ("x:1", "Cheese 1")
    assert report.sound


@pytest.mark.parametrize("tagname", ["WATER", "PROCNT", "FAT", "CHOCDF"])
def test_what_misses_a_value_is_not_looked_at(tagname: str) -> None:
    report = check_foods(table({tagname: None}, {}))
    assert report.looked["solids"] == 1
    assert not report.faults["solids"]
    assert report.missing["carbohydrate" if tagname == "CHOCDF" else tagname] == 0.5


def test_available_carbohydrate_and_a_table_without_ash() -> None:
    """Solids and energy by CHOAVL and FIBTG; salt stands for ash: as the UK and the French table have them."""
    bread = {"WATER": 38.0, "PROCNT": 9.0, "FAT": 1.6, "CHOAVL": 46.6, "FIBTG": 2.9, "NA": 460.0, "K": 137.0}
    bread |= {"ENERC_KCAL": 242.6, "P": 95.0, "CLD": 700.0, "OA": 0.4}
    frame = pd.DataFrame([["x:1", "Bread", "", "", "", 0.0, *bread.values()]], columns=[*FOOD_COLUMNS, *bread])
    report = check_foods(frame)
    assert report.looked["solids"] == report.looked["energy"] == 1
    assert found(report) == set()
    assert found(check_foods(frame.assign(CHOAVL=56.6))) == {"solids"}
    assert found(check_foods(frame.assign(CHOAVL=64.0, WATER=20.6))) == {"energy"}


def test_polyols_and_alcohol_count_in_energy() -> None:
    sweet = {"PROCNT": 0.0, "FAT": 0.0, "CHOAVL": 98.0, "POLYL": 98.0, "ENERC_KCAL": 235.0, "ALC": 0.0}
    frame = pd.DataFrame([["x:1", "Sweet", "", "", "", 0.0, *sweet.values()]], columns=[*FOOD_COLUMNS, *sweet])
    assert found(check_foods(frame)) == set()
    assert found(check_foods(frame.assign(POLYL=0.0))) == {"energy"}
    rum = frame.assign(CHOAVL=0.0, POLYL=0.0, ALC=33.4)
    assert found(check_foods(rum)) == set()
    assert found(check_foods(rum.assign(ALC=0.0))) == {"energy"}


def test_one_name_for_two_foods_is_told_once() -> None:
    report = check_foods(table({}, {}, {}, names=("Cheddar,  mature", "Brie", "CHEDDAR, mature")))
    (fault,) = report.faults["duplicates"]
    assert (fault.food_id, fault.words) == ("x:3", "the name of x:1 as well")
    assert report.faulty == 0  # a name is no figure


def test_the_worst_stands_first() -> None:
    report = check_foods(table({"WATER": 30.0}, {"WATER": 10.0}, {"WATER": 20.0}, *[{}] * 40))
    assert [fault.food_id for fault in report.faults["solids"]] == ["x:2", "x:3", "x:1"]


def test_a_table_with_swapped_columns_is_not_sound() -> None:
    frame = read_foods(embedded().path)
    assert check_foods(frame).sound
    swapped = frame.rename(columns={"FAT": "PROCNT", "PROCNT": "FAT"})
    assert not check_foods(swapped).sound
    assert not check_foods(frame.assign(NA=frame["NA"] * 1000)).sound  # mg where g were written
    assert not check_foods(frame.assign(ENERC_KCAL=frame["ENERC_KJ"])).sound


def test_the_embedded_table() -> None:
    """USDA SR28. Baking soda loses carbon dioxide when ashed; olestra is no fat there; two breads lack carbohydrate."""
    report = check_foods(read_foods(embedded().path))
    assert report.foods == 8789
    assert report.faulty < 0.02
    assert not report.faults["impossible"]
    assert not report.faults["saturates"]
    assert not report.faults["units"]
    assert [fault.food_id for fault in report.faults["solids"][:3]] == ["sr:18372", "sr:19445", "sr:19423"]
    assert report.faults["solids"][0].words == "they come to 37.1 g"
    assert {"sr:28377", "sr:28390"} <= {fault.food_id for fault in report.faults["solids"]}
    assert report.faults["energy"][0].food_id == "sr:19918"  # stevia powder, carbohydrate that gives no energy
    assert report.missing["SUGAR"] == pytest.approx(1832 / 8789)


def test_limits_are_those_of_the_data_file_and_factors_those_of_the_regulation() -> None:
    assert checks()["solids"].limit == 5
    assert factors() == {
        "CHOAVL": (17, 4), "PROCNT": (17, 4), "FAT": (37, 9), "ALC": (29, 7), "FIBTG": (8, 2), "OA": (13, 3),
        "POLYL": (10, 2.4),
    }  # fmt: skip  # Regulation (EU) No 1169/2011, Annex XIV
    assert energy_regulation(CHEDDAR)[1] == pytest.approx(CHEDDAR["ENERC_KCAL"])


def test_a_file_that_is_no_table_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "x.foods.parquet"
    path.write_text("no parquet")
    with pytest.raises(TableError, match="cannot be read"):
        read_foods(path)
    pd.DataFrame({"a": [1]}).to_parquet(path)
    with pytest.raises(TableError, match="no food table of ours"):
        read_foods(path)


def test_what_is_printed_names_the_worst_and_what_is_missing() -> None:
    report = check_foods(table({"WATER": 10.0}, {"WATER": 20.0}, *[{}] * 40, names=("[b]Bad", *["x"] * 41)))
    text = sheet.check("shore", report, worst=1)
    assert "shore: 42 foods, 4.8% with a figure to ask about" in text
    assert "NOT SO in 2 of 42 foods" in text
    assert "x:1  [b]Bad: they come to 73.0 g" in text
    assert "and 1 more" in text
    assert "saturates are part of fat: so in all 42 foods" in text
    assert "never as zero" in text
    assert "TOO MANY" not in text
    assert "TOO MANY" in sheet.check("shore", check_foods(table({"WATER": 10.0})))


def test_every_component_checked_is_one_of_the_layout() -> None:
    assert set(factors()) <= set(schema.components())
