"""Stages of fixed foods cooked in fixed ways, and their figures as they were before the sums became arrays.

``kept_figures.csv`` was written by ``python -m tests.engine_cases --write`` with the code that added up line by line
in plain dictionaries, before any of it was changed. Foods are named by their numbers in SR28 and weighed here, so that
no word list and no piece weight moves them; a better yield or retention factor may, and then they are written again.
"""

from __future__ import annotations

import csv
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from random import Random

from nutrilab import nutrition
from nutrilab.cooking.media import Put
from nutrilab.foods import embedded
from nutrilab.lines import parse_line
from nutrilab.recipe import Cooking, Method
from nutrilab.remarks import InputError
from tests.stages import cook_stage

KEPT = Path(__file__).with_name("kept_figures.csv")
COUNT = 60
FOODS = {  # the words of the line -> the food
    "plain flour": "20081", "butter": "01001", "milk": "01077", "eggs": "01123", "chicken breast": "05062",
    "cod": "15015", "carrots": "11124", "onions": "11282", "rice": "20044", "pasta": "20120", "sunflower oil": "04506",
    "salt": "02047", "red wine": "14096", "potatoes": "11352", "sugar": "19335", "water": "14411", "cream": "01053",
    "bacon": "10123", "cheddar": "01009", "tinned tomatoes": "11531", "lentils": "16069", "minced beef": "23572",
}  # fmt: skip
PURPOSES = ("", "", "", "", ", for frying", ", to serve", ", for dusting", ", for deep frying")


@dataclass(frozen=True)
class Case:
    """Puts of two stages, the first of which goes into the second by a share; how each is cooked; portions."""

    puts: tuple[tuple[Put, ...], ...]
    cooking: tuple[Cooking | None, ...]
    share: float
    portions: int


def _cooking(dice: Random) -> Cooking | None:
    method = Method(dice.choice(list(Method)))
    return dice.choice((
        None, Cooking(), Cooking(method=method, minutes=dice.choice((None, 10, 45))),
        Cooking(method=Method.BOILED, drained=True, salted_water=10.0), Cooking(method=Method.BAKED, loss=0.1),
        Cooking(method=Method.ROASTED, minutes=60), Cooking(method=Method.PAN_FRIED, minutes=5),
        Cooking(method=Method.SIMMERED, flamed=True, covered=True), Cooking(method=Method.DEEP_FRIED, oil_left=20.0),
        Cooking(method=Method.BRAISED, minutes=90, fat_drained=5.0),
    ))  # fmt: skip


def _put(dice: Random, line: int) -> Put:
    name = dice.choice(list(FOODS))
    grams = float(dice.choice((5, 20, 50, 100, 250, 400)))
    low, high = grams * dice.choice((1, 0.9, 0.6)), grams * dice.choice((1, 1.1, 1.5))
    reading = parse_line(f"{grams:g} g {name}{dice.choice(PURPOSES)}")
    food = None if dice.random() < 0.05 else embedded().food(f"sr:{FOODS[name]}")
    return Put(food, grams, low, high, name, reading, line=line)


def cases() -> Iterator[Case]:
    for number in range(COUNT):
        dice = Random(number)
        puts = tuple(tuple(_put(dice, line) for line in range(1, dice.randint(3, 8))) for _ in ("one", "two"))
        yield Case(puts, (_cooking(dice), _cooking(dice)), dice.choice((1.0, 0.5, 0.25)), dice.choice((1, 4, 6)))


def figures(case: Case) -> dict[str, list[float | None]]:
    """Key -> amount in a portion, low, high and amount in 100 g; of what cannot be, nothing."""
    try:
        first = cook_stage(case.puts[0], [], case.cooking[0], "one").cooked
        part = [("one", first.scaled(case.share))]
        cooked = cook_stage(case.puts[1], part, case.cooking[1], "two", "supper").cooked
    except InputError:
        return {}
    batch = nutrition.divided(cooked, case.portions)
    whole = nutrition.totals(batch, case.portions)
    found: dict[str, list[float | None]] = {
        "mass": [batch.mass, batch.get("VITC"), batch.get("FE"), batch.get("F18D1")]
    }
    for key in nutrition.KEYS:
        ends, per_mass = whole.per_portion_range[key], nutrition.ranges_per_100g(cooked)[key]
        found[key] = [whole.per_portion[key], *(ends or (None, None)), whole.per_100g[key], *(per_mass or (None, None))]
    return found


def main() -> None:
    if "--write" in sys.argv:
        with KEPT.open("w", newline="", encoding="utf-8") as file:
            table = csv.writer(file, lineterminator="\n")
            table.writerow(("case", "key", "figures"))
            for number, case in enumerate(cases()):
                for key, some in figures(case).items():
                    table.writerow((number, key, " ".join("-" if one is None else f"{one:.12g}" for one in some)))


if __name__ == "__main__":
    main()
