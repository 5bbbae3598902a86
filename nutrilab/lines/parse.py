"""Ingredient lines: what a cook wrote -> amount, unit, name, preparation, and what could not be told."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache, lru_cache, partial

from nutrilab.lexicon import is_name
from nutrilab.lines.clean import VULGAR, clean
from nutrilab.lines.foods import foods
from nutrilab.lines.glued import parted
from nutrilab.lines.head import Draft, amount_behind, begin
from nutrilab.lines.in_doubt import InDoubt, in_doubt
from nutrilab.lines.names import Segment, segments
from nutrilab.lines.tails import Parse, take
from nutrilab.lines.title import find_name
from nutrilab.lines.values import Amount, Reading
from nutrilab.lines.words import HEADING
from nutrilab.messages import either, listed, named, say
from nutrilab.plain import NAMED, brief
from nutrilab.recipe import prose
from nutrilab.remarks import Code, Remark
from nutrilab.text import words

__all__ = ["Amount", "Reading", "parse_line"]

_MOST_ASKED = 5  # numbers of one line that are asked about
_DEEPEST = 2  # lines inside a line: "plus 1 tbsp, or 2 tsp"; what is deeper stays text
_AND = re.compile(r",| and | & ")
_EXAMPLES = re.compile(
    r"\b(?:or|either|such as|like|e\.?g|for example|including|choice|mixed|assorted|selection|garnish(?:es)?)\b", re.I
)
_LONGEST_HEADING = 40  # characters of "For the ..." without an amount or a comma
# A number that is no part of a word: not the 70 of "70%", the 00 of "'00' flour", the 5 of "5-spice".
_STRAY = re.compile(
    rf"(?:(?<![\w'\"/-])|/)(?!00\b)[\d{VULGAR}][\d.,/{VULGAR}]*+(?!\s?%|\s?[-–]\s?\d{{1,3}}\s?%|\s?spice|\s?per\s?cent|['\"]|-?[^\W\d]{{3}}|st\b|nd\b|rd\b|th\b)"
)
_HAS_NUMBER = re.compile(rf"[\d{VULGAR}]")
_KEYS = {
    Code.NO_FOOD: "line.no-food",
    Code.NO_AMOUNT: "line.no-amount",
    Code.AMOUNT_ASSUMED: "line.amount-assumed",
    Code.AMOUNT_NOT_UNDERSTOOD: "line.amount-not-understood",
    Code.AMOUNTS_DISAGREE: "line.amounts-disagree",
}


def parse_line(text: str, cup: str = "us") -> Reading:
    """Read one ingredient line. Never raises for any text; what could not be told is in the remarks.

    cup: "us" or "metric", needed only where a line adds spoons to cups ("1 cup plus 2 tbsp").

    >>> parse_line("2 x 400g tins chopped tomatoes, drained").pack
    Amount(quantity=400.0, unit='g', quantity_max=None)
    """
    return _parse(text, cup, 0)


def _parse(text: str, cup: str, depth: int) -> Reading:
    plain = clean(text)
    return _asked(text, plain, cup, depth) or _read(text, plain, cup, depth)


def _asked(text: str, plain: str, cup: str, depth: int) -> Reading | None:
    """A line with a number in doubt, read as if it were 1 and left without any amount; None for any other line."""
    found = in_doubt(plain.lower())
    if not found:
        return None
    asked: list[InDoubt] = []
    while found and len(asked) < _MOST_ASKED:
        asked.append(found)
        plain = f"{plain[: found.start]}1{plain[found.end :]}"
        found = in_doubt(plain.lower())
    line = _read(text, plain, cup, depth)
    remarks = dict.fromkeys(Remark(one.code, one.message) for one in asked)
    return _without_amounts(replace(line, remarks=(*line.remarks, *remarks)))


def _without_amounts(line: Reading) -> Reading:
    """The line with nothing in it that could be weighed: which number is meant is for the cook to say."""
    kept = tuple(remark for remark in line.remarks if remark.code not in (Code.NO_AMOUNT, Code.AMOUNT_ASSUMED))
    added = tuple(map(_without_amounts, line.added))
    line = replace(line, quantity=None, quantity_max=None, pack=None, other=None, drained=None)
    return replace(line, added=added, remarks=kept, in_doubt=True)


def _read(text: str, plain: str, cup: str, depth: int) -> Reading:
    if _is_heading(plain) or (text.startswith("##") and not _HAS_NUMBER.search(plain)):
        return Reading(text, name=plain.strip(" :"), heading=True)
    if text.rstrip().endswith((".", "!")) and _is_sentence(text):
        no_food = Remark(Code.NO_FOOD, say("line.a-sentence"))
        return Reading(text, preparation=plain, remarks=(no_food, _said(Code.NO_AMOUNT)))
    draft, body = begin(parted(plain), cup)
    pieces = segments(body)
    if draft.reading.quantity is None and not draft.reading.vague:
        pieces = amount_behind(pieces, draft, cup)
    tails = find_name(pieces, draft)
    if tails:
        inside = _inside(cup, depth)
        for segment in tails:
            take(segment, draft, inside)
    return _finished(text, draft)


@lru_cache(maxsize=16)
def _inside(cup: str, depth: int) -> Parse | None:
    """How lines inside a line of this depth are read; None where they are not."""
    return partial(_parse, cup=cup, depth=depth + 1) if depth < _DEEPEST else None


def _is_heading(plain: str) -> bool:
    """ "For the sauce:", "For the sauce", "SAUCE", "To serve": no food of its own."""
    if plain.endswith(":"):
        return True
    if plain[:1].lower() not in "ft" and not plain.isupper():
        return False
    low = plain.lower()
    if "," in low or _HAS_NUMBER.search(low):
        return False
    if low.startswith("for the "):
        return len(low) < _LONGEST_HEADING
    words = low.split()
    if not words or not (plain.isupper() or words[0] in ("for", "to")):
        return False
    return all(word in HEADING for word in words)


def _is_sentence(text: str) -> bool:
    """Whether a line with a full stop is a step or a note: it begins with the verb of a step, or states something."""
    if "," in text and is_name(words(text.split(",", 1)[0])):
        return False  # "pork chops, boneless, don't go too thick." is chops
    return prose.step(text) or (not prose.amount_at_head(text) and prose.is_sentence(text))


def _finished(text: str, draft: Draft) -> Reading:
    reading = draft.reading
    if draft.label and not draft.name:
        draft.name = draft.label
    elif draft.label:
        draft.preparation.insert(0, Segment("", draft.label))
    names, choice = draft.listed or (foods(draft.name) if draft.name else ((), False))
    if draft.options and (choice or len(names) == 1):
        names = tuple(dict.fromkeys((*names, *draft.options)))
        choice = len(names) > 1
    sizes = (reading.size, *draft.sizes) if reading.size else draft.sizes
    size = " ".join(dict.fromkeys(sizes)) if sizes else reading.vague or None
    part = " and ".join(dict.fromkeys(draft.parts)) if draft.parts else None
    preparation = _joined(draft.preparation) if draft.preparation else None
    added, remarks = _flat(draft.added), _remarks(draft, names, choice)
    heading = in_doubt = False
    # fmt: off
    return Reading(  # in the order of its fields, as every new line makes one: by their names it takes a third longer
        text, reading.quantity, reading.quantity_max, reading.unit, draft.name, preparation, size, reading.pack,
        reading.other, draft.drained, draft.purpose, names, choice, reading.each, part, heading, added, draft.asides,
        in_doubt, remarks,
    )
    # fmt: on


def _flat(added: tuple[Reading, ...]) -> tuple[Reading, ...]:
    """Lines that were added, and what was added to these, side by side."""
    return added and tuple(one for more in added for one in (replace(more, added=()), *more.added))


def _more_foods(draft: Draft, names: tuple[str, ...]) -> list[str]:
    """Foods behind commas that are in no figure: "butter, sugar, flour, eggs", a whole list written as one line.

    One alone says which it is ("cheese, Cheddar"), and so do examples and choices; of two and more each is a food.
    """
    told = [piece.text for piece in draft.preparation if piece.kind != "("]
    if not told or (len(told) == 1 and not _AND.search(told[0])):
        return []
    said = [part for text in told for part in _foods_in(text)]
    if len(said) < 2:
        return []
    if any(map(_EXAMPLES.search, (draft.name, *(piece.text for piece in draft.preparation)))):
        return []
    counted = {word for text in (*names, *(more.text for more in draft.added)) for word in words(text)}
    found = [part for part in said if not counted.issuperset(words(part))]
    return found if len(found) > 1 else []


@lru_cache(maxsize=4096)
def _foods_in(text: str) -> tuple[str, ...]:
    """The foods that a stretch of preparation names: few stretches are ever new."""
    return tuple(part for one in _AND.split(text) if is_name(words(part := one.strip())))


def _joined(pieces: list[Segment]) -> str | None:
    """Preparation as one text: commas as written, semicolons between the rest."""
    if len(pieces) == 1:
        return pieces[0].text or None
    rest = [(", " if piece.kind == "," else "; ") + piece.text for piece in pieces[1:]]
    return "".join([pieces[0].text, *rest]) or None


@cache
def _said(code: Code) -> Remark:
    return Remark(code, say(_KEYS[code]))


def _remarks(draft: Draft, names: tuple[str, ...], choice: bool) -> tuple[Remark, ...]:
    """Everything about the line that the cook should look at."""
    reading = draft.reading
    codes = reading.notes
    if not draft.name:
        codes += (Code.NO_FOOD,)
    if reading.quantity is None:
        codes += (Code.NO_AMOUNT,)
        draft.unclear = draft.unclear or any(_STRAY.search(piece.text) for piece in draft.preparation)
    if draft.unclear or (_HAS_NUMBER.search(draft.name) and _STRAY.search(draft.name)):
        codes += (Code.AMOUNT_NOT_UNDERSTOOD,)
    found = [_said(code) for code in dict.fromkeys(codes)] if codes else []
    if choice:
        offered = either([brief(name) for name in names[:NAMED]])
        found.append(Remark(Code.CHOICE, say("line.choice", foods=offered, food=brief(names[0]))))
    elif len(names) > 1 and not reading.each and reading.quantity is not None:
        found.append(Remark(Code.AMOUNT_SHARED, say("line.amount-shared", number=len(names), foods=named(names))))
    for more in draft.added:
        found.append(Remark(Code.AMOUNT_ADDED, say("line.amount-added", line=brief(more.text))))
    if more_foods := _more_foods(draft, names):
        found.append(Remark(Code.FOODS_NOT_COUNTED, say("line.foods-not-counted", foods=listed(more_foods))))
    if draft.extra:
        found.append(Remark(Code.EXTRA_NOT_COUNTED, say("line.extra-not-counted", extra=brief(draft.extra))))
    return tuple(found)
