"""The vocabulary of ingredient lines, read once from the CSV tables a cook can add to."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import NamedTuple

from nutrilab.datafiles import rows
from nutrilab.lines.values import Purpose


class Unit(NamedTuple):
    """A unit word as written, looked up: canonical unit and its kind (units.csv)."""

    name: str
    kind: str


class Factor(NamedTuple):
    """Size of one unit [g, ml or mm] in the British and the American system."""

    dimension: str
    uk: float
    us: float


@dataclass(frozen=True, slots=True)
class Counter:
    """A word that counts the food before it ("celery sticks"): for which foods, and for which not."""

    unit: str
    foods: frozenset[str]
    unless: frozenset[str]


def role(name: str) -> frozenset[str]:
    """All words of line_words.csv that play one role."""
    return frozenset(row["word"] for row in rows("line_words.csv") if row["role"] == name)


def by_first_word(phrases: frozenset[str]) -> dict[str, tuple[tuple[str, ...], ...]]:
    """Phrases as first word -> the words that must follow it, longest first; () means none need to."""
    found: dict[str, list[tuple[str, ...]]] = {}
    for phrase in phrases:
        first, *more = phrase.split()
        found.setdefault(first, []).append(tuple(more))
    return {first: tuple(sorted(more, key=len, reverse=True)) for first, more in found.items()}


def _split(cell: str) -> frozenset[str]:
    return frozenset(word for word in cell.split("|") if word)


UNITS = {row["word"]: Unit(row["unit"], row["kind"]) for row in rows("units.csv") if row["word"] != "T"}
FIRST_OF_TWO = frozenset(word.split()[0] for word in UNITS if " " in word)
KINDS = {unit.name: unit.kind for unit in UNITS.values()}
FACTORS = {r["unit"]: Factor(r["dimension"], float(r["uk"]), float(r["us"])) for r in rows("line_factors.csv")}
# An empty value is None: "a few" is an amount the line does not give.
NUMBERS = {row["word"]: float(row["value"]) if row["value"] else None for row in rows("line_numbers.csv")}
NUMBER_PHRASES: dict[str, tuple[str, ...]] = {}
for _phrase in sorted(NUMBERS, key=len, reverse=True):
    _first = _phrase.split()[0]
    NUMBER_PHRASES[_first] = (*NUMBER_PHRASES.get(_first, ()), _phrase)
NOT_NUMBERS = tuple(role("not a number"))
NOT_UNITS = role("not a unit")
NEEDS_OF = role("needs of")
ABOUT = role("about")
SIZE = role("size")
SHORT_SIZES = {"sm": "small", "sml": "small", "med": "medium", "lg": "large", "lge": "large", "lrg": "large"}
UNIT_SIZE = role("unit size") | SIZE
ADVERB = role("adverb")
PREPARED = role("prepared")
PREPARED_LAST = PREPARED | role("prepared after")
AFTER_PREPARED = role("after prepared") | ADVERB | PREPARED_LAST
KEPT = by_first_word(role("kept"))
TAIL = by_first_word(role("tail"))
PARTS = role("part")
WITH_PART = role("with part") | PARTS
ADJECTIVE = role("adjective") | SIZE | ADVERB
STATE = role("state")
HEADING = role("heading")
NO_FOOD = role("no food")
NO_OPTION = role("no option")
SPREADS = role("spreads")
PURPOSES = {row["phrase"]: Purpose(row["purpose"]) for row in rows("line_purposes.csv")}
PURPOSE_WORDS = max(len(phrase.split()) for phrase in PURPOSES)
PURPOSE_FIRST = frozenset(phrase.split()[0] for phrase in PURPOSES)
PAIRS = tuple((row["phrase"], row["alone"] == "yes") for row in rows("line_pairs.csv"))
COMPOUND = frozenset(row["head"] for row in rows("line_heads.csv") if row["kind"] == "compound")
SHARED = {row["head"]: _split(row["modifiers"]) for row in rows("line_heads.csv") if row["kind"] == "shared"}
COUNTERS = {r["word"]: Counter(r["unit"], _split(r["foods"]), _split(r["except"])) for r in rows("line_counted.csv")}


# "bone-in", "part-skim", "fat-free": words joined by a dash that say of what kind the food is.
_OF_A_KIND = re.compile(r".-(?:in|on|off|free|less|fed|milk|skim|fat|style|sized?|cut|ripened|reared|cured|grown)$")


def of_what_kind(word: str) -> bool:
    """Whether a lower-case word only says of what kind the food after it is."""
    return word in STATE or _OF_A_KIND.search(word) is not None


def describes(word: str) -> bool:
    """Whether a lower-case word is no food: of what kind it is, how large, what was done to it."""
    return of_what_kind(word) or word in ADJECTIVE or word in PREPARED_LAST


def starts(words: list[str], at: int, table: dict[str, tuple[tuple[str, ...], ...]]) -> int:
    """How many of ``words`` from ``at`` a phrase of the table covers; 0 if none does."""
    for more in table.get(words[at], ()):
        if not more or tuple(words[at + 1 : at + 1 + len(more)]) == more:
            return 1 + len(more)
    return 0
