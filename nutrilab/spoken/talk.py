"""Words of talk (data/spoken/*.csv): whose way it is, what is not put in, what corrects what was said."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from functools import cache

from nutrilab.datafiles import rows
from nutrilab.lexicon import line_words
from nutrilab.lexicon.matching import Matcher, matcher
from nutrilab.lexicon.names import known_as
from nutrilab.spoken.numbers import SIGNS, Token
from nutrilab.text import words

NO_AMOUNT = ("time", "people", "heat", "length")
_SUBJECTS = frozenset(
    "i i've i'm i'd i'll you you've you'll you'd we we've we'll we're she he they it it's my that's".split()
)
REACH = 10  # words behind "don't" and the like that it still speaks of, where nobody writes commas
_JOINTS = frozenset(("but", "because", "so", "unless", "if", "while", "cause"))
_OTHER_SENSE = frozenset(("no",))  # "no dry oats" is not put in; "no, make that two" corrects


@cache
def phrases(sort: str) -> tuple[tuple[str, ...], ...]:
    """The phrases of one sort, the longest first."""
    found = (tuple(row["words"].split()) for row in rows("spoken/talk.csv") if row["sort"] == sort)
    return tuple(sorted(found, key=len, reverse=True))


@cache
def meaning(of: str) -> frozenset[str]:
    """The words of one meaning."""
    return frozenset(row["word"] for row in rows("spoken/spoken_words.csv") if row["means"] == of)


@cache
def heard() -> dict[str, str]:
    """What captions made by a machine write -> the food that was said: "muscles" are mussels."""
    lead = "heard for "
    found = ((row["word"], row["means"]) for row in rows("spoken/spoken_words.csv"))
    return {word: means.removeprefix(lead) for word, means in found if means.startswith(lead)}


@cache
def no_amount() -> frozenset[str]:
    """Words behind a number that make it no amount of food."""
    return frozenset().union(*map(meaning, NO_AMOUNT))


@cache
def food_names() -> Matcher[str]:
    """Every word for a food, by its singular words; what is no food in speech is left out."""
    none = {words(word) for word in meaning("no food") | meaning("with an amount")}
    return matcher((key, name) for name in known_as() if (key := words(name)) and key not in none)


@cache
def describing() -> frozenset[str]:
    """Words that may stand before a food and belong to its name, as they are spoken."""
    parts = ("size", "kept", "prepared", "adjective")
    return frozenset(word for part in parts for word in line_words(part) if " " not in word)


def at(tokens: Sequence[Token], start: int, sort: str) -> int:
    """How many words a phrase of this sort takes here; 0 for none."""
    for phrase in phrases(sort):
        if tuple(t.word for t in tokens[start : start + len(phrase)]) == phrase:
            return len(phrase)
    return 0


def says(tokens: Sequence[Token], *sorts: str) -> bool:
    """Whether a phrase of one of these sorts stands anywhere."""
    return any(at(tokens, n, sort) for n in range(len(tokens)) for sort in sorts)


def clauses(tokens: Sequence[Token]) -> list[tuple[int, int]]:
    """Where the clauses of a sentence begin and end."""
    cuts = [0]
    for n, token in enumerate(tokens):
        follows = tokens[n + 1].word if n + 1 < len(tokens) else ""
        if token.word in SIGNS:
            cuts.append(n + 1)
        elif n and (token.word in _JOINTS or (token.word in ("and", "or") and follows in _SUBJECTS)):
            cuts.append(n)
    cuts.append(len(tokens))
    return [(a, b) for a, b in itertools.pairwise(cuts) if a < b]


def why_not(tokens: Sequence[Token], start: int, end: int, place: int) -> str:
    """Why what stands at a place of a clause is not put in; "" where nothing speaks against it.

    Whose way it is and what is not done stands before it; a choice, money or another dish anywhere in the clause.
    """
    clause = tokens[start:end]
    for sort in ("price", "elsewhere"):
        if says(clause, sort):
            return sort
    # "a pinch of chilli if you like", and "If you like, a pinch of chilli"
    ahead = (
        start
        and tokens[start - 1].word == ","
        and any(at(tokens, start - 1 - n, "optional") == n for n in range(1, min(6, start)))
    )
    if says(clause, "optional") or at(tokens, end, "optional") or ahead:
        return "choice"
    before = tokens[start:place]
    for sort in ("choice", "other", "past"):
        if says(before, sort):
            return sort
    for n in range(len(before)):
        if before[n].word in _OTHER_SENSE:
            if n == len(before) - 1 or (n == len(before) - 2 and before[n + 1].word in describing()):
                return "not"
        elif len(before) - n <= REACH and at(before, n, "not"):
            return "not"
    return ""
