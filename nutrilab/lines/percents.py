"""The shares a line states of its food: of fat, of fat in dry matter, of cocoa, of alcohol by volume."""

from __future__ import annotations

import re

FAT, DRY_FAT, COCOA, ALCOHOL = "fat", "dry-fat", "cocoa", "alcohol"
SATURATES, SUGARS, SALT, ENERGY = "saturates", "sugars", "salt", "energy"
UNTOLD = ""  # the line does not say what is counted

_SHARE = r"\d{1,3}(?:[.,]\d{1,2})?"
_PERCENT = re.compile(
    rf"(?:({_SHARE}) ?(?:[-–]|to) ?)?(?<![\d.,])({_SHARE}) ?(?:(vol) ?)?(?:%|per ?cent)([^\d;%]{{0,40}})"
)
_SPLIT_FAT = re.compile(r"\b(\d\d)/(\d\d)\b")
# "fat 5 g per 100 g", "5 g fat/100 g"; not "saturated fat 2 g per 100 g"
_OF_100 = re.compile(
    rf"(?:(?<!saturated )(?<!trans )\bfat(?: content)?:? ?({_SHARE}) ?g|({_SHARE}) ?g (?:of )?fat)"
    r" ?(?:/|per|in) ?100 ?(?:g|ml)\b"
)
# What stands behind the sign, the more telling first; FDM and FiDM: fat in dry matter; m.g.: French for fat.
_BEHIND = (
    (
        DRY_FAT,
        re.compile(r" ?\(?(?:milk ?fat|fat|m\.? ?g\.?)?,? ?(?:in|of|on|sur)(?: the)? (?:dry |extrait sec|d\.?m\b)"),
    ),
    (DRY_FAT, re.compile(r" ?(?:f\.?i?\.?d\.?m\b|fat i\.? ?d\.?m\b|i\. ?tr\b|mg/es\b)")),
    (ALCOHOL, re.compile(r" ?(?:by )?(?:vol|abv\b|a\.b\.v|alc)")),
    (FAT, re.compile(r" ?(?:fat|butterfat|milkfat|m\.? ?g)\b")),
    (COCOA, re.compile(r" ?(?:cocoa|cacao)\b")),
)
_LEAN = re.compile(r" ?lean\b")
# "30 % less sugar", "25% lower in salt", "50 % reduced fat", "30 % fewer calories": a share of the ordinary food's.
_LESS = re.compile(r" ?(?:less|fewer|lower|lighter|reduced|reduction)\b")
_LESS_OF = re.compile(
    r"(?:%|per ?cent) ?(?:less|fewer|lower|reduced|reduction)(?: in| of)?((?:,? (?:and |& )?(?:added |trans )?"
    r"(?:saturated fats?|saturates|sat fat|fats?|sugars?|salt|sodium|calories|kcal|energy))+)"
)
_LESSENED = (
    (SATURATES, re.compile(r"\bsat")),
    (FAT, re.compile(r"(?<!saturated )(?<!sat )\bfat")),
    (SUGARS, re.compile(r"\bsugar")),
    (SALT, re.compile(r"\b(?:salt|sodium)")),
    (ENERGY, re.compile(r"\b(?:calories|kcal|energy)")),
)


def percents(text: str) -> tuple[tuple[str, float], ...]:
    """(what, share [%]) that a text states, what being a word above; "95 % lean" and "80/20" give the fat.

    text: small letters. "30 % less sugar" is no share of the food. Of a range ("5-7 %") the middle.
    """
    found: list[tuple[str, float]] = []
    if "%" in text or "cent" in text:
        for low, high, volume, behind in _PERCENT.findall(text):
            value = (_number(low) + _number(high)) / 2 if low else _number(high)
            what = ALCOHOL if volume else next((name for name, words in _BEHIND if words.match(behind)), UNTOLD)
            if what == UNTOLD and _LEAN.match(behind):
                what, value = FAT, 100 - value
            if 0 <= value <= 100 and not _LESS.match(behind):
                found.append((what, value))
    if "100" in text:
        found += [(FAT, _number(one or other)) for one, other in _OF_100.findall(text) if _number(one or other) <= 100]
    for lean, fat in _SPLIT_FAT.findall(text) if "/" in text else ():
        if int(lean) + int(fat) == 100:
            found.append((FAT, float(min(int(lean), int(fat)))))
    return tuple(dict.fromkeys(found))


def lessened(text: str) -> frozenset[str]:
    """What a text says there is less of by a percentage: fat, saturates, sugars, salt, energy; text: small letters."""
    if "%" not in text and "cent" not in text:
        return frozenset()
    named = " ".join(_LESS_OF.findall(text))
    return frozenset(what for what, words in _LESSENED if words.search(named))


def _number(text: str) -> float:
    return float(text.replace(",", "."))
