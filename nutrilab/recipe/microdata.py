"""Microdata of a page as the plain objects that JSON-LD has: {"@type": [...], "name": [...], ...}.

The crawl and the value of a property follow [1]; elements that may leave out their end tags end where the next of
their kind begins. The text of a property has a space where the page shows its parts apart.

References
----------
[1] WHATWG, HTML Living Standard, section 5.2 (microdata), 13.1.2.4 (optional tags), from memory.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from nutrilab.recipe.markup import VOID, Token, seam

DEEPEST = 1_000  # open elements; a recipe page has some forty
_FURTHEST = 30  # open elements to look through for one that ends here
_TEXTS = 20  # properties with text that may stand inside one another
_ENDS: dict[str, tuple[frozenset[str], frozenset[str]]] = {  # start tag: what it ends, what bounds the look-out
    "li": (frozenset({"li"}), frozenset({"ul", "ol", "menu"})),
    "dt": (frozenset({"dt", "dd"}), frozenset({"dl"})),
    "dd": (frozenset({"dt", "dd"}), frozenset({"dl"})),
    "tr": (frozenset({"tr"}), frozenset({"table"})),
    "td": (frozenset({"td", "th"}), frozenset({"table", "tr"})),
    "th": (frozenset({"td", "th"}), frozenset({"table", "tr"})),
    "option": (frozenset({"option"}), frozenset({"select", "datalist"})),
} | dict.fromkeys(
    "address article aside blockquote details div dl fieldset figure footer form h1 h2 h3 h4 h5 h6 header hr main menu "
    "nav ol p pre section table ul".split(),
    (frozenset({"p"}), frozenset({"button", "td", "th", "li"})),
)
# Where [1] takes a link or a picture, its text is taken: no property read here is an address.
_OF_ATTRIBUTE = {"meta": "content", "data": "value", "meter": "value", "time": "datetime"}

UNENDED = "nutrilab:unended"  # a property of ours: the page ended before the element of the item did
Item = dict[str, Any]


class TooDeepError(Exception):
    """Elements stand inside elements further than any page needs."""


@dataclass(slots=True)
class _Open:
    """An open element: the item it begins, and the text it collects for places in value lists."""

    name: str
    item: Item | None = None
    places: tuple[tuple[list[Any], int], ...] = ()
    pieces: list[str] | None = None


class _Crawl:
    """The state between two tokens."""

    def __init__(self) -> None:
        self.items: list[Item] = []
        self.stack: list[_Open] = []
        self.counts: Counter[str] = Counter()
        self.holders: list[Item] = []  # items whose elements are open
        self.collecting: list[list[str]] = []

    def start(self, token: Token) -> None:
        if token.name in _ENDS:
            self._end_before(*_ENDS[token.name])
        self._seam(token.name)
        if len(self.stack) >= DEEPEST or len(self.collecting) >= _TEXTS:
            raise TooDeepError
        element = self._element(token)
        if token.name in VOID or (token.closed and (self.counts["svg"] or self.counts["math"])):
            for values, place in element.places:
                values[place] = ""
            return
        self.stack.append(element)
        self.counts[token.name] += 1
        if element.item is not None:
            self.holders.append(element.item)
        if element.places:
            element.pieces = []
            self.collecting.append(element.pieces)

    def _element(self, token: Token) -> _Open:
        """The element with its item, its properties entered into the item they belong to."""
        found = token.attributes
        item: Item | None = None
        if "itemscope" in found:
            item = {"@type": found.get("itemtype", "").split()}
            if "itemref" in found:
                item["itemref"] = [found["itemref"]]
        names = found.get("itemprop", "").split() if self.holders else []
        if item is not None and not names:
            self.items.append(item)
        value: Any = item if item is not None else found.get(_OF_ATTRIBUTE.get(token.name, ""))
        places = []
        for name in names:
            values = self.holders[-1].setdefault(name, [])
            values.append(value)
            if value is None:
                places.append((values, len(values) - 1))
        return _Open(token.name, item, tuple(places))

    def end(self, name: str) -> None:
        if not self.counts[name]:
            return
        while self._close() != name:
            pass
        if name != "sup":
            self._seam(name)

    def _end_before(self, ended: frozenset[str], bounds: frozenset[str]) -> None:
        for back in range(1, min(len(self.stack), _FURTHEST) + 1):
            name = self.stack[-back].name
            if name in ended:
                self.end(name)
                return
            if name in bounds:
                return

    def _close(self) -> str:
        element = self.stack.pop()
        self.counts[element.name] -= 1
        if element.item is not None:
            self.holders.pop()
        if element.pieces is not None:
            self.collecting.pop()
            text = "".join(element.pieces)
            for values, place in element.places:
                values[place] = text
        return element.name

    def text(self, text: str) -> None:
        for pieces in self.collecting:
            pieces.append(text)

    def _seam(self, name: str) -> None:
        for pieces in self.collecting:
            if gap := seam(name, pieces[-1] if pieces else ""):
                pieces.append(gap)

    def finish(self) -> list[Item]:
        for item in self.holders:
            item[UNENDED] = [True]
        while self.stack:
            self._close()
        return self.items


def items(page: Iterable[Token]) -> list[Item]:
    """The top items of a page. Raises TooDeepError."""
    crawl = _Crawl()
    for token in page:
        if token.kind == "start":
            crawl.start(token)
        elif token.kind == "end":
            crawl.end(token.name)
        elif token.kind == "text":
            crawl.text(token.text)
    return crawl.finish()
