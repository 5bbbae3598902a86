"""Lines of a plain text recipe that state what a recipe file has keys for: weights, oil left, a portion, cups."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from nutrilab.messages import say
from nutrilab.plain import quoted
from nutrilab.recipe import amounts, prose
from nutrilab.recipe.values import Line
from nutrilab.remarks import InputError

LONGEST = 80  # characters of such a line
_ABOUT = r"(?:about |around |roughly |approx\.? |approximately )?"
_VALUE = rf"{_ABOUT}(?P<value>[^\s].*?)"
_WHEN = r"(?:after cooking|when cooked|once cooked|cooked|when (?:it is |it's )?done|when finished|out of the oven)"
_SIGN = r"\s*(?:[:=]|is\b|was\b)\s*"
_COOKED = (
    re.compile(rf"(?:cooked|finished|final|total cooked) weight{_SIGN}{_VALUE}"),
    re.compile(rf"weight (?:after|when) (?:cooking|cooked|done){_SIGN}{_VALUE}"),
    re.compile(rf"(?:it |this |the (?:whole )?(?:dish|pot|tray|lot) )?weigh(?:s|ed) {_VALUE}\s+{_WHEN}"),
)
_OIL = (re.compile(rf"(?:frying )?oil left(?: over| in the pan| after frying)?{_SIGN}{_VALUE}"),)
_PORTION = (
    re.compile(rf"(?:a |one |each )?(?:portion|serving)(?: weight| size)?\s*[:=]\s*{_VALUE}"),
    re.compile(rf"(?:a|one|each) (?:portion|serving) (?:is|weighs) {_VALUE}"),
)
_CUPS = (re.compile(r"cups?\s*[:=]\s*(?P<value>.+)"),)
_CUP = {"us": "us", "american": "us", "u.s.": "us", "metric": "metric", "australian": "metric"}


@dataclass(frozen=True, slots=True)
class Said:
    """What a line states: the key ("weight after", "oil left", "portion weight", "cups") and its value [g] or word."""

    key: str
    value: float | str
    line: Line


def said(line: Line, file: str) -> Said | None:
    """What a line of plain text states, None for any other line. Raises InputError for a value that cannot be."""
    low = prose.bare(line.text).rstrip(" .").lower()
    if len(low) > LONGEST:
        return None
    for key, shapes, read in _READ:
        for shape in shapes:
            if found := shape.fullmatch(low):
                try:
                    return Said(key, read(found["value"].strip()), line)
                except ValueError as error:
                    raise InputError(str(error), file, line.line) from None
    return None


def _cups(text: str) -> str:
    if text.removesuffix(" cups") not in _CUP:
        raise ValueError(say("recipe.cups", text=quoted(text)))
    return _CUP[text.removesuffix(" cups")]


_READ: tuple[tuple[str, tuple[re.Pattern[str], ...], Callable[[str], Any]], ...] = (
    ("weight after", _COOKED, amounts.weight),
    ("oil left", _OIL, amounts.liquid),
    ("portion weight", _PORTION, amounts.weight),
    ("cups", _CUPS, _cups),
)
