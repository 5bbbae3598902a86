"""What the kitchen finds: a line's record, a cooked stage, a dish. Values only; nothing here is rounded."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any, Protocol

from nutrilab import allergens
from nutrilab.allergens import Findings
from nutrilab.allergens.dish import DishAllergens, LineFindings
from nutrilab.allergens.labels import of_pack
from nutrilab.allergens.naming import named_by_words
from nutrilab.cooking import StageResult
from nutrilab.cooking.media import Item, Put
from nutrilab.cooking.steps import Batch
from nutrilab.cooking.work import Eaten
from nutrilab.foods import Food, FoodTable
from nutrilab.lexicon.sureness import Sureness, doubt
from nutrilab.lines import Reading
from nutrilab.linking import Link
from nutrilab.measures import Ground, Weight
from nutrilab.method import MethodRead
from nutrilab.nutrition import Totals
from nutrilab.once import once
from nutrilab.plain import brief
from nutrilab.recipe import Recipe, Stage
from nutrilab.remarks import Code, Remark

if TYPE_CHECKING:
    from data_loaders.own_products import Product


SHORT = 60  # characters of a name in a repr


@dataclass(frozen=True, slots=True)
class LineFood:
    """One food of a line: the words for it, the food, its edible grams, the own product it is.

    stands_for: plain words that a decision of the cook puts in place of the name.
    """

    name: str
    link: Link
    weight: Weight
    product: Product | None = None
    stands_for: str = ""

    @property
    def no_food(self) -> bool:
        """Whether the cook decided that the name stands for no food: it has no weight, and no figure lacks it."""
        return self.link.food is None and self.link.decided

    @property
    def left_out(self) -> bool:
        """Whether the figures are without it though it is food: nobody knows which, or how much."""
        return not self.no_food and (self.link.food is None or self.weight.grams is None)


@dataclass(frozen=True, slots=True)
class FoodShare:
    """One of several foods that make up a line: its grams [g] and its share of the line's mass [1]."""

    food: Food | None
    name: str
    grams: float | None
    share: float


@dataclass(frozen=True, slots=True, repr=False)
class LineRecord:
    """All that is known of an ingredient line; worked: what was worked out of it once."""

    parsed: Reading
    foods: tuple[LineFood, ...]
    findings: Findings
    remarks: tuple[Remark, ...]
    worked: dict[object, Any] = field(init=False, default_factory=dict, compare=False, repr=False)

    def __repr__(self) -> str:
        foods = " + ".join(brief(food.link.food.name, SHORT) if food.link.food else "?" for food in self.foods)
        grams = "no weight" if self.grams is None else f"{self.grams:.4g} g"
        return f"<line {brief(self.parsed.text, SHORT)}: {grams} of {foods or 'no food'}, {self.sureness}>"

    @property
    @once
    def grams(self) -> float | None:
        return total(food.weight.grams for food in self.foods)

    @property
    def low(self) -> float | None:
        return total(food.weight.low for food in self.foods)

    @property
    def high(self) -> float | None:
        return total(food.weight.high for food in self.foods)

    @property
    @once
    def counted(self) -> tuple[int, int, bool]:
        """How many foods it asks for, how many of them have a weight, and whether one is in no figure.

        A heading and what the cook decided to be no food ask for none.
        """
        if self.parsed.heading or self.no_food:
            return 0, 0, False
        foods = [food for food in self.foods if not food.no_food]
        weighed = sum(food.weight.grams is not None for food in foods)
        more = any(remark.code == Code.FOODS_NOT_COUNTED for remark in self.parsed.remarks)
        return max(1, len(foods)), weighed, more or not foods or any(food.left_out for food in foods)

    @property
    @once
    def products(self) -> tuple[Product, ...]:
        """The cook's own products among its foods."""
        return tuple(food.product for food in self.foods if food.product is not None)

    @property
    @once
    def told(self) -> tuple[Findings, str, bool, bool]:
        """What it says of allergens, its text, whether every food of it was understood, whether that is nothing."""
        found = self.findings
        nothing = self.resolved and not (found.contains or found.check or found.may or found.parts)
        return found, self.parsed.text.strip(), self.resolved, nothing

    def part(self, share: float) -> LineRecord:
        """The record with a share of what the line weighs [0 to 1]."""
        if share == 1:
            return self
        foods = tuple(replace(food, weight=_times(food.weight, share)) for food in self.foods)
        return replace(self, foods=foods)

    @property
    def parts(self) -> tuple[FoodShare, ...]:
        """Its foods, with what each of them weighs."""
        return self.parts_at([food.weight for food in self.foods])

    def parts_at(self, weights: Sequence[Weight]) -> tuple[FoodShare, ...]:
        """Foods of the line, or of its composed food, where they are several; even shares without a mass.

        weights: what each food counts with. Two amounts of one food are one: "20 g butter, plus 10 g".
        """
        foods = [(food, weight.grams) for food, weight in zip(self.foods, weights, strict=True) if not food.no_food]
        if len({food.link.food.food_id if food.link.food else food.name for food, _ in foods}) > 1:
            whole, even = sum(grams or 0.0 for _, grams in foods), 1 / len(foods)
            return tuple(
                FoodShare(food.link.food, food.name, grams, (grams or 0.0) / whole if whole else even)
                for food, grams in foods
            )
        composed, mass = foods[0][0].link.food if foods else None, total(weight.grams for weight in weights)
        parts = composed.parts if composed else ()
        return tuple(FoodShare(f, f.name, None if mass is None else mass * share, share) for f, share in parts)

    @property
    def sureness(self) -> Sureness:
        """The least sure of its foods; none where it has no food."""
        return max((food.link.sureness for food in self.foods if not food.no_food), key=doubt, default=Sureness.NONE)

    @property
    @once
    def no_food(self) -> bool:
        """Whether the cook decided that nothing in the line is food."""
        return bool(self.foods) and all(food.no_food for food in self.foods)

    @property
    @once
    def resolved(self) -> bool:
        """Whether every food of the line was understood or decided to be none; a heading asks for nothing.

        A doubtful food, or one found by a guess at the spelling or by a name of another language, is not understood.
        Where the table has no food at all, or the language is another, the words may still name all of it for its
        allergens; the figures then say what they lack.
        """
        if self.parsed.heading or self.no_food:
            return True
        return bool(self.foods) and all(food.no_food or _understood(food) for food in self.foods)


def _understood(food: LineFood) -> bool:
    if food.product is not None:
        return not of_pack(food.product.ingredients or "").unread
    link = food.link
    return link.understood or ((link.food is None or link.foreign) and named_by_words(food.name))


def _times(weight: Weight, share: float) -> Weight:
    grams, low, high = (None if end is None else end * share for end in (weight.grams, weight.low, weight.high))
    return replace(weight, grams=grams, low=low, high=high)


def _or_unknown(value: float | None, form: str) -> str:
    return "?" if value is None else format(value, form)


def total(values: Iterable[float | None]) -> float | None:
    """The sum of what is known; None where nothing is."""
    known = [value for value in values if value is not None]
    return sum(known) if known else None


@dataclass(frozen=True, slots=True)
class CookedStage:
    """A stage as cooked: its records and what came out.

    numbers: where each record stands in the stage's list, from 1; parts of other stages stand between them.
    items: what the lines put into the pot; sources: stages made before and the share of each that went in.
    """

    stage: Stage
    records: tuple[LineRecord, ...]
    numbers: tuple[int, ...]
    result: StageResult
    items: tuple[Item, ...] = ()
    sources: tuple[tuple[CookedStage, float], ...] = ()

    @property
    def puts(self) -> tuple[Put, ...]:
        """What the lines put into the pot, as it was written."""
        return tuple(one.put for one in self.items)

    @property
    def taken(self) -> tuple[float, ...]:
        """What went in of each of its sources [g]."""
        return tuple(source.result.cooked.mass * share for source, share in self.sources)

    @property
    def told(self) -> tuple[LineFindings, ...]:
        """What each of its own lines says of allergens."""
        return self.told_by(silent=True)

    def told_by(self, silent: bool) -> tuple[LineFindings, ...]:
        """What its own lines say of allergens; silent: with those that say nothing."""
        name = self.stage.name
        found = []
        for number, record in self.lines:
            findings, text, understood, nothing = record.told
            if silent or not nothing:
                found.append(LineFindings(findings, text, name, number, understood))
        return tuple(found)

    @property
    def lines(self) -> Iterator[tuple[int, LineRecord]]:
        """Each line with its number."""
        return zip(self.numbers, self.records, strict=True)

    def weight(self, number: int, food: LineFood) -> Weight:
        """What a food of a line counts with: its weight; of frying oil nobody measured, what the stage took up."""
        eaten = self._taken_up(number, food)
        return Weight(eaten.grams, eaten.low, eaten.high, Ground.UPTAKE) if eaten else food.weight

    def remarks_on(self, number: int, record: LineRecord) -> tuple[Remark, ...]:
        """What is to be said of a line, without what was said of weights that do not count."""
        gone = {remark for food in record.foods if self._taken_up(number, food) for remark in food.weight.remarks}
        return tuple(remark for remark in record.remarks if remark not in gone)

    def _taken_up(self, number: int, food: LineFood) -> Eaten | None:
        eaten = self.result.eaten.get((number, food.name))
        return eaten if eaten and eaten.open and food.weight.ground == Ground.PRACTICE else None


def told_of(stages: Iterable[CookedStage], silent: bool = True) -> tuple[LineFindings, ...]:
    """What some stages say of allergens: each its own lines, then those of what it takes from, each stage once.

    silent: with the lines that say nothing.
    """
    found: dict[int, CookedStage] = {}
    waiting = list(reversed(list(stages)))
    while waiting:
        stage = waiting.pop()
        if id(stage) not in found:
            found[id(stage)] = stage
            waiting += [source for source, _ in reversed(stage.sources)]
    return tuple(line for stage in found.values() for line in stage.told_by(silent))


class Looked(Protocol):
    """What is found of a dish when somebody first asks for it.

    allergens: with their evidence; remarks: all there is to say; tables: those that a line was linked to or borrowed
    from.
    """

    @property
    def allergens(self) -> DishAllergens: ...

    @property
    def remarks(self) -> tuple[Remark, ...]: ...

    @property
    def tables(self) -> tuple[FoodTable, ...]: ...


@dataclass(frozen=True, slots=True, repr=False)
class DishResult:
    """A dish: cooked stages, totals and what to say about it. Nothing is rounded.

    batch: all portions as served, its ``raw`` with what foods without a weight are taken to weigh, the mean of the
    others, so that they lower every coverage; looked: what is found when it is asked for; unweighed: lines of which a
    food is in no figure, because nobody knows which it is or how much; weighed: share of the foods whose weight is
    known [1]; method: the written method as read, None where there is none; places: (stage, line) of a
    stage that the method made -> where that line stands in the cook's own list;
    link: where guests read on, None where the kitchen says nothing of it.
    """

    recipe: Recipe
    portions: float
    stages: tuple[CookedStage, ...]
    whole: Totals
    looked: Looked = field(compare=False)
    batch: Batch
    unweighed: tuple[str, ...] = ()
    weighed: float = 1.0
    method: MethodRead | None = None
    places: Mapping[tuple[str, int], tuple[str, int]] = field(default_factory=dict)
    link: str | None = None

    def __repr__(self) -> str:
        kcal, salt = (self.per_portion[key] for key in ("energy_kcal", "salt"))
        figures = f"{_or_unknown(kcal, '.0f')} kcal and {_or_unknown(salt, '.2g')} g salt in each of {self.portions:g}"
        told = f"{len(self.allergens.contains)} allergens, {len(self.allergens.check)} to check"
        state = "" if self.complete else ", not complete"
        return f"<dish {brief(self.recipe.dish, SHORT)}: {figures} portions; {told}{state}>"

    @property
    def allergens(self) -> DishAllergens:
        """The 14, with the evidence of each."""
        return self.looked.allergens

    @property
    def remarks(self) -> tuple[Remark, ...]:
        """What is to be said of it, the improbable first."""
        return self.looked.remarks

    @property
    def tables(self) -> tuple[FoodTable, ...]:
        """The tables that a line was linked to or borrowed from."""
        return self.looked.tables

    @property
    def per_portion(self) -> Mapping[str, float | None]:
        """What a portion holds by key of the declaration [kJ, kcal, g]; None where nothing is known."""
        return self.whole.per_portion

    @property
    def per_100g(self) -> Mapping[str, float | None]:
        """What 100 g of the pot hold, without what is served beside it, as `per_portion`."""
        return self.whole.per_100g

    @property
    def portion_weight(self) -> float:
        """What a portion weighs as served [g]."""
        return self.whole.mass / self.portions

    @property
    def pot(self) -> Batch:
        """What came out of the pot, without what is served beside it: 100 g of the dish are 100 g of this."""
        return self.stages[len(self.recipe.stages) - 1].result.cooked

    @property
    def cooked_mass(self) -> float:
        """What came out of the pot [g]."""
        return self.pot.mass

    @property
    def beside(self) -> float:
        """What is served beside a portion weighs [g]; 0 where nothing is."""
        return self.portion_weight - self.cooked_mass / self.portions if self.recipe.serve_with else 0.0

    @property
    def complete(self) -> bool:
        """Whether every line that is food was understood, by a sure or likely food, and weighed."""
        return self.allergens.complete and not self.unweighed

    @property
    def not_counted(self) -> tuple[str, ...]:
        """Lines that are in no figure though their words were understood, so that nothing else is said of them."""
        return tuple(line for line in self.unweighed if line not in self.allergens.unresolved)

    @property
    def cautions(self) -> tuple[str, ...]:
        """What is said with every declaration."""
        return allergens.cautions()
