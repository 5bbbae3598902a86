"""Lines that differ in their amount alone: "250 g butter, sliced" says what "8 oz butter, sliced" says, but how much.

Everything but the amount is read, linked and searched for allergens once for all of them.
"""

from __future__ import annotations

import re
from dataclasses import replace
from typing import NamedTuple

from nutrilab.lines.clean import VULGAR
from nutrilab.lines.values import Reading
from nutrilab.lines.words import UNITS

# More than one (a cup is another measure than two cups) and less than what may be a slip of the pen; a word; the rest.
_HEAD = re.compile(r"([2-9]|[1-9]\d{1,3})( ?)([A-Za-z]{1,12}) (?=[A-Za-z])")
_NUMBER = re.compile(rf"[\d{VULGAR}%]")
# Units that say the same of the food they measure, with a space before them or not; of others the sign counts too.
_SAME = {"g": "g", "kg": "g", "oz": "oz", "lb": "oz", "ml": "ml", "cl": "ml", "dl": "ml", "l": "ml"}


class Head(NamedTuple):
    """The number and the unit at the head of a line, and what they leave: how it is measured, all the other words."""

    number: float
    unit: str
    alike: tuple[str, str]


def plain_amount(text: str) -> Head | None:
    """The amount of a line that begins with a number and a unit, and has no other number."""
    found = _HEAD.match(text)
    if found is None:
        return None
    number, space, word = found.groups()
    unit, rest = UNITS.get(word.lower()), text[found.end() :]
    if unit is None or _NUMBER.search(rest):
        return None
    return Head(float(number), unit.name, (_SAME.get(word, space + word), rest))


def only_amount(reading: Reading, head: Head) -> bool:
    """Whether a line was read to be of so much and no more: another amount would change nothing but that."""
    others = (reading.quantity_max, reading.pack, reading.other, reading.drained)
    alone = all(one is None for one in others) and not (reading.remarks or reading.added or reading.in_doubt)
    return alone and (reading.quantity, reading.unit) == (head.number, head.unit)


def with_amount(reading: Reading, text: str, head: Head) -> Reading:
    """The reading of a line that differs from one that was read in its amount alone."""
    return replace(reading, text=text, quantity=head.number, unit=head.unit, worded=reading.worded or reading.text)
