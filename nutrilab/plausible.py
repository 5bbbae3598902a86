"""What cannot be, and what hardly can: one check over foods, lines, stages and dishes.

The limits are ``data/plausible.csv``, each with its source. Impossible input is refused; the improbable is said first
among the remarks, with what to do.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from nutrilab.datafiles import rows
from nutrilab.plain import brief, quoted
from nutrilab.remarks import InputError, Remark
from nutrilab.text import words as words_of

CODE = "improbable"


@cache
def _salty() -> frozenset[str]:
    """Words of a dish's name that say it is salt, stock or a cure, and may hold that much of it."""
    return frozenset(row["word"] for row in rows("salty_words.csv"))


@cache
def limit(what: str) -> float:
    """The largest value of something that is neither impossible nor improbable. Raises KeyError for an unknown one."""
    return {row["what"]: float(row["most"]) for row in rows("plausible.csv")}[what]


def line(text: str, grams: float | None, portions: float | None = None, fried: bool = False) -> tuple[Remark, ...]:
    """What is improbable of the weight [g] of a line, alone or in a dish of so many portions.

    fried: whether all of it is frying oil that counts as eaten.
    """
    if grams is None:
        return ()
    if portions and fried and grams / portions > limit("frying oil a portion"):
        words = (
            f"{quoted(text)} counts with {grams / portions:.0f} g of oil eaten a portion; food takes up only "
            "part of its frying oil: give the stage its method, or what was left in the pan"
        )
        return (Remark(CODE, words),)
    each = portions is not None and grams / portions > limit("line weight a portion")
    if grams <= limit("line weight") and not each:
        return ()
    much = f"{grams / portions / 1000:.2g} kg a portion" if each and portions else f"{grams / 1000:.3g} kg"
    return (Remark(CODE, f"{quoted(text)} counts with {much}; look at its amount and its unit"),)


def dish(
    per_portion: Mapping[str, float | None], per_100g: Mapping[str, float | None], weight: float, name: str
) -> tuple[Remark, ...]:
    """What is improbable of a portion of a dish: its weight [g], its energy [kcal], its salt [g in 100 g]."""
    found = []
    if weight > limit("portion weight"):
        found.append(f"a portion weighs {weight / 1000:.2g} kg; look at the number of portions and at the amounts")
    if (energy := per_portion.get("energy_kcal")) is not None and energy > limit("portion energy"):
        found.append(
            f"a portion has {energy:.0f} kcal, more than two days of an adult; look at the number of portions, the "
            "amounts, and whether frying oil was counted whole"
        )
    salty = per_100g.get("salt")
    if salty is not None and salty > limit("salt") and _salty().isdisjoint(words_of(name)):
        found.append(f"100 g hold {salty:.0f} g of salt; look at the amount of salt and of stock")
    return tuple(Remark(CODE, words) for words in found)


def refuse_salted_water(strength: float) -> None:
    """Refuse water with more salt [g a litre] than it can dissolve. Raises InputError."""
    if strength > limit("salted water"):
        most = limit("salted water")
        raise InputError(
            f"{strength:.0f} g of salt a litre cannot be, water dissolves {most:.0f} g; look at the amount"
        )


def refuse_overfull(macronutrients: float, mass: float, before: float) -> None:
    """Refuse a cooked weight [g] that cannot hold its fat, carbohydrate, fibre and protein [g]. Raises InputError.

    before: their share of the weight as it went in [1]; where that cannot be either, the food table says so, not the
    cook's scales.
    """
    most = limit("macronutrients") / 100
    if mass > 0 and macronutrients > most * mass and before <= most:
        words = f"{macronutrients:.0f} g of fat, carbohydrate and protein would be in {mass:.0f} g; look at its weights"
        raise InputError(words)


def contradictions(name: str, values: Mapping[str, float]) -> tuple[Remark, ...]:
    """Where a food's own values contradict themselves by more than rounding: a part above its whole."""
    found = []
    pairs = [("FASAT", "FAT", "saturates", "fat")]
    if "CHOAVL" in values:
        pairs.append(("SUGAR", "CHOAVL", "sugars", "carbohydrate"))
    elif "CHOCDF" in values:
        values = {**values, "_": max(0.0, values["CHOCDF"] - values.get("FIBTG", 0.0))}
        pairs.append(("SUGAR", "_", "sugars", "carbohydrate"))
    for part, whole, named, of in pairs:
        if part in values and whole in values and values[part] - values[whole] > limit("contradiction"):
            words = (
                f"{brief(name)}: its food table has {values[part]:.1f} g of {named} in {values[whole]:.1f} g of {of} "
                f"(100 g); the {of} was counted as the {named}"
            )
            found.append(Remark("table-contradicts-itself", words))
    return tuple(found)
