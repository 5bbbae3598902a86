"""Lines that differ in one number alone: "250 g butter, sliced" says what "300 g butter, sliced" says, but how much.

Everything but the amount is read, linked and searched for allergens once for all of them. The unit has to be the same:
"2 pints bitter" is beer, and a spoon is filled with small things.
"""

from __future__ import annotations

import re
from dataclasses import replace
from typing import NamedTuple

from nutrilab.lines.clean import VULGAR
from nutrilab.lines.values import Reading
from nutrilab.lines.words import UNITS

# More than one (a cup is another measure than two cups) and less than what may be a slip of the pen; a word; the rest.
_HEAD = re.compile(r"([2-9]|[1-9]\d{1,3}) ?([A-Za-z]{1,12}) (?=[A-Za-z])")
_NUMBER = re.compile(rf"[\d{VULGAR}%]")


class Head(NamedTuple):
    """The number at the head of a line, its unit, and all that stands behind the number."""

    number: float
    unit: str
    alike: str


def plain_amount(text: str) -> Head | None:
    """The amount of a line that begins with a number and a unit, and has no other number."""
    found = _HEAD.match(text)
    if found is None:
        return None
    unit = UNITS.get(found[2].lower())
    if unit is None or _NUMBER.search(text, found.end()):
        return None
    return Head(float(found[1]), unit.name, text[found.end(1) :])


def only_amount(reading: Reading, head: Head) -> bool:
    """Whether a line was read to be of so much and no more: another number would change nothing but that."""
    others = (reading.quantity_max, reading.pack, reading.other, reading.drained)
    alone = all(one is None for one in others) and not (reading.remarks or reading.added or reading.in_doubt)
    return alone and (reading.quantity, reading.unit) == (head.number, head.unit)


def with_amount(reading: Reading, text: str, head: Head) -> Reading:
    """The reading of a line that differs from one that was read in its number alone."""
    return replace(reading, text=text, quantity=head.number, worded=reading.worded or reading.text)
