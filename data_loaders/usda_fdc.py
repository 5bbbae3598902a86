"""USDA FoodData Central: the CSV and the JSON downloads, types Foundation, SR Legacy, Survey (FNDDS) and Branded.

A food's id is ``fdc:`` + its fdc_id. That changes whenever a food is published anew, so ``source`` carries the number
that stays, after the type: "USDA FDC SR Legacy, NDB 01009", "USDA FDC Foundation, NDB 01009",
"USDA FDC Survey (FNDDS), food code 11111000", "USDA FDC Branded, GTIN 00012345678905"; `lasting_number` reads it.
NDB numbers have five digits at least, as in the Standard Reference: "sr:01009" there is NDB 01009 here. It is no part
of the id because Foundation and SR Legacy each have a food of their own under many an NDB number.

Of a component a food may have several nutrients in place of the usual one; ``usda_fdc_nutrients.csv`` has the order,
and a note of kind "converted" says so at each value. Values of Branded foods are those of US packs.
"""

from __future__ import annotations

import datetime
import re
from pathlib import Path
from typing import TYPE_CHECKING, Any

from data_loaders import usda_fdc_csv, usda_fdc_json
from data_loaders.csv_files import Download, listed
from data_loaders.schema import FOOD_COLUMNS, MEASURE_COLUMNS, NOTE_COLUMNS, Provenance, TableData, TableError
from data_loaders.usda_fdc_parts import FOUNDATION, LEGACY, NUMBERS, Column, Left, Parts
from nutrilab.messages import say

if TYPE_CHECKING:
    import numpy as np
    import pandas as pd

    Array = np.ndarray[Any, np.dtype[Any]]

NAME = "usda-fdc"
_DATE = re.compile(r"(?<!\d)20\d\d-[01]\d(?:-[0-3]\d)?(?!\d)")
_NUMBER = re.compile(r"^USDA FDC [^,]+, (?:NDB|food code|GTIN) (\S+)$")


def load(path: Path) -> TableData:
    """Read a download of FoodData Central: a folder, zip or tar of CSV or JSON files, or one JSON file.

    Returns foods (values per 100 g edible portion), household measures, provenance, notes on values.
    Raises TableError, with file and line where known: a file or column missing, a short or long row, no number where
    one belongs, a value below zero or above what 100 g can hold, a food or a value twice, a nutrient that is not what
    its number says, files of several downloads, a wrong encoding, a damaged or hostile archive.
    """
    if usda_fdc_json.is_json(path):
        parts = usda_fdc_json.read(path, {})
    else:
        names = listed(path)
        if "food.csv" in names:
            parts = usda_fdc_csv.read(Download(path, names))
        elif found := {name: written for name, written in names.items() if name.endswith(".json")}:
            parts = usda_fdc_json.read(path, found)
        else:
            raise TableError(say("load.neither-food-csv-nor-json"), path)
    return _table(parts, path)


def lasting_number(source: str) -> str | None:
    """The number in a food's source that stays over releases: NDB number, food code or GTIN; None if it has none."""
    match = _NUMBER.match(source)
    return match[1] if match else None


def _table(parts: Parts, path: Path) -> TableData:
    """The layout of schema.py from what a reader found."""
    import numpy as np
    import pandas as pd

    def refuse(row: int, words: str) -> None:
        raise TableError(say("load.food-has-fetch-again", food=parts.foods["fdc_id"].iloc[row], problem=words), path)

    keep = _kept(parts)
    if not keep.any():
        raise TableError(say("load.none-foods-has-value-use"), path)
    columns = parts.values.columns(keep, refuse)
    foods = parts.foods[keep]
    head = {
        "food_id": "fdc:" + foods["fdc_id"].astype("str"),
        "name": foods["name"],
        "scientific_name": foods["scientific_name"],
        "group": foods["group"],
        "source": _sources(foods),
        "refuse": np.nan,
    }
    table = pd.DataFrame({name: head[name] for name in FOOD_COLUMNS}).reset_index(drop=True)
    values = pd.DataFrame({column.tagname: column.values for column in columns}, copy=False)
    food_ids = table["food_id"]
    measures = parts.measures[keep[parts.measures["row"]]]
    measures = measures.assign(food_id=food_ids.to_numpy()[(np.cumsum(keep) - 1)[measures["row"]]])
    return TableData(
        foods=pd.concat([table, values], axis=1),
        measures=measures[list(MEASURE_COLUMNS)].reset_index(drop=True),
        provenance=_provenance(parts, foods, path),
        notes=_notes(columns, food_ids),
        left_out=tuple(parts.said),
        labels=_labels(foods, food_ids),
    )


def _kept(parts: Parts) -> Array:
    """Of each food, whether it goes into the table; counts the others."""
    foods = len(parts.foods)
    keep = ~parts.older
    for why, out in (
        (Left.NAMELESS, keep & (parts.foods["name"] == "").to_numpy()),
        (Left.SPOILT, keep & parts.values.spoilt(foods)),
        (Left.BLANK, keep & ~parts.values.known(foods)),
    ):
        parts.left_out[why] += int(out.sum())
        keep = keep & ~out
    return keep


def _sources(foods: pd.DataFrame) -> pd.Series:
    """Type and lasting number of each food, as the head of this file shows."""
    number = foods["number"].where(~foods["kind"].isin((FOUNDATION, LEGACY)), foods["number"].str.zfill(5))
    told = ", " + foods["kind"].map(NUMBERS).astype("str") + " " + number
    return "USDA FDC " + foods["kind"].astype("str") + told.where(foods["number"] != "", "")


def _labels(foods: pd.DataFrame, food_ids: pd.Series) -> pd.DataFrame | None:
    """The ingredients texts of the packs, as typed off them."""
    import pandas as pd

    if "ingredients" not in foods:
        return None
    texts = foods["ingredients"].fillna("").astype("str").reset_index(drop=True)
    return pd.DataFrame({"food_id": food_ids, "ingredients": texts})[texts != ""].reset_index(drop=True)


def _notes(columns: list[Column], food_ids: pd.Series) -> pd.DataFrame:
    import numpy as np
    import pandas as pd

    rows = [
        (food_ids.iloc[row], column.tagname, "converted", np.nan, np.nan, words)
        for column in columns
        for at, words in column.notes
        for row in at
    ]
    return pd.DataFrame(rows, columns=list(NOTE_COLUMNS))


def _version(name: str, latest: int) -> str:
    """The release by the name of the download, else by the newest day a food of it was published."""
    if named := _DATE.search(name):
        return say("about.download-of", day=named[0])
    day = str(latest)
    day = f"{day[:4]}-{day[4:6]}-{day[6:]}"
    return say("about.published-up-to", day=day) if latest else say("about.release-not-told")


def _provenance(parts: Parts, foods: pd.DataFrame, path: Path) -> Provenance:
    kinds = [kind for kind in NUMBERS if (foods["kind"] == kind).any()]
    out = "; ".join(f"{count:,} {Left(why).words}" for why, count in sorted(parts.left_out.items()) if count)
    citation = "US Department of Agriculture, Agricultural Research Service. FoodData Central. fdc.nal.usda.gov."
    return Provenance(
        source=f"USDA FoodData Central ({', '.join(kinds)})",
        version=_version(path.name, int(foods["day"].max())),
        licence="CC0 1.0 (public domain)",
        citation=say("about.left-out-here", citation=citation, foods=out) if out else citation,
        credit="Food composition: US Department of Agriculture, Agricultural Research Service, FoodData Central",
        carbohydrate="CHOCDF: by difference, fibre included (Branded: as the US label gives it); available "
        "carbohydrate = CHOCDF - FIBTG. FIBTG: AOAC total dietary fibre, or AOAC 2011.25 where a note says so. "
        "ENERC_KCAL: as published, by Atwater factors of each food or general ones (Branded: as labelled)",
        protein="PROCNT: nitrogen x a factor of each food (Jones), mostly 6.25; Branded: as labelled",
        inputs=parts.inputs,
        imported=datetime.date.today().isoformat(),
    )
