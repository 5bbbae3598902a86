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
from nutrilab.lines.query import kinds, scan
from nutrilab.text import fold, singular

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
_BRAND = re.compile(r"\b[A-Z][A-Z'&]{2,}")
_WORD = re.compile(r"[a-z0-9%]+")
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
        self.table = table
        self.tokens: list[tuple[str, ...]] = []
        self.states: list[frozenset[str]] = []
        self._places: dict[str, list[int]] = {}  # word -> row * PLACES + place of the word in that row's name
        self._weights: dict[str, float] = {}
        self._by_state: dict[str, np.ndarray] = {}
        self._met: dict[int, frozenset[str]] = {}
        self._ready: dict[str, tuple[np.ndarray, np.ndarray, np.ndarray]] = {}
        places, base = self._places, 0
        for line in fold("\n".join(table.names).replace("'", "")).split("\n"):
            kept, said, _ = scan(tuple(map(singular, _WORD.findall(line))), "table")
            if "without" in kept:
                kept = _present(kept)
            self.tokens.append(kept)
            self.states.append(frozenset(said))
            for place, token in enumerate(dict.fromkeys(kept[:PLACES])):
                if token in places:
                    places[token].append(base + place)
                else:
                    places[token] = [base + place]
            base += PLACES

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
            found = len(self._places.get(token, ()))
            known = 0.01 if token in _WORTHLESS else 1 + math.log(len(self.table) / max(found, 2))
            if found:
                self._weights[token] = known
        return known

    def __contains__(self, token: str) -> bool:
        """Whether a word stands in a name of the table."""
        return token in self._places

    @cached_property
    def _fixed(self) -> tuple[np.ndarray, np.ndarray]:
        """Per food: the whole weight of its name, and what speaks for or against it in any search."""
        import numpy as np

        shares = _shares()
        sums = np.append(0.0, np.cumsum(shares)).astype(np.float32)
        whole = sums[[max(1, len(set(tokens[:PLACES]))) for tokens in self.tokens]]
        known = _priors()
        prior = np.array([known.get(group, 0.0) for group in self.table.groups], dtype=np.float32)
        prior -= np.array([BRANDED if _BRAND.search(name) else 0.0 for name in self.table.names], dtype=np.float32)
        prior -= np.array([UNASKED * len(s & _UNUSUAL) if s else 0.0 for s in self.states], dtype=np.float32)
        return whole, prior

    def _posting(self, token: str) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """The rows whose names hold a word; for each, the word's weight and its share of that name."""
        import numpy as np

        if token not in self._ready:
            held = np.array(self._places.get(token, ()), dtype=np.int64)
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
        (found,) = np.nonzero(met >= max(least * total, least / LEAST_COVER * 0.6 * float(met.max())) - 1e-6)
        if not len(found):
            return []
        met, fit = met[found], np.bincount(places, shares)[found]
        whole, prior = self._fixed
        cover = met / total
        score = COVER * cover + FIT * fit / whole[found] + prior[found]
        for state in states:
            score += self._state_score(state)[found]
        strange, heads = self._strange_heads[found], self._heads[found]
        for token in filter(self._head_codes.__contains__, wanted):
            strange[heads == self._head_codes[token]] = 0
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

        return np.array(
            [0.0 if t[:1] and t[0] in class_words() else ANOTHER_THING for t in self.tokens], dtype=np.float32
        )

    @cached_property
    def _head_codes(self) -> dict[str, int]:
        """A number for each first word of a name."""
        return {word: i for i, word in enumerate(dict.fromkeys(t[0] if t else "" for t in self.tokens))}

    @cached_property
    def _heads(self) -> np.ndarray:
        """Per food: the number of its name's first word."""
        import numpy as np

        return np.array([self._head_codes[t[0] if t else ""] for t in self.tokens], dtype=np.int64)

    def unbranded_words(self) -> set[str]:
        """The words of all names without a brand."""
        return {
            t
            for tokens, name in zip(self.tokens, self.table.names, strict=True)
            if not _BRAND.search(name)
            for t in tokens
        }

    def _scored(
        self, text: str, rows_of: list[int], base: list[float], cover: list[float]
    ) -> list[tuple[float, int, float]]:
        """(score, row, cover) of a shortlist, the best first: likeness of all words, sorted, breaks ties."""
        from rapidfuzz.fuzz import ratio

        texts = self._texts
        scored = [
            (points + LIKENESS / 100 * ratio(text, texts[row]), row, share)
            for row, points, share in zip(rows_of, base, cover, strict=True)
        ]
        scored.sort(key=lambda one: -one[0])
        return scored

    @cached_property
    def _texts(self) -> list[str]:
        return [" ".join(sorted(tokens)) for tokens in self.tokens]


def _present(tokens: tuple[str, ...]) -> tuple[str, ...]:
    """The words of a name that the food has: what follows "without" it lacks, states apart."""
    place = tokens.index("without")
    return (*tokens[:place], *(token for token in tokens[place:] if token in kinds()))


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
