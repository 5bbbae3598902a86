"""Matvaretabellen, the Norwegian table: JSON as the programme behind its site stores it. UNTRIED on the table itself.

At hand were the list of nutrients, groups and sources, and one food; so the loader is called untried wherever its
table is: no more than that food of the publisher's has gone through it. Given are two JSON files: one object with
"foods", one with "nutrients", "foodgroups" and "references", whatever they are called.

A value is {"ref": source, "value": text}. What the list of sources says is kept:

* an empty value is missing ("10": missing value, content not known);
* "60a" is printed as zero because it is below the limit of quantification: it stays 0, with a note "less than" without
  an upper bound, for nobody tells the limit; "60b" is below the limit: a value above 0 is taken for the bound; "60c" is
  half of the limit: the note has twice the value as its bound;
* "20" and "30" are estimates, with a note.
"""

from __future__ import annotations

import datetime
import json
from collections.abc import Mapping, Sequence
from math import isfinite, nan
from pathlib import Path
from typing import Any

from data_loaders.archive import read_file, read_files
from data_loaders.csv_files import listed as files_in
from data_loaders.keyed import Measures, Way, as_number, foods_frame, listed, notes_frame, plain, way
from data_loaders.schema import Provenance, TableData, TableError, sha256
from nutrilab.messages import say

NAME = "no-matvaretabellen"
SOURCE = "Matvaretabellen"
LARGEST = 200_000_000  # bytes; the list of nutrients has 0.7 million
EDIBLE = "Netto"
SPELT = {"µg-RE": "ug", "mg-ATE": "mg"}
ESTIMATES = {"20": "load.note-estimated", "30": "load.note-of-a-like-food"}
BELOW = ("60a", "60b", "60c")
# Portions of the table whose words a cook's measure can be; grams as told, separated by spaces as the words are.
PORTIONS = {
    "dl": "dl", "spiseskje": "tbsp", "teskje": "tsp", "stk": "piece", "stk_liten": "small piece",
    "stk_middels": "medium piece", "stk_stor": "large piece", "skive": "slice", "filet": "fillet", "fedd": "clove",
    "blad": "leaf", "neve": "handful", "porsjon": "portion", "glass": "glass",
}  # fmt: skip


def load(path: Path) -> TableData:
    """Read the two JSON files from a folder, zip or tar that holds them.

    Returns foods (values per 100 g edible portion), portions, provenance and notes.
    Raises TableError with the file: one of the two missing, no JSON, keys that are not as stored, an unknown group or
    nutrient, no number where one belongs, a food twice.
    """
    import pandas as pd

    objects, inputs = _objects(path)
    foods, lists = _list(*objects["foods"], "foods"), objects["nutrients"]
    ways = _ways(_list(*lists, "nutrients"), lists[1])
    groups = {_text(one, "id", lists[1]): _text(one, "name", lists[1]) for one in _list(*lists, "foodgroups")}
    file, ids = objects["foods"][1], [_text(food, "id", objects["foods"][1]) for food in foods]
    if again := next((number for n, number in enumerate(ids) if not number or number in ids[:n]), None):
        raise TableError(say("load.food-again", food=again[:20]), file)
    food_ids = [f"no:{number}" for number in ids]
    notes: list[tuple[object, ...]] = []
    values = [_values(food, food_id, ways, notes, file) for food_id, food in zip(food_ids, foods, strict=True)]
    measures = Measures()
    for row, food in enumerate(foods):
        _portions(food, row, measures, file)
    about: dict[str, Sequence[object]] = {
        "food_id": food_ids,
        "name": [_text(food, "name", file) for food in foods],
        "scientific_name": [_text(food, "latinName", file) for food in foods],
        "group": [groups.get(_text(food, "groupId", file), "") for food in foods],
        "source": [SOURCE] * len(foods),
        "refuse": [1 - share / 100 if (share := _cell(food, EDIBLE, file)[0]) == share else nan for food in foods],
    }
    frame = pd.DataFrame(values, columns=[one.tagname for one in ways.values()], dtype="float64")
    return TableData(foods_frame(about, frame), measures.of(food_ids), _provenance(inputs), notes_frame(notes))


def _objects(path: Path) -> tuple[dict[str, tuple[dict[str, Any], str]], dict[str, str]]:
    """The two objects by the key that tells them, each with its file; file -> SHA-256."""
    alone = path.is_file() and path.suffix.lower() == ".json"
    names = () if alone else tuple(name for name in files_in(path).values() if name.lower().endswith(".json"))
    data = {path.name: read_file(path, LARGEST)} if alone else read_files(path, (), names)
    found: dict[str, tuple[dict[str, Any], str]] = {}
    for name, text in data.items():
        try:
            whole = json.loads(text.decode("utf-8-sig"))
        except UnicodeDecodeError:
            raise TableError(say("load.encoding-not-utf-8-use"), name) from None
        except (ValueError, RecursionError):
            raise TableError(say("load.what-begins-here-cut-short"), name) from None
        for key in ("foods", "nutrients"):
            if isinstance(whole, dict) and key in whole:
                if key in found:
                    raise TableError(say("load.file-stands-twice", file=key), name)
                found[key] = whole, name
    for key in ("foods", "nutrients"):
        if key not in found:
            raise TableError(say("load.no-object-with-key", name=key), path)
    return found, {name: sha256(text) for name, text in data.items()}


def _list(whole: Mapping[str, Any], file: str, key: str) -> list[dict[str, Any]]:
    found = whole.get(key)
    if not isinstance(found, list) or not all(isinstance(one, dict) for one in found):
        raise TableError(say("load.no-list-objects", name=key), file)
    return found


def _text(item: Mapping[str, Any], name: str, file: str) -> str:
    found = item.get(name, "")
    if not isinstance(found, str):
        raise TableError(say("load.no-text", name=name), file)
    return plain(found)


def _ways(nutrients: Sequence[Mapping[str, Any]], file: str) -> dict[str, Way]:
    """Id of a nutrient -> what it is here, of those that are kept."""
    tagnames = listed("no_matvaretabellen_nutrients")
    told = {_text(one, "id", file): _text(one, "unit", file) for one in nutrients}
    if missing := tagnames.keys() - told.keys():
        raise TableError(say("load.component-missing", name=min(missing)), file)
    return {key: way(tagname, SPELT.get(told[key], told[key]), file, 1) for key, tagname in tagnames.items()}


def _cell(food: Mapping[str, Any], key: str, file: str) -> tuple[float, str]:
    """A value of a food and the source it names; NaN where it is missing."""
    cell = food.get(key)
    if cell is None:
        return nan, ""
    if not isinstance(cell, dict):
        raise TableError(say("load.food-problem", food=food.get("id"), problem=say("load.no-text", name=key)), file)
    text, source = _text(cell, "value", file), _text(cell, "ref", file)
    if not text:
        return nan, source
    try:
        value = as_number(text)
    except ValueError:
        value = nan
    if not isfinite(value):
        problem = say("load.not-number", text=text[:40])
        raise TableError(say("load.food-problem", food=str(food.get("id"))[:20], problem=problem), file)
    return value, source


def _values(
    food: Mapping[str, Any], food_id: str, ways: Mapping[str, Way], notes: list[tuple[object, ...]], file: str
) -> list[float]:
    """The values of a food in the order of ``ways``; its notes are put to the others."""
    found = []
    for key, one in ways.items():
        value, source = _cell(food, key, file)
        value *= one.factor
        found.append(value)
        if value != value:
            continue
        if source in BELOW:
            high = {"60a": nan, "60b": value or nan, "60c": 2 * value}[source]
            low = 0.0 if high == high else nan
            notes.append((food_id, one.tagname, "less than", low, high, say("load.note-below-measure", source=source)))
            if source == "60b" and value:
                found[-1] = value / 2
        elif source in ESTIMATES:
            notes.append((food_id, one.tagname, "estimate", nan, nan, say(ESTIMATES[source], source=source)))
    return found


def _portions(food: Mapping[str, Any], row: int, measures: Measures, file: str) -> None:
    cell = food.get("Portion")
    if not isinstance(cell, dict):
        return
    for kind, weight in zip(_text(cell, "ref", file).split(), _text(cell, "value", file).split(), strict=False):
        try:
            grams = as_number(weight)
        except ValueError:
            continue
        if kind in PORTIONS:
            measures.add(row, (1.0, PORTIONS[kind]), grams)


def _provenance(inputs: dict[str, str]) -> Provenance:
    return Provenance(
        source=SOURCE,
        version="as stored by its site's programme, release not told",
        licence="not verified: read the publisher's own terms",
        citation="Norwegian Food Safety Authority. Matvaretabellen (the Norwegian food composition table).",
        credit="Food composition: Matvaretabellen, Norwegian Food Safety Authority",
        carbohydrate="CHOAVL: its carbohydrate, without fibre (from memory). Energy: as published",
        protein="PROCNT: as published; the factor of nitrogen is not told",
        inputs=inputs,
        imported=datetime.date.today().isoformat(),
        untried=True,
    )
