"""Dishes as a table for a spreadsheet, a row each: what is asked for first stands first. The long form is another file.

A figure is a number in the unit of its head, to two decimals; the law's rounding, every line and every source stand in
the long form (csv_figures.py). An empty cell is not known, never zero.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from nutrilab.allergens import ALLERGENS, cautions
from nutrilab.declaration import known_in_part
from nutrilab.law.rounding import ORDER, short_name
from nutrilab.results import DishResult
from nutrilab.sheets.answer import to_check
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
    return csv_text([heads(), *map(row, map(values, results))])


def values(result: DishResult) -> dict[str, Cell]:
    """A dish as plain values by name, unrounded; several words of one value are divided by ", ", lines by "; "."""
    told, whole = result.allergens, result.whole
    found: dict[str, Cell] = {
        "dish": result.recipe.dish,
        "portions": result.portions,
        "portion_weight_g": result.portion_weight,
        "cooked_weight_g": result.cooked_mass,
        "complete": result.complete,
    }
    for key in ORDER:
        low, high = whole.per_portion_range[key] or (None, None)
        found |= {key: whole.per_portion[key], f"{key}_low": low, f"{key}_high": high}
        found[f"{key}_100g"] = whole.per_100g[key]
    found |= {allergen: told.cell(allergen) for allergen in ALLERGENS}
    return found | {
        "contains": ", ".join(map(told.named, told.contains)),
        "to_check": ", ".join(to_check(told)),
        "may_contain": ", ".join(told.may),
        "not_understood": "; ".join(told.unresolved),
        "not_counted": "; ".join(not_counted(result)),
        "too_low": ", ".join(_too_low(result)),
        "remarks": len(result.remarks),
        "file": result.recipe.path.name if result.recipe.path else "",
    }


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


def _too_low(result: DishResult) -> Iterator[str]:
    """The figures that something left out could raise."""
    partly = known_in_part(result)
    return iter(dict.fromkeys(short_name(key) for key in ORDER if result.unweighed or key in partly))
