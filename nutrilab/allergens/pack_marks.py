"""What a pack emphasises: bold, asterisks, underscores, capitals (Regulation (EU) No 1169/2011, Article 21)."""

from __future__ import annotations

import html
import re
from collections.abc import Sequence

_MARKED = re.compile(
    r"\*\*(?=[^\s*])([^*]{1,200})\*\*"
    r"|(?<![\w*])\*(?=[^\W_])([^*,;()\[\]\n]{0,80}[^\W_])\*(?![\w*])"  # "oil*, eggs*" are footnotes
    r"|__(?=[^\s_])([^_]{1,200})__"
    r"|(?<![^\W_])_(?=[^\W_])([^_,;()\[\]\n]{0,80}[^\W_])_(?![^\W_])"
    r"|<(?:b|strong|em|u|i|mark)>([^<]{0,200})</(?:b|strong|em|u|i|mark)>",
    re.I,
)
_BREAK = re.compile(r"<(?:/?(?:p|li|div|tr|ul|ol)|br)\s{0,3}/?>", re.I)
# Tags of pages only: "<milk>" is a pack's own way to emphasise, and a word that must not go.
_TAG = re.compile(r"</?(?:a|abbr|b|big|em|font|i|mark|s|small|span|strong|sub|sup|u)\s{0,3}/?>", re.I)
_SPACED = re.compile(r"(?<![^\W_])[^\W\d_](?: [^\W\d_]){2,}(?![^\W_])")  # "M I L K"
_CAPITALS = re.compile(r"[A-ZÀ-Þ]{3,}(?:[' -][A-ZÀ-Þ]{2,})*")
_SENTENCE = re.compile(r"\.(?=\s|$)|\n")
_SHOUTED = 0.5  # share of capitals from which a sentence is all in capitals and emphasises nothing

Stretch = tuple[int, int]


def plain_text(text: str) -> tuple[str, tuple[Stretch, ...]]:
    """The text without marks of emphasis and tags, and where in it the marked words stand."""
    text = _SPACED.sub(lambda letters: letters[0].replace(" ", ""), text)
    text = _BREAK.sub("\n", html.unescape(text)) if "<" in text or "&" in text else text
    pieces: list[str] = []
    spans: list[Stretch] = []
    length = at = 0
    for found in _MARKED.finditer(text):
        before = _TAG.sub("", text[at : found.start()])
        marked = _TAG.sub("", next(group for group in found.groups() if group is not None))
        pieces += [before, marked]
        spans.append((length + len(before), length + len(before) + len(marked)))
        length += len(before) + len(marked)
        at = found.end()
    pieces.append(_TAG.sub("", text[at:]))
    return "".join(pieces), tuple(spans)


def emphasised_words(plain: str, spans: Sequence[Stretch], quiet: Sequence[Stretch]) -> tuple[str, ...]:
    """Words marked up, or in capitals in a sentence that is not all capitals; each once, none in a quiet stretch.

    quiet: stretches, in order, of "may contain" and of claims: what they emphasise is not in the food.
    """
    found: dict[str, None] = {}
    inside = _Inside(quiet)
    for start, end in spans:
        if not inside(start, end):
            found[plain[start:end].strip()] = None
    at = 0
    inside = _Inside(quiet)
    for stop in (*(m.start() for m in _SENTENCE.finditer(plain)), len(plain)):
        found.update(dict.fromkeys(_capitals(plain, at, stop, inside)))
        at = stop
    return tuple(word for word in found if word)


def _capitals(plain: str, start: int, end: int, inside: _Inside) -> list[str]:
    loud = [
        (m[0], m.end() - m.start()) for m in _CAPITALS.finditer(plain, start, end) if not inside(m.start(), m.end())
    ]
    if not loud:
        return []
    letters = sum(c.isalpha() for c in plain[start:end])
    return [word for word, _ in loud] if sum(n for _, n in loud) < _SHOUTED * letters else []


class _Inside:
    """Whether a stretch lies in one of many, asked for from left to right."""

    def __init__(self, spans: Sequence[Stretch]) -> None:
        self._spans, self._at = spans, 0

    def __call__(self, start: int, end: int) -> bool:
        while self._at < len(self._spans) and self._spans[self._at][1] <= start:
            self._at += 1
        return self._at < len(self._spans) and self._spans[self._at][0] < end
