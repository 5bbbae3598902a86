"""Dishes as a table for a spreadsheet, a row each: what is asked for first stands first. The long form is another file.

A figure is a number in the unit of its head, to two decimals; the law's rounding, every line and every source stand in
the long form (csv_figures.py). An empty cell is not known, never zero.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from nutrilab.allergens import ALLERGENS, cautions
from nutrilab.law.rounding import ORDER, short_name
from nutrilab.records import dish_values
from nutrilab.results import DishResult
from nutrilab.sheets.safe import Cell, csv_text, plain

DECIMALS = 2  # finer than the law declares any of these figures
NAME = 200  # characters of a dish's name
OPEN = "not known"  # of an allergen nothing points to, while a line of the dish is not understood
_UNITS = {"energy_kj": "kJ", "energy_kcal": "kcal"}
_FIRST = ("dish", "complete", "portions", "portion weight (g)")
_WORDS = ("contains", "check the pack", "may contain, says the pack")
_LAST = ("cooked weight (g)", "not understood", "not in the figures", "figures too low", "remarks", "cautions", "file")


def heads() -> tuple[str, ...]:
    """The head of the table."""
    figures = [(short_name(key), _UNITS.get(key, "g")) for key in ORDER]
    return (
        *_FIRST,
        *(f"{title} a portion ({unit})" for title, unit in figures),
        *_WORDS,
        *ALLERGENS,
        *(f"{title} a portion, {end} ({unit})" for title, unit in figures for end in ("at least", "at most")),
        *(f"{title} per 100 g ({unit})" for title, unit in figures),
        *_LAST,
    )


def as_csv(results: Sequence[DishResult]) -> str:
    """The table of all dishes."""
    return csv_text([heads(), *(row(dish_values(result)) for result in results)])


def row(of: Mapping[str, Cell]) -> tuple[Cell, ...]:
    """The values of a dish as a row of the table."""
    return tuple(_row(of))


def _row(of: Mapping[str, Cell]) -> Iterator[Cell]:
    open_ = OPEN if of["not_understood"] else ""
    yield from (plain(str(of["dish"]), NAME), "yes" if of["complete"] else "NO")
    yield from (_short(of["portions"]), _short(of["portion_weight_g"]))
    yield from (_short(of[key]) for key in ORDER)
    yield from (of["contains"], of["to_check"], of["may_contain"])
    yield from (of[allergen] or open_ for allergen in ALLERGENS)
    yield from (_short(of[f"{key}_{end}"]) for key in ORDER for end in ("low", "high"))
    yield from (_short(of[f"{key}_100g"]) for key in ORDER)
    yield _short(of["cooked_weight_g"])
    yield from (of["not_understood"], of["not_counted"], of["too_low"])
    yield from (of["remarks"], " ".join(cautions()), of["file"])


def _short(value: Cell) -> Cell:
    """A number to two decimals, a whole one without any."""
    short = None if value is None else round(float(value), DECIMALS)
    return int(short) if short is not None and short == int(short) else short
