"""The chart of dishes by the 14 allergens as a page: a table on a screen, a sheet for the wall on paper.

Regulation (EU) No 1169/2011, Annex II (the 14) and, for the cereal and the nut by name, its entries 1 and 8.
"""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

from nutrilab.allergens.values import ALLERGENS, OF_KINDS
from nutrilab.messages import say
from nutrilab.results import DishResult
from nutrilab.sheets import lettering
from nutrilab.sheets.because import Because, because
from nutrilab.sheets.chart_room import FRAME, PAPERS, Fit, Line, Shape, Surround, em, fit
from nutrilab.sheets.safe import plain
from nutrilab.sheets.templating import render

LONGEST_NAME = 120  # characters of a dish's name in the chart; the whole name stands under what to check
KINDS = ("contains", "check", "may", "open")


@dataclass(frozen=True, slots=True)
class Cell:
    """What stands for an allergen of a dish.

    kinds: of `KINDS`, the most certain first, empty where nothing points to it; note: the cereal or nut by name;
    others: of `KINDS`, for what else there may be of it than what is named.
    """

    allergen: str
    kinds: tuple[str, ...]
    note: str = ""
    others: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Row:
    """A dish: its name as the chart has room for and whole, its cells, lines not understood, and what to check."""

    name: str
    whole_name: str
    cells: tuple[Cell, ...]
    unresolved: tuple[str, ...]
    notes: tuple[Because, ...]

    @property
    def complete(self) -> bool:
        return not self.unresolved


def chart_page(
    results: Sequence[DishResult], today: datetime.date | None = None, paper: str = "a4", checks: bool = False
) -> str:
    """The chart as one HTML file that needs nothing beside itself. Dishes stand in the order given.

    today: the date on it; paper: a key of `PAPERS`, on which it prints in the largest letters that fit, each sheet
    with head, legend, date and cautions; checks: whether what to check for each dish is printed after it, as it
    stands below it on a screen.
    """
    rows = [_row(result) for result in results]
    incomplete = [row.name for row in rows if not row.complete]
    legend = {kind: say(f"chart.legend-{kind}") for kind in KINDS}
    on_paper = {**legend, "empty": say("chart.legend-empty")}  # on a screen a sentence says it
    cautions = results[0].cautions if results else ()
    foot = [made(results, today), *([say("chart.not-complete-marked")] if incomplete else []), *cautions]
    around = Surround(tuple(map(str.capitalize, ALLERGENS)), len(OF_KINDS), tuple(on_paper.values()), (" ".join(foot),))
    sizes = fit([_line(row) for row in rows], PAPERS[paper], around)
    return render(
        "chart.html.j2",
        allergens=ALLERGENS,
        of_kinds=OF_KINDS,
        words=_words(),
        legend=legend,
        on_paper=on_paper,
        fit=sizes,
        paper=PAPERS[paper],
        sheets=_divided(rows, sizes),
        incomplete=incomplete,
        to_check=[row for row in rows if row.notes or row.unresolved],
        checks=checks,
        made=foot[0],
        foot=foot,
        cautions=cautions,
    )


def _divided(rows: Sequence[Row], sizes: Fit) -> list[list[tuple[Row, float]]]:
    """The rows of each sheet, each with its height [mm]."""
    left = iter(rows)
    sheets = [[(row, high) for high, row in zip(heights, left, strict=False)] for heights in sizes.sheets]
    return [sheet for sheet in sheets if sheet]


def _line(row: Row) -> Line:
    """A row as it is fitted on paper."""
    name = (*em(row.name), *(() if row.complete else (em("NOT") + em("COMPLETE"))))
    return Line(name, tuple(_shape(cell) for cell in row.cells if cell.kinds))


def _shape(cell: Cell) -> Shape:
    framed = tuple(_word(kind) for kind in cell.kinds if kind != "open")
    note = em(cell.note if framed else _words()["open"], "regular")
    column = OF_KINDS.index(cell.allergen) + 1 if cell.allergen in OF_KINDS else 0
    return Shape(framed, (*note, *(_word(kind) + FRAME for kind in cell.others)), column)


def _word(kind: str) -> float:
    return lettering.width(_words()[kind], 1, "bold")


def _words() -> dict[str, str]:
    """The words of the marks."""
    return {kind: say(f"chart.{kind}") for kind in (*KINDS, "empty")}


def made(results: Sequence[DishResult], today: datetime.date | None = None) -> str:
    """When a page was made and from which versions of the food tables, for its foot."""
    day = today or datetime.date.today()
    tables = dict.fromkeys(f"{t.provenance.source}, {t.provenance.version}" for r in results for t in r.tables)
    return say("chart.made", date=f"{day.day} {day:%B %Y}", tables="; ".join(tables) or say("chart.no-tables"))


def _row(result: DishResult) -> Row:
    answer, name = result.allergens, result.recipe.dish
    cells = tuple(_cell(result, allergen) for allergen in ALLERGENS)
    return Row(plain(name, LONGEST_NAME), name, cells, answer.unresolved, _notes(result))


def _cell(result: DishResult, allergen: str) -> Cell:
    answer = result.allergens
    if allergen in answer.contains:
        return Cell(allergen, ("contains",), answer.kinds(allergen), answer.others(allergen))
    kinds = [word for word, found in (("check", answer.check), ("may", answer.may)) if allergen in found]
    if not kinds and not answer.complete:
        kinds = ["open"]
    return Cell(allergen, tuple(kinds))


def kinds_of(result: DishResult, allergen: str) -> str:
    """The cereals or nuts a dish contains by name, "" for other allergens; a name never hides that there may be others.

    allergen: one the dish contains.
    """
    told = result.allergens
    return "; ".join(
        filter(None, (told.kinds(allergen), *(say(f"chart.others-{kind}") for kind in told.others(allergen))))
    )


def _notes(result: DishResult) -> tuple[Because, ...]:
    """What to check of a dish, and what packs say it may contain, a line for each allergen."""
    return tuple(one for one in because(result) if one.kind != "contains")
