"""Words that mean the same food: by the lists of names, and by the rows of the first food table."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

from nutrilab.lexicon.names import FIRST_TABLE, entries, known_as

NO_FOOD = "none"


@cache
def _rows() -> dict[str, frozenset[str]]:
    """Every name -> all names of the rows it stands in, whatever their state; rows that name no food mean nothing."""
    by_place: dict[str, set[str]] = {}
    for words, _, food, _, _, place in entries(FIRST_TABLE) or ():
        if food != NO_FOOD:
            by_place.setdefault(place, set()).add(words)
    found: dict[str, set[str]] = {}
    for row in by_place.values():
        for word in row:
            found.setdefault(word, set()).update(row)
    return {word: frozenset(others) for word, others in found.items()}


def name_of(tokens: tuple[str, ...]) -> str:
    """The name that singular words are by the lists of names; the words themselves where no list has them."""
    text = " ".join(tokens)
    return known_as().get(text, (text, ""))[0]


def also_called(tokens: tuple[str, ...]) -> Iterator[tuple[str, ...]]:
    """Singular words again with a name in them said otherwise: "small zucchini" is "small courgette" too."""
    rows = _rows()
    for length in range(len(tokens), 0, -1):
        for start in range(len(tokens) - length + 1):
            name = " ".join(tokens[start : start + length])
            for other in sorted(rows.get(name, ())):
                if other != name:
                    yield (*tokens[:start], *other.split(), *tokens[start + length :])
