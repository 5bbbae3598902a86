"""Fineli, the Finnish food composition database (THL): the data package of CSV files, release 20 (2015).

Layout: its own descript.txt. Semicolons between cells, decimal commas, ISO-8859-1. A value is a number or empty; the
release marks no trace and no "less than", so nothing of the kind is made up here: an empty value is missing, a 0 is
the publisher's 0.

What is made of the values:

* Names are the English ones, printed in capitals, in small letters; the Finnish ones stand in ``scientific_name`` as
  "fi: Sokeri". Groups are the publisher's classes of ingredients, the class above first.
* Energy is printed in kJ; kcal = kJ / 4.184 beside it.
* Foods "with skin", "with stone" and the like are printed per 100 g with their waste: what is printed of them comes to
  the edible share (EDPORT) and not to 100 g. They are divided by it, with a note, and the rest is their refuse. Where
  the sum shows that a food is printed without its waste its values stand as they are.
* Alcohol is not among the components, though the energy of drinks counts it. Of the publisher's alcoholic drinks it is
  worked out from that energy, by the Regulation's factors, with a note that holds it and what is left to 100 g.
"""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from math import nan
from pathlib import Path
from typing import TYPE_CHECKING

from data_loaders.csv_files import Download, Form, files_of
from data_loaders.keyed import (
    Measures,
    Way,
    as_number,
    by_key,
    foods_frame,
    listed,
    notes_frame,
    read_values,
    texts,
    way,
)
from data_loaders.schema import Provenance, TableData, TableError
from nutrilab.law.energy import KJ_PER_KCAL, energy, factors
from nutrilab.messages import say

if TYPE_CHECKING:
    import pandas as pd

NAME = "fi-fineli"
SOURCE = "Fineli 20"
FORM = Form(separator=";", latin=True, decimal=",")
VALUES = "component_value.csv"
FEW, MOST_EMPTY = 10, 0.02  # foods without any value that a whole file may have; release 20 has 3 of 1,422
WASTE_SHOWS = 3.0  # [g] what is printed comes to the edible share + so much at most where it is of 100 g with waste
DRINKS = "ALCTOT"  # class of use of alcoholic drinks
OLD = "POISTETTU_"  # "taken out" before classes that are no longer used
# Units of foodunit_EN.csv as household measures; "portion equivalent with 1000 kJ" is none.
UNITS = {
    "DL": "dl", "L": "litre", "RKL": "tbsp", "TL": "tsp", "KPL_S": "small piece", "KPL_M": "medium piece",
    "KPL_L": "large piece", "KPL_VALM": "piece", "PORTS": "small portion", "PORTM": "medium portion",
    "PORTL": "large portion", "PORTTBL": "portion",
}  # fmt: skip
_PRINTED = ("WATER", "PROCNT", "FAT", "CHOAVL", "FIBTG", "ASH")
_ENERGETIC = ("PROCNT", "FAT", "CHOAVL", "FIBTG")


@dataclass(frozen=True, slots=True)
class _Foods:
    """food.csv row by row: id, edible share [0 to 1], group, whether an alcoholic drink."""

    ids: list[str]
    shares: list[float]
    groups: list[str]
    drinks: list[bool]


def load(path: Path) -> TableData:
    """Read Fineli from a folder, zip or tar of its CSV files.

    Returns foods (values per 100 g edible portion), household measures, provenance and notes.
    Raises TableError with file and line: a file or column missing, a row too short, a wrong sign between cells or
    encoding, no number where one belongs, a food or value twice, a value of an unknown food or component.
    """
    download = files_of(path, FORM)
    foods = _foods(download)
    values = read_values(download, VALUES, ("FOODID", "EUFDNAME", "BESTLOC"), foods.ids, _ways(download))
    food_ids = [f"fi:{number}" for number in foods.ids]
    notes: list[tuple[object, ...]] = []
    refuse = _without_waste(values, foods, food_ids, notes)
    _alcohol(values, foods, food_ids, notes)
    values["ENERC_KCAL"] = values["ENERC_KJ"] / KJ_PER_KCAL
    told = values.notna().any(axis=1).to_numpy()
    if (~told).sum() > max(FEW, MOST_EMPTY * len(told)):
        raise TableError(say("load.foods-without-values", number=int((~told).sum()), foods=len(told)), VALUES)
    english, finnish = (by_key(download, f"foodname_{of}.csv", "FOODID", "FOODNAME") for of in ("EN", "FI"))
    about: dict[str, Sequence[object]] = {
        "food_id": food_ids,
        "name": [_small(english.get(number, "") or finnish.get(number, "")) for number in foods.ids],
        "scientific_name": [f"fi: {_small(finnish[number])}" if number in finnish else "" for number in foods.ids],
        "group": foods.groups,
        "source": [SOURCE] * len(food_ids),
        "refuse": refuse,
    }
    frame = foods_frame(about, values)[told].reset_index(drop=True)
    measures = _measures(download, foods.ids).of(food_ids)
    return TableData(
        frame,
        measures[measures["food_id"].isin(frame["food_id"])].reset_index(drop=True),
        _provenance(download, int((~told).sum())),
        notes_frame(notes),
    )


def _foods(download: Download) -> _Foods:
    classes = by_key(download, "igclass_EN.csv", "THSCODE", "DESCRIPT")
    found = _Foods([], [], [], [])
    seen = set()
    columns = ("FOODID", "EDPORT", "IGCLASS", "IGCLASSP", "FUCLASSP")
    for line, (number, edible, group, above, use) in texts(download, "food.csv", columns):
        if not number or number in seen:
            raise TableError(say("load.food-again", food=number), "food.csv", line)
        seen.add(number)
        words = [" ".join(classes.get(code, code).removeprefix(OLD).split()) for code in (above, group) if code]
        found.ids.append(number)
        found.shares.append(_share(edible, line))
        found.groups.append(": ".join(dict.fromkeys(words)))
        found.drinks.append(use == DRINKS)
    return found


def _share(text: str, line: int) -> float:
    """The edible share of a food, printed in percent."""
    try:
        share = as_number(text.replace(",", ".")) / 100
    except ValueError:
        share = nan
    if not 0 < share <= 1:
        raise TableError(say("load.share-refuse-not-between-0"), "food.csv", line)
    return share


def _ways(download: Download) -> dict[str, Way | None]:
    """Component -> what it is here, by its unit. Raises TableError for one that this release is not known to have."""
    tagnames, file = listed("fi_fineli_components"), "component.csv"
    found: dict[str, Way | None] = {}
    for line, (code, unit) in texts(download, file, ("EUFDNAME", "COMPUNIT")):
        if code in found or code not in tagnames:
            raise TableError(say("load.value-belongs-component-unknown", what=code[:20]), file, line)
        found[code] = way(tagnames[code], unit, file, line)
    if missing := tagnames.keys() - found.keys():
        raise TableError(say("load.component-missing", name=min(missing)), file)
    return found


def _without_waste(
    values: pd.DataFrame, foods: _Foods, food_ids: Sequence[str], notes: list[tuple[object, ...]]
) -> list[float]:
    """Bring foods printed with their waste to 100 g edible portion; the share that is waste, by food."""
    printed = values[[tag for tag in _PRINTED if tag in values]].sum(axis=1)
    for row, share in enumerate(foods.shares):
        if share < 1 and printed[row] <= 100 * share + WASTE_SHOWS:
            values.loc[row] /= share
            words = say("load.note-with-waste", share=f"{share:g}")
            known = [tag for tag in values.columns if values[tag].notna().iloc[row]]
            notes += ((food_ids[row], tagname, "converted", nan, nan, words) for tagname in known)
    return [1 - share for share in foods.shares]


def _alcohol(values: pd.DataFrame, foods: _Foods, food_ids: Sequence[str], notes: list[tuple[object, ...]]) -> None:
    """Put in the alcohol of alcoholic drinks [g/100 g]: (energy - that of the other components) / 29 kJ."""
    per_gram = factors()["ALC"][0]
    values["ALC"] = nan
    for row in (row for row, drink in enumerate(foods.drinks) if drink):
        told = {tag: float(values[tag].iloc[row]) for tag in ("ENERC_KJ", *_PRINTED)}
        if any(told[tag] != told[tag] for tag in ("ENERC_KJ", *_ENERGETIC)):
            continue
        others = energy({tag: told[tag] for tag in _ENERGETIC}, {t: factors()[t] for t in _ENERGETIC})[0]
        alcohol = max(0.0, (told["ENERC_KJ"] - others) / per_gram)
        left = max(0.0, 100 - sum(told[tag] for tag in _PRINTED if told[tag] == told[tag]))
        values.loc[row, "ALC"] = alcohol
        words = say("load.note-alcohol-of-energy")
        notes.append((food_ids[row], "ALC", "converted", min(alcohol, left), max(alcohol, left), words))


def _measures(download: Download, ids: Sequence[str]) -> Measures:
    """The household measures of foodaddunit.csv; grams are those of the food as its name says it."""
    file, place, found = "foodaddunit.csv", {number: row for row, number in enumerate(ids)}, Measures()
    for line, (number, unit, mass) in texts(download, file, ("FOODID", "FOODUNIT", "MASS")):
        try:
            grams = as_number(mass.replace(",", "."))
        except ValueError:
            raise TableError(say("load.not-number", text=mass[:40]), file, line) from None
        if number not in place:
            raise TableError(say("load.value-belongs-food-unknown", what=number[:20]), file, line)
        if unit in UNITS:
            found.add(place[number], (1.0, UNITS[unit]), grams)
    return found


def _small(name: str) -> str:
    """A name printed in capitals in small letters: "CHOCOLATE, PLAIN" is "Chocolate, plain"."""
    return name.capitalize() if name.isupper() else name


def _provenance(download: Download, empty: int) -> Provenance:
    title = "Fineli, Finnish food composition database, release 20"
    left = f" {empty} foods without any value are left out." if empty else ""
    return Provenance(
        source=SOURCE,
        version="release 20 (2015)",
        licence="CC BY 4.0, as stated in its descript.txt",
        citation=f"National Institute for Health and Welfare (THL), Fineli. {title}. Helsinki 2015.{left}",
        credit=f"Food composition: {title}, National Institute for Health and Welfare (THL), CC BY 4.0",
        carbohydrate="CHOAVL: available, as published; CHOCDF: by difference, fibre included. Fibre: FIBTG, the "
        "table's total fibre, method not stated. Energy: ENERC_KJ as published; ENERC_KCAL = ENERC_KJ / 4.184. "
        "Alcohol: not published; of alcoholic drinks from the published energy, with a note",
        protein="PROCNT: as published; nitrogen x 6.25 in 85 % of its foods, not told for the rest",
        inputs=download.inputs,
        imported=datetime.date.today().isoformat(),
    )
