"""The scales against USDA Standard Reference 28, file WEIGHT, as the embedded table holds it.

Expected grams are typed from WEIGHT.txt (NDB number, amount, measure, grams). A British tablespoon holds
15 ml where the table's holds 14.787, a teaspoon 5 where its holds 4.929: SPOON is that ratio.
"""

from __future__ import annotations

import re

import pytest

from nutrilab.datafiles import rows
from nutrilab.foods import embedded
from nutrilab.lines import parse_line
from nutrilab.measures import weigh
from nutrilab.weighing.volumes import volume_measures

SPOON = 15 / 14.78676478125

EXAMPLES = [
    ("04053", "1 tbsp olive oil", 13.5 * SPOON),
    ("04053", "1 tsp olive oil", 4.5 * SPOON),
    ("01145", "1 tbsp butter", 14.2 * SPOON),
    ("01145", "1 cup butter", 227.0),
    ("11282", "1 cup chopped onion", 160.0),
    ("11282", "1 cup onion, sliced", 115.0),
    ("11124", "1 cup grated carrot", 110.0),
    ("01009", "1 cup grated cheddar", 113.0),
    ("01009", "1 cup cheddar, diced", 132.0),
    ("12061", "1 cup ground almonds", 95.0),
    ("12155", "1 cup chopped walnuts", 117.0),
    ("19296", "2 tbsp honey", 42.0 * SPOON),
    ("19335", "1 cup sugar", 200.0),
    ("19334", "1 cup brown sugar, packed", 220.0),
    ("20581", "2 cups plain flour", 250.0),
    ("20444", "1 cup long grain rice", 185.0),
    ("02047", "1 tsp salt", 6.0 * SPOON),
    ("02028", "1 tbsp paprika", 6.8 * SPOON),
    ("02030", "1 tsp ground black pepper", 2.3 * SPOON),
    ("02030", "1 tsp whole black peppercorns", 2.9 * SPOON),
    ("02042", "1 tsp dried thyme", 1.0 * SPOON),
    ("18372", "½ tsp bicarbonate of soda", 2.3 * SPOON),
    ("19165", "1 tbsp cocoa powder", 5.4 * SPOON),
    ("16098", "2 tbsp smooth peanut butter", 32.0 * SPOON),
    ("16123", "1 tbsp soy sauce", 16.0 * SPOON),
    ("01211", "1 cup whole milk", 244.0),
    ("01053", "1 cup double cream", 238.0),
    ("14106", "100 ml white wine", 100 * 29.4 / 29.5735),
    ("09040", "1 cup mashed banana", 225.0),
    ("09302", "1 cup raspberries", 123.0),
]


@pytest.mark.parametrize(("ndb", "text", "grams"), EXAMPLES)
def test_typed_examples(ndb: str, text: str, grams: float) -> None:
    line = parse_line(text)
    found = weigh(line, line.name, embedded().food(f"sr:{ndb}"))
    assert found.grams == pytest.approx(grams, rel=0.01)
    assert found.ground in ("household measure of this food", "density of this food")


def test_a_plain_cup_of_any_food_is_the_tables_cup() -> None:
    """Foods of the staple groups whose table has one cup without further words: the scales give that cup.

    Not where the measure is so unlike its kind that the kind is believed, nor for leaves (densities.both).
    """
    table = embedded()
    cup = parse_line("1 cup x")
    asked = same = held = 0
    for food_id, group in zip(table.ids, table.groups, strict=True):
        if group not in ("Dairy and Egg Products", "Fats and Oils", "Cereal Grains and Pasta", "Nut and Seed Products"):
            continue
        food = table.food(food_id)
        cups = [m for m in volume_measures(food.measures) if m.unit == "cup"]
        if len(cups) != 1 or cups[0].forms:
            continue
        found = weigh(cup, food.name.split(",")[0].lower(), food)
        assert found.grams is not None
        assert found.low is not None
        assert found.high is not None
        asked += 1
        same += abs(found.grams / cups[0].grams - 1) < 1e-6
        held += found.low <= cups[0].grams <= found.high
    assert asked > 150
    assert same / asked > 0.9
    assert held == asked


_NUMBER = re.compile(r"(?<![\d/.])\d+(?:\.\d+)?(?![\d/])")
FILES = ("pieces", "vague", "packs", "densities", "drained", "as_bought", "no_amount", "cooked", "eggs")


@pytest.mark.parametrize("file", FILES)
def test_sources_quote_the_table_rightly(file: str) -> None:
    """Every SR28 row that a data file names exists, and one of the figures quoted with it stands in that row."""
    table = embedded()
    for row in rows(f"{file}.csv"):
        for clause in row["source"].split("SR28")[1:]:
            parts = re.split(r"\b(\d{5})\b", clause)
            for ndb, text in zip(parts[1::2], parts[2::2], strict=True):
                food = table.food(f"sr:{ndb}")
                known = {round(g, 2) for m in food.measures for g in (m.grams, m.grams / m.amount)}
                known |= {round(value, 1) for value in food.values.values()}
                known |= {round((food.refuse or 0) * 100)}
                quoted = [float(n) for n in _NUMBER.findall(re.sub(r"\(.*?\)", "", text))]
                assert not quoted or known.intersection(quoted), f"{file}.csv: {row['source']!r} against {food.name}"


@pytest.mark.parametrize(
    ("size", "ndb_measure"), [("small", 38.0), ("medium", 44.0), ("large", 50.0)]
)  # SR28 01123, a US class
def test_british_eggs_are_a_class_larger(size: str, ndb_measure: float) -> None:
    """A UK class is heavier than the US one of the same name: a UK medium is a US large (01123: large 50 g)."""
    found = weigh(parse_line(f"1 {size} egg"), "egg", embedded().food("sr:01123"))
    assert found.grams is not None
    assert found.grams > ndb_measure
    medium = weigh(parse_line("1 medium egg"), "egg", embedded().food("sr:01123"))
    assert medium.grams == pytest.approx(50, rel=0.03)
