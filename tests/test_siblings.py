"""Names of the link lists beside their siblings: what most names for a food ask, each asks, or a row says why not.

Siblings are the other names in the lists of one table that link to the same food. A name that differs from them in an
allergen needs a words rule, a row of ``misleads.csv`` that denies it, or a row of ``siblings.csv`` with its ground.
"""

from __future__ import annotations

from collections import defaultdict
from functools import cache

from nutrilab.allergens import ALLERGENS
from nutrilab.allergens.words import say
from nutrilab.datafiles import FOLDER, rows

MOST, FEWEST = 0.6, 3  # share of the siblings that carry an allergen, and how many there are at least


def _name(row: dict[str, str], words: str) -> str:
    """A name as a line says it, with the states it is listed for: "dried apricot"."""
    states = " ".join(state.replace("-", " ") for state in row["when"].split() if not state.startswith("!"))
    return f"{states} {words}".strip()


@cache
def _names() -> dict[tuple[str, str], frozenset[str]]:
    """(Table, food) -> its names."""
    found: dict[tuple[str, str], set[str]] = defaultdict(set)
    for path in sorted((FOLDER / "links").glob("*/*.csv")):
        for row in rows(str(path.relative_to(FOLDER))):
            if row["food"]:
                found[path.parent.name, row["food"]].update(_name(row, words) for words in row["words"].split("|"))
    return {key: frozenset(names) for key, names in found.items()}


def _differing(names: frozenset[str], allergen: str) -> set[str]:
    """Names of a food that say nothing of an allergen though most of the others do, and no row denies it."""
    carry = {name for name in names if allergen in say(name).contains or allergen in say(name).check}
    if len(carry) < FEWEST or len(carry) < MOST * (len(names) - 1):
        return set()
    return {name for name in names - carry if allergen not in say(name).denied}


@cache
def _gaps() -> frozenset[tuple[str, str]]:
    found = {(name, a) for names in _names().values() for a in ALLERGENS for name in _differing(names, a)}
    return frozenset(found)


def _excused() -> dict[tuple[str, str], str]:
    table = rows("allergens/siblings.csv")
    return {(name, row["allergen"]): row["ground"] for row in table for name in row["names"].split("|")}


def test_a_name_that_differs_from_its_siblings_has_a_row_that_says_why() -> None:
    """Ground: that of the row; what foods of one kind hold: common practice, no source."""
    assert len(_names()) > 1000
    assert not sorted(_gaps() - set(_excused()))


def test_no_row_of_the_siblings_is_idle_and_each_has_its_ground() -> None:
    """Ground: that of the row."""
    assert not sorted(set(_excused()) - _gaps())
    assert all(ground.strip() for ground in _excused().values())
    assert {allergen for _, allergen in _excused()} <= set(ALLERGENS)


def test_losing_a_row_is_noticed() -> None:
    """The check can fail: "banger" among the pork sausages, if nothing were said of it.

    Ground: common practice, no source: sausages have rusk.
    """
    siblings = frozenset(["pork sausage", "thick pork sausage", "best pork sausage", "zorbling"])
    assert _differing(siblings, "gluten") == {"zorbling"}
    assert _differing(siblings, "milk") == set()
