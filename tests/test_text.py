"""Words as the house compares them."""

from __future__ import annotations

import pytest

from nutrilab.text import fold, singular, words


@pytest.mark.parametrize(
    ("plural", "one"),
    [
        ("tomatoes", "tomato"), ("leaves", "leaf"), ("berries", "berry"), ("peaches", "peach"), ("radishes", "radish"),
        ("chillies", "chilli"), ("chillis", "chilli"), ("chilies", "chilli"), ("kiwis", "kiwi"), ("olives", "olive"),
        ("cloves", "clove"), ("slices", "slice"), ("onions", "onion"), ("boxes", "box"), ("glasses", "glass"),
        ("asparagus", "asparagus"), ("couscous", "couscous"), ("haggis", "haggis"), ("cress", "cress"), ("peas", "pea"),
        ("molasses", "molasses"), ("swiss", "swiss"), ("gas", "gas"),
    ],
)  # fmt: skip
def test_singular(plural: str, one: str) -> None:
    assert singular(plural) == one


def test_fold_and_words() -> None:
    assert fold("CRÈME FRAÎCHE") == "creme fraiche"
    assert words("Lamb’s lettuce, 12% fat (bœuf)") == ("lamb", "lettuce", "12%", "fat", "boeuf")
    assert words("") == ()
