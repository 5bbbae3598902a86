"""What is thrown away of a weight as bought (bones, shells, skins, the liquid of tins); raw and cooked weights."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache

from nutrilab.datafiles import role_words, rows
from nutrilab.text import words
from nutrilab.weighing.asked import Span, cells
from nutrilab.weighing.phrases import Phrases, RowPhrase, heads, names_head
from nutrilab.wording import Wording

# Words for a weight of what is left, of which nothing more is taken off: "550 g prepared weight".
_LEFT = frozenset("prepared peeled trimmed edible cleaned".split())


def as_eaten(line: Wording) -> bool:
    """Whether a line says that its weight is of what is left, or that the food is sold without its bones."""
    return ("weight" in line.said and not _LEFT.isdisjoint(line.said)) or line.says(_phrases("boneless"))


@dataclass(frozen=True, slots=True)
class Refuse:
    """Share of the weight as bought that is thrown away [1], when it applies, and what says it is gone already.

    least: grams of a counted one from which it is taken to be whole.
    """

    share: Span
    when: str
    least: float
    never: tuple[frozenset[str], ...]
    source: str


@dataclass(frozen=True, slots=True)
class Drained:
    """Share of a pack's weight left when drained [1]; always: cooks drain it without a word."""

    share: Span
    always: bool
    source: str


@cache
def _refuse_rows() -> Phrases[Refuse]:
    return Phrases(
        (
            row["words"],
            Refuse(
                cells(row, "refuse").likely(),
                row["when"],
                float(row["least"] or 0),
                tuple(frozenset(words(text)) for text in row["never"].split("|") if text),
                row["source"],
            ),
        )
        for row in rows("as_bought.csv")
    )


@cache
def _phrases(role: str) -> tuple[tuple[str, ...], ...]:
    return tuple(tuple(phrase.split()) for phrase in role_words("as_bought_said.csv", role))


_BIRD = 900.0  # [g] "1.5 kg chicken" is the bird, "300 g chicken" its meat


def refuse(line: Wording, order: Sequence[str], kinds: Sequence[str], counted: bool, grams: float) -> Refuse | None:
    """The refuse of a weight as bought, or None when there is none or it is off already.

    line: all it says; order: words of the name; counted: the line counts pieces; grams: weight of one.
    """

    def applies(phrase: RowPhrase[Refuse]) -> bool:
        row = phrase.row
        if any(gone <= line.said for gone in row.never):
            return False
        if row.when == "joint" and counted and grams >= row.least:
            return True
        if row.when == "bones":
            return not heads(tuple(order)).isdisjoint(("bone", "carcass", "shell"))
        if row.when in ("bone", "joint"):
            return line.says(_phrases("bone"))
        if row.when == "shell":
            return line.says(_phrases("shell"))
        if row.when == "whole":
            enough = row.least if counted else max(row.least, _BIRD) if "@meat" in kinds else float("inf")
            return grams >= enough or line.says(_phrases("whole"))
        return True

    found = _refuse_rows().best(order, kinds, applies)
    return found.row if found else None


@cache
def _drained_rows() -> Phrases[Drained]:
    entries = []
    for row in rows("drained.csv"):
        if row["drained"] != "no":
            entries.append(
                (row["words"], Drained(cells(row, "share").likely(), row["drained"] == "yes", row["source"]))
            )
    return Phrases(entries)


_SAID = frozenset(("drained", "rinsed", "strained"))


def drained(order: Sequence[str], said: Iterable[str]) -> tuple[Drained, bool] | None:
    """How a food in liquid drains and whether the line says it is drained; None if it stays in its liquid."""
    found = _drained_rows().best(order, (), names_head(order))
    if not found:
        return None
    spoken = not _SAID.isdisjoint(said)
    return (found.row, spoken) if spoken or found.row.always else None


@dataclass(frozen=True, slots=True)
class Change:
    """Grams cooked for one gram raw or dry [1]."""

    factor: Span
    source: str


@cache
def _changes() -> Phrases[Change]:
    return Phrases((row["words"], Change(cells(row, "factor"), row["source"])) for row in rows("cooked.csv"))


_COOKED = frozenset(("cooked", "boiled", "steamed", "leftover", "microwave", "microwavable", "precooked"))
_DRY = frozenset(("dried", "dry", "uncooked", "raw"))
_FOOD_COOKED = frozenset(("cooked", "boiled", "canned"))
_STATES = tuple(_COOKED | _DRY)


def says_state(text: str) -> bool:
    """Whether a text may say that it is cooked or dry: most do not, and then no word of them need be looked at."""
    low = text.lower()
    return any(word in low for word in _STATES)


def state_factor(
    order: Sequence[str], before: Sequence[str], food_words: Sequence[str]
) -> tuple[str, Span, str] | None:
    """When line and linked food are in different states: the line's state, the factor, its source.

    Grams of the line times the factor are grams of the linked food in its own state ("200 g cooked rice"
    linked to raw rice: 1/2.8). None when they agree or nothing tells. before: the words before the name;
    "200 g penne, cooked" was weighed dry.
    """
    name, food = frozenset(order).union(before), frozenset(food_words)
    cooked = bool(_COOKED & name)
    dry = bool(_DRY & name)
    if cooked == dry:
        return None
    food_cooked, food_dry = bool(_FOOD_COOKED & food), bool(_DRY & food)
    if food_cooked == food_dry or cooked == food_cooked:
        return None
    found = _changes().best(order)
    if not found:
        return None
    factor = found.row.factor
    if cooked:
        return "cooked", Span(1 / factor.grams, 1 / factor.high, 1 / factor.low), found.row.source
    return "dry", factor, found.row.source
