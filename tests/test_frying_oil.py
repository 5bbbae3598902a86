"""Oil that is poured to fry in is taken up, never eaten whole, whatever says that it is for frying; other oil is."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from nutrilab.foods import embedded
from nutrilab.kitchen import Kitchen
from nutrilab.recipe import read_recipe
from nutrilab.results import DishResult


@cache
def kitchen() -> Kitchen:
    return Kitchen([embedded()], alternatives=False)


def cooked(folder: Path, text: str) -> DishResult:
    path = folder / "dish.txt"
    path.write_text(text, encoding="utf-8")
    return kitchen().dish(read_recipe(path))


def fat(result: DishResult) -> float:
    """Fat of the whole dish [g]."""
    return result.portions * (result.whole.per_portion["fat"] or 0.0)


OILS = [
    "1 litre oil, for deep frying", "1 litre vegetable oil for deep-frying", "vegetable oil, for deep frying",
    "1 litre sunflower oil, to fry", "500 ml sunflower oil", "1.5 litres groundnut oil",
    "750 ml vegetable oil, for frying",
    "oil for deep-frying", "about 1 litre oil, for frying", "2 litres vegetable oil (for the deep fryer)",
    "1 bottle sunflower oil", "500 g beef dripping, for frying", "500 g lard", "oil, to deep fry",
    "enough oil for deep frying", "1 l oil",
]  # fmt: skip
STEPS = [
    "Fry the fish for 6 minutes.",
    "Deep-fry the fish until golden and drain on kitchen paper.",
    "Heat the oil to 180C and fry the fish in batches.",
    "Shallow fry the fish for 3 minutes a side.",
    "Fill a pan a third full with oil. Cook the fish until golden.",
    "Heat the oil in a wok. Lower in the fish a few at a time and cook until crisp.",
    "Heat the oil in a deep pan until a cube of bread browns in 30 seconds. Add the fish and fry for 5 minutes.",
    "Pour oil into a pan to a depth of 5 cm and heat. Fry the fish.",
    "Cook the fish in the hot oil until it floats.",
    "Serve the fish.",
    "",
]


@pytest.mark.parametrize("step", STEPS)
def test_a_bath_of_oil_is_never_eaten_whole(tmp_path: Path, step: str) -> None:
    """800 g of haddock take up 3 to 12 % of their weight, by the purpose, the volume or the step."""
    for oil in OILS:
        method = f"Method\n{step}\n" if step else ""
        result = cooked(tmp_path, f"Capstan haddock\nServes 4\n800 g haddock fillets\n{oil}\n{method}")
        assert 0.02 * 800 < fat(result) < 0.15 * 800, (oil, fat(result))
        assert "frying-oil-estimated" in {remark.code for remark in result.remarks}, oil


EATEN = [
    ("2 tbsp oil", "Fry the fish in the oil for 6 minutes.", 27),
    ("3 tbsp olive oil", "Heat the oil in a frying pan and cook the fish.", 41),
    ("60 ml olive oil", "Fry the fish in the oil.", 55),
]


@pytest.mark.parametrize(("oil", "step", "grams"), EATEN)
def test_spoons_of_oil_in_a_pan_are_eaten(tmp_path: Path, oil: str, step: str, grams: float) -> None:
    result = cooked(tmp_path, f"Capstan haddock\nServes 4\n800 g haddock fillets\n{oil}\nMethod\n{step}\n")
    assert fat(result) == pytest.approx(grams + 0.0045 * 800, abs=3)  # SR28 15033 haddock: 0.45 g of fat


WHOLE = {
    "mayonnaise": ("3 egg yolks\n500 ml sunflower oil\n1 tbsp vinegar", "Whisk the oil into the yolks slowly.", 460),
    "cake": (
        "225 ml sunflower oil\n225 g sugar\n3 eggs\n225 g plain flour\n250 g carrots",
        "Whisk the oil, sugar and eggs, fold in the flour and carrots. Bake for 40 minutes.", 206,
    ),
    "focaccia": (
        "500 g strong white flour\n325 ml water\n150 ml olive oil\n7 g yeast",
        "Mix everything to a dough and leave to rise. Bake for 25 minutes.", 137,
    ),
    "chilli oil": ("500 ml sunflower oil\n20 g dried chillies", "Heat the oil with the chillies for 10 minutes.", 455),
    "dressed fish": (
        "300 g tuna steak\n150 ml olive oil\n2 tbsp lemon juice",
        "Grill the tuna. Whisk the oil and the lemon juice and pour over.", 137,
    ),
    "marinade": (
        "1 kg chicken thighs\n250 ml olive oil\n2 tbsp paprika",
        "Marinate the chicken in the oil and paprika. Bake everything for 40 minutes.", 228,
    ),
    "stewed vegetables": (
        "2 aubergines\n3 courgettes\n500 g tomatoes\n150 ml olive oil",
        "Fry the aubergines and courgettes in the oil. Add the tomatoes and simmer for 30 minutes.", 137,
    ),
}  # fmt: skip


@pytest.mark.parametrize("dish", WHOLE)
def test_oil_that_a_dish_is_made_with_is_eaten(tmp_path: Path, dish: str) -> None:
    lines, step, least = WHOLE[dish]
    assert fat(cooked(tmp_path, f"Mooring {dish}\nServes 6\n{lines}\nMethod\n{step}\n")) >= least


BATHS = {
    "confit of duck": (
        "1.2 kg duck legs\n500 g duck fat", "Put the duck in a dish, melt the fat and pour over. Bake for 3 hours."
    ),
    "fish in oil": ("600 g tuna steaks\n500 ml olive oil", "Poach the tuna in the oil for 20 minutes and lift out."),
    "chips twice": (
        "1 kg floury potatoes\n1 litre oil",
        "Blanch the chips in the oil at 140C for 5 minutes, then again at 190C for 2 minutes.",
    ),
    "cutlets": (
        "480 g pork escalopes\n50 g plain flour\n2 eggs\n150 g breadcrumbs\n200 ml sunflower oil",
        "Dip the pork in the flour, the egg and the crumbs. Heat the oil in a frying pan and fry for 3 minutes a side.",
    ),
    "eggs in sausage meat": (
        "4 eggs\n400 g sausage meat\n50 g plain flour\n100 g breadcrumbs\n1.5 litres oil",
        "Boil the eggs for 6 minutes. Wrap in the sausage meat, roll in flour and crumbs. Fill a pan a third full with "
        "oil, heat to 170C, and lower in the eggs for 8 minutes.",
    ),
    "fondue": ("800 g rump steak\n700 ml vegetable oil", "Heat the oil in a fondue pot. Cook the steak in it."),
    "doughnuts": (
        "500 g strong white flour\n60 g butter\n250 ml milk\n2 eggs\n1.5 litres oil",
        "Mix the flour, butter, milk and eggs to a dough. Shape into balls. Heat the oil to 170C and cook the "
        "doughnuts in batches for 6 minutes.",
    ),
    "onion fritters": (
        "3 onions\n150 g gram flour\n100 ml water\n600 ml sunflower oil",
        "Mix the flour and water to a batter and stir in the onions. Heat the oil to 180C and fry spoonfuls for 4 "
        "minutes.",
    ),
}  # fmt: skip


@pytest.mark.parametrize("dish", BATHS)
def test_food_that_lies_in_fat_does_not_eat_it(tmp_path: Path, dish: str) -> None:
    lines, step = BATHS[dish]
    result = cooked(tmp_path, f"Mooring {dish}\nServes 4\n{lines}\nMethod\n{step}\n")
    assert fat(result) < 0.38 * result.cooked_mass
    assert "frying-oil-estimated" in {remark.code for remark in result.remarks}
