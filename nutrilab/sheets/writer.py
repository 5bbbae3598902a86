"""Which sheet a format means, and a folder of sheets with its index; modules are imported for the format asked for."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from nutrilab.marks import signed
from nutrilab.messages import say
from nutrilab.plain import plain
from nutrilab.remarks import InputError
from nutrilab.results import DishResult

if TYPE_CHECKING:
    from nutrilab.comparing import WhatIf
    from nutrilab.sheets.still import Still

Content = str | bytes
MOST = 80  # characters of a dish's name in a note
FORMS = ("text", "json", "html", "label", "jsonld", "caption", "still", "csv", "pdf")
# forms with a file a dish
_SUFFIX = {"html": ".html", "label": "-label.html", "jsonld": ".jsonld", "still": "-still.svg", "pdf": ".pdf"}


@dataclass(frozen=True, slots=True)
class View:
    """How it is shown.

    In a terminal: width [characters], colour, with balance, with vitamins, with all that explains it. long: a CSV of
    all figures. The chart on paper: its paper, a key of `chart_room.PAPERS`, and whether what to check is printed
    after it. folder: a file for each dish. length: of captions; shape: of stills; pixels: whether a still is a PNG.
    """

    width: int | None = None
    colour: bool = False
    balance: bool = False
    vitamins: bool = False
    long: bool = False
    paper: str = "a4"
    checks: bool = False
    explain: bool = False
    folder: bool = False
    length: str = "medium"
    shape: str = "wide"
    pixels: bool = False


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

        return "\n".join(caption(result, view.length) for result in results)
    if len(results) > 1:
        raise InputError(say("output.file-each", form=form))
    return one(results[0], form, view)


def chart(results: Sequence[DishResult], form: str, view: View = View()) -> Content:
    """The chart of dishes by allergen."""
    if form in ("html", "pdf"):
        from nutrilab.sheets.chart_page import chart_page

        page = chart_page(results, paper=view.paper, checks=view.checks)
        return page if form == "html" else printed(page)
    from nutrilab.sheets import chart as lines

    return lines.as_csv(results) if form == "csv" else lines.as_text(results, view.width, view.colour)


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


def one(result: DishResult, form: str, view: View = View()) -> Content:
    """One dish as a document of its own."""
    if form in ("html", "pdf"):
        from nutrilab.sheets.page import sheet

        page = sheet(result, vitamins=view.vitamins)
        return page if form == "html" else printed(page)
    if form == "label":
        from nutrilab.sheets.label import label

        return label(result)
    if form == "still":
        from nutrilab.sheets.still import still

        return _drawn(still(result, view.shape), view.pixels)
    from nutrilab.sheets.jsonld import as_text

    return as_text(result)


def _drawn(picture: Still, pixels: bool) -> Content:
    """A still as SVG or PNG. Raises InputError where a PNG cannot be made."""
    if pixels:
        from nutrilab.sheets.still_png import to_png

        return to_png(picture)
    from nutrilab.sheets.templating import render

    return render("still.svg.j2", still=picture)


def _no_pixels(result: DishResult, view: View) -> str | None:
    """Why the still of a dish cannot be a PNG; None where it can."""
    from nutrilab.sheets.still import still
    from nutrilab.sheets.still_png import drawable

    try:
        drawable(still(result, view.shape))
    except InputError as error:
        return str(error)
    return None


def notes(results: Sequence[DishResult], form: str, view: View = View()) -> list[str]:
    """What the cook should know of captions and stills before they are shown to guests; nothing of other forms."""
    from nutrilab.sheets import captions, still
    from nutrilab.sheets.sentences import improbable

    said: list[str | None] = []
    for result in results if form in ("caption", "still") else ():
        fits = captions.too_long(result, view.length) if form == "caption" else still.too_small(result, view.shape)
        dish = plain(result.recipe.dish, MOST)
        said += [fits, *(say("caption.look-first", dish=dish, remark=one.message) for one in improbable(result))]
        if form == "still" and view.folder:
            said.append(_no_pixels(result, view))
    return list(dict.fromkeys(filter(None, said)))


def has_folder(form: str) -> bool:
    """Whether a format has a file for each dish."""
    return form in _SUFFIX


def folder(results: Sequence[DishResult], form: str, view: View = View()) -> dict[str, Content]:
    """File name -> content: a file for each dish, of a still two, for HTML the index page and the chart."""
    names = _names(results)
    files = {name + _SUFFIX[form]: one(result, form, view) for name, result in zip(names, results, strict=True)}
    if form == "still":
        drawn = [(name, result) for name, result in zip(names, results, strict=True) if not _no_pixels(result, view)]
        files |= {f"{name}-still.png": one(result, "still", replace(view, pixels=True)) for name, result in drawn}
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
        stem = re.sub(r"[^\w-]+", "-", path.stem if path else result.recipe.dish, flags=re.ASCII).strip("-").lower()
        name = first = stem[:80] if stem and stem not in ("index", "chart") else "dish"
        number = 2
        while name in found:
            name, number = f"{first}-{number}", number + 1
        found.append(name)
    return found


def printed(page: str) -> bytes:
    """A page as PDF. Raises InputError where the printer is not installed."""
    from nutrilab.sheets.pdf import to_pdf

    return to_pdf(page)
