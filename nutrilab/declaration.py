"""The declaration of a dish: what it counts by, 100 g or 100 ml of a drink, its figures, its vitamins and minerals.

Sheets show what stands here and compute nothing themselves.

References
----------
[1] Regulation (EU) No 1169/2011, Article 32(2) and (3); Annex XIII part A (reference values; point 2: significant
    amount).
[2] Y. Choi, M.R. Okos, Effects of temperature and composition on the thermal properties of foods, in Food Engineering
    and Process Applications, vol. 1, 1986 (densities of the parts of food; from memory).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cache

from nutrilab.cooking.steps import Batch
from nutrilab.datafiles import rows
from nutrilab.law.levels import Band, band, percent, percent_of_intake, share_of_intake
from nutrilab.law.rounding import ORDER, Nrv, decimal_of, declared, nrvs, unmoved
from nutrilab.messages import say
from nutrilab.nutrition import per_100g
from nutrilab.results import DishResult

# Stands with figures per 100 ml of a drink whose density is not known; source: USDA SR28, the 264 foods of the group
# Beverages with a weight of 1 fl oz (29.57 ml) between 0.9 and 1.3 g/ml: median 1.01, one in ten above 1.08 g/ml.
DRINK_REMARK = say("declare.drink")
_UNACCOUNTED = 5.0  # [g/100 g] common practice, no source
# Stands with vitamins and minerals. US milk has vitamin D added (SR28, "Milk, whole, 3.25% milkfat, with added vitamin
# D"); UK white flour has calcium, iron, thiamin and niacin added (Bread and Flour Regulations 1998, from memory).
MICRONUTRIENT_REMARK = say("declare.vitamins")


def per_100_words(drink: bool = False) -> str:
    """Head of the column: "per 100 ml" of a drink, "per 100 g" of all else [1] Article 32(2)."""
    return say("declare.per-100-ml" if drink else "declare.per-100-g")


@cache
def _densities() -> dict[str, float]:
    return {row["component"]: float(row["density"]) for row in rows("component_density.csv")}


def density(values: Mapping[str, float]) -> float | None:
    """Density of a drink [g/ml] from what 100 g of it hold, by INFOODS tagname [g].

        density = sum m_i / sum (m_i / density_i)        (volumes of the parts add up) [2]

    Bubbles are left out. None where the parts known do not make up 100 g, to 5 g: then a weighed litre must tell, or
    `DRINK_REMARK` stands with the figures.
    Raises ValueError for NaN, an infinite value and a value below zero.
    """
    parts = {t: float(decimal_of(values[t], t)) for t in _densities() if t in values}
    mass = sum(parts.values())
    if "WATER" not in parts or abs(mass - 100) > _UNACCOUNTED:
        return None
    return mass / sum(grams / _densities()[t] for t, grams in parts.items())


def per_100ml(values: Mapping[str, float | None], density: float) -> dict[str, float | None]:
    """Values of 100 g of a drink as values of 100 ml; density: [g/ml], above 0. What is not known stays so."""
    if decimal_of(density, "the density") == 0:
        raise ValueError("the density is 0")
    return {key: None if value is None else value * density for key, value in values.items()}


@dataclass(frozen=True, slots=True)
class Basis:
    """Words for the head of a column, values by key per 100 of the unit, weight or volume of a portion, what to say.

    unit: "g" or "ml"; portion: [unit], what is served beside it by its weight; remark: "" where nothing needs saying.
    """

    words: str
    unit: str
    values: Mapping[str, float | None]
    portion: float
    remark: str = ""


def basis(batch: Batch, portions: float, drink: bool = False, beside: float = 0.0) -> Basis:
    """The basis of a cooked batch in so many portions (above 0); beside: what is served with each of them [g].

    Of a drink 100 ml count by the density of what is in it; where that is not known, 100 ml are taken to weigh 100 g,
    and the remark says so.
    """
    values, portion, words = per_100g(batch), batch.mass / portions, per_100_words(drink)
    served = (say("served.per-100", per_100=words.capitalize()),) if beside else ()
    if not drink:
        return Basis(words, "g", values, portion + beside, " ".join(served))
    weight = density(batch.scaled(100 / batch.mass).amounts) if batch.mass > 0 else None
    if weight is None:
        return Basis(words, "ml", values, portion + beside, " ".join((DRINK_REMARK, *served)))
    return Basis(words, "ml", per_100ml(values, weight), portion / weight + beside, " ".join(served))


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure of a dish, unrounded, and in words as it is declared.

    per_100: by the basis, of a drink of 100 ml; ends: low and high of a portion, None where nothing is known; coverage:
    share of the ingredients' mass that has a value [0 to 1]; too_low: whether what has none could change it.
    """

    key: str
    title: str
    per_100: float | None
    per_100g: float | None
    per_portion: float | None
    ends: tuple[float, float] | None
    coverage: float
    level: Band | None
    too_low: bool

    @property
    def declared_per_100(self) -> str:
        """By the basis: "9.4 g" in 100 ml of a drink."""
        return declared(self.key, self.per_100)

    @property
    def declared_per_100g(self) -> str:
        """As `declared_per_100`, of a drink too."""
        return declared(self.key, self.per_100g)

    @property
    def declared_per_portion(self) -> str:
        """As `declared_per_100`."""
        return declared(self.key, self.per_portion)

    @property
    def declared_ends(self) -> tuple[str, str] | None:
        """Low and high of a portion."""
        return None if self.ends is None else (declared(self.key, self.ends[0]), declared(self.key, self.ends[1]))

    @property
    def share_of_day(self) -> float | None:
        """Share of an adult's day in a portion [1 = all of it]."""
        return share_of_intake(self.key, self.per_portion)

    @property
    def percent_of_day(self) -> str:
        """The same in words, "" for what has no reference intake."""
        return percent_of_intake(self.key, self.per_portion)


@dataclass(frozen=True, slots=True)
class Declaration:
    """What a dish counts by, and its figures in the Regulation's order."""

    basis: Basis
    figures: tuple[Figure, ...]


def declare(result: DishResult) -> Declaration:
    """The declaration of a dish."""
    whole, drink = result.whole, result.recipe.drink
    counted, partly = basis(result.pot, result.portions, drink, result.beside), known_in_part(result)
    served = whole.per_portion if result.beside else {}
    figures = tuple(
        Figure(
            key,
            title,
            counted.values[key],
            whole.per_100g[key],
            whole.per_portion[key],
            whole.per_portion_range.get(key),
            whole.coverage[key],
            band(key, counted.values[key], counted.portion, drink, served.get(key)),
            bool(result.unweighed) or key in partly,
        )
        for key, title in ORDER.items()
    )
    return Declaration(counted, figures)


ALL_KNOWN = 1 - 1e-9  # share of the ingredients' weight; the rest is the noise of arithmetic


def known_in_part(result: DishResult) -> dict[str, float]:
    """Figures that ingredients without a value could change, by key, and the share of the weight that has one [1].

    A bay leaf without sugars changes nothing; a pinch of a seasoning without salt does. Of the lines that are weighed:
    those that are not are in `DishResult.unweighed`.
    """
    whole, weighed = result.whole, result.weighed
    raw = result.batch.raw * weighed / result.portions
    found = {}
    for key in ORDER:
        value, known = whole.per_portion[key], min(1.0, whole.coverage[key] / weighed) if weighed else 0.0
        if value is not None and known < ALL_KNOWN and not unmoved(key, value, (1 - known) * raw):
            found[key] = known
    return found


@dataclass(frozen=True, slots=True)
class Component:
    """What a dish holds of a component of the food tables, in its unit; coverage: share of its mass with a value."""

    tagname: str
    per_100g: float | None
    per_portion: float
    coverage: float


def components_of(result: DishResult) -> dict[str, Component]:
    """Every component that the dish has a value for, by INFOODS tagname."""
    batch, pot = result.batch, result.pot
    per_100 = pot.scaled(100 / pot.mass).amounts if pot.mass > 0 else {}
    one = batch.scaled(1 / result.portions).amounts
    return {tag: Component(tag, per_100.get(tag), amount, batch.coverage(tag)) for tag, amount in one.items()}


def vitamins_of(result: DishResult, all_: bool = False) -> tuple[Micronutrient, ...]:
    """`micronutrients_of` a dish."""
    return micronutrients_of(result.batch, result.portions, result.recipe.drink, all_, pot=result.pot)


@dataclass(frozen=True, slots=True)
class Micronutrient:
    """A vitamin or mineral of a dish; nothing rounded but in the texts.

    per_100: of 100 g, or 100 ml of a drink [unit]; per_portion: [unit]; None where nothing is known. significant: so
    much that it may be declared [1]. coverage: share of the ingredients' mass [0 to 1] that has a value, None if the
    caller did not say; below 1 the amounts are lower ends, and their texts begin with "at least".
    counts_as: what was counted, in words ("vitamin K1 alone").
    """

    component: str
    name: str
    unit: str
    per_100: float | None
    per_portion: float | None
    nrv: float
    significant: bool
    coverage: float | None
    counts_as: str

    @property
    def share_per_100(self) -> float | None:
        """Share of the NRV [1 = all of it] in 100 g or 100 ml."""
        return None if self.per_100 is None else self.per_100 / self.nrv

    @property
    def share_per_portion(self) -> float | None:
        """Share of the NRV [1 = all of it] in a portion."""
        return None if self.per_portion is None else self.per_portion / self.nrv

    @property
    def declared_per_100(self) -> str:
        """ "12 mg", "at least 12 mg", "not known"."""
        return self._declared(self.per_100)

    @property
    def declared_per_portion(self) -> str:
        """As `declared_per_100`."""
        return self._declared(self.per_portion)

    @property
    def percent_per_100(self) -> str:
        """In per cent of the NRV, as Article 32(3) asks."""
        return percent(self.share_per_100)

    @property
    def percent_per_portion(self) -> str:
        """In per cent of the NRV."""
        return percent(self.share_per_portion)

    @property
    def partly_known(self) -> bool:
        """Whether some of the ingredients' mass has no value."""
        return self.coverage is not None and self.coverage < 1 - 1e-9

    @property
    def coverage_words(self) -> str:
        """How far it is known if not all: "counts 85% of the ingredients' weight; the rest is not known"."""
        if not self.partly_known or self.coverage is None:
            return ""
        return say("declare.known-share", share=int(self.coverage * 100 + 1e-9))

    def _declared(self, value: float | None) -> str:
        text = declared(self.component, value)
        return say("declare.at-least", figure=text) if self.partly_known and value is not None else text


def micronutrients(
    values_per_100: Mapping[str, float],
    values_per_portion: Mapping[str, float],
    drink: bool = False,
    all_: bool = False,
    *,
    single_portion: bool = False,
    coverage: Mapping[str, float] | None = None,
) -> tuple[Micronutrient, ...]:
    """Vitamins and minerals in the order of Annex XIII, those with a significant amount [1], or all of them.

    values: INFOODS tagname -> amount in the component's unit of 100 g (of a drink: 100 ml) and of a portion, only
    those known. single_portion: the pack holds one portion. coverage: tagname -> share of the ingredients' mass [0 to
    1] that has a value (`Batch.coverage`); a tagname it lacks is covered not at all. all_ also gives those of which
    nothing is known.
    Of several ways to count, each of which leaves out what its table does not know, the one that finds most is taken.
    Raises ValueError for NaN, an infinite value, a value below zero and a coverage above 1.
    """
    for tagname, share in (coverage or {}).items():
        if decimal_of(share, f"the coverage of {tagname}") > 1:
            raise ValueError(f"the coverage of {tagname} is above 1: {share}")
    limit = _significant()
    found = []
    for component, nrv in nrvs().items():
        one = _count(component, nrv, values_per_100, values_per_portion, coverage)
        enough = _reaches(one.share_per_100, limit["drink" if drink else "food"])
        enough |= single_portion and _reaches(one.share_per_portion, limit["single portion"])
        if enough or all_:
            found.append(replace(one, significant=enough))
    return tuple(found)


@cache
def _significant() -> dict[str, Decimal]:
    return {row["case"]: Decimal(row["percent"]).scaleb(-2) for row in rows("significant.csv")}


def _reaches(share: float | None, limit: Decimal) -> bool:
    return share is not None and decimal_of(share, "a share") >= limit


def _count(
    component: str,
    nrv: Nrv,
    per_100: Mapping[str, float],
    per_portion: Mapping[str, float],
    coverage: Mapping[str, float] | None,
) -> Micronutrient:
    """A vitamin or mineral counted the way that finds most of it."""
    found = [(way.amount(per_100), way.amount(per_portion), way.coverage(coverage or {}), way) for way in nrv.ways]
    of_100, of_portion, known, way = max(found, key=lambda f: (_or_less(f[0]), _or_less(f[1]), f[2]))
    covered = None if coverage is None else known
    return Micronutrient(component, nrv.name, nrv.unit, of_100, of_portion, nrv.amount, False, covered, way.words)


def _or_less(amount: float | None) -> float:
    """What is not known counts less than a known 0."""
    return -1.0 if amount is None else amount


def micronutrients_of(
    batch: Batch,
    portions: float,
    drink: bool = False,
    all_: bool = False,
    *,
    single_portion: bool = False,
    pot: Batch | None = None,
) -> tuple[Micronutrient, ...]:
    """`micronutrients` of a batch as served in so many portions (above 0), with its coverage; pot: what 100 g are of.

    Of a drink 100 ml count, by the `density` of what is in it; where that is not known, 100 g stand for them.
    """
    if not portions > 0:
        raise ValueError(f"{portions} portions; there must be more than 0")
    pot = pot or batch
    per_100 = dict(pot.scaled(100 / pot.mass).amounts) if pot.mass > 0 else {}
    if drink:
        weight = density(per_100) or 1.0
        per_100 = {tagname: value * weight for tagname, value in per_100.items()}
    coverage = {tagname: batch.coverage(tagname) for tagname in batch.amounts}
    one = batch.scaled(1 / portions).amounts
    return micronutrients(per_100, one, drink, all_, single_portion=single_portion, coverage=coverage)
