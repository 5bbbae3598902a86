"""What the steps of a method name and no ingredient does: "scatter with hazelnuts" may be a line that is missing."""

from __future__ import annotations

import re
from collections.abc import Iterable

from nutrilab.allergens.dish import DishAllergens, LineFindings
from nutrilab.allergens.find import Findings, find
from nutrilab.text import words

LONGEST = 2_000  # characters of a step that are looked at
# What only looks like a food: "until it resembles breadcrumbs", "the size of a walnut".
_LIKE = re.compile(
    r"\b(?:like|resembl\w{1,4}|(?:consistency|texture|thickness|size|colour|shape) of)\b[^,.;]{0,60}", re.I
)
_END = re.compile(r"[.;:!?](?:\s|$)")
_WORD = re.compile(r"[^\W_]+(?:['’-][^\W_]+)*")


def of_method(steps: Iterable[str], lines: Iterable[LineFindings], known: DishAllergens) -> tuple[LineFindings, ...]:
    """Allergens to be checked because a step points to them and nothing in the dish does.

    lines: those of the dish, whose own words say nothing new in a step ("the stock" is the one that is listed);
    known: what the lines come to.
    """
    listed = {word for line in lines for word in words(line.text)}
    told = {*known.contains, *known.check, *known.may}
    found = []
    for step in steps:
        sentences = _END.split(_LIKE.sub(" ", step[:LONGEST]))
        named = dict.fromkeys(a for sentence in sentences for a in _named(sentence, listed) if a not in told)
        check = {a: (f"{a}: the method names it and no ingredient does; is a line missing?",) for a in named}
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
