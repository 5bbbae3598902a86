"""The loader of the UK table: a workbook in the official layout, built here from published rows, and broken ones.

Figures: UK Composition of Foods Integrated Dataset, proximates of the 2015 edition and inorganics and vitamins of the
2021 edition (Open Government Licence v3). The layout (titles, three heading rows, codes) is from memory.
"""

from __future__ import annotations

import datetime
import io
import zipfile
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from data_loaders import registry, schema, uk_cofid, uk_cofid_sheets
from data_loaders.schema import TableData, TableError
from nutrilab.foods import Food, FoodTable

Row = list[Any]
Sheets = dict[str, list[Row]]
FIRST = ["Food Code", "Food Name", "Description", "Group", "Previous", "Main data references", "Footnote"]
PROXIMATES = {
    "Water (g)": "WATER", "Total nitrogen (g)": "TOTNIT", "Protein (g)": "PROT", "Fat (g)": "FAT",
    "Carbohydrate (g)": "CHO", "Energy (kcal) (kcal)": "KCALS", "Energy (kJ) (kJ)": "KJ", "Starch (g)": "STAR",
    "Oligosaccharide (g)": "OLIGO", "Total sugars (g)": "TOTSUG", "Glucose (g)": "GLUC", "Galactose (g)": "GALACT",
    "Fructose (g)": "FRUCT", "Sucrose (g)": "SUCR", "Maltose (g)": "MALT", "Lactose (g)": "LACT",
    "Alcohol (g)": "ALCO", "NSP (g)": "ENGFIB", "AOAC fibre (g)": "AOACFIB", "Satd FA /100g FA (g)": "SATFAC",
    "Satd FA /100g fd (g)": "SATFOD", "Cholesterol (mg)": "CHOL",
}  # fmt: skip
INORGANICS = {"Sodium (mg)": "NA", "Potassium (mg)": "K", "Selenium (µg)": "SE"}
VITAMINS = {"Retinol (µg)": "RET", "Vitamin C (mg)": "VITC"}
FACTORS = {"Edible conversion factor": "EDPOR", "Specific gravity": "", "Glycerol conversion factor": ""}
ACKEE, FLOUR, MILK, APPLE, BUTTER = "13-145", "11-886", "12-596", "14-319", "17-685"
SUGAR, SPIRITS, WINE, BEANS, COLEY = "17-063", "17-247", "17-752", "13-109", "16-430"
FOODS: dict[str, tuple[str, str, str]] = {
    ACKEE: ("Ackee, canned, drained", "DG",
            "76.7 0.46 2.9 15.2 0.8 151 625 Tr - 0.8 0.1 0.0 Tr 0.7 0.0 0.0 - N - - N 0.0"),
    APPLE: ("Apples, eating, raw, flesh and skin", "FA",
            "86.2 0.10 0.6 0.5 11.6 51 215 Tr - 11.6 2.1 Tr 6.7 2.8 0.0 0.0 0.0 1.3 1.2 - 0.12 0.0"),
    BEANS: ("Beans, red kidney, dried, raw", "DB",
            "11.2 3.54 22.1 1.4 44.1 266 1133 38.0 3.6 2.5 0.2 0.0 0.1 2.2 0.0 0.0 0.0 15.7 N - 0.20 0.0"),
    BUTTER: ("Butter, salted", "OA",
             "14.9 0.10 0.6 82.2 0.6 744 3059 0.0 0.0 0.6 0.0 0.0 0.0 0.0 0.0 0.6 0.0 0.0 0.0 68.68 52.09 213.2"),
    COLEY: ("Coley, flesh only, grilled", "JA",
            "76.7 3.71 27.2 1.4 0.0 105 446 0.0 - 0.0 0.0 - 0.0 0.0 0.0 0.0 0.0 0.0 0.0 - 0.25 61.0"),
    FLOUR: ("Flour, wheat, white, plain, soft", "AA",
            "11.6 1.60 9.1 1.4 80.9 352 1501 80.3 0.0 0.6 Tr - Tr 0.5 0.1 0.0 0.0 3.4 4.0 48.68 0.44 0.0"),
    MILK: ("Milk, whole, pasteurised, average", "BAK",
           "87.6 0.53 3.4 3.6 4.6 63 265 0.0 0.0 4.6 0.0 0.0 0.0 0.0 0.0 4.6 0.0 0.0 0.0 - 2.29 12.0"),
    SPIRITS: ("Spirits, 40% volume", "QK",
              "68.3 Tr Tr 0.0 Tr 222 919 0.0 - Tr 0.0 0.0 0.0 Tr 0.0 0.0 31.7 0.0 0.0 - 0.00 0.0"),
    SUGAR: ("Sugar, white", "SC",
            "Tr Tr Tr 0.0 105.0 394 1680 0.0 - 105.0 0.0 0.0 0.0 105.0 0.0 0.0 0.0 0.0 0.0 - 0.00 0.0"),
    WINE: ("Wine, red", "QE",
           "88.4 0.03 0.1 0.0 0.2 76 315 0.0 - 0.2 0.1 0.0 0.1 Tr 0.0 0.0 10.7 0.0 0.0 - 0.00 0.0"),
}  # fmt: skip
SODIUM = {ACKEE: 240, APPLE: 1, BEANS: 18, BUTTER: 730, COLEY: 88, FLOUR: 2, MILK: 42, SPIRITS: "Tr", SUGAR: 5, WINE: 7}


def cell(text: str, as_text: bool) -> Any:
    """ "-" is an empty cell; numbers stand as text or as numbers, for both occur in one published sheet."""
    if text == "-":
        return None
    return text if as_text or text in ("Tr", "N") else float(text)


def sheet(columns: dict[str, str], values: Mapping[str, Sequence[Any]]) -> list[Row]:
    heads: list[Row] = [
        [*FIRST, *columns],
        [None] * 7 + list(columns.values()),
        [None] * 7 + ["per 100 g"] * len(columns),
    ]
    rows = [[code, FOODS[code][0], "some samples", FOODS[code][1], None, None, None, *values[code]] for code in values]
    return heads + rows


def official() -> Sheets:
    """The sheets of the official workbook, with these ten foods."""
    values = {
        code: [cell(text, place % 2 == 0) for place, text in enumerate(row.split())]
        for code, (_, _, row) in FOODS.items()
    }
    return {
        "1.1 Notes": [["The Composition of Foods"]],
        "1.2 Factors": sheet(FACTORS, {code: [0.66 if code == APPLE else None, None, None] for code in FOODS}),
        "1.3 Proximates": sheet(PROXIMATES, values),
        "1.4 Inorganics": sheet(INORGANICS, {code: [SODIUM[code], 100, "Tr"] for code in FOODS}),
        "1.5 Vitamins": sheet(VITAMINS, {code: [0, "N"] for code in FOODS}),
        "1.6 Vitamin fractions": sheet({"Retinol (µg)": "RET"}, {code: [9] for code in FOODS}),
    }


def save(place: Path, sheets: Sheets, name: str = "cofid_2021.xlsx") -> Path:
    book = openpyxl.Workbook(write_only=True)
    for title, rows in sheets.items():
        page = book.create_sheet(title)
        for row in rows:
            page.append(row)
    book.save(place / name)
    return place / name


@pytest.fixture(scope="module")
def table(tmp_path_factory: pytest.TempPathFactory) -> TableData:
    return registry.loader("uk-cofid").load(save(tmp_path_factory.mktemp("cofid"), official()))


def food(table: TableData, code: str) -> dict[str, Any]:
    found = table.foods.set_index("food_id").loc[f"uk:{code}"].dropna()
    return {str(tagname): value for tagname, value in found.items()}


def notes(table: TableData, code: str) -> dict[str, tuple[Any, ...]]:
    """tagname -> (kind, low, high)."""
    assert table.notes is not None
    some = table.notes[table.notes["food_id"] == f"uk:{code}"]
    return {row["tagname"]: (row["kind"], row["low"], row["high"]) for row in some.to_dict("records")}


# -- what the cells say -----------------------------------------------------------------------------


def test_the_table_as_a_whole(table: TableData, tmp_path: Path) -> None:
    schema.check(table, "test")
    assert list(table.foods["food_id"]) == [f"uk:{code}" for code in FOODS]
    assert table.foods["group"].iloc[0] == "DG Vegetables, general"
    assert table.provenance.version == "2021 edition"
    assert "Open Government Licence v3.0" in table.provenance.credit
    assert table.provenance.inputs == {"cofid_2021.xlsx": table.provenance.inputs["cofid_2021.xlsx"]}
    read = FoodTable(schema.write(table, tmp_path, "uk-cofid")).food(f"uk:{APPLE}")
    assert isinstance(read, Food)
    assert read.refuse == pytest.approx(0.34)
    assert "VITC" not in read.values  # "N": there is some, and nobody knows how much


def test_traces_unknown_and_blank(table: TableData) -> None:
    ackee = food(table, ACKEE)
    assert "FASAT" not in ackee  # N
    assert "PSACNS" not in ackee
    assert "ALC" not in ackee  # blank
    assert ackee["STARCHM"] == 0.05  # Tr: the middle of 0 and the 0.1 g that could just be printed
    assert notes(table, ACKEE)["STARCHM"] == ("trace", 0.0, 0.1)
    assert notes(table, ACKEE)["SE"] == ("trace", 0.0, 1.0)
    assert "FAT" not in notes(table, ACKEE)
    assert ackee["NA"] == 240


def test_estimates_and_bounds(tmp_path: Path) -> None:
    sheets = official()
    for place, text in enumerate(("(76.7)", "[0.46]", "< 3", "(Tr)", "(N)", " 151 ", "625 ", "", "-", "n")):
        sheets["1.3 Proximates"][3][7 + place] = text
    table = uk_cofid.load(save(tmp_path, sheets))
    ackee, said = food(table, ACKEE), notes(table, ACKEE)
    assert (ackee["WATER"], said["WATER"][0]) == (76.7, "estimate")
    assert (ackee["NT"], said["NT"][0]) == (0.46, "estimate")
    assert (ackee["PROCNT_JONES"], said["PROCNT_JONES"]) == (1.5, ("less than", 0.0, 3.0))
    assert (ackee["FAT"], said["FAT"]) == (0.05, ("trace", 0.0, 0.1))
    assert ackee["ENERC_KCAL_OWN"] == 151
    for missing in ("CHOAVLM", "CHOAVL", "STARCHM", "OLSACM", "SUGARM", "ENERC_KCAL"):
        assert missing not in ackee


# -- five foods worked by hand ----------------------------------------------------------------------


def test_milk_by_hand(table: TableData) -> None:
    """Lactose only: 4.6 / 1.05 = 4.381. Protein 0.53 x 6.25 = 3.3125 (printed 3.4 = 0.53 x 6.38).
    kcal: 4 x 4.381 + 4 x 3.3125 + 9 x 3.6 = 17.524 + 13.25 + 32.4 = 63.17; kJ: 17 x 7.6935 + 37 x 3.6 = 263.99."""
    milk = food(table, MILK)
    assert milk["CHOAVL"] == pytest.approx(4.38095, abs=1e-5)
    assert (milk["SUGAR"], milk["LACS"], milk["STARCH"]) == pytest.approx((4.38095, 4.38095, 0.0), abs=1e-5)
    assert milk["PROCNT"] == pytest.approx(3.3125)
    assert milk["ENERC_KCAL"] == pytest.approx(63.1738, abs=1e-3)
    assert milk["ENERC_KJ"] == pytest.approx(263.989, abs=1e-2)
    assert (milk["CHOAVLM"], milk["PROCNT_JONES"], milk["ENERC_KCAL_OWN"]) == (4.6, 3.4, 63)  # the originals


def test_flour_by_hand(table: TableData) -> None:
    """Starch 80.3 / 1.10 = 73. Sugars 0.6, of which told apart: glucose and fructose a trace of 0.05 each, sucrose
    0.5 / 1.05, maltose 0.1 / 1.05: 0.67143 by weight from 0.7, scaled to 0.6: 0.57551. Carbohydrate 73.57551.
    Protein 1.60 x 6.25 = 10. kcal: 4 x 73.57551 + 4 x 10 + 9 x 1.4 + 2 x 4.0 (fibre) = 354.90."""
    flour = food(table, FLOUR)
    assert flour["STARCH"] == pytest.approx(73.0)
    assert flour["SUGAR"] == pytest.approx(0.57551, abs=1e-5)
    assert flour["CHOAVL"] == pytest.approx(73.57551, abs=1e-5)
    assert flour["PROCNT"] == pytest.approx(10.0)
    assert flour["FIBTG"] == 4.0  # AOAC as printed, not made of the 3.4 g NSP
    assert flour["ENERC_KCAL"] == pytest.approx(354.902, abs=1e-3)


def test_beans_by_hand(table: TableData) -> None:
    """44.1 = 38.0 starch + 3.6 oligosaccharides + 2.5 sugars (0.2 glucose, 0.1 fructose, 2.2 sucrose):
    34.54545 + 3.33333 + (0.3 + 2.09524) = 40.27403; oligosaccharides between 3.6 / 1.10 and 3.6 / 1.07.
    Fibre: AOAC "N", so NSP 15.7 x 1.31 = 20.567, between 15.7 x 0.96 = 15.072 and what the rest leaves of 100 g:
    100 - 11.2 water - 22.1 protein - 1.4 fat - 40.27403 = 25.02597 (15.7 x 2.0 would be 31.4)."""
    beans, said = food(table, BEANS), notes(table, BEANS)
    assert beans["CHOAVL"] == pytest.approx(40.27403, abs=1e-5)
    assert beans["OLSAC"] == pytest.approx(3.33333, abs=1e-5)
    assert beans["FIBTG"] == pytest.approx(20.567)
    assert said["FIBTG"] == ("converted", pytest.approx(15.072), pytest.approx(25.02597, abs=1e-5))
    assert beans["PSACNS"] == 15.7
    assert "CHOAVL" not in said  # its bounds are nearer than what is printed


def test_ackee_by_hand(table: TableData) -> None:
    """Sugars: glucose 0.1, fructose a trace of 0.05, sucrose 0.7 / 1.05 = 0.66667: 0.81667 from 0.85, scaled to 0.8:
    0.76863. Carbohydrate: 0.05 starch / 1.10 + 0.76863 = 0.81408 from 0.85, scaled to 0.8: 0.76619."""
    ackee = food(table, ACKEE)
    assert ackee["SUGAR"] == pytest.approx(0.76863, abs=1e-5)
    assert ackee["CHOAVL"] == pytest.approx(0.76619, abs=1e-5)
    assert "FIBTG" not in ackee  # NSP "N", AOAC blank: missing, never 0


def test_spirits_by_hand(table: TableData) -> None:
    """Printed per 100 ml. Density 0.998 - 0.00165 x 31.7 + 0.0038 x 0.05 = 0.945885 g/ml: alcohol 31.7 / 0.945885 =
    33.5136 g per 100 g (40 ml x 0.789 g/ml of 94.8 g are 33.3). kcal 7 x 33.5136 + 4 x (0.0330 + 0.0503) = 234.93."""
    spirits = food(table, SPIRITS)
    assert spirits["ALC"] == pytest.approx(33.5136, abs=1e-4)
    assert spirits["ALC"] == pytest.approx(33.3, abs=0.3)
    kind, low, high = notes(table, SPIRITS)["ALC"]
    assert (kind, low < 33.3 < high) == ("converted", True)
    assert spirits["ENERC_KCAL"] == pytest.approx(234.929, abs=1e-2)
    assert spirits["ENERC_KCAL_OWN"] == pytest.approx(222 / 0.945885)
    assert spirits["WATER"] + spirits["ALC"] + spirits["PROCNT"] + spirits["CHOAVL"] == pytest.approx(100)
    measures = table.measures.set_index("food_id")
    assert measures.loc[f"uk:{SPIRITS}", "grams"] == pytest.approx(0.945885)  # of 1 ml
    assert set(measures.index) == {f"uk:{SPIRITS}", f"uk:{WINE}"}


def test_sugar_is_100_g_not_105(table: TableData) -> None:
    sugar = food(table, SUGAR)
    assert (sugar["CHOAVL"], sugar["SUGAR"], sugar["SUCS"]) == pytest.approx((100.0, 100.0, 100.0))
    assert (sugar["CHOAVLM"], sugar["SUCSM"]) == (105.0, 105.0)


def test_a_misprint_of_nitrogen_is_owned_up_to(table: TableData) -> None:
    """Coley, grilled: protein 27.2, nitrogen 3.71, and 3.71 x 6.25 is 23.2; its energy goes with 27.2."""
    assert food(table, COLEY)["PROCNT"] == 27.2
    assert notes(table, COLEY)["PROCNT"] == ("estimate", pytest.approx(23.1875), 27.2)


def test_the_factors_sheet_is_used(tmp_path: Path) -> None:
    sheets = official()
    factors = {row[0]: row for row in sheets["1.2 Factors"][3:]}
    factors[SPIRITS][8] = 0.95  # a specific gravity as printed beats the estimate
    factors[ACKEE][9] = 0.80
    factors[MILK][7] = "see note"  # a layout known from memory only: what is no figure is missing
    proximates = {row[0]: row for row in sheets["1.3 Proximates"][3:]}
    proximates[ACKEE][26] = 36.5  # saturates per 100 g fatty acids, 15.2 g fat: 36.5 / 100 x 15.2 x 0.80 = 4.438
    table = uk_cofid.load(save(tmp_path, sheets))
    assert food(table, SPIRITS)["ALC"] == pytest.approx(31.7 / 0.95)
    assert food(table, ACKEE)["FASAT"] == pytest.approx(4.4384)
    assert notes(table, ACKEE)["FASAT"][0] == "converted"
    assert "refuse" not in food(table, MILK)


def test_a_food_weighed_with_its_waste_is_brought_to_what_is_eaten(tmp_path: Path) -> None:
    """Bananas: 14-318, flesh only, and 14-347, weighed with skin. Printed of the first are 75.0 + 1.2 + 0.1 + 20.3 +
    0.8 = 97.4 g, of the second 47.3 + 0.8 + 0.05 + 12.8 + 0.5 = 61.45 g: edible 0.63090. Without a twin: 61.45 / 98."""
    flesh = "75.0 0.18 1.2 0.1 20.3 81 348 2.2 - 18.1 7.9 Tr 7.5 2.7 0.0 0.0 0.0 0.8 1.4 - 0.04 0.0".split()
    skin = "47.3 0.11 0.8 Tr 12.8 51 217 1.4 - 11.4 5.0 0.0 4.7 1.7 0.0 0.0 0.0 0.5 0.9 - 0.03 0.0".split()
    sheets = official()
    for code, name, row in (
        ("14-318", "Bananas, raw, flesh only", flesh),
        ("14-347", "Bananas, raw, flesh only, weighed with skin", skin),
        ("14-999", "Mangoes, weighed with stone", skin),
    ):
        values = [cell(text, False) for text in row]
        sheets["1.3 Proximates"].append([code, name, "", "FA", None, None, None, *values])
    table = uk_cofid.load(save(tmp_path, sheets))
    banana, mango = food(table, "14-347"), food(table, "14-999")
    assert banana["refuse"] == pytest.approx(1 - 61.45 / 97.4)
    assert (banana["WATER"], banana["SUGARM"]) == pytest.approx((47.3 / 0.630903, 11.4 / 0.630903), rel=1e-5)
    assert banana["ENERC_KCAL"] == pytest.approx(food(table, "14-318")["ENERC_KCAL"], rel=0.02)
    assert notes(table, "14-347")["FAT"] == ("trace", 0.0, pytest.approx(0.1 / 0.630903))
    assert mango["refuse"] == pytest.approx(1 - 61.45 / 98)
    assert "refuse" not in food(table, MILK)


# -- editions and folders ---------------------------------------------------------------------------


def test_another_edition_with_other_numbers_order_and_no_code_row(tmp_path: Path, table: TableData) -> None:
    sheets = official()
    other: Sheets = {}
    for title, rows in sheets.items():
        name = title.partition(" ")[2].upper()
        if name == "FACTORS":
            continue
        turned = [[*row[:7], *row[7:][::-1]] for row in rows]
        other[f"{name} (2019)"] = [turned[0], *turned[3:], [], ["Tr: trace"]]
    found = uk_cofid.load(save(tmp_path, other, "cofid_2019.xlsx"))
    assert found.provenance.version == "2019 edition; without the sheet factors"
    columns = [name for name in table.foods.columns if name not in ("refuse", "source")]
    assert found.foods[columns].equals(table.foods[columns])


def test_codes_alone_are_enough(tmp_path: Path, table: TableData) -> None:
    sheets = official()
    sheets["1.3 Proximates"][0] = [*FIRST, *(f"Column {i}" for i in range(len(PROXIMATES)))]
    assert uk_cofid.load(save(tmp_path, sheets)).foods.equals(table.foods)


def test_a_folder_of_sheets_of_two_editions(tmp_path: Path) -> None:
    """Butter renewed under a new code that names the old one; a food only the newer edition has is left out."""
    import csv

    sheets = official()
    with (tmp_path / "cofid-2015-proximates.csv").open("w", newline="", encoding="utf-8") as file:
        csv.writer(file).writerows([sheets["1.3 Proximates"][0], *sheets["1.3 Proximates"][3:]])
    metals = sheets["1.4 Inorganics"]
    butter = next(row for row in metals if row[0] == BUTTER)
    butter[0], butter[4], butter[7] = "17-999", f"17-001 {BUTTER}", 600
    metals.append(["18-001", "Beef", "", "MAC", None, None, None, 50, 1, 1])
    save(tmp_path, {"metals": metals}, "cofid-2021-minerals.xlsx")
    table = uk_cofid.load(tmp_path)
    assert (food(table, BUTTER)["NA"], food(table, MILK)["NA"]) == (600, 42)
    assert table.provenance.version == (
        "sheets of several editions: inorganics 2021, proximates 2015; without the sheet vitamins and factors; "
        "1 foods of the sheet inorganics have no proximates and are left out"
    )
    assert set(table.provenance.inputs) == {"cofid-2015-proximates.csv", "cofid-2021-minerals.xlsx"}


def test_the_code_published_twice(tmp_path: Path) -> None:
    """13-669 in the 2021 edition is an aubergine and a watercress."""
    sheets = official()
    for title, rows in sheets.items():
        for row in rows[3:]:
            if row[0] == APPLE:
                row[0] = "13-669"
            if row[0] == ACKEE:
                row[0], row[1] = "13-669", "Watercress, raw"
                row[7] = 37 if "Inorganics" in title else row[7]
    table = uk_cofid.load(save(tmp_path, sheets))
    assert food(table, "13-669")["NA"] == 1
    assert food(table, "13-669-watercress")["NA"] == 37


# -- broken and hostile files -----------------------------------------------------------------------

Change = Callable[[Sheets], object]


def put(title: str, row: int, column: int, value: Any) -> Change:
    return lambda sheets: sheets[title][row].__setitem__(column, value)


def drop_column(sheets: Sheets) -> None:
    for row in sheets["1.3 Proximates"]:
        del row[10]


def swap_values(sheets: Sheets) -> None:
    for row in sheets["1.3 Proximates"][3:]:
        row[9], row[10] = row[10], row[9]


def swap_water(sheets: Sheets) -> None:
    for row in sheets["1.3 Proximates"][3:]:
        row[7], row[24] = row[24], row[7]


PLACE = "cofid_2021.xlsx, sheet 1.3 Proximates"
SALTS = "cofid_2021.xlsx, sheet 1.4 Inorganics"
BROKEN: list[tuple[Change, str]] = [
    (lambda s: s.pop("1.3 Proximates"), "cofid_2021.xlsx: the sheet Proximates is missing"),
    (lambda s: s.pop("1.4 Inorganics"), "cofid_2021.xlsx: the sheet Inorganics is missing"),
    (lambda s: s.update({"Proximates old": s["1.3 Proximates"]}), "cofid_2021.xlsx, sheet Proximates old: the sheet"),
    (drop_column, f'{PLACE}: the column "fat" is missing'),
    (put("1.4 Inorganics", 1, 7, None), ""),  # a code that is not there, where the name is: no fault
    (put("1.4 Inorganics", 0, 7, "Sodium (g)"), f'{SALTS}: the column "Sodium (g)" should be in mg'),
    (put("1.3 Proximates", 0, 9, "Fat (g)"), f'{PLACE}: the headings "Fat (g)"'),
    (put("1.3 Proximates", 1, 9, "FAT"), f"{PLACE}: the headings"),
    (put("1.3 Proximates", 0, 13, "Total sugars (g)"), f"{PLACE}: the headings"),
    (swap_values, f"{PLACE}: energy does not follow from the components in"),
    (swap_water, f"{PLACE}: solids and water are not 100 g in"),
    (put("1.3 Proximates", 4, 9, "a lot"), f'{PLACE}, line 5: "a lot" under protein of the food 14-319 is no amount'),
    (put("1.3 Proximates", 4, 9, -0.6), f'{PLACE}, line 5: "-0.6" under protein'),
    (put("1.3 Proximates", 4, 9, "-0.6"), f'{PLACE}, line 5: "-0.6" under protein'),
    (put("1.3 Proximates", 4, 9, 166), f'{PLACE}, line 5: "166" under protein'),
    (put("1.3 Proximates", 4, 9, "1e999"), f'{PLACE}, line 5: "1e999" under protein'),
    (put("1.3 Proximates", 4, 9, "0,6"), f'{PLACE}, line 5: "0,6" under protein'),
    (put("1.3 Proximates", 4, 9, True), f'{PLACE}, line 5: "True" under protein'),
    (put("1.3 Proximates", 4, 9, datetime.date(2021, 3, 1)), f'{PLACE}, line 5: "2021-03-01 00:00:00" under protein'),
    (put("1.3 Proximates", 4, 9, "9" * 1000), f'{PLACE}, line 5: "{"9" * 40}" under protein'),
    (put("1.3 Proximates", 4, 9, "#DIV/0!"), f'{PLACE}, line 5: "#DIV/0!" under protein'),
    (put("1.4 Inorganics", 4, 7, "unknown"), f'{SALTS}, line 5: "unknown" under sodium'),
    (put("1.3 Proximates", 4, 0, ACKEE), f"{PLACE}, line 5: the food 13-145 stands here a second time, first in"),
    (put("1.4 Inorganics", 4, 0, ACKEE), f"{SALTS}, line 5: the food 13-145 stands here a second time"),
    (put("1.3 Proximates", 4, 0, "Dec-45"), f'{PLACE}, line 5: "Dec-45" is no food code'),
    (put("1.3 Proximates", 4, 0, None), f'{PLACE}, line 5: "" is no food code'),
    (put("1.3 Proximates", 4, 1, " "), f"{PLACE}, line 5: the food {APPLE} has no name"),
    (lambda s: s.update({"1.3 Proximates": s["1.3 Proximates"][:3]}), f"{PLACE}: no row begins with a food code"),
    (lambda s: s.update({"1.3 Proximates": s["1.3 Proximates"][3:]}), f"{PLACE}: no headings stand above"),
    (lambda s: s["1.3 Proximates"].append(["12-345"] * 501), f"{PLACE}, line 14: it has 501 columns"),
]  # fmt: skip


@pytest.mark.parametrize(("change", "message"), BROKEN, ids=[str(i) for i in range(len(BROKEN))])
def test_broken_sheets_are_refused_with_sheet_and_line(tmp_path: Path, change: Change, message: str) -> None:
    sheets = official()
    change(sheets)
    path = save(tmp_path, sheets)
    if not message:
        assert food(uk_cofid.load(path), BUTTER)["NA"] == 730
        return
    with pytest.raises(TableError) as error:
        uk_cofid.load(path)
    assert str(error.value).startswith(message)
    assert "\n" not in str(error.value)


def test_too_many_rows(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(uk_cofid_sheets, "MOST_ROWS", 12)
    with pytest.raises(TableError, match="Factors: it has more than 12 rows"):
        uk_cofid.load(save(tmp_path, official()))


def rewritten(path: Path, change: Callable[[str, bytes], bytes]) -> Path:
    """A workbook with its parts changed."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(path) as old, zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as new:
        for info in old.infolist():
            new.writestr(info.filename, change(info.filename, old.read(info)))
    path.write_bytes(buffer.getvalue())
    return path


ENTITY = b'<!DOCTYPE x [<!ENTITY e SYSTEM "file:///etc/hostname">]>'


def with_entity(name: str, part: bytes) -> bytes:
    if "sheet3" not in name:
        return part
    head, mark, rest = part.partition(b"<worksheet")
    return head + ENTITY + mark + rest


def with_entity_in_utf_16(name: str, part: bytes) -> bytes:
    if "sheet3" not in name:
        return part
    text = with_entity(name, part).decode().replace("UTF-8", "UTF-16")
    return text.encode("utf-16")


def with_cells(cells: bytes) -> Callable[[str, bytes], bytes]:
    return lambda name, part: part.replace(b"</row>", cells + b"</row>", 1) if "sheet3" in name else part


def test_hostile_workbooks(tmp_path: Path) -> None:
    path = save(tmp_path, official())
    good = path.read_bytes()
    many = b"".join(b"<c><v>%d</v></c>" % (i * 7919 % 99991) for i in range(2_000_000))
    hidden = many[:5_000_000] + b"<!-- </row> -->"
    cases: list[tuple[Callable[[str, bytes], bytes], str]] = [
        (with_entity, "DOCTYPE"),
        (with_entity_in_utf_16, "DOCTYPE"),
        (with_cells(many), "row of far too many cells"),  # two million columns
        (with_cells(hidden), "row of far too many cells"),
        (with_cells(b" " * 50_000_000), "unpack to far more"),  # a bomb: 60 kB that unpack to 50 MB
        (lambda name, part: part[: len(part) // 2] if "sheet3" in name else part, "the workbook is damaged"),
        (lambda name, part: b"" if "workbook.xml" in name else part, "the workbook is damaged"),
        (lambda name, part: part.replace(b"</row>", b'</row><row r="9999999999"/>', 1), "more than 20,000 rows"),
    ]
    for change, words in cases:
        path.write_bytes(good)
        with pytest.raises(TableError, match=words) as error:
            uk_cofid.load(rewritten(path, change))
        assert str(error.value).startswith("cofid_2021.xlsx")
        assert "\n" not in str(error.value)


def test_files_that_are_no_workbook(tmp_path: Path) -> None:
    path = save(tmp_path, official())
    good = path.read_bytes()
    for data, words in (
        (good[: len(good) // 2], "damaged"),
        (b"", "empty"),
        (b"Food Code,Food Name", "no workbook"),
        (b"\xd0\xcf\x11\xe0" + good, "old .xls or a workbook with a password"),
        (b"PK\x03\x04" + b"\0" * 1000, "damaged"),
    ):
        path.write_bytes(data)
        with pytest.raises(TableError, match=words):
            uk_cofid.load(path)
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("notes.txt", "a zip, but no workbook")
    with pytest.raises(TableError, match="the workbook is damaged"):
        uk_cofid.load(path)
    with pytest.raises(TableError, match="no such file"):
        uk_cofid.load(tmp_path / "nothing.xlsx")
    (tmp_path / "cofid.pdf").write_bytes(b"%PDF")
    with pytest.raises(TableError, match="neither a workbook"):
        uk_cofid.load(tmp_path / "cofid.pdf")
    (tmp_path / "empty").mkdir()
    with pytest.raises(TableError, match=r"no \.xlsx and \.csv files"):
        uk_cofid.load(tmp_path / "empty")


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (b"Food Code,Food Name" + b",x" * 2_000_000, "cofid-2015-proximates.csv, line 1: it has far too many columns"),
        (
            "Food Code,Food Name\n13-145,Crème".encode("latin-1"),
            "cofid-2015-proximates.csv, line 2: its letters are not UTF-8",
        ),
        (b"Food Code,Food Name\n13-145,Ackee\n", "cofid-2015-proximates.csv: the column "),
        (b'Food Code,"Food Name\n13-145,Ackee\n', "cofid-2015-proximates.csv, line 2: it cannot be read"),
        (b"Food Code,Food \0Name\n13-145,Ackee\n", "cofid-2015-proximates.csv"),
        (b"", "the file is empty"),
    ],
)  # fmt: skip
def test_broken_sheets_saved_as_csv(tmp_path: Path, data: bytes, message: str) -> None:
    path = tmp_path / "cofid-2015-proximates.csv"
    path.write_bytes(data)
    with pytest.raises(TableError) as error:
        uk_cofid.load(path)
    assert message in str(error.value)


def test_without_the_library_a_sentence_says_what_to_install(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def absent(name: str) -> Any:
        raise ImportError(name)

    path = save(tmp_path, official())
    monkeypatch.setattr(uk_cofid_sheets, "import_module", absent)
    with pytest.raises(TableError, match=r"pip install '\.\[tables\]'"):
        uk_cofid.load(path)
