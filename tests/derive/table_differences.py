"""The demos by several food tables, for docs/food-tables.md: ``python -m tests.derive.table_differences [--write]``.

Needs the CIQUAL workbook of ../shared/reference.
"""

from __future__ import annotations

import tempfile
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from data_loaders import fr_ciqual, schema
from nutrilab.foods import FoodTable, embedded
from nutrilab.kitchen import DishResult, Kitchen
from nutrilab.nutrition import KEYS
from nutrilab.products import load
from nutrilab.recipe import read_recipe
from nutrilab.tracing import brings
from tests.derive.pages import Place

HERE = Path(__file__).parents[2]
DEMOS = sorted(p for p in (HERE / "demo_recipes").iterdir() if p.suffix in (".yaml", ".txt"))
WORKBOOK = HERE.parent / "shared" / "reference" / "ciqual-2020-eng.xls"
PAGE = HERE / "docs" / "food-tables.md"
START, END = (
    "<!-- differences: made by python -m tests.derive.table_differences --write -->\n",
    "<!-- differences: end -->\n",
)
SHOWN = {"energy_kcal": ("kcal", 0), "fat": ("g fat", 1), "salt": ("g salt", 2)}
TOLD = {"energy_kcal": 4.0, "fat": 0.4, "salt": 0.04}  # differences of a line a portion from which it is named
assert set(SHOWN) <= set(KEYS)


@cache
def ciqual() -> FoodTable:
    folder = Path(tempfile.mkdtemp())
    return FoodTable(schema.write(fr_ciqual.load(WORKBOOK), folder, fr_ciqual.NAME))


@dataclass(frozen=True)
class Way:
    """One choice of tables."""

    name: str
    kitchen: Kitchen


@cache
def ways() -> tuple[Way, ...]:
    packs = load(HERE / "demo_recipes" / "packs" / "quayside.yaml")
    tables = {"SR28": [embedded()], "CIQUAL": [ciqual()], "CIQUAL, then SR28": [ciqual(), embedded()]}
    return tuple(Way(name, Kitchen(chosen, products=packs)) for name, chosen in tables.items())


@cache
def results(path: Path) -> tuple[DishResult, ...]:
    return tuple(way.kitchen.dish(read_recipe(path)) for way in ways())


def table() -> list[str]:
    found = ["| dish | tables | kcal | fat g | salt g | weight that has a food |", "|---|---|--:|--:|--:|--:|"]
    for path in DEMOS:
        for way, result in zip(ways(), results(path), strict=True):
            one = result.whole.per_portion
            figures = " | ".join(f"{one[key] or 0:.{digits}f}" for key, (_, digits) in SHOWN.items())
            share = result.whole.coverage["mass_linked"]
            found.append(f"| {result.recipe.dish} | {way.name} | {figures} | {100 * share:.0f} % |")
    return found


def reasons(path: Path) -> list[str]:
    """Lines whose part of a figure differs most between the first and the last way, with the two foods."""
    first, last = results(path)[0], results(path)[-1]
    found = []
    for key, (unit, digits) in SHOWN.items():
        before = {(one.stage, one.number): one for one in brings(first, key)}
        for one in brings(last, key):
            old = before.get((one.stage, one.number))
            change = one.amount - (old.amount if old else 0.0)
            if old and abs(change) >= TOLD[key]:
                foods = " -> ".join(_food(result, one.stage, one.number) for result in (first, last))
                found.append((abs(change) / TOLD[key], f"{one.text}: {change:+.{digits}f} {unit} ({foods})"))
    return [words for _, words in sorted(found, reverse=True)[:4]]


def _food(result: DishResult, stage: str, number: int) -> str:
    for cooked in result.stages:
        if cooked.stage.name == stage and number in cooked.numbers:
            record = cooked.records[cooked.numbers.index(number)]
            return " + ".join(food.link.food.name if food.link.food else "no food" for food in record.foods)
    return "what cooking takes"


def page() -> str:
    text = [*table(), ""]
    for path in DEMOS:
        dish = results(path)[0].recipe.dish
        text += [
            f"**{dish}**",
            "",
            *(f"* {reason}" for reason in reasons(path) or ["no line differs enough to name"]),
            "",
        ]
    return "\n".join(text)


def written() -> str:
    return Place(PAGE, START, END).written()


if __name__ == "__main__":
    Place(PAGE, START, END).main(page)
