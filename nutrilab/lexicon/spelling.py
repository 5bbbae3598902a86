"""The one speller: words often written otherwise, and the known words a slip of the pen away from a strange one."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from functools import cache

from nutrilab.datafiles import rows
from nutrilab.lexicon.matching import Matcher, matcher
from nutrilab.text import words

SHORTEST = 5  # letters of a word that may hold a slip; below that every word is near another


@cache
def _misspellings() -> Matcher[tuple[str, ...]]:
    """Words as they are often written otherwise, with the words that are meant (``data/spellings.csv``)."""
    return matcher(
        (words(written), words(row["meant"])) for row in rows("spellings.csv") for written in row["written"].split("|")
    )


def as_meant(tokens: Sequence[str]) -> Iterator[tuple[str, str]]:
    """Each token, common misspellings put right, with what was written where that differs, else ""."""
    known, at = _misspellings(), 0
    while at < len(tokens):
        found = known.at(tokens, at) if tokens[at] in known else ()
        if found:
            end, meant, _ = found[-1]
            written = " ".join(tokens[at:end])
            yield from ((word, written) for word in meant[-1])
            at = end
        else:
            yield tokens[at], ""
            at += 1


class Nearest:
    """Known words by their first letter, which a slip leaves right, and their length."""

    def __init__(self, known: Iterable[str], shortest: int = SHORTEST) -> None:
        self._filed: dict[tuple[str, int], list[str]] = defaultdict(list)
        for word in sorted(known):
            if len(word) >= shortest:
                self._filed[word[0], len(word)].append(word)

    def within(self, word: str, most: int) -> dict[int, list[str]]:
        """Slips [letters in, out, changed, swapped] up to ``most`` -> the known words that near, in order."""
        from rapidfuzz.distance import OSA

        near: dict[int, list[str]] = defaultdict(list)
        for length in range(len(word) - most, len(word) + most + 1):
            for known in self._filed.get((word[0], length), ()):
                slips = OSA.distance(word, known, score_cutoff=most)
                if slips <= most:
                    near[slips].append(known)
        return near
