"""Finding the row of a data file that speaks of a food: phrases of words, the most telling one first.

A cell of phrases reads ``red onion|shallot -powder|@fish``: | divides phrases, a word with - must not
stand in the line, @ marks a kind of kinds.csv: what kind of thing a food is (herb, flour, oil, fish...), from its words
and its food group. A phrase fits when all its words are among the tokens.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import cache, lru_cache
from typing import Any, Generic, NamedTuple, Protocol, TypeVar

from nutrilab.datafiles import rows
from nutrilab.lexicon import line_words, spelt_out
from nutrilab.text import singular, words

Row = TypeVar("Row")


class RowPhrase(NamedTuple, Generic[Row]):
    """One phrase of a row: words that must and must not be there, how telling it is, its place in the file."""

    needs: frozenset[str]
    bars: frozenset[str]
    weight: float
    place: int
    row: Row

    @property
    def by_kind(self) -> bool:
        """Whether a kind is among the words it needs."""
        return any(word[0] == "@" for word in self.needs)


class Phrases(Generic[Row]):
    """An index of phrases; a word counts 1, a kind a half. A phrase is read when a text first has its longest word."""

    def __init__(self, entries: Iterable[tuple[str, Row]]) -> None:
        """Entries of (cell of phrases, row); an empty phrase fits everything."""
        self._filed: defaultdict[str, list[tuple[str, int, Row]]] = defaultdict(list)
        self._by_word: dict[str, list[RowPhrase[Row]]] = {}
        for place, (cell, row) in enumerate(entries):
            for text in spelt_out(cell):
                self._filed[_key(text)].append((text, place, row))
        self._fitting = lru_cache(maxsize=4096)(self._ranked)

    def _phrases(self, word: str) -> Sequence[RowPhrase[Row]]:
        """The phrases that are filed under a word."""
        if word not in self._by_word:
            self._by_word[word] = [RowPhrase(*_read(text), place, row) for text, place, row in self._filed[word]]
        return self._by_word[word]

    def best(
        self, order: Sequence[str], also: Sequence[str] = (), fits: Callable[[RowPhrase[Row]], bool] | None = None
    ) -> RowPhrase[Row] | None:
        """The most telling phrase among the words in ``order`` and the kinds ``also``, narrow ones first.

        Equal ones: the phrase whose last word stands later, as English puts the thing last, or whose kind is
        narrower; then file order. ``fits`` may refuse a phrase.
        """
        found = self._fitting((*reversed(also), *order))
        return next((phrase for phrase in found if fits is None or fits(phrase)), None)

    def _ranked(self, order: tuple[str, ...]) -> tuple[RowPhrase[Row], ...]:
        """All phrases that fit some words, the best first."""
        tokens = frozenset(order)
        there = (phrase for token in (*tokens, "") if token in self._filed for phrase in self._phrases(token))
        found = [phrase for phrase in there if phrase.needs <= tokens and not phrase.bars & tokens]
        if len(found) > 1:
            last_of = {word: place for place, word in enumerate(order)}
            found.sort(key=lambda one: (-one.weight, -max((last_of[w] for w in one.needs), default=-1), one.place))
        return tuple(found)


def _key(text: str) -> str:
    """The word to look a phrase up by: the longest, which is rare, or a kind, or "" where it needs none."""
    plain = [word for word in text.split() if word.isalnum()]
    return singular(max(plain, key=len)) if plain else max(_read(text)[0], key=len, default="")


@lru_cache(maxsize=8192)
def _read(text: str) -> tuple[frozenset[str], frozenset[str], float]:
    """A phrase: words it needs and bars, how telling it is."""
    needs: list[str] = []
    bars: list[str] = []
    for word in text.split():
        if word[0] == "@":
            needs.append(word)
        elif word[0] == "-":
            bars += words(word)
        elif word.isalnum():
            needs.append(singular(word))
        else:
            needs += words(word)
    found = frozenset(needs)
    return found, frozenset(bars), len(found) - 0.5 * sum([word[0] == "@" for word in found])


@lru_cache(maxsize=16384)
def thing(order: tuple[str, ...]) -> tuple[str, ...]:
    """The words of a name that name the thing itself: "tuna in sunflower oil" is tuna (words.csv)."""
    breaks, joined, loose = line_words("ends thing"), line_words("joined"), line_words("loose")
    for i, word in enumerate(order):
        if i and word in breaks and order[i - 1] not in joined and not loose.issuperset(order[:i]):
            return order[:i]
    return order


@lru_cache(maxsize=16384)
def heads(order: tuple[str, ...]) -> frozenset[str]:
    """The words that can be the head of a name: the last of it, and the one before "of"."""
    part, loose = list(thing(order)), line_words("loose")
    while len(part) > 1 and part[-1] in loose:
        part.pop()
    found = set(part[-1:])
    if "of" in part[1:]:
        found.add(part[part.index("of", 1) - 1])
    return frozenset(found)


def names_head(order: Sequence[str]) -> Callable[[RowPhrase[Any]], bool]:
    """A test for `Phrases.best`: the phrase names the head of the name, or its kind: "chicken kiev" is no chicken."""
    head = heads(tuple(order))
    return lambda phrase: not phrase.needs or not head.isdisjoint(phrase.needs) or phrase.by_kind


class Measured(Protocol):
    """A household measure: ``amount`` of ``words`` of a food weigh ``grams`` [g]."""

    @property
    def amount(self) -> float: ...
    @property
    def words(self) -> str: ...
    @property
    def grams(self) -> float: ...


class WeighedFood(Protocol):
    """What the scales ask of a food; foods.Food fits it."""

    @property
    def food_id(self) -> str: ...
    @property
    def name(self) -> str: ...
    @property
    def group(self) -> str: ...
    @property
    def measures(self) -> tuple[Measured, ...]: ...
    @property
    def parts(self) -> tuple[Any, ...]: ...
    @property
    def values(self) -> Mapping[str, float]: ...


@cache
def _by_words() -> Phrases[tuple[str, ...]]:
    return Phrases((row["words"], _tokens(row["kind"])) for row in rows("kinds.csv") if not _group(row["words"]))


@cache
def _by_group() -> dict[str, tuple[str, ...]]:
    return {group: _tokens(row["kind"]) for row in rows("kinds.csv") if (group := _group(row["words"]))}


def _group(cell: str) -> str:
    return cell.removeprefix("group:") if cell.startswith("group:") else ""


def _tokens(kinds: str) -> tuple[str, ...]:
    return tuple(f"@{kind}" for kind in kinds.split())


@lru_cache(maxsize=16384)
def _kinds(name: str, food_name: str, group: str) -> tuple[str, ...]:
    order, known = thing(words(name)), _by_words()
    said = known.best(order, fits=names_head(order)) or known.best(order)  # "whole milk mozzarella" is cheese
    found = said or known.best(words(" ".join(food_name.split(",")[:2])))
    return found.row if found else _by_group().get(group, ())


def kinds_named(name: str, food: WeighedFood | None) -> tuple[str, ...]:
    """Kinds as tokens, narrow ones first ("@softherb", "@herb"): by the cook's words, the food's, or its group."""
    return _kinds(name, food.name if food else "", food.group if food else "")
