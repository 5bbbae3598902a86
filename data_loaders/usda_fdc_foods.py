"""The foods of a CSV download: what food.csv lists, their lasting numbers, and which of them are taken.

The full download has two million Branded foods, of which about one in five is taken; so food.csv is read twice: first
for what decides that, then for the names of those taken.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from data_loaders.csv_files import Download, each, whole_numbers
from data_loaders.keyed import CONTROL, Places, plain
from data_loaders.schema import TableError
from data_loaders.usda_fdc_packs import PACK_WORDS, packs_of
from data_loaders.usda_fdc_parts import (
    BRANDED,
    FOUNDATION,
    LEGACY,
    MOST_FOODS,
    MOST_MIXED,
    SURVEY,
    Left,
    day,
    newest,
)
from nutrilab.messages import say

if TYPE_CHECKING:
    import numpy as np
    import pandas as pd
    import pyarrow as pa

    Array = np.ndarray[Any, np.dtype[Any]]

# data_type of food.csv -> type; other types (samples bought and analysed, experiments) are no foods of a kitchen.
KINDS = {
    "foundation_food": FOUNDATION,
    "sr_legacy_food": LEGACY,
    "survey_fndds_food": SURVEY,
    "branded_food": BRANDED,
}
_NAMES = tuple(KINDS.values())
_NUMBERS = {
    "foundation_food.csv": "NDB_number",
    "sr_legacy_food.csv": "NDB_number",
    "survey_fndds_food.csv": "food_code",
}
_SURVEY_GROUP = ("wweia_category_code", "wweia_category_number")  # either, by release (from memory)


@dataclass(frozen=True, slots=True)
class Listed:
    """food.csv, row by row: fdc_id, place of the type in KINDS (-1: none of them), day of publication."""

    ids: Array
    kinds: Array
    days: Array


def foods_of(download: Download, left_out: Counter[str], said: list[str]) -> tuple[pd.DataFrame, Places]:
    """The foods to take, as Parts has them; and the ids of all that food.csv lists, of whatever type.

    Branded foods also have ``grams`` and ``serving``, the weight of a serving and its words.
    """
    import numpy as np
    import pyarrow as pa

    listed = _listed(download)
    places = Places(listed.ids)
    numbers = _numbers(download, places)
    branded = np.flatnonzero(listed.kinds == _NAMES.index(BRANDED))
    others = np.flatnonzero((listed.kinds >= 0) & (listed.kinds != _NAMES.index(BRANDED)))
    keys = [(listed.kinds[row], numbers.get(row, ("", ""))[0].lstrip("0")) for row in others.tolist()]
    keyed = pa.array([f"{kind} {number}" if number else "" for kind, number in keys], pa.string())
    keep = newest(keyed, listed.days[others], listed.ids[others])
    left_out[Left.OLDER] += int((~keep).sum())
    others = others[keep]
    packs = packs_of(download, branded, places, listed.days, left_out, said) if branded.size else None
    if packs and packs.num_rows > MOST_MIXED and others.size:
        left_out[Left.CROWD] += packs.num_rows
        packs = None
    rows = np.sort(np.concatenate([others, packs["row"].to_numpy()])) if packs else others
    if not rows.size:
        raise TableError(
            say("load.none-foods-can-used", number=f"{left_out[Left.VOLUME]:,}", what=Left.VOLUME.words), "food.csv"
        )
    if len(rows) > MOST_FOODS:
        raise TableError(
            say("load.holds-foods-up-can-read", number=f"{len(rows):,}", most=f"{MOST_FOODS:,}"), "food.csv"
        )
    return _frame(download, listed, rows, numbers, packs), places


def _listed(download: Download) -> Listed:
    import numpy as np
    import pyarrow as pa
    import pyarrow.compute as pc

    pieces: list[tuple[Array, Array, Array]] = []
    needed = {"fdc_id": "int64", "data_type": "string"}
    for line, batch in download.batches("food.csv", needed, {"publication_date": "string"}):
        kinds = pc.index_in(batch.column("data_type"), value_set=pa.array(KINDS)).fill_null(-1)
        days = each(batch.column("publication_date").dictionary_encode(), day).astype("int32")
        pieces.append((whole_numbers(batch, "fdc_id", "food.csv", line), kinds.to_numpy().astype("int8"), days))
    if not pieces:
        raise TableError(say("load.holds-nothing-but-head-fetch"), "food.csv")
    listed = Listed(*(np.concatenate(column) for column in zip(*pieces, strict=True)))
    order = np.argsort(listed.ids, kind="stable")
    again = order[1:][np.diff(listed.ids[order]) == 0]
    if again.size:
        row = int(again.min())
        raise TableError(say("load.food-here-again", food=listed.ids[row]), "food.csv", row + 2)
    if not (listed.kinds >= 0).any():
        raise TableError(say("load.no-food-types", kinds=", ".join(_NAMES)), "food.csv")
    return listed


def _numbers(download: Download, places: Places) -> dict[int, tuple[str, str]]:
    """Row of food.csv -> the number that outlasts releases, and the code of a survey food's group."""
    found: dict[int, tuple[str, str]] = {}
    for file, column in _NUMBERS.items():
        if file not in download:
            continue
        optional = dict.fromkeys((column, *_SURVEY_GROUP), "string")
        for line, batch in download.batches(file, {"fdc_id": "int64"}, optional):
            rows = places.find(whole_numbers(batch, "fdc_id", file, line)).tolist()
            told = (batch.column(name).to_pylist() for name in optional)
            for row, number, code, other in zip(rows, *told, strict=True):
                if row >= 0:
                    found[row] = ((number or "").strip(), code or other or "")
    return found


def _groups(download: Download) -> dict[str, str]:
    """Code of a food group -> its words; survey foods have groups of their own."""
    found: dict[str, str] = {}
    for file, code, words in (
        ("food_category.csv", "id", "description"),
        ("wweia_food_category.csv", "wweia_food_category", "wweia_food_category_description"),
    ):
        if file in download:
            for _, batch in download.batches(file, {}, {code: "string", words: "string"}):
                pairs = zip(batch.column(code).to_pylist(), batch.column(words).to_pylist(), strict=True)
                found |= {key: text for key, text in pairs if key and text}
    return found


def _frame(
    download: Download, listed: Listed, rows: Array, numbers: Mapping[int, tuple[str, str]], packs: pa.Table | None
) -> pd.DataFrame:
    """The foods of some rows of food.csv, with all that is told of them."""
    import numpy as np
    import pandas as pd

    groups = _groups(download)
    name, group, scientific_name = _described(download, listed, rows, groups)
    number = np.full(len(rows), "", dtype=object)
    for at, row in enumerate(rows.tolist()):
        if row in numbers:
            number[at], code = numbers[row]
            group[at] = groups.get(code, group[at])
    told: dict[str, Any] = {}
    if packs:
        at = np.searchsorted(rows, packs["row"].to_numpy())
        number[at] = packs["gtin_upc"].to_numpy()
        maker, owner, serving, category, ingredients = (_spread(packs[column], at, len(rows)) for column in PACK_WORDS)
        name = _with_maker(name, np.where(maker == "", owner, maker))
        group = np.where(group == "", category, group)
        told = {"serving": serving, "ingredients": ingredients, "grams": np.full(len(rows), np.nan)}
        told["grams"][at] = packs["serving_size"].to_numpy()
    kinds = pd.Categorical.from_codes(listed.kinds[rows], pd.Index(_NAMES))
    about = {"scientific_name": scientific_name, "group": group, "day": listed.days[rows], "number": number}
    return pd.DataFrame({"fdc_id": listed.ids[rows], "kind": kinds, "name": name.to_pandas(), **about, **told})


def _spread(column: pa.ChunkedArray, at: Array, length: int) -> Array:
    """Texts of the packs at the places of all foods."""
    import numpy as np

    whole = np.full(length, "", dtype=object)
    whole[at] = each(column.combine_chunks(), plain)
    return whole


def _with_maker(names: pa.ChunkedArray, makers: Array) -> pa.ChunkedArray:
    """Packs bear their maker, "Oat biscuits (Harbour Bakery)", for many have the same description."""
    import pyarrow as pa
    import pyarrow.compute as pc

    said = pa.array(makers, pa.string())
    added = pc.if_else(pc.equal(said, ""), "", pc.binary_join_element_wise(" (", said, ")", ""))
    return pc.if_else(pc.equal(names, ""), "", pc.binary_join_element_wise(names, added, ""))


def _described(
    download: Download, listed: Listed, rows: Array, groups: Mapping[str, str]
) -> tuple[pa.ChunkedArray, Array, Array]:
    """Name, group and scientific name of some rows of food.csv.

    Raises TableError with the line for a food without a description, unless it is Branded: its name then is "".
    """
    import numpy as np
    import pyarrow as pa
    import pyarrow.compute as pc

    names, others = [], [(np.empty(0, dtype=object),) * 2]
    needed = {"description": "string"}
    optional = {"food_category_id": "string", "scientific_name": "string"}
    for line, batch in download.batches("food.csv", needed, optional):
        first, end = np.searchsorted(rows, (line - 2, line - 2 + batch.rows.num_rows))
        here = pa.array(rows[first:end] - (line - 2))
        text = pc.replace_substring_regex(batch.column("description").take(here).fill_null(""), CONTROL, " ")
        names.append(pc.utf8_trim_whitespace(text))
        codes, scientific = (batch.column(name).take(here).dictionary_encode() for name in optional)
        # Branded foods have their group's words where the others have a code (from memory)
        group = each(codes, lambda code: groups.get(code, "" if code.isdigit() else code))
        others.append((group, each(scientific, plain)))
    found = pa.chunked_array(names, pa.string())
    nameless = rows[pc.equal(found, "").to_numpy() & (listed.kinds[rows] != _NAMES.index(BRANDED))]
    if nameless.size:
        row = int(nameless[0])
        raise TableError(say("load.food-has-no-description", food=listed.ids[row]), "food.csv", row + 2)
    group, scientific_name = (np.concatenate(column) for column in zip(*others, strict=True))
    return found, group, scientific_name
