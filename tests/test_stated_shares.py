"""Shares that a line states: how they are written, and that no food is sure that does not hold them.

Fat, water and alcohol of the foods: USDA SR28 (sr:01007 Camembert 24.26 g fat and 51.8 g water, sr:01022 gouda 27.44 g
and 41.46 g, sr:01009 cheddar 33.31 g and 37.02 g, sr:14050 rum 33.4 g alcohol, sr:19165 cocoa 13.7 g fat).
The tolerance round what is stated: European Commission guidance of December 2012, section 2.
"""

from __future__ import annotations

import pytest

from nutrilab.bench import Bench
from nutrilab.foods import Food, embedded
from nutrilab.lexicon.sureness import Sureness
from nutrilab.lines.percents import lessened, percents

BENCH = Bench((embedded(),), alternatives=False)


def found(line: str) -> tuple[Food | None, Sureness]:
    (one,) = BENCH.line(line).foods
    return one.link.food, one.link.sureness


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("3,5 % m.g.", ("fat", 3.5)),
        ("5-7% fat", ("fat", 6.0)),
        ("fat 5 g per 100 g", ("fat", 5.0)),
        ("4.5 g fat/100 g", ("fat", 4.5)),
        ("fat content: 12g per 100g", ("fat", 12.0)),
        ("45 % fat in dry matter", ("dry-fat", 45.0)),
        ("45 % fat in the dry matter", ("dry-fat", 45.0)),
        ("45 % m.g. sur extrait sec", ("dry-fat", 45.0)),
        ("50% fdm", ("dry-fat", 50.0)),
        ("48% fidm", ("dry-fat", 48.0)),
        ("54 % vol", ("alcohol", 54.0)),
        ("12.5% abv", ("alcohol", 12.5)),
        ("54 vol%", ("alcohol", 54.0)),
        ("11 % alc. by vol.", ("alcohol", 11.0)),
    ],
)
def test_what_is_counted_is_read(text: str, expected: tuple[str, float]) -> None:
    assert percents(text) == (expected,)


@pytest.mark.parametrize("text", ["saturated fat 2 g per 100 g", "2 g saturated fat per 100 g", "fat 5 g", "400%"])
def test_what_is_no_share_of_fat_is_none(text: str) -> None:
    assert percents(text) == ()


@pytest.mark.parametrize(
    "line",
    [
        "400 g beef mince, fat 5 g per 100 g",
        "400 g beef mince (5 g fat/100 g)",
        "400 g beef mince, 4-6% fat",
        "400 g beef mince under 5 % fat",
    ],
)
def test_mince_holds_the_fat_that_is_stated(line: str) -> None:
    food, sureness = found(line)
    assert food is not None
    assert (food.values["FAT"], sureness) == (pytest.approx(5.0, abs=0.3), Sureness.SURE)
    assert BENCH.line(line).grams == 400


@pytest.mark.parametrize(
    ("line", "food_id", "sure"),
    [
        ("200 g camembert (45 % fat in dry matter)", "sr:01007", True),  # 50 % of its dry matter; 45 % is 21.7 g
        ("100 g gouda, 48% fat in the dry matter", "sr:01022", True),  # 47 %
        ("100 g cheddar (16% fat in dry matter)", "sr:01009", False),  # 53 %
    ],
)
def test_fat_in_dry_matter_is_no_fat_of_the_whole(line: str, food_id: str, sure: bool) -> None:
    food, sureness = found(line)
    assert food is not None
    assert (food.food_id, sureness == Sureness.SURE) == (food_id, sure)


@pytest.mark.parametrize(
    ("line", "stands"),
    [
        ("50 ml rum (40% vol)", True),
        ("50 ml rum 40 % vol", True),
        ("50 ml rum (54 % vol)", False),
        ("50 ml rum, 54 vol%", False),
        ("50 ml whisky 43%", True),
        ("150 ml red wine 12.5% ABV", True),
        ("150 ml red wine 14.5%", True),
        ("30 ml white wine vinegar (6% acidity)", True),
    ],
)
def test_spirits_and_wine_are_of_the_strength_that_is_stated(line: str, stands: bool) -> None:
    food, sureness = found(line)
    assert food is not None
    assert sureness.stands == stands


@pytest.mark.parametrize("line", ["25 g cocoa powder (11% fat)", "200 g half-fat crème fraîche (12% fat)"])
def test_the_tolerance_is_that_round_what_is_stated(line: str) -> None:
    """13.7 g is more than a fifth above 11 g, 15 g more than a fifth above 12 g."""
    assert not found(line)[1].stands


def test_wine_beside_the_food_says_nothing_of_the_food() -> None:
    assert found("500 g beef shin, marinated in red wine (12 % vol)")[1].stands


def test_a_share_behind_the_name_hides_no_name() -> None:
    assert found("150 g plain yoghurt 3.8 %")[1] == Sureness.SURE


@pytest.mark.parametrize(
    ("line", "fat"),
    [
        ("200 g cottage cheese (2% fat)", 2.0),
        ("200 g cottage cheese 1 % fat", 1.0),
        ("200 g cream cheese (16% fat)", 16.0),
        ("500 g turkey mince (5% fat)", 5.0),
        ("500 g ground turkey, 93% lean", 7.0),
    ],
)
def test_cheese_and_turkey_move_along_their_rungs(line: str, fat: float) -> None:
    """SR28 has cottage cheese of 1 %, 2 % and creamed, cream cheese and ground turkey of three fats each."""
    food, sureness = found(line)
    assert food is not None
    assert (food.values["FAT"], sureness) == (pytest.approx(fat, abs=0.35), Sureness.SURE)


@pytest.mark.parametrize(
    ("line", "food_id"),
    [
        ("200 g cottage cheese", "sr:01012"),
        ("200 g cream cheese", "sr:01017"),
        ("500 g turkey mince", "sr:05305"),
    ],
)
def test_without_a_share_the_usual_food_stands(line: str, food_id: str) -> None:
    food, sureness = found(line)
    assert food is not None
    assert (food.food_id, sureness.stands) == (food_id, True)


@pytest.mark.parametrize(
    ("text", "less"),
    [
        ("ketchup, 30 % less sugar", {"sugars"}),
        ("beans, 25% reduced sugar and salt", {"sugars", "salt"}),
        ("30% lower in saturated fat", {"saturates"}),
        ("50 per cent less fat", {"fat"}),
        ("30 % fewer calories", {"energy"}),
        ("5 % fat, less salt", set()),
        ("200 g potatoes, 10 % less", set()),
    ],
)
def test_what_there_is_less_of_is_no_share_of_the_food(text: str, less: set[str]) -> None:
    assert lessened(text) == less
    assert percents(text) == ((("fat", 5.0),) if text.startswith("5 % fat") else ())


LESS = [
    ("2 tbsp ketchup, 30 % less sugar", False),
    ("2 tbsp ketchup (30% less sugar)", False),
    ("1 tin baked beans (25 % less salt)", False),
    ("100 g crisps, 30 % less saturated fat", False),
    ("500 ml orange juice, 30 % fewer calories", False),
    ("2 tbsp ketchup", True),
    ("30 g cheddar (30 % less fat)", True),  # a table has the lighter one itself
    ("50 g jam, 30 % reduced sugar", True),
    ("200 g cucumber (50 % less salt)", True),  # has none to speak of
]


@pytest.mark.parametrize(("line", "stands"), LESS)
def test_an_ordinary_food_is_not_sure_where_the_line_says_less(line: str, stands: bool) -> None:
    """By a percentage, of what the food is not low in (bands: UK guide of November 2016, `nutrilab/data/bands.csv`)."""
    food, sureness = found(line)
    assert (food is not None, sureness.stands) == (True, stands)


@pytest.mark.parametrize("line", ["200 ml cooking cream 15 % fat", "200 ml cooking cream 15% fat", "1 l cream (15 %)"])
def test_the_fat_of_a_share_is_no_word_of_the_name(line: str) -> None:
    """Cream for cooking is no cooking fat (SR28 04615, 100 g fat)."""
    food, _ = found(line)
    assert food is not None
    assert food.values["FAT"] == pytest.approx(15.0, abs=3.0)  # the tolerance of a fifth
