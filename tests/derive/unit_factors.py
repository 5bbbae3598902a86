"""Work out ``nutrilab/data/unit_factors.csv`` by pint: ``python -m tests.derive.unit_factors``."""

from __future__ import annotations

import re

import pint

from nutrilab.datafiles import FOLDER

HEAD = """\
# Every unit of kitchen_units.txt in its base unit (gram, millilitre or centimetre), worked out by pint so that the
# command line need not import it (0.13 s). Made by tests/derive/unit_factors.py; a test asks pint again.
unit,factor,ground
"""


def factors() -> dict[str, float]:
    """Unit -> how many base units it is, by pint."""
    text = (FOLDER / "kitchen_units.txt").read_text(encoding="utf-8")
    registry: pint.UnitRegistry[float] = pint.UnitRegistry(str(FOLDER / "kitchen_units.txt"), cache_folder=None)
    names = re.findall(r"^(\w+) =", text, re.MULTILINE)
    return {name: float(registry.Quantity(1, name).to_base_units().magnitude) for name in names}


if __name__ == "__main__":
    body = "".join(f"{name},{factor!r},kitchen_units.txt\n" for name, factor in factors().items())
    (FOLDER / "unit_factors.csv").write_text(HEAD + body, encoding="utf-8")
