"""A dish followed back to its lines: what of each is in it, what brings its figures, its list of ingredients."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from nutrilab.allergens import Findings, find
from nutrilab.allergens.dish import sulphites
from nutrilab.allergens.ingredients_list import Entry, Ingredient, ingredients_list
from nutrilab.cooking.steps import of_food, of_unknown
from nutrilab.datafiles import rows
from nutrilab.nutrition import declared_values
from nutrilab.text import singular, words

if TYPE_CHECKING:
    from nutrilab.foods import FoodTable
    from nutrilab.results import CookedStage, DishResult, LineFood, LineRecord

IN_COOKING = "lost or gained in cooking"
NO_MATTER = 1e-9  # share of a figure below which a difference is the noise of arithmetic


@dataclass(frozen=True, slots=True)
class Used:
    """One food of a line as far as it is in the dish.

    grams: edible mass of it in the whole dish as it went in [g], None where nobody knows; share: of its stage that
    is in the dish [1].
    """

    food: LineFood
    record: LineRecord
    stage: CookedStage
    number: int
    grams: float | None
    share: float


@dataclass(frozen=True, slots=True)
class Brought:
    """What a line brings to a portion [kcal, kJ or g], and its share of what all lines bring [1]."""

    text: str
    stage: str
    number: int
    amount: float
    share: float


def used(result: DishResult) -> Iterator[Used]:
    """Every food of every line of the dish and of the stages and recipes it takes from, in the order of cooking."""
    of_recipe = len(result.recipe.stages)  # behind its stages stands what is served with, if anything
    last, ends = result.stages[of_recipe - 1], result.stages[of_recipe:]
    shares: dict[int, tuple[CookedStage, float]] = {}
    for end in (last, *ends):
        _walk(end, 1.0, shares)
    for stage, share in shares.values():
        times = result.portions if stage in ends else 1.0
        for number, record in zip(stage.numbers, stage.records, strict=True):
            for food in record.foods:
                yield Used(food, record, stage, number, _grams(stage, number, food, share * times), share * times)


def _walk(stage: CookedStage, share: float, found: dict[int, tuple[CookedStage, float]]) -> None:
    """Add up the share of every stage, those made first in front."""
    for source, part in stage.sources:
        _walk(source, share * part, found)
    before = found.get(id(stage), (stage, 0.0))[1]
    found[id(stage)] = (stage, before + share)


def _grams(stage: CookedStage, number: int, food: LineFood, share: float) -> float | None:
    """Mass that went into the food; of oil, water, marinade and coating only what it took up."""
    eaten = stage.result.eaten.get((number, food.name))
    grams = eaten[0] if eaten is not None else food.weight.grams
    return None if grams is None else grams * share


def brings(result: DishResult, key: str) -> tuple[Brought, ...]:
    """What every line brings of a figure (a key of `nutrition.KEYS`) to a portion as it goes in, most first.

    What cooking took or gave stands last as a line of its own, so that all amounts add up to the portion's figure.
    Empty where the figure is not known.
    """
    total = result.whole.per_portion.get(key)
    if total is None:
        return ()
    lines: dict[tuple[int, int], tuple[Used, float]] = {}  # stages of two recipes may have one name
    for one in used(result):
        place = (id(one.stage), one.number)
        lines[place] = (one, lines.get(place, (one, 0.0))[1] + _value(result, one, key))
    whole = sum(amount for _, amount in lines.values())
    found = [
        Brought(one.record.parsed.text.strip(), one.stage.stage.name, one.number, amount, _part(amount, whole))
        for one, amount in lines.values()
    ]
    found.sort(key=lambda brought: -brought.amount)
    difference = total - whole
    if abs(difference) > NO_MATTER * max(abs(total), abs(whole)):
        found.append(Brought(IN_COOKING, "", 0, difference, _part(difference, whole)))
    return tuple(found)


def _part(amount: float, whole: float) -> float:
    return amount / whole if whole else 0.0


def _value(result: DishResult, one: Used, key: str) -> float:
    put = next((p for p in one.stage.puts if p.line == one.number and p.name == one.food.name), None)
    grams = one.grams or 0.0
    batch = of_unknown(grams) if put is None or put.food is None else of_food(put.food, grams)
    return (declared_values(batch)[key] or 0.0) / result.portions


def ingredients(result: DishResult) -> tuple[Entry, ...]:
    """The dish's list of ingredients, heaviest first, each with its allergens; percentages where its name names one."""
    title = {word for word in words(result.recipe.dish) if word not in _kinds_of_dish()}
    found = []
    for one in used(result):
        product = one.food.product
        findings = one.record.findings if len(one.record.foods) == 1 or product else _own_findings(one)
        named = bool(title & {*words(one.food.name), *findings.contains})
        name = product.name if product else _with_part(one)
        own = product.ingredients if product else None
        food = one.food.link.food
        compound = own is None and food is not None and food.group in _compound_groups()
        found.append(Ingredient(name, one.grams, findings, own, named, compound=compound))
    return tuple(ingredients_list(found, result.whole.mass))


def _with_part(one: Used) -> str:
    """ "lemon juice" for "juice of 3 lemons": the part of the thing that is used, where its name does not say it."""
    name, part = one.food.name, one.record.parsed.part
    if not part or len(one.record.foods) > 1 or set(words(part)) <= set(words(name)):
        return name
    *front, last = name.split()
    return " ".join([*front, singular(last), part])


def _own_findings(one: Used) -> Findings:
    """Of a line with several foods, what the words of this one point to; the first keeps what no other explains."""
    names = [food.name for food in one.record.foods]
    own = find(one.food.name)
    if one.food.name != names[0]:
        return own
    others = [find(name) for name in names[1:]]
    everything = one.record.findings
    left = {
        allergen: evidence
        for allergen, evidence in everything.contains.items()
        if allergen in own.contains or not any(allergen in other.contains for other in others)
    }
    check = {a: e for a, e in everything.check.items() if a in own.check or not any(a in o.check for o in others)}
    return Findings(left, check, everything.may, own.parts)


def _kinds_of_dish() -> frozenset[str]:
    """Words of a dish's name that name no ingredient: pie, soup, stew."""
    return frozenset(word for row in rows("dish_words.csv") for word in words(row["word"]))


def _compound_groups() -> frozenset[str]:
    """Food groups of things made of several ingredients, which a list has to name (Annex VII part E)."""
    return frozenset(row["group"] for row in rows("compound_groups.csv"))


def tables_of(result: DishResult, tables: Sequence[FoodTable]) -> tuple[FoodTable, ...]:
    """The tables that a line of the dish was linked to, mixed from or borrowed from; all where no line was."""
    used_ids: set[str] = set()
    sources: set[str] = set()
    for one in used(result):
        food = one.food.link.food
        if food is not None:
            used_ids.update((food.food_id, *(part.food_id for part, _ in food.parts)))
        borrowed = [remark.message for remark in one.food.link.remarks if remark.code == "borrowed"]
        sources.update(t.provenance.source for t in tables if any(t.provenance.source in said for said in borrowed))
    kept = tuple(t for t in tables if t.provenance.source in sources or any(food_id in t for food_id in used_ids))
    return kept or tuple(tables[:1])


def sureness_of(result: DishResult) -> dict[str, float]:
    """Share of the ingredients' mass by how sure their foods are [1]: sure, likely, doubtful, none."""
    mass = dict.fromkeys(("sure", "likely", "doubtful", "none"), 0.0)
    for one in used(result):
        mass[one.food.link.sureness if one.food.link.food else "none"] += one.grams or 0.0
    total = sum(mass.values())
    return {sure: grams / total if total else 0.0 for sure, grams in mass.items()}


def sulphite_dose(result: DishResult) -> tuple[str, ...]:
    """Sulphites of the dish estimated from the doses own products state; sentences for "check", never a clearance."""
    doses = [
        (one.food.product.name, one.grams, one.food.product.sulphites)
        for one in used(result)
        if one.food.product is not None and one.food.product.sulphites is not None and one.grams
    ]
    return sulphites(doses, result.whole.mass)
