"""A text to tokens, once: the words and signs that every room asks, with their places in the text."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import NamedTuple

from nutrilab.text import brand_words, fold, singular

# A run of letters or of figures, apostrophes in it and behind it passed over; else one sign.
_PIECE = re.compile(r"[a-z](?:'*[a-z])*'*|[0-9](?:'*[0-9])*'*|%'*|[^\sa-z0-9']")


_REMEMBERED = 1000  # characters of a text that is worth keeping: no line is longer
_IN_WORDS = frozenset("abcdefghijklmnopqrstuvwxyz0123456789%")


class Token(NamedTuple):
    """Letters, figures or one sign, folded; ``start`` and ``end``: its place in the text as written."""

    text: str
    start: int
    end: int

    @property
    def in_word(self) -> bool:
        """Whether it is part of a word: what stands beside it without a space belongs to it ("400g", "15%")."""
        return self.text[0] in _IN_WORDS


@dataclass(frozen=True)
class Wording:
    """A text, tokenised: all of it, brackets and preparation too."""

    text: str

    @cached_property
    def tokens(self) -> tuple[Token, ...]:
        """Its tokens in order, made when they are first asked for."""
        return _tokens(self.text)

    @cached_property
    def words(self) -> tuple[str, ...]:
        """The singular words in order; everything but letters, figures and % divides (`text.words`)."""
        found: list[str] = []
        end = -1
        for token in self.tokens:
            if not token.in_word:
                end = -1
                continue
            if token.start <= end:
                found[-1] += token.text
            else:
                found.append(token.text)
            end = token.end
        return tuple(map(singular, found))

    @cached_property
    def said(self) -> frozenset[str]:
        """The words, in no order."""
        return frozenset(self.words)

    @cached_property
    def brands(self) -> frozenset[str]:
        """Words that are a maker's own name (`text.brand_words`)."""
        return brand_words(self.text)

    def says(self, phrases: Iterable[Sequence[str]]) -> bool:
        """Whether one of some phrases of singular words stands in it."""
        return any(phrase[0] in self.said and self.place(phrase) >= 0 for phrase in phrases)

    def place(self, phrase: Sequence[str]) -> int:
        """Where a phrase of singular words begins among the words; -1 if it is not there. "#" stands for any number."""
        fits = (i for i in range(len(self.words) - len(phrase) + 1) if all(map(_meets, phrase, self.words[i:])))
        return next(fits, -1)

    def before(self, word: str) -> tuple[str, ...]:
        """The words that stand before one; none where it is not there."""
        return self.words[: self.words.index(word)] if word in self.said else ()


def _meets(wanted: str, word: str) -> bool:
    return word == wanted or (wanted == "#" and word.isdigit())


@lru_cache(maxsize=128)  # the lines of a dish; more would keep many small values alive
def _remembered(text: str) -> Wording:
    return Wording(text)


def wording(text: str | Wording) -> Wording:
    """The wording of a text, tokenised once for each text; one that is there stays as it is."""
    if isinstance(text, Wording):
        return text
    return _remembered(text) if len(text) <= _REMEMBERED else Wording(text)


def _tokens(text: str) -> tuple[Token, ...]:
    if text.isascii():
        return tuple([_token(piece, *piece.span()) for piece in _PIECE.finditer(text.lower())])
    folded: list[str] = []
    places: list[int] = []  # of each folded character in the text as written
    for place, character in enumerate(text):
        plain = fold(character)
        folded.append(plain)
        places += [place] * len(plain)
    places.append(len(text))
    pieces = _PIECE.finditer("".join(folded))
    return tuple([_token(piece, places[piece.start()], places[piece.end()]) for piece in pieces])


def _token(piece: re.Match[str], start: int, end: int) -> Token:
    said = piece[0]
    return Token(said.replace("'", "") if "'" in said else said, start, end)
