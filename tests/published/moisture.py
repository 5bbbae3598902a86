"""The weight change chosen from the method alone against the moisture changes of FNDDS 2015-2016.

Source: USDA ARS, Food and Nutrient Database for Dietary Studies 2015-2016, "FNDDS Ingredients" (2018), read in place.

Of every dish whose name or whose retention codes say how it is cooked the product's own rules get the ingredients,
that method and the name, and nothing else. What they choose is held against the published moisture change, and beside
it the median of the kind of dish alone. Medians by kind of dish come from FNDDS themselves: so the food codes are
parted by a seed into halves (a family of codes, the first five digits, stays together), the medians are those of the
one half, and the table is of the other. The rules, too, were made on the first half.

``python -m tests.published.moisture [--write]``: the table of docs/checked-against.md.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from random import Random
from statistics import median

from nutrilab.cooking import weight, yields
from nutrilab.cooking.media import Put, item, sort
from nutrilab.datafiles import rows
from nutrilab.foods import Food, embedded
from nutrilab.lines import parse_line
from nutrilab.recipe import Cooking, Method
from tests.derive import dish_moisture
from tests.derive.pages import Place

ROOT = Path(__file__).parents[2]
WORKBOOK = ROOT.parent / "shared" / "reference" / "fndds-2015-2016-ingredients.xlsx"
PAGE = ROOT / "docs" / "checked-against.md"
START, END = (
    "<!-- moisture: made by python -m tests.published.moisture --write -->\n",
    "<!-- moisture: end -->\n",
)
SEED = 15

# What a name says, the first that fits: pattern -> method.
BY_NAME = (
    (r"\bstir[- ]?fr", "stir-fried"),
    (r"\b(deep[- ]?fried|(coated|breaded|battered|batter-dipped|floured),? fried|fritters?)\b", "deep-fried"),
    (r"\b(omelet|scrambled|egg foo yung|pancakes?|crepes?|fried(?! rice))\b", "pan-fried"),
    (r"\bbaked or broiled\b", "baked"),
    (r"\b(broiled|grilled|barbecued)\b", "grilled"),
    (r"\broasted\b", "roasted"),
    (r"\bbaked\b", "baked"),
    (r"\btoasted\b", "toasted"),
    (r"\bsteamed\b", "steamed"),
    (r"\bpoached\b", "poached"),
    (r"\bstew(ed)?\b", "stewed"),
    (r"\bbraised\b", "braised"),
    (r"\bboiled\b", "boiled"),
)
# What the words of a retention code say, the first that stands in them; food that is only warmed says nothing.
BY_CODE = (
    ("reheated", ""), ("stir fry", "stir-fried"), ("fried coated", "deep-fried"), ("sauteed+simmered", "simmered"),
    ("sauteed", "pan-fried"), ("boiled drained baked", "baked"), ("boiled/baked", "simmered"),
    ("brown simmered", "simmered"), ("browned simmered", "simmered"), ("braised", "braised"), ("simmered", "simmered"),
    ("water used", "simmered"), ("not drained", "simmered"), ("boiled", "boiled"), ("drained", "boiled"),
    ("steamed", "steamed"), ("poached", "poached"), ("baked", "baked"), ("roasted", "roasted"), ("grilled", "grilled"),
    ("broiled", "grilled"), ("fried", "pan-fried"), ("toasted", "toasted"), ("cooked", "simmered"),
)  # fmt: skip
# Categories of FNDDS as kinds of dish: pattern -> name, the first that fits.
KINDS = (
    (r"^Fish|^Shellfish", "fish and shellfish by themselves"),
    (r"^Eggs", "eggs and omelettes"),
    (r"^(Beef|Pork|Lamb|Chicken|Turkey|Liver|Sausages|Ground|Bacon|Cold cuts)", "meat and poultry by themselves"),
    (r"^Soups", "soups"),
    (r"^Stir-fry|^Fried rice", "stir-fries"),
    (r"^Rice|^Pasta|^Macaroni", "rice and pasta dishes"),
    (r"mixed dishes|^Other Mexican|^Burritos|^Frankfurter|^Egg rolls|^Pizza", "other mixed dishes"),
    (r"^Grits|^Oatmeal", "porridge and grits"),
    (r"^Pancakes", "pancakes and waffles"),
    (r"^Yeast breads|^Rolls|^Bagels|^Tortillas|^Crackers", "breads and toast"),
    (r"^Biscuits|^Cookies|^Cakes|^Doughnuts|^Turnovers", "cakes, pies and biscuits"),
    (r"^Pudding", "puddings and custards"),
    (r"^Beans, peas|soy products", "pulses"),
    (r"^Dips|condiments|^Jams|^Olives", "sauces and preserves"),
    (r"fruits?\b|^Apples|^Bananas|^Peaches", "fruit"),
    (r"vegetables|^Onions|^Tomatoes|^Carrots|^Corn|potatoes|^Lettuce|^Cabbage|^String", "vegetables and potatoes"),
    (r".", "other"),
)


@dataclass(frozen=True, slots=True)
class Dish:
    """A dish as published: its moisture change [%], its ingredients (code, words, grams, retention code)."""

    code: int
    name: str
    category: str
    change: float
    parts: tuple[tuple[int, str, float, int], ...]

    @property
    def kind(self) -> str:
        return next(name for pattern, name in KINDS if re.search(pattern, self.category))


@dataclass(frozen=True, slots=True)
class Checked:
    """A dish with its method, the change chosen from it [%], the change of its kind of dish alone [%], the ground."""

    dish: Dish
    method: str
    chosen: float
    by_kind: float
    ground: weight.WeightFrom

    @property
    def error(self) -> float:
        """How far the chosen change is off [percentage points]."""
        return abs(self.chosen - self.dish.change)

    @property
    def kind_error(self) -> float:
        """How far the median of its kind is off [percentage points]."""
        return abs(self.by_kind - self.dish.change)


@cache
def dishes() -> dict[int, Dish]:
    """Every published dish by its code."""
    import openpyxl  # type: ignore[import-untyped]

    lines: dict[int, list[tuple[object, ...]]] = {}
    for line in openpyxl.load_workbook(WORKBOOK, read_only=True).worksheets[0].iter_rows(min_row=3, values_only=True):
        if line[0] is not None:
            lines.setdefault(int(line[0]), []).append(line)
    return {
        code: Dish(
            code,
            str(own[0][1]),
            str(own[0][3]),
            float(str(own[0][9] or 0)),
            tuple((int(str(p[5])), str(p[6]), float(str(p[7])), int(str(p[8] or 0))) for p in own),
        )
        for code, own in lines.items()
    }


@cache
def _first_families() -> frozenset[int]:
    families = sorted({code // 1000 for code in dishes()})
    Random(SEED).shuffle(families)
    return frozenset(families[: len(families) // 2])


def in_first_half(code: int) -> bool:
    """Whether a dish is of the half that medians and rules may be made from."""
    return code // 1000 in _first_families()


@cache
def _code_words() -> dict[int, str]:
    return {int(row["code"]): row["method"] for row in rows("retention.csv") if row["food"] != "milk"}


def method_of(dish: Dish) -> tuple[str, bool]:
    """The method that a dish says, "" for none; whether its water is poured away."""
    drained = sum(p[2] for p in dish.parts if "drained" in (w := _code_words().get(p[3], "")) and "not d" not in w)
    poured = drained > 0.3 * sum(part[2] for part in dish.parts)
    for pattern, method in BY_NAME:
        if re.search(pattern, dish.name, re.IGNORECASE):
            return method, poured
    said: Counter[str] = Counter()
    for _, _, grams, code in dish.parts:
        method = next((found for words, found in BY_CODE if words in _code_words().get(code, "")), "")
        said.update({method: grams} if method else {})  # type: ignore[arg-type]
    return (said.most_common(1)[0][0] if said else ""), poured


@cache
def food(code: int) -> Food | None:
    """An ingredient: a row of SR28, or a dish made of such rows; None where one of them is in no table."""
    if code not in dishes():
        return embedded().food(f"sr:{code:05d}") if f"sr:{code:05d}" in embedded() else None
    dish = dishes()[code]
    total, values = 0.0, Counter[str]()
    for part, _, grams, _ in dish.parts:
        if (one := food(part)) is None:
            return None
        total += grams
        values.update({tag: value * grams / 100 for tag, value in one.values.items()})  # type: ignore[arg-type]
    water = dish.change / 100 * total
    values["WATER"] += water  # type: ignore[assignment]
    name = dish.name if method_of(dish)[0] else f"{dish.name}, prepared"
    return Food(f"fndds:{code}", name, "", "FNDDS", None, {t: 100 * v / (total + water) for t, v in values.items()})


def turned(name: str) -> str:
    """A name as a cook would write it: "Pie, peach, one crust" is a peach pie."""
    first, *rest = name.split(", ")
    return ", ".join([f"{rest[0]} {first}", *rest[1:]]) if rest and len(rest[0].split()) <= 2 else name


def check(dish: Dish) -> Checked | None:
    """A dish through the product's own rules; None where no method is said or an ingredient is in no table."""
    method, drained = method_of(dish)
    foods = [(food(code), grams) for code, _, grams, _ in dish.parts] if method and dish.change else []
    if not foods or any(one is None for one, _ in foods):
        return None
    cooking = Cooking(method=Method(method), drained=drained and method == "boiled", read=True)
    line = parse_line("ingredient")
    puts = [Put(one, grams, grams, grams, one.name if one else "", line) for one, grams in foods]
    pot = sort([item(put) for put in puts], [], cooking)
    change = weight.published(pot, cooking, (turned(dish.name),))
    of_kind = yields.of_dish((turned(dish.name),), cooking.method) or yields.of_any(cooking.method)
    total = sum(grams for _, grams in foods)
    return Checked(dish, method, 100 * change.water / total, 100 * of_kind.change if of_kind else 0.0, change.ground)


@contextmanager
def medians_of_the_first_half() -> Iterator[None]:
    """The medians by kind of dish as the first half alone gives them."""
    told = [one for one in dish_moisture.dishes(WORKBOOK) if in_first_half(one.code)]
    half = tuple(dish_moisture.table(told))
    kept = yields.dish_rows
    try:
        yields.dish_rows = lambda: half
        _forget()
        yield
    finally:
        yields.dish_rows = kept
        _forget()


def _forget() -> None:
    yields._kinds.cache_clear()
    yields.of_any.cache_clear()


@cache
def other_half() -> tuple[Checked, ...]:
    """The dishes of the half that nothing was made from."""
    with medians_of_the_first_half():
        found = [check(dish) for code, dish in dishes().items() if not in_first_half(code)]
    return tuple(one for one in found if one is not None)


def by_kind() -> dict[str, list[Checked]]:
    """The other half by kind of dish, in the order of `KINDS`."""
    found: dict[str, list[Checked]] = {}
    for _, name in KINDS:
        if own := [one for one in other_half() if one.dish.kind == name]:
            found[name] = own
    return found


def _row(name: str, own: list[Checked] | tuple[Checked, ...]) -> str:
    published, chosen = median(one.dish.change for one in own), median(one.chosen for one in own)
    errors = median(one.error for one in own), median(one.kind_error for one in own)
    return f"| {name} | {len(own)} | {published:.1f} | {chosen:.1f} | {errors[0]:.1f} | {errors[1]:.1f} |"


def page() -> str:
    """The table."""
    head = "| kind of dish | dishes | published % | chosen % | off by, from the method | off by, median of the kind |"
    lines = [head, "|---|--:|--:|--:|--:|--:|", *(_row(name, own) for name, own in by_kind().items())]
    lines += [_row("**all**", other_half()), "", _energy()]
    return "\n".join(lines) + "\n"


def energy_error(ways: Callable[[Checked], float]) -> float:
    """Median share by which energy per 100 g is off where the weight changes so [%]: no energy leaves with water."""
    return median(abs((100 + one.dish.change) / (100 + ways(one)) - 1) for one in other_half())


def _energy() -> str:
    off = [100 * energy_error(way) for way in (lambda one: one.chosen, lambda one: one.by_kind, lambda one: 0.0)]
    return (
        f"Energy per 100 g is then off by {off[0]:.1f} % in the middle; by the median of the kind {off[1]:.1f} %; "
        f"reckoned raw {off[2]:.1f} %."
    )


def written() -> str:
    """The table as it stands in the page."""
    return Place(PAGE, START, END).written()


if __name__ == "__main__":
    Place(PAGE, START, END).main(page)
