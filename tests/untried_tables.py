"""Whole files in the layouts of the Canadian and the Norwegian table, with invented figures, for the tests of loaders
that no file of the publisher's own has gone through. The one published food among them is Norway's gram flour."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path
from typing import Any

from data_loaders.keyed import listed

Rows = list[list[object]]
# FoodID, group, NDB number of the Standard Reference, description; the names and numbers are of FOOD_NAME.csv of 2015
CANADIAN = [
    (118, 1, "01001", "Butter, regular"),
    (2485, 11, "11124", "Carrot, raw"),
    (3193, 20, "20081", "Grains, wheat flour, white, all purpose"),
    (4001, 9, "", "Rock samphire, preserved"),
]
# NutrientID, NutrientCode, unit, name: heads and cells of NUTRIENT_NAME.csv
NUTRIENTS = [
    (203, 203, "g", "PROTEIN"), (204, 204, "g", "FAT (TOTAL LIPIDS)"), (205, 205, "g", "CARBOHYDRATE, TOTAL"),
    (208, 208, "kCal", "ENERGY (KILOCALORIES)"), (810, 209, "g", "STARCH"), (255, 255, "g", "MOISTURE"),
    (291, 291, "g", "FIBRE, TOTAL DIETARY"), (307, 307, "mg", "SODIUM"), (317, 317, "µg", "SELENIUM"),
    (409, 409, "NE", "TOTAL NIACIN EQUIVALENT"), (430, 430, "µg", "VITAMIN K"), (245, 245, "mg", "OXALIC ACID"),
    (846, 859, "g", "24:1"),
]  # fmt: skip
AMOUNTS = [
    (118, {203: "0.85", 204: "81.11", 205: "0.06", 208: "717", 255: "15.87", 291: "0", 307: "643", 430: "7"}),
    (2485, {203: "0.93", 204: "0.24", 205: "9.58", 208: "41", 255: "88.29", 291: "2.8", 307: "69", 409: "1.1"}),
    (3193, {203: "10.33", 204: "0.98", 205: "76.31", 208: "364", 255: "11.92", 291: "2.7", 307: "2", 846: "0.01"}),
    (4001, {203: "1.5", 204: "0", 205: "4.6", 208: "20", 307: "1150", 317: "0.3", 810: "0.2"}),
]


def written(head: str, rows: Rows) -> bytes:
    text = io.StringIO()
    csv.writer(text, lineterminator="\r\n").writerows([head.split(","), *rows])
    return text.getvalue().encode("iso-8859-1")


def canadian() -> dict[str, bytes]:
    """The files of the Canadian Nutrient File, heads as published (of the amounts and groups: from memory)."""
    names: Rows = [[n, n, group, 0, name, "Beurre rég.", "1981-01-01", "", ndb, ""] for n, group, ndb, name in CANADIAN]
    amounts: Rows = [[n, key, told[key], 0, 0, 0, "2010-01-01"] for n, told in AMOUNTS for key in told]
    nutrients: Rows = [[key, code, f"S{key}", unit, name, name, "", 2] for key, code, unit, name in NUTRIENTS]
    return {
        "FOOD_NAME.csv": written("FoodID,FoodCode,FoodGroupID,FoodSourceID,FoodDescription,FoodDescriptionF,"
                                 "FoodDateOfEntry,FoodDateOfPublication,CountryCode,ScientificName", names),
        "FOOD_GROUP.csv": written("FoodGroupID,FoodGroupCode,FoodGroupName,FoodGroupNameF", [
            [1, 1, "Dairy and Egg Products", ""], [11, 11, "Vegetables and Vegetable Products", ""],
            [20, 20, "Cereals, Grains and Pasta", ""], [9, 9, "Fruits and fruit juices", ""]]),
        "NUTRIENT_NAME.csv": written("NutrientID,NutrientCode,NutrientSymbol,NutrientUnit,NutrientName,NutrientNameF,"
                                     "Tagname,NutrientDecimals", nutrients),
        "NUTRIENT_AMOUNT.csv": written("FoodID,NutrientID,NutrientValue,StandardError,NumberofObservations,"
                                       "NutrientSourceID,NutrientDateOfEntry", amounts),
        "MEASURE_NAME.csv": written("MeasureID,MeasureDescription,MeasureDescriptionF,,", [
            [341, "100ml", "100ml", "", ""], [383, "125ml chopped", "haché", "", ""], [12, "1 carrot", "", "", ""],
        ]),
        "CONVERSION_FACTOR.csv": written("FoodID,MeasureID,ConversionFactorValue,ConvFactorDateOfEntry", [
            [118, 341, "0.95950", "1997-05-01"], [2485, 383, "0.67600", "2003-08-12"], [2485, 12, "0.61", "2003-08-12"],
            [2485, 999, "0.5", "2003-08-12"]]),
        "REFUSE_AMOUNT.csv": written("FoodID,RefuseID,RefuseAmount,RefuseDateOfEntry", [
            [118, 750, 0, "1997-05-01"], [2485, 750, 11, "1997-05-01"], [2485, 751, 8, ""],
            [2485, 752, 3, ""]]),
    }  # fmt: skip


def norwegian() -> dict[str, bytes]:
    """The two objects of the Norwegian table; gram flour as published, two foods made up."""

    def food(
        number: str, group: str, name: str, values: dict[str, str | tuple[str, str]], **more: str
    ) -> dict[str, Any]:
        told = {key: value if isinstance(value, tuple) else ("50", value) for key, value in values.items()}
        cells = {key: {"ref": ref, "value": value} for key, (ref, value) in told.items()}
        return {"groupId": group, "id": number, "name": name, "latinName": "", **more, **cells}

    gram = food(
        "05.383", "5.1", "Gram flour",
        {"Netto": ("0", "100"), "Vann": ("MI0142", "8"), "Energi1": ("MI0114", "1581.1"), "Energi2": ("MI0115", "375"),
         "Fett": ("450c", "5.4"), "Karbo": ("MI0181", "53.8"), "Fiber": ("450c", "10"), "Protein": ("450c", "22.7"),
         "NaCl": ("MI0120", "0"), "Na": ("450c", "2"), "Vit C": ("60a", "0"), "I": ("10", ""),
         "C18:1": ("30", "1.25"), "Portion": ("porsjon dl", "95 60")},
        latinName="Cicer arietinum L.",
    )  # fmt: skip
    figures = {"Netto": "60", "Fett": "12", "Na": ("60b", "4"), "Se": ("60c", "1.5"), "Protein": ("20", "18")}
    salted = food("04.900", "4.1", "Harbour herring, salted", figures)
    units = {"Energi1": "kJ", "Energi2": "kcal", "Vit A": "µg-RE", "Vit E": "mg-ATE"}
    milli = {"Kolest", "Vit B1", "Vit B2", "Niacin", "Vit B6", "Vit C", "Ca", "Fe", "Na", "K", "Mg", "Zn", "Cu", "P"}
    micro = {"Retinol", "B-karo", "Vit D", "Folat", "Vit B12", "Se", "I"}

    def unit(key: str) -> str:
        return units.get(key) or ("mg" if key in milli else "µg" if key in micro else "g")

    nutrients = [
        {"id": key, "name": key, "unit": unit(key)} for key in ("Netto", *listed("no_matvaretabellen_nutrients"))
    ]
    groups = [{"id": "5.1", "name": "Flour", "parentId": "5"}, {"id": "4.1", "name": "Fish", "parentId": "4"}]
    lists = {"foodgroups": groups, "nutrients": nutrients, "references": [{"id": "10", "text": "Missing value"}]}
    return {
        "foods-en.json": json.dumps({"foods": [gram, salted]}).encode(),
        "lists-en.json": json.dumps(lists).encode(),
    }


def put(place: Path, files: dict[str, bytes]) -> Path:
    place.mkdir(exist_ok=True, parents=True)
    for name, data in files.items():
        (place / name).write_bytes(data)
    return place
