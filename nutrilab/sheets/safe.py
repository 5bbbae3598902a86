"""Text of a recipe, a page or a pack made harmless before it is shown: in a terminal, a page, a spreadsheet.

What only reorders, hides or stacks characters is taken out (Unicode Standard Annex #9: directional formatting
characters; DerivedCoreProperties: Default_Ignorable_Code_Point), what controls a device becomes a space. Letters of
every script stay. Escaping for a format (HTML, JSON, terminal markup) is for that format, after this.
"""

from __future__ import annotations

import re
import unicodedata
from math import isfinite

ELLIPSIS = "…"
MARKS_IN_A_ROW = 4  # combining marks on one letter; no language needs more, a pile of them covers other lines
FORMULA = "=+-@＝＋－＠"  # what a spreadsheet takes for the beginning of a formula, full-width forms too
# Default ignorable code points that are no format character: fillers and selectors that leave no ink.
_NO_INK = re.compile(
    "[\u034f\u115f\u1160\u17b4\u17b5\u180b-\u180f\u2800\u3164\ufe00-\ufe0f\uffa0\U000e0000-\U000e0fff]"
)
# What JSON may hold raw and a terminal or an editor would act upon or hide; lone surrogates cannot even be written.
_NOT_SHOWN = re.compile(
    "[\x7f-\x9f\xad\u034f\u061c\u115f\u1160\u17b4\u17b5\u180b-\u180f\u200b-\u200f\u2028-\u202e\u2060-\u206f"
    "\u2800\u3164\ud800-\udfff\ufe00-\ufe0f\ufeff\uffa0\ufff9-\ufffb\U000e0000-\U000e0fff]"
)
# After a semicolon too: where the comma is the decimal sign, spreadsheets divide a row there.
_BEGINS_FORMULA = re.compile(rf"(^|;)(?=[\s\"']*[{re.escape(FORMULA)}])")


def plain(text: str, limit: int | None = None) -> str:
    """One line of text without control, direction and invisible characters; whatever cannot be shown is a space.

    limit: most characters it may have; a longer one is cut and ends in an ellipsis. Never cut allergens with it.
    """
    if not (text.isascii() and text.isprintable()):
        text = _shown(text)
    if limit is not None and len(text) > limit:
        text = text[: max(0, limit - 1)].rstrip() + ELLIPSIS
    return text


def _shown(text: str) -> str:
    """Format characters off, control characters and separators to spaces, lone surrogates to U+FFFD."""
    kept: list[str] = []
    marks = 0
    for character in _NO_INK.sub("", text):
        kind = unicodedata.category(character)
        marks = marks + 1 if kind in ("Mn", "Me") else 0
        if kind == "Cf" or marks > MARKS_IN_A_ROW:
            continue
        if kind == "Cs":
            kept.append("\ufffd")
        else:
            kept.append(character if character.isprintable() else " ")
    return "".join(kept)


def cell(value: str | float | None) -> str:
    """A cell of a CSV file that no spreadsheet takes for a formula; None is empty, never zero.

    A number is written unrounded and stays one, negative ones too. A text that begins like a formula, at its start or
    after a semicolon inside it, gets an apostrophe in front. Quotes and separators are for the csv writer.
    """
    if value is None:
        return ""
    if isinstance(value, str):
        return _BEGINS_FORMULA.sub(r"\1'", plain(value))
    if isinstance(value, int):
        return str(value)
    return repr(float(value)) if isfinite(value) else ""


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
