"""A list of ingredients for more or fewer guests: the cook's own lines with other numbers in them."""

from __future__ import annotations

import re
from dataclasses import dataclass
from numbers import Real

from nutrilab.lines import parse_line
from nutrilab.messages import say
from nutrilab.plain import quoted
from nutrilab.recipe import InputError, Line, Part, Recipe
from nutrilab.recipe.amounts import check_portions

_GLYPHS = {"½": 0.5, "⅓": 1 / 3, "⅔": 2 / 3, "¼": 0.25, "¾": 0.75}
_ONE = r"(?:\d+\s+\d+/\d+|\d+/\d+|\d*[½⅓⅔¼¾]|\d+(?:[.,]\d+)?)"
_HEAD = re.compile(rf"({_ONE})(?:(\s?[-–—]\s?|\s+to\s+)({_ONE}))?(?![\d/.,])")
_DIGIT = re.compile(r"[\d½⅓⅔¼¾]")
_PACK = re.compile(r"\s?(?:x|×)\s?\d+(?:[.,]\d+)?\s?(?:g|kg|ml|l)\b", re.IGNORECASE)
_NEAR = 1e-6


@dataclass(frozen=True, slots=True)
class Scaled:
    """A line of the list for other guests: its stage, as it was written, and what to write instead."""

    stage: str
    text: str
    scaled: str


def times(guests: float | None, portions: float, option: str = "--scale-to") -> float | None:
    """How many times the list feeds some guests with portions of the same size; option: as they were said.

    Raises InputError: no number of guests.
    """
    if guests is None:
        return None
    if not isinstance(guests, Real):
        raise InputError(say("portions.no-number", option=option, number=quoted(guests)))
    try:
        check_portions(guests)
    except ValueError as error:
        raise InputError(f"{option}: {error}") from None
    return guests / portions


def scaled(recipe: Recipe, times: float) -> tuple[Scaled, ...]:
    """The lines of a recipe times so much; parts by share stay, and what is served with each portion."""
    found: list[Scaled] = []
    for stage in recipe.stages:
        for entry in stage.entries:
            lines = (entry, *(entry.was.more if isinstance(entry, Line) and entry.was else ()))
            found += [_line(stage.name, line, times, recipe.cup) for line in lines]
    return tuple(found)


def _line(stage: str, entry: Line | Part, times: float, cup: str) -> Scaled:
    if isinstance(entry, Part):
        grams = entry.grams
        text = entry.text if grams is None else f"{number(grams * times)} g of {entry.stage}"
        return Scaled(stage, entry.text, text + (f" from {entry.file}" if grams is not None and entry.file else ""))
    if entry.share != 1:
        return Scaled(stage, entry.written, _so_often(entry.written, times))
    return Scaled(stage, entry.text, times_line(entry.text, times, cup))


def times_line(text: str, times: float, cup: str = "us") -> str:
    """An ingredient line so many times: its number where it begins with the only one, else "1.5 times: ...".

    What has no number stays: salt to taste is to taste.
    """
    if abs(times - 1) < _NEAR:
        return text
    read = parse_line(text, cup)
    if read.heading or (read.quantity is None and not _DIGIT.search(text)):
        return text
    head = _HEAD.match(text)
    if head and not read.in_doubt and read.quantity is not None and _only_number(text, head.end()):
        low, high = value(head[1]), value(head[3]) if head[3] else None
        if abs(low - read.quantity) < _NEAR * max(1.0, low) and (high is None or high == read.quantity_max):
            upper = f"{head[2]}{number(high * times)}" if high is not None else ""
            return f"{number(low * times)}{upper}{text[head.end() :]}"
    return _so_often(text, times)


def _only_number(text: str, end: int) -> bool:
    """Whether no other number of a line would have to change; the size of a pack does not."""
    return not _DIGIT.search(_PACK.sub("", text[end:], count=1))


def _so_often(text: str, times: float) -> str:
    return say("swap.so-often", times=number(times), line=text)


def value(text: str) -> float:
    """ "1 1/2", "1½", "1.5" -> 1.5."""
    total = 0.0
    for part in text.split():
        if part[-1] in _GLYPHS:
            total += _GLYPHS[part[-1]] + (float(part[:-1]) if part[:-1] else 0.0)
        elif "/" in part:
            top, bottom = part.split("/")
            total += float(top) / float(bottom) if float(bottom) else 0.0
        else:
            total += float(part.replace(",", "."))
    return total


def number(amount: float) -> str:
    """As a cook writes it: whole from a hundred on, else with three figures at most, without naughts behind."""
    if amount >= 100:
        return f"{amount:.0f}"
    return f"{amount:.3g}"
