"""The CSV download of FoodData Central: foods, values and measures out of its files, the large ones as streams.

Layout: "Download Field Descriptions" of FoodData Central (from memory), and the head rows of nutrient.csv and
food_portion.csv of the Foundation download of 2022. Files may have more columns than are asked for here.
"""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, Any

from data_loaders.csv_files import Download, whole_numbers
from data_loaders.keyed import Measures, Places, leading
from data_loaders.schema import TableError
from data_loaders.usda_fdc_foods import foods_of
from data_loaders.usda_fdc_nutrients import Nutrients
from data_loaders.usda_fdc_parts import BRANDED, Parts, Values, measure
from nutrilab.messages import say

if TYPE_CHECKING:
    import numpy as np
    import pandas as pd

    Array = np.ndarray[Any, np.dtype[Any]]

# Share of rows that may belong to foods food.csv does not list: with more the files are not of one download.
STRANGERS = 0.01


def read(download: Download) -> Parts:
    """Foods, values and measures of a CSV download. Raises TableError for what its files lack or hold."""
    import numpy as np

    left_out: Counter[str] = Counter()
    said: list[str] = []
    foods, listed = foods_of(download, left_out, said)
    values = _values(download, foods, listed)
    older = np.zeros(len(foods), dtype=bool)  # those are left out already
    return Parts(foods, older, values, _measures(download, foods, listed), download.inputs, left_out, said)


class _Owners:
    """Whose a row is: the place of its food among those taken, -1 for one left out; counts those of no food at all."""

    def __init__(self, foods: pd.DataFrame, listed: Places, file: str) -> None:
        self._taken, self._listed, self._file = Places(foods["fdc_id"].to_numpy()), listed, file
        self._rows = self._strangers = 0

    def places(self, fdc_ids: Array) -> Array:
        places = self._taken.find(fdc_ids)
        self._rows += len(places)
        self._strangers += int((self._listed.find(fdc_ids[places < 0]) < 0).sum())
        return places

    def check(self) -> None:
        """Raises TableError when too many rows were of no food of food.csv."""
        if self._strangers > STRANGERS * self._rows:
            words = say("load.rows-foods-food-csv-does", number=f"{self._strangers:,}", rows=f"{self._rows:,}")
            raise TableError(say("load.use-files-one-download", problem=words), self._file)


def _values(download: Download, foods: pd.DataFrame, listed: Places) -> Values:
    import numpy as np

    file = "food_nutrient.csv"
    told = _nutrients(download)
    known, places = Places(np.array(list(told))), np.array([place for place, _ in told.values()])
    factors = np.array([factor for _, factor in told.values()])
    branded, fdc_ids = (foods["kind"] == BRANDED).to_numpy(), foods["fdc_id"].to_numpy()
    owners, values = _Owners(foods, listed, file), Values()
    needed = {"fdc_id": "int64", "nutrient_id": "int64", "amount": "float64"}
    for line, batch in download.batches(file, needed):
        rows = owners.places(whole_numbers(batch, "fdc_id", file, line))
        nutrients = known.find(whole_numbers(batch, "nutrient_id", file, line))
        amounts = batch.column("amount")
        here = np.flatnonzero((rows >= 0) & (nutrients >= 0) & amounts.is_valid().to_numpy(zero_copy_only=False))
        rows, nutrients = rows[here], nutrients[here]
        amounts = amounts.to_numpy(zero_copy_only=False)[here] * factors[nutrients]

        def refuse(i: int, words: str, rows: Array = rows, lines: Array = line + here) -> None:
            raise TableError(say("load.food-and", food=fdc_ids[rows[i]], problem=words), file, int(lines[i]))

        values.add(rows, places[nutrients], amounts, branded[rows], refuse)
    owners.check()
    return values


def _nutrients(download: Download) -> dict[int, tuple[int, float]]:
    """As food_nutrient.csv writes a nutrient -> its place among the ways, the factor of its unit.

    It writes ids; survey foods had the nutrient's number in that column in some releases (from memory). Ids begin
    at 1001 and numbers end at 958, so either is understood.
    """
    file, nutrients, found = "nutrient.csv", Nutrients(), {}
    if file not in download:
        raise TableError(say("load.file-missing-put-others-if", file=file), download.path)
    columns = {"unit_name": "string", "nutrient_nbr": "string"}
    for line, batch in download.batches(file, {"id": "int64", **columns}):
        rows = (batch.column(name).to_pylist() for name in columns)
        ids = whole_numbers(batch, "id", file, line).tolist()
        for i, (nutrient_id, unit, number) in enumerate(zip(ids, *rows, strict=True)):
            try:
                way = nutrients.tell(nutrient_id, number or "", unit or "")
            except ValueError as error:
                raise TableError(str(error), file, line + i) from error
            if way:
                found[nutrient_id] = way
                if number and number.isdigit():
                    found.setdefault(int(number), way)
    if not found:
        raise TableError(say("load.no-nutrient-known-use-file"), file)
    return found


def _measures(download: Download, foods: pd.DataFrame, listed: Places) -> pd.DataFrame:
    measures = Measures()
    _portions(download, foods, listed, measures)
    if "serving" in foods:
        packs = foods[foods["grams"] > 0]
        for row, text, grams in zip(packs.index, packs["serving"], packs["grams"], strict=True):
            measures.add(row, leading(text), grams)
    return measures.frame()


def _portions(download: Download, foods: pd.DataFrame, listed: Places, measures: Measures) -> None:
    file = "food_portion.csv"
    if file not in download:
        return
    units = _units(download)
    kinds, owners = foods["kind"].tolist(), _Owners(foods, listed, file)
    words = dict.fromkeys(("measure_unit_id", "portion_description", "modifier"), "string")
    needed = {"fdc_id": "int64", "amount": "float64", "gram_weight": "float64", "measure_unit_id": "string"}
    for line, batch in download.batches(file, needed, words):
        places = owners.places(whole_numbers(batch, "fdc_id", file, line))
        columns = (batch.column(name).to_pylist() for name in ("amount", "gram_weight", *words))
        for i, (row, amount, grams, unit, description, modifier) in enumerate(zip(places, *columns, strict=True)):
            if row < 0 or (unit and unit not in units):  # of a food left out, or "1 of what?"
                continue
            if (grams or 0) < 0 or (amount or 0) < 0:
                raise TableError(say("load.portion-food-below-zero", food=foods["fdc_id"][row]), file, line + i)
            found = measure(kinds[row], amount, units.get(unit or "", ""), description or "", modifier or "")
            measures.add(row, found, grams)
    owners.check()


def _units(download: Download) -> dict[str, str]:
    """Id of a measure unit -> its name."""
    found: dict[str, str] = {}
    for _, batch in download.batches("measure_unit.csv", {"id": "string", "name": "string"}):
        found |= zip(batch.column("id").to_pylist(), batch.column("name").to_pylist(), strict=True)
    return {key: name for key, name in found.items() if key and name}
