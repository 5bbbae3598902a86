"""A unit never parts from its number: the one rule, and that every output keeps to it."""

from __future__ import annotations

import datetime
import re
from itertools import pairwise

import pytest

from nutrilab.results import DishResult
from nutrilab.sheets import terminal
from nutrilab.sheets.chart_page import chart_page
from nutrilab.sheets.label import label
from nutrilab.sheets.page import sheet
from nutrilab.sheets.units import NO_BREAK, together
from tests.dishes import DEMOS, demos
from tests.html_tree import read

PARTED = re.compile(r"\d (?:kJ|kcal|kg|g|mg|ml)\b")
NAMES = [path.stem for path in DEMOS]


@pytest.mark.parametrize(
    ("said", "kept"),
    [
        ("523 kcal (2195 kJ)", "523~kcal (2195~kJ)"),
        ("½ tsp mustard, 1.2 kg", "½~tsp mustard, 1.2~kg"),
        ("465 to 586 kcal", "465 to 586~kcal"),
        ("white sauce, line 5", "white sauce, line~5"),
        ("per 100 g", "per~100~g"),
        ("12 % fat", "12~% fat"),
        ("6 portions", "6~portions"),
        ("3 gherkins, 2 leeks", "3 gherkins, 2 leeks"),
    ],
)
def test_the_rule(said: str, kept: str) -> None:
    assert together(said) == kept.replace("~", NO_BREAK)
    assert together(said, "_") == kept.replace("~", "_")


@pytest.mark.parametrize("result", demos(), ids=NAMES)
def test_no_page_parts_them(result: DishResult) -> None:
    for page in (sheet(result), label(result), chart_page([result], datetime.date(2026, 11, 25))):
        assert PARTED.findall(read(page).one("body").raw) == []


@pytest.mark.parametrize("result", demos(), ids=NAMES)
@pytest.mark.parametrize("width", [60, 80, 100])
def test_no_line_of_a_terminal_ends_between_them_or_is_cut(result: DishResult, width: int) -> None:
    text = terminal.dish(result, width, balance=True, vitamins=True, explain=True)
    lines = text.splitlines()
    assert max(map(len, lines)) <= width
    assert "…" not in text
    for line, below in pairwise(lines):
        ends = re.search(r"\d$", line)
        assert not (ends and re.match(r"\s*(?:kJ|kcal|kg|g|mg|ml)\b", below)), (line, below)


@pytest.mark.parametrize("width", [60, 80, 120])
def test_no_allergen_of_a_line_is_cut(width: int) -> None:
    pie = demos()[NAMES.index("harbour-fish-pie")]
    text = terminal.lines(pie.stages[2].records, width)
    assert "crustaceans" in text
    assert "…" not in text
    assert max(map(len, text.splitlines())) <= width


def test_text_that_wraps_by_itself_is_as_it_was() -> None:
    """The sign that keeps them together on a terminal is gone from what is shown."""
    text = terminal.dish(demos()[0], 60)
    assert "\ue000" not in text
    assert NO_BREAK not in text
