"""The grammar of a pack's ingredients text: items, bracket groups, headings, statements, emphasis.

    text      = sentence { "." sentence }
    sentence  = segment { ("," | ";") segment }
    segment   = [ statement ] words { group words }
    group     = "(" text ")"           round, square or curly, nested
    statement = "contains" | "may contain" | "made in a factory" | "free from" | ...    (pack_statements.csv)

Regulation (EU) No 1169/2011: ingredients in descending weight (Article 18), a compound ingredient shows its own in
brackets (Annex VII part E), percentages stand beside what is in the name (Article 22), allergens are emphasised
(Article 21). A statement ends with its sentence or its bracket. Reading is one pass: time grows with the length.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field, replace

from nutrilab.allergens.pack_marks import emphasised_words, plain_text
from nutrilab.allergens.pack_statements import Mode, Start, mode_of, pointer_end, starts

_DEEPEST = 12  # brackets in brackets; a pack has three, what is deeper is read as if side by side
_TOKEN = re.compile(r"[()\[\]{}]|[,;•·|]|\.(?=\s|$|[^\W\d_])|[!?]|\n|(?:[^()\[\]{},;•·|.!?\n]|\.(?!\s|$|[^\W\d_]))+")
_PERCENT = re.compile(r"(?<![\d.,])(\d{1,3}(?:[.,]\d{1,4})?)\s{0,3}%")
_PERCENT_ALONE = re.compile(r"[(\[]\s{0,3}(\d{1,3}(?:[.,]\d{1,4})?)\s{0,3}%\s{0,3}[)\]]")  # "(2,5 %)" is no bracket
_SHORT = re.compile(r"\b(e\.g\.|i\.e\.|etc\.|incl\.|approx\.|no\.(?=\s?\d)|vit\.)", re.I)
_EDGES = " :.-*†‡§#¹²³+_'\"“”‘’=\t\r\n"
_OPEN = "([{"
_BRACKET = re.compile(r"[()\[\]{}]")
_PARTING = frozenset(",;•·|()[]{}")


@dataclass(frozen=True, slots=True)
class Item:
    """One ingredient of a pack: its name, its percentage [%] if given, its own ingredients."""

    name: str
    percent: float | None = None
    parts: tuple[Item, ...] = ()


@dataclass(frozen=True, slots=True)
class Label:
    """A pack's ingredients text as read.

    items: what is listed; joined: names that stand around a bracket, read across it ("oyster (24%) sauce");
    emphasised: words in bold, asterisks, underscores or capitals, none of them inside a "may contain";
    contains, may: what its "contains" and "may contain" statements name, as written; mentioned: how to serve it.
    """

    items: tuple[Item, ...] = ()
    joined: tuple[str, ...] = ()
    emphasised: tuple[str, ...] = ()
    contains: tuple[str, ...] = ()
    may: tuple[str, ...] = ()
    mentioned: tuple[str, ...] = ()


@dataclass(slots=True)
class _Group:
    """A bracket, or the whole text, while it is read.

    base: the mode it began with, to which a sentence returns; mode: that of the words now read; named: whether the
    statement now read has named something; fresh: whether a segment begins here, begun: whether its sentence has;
    until: place up to which a pointer to the bold words reaches; pieces: the names of the item now read, each with
    its own ingredients.
    """

    base: Mode = "list"
    mode: Mode = "list"
    named: bool = False
    fresh: bool = True
    begun: bool = False
    until: int = 0
    items: list[Item] = field(default_factory=list)
    pieces: list[Item] = field(default_factory=list)


def read_label(text: str, names_allergen: Callable[[str], bool]) -> Label:
    """Read a pack's ingredients text. Never raises; time grows with its length.

    names_allergen: whether some words name one of the 14; what is "contained" and is none of them is an ingredient.
    """
    text = _SHORT.sub(lambda m: m[0].replace(".", ""), text)
    text = _PERCENT.sub(_with_point, _PERCENT_ALONE.sub(_with_point, text))
    plain, spans = plain_text(text)
    reader = _Reader(plain, names_allergen)
    reader.read()
    emphasised = emphasised_words(plain, spans, reader.quiet)
    items = tuple(reader.groups[0].items)
    contains, may, mentioned = tuple(reader.contains), tuple(reader.may), tuple(reader.mentioned)
    return Label(items, tuple(reader.joined), emphasised, contains, may, mentioned)


def _with_point(percent: re.Match[str]) -> str:
    return f" {percent[1].replace(',', '.')}% "


class _Reader:
    """Reads one text from left to right."""

    def __init__(self, text: str, names_allergen: Callable[[str], bool]) -> None:
        self.text, self.names_allergen = text, names_allergen
        self.begins = starts(text)
        self.groups = [_Group()]
        self.joined: list[str] = []
        self.contains: list[str] = []
        self.may: list[str] = []
        self.mentioned: list[str] = []
        self.quiet: list[tuple[int, int]] = []  # headings, "may contain", claims: their emphasis counts for nothing

    def read(self) -> None:
        """Read the whole text."""
        pairs = _pairs(self.text)
        for token in _TOKEN.finditer(self.text):
            mark, at = token[0], token.start()
            if at in pairs:
                self._open() if mark in _OPEN else self._close()
            elif mark in _PARTING:
                self._part(at)
            elif mark in ".!?":
                self._end()
            elif mark == "\n":
                self._line_end()
            else:
                self._words(at, token.end())
        self._end()

    # -- words ----------------------------------------------------------------------------------------

    def _words(self, start: int, end: int) -> None:
        """Words up to the next mark, with the statements that begin among them."""
        at = start
        while self.begins and self.begins[-1].start < end:
            begin = self.begins.pop()
            alone = self.groups[-1].fresh and not self.text[at : begin.start].strip(_EDGES)
            if begin.start >= at and (alone or begin.place == "any") and self._may_begin(begin):
                self._say(at, begin.start)
                self._turn(begin)
                at = begin.end
        self._say(at, end)

    def _may_begin(self, begin: Start) -> bool:
        """How to cook or serve it is told in a sentence of its own, behind what is listed."""
        group = self.groups[-1]
        return begin.kind != "use" or (len(self.groups) == 1 and bool(group.items) and not group.begun)

    def _turn(self, begin: Start) -> None:
        """A statement or a heading begins."""
        group = self.groups[-1]
        self._item_ends()
        self.quiet.append((begin.start, begin.end))  # "CONTAINS" in capitals is no allergen
        group.mode, group.named, group.until = mode_of(self.text, begin), False, 0
        if begin.kind == "advice" and (until := pointer_end(self.text, begin.start)):
            group.mode, group.until = "free", until
        elif group.mode == "free" and group.begun:
            group.mode = "claim"

    def _say(self, start: int, end: int) -> None:
        """Words with no statement in them, read as the mode has it."""
        group = self.groups[-1]
        words = self.text[start:end].strip(_EDGES)
        if not words:
            return
        group.fresh, group.begun = False, True
        first, group.named = not group.named, True
        if group.mode in ("list", "done"):
            group.pieces.append(_item(words))
        elif group.mode == "use":
            self.quiet.append((start, end))
            self.mentioned.append(words)
        elif group.mode == "contains":
            self._contained(group, words, first)
        else:
            self.quiet.append((start, end))
            if group.mode == "may":
                self.may.append(words)
            if group.mode == "claim" or (first and self._ends_with_comma(group, words)):
                group.mode = "done"

    def _contained(self, group: _Group, words: str, first: bool) -> None:
        """What is "contained": an allergen, or one more ingredient ("contains caffeine") with more to follow."""
        if first and not self.names_allergen(words):
            group.mode = "list"
            group.pieces.append(_item(words))
        else:
            self.contains.append(words)

    def _ends_with_comma(self, group: _Group, words: str) -> bool:
        """Whether a statement is none of allergens ("may contain palm"), and what stands behind its comma is listed."""
        return len(self.groups) == 1 and not group.until and not self.names_allergen(words)

    # -- marks ----------------------------------------------------------------------------------------

    def _part(self, at: int) -> None:
        group = self.groups[-1]
        group.fresh = True
        self._item_ends()
        if group.mode == "done" or (group.until and at >= group.until):
            group.mode, group.until = group.base, 0

    def _end(self) -> None:
        """A sentence ends, and its statement with it."""
        group = self.groups[-1]
        self._item_ends()
        group.mode, group.fresh, group.begun, group.until = group.base, True, False, 0

    def _line_end(self) -> None:
        """A line ends a statement that has said what it names; an item may go on in the next line."""
        group = self.groups[-1]
        if group.mode != "list" and group.named and not group.fresh:
            self._end()

    def _open(self) -> None:
        base: Mode = "list" if self.groups[-1].mode == "done" else self.groups[-1].mode
        self.groups.append(_Group(base=base, mode=base, named=base != "list"))

    def _close(self) -> None:
        self._item_ends()
        inner, outer = self.groups.pop(), self.groups[-1]
        outer.fresh, outer.begun = False, True
        if inner.items:
            outer.pieces.append(Item("", None, tuple(inner.items)))

    def _item_ends(self) -> None:
        """The pieces of an item as items of their own; a bracket belongs to the name before it."""
        group = self.groups[-1]
        found: list[Item] = []
        for piece in group.pieces:
            if piece.name or not found:
                found.append(piece)
            else:
                last = found[-1]
                percent = piece.percent if last.percent is None else last.percent
                found[-1] = replace(last, percent=percent, parts=last.parts + piece.parts)
        group.items += [item for item in found if item.name or item.parts]
        names = [piece.name for piece in group.pieces if piece.name]
        if len(names) > 1:
            self.joined.append(" ".join(names))
        group.pieces = []


def _item(words: str) -> Item:
    percent = _PERCENT.search(words)
    name = " ".join(_PERCENT.sub(" ", words).split()).strip(_EDGES)
    return Item(name, float(percent[1]) if percent else None)


def _pairs(text: str) -> set[int]:
    """Places of the brackets that have a partner; a closing one takes the nearest that is open, of whatever shape.

    Those too deep, and those that have none, part what stands around them and do no more.
    """
    opened: list[int] = []
    partner: dict[int, int] = {}
    for mark in _BRACKET.finditer(text):
        if mark[0] in _OPEN:
            opened.append(mark.start())
        elif opened:
            partner[mark.start()] = opened.pop()
    begins = set(partner.values())
    found: set[int] = set()
    depth = 0
    for at in sorted({*partner, *begins}):
        if at in begins:
            depth += 1
            if depth <= _DEEPEST:
                found.add(at)
        else:
            depth -= 1
            if partner[at] in found:
                found.add(at)
    return found
