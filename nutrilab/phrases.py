"""Finding the row of a data file that speaks of a food: phrases of words, the most telling one first.

A cell of phrases reads ``red onion|shallot -powder|@fish``: | divides phrases, a word with - must not
stand in the line, @ marks a kind of kinds.csv. A phrase fits when all its words are among the tokens.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

from nutrilab.text import words

Row = TypeVar("Row")


@dataclass(frozen=True, slots=True)
class Phrase(Generic[Row]):
    """One phrase of a row: words that must and must not be there, how telling it is, its place in the file."""

    needs: frozenset[str]
    bars: frozenset[str]
    weight: float
    place: int
    row: Row


class Phrases(Generic[Row]):
    """An index of phrases; a word counts 1, a kind a half."""

    def __init__(self, entries: Iterable[tuple[str, Row]]) -> None:
        """Entries of (cell of phrases, row); an empty phrase fits everything."""
        self._by_word: dict[str, list[Phrase[Row]]] = {}
        for place, (cell, row) in enumerate(entries):
            for text in cell.split("|"):
                phrase = _phrase(text, place, row)
                key = min(phrase.needs, key=lambda word: (word[0] == "@", -len(word), word), default="")
                self._by_word.setdefault(key, []).append(phrase)

    def best(
        self, order: Sequence[str], also: Iterable[str] = (), fits: Callable[[Phrase[Row]], bool] | None = None
    ) -> Phrase[Row] | None:
        """The most telling phrase among the words in ``order`` and the unordered tokens ``also``.

        Equal ones: the phrase whose last word stands later, as English puts the thing last; then file order.
        ``fits`` may refuse a phrase.
        """
        tokens = frozenset(order).union(also)
        best: Phrase[Row] | None = None
        top = (-1.0, -1, 0)
        for token in (*tokens, ""):
            for phrase in self._by_word.get(token, ()):
                if phrase.weight < top[0] or not phrase.needs <= tokens or phrase.bars & tokens:
                    continue
                last = max((i for i, word in enumerate(order) if word in phrase.needs), default=-1)
                rank = phrase.weight, last, -phrase.place
                if rank > top and (fits is None or fits(phrase)):
                    best, top = phrase, rank
        return best


def _phrase(text: str, place: int, row: Row) -> Phrase[Row]:
    needs: list[str] = []
    bars: list[str] = []
    for word in text.split():
        if word.startswith("@"):
            needs.append(word)
        elif word.startswith("-") and len(word) > 1:
            bars += words(word)
        else:
            needs += words(word)
    found = frozenset(needs)
    return Phrase(found, frozenset(bars), sum(0.5 if w[0] == "@" else 1.0 for w in found), place, row)
