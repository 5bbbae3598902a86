"""Write nutrilab/data/own_yields.csv: what rice, pasta, pulses and grain of SR28 weigh cooked, food by food.

Run: python -m tests.derive.own_yields
"""

from __future__ import annotations

import csv
from pathlib import Path

from nutrilab.foods import Food, embedded
from tests.derive.pairs import STARCH, pairs

HEAD = """\
# Dry food that USDA SR28 has boiled too: cooked weight as per cent of dry, by conservation of dry matter,
# Y = (100 - water raw) / (100 - water cooked). It stands before the yield of its kind (yields.csv), whose range it
# keeps: a mung bean takes up more than a haricot bean. Script: tests/derive/own_yields.py.
"""
BY_HAND = (  # rows whose names differ
    ("sr:16144", "sr:16070"), ("sr:16108", "sr:16109"), ("sr:16085", "sr:16086"), ("sr:20008", "sr:20010"),
    ("sr:20009", "sr:20010"), ("sr:08120", "sr:08121"), ("sr:08104", "sr:08105"), ("sr:08102", "sr:08103"),
)  # fmt: skip
OTHER_ROWS = {"sr:08160": "sr:08164"}  # unenriched grits


def found() -> list[tuple[Food, Food, float]]:
    """Dry food, cooked food, cooked by dry weight."""
    table = embedded()
    known = {
        p.raw.food_id: p.cooked.food_id
        for p in pairs(table)
        if p.method == "boiled" and p.raw.food_id.startswith("sr:") and _is_starch(p.kind)
    }
    known |= dict(BY_HAND) | OTHER_ROWS
    both = [(table.food(dry), table.food(cooked)) for dry, cooked in sorted(known.items())]
    return [(a, b, (100 - a.values["WATER"]) / (100 - b.values["WATER"])) for a, b in both]


def _is_starch(kind: str) -> bool:
    from nutrilab.cooking.kinds import is_a

    return any(is_a(kind, one) for one in STARCH)


def main() -> None:
    """Write the table."""
    target = Path(__file__).parents[2] / "nutrilab" / "data" / "own_yields.csv"
    with target.open("w", encoding="utf-8", newline="") as file:
        file.write(HEAD)
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(["food", "name", "cooked", "yield", "source"])
        for dry, cooked, times in found():
            source = f"USDA SR28 by dry matter: {dry.food_id[3:]}-{cooked.food_id[3:]}"
            writer.writerow([dry.food_id, dry.name, cooked.food_id, f"{100 * times:.1f}", source])


if __name__ == "__main__":
    main()
