"""Time grows with the length of a line, a pack and a recipe, not with its square: steps are counted, not seconds.

Four times as much text may take at most `MOST` times the steps; in proportion it would be 4, by the square 16.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from itertools import count
from pathlib import Path

import pytest

from nutrilab.allergens import find
from nutrilab.allergens.claims import Claim, Holding
from nutrilab.allergens.labels import label_allergens, read_label
from nutrilab.allergens.values import Hit, Rule
from nutrilab.decisions import Decisions, without
from nutrilab.foods import embedded
from nutrilab.kitchen import Kitchen
from nutrilab.lines.in_doubt import in_doubt
from nutrilab.recipe import read_recipe
from nutrilab.recipe.checks import tie
from nutrilab.recipe.values import Line, Recipe, Stage
from nutrilab.sheets import writer
from nutrilab.text import brand_words
from tests.steps import growth, steps

MOST = 7.0
SIZE = 600  # characters of the shorter text
fresh = count()


@cache
def kitchen() -> Kitchen:
    found = Kitchen([embedded()], alternatives=False)
    found.line("100 g butter, or ½ leek")  # word lists and rules are read
    return found


def text(unit: str) -> Callable[[int], str]:
    """A text of a unit again and again, new every time."""
    return lambda size: f"{(unit * (size // len(unit) + 1))[:size]} q{next(fresh)}"


UNITS = (
    "half half ", "half a dozen ", "gluten-free ", "gluten free ", "MILK MILK ", "milk ", "egg ", "egg, ", "eggs/",
    "vegan ", "vegan, ", "vegan (such as ", "free from milk ", "dairy-free ", "coconut milk ", "rye bread ", "butter(",
    "greek or coconut yoghurt ", "mlik ", "Milk egg ", "or ", "1 ", "1/2 ", "½ ", "1.500 g ", "(", "plus 1 egg ",
    "1 egg, ", "to taste ",
)  # fmt: skip


@pytest.mark.parametrize("unit", UNITS)
def test_a_line(unit: str) -> None:
    assert growth(kitchen().line, text(unit), SIZE) < MOST


@pytest.mark.parametrize("unit", UNITS)
def test_the_allergens_of_a_line(unit: str) -> None:
    find("100 g butter")
    assert growth(find, text(unit), SIZE) < MOST


@pytest.mark.parametrize(
    "unit", ["milk, ", "milk (", "vegan ", "gluten-free, ", "may contain milk. ", "**milk** ", "MILK, "]
)
def test_the_text_of_a_pack(unit: str) -> None:
    label_allergens(read_label("milk"))
    assert growth(lambda label: label_allergens(read_label(label)), text(unit), 2 * SIZE) < MOST


@pytest.mark.parametrize("unit", ["1.500 g ", "½½ ", "1 2 3 ", "a1,2,3 ", "1/2/", "9"])
def test_looking_for_numbers_in_doubt(unit: str) -> None:
    assert growth(in_doubt, text(unit), 2 * SIZE) < MOST


def test_looking_for_brands() -> None:
    assert growth(brand_words, text("Massel stock "), 2 * SIZE) < MOST


# --- recipes --------------------------------------------------------------------------------------------------------


def recipe(stages: Callable[[int], list[str]]) -> Callable[[int], Recipe]:
    """A recipe of stages, each of the lines that ``stages`` gives by number, the last one a part of all."""

    def made(size: int) -> Recipe:
        found = [Stage(f"stage {n}", tuple(Line(line, n) for line in stages(n)), line=n) for n in range(size)]
        last = Stage("end", tuple(Line(f"all of stage {n}", n) for n in range(size)))
        return Recipe("S", (*found, last), 4.0)

    return made


@pytest.mark.parametrize(
    "lines",
    [
        lambda n: ["100 g flour"],
        lambda n: ["half of a lemon", "100 g flour"],
        lambda n: [f"{n + 1} g of flour"],
        lambda n: [f"half of lemon {n}"],
    ],
)
def test_many_stages(lines: Callable[[int], list[str]]) -> None:
    assert growth(lambda one: tie(one, "f"), recipe(lines), 60) < MOST


def chain(folder: Path, form: str) -> Callable[[int], Path]:
    """A file whose every stage takes all of the one before."""

    def made(size: int) -> Path:
        first = [(0, ["100 g flour"])]
        stages = first + [(n, [f"all of part {n - 1}x", "10 g butter"]) for n in range(1, size)]
        if form == "txt":
            text_ = "S\nServes 4\n" + "".join(f"part {n}x:\n" + "\n".join(lines) + "\n" for n, lines in stages)
        else:
            text_ = "dish: S\nportions: 4\nstages:\n" + "".join(
                f"- stage: part {n}x\n  ingredients: [{', '.join(lines)}]\n" for n, lines in stages
            )
        path = folder / f"dish{next(fresh)}.{form}"
        path.write_text(text_, encoding="utf-8")
        return path

    return made


@pytest.mark.parametrize("form", ["txt", "yaml"])
def test_reading_and_cooking_many_stages(tmp_path: Path, form: str) -> None:
    cook = kitchen()
    cook.dish(read_recipe(chain(tmp_path, form)(3)))
    assert growth(lambda path: cook.dish(read_recipe(path)), chain(tmp_path, form), 15) < MOST


@pytest.mark.parametrize("form", ["text", "html", "csv"])
def test_showing_many_lines(tmp_path: Path, form: str) -> None:
    cook = kitchen()

    def dish(size: int) -> object:
        path = tmp_path / "dish.yaml"
        path.write_text("dish: S\nportions: 4\ningredients:\n" + "- 10 g flour\n" * size, encoding="utf-8")
        return cook.dish(read_recipe(path))

    writer.together([dish(2)], form)  # type: ignore[list-item]
    assert growth(lambda one: writer.together([one], form), dish, 25) < MOST  # type: ignore[list-item]


# --- the parts it rests on ------------------------------------------------------------------------------------------


def test_claims_and_what_they_reach_are_not_held_against_each_other_one_by_one() -> None:
    """Nested reaches, as "vegan vegan vegan butter butter" has them: each claim reaches all that follows."""
    vegan = Rule("vegan", "claim", "milk", "ground", contains_becomes="nothing", check_becomes="nothing")
    butter = Rule("butter", "contains", "milk", "ground")

    def asked(size: int) -> None:
        holding = Holding(Claim(Hit(n, n + 1, vegan), ((n + 1, 2 * size),)) for n in range(size))
        for n in range(size, 2 * size):
            assert holding.reaching("milk", Hit(n, n + 1, butter)) == [vegan]
        assert holding.reaching("milk", Hit(2 * size, 2 * size + 1, butter)) == []

    assert growth(asked, lambda size: size, 50) < MOST


def test_a_hit_must_lie_in_one_reach_whole() -> None:
    """Two reaches side by side are not one: "vegan butter and vegan milk" says nothing of "butter and vegan"."""
    vegan = Rule("vegan", "claim", "milk", "ground", contains_becomes="nothing", check_becomes="nothing")
    holding = Holding([Claim(Hit(0, 1, vegan), ((1, 3),)), Claim(Hit(3, 4, vegan), ((4, 6),))])
    across = Hit(2, 5, Rule("a b c", "contains", "milk", "ground"))
    assert holding.reaching("milk", across) == []
    assert holding.reaching("milk", Hit(4, 6, across.rule)) == [vegan]
    assert holding.reaching("eggs", Hit(4, 6, across.rule)) == []


def test_decisions_left_out() -> None:
    def some(size: int) -> tuple[Decisions, list[str]]:
        names = [f"name {n}" for n in range(size)]
        return Decisions(dict.fromkeys(names, "sr:01001")), names[::2]

    assert growth(lambda given: without(*given), some, 50) < MOST


def test_steps_tell_a_square_from_a_line() -> None:
    """The measure itself: it would see what it looks for."""
    linear = growth(lambda n: [i for i in range(n)], lambda n: n, 100)  # noqa: C416
    square = growth(lambda n: [i for i in range(n) for _ in range(n)], lambda n: n, 100)
    assert linear < 5 < MOST < 15 < square
    assert steps(lambda: None) < 10
