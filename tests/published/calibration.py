"""Whether the range of a portion holds the published figure of a dish that a cook wrote down by heart.

    python -m tests.published.calibration [--write | --whole]

Source: USDA ARS, Food and Nutrient Database for Dietary Studies 2015-2016, "FNDDS Ingredients" and "FNDDS Nutrient
Values" (2018): grams and SR28 rows of every ingredient, the moisture change, and values per 100 g of the dish as it
is eaten. The true figure is that of the whole dish: the published value times the cooked mass, which is all that went
in times the moisture change.

**Which dishes.** Those of three or more ingredients, and of three or more lines as the cook writes them, of which
each is a row of SR28 or a dish of such rows; not those that are an average over what people eat (NFS, "NS as to") and
not infant formula, which nobody cooks.

**What the cook writes.** Each ingredient as in tests/published/blurring.py, drawn by `SEED`, and every dish by
`COOKS` cooks; a dish published for one or for 100 g is written so many times over that it is a dish for a table,
`TABLE` [g] or more. The cook says how it was cooked where FNDDS says it (its name, its retention codes) or the kind
of dish does, and nothing of what it weighed. A dish without a moisture change is put together of food that is cooked
already: no method. A few spoons of fat are no bath: what FNDDS calls fried in them is fried in a pan.

**What is compared.** nutrilab reads these lines as it reads any recipe, for one portion. Dishes that it does not call
complete are left out and counted. Inside is what lies in the range, give or take half of the last digit that FNDDS
prints. Width is (high - low) / value. "Foods blurred": exact grams under the same words. "Amounts blurred": the same
amounts, but what each word stands for is decided, as a cook decides it in decisions.yaml. "Nothing blurred": both
exact, so what is left is the cooking and the energy factors: FNDDS has USDA's own factors by food, nutrilab the
Regulation's. "kcal, by the Regulation" is held against the exact ingredients by the Regulation's factors.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache
from math import ceil
from pathlib import Path
from random import Random
from statistics import median
from typing import NamedTuple

from nutrilab.cooking import yields
from nutrilab.foods import Food, embedded
from nutrilab.kitchen import Kitchen
from nutrilab.lines import parse_line
from nutrilab.nutrition import declared_values
from nutrilab.products import Product, Products
from nutrilab.recipe import Cooking, Line, Method, Recipe, Stage
from nutrilab.results import DishResult
from tests.derive.pages import Place
from tests.published import blurring, moisture, test_fndds
from tests.published.extracted import extracted

PAGE = Path(__file__).parents[2] / "docs" / "checked-against.md"
START, END = (
    "<!-- calibration: made by python -m tests.published.calibration --write -->\n",
    "<!-- calibration: end -->\n",
)
SEED = 16
LEAST = 3  # ingredients, and lines as the cook writes them: five minces with salt are no dish
TABLE = 800.0  # g: four helpings (common practice, no source)
COOKS = 3  # that write each dish, each by a draw of their own
SAMPLE = 400  # dishes of the whole table that are looked at
NOT_COOKED = re.compile(r"\bNFS\b|\bNS as to\b|[Ii]nfant formula|[Bb]aby ?food|as ingredient in")
TEASPOON = 4.929  # ml, US
BATH = 0.3  # share of fat from which it is a bath
# figure -> name, component as FNDDS has it, last digit it prints, what of ours one of theirs is
FIGURES = {
    "energy_kcal": ("kcal", "ENERC_KCAL", 1.0, 1.0),
    "fat": ("fat", "FAT", 0.01, 1.0),
    "protein": ("protein", "PROCNT", 0.01, 1.0),
    "salt": ("salt", "NA", 1.0, 2.5 / 1000),
}
REGULATION = "kcal, by the Regulation"
BLURS = {  # name -> whether foods, whether amounts are blurred
    "foods and amounts": (True, True),
    "foods": (True, False),
    "amounts": (False, True),
    "nothing": (False, False),
}


class Put(NamedTuple):
    """An ingredient: what it is, the grams a cook puts in, its plain name, the line a cook writes."""

    food: Food
    grams: float
    name: str
    line: str
    mixed: bool  # whether it is several foods that the cook has one name for


@dataclass(frozen=True, slots=True)
class Written:
    """A published dish as a cook wrote it: times over the published one, what went in, how it was cooked."""

    code: int
    cook: int
    name: str
    times: float
    puts: tuple[Put, ...]
    cooking: Cooking | None
    true: dict[str, float]  # figures of the whole dish [kcal, g]
    slack: dict[str, float]  # half of the last printed digit, of the whole dish


class Held(NamedTuple):
    """A figure of a dish: the true one, ours, its range, what the printing of the true one leaves open."""

    true: float
    value: float
    low: float
    high: float
    slack: float

    @property
    def inside(self) -> bool:
        return self.low - self.slack <= self.true <= self.high + self.slack

    @property
    def width(self) -> float:
        return (self.high - self.low) / self.value


class Checked(NamedTuple):
    """A dish through nutrilab."""

    dish: Written
    result: DishResult
    figures: dict[str, Held]


@cache
def names(source: str) -> dict[int, str]:
    """Names of the published dishes by code."""
    if source == "extract":
        return {int(row["code"]): row["name"] for row in extracted("fndds_dishes.csv")}
    return {code: dish.name for code, dish in moisture.dishes().items()}


def codes(source: str) -> list[int]:
    """The dishes looked at: all of the extract, a sample of the whole table."""
    large = [code for code, told in test_fndds.published(source).items() if len(told.ingredients) >= LEAST]
    found = [code for code in large if not NOT_COOKED.search(names(source)[code]) and test_fndds.dish(source, code)]
    return found if len(found) <= SAMPLE else sorted(Random(SEED).sample(found, SAMPLE))


def ingredient(source: str, code: int) -> Food:
    """A row of SR28, or a dish as a food; a mixture of foods of one group is measured as the most of it is."""
    if code < 10_000_000:
        return test_fndds.sr(code)
    food = test_fndds.dish_food(source, code)
    assert food is not None
    parts = [(ingredient(source, number), grams) for number, grams, _ in test_fndds.published(source)[code].ingredients]
    most = max(parts, key=lambda part: part[1])[0]
    group = most.group if len({part.group for part, _ in parts}) == 1 else ""
    return replace(food, name=names(source)[code], group=group, measures=most.measures if group else ())


def method(source: str, code: int) -> Cooking | None:
    """How the cook says it was cooked: as FNDDS says, else as the kind of dish is; None for what is put together."""
    told = test_fndds.published(source)[code]
    if not told.moisture:
        return None
    parts = tuple((number, "", grams, retention) for number, grams, retention in told.ingredients)
    said, drained = moisture.method_of(moisture.Dish(code, names(source)[code], "", told.moisture, parts))
    if said == "deep-fried":
        foods = [(ingredient(source, number), grams) for number, grams, _ in told.ingredients]
        fat = sum(grams for food, grams in foods if food.group == "Fats and Oils")
        said = said if fat > BATH * sum(grams for _, grams in foods) else "pan-fried"
    said = said or _of_kind(moisture.turned(names(source)[code]))
    return Cooking(method=Method(said), drained=drained and said == "boiled") if said else None


def _of_kind(name: str) -> str:
    """The first method of the kind of dish of a name; "" where the name tells none."""
    for row in yields.dish_rows():
        first = row["methods"].split()[0]
        kind = yields.of_dish((name,), Method(first))
        if kind is not None and kind.kind == row["dish"]:
            return first
    return ""


@cache
def written(source: str) -> tuple[Written, ...]:
    """The dishes as a cook writes them."""
    every = (_written(source, code, one) for code in codes(source) for one in range(COOKS))
    return tuple(dish for dish in every if len(dish.puts) >= LEAST)


def _written(source: str, code: int, cook: int) -> Written:
    told = test_fndds.published(source)[code]
    raw = sum(grams for _, grams, _ in told.ingredients)
    times = float(max(1, ceil(TABLE / raw)))
    puts = _puts(
        [(ingredient(source, number), times * grams) for number, grams, _ in told.ingredients], f"{SEED} {code} {cook}"
    )
    mass = times * raw * (1 + told.moisture / 100)
    true = {key: told.values[tag] * unit * mass / 100 for key, (_, tag, _, unit) in FIGURES.items()}
    slack = {key: digit * unit * mass / 200 for key, (_, _, digit, unit) in FIGURES.items()}
    exact = test_fndds.dish(source, code)
    assert exact is not None
    true[REGULATION] = times * (declared_values(exact.cooked)["energy_kcal"] or 0.0)
    slack[REGULATION] = 0.0
    return Written(code, cook, names(source)[code], times, puts, method(source, code), true, slack)


def _puts(foods: Sequence[tuple[Food, float]], seed: str) -> tuple[Put, ...]:
    """The lines of a dish: foods of one name are told apart by more of it, or else are one line."""
    draw = Random(seed)
    plain = [blurring.plain(food.name, food.group) for food, _ in foods]
    counts = [draw.choice((1, 2, 3)) for _ in foods]
    for more in range(2, 6):
        said = [one.told(count) for one, count in zip(plain, counts, strict=True)]
        counts = [max(count, more) if said.count(name) > 1 else count for name, count in zip(said, counts, strict=True)]
    said = [one.told(count) for one, count in zip(plain, counts, strict=True)]
    found = []
    for name in dict.fromkeys(said):
        some = [
            (food, grams, one) for (food, grams), one, other in zip(foods, plain, said, strict=True) if other == name
        ]
        food, _, one = max(some, key=lambda part: part[1])
        grams = sum(part[1] for part in some)
        mixed = len({part[0].food_id for part in some}) > 1
        found.append(Put(food, grams, name, blurring.line(food, grams, name, one.head, draw), mixed))
    return tuple(found)


@cache
def _kitchen() -> Kitchen:
    return Kitchen([embedded()])


def cook(dish: Written, foods: bool, amounts: bool) -> DishResult | None:
    """The dish by nutrilab, with what is blurred; None where no decision by name can tell its foods apart."""
    if not foods and any(put.mixed for put in dish.puts):
        return None
    lines = [put.line if amounts else f"{put.grams:.2f} g {put.name}{blurring.ready(put.food)}" for put in dish.puts]
    stage = Stage("dish", tuple(Line(text) for text in lines), dish.cooking)
    kitchen = _kitchen() if foods else _deciding(dish, lines)
    found = kitchen.dish(Recipe(moisture.turned(dish.name), (stage,), portions=1.0))
    return found if foods or _as_decided(dish, found) else None


def _deciding(dish: Written, lines: Sequence[str]) -> Kitchen:
    """A kitchen whose cook decided what each name of the dish stands for; a dish of FNDDS is a pack of their own."""
    decisions, packs = {}, []
    for put, text in zip(dish.puts, lines, strict=True):
        name = " and ".join(parse_line(text).names)
        if put.food.food_id.startswith("sr:"):
            decisions[name] = put.food.food_id
        else:
            spoon = blurring.volumes(put.food)
            packs.append(Product(name, values=put.food.values, density=spoon[0].grams / TEASPOON if spoon else None))
    return Kitchen([embedded()], decisions, products=Products(packs) if packs else None)


def _as_decided(dish: Written, found: DishResult) -> bool:
    """Whether every line stands for the one food that was decided."""
    for put, record in zip(dish.puts, found.stages[0].records, strict=True):
        ids = [food.link.food.food_id for food in record.foods if food.link.food is not None]
        pack = put.food.food_id.startswith("fndds:") and len(ids) == 1 and ids[0].startswith("own:")
        if ids != [put.food.food_id] and not pack:
            return False
    return True


@cache
def checked(source: str, blur: str) -> tuple[Checked, ...]:
    """The dishes through nutrilab, also those that it does not call complete."""
    found = []
    for dish in written(source):
        if (result := cook(dish, *BLURS[blur])) is None:
            continue
        figures = {}
        for key in (*FIGURES, REGULATION):
            ours = "energy_kcal" if key == REGULATION else key
            value, ends = result.whole.per_portion[ours], result.whole.per_portion_range[ours]
            if value is not None and ends is not None:
                figures[key] = Held(dish.true[key], value, *ends, dish.slack[key])
        found.append(Checked(dish, result, figures))
    return tuple(found)


def complete(source: str, blur: str) -> list[Checked]:
    """Those that are complete here and with all blurred, so that all blurs tell of the same dishes."""
    every = checked(source, "foods and amounts")
    whole = {(one.dish.code, one.dish.cook) for one in every if one.result.complete}
    return [one for one in checked(source, blur) if (one.dish.code, one.dish.cook) in whole and one.result.complete]


class Result(NamedTuple):
    """A row of the table: dishes, share inside, median width, median of ours / true."""

    dishes: int
    inside: float
    width: float
    ratio: float


def result(source: str, blur: str, key: str) -> Result:
    """What came out for a figure."""
    held = [one.figures[key] for one in complete(source, blur) if key in one.figures]
    inside = sum(one.inside for one in held) / len(held)
    width = median(one.width for one in held if one.value > 0)
    return Result(len(held), inside, width, median(one.value / one.true for one in held if one.true > 0))


def page(source: str = "extract") -> str:
    """The table."""
    head = ("blurred", "figure", "written dishes", "inside the range", "median width", "median of ours / published")
    lines = ["| " + " | ".join(head) + " |", "|---|---|--:|--:|--:|--:|"]
    for blur in BLURS:
        for key, (name, *_) in {**FIGURES, REGULATION: (REGULATION,)}.items():
            one = result(source, blur, key)
            figures = f"{100 * one.inside:.0f} % | {100 * one.width:.0f} % | {one.ratio:.3f}"
            lines.append(f"| {blur} | {name} | {one.dishes} | {figures} |")
    every = checked(source, "foods and amounts")
    left = sum(not one.result.complete for one in every)
    dishes = len({one.dish.code for one in every})
    told = f"{dishes} dishes, each written by {COOKS} cooks. Left out as not complete: {left} of {len(every)}."
    return "\n".join(lines) + f"\n\n{told}\n"


def put_down() -> str:
    """The table as it stands in the page."""
    return Place(PAGE, START, END).written()


if __name__ == "__main__":
    if "--whole" in sys.argv:
        print(page("whole table"))
    else:
        Place(PAGE, START, END).main(page)
