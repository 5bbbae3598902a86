"""The cooks' words of the French table by themselves: form, reach, and one voice. Their foods: published/ test."""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from functools import cache

import pytest

from nutrilab.lexicon import entries
from nutrilab.lexicon.sureness import ORDER
from nutrilab.linking.wordlists import NONE, word_list
from nutrilab.text import words

# What a British cook's shelf holds: one word a kind, as recipes write it.
COMMON = """
plain flour, self-raising flour, strong white bread flour, wholemeal flour, rye flour, spelt flour, cornflour, gram flour,
semolina, polenta, porridge oats, pearl barley, couscous, bulgur wheat, quinoa, basmati rice, long grain rice, brown rice,
arborio rice, wild rice, spaghetti, lasagne sheets, wholewheat pasta, egg noodles, rice noodles, white bread, breadcrumbs,
baguette, pitta bread, tortilla wraps, puff pastry, filo pastry, caster sugar, icing sugar, granulated sugar, demerara sugar,
dark brown sugar, honey, maple syrup, black treacle, golden syrup, strawberry jam, marmalade, redcurrant jelly,
dark chocolate, milk chocolate, white chocolate, cocoa powder, whole milk, semi-skimmed milk, skimmed milk, single cream,
double cream, whipping cream, creme fraiche, soured cream, natural yoghurt, greek yoghurt, condensed milk, butter,
unsalted butter, margarine, ghee, lard, olive oil, sunflower oil, rapeseed oil, vegetable oil, sesame oil, coconut oil,
goose fat, cheddar, parmesan, mozzarella, feta, ricotta, mascarpone, cream cheese, stilton, brie, gruyere, goat's cheese,
eggs, egg yolks, egg whites, beef mince, stewing beef, braising steak, fillet steak, sirloin steak, ribeye steak, oxtail,
lamb shoulder, leg of lamb, lamb chops, lamb mince, lamb's liver, pork belly, pork shoulder, pork chops, pork fillet,
pork mince, pork sausages, streaky bacon, back bacon, ham, pancetta, chorizo, salami, whole chicken, chicken breasts,
chicken thighs, chicken legs, chicken wings, chicken livers, turkey breast, turkey mince, duck breasts, venison, rabbit,
pheasant, cod fillet, haddock, smoked haddock, salmon fillet, smoked salmon, trout, mackerel, tuna, tinned tuna, sardines,
anchovies, plaice, sea bass, monkfish, king prawns, mussels, scallops, squid, crab meat, oysters, onions, red onions, shallots,
spring onions, leeks, garlic, carrots, potatoes, new potatoes, sweet potatoes, parsnips, swede, turnips, celeriac, beetroot,
celery, fennel, asparagus, broccoli, cauliflower, cabbage, red cabbage, kale, brussels sprouts, pak choi, spinach, lettuce,
rocket, watercress, tomatoes, cherry tomatoes, tinned tomatoes, passata, tomato puree, cucumber, courgettes, aubergine,
red pepper, green pepper, red chilli, sweetcorn, frozen peas, mangetout, green beans, runner beans, butternut squash, pumpkin,
avocado, mushrooms, dried porcini, apples, cooking apples, pears, bananas, oranges, lemons, lemon juice, lemon zest, limes,
strawberries, raspberries, blackberries, blueberries, cherries, grapes, plums, peaches, apricots, dried apricots, mango,
pineapple, rhubarb, dates, prunes, sultanas, raisins, currants, dried cranberries, mixed peel, figs, coconut milk,
desiccated coconut, salt, sea salt, black pepper, white pepper, paprika, cayenne pepper, ground cumin, ground coriander,
turmeric, ground ginger, fresh ginger, cinnamon, nutmeg, cloves, cardamom pods, saffron, curry powder, garam masala,
fennel seeds, poppy seeds, vanilla extract, basil, parsley, coriander, mint, dill, thyme, rosemary, sage, oregano, bay leaves,
baking powder, bicarbonate of soda, dried yeast, fresh yeast, gelatine leaves, water, almonds, ground almonds, flaked almonds,
hazelnuts, walnuts, pecans, cashew nuts, pistachios, pine nuts, peanuts, peanut butter, sesame seeds, tahini, sunflower seeds,
pumpkin seeds, linseed, chia seeds, dried chickpeas, tinned chickpeas, red lentils, green lentils, puy lentils, split peas,
tinned kidney beans, dried kidney beans, haricot beans, cannellini beans, butter beans, broad beans, tofu, miso paste,
red wine, white wine, beer, cider, stout, rum, brandy, vodka, white wine vinegar, red wine vinegar, cider vinegar,
balsamic vinegar, dijon mustard, wholegrain mustard, mayonnaise, ketchup, soy sauce, fish sauce, pesto, hummus, capers,
gherkins, green olives, black olives, chicken stock cube, vegetable stock cube, coffee, tea
"""  # noqa: E501


@cache
def rows() -> list[dict[str, str]]:
    head = ("words", "when", "food", "sure", "ground", "place")
    return [dict(zip(head, row, strict=True)) for row in entries("fr-ciqual") or ()]


def test_form() -> None:
    """Every row can be read, names a food or says that there is none, and says why."""
    listed = word_list("fr-ciqual")
    assert listed is not None
    assert len(list(listed)) == len(rows())  # a row with an unknown state or sureness raises
    for row in rows():
        assert re.fullmatch(r"fr:\d{4,5}|none", row["food"]), row
        assert row["sure"] in ORDER, row
        assert (row["food"] == NONE) == (row["sure"] == NONE), row
        assert len(row["ground"]) > 2, row


def test_no_two_rows_for_the_same_words_and_states() -> None:
    """Words compared as the linking does, in the singular: a second row would only hide the first."""
    voices = defaultdict(set)
    for row in rows():
        voices[" ".join(words(row["words"])), row["when"]].add((row["food"], row["sure"]))
    assert {key: said for key, said in voices.items() if len(said) > 1} == {}


def test_reach() -> None:
    counted = Counter(row["sure"] for row in rows())
    assert len(rows()) >= 500
    assert len({row["food"] for row in rows()}) >= 800
    assert counted["sure"] > counted["likely"] > counted["doubtful"]


@pytest.mark.parametrize("name", [" ".join(part.split()) for part in COMMON.split(",")])
def test_the_common_shelf_has_a_row(name: str) -> None:
    """A row of just these words, or of the words less a state that a row of the rest asks for."""
    whole = frozenset(words(name))
    stated = {"tinned", "dried", "fresh", "ground", "frozen", "smoked"}
    for row in rows():
        have = frozenset(words(row["words"]))
        if have == whole or (have == whole - stated and whole - have <= set(row["when"].split())):
            return
    pytest.fail(f"no row for {name!r}")
