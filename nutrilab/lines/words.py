"""The vocabulary of ingredient lines, read once from the CSV tables a cook can add to."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import NamedTuple

from nutrilab.datafiles import rows
from nutrilab.lexicon import is_name, line_words
from nutrilab.lexicon.matching import Matcher, matcher
from nutrilab.lexicon.spelling import Nearest
from nutrilab.lines.values import Purpose
from nutrilab.text import singular


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


def _phrases(part: str) -> Matcher[None]:
    """The phrases that play one part in a line, as they are written."""
    return matcher((phrase.split(), None) for phrase in line_words(part))


def _split(cell: str) -> frozenset[str]:
    return frozenset(word for word in cell.split("|") if word)


UNITS = {row["word"]: Unit(row["unit"], row["kind"]) for row in rows("units.csv") if row["word"] != "T"}
SHORTEST_SLIP = 8  # letters of a measure's name from which one slip of the pen leaves no doubt: "tablepoon", "teasppon"
FIRST_OF_TWO = frozenset(word.split()[0] for word in UNITS if " " in word)
KINDS = {unit.name: unit.kind for unit in UNITS.values()}
FACTORS = {r["unit"]: Factor(r["dimension"], float(r["uk"]), float(r["us"])) for r in rows("line_factors.csv")}
# An empty value is None: "a few" is an amount the line does not give.
NUMBERS = {row["word"]: float(row["value"]) if row["value"] else None for row in rows("line_numbers.csv")}
NUMBER_PHRASES: dict[str, tuple[str, ...]] = {}
for _phrase in sorted(NUMBERS, key=len, reverse=True):
    _first = _phrase.split()[0]
    NUMBER_PHRASES[_first] = (*NUMBER_PHRASES.get(_first, ()), _phrase)
NOT_NUMBERS = tuple(line_words("not a number"))
NOT_UNITS = line_words("not a unit")
NEEDS_OF = line_words("needs of")
ABOUT = line_words("about")
SIZE = line_words("size")
SHORT_SIZES = {"sm": "small", "sml": "small", "med": "medium", "lg": "large", "lge": "large", "lrg": "large"}
UNIT_SIZE = line_words("unit size") | SIZE
ADVERB = line_words("adverb")
PREPARED = line_words("prepared")
PREPARED_LAST = PREPARED | line_words("prepared after")
AFTER_PREPARED = line_words("after prepared") | ADVERB | PREPARED_LAST
KEPT = _phrases("kept")
TAIL = _phrases("tail")
TAIL_FIRST = frozenset(phrase.split()[0] for phrase in line_words("tail"))
SEASONINGS = line_words("seasoning")
BESIDE_SEASONINGS = line_words("beside seasoning")
PARTS = line_words("part")
WITH_PART = line_words("with part") | PARTS
ADJECTIVE = line_words("adjective") | SIZE | ADVERB
STATE = line_words("state")
HEADING = line_words("heading")
NO_FOOD = line_words("no food")
NO_OPTION = line_words("no option")
SPREADS = line_words("spreads")
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
    return word in STATE or ("-" in word and _OF_A_KIND.search(word) is not None)


def describes(word: str) -> bool:
    """Whether a lower-case word is no food: of what kind it is, how large, what was done to it."""
    return of_what_kind(word) or word in ADJECTIVE or word in PREPARED_LAST


@cache
def _long_measures() -> Nearest:
    return Nearest(
        (w for w, u in UNITS.items() if u.kind in ("mass", "volume", "spoon") and w.isalpha()), SHORTEST_SLIP - 1
    )


@lru_cache(maxsize=1024)
def misspelt(word: str) -> Unit | None:
    """The measure whose long name a word is one slip away from; None for any other word."""
    near = _long_measures().within(word, 1).get(1, [])
    units = {UNITS[one] for one in near}
    return units.pop() if len(units) == 1 and not is_name((singular(word),)) else None
