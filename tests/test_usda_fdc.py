"""The FoodData Central loader on small downloads in the official layout: what comes in, what is left out.

Broken and hostile files: test_usda_fdc_broken.py; the JSON downloads: test_usda_fdc_json.py.
"""

from __future__ import annotations

import csv
import tarfile
from dataclasses import replace
from pathlib import Path
from typing import Any

import pandas as pd
import pytest

from data_loaders import registry, schema, usda_fdc, usda_fdc_parts
from data_loaders.keyed import leading
from data_loaders.schema import TableError, components
from data_loaders.usda_fdc_nutrients import ways
from data_loaders.usda_fdc_parts import measure
from nutrilab.allergens.foods import witness
from nutrilab.bench import Bench
from nutrilab.foods import FoodTable, embedded
from tests.usda_fdc_files import FILES, SOURCES, by_id, changed, folder, json_file, known, zipped


def test_foods_values_and_lasting_numbers(tmp_path: Path) -> None:
    foods = by_id(usda_fdc.load(folder(tmp_path / "fdc")))
    assert {food_id: row["source"] for food_id, row in foods.items()} == SOURCES
    butter, oats, milk, biscuits = (foods[food_id] for food_id in SOURCES)
    assert known(butter) == {"PROCNT": 0.85, "FAT": 81.11, "NA": 643.0, "ENERC_KCAL": 717.0}
    assert (butter["name"], butter["group"]) == ("Butter, salted", "Dairy and Egg Products")
    # in place of 208 the specific factors, of 269 the NLEA sum, of 291 the newer method; unknown nutrients no error
    assert known(oats) == {"PROCNT": 13.5, "ENERC_KCAL": 371.25, "SUGAR": 0.99, "FIBTG": 10.4, "SE": 0.031}
    assert known(milk) == {"PROCNT": 1.03, "NA": 17.0}  # nutrient numbers where ids belong
    assert milk["group"] == "Human milk"
    assert known(biscuits) == {"PROCNT": 7.14, "NACL": 0.536}  # salt in mg there, in g here
    assert (biscuits["name"], biscuits["group"]) == ("OAT BISCUITS (Tidewater Bakery)", "Biscuits/Cookies")


@pytest.mark.parametrize(
    ("source", "number"),
    [*zip(SOURCES.values(), ("01001", "20038", "11000000", "00012345678905"), strict=True), ("USDA FDC Branded", None)],
)
def test_the_lasting_number_is_read_from_the_source(source: str, number: str | None) -> None:
    assert usda_fdc.lasting_number(source) == number


def test_measures_of_each_type(tmp_path: Path) -> None:
    measures = usda_fdc.load(folder(tmp_path / "fdc")).measures
    assert measures[list(schema.MEASURE_COLUMNS)].to_numpy().tolist() == [
        ["fdc:173410", 1.0, 'pat (1" sq, 1/3" high)', 5.0],
        ["fdc:173410", 1.0, "tbsp", 14.2],
        ["fdc:321358", 0.5, "cup, NLEA serving", 40.0],
        ["fdc:781084", 1.0, "cup", 246.0],
        ["fdc:781084", 1.0, "fl oz", 30.8],
        ["fdc:400001", 2.0, "biscuits", 28.0],
    ]


def test_notes_say_which_nutrient_stands_in(tmp_path: Path) -> None:
    notes = usda_fdc.load(folder(tmp_path / "fdc")).notes
    assert notes is not None
    assert set(notes["kind"]) == {"converted"}
    assert [(n["food_id"], n["tagname"], n["words"].split(";")[0]) for n in notes.to_dict("records")] == [
        ("fdc:321358", "ENERC_KCAL", "energy by Atwater's specific factors (958)"),
        ("fdc:321358", "SUGAR", "sugars as the sum of those measured (NLEA"),
        ("fdc:321358", "FIBTG", "fibre by AOAC 2011.25 (293)"),
    ]


def test_provenance_says_what_is_in_and_what_is_left_out(tmp_path: Path) -> None:
    about = usda_fdc.load(folder(tmp_path / "fdc")).provenance
    assert about.source == "USDA FoodData Central (Foundation, SR Legacy, Survey (FNDDS), Branded)"
    assert about.version == "foods published up to 2024-04-18"
    # older: oats of 2019 and the old biscuits, whose GTIN is the same but for zeros before it
    assert about.citation.endswith("Left out here: 1 Branded foods stated per 100 ml; 2 older versions of foods.")
    assert about.inputs == {name: schema.sha256(text.encode()) for name, text in FILES.items()}
    assert "FIBTG" in about.carbohydrate
    assert "Jones" in about.protein


@pytest.mark.parametrize(
    ("name", "version"),
    [
        ("FoodData_Central_csv_2024-04-18", "download of 2024-04-18"),
        ("FoodData_Central_sr_legacy_food_csv_2018-04", "download of 2018-04"),
        ("batch-12024-04-18", "foods published up to 2024-04-18"),
    ],
)
def test_the_release_is_the_name_of_the_download(tmp_path: Path, name: str, version: str) -> None:
    assert usda_fdc.load(folder(tmp_path / name)).provenance.version == version


def test_folder_zip_inner_folder_and_tar_read_the_same(tmp_path: Path) -> None:
    expected = usda_fdc.load(folder(tmp_path / "fdc"))
    files = {name: text.encode() for name, text in FILES.items()}
    deep = tmp_path / "deep"
    folder(deep / "FoodData_Central_csv")
    with tarfile.open(tmp_path / "fdc.tar.gz", "w:gz") as archive:
        archive.add(tmp_path / "fdc", "fdc")
    for path in (
        zipped(tmp_path / "flat.zip", files),
        zipped(tmp_path / "inner.zip", files, "FoodData_Central_csv/"),
        deep,
        tmp_path / "fdc.tar.gz",
    ):
        found = usda_fdc.load(path)
        pd.testing.assert_frame_equal(found.foods, expected.foods)
        pd.testing.assert_frame_equal(found.measures, expected.measures)
        assert found.provenance.inputs == expected.provenance.inputs


def test_the_table_can_be_written_and_opened(tmp_path: Path) -> None:
    table = registry.loader("usda-fdc").load(folder(tmp_path / "fdc"))
    found = FoodTable(schema.write(table, tmp_path / "tables", usda_fdc.NAME))
    butter = found.food("fdc:173410")
    assert butter.source == "USDA FDC SR Legacy, NDB 01001"
    assert butter.refuse is None
    assert "CHOCDF" not in butter.values  # missing, never 0
    assert [m.words for m in butter.measures] == ['pat (1" sq, 1/3" high)', "tbsp"]


def test_optional_files_and_columns_may_be_absent(tmp_path: Path) -> None:
    """Only food.csv, nutrient.csv and food_nutrient.csv, this cut to three columns as the reference copy is."""
    lines = [line.split(",") for line in FILES["food_nutrient.csv"].splitlines()]
    short = "\n".join(",".join(cells[1:4]) for cells in lines)
    gone = dict.fromkeys(set(FILES) - {"food.csv", "nutrient.csv"})
    food = FILES["food.csv"].replace('"branded_food"', '"sample_food"')
    table = usda_fdc.load(
        folder(tmp_path / "fdc", {**gone, "food_nutrient.csv": short.encode(), "food.csv": food.encode()})
    )
    foods = by_id(table)
    assert foods["fdc:173410"]["source"] == "USDA FDC SR Legacy"
    assert foods["fdc:173410"]["group"] == ""
    assert foods["fdc:173410"]["FAT"] == 81.11
    assert len(foods) == 4  # without their number both oats stay
    assert table.measures.empty


def test_a_name_is_freed_of_control_characters(tmp_path: Path) -> None:
    table = usda_fdc.load(changed(tmp_path / "fdc", "food.csv", "Butter, salted", "Butter,\x1b[31m\x00salted"))
    assert by_id(table)["fdc:173410"]["name"] == "Butter, [31m salted"


# -- the order of preference ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("tagname", "told", "value", "words"),
    [
        ("ENERC_KCAL", {1008: 100, 2047: 101, 2048: 102}, 100, ""),
        ("ENERC_KCAL", {2047: 101, 2048: 102}, 102, "specific factors (958)"),
        ("ENERC_KCAL", {2047: 101}, 101, "general factors (957)"),
        ("SUGAR", {2000: 3, 1063: 4}, 3, ""),
        ("SUGAR", {1063: 4}, 4, "(NLEA; 269.3)"),
        ("FIBTG", {1079: 5, 2033: 6}, 5, ""),
        ("FIBTG", {2033: 6}, 6, "AOAC 2011.25 (293)"),
        ("FAT", {1004: 7, 1085: 6.5}, 7, ""),
        ("FAT", {1085: 6.5}, 6.5, "fatty acids (NLEA; 298), 93 to 95 g in 100 g of oil; the food has no 204"),
        ("FAT", {1004: 0, 1085: 6.5}, 0, ""),  # 0 is a value
        ("CHOCDF", {1005: -0.4}, 0, "below zero"),
    ],
)
def test_the_first_nutrient_there_stands_and_others_are_noted(
    tmp_path: Path, tagname: str, told: dict[int, float], value: float, words: str
) -> None:
    rows = "".join(f"173410,{nutrient},{amount}\n" for nutrient, amount in reversed(told.items()))
    table = usda_fdc.load(
        folder(tmp_path / "fdc", {"food_nutrient.csv": f"fdc_id,nutrient_id,amount\n{rows}".encode()})
    )
    assert by_id(table)["fdc:173410"][tagname] == value
    assert table.notes is not None
    assert [words in note for note in table.notes["words"]] == ([True] if words else [])


def test_every_row_of_the_data_file_is_whole_and_of_a_known_component() -> None:
    path = Path(usda_fdc_parts.__file__).with_name("usda_fdc_nutrients.csv")
    with path.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert all(row["ground"] and None not in row for row in rows)
    tagnames = [way.tagname for way in ways()]
    assert set(tagnames) <= set(components())
    assert len({way.number for way in ways()}) == len(tagnames)
    assert {c.tagname for c in components().values() if c.sr_number} <= set(tagnames)


# -- SR Legacy against SR28 -------------------------------------------------------------------------


def test_sr_legacy_values_come_back_as_sr28_has_them(tmp_path: Path) -> None:
    """50 foods of the embedded SR28 table, written as an SR Legacy download, come back by NDB number as they were.

    This checks the way through (numbers, units, exact floats, measures); that SR Legacy as published holds the values
    of SR28 it does not check: no copy of it is at hand.
    """
    table = embedded()
    ids = table.ids[::178]
    assert len(ids) == 50
    usual = {way.tagname: way for way in reversed(ways())}
    nutrients = {t: (usual[t].nutrient_id or 9000 + i, usual[t].number) for i, t in enumerate(table.tagnames)}
    unit = {"g": "G", "mg": "MG", "ug": "UG", "kcal": "KCAL", "kJ": "kJ", "IU": "IU"}
    rows: dict[str, list[tuple[object, ...]]] = {
        "food.csv": [("fdc_id", "data_type", "description", "food_category_id")],
        "sr_legacy_food.csv": [("fdc_id", "NDB_number")],
        "nutrient.csv": [("id", "name", "unit_name", "nutrient_nbr")],
        "food_nutrient.csv": [("fdc_id", "nutrient_id", "amount")],
        "food_portion.csv": [("fdc_id", "amount", "measure_unit_id", "portion_description", "modifier", "gram_weight")],
        "measure_unit.csv": [("id", "name"), (9999, "undetermined")],
    }
    rows["nutrient.csv"] += [(i, t, unit[components()[t].unit], number) for t, (i, number) in nutrients.items()]
    for fdc_id, food_id in enumerate(ids, 167512):
        food = table.food(food_id)
        rows["food.csv"].append((fdc_id, "sr_legacy_food", food.name, 1))
        rows["sr_legacy_food.csv"].append((fdc_id, int(food_id.removeprefix("sr:"))))
        rows["food_nutrient.csv"] += [(fdc_id, nutrients[t][0], value) for t, value in food.values.items()]
        rows["food_portion.csv"] += [(fdc_id, m.amount, 9999, "", m.words, m.grams) for m in food.measures]
    place = tmp_path / "sr_legacy"
    place.mkdir()
    for name, lines in rows.items():
        with (place / name).open("w", encoding="utf-8", newline="") as file:
            csv.writer(file, quoting=csv.QUOTE_ALL).writerows(lines)
    again = FoodTable(schema.write(usda_fdc.load(place), tmp_path / "tables", "usda-fdc"))
    assert len(again) == len(ids)
    for again_id in again.ids:
        food = again.food(again_id)
        original = table.food(f"sr:{usda_fdc.lasting_number(food.source)}")
        assert (food.name, food.values, food.measures) == (original.name, original.values, original.measures)


# -- what is left out -------------------------------------------------------------------------------


def test_branded_foods_whose_values_cannot_be_are_left_out(tmp_path: Path) -> None:
    for amount in ("-1", "714", "nan", "inf"):
        table = usda_fdc.load(changed(tmp_path / "fdc", "food_nutrient.csv", '"7.14"', f'"{amount}"'))
        assert "fdc:400001" not in by_id(table), amount
        assert "1 Branded foods with impossible values" in table.provenance.citation
        assert "biscuits" not in set(table.measures["words"])


def test_foods_without_values_or_name_are_left_out(tmp_path: Path) -> None:
    table = usda_fdc.load(changed(tmp_path / "fdc", "food.csv", '"OAT BISCUITS"', '" "'))
    assert "1 Branded foods without a name" in table.provenance.citation
    table = usda_fdc.load(
        changed(tmp_path / "fdc2", "food_nutrient.csv", '"1003","7.14"', '"1024","7.14"').parent / "fdc2"
    )
    assert "fdc:400001" in by_id(table)  # salt is still there
    text = FILES["food_nutrient.csv"].replace('"1003","7.14"', '"1024","7.14"').replace('"1149"', '"2058"')
    table = usda_fdc.load(folder(tmp_path / "fdc3", {"food_nutrient.csv": text.encode()}))
    assert "fdc:400001" not in by_id(table)
    assert "1 foods without any value" in table.provenance.citation


def test_packs_of_no_gtin_are_all_kept(tmp_path: Path) -> None:
    text = FILES["branded_food.csv"].replace("00012345678905", "000").replace("12345678905", "")
    foods = by_id(usda_fdc.load(folder(tmp_path / "fdc", {"branded_food.csv": text.encode()})))
    assert foods["fdc:400001"]["source"] == "USDA FDC Branded, GTIN 000"
    assert foods["fdc:400002"]["source"] == "USDA FDC Branded"


def test_too_many_branded_foods_beside_others_are_left_out(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("data_loaders.usda_fdc_foods.MOST_MIXED", 0)
    table = usda_fdc.load(folder(tmp_path / "fdc"))
    assert set(by_id(table)) == set(SOURCES) - {"fdc:400001"}
    assert "1 Branded foods, which are too many beside others" in table.provenance.citation
    assert "Branded" not in table.provenance.source


def test_more_foods_than_memory_allows_are_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("data_loaders.usda_fdc_foods.MOST_FOODS", 3)
    monkeypatch.setattr("data_loaders.usda_fdc_json.MOST_FOODS", 3)
    with pytest.raises(TableError, match=r"food.csv: it holds 4 foods, and at most 3 can be read"):
        usda_fdc.load(folder(tmp_path / "fdc"))
    with pytest.raises(TableError, match="only 3 foods can be read"):
        usda_fdc.load(json_file(tmp_path / "f.json"))


def test_rare_components_of_a_large_table_are_left_out_but_not_those_sums_need(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(usda_fdc_parts, "MOST_MIXED", 3)
    monkeypatch.setattr(usda_fdc_parts, "RARE", 0.5)
    monkeypatch.setattr("data_loaders.usda_fdc_foods.MOST_MIXED", 3)
    columns = usda_fdc.load(folder(tmp_path / "fdc")).foods.columns
    assert "SE" not in columns  # one food in four has it
    assert "SUGAR" in columns
    assert "NA" in columns


# -- measures ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("1 cup", (1, "cup")),
        ("1/2 cup, dry", (0.5, "cup, dry")),
        ("1 1/2 cups", (1.5, "cups")),
        ("1-1/2 cups", (1.5, "cups")),
        (".25 cup", (0.25, "cup")),
        ("0.67 cup", (0.67, "cup")),
        ("2Tbsp", (2, "Tbsp")),
        ("10 beans", (10, "beans")),
        ('1 slice (1-1/8" thick)', (1, 'slice (1-1/8" thick)')),
        ("1-3 ring thin pretzel", (1, "-3 ring thin pretzel")),
        ("Juice of 1 wedge or slice", (1, "Juice of 1 wedge or slice")),
        ("1 100 calorie package", (1, "100 calorie package")),
        ("1/0 cup", None),
        ("0 cup", None),
        ("12", None),
        ("", None),
        ("123456789 cups", (1, "123456789 cups")),
    ],
)
def test_the_number_a_measure_begins_with(text: str, expected: tuple[float, str] | None) -> None:
    """Portions as FNDDS 2015-2016 and US packs write them."""
    assert leading(text) == expected


@pytest.mark.parametrize(
    ("told", "expected"),
    [
        (("Foundation", 2.0, "tablespoon", "", ""), (2.0, "tablespoon")),
        (("Foundation", 1.0, "cup", "shredded", ""), (1.0, "cup, shredded")),
        (("SR Legacy", 1.0, "undetermined", "", "cup, shredded"), (1.0, "cup, shredded")),
        (("Survey (FNDDS)", None, "undetermined", "1/2 acorn squash", "61667"), (0.5, "acorn squash")),
        (("Survey (FNDDS)", None, "", "Guideline amount per fl oz of beverage", "1"), None),
        (("Survey (FNDDS)", None, "", "Quantity not specified", "90000"), None),
        (("Foundation", 1.0, "banana", "", "Peel"), None),
        (("Foundation", 1.0, "egg", "", "whole in shell"), None),
        (("Foundation", 1.0, "egg", "", "whole without shell"), (1.0, "egg, whole without shell")),
        (("Foundation", None, "cup", "", ""), (1.0, "cup")),
        (("SR Legacy", 1.0, "undetermined", "", ""), None),
    ],
)
def test_measures_are_told_by_type(told: Any, expected: tuple[float, str] | None) -> None:
    assert measure(*told) == expected


def test_a_measure_in_an_unknown_unit_is_no_measure(tmp_path: Path) -> None:
    table = usda_fdc.load(changed(tmp_path / "fdc", "measure_unit.csv", '"1000"', '"1001"'))
    assert "NLEA serving" not in " ".join(table.measures["words"])


def test_each_pack_stated_per_100_ml_is_said_by_name(tmp_path: Path) -> None:
    said = "fdc:400003, OAT DRINK: it is printed per 100 ml without a density, so it was left out"
    assert usda_fdc.load(folder(tmp_path / "csv")).left_out == (said,)


def with_pack(tmp_path: Path, name: str, ingredients: str) -> FoodTable:
    """The table with one pack's name and ingredients for those of the oat biscuits, at the figures of SR28 16098."""
    names = FILES["food.csv"].replace('"OAT BISCUITS"', f'"{name}"')
    packs = FILES["branded_food.csv"].replace("OATS, SUGAR,\nPALM OIL", ingredients)
    values = FILES["food_nutrient.csv"].replace('"400001","1003","7.14"', '"400001","1003","22.21"')
    values = values.replace('"400001","1149","536"', '"400001","1093","426"')
    values += '"30","400001","1008","598","","70","","","","",""\n"31","400001","1004","51.36","","70","","","","",""\n'
    values += '"32","400001","1005","22.31","","70","","","","",""\n'
    butter = FILES["sr_legacy_food.csv"].replace("1001", "99001")  # a food of no word list, which takes no name away
    tables = {"food.csv": names, "branded_food.csv": packs, "food_nutrient.csv": values, "sr_legacy_food.csv": butter}
    given = {file: text.encode() for file, text in tables.items()}
    return FoodTable(schema.write(usda_fdc.load(folder(tmp_path / "csv", given)), tmp_path, "usda-fdc"))


def test_the_ingredients_text_of_a_pack_reaches_the_allergen_reader(tmp_path: Path) -> None:
    """It is one maker's pack: what it holds is to be checked, and it clears nothing."""
    pack = with_pack(tmp_path, "OAT BISCUITS", "OATS, SUGAR, WHEY POWDER, SOY LECITHIN").food("fdc:400001")
    assert pack.ingredients == "OATS, SUGAR, WHEY POWDER, SOY LECITHIN"
    found = witness(pack)
    assert {"milk", "soya", "gluten"} <= found.packed
    assert "milk" not in witness(replace(pack, ingredients="")).packed


PEANUT_PACK = "PEANUTS, SESAME SEEDS, MILK POWDER. MAY CONTAIN SOYA."


@pytest.mark.parametrize("beside", [True, False], ids=["with the embedded table", "alone"])
@pytest.mark.parametrize(
    "line", ["200 g peanut butter", "200 g peanut butter (tidewater)", "2 tbsp vegan peanut butter"]
)
def test_what_a_linked_pack_lists_is_asked_in_the_line(tmp_path: Path, line: str, beside: bool) -> None:
    """Though the embedded table knows the name, and though the line's words deny it of a thing of that name."""
    table = with_pack(tmp_path, "PEANUT BUTTER (TIDEWATER)", PEANUT_PACK)
    record = Bench([table, embedded()] if beside else [table]).line(line)
    assert record.foods[0].link.food is not None
    assert record.foods[0].link.food.food_id == "fdc:400001"
    assert "peanuts" in record.findings.contains
    assert {"sesame", "milk", "soya"} <= record.findings.check.keys()


def test_what_a_doubtful_pack_lists_is_asked_too(tmp_path: Path) -> None:
    """Whose own name adds nothing to words that name it all."""
    table = with_pack(tmp_path, "MATURE CHEDDAR SNACK BISCUIT", "WHEAT FLOUR, CHEDDAR, MUSTARD")
    record = Bench([table]).line("200 g mature cheddar snack")
    assert record.foods[0].link.food is not None
    assert not record.foods[0].link.understood
    assert {"gluten", "mustard"} <= record.findings.check.keys()
