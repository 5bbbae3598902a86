"""Words that lost the space between them: "½ bunch ofcoriander", "100 ggruyère", "250mlmilk"."""

from __future__ import annotations

import re
from functools import lru_cache

from nutrilab.lexicon import is_name, listed_words
from nutrilab.lines.clean import VULGAR
from nutrilab.lines.words import UNITS
from nutrilab.text import words

_METRIC = frozenset(("g", "ml", "kg"))
_FEWEST, _DIGITS = 20, 6
_SHORTEST = 3  # letters of a food behind a glued word
_MEASURES = sorted((w for w, u in UNITS.items() if u.kind in ("mass", "volume", "spoon") and w.isalpha()), key=len)[
    ::-1
]
_OF = re.compile(rf"(\s)(of)([^\W\d_]{{{_SHORTEST},}})(?=(?:\s([^\W\d_]+))?)", re.IGNORECASE)
_UNIT = re.compile(
    rf"([\d{VULGAR}]\s?)({'|'.join(_MEASURES)})([^\W\d_]{{{_SHORTEST},}})(?=(?:\s([^\W\d_]+))?)", re.IGNORECASE
)
_NUMBERED = re.compile(rf"[\d{VULGAR}]\s?([^\W\d_{VULGAR}][^\W\d_]*+)")
# Three letters and a number that is glued to them: "sesame seeds3 large cabbages"
_BEFORE = 3
_NUMBER = re.compile(rf"[\d{VULGAR}](?<=[^\W\d_]{{{_BEFORE}}}.)[\d{VULGAR}]*+(?=\s[^\W\d_]{{3}})")


def parted(plain: str) -> str:
    """A clean line with a space before a food that is glued to "of" or to the unit of a number before it."""
    if "of" in plain:
        plain = _OF.sub(_with_space, plain)
    if plain[:1].isnumeric() and any(map(_hides_unit, _NUMBERED.findall(plain))):
        plain = _UNIT.sub(_with_space, plain, count=1)
    for found in _NUMBER.finditer(plain):
        at = found.start()
        if plain[at - _BEFORE : at].isalpha():  # and no sign such as ²
            return f"{plain[:at]}, {plain[at:]}"
    return plain


@lru_cache(maxsize=1024)
def _hides_unit(word: str) -> bool:
    """Whether a unit may be the beginning of a word behind a number: "gbrynza"; few different words stand there."""
    low = word.lower()
    return not low.isalpha() or (low not in UNITS and low.startswith(tuple(_MEASURES)) and not is_name(words(low)))


def _with_space(found: re.Match[str]) -> str:
    """Only where the whole is no word that anybody knows, and the rest is a food: "offal" stays.

    "250 gbrynza" is no 250 of anything: many grams or millilitres, where the whole is no word at all; "100 mlArla".
    """
    before, first, rest, then = found.groups()
    whole = f"{first}{rest}"
    if is_name(words(whole)) or whole.lower() in UNITS:
        return found[0]
    food = is_name(words(rest)) or is_name(words(f"{rest} {then or ''}"))  # "ofstem ginger"
    metric = first in _METRIC and (rest[0].isupper() or (_many(found) and whole.lower() not in listed_words()))
    return f"{before}{first} {rest}" if food or metric else found[0]


def _many(found: re.Match[str]) -> bool:
    """Whether the number before it is one that packs weigh and few recipes count to: 20, 75, 250."""
    before = found.string[: found.start(2)].strip()
    return before.isdigit() and len(before) < _DIGITS and int(before) >= _FEWEST and int(before) % 5 == 0
