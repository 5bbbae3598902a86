"""What went into a stage and where it went; and what no dish can be.

The balance is made of what each step says it moved, not of differences, so that a gap would show.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, fields
from typing import Literal

from nutrilab.cooking.errors import deviation
from nutrilab.cooking.happening import Happening
from nutrilab.cooking.steps import Batch, Flow, solids
from nutrilab.law.energy import energy_regulation
from nutrilab.messages import as_grams, say
from nutrilab.plausible import MACRONUTRIENTS, limit, macronutrients, refuse_overfull
from nutrilab.remarks import Code, InputError, Remark

Way = Literal["taken up", "lost", "left over"]
QUANTITIES = {"mass": "g", "water": "g", "fat": "g", "sodium": "mg", "energy": "kcal"}


@dataclass(frozen=True, slots=True)
class Step:
    """One thing that happened to a stage.

    way: whether the flow came in, went away or stays behind in the pan; factor with its range [1] and source where a
    table or the cook gave one; words: one sentence for the cook.
    """

    name: Happening
    way: Way
    flow: Flow
    words: str
    factor: float | None = None
    low: float | None = None
    high: float | None = None
    source: str = ""


@dataclass(frozen=True, slots=True)
class Balance:
    """In + taken up = out + lost + left over, for mass [g], water [g], fat [g], sodium [mg] and energy [kcal]."""

    into: Flow
    taken_up: Flow
    out: Flow
    lost: Flow
    left_over: Flow

    @property
    def gap(self) -> Flow:
        """What does not close; nothing but the noise of arithmetic in a sound stage."""
        return Flow(*(sum(row[:2]) - sum(row[2:]) for row in (self._row(f.name) for f in fields(Flow))))

    def _row(self, name: str) -> tuple[float, float, float, float, float]:
        in_, up, out, lost, left = (
            getattr(flow, name) for flow in (self.into, self.taken_up, self.out, self.lost, self.left_over)
        )
        return in_, up, out, lost, left

    def rows(self) -> list[tuple[str, str, float, float, float, float, float]]:
        """For a table: quantity, unit, in, taken up, out, lost, left over."""
        return [(name, unit, *self._row(name)) for name, unit in QUANTITIES.items()]


def balance(raw: Batch, steps: Iterable[Step], cooked: Batch) -> Balance:
    """The balance of a stage from what its steps moved."""
    flows: dict[Way, Flow] = {"taken up": Flow(), "lost": Flow(), "left over": Flow()}
    for step in steps:
        flows[step.way] = flows[step.way] + step.flow
    return Balance(raw.flow, flows["taken up"], cooked.flow, flows["lost"], flows["left over"])


SURE = 0.98  # share of the mass that must have values before a sum is held against the cook


def refuse_impossible(raw: Batch, cooked: Batch) -> None:
    """Refuse weighings by which food would weigh less than its macronutrients, its fat, or by a fifth its solids.

    Raises InputError. What the foods of a table themselves are off by is a doubt only (`doubts`).
    """
    if cooked.mass > 0 and _overfull(cooked) and not _overfull(raw):
        most = max(cooked.get("FAT"), _dry(cooked))
        words = say("cooking.solids-too-heavy", dry=as_grams(most), weight=as_grams(cooked.mass))
        raise InputError(words)
    # What estimates of the lines may be too high by stands for them all at once: no dish is refused for a spoon.
    least = macronutrients(cooked.core) - sum(deviation(cooked.spread, t)[0] for t in MACRONUTRIENTS)
    refuse_overfull(least, cooked.mass, macronutrients(raw.core) / raw.mass if raw.mass > 0 else 0.0)


def _overfull(batch: Batch) -> bool:
    fat, solid = batch.get("FAT"), _dry(batch)
    return fat > batch.mass * limit("fat by weight") or solid > batch.mass * limit("solids by weight")


def _dry(batch: Batch) -> float:
    return solids(batch) - batch.get("WATER")


def doubts(cooked: Batch, stage: str, of_fat: bool) -> list[Remark]:
    """What cannot be right about a cooked stage, in plain words; ``of_fat``: it is made of little but fats and oils."""
    if cooked.mass <= 0:
        return []
    found = []
    kcal = energy_regulation(cooked.core)[1]
    hundred = 100 / cooked.mass
    fat, energy, macro = hundred * cooked.get("FAT"), hundred * kcal, hundred * macronutrients(cooked.core)
    if macro > limit("macronutrients"):
        words = say("cooking.too-much-in-100-g", weight=as_grams(macro))
        found.append((Code.IMPROBABLE, words))
    if fat > limit("fat") and not of_fat:
        found.append((Code.MUCH_FAT, say("cooking.much-fat", fat=as_grams(fat))))
    if energy > limit("energy"):
        words = say("cooking.impossible-energy", energy=f"{energy:.0f}")
        found.append((Code.IMPOSSIBLE_ENERGY, words))
    if min(cooked.coverage(t) for t in ("WATER", "PROCNT", "FAT", "CHOCDF", "ASH")) >= SURE:
        total = hundred * solids(cooked)
        if abs(total - 100) > limit("sum off 100"):
            words = say("cooking.sum-not-100", weight=as_grams(total))
            found.append((Code.SUM_NOT_100, words))
    return [Remark(code, words, stage) for code, words in found]
