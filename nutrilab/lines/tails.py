"""What follows the name: purpose, check weights, the part used, alternatives, amounts added, other preparation."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from functools import lru_cache
from typing import NamedTuple

from nutrilab.lines.amounts import measure_at, second_system
from nutrilab.lines.clean import VULGAR
from nutrilab.lines.head import Draft
from nutrilab.lines.names import Segment, names_part, no_food, part_of, purpose_of
from nutrilab.lines.units import dimension, metric
from nutrilab.lines.values import Amount, Purpose, Reading
from nutrilab.lines.words import ADVERB, BESIDE_SEASONINGS, KINDS, NO_OPTION, PREPARED, SEASONINGS, SIZE
from nutrilab.remarks import Code
from nutrilab.text import words

_DIGIT = re.compile(rf"[\d{VULGAR}]")
_LEAD = re.compile(
    r"(?:(?P<drained>drained|net)|total|each|all|weighing|weight|of|is|in|at|with|to|giving|give|a|combined|\s|:)+(?=\s)\s"
)
_REST = re.compile(
    r"\s?(?:(?P<each>each|per\s(?:piece|fillet|person|portion|one)|apiece)|(?P<drained>drained)"
    r"|after\s[a-z-]+|in|total|altogether|weight|uncooked|raw|dry|unpeeled|prepared|peeled|trimmed|when|cooked|,|\s)*$"
)
LESS = (" minus", " less")  # "1 cup water minus 2 tsp": nothing takes that off, so it is asked about
_EXTRA = frozenset(("extra", "more", "some", "additional", "a"))
_SEASONING_WORDS = SEASONINGS | BESIDE_SEASONINGS
_JOINED = frozenset(("plus", "and", "+", "&"))
_TAKEN_OFF = frozenset(("minus", "less"))
_MORE_OF_IT = frozenset(("juice", "zest", "the", "a", "an", "one", "two", "half"))
# "soy sauce mixed with 1 tsp sesame oil": two foods, each with its amount
_MIXED = re.compile(
    rf"(?:mixed|combined|blended|stirred|whisked|dissolved|beaten|slaked|mashed|tossed)\s(?:together\s)?(?:with|in|into|to)"
    rf"\s(?=(?:about\s)?[\d{VULGAR}]|an?\s)"
)
_PER = re.compile(r"\sper\s(?!cent)")
_OR = re.compile(r"(?:^|\s)or\s", re.IGNORECASE)

Parse = Callable[[str], Reading]


def take(segment: Segment, draft: Draft, parse: Parse | None) -> None:
    """Sort one stretch of text after the name into the draft; every word of it also stays in the preparation."""
    kind, text = segment
    draft.preparation.append(segment)
    told = _told(text)
    if told is _NOTHING and not draft.beside:
        return
    if told.size:
        draft.sizes += (told.size,)
        return
    draft.unclear = draft.unclear or told.unclear
    if told.joined == "or":
        _option(text[3:], draft, parse)
        return
    if told.joined:
        _added(text.split(None, 1)[1], told.joined == "plus", draft, parse)
        return
    if told.purpose and not draft.extra:
        draft.purpose = draft.purpose or told.purpose
    elif parse and kind == "," and (told.seasons or text in draft.beside):
        _added(text, True, draft, parse)
    elif told.weight:
        _weight(*told.weight, draft)
    elif told.names_part and (parts := part_of(text, draft.name)):
        draft.parts += parts
    elif parse and kind == "," and told.counts:
        _second_line(parse(text), draft)
    elif parse and told.mixed:
        _added(text[told.mixed :], True, draft, parse)
    if told.numbers and kind != "(" and " or " in text.lower():
        _option(_OR.split(text, maxsplit=1)[1], draft, parse)


class _Told(NamedTuple):
    """What a stretch after the name tells by its words alone, whatever the name is.

    joined: the word or sign at its beginning that adds it, or "or"; counts: whether it begins with a number; mixed:
    where the second food of "mixed with 1 tsp oil" begins, else 0.
    """

    size: str = ""
    unclear: bool = False
    joined: str = ""
    purpose: Purpose | None = None
    seasons: bool = False
    weight: tuple[Amount, bool, bool] | None = None
    names_part: bool = False
    numbers: bool = False
    counts: bool = False
    mixed: int = 0


_NOTHING = _Told()


@lru_cache(maxsize=4096)
def _told(text: str) -> _Told:
    """The same stretches come again and again: each is read once."""
    low = text.lower()
    if low in SIZE:
        return _Told(size=low)
    first = low.split(" ", 1)[0]
    numbers = _DIGIT.search(low) is not None
    unclear = low.startswith("per ") or (numbers and (first in _TAKEN_OFF or _PER.search(low) is not None))
    if first != low and (first in _JOINED or first == "or"):
        return _Told(unclear=unclear, joined=first)
    mixed = _MIXED.match(low) if numbers else None
    told = _Told(
        unclear=unclear,
        purpose=purpose_of(low),
        seasons=_seasons(low),
        weight=stated_weight(low) if numbers else None,
        names_part=names_part(low),
        numbers=numbers,
        counts=_DIGIT.match(low) is not None,
        mixed=mixed.end() if mixed else 0,
    )
    return told if any(told) else _NOTHING


def _seasons(low: str) -> bool:
    """ "salt and pepper" behind the comma of "2 eggs, salt and pepper": foods of their own, without an amount."""
    if not _SEASONING_WORDS.issuperset(words(low.split(" ", 1)[0])):
        return False  # the first word alone mostly settles it
    said = set(words(low))
    return not said.isdisjoint(SEASONINGS) and said <= _SEASONING_WORDS


def _added(text: str, plus: bool, draft: Draft, parse: Parse | None) -> None:
    """ "plus extra for dusting" is noted; "plus 1 egg yolk" is parsed by itself."""
    first = text.split(None, 1)[0].lower()
    if plus and first in _EXTRA and not (first == "a" and parse and parse(text).unit):
        draft.extra = text
    elif parse and (plus or _DIGIT.match(text) or first in _MORE_OF_IT):
        more = parse(text)
        if not more.name and (more.part or more.quantity is not None):
            known = tuple(remark for remark in more.remarks if remark.code != Code.NO_FOOD)
            more = replace(more, name=draft.name, names=(draft.name,) if draft.name else (), remarks=known)
        if words(more.name)[-1:] == ("water",) and more.quantity is not None:
            draft.extra = text  # "a stock cube dissolved in 500 ml water": said, and left to the pot's own line
        elif more.name:
            draft.added += (more,)
            draft.asides += (text,)
    elif plus:
        draft.extra = text


def _second_line(more: Reading, draft: Draft) -> None:
    """The second food of "1 tbsp oil, 2 tsp vinegar"; "20 g garlic, 3 garlic cloves" only says it again."""
    counted = more.quantity is not None and not _PER.search(f" {more.text} ") and not no_food(more.name)
    if more.name and (more.unit or counted) and words(more.name)[-1:] != words(draft.name)[-1:]:
        draft.added += (more,)
        draft.asides += (more.text,)


def _option(text: str, draft: Draft, parse: Parse | None) -> None:
    """ "or butter", "or ½ tsp dried tarragon": a food that may stand in for the first."""
    first = text.split(None, 1)[0].lower() if text else ""
    if not first or first in NO_OPTION or first in PREPARED or first in ADVERB or not parse:
        return
    option = parse(text)
    if option.name and not no_food(option.name):
        draft.options += option.names
        draft.asides += (text,)


def _weight(amount: Amount, each: bool, drained: bool, draft: Draft) -> None:
    """Put a stated weight where it belongs: drained, of each piece or pack, or of the whole."""
    reading = draft.reading
    if drained:
        draft.drained = amount
    elif each or (KINDS.get(reading.unit or "") == "container" and not reading.pack):
        reading.pack = reading.pack or amount
    elif not reading.other and amount.unit != reading.unit:
        reading.other = amount


def stated_weight(low: str) -> tuple[Amount, bool, bool] | None:
    """The weight or volume a whole stretch of text states, whether it is each piece's, whether it is drained.

    "about 500g/1lb 2oz each" -> 500 g, True, False; None when the text says anything else.
    """
    lead = _LEAD.match(low)
    before = lead[0] if lead else ""
    found = measure_at(low, len(before))
    if not found or dimension(found[0].unit) not in ("mass", "volume"):
        return None
    amount, end = found
    if other := second_system(low, end, amount):
        end = other[1]
        amount = other[0] if metric(other[0].unit) and not metric(amount.unit) else amount
    rest = _REST.match(low, end)
    if not rest:
        return None
    drained = rest["drained"] is not None or "drained" in before or "net" in before
    return amount, rest["each"] is not None or "each" in before, drained
