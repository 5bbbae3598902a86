"""A list for other guests, line by line: the number a line begins with, and nothing else of it."""

from __future__ import annotations

import pytest

from nutrilab.lines import parse_line
from nutrilab.scaling import times_line


@pytest.mark.parametrize(
    ("line", "times", "scaled"),
    [
        ("60 g butter", 1.5, "90 g butter"),
        ("1.2 kg floury potatoes, peeled", 2, "2.4 kg floury potatoes, peeled"),
        ("½ tsp English mustard", 3, "1.5 tsp English mustard"),
        ("1 1/2 cups flour", 2, "3 cups flour"),
        ("1½ litres water", 2, "3 litres water"),
        ("2-3 tbsp olive oil", 2, "4-6 tbsp olive oil"),
        ("2 to 3 sprigs thyme", 2, "4 to 6 sprigs thyme"),
        ("2 x 400g tins chopped tomatoes", 1.5, "3 x 400g tins chopped tomatoes"),
        ("3 leeks, sliced", 0.5, "1.5 leeks, sliced"),
        ("175g/6oz plain flour", 2, "2 times: 175g/6oz plain flour"),
        ("juice of 1 lemon", 2, "2 times: juice of 1 lemon"),
        ("20 g butter, plus 10 g", 2, "2 times: 20 g butter, plus 10 g"),
        ("a pinch of salt", 2, "2 times: a pinch of salt"),
        ("salt to taste", 2, "salt to taste"),
        ("salt and pepper", 10, "salt and pepper"),
        ("1.500 g beef", 2, "2 times: 1.500 g beef"),
        ("60 g butter", 1, "60 g butter"),
    ],
)
def test_a_line_so_many_times(line: str, times: float, scaled: str) -> None:
    assert times_line(line, times) == scaled


@pytest.mark.parametrize("line", ["60 g butter", "2-3 tbsp olive oil", "¾ pint stock", "12 eggs", "1 1/4 lb beef"])
@pytest.mark.parametrize("times", [0.5, 2, 7, 25])
def test_the_scaled_line_reads_so_many_times_as_much(line: str, times: float) -> None:
    before, after = parse_line(line), parse_line(times_line(line, times))
    assert after.quantity == pytest.approx((before.quantity or 0) * times, rel=0.01)
    assert (after.unit, after.name) == (before.unit, before.name)
