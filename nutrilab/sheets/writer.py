"""Which sheet a format means, and a folder of sheets with its index; modules are imported for the format asked for."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from nutrilab.marks import signed
from nutrilab.messages import say
from nutrilab.remarks import InputError
from nutrilab.results import DishResult

if TYPE_CHECKING:
    from nutrilab.comparing import WhatIf

Content = str | bytes
FORMS = ("text", "json", "html", "label", "jsonld", "caption", "csv", "pdf")
_SUFFIX = {"html": ".html", "label": "-label.html", "jsonld": ".jsonld", "pdf": ".pdf"}  # forms with a file a dish


@dataclass(frozen=True, slots=True)
class View:
    """How it is shown.

    In a terminal: width [characters], colour, with balance, with vitamins, with all that explains it. long: a CSV of
    all figures. The chart on paper: its paper, a key of `chart_room.PAPERS`, and whether what to check is printed
    after it.
    """

    width: int | None = None
    colour: bool = False
    balance: bool = False
    vitamins: bool = False
    long: bool = False
    paper: str = "a4"
    checks: bool = False
    explain: bool = False


def together(results: Sequence[DishResult], form: str, view: View = View()) -> Content:
    """All dishes as one document. Raises InputError for a format that holds one dish a document."""
    if form == "text":
        from nutrilab.sheets import terminal

        return "\n".join(
            terminal.dish(result, view.width, view.colour, view.balance, view.vitamins, view.explain)
            for result in results
        )
    if form == "json":
        from nutrilab.records import dish_record
        from nutrilab.sheets.safe import json_text

        records = [signed(dish_record(result)) for result in results]
        return json_text(records[0] if len(records) == 1 else records) + "\n"
    if form == "csv":
        from nutrilab.sheets import csv_dishes, csv_figures

        return csv_figures.as_csv(results) if view.long else csv_dishes.as_csv(results)
    if form == "caption":
        from nutrilab.sheets.captions import caption

        return "\n".join(caption(result) for result in results)
    if len(results) > 1:
        raise InputError(say("output.file-each", form=form))
    return one(results[0], form, view.vitamins)


def chart(results: Sequence[DishResult], form: str, view: View = View()) -> Content:
    """The chart of dishes by allergen."""
    if form in ("html", "pdf"):
        from nutrilab.sheets.chart_page import chart_page

        page = chart_page(results, paper=view.paper, checks=view.checks)
        return page if form == "html" else printed(page)
    from nutrilab.sheets import chart as plain

    return plain.as_csv(results) if form == "csv" else plain.as_text(results, view.width, view.colour)


def swapped(found: WhatIf, form: str, view: View = View()) -> str:
    """A dish before and after a swap."""
    if form == "json":
        from nutrilab.records import swap_record
        from nutrilab.sheets.safe import json_text

        return json_text(signed(swap_record(found))) + "\n"
    if form == "html":
        from nutrilab.sheets.swap_page import swap_page

        return swap_page(found)
    from nutrilab.sheets.swap_text import swap

    return swap(found, view.width, view.colour)


def one(result: DishResult, form: str, vitamins: bool = False) -> Content:
    """One dish as a document of its own."""
    if form in ("html", "pdf"):
        from nutrilab.sheets.page import sheet

        page = sheet(result, vitamins=vitamins)
        return page if form == "html" else printed(page)
    if form == "label":
        from nutrilab.sheets.label import label

        return label(result)
    from nutrilab.sheets.jsonld import as_text

    return as_text(result)


def has_folder(form: str) -> bool:
    """Whether a format has a file for each dish."""
    return form in _SUFFIX


def folder(results: Sequence[DishResult], form: str, vitamins: bool = False) -> dict[str, Content]:
    """File name -> content: a file for each dish, and for HTML the index page and the chart of allergens."""
    names = _names(results)
    files = {name + _SUFFIX[form]: one(result, form, vitamins) for name, result in zip(names, results, strict=True)}
    if form == "html":
        from nutrilab.sheets.index_page import index

        files["chart.html"] = chart(results, "html")
        files["index.html"] = index([(f"{n}.html", r) for n, r in zip(names, results, strict=True)], chart="chart.html")
    return files


def _names(results: Sequence[DishResult]) -> list[str]:
    """A file name for each dish, from its recipe's file; never that of another page, never twice."""
    found: list[str] = []
    for result in results:
        path = result.recipe.path
        plain = re.sub(r"[^\w-]+", "-", path.stem if path else result.recipe.dish, flags=re.ASCII).strip("-").lower()
        name = first = plain[:80] if plain and plain not in ("index", "chart") else "dish"
        number = 2
        while name in found:
            name, number = f"{first}-{number}", number + 1
        found.append(name)
    return found


def printed(page: str) -> bytes:
    """A page as PDF. Raises InputError where the printer is not installed."""
    from nutrilab.sheets.pdf import to_pdf

    return to_pdf(page)
