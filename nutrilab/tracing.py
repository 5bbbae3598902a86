"""A dish followed back to its lines: what of each is in it, what brings its figures, its list of ingredients."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from nutrilab.allergens import Findings, find
from nutrilab.allergens.dish import sulphites
from nutrilab.allergens.ingredients_list import Entry, Ingredient, ingredients_list
from nutrilab.cooking.steps import of_food, of_unknown
from nutrilab.datafiles import rows
from nutrilab.lexicon.sureness import Sureness
from nutrilab.linking.mixes import ground_of
from nutrilab.messages import say
from nutrilab.nutrition import coverage, declared_values
from nutrilab.recipe import stage_key
from nutrilab.text import singular, words

if TYPE_CHECKING:
    from nutrilab.cooking.media import Put
    from nutrilab.foods import FoodTable
    from nutrilab.results import CookedStage, DishResult, LineFood, LineRecord

IN_COOKING = say("sheet.in-cooking")
NO_MATTER = 1e-9  # share of a figure below which a difference is the noise of arithmetic


@dataclass(frozen=True, slots=True)
class Used:
    """One food of a line as far as it is in the dish.

    number: of the line in its stage, from 1; place: of the food in its line, from 0 (a line may hold two of one name);
    grams: edible mass of it in the whole dish as it went in [g], None where nobody knows.
    """

    food: LineFood
    record: LineRecord
    stage: CookedStage
    number: int
    place: int
    grams: float | None


@dataclass(frozen=True, slots=True)
class Brought:
    """What a line brings to a portion [kcal, kJ or g], and its share of what all lines bring [1]."""

    text: str
    stage: str
    number: int
    amount: float
    share: float


def in_dish(result: DishResult) -> tuple[tuple[CookedStage, float], ...]:
    """Every stage that is in the dish, also of other recipes, and the share of it that is [1]; each once.

    What is taken stands before what takes it; what is served with the dish stands last.
    """
    ends = result.stages[len(result.recipe.stages) - 1 :]
    order = _made_before(ends)
    shares = dict.fromkeys(map(id, order), 0.0) | dict.fromkeys(map(id, ends), 1.0)
    for stage in reversed(order):
        for source, part in stage.sources:
            shares[id(source)] += shares[id(stage)] * part
    return tuple((stage, shares[id(stage)]) for stage in order)


def _made_before(ends: Sequence[CookedStage]) -> list[CookedStage]:
    """Some stages and all they take from, each once, behind what it takes from; whatever the number of ways to it."""
    found: dict[int, CookedStage] = {}
    waiting = list(reversed(ends))
    while waiting:
        if taken := [source for source, _ in waiting[-1].sources if id(source) not in found]:
            waiting += reversed(taken)
        else:
            stage = waiting.pop()
            found.setdefault(id(stage), stage)
    return list(found.values())


def all_stages(result: DishResult) -> tuple[CookedStage, ...]:
    """What the dish takes from other recipes, then all stages of its own, those left over too, in order of cooking."""
    own = {id(stage) for stage in result.stages}
    return (*(stage for stage, _ in in_dish(result) if id(stage) not in own), *result.stages)


def used(result: DishResult) -> Iterator[Used]:
    """Every food of every line of the dish and of the stages and recipes it takes from, in the order of cooking."""
    served = {id(stage) for stage in result.stages[len(result.recipe.stages) :]}
    for stage, share in in_dish(result):
        times = share * (result.portions if id(stage) in served else 1.0)
        for number, record in stage.lines:
            for place, food in enumerate(record.foods):
                grams = _went_in(stage, number, record, food)
                yield Used(food, record, stage, number, place, None if grams is None else grams * times)


def _went_in(stage: CookedStage, number: int, record: LineRecord, food: LineFood) -> float | None:
    """Mass that went into the food [g]; of oil, water, marinade and coating only what it took up.

    Where a line has two of one name, each has its part of that by its weight.
    """
    eaten = stage.result.eaten.get((number, food.name))
    grams = stage.weight(number, food).grams
    if eaten is None or grams is None:
        return grams
    whole = sum(stage.weight(number, other).grams or 0.0 for other in record.foods if other.name == food.name)
    return eaten.grams * grams / whole if whole else eaten.grams


def where(result: DishResult, stage: str | None, line: int | None) -> str:
    """The place of a line of a cooked stage in the cook's own list: "mash, line 2"."""
    return named_place(result, *result.places.get((stage or "", line or 0), (stage, line)))


def named_place(result: DishResult, stage: str | None, line: int | None) -> str:
    """A place of the cook's own list in words; the stage that is called as the dish is stays unsaid: "line 2"."""
    unsaid = line and stage_key(stage or "") == stage_key(result.recipe.dish)
    return ", ".join(part for part in ("" if unsaid else stage, say("recipe.place", line=line) if line else "") if part)


def unweighed(ends: Sequence[CookedStage]) -> tuple[tuple[str, ...], float]:
    """Lines of some stages and of all they take from of which a food is in no figure, because nobody knows which or how
    much, and the share of foods whose weight is known [1].

    What no table has a food for may have a weight: its share of the weight is then known, and is not covered.
    """
    left: dict[str, None] = {}
    there = weighed = 0
    for stage in _made_before(ends):
        for record in stage.records:
            asked, known, out = record.counted
            there += asked
            weighed += known
            if out:
                left[record.parsed.text.strip()] = None
    return tuple(left), weighed / there if there else 1.0


def amounts(result: DishResult, key: str) -> dict[tuple[int, int], tuple[Used, float]]:
    """What every line brings of a figure (a key of `nutrition.KEYS`) to a portion as it goes in [kcal, kJ or g].

    By (id of the stage, number of the line), as stages of two recipes may have one name; with one of its foods.
    """
    found: dict[tuple[int, int], tuple[Used, float]] = {}
    put = puts_of(stage for stage, _ in in_dish(result))
    for one in used(result):
        place = (id(one.stage), one.number)
        value = _value(result, one, key, put.get(place, ()))
        found[place] = (one, found.get(place, (one, 0.0))[1] + value)
    return found


def puts_of(stages: Iterable[CookedStage]) -> dict[tuple[int, int], list[Put]]:
    """What the lines of some stages put into the pot, by (id of the stage, number of the line)."""
    found: dict[tuple[int, int], list[Put]] = {}
    for stage in stages:
        for put in stage.puts:
            found.setdefault((id(stage), put.line), []).append(put)
    return found


def knows(puts: Sequence[Put], record: LineRecord, key: str) -> bool:
    """Whether a line has a figure: every food of it is linked, weighed and has a value; puts: what it put in."""
    known = (put.food is not None and coverage(of_food(put.food, 100.0))[key] > 1 - 1e-9 for put in puts)
    return len(puts) == len(record.foods) and all(known)


def brings(result: DishResult, key: str) -> tuple[Brought, ...]:
    """The same for each line with its share, most first.

    What cooking took or gave stands last as a line of its own, so that all amounts add up to the portion's figure.
    Empty where the figure is not known.
    """
    total = result.whole.per_portion.get(key)
    if total is None:
        return ()
    lines = amounts(result, key).values()
    whole = sum(amount for _, amount in lines)
    found = [
        Brought(one.record.parsed.text.strip(), one.stage.stage.name, one.number, amount, _part(amount, whole))
        for one, amount in lines
    ]
    found.sort(key=lambda brought: -brought.amount)
    difference = total - whole
    if abs(difference) > NO_MATTER * max(abs(total), abs(whole)):
        found.append(Brought(IN_COOKING, "", 0, difference, _part(difference, whole)))
    return tuple(found)


def _part(amount: float, whole: float) -> float:
    return amount / whole if whole else 0.0


def _value(result: DishResult, one: Used, key: str, puts: Sequence[Put]) -> float:
    put = next((p for p in puts if p.name == one.food.name), None)
    grams = one.grams or 0.0
    batch = of_unknown(grams) if put is None or put.food is None else of_food(put.food, grams)
    return (declared_values(batch)[key] or 0.0) / result.portions


def ingredients(result: DishResult) -> tuple[Entry, ...]:
    """The dish's list of ingredients, heaviest first, each with its allergens; percentages where its name names one."""
    title = {word for word in words(result.recipe.dish) if word not in _kinds_of_dish()}
    found = []
    for one in used(result):
        product = one.food.product
        findings = one.record.findings if len(one.record.foods) == 1 else _own_findings(one)
        if one.food.no_food and not (findings.contains or findings.check):
            continue
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
    """Of a line with several foods, what this one's words or pack point to; the first keeps what no other explains."""
    own = _said_of(one.food)
    if one.place > 0:
        return own
    others = [_said_of(food) for food in one.record.foods[1:]]
    everything = one.record.findings
    left = {
        allergen: evidence
        for allergen, evidence in everything.contains.items()
        if allergen in own.contains or not any(allergen in other.contains for other in others)
    }
    check = {a: e for a, e in everything.check.items() if a in own.check or not any(a in o.check for o in others)}
    return Findings(left, check, everything.may, own.parts)


def _said_of(food: LineFood) -> Findings:
    return find(food.name, None, food.product)


def _kinds_of_dish() -> frozenset[str]:
    """Words of a dish's name that name no ingredient: pie, soup, stew."""
    return frozenset(word for row in rows("dish_words.csv") for word in words(row["word"]))


def _compound_groups() -> frozenset[str]:
    """Food groups of things made of several ingredients, which a list has to name (Annex VII part E)."""
    return frozenset(row["group"] for row in rows("compound_groups.csv"))


UK_FIGURES = say("sheet.uk-figures")


def credits(result: DishResult) -> tuple[str, ...]:
    """The credit lines to print: of the tables a dish uses, and of the UK figures that mixes and lent values follow."""
    found = [f"{t.provenance.credit} ({t.provenance.licence})" for t in result.tables]
    foods = [one.food.link.food for one in used(result) if one.food.link.food is not None]
    of_uk = any("CoFID" in told.source for food in foods for told in food.borrowed.values())
    if of_uk or any("CoFID" in ground_of(food.food_id) for food in foods):
        found.append(UK_FIGURES)
    return tuple(dict.fromkeys(found))


def tables_of(result: DishResult, tables: Sequence[FoodTable]) -> tuple[FoodTable, ...]:
    """The tables that a line of the dish was linked to, mixed from or borrowed from; all where no line was."""
    used_ids: set[str] = set()
    for one in used(result):
        food = one.food.link.food
        for told in (food, *food.borrowed.values()) if food else ():
            used_ids.update((told.food_id, *(part.food_id for part, _ in told.parts)))
    kept = tuple(t for t in tables if any(food_id in t for food_id in used_ids))
    return kept or tuple(tables[:1])


def sureness_of(result: DishResult) -> dict[Sureness, float]:
    """Share of the ingredients' mass by how sure their foods are [1]: sure, likely, doubtful, none."""
    mass = dict.fromkeys(Sureness, 0.0)
    for one in used(result):
        mass[one.food.link.sureness if one.food.link.food else Sureness.NONE] += one.grams or 0.0
    total = sum(mass.values())
    return {sure: grams / total if total else 0.0 for sure, grams in mass.items()}


def sulphite_dose(result: DishResult) -> tuple[str, ...]:
    """Sulphites of the dish estimated from the doses own products state; sentences for "check", never a clearance."""
    ends = result.stages[len(result.recipe.stages) - 1 :]
    if not any(record.products for stage in _made_before(ends) for record in stage.records):
        return ()  # as of most dishes; what went in of each food need not be worked out
    doses = [
        (one.food.product.name, one.grams, one.food.product.sulphites)
        for one in used(result)
        if one.food.product is not None and one.food.product.sulphites is not None and one.grams
    ]
    return sulphites(doses, result.whole.mass)
