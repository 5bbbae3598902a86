"""Lines that differ in one number alone are heard once: that must change nothing of what is known of them."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

import nutrilab as nl
from nutrilab.lines import parse_line
from nutrilab.lines.alike import only_amount, plain_amount, with_amount
from nutrilab.records import line_record

GOLD = Path(__file__).parent / "gold" / "lines.csv"
AMOUNTS = (
    ("2 {}", "9000 {}"),
    ("250 {}", "7 {}"),
    ("12{}", "3{}"),
    ("8 {}", "1500 {}"),
    ("40 {}", "41 {}"),
    ("4{}", "4000{}"),
)
UNITS = ("g", "kg", "oz", "ml", "tbsp", "cups", "tins", "slices")


def names() -> tuple[str, ...]:
    """What stands behind the amount in our own gold lines."""
    with GOLD.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(line for line in file if not line.startswith("#")))
    found = (row["text"].partition(row["name"]) for row in rows if row["name"])
    return tuple(dict.fromkeys(name + rest for _, name, rest in found if name))


@pytest.mark.parametrize(
    "text",
    [
        "1 cup mushrooms", "0 g butter", "2 x 400 g tins tomatoes", "100 g/4 oz butter", "1-2 tbsp oil", "5 % vinegar",
        "7 up", "10000 g salt", "1,500 g flour", "2 lb 4 oz beef", "500 g 5 % fat mince", "½ tsp salt", "butter", "",
        "3 ", "250 gx butter", "2 eggs", "3 kg leeks, about 450 g", "2 kg salmon (half a side, 900 g)",
    ],
)  # fmt: skip
def test_an_amount_that_may_mean_more_is_not_plain(text: str) -> None:
    assert plain_amount(text) is None


def test_only_another_number_leaves_the_same_words() -> None:
    of = {text: plain_amount(f"{text} butter") for text in ("250 g", "300 g", "2 kg", "8 oz", "3 ml", "2ml", "2 cups")}
    left = {text: head.alike for text, head in of.items() if head}
    assert left["250 g"] == left["300 g"] == " g butter"
    assert len({*left.values()}) == len(left) - 1 == 6


@pytest.mark.parametrize("first", ["40 kg bitter", "3 l bitter", "12 cl bitter", "750 ml bitter", "2 glasses bitter"])
def test_a_drink_by_what_it_comes_in_is_told_by_each_of_its_measures(first: str) -> None:
    kitchen = nl.open_kitchen(None)
    texts = [
        first,
        *(f"{amount} bitter" for amount in ("2 kg", "200 g", "2 l", "3 dl", "75 cl", "500 ml", "3 glasses")),
    ]
    beer = {text: "gluten" in kitchen.line(text).findings.contains for text in texts}
    assert beer == {text: not text.endswith(("kg bitter", " g bitter")) for text in texts}


@pytest.mark.parametrize("text", ["200 g butter, plus extra for greasing", "400 g tin tomatoes", "100 g flour or rice"])
def test_a_line_that_says_more_than_one_amount_is_not_kept(text: str) -> None:
    head = plain_amount(text)
    assert head is not None
    assert not only_amount(parse_line(text), head)


def test_another_amount_is_read_as_the_line_itself_would_be() -> None:
    head, other = plain_amount("250 g butter, sliced"), plain_amount("80 g butter, sliced")
    assert head is not None
    assert other is not None
    first = parse_line("250 g butter, sliced")
    assert only_amount(first, head)
    second = with_amount(first, "80 g butter, sliced", other)
    assert second == parse_line("80 g butter, sliced")
    assert second.wording is first.wording  # tokenised once


def test_what_was_heard_before_changes_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    """A kitchen that heard another amount of each line says the same as one that reads every line by itself."""
    pairs = [(before.format(unit), after.format(unit), name) for n, name in enumerate(names()) for unit in UNITS
             for before, after in AMOUNTS[n % 6 : n % 6 + 1]]  # fmt: skip
    used = nl.open_kitchen(None)
    for before, _, name in pairs:
        used.line(f"{before} {name}")
    after = {text: used.line(text) for text in (f"{amount} {name}" for _, amount, name in pairs)}
    assert sum(bool(record.parsed.worded) for record in after.values()) > len(after) / 2
    monkeypatch.setattr("nutrilab.bench.plain_amount", lambda text: None)
    fresh = nl.open_kitchen(None)
    for text, record in after.items():
        alone = fresh.line(text)
        assert not alone.parsed.worded
        assert line_record(record) == line_record(alone), text
        assert (record.parsed, record.findings, record.remarks) == (alone.parsed, alone.findings, alone.remarks), text
