"""Cooks' words and the foods they mean: the names of ``data/foods/TABLE.csv``, each with all its spellings.

A row applies when all its words are in the name and its states hold. A word of a row that is itself a
state ("dried rice noodle") is met by that state wherever the line states it. The most specific row
wins: most words and states (less one for a state of the name that changes figures and that the row
leaves out), then words that tell, words in the row's order; between equals the later one.
"""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Final, NamedTuple

from nutrilab.lexicon import entries
from nutrilab.lexicon.ready import ready
from nutrilab.lexicon.sureness import ORDER, Sureness, doubt
from nutrilab.lines.query import Query, canonical, idle_words, implied_at, kinds, stating_words
from nutrilab.linking.mixes import PREFIX
from nutrilab.text import singular

NONE: Final = "none"
Specificity = tuple[int, int, int, bool, int]
_NO_LETTER = re.compile(r"[^a-z0-9:]+")


@dataclass(frozen=True, slots=True)
class WordRow:
    """One row of a word list.

    words: its words that are no states, or all if it has no others. said: states its words say. when,
    unless: states that must hold or must not, ``said`` among them. food: an id of the table, "mix:NAME"
    or "none". telling: how many of words and states are no filler. met: all words and states the row accounts
    for. place: file and line.
    """

    text: str
    words: tuple[str, ...]
    said: frozenset[str]
    when: frozenset[str]
    unless: frozenset[str]
    food: str
    sure: Sureness
    ground: str
    place: str
    rank: int
    telling: int
    met: frozenset[str]


class Filed(NamedTuple):
    """The rows of a table's word lists, put in order: plain values, like the entries kept ready between starts.

    entries: (words, state, food, sure, ground, place); texts: their words; counts: words that are no states and read as
    written, and in how many rows; filed: word -> rows that are found by it; alone: word -> rows of this word alone.
    """

    entries: tuple[tuple[str, ...], ...]
    texts: list[tuple[str, ...]]
    counts: dict[str, int]
    filed: dict[str, list[int]]
    alone: dict[str, list[int]]


def filed(entries: Iterable[tuple[str, ...]]) -> Filed:
    """Rows, in their order, each filed under its rarest word, but under none that reading may change into another."""
    kept = tuple(entries)
    texts = [tuple(row[0].split()) for row in kept]
    counts = Counter(word for text in texts for word in text)
    last = len(texts)
    states = stating_words()
    order = {w: n if w not in states and w.isalnum() and singular(w) == w else last for w, n in counts.items()}
    found = Filed(kept, texts, {word: n for word, n in order.items() if n < last}, {}, {})
    for rank, text in enumerate(texts):
        word = min(text, key=order.__getitem__, default="")
        key = word if word in found.counts else _parse(kept[rank], rank, plain=False).words[0]
        found.filed.setdefault(key, []).append(rank)
        if len(text) == 1:
            found.alone.setdefault(key, []).append(rank)
    return found


class Asking(NamedTuple):
    """What a row of a word list asks of a name; ``row`` is None where it was not parsed yet, and that is not all."""

    words: frozenset[str]
    said: frozenset[str]
    when: frozenset[str]
    unless: frozenset[str]
    rank: int
    row: WordRow | None


class WordList:
    """The word lists of one table. Rows are parsed when a name first needs them: lists are long, names few."""

    def __init__(self, filed: Filed) -> None:
        self._entries, self._texts, self.counts, self._filed, self._alone = filed
        self._plain = frozenset(self.counts)
        self._parsed: dict[int, WordRow] = {}
        self._asked: dict[str, dict[str, list[Asking]]] = {}
        self._single: dict[str, WordRow | None] = {}
        self._known_texts: frozenset[tuple[str, ...]] = frozenset()
        self._by_food: dict[str, list[int]] = {}
        self._sure_of: dict[str, dict[str, Sureness]] = {}

    def __iter__(self) -> Iterator[WordRow]:
        return map(self._row, range(len(self._entries)))

    def __len__(self) -> int:
        return len(self._entries)

    def _row(self, rank: int) -> WordRow:
        if rank not in self._parsed:
            plain = self._plain.issuperset(self._texts[rank])
            self._parsed[rank] = _parse(self._entries[rank], rank, plain)
        return self._parsed[rank]

    @property
    def vocabulary(self) -> frozenset[str]:
        """The words of the lists that are no states."""
        return self._plain

    def _asking(self, token: str) -> Mapping[str, list[Asking]]:
        """The rows that are found by a word, by the rarest other word they ask for, or by "" where there is none."""
        known = self._asked.get(token)
        if known is None:
            known = {}
            for rank in self._filed.get(token, ()):
                words = self._plain.intersection(self._texts[rank])  # what is no state stands in a row as written
                other = min(words - {token}, key=lambda word: (self.counts[word], word), default="")
                asking = Asking(words, frozenset(), *_conditions(self._entries[rank][1]), rank, None)
                known.setdefault(other, []).append(asking)
            if known:
                self._asked[token] = known
        return known

    def _found_by(self, have: frozenset[str]) -> list[list[Asking]]:
        """The rows that are found by two of some words, or by one alone."""
        others = ("", *have)
        return [by_other[other] for by_other in map(self._asking, have) for other in others if other in by_other]

    def applying(self, query: Query) -> list[WordRow]:
        """All rows that apply to a name, in no order."""
        attributes = query.attributes
        stated = attributes - query.hinted
        have = stated.union(query.tokens)
        found: list[WordRow] = []
        for asking in self._found_by(have):
            for place, (words, said, when, unless, rank, row) in enumerate(asking):
                if words <= have and said <= stated and when <= attributes and unless.isdisjoint(attributes):
                    if row is None:
                        row = self._row(rank)
                        asking[place] = Asking(frozenset(row.words), row.said, when, unless, rank, row)
                        if not (have.issuperset(row.words) and row.said <= stated):
                            continue
                    found.append(row)
        return found

    def best_first(self, query: Query) -> list[tuple[int, WordRow]]:
        """The rows that apply with how specific they are, the most specific first."""
        heeded = _heeded(query.attributes - query.hinted, query.named)
        found = [(specificity(row, query, heeded), row) for row in self.applying(query)]
        found.sort(key=_first, reverse=True)
        return [(key[0], row) for key, row in found]

    def single(self, token: str) -> WordRow | None:
        """The row of one word alone: whether a word left over is itself a food."""
        if token not in self._alone:
            return None
        if token not in self._single:
            some = map(self._row, self._alone[token])
            self._single[token] = next((row for row in some if row.words == (token,) and not row.when), None)
        return self._single[token]

    def said_of(self, food: str, word: str) -> Sureness | None:
        """The best sureness of the rows that hold a word and mean this food; None if no row does both."""
        known = self._sure_of.get(food)
        if known is None:
            known = {}
            for rank in self._meaning().get(food, ()):
                sure = Sureness(self._entries[rank][3])
                for one in self._texts[rank]:
                    known[one] = min(known.get(one, sure), sure, key=doubt)
            if known:
                self._sure_of[food] = known
        return known.get(word)

    def _meaning(self) -> dict[str, list[int]]:
        """The rows by the food they mean."""
        if not self._by_food:
            by_cell: defaultdict[str, list[int]] = defaultdict(list)
            for rank, row in enumerate(self._entries):
                by_cell[row[2]].append(rank)
            for cell, ranks in by_cell.items():
                self._by_food.setdefault(food_id(cell), []).extend(ranks)
        return self._by_food

    def holds(self, words: tuple[str, ...]) -> bool:
        """Whether a row has just these words in this order."""
        if not self._known_texts:
            self._known_texts = frozenset(self._texts)
        return words in self._known_texts

    def parted(self, word: str) -> tuple[str, str] | None:
        """The two words of a row that somebody wrote as one ("butterbean", "chillipowder")."""
        for i in range(2, len(word) - 1):
            one, two = word[:i], word[i:]
            if one in self._plain and (two in self._plain or two in stating_words()):
                for rank in (*self._filed.get(one, ()), *self._filed.get(two, ())):
                    text = self._texts[rank]
                    if one in text[:-1] and text[text.index(one) + 1] == two:
                        return one, two
        return None


def _first(pair: tuple[Specificity, WordRow]) -> Specificity:
    return pair[0]


class Heeded(NamedTuple):
    """States of a name that a row had better speak of: those it may not leave out, and those that change figures."""

    states: frozenset[str]
    changing: frozenset[str]


@lru_cache(maxsize=1024)
def _heeded(stated: frozenset[str], named: frozenset[str]) -> Heeded:
    """stated: states of a name that are no guess; named: those that the name itself says."""
    known = kinds()
    states = [s for s in stated if s in named or known[s].unmet != Sureness.SURE]
    changing = [s for s in states if s in named and known[s].unmet == Sureness.DOUBTFUL]
    return Heeded(frozenset(states), frozenset(changing))


def specificity(row: WordRow, query: Query, heeded: Heeded) -> Specificity:
    """How exactly a row names what was written; the larger wins. The first number weighs most."""
    asked = len(row.unless) + len(row.when - row.said - query.hinted)
    return (
        row.telling + asked - len(heeded.changing - row.met),
        -len(heeded.states - row.met),
        len(row.words) + len(row.unless) + len(row.when),
        in_order(row.words, query.tokens),
        row.rank,
    )


def in_order(part: tuple[str, ...], whole: tuple[str, ...]) -> bool:
    """Whether the words of a row stand in the name in the row's order."""
    at = 0
    for token in part:
        if token not in whole[at:]:
            return False
        at = whole.index(token, at) + 1
    return True


def food_id(cell: str) -> str:
    """The food of a row: an id, "none", or "mix:NAME" with hyphens for spaces."""
    return PREFIX + _NO_LETTER.sub("-", cell[len(PREFIX) :].lower()) if cell.startswith(PREFIX) else cell


@cache
def _conditions(cell: str) -> tuple[frozenset[str], frozenset[str]]:
    """(states that must hold, states that must not) of a row's second cell."""
    states = cell.split()
    return frozenset(s for s in states if s[0] != "!"), frozenset(s[1:] for s in states if s[0] == "!")


def _parse(row: tuple[str, ...], rank: int, plain: bool) -> WordRow:
    """One row of a file; plain: its words say no state and read as written.

    Raises ValueError for an unknown state or sureness, or no words.
    """
    text, stated, food, sure, ground, place = row
    tokens = tuple(dict.fromkeys(text.split() if plain else canonical(" ".join(text.split()))))
    words, said = (tokens, frozenset[str]()) if plain else _parted(tokens)
    when, unless = _conditions(stated)
    when = when | said
    if not tokens:
        raise ValueError(f"{place}: the row has no words")
    if unknown := (when | unless).difference(kinds()):
        raise ValueError(f"{place}, {text}: {min(unknown)} is no state of attribute_kinds.csv")
    if sure not in ORDER:
        raise ValueError(f"{place}, {text}: {sure!r} is no sureness")
    telling = len([token for token in tokens if token not in idle_words()])
    return WordRow(
        text, words, said, when, unless, food_id(food), Sureness(sure), ground, place, rank, telling, when.union(words)
    )


def _parted(tokens: tuple[str, ...]) -> tuple[tuple[str, ...], frozenset[str]]:
    """(words that are no states, or all if there are no others; the states the words say or imply)."""
    known = kinds()
    words = tuple(token for token in tokens if token not in known) or tokens
    verbs = frozenset(implied_at(words, i)[1] for i in range(len(words)))
    return words, frozenset(tokens).difference(words) | (verbs - {""})


@cache
def word_list(table: str) -> WordList | None:
    """The word lists of the table of this name ("usda-sr"); None if it has none."""
    found = entries(table)
    if found is None:
        return None
    return WordList(Filed(found, *ready(f"foods-{table}", lambda: tuple(filed(found))[1:])))
