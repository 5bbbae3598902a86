"""Names written otherwise: two words as one, one as two, and slips of the pen."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache

from nutrilab.lexicon.spelling import SHORTEST, Nearest
from nutrilab.lines.query import Query, head_of, is_filler, kinds, scan, stating_words
from nutrilab.linking.wordlists import WordList

LONG = 7  # letters from which two slips are allowed
MOST_UNKNOWN = 4
FAR_COMMONER = 3  # how many times as often a word must stand in the lists to win over one as near
STATE_COUNT = 100  # words that say a state are not counted in the lists; they are common
VOWELS, EITHER = "aeiou", "yw"
LONGEST = 24  # letters of a word looked at


def rejoined(query: Query, lists: WordList) -> Query | None:
    """The name with words joined or parted as the word lists write them; None if nothing changes.

    Words that name no food apart are none together: "tender stems" of a herb are no tenderstem.
    """
    tokens: list[str] = []
    rest = list(query.tokens)
    while rest:
        token = rest.pop(0)
        if rest and token + rest[0] in lists.vocabulary and not (is_filler(token) and is_filler(rest[0])):
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


def _is_slip(word: str, meant: str) -> bool:
    """Whether one word is a likely slip for another: the same first letter, about as long, and vowels only for
    vowels, consonants for consonants (a name of its own, written right, differs in any letter)."""
    from rapidfuzz.distance import Levenshtein

    if word[0] != meant[0] or abs(len(word) - len(meant)) > 1:
        return False
    swaps = [(word[op.src_pos], meant[op.dest_pos]) for op in Levenshtein.editops(word, meant) if op.tag == "replace"]
    return len(swaps) < 2 and all(a in EITHER or b in EITHER or (a in VOWELS) == (b in VOWELS) for a, b in swaps)


class Speller:
    """Nearest known words: those of the word lists and those that say a state."""

    def __init__(self, counts: Mapping[str, int]) -> None:
        """counts: known words and how often they stand in the lists."""
        self._counts = counts
        self._all = stating_words().union(counts)
        self._near = Nearest((word for word in self._all if word.isalpha()), SHORTEST - 1)
        self.nearest = lru_cache(maxsize=4096)(self._nearest)

    def __contains__(self, word: str) -> bool:
        return word in self._all

    def knows(self, query: Query) -> bool:
        """Whether all words of a name that could hold a slip are known, or filler."""
        return all(t in self._all or t in kinds() or len(t) < SHORTEST or is_filler(t) for t in query.tokens)

    def _often(self, word: str) -> int:
        return self._counts.get(word, STATE_COUNT)

    def _nearest(self, word: str) -> str | None:
        """The known word within a slip (two in a long word), by far the commonest of those as near; else None."""
        if len(word) < SHORTEST or len(word) > LONGEST or not word.isalpha():
            return None
        allowed = 1 if len(word) < LONG else 2
        found = self._near.within(word, allowed)
        likely = ([known for known in found[slips] if _is_slip(word, known)] for slips in sorted(found))
        as_near = next(filter(None, likely), [])
        if not as_near:
            return None
        as_near.sort(key=lambda known: -self._often(known))
        if len(as_near) > 1 and self._often(as_near[0]) < FAR_COMMONER * self._often(as_near[1]):
            return None
        return as_near[0]

    def respelled(self, query: Query) -> tuple[Query, tuple[tuple[str, str], ...]] | None:
        """The name with slips mended, and what was read as what; None if nothing was mended. A maker's name stays."""
        known, brands, states = self._all, query.brands, kinds()
        unknown = [
            t for t in query.tokens if t not in known and t not in brands and t not in states and not is_filler(t)
        ]
        if not unknown or len(unknown) > MOST_UNKNOWN:
            return None
        mended = {word: near for word in unknown if (near := self.nearest(word))}
        tokens = tuple(mended.get(t, t) for t in query.tokens)
        changed = _with_tokens(query, tokens)
        return (changed, tuple(mended.items())) if changed else None
