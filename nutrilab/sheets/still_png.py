"""A still as a PNG with a clear ground, through Pillow and in the shipped letters alone; needs the extra ``still``."""

from __future__ import annotations

import io
import unicodedata
from functools import cache
from importlib.resources import files
from importlib.util import find_spec
from typing import TYPE_CHECKING

from nutrilab.messages import say
from nutrilab.plain import quoted
from nutrilab.remarks import InputError
from nutrilab.sheets.lettering import drawn, width
from nutrilab.sheets.still import Still

if TYPE_CHECKING:
    from PIL.ImageFont import FreeTypeFont

_WRITTEN = ("L", "N")  # kinds of characters that a word cannot do without: letters and numbers


def to_png(still: Still) -> bytes:
    """The picture, eight bits a channel with alpha; the same still gives the same bytes for one version of Pillow.

    Raises InputError: Pillow is not installed, or the shipped font lacks a letter of the dish's name.
    """
    texts = drawable(still)
    from PIL import Image, ImageDraw

    picture = Image.new("RGBA", (still.shape.width, still.shape.height), (0, 0, 0, 0))
    pen = ImageDraw.Draw(picture)
    for box in still.boxes:
        ends = (round(box.x), round(box.y), round(box.x + box.width) - 1, round(box.y + box.height) - 1)
        pen.rectangle(ends, fill=box.fill)
    for line, text in zip(still.lines, texts, strict=True):
        x = line.x
        for letter in text:  # each in its place: Pillow rounds the width of letters to whole pixels, and a line adds up
            pen.text((x, line.y), letter, fill=line.fill, font=_font(line.face, line.size), anchor="ls")
            x += width(letter, line.size, line.face)
    held = io.BytesIO()
    picture.save(held, "PNG", optimize=True)
    return held.getvalue()


def drawable(still: Still) -> list[str]:
    """The lines of a still in letters the shipped font has. Raises InputError as `to_png`, before anything is drawn."""
    if find_spec("PIL") is None:
        raise InputError(say("still.no-pillow"))
    return [_drawable(line.text) for line in still.lines]


@cache
def _font(face: str, size: float) -> FreeTypeFont:
    from PIL import ImageFont

    data = (files("nutrilab.sheets") / "fonts" / f"arimo-{face}.woff2").read_bytes()
    return ImageFont.truetype(io.BytesIO(data), size, layout_engine=ImageFont.Layout.BASIC)


def _drawable(text: str) -> str:
    """A text in letters the shipped font has: "ở" as "o"; a sign that it lacks, such as a small picture, is left out.

    Raises InputError for a letter or number that it has none for.
    """
    kept = ""
    for one in text:
        near = one if drawn(one) else "".join(filter(drawn, unicodedata.normalize("NFKD", one)))
        if not near and unicodedata.category(one)[0] in _WRITTEN:
            raise InputError(say("still.no-letter", letter=quoted(one)))
        kept += near
    return kept
