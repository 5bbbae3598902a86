"""The words of written methods (data/method/*.csv), found in tokens, the longest phrase first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from nutrilab.datafiles import rows
from nutrilab.method.values import Reduction
from nutrilab.text import words


@dataclass(frozen=True, slots=True)
class Verb:
    """What a verb of the kitchen does, and by which method; noun: it may be a thing ("yes") or a food ("food") too."""

    does: str
    method: str
    noun: str


@cache
def verbs() -> dict[tuple[str, ...], Verb]:
    """Every verb by its singular words."""
    return {words(r["words"]): Verb(r["does"], r["method"], r["noun"]) for r in rows("method/verbs.csv") if r["does"]}


@cache
def places() -> dict[tuple[str, ...], tuple[tuple[str, str], ...]]:
    """What a phrase anywhere in a step sets, and to which value."""
    found: dict[tuple[str, ...], tuple[tuple[str, str], ...]] = {}
    for row in rows("method/places.csv"):
        key = words(row["words"])
        found[key] = (*found.get(key, ()), (row["sets"], row["value"]))
    return found


@cache
def reductions() -> dict[tuple[str, ...], Reduction]:
    """How much of a liquid leaves, by phrase."""
    return {
        words(r["words"]): Reduction(float(r["share"]), float(r["low"]), float(r["high"]), r["words"])
        for r in rows("method/reductions.csv")
    }


@cache
def names(of: str) -> dict[tuple[str, ...], frozenset[str]]:
    """Phrases of one sort with their members, singular."""
    found: dict[tuple[str, ...], frozenset[str]] = {}
    for row in rows("method/names.csv"):
        if row["of"] == of:
            members = row["members"].split() if of == "kinds" else [w for m in row["members"].split() for w in words(m)]
            key = words(row["words"])
            found[key] = found.get(key, frozenset()) | frozenset(members)
    return found


@cache
def role(name: str) -> frozenset[str]:
    """The single words that play one role in a step (data/method/roles.csv). Raises KeyError for no role."""
    found = {row["role"]: frozenset(row["words"].split("|")) for row in rows("method/roles.csv")}
    return found[name]


_PLAIN = {"into": "in", "onto": "on", "inside": "in"}  # "into the wok" is in the wok
_LONGEST_VERB, _LONGEST_PLACE, _LONGEST_REDUCTION = 6, 8, 6  # words of the longest phrase of each table


@cache
def _begins() -> tuple[frozenset[str], frozenset[str], frozenset[str]]:
    """What the phrases of verbs, places and reductions begin with."""
    verb, place, less = (frozenset(phrase[0] for phrase in some) for some in (verbs(), places(), reductions()))
    return verb, place | {word for word, plain in _PLAIN.items() if plain in place}, less


def verb_at(tokens: Sequence[str], at: int) -> tuple[Verb, int] | None:
    """The longest verb that begins at a place, and how many words it has."""
    if at >= len(tokens) or tokens[at] not in _begins()[0]:
        return None
    for length in range(min(_LONGEST_VERB, len(tokens) - at), 0, -1):
        if (verb := verbs().get(tuple(tokens[at : at + length]))) is not None:
            return verb, length
    return None


def settings(tokens: Sequence[str]) -> dict[str, str]:
    """What the phrases of a step set, the first of each sort; a longer phrase hides those of its sort inside it."""
    found: dict[str, str] = {}
    begins = _begins()[1]
    for at in (place for place, token in enumerate(tokens) if token in begins):
        for length in range(min(_LONGEST_PLACE, len(tokens) - at), 0, -1):
            phrase = tuple(tokens[at : at + length])
            plain = (_PLAIN.get(phrase[0], phrase[0]), *phrase[1:])
            for sets, value in places().get(phrase) or places().get(plain, ()):
                found.setdefault(sets, value)
    return found


def reduction(tokens: Sequence[str]) -> Reduction | None:
    """The first words of a step that say how much of a liquid leaves; a stated share before a look ("syrupy")."""
    found = []
    begins = _begins()[2]
    for at in (place for place, token in enumerate(tokens) if token in begins):
        for length in range(min(_LONGEST_REDUCTION, len(tokens) - at), 0, -1):
            if said := reductions().get(tuple(tokens[at : at + length])):
                found.append(said)
                break
    stated = [one for one in found if one.words.startswith(("by ", "to ", "hal", "reduced by"))]
    return next(iter(stated or found), None)
