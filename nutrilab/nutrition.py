"""From what goes into a stage to what comes out, and from the dish to a portion."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from math import inf

import numpy as np

from nutrilab.cooking import errors
from nutrilab.cooking.contents import KNOWN, column
from nutrilab.cooking.media import Put
from nutrilab.cooking.stage import StageResult, cook_stage
from nutrilab.cooking.steps import ENERGY_KCAL, ENERGY_KJ, MASS, Batch, of_food, of_unknown
from nutrilab.datafiles import rows
from nutrilab.law.energy import energy_regulation, salt
from nutrilab.once import once

__all__ = [
    "Batch",
    "Put",
    "StageResult",
    "Totals",
    "cook_stage",
    "coverage",
    "declared_values",
    "energy_regulation",
    "of_food",
    "of_unknown",
    "per_100g",
    "portion",
    "ranges",
    "ranges_per_100g",
    "salt",
    "totals",
]

# Keys of the declaration -> component; energy and salt are computed.
COMPONENTS: dict[str, str] = {
    "fat": "FAT",
    "saturates": "FASAT",
    "carbohydrate": "CHOAVL",
    "sugars": "SUGAR",
    "fibre": "FIBTG",
    "protein": "PROCNT",
}
KEYS = ("energy_kj", "energy_kcal", *COMPONENTS, "salt")
_NAMES = {"energy_kj": ENERGY_KJ, "energy_kcal": ENERGY_KCAL, "salt": "NA", **COMPONENTS}  # of the spread of a batch
_SCALES = {key: salt(1.0) if key == "salt" else 1.0 for key in KEYS}  # salt is counted as sodium in the spread
_COLUMNS = {key: errors.COLUMN[name] for key, name in _NAMES.items()}
_WAY = np.array(((-1.0,), (1.0,)))
MOST_OF_IT = 3.0  # on ln: a source that may take all of a figure counts as one that leaves a twentieth of it
NOTHING_LEFT = 1e-6  # [1] of a figure; where one source of doubt alone may take all of it, its low end is 0
BY_EYE, BY_WEIGHT = "by eye", "by weight"  # how a dish is divided
_ENERGY_NEEDS = ("FAT", "CHOAVL", "PROCNT")
_COUNTED = {tagname: column(tagname) for tagname in (*COMPONENTS.values(), "NA")}


@dataclass(frozen=True, slots=True)
class Totals:
    """A whole dish and what one portion and 100 g of it hold; nothing rounded.

    mass: weight of the whole as served [g]; the maps have the keys of `KEYS`, None where nothing at all is known;
    per_portion_range: low and high by the ranges of the lines and factors; coverage: share of the ingredients' mass
    that has a value, by key, and ``mass_linked``; table_kcal: energy of a portion as the food tables have it
    [kcal], by their own factors, beside the declared one by the Regulation's.
    """

    mass: float
    per_portion: Mapping[str, float | None]
    per_100g: Mapping[str, float | None]
    per_portion_range: Mapping[str, tuple[float, float] | None]
    coverage: Mapping[str, float]
    table_kcal: float | None = None


@once
def declared_values(batch: Batch) -> dict[str, float | None]:
    """Values of the whole batch under the keys of the declaration [g, kJ, kcal]; None: no ingredient has one."""
    found: dict[str, float | None] = dict.fromkeys(KEYS)
    amounts = batch.core
    for key, tagname in COMPONENTS.items():
        found[key] = amounts.get(tagname)
    for part, whole in (("saturates", "fat"), ("sugars", "carbohydrate")):
        inner, outer = found[part], found[whole]
        if inner is not None and outer is not None:
            found[whole] = max(outer, inner)  # both known in part: the whole is at least its part
    if any(t in amounts for t in _ENERGY_NEEDS):
        wholes = {tagname: value for key, tagname in COMPONENTS.items() if (value := found[key]) is not None}
        found["energy_kj"], found["energy_kcal"] = energy_regulation(amounts | wholes)
    if "NA" in amounts:
        found["salt"] = salt(amounts["NA"])
    return found


def coverage(batch: Batch) -> dict[str, float]:
    """Share of the ingredients' mass [0 to 1] with a value, by key of the declaration, and ``mass_linked``.

    Energy is known as far as fat, carbohydrate and protein all are.
    """
    known, raw = batch.held.plain[KNOWN], batch.raw
    shares = {tagname: min(1.0, known[at] / raw) if raw > 0 else 0.0 for tagname, at in _COUNTED.items()}
    energy = min(shares[tagname] for tagname in _ENERGY_NEEDS)
    found = {"mass_linked": batch.linked / batch.raw if batch.raw else 0.0, "energy_kj": energy, "energy_kcal": energy}
    return found | {key: shares[tagname] for key, tagname in COMPONENTS.items()} | {"salt": shares["NA"]}


def ranges(batch: Batch) -> dict[str, tuple[float, float] | None]:
    """Low and high of the whole batch by key, between which nine in ten true values are meant to lie.

    First-order propagation in the logarithm, for no figure falls below zero: each source of doubt (`cooking.errors`)
    changes the logarithm by so much at its low and at its high end, sources are independent, and their squares add.
    """
    return _ranges(batch, declared_values(batch))


def ranges_per_100g(batch: Batch) -> dict[str, tuple[float, float] | None]:
    """Low and high of 100 g by key, as `ranges`: of what is in a pot, in what nobody knows the weight of.

    What adds weight adds figures too, so each source counts with what it does to their quotient; how a cook divides
    changes nothing of it. None where a figure is not known, and of a batch without mass.
    """
    if batch.mass <= 0:
        return dict.fromkeys(KEYS)
    found = _ranges(batch, declared_values(batch), per_mass=True)
    return {key: ends and (100 * ends[0] / batch.mass, 100 * ends[1] / batch.mass) for key, ends in found.items()}


def squares(batch: Batch, key: str, per_mass: bool = False) -> dict[errors.Source, float]:
    """What each source of doubt adds to the squared range of a figure, in the logarithm; nothing of a figure of 0.

    per_mass: of the figure of 100 g, else of the batch.
    """
    value = declared_values(batch)[key]
    if not value:
        return {}
    spread = _without_portions(batch.spread) if per_mass else batch.spread
    down, up = _moves(spread.ends, {key: value}, batch.mass if per_mass else None)[:, :, _COLUMNS[key]]
    found = (np.minimum(-down, MOST_OF_IT) ** 2 + up**2) / 2
    return {source: square for source, square in zip(spread.sources, found.tolist(), strict=True) if square}


def _without_portions(spread: errors.Spread) -> errors.Spread:
    kept = [row for row, source in enumerate(spread.sources) if source.cause is not errors.Cause.PORTIONS]
    return errors.Spread(tuple(spread.sources[row] for row in kept), spread.ends[kept])


def _moves(ends: np.ndarray, values: Mapping[str, float | None], mass: float | None) -> np.ndarray:
    """How far each source alone moves the logarithm of figures, (down, at most 0; up) x sources x `_COLUMNS`.

    Nothing of a figure of 0; mass: what the figures are a share of [g], None where they are of the whole.
    """
    of_each = [0.0] * len(KEYS)
    for key, value in values.items():
        if value is not None and value > 0:
            of_each[_COLUMNS[key]] = _SCALES[key] / value
    shares, both = np.array(of_each), ends.transpose(1, 0, 2)
    left = np.multiply(both[:, :, : len(KEYS)], shares, order="C")  # each end by itself, which is quicker below
    left += 1.0
    moved = _log(left)
    if mass is not None:
        weights = _log(1 + both[:, :, errors.COLUMN[MASS]] / mass)[:, :, None]
        moved = np.where((weights == -inf) | (shares == 0), 0.0, moved - np.where(weights == -inf, 0.0, weights))
    first, last = moved
    down = np.minimum(first, last)
    np.maximum(np.maximum(first, last), 0.0, out=last)
    np.minimum(down, 0.0, out=first)
    return moved


def _log(left: np.ndarray) -> np.ndarray:
    """The logarithm of what is left of a figure; of nothing without end."""
    found = left
    if left.size and left.item(left.argmin()) <= NOTHING_LEFT:
        found = np.full(left.shape, -inf)
    np.log(left, out=found, where=True if found is left else left > NOTHING_LEFT)
    return found


def _ranges(
    batch: Batch, values: Mapping[str, float | None], per_mass: bool = False
) -> dict[str, tuple[float, float] | None]:
    """Low and high of values of what each source moves their logarithm by; of nothing, by what each may add to it."""
    spread = _without_portions(batch.spread) if per_mass else batch.spread
    moves = _moves(spread.ends, values, batch.mass if per_mass else None)
    down, up = np.exp(np.sqrt(np.add.reduce(moves * moves, axis=1)) * _WAY).tolist()
    found: dict[str, tuple[float, float] | None] = {}
    for key, value in values.items():
        if value is None:
            found[key] = None
        elif value <= 0:
            found[key] = 0.0, errors.deviation(batch.spread, _NAMES[key])[1] * _SCALES[key]
        else:
            found[key] = value * down[_COLUMNS[key]], value * up[_COLUMNS[key]]
    return found


def divided(batch: Batch, portions: float, by: str = BY_EYE) -> Batch:
    """A dish with what its division into ``portions`` leaves open; a whole dish is not divided.

    by: how it is divided, a row of divided.csv. Raises KeyError: no such row.
    """
    share = _within()[by]
    if portions <= 1:
        return batch
    ends = []
    for key, value in declared_values(batch).items():
        if value is not None:
            amount = value / _SCALES[key] * share
            ends.append((_NAMES[key], amount, amount))
    return batch.widened(errors.Source(errors.Cause.PORTIONS, by), ends)


@cache
def _within() -> dict[str, float]:
    """How a dish is divided -> share by which a portion may be larger or smaller."""
    return {row["how"]: float(row["within"]) for row in rows("divided.csv")}


def deviations(batch: Batch, less: Batch) -> dict[str, tuple[float, float]]:
    """By how much less and by how much more the difference of two batches may be, by key.

    What hangs on one source of doubt in both moves together, so that a doubt they share cancels: the same unweighed
    tray, the same spoon of salt.
    """
    spread = errors.together((batch.spread, less.spread.scaled(-1.0)))
    found = {key: errors.deviation(spread, name) for key, name in _NAMES.items()}
    down, up = found["salt"]
    return found | {"salt": (down * salt(1.0), up * salt(1.0))}


def per_100g(batch: Batch) -> dict[str, float | None]:
    """Declared values of 100 g of the cooked batch; all None for a batch without mass."""
    return dict.fromkeys(KEYS) if batch.mass <= 0 else _each(declared_values(batch), 100 / batch.mass)


def portion(batch: Batch, portions: float) -> dict[str, float | None]:
    """Declared values of one of ``portions`` (above 0) equal portions."""
    return _each(declared_values(batch), 1 / portions)


def _each(values: Mapping[str, float | None], share: float) -> dict[str, float | None]:
    return {key: None if value is None else value * share for key, value in values.items()}


def totals(batch: Batch, portions: float, pot: Batch | None = None) -> Totals:
    """What the cook wants to know of a dish of so many portions; pot: what 100 g are of, where more is served."""
    values = declared_values(batch)
    between = {key: ends and (ends[0] / portions, ends[1] / portions) for key, ends in _ranges(batch, values).items()}
    converted = batch.has("ENERC_KCAL_OWN")  # then ENERC_KCAL is not the table's own any more
    by_table = batch.get("ENERC_KCAL") / portions if batch.has("ENERC_KCAL") and not converted else None
    one = _each(values, 1 / portions)
    return Totals(batch.mass, one, per_100g(pot or batch), between, coverage(batch), by_table)
