"""From what goes into a stage to what comes out, and from the dish to a portion."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import exp, inf, log, sqrt

from nutrilab.cooking import errors
from nutrilab.cooking.media import Put
from nutrilab.cooking.stage import StageResult, cook_stage
from nutrilab.cooking.steps import ENERGY_KCAL, ENERGY_KJ, Batch, of_food, of_unknown
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
    found: dict[str, tuple[float, float] | None] = {}
    for key, value in declared_values(batch).items():
        if value is None:
            found[key] = None
            continue
        scale = salt(1.0) if key == "salt" else 1.0
        found[key] = _range(value, [errors.ends(one, _NAMES[key]) for one in batch.spread.values()], scale)
    return found


def squares(batch: Batch, key: str) -> dict[errors.Source, float]:
    """What each source of doubt adds to the squared range of a figure, in the logarithm; nothing of a figure of 0."""
    value = declared_values(batch)[key]
    if not value:
        return {}
    scale = salt(1.0) if key == "salt" else 1.0
    found = {}
    for source, effects in batch.spread.items():
        down, up = _logs(value, *errors.ends(effects, _NAMES[key]), scale)
        if square := (min(down, MOST_OF_IT) ** 2 + up**2) / 2:
            found[source] = square
    return found


def _logs(value: float, less: float, more: float, scale: float) -> tuple[float, float]:
    """How far one source alone moves the logarithm of a value down and up, both at least 0."""
    left = 1 - less * scale / value
    return (-log(left) if left > NOTHING_LEFT else inf), log(1 + more * scale / value)


def _range(value: float, ends: Iterable[tuple[float, float]], scale: float) -> tuple[float, float]:
    """Low and high of a value from what each source takes off it or adds to it, times ``scale``."""
    if value <= 0:
        return 0.0, sqrt(sum((up * scale) ** 2 for _, up in ends))
    down = up = 0.0
    for less, more in ends:
        lower, higher = _logs(value, less, more, scale)
        down, up = down + lower**2, up + higher**2
    return value * exp(-sqrt(down)), value * exp(sqrt(up))


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
