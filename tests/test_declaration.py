"""The declaration: what holds for any value, what is refused, and what a partly known dish may say."""

from __future__ import annotations

import re
from collections.abc import Callable
from fractions import Fraction
from math import inf, nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from data_loaders.schema import components
from nutrilab import declaration as d
from nutrilab.datafiles import rows
from nutrilab.foods import embedded
from nutrilab.law import levels, rounding
from nutrilab.nutrition import of_food, of_unknown

KEYS = (*rounding.ORDER, *rounding.nrvs())
FLOORS = {**dict.fromkeys(("fat", "carbohydrate", "sugars", "fibre", "protein"), "0.5"), "saturates": "0.1"}
FLOORS["salt"] = "0.0125"
values = st.floats(0, 1e6, allow_subnormal=False) | st.decimals(0, 120, places=3).map(float)


def number(text: str) -> Fraction:
    return Fraction(text.removeprefix("<").split()[0].rstrip("%"))


@given(st.sampled_from(KEYS), values, values)
def test_more_is_never_declared_as_less(component: str, one: float, other: float) -> None:
    low, high = sorted((one, other))
    less, more = rounding.declared(component, low), rounding.declared(component, high)
    assert (number(less), not less.startswith("<")) <= (number(more), not more.startswith("<"))


@given(st.sampled_from(KEYS), values)
def test_a_declared_value_is_declared_as_itself(component: str, value: float) -> None:
    """But for the guidance's own step: "0.5 g" of fat stands for 0.51 g, and 0.5 g itself is negligible."""
    once = rounding.declared(component, value)
    again = rounding.declared(component, float(number(once)))
    if not once.startswith("<") and 0 < number(once) <= Fraction(FLOORS.get(component, "0")):
        assert again.startswith("<")
    else:
        assert again == once


def nearest(value: Fraction, step: Fraction) -> Fraction:
    """To the nearest multiple of a step, halves up, by whole-number arithmetic alone."""
    return (value / step + Fraction(1, 2)).__floor__() * step


@given(st.sampled_from(tuple(rounding.ORDER)), st.decimals(0, 120, places=4))
def test_rounding_is_to_the_nearest_step_of_the_decimal_halves_up(component: str, value: object) -> None:
    exact = Fraction(str(value))
    floor = Fraction(FLOORS.get(component, "0"))
    coarse, fine, turn = {"salt": ("0.1", "0.01", 1)}.get(component, ("1", "0.1", 10))
    if component.startswith("energy"):
        fine = "1"
    text = rounding.declared(component, float(exact))
    if exact > floor:
        assert number(text) == nearest(exact, Fraction(coarse if exact >= turn else fine))
    else:
        assert text.startswith("<") or exact == 0


@given(st.sampled_from(tuple(rounding.nrvs())), st.decimals("0.001", 99999, places=3))
def test_significant_figures_are_the_nearest_halves_up(component: str, value: object) -> None:
    exact = Fraction(str(value))
    power = 10
    while Fraction(10) ** power > exact:
        power -= 1
    step = Fraction(10) ** (power - rounding.nrvs()[component].figures + 1)
    assert number(rounding.declared(component, float(exact))) == nearest(exact, step)


@pytest.mark.parametrize(
    ("component", "value", "text"),
    [
        ("fat", 0.1 + 0.2 + 0.2, "<0.5 g"),  # 0.5 in sums
        ("fat", 0.5000000000000001, "<0.5 g"),
        ("salt", 0.1 * 3 + 0.7, "1.0 g"),
        ("salt", 0.05 * 3 + 0.1, "0.25 g"),
        ("fat", 0.35 * 3, "1.1 g"),  # 1.0499999999999998 stands for 1.05
        ("protein", 1.1 * 1.5, "1.7 g"),  # 1.6500000000000001
        ("sugars", 4.35 * 100 / 100, "4.4 g"),
        ("energy_kj", -0.0, "0 kJ"),
        ("fat", -0.0, "0 g"),
        ("energy_kcal", 1e30, "1" + "0" * 30 + " kcal"),
        ("fat", 5e-324, "<0.5 g"),
        ("vitamin_c", 1e-7, "0.00000010 mg"),
        ("fat", 12, "12 g"),
    ],
)
def test_the_noise_of_binary_arithmetic_moves_no_figure(component: str, value: float, text: str) -> None:
    assert rounding.declared(component, value) == text


REFUSE: list[Callable[[float], object]] = [
    lambda v: rounding.declared("fat", v),
    lambda v: rounding.declared("vitamin_c", v),
    lambda v: rounding.declared_all({"salt": v}),
    lambda v: levels.share_of_intake("fat", v),
    lambda v: levels.percent_of_intake("fat", v),
    lambda v: levels.percent(v),
    lambda v: levels.band("fat", v, 100),
    lambda v: levels.band("fat", 1.0, v),
    lambda v: d.micronutrients({"VITC": v}, {}),
    lambda v: d.micronutrients({}, {"VITC": v}),
    lambda v: d.micronutrients({}, {}, coverage={"VITC": v}),
    lambda v: d.density({"WATER": 100.0, "FAT": v}),
    lambda v: d.per_100ml({}, v),
]


@pytest.mark.parametrize("value", [nan, inf, -inf, -0.1])
@pytest.mark.parametrize("refuse", REFUSE)
def test_no_number_and_below_zero_are_refused(refuse: Callable[[float], object], value: float) -> None:
    with pytest.raises(ValueError, match="below zero: -0.1" if value == -0.1 else "is not a number: (nan|-?inf)"):
        refuse(value)


def test_refusals_name_what_is_wrong() -> None:
    with pytest.raises(ValueError, match=r'^"sodium" is no component of the declaration$'):
        rounding.declared("sodium", 1.0)
    with pytest.raises(ValueError, match=r"^fat below zero: -1$"):
        rounding.declared("fat", -1)
    with pytest.raises(ValueError, match=r"the coverage of VITC is above 1: 1\.5"):
        d.micronutrients({}, {}, coverage={"VITC": 1.5})
    with pytest.raises(ValueError, match="the density is 0"):
        d.per_100ml({"fat": 1.0}, 0.0)
    with pytest.raises(ValueError, match="0 portions"):
        d.micronutrients_of(of_unknown(100), 0)


def test_nothing_has_no_sign() -> None:
    assert levels.percent(-0.0) == "0%"


def test_missing_is_never_zero() -> None:
    assert rounding.declared("fat", None) == "not known"
    assert rounding.declared("iron", None) == "not known"
    assert set(rounding.declared_all({}).values()) == {"not known"}
    found = d.micronutrients({}, {}, all_=True)
    assert [m.component for m in found] == list(rounding.nrvs())
    for m in found:
        assert (m.per_100, m.share_per_portion, m.significant) == (None, None, False)
        assert {m.declared_per_100, m.declared_per_portion, m.percent_per_100, m.percent_per_portion} == {"not known"}
    assert d.micronutrients({}, {}) == ()


def one(component: str, values: dict[str, float], **more: object) -> d.Micronutrient:
    return next(m for m in d.micronutrients(values, values, all_=True, **more) if m.component == component)  # type: ignore[arg-type]


def test_a_vitamin_as_it_is_declared() -> None:
    m = next(iter(d.micronutrients({"VITC": 12.5}, {"VITC": 44.7})))
    assert (m.name, m.unit, m.declared_per_100, m.percent_per_100) == ("Vitamin C", "mg", "13 mg", "16%")
    assert (m.declared_per_portion, m.percent_per_portion, m.significant) == ("45 mg", "56%", True)
    assert (m.nrv, m.coverage, m.partly_known) == (80, None, False)


def test_a_known_nothing_is_zero() -> None:
    assert one("vitamin_a", {"VITA_RAE": 0.0}).declared_per_100 == "0 µg"  # though the ways before it find nothing
    m = one("vitamin_a", {"VITA_RAE": 0.0}, coverage={"VITA_RAE": 1.0})
    assert (m.declared_per_100, m.percent_per_100, m.counts_as[:24]) == ("0 µg", "0%", "retinol activity equival")


def test_partly_known_says_at_least() -> None:
    m = one("iron", {"FE": 3.0}, coverage={"FE": 0.8})
    assert (m.declared_per_100, m.declared_per_portion, m.coverage) == ("at least 3.0 mg", "at least 3.0 mg", 0.8)
    assert m.coverage_words == "counts 80% of the ingredients' weight; the rest is not known"
    nearly = one("iron", {"FE": 3.0}, coverage={"FE": 0.9999})
    assert nearly.coverage_words.startswith("counts 99% of")  # never 100 % of what is not all known
    whole = one("iron", {"FE": 3.0}, coverage={"FE": 1 - 1e-12})
    assert (whole.declared_per_100, whole.coverage_words) == ("3.0 mg", "")
    assert one("iron", {"FE": 3.0}).coverage_words == ""
    assert one("iron", {"FE": 3.0}, coverage={"FE": 0.29}).coverage_words.startswith("counts 29% of")
    assert one("iron", {"FE": 3.0}, coverage={}).declared_per_100 == "at least 3.0 mg"
    assert one("iron", {}, coverage={"FE": 0.0}).declared_per_100 == "not known"


def test_the_way_that_finds_most_is_counted_with_its_own_coverage() -> None:
    known = {"NIA": 1.0, "TRP_G": 0.06}
    m = one("niacin", known, coverage={"NIA": 1.0, "TRP_G": 0.5})
    assert m.per_100 == pytest.approx(2.0)
    assert m.coverage == 0.5
    assert one("niacin", known | {"NIAEQ": 2.5}).per_100 == 2.5
    assert one("niacin", {"NIA": 1.0, "NIATRP": 0.4}).per_100 == pytest.approx(1.4)
    alone = one("niacin", {"NIA": 1.0})
    assert (alone.per_100, alone.counts_as) == (1.0, "niacin alone: the tryptophan of the protein would add to it")
    # as much either way: the one that covers more
    assert one("vitamin_a", {"VITA": 9.0, "VITA_RAE": 9.0}, coverage={"VITA": 0.2, "VITA_RAE": 0.9}).coverage == 0.9


@pytest.mark.parametrize(
    ("component", "values", "amount"),
    [
        ("vitamin_a", {"RETOL": 100.0, "CARTB": 60.0, "CARTA": 12.0, "CRYPX": 24.0}, 113.0),
        ("vitamin_a", {"RETOL": 100.0, "CARTB": 60.0}, 110.0),
        ("vitamin_a", {"RETOL": 100.0, "CARTBEQ": 66.0}, 111.0),
        ("vitamin_a", {"RETOL": 100.0, "CARTB": 6.0, "VITA_RAE": 105.0}, 105.0),
        ("vitamin_e", {"TOCPHA": 3.0, "VITE": 3.5}, 3.5),
        ("vitamin_k", {"VITK1": 3.0, "VITK2": 0.5}, 3.5),
        ("vitamin_k", {"VITK1": 3.0, "VITK": 4.0}, 4.0),
        ("vitamin_k", {"VITK1": 3.0}, 3.0),
        ("fluoride", {"FLD": 350.0}, 0.35),
    ],
)
def test_conversions(component: str, values: dict[str, float], amount: float) -> None:
    assert one(component, values).per_100 == pytest.approx(amount)


PLAIN = {
    "vitamin_d": "VITD", "vitamin_e": "TOCPHA", "vitamin_c": "VITC", "thiamin": "THIA", "riboflavin": "RIBF",
    "vitamin_b6": "VITB6A", "folic_acid": "FOL", "vitamin_b12": "VITB12", "biotin": "BIOT",
    "pantothenic_acid": "PANTAC", "potassium": "K", "chloride": "CLD", "calcium": "CA", "phosphorus": "P",
    "magnesium": "MG", "iron": "FE", "zinc": "ZN", "copper": "CU", "manganese": "MN", "selenium": "SE",
    "chromium": "CR", "molybdenum": "MO", "iodine": "ID",
}  # fmt: skip


@pytest.mark.parametrize(("component", "tagname"), PLAIN.items())
def test_each_is_counted_from_its_own_component_in_its_unit(component: str, tagname: str) -> None:
    assert one(component, {tagname: 2.5}).per_100 == 2.5
    if tagname in components():
        assert components()[tagname].unit.replace("u", "µ") == rounding.nrvs()[component].unit


def test_a_batch_brings_its_own_coverage() -> None:
    """100 g of orange and 100 g of something unknown: the vitamin C of the orange is what there is at least."""
    orange = embedded().food("sr:09200")
    batch = of_food(orange, 100) + of_unknown(100)
    (m,) = d.micronutrients_of(batch, 4)
    assert (m.component, m.coverage) == ("vitamin_c", 0.5)
    assert m.per_100 == pytest.approx(orange.values["VITC"] / 2)
    assert m.per_portion == pytest.approx(orange.values["VITC"] / 4)
    assert m.declared_per_100.startswith("at least ")
    assert d.micronutrients_of(of_unknown(0), 1) == ()


def test_a_batch_that_is_drunk_counts_per_100_ml() -> None:
    """Orange juice, 1 cup is 248 g (USDA SR28, 09206): 100 ml weigh 105 g."""
    juice = embedded().food("sr:09206")
    drunk = {m.component: m for m in d.micronutrients_of(of_food(juice, 500), 2, drink=True)}
    eaten = {m.component: m for m in d.micronutrients_of(of_food(juice, 500), 2)}
    assert drunk["vitamin_c"].per_100 == pytest.approx(juice.values["VITC"] * 1.048, rel=0.01)
    assert drunk["vitamin_c"].per_portion == eaten["vitamin_c"].per_portion
    assert set(drunk) > set(eaten)  # 7.5 % is enough of a drink
    half = {m.component: m for m in d.micronutrients_of(of_food(juice, 100) + of_unknown(100), 1, drink=True)}
    assert half["vitamin_c"].per_100 == pytest.approx(juice.values["VITC"] / 2)  # no density: 100 g stand for 100 ml


def test_drinks_are_per_100_ml() -> None:
    assert (d.per_100_words(), d.per_100_words(True)) == ("per 100 g", "per 100 ml")
    assert d.per_100ml({"fat": 2.0, "salt": None}, 1.05) == {"fat": 2.1, "salt": None}
    assert d.density({"FAT": 100.0}) is None  # without water nobody knows
    assert d.density({"WATER": 95.0}) is not None
    assert d.density({"WATER": 94.9}) is None
    assert d.density({"WATER": 100.0, "CHOAVL": 5.0}) is not None
    assert d.density({"WATER": 100.0, "CHOAVL": 5.1}) is None


LEVELS = ("low", "medium", "high", None)


@given(
    st.sampled_from(("fat", "saturates", "sugars", "salt")),
    st.floats(0, 100),
    st.floats(0, 100),
    st.none() | st.floats(0, 2000),
)
def test_more_is_never_a_lower_band_nor_is_a_drink(
    component: str, one: float, other: float, portion: float | None
) -> None:
    low, high = sorted((one, other))
    less, more = (LEVELS.index(levels.band(component, value, portion)) for value in (low, high))
    drunk_less, drunk_more = (LEVELS.index(levels.band(component, value, portion, True)) for value in (low, high))
    assert less <= more
    assert drunk_less <= drunk_more
    assert less <= drunk_less


@given(st.floats(0, 50), st.floats(0, 50))
def test_more_is_never_fewer_per_cent(one: float, other: float) -> None:
    low, high = sorted((one, other))
    less, more = levels.percent(low), levels.percent(high)
    assert (number(less), not less.startswith("<")) <= (number(more), not more.startswith("<"))


@pytest.mark.parametrize("name", ["rounding", "bands", "reference_intakes", "nrv", "significant", "component_density"])
def test_every_row_names_its_source(name: str) -> None:
    assert all(len(row["source"]) > 10 for row in rows(f"{name}.csv"))


def test_every_way_to_count_uses_tagnames_a_table_may_hold() -> None:
    """A misspelt tagname would leave a vitamin out without a word."""
    infoods = {"VITA", "CARTBEQ", "VITK", "NIAEQ", "NIATRP", "BIOT", "CLD", "CR", "MO", "ID", "VITE", "VITK2"}
    used = {tagname for nrv in rounding.nrvs().values() for way in nrv.ways for tagname, _ in way.terms}
    assert used <= infoods | set(components())
    assert all(way.words for nrv in rounding.nrvs().values() for way in nrv.ways)


def test_a_way_to_count_that_cannot_be_read_is_refused() -> None:
    way = rounding._way
    assert way("FIB- + TRP_G*1000/60", "").terms == (("FIB-", 1.0), ("TRP_G", pytest.approx(1000 / 60)))
    for wrong in ("", "NIA+TRP_G", "NIA + ", "nia", "NIA*", "NIA/x"):
        with pytest.raises(ValueError, match=re.escape("is no tagname with")):
            way(wrong, "")


def test_what_is_not_known_may_not_matter() -> None:
    assert rounding.unmoved("sugars", 8.72, 0.02)  # 8.7 g either way
    assert not rounding.unmoved("sugars", 8.72, 0.04)  # 8.8 g
    assert not rounding.unmoved("salt", 0.0, 0.02)
    assert rounding.unmoved("energy_kcal", 533.1, 0.04)  # 0.36 kcal of fat
    assert not rounding.unmoved("energy_kcal", 533.1, 0.05)
    assert not rounding.unmoved("energy_kj", 2235.1, 0.04)  # 1.48 kJ of fat
