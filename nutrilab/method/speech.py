"""Sentences as cooks say them turned to the words of a written step: "so that's gonna roast" is "roast that".

Only the order and the form of words change; each keeps its place in the text. What is no verb of the kitchen stays as
it was said, and is listed as not understood.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache

from nutrilab.datafiles import rows
from nutrilab.method.words import Verb, role, settings, verb_at
from nutrilab.text import words

MARKS = frozenset(",;:()–—")
LONGEST = 8  # words of the longest lead
THING = 5  # words of what stands between "let" and its verb, or before "is going in"
WHAT = 10  # words of "what I'm going to do next is"
_SEEN = role("seen")
_PUT = ("in", "into", "on", "onto", "under", "over", "back", "to", "through", "down", "underneath")
_LASTING = ("cook", "brown", "boil up", "reduce", "soak", "marinate")  # what food does by itself once it is left to
_HAS = ("got", "have", "has", "s", "is", "are", "re")
_PAST = {
    "left": "leave", "made": "make", "given": "give", "taken": "take", "thrown": "throw", "beaten": "beat",
    "put": "put",
    "cut": "cut", "set": "set", "let": "let", "done": "do", "kept": "keep", "brought": "bring",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Token:
    """A word, singular, or a punctuation mark, and where it stands; starts: a verb that begins something."""

    word: str
    start: int
    end: int
    starts: bool = False


@cache
def _phrases(of: str) -> frozenset[tuple[str, ...]]:
    return frozenset(words(row["words"]) for row in rows("method/spoken.csv") if row["is"] == of)


@cache
def _begins(*of: str) -> frozenset[str]:
    """What the phrases of some sorts begin with."""
    return frozenset(phrase[0] for sort in of for phrase in _phrases(sort) if phrase)


def _length(said: Sequence[str], at: int, *of: str) -> int:
    """How many words a phrase of one of these sorts has here, the longest; 0 for none."""
    if at >= len(said) or said[at] not in _begins(*of):
        return 0
    for length in range(min(LONGEST, len(said) - at), 0, -1):
        if any(tuple(said[at : at + length]) in _phrases(sort) for sort in of):
            return length
    return 0


def as_written(tokens: Sequence[Token]) -> list[Token]:
    """A sentence with what was said before its verbs left out, and each verb before what it is done to."""
    found: list[Token] = []
    for chunk in _chunks(_without_fillers(tokens)):
        turned = _turned(chunk)
        if turned is not None and found and found[-1].word in ("and", "then", "so", "but"):
            found[-1] = replace(found[-1], word=",")
        found += turned if turned is not None else chunk
    return found


def _without_fillers(tokens: Sequence[Token]) -> list[Token]:
    said = [token.word for token in tokens]
    found, at = [], 0
    while at < len(said):
        length = _length(said, at, "filler")
        if not length:
            found.append(tokens[at])
        at += length or 1
    return found


def _chunks(tokens: Sequence[Token]) -> Iterator[list[Token]]:
    """A sentence parted at its marks, and where someone is named anew: "... and then I'll drain them"."""
    now: list[Token] = []
    said = [token.word for token in tokens]
    for at, token in enumerate(tokens):
        if token.word in MARKS or (token.word in ("and", "then", "so", "but", "because") and _anew(said, at + 1)):
            yield from ([now] if now else [])
            yield [token]
            now = []
        else:
            now.append(token)
    if now:
        yield now


def _anew(said: Sequence[str], at: int) -> bool:
    """Whether a person or thing with its helper stands here, or "in goes", "let that"."""
    at += _length(said, at, "lead")
    one = _length(said, at, "person", "thing")
    if one and _length(said, at + one, "helper", "goes"):
        return True
    then = said[at + 1 : at + 2]
    return bool(then) and ((said[at] in _PUT and then[0] in _words("goes")) or said[at] in ("let", "leave", "allow"))


def _words(of: str) -> frozenset[str]:
    return frozenset(phrase[0] for phrase in _phrases(of))


def _turned(chunk: Sequence[Token]) -> list[Token] | None:
    """A chunk that was said, as it would be written; None where there is nothing to turn."""
    said = [token.word for token in chunk]
    at = 0
    while length := _length(said, at, "lead"):
        at += length
    if said[at : at + 1] == ["what"] and "is" in said[at : at + WHAT]:
        at = said.index("is", at) + 1  # "what I'm gonna do now is"
    if at >= len(said):
        return None
    for way in (_let, _to_the_boil, _helped, _goes, _given, _led):
        if (found := way(chunk[at:], said[at:], at > 0)) is not None:
            return found
    return None


def _verb(said: Sequence[str], at: int, past: bool = False) -> tuple[list[str], Verb] | None:
    """The verb that stands here, in its plain form, with how many words it has: "frying", "soaked", "stir frying"."""
    here = verb_at(said, at)
    for which in (1, 0):
        if here and (which == 0 or here[1] > 1):
            return list(said[at : at + here[1]]), here[0]
        if at + which >= len(said):
            continue
        for plain in _plain(said[at + which], past):
            tried = [*said[at : at + which], plain, *said[at + which + 1 : at + which + 5]]
            if (found := verb_at(tried, 0)) and found[1] > which:
                return tried[: found[1]], found[0]
    return (list(said[at : at + here[1]]), here[0]) if here else None


def _plain(word: str, past: bool) -> Iterator[str]:
    """What a word may be a form of: "frying" of fry, "chopping" of chop, "baking" of bake, "soaked" of soak."""
    if word.endswith("ing") and len(word) > 5:
        stem = word[:-3]
    elif past and word in _PAST:
        yield _PAST[word]
        return
    elif past and word.endswith("ed") and len(word) > 4:
        stem = word[:-2]
    else:
        return
    yield stem
    yield stem + "e"
    if stem[-1] == stem[-2]:
        yield stem[:-1]


def _built(chunk: Sequence[Token], at: int, verb: Sequence[str], before: Sequence[Token]) -> list[Token]:
    """The verb at a place first, then what stood before it, then the rest."""
    first = [replace(chunk[at + n], word=word, starts=n == 0) for n, word in enumerate(verb)]
    first[0] = replace(first[0], start=min(first[0].start, chunk[0].start))
    return [*first, *before, *chunk[at + len(verb) :]]


def _let(chunk: Sequence[Token], said: Sequence[str], led: bool) -> list[Token] | None:
    """ "let that simmer", "leave the beans to soak", "I've got my potatoes boiling", "put the rice on to boil"."""
    at = 0
    while length := _length(said, at, "person", "helper"):
        if said[at] in _words("makes") and _let_at(said, at) is not None:
            break
        at += length
    if at >= len(said) or said[at] not in _words("makes") | _words("makes to"):
        return None
    found = _let_at(said, at)
    if found is None:
        return None
    place, verb = found
    thing = [t for t in chunk[at + 1 : place] if t.word not in ("to", "on")]
    return _built(chunk, place, verb, thing)


def _to_the_boil(chunk: Sequence[Token], said: Sequence[str], led: bool) -> list[Token] | None:
    """ "let's get that up to the boil", "I'll take it up to a simmer"."""
    if not any(said[n : n + 2] in (["to", "the"], ["to", "a"]) and "boil" in said[n:] for n in range(len(said))):
        return None
    at = 0
    while length := _length(said, at, "person", "helper"):
        if said[at] in ("get", "take"):
            break
        at += length
    if at >= len(said) or said[at] not in ("get", "take"):
        return None
    return [replace(chunk[at], word="bring", starts=True), *chunk[at + 1 :]]


def _let_at(said: Sequence[str], at: int) -> tuple[int, list[str]] | None:
    """Where the verb of "let that simmer" stands and what it is."""
    for place in range(at + 1, min(at + 2 + THING, len(said))):
        found = _verb(said, place)
        if found is None or found[1].does not in _LASTING:
            continue
        to = said[place - 1] == "to"
        if said[at] in _words("makes to") and not to:
            continue
        if said[place - 1] in ("the", "a", "my", "your", "of", "gentle"):
            continue  # "leave the roast", "up to the boil"
        here = verb_at(said, at)
        if here is not None and here[1] > place - at:
            return None  # "leave to steam dry" and the like have rows of their own
        return place, found[0]
    return None


def _helped(chunk: Sequence[Token], said: Sequence[str], led: bool) -> list[Token] | None:
    """ "I'm gonna fry these", "that's going to roast", "these chickpeas have been soaking", "I chop the onions"."""
    at, person = 0, _length(said, 0, "person")
    thing: Sequence[Token] = ()
    if person:
        at = person
    else:
        own = _length(said, 0, "thing")
        end = next((n for n in range(own, min(own + THING, len(said))) if _length(said, n, "helper")), None)
        if end is None or not end or (not own and said[0] not in ("the", "my", "your", "our")):
            return None
        at, thing = end, chunk[:end]
    helpers: list[str] = []
    while length := _length(said, at, "helper"):
        helpers += said[at : at + length]
        at += length
    if at >= len(said):
        return None
    if helpers and said[at] in _words("goes"):
        return None  # "that's going in the oven"
    plain = verb_at(said, at) is not None
    found = _verb(said, at, past=bool({"ve", "have", "has", "been", "d"} & {*helpers}))
    if found is not None and (helpers or (person and plain)):
        return _built(chunk, at, found[0], thing)
    # "I've got some carrots": nothing is done
    shown = not thing or (len(thing) == 1 and said[at] in _SEEN)
    if shown and helpers and helpers[-1] in _HAS and not said[at].endswith("ing"):
        return [
            replace(chunk[at - 1], word="have", starts=True),
            *chunk[at:],
        ]
    return None


def _goes(chunk: Sequence[Token], said: Sequence[str], led: bool) -> list[Token] | None:
    """ "in goes the butter", "that's going in the oven", "the lid goes on"."""
    for at, word in enumerate(said):
        if word not in _words("goes"):
            continue
        before, after = list(said[at - 1 : at]), list(said[at + 1 : at + 2])
        if at == 0 and verb_at(said, 0) is not None:
            return None
        if not (before and before[0] in _PUT) and not (after and after[0] in _PUT):
            continue
        if after == ["to"] and _verb(said, at + 2) is not None:
            continue  # "going to fry"
        front = [t for t in chunk[:at] if t.word not in _PUT and not _length([t.word], 0, "helper")]
        lid = "lid" in said[:at] or "lid" in said[at + 1 : at + 4]
        verb = "cover" if lid else "add"
        return [replace(chunk[at], word=verb, starts=True), *front, *chunk[at + 1 :]]
    return None


def _given(chunk: Sequence[Token], said: Sequence[str], led: bool) -> list[Token] | None:
    """ "it's had three hours in the oven", "ten minutes under the grill": a time at a place and no verb."""
    timed = any(word in ("minute", "min", "hour", "hr") for word in said)
    if not timed or "method" not in settings(said):
        return None
    if any(verb_at(said, n) is not None for n in range(len(said))) and said[0] not in ("give", "it", "that", "they"):
        return None
    skip = 1 if said[0] == "give" else 0
    first = replace(chunk[0], word="cook", starts=True)
    return [first, *chunk[skip:]]


def _led(chunk: Sequence[Token], said: Sequence[str], led: bool) -> list[Token] | None:
    """ "so pop that in the oven": a verb behind what led to it."""
    found = verb_at(said, 0) if led else None
    if found is None or (found[0].noun and len(said) == found[1]):
        return None
    return [replace(chunk[0], starts=True), *chunk[1:]]
