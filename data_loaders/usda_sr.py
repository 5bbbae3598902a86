"""USDA National Nutrient Database for Standard Reference, ASCII tables.

Layout: SR28 documentation (USDA ARS, 2016), section "Relational Files": one record a line, fields
divided by ^, text fields between ~, ISO-8859-1.
"""

from __future__ import annotations

import datetime
import io
from pathlib import Path
from typing import TYPE_CHECKING

from data_loaders.archive import read_files
from data_loaders.schema import (
    FOOD_COLUMNS,
    VARIATION_COLUMNS,
    Provenance,
    TableData,
    TableError,
    components,
    sha256,
)
from nutrilab.messages import say

if TYPE_CHECKING:
    import pandas as pd

NAME = "usda-sr"
# Components that a dish declares, or that its declared figures are reckoned by; of others nobody asks how they vary.
VARYING = ("FAT", "FASAT", "CHOCDF", "SUGAR", "FIBTG", "PROCNT", "NA", "WATER", "ENERC_KCAL", "ALC")
FIELDS = {"FOOD_DES.txt": 14, "FD_GROUP.txt": 2, "NUT_DATA.txt": 18, "WEIGHT.txt": 7}


def load(path: Path) -> TableData:
    """Read the Standard Reference from a folder, zip or tar.

    Returns foods (values per 100 g edible portion), household measures and provenance.
    Raises TableError with file and line: a file missing, a short or long row, not a number,
    a food or a value twice, a value of an unknown food or nutrient, a wrong encoding.
    """
    files = read_files(path, tuple(FIELDS))
    for name, data in files.items():
        _check_shape(data, name)
    foods = _foods(files["FOOD_DES.txt"], files["FD_GROUP.txt"])
    values = _values(files["NUT_DATA.txt"], foods["food_id"])
    foods = foods.join(values, on="food_id")
    measures = _measures(files["WEIGHT.txt"], foods["food_id"])
    provenance = _provenance({name: sha256(data) for name, data in files.items()})
    return TableData(foods, measures, provenance, variation=_variation(files["NUT_DATA.txt"]))


def _provenance(inputs: dict[str, str]) -> Provenance:
    return Provenance(
        source="USDA SR28",
        version="Release 28 (2015, slightly revised May 2016)",
        licence="public domain (work of the US government)",
        citation="US Department of Agriculture, Agricultural Research Service, Nutrient Data Laboratory. USDA National "
        "Nutrient Database for Standard Reference, Release 28 (Slightly revised). Version Current: May 2016.",
        credit="Food composition: USDA National Nutrient Database for Standard Reference, Release 28",
        carbohydrate="CHOCDF: by difference, fibre included; available carbohydrate = CHOCDF - FIBTG",
        protein="PROCNT: nitrogen x a factor of each food (Jones), mostly 6.25",
        inputs=inputs,
        imported=datetime.date.today().isoformat(),
    )


def _check_shape(data: bytes, name: str) -> None:
    """Every line has the file's number of fields, and the bytes are ISO-8859-1."""
    import numpy as np

    raw = np.frombuffer(data, dtype=np.uint8)
    if raw.size == 0:
        raise TableError(say("load.file-empty"), name)
    ends = np.flatnonzero(raw == 10)
    if raw[-1] != 10:
        ends = np.append(ends, raw.size)
    _check_encoding(data, raw, ends, name)
    carets = np.diff(np.searchsorted(np.flatnonzero(raw == ord("^")), ends), prepend=0)
    wrong = np.flatnonzero(carets != FIELDS[name] - 1)
    if wrong.size:
        line = int(wrong[0])
        raise TableError(
            say("load.fields-where-belong-fetch-file", number=carets[line] + 1, wanted=FIELDS[name]), name, line + 1
        )


def _check_encoding(data: bytes, raw: object, ends: object, name: str) -> None:
    """Refuse UTF-8 and UTF-16: as ISO-8859-1 they would read without an error and spoil the names."""
    import numpy as np

    raw, ends = np.asarray(raw), np.asarray(ends)
    high = np.flatnonzero((raw > 127) | (raw == 0))
    if not high.size:
        return
    line = int(np.searchsorted(ends, high[0])) + 1
    try:
        data.decode("utf-8")
    except UnicodeDecodeError:
        if not (raw == 0).any():
            return
    raise TableError(say("load.encoding-not-iso-8859-1"), name, line)


def _frame(data: bytes, names: list[str], columns: list[int], numbers: tuple[str, ...], file: str) -> pd.DataFrame:
    """Some fields of a file as a frame: text as text, numbers as float64.

    Raises TableError at the first field that is not a number.
    """
    import pandas as pd

    types = {n: "float64" if n in numbers else "str" for n in names}

    def read(as_types: dict[str, str]) -> pd.DataFrame:
        return pd.read_csv(
            io.BytesIO(data), sep="^", quotechar="~", header=None, names=names, usecols=columns, dtype=as_types,
            encoding="iso-8859-1", keep_default_na=False, na_values=[""], skip_blank_lines=False,
        )  # fmt: skip

    try:
        return read(types)
    except ValueError as error:
        try:
            plain = read(dict.fromkeys(names, "str"))
        except ValueError as worse:  # a quotation that never ends, and the like
            raise TableError(say("file.not-readable", problem=" ".join(str(worse).split())), file) from error
        for column in numbers:
            bad = pd.to_numeric(plain[column], errors="coerce").isna() & plain[column].notna()
            if bad.any():
                line = int(bad.to_numpy().argmax())
                raise TableError(say("load.not-number", text=plain[column].iloc[line]), file, line + 1) from error
        raise TableError(say("file.not-readable", problem=" ".join(str(error).split())), file) from error


def _foods(des: bytes, group: bytes) -> pd.DataFrame:
    listed = _frame(group, ["code", "group"], [0, 1], (), "FD_GROUP.txt")
    again = listed["code"].duplicated()
    _refuse_first(again, listed["code"], "load.sr-group-again", "FD_GROUP.txt")
    groups = listed.set_index("code")["group"]
    file = "FOOD_DES.txt"
    names = ["ndb", "code", "name", "refuse", "scientific_name"]
    frame = _frame(des, names, [0, 1, 2, 8, 9], ("refuse",), file)
    odd_refuse = ~frame["refuse"].fillna(0).between(0, 100)
    _refuse_first(frame["ndb"].duplicated(), frame["ndb"], "load.sr-food-again", file)
    _refuse_first(~frame["code"].isin(groups.index), frame["code"], "load.sr-no-group", file)
    _refuse_first(odd_refuse, frame["refuse"], "load.sr-refuse", file)
    frame = frame.assign(
        food_id="sr:" + frame["ndb"],
        group=frame["code"].map(groups),
        source="USDA SR28",
        refuse=frame["refuse"] / 100,
    )
    return frame[list(FOOD_COLUMNS)]


def _values(data: bytes, food_ids: pd.Series) -> pd.DataFrame:
    """Foods x components; a value that is not in the file stays missing."""
    import numpy as np
    import pandas as pd

    file = "NUT_DATA.txt"
    frame = _frame(data, ["ndb", "number", "value"], [0, 1, 2], ("value",), file)
    tags = {c.sr_number: c.tagname for c in components().values() if c.sr_number}
    order = list(tags)
    rows = pd.Index(food_ids.str.removeprefix("sr:")).get_indexer(pd.Index(frame["ndb"]))
    columns = pd.Index(order).get_indexer(pd.Index(frame["number"]))
    _refuse_first(pd.Series(rows < 0), frame["ndb"], "load.sr-no-food", file)
    _refuse_first(pd.Series(columns < 0), frame["number"], "load.sr-no-nutrient", file)
    _refuse_first(frame["value"].isna(), frame["ndb"], "load.sr-empty-value", file)
    _refuse_first(~np.isfinite(frame["value"]), frame["ndb"], "load.sr-no-number", file)
    _refuse_first(frame["value"] < 0, frame["ndb"], "load.sr-below-zero", file)
    cell = pd.Series(rows.astype("int64") * len(order) + columns)
    _refuse_first(cell.duplicated(), frame["ndb"], "load.sr-value-again", file)
    grid = np.full((len(food_ids), len(order)), np.nan)
    grid[rows, columns] = frame["value"]
    return pd.DataFrame(grid, index=pd.Index(food_ids), columns=[tags[n] for n in order])


def _measures(data: bytes, food_ids: pd.Series) -> pd.DataFrame:
    frame = _frame(data, ["ndb", "amount", "words", "grams"], [0, 2, 3, 4], ("amount", "grams"), "WEIGHT.txt")
    frame = frame.assign(food_id="sr:" + frame["ndb"])
    _refuse_first(~frame["food_id"].isin(food_ids), frame["ndb"], "load.sr-no-food", "WEIGHT.txt")
    bad = frame["amount"].isna() | frame["grams"].isna() | (frame["amount"] < 0) | (frame["grams"] < 0)
    _refuse_first(bad, frame["ndb"], "load.sr-measure", "WEIGHT.txt")
    useful = (frame["grams"] > 0) & (frame["amount"] > 0)  # SR28 holds rows of 0 g; they say nothing
    return frame.loc[useful, ["food_id", "amount", "words", "grams"]].reset_index(drop=True)


def _variation(data: bytes) -> pd.DataFrame:
    """What NUT_DATA publishes of the samples behind the values of VARYING, of those with an error or a lowest.

    A number of samples alone says nothing of how far they lay apart, and stays behind.
    """
    file = "NUT_DATA.txt"
    numbers = ("samples", "error", "lowest", "highest", "freedom", "mean_low", "mean_high")
    names = ["ndb", "number", "samples", "error", "code", "lowest", "highest", "freedom", "mean_low", "mean_high"]
    frame = _frame(data, names, [0, 1, 3, 4, 5, 10, 11, 12, 13, 14], numbers, file)
    tags = {c.sr_number: c.tagname for c in components().values() if c.tagname in VARYING}
    frame = frame.assign(food_id="sr:" + frame["ndb"], tagname=frame["number"].map(tags))
    _refuse_first(frame["lowest"] > frame["highest"], frame["ndb"], "load.sr-minimum", file)
    _refuse_first(frame["error"] < 0, frame["ndb"], "load.sr-error", file)
    useful = frame["tagname"].notna() & (frame["error"].notna() | frame["lowest"].notna())
    return frame.loc[useful, list(VARIATION_COLUMNS)].reset_index(drop=True)


def _refuse_first(bad: pd.Series, shown: pd.Series, key: str, file: str) -> None:
    """Raise TableError for the first row that is bad, with its line; key: of what is said of it."""
    if bad.to_numpy().any():
        line = int(bad.to_numpy().argmax())
        raise TableError(say(key, what=shown.iloc[line]), file, line + 1)
