"""Plain text recipes as cooks paste them: what is an ingredient, what is method, how many portions; all said aloud."""

from __future__ import annotations

from pathlib import Path

import pytest

from nutrilab.allergens.dish import DishAllergens, LineFindings
from nutrilab.allergens.find import find
from nutrilab.allergens.method import of_method
from nutrilab.recipe import InputError, Recipe, prose, read_recipe
from nutrilab.recipe.portions import how_to_say, read_yield, says_yield, split_yield
from tests.dishes import kitchen


def read(folder: Path, *lines: str) -> Recipe:
    path = folder / "dish.txt"
    path.write_text("\n".join(lines), encoding="utf-8")
    return read_recipe(path)


def texts(recipe: Recipe) -> list[list[str]]:
    return [[entry.text for entry in stage.entries] for stage in recipe.stages]


def said(recipe: Recipe, code: str) -> str:
    return " ".join(remark.message for remark in recipe.remarks if remark.code == code)


CHEESECAKE = """\
Lamplight cheesecake
Serves 8 generously
Prep: 20 minutes | Cook: 25 minutes

Ingredients
For the base:
200 g digestive biscuits
100 g butter, melted

For the filling:
500 g cream cheese
3 eggs
icing sugar, to dust

{heading}
1. Crush the biscuits and mix with the butter.
2. Press into a tin.
3 Beat the cheese with the eggs
4. Bake for 25 minutes.
Leave to cool.

Notes
Keeps for three days.
""".splitlines()


@pytest.mark.parametrize(
    "heading",
    [
        "Method",
        "METHOD:",
        "**Directions**",
        "## Instructions",
        "To make",
        "To make:",
        "Steps",
        "Preparation",
        "How to make",
        "How to make it:",
        "Method (45 minutes)",
    ],
)
def test_a_method_is_no_food(tmp_path: Path, heading: str) -> None:
    recipe = read(tmp_path, *(line.format(heading=heading) for line in CHEESECAKE))
    assert texts(recipe) == [
        ["200 g digestive biscuits", "100 g butter, melted"],
        ["500 g cream cheese", "3 eggs", "icing sugar, to dust"],
        ["all of For the base", "all of For the filling"],
    ]
    assert recipe.portions == 8
    assert [line.line for line in recipe.method] == [16, 17, 18, 19, 20]
    assert [remark.code for remark in recipe.remarks] == ["left-out"]
    assert said(recipe, "left-out") == (
        "taken as the method, notes or times: line 3 and lines 16 to 23; no ingredient in them is counted"
    )


def test_numbered_steps_without_a_heading_are_left_out_and_quoted(tmp_path: Path) -> None:
    steps = ["1. Melt the butter.", "2. Mix oats in", "3) Press into a tin.", "Step 4: Cool"]
    recipe = read(tmp_path, "Jetty flapjacks", "Makes 16", "- 250 g oats", "1. 125 g syrup", "2. Butter", *steps)
    assert texts(recipe) == [["250 g oats", "125 g syrup", "Butter"]]
    assert [line.text for line in recipe.method] == steps
    for step in steps:
        assert f'"{step}"' in said(recipe, "left-out-as-step")


def test_a_numbered_list_of_ingredients_stays_one(tmp_path: Path) -> None:
    recipe = read(tmp_path, "Toast", "1. 4 slices bread", "2. Butter", "3. Cream cheese", "4. 2 eggs")
    assert texts(recipe) == [["4 slices bread", "Butter", "Cream cheese", "2 eggs"]]
    assert recipe.remarks == ()


def test_an_ingredient_under_the_method_is_counted_and_said(tmp_path: Path) -> None:
    recipe = read(
        tmp_path,
        "Crab plate",
        "Serves 2",
        "1 crab",
        "Method",
        "Boil the crab for 15 minutes.",
        "15 minutes before serving, make the dressing:",
        "3 tbsp tahini",
        "2 lemons",
        "half of a lime",
        "200 ml of the stock is added and brought to the boil.",
        "2. 50 g of butter",
    )
    assert texts(recipe) == [["1 crab", "3 tbsp tahini", "2 lemons", "half of a lime"]]
    for line in ("3 tbsp tahini", "2 lemons", "half of a lime"):
        assert f'"{line}"' in said(recipe, "amount-in-method")
    left = said(recipe, "amount-left-out")
    assert '"200 ml of the stock is added…" (line 10)' in left
    assert '"2. 50 g of butter" (line 11)' in left
    assert "15 minutes" not in left


def test_an_amount_among_the_notes_is_quoted(tmp_path: Path) -> None:
    recipe = read(
        tmp_path, "Soup", "Serves 2", "1 onion", "Notes", "50 g peanuts are good in it", "Nutrition", "12 g fat"
    )
    assert texts(recipe) == [["1 onion"]]
    assert '"50 g peanuts are good in it" (line 5) and "12 g fat" (line 7)' in said(recipe, "amount-left-out")


def test_a_note_is_one_line_and_what_follows_it_counts(tmp_path: Path) -> None:
    recipe = read(
        tmp_path, "Soup", "1 onion", "Tip: use good stock", "1 litre stock", "Source: October supper", "1 egg"
    )
    assert texts(recipe) == [["1 onion", "1 litre stock", "1 egg"]]
    assert "notes or times: line 3 and line 5; no" in said(recipe, "left-out")


def test_stages_come_back_after_a_method(tmp_path: Path) -> None:
    recipe = read(
        tmp_path,
        "Pie",
        "To make the pastry:",
        "200 g flour",
        "Method:",
        "Rub in.",
        "For the filling:",
        "2 eggs",
        "How to make the filling:",
        "Beat.",
        "For the sauce:",
        "Stir.",
        "Ingredients",
        "1 onion",
    )
    assert [stage.name for stage in recipe.stages] == ["To make the pastry", "For the filling", "Pie"]
    assert texts(recipe)[:2] == [["200 g flour"], ["2 eggs", "1 onion"]]
    assert [line.text for line in recipe.method] == ["Rub in.", "Beat.", "For the sauce:", "Stir."]


def test_a_stage_to_assemble_keeps_its_parts(tmp_path: Path) -> None:
    recipe = read(
        tmp_path, "Trifle", "Sponge:", "2 eggs", "To assemble:", "all of sponge", "300 ml cream", "Method", "Whip."
    )
    assert texts(recipe) == [["2 eggs"], ["all of sponge", "300 ml cream"]]


def test_a_heading_with_nothing_but_steps_is_no_stage(tmp_path: Path) -> None:
    recipe = read(tmp_path, "Base", "200 g biscuits", "Topping:", "1. Melt the butter.", "2. Pour over.")
    assert texts(recipe) == [["200 g biscuits"]]
    with pytest.raises(InputError, match="nothing stands under"):
        read(tmp_path, "Base", "Topping:", "Other:", "1 egg")
    with pytest.raises(InputError, match="no ingredients"):
        read(tmp_path, "Base", "Method", "Stir.")


# Lines of cooks that look a little like a step, a heading or a yield and are ingredients.
INGREDIENTS = [
    "Cream cheese, full fat, for the top.",
    "1. Cream cheese",
    "Roast chicken, cold, shredded.",
    "Grated zest of 1 lemon.",
    "Pinch of salt.",
    "Some chopped parsley, to serve with it.",
    "For the top, chopped nuts to serve.",
    "Warm pitta breads, to serve with.",
    "1 roll puff pastry",
    "2 mixed peel",
    "Baking powder 1 tsp",
    "Cooking chocolate 100 g",
    "Topping: 50 g nuts",
    "4 servings cooked rice",
    "2 portions noodles",
    "12 slices bread",
    "Servings: 2 tbsp yoghurt",
    "salt: to taste",
    "Stock",
    "Mint sauce",
    "1.5 kg potatoes",
    "4 - 6 eggs",
]


@pytest.mark.parametrize("line", INGREDIENTS)
def test_what_is_an_ingredient_stays_one(tmp_path: Path, line: str) -> None:
    recipe = read(tmp_path, "Dish", "1 egg", line, "2 onions")
    assert len(texts(recipe)[0]) == 3
    assert recipe.remarks == ()
    assert recipe.portions is None


@pytest.mark.parametrize(
    ("line", "is_times"),
    [
        ("Prep: 10 minutes", True),
        ("Preparation time: 20 mins", True),
        ("Total time 1½ hours", True),
        ("Oven: 180°C / fan 160°C / gas 4", True),
        ("Prep 10 min | Cook 1 hr 20 mins", True),
        ("Ready in 40 minutes", True),
        ("10 minutes", False),
        ("Cook 2 eggs", False),
        ("Baking 30 g", False),
        ("Prep: 10 minutes | 50 g nuts", False),
    ],
)
def test_times_are_no_ingredients(line: str, is_times: bool) -> None:
    assert prose.is_times(line) is is_times


@pytest.mark.parametrize(
    ("line", "amount"),
    [
        ("200g flour", "unit"),
        ("2 x 400g tins tomatoes", "unit"),
        ("a handful of peanuts", "unit"),
        ("3 heaped tbsp tahini", "unit"),
        ("1½ tsp salt", "unit"),
        ("8 fl oz milk", "unit"),
        ("two eggs", "count"),
        ("half a lemon", "count"),
        ("4 large eggs", "count"),
        ("30 minutes before", ""),
        ("180C oven", ""),
        ("20 cm tin", ""),
        ("a warming soup", ""),
        ("salt", ""),
    ],
)
def test_an_amount_at_the_head_of_a_line(line: str, amount: str) -> None:
    assert prose.amount_at_head(line) == amount


# --- portions -------------------------------------------------------------------------------------------------------

YIELDS = [
    ("Serves 6 generously", 6, None),
    ("Serves 4 as a starter", 4, None),
    ("Serves 4 as a starter, 2 as a main", 4, "portions-range"),
    ("Serves four", 4, None),
    ("SERVES: 6-8", 6, "portions-range"),
    ("Serves 10–12 hungry people", 10, "portions-range"),
    ("Feeds 4", 4, None),
    ("Feeds four to six", 4, "portions-range"),
    ("Enough for 4", 4, None),
    ("Enough for 4 as a main", 4, None),
    ("Makes enough for 4", 4, None),
    ("4 servings", 4, None),
    ("4 generous portions", 4, None),
    ("Makes 12", 12, "portions-pieces"),
    ("Makes about 12 buns", 12, "portions-pieces"),
    ("Makes a dozen", 12, "portions-pieces"),
    ("Makes 1 loaf (10 slices)", 10, "portions-pieces"),
    ("Makes 1 x 23 cm cake, serves 8", 8, None),
    ("Cuts into 12", 12, "portions-pieces"),
    ("Portions: 4", 4, None),
    ("For 4 people", 4, None),
    ("For 4", 4, None),
    ("This recipe serves 4.", 4, None),
    ("Makes 2 loaves", None, "portions-not-read"),
    ("Makes 500 ml", None, "portions-not-read"),
]


@pytest.mark.parametrize(("line", "portions", "code"), YIELDS)
def test_portions_of_text_and_page_are_read_alike(
    tmp_path: Path, line: str, portions: float | None, code: str | None
) -> None:
    recipe = read(tmp_path, "Dish", line, "1 egg")
    assert (recipe.portions, texts(recipe)) == (portions, [["1 egg"]])
    assert [(remark.code, remark.line) for remark in recipe.remarks] == ([(code, 2)] if code else [])
    assert read_yield([line])[0] == portions


def test_two_yields_that_differ_are_told(tmp_path: Path) -> None:
    recipe = read(tmp_path, "Dish", "Makes 12 buns", "1 egg", "Serves 4")
    assert recipe.portions == 4
    assert '"Makes 12 buns"' in said(recipe, "portions-twice")
    assert read(tmp_path, "Dish", "Serves 4", "1 egg", "For 4 people").remarks == ()


def test_no_portions_at_all_are_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="line 2: portions must be a number above 0"):
        read(tmp_path, "Dish", "Serves 0", "1 egg")


@pytest.mark.parametrize(
    ("title", "dish", "portions"),
    [
        ("Carrot soup (serves 4)", "Carrot soup", 4),
        ("# Carrot soup – serves 4-6", "Carrot soup", 4),
        ("Stew for two", "Stew", 2),
        ("Soup for winter", "Soup for winter", None),
    ],
)
def test_a_title_may_say_the_portions(tmp_path: Path, title: str, dish: str, portions: float | None) -> None:
    recipe = read(tmp_path, title, "1 egg")
    assert (recipe.dish, recipe.portions) == (dish, portions)
    assert read(tmp_path, title, "Serves 9", "1 egg").portions == 9


def test_a_heading_of_ingredients_may_say_the_portions(tmp_path: Path) -> None:
    for heading in ("Ingredients (serves 4)", "Ingredients for 4 people:"):
        recipe = read(tmp_path, "Dish", heading, "1 egg")
        assert (texts(recipe), recipe.portions) == ([["1 egg"]], 4)


def test_what_to_write_where_portions_are_missing(tmp_path: Path) -> None:
    assert 'write "portions: 6"' in how_to_say("dish.yaml")
    assert 'write "Serves 6"' in how_to_say("dish.txt")
    assert how_to_say("page.html") == "use --portions 6"
    with pytest.raises(InputError, match='write "Serves 6" on a line under the name of the dish'):
        kitchen().dish(read(tmp_path, "Dish", "1 egg"))


# --- what the method names and no ingredient does --------------------------------------------------------------------


def test_an_allergen_that_only_the_method_names_is_to_be_checked(tmp_path: Path) -> None:
    recipe = read(
        tmp_path,
        "Fruit bowl",
        "Serves 4",
        "4 apples",
        "50 ml coconut milk",
        "Method",
        "Stir in the coconut milk.",
        "Scatter with toasted hazelnuts.",
    )
    found = kitchen().dish(recipe).allergens
    assert (set(found.contains), found.complete) == (set(), True)
    assert "nuts" in found.check
    assert "Scatter with toasted hazelnuts." in found.check["nuts"][0]
    assert "milk" not in found.check


def test_what_the_dish_names_already_is_not_asked_again() -> None:
    lines = [LineFindings(find("100 g dairy-free butter"), "100 g dairy-free butter")]
    steps = [
        "Butter the tin.",
        "Rub in until it looks like breadcrumbs, the size of a walnut.",
        "Serve with crusty bread; stir in milk.",
    ]
    (told,) = of_method(steps, lines, DishAllergens(contains={"milk": ("milk: butter",)}))
    assert (set(told.findings.check), told.text) == ({"gluten", "soya"}, steps[2])


@pytest.mark.parametrize("part", ["1 ", "serves 4 as a ", "½", "Mix ", ": ", "|", "(", "for 1 - ", "dozen "])
def test_a_line_longer_than_any_heading_is_none(part: str) -> None:
    """How long it takes is asked by tests/benchmarks/bench_hostile.py."""
    text = (part * 500)[:2_000]
    assert not prose.is_times(text)
    assert not says_yield(text)
    assert split_yield(text) == (text, None)
    assert prose.section(text) is None
    assert of_method([text], [], DishAllergens()) == ()


@pytest.mark.parametrize("heading", ["To serve", "To garnish", "To finish", "TO SERVE", "For serving"])
def test_what_goes_beside_a_dish_stands_under_a_heading_without_a_colon(tmp_path: Path, heading: str) -> None:
    path = tmp_path / "chips.txt"
    path.write_text(f"Quay chips\nServes 2\n500 g potatoes\n{heading}\nlemon wedges\n100 g mayonnaise\n")
    entries = [[entry.text for entry in stage.entries] for stage in read_recipe(path).stages]
    assert ["lemon wedges", "100 g mayonnaise"] in entries
    assert not any(heading in entry.split(" of ") for stage in entries for entry in stage[:1])
