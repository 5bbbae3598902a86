"""The names of a food table read for its index: the words that count and the states they say, by numbers.

Tables say the same few things of thousands of foods. Names are cut between all words that no phrase of data/words.csv
has side by side, which nothing is lost by, and each piece is read once, however many names hold it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import chain, pairwise
from typing import TYPE_CHECKING, Generic, TypeVar

from nutrilab.lexicon import stating
from nutrilab.lines.query import kinds, scan
from nutrilab.text import fold, singular

if TYPE_CHECKING:
    import numpy as np

_END = "|"  # stands behind each name; no word has it
_SEEN = frozenset(b"abcdefghijklmnopqrstuvwxyz0123456789%\n")
_DIVIDING = bytes(sign if sign in _SEEN else ord(" ") for sign in range(256))
Row = TypeVar("Row", covariant=True)


class Rows(Generic[Row]):
    """Something of each row, put together when it is looked at: few rows ever are."""

    def __init__(self, of: Callable[[int], Row]) -> None:
        self._of = of

    def __getitem__(self, row: int) -> Row:
        return self._of(row)


@dataclass(frozen=True, slots=True, eq=False)
class Numbers:
    """The numbers of all rows one behind the other; ``rows``: the row of each, ``starts``: where each row begins."""

    flat: np.ndarray
    rows: np.ndarray
    starts: np.ndarray

    def of(self, row: int) -> list[int]:
        """The numbers of one row."""
        found: list[int] = self.flat[self.starts[row] : self.starts[row + 1]].tolist()
        return found


@dataclass(frozen=True, slots=True, eq=False)
class TableNames:
    """words: all words and states by number; kept: the words of each name, states in their place; said: its states."""

    words: tuple[str, ...]
    numbers: dict[str, int]
    kept: Numbers
    said: Numbers

    @property
    def tokens(self) -> Rows[tuple[str, ...]]:
        """The words of each name."""
        return Rows(lambda row: tuple([self.words[number] for number in self.kept.of(row)]))

    @property
    def states(self) -> Rows[frozenset[str]]:
        """The states that each name says."""
        return Rows(lambda row: frozenset([self.words[number] for number in self.said.of(row)]))


def read_names(names: Sequence[str]) -> TableNames:
    """The names of a table, read; what follows "without" in a name its food lacks, states apart."""
    import numpy as np

    text = fold(("\n".join(names) + "\n").replace("'", "")).encode("ascii", "replace").translate(_DIVIDING).decode()
    written = text.replace("\n", f" {_END} ").split()
    numbers = {_END: 0}
    number_of = {word: numbers.setdefault(singular(word), len(numbers)) for word in dict.fromkeys(written)}
    flat = np.fromiter(map(number_of.__getitem__, written), np.int64, len(written))
    pieces, known = _cut(flat, numbers)
    words = list(numbers)
    heard = [scan(tuple([words[number] for number in piece]), "table") for piece in known]
    heard[0] = (), (), ()

    def numbered(some: Iterable[str]) -> list[int]:
        return [numbers.setdefault(word, len(numbers)) for word in some]

    ends = pieces == 0
    row_of = np.cumsum(ends) - ends
    kept = _spread([numbered(one) for one, _, _ in heard], pieces, row_of, len(names))
    said = _spread([numbered(one) for _, one, _ in heard], pieces, row_of, len(names))
    return TableNames(tuple(numbers), numbers, _present(kept, numbers), said)


@cache
def _side_by_side() -> frozenset[tuple[str, str]]:
    """Words that follow one another in a phrase."""
    return frozenset(pair for phrase in stating() for pair in pairwise(phrase.words))


def _cut(flat: np.ndarray, numbers: dict[str, int]) -> tuple[np.ndarray, list[tuple[int, ...]]]:
    """Numbers of words cut into pieces: which follows which, and the words of each; the first are of one word."""
    import numpy as np

    size = len(numbers)
    pairs = {numbers[one] * size + numbers[two] for one, two in _side_by_side() if one in numbers and two in numbers}
    first, second = (np.zeros(size, dtype=bool) for _ in range(2))
    first[[pair // size for pair in pairs]] = True
    second[[pair % size for pair in pairs]] = True
    may = np.flatnonzero(first[flat[:-1]] & second[flat[1:]])
    joints = may[[pair in pairs for pair in (flat[may] * size + flat[may + 1]).tolist()]]
    alone = np.ones(len(flat), dtype=bool)
    alone[joints + 1] = False
    begins = np.flatnonzero(alone)
    ends = np.append(begins[1:], len(flat))
    pieces = flat[begins]
    longer: dict[tuple[int, ...], int] = {}
    for place in np.flatnonzero(ends - begins > 1).tolist():
        piece = tuple(flat[begins[place] : ends[place]].tolist())
        pieces[place] = longer.setdefault(piece, size + len(longer))
    return pieces, [*((number,) for number in range(size)), *longer]


def _spread(parts: Sequence[Sequence[int]], pieces: np.ndarray, row_of: np.ndarray, rows: int) -> Numbers:
    """The numbers of each piece put one behind the other, as the pieces follow."""
    import numpy as np

    flat = np.array([*chain.from_iterable(parts)], dtype=np.int64)
    lengths = np.array([*map(len, parts)], dtype=np.int64)
    first = np.cumsum(lengths) - lengths
    counts = lengths[pieces]
    before = np.cumsum(counts) - counts
    at = np.arange(int(counts.sum())) + np.repeat(first[pieces] - before, counts)
    return _numbers(flat[at], np.repeat(row_of, counts), rows)


def _numbers(flat: np.ndarray, rows: np.ndarray, count: int) -> Numbers:
    import numpy as np

    return Numbers(flat, rows, np.append(0, np.cumsum(np.bincount(rows, minlength=count))))


def _present(kept: Numbers, numbers: dict[str, int]) -> Numbers:
    """The words of each name that the food has: what follows "without" it lacks, states apart."""
    import numpy as np

    without = np.cumsum(np.append(0, kept.flat == numbers.get("without", -1)))
    behind = without[1:] > without[kept.starts[kept.rows]]
    states = np.array([word in kinds() for word in numbers])
    held = ~behind | states[kept.flat]
    return _numbers(kept.flat[held], kept.rows[held], len(kept.starts) - 1)
