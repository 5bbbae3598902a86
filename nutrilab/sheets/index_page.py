"""The page that lists a folder of sheets, and sorts and filters them by allergen without any server.

Without its script the page is a plain list; the script only adds the controls, and none of its answers is a promise.
"""

from __future__ import annotations

import base64
import datetime
import hashlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from urllib.parse import quote

from nutrilab.allergens import ALLERGENS
from nutrilab.law.rounding import ORDER, declared
from nutrilab.messages import say
from nutrilab.results import DishResult
from nutrilab.sheets.chart_page import kinds_of, made
from nutrilab.sheets.sentences import partly_known
from nutrilab.sheets.templating import render

FIGURES = ("energy_kcal", "salt")


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure of a portion: as declared, unrounded for the order ("" where not known), how much of it is known."""

    key: str
    title: str
    declared: str
    amount: str
    known: str

    @property
    def order(self) -> str:
        """The word the script orders by."""
        return self.key.partition("_")[0]


@dataclass(frozen=True, slots=True)
class Named:
    """An allergen of a dish, with the cereal or nut by name where it is known."""

    allergen: str
    note: str


@dataclass(frozen=True, slots=True)
class Listed:
    """A dish of the list.

    file: address of its sheet, relative and quoted; has: every allergen it contains, may contain or must be checked
    for; unresolved: how many lines were not understood; not_counted: how many others are in no figure; words: what a
    search finds it by, in small letters.
    """

    dish: str
    file: str
    figures: tuple[Figure, ...]
    contains: tuple[Named, ...]
    check: tuple[str, ...]
    may: tuple[str, ...]
    has: tuple[str, ...]
    unresolved: int
    not_counted: int
    words: str = ""


def index(
    entries: Sequence[tuple[str, DishResult]], today: datetime.date | None = None, chart: str | None = None
) -> str:
    """The list as one HTML file.

    entries: file name of a sheet in the same folder and its dish; today: its date; chart: file name of the chart of
    allergens, if it lies there too.
    """
    results = [result for _, result in entries]
    script = _script()
    return render(
        "index.html.j2",
        dishes=[listed(file, result) for file, result in entries],
        allergens=ALLERGENS,
        searched=False,
        chart=chart,
        script=script,
        script_hash=base64.b64encode(hashlib.sha256(script.encode()).digest()).decode(),
        made=made(results, today),
        cautions=results[0].cautions if results else (),
    )


@cache
def _script() -> str:
    """The page's script, marked as ours so that it is not escaped."""
    from markupsafe import Markup

    return Markup((files("nutrilab.sheets") / "templates" / "index.js").read_text(encoding="utf-8"))


def listed(file: str, result: DishResult) -> Listed:
    """A dish of the list; file: address of its page, relative."""
    answer = result.allergens
    return Listed(
        dish=result.recipe.dish,
        file=f"./{quote(file)}",
        figures=tuple(_figure(result, key) for key in FIGURES),
        contains=tuple(Named(allergen, kinds_of(result, allergen)) for allergen in answer.contains),
        check=tuple(answer.check),
        may=tuple(answer.may),
        has=_any_of(answer.contains, answer.check, answer.may),
        unresolved=len(answer.unresolved),
        not_counted=len(result.not_counted),
    )


def _figure(result: DishResult, key: str) -> Figure:
    amount, share, left_out = result.whole.per_portion[key], partly_known(result).get(key), result.unweighed
    known = [say("index.lines-not-counted", number=len(left_out))] if left_out else []
    if share:
        known.append(say("index.known-for", share=share))
    too_low = say("index.too-low", why="; ".join(known)) if known else ""
    return Figure(key, ORDER[key], declared(key, amount), "" if amount is None else repr(amount), too_low)


def _any_of(*found: Iterable[str]) -> tuple[str, ...]:
    named = {allergen for some in found for allergen in some}
    return tuple(allergen for allergen in ALLERGENS if allergen in named)
