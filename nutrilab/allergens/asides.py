"""What a line only tells beside its ingredients: what they are for, a heading, an introduction.

"Butter for the pastry" is butter; "beer (for the batter)" is no batter; "plus more for the pasta water" is no pasta.
But "wrappers for spring rolls" are what they are for, and "for serving crusty bread" names bread. The words are those
of ``data/allergens/asides.csv``.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from nutrilab.datafiles import role_words

if TYPE_CHECKING:
    from nutrilab.allergens.rules import Hit

_LONGEST_HEADING = 7  # words
_SHORTEST_TELLING = 6  # words of an introduction
_EARLY = 6  # words in which an introduction has shown what it is
_BARE = 4  # words of a heading without a colon: "For the crispy fried fish"


def _words(role: str) -> frozenset[str]:
    return role_words("allergens/asides.csv", role)


def asides(tokens: Sequence[str], hits: Sequence[Hit]) -> frozenset[int]:
    """Positions of the tokens that name nothing that is in the line; time grows with its length.

    hits: what the rules find in the tokens; one that begins in a purpose goes on in it ("for the bread and butter
    pudding").
    """
    if _is_heading(tokens) or _is_introduction(tokens):
        return frozenset(range(len(tokens)))
    found: set[int] = set()
    named = False  # whether a food was named before
    for i, token in enumerate(tokens):
        begin = _begins(tokens, i)
        if begin and not _is_made(tokens, i):
            end = _end(tokens, begin, named)
            end = max([end, *(hit.end for hit in hits if i < hit.start < end < hit.end)])
            found.update(range(i, end))
        named = named or (token.isalpha() and i not in found)
    return frozenset(found)


def _is_heading(tokens: Sequence[str]) -> bool:
    """A title with its colon, or all of a short line that says what for: "Fish cakes:", "For the crispy fish"."""
    if any(token.isdigit() for token in tokens):
        return False
    words = [token for token in tokens if token.isalpha()]
    if tokens and tokens[-1] == ":":
        return len(words) == len(tokens) - 1 <= _LONGEST_HEADING
    first = tokens[0] if tokens else ""
    whole = first == "for" and len(words) == len(tokens) and tokens[1:2] and tokens[1] in _words("article")
    return bool(whole) and len(words) - 2 <= _BARE and _words("part").isdisjoint(tokens[2:-1])


def _is_introduction(tokens: Sequence[str]) -> bool:
    """A sentence about the dish: "This walnut cake is my mother's recipe."; never one with an amount in it."""
    if not tokens or tokens[0] not in _words("opening") or any(token.isdigit() for token in tokens):
        return False
    words = [token for token in tokens if token.isalpha()]
    if len(words) < _SHORTEST_TELLING or not _words("amount").isdisjoint(words) or "dish of" in " ".join(words):
        return False
    early = words[1:_EARLY]
    if words[0] in ("a", "an"):
        return not _words("dish").isdisjoint(words[1:])
    return not _words("being").isdisjoint(early) or not _words("dish").isdisjoint(early)


def _begins(tokens: Sequence[str], i: int) -> int:
    """Where what a purpose is about begins, if one begins at ``i``: "for ...", "to glaze the ..."; else 0."""
    if tokens[i] == "for":
        return i + 1 if i + 1 < len(tokens) and _words("instead").isdisjoint(_stretch_before(tokens, i)) else 0
    if tokens[i] != "to" or i == 0 or i + 2 >= len(tokens) or not tokens[i + 1].isalpha():
        return 0
    if tokens[i - 1] in _words("ready"):
        return 0
    return i + 2 if tokens[i + 2] in _words("article") or tokens[i + 1] in _words("treat") else 0


def _stretch_before(tokens: Sequence[str], i: int) -> Sequence[str]:
    """The words before ``i`` up to a punctuation mark."""
    start = i
    while start > 0 and tokens[start - 1].isalnum():
        start -= 1
    return tokens[start:i]


def _is_made(tokens: Sequence[str], i: int) -> bool:
    """Whether what stands before the purpose is named by it: "wrappers for spring rolls", but no spice mix."""
    before = _stretch_before(tokens, i)
    return bool(before) and before[-1] in _words("making") and _words("seasons").isdisjoint(before)


def _end(tokens: Sequence[str], begin: int, named: bool) -> int:
    """Where the purpose ends that begins at ``begin``; ``begin`` when nothing of it may be passed over.

    named: whether a food stands before it. Without one the line goes on with its food sooner: "For the sauce 2 tbsp
    soy sauce", "for dusting cocoa".
    """
    i = begin
    article = tokens[i] in _words("article")
    while i < len(tokens) and (tokens[i] in _words("article") or tokens[i].isdigit()):
        i += 1
    if not named and not article:
        return begin
    first = i
    while i < len(tokens) and _goes_on(tokens, i):
        if tokens[i] == "and" and not _joins_purposes(tokens, i):
            break
        if i == first and tokens[i] in _words("serving"):
            if tokens[i + 1 : i + 2] != ["the"]:
                return i + 1
        elif tokens[i] in _words("part") and tokens[i + 1 : i + 2] != ["of"]:
            return i + 1
        if not named and i > first:
            return i
        i += 1
    return i


def _goes_on(tokens: Sequence[str], i: int) -> bool:
    token = tokens[i]
    return token.isalpha() and token not in _words("ends") and not (token == "or" and not _joins_purposes(tokens, i))


def _joins_purposes(tokens: Sequence[str], i: int) -> bool:
    """Whether "and" or "or" goes on with what it is for: "for the fish and the chips", "for dusting and rolling"."""
    after = tokens[i + 1 : i + 2]
    return bool(after) and (after[0] in ("the", "for") or after[0] in _words("treating") | _words("serving"))
