"""A still of a dish: its answer on an opaque panel over a clear ground, to lay over a film or to put on a page.

Places and sizes only, in pixels of the picture; the template still.svg.j2 and still_png.py draw the same of them.

What players and screens may cover stays free: a twentieth of the picture on every side. That is the safe area for
titles of SMPTE ST 2046-1:2009 (90 % of width and height) and the one for graphics of EBU R 95 (5 % a side for 16:9);
both from memory. For a square picture no standard says it: the same share, common practice, no source.

Letters keep to what a telephone shows well: at a width of 360 px the smallest is 11.25 px high (common practice, no
source), a thirty-second of the picture's width. Only where not all would fit are they smaller, and `too_small` says so.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from nutrilab.messages import say
from nutrilab.results import DishResult
from nutrilab.sheets.answer import Answer, answer, sentence
from nutrilab.sheets.lettering import width, wrapped

SAFE = 0.05  # share of width and of height that stays free on every side
PHONE = 360  # [px] a telephone's width
INK, PAPER = "#16191d", "#ffffff"  # WCAG 2.1, 1.4.3: 17.6 to 1
_GROWTH = (1.3, 1.2, 1.1, 1.0)  # letters to try while the panel leaves most of the picture free
_FREE = 0.45  # share of the height between the margins that it leaves free, where letters would be larger than needed
_SHRINK = 0.97  # from one try to the next
_UP, _DOWN = 0.905, 0.212  # how far Arimo reaches from the foot of its letters [1 = their size]
_FIGURE = re.compile(r"(?<=\d) (?=kcal|kJ|g\b)")  # a unit never parts from its number
_JOINED = "\u00a0"


@dataclass(frozen=True, slots=True)
class Shape:
    """Width and height of a picture [px]."""

    width: int
    height: int

    @property
    def smallest(self) -> float:
        """Letters that a telephone still shows well [px]."""
        return self.width / 32

    @property
    def safe(self) -> tuple[float, float, float, float]:
        """Left, top, right, bottom of what is never covered [px]."""
        aside, above = SAFE * self.width, SAFE * self.height
        return aside, above, self.width - aside, self.height - above


SHAPES = {"wide": Shape(1920, 1080), "square": Shape(1080, 1080)}


@dataclass(frozen=True, slots=True)
class Box:
    """A filled rectangle [px]."""

    x: float
    y: float
    width: float
    height: float
    fill: str


@dataclass(frozen=True, slots=True)
class Line:
    """A line of text: where it begins on its foot, size of its letters, how wide they are [px]."""

    text: str
    x: float
    y: float
    size: float
    width: float
    face: str
    fill: str


@dataclass(frozen=True, slots=True)
class Still:
    """A picture; boxes and lines in the order they are drawn. words: all it says, for those who do not see it."""

    shape: Shape
    title: str
    words: str
    boxes: tuple[Box, ...]
    lines: tuple[Line, ...]

    @property
    def smallest(self) -> float:
        """Its smallest letters [px]."""
        return min(line.size for line in self.lines)


@dataclass(frozen=True, slots=True)
class _Spacing:
    """In sizes of the smallest letters: the panel's frame, its inside margin, between parts; in sizes of a line's own
    letters: its height. equal: whether all letters are of one size; link: whether the address of the kitchen is shown;
    packs: whether it says which packs to look at.
    """

    frame: float
    margin: float
    gap: float
    leading: float
    equal: bool = False
    link: bool = True
    packs: bool = False


_EASY, _TIGHT = _Spacing(0.1, 0.6, 0.3, 1.2), _Spacing(0.1, 0.4, 0.16, _UP + _DOWN, equal=True)
_NAMED = replace(_EASY, packs=True)  # the names of packs give way before room or letters do
_BARE = replace(_TIGHT, link=False)  # an address gives way before letters do


@dataclass(frozen=True, slots=True)
class _Part:
    """What stands together, its letters so many times the smallest; band: white on ink, not to be overlooked."""

    text: str
    times: float = 1.0
    face: str = "regular"
    fill: str = INK
    band: bool = False


def still(result: DishResult, shape: str = "wide") -> Still:
    """The still of a dish; shape: a key of `SHAPES`. All that is said of allergens is in it, whatever its length."""
    told, form = answer(result), SHAPES[shape]
    for size, spacing, room in _tries(form):
        boxes, lines, height = _laid(_parts(told, spacing), form, size, spacing)
        if height <= room:
            break
    told = told.with_packs if spacing.packs else told
    words = " ".join((*map(sentence, filter(None, (told.incomplete, told.portion, *told.allergens))), told.caution))
    return Still(form, told.dish, f"{words} {told.more}".rstrip(), boxes, lines)


def too_small(result: DishResult, shape: str) -> str | None:
    """What is to be said where letters had to be smaller than a telephone shows well."""
    drawn = still(result, shape)
    if drawn.smallest >= drawn.shape.smallest:
        return None
    shown = drawn.smallest * PHONE / drawn.shape.width
    return say("still.too-small", dish=drawn.title, size=f"{shown:.1f}", width=PHONE)


def _tries(shape: Shape) -> Iterator[tuple[float, _Spacing, float]]:
    """Smallest letters [px], how they stand, the height they may take [px]: to be tried until all fits."""
    _, top, _, bottom = shape.safe
    room = bottom - top
    yield from ((shape.smallest * growth, _NAMED, room * (1 - _FREE)) for growth in _GROWTH)
    yield shape.smallest, _NAMED, room
    yield from ((shape.smallest * growth, _EASY, room * (1 - _FREE)) for growth in _GROWTH)
    yield shape.smallest, _EASY, room
    yield shape.smallest, _TIGHT, room
    size = shape.smallest
    while True:
        yield size, _BARE, room
        size *= _SHRINK


def _parts(told: Answer, spacing: _Spacing) -> list[_Part]:
    """What stands on the panel, from above."""
    dish, portion = (1.0, 1.0) if spacing.equal else (1.25, 1.4)
    told = told.with_packs if spacing.packs else told
    parts = [
        _Part(told.dish, dish, "bold"),
        _Part(_shown(told.portion), portion, "bold"),
        _Part(_shown(told.contains), face="bold", fill=PAPER, band=True),
        *(_Part(_shown(clause)) for clause in (told.check, told.may) if clause),
        _Part(f"{told.caution} {told.more if spacing.link else ''}".rstrip()),
    ]
    first = [_Part(_shown(told.incomplete), face="bold", fill=PAPER, band=True)] if told.incomplete else []
    return [*first, *parts]


def _shown(clause: str) -> str:
    """A clause that stands by itself: a capital, no stop."""
    return sentence(clause).removesuffix(".")


def _laid(
    parts: Sequence[_Part], shape: Shape, size: float, spacing: _Spacing
) -> tuple[tuple[Box, ...], tuple[Line, ...], float]:
    """Boxes and lines of the panel, at the foot of what is never covered, and its height [px].

    A band takes the panel's whole width, and its upper margin where it is the first.
    """
    left, _, right, bottom = shape.safe
    frame, margin, gap = spacing.frame * size, spacing.margin * size, spacing.gap * size
    inside = [wrapped(_joined(part.text), part.times * size, right - left - 2 * margin, part.face) for part in parts]
    heights = [
        len(lines) * part.times * size * spacing.leading + (2 * gap if part.band else 0.0)
        for part, lines in zip(parts, inside, strict=True)
    ]
    above = gap if parts[0].band else margin
    height = above + sum(heights) + (len(parts) - 1) * gap + margin
    boxes = [
        Box(left, bottom - height, right - left, height, INK),
        Box(left + frame, bottom - height + frame, right - left - 2 * frame, height - 2 * frame, PAPER),
    ]
    laid: list[Line] = []
    y = bottom - height + above
    for number, (part, lines, high) in enumerate(zip(parts, inside, heights, strict=True)):
        if part.band:
            over = y if number else bottom - height
            boxes.append(Box(left, over, right - left, y + high - over, INK))
        laid += _lines(part, lines, left + margin, y + (gap if part.band else 0.0), part.times * size, spacing.leading)
        y += high + gap
    return tuple(boxes), tuple(laid), height


def _lines(part: _Part, texts: Sequence[str], x: float, y: float, size: float, leading: float) -> Iterator[Line]:
    """Lines of a part from a place downwards; size: of its letters [px]; leading: height of a line in sizes."""
    foot = y + size * (leading - _UP - _DOWN) / 2 + size * _UP
    for number, text in enumerate(texts):
        wide = width(text, size, part.face)
        yield Line(text.replace(_JOINED, " "), x, foot + number * leading * size, size, wide, part.face, part.fill)


def _joined(text: str) -> str:
    """A text whose letters are whole ("é", not "e" and an accent), with each unit tied to its number."""
    return _FIGURE.sub(_JOINED, unicodedata.normalize("NFC", text))
