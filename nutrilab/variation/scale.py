"""How far the samples behind a value lie apart, on the one scale on which foods are compared.

A component is looked at as odds, what is of it in 100 g against what is not:

    y(v) = ln((v + floor) / (whole - v + floor))       (variation_scale.csv: whole, floor)

Far from both ends a step on y is a share of the value; near zero it is a share of the floor, an amount a laboratory
can tell; near the whole it is a share of what is left. So no range falls below zero or rises above pure fat or pure
salt, and what is one substance varies by next to nothing, all by one figure: the *reach*, how far to each side of y(v)
nine batches in ten lie.

References
----------
[1] L.H.C. Tippett, On the extreme individuals and the range of samples taken from a normal population, Biometrika 17
    (1925) 364: the expected range of n draws, in standard deviations (the figures from memory, checked by a test).
[2] G. Blom, Statistical estimates and transformed beta-variables, 1958: the same for more draws.
[3] M. Abramowitz, I. Stegun, Handbook of mathematical functions, 26.2.23 (normal quantile, to 0.0005).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from math import exp, hypot, log, sqrt

from nutrilab.datafiles import rows
from nutrilab.foods import Food, Samples
from nutrilab.law.energy import energy_regulation, reconciled
from nutrilab.messages import say
from nutrilab.once import once

ENERGY = "ENERC_KCAL"
NINE_IN_TEN = 1.645  # standard deviations to each side
# SR28, SRC_CD: analytical; with manufacturers' analyses; a manufacturer's; of the literature. Others are calculated,
# imputed, assumed or taken off a label, and their errors, where they have any, are not those of batches.
MEASURED = frozenset(("1", "6", "12", "13"))
_RANGE = (1.128, 1.693, 2.059, 2.326, 2.534, 2.704, 2.847, 2.970, 3.078)  # of 2 to 10 draws [1]


@dataclass(frozen=True, slots=True)
class Scale:
    """The odds of a component: its whole and its floor [the component's unit per 100 g]."""

    whole: float
    floor: float

    def odds(self, value: float) -> float:
        """y of a value."""
        inside = min(max(value, 0.0), self.whole)
        return log((inside + self.floor) / (self.whole - inside + self.floor))

    def value(self, y: float) -> float:
        """The value of a y, within 0 and the whole."""
        found = (self.whole + 2 * self.floor) / (1 + exp(-y)) - self.floor
        return min(max(found, 0.0), self.whole)

    def slope(self, value: float) -> float:
        """What a small step of a value [per unit] is on y."""
        inside = min(max(value, 0.0), self.whole)
        return 1 / (inside + self.floor) + 1 / (self.whole - inside + self.floor)

    def around(self, value: float, reach: float) -> tuple[float, float]:
        """Low and high of a value at a reach; a value above the whole stays inside its own range."""
        y = self.odds(value)
        return min(self.value(y - reach), value), max(self.value(y + reach), value)


@cache
def scales() -> dict[str, Scale]:
    """Component -> its scale."""
    return {row["component"]: Scale(float(row["whole"]), float(row["floor"])) for row in rows("variation_scale.csv")}


@once
def values_of(food: Food) -> Mapping[str, float]:
    """The reconciled values of a food with its declared energy, by the Regulation's factors, under ENERC_KCAL."""
    return declared(food.values)


def declared(values: Mapping[str, float]) -> dict[str, float]:
    """The values of a food reconciled, with its declared energy under ENERC_KCAL."""
    found = reconciled(values)
    found[ENERGY] = energy_regulation(found)[1]
    return found


@once
def odds_of(food: Food) -> Mapping[str, float]:
    """y of each value of a food that has a scale."""
    return odds_among(values_of(food))


def odds_among(values: Mapping[str, float]) -> dict[str, float]:
    """y of each declared value that has a scale."""
    return {tagname: scale.odds(values[tagname]) for tagname, scale in scales().items() if tagname in values}


@dataclass(frozen=True, slots=True)
class Measured:
    """How far samples lay apart on y, one standard deviation; how many there were; the words for it."""

    deviation: float
    count: int
    words: str


def expected_range(count: int) -> float:
    """The range of so many draws from a normal population, in standard deviations [1], [2]; count at least 2."""
    if count <= len(_RANGE) + 1:
        return _RANGE[count - 2]
    return 2 * _quantile((count - 0.375) / (count + 0.25))


def _quantile(share: float) -> float:
    """The standard normal deviate below which a share above one half lies [3]."""
    t = sqrt(-2 * log(1 - share))
    return t - (2.515517 + t * (0.802853 + t * 0.010328)) / (1 + t * (1.432788 + t * (0.189269 + t * 0.001308)))


def measured(samples: Samples, tagname: str) -> Measured | None:
    """How far the samples of a value lay apart, from batch to batch; None where the table tells nothing of it.

    The standard error is that of the mean, so a batch's deviation is SE x sqrt(n): from three samples on, and only
    where they were drawn one by one (n - 1 degrees of freedom, or none told). Of samples that were averaged in steps,
    brand by brand and weighted by sales, SE x sqrt(n) is many times the range that was seen, in SR28 up to a
    hundred times. There, and where no error is told, the range counts: (max - min) / expected range of n draws.
    """
    count = samples.count
    if count < 2 or samples.code not in MEASURED:
        return None
    one_by_one = samples.freedom is None or samples.freedom >= count - 1
    slope = scales()[tagname].slope(samples.mean)
    if samples.error is not None and count >= 3 and one_by_one:
        words = say("variation.error", number=count, error=f"{samples.error:g}")
        return Measured(samples.error * sqrt(count) * slope, count, words)
    if samples.lowest is None or samples.highest is None:
        return None
    words = say("variation.span", low=f"{samples.lowest:g}", high=f"{samples.highest:g}", number=count)
    return Measured((samples.highest - samples.lowest) / expected_range(count) * slope, count, words)


def reach_of(own: Measured, group: float) -> float:
    """The reach of a food with samples of its own, those of its group counted as one sample more.

        reach^2 = (group^2 + (n - 1) (1.645 s)^2) / n

    A deviation of few samples is often far too small, and the group holds it up; of many, the group counts no more.
    With this weight nine new batches in ten lie inside, for any number of samples (a test draws them).
    """
    return hypot(group, NINE_IN_TEN * own.deviation * sqrt(own.count - 1)) / sqrt(own.count)
