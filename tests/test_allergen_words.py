"""The words of ingredient lines, class by class: what a name holds, what it asks, what it must not be taken for.

Each case: the line, what it contains, what is to be checked too ("-" for nothing more), and the ground. Annex II:
Regulation (EU) No 1169/2011; what is in a food of that name, and how cooks write: common practice, no source.
"""

from __future__ import annotations

import pytest

from nutrilab.allergens import find
from nutrilab.allergens.asides import asides
from nutrilab.allergens.heard import tokenise
from nutrilab.allergens.words import say
from nutrilab.datafiles import rows

MALT = "barley malt: Annex II, 1"
PRACTICE = "common practice, no source"


def said(line: str) -> tuple[set[str], set[str]]:
    found = find(line)
    return set(found.contains), set(found.check)


def keys(words: str) -> set[str]:
    return set(words.replace("-", "").split())


@pytest.mark.parametrize(
    ("line", "contains", "check"),
    [
        # a drink by what it comes in is beer or wine: Annex II, 1 (barley malt) and 12; the words: common practice
        ("1 can of beer", "gluten", "-"),
        ("1 tin bitter", "gluten", "-"),
        ("330ml bottle of best bitter", "gluten", "-"),
        ("a pint of mild, for the batter", "gluten", "-"),
        ("1 pint mild", "gluten", "-"),
        ("half a pint of best", "gluten", "-"),
        ("2 x 500ml bottles dark mild", "gluten", "-"),
        ("1 keg heavy", "gluten", "-"),
        ("500 ml mild", "gluten", "-"),
        ("1 bottle (500 ml) bitter", "gluten", "-"),
        ("1 large glass of red", "sulphites", "-"),
        ("175 ml glass white", "sulphites", "-"),
        # and the same words without it are a taste, a colour, a strength: common practice
        ("1 tin mild chilli beans", "-", "-"),
        ("150 ml bitter lemon", "-", "-"),
        ("100 g mild, grated", "-", "-"),
        ("2 dashes bitters", "-", "-"),
        ("1 small brown, peeled", "-", "-"),
        ("1 glass red grape juice", "-", "sulphites"),
        # Easter eggs: boiled they are eggs (Annex II, 3), of chocolate they are not (common practice)
        ("6 hard-boiled Easter eggs", "eggs", "-"),
        ("4 Easter eggs, hard boiled and dyed", "eggs", "-"),
        ("8 dyed Easter eggs, peeled", "eggs", "-"),
        ("12 chocolate Easter eggs", "-", "soya milk"),
        ("1 milk chocolate Easter egg, broken up", "milk", "soya"),
        ("100 g mini Easter eggs", "-", "soya milk"),
        # flour in Spanish: of wheat unless it says of what (Annex II, 1)
        ("250 g harina", "gluten", "-"),
        ("harina de trigo", "gluten", "-"),
        ("2 cups harina de maiz", "-", "-"),
        ("harina P.A.N.", "-", "-"),
        ("100 g harina de avena", "gluten", "-"),
        # seasonings with celery seed and mustard: common practice
        ("1 tbsp Creole seasoning", "-", "celery mustard"),
        ("2 tsp seafood seasoning", "-", "celery mustard"),
        ("1 tsp shrimp boil seasoning", "-", "celery mustard"),
        ("2 tsp blackened seasoning", "-", "celery mustard"),
        ("1 tbsp fish seasoning", "-", "celery mustard"),
        ("1 bouquet garni", "-", "celery"),
        ("1 tsp herb salt", "-", "celery"),
        # malted drinks: barley malt, Annex II, 1; milk in most of them: common practice
        ("3 tbsp malted drink powder", "gluten", "milk"),
        ("2 tbsp malted milk powder", "gluten milk", "-"),
        ("1 tbsp malted powder", "gluten", "milk"),
        # half cream, half milk: Annex II, 7
        ("120 ml half & half", "milk", "-"),
        ("1 cup half-and-half", "milk", "-"),
        ("1 cup half 'n' half", "milk", "-"),
        ("100 g mac & cheese", "gluten milk", "mustard"),
        # dried fruit, preserved cabbage and vegetables: often sulphured (Annex II, 12), common practice
        ("400 g sauerkraut, drained", "-", "sulphites"),
        ("12 Medjool dates, stoned", "-", "sulphites"),
        ("350g/12oz dates", "-", "sulphites"),
        ("100 g dried mulberries", "-", "sulphites"),
        ("50 g goji berries", "-", "sulphites"),
        ("200 g no-soak apricots", "-", "sulphites"),
        ("100 g dried persimmon", "-", "sulphites"),
        ("2 tbsp date syrup", "-", "-"),
        ("50 g freeze-dried strawberries", "-", "-"),
        # frankfurters and their like: cereal, milk, celery and mustard on the pack, common practice
        ("8 frankfurters", "-", "gluten milk celery mustard"),
        ("4 bockwurst", "-", "gluten milk celery mustard"),
        ("6 hot dogs", "-", "gluten milk celery mustard"),
        ("200 g bologna, sliced", "-", "gluten milk celery mustard"),
        # dressed crab: mixed with egg and crumbs by many, common practice
        ("1 dressed crab", "crustaceans", "gluten eggs"),
        ("1 crab, dressed", "crustaceans", "gluten eggs"),
        ("small tin dressed lobster", "crustaceans", "gluten eggs"),
        ("2 dressed Cornish crabs", "crustaceans", "gluten eggs"),
        ("200 g white crab meat", "crustaceans", "-"),
        # bread with an adjective asks what bread asks: soya flour, common practice
        ("1 loaf bread", "gluten", "soya"),
        ("1 crusty bread", "gluten", "soya"),
        ("4 slices stale country bread", "gluten", "soya"),
        ("2 slices Italian bread", "gluten", "soya"),
        ("8 slices thick white bread", "gluten", "soya"),
        # links and bangers ask what sausages ask: rusk and sulphites, common practice
        ("8 bangers", "-", "gluten sulphites"),
        ("1 Cumberland ring", "-", "gluten sulphites"),
        ("4 snags", "-", "gluten sulphites"),
        ("6 Toulouse", "-", "gluten sulphites"),
    ],
)
def test_what_a_name_holds_and_what_it_asks(line: str, contains: str, check: str) -> None:
    assert said(line) == (keys(contains), keys(check))


@pytest.mark.parametrize(
    ("line", "contains", "check"),
    [
        # the longer name is another thing than the shorter inside it: common practice; what is in it: Annex II
        ("2 tbsp Caesar salad dressing", "eggs fish milk", "mustard"),  # no croutons in it
        ("100 g cinder toffee", "-", "-"),  # sugar and syrup
        ("100 g sponge toffee", "-", "-"),
        ("30 ml toffee vodka", "-", "-"),
        ("4 pieces gefilte fish", "eggs fish", "-"),
        ("2 tbsp corn oil", "-", "-"),
        ("200 g pizza cheese", "milk", "-"),
        ("1 tsp pizza herbs", "-", "-"),
        ("4 slices burger cheese", "milk", "-"),
        ("1 tsp granulated garlic", "-", "-"),
        ("1 jar spaghetti sauce", "-", "milk celery"),
        ("4 slices sandwich ham", "-", "-"),
        ("2 x 20cm sandwich tins", "-", "-"),
        ("4 veal scallops", "-", "-"),
        ("300 g creamer potatoes", "-", "-"),
        ("1 porterhouse steak", "-", "-"),
        ("2 fillets smoked river cobbler", "fish", "-"),
        ("10 sesame leaves", "-", "-"),  # of perilla
        ("1 tsp fish masala", "-", "fish gluten celery mustard"),
        ("500 g dosa batter", "-", "-"),
        ("4 scallion pancakes", "gluten", "-"),
        ("1 egg cream", "milk", "-"),
        ("1 wine glass of water", "-", "-"),
        ("1 champagne mango", "-", "-"),
        ("6 Swedish fish", "-", "-"),
        # and where it is the same thing, the shorter stays: Annex II
        ("100 g bonfire toffee", "milk", "-"),
        ("100 g butter toffee", "milk", "-"),
        ("1 pizza base", "gluten", "-"),
        ("2 tbsp smoked cod roe", "fish", "-"),
        ("1 crab in its shell", "crustaceans", "-"),
    ],
)
def test_the_longer_name_wins_where_it_is_another_thing(line: str, contains: str, check: str) -> None:
    assert said(line) == (keys(contains), keys(check))


@pytest.mark.parametrize(
    ("line", "contains"),
    [
        # what a line is for is not in it: how cooks write, common practice; what it names: Annex II
        ("butter for the pastry", "milk"),
        ("250 ml beer (for the batter)", "gluten"),
        ("1 tsp salt, plus more for the pasta water", "-"),
        ("oil for the fish pan", "-"),
        ("1 egg, beaten, to glaze the pastry", "eggs"),
        ("2 tbsp milk, to brush pastry", "milk"),
        ("2 tbsp oil for frying the fish and the prawns", "-"),
        ("2 tbsp oil for frying fish and chips", "-"),
        ("flour, for dusting the prawns", "gluten"),
        ("lemon wedges for the fish", "-"),
        ("Parmesan for the pasta", "milk"),
        ("a spice mix for fish", "-"),
        ("jam for sandwiching the cakes together", "-"),
        ("1 tbsp vinegar for poaching the eggs", "-"),
        ("lemon wedges, to serve with the fish", "-"),
        ("icing sugar, to sift over the pancakes", "-"),
        ("lime wedges for serving with the prawns", "-"),
        ("rice, to serve with prawn crackers", "crustaceans"),
        # but what is named by its purpose, or eaten beside it, is: common practice
        ("12 wrappers for spring rolls", "gluten"),
        ("mix for 12 pancakes", "gluten eggs milk"),
        ("for serving crusty bread", "gluten"),
        ("To serve: crusty bread", "gluten"),
        ("for garnish, chopped peanuts", "peanuts"),
        ("For the garnish chopped peanuts", "peanuts"),
        ("For the sauce 2 tbsp soy sauce", "gluten soya"),
        ("almond milk as a substitute for cream", "milk nuts"),
        ("1 block ready to roll shortcrust pastry", "gluten"),
        ("flour for the pastry and butter for the tin", "gluten milk"),
        ("oil for the pan or butter", "milk"),
        ("1 egg for binding with breadcrumbs", "gluten eggs"),
        # a heading or an introduction names nothing that is in it: common practice
        ("For the pastry", "-"),
        ("For the fish cakes:", "-"),
        ("Walnut cake:", "-"),
        ("## Peanut sauce", "-"),
        ("For the pastry: 200 g flour", "gluten"),
        ("This walnut cake is my mother's recipe.", "-"),
        ("My gran's fish pie is the best in the village.", "-"),
        ("A fish dish for the summer evenings", "-"),
        ("This is 1 cup of peanuts", "peanuts"),
        ("A dish of roasted salted peanuts to nibble", "peanuts"),
        ("My favourite brand of peanut butter, crunchy", "peanuts"),
    ],
)
def test_what_a_line_is_for_is_not_in_it(line: str, contains: str) -> None:
    assert said(line)[0] == keys(contains)


@pytest.mark.parametrize(
    ("line", "contains"),
    [
        # a named base ends the guessing what else it may be: common practice; oats, soya, nuts: Annex II, 1, 6, 8
        ("200 ml oat creme fraiche", "gluten"),
        ("200 ml vegan oat creme fraiche", "gluten"),
        ("dairy-free oat milk", "gluten"),
        ("200 g dairy-free coconut yoghurt", "-"),
        ("plant-based soya single cream", "soya"),
        ("150 g vegan cashew cheese", "nuts"),
        ("1 oat milk latte", "gluten"),
        ("100 % buckwheat noodles", "-"),
        ("200 g 100% buckwheat soba", "-"),
        ("250 g pure buckwheat noodles", "-"),
    ],
)
def test_a_named_base_ends_the_guessing(line: str, contains: str) -> None:
    assert said(line) == (keys(contains), set())


@pytest.mark.parametrize(
    ("line", "allergen"),
    [
        # without a base, or with less than all of it, the question stands: common practice
        ("200 ml vegan creme fraiche", "soya"),
        ("200 ml vegan creme fraiche", "gluten"),
        ("dairy-free yoghurt", "nuts"),
        ("250 g buckwheat noodles", "gluten"),
        ("250 g soba", "gluten"),
        ("100% beef burgers", "gluten"),
        ("200 ml plant cream", "soya"),
    ],
)
def test_without_a_named_base_it_is_asked(line: str, allergen: str) -> None:
    assert allergen in said(line)[1]


def test_a_longer_row_of_checks_asks_all_that_the_shorter_asks_or_denies_it() -> None:
    """Ground: Article 9(1)(c) of Regulation (EU) No 1169/2011: a longer name loses nothing in silence.

    Taken from the rows of this class that are commonest; the grounds of what they ask stand in the rows.
    """
    for short, long in (
        ("sausage", "smoked pork sausage"), ("burger", "chicken burger"), ("hot dog", "hot dog sausage"),
        ("cookie", "spritz cookie"), ("korma", "korma powder"), ("chocolate", "chocolate sprinkle"),
    ):  # fmt: skip
        said_short, said_long = say(short), say(long)
        assert set(said_short.check) <= {*said_long.check, *said_long.contains, *said_long.denied}, long


def test_two_words_written_as_one_are_taken_apart_only_where_both_are_words_of_food() -> None:
    """Ground: common practice, no source: how cooks write."""
    assert "milk" in find("1 tbsp milkpowder").contains
    assert "eggs" in {**find("1 eggyolk").contains, **find("1 eggyolk").check}
    assert find("1 herringbone pan, milling, a handful of rubble") == find("1 pan")


def test_an_aside_takes_as_long_as_its_line() -> None:
    """Ground: none but that a line of 40 kB ends well: common practice, no source."""
    for part in ("for the fish cake ", "for fish ", "to glaze the fish ", "pint of bitter ", "vegan oat cream "):
        tokens = tokenise(part * 2000)
        assert len(asides(tokens, ())) <= len(tokens)


def test_every_role_that_the_code_asks_for_stands_in_the_data() -> None:
    """Ground: none but order in the data: common practice, no source."""
    asked = {
        "asides": "making seasons part serving treating treat ends instead article ready place opening being dish "
        "amount",
        "bases": "plant pure saying between",
        "method_words": "without verb made definite making",
    }
    for name, roles in asked.items():
        table = rows(f"allergens/{name}.csv")
        assert {row["role"] for row in table} == set(roles.split())
        assert all(row["words"] and row["ground"].strip() for row in table)
