"""The UK table on the sheets that are here: proximates of 2015 and inorganics and vitamins of 2021, re-saved by others.

Source: UK Composition of Foods Integrated Dataset (McCance and Widdowson's), Public Health England, Open Government
Licence v3. Read in place from ../shared/reference, never copied into the project.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from statistics import median, quantiles
from typing import Any

import openpyxl
import pandas as pd
import pytest

from data_loaders import schema, uk_cofid
from data_loaders.schema import TableData
from data_loaders.uk_cofid_sheets import wanted_columns
from data_loaders.uk_cofid_values import trace_bounds
from nutrilab.law.conversions import AOAC_PER_NSP, UK_ENERGY
from nutrilab.law.energy import energy

REFERENCE = Path(__file__).parents[3] / "shared" / "reference"
FILES = ("cofid-2015-proximates.csv", "cofid-2021-minerals-vitamins.xlsx")
HERE = all((REFERENCE / name).exists() for name in FILES)
pytestmark = pytest.mark.skipif(
    not HERE, reason="../shared/reference/cofid-* is not here: the UK table is not compared"
)
FOODS, MINERALS = 2898, 2886
HEADS = 7  # columns before the values

# Typed from the two files: code -> tagname: value as printed, per 100 g; drinks are per 100 ml.
SPOT: dict[str, dict[str, float]] = {
    "12-596": {"FAT": 3.6, "FASAT": 2.29, "CHOAVLM": 4.6, "NA": 42, "CA": 120, "VITC": 2},  # whole milk
    "17-685": {"FAT": 82.2, "FASAT": 52.09, "NA": 730, "RETOL": 958},  # butter, salted
    "12-937": {"PROCNT_JONES": 12.6, "FAT": 9.0, "CHOLE": 350, "NA": 154, "VITD": 3.2},  # egg, raw
    "11-886": {"STARCHM": 80.3, "FIBTG": 4.0, "PSACNS": 3.4, "NA": 2, "FE": 1.94},  # plain flour
    "17-063": {"SUGARM": 105.0, "CHOAVL": 100.0, "ENERC_KCAL_OWN": 394},  # white sugar
    "17-367": {"NA": 39300, "K": 89, "ENERC_KCAL_OWN": 0},  # salt
    "13-532": {"ENERC_KCAL_OWN": 81, "FIBTG": 4.9, "NA": 261},  # baked beans
    "17-515": {"NA": 14560, "FAT": 9.2},  # beef stock cube
    "17-050": {
        "CHOAVLM": 76.4,
        "CHOAVL": 76.395,
        "NA": 11,
    },  # honey: 34.6 + 41.8, and 0.1 / 1.05 of traces, scaled to 76.4
    "14-318": {"WATER": 75.0, "K": 330, "SUGARM": 18.1},  # banana
    "11-981": {"FIBTG": 7.0, "NA": 400, "FASAT": 0.46},  # wholemeal bread
}


@cache
def proximates() -> dict[str, dict[str, str]]:
    with (REFERENCE / FILES[0]).open(encoding="utf-8-sig", newline="") as file:
        return {row["Food Code"]: row for row in csv.DictReader(file)}


@pytest.fixture(scope="module")
def table(tmp_path_factory: pytest.TempPathFactory) -> TableData:
    folder = tmp_path_factory.mktemp("cofid")
    for name in FILES:
        (folder / name).symlink_to(REFERENCE / name)
    return uk_cofid.load(folder)


@pytest.fixture(scope="module")
def foods(table: TableData) -> pd.DataFrame:
    return table.foods.set_index("food_id")


def number(text: Any) -> float | None:
    try:
        return float(text)
    except (TypeError, ValueError):
        return None


def test_the_whole_table(table: TableData, foods: pd.DataFrame) -> None:
    schema.check(table, "cofid")
    assert len(foods) == len(proximates()) == FOODS
    assert table.provenance.version.startswith("sheets of several editions: inorganics 2021, proximates 2015")
    assert foods["FAT"].notna().sum() == FOODS
    assert foods["NA"].notna().sum() >= 2800  # 43 are N; some foods of 2015 are not in the 2021 edition
    assert foods["CHOAVL"].notna().sum() == 2864  # 32 N, 2 blank
    assert table.notes is not None
    assert (table.notes["kind"] == "trace").sum() > 10_000


@pytest.mark.parametrize("code", SPOT)
def test_spot_values(foods: pd.DataFrame, code: str) -> None:
    for tagname, value in SPOT[code].items():
        assert foods.loc[f"uk:{code}", tagname] == pytest.approx(value, abs=5e-4), tagname


def printed() -> Iterator[tuple[str, str, Any]]:
    """(code, tagname, cell) of both files, food by food."""
    names = {name: column for column in wanted_columns() for name in column.names}
    heads = {
        head: names[plain].tagname
        for head in next(iter(proximates().values()))
        if (plain := head.rpartition(" (")[0].lower().replace("/", "").replace("(", "").replace(")", "")) in names
    }
    assert len(heads) >= 18
    for code, row in proximates().items():
        for head, tagname in heads.items():
            yield code, tagname, row[head]
    book = openpyxl.load_workbook(REFERENCE / FILES[1], read_only=True)
    for title in ("metals", "vitamin"):
        rows = book[title].iter_rows(values_only=True)
        tagnames = [names.get(str(head).rpartition(" (")[0].lower()) for head in next(rows)]
        seen: set[str] = set()
        for cells in rows:
            if cells[0] in seen:
                continue
            seen.add(str(cells[0]))
            for column, cell in zip(tagnames[HEADS:], cells[HEADS:], strict=True):
                if column is not None:
                    yield str(cells[0]), column.tagname, cell


def test_every_printed_value_is_there(foods: pd.DataFrame) -> None:
    """All figures of the codes both files hold, but for what is converted: drinks and foods weighed with waste."""
    groups = foods["group"].where(~foods["name"].str.contains("weighed"), "Q").to_dict()
    values = {tagname: foods[tagname].to_dict() for tagname in foods.columns[5:]}
    compared = 0
    for code, tagname, cell in printed():
        food_id = f"uk:{code}"
        if groups.get(food_id, "Q").startswith("Q") or tagname not in values:
            continue
        got = values[tagname][food_id]
        text = str(cell if cell is not None else "").strip()
        if (value := number(text)) is not None:
            assert got == pytest.approx(value, abs=1e-9), (code, tagname)
        elif text == "Tr":
            assert got == trace_bounds()[tagname] / 2, (code, tagname)
        elif tagname not in ("FIBTG", "FASAT"):  # these may be worked out where they are not printed
            assert got != got, (code, tagname, text)
        compared += 1
    assert compared > 120_000


def test_a_renewed_food_takes_its_minerals_from_the_new_code(foods: pd.DataFrame) -> None:
    """Celery, raw: 13-451 in the proximates of 2015; 13-636, "Previous 13-451", in the 2021 edition: 77 mg sodium."""
    assert foods.loc["uk:13-451", "NA"] == 77
    assert "uk:13-636" not in foods.index


def test_drinks_are_per_100_g(foods: pd.DataFrame) -> None:
    """40 ml of ethanol weigh 31.6 g; 100 ml of spirits of 40 % by volume weigh 94.8 g (OIML R 22): 33.3 g in 100 g."""
    assert proximates()["17-247"]["Alcohol (g)"] == "31.7"
    assert foods.loc["uk:17-247", "ALC"] == pytest.approx(33.3, abs=0.3)
    assert foods.loc["uk:17-752", "NA"] == pytest.approx(7 / 0.981, abs=0.01)


def test_foods_weighed_with_waste_are_like_those_without(foods: pd.DataFrame) -> None:
    """170 of the 211 have a twin without waste; their own figures, divided by the edible share, come near its."""
    waste = foods[foods["name"].str.contains("weighed")]
    assert len(waste) == 211
    assert waste["refuse"].between(0, 0.95).all()
    plain = foods[~foods["name"].str.contains("weighed")]
    kcal = dict(zip(plain["name"].str.lower(), plain["ENERC_KCAL_OWN"].tolist(), strict=True))
    off = []
    for name, own in zip(waste["name"].str.lower(), waste["ENERC_KCAL_OWN"].tolist(), strict=True):
        twin = re.sub(r",?(?: fillets)? weighed.*", "", name)
        if twin in kcal:
            off.append(abs(own - kcal[twin]) / max(kcal[twin], 20.0))
    assert len(off) >= 165
    assert median(off) < 0.02
    assert quantiles(off, n=20)[-1] < 0.12  # oysters with shells: figures of one digit, divided by 0.14


def test_the_tables_own_energy_follows_from_its_own_factors() -> None:
    """3.75 kcal per g carbohydrate as monosaccharides, 4, 9, 7 and 16, 17, 37, 29 kJ: checks the factors."""
    off: list[tuple[float, float]] = []
    for row in proximates().values():
        parts = {
            "PROCNT_JONES": number(row["Protein (g)"]), "FAT": number(row["Fat (g)"]),
            "CHOAVLM": number(row["Carbohydrate (g)"]), "ALC": number(row["Alcohol (g)"]) or 0.0,
        }  # fmt: skip
        kcal, kj = number(row["Energy (kcal) (kcal)"]), number(row["Energy (kJ) (kJ)"])
        if kcal and kj and None not in parts.values():
            by_kj, by_kcal = energy({name: value for name, value in parts.items() if value is not None}, UK_ENERGY)
            off.append((abs(by_kj - kj) / kj, abs(by_kcal - kcal) / kcal))
    assert len(off) > 2600
    for share in zip(*off, strict=True):
        assert median(share) < 0.005
        assert quantiles(share, n=20)[-1] < 0.06  # 19 foods of 20


def test_energy_by_the_regulation_is_near_the_tables_own(foods: pd.DataFrame) -> None:
    """It differs by fibre (2 kcal/g), by protein (N x 6.25), and else by 3 % at most: 1 g starch is 4.125 or 4 kcal."""
    some = foods[(foods["ENERC_KCAL_OWN"] > 50) & foods["ENERC_KCAL"].notna() & foods["FIBTG"].notna()]
    alike = some["ENERC_KCAL"] - 2 * some["FIBTG"] - 4 * (some["PROCNT"] - some["PROCNT_JONES"])
    off = (alike - some["ENERC_KCAL_OWN"]) / some["ENERC_KCAL_OWN"]
    assert off.abs().median() < 0.01
    assert off.quantile(0.05) > -0.035
    assert off.quantile(0.95) < 0.035


def test_carbohydrate_by_weight_is_below_its_equivalents(foods: pd.DataFrame) -> None:
    some = foods[foods["CHOAVL"].notna() & (foods["CHOAVLM"] > 0)]
    ratio = some["CHOAVLM"] / some["CHOAVL"]
    assert ratio.between(0.9999, 1.1001).all()
    assert (
        foods["SUGAR"] > foods["CHOAVL"] * 1.05 + 0.3
    ).sum() <= 12  # published contradictions: total sugars above total
    whole = (
        foods["WATER"]
        + foods["PROCNT_JONES"]
        + foods["FAT"]
        + foods["CHOAVL"]
        + foods["FIBTG"]
        + foods["ALC"].fillna(0)
    )
    assert whole.median() == pytest.approx(98.3, abs=1.0)  # ash and organic acids make up the rest


def test_the_ratio_of_fibre_by_two_methods() -> None:
    """AOAC / NSP over the foods of the 2015 edition with both and 0.5 g NSP or more: what conversions.py states."""
    ratios = []
    for row in proximates().values():
        nsp, aoac = number(row["NSP (g)"]), number(row["AOAC fibre (g)"])
        if nsp is not None and aoac is not None and nsp >= 0.5:
            ratios.append(aoac / nsp)
    tenths = quantiles(ratios, n=10)
    assert len(ratios) == 742
    assert (median(ratios), tenths[0], tenths[-1]) == pytest.approx(
        (AOAC_PER_NSP.value, AOAC_PER_NSP.low, AOAC_PER_NSP.high), abs=0.01
    )


def test_the_official_layout_reads_the_same(tmp_path: Path, foods: pd.DataFrame) -> None:
    """The same rows in one workbook with the official titles and three heading rows; every ninth food."""
    codes = {column.names[0]: column.code for column in wanted_columns()}
    book = openpyxl.Workbook(write_only=True)
    known = openpyxl.load_workbook(REFERENCE / FILES[1], read_only=True)
    tables = {
        "1.3 Proximates": [
            list(next(iter(proximates().values()))),
            *map(list, map(dict.values, proximates().values())),
        ],
        "1.4 Inorganics": [list(row) for row in known["metals"].iter_rows(values_only=True)],
        "1.5 Vitamins": [list(row) for row in known["vitamin"].iter_rows(values_only=True)],
    }
    shared = set.intersection(*({str(row[0]) for row in rows[1:]} for rows in tables.values()))
    plain = {code for code in shared if "weighed" not in proximates()[code]["Food Name"]}  # twins may not be chosen
    chosen = set(sorted(plain)[::9])
    for title, (head, *rows) in tables.items():
        page = book.create_sheet(title)
        names = [str(name).replace("food_code", "Food Code").replace("mug", "µg") for name in head]
        page.append(names)
        page.append([codes.get(name.rpartition(" (")[0].lower()) for name in names])
        page.append([])
        for row in rows:
            if row[0] in chosen:
                page.append([*row[:HEADS], *(cell if number(cell) is None else number(cell) for cell in row[HEADS:])])
    book.save(tmp_path / "cofid_2021.xlsx")
    found = uk_cofid.load(tmp_path / "cofid_2021.xlsx").foods.set_index("food_id")
    assert len(found) == len(chosen) > 280
    columns = list(found.columns[5:])
    pd.testing.assert_frame_equal(found[columns], foods.loc[found.index, columns], check_exact=True)
