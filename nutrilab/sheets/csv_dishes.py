"""Dishes as a table for a spreadsheet, a row each: what is asked for first stands first. The long form is another file.

A figure is a number in the unit of its head, to two decimals; the law's rounding, every line and every source stand in
the long form (csv_figures.py). An empty cell is not known, never zero.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from nutrilab.allergens import ALLERGENS
from nutrilab.declaration import Figure, declare
from nutrilab.law.rounding import ORDER, short_name
from nutrilab.results import DishResult
from nutrilab.sheets.answer import answer
from nutrilab.sheets.safe import Cell, csv_text, plain
from nutrilab.sheets.sentences import not_counted

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
    return csv_text([heads(), *(tuple(_row(result)) for result in results)])


def _row(result: DishResult) -> Iterator[Cell]:
    told, figures = result.allergens, declare(result).figures
    yield from (plain(result.recipe.dish, NAME), "yes" if result.complete else "NO")
    yield from (_short(result.portions), _short(result.portion_weight))
    yield from (_short(one.per_portion) for one in figures)
    yield ", ".join(map(told.named, told.contains))
    yield from (", ".join(found) for found in (answer(result).to_check, told.may))
    yield from (told.cell(allergen) or ("" if told.complete else OPEN) for allergen in ALLERGENS)
    yield from (_short(end) for one in figures for end in one.ends or (None, None))
    yield from (_short(one.per_100g) for one in figures)
    yield _short(result.cooked_mass)
    yield from ("; ".join(lines) for lines in (told.unresolved, not_counted(result), _too_low(figures)))
    yield from (len(result.remarks), " ".join(result.cautions), result.recipe.path.name if result.recipe.path else "")


def _short(value: float | None) -> float | None:
    """A number to two decimals, a whole one without any."""
    short = None if value is None else round(value, DECIMALS)
    return int(short) if short is not None and short == int(short) else short


def _too_low(figures: Sequence[Figure]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(short_name(one.key) for one in figures if one.too_low))
