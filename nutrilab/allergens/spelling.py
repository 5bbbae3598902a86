"""Misspelt allergen words: "mozarella", "almods", "peanutbutter"; cautious, once for each unknown word."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from nutrilab.lexicon.spelling import SHORTEST, Nearest

_SHORTEST_PLURAL = 3  # letters; "my" is no plural of "mie"
_LONGEST = 24  # letters; beyond that it is no word
_TWO_SLIPS = 8  # letters from which two slips of the pen are still the same word
_SURE = 6  # letters, of the right word, from which one slip leaves no doubt
_REMEMBERED = 65536
# What the general singular leaves of some plurals -> the singular: smok(ies), mou(sses), blin(is), gatea(us),
# matz(oes).
_PLURALS = (("y", "ie"), ("ss", "sse"), ("is", "i"), ("us", "u"), ("oe", "o"))


@dataclass(frozen=True, slots=True)
class Spelt:
    """How a word is read.

    tokens: the word, or what it was put right to; corrected: it was; maybe: words it may be,
    where that is too unsure to put it right; close: it is one of them beyond reasonable doubt.
    """

    tokens: tuple[str, ...]
    corrected: bool = False
    maybe: tuple[str, ...] = ()
    close: bool = False


class Speller:
    """Reads words against those the rules know."""

    def __init__(
        self,
        known: Collection[str],
        plain: Collection[str],
        targets: Collection[str],
        halves: Collection[str],
        joined: Collection[str],
    ) -> None:
        """known: words of the rules; plain: other words of their own; targets: words that name an allergen alone.

        halves: words that may be one half of two written as one ("peanutbutter"); joined: what else is two of them.
        """
        self._known, self._plain, self._halves = frozenset(known), frozenset(plain), frozenset(halves)
        self._joined = frozenset(joined)
        self._targets = Nearest(targets)
        self._read: dict[str, Spelt] = {}

    def read(self, word: str) -> Spelt:
        """The word as the rules should see it; known words and other short or odd ones stay."""
        spelt = self._read.get(word)
        if spelt is None:
            if len(self._read) >= _REMEMBERED:
                self._read.clear()
            spelt = self._read[word] = self._work_out(word)
        return spelt

    def _work_out(self, word: str) -> Spelt:
        if word in self._known or word in self._plain or not word.isalpha() or len(word) > _LONGEST:
            return Spelt((word,))
        for end, instead in _PLURALS if len(word) > _SHORTEST_PLURAL else ():
            if word.endswith(end) and word[: -len(end)] + instead in self._known:
                return Spelt((word[: -len(end)] + instead,))
        if len(word) < SHORTEST:
            return Spelt((word,))
        for cut in range(3, len(word) - 2):
            known = word in self._joined and word[:cut] in self._known and word[cut:] in self._known
            if known or (word[:cut] in self._halves and word[cut:] in self._halves):
                return Spelt((word[:cut], word[cut:]), corrected=True)
        nearest = self._nearest(word)
        if not nearest:
            return Spelt((word,))
        slips, words = nearest
        close = slips > 1 or max(len(word), *map(len, words)) >= _SURE
        if close and len(words) == 1:
            return Spelt(words, corrected=True)
        return Spelt((word,), maybe=words, close=close)

    def _nearest(self, word: str) -> tuple[int, tuple[str, ...]] | None:
        """Slips [letters in, out, changed, swapped] and the targets that near; the first letter must be right."""
        near = self._targets.within(word, 2 if len(word) >= _TWO_SLIPS else 1)
        return (least, tuple(near[least])) if (least := min(near, default=0)) else None
