"""Words as the rest of the house compares them: folded, split, singular."""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache

_SPLIT = re.compile(r"[^a-z0-9%]+")
_LOOKALIKES = str.maketrans(
    {"œ": "oe", "æ": "ae", "ø": "o", "ß": "ss", "ł": "l", "’": "'", "‘": "'", "–": "-", "—": "-"}
)
# Words that end in s and are no plural; a singular that is no word would split what belongs together.
_KEEP = frozenset(
    "asparagus couscous molasses cress watercress lemongrass gas as its plus grits pastis calvados tapas cos ras "
    "boerewors madras schnapps lens series species "
    "this is his basis haggis anis cassis coulis chablis pastis marquis iris hibiscus".split()
)
_IRREGULAR = {
    "leaves": "leaf", "loaves": "loaf", "halves": "half", "knives": "knife", "calves": "calf",
    "potatoes": "potato", "tomatoes": "tomato", "mangoes": "mango", "avocadoes": "avocado", "geese": "goose",
    "chillies": "chilli", "chillis": "chilli", "chilies": "chilli", "chiles": "chilli", "chilis": "chilli",
    "chile": "chilli", "chili": "chilli", "chilly": "chilli", "cookies": "cookie", "brownies": "brownie",
    "smoothies": "smoothie",
    "pies": "pie", "veggies": "vegetable", "quiches": "quiche", "brioches": "brioche", "ganaches": "ganache",
    "calories": "calorie", "roes": "roe",
}  # fmt: skip


_WORD = re.compile(r"[^\W\d_]+(?:['’-][^\W\d_]+)*")
_CAPITAL = re.compile(r"\b[A-ZÀ-Þ][a-zà-ÿ]")
_PART = re.compile(r"[,;()\[\]]")


def brand_words(text: str) -> frozenset[str]:
    """Capitalised words, singular, amid a name in small letters: a maker's own ("2 Massel stock cubes"), no slip.

    A word that begins the text, and one alone but for its amount ("200 g Mozarella, grated"), may be any word.
    """
    if not _CAPITAL.search(text, 1):
        return frozenset()
    found: set[str] = set()
    at = 0
    for part in _PART.split(text):
        names = list(_WORD.finditer(part))
        small = [n for n, m in enumerate(names) if m[0].islower() and len(m[0]) > 2 and not _after_number(part, m)]
        for n, m in enumerate(names):
            if m[0][0].isupper() and not m[0].isupper() and (at or m.start()) and any(other != n for other in small):
                found.update(words(m[0]))
        at += len(part) + 1
    return frozenset(found)


def _after_number(text: str, word: re.Match[str]) -> bool:
    """Whether a word stands right behind a number, as a unit does."""
    before = word.start() - 1
    while before >= 0 and text[before].isspace():
        before -= 1
    return before >= 0 and text[before].isdigit()


def fold(text: str) -> str:
    """Lower case, accents off, look-alike letters and dashes made plain."""
    text = text.lower()
    if text.isascii():
        return text
    text = unicodedata.normalize("NFKD", text.translate(_LOOKALIKES))
    return "".join(c for c in text if not unicodedata.combining(c))


@lru_cache(maxsize=65536)
def singular(word: str) -> str:
    """English singular of one folded word ("tomatoes" -> "tomato"); unknown shapes stay."""
    if word in _IRREGULAR:
        return _IRREGULAR[word]
    if len(word) < 4 or not word.endswith("s") or word.endswith(("ss", "us")) or word in _KEEP:
        return word
    if word.endswith("ies") and len(word) > 4:
        return word[:-3] + "y"
    if word.endswith(("shes", "ches", "xes", "sses", "zzes")):
        return word[:-2]
    return word[:-1]


@lru_cache(maxsize=32768)
def words(text: str) -> tuple[str, ...]:
    """The singular words of a text in order; everything but letters, digits and % divides."""
    return words_once(text)


def words_once(text: str) -> tuple[str, ...]:
    """The same of a text that is not asked about again, such as a whole line: not remembered."""
    return tuple([singular(w) for w in _SPLIT.split(fold(text).replace("'", "")) if w])
