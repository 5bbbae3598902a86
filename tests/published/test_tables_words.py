"""What the words of a line mean holds whichever published table comes first: what is passed over, said or not said.

The UK and the French table (CoFID 2015/2021, CIQUAL 2020) read from ../shared/reference; every figure is theirs.
"""

from __future__ import annotations

from functools import cache

import pytest

from nutrilab.bench import Bench
from nutrilab.lexicon.names import entries
from nutrilab.lines.query import read
from nutrilab.linking import Link
from nutrilab.linking.linker import TableLinker
from nutrilab.linking.tolerance import far_off
from tests.published.three_tables import HERE, WHY_NOT, orders
from tests.test_stated_shares import LESS

pytestmark = pytest.mark.skipif(not HERE, reason=WHY_NOT)
FIRST = ("uk-cofid", "fr-ciqual")


@cache
def bench(first: str) -> Bench:
    return Bench(orders()[first], alternatives=False)


def linked(first: str, line: str) -> list[Link]:
    return [one.link for one in bench(first).line(line).foods]


@pytest.mark.parametrize("first", FIRST)
@pytest.mark.parametrize(
    "line", ["1 can fat-free evaporated milk", "170 g skimmed evaporated milk", "2 tins light evaporated milk"]
)
def test_evaporated_milk_without_fat_is_no_milk_to_drink(first: str, line: str) -> None:
    (link,) = linked(first, line)
    assert link.food is not None
    assert "evaporated" in link.food.name


@pytest.mark.parametrize("first", FIRST)
@pytest.mark.parametrize("line", ["2 blood oranges, zested", "zest of 1 clementine"])
def test_the_zest_of_a_fruit_is_not_its_flesh(first: str, line: str) -> None:
    (link,) = linked(first, line)
    assert link.food is not None
    assert {"peel", "zest"} & {*link.food.name.lower().replace(",", "").split()}


@pytest.mark.parametrize("first", FIRST)
def test_words_turned_round_are_no_sure_find(first: str) -> None:
    """Potato salad is no salad potato: 8.2 g fat and 1.3 g salt (SR28 11414) against none."""
    (link,) = linked(first, "200 g potato salad")
    assert not link.sureness.stands
    assert linked(first, "200 g salad potatoes")[0].sureness.stands


@pytest.mark.parametrize("first", FIRST)
@pytest.mark.parametrize("line", ["1 cocktail", "50 g apricot kernels", "4 tbsp ingredient", "topping", "1 ready meal"])
def test_a_name_that_says_more_than_the_line_is_doubtful(first: str, line: str) -> None:
    assert not any(link.sureness.stands for link in linked(first, line))


@pytest.mark.parametrize("first", FIRST)
@pytest.mark.parametrize("line", ["200 g ackee", "4 medlars", "2 pakoras", "100 g capelin"])
def test_a_name_that_says_what_the_line_says_stands(first: str, line: str) -> None:
    (link,) = linked(first, line)
    assert link.sureness.stands


@pytest.mark.parametrize("first", FIRST)
def test_fresh_food_is_no_dried_one(first: str) -> None:
    """Ceps hold 34 kcal fresh (CIQUAL 20160), mushrooms 159 dried (CoFID 17-416)."""
    (link,) = linked(first, "500 g fresh porcini")
    assert link.food is not None
    assert link.food.food_id == "fr:20160"
    for line in ("200 g fresh kelp", "300 g fresh conchiglie", "50 g fresh apple rings"):
        dried = [one.food for one in linked(first, line) if one.food and "dried" in one.food.name.lower()]
        assert not dried or not any(one.sureness.stands for one in linked(first, line)), line


@pytest.mark.parametrize("first", ["usda-sr", *FIRST])
def test_tender_stems_of_a_herb_are_no_broccoli(first: str) -> None:
    found = linked(first, "1/2 cup coriander leaves and tender stems")
    assert not any(link.food and "roccoli" in link.food.name for link in found)
    assert any(link.food and "roccoli" in link.food.name for link in linked(first, "200 g tender stem broccoli"))


@pytest.mark.parametrize("first", ["usda-sr", *FIRST])
@pytest.mark.parametrize(
    "line", ["2 banana leaves", "1 cup Epsom salt", "lolly sticks", "hickory wood chips", "2 drops lavender oil"]
)
def test_what_nobody_eats_is_no_food_of_any_table(first: str, line: str) -> None:
    assert [link.food for link in linked(first, line)] == [None]


@pytest.mark.parametrize("first", ["usda-sr", *FIRST])
@pytest.mark.parametrize(
    ("line", "word"), [("5 g chillipowder", "chil"), ("1 tsp garlicpowder", "garlic"), ("50 g cocoapowder", "cocoa")]
)
def test_a_spice_and_its_powder_written_as_one_word_is_read(first: str, line: str, word: str) -> None:
    (link,) = linked(first, line)
    assert link.food is not None
    assert word in link.food.name.lower()


def test_a_fresh_tongue_is_no_pickled_one() -> None:
    """CoFID has ox tongue pickled only: 3.0 g salt in 100 g (18-424); raw it holds 0.17 g (SR28 13339)."""
    (fresh,), (pickled,) = linked("uk-cofid", "1 ox tongue"), linked("uk-cofid", "1 pickled ox tongue")
    assert (fresh.food and fresh.food.food_id, pickled.food and pickled.food.food_id) == ("sr:13339", "uk:18-424")


@pytest.mark.parametrize("first", FIRST)
def test_a_bean_of_vanilla_is_no_pulse(first: str) -> None:
    (link,) = linked(first, "1 vanilla bean")
    assert link.food is None or "haricot" not in link.food.name.lower()


@pytest.mark.parametrize("first", FIRST)
def test_a_cordial_is_no_thin_squash(first: str) -> None:
    """Cordials hold 25 to 60 g sugar undiluted (CIQUAL 18017: 63 %), the squash of CoFID 17-738 8.8 g."""
    (link,) = linked(first, "60 ml elderflower cordial")
    assert link.food is not None
    assert link.food.values["ENERC_KCAL"] > 100


JARS = ["1 roasted red pepper from a jar", "290 g chargrilled artichokes (from a jar), preserved in oil"]


@pytest.mark.parametrize("first", FIRST)
@pytest.mark.parametrize("line", JARS)
def test_what_comes_from_a_jar_is_not_what_was_boiled_without_salt(first: str, line: str) -> None:
    (link,) = linked(first, line)
    assert link.food is not None
    assert link.food.values["NA"] > 200


NOT_SAID = "not said"  # how the embedded table's list says that a name may be of several kinds
OWN_KIND = {
    "tofu",
    "bean curd",
    "beancurd",
    "mushroom",
    "dried mushroom",
    "comb honey",
}  # what the British table has stands


@pytest.mark.parametrize("first", FIRST)
def test_no_table_is_sure_of_a_kind_that_is_not_said(first: str) -> None:
    """Where the embedded list says that the kind is not said, and the table's own food is far off that one's."""
    own, other = (next(linker for linker in bench(first).linker.linkers if name in linker.table.path.name)
                  for name in (first, "usda-sr"))  # fmt: skip
    assert isinstance(own, TableLinker)
    bold = {}
    for words, state, food, sure, ground, _ in entries("usda-sr") or ():
        if (food, sure) == ("none", "none") or sure != "doubtful" or NOT_SAID not in ground or words in OWN_KIND:
            continue
        query = read(" ".join([*(one for one in state.split() if not one.startswith("!")), words]), None, "")
        found, meant = own.find(query), other.find(query)
        if found.food_id and meant.food_id and found.sureness.stands and not meant.sureness.stands:
            apart = far_off(own.food(found.food_id).values, other.food(meant.food_id).values)
            if apart:
                bold[words, state] = found.food_id, apart
    assert bold == {}


@pytest.mark.parametrize("first", ["usda-sr", *FIRST])
@pytest.mark.parametrize(("line", "stands"), LESS)
def test_no_table_is_sure_of_its_ordinary_food_where_the_line_says_less(first: str, line: str, stands: bool) -> None:
    (link,) = linked(first, line)
    assert (link.food is not None, link.sureness.stands) == (True, stands)


@pytest.mark.parametrize("first", ["usda-sr", *FIRST])
@pytest.mark.parametrize(
    "line",
    ["2 tomato leaves", "4 strawberry leaves", "3 avocado leaves", "6 cherry leaves, washed", "100 g tomato leaf"],
)
def test_leaves_of_what_is_eaten_as_fruit_are_not_the_fruit(first: str, line: str) -> None:
    """Rhubarb and tomato leaves are poisonous, others scent a jar: no table lists them (SR28, CoFID, CIQUAL)."""
    (link,) = linked(first, line)
    assert link.food is None


@pytest.mark.parametrize("first", ["usda-sr", *FIRST])
@pytest.mark.parametrize(
    ("line", "word"),
    [
        ("12 basil leaves, finely sliced", "basil"),
        ("10 g picked tarragon leaves", "tarragon"),
        ("4 lettuce leaves", "lettuce"),
        ("6 strawberries with leaves", "strawberr"),
        ("2 clementines, leaves on", ""),
        ("20 g pumpkin leaves", "pumpkin leaves"),  # SR28 11418 lists them
    ],
)
def test_leaves_that_are_eaten_are_found(first: str, line: str, word: str) -> None:
    (link,) = linked(first, line)
    assert link.food is not None
    assert (word in link.food.name.lower(), link.sureness.stands) == (True, True)


@pytest.mark.parametrize("first", ["usda-sr", *FIRST])
@pytest.mark.parametrize("line", ["200 g brined ox tongue", "1 salted ox tongue", "200 g pickled beef tongue"])
def test_a_brined_tongue_is_salted(first: str, line: str) -> None:
    """CoFID 18-424, pickled and raw, has 1210 mg sodium; fresh tongue 69 mg (SR28 13339)."""
    (link,) = linked(first, line)
    assert link.food is not None
    assert link.food.values["NA"] > 1000


@pytest.mark.parametrize("first", ["usda-sr", *FIRST])
def test_almond_paste_is_no_marzipan(first: str) -> None:
    """27.7 g fat in SR28 12071, 12.7 g in CoFID's marzipan 14-875, 13.5 g in CIQUAL 15201."""
    (link,) = linked(first, "1/2 c. almond paste")
    assert link.food is not None
    assert link.food.food_id == "sr:12071"


@pytest.mark.parametrize("first", ["usda-sr", *FIRST])
@pytest.mark.parametrize(
    "line",
    ["100 g wild rice mix", "1 pack long grain and wild rice mix", "dressed green salad", "100 g dressed leaves"],
)
def test_what_the_words_leave_open_is_open_in_every_table(first: str, line: str) -> None:
    """How much of a mix is wild rice, and what a dressing holds, is not said."""
    assert not any(link.sureness.stands for link in linked(first, line))
