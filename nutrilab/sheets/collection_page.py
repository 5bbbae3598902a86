"""The page of a collection: one file that finds a dish among ten thousand by words, allergen and completeness.

The dishes stand in it as plain data that its script lays out a hundred at a time; nothing of a recipe is ever markup.
"""

from __future__ import annotations

import base64
import datetime
import hashlib
from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from importlib.resources import files
from itertools import chain
from pathlib import Path
from typing import Any

from nutrilab import marks
from nutrilab.allergens import ALLERGENS, cautions
from nutrilab.collection.doubtful import Doubtful, ranked
from nutrilab.collection.results import LINES
from nutrilab.collection.tables import read_dishes
from nutrilab.collection.values import Fault
from nutrilab.law.rounding import declared, short_name
from nutrilab.messages import say
from nutrilab.sheets import collection_csv
from nutrilab.sheets.safe import json_text, plain
from nutrilab.sheets.templating import render

LISTED = 25  # doubtful names and problems that the page itself lists
_HERE = "@dishes@"
_BLANK = marks.MARK.encode()
_NO_MARKUP = str.maketrans({"<": "\\u003c", ">": "\\u003e", "&": "\\u0026"})
_FIGURES = ("energy_kcal", "salt")


def write(folder: Path, names: Sequence[Doubtful], faults: Sequence[Fault], tables: Sequence[str]) -> None:
    """Write the page of the results of a folder. Raises OSError.

    names: doubtful ones, ranked; faults: what could not be read; tables: the food tables in words.
    """
    script, day = _script(), datetime.date.today()
    page = render(
        "collection.html.j2",
        allergens=ALLERGENS,
        script=script,
        script_hash=base64.b64encode(hashlib.sha256(script.encode()).digest()).decode(),
        here=_HERE,
        names=names[:LISTED],
        more_names=max(0, len(names) - LISTED),
        faults=faults[:LISTED],
        more_faults=max(0, len(faults) - LISTED),
        made=say("chart.made", date=f"{day.day} {day:%B %Y}", tables="; ".join(tables) or say("chart.no-tables")),
        cautions=cautions(),
    )
    head, _, tail = page.rpartition(_HERE)  # the last: a name, a file or a sentence before it may hold it too
    _sealed(folder / "index.html", head.encode(), _dishes(folder), tail.encode())


def _sealed(path: Path, head: bytes, rows: Iterator[bytes], tail: bytes) -> None:
    """Write a page piece by piece, with its seal in its place. Raises OSError."""
    whole = hashlib.sha256()
    with path.open("wb+") as file:
        for piece in chain((head,), rows, (tail,)):
            whole.update(piece)
            file.write(piece)
        at = head.index(_BLANK)
        file.seek(at)
        file.write(f"{marks.PROGRAM}, seal {whole.hexdigest()[:32]}".encode())


@cache
def _script() -> str:
    """The page's script, marked as ours so that it is not escaped."""
    from markupsafe import Markup

    return Markup((files("nutrilab.sheets") / "templates" / "collection.js").read_text(encoding="utf-8"))


def _dishes(folder: Path) -> Iterator[bytes]:
    """The dishes as a JSON list, a row each; none of its characters means anything in HTML."""
    begins = b"["
    names = _names(folder)
    file, words = next(names, ("", ""))
    for row in read_dishes(folder):
        mine = words if file == row["file"] else ""  # both tables have their dishes in one order
        data = json_text(_row(row, mine), indent=None).translate(_NO_MARKUP)
        if file == row["file"]:
            file, words = next(names, ("", ""))
        yield begins + data.encode()
        begins = b",\n"
    yield b"]" if begins != b"[" else b"[]"


def _row(row: Mapping[str, Any], words: str) -> list[Any]:
    """What collection.js shows of a dish, in the order in which it reads it. words: to be searched in too."""
    too_low = row["too_low"].split(", ")
    figures = (_figure(key, row[key], short_name(key) in too_low) for key in _FIGURES)
    told = (plain(row[name]) for name in ("contains", "to_check", "may_contain"))
    has = "".join(f"{number:x}" for number, allergen in enumerate(ALLERGENS) if row[allergen])  # 14 fit one digit each
    open_ = [plain(row["not_understood"]), plain(row["not_counted"])]
    return [plain(row["dish"]), plain(row["file"]), int(row["complete"]), *open_, *figures, *told, has, words]


def _figure(key: str, value: float | None, too_low: bool) -> list[Any]:
    """A figure for the order and in words; "at least" where something left out could raise it."""
    text = declared(key, value)
    return [value, say("declare.at-least", figure=text) if too_low and value is not None else text]


def _names(folder: Path) -> Iterator[tuple[str, str]]:
    """The names of the ingredients of each dish, in the order of the dishes, to be searched in."""
    import pyarrow.parquet as pq

    table = pq.ParquetFile(folder.joinpath(LINES))
    last, words = None, dict[str, None]()
    for number in range(table.num_row_groups):
        group = table.read_row_group(number, columns=["file", "name"])
        for file, name in zip(group["file"].to_pylist(), group["name"].to_pylist(), strict=True):
            if file != last:
                if last is not None:
                    yield last, " ".join(words)
                last, words = file, {}
            if name:
                words[plain(name).lower()] = None
    if last is not None:
        yield last, " ".join(words)


def lay_out(folder: Path, faults: Sequence[Fault], tables: Sequence[str]) -> int:
    """Write spreadsheets and page beside the tables; tells how many dishes are not complete. Raises OSError."""
    incomplete = collection_csv.dishes(folder)
    collection_csv.problems(folder, faults)
    names = ranked(folder)
    collection_csv.doubtful(folder, names)
    write(folder, names, faults, tables)
    return incomplete
