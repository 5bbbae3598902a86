"""branded_food.csv: maker, GTIN and serving of packs, and which of them are taken."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from data_loaders.csv_files import Download, whole_numbers
from data_loaders.keyed import Places
from data_loaders.schema import TableError
from data_loaders.usda_fdc_parts import WEIGHED, Left, newest, poured
from nutrilab.messages import say

if TYPE_CHECKING:
    import numpy as np
    import pyarrow as pa

    Array = np.ndarray[Any, np.dtype[Any]]

FILE = "branded_food.csv"
PACK_WORDS = ("brand_name", "brand_owner", "household_serving_fulltext", "branded_food_category", "ingredients")


def packs_of(
    download: Download, branded: Array, places: Places, days: Array, left_out: Counter[str], said: list[str]
) -> pa.Table:
    """Of each pack taken, in the order of food.csv: row there, gtin_upc, serving_size [g], PACK_WORDS.

    branded: the rows of food.csv that are packs; days: of each row of food.csv, its day. Left out are packs that are
    not stated per 100 g, for the values of what is sold by volume are per 100 ml and cannot be restated without a
    density; and all but the newest of one GTIN. The file is read twice, as food.csv is, to spare memory.
    """
    import numpy as np
    import pyarrow as pa
    import pyarrow.compute as pc

    if FILE not in download:
        raise TableError(say("load.holds-branded-foods-but-tells", file=FILE), "food.csv")
    is_branded = np.zeros(len(places.ids) + 1, dtype=bool)  # place -1, of no food, is the last
    is_branded[branded] = True
    pieces = []
    needed = {"fdc_id": "int64", "serving_size_unit": "string"}
    for line, batch in download.batches(FILE, needed, {"gtin_upc": "string"}):
        rows = places.find(whole_numbers(batch, "fdc_id", FILE, line))
        unit = pc.utf8_lower(pc.utf8_trim_whitespace(batch.column("serving_size_unit").fill_null("")))
        taken = is_branded[rows] & pc.is_in(unit, value_set=pa.array(WEIGHED)).to_numpy(zero_copy_only=False)
        gtin = pc.utf8_trim_whitespace(batch.column("gtin_upc").fill_null(""))
        pieces.append(pa.table({"row": pa.array(rows), "gtin": gtin}).filter(pa.array(taken)))
    if not pieces:
        raise TableError(say("load.holds-nothing-but-head-fetch"), FILE)
    packs = pa.concat_tables(pieces)
    rows = packs["row"].to_numpy()
    if np.bincount(rows, minlength=1).max() > 1:
        raise TableError(say("load.food-stands-twice-fetch-again"), FILE)
    left_out[Left.VOLUME] += len(branded) - len(rows)
    said += _poured(download, np.setdiff1d(branded, rows), places)
    keys = pc.utf8_ltrim(packs["gtin"].combine_chunks(), "0")  # of the same pack with more zeros or fewer
    keep = newest(keys, days[rows], places.ids[rows])
    left_out[Left.OLDER] += int((~keep).sum())
    is_branded[:] = False
    is_branded[rows[keep]] = True
    return _words(download, is_branded, places)


def _poured(download: Download, rows: Array, places: Places) -> Iterator[str]:
    """A sentence for each pack of some rows of food.csv, whose values are of 100 ml."""
    import numpy as np
    import pyarrow as pa

    if not rows.size:
        return
    for line, batch in download.batches("food.csv", {"fdc_id": "int64", "description": "string"}):
        first, end = np.searchsorted(rows, (line - 2, line - 2 + batch.rows.num_rows))
        names = batch.column("description").take(pa.array(rows[first:end] - (line - 2))).to_pylist()
        for row, name in zip(rows[first:end], names, strict=True):
            yield poured(str(places.ids[row]), name or "")


def _words(download: Download, taken: Array, places: Places) -> pa.Table:
    """What is told of the packs taken; texts as dictionaries, for many are the same."""
    import pyarrow as pa
    import pyarrow.compute as pc

    pieces = []
    optional = {"gtin_upc": "string", "serving_size": "float64"} | dict.fromkeys(PACK_WORDS, "string")
    for line, batch in download.batches(FILE, {"fdc_id": "int64"}, optional):
        rows = places.find(whole_numbers(batch, "fdc_id", FILE, line))
        piece = {"row": pa.array(rows), "serving_size": batch.column("serving_size")}
        piece |= {"gtin_upc": pc.utf8_trim_whitespace(batch.column("gtin_upc").fill_null(""))}
        piece |= {name: batch.column(name).fill_null("") for name in PACK_WORDS}
        few = pa.table(piece).filter(pa.array(taken[rows]))
        for name in PACK_WORDS:
            few = few.set_column(few.schema.get_field_index(name), name, few[name].dictionary_encode())
        pieces.append(few)
    return pa.concat_tables(pieces).unify_dictionaries().sort_by("row")
