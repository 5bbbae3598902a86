"""Ingredient text to quantity, unit, name, preparation and remarks."""

from nutrilab.lines.parse import parse_line
from nutrilab.lines.values import Amount, Purpose, Reading

__all__ = ["Amount", "Purpose", "Reading", "parse_line"]
