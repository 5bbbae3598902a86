"""Finding the name among the stretches of a line, with the foods listed after it."""

from __future__ import annotations

import re
from functools import lru_cache

from nutrilab.lines.amounts import read_amount
from nutrilab.lines.clean import VULGAR
from nutrilab.lines.foods import enumerated, foods, listed, shares_head
from nutrilab.lines.head import Draft, weight_behind
from nutrilab.lines.names import Bought, Naming, Segment, bought, counted, name_of, only_adjectives, purpose_of
from nutrilab.lines.tails import LESS, stated_weight
from nutrilab.lines.units import dimension
from nutrilab.lines.words import AFTER_PREPARED, KINDS, PREPARED, PREPARED_LAST, TAIL, UNITS, of_what_kind

_HANDS = "|".join(sorted((w for w, u in UNITS.items() if u.kind in ("vague", "spoon", "container")), key=len)[::-1])
_NEXT_AMOUNT = re.compile(
    rf"\s(?:(?:and|\+|&|or)\s(?=[\d{VULGAR}]|(?:the\s)?(?:juice|zest)\s(?:of\s)?[\d{VULGAR}]|one\s|half\s|a\slittle\s"
    rf"|an?\s(?:[a-z]+\s){{0,2}}(?:{_HANDS})\s(?:of\s)?)|or\s(?=an?\s))"
)
_SIGNS = (" and ", " or ", "+", "&")
_HAS_NUMBER = re.compile(rf"\s[\d{VULGAR}]")
_LONGEST_LIST = 6
_PLACES = 12  # stretches that may come before the name, or go on with it: bounds the work on hostile lines


def find_name(pieces: list[Segment], draft: Draft) -> list[Segment]:
    """Put the name, what stands before it and its sizes into the draft; returns the stretches that follow it."""
    reading = draft.reading
    alone = bool(reading.vague) and reading.vague == reading.word.lower()  # "Sprinkles (optional)"
    counting = alone or KINDS.get(reading.unit or "") == "piece"
    if reading.word and not draft.label and (not pieces or pieces[0].kind) and counting:
        pieces = [Segment("", reading.word), *pieces]  # "2 cloves, ground": the counting word is the food
        reading.unit, reading.vague = None, ""
    for place, piece in enumerate(pieces[:_PLACES]):
        if piece.kind == "(":
            draft.preparation.append(piece)
            continue
        text, after = _whole(pieces, place, reading.each)
        other = _other_amount(text) if reading.quantity is not None and text[:3].lower() == "or " else 0
        if other:  # "1 tin (400 g) or 2 cups condensed milk"
            draft.preparation.append(Segment("", text[:other].strip()))
            text = text[other:].strip()
        naming, behind = _told_apart(text, bought(reading.unit))
        if not naming.words and behind and (other := _other_amount(behind[0].text)):
            naming = naming._replace(words=name_of(behind[0].text[other:], bought(reading.unit, by_weight=False)).words)
            draft.preparation.append(Segment("", behind[0].text))
            behind = behind[1:]
        draft.sizes += naming.sizes
        if naming.before:
            draft.preparation.append(Segment("", naming.before))
        if naming.words and (naming.words[0][0].isalpha() or any(c.isalpha() for word in naming.words for c in word)):
            return _named(naming, behind, after, draft)
        if naming.words:
            draft.preparation.append(Segment("", " ".join(naming.words)))  # "+ 00": no letters
        if naming.cut:
            draft.purpose = draft.purpose or purpose_of(naming.cut)
            draft.preparation.append(Segment("", naming.cut))
        draft.preparation.extend(behind)
    draft.preparation.extend(pieces[_PLACES:])
    return []


def _other_amount(text: str) -> int:
    """Where the food begins behind a second amount: "1 large or 2 small peppers", "¼ small or 350g kale"; else 0."""
    low = text.lower()
    amount = read_amount(low[3:]) if low.startswith("or ") else None
    return 3 + amount.end if amount and amount.quantity is not None and amount.end else 0


def _named(naming: Naming, behind: tuple[Segment, ...], after: list[Segment], draft: Draft) -> list[Segment]:
    """Finish a name: adjectives that go on after a comma, a counting last word, foods listed after it."""
    reading, said, cut = draft.reading, naming.words, naming.cut
    for _ in range(_PLACES):
        if not after or after[0].kind != "," or not only_adjectives(said) or not _goes_on(after[0].text):
            break
        more = name_of(after[0].text, bought(reading.unit))
        if more.before and (not more.words or more.words[0].lower() in AFTER_PREPARED):
            break  # "2 medium, peeled and cut into wedges" names no food
        if more.before:
            draft.preparation.append(Segment("", more.before))
        said, cut, after = said + more.words, more.cut, after[1:]
    poured = reading.pack and dimension(reading.pack.unit) == "volume"  # "2 x 50 ml basil leaves" counts no leaves
    if reading.unit is None and reading.quantity is not None and not poured and (unit := counted(said)):
        reading.unit, said = unit, said[:-1]
    if behind and len(said) == 1 and only_adjectives(said):
        said = (*said, behind[0].text.split()[-1])  # "1 red and 1 yellow pepper"
    draft.name = " ".join(said)
    if cut:
        return [Segment("", cut), *behind, *after]
    if behind:
        return [*behind, *after]
    if after and after[0].kind == "," and draft.name:
        return _list(draft, after)
    return after


def _whole(pieces: list[Segment], place: int, each: bool) -> tuple[str, list[Segment]]:
    """The stretch the name is in, with what stands right behind brackets, and the stretches after it."""
    text, after = pieces[place].text, pieces[place + 1 :]
    if len(after) > 1 and after[0].kind == "(" and after[1].kind == "+":
        text, after = f"{text} {after[1].text}", [after[0], *after[2:]]
    if each:
        for last, piece in enumerate(after[:_LONGEST_LIST]):
            if piece.kind == "," and " and " in piece.text:
                return ", ".join([text, *(p.text for p in after[: last + 1])]), after[last + 1 :]
    return text, after


@lru_cache(maxsize=16384)
def _told_apart(text: str, how: Bought) -> tuple[Naming, tuple[Segment, ...]]:
    """The name in a stretch, and what is cut off behind it; the same names come again with other amounts."""
    text, behind = _cut_amounts(text)
    return name_of(text, how), behind


def _cut_amounts(text: str) -> tuple[str, tuple[Segment, ...]]:
    """Cut off "and 1 egg yolk", "or 2 tbsp oil", and the weight of "1 whole salmon 2.5kg"."""
    low = text.lower()
    if any(map(low.__contains__, _SIGNS)) and (found := _NEXT_AMOUNT.search(low)):
        return text[: found.start()], (Segment(",", text[found.start() :].strip()),)
    if _HAS_NUMBER.search(text):
        at = weight_behind(text)
        if low[:at].endswith(LESS):
            food = text[:at].rsplit(" ", 1)[0]
            return food, (Segment("", text[len(food) :].strip()),)
        if at < len(text) and stated_weight(low[at:].strip(" -")):
            return text[:at], (Segment("(", text[at:].strip(" -")),)
    return text, ()


def _goes_on(text: str) -> bool:
    """Whether a stretch after a comma goes on with the name ("boneless, skinless chicken")."""
    first = text.split(None, 1)[0].lower()
    names_on = first in PREPARED or of_what_kind(first) or first not in PREPARED_LAST
    return names_on and first not in TAIL and not purpose_of(text)


def _list(draft: Draft, after: list[Segment]) -> list[Segment]:
    """ "brandy, cognac, rum or whisky": the other foods; "chicken, beef or lamb stock" is named whole.

    Foods joined by "and", or by commas alone, count only where no amount stands before them ("salt, pepper and
    nutmeg"); those joined by commas alone are read each by itself.
    """
    texts = []
    for piece in after[:_LONGEST_LIST]:
        if piece.kind != ",":
            break
        texts.append(piece.text)
    count = listed(texts)
    if not count:
        if draft.reading.quantity is None and (count := enumerated(draft.name, texts)):
            draft.beside = texts[:count]
        return after
    last = name_of(texts[count - 1])
    whole = ", ".join([draft.name, *texts[: count - 1], " ".join(last.words)])
    names, choice = foods(whole)
    if not choice and draft.reading.quantity is not None:
        return after
    draft.listed = names, choice
    if shares_head(whole):
        draft.name = whole
        return [*([Segment(",", last.cut)] if last.cut else []), *after[count:]]
    if last.cut:
        return [*after[: count - 1], Segment(",", " ".join(last.words)), Segment("", last.cut), *after[count:]]
    return after
