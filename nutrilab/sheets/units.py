"""A unit stays on the line of its number, and a number on that of what it counts, in every output alike."""

from __future__ import annotations

import re

NO_BREAK = "\u00a0"
# What this tool writes behind a number: units of the declaration and of the kitchen.
_UNIT = r"(?:kJ|kcal|kg|g|mg|µg|ml|cl|l|litres?|cm|mm|min|minutes?|tsp|tbsp|portions?)\b|%"
_PAIR = re.compile(
    rf"(?<=[\d¼½¾⅓⅔⅛]) (?={_UNIT})|(?<=\bline) (?=\d)|(?<=\blines) (?=\d)|(?<=\bper) (?=100\b)|(?<=[<≈−]) (?=\d)"
)


def together(text: str, space: str = NO_BREAK) -> str:
    """The text with a space that does not break between a number and its unit, and between "line" and its number.

    space: what stands there, for an output that breaks lines at the common sign all the same.
    """
    return _PAIR.sub(space, text)
