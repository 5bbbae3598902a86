"""Reading the extracts of published tables (extracts/, made by tests/derive/extracts.py)."""

from __future__ import annotations

import csv
from functools import cache
from pathlib import Path

EXTRACTS = Path(__file__).parent / "extracts"


@cache
def extracted(name: str) -> tuple[dict[str, str], ...]:
    """Rows of an extract, as printed; lines that begin with # are its source."""
    with (EXTRACTS / name).open(encoding="utf-8", newline="") as file:
        return tuple(csv.DictReader(line for line in file if not line.startswith("#")))
