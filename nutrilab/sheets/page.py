"""The HTML sheet of one dish: one file that needs no network and no script; printed, page 1 has what it declares."""

from __future__ import annotations

import datetime
from collections.abc import Iterable
from dataclasses import dataclass

from nutrilab.as_read import cooked_as_read
from nutrilab.declaration import MICRONUTRIENT_REMARK, declare, vitamins_of
from nutrilab.law.levels import REFERENCE_STATEMENT
from nutrilab.remarks import Remark
from nutrilab.results import DishResult
from nutrilab.settling import settle_first
from nutrilab.sheets import pictures, trace
from nutrilab.sheets.because import because
from nutrilab.sheets.sentences import (
    asking,
    counted_by,
    doubts,
    first_figures,
    improbable,
    narrowing,
    notes,
    on_a_label,
    portions,
    too_low,
)
from nutrilab.sheets.templating import render
from nutrilab.tracing import credits, ingredients, named_place

FOLLOWED = {"energy_kcal": "calories", "salt": "salt"}  # figures that are followed back to the lines


def sheet(result: DishResult, today: datetime.date | None = None, vitamins: bool = False) -> str:
    """The sheet of a dish as HTML.

    today: the date on it, by default the day it is made; vitamins: with the vitamins and minerals that tell.
    """
    told = declare(result)
    return render(
        "sheet.html.j2",
        recipe=result.recipe,
        portions=portions(result),
        cooked_weight=f"{result.whole.mass:.0f} g",
        answer=first_figures(result),
        figures=told.figures,
        partly_known=too_low(result),
        reference=REFERENCE_STATEMENT,
        per_100=told.basis.words,
        drink_words=told.basis.remark,
        vitamins=vitamins_of(result) if vitamins else None,
        vitamins_remark=MICRONUTRIENT_REMARK,
        answers=because(result),
        complete=result.complete,
        unresolved=result.allergens.unresolved,
        not_counted=result.not_counted,
        settle=settle_first(result),
        entries=ingredients(result),
        brings=[pictures.what_brings(result, key, name) for key, name in FOLLOWED.items()],
        spans=pictures.how_sure(result),
        doubt=pictures.what_is_in_doubt(result),
        surer=narrowing(result, settle_first(result)),
        draw=pictures,
        stages=trace.stages(result, tuple(FOLLOWED)),
        doubts=doubts(result),
        improbable=remarks(result, improbable(result)),
        asking=remarks(result, [remark for remark in asking(result) if remark not in improbable(result)]),
        notes=remarks(result, notes(result)),
        on_label=on_a_label(result),
        as_read=cooked_as_read(result),
        cautions=result.cautions,
        energy=counted_by(result),
        tables=[table.provenance for table in result.tables],
        credits=credits(result)[len(result.tables) :],
        today=long_date(today or datetime.date.today()),
    )


@dataclass(frozen=True, slots=True)
class RemarkRow:
    """What is to be said, and of which place."""

    place: str
    message: str


def remarks(result: DishResult, some: Iterable[Remark]) -> tuple[RemarkRow, ...]:
    """Some of the remarks of a dish with their places in the cook's own list."""
    return tuple(RemarkRow(named_place(result, remark.stage, remark.line), remark.message) for remark in some)


def long_date(day: datetime.date) -> str:
    """25 November 2026."""
    return f"{day.day} {day:%B %Y}"
