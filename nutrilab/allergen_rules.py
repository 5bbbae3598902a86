"""The allergen rules: data files in, a tree of words out, and what a text hits in it.

The rules are ``data/allergens/*.csv``; a new word is one new row. Words of a rule match whole words of a
text, in order, within one stretch between punctuation marks, in the singular and without accents. Every
rule that matches is a hit; what hits mean together is weighed up in ``allergen_words``.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from typing import Literal, TypeAlias

from nutrilab.allergen_spelling import Speller
from nutrilab.datafiles import rows
from nutrilab.text import fold, singular

# The keys of the records, in the order the tool shows them (Regulation (EU) No 1169/2011, Annex II).
ALLERGENS = (
    "gluten", "crustaceans", "eggs", "fish", "peanuts", "soya", "milk", "nuts", "celery", "mustard",
    "sesame", "sulphites", "lupin", "molluscs",
)  # fmt: skip

Kind = Literal["contains", "check", "misleads", "claim", "stand-in"]

_PIECE = re.compile(r"[a-z]+|[0-9]+|\s-+\s|[^\sa-z0-9'-]")
_RULES = "\0"  # the key of a node's own rules; no token can be it


@dataclass(frozen=True, slots=True)
class Rule:
    """One row of the data.

    contains, check: ``words`` point to ``allergen``, ``part`` names the cereal or nut.
    misleads: inside ``words``, shorter words that point to ``allergen`` do not count.
    claim: "gluten-free" and its kind; contains_becomes, check_becomes: what is left of a hit of
    ``allergen`` under the claim ("contains", "check" or "nothing"), except for the parts in ``keeps``.
    stand-in: where a claim takes ``instead_of`` away from ``words``, check for ``allergen``.
    """

    words: str
    kind: Kind
    allergen: str
    ground: str
    part: str = ""
    contains_becomes: str = ""
    check_becomes: str = ""
    keeps: frozenset[str] = frozenset()
    instead_of: str = ""

    @property
    def label(self) -> str:
        """How evidence names the allergen: "wheat (gluten)", "milk"."""
        return f"{self.part} ({self.allergen})" if self.part else self.allergen


@dataclass(frozen=True, slots=True)
class Hit:
    """``rule`` matched tokens ``start`` to ``end`` (exclusive) of a text.

    gap: a stretch in brackets inside it that is none of its words ("glass (mung bean) noodles").
    """

    start: int
    end: int
    rule: Rule
    gap: tuple[int, int] | None = None


@dataclass(frozen=True, slots=True)
class Reading:
    """A text as the rules see it.

    tokens: singular words, numbers and punctuation marks in order; respelt: position -> the word as
    written where a misspelt one was put right; doubts: words as written that may be a misspelt allergen
    word, each with the words it may be.
    """

    tokens: list[str]
    hits: list[Hit]
    respelt: dict[int, str]
    doubts: dict[str, tuple[str, ...]]


_Node: TypeAlias = "dict[str, _Node | list[Rule]]"


class Rulebook:
    """Rules in a tree of words: matching costs a few dictionary look-ups a word, whatever the number of rules."""

    def __init__(self, rules: Iterable[Rule], plain: Iterable[str] = ()) -> None:
        """plain: words of their own that only look like an allergen word ("broad" is no bread)."""
        self._root: _Node = {}
        self._single: dict[str, list[Rule]] = {}
        known = {singular(word) for word in plain}
        self.rules = tuple(rules)
        for rule in self.rules:
            tokens = tokenise(rule.words)
            known.update(tokens)
            node = self._root
            for token in tokens:
                node = node.setdefault(token, {})  # type: ignore[assignment]
            node.setdefault(_RULES, []).append(rule)  # type: ignore[union-attr]
            if len(tokens) == 1 and rule.kind in ("contains", "check"):
                self._single.setdefault(tokens[0], []).append(rule)
        self._speller = Speller(known, self._single)

    def word_rules(self, word: str) -> list[Rule]:
        """The contains and check rules of one word alone."""
        return self._single.get(word, [])

    def read(self, text: str) -> Reading:
        """Tokens and hits of a text, in order; time grows with its length."""
        tokens: list[str] = []
        respelt: dict[int, str] = {}
        doubts: dict[str, tuple[str, ...]] = {}
        for token in tokenise(text):
            spelt = self._speller.read(token)
            if spelt.maybe:
                doubts[token] = spelt.maybe
            elif spelt.corrected:
                respelt.update((len(tokens) + i, token) for i in range(len(spelt.tokens)))
            tokens.extend(spelt.tokens)
        return Reading(tokens, list(self._hits(tokens)), respelt, doubts)

    def _hits(self, tokens: list[str]) -> Iterator[Hit]:
        root, count = self._root, len(tokens)
        brackets = _brackets(tokens)
        for start, token in enumerate(tokens):
            node = root.get(token)
            end, gap = start, None
            while node is not None:
                end += 1
                own = node.get(_RULES)  # type: ignore[union-attr]
                if own:
                    for rule in own:
                        yield Hit(start, end, rule, gap)  # type: ignore[arg-type]
                if gap is None and end in brackets:
                    gap = (end, brackets[end])
                    end = brackets[end]
                node = node.get(tokens[end]) if end < count else None  # type: ignore[union-attr]


def _brackets(tokens: list[str]) -> dict[int, int]:
    """Where a bracket opens -> the position after it closes; brackets in brackets are left out."""
    found: dict[int, int] = {}
    opened = -1
    for i, token in enumerate(tokens):
        if token == "(":
            opened = i
        elif token == ")" and opened >= 0:
            found[opened] = i + 1
            opened = -1
    return found


def tokenise(text: str) -> list[str]:
    """Folded singular words and numbers; a punctuation mark, or a dash between spaces, is a token too."""
    folded = fold(text).replace("'", "").replace("e.g.", "eg").replace("i.e.", "ie")
    return [singular(piece) for piece in _PIECE.findall(folded)]


@cache
def rulebook() -> Rulebook:
    """The rules of the package, read once in a process."""
    return Rulebook(load_rules(), (row["word"] for row in rows("allergens/plain.csv")))


def load_rules() -> Iterator[Rule]:
    """Every rule of the data files, one for each spelling.

    Raises ValueError for a row whose allergen is none of the 14 or that has no ground.
    """
    for row in rows("allergens/contains.csv"):
        yield from _spellings(row, "contains", part=row["part"])
    for row in rows("allergens/check.csv"):
        yield from _spellings(row, "check", part=row["part"])
    for name in ("misleads", "exempt"):
        for row in rows(f"allergens/{name}.csv"):
            yield from _spellings(row, "misleads")
    for row in rows("allergens/claims.csv"):
        yield from _spellings(
            row,
            "claim",
            contains_becomes=row["contains_becomes"],
            check_becomes=row["check_becomes"],
            keeps=frozenset(row["keeps"].split("|")) - {""},
        )
    for row in rows("allergens/stand_ins.csv"):
        yield from _spellings(row, "stand-in", instead_of=row["instead_of"])


def _spellings(row: dict[str, str], kind: Kind, **more: object) -> Iterator[Rule]:
    if row["allergen"] not in ALLERGENS or not row["ground"]:
        raise ValueError(f"allergen rule {row['words']!r}: {row['allergen']!r} is no allergen key, or the ground is missing")
    for words in row["words"].split("|"):
        yield Rule(words, kind, row["allergen"], row["ground"], **more)  # type: ignore[arg-type]
