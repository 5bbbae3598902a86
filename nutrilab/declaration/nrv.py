"""Vitamins and minerals that may be declared: reference values, and which components of a food table make them up.

References
----------
[1] Regulation (EU) No 1169/2011, Annex XIII part A point 1.
[2] European Commission, guidance document on tolerances for nutrient values declared on a label, December 2012,
    section 6, table 4.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from nutrilab.datafiles import rows
from nutrilab.declaration.exact import exact


@dataclass(frozen=True, slots=True)
class Way:
    """One way to count a vitamin or mineral: (tagname, factor to its unit) summed, and what that counts, in words."""

    terms: tuple[tuple[str, float], ...]
    words: str

    def amount(self, values: Mapping[str, float]) -> float | None:
        """The sum; None unless every term has a value. Raises ValueError for NaN, inf and below zero."""
        if any(tagname not in values for tagname, _ in self.terms):
            return None
        return sum(float(exact(values[tagname], tagname)) * factor for tagname, factor in self.terms)

    def coverage(self, known: Mapping[str, float]) -> float:
        """Share of the ingredients' mass [0 to 1] that has a value for every term."""
        return min(known.get(tagname, 0.0) for tagname, _ in self.terms)


@dataclass(frozen=True, slots=True)
class Nrv:
    """A vitamin or mineral that may be declared: its reference intake a day [unit] [1] and significant figures [2]."""

    name: str
    unit: str
    amount: float
    figures: int
    ways: tuple[Way, ...]


_TERM = re.compile(r"([A-Z][A-Z0-9_]*-?)(?:\*(\d+))?(?:/(\d+))?")


def _way(text: str, words: str) -> Way:
    """Read "NIA + TRP_G*1000/60"."""
    terms = []
    for term in text.split(" + "):
        match = _TERM.fullmatch(term)
        if match is None:
            raise ValueError(f'nrv.csv: "{term}" is no tagname with *n or /n or neither')
        terms.append((match[1], int(match[2] or 1) / int(match[3] or 1)))
    return Way(tuple(terms), words)


@cache
def nrvs() -> dict[str, Nrv]:
    """Vitamins and minerals with their nutrient reference values [1], in the order of Annex XIII part A point 1."""
    ways: dict[str, list[Way]] = {}
    for row in rows("nrv.csv"):
        ways.setdefault(row["component"], []).append(_way(row["counted"], row["counts_as"]))
    return {
        row["component"]: Nrv(
            row["name"], row["unit"], float(row["nrv"]), int(row["figures"]), tuple(ways[row["component"]])
        )
        for row in rows("nrv.csv")
        if row["name"]
    }
