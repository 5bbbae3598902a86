"""A swap as a page: one file that needs no network and no script."""

from __future__ import annotations

import datetime

from nutrilab.comparing import WhatIf
from nutrilab.messages import say
from nutrilab.sheets import swap_words
from nutrilab.sheets.answer import in_full
from nutrilab.sheets.page import long_date
from nutrilab.sheets.templating import render


def swap_page(found: WhatIf, today: datetime.date | None = None) -> str:
    """A dish before and after as HTML; today: the date on it, by default the day it is made."""
    dishes = (found.before, found.after)
    return render(
        "swap.html.j2",
        dish=found.before.recipe.dish,
        today=long_date(today or datetime.date.today()),
        done=[swap_words.swapped(one) for one in found.done],
        notes=found.notes,
        portions=swap_words.portions(found),
        first=swap_words.first(found),
        rows=swap_words.rows(found),
        moved=list(swap_words.allergens(found)),
        nothing=swap_words.nothing_moves(found),
        answers=[
            (say(head), in_full(dish), dish.complete)
            for head, dish in zip(("swapped.before", "swapped.after"), dishes, strict=True)
        ],
        guests=swap_words.guests(found) if found.guests is not None else "",
        scaled=found.scaled,
        cautions=found.after.cautions,
    )
