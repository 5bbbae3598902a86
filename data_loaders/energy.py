"""The energy factors of the label law, for checking tables here and for counting dishes in the core."""

from __future__ import annotations

import csv
from functools import cache
from pathlib import Path


@cache
def factors() -> dict[str, tuple[float, float]]:
    """Component -> energy per gram [kJ/g], [kcal/g]: Regulation (EU) No 1169/2011, Annex XIV (energy_factors.csv)."""
    with (Path(__file__).parent / "energy_factors.csv").open(encoding="utf-8", newline="") as file:
        return {row["tagname"]: (float(row["kj"]), float(row["kcal"])) for row in csv.DictReader(file)}
