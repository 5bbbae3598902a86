"""What the kitchen finds: a line's record, a cooked stage, a dish. Values only; nothing here is rounded."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from nutrilab import allergens
from nutrilab.allergens import Findings
from nutrilab.allergens.dish import DishAllergens, LineFindings
from nutrilab.cooking import StageResult
from nutrilab.cooking.media import Put
from nutrilab.cooking.steps import Batch
from nutrilab.foods import FoodTable
from nutrilab.lines import ParsedLine
from nutrilab.linking import Link
from nutrilab.linking.query import Sureness
from nutrilab.measures import Weight
from nutrilab.nutrition import Totals
from nutrilab.recipe import Recipe, Stage
from nutrilab.remarks import Remark

if TYPE_CHECKING:
    from nutrilab.products import Product

_ORDER: tuple[Sureness, ...] = ("sure", "likely", "doubtful", "none")


@dataclass(frozen=True, slots=True)
class LineFood:
    """One food of a line: the words for it, the food, its edible grams, the own product it is."""

    name: str
    link: Link
    weight: Weight
    product: Product | None = None


@dataclass(frozen=True, slots=True)
class LineRecord:
    """All that is known of an ingredient line."""

    parsed: ParsedLine
    foods: tuple[LineFood, ...]
    findings: Findings
    remarks: tuple[Remark, ...]

    @property
    def grams(self) -> float | None:
        return _total(food.weight.grams for food in self.foods)

    @property
    def low(self) -> float | None:
        return _total(food.weight.low for food in self.foods)

    @property
    def high(self) -> float | None:
        return _total(food.weight.high for food in self.foods)

    @property
    def sureness(self) -> Sureness:
        """The least sure of its foods."""
        return max((food.link.sureness for food in self.foods), key=_ORDER.index, default="none")

    @property
    def resolved(self) -> bool:
        """Whether every food of the line was recognised; a heading asks for nothing."""
        return self.parsed.heading or self.sureness != "none"


def _total(values: Iterable[float | None]) -> float | None:
    known = [value for value in values if value is not None]
    return sum(known) if known else None


@dataclass(frozen=True, slots=True)
class CookedStage:
    """A stage as cooked: its records, what came out, and what each line in it says of allergens.

    numbers: where each record stands in the stage's list, from 1; parts of other stages stand between them.
    puts: what the lines put into the pot; sources: stages made before and the share of each that went in.
    """

    stage: Stage
    records: tuple[LineRecord, ...]
    numbers: tuple[int, ...]
    result: StageResult
    told: tuple[LineFindings, ...]
    puts: tuple[Put, ...] = ()
    sources: tuple[tuple[CookedStage, float], ...] = ()


@dataclass(frozen=True, slots=True)
class DishResult:
    """A dish: cooked stages, totals and what to say about it. Nothing is rounded.

    batch: all portions as served; tables: those that a line was linked to or borrowed from.
    """

    recipe: Recipe
    portions: float
    stages: tuple[CookedStage, ...]
    whole: Totals
    allergens: DishAllergens
    remarks: tuple[Remark, ...]
    tables: tuple[FoodTable, ...]
    batch: Batch

    @property
    def cautions(self) -> tuple[str, ...]:
        """What is said with every declaration."""
        return allergens.cautions()
