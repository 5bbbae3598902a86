"""Words that lost the space between them: "½ bunch ofcoriander", "100 ggruyère", "250mlmilk"."""

from __future__ import annotations

import re

from nutrilab.lexicon import is_name
from nutrilab.lines.clean import VULGAR
from nutrilab.lines.words import UNITS
from nutrilab.text import words

_SHORTEST = 3  # letters of a food behind a glued word
_MEASURES = sorted((w for w, u in UNITS.items() if u.kind in ("mass", "volume", "spoon") and w.isalpha()), key=len)[
    ::-1
]
_OF = re.compile(rf"(?<=\s)(of)([^\W\d_]{{{_SHORTEST},}})(?=(?:\s([^\W\d_]+))?)", re.IGNORECASE)
_UNIT = re.compile(
    rf"(?<=[\d{VULGAR}])(\s?(?:{'|'.join(_MEASURES)}))([^\W\d_]{{{_SHORTEST},}})(?=(?:\s([^\W\d_]+))?)", re.IGNORECASE
)
_NUMBERED = re.compile(rf"[\d{VULGAR}]\s?([^\W\d_]+)")
_NUMBER = re.compile(rf"[\d{VULGAR}]+(?=\s[^\W\d_]{{3}})")
_BEFORE = 3  # letters before a number that is glued to them: "sesame seeds3 large cabbages"


def parted(plain: str) -> str:
    """A clean line with a space before a food that is glued to "of" or to the unit of a number before it."""
    if "of" in plain:
        plain = _OF.sub(_with_space, plain)
    if plain[:1].isnumeric() and any(word.lower() not in UNITS for word in _NUMBERED.findall(plain)):
        plain = _UNIT.sub(_with_space, plain, count=1)
    for found in _NUMBER.finditer(plain):
        at = found.start()
        if at >= _BEFORE and plain[at - _BEFORE : at].isalpha():
            return f"{plain[:at]}, {plain[at:]}"
    return plain


def _with_space(found: re.Match[str]) -> str:
    """Only where the whole is no word that anybody knows, and the rest is a food: "offal" stays."""
    first, rest, then = found.groups()
    whole = f"{first}{rest}".strip()
    known = is_name(words(whole)) or whole.lower() in UNITS
    food = is_name(words(rest)) or is_name(words(f"{rest} {then or ''}"))  # "ofstem ginger"
    return f"{first} {rest}" if food and not known else found[0]
