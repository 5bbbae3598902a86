"""A corpus of recipes to measure by, made from our own names and measures; the same for the same seed.

Ten lines a recipe. Names fall off by Zipf's law, those of the demo recipes and gold lines first, and so do the lines
that many recipes share; one line in five has never been written before: another amount, another preparation, or a
describing word nobody knows. Invented data: no recipe of anybody.
"""

from __future__ import annotations

import csv
import random
from collections import Counter
from collections.abc import Iterator
from functools import cache
from itertools import accumulate
from pathlib import Path

from nutrilab.datafiles import FOLDER, rows
from nutrilab.recipe import Line, Recipe, Stage
from nutrilab.text import words

LINES, FRESH = 10, 0.2  # of a recipe; share that no recipe had before
STRANGE = 0.1  # share of these with a word that no list knows
SHARED = 20_000  # different lines that recipes have in common
FAMILIES = tuple(
    f"names/{path.name}" for path in sorted((FOLDER / "names").glob("*.csv"))
    if path.stem not in ("other-languages", "ready-dishes")
)  # fmt: skip
MEASURES = (  # the commonest first
    "{whole} {name}", "{grams} g {name}", "{small} tbsp {name}", "{small} tsp {name}", "{grams}g {name}",
    "{cups} cup {name}", "{ml} ml {name}", "{name}", "{small} cloves {name}", "{ounces} oz {name}", "a pinch of {name}",
    "{kilos} kg {name}", "1 tin {name}", "{whole} {name}, to taste", "a handful of {name}", "{whole} large {name}",
    "{cups} cups {name}", "1 x {grams} g pack {name}", "{ounces} ounces {name}", "{kilos} lb {name}",
)  # fmt: skip
TAILS = ("", "", "", ", chopped", ", finely chopped", ", sliced", ", peeled", ", diced", ", crushed", ", to serve")
DISHES = ("soup", "stew", "salad", "pie", "bake", "supper", "cakes", "curry", "sandwich", "broth", "hotpot", "slaw")
STEPS = (
    "Heat the oil in a large pan and fry the first things gently for {minutes} minutes until soft.",
    "Add everything else, bring to the boil, cover and simmer for {minutes} minutes.",
    "Bake in the oven at 180C for {minutes} minutes until golden.",
    "Drain, season and serve at once.",
    "Mix everything well and leave to stand for {minutes} minutes.",
)
GOLD = Path(__file__).parents[1] / "gold" / "lines.csv"


@cache
def names() -> tuple[str, ...]:
    """All names of our lists, those that our own gold lines are made of first, by how often they stand there."""
    with GOLD.open(encoding="utf-8", newline="") as file:
        gold = csv.DictReader(line for line in file if not line.startswith("#"))
        often = Counter(said[start:end] for row in gold for said in [words(row["name"])]
                        for start in range(len(said)) for end in range(start + 1, len(said) + 1))  # fmt: skip
    found = list(dict.fromkeys(row["name"] for family in FAMILIES for row in rows(family)))
    random.Random(1).shuffle(found)
    return tuple(sorted(found, key=lambda name: -often[words(name)]))


@cache
def _odds(count: int) -> list[float]:
    return list(accumulate(1 / rank for rank in range(1, count + 1)))


def _zipf(dice: random.Random, things: tuple[str, ...]) -> str:
    return dice.choices(things, cum_weights=_odds(len(things)))[0]


def _line(dice: random.Random, name: str) -> str:
    return _zipf(dice, MEASURES).format(
        name=name, whole=dice.choice((1, 2, 3, 4, 6)), small=dice.choice((1, 2, 3)), kilos=dice.choice((0.5, 1, 1.5)),
        grams=dice.choice((25, 50, 100, 150, 200, 250, 300, 400, 500)), ml=dice.choice((50, 100, 200, 250, 500, 750)),
        cups=dice.choice(("1/2", "1/4", 1, 2, "1 1/2")), ounces=dice.choice((2, 4, 6, 8, 12)),
    ) + dice.choice(TAILS)  # fmt: skip


def _fresh(dice: random.Random, seen: set[str]) -> str:
    """A line that no recipe had before: mostly other amounts and preparations of names that are known."""
    while True:
        name = _zipf(dice, names())
        if dice.random() < STRANGE:
            name = f"{''.join(dice.choices('bdfgklmnprstvw', k=3))}{dice.choice('aeiou')} {name}"
        tail = dice.choice(TAILS) + dice.choice(("", f" into {dice.randint(2, 30)} mm pieces", " by hand", " (ripe)"))
        text = f"{dice.randint(3, 1200)} {dice.choice(('g', 'ml', 'g', 'tbsp', 'oz'))} {name}{tail}"
        if text not in seen:
            seen.add(text)
            return text


def recipes(count: int, seed: int = 1, fresh: float = FRESH, method: bool = False) -> Iterator[Recipe]:
    """So many recipes; fresh: share of lines never seen before; method: whether each has three steps written."""
    dice = random.Random(seed)
    seen: set[str] = set()
    pool = tuple(dict.fromkeys(_line(random.Random(f"line {n}"), _zipf(dice, names())) for n in range(SHARED)))
    seen.update(pool)
    for number in range(count):
        lines = [_fresh(dice, seen) if dice.random() < fresh else _zipf(dice, pool) for _ in range(LINES)]
        dish = f"{_zipf(dice, names())} {dice.choice(DISHES)} {number}".capitalize()
        steps = dice.sample(STEPS, 3) if method else ()
        said = tuple(Line(step.format(minutes=dice.choice((5, 10, 20, 30, 45)))) for step in steps)
        yield Recipe(dish, (Stage(dish, tuple(map(Line, lines))),), float(dice.choice((2, 4, 4, 6))), method=said)
