"""The UK and the French table read from ../shared/reference, beside the embedded one, by which comes first.

    python -m tests.published.three_tables uk-cofid 150 20 [LINES.csv]

prints ingredient lines, drawn by a seed (150 by seed 20), each with the food of the table that comes first and its
figures in 100 g beside the embedded table's: for a person to judge. LINES.csv: a file with a column "text"; without it
those of ../shared/gold/link_dev.csv.
"""

from __future__ import annotations

import csv
import random
import sys
import tempfile
from functools import cache
from pathlib import Path

from data_loaders import fr_ciqual, schema, uk_cofid
from nutrilab.bench import Bench
from nutrilab.foods import Food, FoodTable, embedded
from nutrilab.law.energy import available_carbohydrate

SHARED = Path(__file__).parents[3] / "shared"
COFID = ("cofid-2015-proximates.csv", "cofid-2021-minerals-vitamins.xlsx")
CIQUAL = "ciqual-2020-eng.xls"
HERE = all((SHARED / "reference" / name).exists() for name in (*COFID, CIQUAL))
WHY_NOT = "the tables of ../shared/reference are not beside this project"


@cache
def british() -> FoodTable:
    folder = Path(tempfile.mkdtemp())
    for name in COFID:
        (folder / name).symlink_to(SHARED / "reference" / name)
    return FoodTable(schema.write(uk_cofid.load(folder), Path(tempfile.mkdtemp()), uk_cofid.NAME))


@cache
def french() -> FoodTable:
    data = fr_ciqual.load(SHARED / "reference" / CIQUAL)
    return FoodTable(schema.write(data, Path(tempfile.mkdtemp()), fr_ciqual.NAME))


def orders() -> dict[str, tuple[FoodTable, ...]]:
    """All three tables, each of them first."""
    return {
        "usda-sr": (embedded(), british(), french()),
        "uk-cofid": (british(), embedded(), french()),
        "fr-ciqual": (french(), embedded(), british()),
    }


def figures(food: Food | None) -> str:
    """What tells a food, per 100 g: energy, protein, fat, carbohydrate, water [g], sodium [mg]."""
    if food is None:
        return ""
    names = {"ENERC_KCAL": "kcal", "PROCNT": "protein", "FAT": "fat", "WATER": "water", "NA": "sodium"}
    found = {word: food.values[tag] for tag, word in names.items() if tag in food.values}
    if (carbohydrate := available_carbohydrate(food.values)) is not None:
        found["carbohydrate"] = carbohydrate
    return ", ".join(f"{word} {value:.4g}" for word, value in found.items())


def main(first: str, count: int, seed: int, path: Path) -> None:
    with path.open(encoding="utf-8", newline="") as file:
        texts = sorted({row["text"] for row in csv.DictReader(line for line in file if not line.startswith("#"))})
    random.Random(seed).shuffle(texts)
    bench, beside = (Bench(orders()[name], alternatives=False) for name in (first, "usda-sr"))
    for text in texts[:count]:
        print(text)
        for one, other in zip(bench.line(text).foods, beside.line(text).foods, strict=True):
            for found in (one, other)[: 1 if one.link.food == other.link.food else 2]:
                food = found.link.food
                named = f"{food.food_id} {food.name}" if food else "no food"
                print(f"    {found.link.sureness:9}{named} ({figures(food)}); {found.weight.grams} g")


if __name__ == "__main__":
    given = sys.argv[1:]
    lines = Path(given[3]) if len(given) > 3 else SHARED / "gold" / "link_dev.csv"
    main(given[0], int(given[1]), int(given[2]), lines)
