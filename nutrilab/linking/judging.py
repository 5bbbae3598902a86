"""How well a food meets what was written: every word of the name must be accounted for.

A word is accounted for by the row of the word list, by the chosen food's own name, by being a state
that changes no figure, or by standing in the filler list. What is left over lowers the sureness, and a
leftover word that says what the thing is ("orange liqueur" for orange) refuses the food altogether.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

from nutrilab.datafiles import rows
from nutrilab.lexicon import filler, stating
from nutrilab.lexicon.matching import Matcher, matcher
from nutrilab.lexicon.sureness import Sureness, worse
from nutrilab.lines.query import Query, guards, head_of, implied_at, kinds, unmeaning
from nutrilab.text import words

# States a food is sold in: said beside the name ("okra, dried", "400 g can lentils") they make another food of it too.
AS_SOLD = frozenset(("dried", "tinned", "pickled"))
Resembles = Callable[[str], Sureness]  # what a word left over, itself a food, leaves of the sureness


@dataclass(frozen=True, slots=True)
class Verdict:
    """The best sureness left, the words nobody accounted for, and whether the food is refused."""

    sureness: Sureness
    leftover: tuple[str, ...]
    refused: bool = False


@cache
def _fillers() -> Matcher[str]:
    """Words that change nothing, with the places where they do not."""
    return matcher((phrase, place) for place, some in filler().items() for phrase in some)


@cache
def _passed_over() -> frozenset[str]:
    """Words that what changes nothing, or says a state, begins with."""
    return frozenset(phrase[0] for some in filler().values() for phrase in some) | frozenset(
        phrase.words[0] for phrase in stating()
    )


@cache
def _guards() -> Matcher[None]:
    return matcher((phrase, None) for phrase in guards())


@cache
def _guarding() -> frozenset[str]:
    """Words that a guard begins with."""
    return frozenset(phrase[0] for phrase in guards())


def leftovers(query: Query, met: frozenset[str]) -> tuple[str, ...]:
    """Words of the name that neither ``met`` nor the filler list accounts for, in order."""
    tokens, states, passed_over = query.tokens, kinds(), _passed_over()
    if met.issuperset(tokens):
        return ()
    last = max((i for i, t in enumerate(tokens) if t in met and t not in states), default=len(tokens))
    left: list[str] = []
    i = 0
    while i < len(tokens):
        token, step = tokens[i], 0
        if token in passed_over:
            step = max(_filler_at(tokens, i, last), unmeaning(tokens, i), _implied_and_met(tokens, i, met))
        if not (step or token in met or token in states or _is_number(token, query)):
            left.append(token)
        i += step or 1
    return tuple(left)


def _implied_and_met(tokens: tuple[str, ...], i: int, met: frozenset[str]) -> int:
    """Length of words whose state is met ("grilled", by a cooked food) or may be left out, else 0."""
    length, state = implied_at(tokens, i)
    return length if state in met or _harmless(state) else 0


def _harmless(state: str) -> bool:
    return bool(state) and kinds()[state].unmet == Sureness.SURE


def _unmet_verb(tokens: tuple[str, ...], met: frozenset[str]) -> bool:
    """Whether words imply a state ("powder") that nothing met, so that another food may be meant."""
    if met.issuperset(tokens):
        return False
    found = (implied_at(tokens, i) for i in range(len(tokens)) if tokens[i] not in met)
    return any(state and state not in met for _, state in found)


def _filler_at(tokens: tuple[str, ...], i: int, last: int) -> int:
    """Length of the filler phrase that starts here, 0 if none; front words count before the food's own word only."""
    if tokens[i] in _fillers():
        for end, places, _ in reversed(_fillers().at(tokens, i)):
            if "any" in places or (i < last and ("front" in places or "unit" in places)):
                return end - i
    return 0


def _is_number(token: str, query: Query) -> bool:
    """Amounts and stated percentages in a name account for themselves."""
    return token[0].isdigit() or (bool(query.percents) and token in _OF_PERCENTAGES)


_OF_PERCENTAGES = frozenset("% fat cocoa solid lean cent per content vol volume abv alc alcohol max min under".split())


# Words that say a food is made of plants, and change nothing of one that is ("vegan cocoa powder").
OF_PLANTS = frozenset("vegan plant based plantbased vegetarian veggie".split())


def guarded(query: Query, met: frozenset[str]) -> bool:
    """Whether a word of the name turns it into another food and nothing met that word."""
    tokens = query.tokens
    return not _guarding().isdisjoint(tokens) and any(
        not met.issuperset(tokens[i:end])
        for i, token in enumerate(tokens)
        if token in _guards()
        for end, _, _ in _guards().at(tokens, i)
    )


@cache
def _made() -> frozenset[tuple[str, ...]]:
    """Names of made-up products that may be of anything: mince, sausages, nuggets."""
    return frozenset(words(row["word"]) for row in rows("made_things.csv"))


def _of_anything(tokens: tuple[str, ...]) -> bool:
    return any(tokens[i : i + n] in _made() for i in range(len(tokens)) for n in (1, 2))


def judge(query: Query, met: frozenset[str], resembles: Resembles) -> Verdict:
    """Judge a food whose row and name hold the words ``met`` (states included)."""
    left = leftovers(query, met)
    cuts = [word for word in left if (word,) in filler()["cut"]]
    head = query.head if query.head not in cuts else head_of(tuple(t for t in query.tokens if t not in cuts))
    if guarded(query, met) or head in left or (cuts and head in cuts):
        return Verdict(Sureness.NONE, left, refused=True)
    sureness = Sureness.SURE
    if cuts or _unmet_verb(query.tokens, met):
        sureness = Sureness.DOUBTFUL if cuts else Sureness.LIKELY
    known, unmet = kinds(), query.named - met
    for state in unmet | ((AS_SOLD & query.prepared) - query.hinted - met):
        sureness = worse(sureness, known[state].unmet)
    for state in unmet:
        for other in (known[state].against & met) - query.attributes:  # fresh ceps are no dried ones
            sureness = worse(sureness, known[other].unmet)
    for word in left:
        sureness = worse(sureness, resembles(word))
    if len(left) > 2 or (sureness == Sureness.LIKELY and left and _of_anything(query.tokens)):
        sureness = worse(sureness, Sureness.DOUBTFUL)
    return Verdict(sureness, left)
