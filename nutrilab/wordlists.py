"""Cooks' words and the foods they mean: the lists of ``data/links/TABLE/*.csv``.

A row applies when all its words are in the name and its states hold. The most specific row wins:
most words (less one for every state of the name that the row leaves out), most states, words in the
order of the row, then order of the files. A word of a row that is itself a state ("dried rice noodle")
is met by that state wherever the line says it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache

from nutrilab.datafiles import FOLDER, rows
from nutrilab.query import Query, Sureness, canonical, kinds
from nutrilab.text import words

NONE = "none"


@dataclass(frozen=True, slots=True)
class WordRow:
    """One row of a word list. food: an id of the table, "mix:NAME" or "none"; place: file and row, for messages."""

    text: str
    tokens: tuple[str, ...]
    when: frozenset[str]
    unless: frozenset[str]
    food: str
    sure: Sureness
    ground: str
    place: str
    rank: int


class WordList:
    """The word lists of one table."""

    def __init__(self, entries: Iterable[WordRow]) -> None:
        self.rows: tuple[WordRow, ...] = tuple(entries)
        counts = Counter(token for row in self.rows for token in row.tokens)
        self.vocabulary: frozenset[str] = frozenset(counts)
        self._by_rarest: dict[str, list[WordRow]] = {}
        for row in self.rows:
            self._by_rarest.setdefault(min(row.tokens, key=counts.__getitem__), []).append(row)
        self._singles: dict[str, WordRow] = {}
        for row in self.rows:
            if len(row.tokens) == 1 and not row.when:
                self._singles.setdefault(row.tokens[0], row)
        self._joined: dict[str, tuple[str, str]] | None = None

    def applying(self, query: Query) -> Iterator[WordRow]:
        """All rows that apply to a name, in no order."""
        have = query.attributes.union(query.tokens)
        for token in have:
            for row in self._by_rarest.get(token, ()):
                if have.issuperset(row.tokens) and row.when <= query.attributes and not row.unless & query.attributes:
                    yield row

    def best_first(self, query: Query) -> list[WordRow]:
        """The rows that apply, the most specific first."""
        found = list(self.applying(query))
        if len(found) > 1:
            found.sort(key=lambda row: specificity(row, query), reverse=True)
        return found

    def single(self, token: str) -> WordRow | None:
        """The row of one word alone: whether a word left over is itself a food."""
        return self._singles.get(token)

    def joined(self, word: str) -> tuple[str, str] | None:
        """Two words that cooks also write as one ("butterbean")."""
        if self._joined is None:
            pairs = ((row.tokens[i], row.tokens[i + 1]) for row in self.rows for i in range(len(row.tokens) - 1))
            self._joined = {a + b: (a, b) for a, b in pairs if a + b not in self.vocabulary}
        return self._joined.get(word)


def specificity(row: WordRow, query: Query) -> tuple[int, int, int, bool, int]:
    """How exactly a row names what was written; the larger wins."""
    mine = row.when | row.unless
    missed = sum(
        1 for state in query.named - mine if state not in row.tokens and kinds()[state].unmet in ("likely", "doubtful")
    )
    stated = len(row.when) + len(row.unless)
    return len(row.tokens) - missed, len(row.tokens), stated, in_order(row.tokens, query.tokens), -row.rank


def in_order(part: tuple[str, ...], whole: tuple[str, ...]) -> bool:
    """Whether the words of a row stand in the name in the row's order."""
    place = iter(whole)
    return all(token in place for token in part)


def _parse(row: dict[str, str], file: str, rank: int) -> WordRow:
    """One row of a file. Raises ValueError for an unknown state or sureness, or no words."""
    place = f"{file}: {row['words']}"
    tokens = tuple(dict.fromkeys(canonical(row["words"])))
    states = row["when"].split()
    when = frozenset(s for s in states if not s.startswith("!"))
    unless = frozenset(s[1:] for s in states if s.startswith("!"))
    if not tokens:
        raise ValueError(f"{place}: the row has no words")
    if unknown := (when | unless) - set(kinds()):
        raise ValueError(f"{place}: {min(unknown)} is no state of attribute_kinds.csv")
    if row["sure"] not in ("sure", "likely", "doubtful", NONE):
        raise ValueError(f"{place}: {row['sure']!r} is no sureness")
    food = row["food"].strip()
    if food.startswith("mix:"):
        food = "mix:" + "-".join(words(food[4:]))
    return WordRow(row["words"], tokens, when, unless, food, row["sure"], row["ground"], place, rank)  # type: ignore[arg-type]


@cache
def word_list(table: str) -> WordList | None:
    """The word lists of the table of this name ("usda-sr"); None if it has none."""
    folder = FOLDER / "links" / table
    if not folder.is_dir():
        return None
    names = [f"links/{table}/{path.name}" for path in sorted(folder.glob("*.csv"))]
    entries = [(row, name) for name in names for row in rows(name)]
    return WordList(_parse(row, name, rank) for rank, (row, name) in enumerate(entries))
