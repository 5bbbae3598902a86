"""What cannot be, and what hardly can: the one check over foods, lines, stages and dishes.

The limits are ``data/plausible.csv``, each with its source. Impossible input is refused; the improbable is said first
among the remarks, with what to do. Here stand the limits, the words and the refusals; `improbable` looks over a dish.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache

from nutrilab.datafiles import rows
from nutrilab.law.energy import reconciled, table_carbohydrate
from nutrilab.messages import as_grams, say
from nutrilab.plain import quoted
from nutrilab.remarks import Code, InputError, Remark
from nutrilab.text import words

# What is said before all else: figures that hardly can be, numbers that may mean two things, scales that show another
# dish than the lines, foods of a line that are in no figure.
FIRST = frozenset(
    (
        Code.IMPROBABLE,
        Code.AMOUNT_ABSURD,
        Code.AMOUNT_AMBIGUOUS,
        Code.MUCH_FAT,
        Code.IMPOSSIBLE_ENERGY,
        Code.SUM_NOT_100,
        Code.SCALES_AND_LINES,
        Code.FOODS_NOT_COUNTED,
    )
)
MACRONUTRIENTS = ("FAT", "CHOAVL", "FIBTG", "PROCNT")


@cache
def limit(what: str) -> float:
    """The largest value of something that is neither impossible nor improbable. Raises KeyError for an unknown one."""
    return {row["what"]: float(row["most"]) for row in rows("plausible.csv")}[what]


def first(remarks: Iterable[Remark]) -> tuple[Remark, ...]:
    """Remarks, each once, the improbable before all others."""
    return tuple(dict.fromkeys(sorted(remarks, key=lambda remark: remark.code not in FIRST)))


def line(text: str, grams: float | None, portions: float | None = None) -> tuple[Remark, ...]:
    """What is improbable of the weight [g] of a line, alone or in a dish of so many portions."""
    if grams is None:
        return ()
    if portions and grams / portions > limit("line weight a portion"):
        said = say("plausible.line-a-portion", line=quoted(text), weight=f"{grams / portions / 1000:.3g} kg")
    elif grams > limit("line weight"):
        said = say("plausible.line", line=quoted(text), weight=f"{grams / 1000:.3g} kg")
    else:
        return ()
    return (Remark(Code.IMPROBABLE, said),)


def piece(name: str, grams: float, usual: float) -> tuple[Remark, ...]:
    """What is improbable of a weight of one [g] in a cook's own list, beside what one usually weighs [g]."""
    if max(grams / usual, usual / grams) <= limit("own weight of a piece"):
        return ()
    said = say("plausible.own-piece", food=quoted(name), weight=as_grams(grams), usual=as_grams(usual))
    return (Remark(Code.IMPROBABLE, said),)


def frying(grams: float, portions: float) -> tuple[Remark, ...]:
    """What is improbable of the fat [g] that is eaten of what a stage was fried in."""
    if grams / portions <= limit("frying oil a portion"):
        return ()
    said = say("plausible.frying-oil", oil=as_grams(grams / portions))
    return (Remark(Code.IMPROBABLE, said),)


def too_salty(per_100g: float | None, *names: str) -> bool:
    """Whether so much salt [g] in 100 g of a dish, a stage or a pack is improbable by its names.

    The last words of a name say what the thing is: "herb salt" and "cure for the salmon" may be salty, "salt and pepper
    squid" may not.
    """
    return per_100g is not None and per_100g > limit("salt") and not any(_is_salty(name) for name in names)


def salt(per_100g: float | None, *names: str) -> tuple[Remark, ...]:
    """What is improbable of the salt [g] in 100 g of a dish or a stage of these names."""
    if per_100g is None or not too_salty(per_100g, *names):
        return ()
    said = say("plausible.salty", salt=as_grams(per_100g))
    return (Remark(Code.IMPROBABLE, said),)


def undissolved(salt: float, water: float) -> tuple[Remark, ...]:
    """What is improbable of salt [g] in water [g] that holds nothing else."""
    strength = 1000 * salt / water if water > 0 else 0.0
    if strength <= limit("salted water"):
        return ()
    most = limit("salted water")
    said = say("plausible.undissolved", most=as_grams(most), salt=as_grams(strength))
    return (Remark(Code.IMPROBABLE, said),)


@cache
def _salty() -> tuple[frozenset[tuple[str, ...]], frozenset[str]]:
    found = rows("salty_words.csv")
    things = frozenset(words(row["words"]) for row in found if row["place"] == "the thing")
    return things, frozenset(word for row in found if row["place"] == "ends it" for word in words(row["words"]))


def _is_salty(name: str) -> bool:
    things, ends = _salty()
    said = words(name)
    end = next((i for i, word in enumerate(said) if i and word in ends), len(said))
    return any(said[start:end] in things for start in range(end))


def portion(weight: float, kcal: float | None) -> tuple[Remark, ...]:
    """What is improbable of a portion of a dish: its weight [g], its energy [kcal]."""
    found = []
    if weight > limit("portion weight"):
        found.append(say("plausible.portion-weight", weight=f"{weight / 1000:.3g} kg"))
    if kcal is not None and kcal > limit("portion energy"):
        found.append(say("plausible.portion-energy", energy=f"{kcal:.0f}"))
    return tuple(Remark(Code.IMPROBABLE, said) for said in found)


def macronutrients(values: Mapping[str, float]) -> float:
    """Fat, available carbohydrate, fibre and protein together [g]."""
    return sum(values.get(tagname, 0.0) for tagname in MACRONUTRIENTS)


def contradictions(name: str, values: Mapping[str, float]) -> tuple[Remark, ...]:
    """Where the values of a food, per 100 g, contradict themselves by more than rounding."""
    found = []
    slack = limit("contradiction")
    pairs = (
        ("saturates", "FASAT", "fat", values.get("FAT")),
        ("sugars", "SUGAR", "carbohydrate", table_carbohydrate(values)),
    )
    for part, tagname, whole, outer in pairs:
        inner = values.get(tagname)
        if inner is not None and outer is not None and inner - outer > slack:
            words_ = {"food": name, "inner": f"{inner:.1f} g", "part": part, "outer": f"{outer:.1f} g", "whole": whole}
            found.append(say("plausible.part-above-whole", **words_))
    if (total := macronutrients(reconciled(values))) > limit("macronutrients"):
        found.append(say("plausible.table-over-100-g", food=name, weight=as_grams(total)))
    return tuple(Remark(Code.TABLE_CONTRADICTS_ITSELF, said) for said in found)


def refuse_salted_water(strength: float) -> None:
    """Refuse water with more salt [g a litre] than it can dissolve. Raises InputError."""
    most = limit("salted water")
    if strength > most:
        said = say("plausible.too-salty-water", salt=as_grams(strength), most=as_grams(most))
        raise InputError(said)


def refuse_overfull(least: float, mass: float, before: float) -> None:
    """Refuse a cooked weight [g] that cannot hold its fat, carbohydrate, fibre and protein [g]. Raises InputError.

    least: what they weigh at least, as far as the lines are estimates; before: their share of the weight as it went in
    [1]; where that cannot be either, the food table says so, not the cook's scales.
    """
    most = limit("macronutrients") / 100
    if mass > 0 and least > most * mass and before <= most:
        said = say("cooking.macros-too-heavy", dry=as_grams(least), weight=as_grams(mass))
        raise InputError(said)
