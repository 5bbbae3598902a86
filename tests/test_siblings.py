"""Names beside their siblings: what most names for a food ask, each asks, or a row says why not.

Siblings are the other names for one food of a table. A name that differs from them in an allergen needs a words rule, a
row of ``misleads.csv`` that denies it, or a row of ``siblings.csv`` with its ground.
"""

from __future__ import annotations

from functools import cache

from nutrilab.allergens import ALLERGENS
from nutrilab.allergens.words import say
from nutrilab.datafiles import rows
from nutrilab.lexicon import check, entries, stated

TABLES = ("usda-sr", "uk-cofid", "fr-ciqual", "fi-fineli", "ch-sfcd")


@cache
def speech(phrase: str) -> check.Speech:
    said = say(phrase)
    return check.Speech(frozenset(said.contains) | frozenset(said.check), said.denied)


def excused() -> set[tuple[str, str]]:
    table = rows("allergens/siblings.csv")
    return {(name, row["allergen"]) for row in table for name in stated(row["names"])}


def test_a_name_that_differs_from_its_siblings_has_a_row_that_says_why() -> None:
    """Ground: that of the row; what foods of one kind hold: common practice, no source."""
    for row in rows("allergens/siblings.csv"):
        assert row["ground"].strip(), row
        assert row["allergen"] in ALLERGENS, row
    siblings = {(table, food): names for table in TABLES for food, names in check.by_food(entries(table) or ()).items()}
    assert len(siblings) > 1000
    assert list(check.silent_siblings(siblings, ALLERGENS, speech, excused())) == []


def test_a_silent_sibling_is_seen() -> None:
    """ "zorbling" among the pork sausages, if nothing were said of it.

    Ground: common practice, no source: sausages have rusk.
    """
    siblings = frozenset(["pork sausage", "thick pork sausage", "best pork sausage", "zorbling"])
    assert check.differing(siblings, "gluten", speech) == {"zorbling"}
    assert check.differing(siblings, "milk", speech) == set()
    (said,) = check.silent_siblings({"sr:1": siblings}, ["gluten"], speech, ())
    assert "'zorbling' says nothing of gluten" in said
    assert list(check.silent_siblings({"sr:1": siblings}, ["gluten"], speech, {("zorbling", "gluten")})) == []
    (idle,) = check.silent_siblings({"sr:1": siblings}, ["milk"], speech, {("zorbling", "milk")})
    assert "take it out" in idle
