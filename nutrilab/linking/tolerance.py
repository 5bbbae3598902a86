"""How far two foods may lie apart before a declaration made with the one is wrong for the other.

Source: European Commission, guidance document on tolerances for nutrient values declared on a label,
December 2012, section 2 (with Regulation (EU) No 1169/2011). It gives none for energy: here energy must
agree within what the tolerances of its carriers allow, taken as 20 %, or 20 kcal where that is more
(own choice, no source: 20 % is the guidance's middle band, 20 kcal about 2 g fat).
"""

from __future__ import annotations

from collections.abc import Mapping

from nutrilab.law.energy import available_carbohydrate, salt

SALT_PER_MG = salt(1.0)  # [g salt per mg sodium]
CARBOHYDRATE = "CHOAVL"


def fat_tolerance(grams: float) -> float:
    """Tolerance [g/100 g] round a fat content [g/100 g]."""
    return 1.5 if grams < 10 else 0.2 * grams if grams <= 40 else 8.0


def alcohol_tolerance(grams: float) -> float:
    """Tolerance [g/100 g] round an alcohol content [g/100 g]: that of carbohydrate and protein, for the guidance names
    none (own choice, no source)."""
    return 2.0 if grams < 10 else 0.2 * grams if grams <= 40 else 8.0


def salt_tolerance(grams: float) -> float:
    """Tolerance [g/100 g] round a salt content [g/100 g]."""
    return 0.375 if grams < 1.25 else 0.2 * grams


def energy_tolerance(kcal: float) -> float:
    """Tolerance [kcal/100 g] round an energy content [kcal/100 g]; see the module's note."""
    return max(20.0, 0.2 * kcal)


_CHECKS = (
    ("ENERC_KCAL", 1.0, energy_tolerance),
    ("FAT", 1.0, fat_tolerance),
    ("NA", SALT_PER_MG, salt_tolerance),
)


def agree(one: Mapping[str, float], other: Mapping[str, float]) -> bool:
    """Whether energy, fat and salt of two foods lie within tolerance; a missing value never agrees.

    one, other: INFOODS tagname -> amount per 100 g (ENERC_KCAL [kcal], FAT [g], NA [mg]).
    """
    for tag, factor, tolerance in _CHECKS:
        a, b = one.get(tag), other.get(tag)
        if a is None or b is None or abs(a - b) * factor > tolerance(max(a, b) * factor) + 1e-9:
            return False
    return True


# Wider than what two countries' foods of one name differ by, and narrower than most wrong foods lie off: share of the
# larger value, or the floor [unit per 100 g], whichever is more. Own choice, no source; the names of three published
# tables were compared by them, and what lies outside is explained food by food (tests/published/far_apart.csv).
FAR = {
    "PROCNT": (0.4, 5.0),
    "FAT": (0.4, 4.0),
    CARBOHYDRATE: (0.4, 8.0),
    "WATER": (0.3, 10.0),
    "NA": (0.5, 240.0),
}
# The same for energy [kcal]: watery foods differ twofold in it and by little in each carrier (milk, evaporated milk).
# Own choice, no source.
FAR_ENERGY = (0.4, 25.0)


def far_off(one: Mapping[str, float], other: Mapping[str, float]) -> dict[str, tuple[float, float]]:
    """What two foods lie so far apart in that they are hardly one food: component -> both values [unit per 100 g].

    Protein, fat, available carbohydrate and water [g], sodium [mg]; what one of them lacks tells nothing.
    """
    found = {}
    for tag, (share, floor) in FAR.items():
        a, b = _value(one, tag), _value(other, tag)
        if a is not None and b is not None and abs(a - b) > max(floor, share * max(a, b)):
            found[tag] = a, b
    return found


def far_in_energy(one: Mapping[str, float], other: Mapping[str, float]) -> bool:
    """Whether the energy of two foods lies farther apart than FAR_ENERGY; what one of them lacks tells nothing."""
    a, b = one.get("ENERC_KCAL"), other.get("ENERC_KCAL")
    share, floor = FAR_ENERGY
    return a is not None and b is not None and abs(a - b) > max(floor, share * max(a, b))


def _value(values: Mapping[str, float], tag: str) -> float | None:
    return available_carbohydrate(values) if tag == CARBOHYDRATE else values.get(tag)
