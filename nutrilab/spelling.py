"""Names written otherwise: two words as one, one as two, and slips of the pen."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from functools import lru_cache

from nutrilab.query import Query, head_of, is_filler, kinds, scan, stating_words
from nutrilab.wordlists import WordList

SHORTEST = 5  # letters of a word that may hold a slip; shorter ones have too many neighbours
LONG = 7  # letters from which two slips are allowed
MOST_UNKNOWN = 4
LONGEST = 24  # letters of a word looked at


def rejoined(query: Query, lists: WordList) -> Query | None:
    """The name with words joined or parted as the word lists write them; None if nothing changes."""
    tokens: list[str] = []
    rest = list(query.tokens)
    while rest:
        token = rest.pop(0)
        if rest and token + rest[0] in lists.vocabulary:
            tokens.append(token + rest.pop(0))
        elif token not in lists.vocabulary and len(token) <= LONGEST and (pair := lists.parted(token)):
            tokens.extend(pair)
        elif token.endswith("s") and token[:-1] in lists.vocabulary:
            tokens.append(token[:-1])  # a plural of a foreign word
        else:
            tokens.append(token)
    return _with_tokens(query, tuple(tokens))


def _with_tokens(query: Query, tokens: tuple[str, ...]) -> Query | None:
    """The query with other words, read for states again; None if they are the same words."""
    if tokens == query.tokens:
        return None
    kept, said, _ = scan(tokens, "name")
    states = frozenset(said)
    return replace(
        query,
        tokens=kept,
        attributes=query.attributes | states,
        named=query.named | states,
        head=head_of(kept),
    )


class Speller:
    """Nearest known words: those of the word lists and those that say a state."""

    def __init__(self, vocabulary: Iterable[str]) -> None:
        self._all = stating_words().union(vocabulary)
        self._words = [w for w in sorted(self._all) if len(w) >= SHORTEST - 1 and w.isalpha()]
        self.nearest = lru_cache(maxsize=4096)(self._nearest)

    def __contains__(self, word: str) -> bool:
        return word in self._all

    def knows(self, query: Query) -> bool:
        """Whether all words of a name that could hold a slip are known, or filler."""
        return all(t in self._all or t in kinds() or len(t) < SHORTEST or is_filler(t) for t in query.tokens)

    def _nearest(self, word: str) -> str | None:
        """The one known word within a slip (two in a long word); None when there is none or a tie."""
        from rapidfuzz import process
        from rapidfuzz.distance import OSA

        if len(word) < SHORTEST or len(word) > LONGEST or not word.isalpha():
            return None
        allowed = 1 if len(word) < LONG else 2
        found = process.extract(word, self._words, scorer=OSA.distance, score_cutoff=allowed, limit=3)
        same_start = [hit for hit in found if hit[0][0] == word[0] and abs(len(hit[0]) - len(word)) < 2]
        if not same_start or (len(same_start) > 1 and same_start[0][1] == same_start[1][1]):
            return None
        return str(same_start[0][0])

    def respelled(self, query: Query) -> tuple[Query, tuple[tuple[str, str], ...]] | None:
        """The name with slips mended, and what was read as what; None if nothing was mended."""
        unknown = [t for t in query.tokens if t not in self._all and t not in kinds() and not is_filler(t)]
        if not unknown or len(unknown) > MOST_UNKNOWN:
            return None
        mended = {word: near for word in unknown if (near := self.nearest(word))}
        tokens = tuple(mended.get(t, t) for t in query.tokens)
        changed = _with_tokens(query, tokens)
        return (changed, tuple(mended.items())) if changed else None
