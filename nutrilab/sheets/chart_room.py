"""How much room the chart of allergens has: columns of a terminal, letters on a sheet of paper.

A chart for a wall is as large as its sheet allows. Letters that stand 1/200 to 1/300 of the distance high read at ease
(common practice, no source): 7 to 10 mm at two metres. An eye of visual acuity 1.0 just reads 5 minutes of arc (the
optotype of ISO 8596, from memory): 2.9 mm at two metres; docs/files.md says which charts reach that.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import product
from math import ceil

from nutrilab.sheets import lettering

MOST_COLUMNS = 6  # dishes a table of a terminal
GAP = 2  # characters between two columns
LONGEST_WORD = 20  # characters
POINT = 25.4 / 72  # [mm]
LEAST = 7.0  # [pt] of any letter on A4; on a larger sheet as much larger
MENU, LEAST_OF_MENU = 40, 6.0  # so many dishes stand on one sheet, if letters of so many points in its table hold them
TIMES, TIMES_MARKED = 1.25, 2.0  # a name is at most so many times as large as the words in the cells
ROW_GAP = 0.6  # [mm] of white and line between two rows on A4
GIVEN = 0.8  # of the largest mark, where the names can use the rest
WIDER = (1.1, 1.5, 2.4)  # how much wider a column may be that holds names of cereals or nuts
MARGIN = 6.0  # [mm] that printers leave white on A4; common practice, no source
LEADING = 1.12  # height of a line of text, in letters' sizes
FRAME = 0.9  # both sides of the frame round a word and the white in it, in sizes of the word
TALL = 1.04  # a word without its frame, in its own size
THIN, THICK = 0.14, 0.5  # how thick the frame of what is contained is above and below, in sizes of the word
LEAST_MARK = 1.2  # a mark smaller than this, in sizes of the word, says no more than the word
CAP = 0.716  # height of a capital letter of the font, in its size (OS/2 table of Arimo)
HIGHEST_ROW = 30.0  # [mm] on A4: a single dish need not fill the sheet
_PARTS = re.compile(r"[^-–—/?!]+[-–—/?!]*|[-–—/?!]+")


@dataclass(frozen=True, slots=True)
class Paper:
    """A sheet lying on its long side [mm]; times: how much larger than A4."""

    width: float
    height: float

    @property
    def times(self) -> float:
        return self.height / 210


PAPERS = {"a4": Paper(297, 210), "a3": Paper(420, 297)}  # ISO 216


@dataclass(frozen=True, slots=True)
class Shape:
    """What a cell holds, each word by its width [in its size].

    tags: words with a frame of their own; note: what stands behind them; column: 0, or which of the wide ones it is of.
    """

    tags: tuple[float, ...]
    note: tuple[float, ...] = ()
    column: int = 0


@dataclass(frozen=True, slots=True)
class Line:
    """A row: the words of its name, and its cells that are not empty."""

    name: tuple[float, ...]
    cells: tuple[Shape, ...]


@dataclass(frozen=True, slots=True)
class Surround:
    """What stands on every sheet besides the rows: heads of the columns, texts of legend and foot.

    wide: how many of the columns hold names too.
    """

    heads: tuple[str, ...]
    wide: int
    legend: tuple[str, ...]
    foot: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Fit:
    """Sizes of letters [mm], columns and heads [mm], and for every sheet the heights of its rows [mm].

    marks: 0 where there is no room for one above the word of a cell; thick: the frame of what is contained, above and
    below its word; columns: an ordinary one, then the wide ones.
    """

    names: float
    words: float
    marks: float
    thick: float
    small: float
    title: float
    name_column: float
    columns: tuple[float, ...]
    head: float
    margin: float
    sheets: tuple[tuple[float, ...], ...]


def columns(names: Sequence[str], room: int) -> list[list[int]]:
    """For every table of a terminal the widths of its columns [characters], as many as leave the words of names whole.

    room: of a line, beside the allergens' names.
    """
    tables: list[list[str]] = []
    left = 0
    for name in names:
        taken = _longest(name) + GAP
        if not tables or taken > left or len(tables[-1]) == MOST_COLUMNS:
            tables.append([])
            left = room
        tables[-1].append(name)
        left -= taken
    return [_drawn_out(some, room) for some in tables]


def _drawn_out(names: Sequence[str], room: int) -> list[int]:
    least = [_longest(name) for name in names]
    more = max(0, room - sum(least) - GAP * len(names)) // len(names)
    return [max(wide, min(wide + more, len(name))) for wide, name in zip(least, names, strict=True)]


def _longest(name: str) -> int:
    """How wide a dish's column must be [characters]: its longest word is whole, unless no menu has a word like it."""
    return min(max(map(len, ("check", *name.split()))), LONGEST_WORD)


def em(text: str, face: str = "bold") -> tuple[float, ...]:
    """Widths of the words of a text, and of the parts of words that a line may break between [in its size]."""
    return tuple(lettering.width(part, 1, face) for word in text.split() for part in _PARTS.findall(word))


def lines(words: Iterable[float], room: float, space: float) -> int:
    """How many lines some words take; room and space in the unit of the words. A word too wide is broken."""
    count, left = 1, room
    for word in words:
        if word > left and left < room:
            count, left = count + 1, room
        if word > room:
            broken = ceil(word / room)
            count, word = count + broken - 1, word - (broken - 1) * room
        left -= word + space
    return count


def fit(rows: Sequence[Line], paper: Paper, around: Surround) -> Fit:
    """The largest letters with which the rows stand on as few sheets as keep them at the least or above."""
    if len(rows) <= MENU:
        best = _best([rows], paper, around, LEAST_OF_MENU)
        if best is not None:
            return _filled(_enlarged(best, [rows]), [rows], paper)
    lowest = (LEAST * LEADING * POINT + ROW_GAP) * paper.times
    first = ceil(len(rows) * lowest / paper.height)  # fewer sheets could not hold them whatever they say
    for number in range(max(1, first), max(1, len(rows)) + 1):
        share = max(1, ceil(len(rows) / number))
        sheets = [rows[start : start + share] for start in range(0, max(1, len(rows)), share)]
        best = _best(sheets, paper, around, LEAST)
        if best is not None:
            return _filled(_enlarged(best, sheets), sheets, paper)
    least = LEAST * POINT * paper.times  # rows of which one alone is too high: its sheet runs over
    return _filled(_Try(paper, around, 60 * paper.times, (1.5,) * around.wide, least), [[row] for row in rows], paper)


class _Try:
    """A way to divide a sheet: the width of the names' column, how much wider the wide ones are, the names' size."""

    def __init__(
        self, paper: Paper, around: Surround, name_column: float, wider: tuple[float, ...], names: float
    ) -> None:
        inner = paper.width - 2 * MARGIN * paper.times
        column = (inner - name_column) / (len(around.heads) - len(wider) + sum(wider))
        self.name_column, self.names = name_column, names
        self.columns = (column, *(column * times for times in wider))
        self.gap = ROW_GAP * paper.times
        self.widest = (column - self.gap) / (lettering.width("contains", 1, "bold") + FRAME)
        self.words = min(names, self.widest)
        self.small = LEAST * POINT * paper.times
        self.head = names * (max(em(head)[0] for head in around.heads) + 0.4) + 0.6 * paper.times
        self._paper, self._around, self._wider = paper, around, wider

    def named(self, names: float) -> _Try:
        """The same with names of another size [mm]."""
        return _Try(self._paper, self._around, self.name_column, self._wider, names)

    def body(self, tall: float) -> float:
        """What is left for rows [mm]; tall: a word in its frame, with its mark [mm]."""
        paper, small = self._paper, self.small
        inner = paper.width - 2 * MARGIN * paper.times
        room = inner / len(self._around.legend) - (4.2 + FRAME) * self.words - 2 * self.gap
        legend = max(lines(em(text, "regular"), room / small, 0.28) for text in self._around.legend) * LEADING * small
        foot = sum(lines(em(text), inner / small, 0.28) for text in self._around.foot) * LEADING * small
        around = self.head + max(legend, tall) + foot + 5.5 * paper.times
        return paper.height - 2 * MARGIN * paper.times - around

    def tall(self, marks: float = 0.0, thick: float = THIN) -> float:
        """How high a word stands in its frame [mm]; marks: size of the mark above it [mm]; thick: see `THIN`."""
        return marks + (TALL + 2 * thick) * self.words

    def heights(self, rows: Sequence[Line], tall: float, marked: bool) -> list[float]:
        """The least height of each row [mm]."""
        cells = {shape: self._cell(shape, tall, marked) for row in rows for shape in row.cells}
        room = (self.name_column - 2 * self.gap) / self.names
        return [
            self.gap
            + max(
                lines(row.name, room, 0.28) * LEADING * self.names,
                max((cells[shape] for shape in row.cells), default=0.0),
            )
            for row in rows
        ]

    def _cell(self, shape: Shape, tall: float, marked: bool) -> float:
        room = (self.columns[shape.column] - self.gap) / self.words
        tags = [min(tag + FRAME, room) for tag in shape.tags]
        if marked:  # one below the other
            framed, count = len(tags), len(tags) + (lines(shape.note, room, 0.28) if shape.note else 0)
        else:
            framed, count = lines(tags, room, 0.28) if tags else 0, lines((*tags, *shape.note), room, 0.28)
        return framed * tall + (count - framed) * (TALL + 2 * THIN) * self.words

    def holds(self, sheets: Sequence[Sequence[Line]], marks: float = 0.0, thick: float = THIN) -> bool:
        tall = self.tall(marks, thick)
        body = self.body(tall)
        return all(sum(self.heights(rows, tall, marks > 0)) <= body for rows in sheets)


def _best(sheets: Sequence[Sequence[Line]], paper: Paper, around: Surround, points: float) -> _Try | None:
    """The division with the largest letters of names and words, as a product; None where the least do not fit.

    points: the least of letters in the table [pt] on A4.
    """
    best: _Try | None = None
    least = points * POINT * paper.times
    for name_column, *wider in product(range(36, 104, 4), *(WIDER for _ in range(around.wide))):
        of = partial(_Try, paper, around, name_column * paper.times, tuple(wider))
        most = TIMES * of(least).widest
        low = least if best is None else max(least, best.names * best.words / of(least).widest)
        if of(least).widest < least or most <= low or not of(low).holds(sheets):
            continue
        found = of(_largest(partial(_holds, of, sheets), low, most))
        if best is None or found.names * found.words > best.names * best.words:
            best = found
    return best


def _holds(of: Callable[[float], _Try], sheets: Sequence[Sequence[Line]], names: float) -> bool:
    return of(names).holds(sheets)


def _largest(holds: Callable[[float], bool], low: float, high: float) -> float:
    """The largest size that holds, between one that does and one that need not, to 1/250 of what is between."""
    for _ in range(8):
        middle = (low + high) / 2
        low, high = (middle, high) if holds(middle) else (low, middle)
    return low


def _marks(one: _Try, sheets: Sequence[Sequence[Line]]) -> float:
    """The largest marks there is room for [mm]; 0 where they would be too small to help."""
    least, most = LEAST_MARK * one.words, min(0.7 * one.columns[0], 3 * one.words)
    if not one.holds(sheets, least, THICK / 2):
        return 0.0
    return _largest(lambda size: one.holds(sheets, size, THICK / 2), least, most)


def _enlarged(one: _Try, sheets: Sequence[Sequence[Line]]) -> _Try:
    """With larger names, where the marks leave room for them."""
    marks = GIVEN * _marks(one, sheets)
    if marks < LEAST_MARK * one.words:
        return one

    def holds(names: float) -> bool:
        return one.named(names).holds(sheets, marks, THICK / 2)

    return one.named(_largest(holds, one.names, TIMES_MARKED * one.words))


def _filled(one: _Try, sheets: Sequence[Sequence[Line]], paper: Paper) -> Fit:
    """The marks as large as room is left for, and the rows drawn out over the sheet."""
    marks, thick = _marks(one, sheets), THICK / 2
    if not marks:
        thick = _largest(lambda size: one.holds(sheets, 0.0, size), THIN, THICK) if one.holds(sheets) else THIN
    tall = one.tall(marks, thick)
    body = one.body(tall)
    needs = [one.heights(rows, tall, marks > 0) for rows in sheets]
    more = min(((body - sum(need)) / max(1, len(need)) for need in needs), default=0.0)
    top = HIGHEST_ROW * paper.times
    drawn = tuple(tuple(max(high, min(high + max(more, 0), top)) for high in need) for need in needs)
    title = min(one.name_column / 5.4, (one.head - 6 * paper.times) / 2.4)
    return Fit(
        names=one.names,
        words=one.words,
        marks=marks,
        thick=thick * one.words,
        small=one.small,
        title=title,
        name_column=one.name_column,
        columns=one.columns,
        head=one.head,
        margin=MARGIN * paper.times,
        sheets=drawn,
    )
