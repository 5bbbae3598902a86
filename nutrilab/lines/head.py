"""The beginning of a line: labels, "optional:", "juice of", the amount; and an amount that stands behind the name."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field

from nutrilab.lines.amounts import AmountRead, read_amount
from nutrilab.lines.clean import VULGAR
from nutrilab.lines.names import Segment
from nutrilab.lines.values import Amount, Purpose, Reading
from nutrilab.lines.words import ADVERB, PARTS, PREPARED, WITH_PART

_OPTIONAL = re.compile(r"(?:[(\[]?optional(?:ly)?\b[)\]]?\s?[:,-]?\s?)+", re.IGNORECASE)
_PLUS = re.compile(r"(?:plus\s)+", re.IGNORECASE)
# "If you're feeling brave, 2 chillies": when, and then an amount
_CLAUSE = re.compile(rf"(?:if|when|unless|should|in\scase)\s[^,;()]{{3,80}},\s(?=[\d{VULGAR}]|an?\s)", re.IGNORECASE)
_BESIDE_PART = WITH_PART | ADVERB | PREPARED | {"fresh"}
_BEGINS = frozenset("o([piwus")  # how these begin
_LABEL = re.compile(r"([^\W\d_][^\d:,()]{0,39}):\s(?=\S)")
_LAST_AMOUNT = re.compile(rf"\s(?:-\s|x\s?)?([\d{VULGAR}].*)$")
_NUMBER_SOON = re.compile(rf"\D{{0,20}}[\d{VULGAR}]")
_PLACES = 8  # pieces of a line that are looked at for an amount behind the name


@dataclass(slots=True)
class Draft:
    """A line while it is put together."""

    reading: AmountRead
    name: str = ""
    label: str = ""
    sizes: tuple[str, ...] = ()
    preparation: list[Segment] = field(default_factory=list)
    purpose: Purpose | None = None
    parts: tuple[str, ...] = ()
    drained: Amount | None = None
    listed: tuple[tuple[str, ...], bool] | None = None
    beside: Sequence[str] = ()
    options: tuple[str, ...] = ()
    added: tuple[Reading, ...] = ()
    asides: tuple[str, ...] = ()
    extra: str = ""
    unclear: bool = False


def begin(plain: str, cup: str) -> tuple[Draft, str]:
    """Read labels, "juice of" and the amount of a clean line; returns the draft and what is left of the line."""
    label = said = ""
    first = plain[:1].lower()
    if first in _BEGINS:
        plain, said = _optional(plain, first)
    if ": " in plain and (found := _LABEL.match(plain)):
        label, plain = found[1].strip(), plain[found.end() :]
    low = plain.lower()
    part, before, start = (None, 0, 0) if low[:1].isnumeric() else _part_first(low)
    reading = read_amount(low[start:] if start else low, cup)
    if start and not low[start + reading.end :].strip():
        part, start, reading = None, 0, read_amount(low, cup)
    draft = Draft(reading, label=label)
    if said:
        draft.purpose = Purpose.OPTIONAL
        draft.preparation.append(Segment("", said))
    if part:
        draft.parts = (part,)
        draft.preparation.append(Segment("", plain[:before]))
    if reading.word:
        reading.word = plain[start:][slice(*reading.place)].strip(" -.")
    return draft, plain[start + reading.end :]


def _optional(plain: str, first: str) -> tuple[str, str]:
    """A clean line without "optional:", "plus" or "if you like, " before it, and what these say of its use."""
    if first in "o([" and (found := _OPTIONAL.match(plain)) and found.end() < len(plain):
        return plain[found.end() :], "optional"
    if first == "p" and (found := _PLUS.match(plain)):
        return plain[found.end() :], ""
    if first in "iwus" and (found := _CLAUSE.match(plain)):
        return plain[found.end() :], found[0].rstrip(", ")
    return plain, ""


def _part_first(low: str) -> tuple[str | None, int, int]:
    """ "finely grated zest and juice of 2 limes": the part, where its words end, where the amount begins."""
    first = low.split(" ", 1)[0].strip(",")
    if first not in _BESIDE_PART:
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
        elif plain not in _BESIDE_PART:
            break
        pos += len(word) + 1
    return None, 0, 0


def amount_behind(pieces: list[Segment], draft: Draft, cup: str) -> list[Segment]:
    """Read an amount after the name ("olive oil, 2 tbsp", "flour 200g") into the draft; the pieces without it."""
    for place, piece in enumerate(pieces[:_PLACES]):
        low = piece.text.lower()
        start = 0
        if not place:
            found = _LAST_AMOUNT.search(low)
            if not found:
                continue
            start = found.start(1)
        elif not _NUMBER_SOON.match(low):
            continue
        reading = read_amount(low[start:], cup)
        if reading.quantity is None or reading.end < len(low) - start or (draft.reading.unit and not reading.unit):
            continue
        reading.size = reading.size or draft.reading.size
        draft.reading = reading
        left = [Segment(piece.kind, piece.text[:start].rstrip(" -").removesuffix(" x"))] if start else []
        return [*pieces[:place], *left, *pieces[place + 1 :]]
    return pieces


def weight_behind(text: str) -> int:
    """Where a number behind the name begins ("1 whole salmon 2.5kg"); the length of the text if there is none."""
    found = _LAST_AMOUNT.search(text)
    return found.start() if found else len(text)
