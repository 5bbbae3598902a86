"""What holds for every text, found by generating texts."""

from __future__ import annotations

import math

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from nutrilab.lines import Amount, Reading, parse_line
from nutrilab.lines.amounts import amount_of
from nutrilab.lines.beginning import AMOUNT_WORDS, beginning
from nutrilab.lines.clean import clean
from nutrilab.lines.words import KINDS

_PIECES = (
    "1 2 1/2 ½ 1½ 2-3 400g 2lb 4oz 14 oz tin tins can x ( ) [ , ; : - / + . % of or and plus each about half a an few "
    "tbsp cup large heaped small clove garlic juice zest lemon chopped finely drained fresh ground butter olive oil "
    "salt pepper to serve for frying optional piece 2cm thumb-sized 00 &frac12; <b> \u202e \u00a0 & * • tsp leaves "
    "stock beef vegetable PLUS OR And"
).split(" ")
written = st.lists(st.sampled_from(_PIECES), max_size=25).map(" ".join)
glued = st.lists(st.sampled_from(_PIECES), max_size=12).map("".join)
texts = st.one_of(st.text(max_size=200), written, glued)


def check(line: Reading) -> None:
    """The promises of Reading that other modules rest on."""
    for amount in (line.pack, line.other, line.drained):
        if amount is not None:
            check_amount(amount)
    if line.quantity is not None:
        assert math.isfinite(line.quantity)
        assert line.quantity > 0
    if line.quantity_max is not None:
        assert line.quantity is not None
        assert line.quantity < line.quantity_max < math.inf
    assert line.unit is None or line.unit in KINDS
    assert line.preparation != ""
    if line.heading:
        assert not line.names
        return
    assert bool(line.name) == bool(line.names)
    assert all(name.strip() == name and name for name in line.names)
    assert len(set(line.names)) == len(line.names)
    assert not line.choice or len(line.names) > 1
    codes = {remark.code for remark in line.remarks}
    assert ("no-food" in codes) == (not line.names)
    assert ("no-amount" in codes) == (line.quantity is None and not line.in_doubt)
    assert not line.in_doubt or line.quantity is None
    assert ("choice" in codes) == line.choice
    assert not any(remark.message.endswith(".") for remark in line.remarks)
    for more in line.added:
        check(more)


def check_amount(amount: Amount) -> None:
    assert math.isfinite(amount.quantity)
    assert amount.quantity > 0
    assert amount.unit == "" or amount.unit in KINDS
    assert amount.quantity_max is None or amount.quantity < amount.quantity_max < math.inf


@example("1 mug to 2 mugs milk", "us")  # a range of a measure without a factor
@example("0 STOCK:TO.", "us")  # a step of the method: neither food nor amount
@given(texts, st.sampled_from(["us", "metric"]))
@settings(max_examples=600, deadline=None)
def test_every_text_gives_a_record_that_keeps_its_promises(text: str, cup: str) -> None:
    line = parse_line(text, cup)
    assert line.text == text
    check(line)
    assert parse_line(text, cup) == line


_HEADS = ("1", "250", "1/2", "½", "-", ".", "(", ")", "/", "in", "oz", "tin", "each", "cup", "walnut", "pieces")
heads = st.lists(st.sampled_from([*_HEADS, *sorted(AMOUNT_WORDS)]), max_size=6)


@example(["1", "thumb-sized piece"], " ", " of ginger")
@example(["2", "in"], " ", " oil")
@example(["3 per"], " ", "centime")
@example(["1 cup"], " ", " mushrooms")
@given(heads, st.sampled_from([" ", "-", ""]), st.sampled_from([" flour", "flour", ", sugar", " rib-eye", "zest"]))
@settings(max_examples=1000, deadline=None)
def test_what_stands_behind_the_beginning_changes_no_amount(head: list[str], between: str, rest: str) -> None:
    low = clean(between.join(head) + rest).lower()
    assert amount_of(low, "us") == amount_of(beginning(low), "us")


@given(st.integers(1, 9999), st.sampled_from(["g", "kg", "ml", "l", "tsp", "tbsp", "oz", "lb"]))
def test_a_plain_amount_comes_back(count: int, unit: str) -> None:
    for text in (f"{count} {unit} flour", f"{count}{unit} flour", f"{count} {unit} of flour", f"flour, {count} {unit}"):
        line = parse_line(text)
        assert (line.quantity, line.unit, line.name, line.remarks) == (count, unit, "flour", ())


@given(st.integers(1, 12), st.integers(1, 5000), st.sampled_from(["tin", "jar", "pack", "sachet", "bag"]))
def test_a_pack_comes_back(count: int, size: int, unit: str) -> None:
    for text in (
        f"{count} x {size}g {unit}s pears",
        f"{count} {unit}s pears ({size} g each)",
        f"{count} ({size} g) {unit} pears",
    ):
        line = parse_line(text)
        assert (line.quantity, line.unit, line.pack, line.name) == (count, unit, Amount(size, "g"), "pears")


@pytest.mark.parametrize(
    "text", ["1 egg &#" + "9" * 5000 + ";", "1 egg &amp;#" + "9" * 5000 + ";", "1 egg &#x" + "f" * 5000 + ";"]
)
def test_a_character_reference_without_end_is_no_fault(text: str) -> None:
    assert parse_line(text).quantity == 1
