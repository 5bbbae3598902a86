"""From what goes into a stage to what comes out, and from the dish to a portion."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import exp, inf, log, sqrt

from nutrilab.cooking import errors
from nutrilab.cooking.media import Put
from nutrilab.cooking.stage import StageResult, cook_stage
from nutrilab.cooking.steps import ENERGY_KCAL, ENERGY_KJ, MASS, Batch, of_food, of_unknown
from nutrilab.datafiles import rows
from nutrilab.law.energy import energy_regulation, salt

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
MOST_OF_IT = 3.0  # on ln: a source that may take all of a figure counts as one that leaves a twentieth of it
NOTHING_LEFT = 1e-6  # [1] of a figure; where one source of doubt alone may take all of it, its low end is 0
BY_EYE, BY_WEIGHT = "by eye", "by weight"  # how a dish is divided
_ENERGY_NEEDS = ("FAT", "CHOAVL", "PROCNT")


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


def declared_values(batch: Batch) -> dict[str, float | None]:
    """Values of the whole batch under the keys of the declaration [g, kJ, kcal]; None: no ingredient has one."""
    found: dict[str, float | None] = dict.fromkeys(KEYS)
    for key, tagname in COMPONENTS.items():
        found[key] = batch.amounts.get(tagname)
    for part, whole in (("saturates", "fat"), ("sugars", "carbohydrate")):
        inner, outer = found[part], found[whole]
        if inner is not None and outer is not None:
            found[whole] = max(outer, inner)  # both known in part: the whole is at least its part
    if any(t in batch.amounts for t in _ENERGY_NEEDS):
        wholes = {tagname: value for key, tagname in COMPONENTS.items() if (value := found[key]) is not None}
        found["energy_kj"], found["energy_kcal"] = energy_regulation({**batch.amounts, **wholes})
    if "NA" in batch.amounts:
        found["salt"] = salt(batch.amounts["NA"])
    return found


def coverage(batch: Batch) -> dict[str, float]:
    """Share of the ingredients' mass [0 to 1] with a value, by key of the declaration, and ``mass_linked``.

    Energy is known as far as fat, carbohydrate and protein all are.
    """
    found = {"mass_linked": batch.linked / batch.raw if batch.raw else 0.0}
    energy = min(batch.coverage(t) for t in _ENERGY_NEEDS)
    found |= {"energy_kj": energy, "energy_kcal": energy}
    found |= {key: batch.coverage(tagname) for key, tagname in COMPONENTS.items()}
    return found | {"salt": batch.coverage("NA")}


def ranges(batch: Batch) -> dict[str, tuple[float, float] | None]:
    """Low and high of the whole batch by key, between which nine in ten true values are meant to lie.

    First-order propagation in the logarithm, for no figure falls below zero: each source of doubt (`cooking.errors`)
    changes the logarithm by so much at its low and at its high end, sources are independent, and their squares add.
    """
    return {key: None if v is None else _range(v, _moves(batch, key, v), batch, key) for key, v in _values(batch)}


def ranges_per_100g(batch: Batch) -> dict[str, tuple[float, float] | None]:
    """Low and high of 100 g by key, as `ranges`: of what is in a pot, in what nobody knows the weight of.

    What adds weight adds figures too, so each source counts with what it does to their quotient; how a cook divides
    changes nothing of it. None where a figure is not known, and of a batch without mass.
    """
    if batch.mass <= 0:
        return dict.fromkeys(KEYS)
    found: dict[str, tuple[float, float] | None] = {}
    for key, value in _values(batch):
        if value is None:
            found[key] = None
            continue
        moves = _moves(batch, key, value, per_mass=True)
        low, high = _range(value, moves, batch, key)
        found[key] = 100 * low / batch.mass, 100 * high / batch.mass
    return found


def squares(batch: Batch, key: str, per_mass: bool = False) -> dict[errors.Source, float]:
    """What each source of doubt adds to the squared range of a figure, in the logarithm; nothing of a figure of 0.

    per_mass: of the figure of 100 g, else of the batch.
    """
    value = declared_values(batch)[key]
    if not value:
        return {}
    moves = _moves(batch, key, value, per_mass)
    found = {source: (min(down, MOST_OF_IT) ** 2 + up**2) / 2 for source, (down, up) in moves.items()}
    return {source: square for source, square in found.items() if square}


def _values(batch: Batch) -> Iterable[tuple[str, float | None]]:
    return declared_values(batch).items()


def _scale(key: str) -> float:
    """What the spread of a figure is to be multiplied with: salt is counted as sodium."""
    return salt(1.0) if key == "salt" else 1.0


def _moves(batch: Batch, key: str, value: float, per_mass: bool = False) -> dict[errors.Source, tuple[float, float]]:
    """How far each source alone moves the logarithm of a figure down and up, both at least 0; none of a figure of 0."""
    if value <= 0:
        return {}
    name, scale, found = _NAMES[key], _scale(key), {}
    for source, effects in batch.spread.items():
        if per_mass and source.cause == errors.Cause.PORTIONS:
            continue
        ends = [_log(1 + change * scale / value) for change in effects.get(name, (0.0, 0.0))]
        if per_mass:
            weights = (_log(1 + change / batch.mass) for change in effects.get(MASS, (0.0, 0.0)))
            ends = [0.0 if weight == -inf else end - weight for end, weight in zip(ends, weights, strict=True)]
        found[source] = max(0.0, -ends[0], -ends[1]), max(0.0, ends[0], ends[1])
    return found


def _log(left: float) -> float:
    return log(left) if left > NOTHING_LEFT else -inf


def _range(
    value: float, moves: Mapping[errors.Source, tuple[float, float]], batch: Batch, key: str
) -> tuple[float, float]:
    """Low and high of a value of what each source moves its logarithm by; of nothing, by what each may add to it."""
    if value <= 0:
        return 0.0, errors.deviation(batch.spread, _NAMES[key])[1] * _scale(key)
    down = sqrt(sum(less**2 for less, _ in moves.values()))
    up = sqrt(sum(more**2 for _, more in moves.values()))
    return value * exp(-down), value * exp(up)


def divided(batch: Batch, portions: float, by: str = BY_EYE) -> Batch:
    """A dish with what its division into ``portions`` leaves open; a whole dish is not divided.

    by: how it is divided, a row of divided.csv. Raises KeyError: no such row.
    """
    share = {row["how"]: float(row["within"]) for row in rows("divided.csv")}[by]
    if portions <= 1:
        return batch
    amounts = {_NAMES[key]: value / _scale(key) for key, value in _values(batch) if value is not None}
    ends = [(name, amount * share, amount * share) for name, amount in amounts.items()]
    return batch.widened(errors.Source(errors.Cause.PORTIONS, by), ends)


def deviations(batch: Batch, less: Batch) -> dict[str, tuple[float, float]]:
    """By how much less and by how much more the difference of two batches may be, by key.

    What hangs on one source of doubt in both moves together, so that a doubt they share cancels: the same unweighed
    tray, the same spoon of salt.
    """
    spread = errors.together((batch.spread, errors.scaled(less.spread, -1.0)))
    found = {key: errors.deviation(spread, name) for key, name in _NAMES.items()}
    down, up = found["salt"]
    return found | {"salt": (down * salt(1.0), up * salt(1.0))}


def per_100g(batch: Batch) -> dict[str, float | None]:
    """Declared values of 100 g of the cooked batch; all None for a batch without mass."""
    if batch.mass <= 0:
        return dict.fromkeys(KEYS)
    return declared_values(batch.scaled(100 / batch.mass))


def portion(batch: Batch, portions: float) -> dict[str, float | None]:
    """Declared values of one of ``portions`` (above 0) equal portions."""
    return declared_values(batch.scaled(1 / portions))


def totals(batch: Batch, portions: float, pot: Batch | None = None) -> Totals:
    """What the cook wants to know of a dish of so many portions; pot: what 100 g are of, where more is served."""
    one = batch.scaled(1 / portions)
    converted = "ENERC_KCAL_OWN" in one.amounts  # then ENERC_KCAL is not the table's own any more
    by_table = None if converted else one.amounts.get("ENERC_KCAL")
    return Totals(batch.mass, declared_values(one), per_100g(pot or batch), ranges(one), coverage(batch), by_table)
