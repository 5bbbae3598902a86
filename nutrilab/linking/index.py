"""An inverted index over the names of one food table: words in, the likeliest foods out.

Used for names that the cooks' word lists do not settle, and for the runners-up. Built in some tens of
milliseconds when first asked; nothing is kept on disk, so nothing can go stale.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from functools import cache, cached_property
from typing import TYPE_CHECKING, NamedTuple

from nutrilab.datafiles import rows
from nutrilab.foods import FoodTable
from nutrilab.lexicon.sureness import Sureness
from nutrilab.lines.query import kinds
from nutrilab.linking.table_names import Rows, read_names

if TYPE_CHECKING:
    import numpy as np

# Weights of the score, tuned on everyday British lines; they add up to 1 for a perfect generic raw food.
COVER, FIT, LIKENESS, STATE, AGAINST, UNASKED, BRANDED = 0.60, 0.28, 0.10, 0.05, 0.15, 0.03, 0.10
ANOTHER_THING = 0.12  # the table's first word says what the thing is, and nobody asked for it
NOT_SO = 0.08  # a state that changes the figures is asked for and the food has not got it
LOOSE = 0.17  # share of the words' weight a runner-up must meet
LEAST_COVER = 0.34  # share of the name's weight a candidate must meet
MOST_WORDS = 24
PLACES = 32  # words of a table's name that count
SHORTLIST = 16
_BRAND = re.compile(r"[A-Z](?<!\w.)[A-Z'&]{2,}")  # a capital first: searching skips to one, to a \b it would not
_UNUSUAL = frozenset(
    "cooked dried tinned frozen smoked pickled roasted sweetened low-fat fat-free unsalted cured juice zest".split()
)
_WORTHLESS = frozenset("of and in with from the a an or to for on".split())


class Near(NamedTuple):
    """A row of the table, how well it fits [0 to 1], and the share of the name's weight it meets."""

    row: int
    score: float
    cover: float


@cache
def _priors() -> dict[str, float]:
    return {row["group"]: float(row["prior"]) for row in rows("groups.csv")}


@cache
def class_words() -> frozenset[str]:
    """First words of names that only say what kind of thing it is: "cheese", "sauce"."""
    return frozenset(row["word"] for row in rows("class_words.csv"))


class Index:
    """The names of one table by their words."""

    def __init__(self, table: FoodTable) -> None:
        """Read the names; which rows hold a word stands for all words in one array, row * PLACES + the word's place."""
        import numpy as np

        self.table = table
        self._names = names = read_names(table.names)
        self.tokens: Rows[tuple[str, ...]] = names.tokens
        self.states: Rows[frozenset[str]] = names.states
        self._weights: dict[str, float] = {}
        self._by_state: dict[str, np.ndarray] = {}
        self._met: dict[int, frozenset[str]] = {}
        self._ready: dict[str, tuple[np.ndarray, np.ndarray, np.ndarray]] = {}
        self._texts: dict[int, str] = {}
        kept, count = names.kept, max(1, len(table))
        at = np.arange(len(kept.flat)) - kept.starts[kept.rows]
        counted = at < PLACES
        keys = np.sort(((kept.flat * count + kept.rows) * PLACES + at)[counted])
        keys = keys[np.diff(keys // PLACES, prepend=-1) > 0]  # a word that stands in a name twice counts once
        rows_of = keys // PLACES % count
        first = np.zeros(len(kept.flat) + 1, dtype=np.int64)
        first[kept.starts[rows_of] + keys % PLACES] = 1
        before = np.cumsum(first)
        place = before[kept.starts[rows_of] + keys % PLACES] - before[kept.starts[rows_of]]
        self._held = rows_of * PLACES + place
        self._bounds = np.searchsorted(keys // (count * PLACES), np.arange(len(names.words) + 1)).tolist()
        self._sizes = np.bincount(rows_of, minlength=len(table))

    def _holding(self, token: str) -> np.ndarray:
        """The rows whose names hold a word, and where."""
        number = self._names.numbers.get(token)
        start, end = (0, 0) if number is None else self._bounds[number : number + 2]
        found: np.ndarray = self._held[start:end]
        return found

    def met(self, row: int) -> frozenset[str]:
        """The words and the states of a row's name."""
        known = self._met.get(row)
        if known is None:
            known = self._met[row] = self.states[row].union(self.tokens[row])
        return known

    def weight(self, token: str) -> float:
        """How much a word tells: rare words more, words of no meaning and unknown ones as the rarest."""
        known = self._weights.get(token)
        if known is None:
            found = len(self._holding(token))
            known = 0.01 if token in _WORTHLESS else 1 + math.log(len(self.table) / max(found, 2))
            if found:
                self._weights[token] = known
        return known

    def __contains__(self, token: str) -> bool:
        """Whether a word stands in a name of the table."""
        return len(self._holding(token)) > 0

    @cached_property
    def _fixed(self) -> tuple[np.ndarray, np.ndarray]:
        """Per food: the whole weight of its name, and what speaks for or against it in any search."""
        import numpy as np

        sums = np.append(0.0, np.cumsum(_shares())).astype(np.float32)
        whole = sums[np.maximum(1, self._sizes)]
        known = _priors()
        prior = np.array([known.get(group, 0.0) for group in self.table.groups], dtype=np.float32)
        prior -= np.where(self._branded, BRANDED, 0.0).astype(np.float32)
        prior -= (UNASKED * self._unusual()).astype(np.float32)
        return whole, prior

    def _unusual(self) -> np.ndarray:
        """Per food: how many states that a plain food has not got its name says."""
        import numpy as np

        said, words = self._names.said, self._names.words
        unusual = np.array([word in _UNUSUAL for word in words])[said.flat]
        pairs = np.sort(said.rows[unusual] * len(words) + said.flat[unusual])
        return np.bincount(pairs[np.diff(pairs, prepend=-1) > 0] // len(words), minlength=len(self.table))

    @cached_property
    def _branded(self) -> np.ndarray:
        """Per food: whether its name holds a brand."""
        import numpy as np

        names = self.table.names
        ends = np.cumsum([len(name) + 1 for name in names])
        found = np.zeros(len(names), dtype=bool)
        places = [brand.start() for brand in _BRAND.finditer("\n".join(names))]
        found[np.searchsorted(ends, places, side="right")] = True
        return found

    def _posting(self, token: str) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """The rows whose names hold a word; for each, the word's weight and its share of that name."""
        import numpy as np

        if token not in self._ready:
            held = self._holding(token)
            self._ready[token] = held // PLACES, np.full(len(held), self.weight(token)), _shares()[held % PLACES]
        return self._ready[token]

    def search(
        self, tokens: Iterable[str], states: frozenset[str], limit: int = 10, least: float = LEAST_COVER
    ) -> list[Near]:
        """The foods whose names meet these words best, the best first; least: share of the words' weight to meet."""
        import numpy as np

        wanted = [t for t in dict.fromkeys(tokens) if t not in kinds()][:MOST_WORDS] or list(states)
        if not wanted:
            return []
        known = [self._posting(token) for token in wanted if token in self]
        if not known:
            return []
        total = sum(map(self.weight, wanted))
        places, weights, shares = known[0] if len(known) == 1 else map(np.concatenate, zip(*known, strict=True))
        met = np.bincount(places, weights)
        found = np.flatnonzero(met >= max(least * total, least / LEAST_COVER * 0.6 * float(met.max())) - 1e-6)
        if not len(found):
            return []
        met, fit = met[found], np.bincount(places, shares)[found]
        whole, prior = self._fixed
        cover = met / total
        score = COVER * cover + FIT * fit / whole[found] + prior[found]
        for state in states:
            score += self._state_score(state)[found]
        strange, heads = self._strange_heads[found], self._heads[found]
        for number in filter(None, map(self._names.numbers.get, wanted)):
            strange[heads == number] = 0
        score -= strange
        order = np.argsort(-score, kind="stable")[:SHORTLIST]
        text = " ".join(sorted((*wanted, *states)))
        scored = self._scored(text, found[order].tolist(), score[order].tolist(), cover[order].tolist())
        return [Near(row, max(0.0, min(1.0, points)), met_share) for points, row, met_share in scored[:limit]]

    def _state_score(self, state: str) -> np.ndarray:
        """What a state of the name adds to every food: met, missed, or ruled out."""
        import numpy as np

        if state not in self._by_state:
            known = kinds()[state]
            score = np.full(len(self.table), -NOT_SO if known.unmet == Sureness.DOUBTFUL else 0.0, dtype=np.float32)
            score[self._posting(state)[0]] = STATE + (UNASKED if state in _UNUSUAL else 0.0)
            for rival in known.against:
                score[self._posting(rival)[0]] -= AGAINST
            self._by_state[state] = score
        return self._by_state[state]

    @cached_property
    def _strange_heads(self) -> np.ndarray:
        """Per food: what its first word costs when nobody asked for it; nothing for words of a class."""
        import numpy as np

        free = np.array([word in class_words() for word in self._names.words] + [False])
        return np.where(free[self._heads], 0.0, ANOTHER_THING).astype(np.float32)

    @cached_property
    def _heads(self) -> np.ndarray:
        """Per food: the number of its name's first word, one past all numbers where it has none."""
        import numpy as np

        kept, none = self._names.kept, len(self._names.words)
        starts = kept.starts
        return np.where(starts[:-1] < starts[1:], np.append(kept.flat, none)[starts[:-1]], none)

    def unbranded_words(self) -> set[str]:
        """The words of all names without a brand."""
        import numpy as np

        kept, words = self._names.kept, self._names.words
        held = np.zeros(len(words), dtype=bool)
        held[kept.flat[~self._branded[kept.rows]]] = True
        return {words[number] for number in np.flatnonzero(held).tolist()}

    def _scored(
        self, text: str, rows_of: list[int], base: list[float], cover: list[float]
    ) -> list[tuple[float, int, float]]:
        """(score, row, cover) of a shortlist, the best first: likeness of all words, sorted, breaks ties."""
        from rapidfuzz.fuzz import ratio

        scored = [
            (points + LIKENESS / 100 * ratio(text, self._text(row)), row, share)
            for row, points, share in zip(rows_of, base, cover, strict=True)
        ]
        scored.sort(key=lambda one: -one[0])
        return scored

    def _text(self, row: int) -> str:
        """All words of a name, sorted."""
        if row not in self._texts:
            self._texts[row] = " ".join(sorted(self.tokens[row]))
        return self._texts[row]


@cache
def _shares() -> np.ndarray:
    """What the word at each place of a table's name weighs: tables put the thing first, details last."""
    import numpy as np

    shares: np.ndarray = np.maximum(0.25, 1 - 0.12 * np.arange(PLACES)).astype(np.float32)
    return shares


_INDEXES: dict[int, tuple[FoodTable, Index]] = {}


def index_of(table: FoodTable) -> Index:
    """The index of a table, built once in a process."""
    known = _INDEXES.get(id(table))
    if known is None or known[0] is not table:
        known = _INDEXES[id(table)] = table, Index(table)
    return known[1]
