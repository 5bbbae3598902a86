"""UK Composition of Foods Integrated Dataset (CoFID), McCance and Widdowson's: the official workbook, 2019 and 2021.

Given is the workbook (.xlsx), or a folder that holds it or some of its sheets saved singly (.xlsx, .csv), as the sheets
Proximates and Inorganics of two editions: then a food renewed since, whose new row names the old code under "Previous",
gets its minerals from the new row. Two foods of the 2021 edition bear one code, 13-669 (seen in the re-saved sheets):
watercress is uk:13-669-watercress here.

What the cells say stands in uk_cofid_values.py, what is made of them in uk_cofid_definitions.py. Values are per 100 g
edible portion; alcoholic drinks, printed per 100 ml, and foods "weighed with bone" or "with skin", printed per 100 g
with their waste, are converted.
"""

from __future__ import annotations

import csv
import datetime
import re
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from data_loaders.schema import NOTE_COLUMNS, Provenance, TableData, TableError, components
from data_loaders.uk_cofid_definitions import FACTORS, PER_FATTY_ACIDS, to_core
from data_loaders.uk_cofid_sheets import Sheet, read_sheets
from data_loaders.uk_cofid_values import SOURCE, Values, read_column
from nutrilab.law.conversions import UK_ENERGY
from nutrilab.law.energy import energy
from nutrilab.messages import listed, say

if TYPE_CHECKING:
    import pandas as pd

NAME = SOURCE
PUBLISHED_TWICE = {("13-669", "watercress, raw"): "13-669-watercress"}
SENSELESS = 0.2  # share of the foods that may contradict themselves before the table is refused
_YEAR = re.compile(r"(?<!\d)20[12]\d(?!\d)")


def load(path: Path) -> TableData:
    """Read CoFID from its workbook or a folder of its sheets.

    Returns foods (values per 100 g edible portion), measures (1 ml, where a density is known), provenance and notes.
    Raises TableError with file, sheet and line where known: a sheet or column missing or twice, a unit that is not
    expected, text where a value belongs, more of something than 100 g can hold, a food twice, columns that contradict
    each other, a damaged or hostile file.
    """
    sheets, inputs = read_sheets(path)
    main = sheets["proximates"]
    keys = _keys(main)
    index = {key: row for row, key in enumerate(keys)}
    values = Values(len(keys))
    left_out = {}
    for kind, sheet in sheets.items():
        places = _places(sheet, main, index)
        for tagname in sheet.columns:
            read_column(tagname, sheet, places, values)
        left_out[kind] = places.count(None)
    _check_sense(values, main.place)
    densities, shares = to_core(values, main.names, main.groups)
    provenance = _provenance(_version(sheets, left_out), inputs)
    ids = [f"uk:{key}" for key in keys]
    foods = _foods(main, ids, values, shares, provenance.source)
    return TableData(foods, _measures(ids, densities), provenance, _notes(ids, values))


def _keys(sheet: Sheet) -> list[str]:
    """The codes of a sheet, the one published twice told apart. Raises TableError when a food stands in it twice."""
    seen: dict[str, int] = {}
    for code, name, line in zip(sheet.codes, sheet.names, sheet.lines, strict=True):
        key = PUBLISHED_TWICE.get((code, name.lower()), code)
        if key in seen:
            raise TableError(say("load.food-stands-here-second-time", code=code, line=seen[key]), sheet.place, line)
        seen[key] = line
    return list(seen)


def _places(sheet: Sheet, main: Sheet, index: Mapping[str, int]) -> list[int | None]:
    """Row of the table for each food of another sheet: by its code; else by a previous code that has no row here."""
    keys = _keys(sheet)
    own = set(keys)
    places = [index.get(key) for key in keys]
    taken = set(places)
    for number, place in enumerate(places):
        if place is None:
            old = [index[code] for code in sheet.previous[number] if code in index and code not in own]
            old = [row for row in old if main.names[row] == sheet.names[number]] or old
            if len(old) == 1 and old[0] not in taken:
                places[number] = old[0]
                taken.add(old[0])
    return places


def _check_sense(values: Values, place: str) -> None:
    """Refuse a table most of which contradicts itself, as when headings and columns are swapped.

    Single foods that do are the publisher's, and are shown by the checks of a table.
    """
    wrong = dict.fromkeys(
        ("load.energy-not-of-components", "load.not-100-g", "load.saturates-above-fat",
         "load.sugars-above-carbohydrate"), 0,
    )  # fmt: skip
    for row in range(values.count):
        for what in _senseless(values, row):
            wrong[what] += 1
    for what, count in wrong.items():
        if count > SENSELESS * values.count:
            raise TableError(
                say("load.foods-columns-swapped-no-cofid", what=say(what), count=count, foods=values.count),
                place,
            )


def _senseless(values: Values, row: int) -> list[str]:
    names = ("ENERC_KCAL_OWN", "PROCNT_JONES", "FAT", "CHOAVLM", "WATER", "FASAT", "SUGARM")
    kcal, protein, fat, carbohydrate, water, saturates, sugars = (values.get(name, row) for name in names)
    found = []
    if kcal is not None and protein is not None and fat is not None and carbohydrate is not None:
        parts = {"PROCNT_JONES": protein, "FAT": fat, "CHOAVLM": carbohydrate, "ALC": values.get("ALC", row) or 0.0}
        if abs(energy(parts, UK_ENERGY)[1] - kcal) > max(20.0, 0.2 * kcal):
            found.append("load.energy-not-of-components")
        solids = protein + fat + carbohydrate / 1.1 + parts["ALC"]
        if water is not None and not 65 < water + solids < 110:  # spices and bran hold up to a third of fibre
            found.append("load.not-100-g")
    if saturates is not None and fat is not None and saturates > 1.1 * fat + 0.5:
        found.append("load.saturates-above-fat")
    if sugars is not None and carbohydrate is not None and sugars > 1.1 * carbohydrate + 0.5:
        found.append("load.sugars-above-carbohydrate")
    return found


# -- the table --------------------------------------------------------------------------------------


def _foods(sheet: Sheet, ids: list[str], values: Values, shares: Mapping[int, float], source: str) -> pd.DataFrame:
    """shares: edible share of the foods printed with their waste; of the others the sheet Factors tells it."""
    import pandas as pd

    edible = list(values.columns.get("EDPOR", [float("nan")] * values.count))
    for row, share in shares.items():
        edible[row] = share
    hidden = {PER_FATTY_ACIDS, *FACTORS} - {"XN"}
    return pd.DataFrame(
        {
            "food_id": ids,
            "name": sheet.names,
            "scientific_name": pd.Series([None] * len(ids), dtype="str"),
            "group": [_group(code) for code in sheet.groups],
            "source": source,
            "refuse": [1 - share for share in edible],
        }
        | {name: values.columns[name] for name in components() if name in values.columns and name not in hidden}
    )


@cache
def _group_names() -> dict[str, str]:
    with (Path(__file__).parent / "uk_cofid_groups.csv").open(encoding="utf-8", newline="") as file:
        return {row["code"]: row["name"] for row in csv.DictReader(line for line in file if not line.startswith("#"))}


def _group(code: str) -> str:
    """A food group as code and name ("DG Vegetables, general")."""
    return f"{code} {_group_names().get(code, '')}".strip()


def _measures(ids: list[str], densities: Mapping[int, float]) -> pd.DataFrame:
    import pandas as pd

    rows = [(ids[row], 1.0, "ml", density) for row, density in densities.items()]
    frame = pd.DataFrame(rows, columns=["food_id", "amount", "words", "grams"])
    return frame.astype({"food_id": "str", "amount": "float64", "words": "str", "grams": "float64"})


def _notes(ids: list[str], values: Values) -> pd.DataFrame:
    import pandas as pd

    hidden = {PER_FATTY_ACIDS, *FACTORS}
    rows = [
        (ids[row], tagname, mark.kind, mark.low, mark.high, mark.words)
        for (tagname, row), mark in values.marks.items()
        if tagname not in hidden
    ]
    return pd.DataFrame(rows, columns=list(NOTE_COLUMNS)).astype({"low": "float64", "high": "float64"})


# -- where it comes from ----------------------------------------------------------------------------


def _version(sheets: Mapping[str, Sheet], left_out: Mapping[str, int]) -> str:
    """The edition as the files' names tell it, and what was not there or not used."""
    years = {kind: match[0] for kind, sheet in sheets.items() if (match := _YEAR.search(sheet.place))}
    if not years:
        words = say("about.edition-not-told")
    elif len(set(years.values())) == 1:
        words = say("about.edition", year=next(iter(years.values())))
    else:
        said = ", ".join(f"{kind} {year}" for kind, year in sorted(years.items()))
        words = say("about.editions", sheets=said)
    absent = [kind for kind in ("vitamins", "factors") if kind not in sheets]
    if absent:
        words = say("about.without-sheets", edition=words, sheets=listed(absent))
    for kind, count in left_out.items():
        if count:
            words = say("about.foods-left-out", edition=words, number=count, sheet=kind)
    return words


def _provenance(version: str, inputs: dict[str, str]) -> Provenance:
    title = "McCance and Widdowson's The Composition of Foods Integrated Dataset"
    return Provenance(
        source="UK CoFID",
        version=version,
        licence="Open Government Licence v3.0",
        citation=f"Public Health England. {title} ({version}).",
        credit=f"Food composition: {title}, Public Health England. Contains public sector information licensed under "
        "the Open Government Licence v3.0",
        carbohydrate="CHOAVL, SUGAR, STARCH: available carbohydrate by weight, made of the table's monosaccharide "
        "equivalents (starch / 1.10, double sugars / 1.05); those stand in CHOAVLM, SUGARM, STARCHM. Fibre: FIBTG by "
        "the AOAC method as printed, else NSP (PSACNS) x 1.31 with a note. Energy: ENERC_KJ and ENERC_KCAL by the "
        "factors of Regulation (EU) No 1169/2011, Annex XIV; the table's own (3.75 kcal per g of CHOAVLM, none from "
        "fibre) in ENERC_KJ_OWN and ENERC_KCAL_OWN. Alcoholic drinks: converted from per 100 ml. Foods weighed with "
        "waste: converted to edible portion. Organic acids and single fatty acids are not read",
        protein="PROCNT: total nitrogen x 6.25, as Annex I of the Regulation wants it; PROCNT_JONES: the table's own, "
        "nitrogen x a factor of each food",
        inputs=inputs,
        imported=datetime.date.today().isoformat(),
    )
