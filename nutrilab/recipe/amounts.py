"""The few amounts a recipe file states outside its ingredient lines: weights, shares, numbers, yes and no."""

from __future__ import annotations

import re
from fractions import Fraction

from nutrilab.recipe.values import Part

# Grams, and millilitres of frying oil at 0.92 g/ml (USDA SR28 04582 canola oil: 218 g a cup of 236.6 ml).
_GRAMS = {"": 1.0, "g": 1.0, "gram": 1.0, "grams": 1.0, "kg": 1000.0}
_MILLILITRES = {"ml": 1.0, "cl": 10.0, "l": 1000.0, "litre": 1000.0, "litres": 1000.0}
OIL_DENSITY = 0.92  # [g/ml]
MOST = 1e7  # [g] ten tonnes: no kitchen weighs more, and what is far beyond it is no number any more
_AMOUNT = re.compile(r"(\d+(?:[.,]\d+)?)\s*([a-z]*)")
_SHARE = re.compile(r"(\d+(?:[.,]\d+)?)\s*%|(\d+)\s*/\s*(\d+)|(half|a third|a quarter|all)")
_PART = re.compile(
    r"(?:(all|half|a half|a third|a quarter|three quarters|the rest)|(\d+)\s*/\s*(\d+)|([½⅓⅔¼¾])"
    r"|(\d+(?:[.,]\d+)?)\s*(%|kg|g))\s+of\s+(?:the\s+)?(.+?)(?:\s+from\s+(\S+\.(?:ya?ml|txt)))?\s*",
    re.IGNORECASE,
)
_WORDS = {
    "all": 1.0, "half": 0.5, "a half": 0.5, "a third": 1 / 3, "a quarter": 0.25, "three quarters": 0.75,
    "½": 0.5, "⅓": 1 / 3, "⅔": 2 / 3, "¼": 0.25, "¾": 0.75,
}  # fmt: skip


def decimal(text: str) -> float:
    """A number with a point or a comma for decimals. Raises ValueError."""
    return float(text.replace(",", "."))


def grams(text: str, liquid: bool = False) -> float:
    """ "740 g", "2.6 kg" or a bare number -> [g]; with ``liquid`` also "300 ml" of oil. Raises ValueError."""
    found = _AMOUNT.fullmatch(text.strip().lower())
    factors = _GRAMS | ({unit: ml * OIL_DENSITY for unit, ml in _MILLILITRES.items()} if liquid else {})
    if found and found[2] in factors:
        weight = decimal(found[1]) * factors[found[2]]
        if weight > MOST:
            raise ValueError(f'"{text[:60]}" is more than a kitchen weighs')
        return weight
    units = "g, kg, ml or l" if liquid else "g or kg"
    raise ValueError(f'"{text}" is no weight; write a number and {units}, such as 740 g')


def share(text: str) -> float:
    """ "12%", "1/8" or "half" -> 0.12, 0.125, 0.5. Raises ValueError unless it is from 0 to below 1."""
    found = _SHARE.fullmatch(text.strip().lower())
    if not found:
        raise ValueError(f'"{text}" is no share; write it such as 12%')
    if found[1]:
        value = decimal(found[1]) / 100
    elif found[2]:
        value = float(Fraction(int(found[2]), int(found[3]))) if int(found[3]) else 1.0
    else:
        value = _WORDS[found[4]]
    if not 0 <= value < 1:
        raise ValueError(f'"{text}" cannot be; a share lost lies between 0% and 100%')
    return value


def number(text: str) -> float:
    """A number above 0. Raises ValueError."""
    try:
        value = decimal(text.strip())
    except ValueError:
        raise ValueError(f'"{text}" is no number') from None
    if not 0 < value < 1e6:
        raise ValueError(f'"{text}" must be a number above 0')
    return value


def yes(text: str) -> bool:
    """yes/no or true/false. Raises ValueError."""
    word = text.strip().lower()
    if word in ("yes", "true", "on"):
        return True
    if word in ("no", "false", "off"):
        return False
    raise ValueError(f'"{text}" must be yes or no')


def part_of(text: str, line: int | None = None) -> Part | None:
    """Read "all of | half of | 3/4 of | 80% of | 600 g of STAGE [from FILE]"; None if the text is no such thing.

    Whether STAGE is a stage is for the caller to know: "half of a lemon" reads as one too.
    Raises ValueError: nothing, or more than all, of a stage; "the rest of".
    """
    found = _PART.fullmatch(text.strip())
    if not found:
        return None
    word, top, bottom, sign, value, unit, stage, file = found.groups()
    part, weight = None, None
    if word and word.lower() == "the rest":
        raise ValueError(f'"{text}": say how much the rest is, such as 20% of {stage}')
    if word or sign:
        part = _WORDS[(word or sign).lower()]
    elif top:
        part = float(Fraction(int(top), int(bottom))) if int(bottom) else 2.0
    elif unit == "%":
        part = decimal(value) / 100
    else:
        weight = decimal(value) * (1000 if unit.lower() == "kg" else 1)
    if part is not None and not 0 < part <= 1:
        raise ValueError(
            f'"{text}" takes {"nothing" if part == 0 else "more than all"} of a stage; use more than 0 and at most all'
        )
    if weight == 0:
        raise ValueError(f'"{text}" takes nothing of a stage')
    return Part(text, stage.strip(), part, weight, file, line)
