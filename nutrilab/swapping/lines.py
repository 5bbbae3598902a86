"""The line that comes of a swap: new words in the place of old ones, and nothing else of the line lost.

What a line says beside the swapped name may hold an allergen of its own ("cod, coated in flour", "flour and salt"): it
stays in the line, or in a line of its own, even where the new words do not fit into the old text.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace

from nutrilab.allergens import find
from nutrilab.lines import parse_line
from nutrilab.recipe import Line, Was
from nutrilab.swapping.values import Name, Spot, Wish
from nutrilab.text import words


def new_line(spot: Spot, names: Sequence[Name], one: Wish) -> Line:
    """The line with the new food in place of the named ones; what shares the line with it stays as it is."""
    line, was = spot.line, spot.line.was
    text, share = (was.text, was.share) if was else (line.text, line.share)
    stands, more = (was.grams_stand, was.more) if was else (True, ())
    new = None if one.weighs_itself else _renamed(spot, names, one)
    if new is not None:
        if new == text and stands and not more:
            return replace(line, text=text, share=share, was=None)  # back to what the cook wrote
        return replace(line, text=new, was=Was(text, share, stands, more))
    others = [name.written for name in spot.names if name not in names]
    if spot.record.parsed.choice and spot.names[0] not in names:  # not what counts: the first of a choice does
        each = [one.reading.name if name in names else name.written for name in spot.names]
        return replace(line, text=" or ".join(each), was=Was(text, share, stands, more))
    fresh = one.new if one.weighs_itself else _weighing(spot, names, one)
    if not others or spot.record.parsed.choice:
        said = " or ".join((fresh, *others)) + _carried(spot, names, one, " ".join((fresh, *others)))
        keeps = stands and not one.weighs_itself
        return replace(line, text=said, share=line.share if keeps else 1.0, was=Was(text, share, keeps, more))
    rest = " and ".join(others)
    rest += _carried(spot, names, one, rest)
    return replace(line, text=rest, was=Was(text, share, stands, (*more, Line(fresh, line.line))))


def _weighing(spot: Spot, names: Sequence[Name], one: Wish) -> str:
    """The new words with the grams of the old foods; without, where nobody knows what those weighed."""
    foods = spot.record.foods
    named = [food for name, food in zip(spot.names, foods, strict=False) if name in names] or list(foods[:1])
    grams = [food.weight.grams for food in named if food.weight.grams is not None]
    return f"{sum(grams) * spot.line.share:.6g} g {one.new}" if grams else one.new


def _carried(spot: Spot, names: Sequence[Name], one: Wish, kept: str) -> str:
    """What the line says beside its foods, where that names an allergen of its own: ", coated in flour"."""
    said = spot.record.parsed.preparation
    if not said:
        return ""
    for name in names:
        said = _replaced(said, name.written, one.reading.name, ())
    beside, there = find(said), find(kept)
    known = {*there.contains, *there.check}
    return f", {said}" if {*beside.contains, *beside.check, *beside.may} - known else ""


def _renamed(spot: Spot, names: Sequence[Name], one: Wish) -> str | None:
    """The text of a line with the new words for the old; None where it would not be read as all of its foods."""
    text = spot.line.text
    others = [name for name in spot.names if name not in names]
    if one.new == names[0].written:
        return text
    if any(words(name.written) != name.tokens for name in names):
        return None  # "milk, coconut"
    for written in dict.fromkeys(name.written for name in names):
        text = _replaced(text, written, one.new, [name.written for name in others])
    read = parse_line(text, spot.recipe.cup)
    there = {words(name) for r in (read, *read.added) for name in r.names}
    wanted = {words(name) for name in (*one.reading.names, *(other.written for other in others))}
    if read.heading or text == spot.line.text or not wanted <= there:
        return None
    return text


def _replaced(text: str, old: str, new: str, others: Sequence[str]) -> str:
    """New words for old ones, but inside other names: "butter or peanut butter"."""
    barred = [span.span() for other in others if len(other) > len(old) for span in _places(other, text)]
    found = [s.span() for s in _places(old, text) if not any(a <= s.start() and s.end() <= b for a, b in barred)]
    for start, end in reversed(found):
        text = text[:start] + new + text[end:]
    return text


def _places(name: str, text: str) -> Iterator[re.Match[str]]:
    return re.finditer(rf"(?<!\w){re.escape(name)}(?!\w)", text, re.IGNORECASE)
