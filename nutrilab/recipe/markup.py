"""A saved page as its tags, texts and scripts, read in one pass forward.

Follows the tokenization of the HTML standard [1] where a recipe can depend on it, so that a page reads as a browser
reads it, and takes time in proportion to the page, whatever stands in it. The parsers at hand do not: on pages of 1 to
3 MB of unclosed comments or tags (html.parser of Python 3.11) or of nested elements (the lexbor library) they took
over 15 s. A script ends at the first "</script", also where [1] looks further (an HTML comment that opens another
script inside a script).

References
----------
[1] WHATWG, HTML Living Standard, section 13.2.5 (tokenization), 13.1.2 (elements), 5.2 (microdata), from memory.
"""

from __future__ import annotations

import html
import re
from collections.abc import Generator, Iterator, Mapping
from types import MappingProxyType
from typing import Literal, NamedTuple

VOID = frozenset("area base br col embed hr img input link meta source track wbr".split())
_RAW = {
    name: re.compile(rf"</{name}(?=[\t\n\f\r />])", re.IGNORECASE)
    for name in "script style textarea title xmp iframe noembed noframes".split()
}
_KEPT = frozenset("type itemprop itemscope itemtype itemref content href src data value datetime".split())
_TAG = re.compile(r"</?([a-zA-Z][^\t\n\f\r />]*+)")
_BEFORE_NAME = re.compile(r"[\t\n\f\r /]*+")
_NAME = re.compile(r"[^\t\n\f\r />][^\t\n\f\r />=]*+")
_EQUALS = re.compile(r"[\t\n\f\r ]*+=[\t\n\f\r ]*+")
_UNQUOTED = re.compile(r"[^\t\n\f\r >]*+")
_COMMENT_END = re.compile(r"--!?>")
_NO_CHARACTER = re.compile(r"&#(?:\d{12,}|[xX][0-9a-fA-F]{12,});?")  # Python refuses to read very long numbers
# Tags that may stand in the text of an ingredient; other words between < and > are words.
_ROWS = frozenset("br p li tr ul ol dl dt dd table".split())
_SEAMLESS = frozenset("a abbr b bdi bdo del em font i ins mark s small strong sub sup u wbr".split())
_APART = frozenset("button div h1 h2 h3 h4 h5 h6 img input label section span svg tbody td th".split())
_FRAGMENT_TAG = re.compile(r"<(/?)([a-zA-Z][a-zA-Z0-9]*+)(?:[\s/][^<>]*+)?>")


class Token(NamedTuple):
    """A start tag with the attributes that matter here, an end tag, a text, or a script.

    at: its offset in the page; closed: a start tag that ends in "/>", which counts in pictures (svg) alone.
    """

    kind: Literal["start", "end", "text", "script"]
    name: str
    at: int
    attributes: Mapping[str, str] = MappingProxyType({})
    text: str = ""
    closed: bool = False


def unescape(text: str) -> str:
    """Character references as characters; a number that no character has as U+FFFD, as the standard says."""
    return html.unescape(_NO_CHARACTER.sub("\ufffd", text)) if "&" in text else text


def tokens(page: str) -> Iterator[Token]:
    """The page from its start to its end. Texts and attributes are unescaped; comments are left out.

    What stands after a tag or comment that never ends is left out, as a browser does.
    """
    at, size = 0, len(page)
    while at < size:
        opening = page.find("<", at)
        if opening != at:
            end = size if opening < 0 else opening
            yield Token("text", "", at, text=unescape(page[at:end]))
            at = end
            continue
        tag = _TAG.match(page, at)
        if tag is None:
            at = yield from _other(page, at)
            continue
        name, closing = tag[1].lower(), page[at + 1] == "/"
        attributes, close = _attributes(page, tag.end())
        if close is None:
            return
        closed = page[close - 2] == "/"
        yield Token("end", name, at) if closing else Token("start", name, at, attributes, closed=closed)
        at = (yield from _raw(page, name, attributes, close)) if name in _RAW and not closing else close


def _other(page: str, at: int) -> Generator[Token, None, int]:
    """Comment, declaration or a "<" that is no tag. Returns where the page goes on."""
    if page.startswith("<!--", at):
        if page.startswith((">", "->"), at + 4):
            return page.index(">", at) + 1
        end = _COMMENT_END.search(page, at + 4)
        return end.end() if end else len(page)
    if page.startswith(("<!", "<?", "</"), at) and (page[at + 1] != "/" or at + 2 < len(page)):
        close = page.find(">", at)
        return close + 1 if close >= 0 else len(page)
    yield Token("text", "", at, text="<")
    return at + 1


def _attributes(page: str, at: int) -> tuple[dict[str, str], int | None]:
    """The attributes of a tag and where it ends; None: it never does."""
    found: dict[str, str] = {}
    while True:
        at = _BEFORE_NAME.match(page, at).end()  # type: ignore[union-attr]  # matches nothing at least
        if at >= len(page):
            return found, None
        if page[at] == ">":
            return found, at + 1
        name = _NAME.match(page, at)
        assert name is not None  # neither space nor ">" stands here
        equals = _EQUALS.match(page, name.end())
        if equals is None:
            value, at = "", name.end()
        else:
            quote = page[equals.end() : equals.end() + 1]
            if quote in ("'", '"'):
                at = page.find(quote, equals.end() + 1) + 1
                if at == 0:
                    return found, None
                value = page[equals.end() + 1 : at - 1]
            else:
                at = _UNQUOTED.match(page, equals.end()).end()  # type: ignore[union-attr]
                value = page[equals.end() : at]
        key = name[0].lower()
        if key in _KEPT:
            found.setdefault(key, unescape(value))


def _raw(page: str, name: str, attributes: dict[str, str], at: int) -> Generator[Token, None, int]:
    """What stands in an element that holds no tags. Returns where the page goes on, before its end tag."""
    end = _RAW[name].search(page, at)
    stop = end.start() if end else len(page)
    if name == "script":
        yield Token("script", name, at, attributes, page[at:stop])
    elif name in ("title", "textarea"):
        yield Token("text", name, at, text=unescape(page[at:stop]))
    return stop


def seam(name: str, before: str) -> str:
    """What a tag stands for in a text: a new row, a space, nothing; ``before``: the text so far, or its end.

    A raised figure after a figure is a fraction, not more digits: 1<sup>1</sup>/2 is one and a half.
    """
    if name in _ROWS:
        return "\n"
    if name == "sup":
        return " " if before[-1:].isdigit() else ""
    return "" if name in _SEAMLESS else " "


def text_of(fragment: str) -> str:
    """The text of a value that may hold tags and character references, even twice escaped.

    Only tags that may stand in a line are taken for tags: "<contains milk>" is text that must not get lost.
    """

    def joined(tag: re.Match[str]) -> str:
        name = tag[2].lower()
        if name not in _ROWS | _SEAMLESS | _APART:
            return tag[0]
        return "" if name == "sup" and tag[1] else seam(name, fragment[tag.start() - 1 : tag.start()])

    if "<" in fragment:
        fragment = _FRAGMENT_TAG.sub(joined, fragment)
    return unescape(unescape(fragment))
