"""The 14 allergens, and what a text is found to say of them: rules, where they match, the text as they read it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from nutrilab.allergens.spelling import Spelt

# The keys of the records, in the order the tool shows them (Regulation (EU) No 1169/2011, Annex II).
ALLERGENS = (
    "gluten", "crustaceans", "eggs", "fish", "peanuts", "soya", "milk", "nuts", "celery", "mustard",
    "sesame", "sulphites", "lupin", "molluscs",
)  # fmt: skip

OF_KINDS = ("gluten", "nuts")  # of several cereals or nuts, which are named (Annex II, 1 and 8)

RuleKind = Literal["contains", "check", "misleads", "claim", "stand-in"]


@dataclass(frozen=True, slots=True)
class Rule:
    """One row of the data.

    contains, check: ``words`` point to ``allergen``, ``part`` names the cereal or nut.
    misleads: inside ``words``, shorter words that point to ``allergen`` do not count.
    claim: "gluten-free" and its kind; contains_becomes, check_becomes: what is left of a hit of
    ``allergen`` under the claim ("contains", "check" or "nothing"), except for the parts in ``keeps`` and for what
    has one of ``keeps_words``.
    stand-in: where a claim takes ``instead_of`` away from ``words``, check for ``allergen``.
    place: its file and line.
    """

    words: str
    kind: RuleKind
    allergen: str
    ground: str
    part: str = ""
    contains_becomes: str = ""
    check_becomes: str = ""
    keeps: frozenset[str] = frozenset()
    keeps_words: frozenset[str] = frozenset()
    instead_of: str = ""
    place: str = ""

    @property
    def label(self) -> str:
        """How evidence names the allergen: "wheat (gluten)", "milk"."""
        return f"{self.part} ({self.allergen})" if self.part else self.allergen


@dataclass(frozen=True, slots=True)
class Hit:
    """``rule`` matched tokens ``start`` to ``end`` (exclusive) of a text.

    gap: a stretch in brackets inside it that is none of its words ("glass (mung bean) noodles"); a rule may hold a
    bracket of its own ("okra (lady fingers").
    """

    start: int
    end: int
    rule: Rule
    gap: tuple[int, int] | None = None


@dataclass(frozen=True, slots=True)
class Matched:
    """A text as the rules see it.

    tokens: singular words, numbers and punctuation marks in order, then what "or" left unsaid; respelt:
    position -> the word as written where a misspelt one was put right; doubts: words as written that may
    be a misspelt allergen word, each with how it is spelt (``maybe``, ``close``); guessed: positions of what was put
    right by a guess.
    """

    tokens: list[str]
    hits: list[Hit]
    respelt: dict[int, str]
    doubts: dict[str, Spelt]
    guessed: frozenset[int] = frozenset()
