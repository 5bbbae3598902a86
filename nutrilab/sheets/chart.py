"""The chart of dishes by allergen: terminal and CSV."""

from __future__ import annotations

import csv
import datetime
import io
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from rich.table import Table

from nutrilab.allergens import ALLERGENS
from nutrilab.allergens.dish import Cell, DishAllergens
from nutrilab.results import DishResult
from nutrilab.sheets.safe import cell
from nutrilab.sheets.terminal import clean, console_of, text_of

MARKS = {"contains": "X", "check": "check", "may": "may", "": ""}


@dataclass(frozen=True, slots=True)
class Chart:
    """Dishes by allergen: for each dish its name, a cell for each of the 14, and whether its answer is complete."""

    allergens: tuple[str, ...]
    rows: tuple[tuple[str, tuple[Cell, ...], bool], ...]


def chart(dishes: Iterable[tuple[str, DishAllergens]]) -> Chart:
    """The chart of a menu, dishes in the order given."""
    rows = tuple((name, tuple(dish.cell(a) for a in ALLERGENS), dish.complete) for name, dish in dishes)
    return Chart(ALLERGENS, rows)


def _chart(results: Sequence[DishResult]) -> Chart:
    return chart((result.recipe.dish, result.allergens) for result in results)


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
    whole = _chart(results)
    for start in range(0, len(whole.rows), 6):
        some = whole.rows[start : start + 6]
        table = Table(box=None, pad_edge=False, header_style="bold")
        table.add_column("")
        for dish, _, complete in some:
            table.add_column(clean(dish) + ("" if complete else " (NOT COMPLETE)"), justify="center")
        for place, allergen in enumerate(whole.allergens):
            table.add_row(allergen, *(MARKS[cells[place]] for _, cells, _ in some))
        console.print(table)
        console.print()
    for line in _foot(results, "X: contains"):
        console.print(clean(line))
    return text_of(sink)


def as_csv(results: Sequence[DishResult]) -> str:
    """One row a dish, one column an allergen: contains, check, may or empty; then the foot, a line a row."""
    sink = io.StringIO()
    writer = csv.writer(sink, lineterminator="\n")
    whole = _chart(results)
    writer.writerow(["dish", *whole.allergens, "complete"])
    for dish, cells, complete in whole.rows:
        writer.writerow([cell(dish), *cells, "yes" if complete else "NO"])
    for line in _foot(results, "contains: the words or a pack say so"):
        writer.writerow([cell(line)])
    return sink.getvalue()
