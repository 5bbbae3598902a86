"""The JSON downloads of FoodData Central, food by food: a file of any size takes the memory of its foods alone.

Layout (from memory): one object, its key one of KEYS, its value a list of foods with fdcId, description, dataType,
ndbNumber | foodCode | gtinUpc, foodCategory | wweiaFoodCategory | brandedFoodCategory, publicationDate,
foodNutrients [{nutrient {id, number, unitName}, amount}], foodPortions [{amount, measureUnit {name}, modifier,
portionDescription, gramWeight}]; in Branded foods brandOwner, servingSize, servingSizeUnit,
householdServingFullText.
"""

from __future__ import annotations

import codecs
import json
import re
import sys
from array import array
from collections import Counter
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import IO, Any, NoReturn

from data_loaders import archive
from data_loaders.csv_files import Tap
from data_loaders.keyed import Measures, leading, plain
from data_loaders.schema import TableError
from data_loaders.usda_fdc_nutrients import Nutrients
from data_loaders.usda_fdc_parts import (
    BRANDED,
    FOUNDATION,
    LEGACY,
    MOST_FOODS,
    SURVEY,
    WEIGHED,
    Left,
    Parts,
    Values,
    day,
    measure,
    newest,
    poured,
)
from nutrilab.messages import either, say

KEYS = {"FoundationFoods": FOUNDATION, "SRLegacyFoods": LEGACY, "SurveyFoods": SURVEY, "BrandedFoods": BRANDED}
_TEXTS = ("kind", "name", "scientific_name", "group", "number", "ingredients")
_OFTEN = frozenset(("kind", "scientific_name", "group"))  # the same in many foods: held once
_NO_SPACE = re.compile(r"\S")
CHUNK = 1 << 20  # characters read at once
ENTRY = 20_000_000  # characters of one food at most; the largest published has about 200,000


def is_json(path: Path) -> bool:
    """Whether a path is a JSON file: what it begins with decides, not its name."""
    if not path.is_file():
        return False
    with _opened(path, "") as file:
        return file.read(100).removeprefix(codecs.BOM_UTF8).lstrip()[:1] in (b"{", b"[")


@contextmanager
def _opened(path: Path, name: str) -> Iterator[IO[bytes]]:
    """The file ``name`` inside ``path``, or ``path`` itself without a name."""
    if name:
        with archive.opened(path, name) as stream:
            yield stream
        return
    try:
        with path.open("rb") as stream:
            yield stream
    except OSError as error:
        raise TableError(say("file.not-readable", problem=error.strerror), path) from error


def read(path: Path, names: Mapping[str, str]) -> Parts:
    """Foods, values and measures of the JSON files ``names`` inside ``path``, or of ``path`` itself without names.

    Raises TableError with file and line: no JSON, cut short, not UTF-8, keys or types that are not the publisher's, a
    food or a value twice, a value that cannot be.
    """
    gathered = _Gathered()
    for name in names or ("",):
        with _opened(path, name) as stream:
            tap, written = Tap(stream), names.get(name, path.name)
            text = _Text(tap, written)
            for kind, food in _foods(text):
                try:
                    gathered.add(kind, food)
                except ValueError as error:
                    known = isinstance(food.get("fdcId"), int)
                    said = say("load.food-and", food=food["fdcId"], problem=error) if known else str(error)
                    raise TableError(said, written, text.line) from error
            gathered.inputs[written] = tap.sha256()
    return gathered.parts()


class _Text:
    """A JSON text read piece by piece: no more than the value at hand is held."""

    def __init__(self, tap: Tap, file: str) -> None:
        self._tap, self._file, self._ended = tap, file, False
        self._bytes = codecs.getincrementaldecoder("utf-8-sig")()
        self._decoder = json.JSONDecoder(parse_constant=self._no_number)
        self._held, self._at, self._lines = "", 0, 1

    @property
    def line(self) -> int:
        return self._lines + self._held.count("\n", 0, self._at)

    def fail(self, words: str) -> NoReturn:
        raise TableError(words, self._file, self.line)

    def next(self) -> str:
        """The next character that is no space, not taken yet; "" at the end."""
        while True:
            if found := _NO_SPACE.search(self._held, self._at):
                self._at = found.start()
                return found[0]
            self._at = len(self._held)
            if not self._more():
                return ""

    def take(self, *wanted: str) -> str:
        """Take the next character. Raises TableError when it is none of those wanted."""
        found = self.next()
        if found not in wanted:
            self.fail(say("load.belongs-here-file-cut-short", names=either(wanted)))
        self._at += 1
        return found

    def value(self) -> Any:
        """Take a text, list or object, reading on until it is whole."""
        while True:
            try:
                found, self._at = self._decoder.raw_decode(self._held, self._at)
                return found
            except json.JSONDecodeError as error:
                cut = error.pos > len(self._held) - 20 or error.msg.startswith("Unterminated")
                if not cut or len(self._held) - self._at > ENTRY or not self._more():
                    self.fail(say("load.what-begins-here-cut-short"))
            except (RecursionError, ValueError):
                self.fail(say("load.what-begins-here-no-food"))

    def _more(self) -> bool:
        if self._ended:
            return False
        self._lines = self.line
        rest = self._held[self._at :]
        data = self._tap.read(max(CHUNK, len(rest)))
        self._ended = not data
        try:
            self._held, self._at = rest + self._bytes.decode(data, final=self._ended), 0
        except UnicodeDecodeError:
            self.fail(say("load.encoding-not-utf-8-use"))
        return True

    @staticmethod
    def _no_number(name: str) -> NoReturn:
        raise ValueError(say("load.no-number", name=name))


def _foods(text: _Text) -> Iterator[tuple[str, dict[str, Any]]]:
    """The foods of one file, with the type their key names."""
    text.take("{")
    while True:
        key = text.value() if text.next() == '"' else None
        if key not in KEYS:
            text.fail(say("load.one-keys-belongs-here-no", words=", ".join(KEYS)))
        text.take(":")
        text.take("[")
        while text.next() != "]":
            food = text.value()
            if not isinstance(food, dict):
                text.fail(say("load.food-belongs-here-no-download"))
            yield KEYS[key], food
            if text.next() != "]":
                text.take(",")
        text.take("]")
        if text.take(",", "}") == "}":
            break
    if text.next():
        text.fail(say("load.something-follows-end-fetch-file"))


class _Gathered:
    """What the foods read so far hold."""

    def __init__(self) -> None:
        self.inputs: dict[str, str] = {}
        self._ids: dict[int, None] = {}  # in order
        self._days = array("q")
        self._texts: dict[str, list[str]] = {name: [] for name in _TEXTS}
        self._nutrients, self._ways = Nutrients(), dict[tuple[int, str, str], tuple[int, float] | None]()
        self._values, self._measures = Values(), Measures()
        self._left_out: Counter[str] = Counter()
        self._said: list[str] = []

    def add(self, kind: str, food: dict[str, Any]) -> None:
        """Take one food. Raises ValueError, in words, when it is not what the publisher writes."""
        kind = _text(food, "dataType") or kind
        if kind not in KEYS.values() or food.get("isHistoricalReference") is True:
            return
        if kind == BRANDED and _text(food, "servingSizeUnit").lower() not in WEIGHED:
            self._left_out[Left.VOLUME] += 1
            self._said.append(poured(str(food.get("fdcId")), _name(food, kind)))
            return
        fdc_id = food.get("fdcId")
        if not isinstance(fdc_id, int) or isinstance(fdc_id, bool) or not 0 < fdc_id < 2**63:
            raise ValueError(say("load.fdcid-no-whole-number"))
        if fdc_id in self._ids:
            raise ValueError(say("load.stands-here-second-time"))
        if len(self._ids) >= MOST_FOODS:
            raise ValueError(say("load.only-foods-can-read", most=f"{MOST_FOODS:,}"))
        row = len(self._ids)
        for name, text in zip(_TEXTS, (kind, _name(food, kind), *_about(food)), strict=True):
            self._texts[name].append(sys.intern(text) if name in _OFTEN else text)
        self._days.append(day(_text(food, "publicationDate")))
        self._ids[fdc_id] = None
        self._add_values(row, kind, food)
        self._add_measures(row, kind, food)

    def _add_values(self, row: int, kind: str, food: dict[str, Any]) -> None:
        import numpy as np

        places, amounts = [], []
        for item in _objects(food, "foodNutrients"):
            amount, nutrient = _number(item, "amount"), item.get("nutrient")
            if not isinstance(nutrient, dict):
                raise ValueError(say("load.value-no-nutrient"))
            told = _told(nutrient)
            if told not in self._ways:
                self._ways[told] = self._nutrients.tell(*told)
            way = self._ways[told]
            if way and amount is not None:
                places.append(way[0])
                amounts.append(amount * way[1])

        def refuse(_: int, words: str) -> None:
            raise ValueError(words)

        rows, branded = np.full(len(places), row), np.full(len(places), kind == BRANDED)
        self._values.add(rows, np.array(places, dtype="int64"), np.array(amounts, dtype="float64"), branded, refuse)

    def _add_measures(self, row: int, kind: str, food: dict[str, Any]) -> None:
        for item in _objects(food, "foodPortions"):
            unit = item.get("measureUnit")
            unit = _text(unit, "name") if isinstance(unit, dict) else ""
            amount, grams = _number(item, "amount"), _number(item, "gramWeight")
            if (amount or 0) < 0 or (grams or 0) < 0:
                raise ValueError(say("load.portion-below-zero"))
            words = measure(kind, amount, unit, _text(item, "portionDescription"), _text(item, "modifier"))
            self._measures.add(row, words, grams)
        if kind == BRANDED:
            self._measures.add(row, leading(_text(food, "householdServingFullText")), _number(food, "servingSize"))

    def parts(self) -> Parts:
        import numpy as np
        import pandas as pd
        import pyarrow as pa

        ids, days = np.fromiter(self._ids, dtype="int64"), np.array(self._days)
        keyed = zip(self._texts["kind"], self._texts["number"], strict=True)
        keys = (f"{kind} {number.lstrip('0')}" if number.lstrip("0") else "" for kind, number in keyed)
        older = ~newest(pa.array(keys, pa.string()), days, ids)
        texts = {name: pd.Series(self._texts.pop(name), dtype="str") for name in _TEXTS}
        foods = pd.DataFrame({"fdc_id": ids, "day": days, **texts}).astype({"kind": "category"})
        self._left_out[Left.OLDER] += int(older.sum())
        return Parts(foods, older, self._values, self._measures.frame(), self.inputs, self._left_out, self._said)


def _text(item: Mapping[str, Any], *names: str) -> str:
    """The first of some texts that is there; numbers as text."""
    for name in names:
        found = item.get(name)
        if isinstance(found, str) and found.strip():
            return plain(found)
        if isinstance(found, int) and not isinstance(found, bool):
            return str(found)
        if found is not None and not isinstance(found, str):
            raise ValueError(say("load.no-text", name=name))
    return ""


def _number(item: Mapping[str, Any], name: str) -> float | None:
    found = item.get(name)
    if found is None:
        return None
    if isinstance(found, bool) or not isinstance(found, int | float) or abs(found) > 1e300:
        raise ValueError(say("load.no-number", name=name))
    return float(found)


def _objects(food: Mapping[str, Any], name: str) -> list[dict[str, Any]]:
    found = food.get(name) or []
    if not isinstance(found, list) or not all(isinstance(item, dict) for item in found):
        raise ValueError(say("load.no-list-objects", name=name))
    return found


def _told(nutrient: Mapping[str, Any]) -> tuple[int, str, str]:
    """Id, number and unit of a nutrient."""
    nutrient_id = nutrient.get("id")
    if not isinstance(nutrient_id, int):
        raise ValueError(say("load.nutrient-has-no-id"))
    return nutrient_id, _text(nutrient, "number"), _text(nutrient, "unitName")


def _name(food: Mapping[str, Any], kind: str) -> str:
    name, brand = _text(food, "description"), _text(food, "brandName", "brandOwner") if kind == BRANDED else ""
    if not name and kind != BRANDED:
        raise ValueError(say("load.has-no-description"))
    return f"{name} ({brand})" if name and brand else name


def _about(food: Mapping[str, Any]) -> tuple[str, str, str, str]:
    """Scientific name, group, lasting number, ingredients text."""
    group = ""
    for name, words in (("foodCategory", "description"), ("wweiaFoodCategory", "wweiaFoodCategoryDescription")):
        if isinstance(held := food.get(name), dict):
            group = group or _text(held, words)
    number = _text(food, "ndbNumber", "foodCode", "gtinUpc")
    texts = _text(food, "scientificName"), group or _text(food, "brandedFoodCategory"), number
    return (*texts, _text(food, "ingredients"))
