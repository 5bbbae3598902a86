"""What follows the name: purpose, check weights, parts used, alternatives, amounts added, the rest of the preparation."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field, replace

from nutrilab.line_amounts import Reading, dimension, measure_at, second_system
from nutrilab.line_names import Segment, only_adjectives, part_of, purpose_of
from nutrilab.line_values import Amount, ParsedLine
from nutrilab.line_words import ADVERB, NO_FOOD, PREPARED, SIZE

_DIGIT = re.compile(r"[\d½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅐⅛⅜⅝⅞⅑⅒]")
_LEAD = re.compile(r"(?:(?P<drained>drained|net)|total|each|all|weighing|weight|of|is|in|at|with|to|give|giving|a|combined|\s|:)+\s")
_REST = re.compile(r"\s?(?:(?P<each>each|per\s(?:piece|fillet|person|portion|one)|apiece)|(?P<drained>drained)|"
                   r"in|total|altogether|weight|uncooked|raw|dry|unpeeled|prepared|peeled|trimmed|when|cooked|,|\s)*$")  # fmt: skip
_EXTRA = frozenset(("extra", "more", "some", "additional", "a"))
_PER = re.compile(r"\sper\s(?!cent)")
_OR = re.compile(r"(?:^|\s)or\s")

Parse = Callable[[str], ParsedLine]


@dataclass(slots=True)
class Draft:
    """A line while it is put together."""

    reading: Reading
    name: str = ""
    sizes: list[str] = field(default_factory=list)
    preparation: list[Segment] = field(default_factory=list)
    purpose: str | None = None
    parts: list[str] = field(default_factory=list)
    drained: Amount | None = None
    options: list[str] = field(default_factory=list)
    added: list[ParsedLine] = field(default_factory=list)
    extra: str = ""
    per: bool = False
    unit_word: str = ""
    listed: tuple[tuple[str, ...], bool] | None = None


def take(segment: Segment, draft: Draft, parse: Parse | None) -> None:
    """Sort one stretch of text after the name into the draft; every word of it also stays in the preparation."""
    low = segment.text.lower()
    if low in SIZE:
        draft.sizes.append(low)
    draft.preparation.append(segment)
    if low.startswith("per ") or (" per " in low and _PER.search(low)):
        draft.per = True
    if low.startswith(("plus ", "and ", "+ ", "& ")):
        _added(segment.text.split(None, 1)[1], low.startswith("plus"), draft, parse)
        return
    if low.startswith("or "):
        _option(segment.text[3:], draft, parse)
        return
    if not draft.extra and (purpose := purpose_of(low)):
        draft.purpose = draft.purpose or purpose
    elif _DIGIT.search(low) and (weight := stated_weight(low)):
        _weight(*weight, draft)
    elif parts := part_of(low):
        draft.parts.extend(parts)
    if segment.kind != "(" and " or " in low and _DIGIT.search(low):
        _option(_OR.split(segment.text, maxsplit=1)[1], draft, parse)


def _added(text: str, plus: bool, draft: Draft, parse: Parse | None) -> None:
    """ "plus extra for dusting" is noted; "plus 1 egg yolk" is parsed by itself."""
    first = text.split(None, 1)[0].lower()
    if plus and first in _EXTRA and not (first == "a" and parse and parse(text).unit):
        draft.extra = text
    elif parse and (plus or _DIGIT.match(text) or first in ("juice", "zest", "the", "a", "an", "one", "two", "half")):
        more = parse(text)
        if more.name or more.part or more.quantity is not None:
            draft.added.append(more if more.name else replace(more, name=draft.name, names=(draft.name,)))
    elif plus:
        draft.extra = text


def _option(text: str, draft: Draft, parse: Parse | None) -> None:
    """ "or butter", "or ½ tsp dried tarragon": a food that may stand in for the first."""
    first = text.split(None, 1)[0].lower() if text else ""
    if not first or first in NO_FOOD or first in PREPARED or first in ADVERB or not parse:
        return
    option = parse(text)
    if option.name and not only_adjectives(option.name.split()):
        draft.options.extend(option.names)


def _weight(amount: Amount, each: bool, drained: bool, draft: Draft) -> None:
    reading = draft.reading
    if drained:
        draft.drained = amount
    elif each:
        reading.pack = reading.pack or amount
    elif reading.unit in ("tin", "pack", "jar", "sachet", "bag", "tub", "pot", "carton", "punnet") and not reading.pack:
        reading.pack = amount
    elif not reading.other and amount.unit != reading.unit:
        reading.other = amount


def stated_weight(low: str) -> tuple[Amount, bool, bool] | None:
    """The weight or volume that a whole stretch of text states ("about 500g/1lb 2oz each"), whether it is each
    piece's, and whether it is the drained weight; None when the text says anything else."""
    lead = _LEAD.match(low)
    found = measure_at(low, lead.end() if lead else 0)
    if not found or dimension(found[0].unit) not in ("mass", "volume"):
        return None
    amount, end = found
    if other := second_system(low, end, amount):
        end = other[1]
        if amount.unit in ("oz", "lb", "fl oz", "pint"):
            amount = other[0]
    rest = _REST.match(low, end)
    if not rest:
        return None
    each = rest["each"] is not None or "each" in low[: lead.end() if lead else 0]
    return amount, each, rest["drained"] is not None or (lead is not None and lead["drained"] is not None)
