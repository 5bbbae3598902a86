"""The few amounts a recipe file states outside its ingredient lines: weights, shares, numbers, yes and no."""

from __future__ import annotations

import re
from fractions import Fraction

from nutrilab.messages import say
from nutrilab.plain import brief, quoted, two_numbers
from nutrilab.recipe.values import Part

# Grams, and millilitres of frying oil at 0.92 g/ml (USDA SR28 04582 canola oil: 218 g a cup of 236.6 ml).
_GRAMS = {"": 1.0, "g": 1.0, "gram": 1.0, "grams": 1.0, "kg": 1000.0}
_MILLILITRES = {"ml": 1.0, "cl": 10.0, "l": 1000.0, "litre": 1000.0, "litres": 1000.0}
OIL_DENSITY = 0.92  # [g/ml]
MOST = 1e7  # [g] ten tonnes: no kitchen weighs more, and what is far beyond it is no number any more
FEWEST_PORTIONS, MOST_PORTIONS = 0.01, 1e6  # beyond them a slip of the pen, and no figure a portion can be worked out
# A written number is short: what is longer than this is no amount, and far longer ones take time to read.
_DECIMAL = r"\d{1,12}(?:[.,]\d{1,12})?"
_NUMBER = re.compile(rf"-?{_DECIMAL}", re.ASCII)
_AMOUNT = re.compile(r"(\d{1,400}(?:[.,]\d{1,400})?)\s*([a-z]*)", re.ASCII)
_SHARE = re.compile(rf"({_DECIMAL})\s*%|(\d{{1,6}})\s*/\s*(\d{{1,6}})|(half|a third|a quarter|all)", re.ASCII)
_HEAD = re.compile(
    r"(?:(all|half|a half|a third|a quarter|three quarters|the rest)|(\d{1,6}) ?/ ?(\d{1,6})|([½⅓⅔¼¾])"
    rf"|({_DECIMAL}) ?(%|kg|g)) of (?:the (?=.))?(?=.)",
    re.IGNORECASE | re.ASCII,
)
_FROM = re.compile(r" from (\S+\.(?:ya?ml|txt))", re.IGNORECASE)
_WORDS = {
    "all": 1.0, "half": 0.5, "a half": 0.5, "a third": 1 / 3, "a quarter": 0.25, "three quarters": 0.75,
    "½": 0.5, "⅓": 1 / 3, "⅔": 2 / 3, "¼": 0.25, "¾": 0.75,
}  # fmt: skip


def decimal(text: str) -> float:
    """A number with a point or a comma for decimals. Raises ValueError."""
    return float(text.replace(",", "."))


def refuse_two(digits: str) -> None:
    """Refuse a number that means one thing to one cook and another to the next. Raises ValueError."""
    if ways := two_numbers(digits):
        raise ValueError(say("amount.two-ways", number=quoted(digits), one=ways[0], other=ways[1]))


def grams(text: str, liquid: bool = False) -> float:
    """ "740 g", "2.6 kg" or a bare number -> [g]; with ``liquid`` also "300 ml" of oil. Raises ValueError."""
    found = _AMOUNT.fullmatch(text.strip().lower())
    factors = _GRAMS | ({unit: ml * OIL_DENSITY for unit, ml in _MILLILITRES.items()} if liquid else {})
    if found and found[2] in factors:
        if factors[found[2]] <= 1:
            refuse_two(found[1])
        weight = decimal(found[1]) * factors[found[2]]
        if weight > MOST:
            raise ValueError(say("amount.more-than-a-kitchen", weight=quoted(text)))
        return weight
    units = say("amount.units-liquid" if liquid else "amount.units")
    raise ValueError(say("amount.no-weight", text=quoted(text), units=units))


def share(text: str) -> float:
    """ "12%", "1/8" or "half" -> 0.12, 0.125, 0.5. Raises ValueError unless it is from 0 to below 1."""
    found = _SHARE.fullmatch(text.strip().lower())
    if not found:
        raise ValueError(say("amount.no-share", text=quoted(text)))
    if found[1]:
        value = decimal(found[1]) / 100
    elif found[2]:
        value = float(Fraction(int(found[2]), int(found[3]))) if int(found[3]) else 1.0
    else:
        value = _WORDS[found[4]]
    if not 0 <= value < 1:
        raise ValueError(say("amount.share-too-large", text=quoted(text)))
    return value


def number(text: str) -> float:
    """A number above 0 in digits. Raises ValueError."""
    found = _NUMBER.fullmatch(text.strip())
    if not found:
        raise ValueError(say("amount.no-number", text=quoted(text)))
    refuse_two(found[0])
    value = decimal(found[0])
    if not 0 < value < 1e6:
        raise ValueError(say("amount.number-out-of-range", text=quoted(text)))
    return value


def portions(text: str) -> float:
    """A number of portions. Raises ValueError."""
    value = number(text)
    check_portions(value)
    return value


def check_portions(count: float) -> None:
    """Refuse what cannot be a number of portions, wherever it was said. Raises ValueError."""
    if not FEWEST_PORTIONS <= count <= MOST_PORTIONS:  # no number at all is refused as well
        few = not count > 0
        raise ValueError(say("portions.not-above-0" if few else "portions.cannot-be", number=f"{count:g}"))


def yes(text: str) -> bool:
    """yes/no or true/false. Raises ValueError."""
    word = text.strip().lower()
    if word in ("yes", "true", "on"):
        return True
    if word in ("no", "false", "off"):
        return False
    raise ValueError(say("amount.yes-or-no", text=quoted(text)))


def part_of(text: str, line: int | None = None) -> Part | None:
    """Read "all of | half of | 3/4 of | 80% of | 600 g of STAGE [from FILE]"; None if the text is no such thing.

    Whether STAGE is a stage is for the caller to know: "half of a lemon" reads as one too.
    Raises ValueError: nothing, or more than all, of a stage; "the rest of".
    """
    plain = " ".join(text.split())
    head = _HEAD.match(plain)
    if not head:
        return None
    word, top, bottom, sign, value, unit = head.groups()
    stage, file = _stage_and_file(plain[head.end() :])
    part, weight = None, None
    if word and word.lower() == "the rest":
        raise ValueError(say("amount.the-rest", text=quoted(text), stage=brief(stage)))
    if word or sign:
        part = _WORDS[(word or sign).lower()]
    elif top:
        part = float(Fraction(int(top), int(bottom))) if int(bottom) else 2.0
    elif unit == "%":
        part = decimal(value) / 100
    else:
        if unit.lower() == "g":
            refuse_two(value)
        weight = decimal(value) * (1000 if unit.lower() == "kg" else 1)
    if part is not None and not 0 < part <= 1:
        raise ValueError(say("amount.nothing-of-stage" if part == 0 else "amount.more-than-all", text=quoted(text)))
    if weight == 0:
        raise ValueError(say("amount.nothing-of-stage", text=quoted(text)))
    return Part(text, stage, part, weight, file, line)


def _stage_and_file(text: str) -> tuple[str, str | None]:
    """ "mash from mash.yaml" -> mash, mash.yaml; the first " from FILE" that ends the text counts."""
    for found in _FROM.finditer(text):
        if found.start() and found.end() == len(text):
            return text[: found.start()], found[1]
    return text, None


def weight(text: str) -> float:
    """A weight above nothing [g]. Raises ValueError for anything else."""
    found = grams(text)
    if found <= 0:
        raise ValueError(say("amount.above-0", text=quoted(text)))
    return found


def liquid(text: str) -> float:
    """A weight, or a volume of a liquid [g]. Raises ValueError for anything else."""
    return grams(text, liquid=True)
