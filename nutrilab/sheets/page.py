"""The HTML sheet of one dish: one file that needs no network and no script; printed, page 1 has what it declares."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from nutrilab.as_read import cooked_as_read
from nutrilab.declaration import MICRONUTRIENT_REMARK, declare, vitamins_of
from nutrilab.doubt import in_words
from nutrilab.law.levels import REFERENCE_STATEMENT
from nutrilab.law.rounding import ORDER
from nutrilab.remarks import Remark
from nutrilab.results import DishResult
from nutrilab.sheets import pictures, trace
from nutrilab.sheets.chart_page import kinds_of
from nutrilab.sheets.sentences import (
    AS_READ,
    OF_KINDS,
    counted_by,
    doubts,
    improbable,
    not_counted,
    portion_figure,
    too_low,
)
from nutrilab.sheets.templating import render
from nutrilab.tracing import credits, ingredients

FOLLOWED = {"energy_kcal": "calories", "salt": "salt"}  # figures that are followed back to the lines
ANSWERS = {"contains": "contains", "check": "check the pack", "may": "may contain"}


@dataclass(frozen=True, slots=True)
class Answer:
    """What is said of one allergen, and why; kinds: the cereals or nuts it is, where it is one of those."""

    kind: str
    words: str
    allergen: str
    kinds: str
    evidence: tuple[str, ...]


def sheet(result: DishResult, today: datetime.date | None = None, vitamins: bool = False) -> str:
    """The sheet of a dish as HTML.

    today: the date on it, by default the day it is made; vitamins: with the vitamins and minerals that tell.
    """
    told, first = declare(result), improbable(result)
    return render(
        "sheet.html.j2",
        recipe=result.recipe,
        portions=f"{result.portions:g}",
        portion_weight=f"{result.portion_weight:.0f} g",
        cooked_weight=f"{result.whole.mass:.0f} g",
        portion={key: portion_figure(result, key) for key in ORDER},
        figures=told.figures,
        partly_known=too_low(result),
        reference=REFERENCE_STATEMENT,
        per_100=told.basis.words,
        drink_words=told.basis.remark,
        vitamins=vitamins_of(result) if vitamins else None,
        vitamins_remark=MICRONUTRIENT_REMARK,
        answers=answers(result),
        unresolved=result.allergens.unresolved,
        not_counted=not_counted(result),
        entries=ingredients(result),
        brings=[pictures.what_brings(result, key, name) for key, name in FOLLOWED.items()],
        spans=pictures.how_sure(result),
        surer=in_words(result),
        draw=pictures,
        stages=trace.stages(result, tuple(FOLLOWED)),
        doubts=doubts(result),
        improbable=remarks(result, first),
        remarks=remarks(result, result.remarks[len(first) :]),
        as_read=cooked_as_read(result),
        as_read_title=AS_READ,
        cautions=result.cautions,
        energy=counted_by(result),
        tables=[table.provenance for table in result.tables],
        credits=credits(result)[len(result.tables) :],
        today=long_date(today or datetime.date.today()),
    )


def answers(result: DishResult) -> tuple[Answer, ...]:
    """Every allergen that is named, what is contained first."""
    told = result.allergens
    also = {allergen: evidence for allergen, evidence in told.also.items() if allergen in OF_KINDS}
    found: tuple[Mapping[str, tuple[str, ...]], ...] = (told.contains, {**told.check, **also}, told.may)
    return tuple(
        Answer(
            kind,
            words,
            allergen,
            kinds_of(result, allergen) if kind == "contains" else "",
            tuple(sentence.removeprefix(f"{allergen}: ") for sentence in evidence),
        )
        for (kind, words), by_allergen in zip(ANSWERS.items(), found, strict=True)
        for allergen, evidence in by_allergen.items()
    )


@dataclass(frozen=True, slots=True)
class RemarkRow:
    """What is to be checked, and where."""

    place: str
    message: str


def remarks(result: DishResult, some: Iterable[Remark]) -> tuple[RemarkRow, ...]:
    """Some of the remarks of a dish; one of a single stage names no stage."""
    alone = len(result.stages) == 1
    return tuple(RemarkRow(_place(remark, alone), remark.message) for remark in some)


def _place(remark: Remark, alone: bool) -> str:
    line = f"line {remark.line}" if remark.line else ""
    stage = "" if alone and line else remark.stage or ""
    return ", ".join(part for part in (stage, line) if part)


def long_date(day: datetime.date) -> str:
    """25 November 2026."""
    return f"{day.day} {day:%B %Y}"
