"""How far two foods may lie apart before a declaration made with the one is wrong for the other.

Source: European Commission, guidance document on tolerances for nutrient values declared on a label,
December 2012, section 2 (with Regulation (EU) No 1169/2011). It gives none for energy: here energy must
agree within what the tolerances of its carriers allow, taken as 20 %, or 20 kcal where that is more
(own choice, no source: 20 % is the guidance's middle band, 20 kcal about 2 g fat).
"""

from __future__ import annotations

from collections.abc import Mapping

from nutrilab.law.energy import salt

SALT_PER_MG = salt(1.0)  # [g salt per mg sodium]


def fat_tolerance(grams: float) -> float:
    """Tolerance [g/100 g] round a fat content [g/100 g]."""
    return 1.5 if grams < 10 else 0.2 * grams if grams <= 40 else 8.0


def salt_tolerance(grams: float) -> float:
    """Tolerance [g/100 g] round a salt content [g/100 g]."""
    return 0.375 if grams < 1.25 else 0.2 * grams


def energy_tolerance(kcal: float) -> float:
    """Tolerance [kcal/100 g] round an energy content [kcal/100 g]; see the module's note."""
    return max(20.0, 0.2 * kcal)


def agree(one: Mapping[str, float], other: Mapping[str, float]) -> bool:
    """Whether energy, fat and salt of two foods lie within tolerance; a missing value never agrees.

    one, other: INFOODS tagname -> amount per 100 g (ENERC_KCAL [kcal], FAT [g], NA [mg]).
    """
    checks = (
        ("ENERC_KCAL", 1.0, energy_tolerance),
        ("FAT", 1.0, fat_tolerance),
        ("NA", SALT_PER_MG, salt_tolerance),
    )
    for tag, factor, tolerance in checks:
        a, b = one.get(tag), other.get(tag)
        if a is None or b is None or abs(a - b) * factor > tolerance(max(a, b) * factor) + 1e-9:
            return False
    return True
