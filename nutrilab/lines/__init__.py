"""Ingredient text to quantity, unit, name, preparation and remarks."""

from nutrilab.lines.parse import parse_line
from nutrilab.lines.values import Amount, ParsedLine

__all__ = ["Amount", "ParsedLine", "parse_line"]
