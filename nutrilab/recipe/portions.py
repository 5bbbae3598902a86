"""How many portions a page means by what it says it yields ("Serves 6", "12 scones", "1 loaf (10 slices)")."""

from __future__ import annotations

import re
from collections.abc import Iterable

from nutrilab.remarks import Remark

LONGEST = 200  # characters of what a page says it yields
FEWEST_THINGS = 4  # "12 scones" are portions; one loaf, two pies or three quiches are yet to be cut
_WORDS = "one two three four five six seven eight nine ten eleven twelve".split()
_COUNT = {word: float(number) for number, word in enumerate(_WORDS, 1)}
_NUMBER = rf"\d{{1,6}}(?:\.\d{{1,2}})?|{'|'.join(_WORDS)}"
_RANGE = rf"\b({_NUMBER})(?:\s?(?:-|–|—|to|or)\s?({_NUMBER}))?\b"
_DOZEN = re.compile(r"\b(?:(\d{1,3}) |(half) )?(?:a )?dozen\b")
_SERVES = re.compile(rf"(?<!\d )\b(?:serves|servings?|portions|feeds)[\s:]*(?:about |around |up to )?{_RANGE}")
_PEOPLE = re.compile(
    rf"{_RANGE}[\s-]*(?:[a-z]{{2,12}} )?(?:portions?|servings?|serves|people|persons?|guests?|helpings?|adults?)\b"
)
_PIECES = re.compile(rf"{_RANGE}[\s-]*(?:[a-z]{{2,12}} )?(?:slices|pieces|squares|wedges|bars)\b")
_BARE = re.compile(rf"(?:about |around |for )?{_RANGE}")
_THINGS = re.compile(rf"{_RANGE}[\s-]+((?:[a-z]+[\s-]*+){{1,3}})")
_MEASURES = frozenset(
    "g gr gram grams kg kilo kilos mg ml cl dl l litre litres liter liters cup cups pint pints quart quarts gallon "
    "gallons oz ounce ounces fl lb lbs pound pounds tbsp tsp tablespoon tablespoons teaspoon teaspoons jar jars bottle "
    "bottles batch batches tray trays tin tins pan pans inch inches cm x min mins minute minutes hour hours".split()
)


def read_yield(texts: Iterable[str]) -> tuple[float | None, tuple[Remark, ...]]:
    """Portions [1], None if the page does not say; and what was taken for them where the page leaves room.

    People and servings come before pieces, pieces before a bare number, that before other things counted. A range
    counts as its lower end: the larger portion. A measure ("2 cups") and a few whole things ("1 loaf") are no number
    of portions.
    """
    said = [(text, _DOZEN.sub(_dozen, text.lower())) for text in (" ".join(t.split())[:LONGEST] for t in texts)]
    for text, low in said:
        if (found := _SERVES.search(low) or _PEOPLE.search(low)) and (portions := _value(found[1])):
            return portions, _remarks("portions-range", text, portions) if found[2] else ()
    for text, low in said:
        if (found := _PIECES.search(low)) and (portions := _value(found[1])):
            return portions, _remarks("portions-pieces", text, portions)
    return _counted(said)


def _counted(said: list[tuple[str, str]]) -> tuple[float | None, tuple[Remark, ...]]:
    """A bare number, or things counted. ["1", "1 loaf"] is one loaf, not one portion."""
    worded = any(not _BARE.fullmatch(low.strip(" .")) for _, low in said)
    for text, low in said:
        found = _BARE.fullmatch(low.strip(" ."))
        portions = _value(found[1]) if found else None
        if found and portions and (portions >= FEWEST_THINGS or not worded):
            code = "portions-range" if found[2] else "portions-one" if portions == 1 else ""
            return portions, _remarks(code, text, portions) if code else ()
    for text, low in said:
        for found in _THINGS.finditer(low):
            portions = _value(found[1])
            if portions and portions >= FEWEST_THINGS and _MEASURES.isdisjoint(re.split(r"[\s-]+", found[3])):
                return portions, _remarks("portions-pieces", text, portions)
    return None, ()


def _dozen(found: re.Match[str]) -> str:
    return "6" if found[2] else str(12 * int(found[1] or 1))


def _value(text: str) -> float | None:
    number = _COUNT.get(text) or float(text)
    return number if number > 0 else None


def _remarks(code: str, text: str, portions: float) -> tuple[Remark, ...]:
    counted = "1 portion" if portions == 1 else f"{portions:g} portions"
    return (Remark(code, f'"{text}" on the page: counted as {counted}.'),)
