"""The chart of dishes by allergen: terminal and CSV."""

from __future__ import annotations

import datetime
from collections.abc import Sequence

from rich.table import Table

from nutrilab.allergens import ALLERGENS
from nutrilab.results import DishResult
from nutrilab.sheets.safe import csv_text
from nutrilab.sheets.terminal import clean, console_of, text_of

MARKS = {"contains": "X", "check": "check", "may": "may", "": ""}


def _foot(results: Sequence[DishResult], contains: str) -> list[str]:
    """What stands under every chart: date, tables, what the marks mean, cautions. contains: the mark for that."""
    sources = dict.fromkeys(f"{t.provenance.source}, {t.provenance.version}" for r in results for t in r.tables)
    marks = f"{contains}; check: depends on the product, check the pack; may: the pack says may contain"
    open_dishes = [result.recipe.dish for result in results if not result.allergens.complete]
    lines = [f"Made {datetime.date.today().isoformat()}; food tables: {'; '.join(sources)}", marks]
    if open_dishes:
        lines.append(f"NOT COMPLETE, lines were not understood: {', '.join(open_dishes)}")
    return [*lines, *(results[0].cautions if results else ())]


def as_text(results: Sequence[DishResult], width: int | None = None, colour: bool = False) -> str:
    """The chart with allergens down and dishes across, six dishes a table."""
    console, sink = console_of(width or 110, colour)
    for start in range(0, len(results), 6):
        some = results[start : start + 6]
        table = Table(box=None, pad_edge=False, header_style="bold")
        table.add_column("")
        for one in some:
            state = "" if one.allergens.complete else " (NOT COMPLETE)"
            table.add_column(clean(one.recipe.dish) + state, justify="center")
        for allergen in ALLERGENS:
            table.add_row(allergen, *(MARKS[one.allergens.cell(allergen)] for one in some))
        console.print(table)
        console.print()
    for line in _foot(results, "X: contains"):
        console.print(clean(line))
    return text_of(sink)


def as_csv(results: Sequence[DishResult]) -> str:
    """One row a dish, one column an allergen: contains, check, may or empty; then the foot, a line a row."""
    told = ((one.recipe.dish, one.allergens) for one in results)
    rows = ((dish, *map(found.cell, ALLERGENS), "yes" if found.complete else "NO") for dish, found in told)
    foot = ((line,) for line in _foot(results, "contains: the words or a pack say so"))
    return csv_text([("dish", *ALLERGENS, "complete"), *rows, *foot])
