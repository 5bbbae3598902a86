"""What is thrown away of a weight as bought (bones, shells, skins, the liquid of tins); raw and cooked weights."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache

from nutrilab.datafiles import rows
from nutrilab.text import fold, words
from nutrilab.weighing.asked import Span, cells
from nutrilab.weighing.phrases import Phrases, RowPhrase, heads, names_head

# Words for a weight of what is left, of which nothing more is taken off: "550 g prepared weight".
_LEFT = frozenset("prepared peeled trimmed edible cleaned".split())


def as_eaten(text: str) -> bool:
    """Whether a line says that its weight is of what is left."""
    said = words(text)
    return "weight" in said and not _LEFT.isdisjoint(said)


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


_BONE = re.compile(r"\bbone[ -](?:in|on)\b|\bon the bone\b|\bwith (?:the )?bones?\b|\b(?:wing|shank|thigh) bone\b")
_SHELL = re.compile(
    r"\bshells?[ -]on\b|\bin[ -](?:the |their )?shells?\b|\bheads?[ -]on\b|\bunpeeled\b|\bunshelled\b"
    r"|\bwith (?:the )?shells?\b"
)
_WHOLE = re.compile(r"\bwhole\b|\bcut into \d|\bjointed\b|\bspatchcock|\boven[ -]ready\b|\bfilleted\b|\bgutted\b")
_BIRD = 900.0  # [g] "1.5 kg chicken" is the bird, "300 g chicken" its meat


def refuse(text: str, order: Sequence[str], kinds: Sequence[str], counted: bool, grams: float) -> Refuse | None:
    """The refuse of a weight as bought, or None when there is none or it is off already.

    text: the whole line; order: words of the name; counted: the line counts pieces; grams: weight of one.
    """
    low = fold(text)
    said = frozenset(words(text))

    def applies(phrase: RowPhrase[Refuse]) -> bool:
        row = phrase.row
        if any(gone <= said for gone in row.never):
            return False
        if row.when == "joint" and counted and grams >= row.least:
            return True
        if row.when == "bones":
            return not heads(tuple(order)).isdisjoint(("bone", "carcass", "shell"))
        if row.when in ("bone", "joint"):
            return bool(_BONE.search(low))
        if row.when == "shell":
            return bool(_SHELL.search(low))
        if row.when == "whole":
            enough = row.least if counted else max(row.least, _BIRD) if "@meat" in kinds else float("inf")
            return grams >= enough or bool(_WHOLE.search(low))
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
_WEIGHED_DRAINED = re.compile(r"drained (?:weight|wt)\D{0,10}?(\d{2,4}) ?g")


def drained(order: Sequence[str], said: Iterable[str]) -> tuple[Drained, bool] | None:
    """How a food in liquid drains and whether the line says it is drained; None if it stays in its liquid."""
    found = _drained_rows().best(order, (), names_head(order))
    if not found:
        return None
    spoken = not _SAID.isdisjoint(said)
    return (found.row, spoken) if spoken or found.row.always else None


def drained_weight(text: str) -> float | None:
    """The grams of "(drained weight 240g)" of one pack [g]."""
    found = _WEIGHED_DRAINED.search(text.lower()) if "drained w" in text.lower() else None
    return float(found[1]) if found else None


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
