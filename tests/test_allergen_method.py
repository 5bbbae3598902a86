"""What the steps of a method raise: an ingredient no line names, but not the dish, its parts, or what is left out.

Ground: common practice, no source: how cooks write; what is in the foods: Regulation (EU) No 1169/2011, Annex II.
"""

from __future__ import annotations

import pytest

from nutrilab.allergens import find
from nutrilab.allergens.dish import LineFindings, merge
from nutrilab.allergens.method import of_method

LINES = ("500 g potatoes", "1 onion")


def raised(step: str, stage: str = "", names: tuple[str, ...] = ()) -> set[str]:
    told = [LineFindings(find(line), line, stage) for line in LINES]
    found = of_method([step], told, merge(told), names)
    return {allergen for line in found for allergen in line.findings.check}


@pytest.mark.parametrize(
    "step",
    [  # the dish and its parts, what is done to them, what is left out: common practice
        "Drop the dumplings on top and cover.",
        "Sandwich together with the jam.",
        "Sandwich the two halves.",
        "Add everything but the nuts and simmer.",
        "Mix all the ingredients except the almonds.",
        "Combine everything except for the prawns and egg yolks.",
        "Put everything apart from the parmesan into a pan.",
        "Shape into patties.",
        "Roll the mixture into sausages shapes; turn the fishcakes".split(";")[0],
        "Pour the batter into the tin.",
        "Whisk to a smooth batter.",
        "Turn the hot cakes out.",
        "Make the pancakes.",
        "Leave the pie to rest.",
        "This walnut cake is my mother's recipe.",
    ],
)
def test_the_dish_and_its_parts_raise_nothing(step: str) -> None:
    assert raised(step) == set()


@pytest.mark.parametrize(
    ("step", "allergen"),
    [  # an ingredient that no line names may be a line that is missing: Annex II for what it holds
        ("Scatter with hazelnuts.", "nuts"),
        ("Sprinkle over the hazelnuts.", "nuts"),
        ("Fold in everything but the walnuts, then add peanuts.", "peanuts"),
        ("Add everything but the nuts and stir in prawns.", "crustaceans"),
        ("Serve with crusty bread.", "gluten"),
        ("Toast the bread and rub with garlic.", "gluten"),
        ("Stir in the cream.", "milk"),
        ("Cream the margarine and sugar together.", "milk"),
        ("Serve with dumplings.", "gluten"),
        ("Pour in the stock.", "celery"),
        ("Beat in the eggs.", "eggs"),
    ],
)
def test_an_ingredient_that_no_line_names_is_asked_for(step: str, allergen: str) -> None:
    assert allergen in raised(step)


def test_a_stage_or_a_dish_by_its_name_raises_nothing_but_its_words_alone_do() -> None:
    """Ground: common practice, no source."""
    assert raised("Turn the walnut cake out.", stage="Walnut cake") == set()
    assert raised("Spoon the peanut sauce over.", names=("Peanut sauce",)) == set()
    assert raised("Scatter walnuts on the walnut cake.", stage="Walnut cake") == {"nuts"}
