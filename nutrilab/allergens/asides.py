"""What a line only tells beside its ingredients: what they are for, a heading, an introduction.

"Butter for the pastry" is butter; "beer (for the batter)" is no batter; "plus more for the pasta water" is no pasta.
But "wrappers for spring rolls" are what they are for, and "for serving crusty bread" names bread. The words are those
of ``data/allergens/asides.csv``.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from nutrilab.allergens.values import Hit
from nutrilab.datafiles import role_words

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
    if "for" not in tokens and "to" not in tokens:
        return frozenset()
    crossing = _crossing(hits)
    found: set[int] = set()
    named = False  # whether a food was named before
    stretch = _Stretch()
    for i, token in enumerate(tokens):
        begin = 0 if i in found else _begins(tokens, i, stretch)
        if begin and not stretch.is_made_for(tokens[i - 1] if i else ""):
            end = _end(tokens, begin, named)
            end = max([end, *(stop for start, stop in crossing.get(end, ()) if i < start)])
            found.update(range(i, end))
        named = named or (token.isalpha() and i not in found)
        stretch.add(token)
    return frozenset(found)


def _crossing(hits: Sequence[Hit]) -> dict[int, list[tuple[int, int]]]:
    """Places inside hits -> where those hits begin and end."""
    found: dict[int, list[tuple[int, int]]] = defaultdict(list)
    for hit in hits:
        for place in range(hit.start + 1, hit.end):
            found[place].append((hit.start, hit.end))
    return found


class _Stretch:
    """What was said since the last punctuation mark."""

    def __init__(self) -> None:
        self.instead = self._seasons = False

    def add(self, token: str) -> None:
        """Take the next token in."""
        if not token.isalnum():
            self.instead = self._seasons = False
        self.instead = self.instead or token in _words("instead")
        self._seasons = self._seasons or token in _words("seasons")

    def is_made_for(self, last: str) -> bool:
        """Whether what stands before a purpose is named by it: "wrappers for spring rolls", but no spice mix."""
        return last in _words("making") and not self._seasons


def _is_heading(tokens: Sequence[str]) -> bool:
    """A title with its sign, or all of a short line that says what for: "Fish cakes:", "For the crispy fish"."""
    if any(token.isdigit() for token in tokens):
        return False
    words = [token for token in tokens if token.isalpha()]
    if tokens and tokens[0] == "#":
        return len(words) <= _LONGEST_HEADING
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


def _begins(tokens: Sequence[str], i: int, stretch: _Stretch) -> int:
    """Where what a purpose is about begins, if one begins at ``i``: "for ...", "to glaze the ..."; else 0."""
    if tokens[i] == "for":
        return i + 1 if i + 1 < len(tokens) and not stretch.instead else 0
    if tokens[i] != "to" or i == 0 or not "".join(tokens[i + 1 : i + 2]).isalpha() or tokens[i - 1] in _words("ready"):
        return 0
    object_ = i + 3 if "".join(tokens[i + 2 : i + 3]) in _words("place") else i + 2  # "to serve with the fish"
    if object_ >= len(tokens):
        return 0
    treats = object_ == i + 2 and tokens[i + 1] in _words("treat")
    return object_ if treats or tokens[object_] in _words("article") else 0


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
            placed = i + 1 < len(tokens) and tokens[i + 1] in _words("place")
            if tokens[i + 1 + placed : i + 2 + placed] != ["the"]:
                return i + 1
            i += placed
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
