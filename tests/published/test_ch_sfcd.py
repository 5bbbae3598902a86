"""The Swiss table's loader on the whole published file, every value against an independent read of it.

Source: Swiss Food Composition Database 5.3 (Federal Food Safety and Veterinary Office), generic foods, as CSV made of
the published workbook by School of Data Switzerland (README.md beside it): 999 foods, 37 components, 606 empty values,
45 of type "trace", 10 "less than".

The independent read goes through the file by places, cell by cell, and knows nothing of the loader. 75 foods are
printed per 100 ml: that their own specific gravity is what brings them to 100 g shows where what is printed is whole.
Of ten of them it does not (STANDING): what is printed comes to 98 to 102 g as it stands, acids and ash apart.
"""

from __future__ import annotations

import csv
from collections import Counter
from pathlib import Path

import pytest

from data_loaders import ch_sfcd, checking, registry
from data_loaders.leaving_out import leave_out
from data_loaders.schema import TableData
from nutrilab.law.energy import energy_regulation

FILE = Path(__file__).parents[3] / "shared" / "reference" / "swiss" / "generic-foods.csv"
FIRST, WIDTH = 16, 5  # the first block of a component, and its columns: value, unit, of what, type, source
STANDING = {  # printed "per 100ml food volume" with figures of 100 g
    "Spirits, grain (e.g. whisky)", "Spirits, wine (e.g. cognac)", "Spirits, sugar cane (e.g. rum)",
    "Spirits, Kirsch, Cherry Schnaps", "Vinegar-oil-salad dressing (with rapeseed oil)",
    "Yogurt dressing (without oil)", "Salad dressing french style (with rapeseed oil)", "Carrot juice",
    "Orange juice, fortified with vitamin C", "Tomato juice",
}  # fmt: skip
TAGNAMES = """ENERC_KJ ENERC_KCAL PROCNT ALC WATER CHOAVL STARCH SUGAR FIBTG FAT CHOLE FAMS FASAT FAPU VITA RETOL
CARTBEQ CARTB THIA RIBF VITB6A VITB12 NIA FOL PANTAC VITC VITD VITE NA K CLD CA MG P FE ID ZN""".split()


def published() -> list[list[str]]:
    if not FILE.exists():
        pytest.skip("the published file ../shared/reference/swiss/generic-foods.csv is not beside this project")
    with FILE.open(encoding="utf-8-sig", newline="") as file:
        return list(csv.reader(file))[1:]


@pytest.fixture(scope="module")
def table() -> TableData:
    published()
    return registry.load("ch-sfcd", FILE)


def test_every_value_is_the_published_one(table: TableData) -> None:
    foods = {row["food_id"]: row for row in table.foods.to_dict("records")}
    assert table.notes is not None
    kinds: dict[tuple[str, str], set[str]] = {}
    bounds: dict[tuple[str, str], float] = {}
    for food_id, tagname, kind, _, high, _ in table.notes.to_numpy():
        kinds.setdefault((food_id, tagname), set()).add(kind)
        if high == high:
            bounds[food_id, tagname] = high
    seen: Counter[str] = Counter()
    rows = published()
    assert len(rows) == len(foods) == 999
    for row in rows:
        food_id = f"ch:{row[0]}"
        for n, tagname in enumerate(TAGNAMES):
            text, _, per, kind, _ = row[FIRST + WIDTH * n : FIRST + WIDTH * (n + 1)]
            found, noted = foods[food_id][tagname], kinds.get((food_id, tagname), set())
            if not text:
                assert found != found, (food_id, tagname)
                assert not noted
                seen["missing"] += 1
                continue
            by = 1 / float(row[15]) if per == "per 100ml food volume" and row[9] not in STANDING else 1.0
            assert ("converted" in noted) == (per == "per 100ml food volume")
            if kind in ("trace", "less than"):
                assert kind in noted, (food_id, tagname)
                assert 0 < found <= bounds[food_id, tagname], (food_id, tagname)
                if float(text):
                    assert bounds[food_id, tagname] == pytest.approx(float(text) * by)
            else:
                assert not noted & {"trace", "less than"}
                assert ("estimate" in noted) == (kind in ("best estimate", "value type not known"))
                assert found == pytest.approx(float(text) * by, rel=1e-12), (food_id, tagname)
            seen[kind] += 1
    assert (seen["missing"], seen["trace"], seen["less than"]) == (606, 45, 10)
    assert int(table.foods.iloc[:, 6:].notna().to_numpy().sum()) == 999 * 37 - 606


def test_names_and_groups_are_the_published_ones(table: TableData) -> None:
    foods = table.foods.set_index("food_id")
    for row in published():
        food = foods.loc[f"ch:{row[0]}"]
        assert food["name"] == row[9].strip()
        assert food["scientific_name"].startswith(f"de: {row[3].strip()}")
        assert food["group"] == row[14].split(";")[0]


def test_what_is_printed_per_100_ml_comes_to_100_g_by_its_own_specific_gravity(table: TableData) -> None:
    poured = {f"ch:{row[0]}" for row in published() if row[18] == "per 100ml food volume"}
    assert len(poured) == 75
    foods = table.foods[table.foods["food_id"].isin(poured)]
    whole = foods[["WATER", "PROCNT", "FAT", "CHOAVL", "ALC", "FIBTG"]].dropna().sum(axis=1)
    assert len(whole) > 70
    assert set(foods["name"][~whole.between(95, 102.5)]) == {"Vinegar", "Spirits, 40 vol% (e.g. brandy, gin)"}
    stay = foods[foods["name"].isin(STANDING)]
    assert len(stay) == len(STANDING)
    printed = {f"ch:{row[0]}": float(row[15]) for row in published() if row[9] in STANDING}
    for food_id, total in zip(stay["food_id"], whole[stay.index], strict=True):
        assert 98 < total < 102.5
        assert not 95 < total / printed[food_id] < 105
    oils = foods[foods["name"].str.contains("oil") & (foods["FAT"] > 50)]
    assert len(oils) >= 12
    assert oils["FAT"].between(97, 101).mean() > 0.9


def test_published_energy_is_the_regulations(table: TableData) -> None:
    """Annex XIV from the components, within 2 % or 10 kJ; the others are vinegar and rows odd in themselves."""
    apart = [
        row["name"]
        for row in table.foods.to_dict("records")
        if abs(energy_regulation({tag: row[tag] for tag in TAGNAMES if row[tag] == row[tag]})[0] - row["ENERC_KJ"])
        > max(10.0, 0.02 * row["ENERC_KJ"])
    ]
    assert len(apart) < 12
    assert "Vinegar" in apart


def test_only_two_salts_are_left_out_and_the_table_is_sound(table: TableData) -> None:
    """They are printed with 39.9 g of sodium in 100 g, which is more than sodium chloride holds."""
    kept = leave_out(table, "the table")
    assert [sentence.split(":")[1] for sentence in kept.left_out] == ["10457", "634"]
    report = checking.check_foods(kept.foods)
    assert report.sound
    assert report.faulty < 0.05


def test_every_component_has_its_step() -> None:
    assert [column.tagname for column in ch_sfcd.columns()] == TAGNAMES
