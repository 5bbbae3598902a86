"""Ingredient text to quantity, unit, name, preparation and remarks."""

from nutrilab.lines.parse import parse_line
from nutrilab.lines.values import NO_AMOUNT, Amount, ParsedLine, Purpose

__all__ = ["NO_AMOUNT", "Amount", "ParsedLine", "Purpose", "parse_line"]
