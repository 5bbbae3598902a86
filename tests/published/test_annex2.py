"""Annex II of Regulation (EU) No 1169/2011: each entry and exemption by its number, with examples of its words."""

from __future__ import annotations

import pytest

from nutrilab.allergens import ALLERGENS, find
from nutrilab.datafiles import rows

ENTRIES = rows("allergens/annex2.csv")
LISTED = [
    (row["entry"], row["allergen"], text)
    for row in ENTRIES
    if row["kind"] == "listed"
    for text in row["example"].split("|")
]
EXEMPT = [
    (row["entry"], row["allergen"], text)
    for row in ENTRIES
    if row["kind"] == "exempt"
    for text in row["example"].split("|")
]


def test_the_fourteen_entries_stand_in_order() -> None:
    listed = [(row["entry"], row["allergen"]) for row in ENTRIES if row["kind"] == "listed"]
    assert listed == [(str(n), allergen) for n, allergen in enumerate(ALLERGENS_OF_ANNEX, 1)]


ALLERGENS_OF_ANNEX = (
    "gluten", "crustaceans", "eggs", "fish", "peanuts", "soya", "milk", "nuts", "celery", "mustard", "sesame",
    "sulphites", "lupin", "molluscs",
)  # fmt: skip


def test_our_keys_are_those_of_the_annex() -> None:
    assert ALLERGENS == ALLERGENS_OF_ANNEX


@pytest.mark.parametrize(("entry", "allergen", "text"), LISTED)
def test_what_an_entry_lists_is_contained(entry: str, allergen: str, text: str) -> None:
    assert allergen in find(f"100 g {text}").contains, f"Annex II, {entry}"


@pytest.mark.parametrize(("entry", "allergen", "text"), EXEMPT)
def test_what_an_entry_exempts_raises_no_alarm(entry: str, allergen: str, text: str) -> None:
    found = find(f"100 g {text}")
    assert allergen not in {**found.contains, **found.check}, f"Annex II, {entry}"


def test_every_exemption_rule_quotes_its_entry() -> None:
    numbers = {row["entry"] for row in ENTRIES if row["kind"] == "exempt"}
    assert {row["entry"] for row in rows("allergens/exempt.csv")} == numbers


def test_entry_1_names_the_cereal_and_entry_8_the_nut() -> None:
    assert find("100 g spelt flour").parts["gluten"] == ("spelt wheat",)
    assert find("100 g rye flour").parts["gluten"] == ("rye",)
    named = {"almonds": "almond", "hazelnuts": "hazelnut", "walnuts": "walnut", "cashews": "cashew", "pecans": "pecan",
             "Brazil nuts": "Brazil nut", "pistachios": "pistachio", "macadamias": "macadamia"}  # fmt: skip
    for words, nut in named.items():
        assert find(f"50 g {words}").parts["nuts"] == (nut,), words


@pytest.mark.parametrize("text", ["coconut", "chestnuts", "pine nuts", "tiger nuts", "nutmeg", "water chestnuts"])
def test_entry_8_names_no_other_nut(text: str) -> None:
    assert "nuts" not in find(text).contains


def test_entry_7_includes_lactose_free_milk_and_entry_1_gluten_free_oats() -> None:
    assert "milk" in find("lactose-free milk").contains
    assert "gluten" in find("gluten-free oats").contains
