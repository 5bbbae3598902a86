"""The Canadian Nutrient File, 2015: the CSV files. UNTRIED: its file of amounts was not at hand.

Layout: FOOD_NAME, NUTRIENT_NAME, MEASURE_NAME, CONVERSION_FACTOR and REFUSE_AMOUNT of 2015 as published (ISO-8859-1);
NUTRIENT_AMOUNT.csv and FOOD_GROUP.csv, heads and meaning, from memory. So the loader is called untried wherever its
table is: no value of the publisher's has gone through it.

* An amount is per 100 g edible portion; a row that is not there is missing. The file marks no trace and no "less than".
* NutrientCode is the number of the US Standard Reference but for those of ``ca_cnf_nutrients.csv``; what neither knows
  is not kept.
* CountryCode is the number of the food in the Standard Reference (of the 4,695 foods that have one, 4,535 numbers stand
  in its Release 28): it stands in ``source``, "CNF 2015, NDB 01009", and brings the words of the embedded table.
* A household measure weighs 100 g x its conversion factor (from memory).
"""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from math import isfinite
from pathlib import Path

from data_loaders.csv_files import Download, Form, files_of
from data_loaders.keyed import (
    Measures,
    Way,
    as_number,
    by_key,
    foods_frame,
    leading,
    listed,
    notes_frame,
    read_values,
    texts,
    way,
)
from data_loaders.schema import Provenance, TableData, TableError, components
from nutrilab.messages import say

NAME = "ca-cnf"
SOURCE = "CNF 2015"
FORM = Form(latin=True)
NONE = "none"  # in ca_cnf_nutrients.csv: a number that is another nutrient's in the Standard Reference
UNITS = {"NE": "mg"}  # niacin equivalents
ALL_REFUSE = "750"  # the others of a food come to it in the published file


def load(path: Path) -> TableData:
    """Read the Canadian Nutrient File from a folder, zip or tar of its CSV files.

    Returns foods (values per 100 g edible portion), household measures, provenance and no notes.
    Raises TableError with file and line: a file or column missing, a row too short, a wrong sign between cells or
    encoding, no number where one belongs, a food or value twice, a value of an unknown food or nutrient.
    """
    download = files_of(path, FORM)
    groups = by_key(download, "FOOD_GROUP.csv", "FoodGroupID", "FoodGroupName")
    needed, optional = ("FoodID", "FoodGroupID", "FoodDescription"), ("CountryCode", "ScientificName")
    rows = texts(download, "FOOD_NAME.csv", needed, optional)
    ids = [number for _, (number, *_) in rows]
    _refuse_twice(ids, [line for line, _ in rows])
    columns = ("FoodID", "NutrientID", "NutrientValue")
    values = read_values(download, "NUTRIENT_AMOUNT.csv", columns, ids, _ways(download))
    food_ids = [f"ca:{number}" for number in ids]
    about: dict[str, Sequence[object]] = {
        "food_id": food_ids,
        "name": [name for _, (_, _, name, _, _) in rows],
        "scientific_name": [latin for _, (*_, latin) in rows],
        "group": [groups.get(group, "") for _, (_, group, _, _, _) in rows],
        "source": [f"{SOURCE}, NDB {code.zfill(5)}" if code else SOURCE for _, (_, _, _, code, _) in rows],
        "refuse": _refuse(download, ids),
    }
    told = values.notna().any(axis=1).to_numpy()
    frame = foods_frame(about, values)[told].reset_index(drop=True)
    measures = _measures(download, ids).of(food_ids)
    measures = measures[measures["food_id"].isin(frame["food_id"])].reset_index(drop=True)
    return TableData(frame, measures, _provenance(download), notes_frame(()))


def _refuse_twice(ids: Sequence[str], lines: Sequence[int]) -> None:
    seen = set[str]()
    for number, line in zip(ids, lines, strict=True):
        if not number or number in seen:
            raise TableError(say("load.food-again", food=number[:20]), "FOOD_NAME.csv", line)
        seen.add(number)


def _ways(download: Download) -> dict[str, Way | None]:
    """NutrientID -> what it is here; None for what is not kept."""
    by_number = {one.sr_number: tagname for tagname, one in components().items() if one.sr_number}
    own, file = listed("ca_cnf_nutrients"), "NUTRIENT_NAME.csv"
    found: dict[str, Way | None] = {}
    for line, (key, code, unit) in texts(download, file, ("NutrientID", "NutrientCode", "NutrientUnit")):
        if key in found:
            raise TableError(say("load.value-again", what=key[:20]), file, line)
        tagname = own.get(code, by_number.get(code, NONE))
        found[key] = None if tagname == NONE else way(tagname, UNITS.get(unit, unit), file, line)
    return found


def _refuse(download: Download, ids: Sequence[str]) -> list[float]:
    """The share of each food that is thrown away: the row of all its kinds of refuse together [percent]."""
    file, place = "REFUSE_AMOUNT.csv", {number: row for row, number in enumerate(ids)}
    found = [0.0] * len(ids)
    for line, (number, kind, amount) in texts(download, file, ("FoodID", "RefuseID", "RefuseAmount")):
        if number in place and kind == ALL_REFUSE:
            found[place[number]] = _number(amount, file, line) / 100
            if found[place[number]] > 1:
                raise TableError(say("load.share-refuse-not-between-0"), file, line)
    return found


def _measures(download: Download, ids: Sequence[str]) -> Measures:
    words = by_key(download, "MEASURE_NAME.csv", "MeasureID", "MeasureDescription")
    file, place, found = "CONVERSION_FACTOR.csv", {number: row for row, number in enumerate(ids)}, Measures()
    for line, (number, measure, by) in texts(download, file, ("FoodID", "MeasureID", "ConversionFactorValue")):
        if number in place and measure in words:  # 146 of the published rows are of measures that are not listed
            found.add(place[number], leading(words[measure]), 100 * _number(by, file, line))
    return found


def _number(text: str, file: str, line: int) -> float:
    try:
        value = as_number(text)
    except ValueError:
        raise TableError(say("load.not-number", text=text[:40]), file, line) from None
    if not isfinite(value) or value < 0:
        raise TableError(say("load.not-number", text=text[:40]), file, line)
    return value


def _provenance(download: Download) -> Provenance:
    return Provenance(
        source="Canadian Nutrient File 2015",
        version="2015",
        licence="not verified: read the publisher's own terms",
        citation="Health Canada. Canadian Nutrient File, 2015.",
        credit="Food composition: Canadian Nutrient File 2015, Health Canada",
        carbohydrate="CHOCDF: by difference, fibre included (from memory); available carbohydrate = CHOCDF - FIBTG. "
        "Energy: as published",
        protein="PROCNT: nitrogen x a factor of each food (from memory)",
        inputs=download.inputs,
        imported=datetime.date.today().isoformat(),
        untried=True,
    )
