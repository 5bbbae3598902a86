"""A stage while it cooks, and what it is when it is done."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from nutrilab.cooking.balance import Balance, Step, Way, balance
from nutrilab.cooking.errors import Cause, Source
from nutrilab.cooking.happening import Happening
from nutrilab.cooking.media import Item, Pot
from nutrilab.cooking.steps import ENERGY_KCAL, ENERGY_KJ, MASS, NOTHING, Batch, Flow, mix
from nutrilab.cooking.weight import WeightFrom
from nutrilab.law.energy import energy_regulation
from nutrilab.once import once
from nutrilab.recipe import Cooking
from nutrilab.remarks import Code, Remark

Later = Callable[[], Iterable[Remark]]


@dataclass(frozen=True, slots=True)
class Eaten:
    """What of a line went into the food, between low and high [g]; open: nobody had measured how much there was."""

    grams: float = 0.0
    low: float = 0.0
    high: float = 0.0
    open: bool = False


@dataclass(frozen=True, slots=True)
class StageResult:
    """A stage as cooked.

    raw: all that went in; cooked: what came out; weight_from: the ground of its weight; steps: what happened, with
    factor, range and source; said: remarks, and what makes some when they are asked for; left_over: oil, water,
    marinade that stayed behind (not the part of the stage that a later stage leaves); eaten: (line, name) -> what of an
    oil, water, marinade or coating went into the food.
    """

    raw: Batch
    cooked: Batch
    weight_from: WeightFrom
    steps: tuple[Step, ...]
    said: tuple[Remark | Later, ...]
    left_over: Batch = NOTHING
    eaten: Mapping[tuple[int, str], Eaten] = field(default_factory=dict)
    worked: dict[object, Any] = field(init=False, default_factory=dict, compare=False, repr=False)

    @property
    def balance(self) -> Balance:
        """What went in, and where it went."""
        return balance(self.raw, self.steps, self.cooked)

    @property
    @once
    def remarks(self) -> tuple[Remark, ...]:
        """What is to be said of it, worked out when it is first asked for."""
        return tuple(r for one in self.said for r in ((one,) if isinstance(one, Remark) else one()))


@dataclass(slots=True)
class Work:
    """A stage while it cooks: the batch so far and the record of what happened."""

    stage: str
    pot: Pot
    cooking: Cooking
    batch: Batch = NOTHING
    steps: list[Step] = field(default_factory=list)
    said: list[Remark | Later] = field(default_factory=list)
    left: list[Batch] = field(default_factory=list)
    eaten: dict[tuple[int, str], Eaten] = field(default_factory=dict)

    def say(self, code: Code, words: str) -> None:
        self.said.append(Remark(code, words, self.stage))

    def later(self, remarks: Later) -> None:
        """What makes some remarks when they are asked for, of this stage; it must not hold the stage at work."""
        stage = self.stage
        self.said.append(lambda: [remark.at(stage) for remark in remarks()])

    def step(self, name: Happening, way: Way, flow: Flow, words: str, **known: object) -> None:
        if any(abs(v) > 1e-12 for v in (flow.mass, flow.water, flow.fat, flow.sodium, flow.energy)):
            self.steps.append(Step(name, way, flow, words, **known))  # type: ignore[arg-type]

    def leave(self, name: Happening, batch: Batch, words: str, **known: object) -> None:
        """Something of what was poured stays behind."""
        if batch.mass > 0:
            self.left.append(batch)
            self.step(name, "left over", batch.flow, words, **known)

    def eat(self, medium: Sequence[Item], taken: float, down: float = 0.0, up: float = 0.0) -> None:
        """Record what of a medium went into the food [g], by how much less or more it may be, line by line.

        A line may pour two of one name ("200 ml oil for frying, plus 2 tbsp oil"): they count together.
        """
        poured = sum(one.batch.mass for one in medium)
        for one in medium:
            share = one.batch.mass / poured if poured else 1 / len(medium)
            place = one.put.line, one.put.name
            was = self.eaten.get(place, Eaten())
            ends = (was.grams + taken * share, was.low + (taken - down) * share, was.high + (taken + up) * share)
            self.eaten[place] = Eaten(*ends, was.open or one.open)

    def source(self, what: Happening) -> Source:
        """Something of the cooking that nobody knows exactly, in this stage."""
        return Source(Cause.COOKING, what, self.stage)

    def add(self, taken: Batch, what: Happening, down: float = 0.0, up: float = 0.0) -> None:
        """Put something taken up into the batch; what it is; down, up: by how much less or more it may be [g]."""
        self.batch = mix([self.batch, taken]).widened(self.source(what), deviations(taken, down, up))


def deviations(batch: Batch, down: float, up: float) -> list[tuple[str, float, float]]:
    """What ``down`` [g] less or ``up`` [g] more of the same would change, by name."""
    if batch.mass <= 0 or (not down and not up):
        return []
    kj, kcal = energy_regulation(batch.core)
    rates = {t: batch.get(t) for t in ("FAT", "FASAT", "CHOAVL", "SUGAR", "PROCNT", "NA", "FIBTG", "WATER")}
    rates |= {ENERGY_KJ: kj, ENERGY_KCAL: kcal, MASS: batch.mass}
    return [(t, v * down / batch.mass, v * up / batch.mass) for t, v in rates.items() if v]
