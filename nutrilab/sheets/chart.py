"""The chart of dishes by allergen: terminal and CSV."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import islice

from rich.table import Table

from nutrilab.allergens import ALLERGENS
from nutrilab.allergens.dish import DishAllergens
from nutrilab.messages import say
from nutrilab.results import DishResult
from nutrilab.sheets.chart_page import made
from nutrilab.sheets.chart_room import columns
from nutrilab.sheets.safe import csv_text, plain
from nutrilab.sheets.terminal import clean, console_of, text_of

MARKS = {"contains": "X", "check": "check", "may": "may", "": ""}
UNKNOWN = "open"  # where nothing points to an allergen, of a dish that is not complete


def _foot(results: Sequence[DishResult], marks: str) -> list[str]:
    """What stands under every chart: date, tables, what the marks mean, cautions."""
    open_dishes = [result.recipe.dish for result in results if not result.allergens.complete]
    lines = [made(results), marks]
    if open_dishes:
        lines.append(say("chart.not-complete-dishes", dishes=", ".join(open_dishes)))
    return [*lines, *(results[0].cautions if results else ())]


def as_text(results: Sequence[DishResult], width: int | None = None, colour: bool = False) -> str:
    """The chart with allergens down and dishes across, as many dishes a table as leave every word whole."""
    console, sink = console_of(width or 110, colour)
    names = [_name(one) for one in results]
    left = iter(results)
    for wide in columns(names, console.width - max(map(len, ALLERGENS))):
        some = list(islice(left, len(wide)))
        table = Table(box=None, pad_edge=False, header_style="bold")
        table.add_column("", no_wrap=True)
        for one, characters in zip(some, wide, strict=True):
            table.add_column(clean(_name(one)), justify="center", overflow="fold", width=characters)
        for allergen in ALLERGENS:
            table.add_row(allergen, *(_mark(one, allergen) for one in some))
        console.print(table)
        console.print()
    for line in _foot(results, say("chart.marks")):
        console.print(clean(line))
    return text_of(sink)


def _name(one: DishResult) -> str:
    dish = plain(one.recipe.dish)
    return dish if one.allergens.complete else say("chart.name-not-complete", dish=dish)


def _mark(one: DishResult, allergen: str) -> str:
    told = one.allergens
    marks = [MARKS[told.cell(allergen)] or ("" if told.complete else UNKNOWN), *map(MARKS.get, told.others(allergen))]
    kinds = f"({told.kinds(allergen)})" if allergen in told.contains and told.kinds(allergen) else ""
    return " ".join(filter(None, (marks[0], kinds, *marks[1:])))


def _cell(told: DishAllergens, allergen: str) -> str:
    """The word for an allergen; of cereals and nuts also what is to be said of others."""
    first = told.cell(allergen) or ("" if told.complete else UNKNOWN)
    return "; ".join((first, *(f"{kind} others" for kind in told.others(allergen))))


def as_csv(results: Sequence[DishResult]) -> str:
    """One row a dish, one column an allergen: contains, check, may, open or empty; then the foot, a line a row."""
    told = ((one.recipe.dish, one.allergens) for one in results)
    rows = (
        (dish, *(_cell(found, one) for one in ALLERGENS), "yes" if found.complete else "NO") for dish, found in told
    )
    foot = ((line,) for line in _foot(results, say("chart.marks-csv")))
    return csv_text([("dish", *ALLERGENS, "complete"), *rows, *foot])
