"""The font that goes with every page, so that a page looks the same whatever is installed where it is opened.

Arimo (SIL Open Font License 1.1, ``fonts/OFL.txt``), cut down to the letters and signs of a recipe by
tests/derive/font.py. A page carries it in itself: it is one file, may be sent on, and asks for nothing. What the font
lacks is drawn by whatever the machine has.
"""

from __future__ import annotations

import base64
from functools import cache
from importlib.resources import files

from nutrilab.datafiles import rows
from nutrilab.sheets.safe import ELLIPSIS

FAMILY = "Arimo"
_WEIGHTS = {"regular": 400, "bold": 700}
_UNKNOWN = 1000  # [1/1000 of the size] of a letter the font lacks: the widest scripts fill a square


@cache
def faces() -> str:
    """The rules of a style sheet that bring the font in, as data."""
    return "\n".join(
        f"@font-face {{ font-family: {FAMILY}; font-weight: {weight}; "
        f'src: url("data:font/woff2;base64,{_data(name)}") format("woff2"); }}'
        for name, weight in _WEIGHTS.items()
    )


def _data(name: str) -> str:
    font = files("nutrilab.sheets") / "fonts" / f"arimo-{name}.woff2"
    return base64.b64encode(font.read_bytes()).decode("ascii")


@cache
def _widths(face: str = "regular") -> dict[str, int]:
    return {chr(int(row["code"], 16)): int(row[face]) for row in rows("letter_widths.csv")}


def drawn(text: str) -> bool:
    """Whether the shipped font has every letter of a text."""
    return set(text) <= _widths().keys()


def width(text: str, size: float, face: str = "regular") -> float:
    """How wide a text is in the shipped font [same unit as size]; size: of its letters; face: "regular" or "bold"."""
    known = _widths(face)
    return sum(known.get(letter, _UNKNOWN) for letter in text) * size / 1000


def fitted(text: str, size: float, room: float) -> str:
    """A text that takes no more than the room [same unit as size]; a longer one is cut and ends in an ellipsis."""
    if width(text, size) <= room:
        return text
    return text[: _fitting(text, size, room - width(ELLIPSIS, size))].rstrip() + ELLIPSIS


def _fitting(text: str, size: float, room: float, face: str = "regular") -> int:
    """How many letters of a text go into the room."""
    for number, letter in enumerate(text):
        room -= width(letter, size, face)
        if room < 0:
            return number
    return len(text)


def wrapped(text: str, size: float, room: float, face: str = "regular") -> list[str]:
    """A text in lines that take no more than the room, broken at blanks; a word wider than it, wherever it must be.

    Nothing is left out, but for the blanks at which it breaks.
    """
    lines, line = [], ""
    for word in text.split(" "):
        longer = f"{line} {word}" if line else word
        if width(longer, size, face) <= room:
            line = longer
            continue
        if line:
            lines.append(line)
        while width(word, size, face) > room and len(word) > 1:
            end = max(1, _fitting(word, size, room, face))
            lines.append(word[:end])
            word = word[end:]
        line = word
    return [*lines, line] if line else lines
