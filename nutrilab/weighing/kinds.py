"""What kind of thing a food is (herb, flour, oil, fish...), from its words and its food group."""

from __future__ import annotations

from functools import cache, lru_cache
from typing import Any, Protocol

from nutrilab.datafiles import rows
from nutrilab.text import words
from nutrilab.weighing.phrases import Phrases, thing


class Measured(Protocol):
    """A household measure: ``amount`` of ``words`` of a food weigh ``grams`` [g]."""

    @property
    def amount(self) -> float: ...
    @property
    def words(self) -> str: ...
    @property
    def grams(self) -> float: ...


class WeighedFood(Protocol):
    """What the scales ask of a food; foods.Food fits it."""

    @property
    def food_id(self) -> str: ...
    @property
    def name(self) -> str: ...
    @property
    def group(self) -> str: ...
    @property
    def measures(self) -> tuple[Measured, ...]: ...
    @property
    def parts(self) -> tuple[Any, ...]: ...


@cache
def _by_words() -> Phrases[tuple[str, ...]]:
    return Phrases((row["words"], _tokens(row["kind"])) for row in rows("kinds.csv") if not _group(row["words"]))


@cache
def _by_group() -> dict[str, tuple[str, ...]]:
    return {group: _tokens(row["kind"]) for row in rows("kinds.csv") if (group := _group(row["words"]))}


def _group(cell: str) -> str:
    return cell.removeprefix("group:") if cell.startswith("group:") else ""


def _tokens(kinds: str) -> tuple[str, ...]:
    return tuple(f"@{kind}" for kind in kinds.split())


@lru_cache(maxsize=16384)
def _kinds(name: str, food_name: str, group: str) -> tuple[str, ...]:
    found = _by_words().best(thing(words(name))) or _by_words().best(words(" ".join(food_name.split(",")[:2])))
    return found.row if found else _by_group().get(group, ())


def kinds(name: str, food: WeighedFood | None) -> tuple[str, ...]:
    """Kinds as tokens, narrow ones first ("@softherb", "@herb"): by the cook's words, the food's, or its group."""
    return _kinds(name, food.name if food else "", food.group if food else "")
