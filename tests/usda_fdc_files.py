"""Small downloads of FoodData Central in the official layout, CSV and JSON, for the tests of its loader."""

from __future__ import annotations

import csv
import io
import json
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pandas as pd

from data_loaders import schema
from data_loaders.schema import TableData, TableError

# Values of butter are those of SR28 01001, of human milk those of FNDDS 2015-2016 11000000 with its portions; the
# others are made up. Heads as in the published files, as far as they are at hand (nutrient.csv, food_portion.csv).
FILES = {
    "food.csv": (
        '"fdc_id","data_type","description","food_category_id","publication_date"\n'
        '"173410","sr_legacy_food","Butter, salted","1","2019-04-01"\n'
        '"321358","foundation_food","Oats, rolled, raw","20","2024-04-18"\n'
        '"321357","sample_food","OATS, BAG 3","20","2024-04-18"\n'
        '"320000","foundation_food","Oats, rolled","20","2019-04-01"\n'
        '"781084","survey_fndds_food","Milk, human","","2018-10-01"\n'
        '"400001","branded_food","OAT BISCUITS","Biscuits/Cookies","2021-05-06"\n'
        '"400002","branded_food","OAT BISCUITS, OLD RECIPE","Biscuits/Cookies","2020-05-06"\n'
        '"400003","branded_food","OAT DRINK","Plant Based Milk","2021-05-06"\n'
    ),
    "nutrient.csv": (
        '"id","name","unit_name","nutrient_nbr","rank"\n'
        '"1003","Protein","G","203","600.0"\n'
        '"1004","Total lipid (fat)","G","204","800.0"\n'
        '"1005","Carbohydrate, by difference","G","205","1110.0"\n'
        '"1008","Energy","KCAL","208","300.0"\n'
        '"2047","Energy (Atwater General Factors)","KCAL","957","280.0"\n'
        '"2048","Energy (Atwater Specific Factors)","KCAL","958","290.0"\n'
        '"1063","Sugars, Total NLEA","G","269.3","1500.0"\n'
        '"2000","Sugars, Total","G","269","1510.0"\n'
        '"1079","Fiber, total dietary","G","291","1200.0"\n'
        '"2033","Total dietary fiber (AOAC 2011.25)","G","293","1300.0"\n'
        '"1085","Total fat (NLEA)","G","298","900.0"\n'
        '"1093","Sodium, Na","MG","307","5800.0"\n'
        '"1149","Salt, NaCl","MG","375","999999.0"\n'
        '"1103","Selenium, Se","UG","317","6200.0"\n'
        '"1024","Specific Gravity","SP_GR","227","999999.0"\n'
        '"2058","Beta-glucan","G","","1327.0"\n'
    ),
    "food_nutrient.csv": (
        '"id","fdc_id","nutrient_id","amount","data_points","derivation_id","min","max","median","footnote",'
        '"min_year_acquired"\n'
        '"1","173410","1003","0.85","16","1","","","","",""\n'
        '"2","173410","1004","81.11","580","1","","","","",""\n'
        '"3","173410","1093","643.0","3","1","","","","",""\n'
        '"4","173410","1008","717","0","49","","","","",""\n'
        '"5","173410","2047","727","0","49","","","","",""\n'
        '"6","321358","1003","13.5","8","1","","","","",""\n'
        '"7","321358","2047","380.5","0","49","","","","",""\n'
        '"8","321358","2048","371.25","0","49","","","","",""\n'
        '"9","321358","1063","0.99","8","1","","","","",""\n'
        '"10","321358","2033","10.4","8","1","","","","",""\n'
        '"11","321358","2058","4.2","8","1","","","","",""\n'
        '"12","321358","2066","","8","1","","","","",""\n'
        '"13","321358","1103","0.031","8","1","","","","",""\n'
        '"14","321357","1003","13.1","1","1","","","","",""\n'
        '"15","320000","1003","12.0","1","1","","","","",""\n'
        '"16","781084","203","1.03","","","","","","",""\n'
        '"17","781084","307","17","","","","","","",""\n'
        '"18","400001","1003","7.14","","70","","","","",""\n'
        '"19","400001","1149","536","","70","","","","",""\n'
        '"20","400002","1003","7.0","","70","","","","",""\n'
        '"21","400003","1003","1.0","","70","","","","",""\n'
    ),
    "food_portion.csv": (
        '"id","fdc_id","seq_num","amount","measure_unit_id","portion_description","modifier","gram_weight",'
        '"data_points","footnote","min_year_acquired"\n'
        '"1","173410","1","1.0","9999","","pat (1"" sq, 1/3"" high)","5.0","","",""\n'
        '"2","173410","2","1.0","9999","","tbsp","14.2","","",""\n'
        '"3","321358","1","0.5","1000","","NLEA serving","40.0","","",""\n'
        '"4","321358","2","1.0","1119","","Unpeeled","99.0","","",""\n'
        '"5","781084","1","","9999","1 cup","10205","246.0","","",""\n'
        '"6","781084","2","","9999","Quantity not specified","90000","0.0","","",""\n'
        '"7","781084","3","","9999","1 fl oz","30000","30.8","","",""\n'
        '"8","321357","1","1.0","1000","","","80.0","","",""\n'
    ),
    "measure_unit.csv": '"id","name"\n"1000","cup"\n"1119","piece"\n"9999","undetermined"\n',
    "food_category.csv": (
        '"id","code","description"\n"1","0100","Dairy and Egg Products"\n"20","2000","Cereal Grains and Pasta"\n'
    ),
    "sr_legacy_food.csv": '"fdc_id","NDB_number"\n"173410","1001"\n',
    "foundation_food.csv": '"fdc_id","NDB_number","footnote"\n"321358","20038",""\n"320000","20038",""\n',
    "survey_fndds_food.csv": (
        '"fdc_id","food_code","wweia_category_code","start_date","end_date"\n"781084","11000000","9602","",""\n'
    ),
    "wweia_food_category.csv": '"wweia_food_category","wweia_food_category_description"\n"9602","Human milk"\n',
    "branded_food.csv": (
        '"fdc_id","brand_owner","brand_name","subbrand_name","gtin_upc","ingredients","serving_size",'
        '"serving_size_unit","household_serving_fulltext","branded_food_category"\n'
        '"400001","Tidewater Bakery","","","00012345678905","OATS, SUGAR,\nPALM OIL","28.0","g","2 biscuits",'
        '"Biscuits/Cookies"\n'
        '"400002","Tidewater Bakery","","","12345678905","OATS","28.0","GRM","2 biscuits","Biscuits/Cookies"\n'
        '"400003","Tidewater Bakery","","","00012345678912","WATER, OATS","240.0","ml","1 cup","Plant Based Milk"\n'
    ),
}
NEEDED = ("nutrient.csv", "food_nutrient.csv", "measure_unit.csv", "branded_food.csv")
SOURCES = {
    "fdc:173410": "USDA FDC SR Legacy, NDB 01001",
    "fdc:321358": "USDA FDC Foundation, NDB 20038",
    "fdc:781084": "USDA FDC Survey (FNDDS), food code 11000000",
    "fdc:400001": "USDA FDC Branded, GTIN 00012345678905",
}


def folder(place: Path, changes: dict[str, bytes | None] | None = None) -> Path:
    place.mkdir(exist_ok=True, parents=True)
    files: dict[str, bytes | None] = {**{name: text.encode() for name, text in FILES.items()}, **(changes or {})}
    for name, data in files.items():
        if data is not None:
            (place / name).write_bytes(data)
    return place


def changed(place: Path, name: str, old: str, new: str) -> Path:
    assert old in FILES[name], "the change must change something"
    return folder(place, {name: FILES[name].replace(old, new, 1).encode()})


def zipped(path: Path, files: dict[str, bytes], inner: str = "") -> Path:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in files.items():
            archive.writestr(inner + name, data)
    return path


def by_id(table: TableData) -> dict[str, dict[str, Any]]:
    return {str(row["food_id"]): {str(key): row[key] for key in row} for row in table.foods.to_dict("records")}


def known(row: dict[str, Any]) -> dict[str, float]:
    """The values of a food that are not missing."""
    return {t: row[t] for t in row if t not in schema.FOOD_COLUMNS and row[t] == row[t]}


def json_food(fdc_id: int, kind: str, name: str, values: dict[str, float], **more: Any) -> dict[str, Any]:
    units = {"UG": "µg", "G": "g", "MG": "mg", "KCAL": "kcal"}
    told = {row["id"]: row for row in csv.DictReader(io.StringIO(FILES["nutrient.csv"]))}
    nutrients = [
        {
            "type": "FoodNutrient",
            "nutrient": {
                "id": int(key),
                "number": told[key]["nutrient_nbr"],
                "name": told[key]["name"],
                "unitName": units.get(told[key]["unit_name"], told[key]["unit_name"]),
            },
            "amount": amount,
        }
        for key, amount in values.items()
    ]
    return {"fdcId": fdc_id, "dataType": kind, "description": name, "foodNutrients": nutrients, **more}


_OATS = {"1003": 13.5, "2047": 380.5, "2048": 371.25, "1063": 0.99, "2033": 10.4, "2058": 4.2, "1103": 0.031}
_PACK = {
    "brandOwner": "Tidewater Bakery",
    "servingSize": 28.0,
    "servingSizeUnit": "g",
    "householdServingFullText": "2 biscuits",
    "brandedFoodCategory": "Biscuits/Cookies",
}
_NONE = {"id": 9999, "name": "undetermined"}
_CUP = {"id": 1000, "name": "cup"}
_GRAINS = {"description": "Cereal Grains and Pasta"}


def json_foods() -> dict[str, list[dict[str, Any]]]:
    """The foods of FILES as the JSON downloads have them."""
    return {
        "SRLegacyFoods": [
            json_food(173410, "SR Legacy", "Butter, salted",
                {"1003": 0.85, "1004": 81.11, "1093": 643.0, "1008": 717, "2047": 727}, ndbNumber=1001,
                foodCategory={"description": "Dairy and Egg Products"}, publicationDate="4/1/2019", foodPortions=[
                    {"amount": 1.0, "measureUnit": _NONE, "modifier": 'pat (1" sq, 1/3" high)', "gramWeight": 5.0},
                    {"amount": 1.0, "measureUnit": _NONE, "modifier": "tbsp", "gramWeight": 14.2},
                ]),
        ],
        "FoundationFoods": [
            json_food(321358, "Foundation", "Oats, rolled, raw", _OATS, ndbNumber="20038", foodCategory=_GRAINS,
                publicationDate="4/18/2024", isHistoricalReference=False, foodPortions=[
                    {"value": 0.5, "amount": 0.5, "measureUnit": _CUP, "modifier": "NLEA serving", "gramWeight": 40.0},
                ]),
            json_food(320000, "Foundation", "Oats, rolled", {"1003": 12.0}, ndbNumber="20038", foodCategory=_GRAINS,
                publicationDate="4/1/2019"),
            json_food(1, "Foundation", "Oats, ancient", {"1003": 12.0}, isHistoricalReference=True),
            json_food(2, "Sample", "OATS, BAG 3", {"1003": 12.0}),
        ],
        "SurveyFoods": [
            json_food(781084, "Survey (FNDDS)", "Milk, human", {"1003": 1.03, "1093": 17}, foodCode="11000000",
                wweiaFoodCategory={"wweiaFoodCategoryCode": 9602, "wweiaFoodCategoryDescription": "Human milk"},
                publicationDate="10/1/2018", foodPortions=[
                    {"measureUnit": _NONE, "modifier": "10205", "gramWeight": 246.0, "portionDescription": "1 cup"},
                    {"measureUnit": _NONE, "gramWeight": 0.0, "portionDescription": "Quantity not specified"},
                    {"measureUnit": _NONE, "modifier": "30000", "gramWeight": 30.8, "portionDescription": "1 fl oz"},
                ]),
        ],
        "BrandedFoods": [
            json_food(400001, "Branded", "OAT BISCUITS", {"1003": 7.14, "1149": 536}, gtinUpc="00012345678905",
                publicationDate="5/6/2021", **_PACK),
            json_food(400002, "Branded", "OAT BISCUITS, OLD RECIPE", {"1003": 7.0}, gtinUpc="12345678905",
                publicationDate="5/6/2020", **_PACK),
            json_food(400003, "Branded", "OAT DRINK", {"1003": 1.0}, gtinUpc="00012345678912",
                **(_PACK | {"servingSizeUnit": "MLT"})),
        ],
    }  # fmt: skip


def json_file(path: Path, indent: int | None = None) -> Path:
    path.write_text(json.dumps(json_foods(), indent=indent, ensure_ascii=False), encoding="utf-8")
    return path


def alike(one: TableData, other: TableData) -> None:
    """The same foods, values, measures and notes, in whatever order the foods stand."""
    for a, b in ((one.foods, other.foods), (one.measures, other.measures), (one.notes, other.notes)):
        assert a is not None
        assert b is not None
        a, b = (frame.sort_values("food_id", kind="stable").reset_index(drop=True) for frame in (a, b))
        pd.testing.assert_frame_equal(a, b, check_dtype=False)


def good_or_a_sentence(load: Callable[[], TableData]) -> None:
    """A load ends in a good table or in one sentence, nothing else."""
    try:
        table = load()
    except TableError as error:
        assert "\n" not in str(error)  # noqa: PT017
        return
    try:
        schema.check(table, "fuzz")
    except TableError:
        return
    assert len(table.foods)
