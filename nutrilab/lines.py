"""Ingredient lines: what a cook wrote -> amount, unit, name, preparation, and what could not be told."""

from __future__ import annotations

import re
from functools import partial

from nutrilab.line_amounts import Reading, read_amount
from nutrilab.line_clean import VULGAR, clean
from nutrilab.line_foods import foods, listed, shares_head
from nutrilab.line_names import Segment, counted, name_of, only_adjectives, purpose_of, segments
from nutrilab.line_tails import Draft, take
from nutrilab.line_values import Amount, ParsedLine
from nutrilab.line_words import ADVERB, HEADING, KINDS, PARTS, PREPARED, PREPARED_LAST, SIZE, TAIL, WITH_PART
from nutrilab.remarks import Remark

__all__ = ["Amount", "ParsedLine", "parse_line"]

_DEEPEST = 2  # lines inside a line: "plus 1 tbsp, or 2 tsp"; deeper ones stay text
_OPTIONAL = re.compile(r"[(\[]?optional[)\]]?\s?[:,-]?\s?", re.IGNORECASE)
_LABEL = re.compile(r"([^\d:,()]{1,40}):\s(?=\S)")
_NEXT_AMOUNT = re.compile(
    rf"\s(?:(?:and|\+|&|or)\s(?=[\d{VULGAR}]|(?:the\s)?(?:juice|zest)\s(?:of\s)?[\d{VULGAR}]|one\s|half\s)|or\s(?=an?\s))", re.I
)
_LAST_AMOUNT = re.compile(rf"\s(?:-\s|x\s?)?([\d{VULGAR}].*)$")
_STRAY_NUMBER = re.compile(rf"(?<![\w'\"-])/*[\d{VULGAR}][\d.,/{VULGAR}]*(?!\s?%|\s?per\s?cent|['\"\d.,]|-?[^\W\d]{{3}}|st\b|nd\b|rd\b|th\b)")
_MESSAGES = {
    "no-food": "No food was found in this line.",
    "no-amount": "The line gives no amount.",
    "amount-assumed": "No number stands before the unit: read as 1.",
    "amount-not-understood": "A number in the line was not understood.",
    "amounts-disagree": "The two measures of the amount are more than 15 % apart.",
}


def parse_line(text: str, cup: str = "us") -> ParsedLine:
    """Read one ingredient line. Never raises for any text; what could not be told is in the remarks.

    cup: "us" or "metric", needed only where a line adds spoons to cups ("1 cup plus 2 tbsp").
    """
    return _parse(text, cup, 0)


def _parse(text: str, cup: str, depth: int) -> ParsedLine:
    plain = clean(text)
    if _is_heading(plain):
        return ParsedLine(text, name=plain.strip(" :"), heading=True)
    draft, body = _head(plain, cup)
    parse = partial(_parse, cup=cup, depth=depth + 1) if depth < _DEEPEST else None
    pieces = segments(body)
    if draft.reading.quantity is None and not draft.reading.vague:
        pieces = _amount_behind(pieces, draft, cup)
    tails = _name(pieces, draft)
    for segment in tails:
        take(segment, draft, parse)
    return _finished(text, draft)


def _is_heading(plain: str) -> bool:
    """ "For the sauce:", "For the sauce", "SAUCE", "To serve": no food of its own."""
    if plain.endswith(":"):
        return True
    low = plain.lower()
    if any(c.isdigit() for c in low) or "," in low:
        return False
    if low.startswith("for the ") and len(low) < 40:
        return True
    words = low.split()
    return bool(words) and (plain.isupper() or words[0] in ("for", "to")) and all(w.strip(":") in HEADING for w in words)


def _head(plain: str, cup: str) -> tuple[Draft, str]:
    """Labels, "juice of" and the amount; returns what is left of the line."""
    optional = _OPTIONAL.match(plain)
    if optional and optional.end() < len(plain):
        draft, body = _head(plain[optional.end() :], cup) if not optional.end() == 0 else (Draft(Reading()), plain)
        draft.purpose = draft.purpose or "optional"
        return draft, body
    label = ""
    if found := _LABEL.match(plain):
        label, rest = found[1], plain[found.end() :]
        if read_amount(rest.lower(), cup).end >= len(rest):
            plain = f"{rest} {label}"
            label = ""
        else:
            plain = rest
    low = plain.lower()
    part, before, start = _part_first(low)
    reading = read_amount(low[start:], cup)
    if start and not low[start + reading.end :].strip():
        part, before, start = None, 0, 0
        reading = read_amount(low, cup)
    if reading.quantity is None and low.startswith("plus "):
        return _head(plain[5:], cup)
    draft = Draft(reading, parts=[part] if part else [])
    draft.unit_word = plain[start + reading.word[0] : start + reading.word[1]].strip(" -.")
    if label:
        draft.preparation.append(Segment("", label))
    if start:
        draft.preparation.append(Segment("", plain[:before]))
    return draft, plain[start + reading.end :]


def _part_first(low: str) -> tuple[str | None, int, int]:
    """ "finely grated zest and juice of 2 limes": the part, where its words end, where the amount begins."""
    first = low.split(" ", 1)[0].strip(",")
    if first not in WITH_PART and first not in ADVERB and first not in PREPARED and first != "fresh":
        return None, 0, 0
    parts: list[str] = []
    pos = 0
    for word in low.split(" ", 10)[:10]:
        plain = word.strip(",")
        if plain in PARTS:
            parts.append(plain)
        elif parts and (plain in ("of", "from") or word[:1].isnumeric()):
            start = pos if word[:1].isnumeric() else pos + len(word) + 1
            return " and ".join(parts), pos - 1, min(start, len(low))
        elif plain not in WITH_PART and plain not in ADVERB and plain not in PREPARED and plain != "fresh":
            break
        pos += len(word) + 1
    return None, 0, 0


def _amount_behind(pieces: list[Segment], draft: Draft, cup: str) -> list[Segment]:
    """An amount after the name: "olive oil, 2 tbsp", "flour 200g"; the pieces without it."""
    for place, piece in enumerate(pieces[:8]):
        low = piece.text.lower()
        if place:
            start = 0
        elif found := _LAST_AMOUNT.search(low):
            start = found.start(1)
        else:
            continue
        if not any(c.isnumeric() for c in low[start : start + 12]):
            continue
        reading = read_amount(low[start:], cup)
        if reading.quantity is None or reading.end < len(low) - start:
            continue
        if draft.reading.unit and reading.unit is None:
            continue
        reading.size = reading.size or draft.reading.size
        draft.reading = reading
        left = [Segment(piece.kind, re.sub(r"[\s-]+x?$", "", piece.text[:start]))] if start else []
        return [*pieces[:place], *left, *pieces[place + 1 :]]
    return pieces


def _name(pieces: list[Segment], draft: Draft) -> list[Segment]:
    """Find the name among the pieces; returns those that follow it."""
    reading = draft.reading
    weighed = reading.unit in ("g", "kg", "tin", "pack")
    if (not pieces or pieces[0].kind != "") and KINDS.get(reading.unit or "") == "piece" and reading.word[1]:
        pieces = [Segment("", draft.unit_word), *pieces]  # "2 cloves, ground": the counting word is the food
        reading.unit = None
    for place, piece in enumerate(pieces):
        if piece.kind == "(":
            draft.preparation.append(piece)
            continue
        text, after = _whole_name(pieces, place, reading.each)
        split = _NEXT_AMOUNT.search(text) if " " in text else None
        naming = name_of(text[: split.start()] if split else text, reading.unit, weighed)
        draft.sizes.extend(naming.sizes)
        if naming.before:
            draft.preparation.append(Segment("", naming.before))
        if not naming.words:
            continue
        while after and after[0].kind == "," and only_adjectives(naming.words) and _goes_on(after[0].text):
            more = name_of(after[0].text, reading.unit, weighed)
            naming.words, naming.cut, after = naming.words + more.words, more.cut, after[1:]
        if reading.unit is None and reading.quantity is not None:
            reading.unit = counted(naming)
        draft.name = " ".join(naming.words)
        cut = [Segment("", naming.cut)] if naming.cut else []
        if not cut and not split and (count := listed(draft.name, [p.text for p in after if p.kind == ","][:6])):
            _list(draft, after[:count])
        return cut + ([Segment(",", text[split.start() :].strip())] if split else []) + after
    return []


def _list(draft: Draft, rest: list[Segment]) -> None:
    """ "brandy, cognac, rum or whisky": the other foods; "chicken, beef or lamb stock" is named whole."""
    if any(piece.kind != "," for piece in rest):
        return
    whole = ", ".join([draft.name, *(piece.text for piece in rest)])
    names, choice = foods(whole)
    if not choice and draft.reading.quantity is not None:
        return
    draft.listed = names, choice
    if shares_head(whole):
        draft.name = whole


def _whole_name(pieces: list[Segment], place: int, each: bool) -> tuple[str, list[Segment]]:
    """The stretch the name is in, with what stands right behind brackets, and the pieces after it."""
    text, after = pieces[place].text, pieces[place + 1 :]
    if len(after) > 1 and after[0].kind == "(" and after[1].kind == "+":
        text, after = f"{text} {after[1].text}", [after[0], *after[2:]]
    if each:
        for last, piece in enumerate(after[:6]):
            if piece.kind == "," and " and " in piece.text:
                text = ", ".join([text, *(p.text for p in after[: last + 1])])
                return text, after[last + 1 :]
    return text, after


def _goes_on(text: str) -> bool:
    """Whether a stretch after a comma goes on with the name ("boneless, skinless chicken")."""
    first = text.split(None, 1)[0].lower()
    return first not in PREPARED_LAST and first not in ADVERB and first not in TAIL and not purpose_of(text)


def _finished(text: str, draft: Draft) -> ParsedLine:
    reading = draft.reading
    names, choice = draft.listed or (foods(draft.name) if draft.name else ((), False))
    if draft.options and (choice or len(names) == 1):
        names = tuple(dict.fromkeys((*names, *draft.options)))
        choice = len(names) > 1
    sizes = [reading.size, *draft.sizes] if reading.size else draft.sizes
    return ParsedLine(
        text=text,
        quantity=reading.quantity,
        quantity_max=reading.quantity_max,
        unit=reading.unit,
        name=draft.name,
        preparation=_joined(draft.preparation),
        size=" ".join(dict.fromkeys(sizes)) or reading.vague or None,
        pack=reading.pack,
        other=reading.other,
        drained=draft.drained,
        purpose=draft.purpose,
        names=names,
        choice=choice,
        each=reading.each,
        part=" and ".join(dict.fromkeys(draft.parts)) or None,
        added=tuple(draft.added),
        remarks=_remarks(draft, names, choice),
    )


def _joined(pieces: list[Segment]) -> str | None:
    """Preparation as one text: commas as written, semicolons between the rest."""
    if not pieces:
        return None
    text = pieces[0].text
    for piece in pieces[1:]:
        text += (", " if piece.kind == "," else "; ") + piece.text
    return text or None


def _remarks(draft: Draft, names: tuple[str, ...], choice: bool) -> tuple[Remark, ...]:
    reading = draft.reading
    codes = list(dict.fromkeys(reading.notes))
    if not draft.name:
        codes.append("no-food")
    elif _STRAY_NUMBER.search(draft.name) or draft.per:
        codes.append("amount-not-understood")
    if reading.quantity is None:
        codes.append("no-amount")
        if not draft.per and any(_STRAY_NUMBER.search(piece.text) for piece in draft.preparation):
            codes.append("amount-not-understood")
    found = [Remark(code, _MESSAGES[code]) for code in codes]
    if choice:
        found.append(Remark("choice", f"The line offers a choice ({' or '.join(names)}): counted as {names[0]}."))
    elif len(names) > 1 and not reading.each and reading.quantity is not None:
        found.append(Remark("amount-shared", f"One amount is given for {len(names)} foods: {', '.join(names)}."))
    for more in draft.added:
        found.append(Remark("amount-added", f"More is added in the same line: {more.text}."))
    if draft.extra:
        found.append(Remark("extra-not-counted", f"More is used than the amount says: plus {draft.extra}."))
    return tuple(found)
