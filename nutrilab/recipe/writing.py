"""Texts and numbers as a recipe file has them: what is written reads back as the same."""

from __future__ import annotations

import re
from decimal import Decimal

from nutrilab.plain import two_numbers

_PLAIN = re.compile(r"[A-Za-z0-9½⅓⅔¼¾⅛(][A-Za-z0-9½⅓⅔¼¾⅛ ()/,.;'’%&+*°éèêâîôûçñï–-]*")
_WORDS = frozenset(("null", "true", "false", "yes", "no", "on", "off"))


def number(value: float) -> str:
    """A number in digits that reads back as the same, and that nobody can read as another ("1.500")."""
    digits = format(Decimal(repr(float(value))), "f")
    digits = digits.rstrip("0").rstrip(".") if "." in digits else digits
    return f"{digits}0" if two_numbers(digits) else digits


def percent(share: float) -> str:
    """A share in hundredths."""
    return number(float(Decimal(repr(float(share))) * 100))


def scalar(text: str) -> str:
    """A text as a value of YAML that reads back as the same: as it is where nothing in it has a meaning there."""
    if _PLAIN.fullmatch(text) and text.lower() not in _WORDS and text == text.strip():
        return text
    return '"' + "".join(map(_escaped, text)) + '"'


def flow_scalar(text: str) -> str:
    """`scalar` between braces, where a comma parts values."""
    plain = scalar(text)
    return f'"{plain}"' if "," in plain and not plain.startswith('"') else plain


def _escaped(character: str) -> str:
    if character in '"\\':
        return "\\" + character
    if character.isprintable():
        return character
    code = ord(character)
    return f"\\x{code:02x}" if code < 256 else f"\\u{code:04x}" if code < 65536 else f"\\U{code:08x}"
