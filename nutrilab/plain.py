"""Text of a recipe, a page, a pack or a file name made harmless before it is shown, and cut where it is quoted.

What only reorders, hides or stacks characters is taken out (Unicode Standard Annex #9: directional formatting
characters; DerivedCoreProperties: Default_Ignorable_Code_Point), what controls a device becomes a space. Letters of
every script stay. Escaping for a format (HTML, JSON, terminal markup) is for that format, after this.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable

ELLIPSIS = "…"
QUOTED = 80  # characters of what was wrong that a message quotes at most
NAMED = 10  # names a message lists at most
MANY, FEW = 40, 5  # names from which on not all are compared in depth, and how many are
LONGEST_MESSAGE = 1_000  # characters of a message, whatever goes into it
MARKS_IN_A_ROW = 4  # combining marks on one letter; no language needs more, a pile of them covers other lines
# Default ignorable code points that are no format character: fillers and selectors that leave no ink.
_NO_INK = re.compile(
    "[\u034f\u115f\u1160\u17b4\u17b5\u180b-\u180f\u2800\u3164\ufe00-\ufe0f\uffa0\U000e0000-\U000e0fff]"
)
# "ESC [ 31 m" and its like: without its first character the rest of it is rubbish (ECMA-48, section 5.4).
_SEQUENCE = re.compile("(?:\x1b\\[|\x9b)[0-?]{0,40}[ -/]{0,8}[@-~]")
_ADDRESS = re.compile(r"^((?:https?|ftp|file):)/(?!/)", re.IGNORECASE)  # a path keeps but one of them
_TWO_NUMBERS = re.compile(r"[1-9]\d{0,2}[.,]\d{3}", re.ASCII)  # a thousand and more, or three decimals
_QUOTE = re.compile(r'"([^"]*)"')


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


def brief(text: object, limit: int = QUOTED) -> str:
    """What was wrong as a message quotes it: on one line, harmless, at most ``limit`` characters."""
    start = str(text)[: 4 * limit]  # the rest would be cut: hostile texts are long
    whole = len(start) == len(str(text))
    shown = " ".join(plain(_SEQUENCE.sub("", start)).split())
    return plain(shown if whole else f"{shown}{ELLIPSIS}", limit)


def quoted(text: object) -> str:
    """`brief` in quotation marks."""
    return f'"{brief(text)}"'


class Names:
    """Some names, to ask which of them is likest to another, whatever its capitals."""

    def __init__(self, names: Iterable[str]) -> None:
        self._there = {name[:QUOTED].lower(): name for name in names}
        self._low = list(self._there)

    def nearest(self, name: str, least: float = 0.6) -> str | None:
        """The likest name; None if none is like it. least: how like it must be [0 to 1]."""
        import difflib

        wanted, some = name[:QUOTED].lower(), self._low
        if len(some) > MANY:  # comparing is slow: first what could be like it at all, by what it has in common
            from rapidfuzz import process
            from rapidfuzz.distance import Indel

            score = Indel.normalized_similarity
            some = [hit[0] for hit in process.extract(wanted, some, scorer=score, score_cutoff=least, limit=FEW)]
        near = difflib.get_close_matches(wanted, some, 1, least)
        return self._there[near[0]] if near else None


def nearest(name: str, names: Iterable[str], least: float = 0.6) -> str | None:
    """The one of some names that is likest to a name; None if none is like it."""
    return Names(names).nearest(name, least)


def two_numbers(digits: str) -> tuple[str, str] | None:
    """The two numbers that figures may mean ("1.500": 1500 or 1.5); None where they are clear."""
    if not _TWO_NUMBERS.fullmatch(digits):
        return None
    whole, part = digits[:-4], digits[-3:]
    return whole + part, f"{float(f'{whole}.{part}'):g}"


def sentence(message: str) -> str:
    """A message as it may be shown anywhere: harmless, on one line, no quotation longer than ``QUOTED``."""
    if message.isascii() and message.isprintable() and len(message) <= QUOTED:
        return message
    return plain(_QUOTE.sub(_cut, plain(_SEQUENCE.sub("", message))), LONGEST_MESSAGE)


def file_name(file: object) -> str:
    """The name of a file as a message names it: whole, but harmless; of a web address with both its slashes."""
    return _ADDRESS.sub(r"\1//", plain(_SEQUENCE.sub("", str(file))))


def _cut(found: re.Match[str]) -> str:
    return f'"{plain(found[1], QUOTED)}"'
