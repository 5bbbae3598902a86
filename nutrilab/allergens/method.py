"""What the steps of a method name and no ingredient does: "scatter with hazelnuts" may be a line that is missing.

The dish and its parts are not ingredients: "drop the dumplings on top", "shape into patties", a stage by its name. Nor
is what a step leaves out ("everything but the nuts") or does ("sandwich together"). The words are those of
``data/allergens/method_words.csv``.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from functools import cache

from nutrilab.allergens.dish import DishAllergens, LineFindings
from nutrilab.allergens.find import Findings, find
from nutrilab.datafiles import role_words
from nutrilab.lexicon.matching import Matcher, matcher
from nutrilab.messages import say
from nutrilab.text import words

LONGEST = 2_000  # characters of a step that are looked at
# What only looks like a food: "until it resembles breadcrumbs", "the size of a walnut".
_LIKE = re.compile(
    r"\b(?:like|resembl\w{1,4}|(?:consistency|texture|thickness|size|colour|shape) of)\b[^,.;]{0,60}", re.I
)
_END = re.compile(r"[.;:!?](?:\s|$)")
_WORD = re.compile(r"[^\W_]+(?:['’-][^\W_]+)*")
_BEFORE = 3  # words between "the" and the part of the dish: "the hot fried dumplings"
_LEFT_OUT = 6  # words that a step leaves out at most: "everything but the nuts and dried fruit"


def of_method(
    steps: Iterable[str], lines: Iterable[LineFindings], known: DishAllergens, names: Iterable[str] = ()
) -> tuple[LineFindings, ...]:
    """Allergens to be checked because a step points to them and nothing in the dish does.

    lines: those of the dish, whose own words say nothing new in a step ("the stock" is the one that is listed), nor do
    the names of their stages; known: what the lines come to; names: the dish and other things a step may speak of.
    """
    lines = tuple(lines)
    listed = {word for line in lines for word in words(line.text)}
    called = tuple({words(name) for name in (*names, *(line.stage for line in lines)) if name})
    told = {*known.contains, *known.check, *known.may}
    found = []
    for step in steps:
        sentences = (_ingredients(s, called) for s in _END.split(_LIKE.sub(" ", step[:LONGEST])))
        named = dict.fromkeys(a for sentence in sentences for a in _named(sentence, listed) if a not in told)
        check = {a: (say("allergens.method-names", allergen=a),) for a in named}
        if check:
            found.append(LineFindings(Findings(check=check), step, "method"))
    return tuple(found)


def _named(sentence: str, listed: set[str]) -> list[str]:
    """Allergens that a sentence points to, and still does without the words that are listed."""
    said = find(sentence)
    if not said.contains and not said.check:
        return []
    new = find(_WORD.sub(lambda word: "," if listed & {*words(word[0])} else word[0], sentence))
    return [a for a in (*said.contains, *said.check) if a in new.contains or a in new.check]


@cache
def _phrases(role: str) -> Matcher[None]:
    return matcher((phrase.split(), None) for phrase in role_words("allergens/method_words.csv", role))


def _ingredients(sentence: str, called: Sequence[tuple[str, ...]]) -> str:
    """A sentence with a comma for every word that names no ingredient."""
    spans = list(_WORD.finditer(sentence))
    said = [" ".join(words(span[0])) for span in spans]
    passed: set[int] = set()
    for i in range(len(said)):
        if end := _at(said, i, "verb"):
            passed.update(range(i, end))
        elif end := _at(said, i, "without"):
            passed.update(range(i, _left_out(sentence, spans, end)))
        elif (end := _at(said, i, "made")) and _spoken_of(said, i):
            passed.update(range(i, end))
        passed.update(*(range(i, i + len(name)) for name in called if tuple(said[i : i + len(name)]) == name))
    keep = iter(range(len(spans)))
    return _WORD.sub(lambda word: "," if next(keep) in passed else word[0], sentence)


def _at(said: Sequence[str], i: int, role: str) -> int:
    """Where the longest phrase of a role ends that begins at ``i``; 0 if there is none."""
    length = _phrases(role).longest(said, i)
    return i + length if length else 0


def _spoken_of(said: Sequence[str], i: int) -> bool:
    """Whether the word at ``i`` is spoken of as there already, or as what becomes of the ingredients."""
    before = said[max(0, i - _BEFORE) : i]
    if any(word in _phrases("definite") for word in before):
        return True
    return any(word in _phrases("making") for word in before) or i == 0


def _left_out(sentence: str, spans: Sequence[re.Match[str]], i: int) -> int:
    """Where what is left out ends that begins at ``i``: at a punctuation mark, or where the step goes on."""
    end = i
    while end < len(spans) and end - i < _LEFT_OUT:
        gap = sentence[spans[end - 1].end() : spans[end].start()] if end > i else ""
        follows = spans[end][0].lower()
        if gap.strip() or follows in ("into", "in", "to", "with", "until", "then", "on", "together"):
            break
        if follows == "and" and not _food_follows(spans, end + 1):
            break
        end += 1
    return end


def _food_follows(spans: Sequence[re.Match[str]], i: int) -> bool:
    """Whether a further food is left out: "but the prawns and egg yolks", not "but the nuts and add peanuts"."""
    if i < len(spans) and spans[i][0].lower() == "the":
        return True
    said = find(spans[i][0]) if i < len(spans) else Findings()
    return bool(said.contains or said.check)
