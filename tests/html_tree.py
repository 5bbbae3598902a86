"""A page as a tree, read by the standard library's own parser, for the tests of what a page says.

Strict: a tag that is closed out of order, left open or closed without being opened is an error.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from html.parser import HTMLParser

VOID = frozenset("area base br col embed hr img input link meta source track wbr".split())
UNSEEN = frozenset("style title desc script head".split())


@dataclass(slots=True)
class Element:
    """An element: its tag, attributes and what is in it, texts and elements in order."""

    tag: str
    attributes: dict[str, str]
    children: list[Element | str] = field(default_factory=list)

    def walk(self) -> Iterator[Element]:
        """The element and all in it, in the order of the page."""
        yield self
        for child in self.children:
            if isinstance(child, Element):
                yield from child.walk()

    def all(self, tag: str = "", **attributes: str) -> list[Element]:
        """Those of a tag whose attributes have these values; _ stands for -, a class counts as one of several."""
        wanted = {name.rstrip("_").replace("_", "-"): value for name, value in attributes.items()}
        return [e for e in self.walk() if (not tag or e.tag == tag) and all(e.has(n, v) for n, v in wanted.items())]

    def one(self, tag: str = "", **attributes: str) -> Element:
        """The only one there is. Raises AssertionError."""
        found = self.all(tag, **attributes)
        assert len(found) == 1, (tag, attributes, len(found))
        return found[0]

    def has(self, name: str, value: str) -> bool:
        own = self.attributes.get(name)
        return own is not None and (value in own.split() if name == "class" else own == value)

    @property
    def text(self) -> str:
        """What is written in it, white space as one blank; titles of pictures and styles left out."""
        return " ".join("".join(self._texts(UNSEEN)).split())

    @property
    def raw(self) -> str:
        """All that is written in it, unseen parts too."""
        return "".join(self._texts(frozenset()))

    def _texts(self, without: frozenset[str]) -> Iterator[str]:
        for child in self.children:
            if isinstance(child, str):
                yield child
            elif child.tag not in without:
                yield from child._texts(without)
                if child.tag in ("li", "p", "td", "th", "tr", "h1", "h2", "h3"):
                    yield " "


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.root = Element("", {})
        self.open = [self.root]

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        names = [name for name, _ in attrs]
        assert len(names) == len(set(names)), f"an attribute twice on {self.get_starttag_text()}"
        element = Element(tag, {name: value or "" for name, value in attrs})
        self.open[-1].children.append(element)
        if tag not in VOID:
            self.open.append(element)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)
        if tag not in VOID:
            self.open.pop()

    def handle_endtag(self, tag: str) -> None:
        assert self.open[-1].tag == tag, f"</{tag}> closes <{self.open[-1].tag}>, line {self.getpos()[0]}"
        self.open.pop()

    def handle_data(self, data: str) -> None:
        self.open[-1].children.append(data)


def read(html: str) -> Element:
    """The tree of a page. Raises AssertionError where its tags do not nest."""
    reader = _Reader()
    reader.feed(html)
    reader.close()
    assert reader.open == [reader.root], f"never closed: {[e.tag for e in reader.open[1:]]}"
    return reader.root
