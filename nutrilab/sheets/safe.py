"""What a spreadsheet and JSON need beside plain text (nutrilab/plain.py) to show a text and not act upon it."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Sequence
from functools import lru_cache
from math import isfinite

from nutrilab.plain import ELLIPSIS, plain

__all__ = ["ELLIPSIS", "FORMULA", "Cell", "cell", "csv_text", "json_text", "plain"]

Cell = str | float | None
BOM = "\ufeff"  # tells a spreadsheet that the letters are UTF-8: without it ½ and µ are read as two others each

FORMULA = "=+-@＝＋－＠"  # what a spreadsheet takes for the beginning of a formula, full-width forms too
# What JSON may hold raw and a terminal or an editor would act upon or hide; lone surrogates cannot even be written.
_NOT_SHOWN = re.compile(
    "[\x7f-\x9f\xad\u034f\u061c\u115f\u1160\u17b4\u17b5\u180b-\u180f\u200b-\u200f\u2028-\u202e\u2060-\u206f"
    "\u2800\u3164\ud800-\udfff\ufe00-\ufe0f\ufeff\uffa0\ufff9-\ufffb\U000e0000-\U000e0fff]"
)
# After a semicolon too: where the comma is the decimal sign, spreadsheets divide a row there.
_BEGINS_FORMULA = re.compile(rf"(^|;)(?=[\s\"']*[{re.escape(FORMULA)}])")


def csv_text(rows: Iterable[Sequence[Cell]]) -> str:
    """A table as a spreadsheet opens it: RFC 4180, lines that end with CR LF, UTF-8 by its mark, safe cells."""
    sink = io.StringIO()
    writer = csv.writer(sink, lineterminator="\r\n")
    writer.writerows([cell(value) for value in row] for row in rows)
    return BOM + sink.getvalue()


def cell(value: Cell) -> str:
    """A cell of a CSV file that no spreadsheet takes for a formula; None is empty, never zero.

    A number is written unrounded and stays one, negative ones too. A text that begins like a formula, at its start or
    after a semicolon inside it, gets an apostrophe in front. Quotes and separators are for the csv writer.
    """
    if value is None:
        return ""
    if isinstance(value, str):
        return _harmless(value)
    if isinstance(value, int):
        return str(value)
    return repr(float(value)) if isfinite(value) else ""


@lru_cache(maxsize=4_096)
def _harmless(text: str) -> str:
    """A text as a cell; most texts of a table of thousands of rows are the same few."""
    return _BEGINS_FORMULA.sub(r"\1'", plain(text))


def json_text(record: object, indent: int | None = 1) -> str:
    """A record as JSON whose text holds no raw control, direction or invisible character: they stand as \\uXXXX.

    What reads it finds the very same texts. Raises ValueError for a number that is not finite.
    """
    import json

    return _NOT_SHOWN.sub(_escaped, json.dumps(record, ensure_ascii=False, indent=indent, allow_nan=False))


def _escaped(found: re.Match[str]) -> str:
    """One character as JSON escapes it: \\u200b, or two surrogates beyond the basic plane."""
    units = found[0].encode("utf-16-be", "surrogatepass")
    return "".join(f"\\u{units[i]:02x}{units[i + 1]:02x}" for i in range(0, len(units), 2))
