"""Whether a table and a name are in English, which is the language recipes are read in.

A food that was reached by nothing but a name of its own table in another language ("huile d'arachide", "Egli"), or by
one word of such a name ("Tarte aux prunes"), is a guess at what is meant, and its words say nothing of its allergens to
rules that are written in English: such a link gets a remark, and the line is not understood.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import replace
from functools import cache

from nutrilab.foods import EMBEDDED, Food, FoodTable, embedded
from nutrilab.lines.query import Query, is_filler, kinds, stating_words
from nutrilab.linking.index import index_of
from nutrilab.linking.wordlists import word_list
from nutrilab.messages import say
from nutrilab.plain import brief, quoted
from nutrilab.remarks import Code, Remark
from nutrilab.text import words

LOOKED_AT = 400  # names of a table, spread over all of it
# Share of the words of a table's names that stand in the cooks' lists of the embedded table, above which it is English.
# Measured: eight English tables 0.86 to 0.94, tables in French 0.47 and 0.57, Italian 0.41, German 0.11, Finnish 0.07.
ENGLISH = 0.65
SHORTEST = 3  # letters; shorter ones are joints of many languages
# Words that join a name in French, German, Italian or Spanish; in English only in names that the lists hold whole.
JOINTS = frozenset("de du des au aux avec et mit und von aus ohne di del della alla con".split())


@cache
def _listed() -> frozenset[str]:
    """Words of the cooks' lists of the embedded table, and words that say a state."""
    lists = word_list(EMBEDDED)
    return stating_words() | (lists.vocabulary if lists else frozenset())


@cache
def _known() -> frozenset[str]:
    """The same with the words of the embedded table's own names."""
    return _listed() | index_of(embedded()).unbranded_words()


_TABLES: dict[int, tuple[FoodTable, bool]] = {}


def in_english(table: FoodTable) -> bool:
    """Whether a table's names are in English, by how many of their words cooks know."""
    known = _TABLES.get(id(table))
    if known is None or known[0] is not table:
        known = _TABLES[id(table)] = table, table is embedded() or _share_known(table) >= ENGLISH
    return known[1]


def _share_known(table: FoodTable) -> float:
    """The share of the words of a table's names that cooks know."""
    names = table.names[:: max(1, len(table) // LOOKED_AT)]
    found = [word for name in names for word in words(name) if word.isalpha() and len(word) >= SHORTEST]
    return sum(word in _listed() for word in found) / len(found) if found else 0.0


def is_known(query: Query, tokens: Iterable[str] | None = None) -> bool:
    """Whether every word that tells something, of the name or of ``tokens``, is one that the cooks' lists or the
    embedded table know, or a maker's name."""
    return all(
        word in _known() or word in kinds() or word in query.brands or len(word) < SHORTEST or is_filler(word)
        for word in (query.tokens if tokens is None else tokens)
        if word.isalpha()
    )


def half_english(query: Query, leftover: Collection[str]) -> bool:
    """Whether a word list met but part of a name of another language: "Tarte aux prunes" is more than prunes.

    Its mark is a word left over beside a joint, or an unknown one with an accent ("Farina per knöpfli").
    """
    strange = {word for word in leftover if word not in JOINTS}
    if JOINTS.isdisjoint(query.tokens):
        strange &= set(words(" ".join(word for word in query.name.split() if not word.isascii())))
    if not strange:
        return False
    return not JOINTS.isdisjoint(leftover) or not is_known(query, strange)


def not_english(query: Query, food_name: str) -> Remark:
    """What is said of a food that only words of another language reach."""
    message = say("link.not-english", name=brief(query.name), food=quoted(food_name))
    return Remark(Code.NOT_ENGLISH, message)


def read_as(food: Food, table: FoodTable, english: str) -> Food:
    """The food, with an English name for one of another language that its table gives none for."""
    return food if food.english is not None or in_english(table) else replace(food, english=english)
