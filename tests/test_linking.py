"""Names to foods: word lists, states, spelling, index, percentages, decisions, other tables; when not to be sure."""

from __future__ import annotations

import itertools
from collections import defaultdict
from pathlib import Path

import pandas as pd
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from data_loaders.schema import Provenance, TableData, write
from nutrilab.foods import FoodTable, embedded
from nutrilab.lexicon.sureness import ORDER
from nutrilab.lines.query import guards, percents, read
from nutrilab.linking import Linker, search
from nutrilab.linking.index import index_of
from nutrilab.linking.lent import completed, lent_values
from nutrilab.linking.mixes import Mixer, mixes
from nutrilab.linking.tolerance import SALT_PER_MG, agree, fat_tolerance, salt_tolerance
from nutrilab.linking.wordlists import NONE, WordList, WordRow, filed, word_list
from nutrilab.remarks import InputError


@pytest.fixture(scope="module")
def linker() -> Linker:
    return Linker([embedded()])


def food_of(linker: Linker, name: str, preparation: str | None = None, context: str = "") -> str | None:
    food = linker.link(read(name, preparation, context)).food
    return food.food_id if food else None


# -- everyday words, our own supper --------------------------------------------------------------------

EVERYDAY = [
    # name, preparation, line, foods a careful cook would take
    ("courgettes", "thickly sliced", "3 courgettes, thickly sliced", {"sr:11477"}),
    ("aubergine", None, "1 aubergine", {"sr:11209"}),
    ("plain flour", None, "60 g plain flour", {"sr:20581"}),
    ("strong white bread flour", None, "500 g strong white bread flour", {"sr:20083"}),
    ("cornflour", None, "2 level tbsp cornflour", {"sr:20027"}),
    ("caster sugar", None, "120 g caster sugar", {"sr:19335"}),
    ("bicarbonate of soda", None, "half a tsp bicarbonate of soda", {"sr:18372"}),
    ("spring onions", "trimmed", "6 spring onions, trimmed", {"sr:11291"}),
    ("rocket", None, "2 handfuls of rocket", {"sr:11959"}),
    ("swede", "diced", "1 swede, diced", {"sr:11435"}),
    ("tomato purée", None, "2 tbsp tomato purée", {"sr:11546"}),
    ("unsalted butter", None, "80 g unsalted butter", {"sr:01145"}),
    ("free-range eggs", "beaten", "3 free-range eggs, beaten", {"sr:01123"}),
    ("egg yolks", None, "4 egg yolks", {"sr:01125"}),
    ("semi-skimmed milk", None, "700 ml semi-skimmed milk", {"sr:01174", "sr:01079"}),
    ("rapeseed oil", None, "2 tbsp rapeseed oil", {"sr:04582"}),
    ("cod fillet", "skinned", "600 g cod fillet, skinned", {"sr:15015"}),
    ("king prawns", "raw, peeled", "300 g raw king prawns, peeled", {"sr:15149", "sr:15270"}),
    ("skinless chicken breasts", None, "4 skinless chicken breasts", {"sr:05062"}),
    ("flat-leaf parsley", "chopped", "a bunch of flat-leaf parsley, chopped", {"sr:11297"}),
    ("ground coriander", None, "1 tsp ground coriander", {"sr:02013"}),
    ("coriander leaves", None, "a handful of coriander leaves", {"sr:11165"}),
    ("sultanas", None, "100 g sultanas", {"sr:09297"}),
    ("goats’ cheese", None, "150 g goats’ cheese", {"sr:01159"}),
    ("dry cider vinegar", None, "1 tbsp dry cider vinegar", {"sr:02048"}),
]


@pytest.mark.parametrize(("name", "preparation", "line", "foods"), EVERYDAY, ids=[e[0] for e in EVERYDAY])
def test_everyday_words_link_and_are_sure(
    linker: Linker, name: str, preparation: str | None, line: str, foods: set[str]
) -> None:
    link = linker.link(read(name, preparation, line))
    assert link.food is not None
    assert link.food.food_id in foods, link.why
    assert link.sureness == "sure", (link.food.name, link.why, link.remarks)


STATES = [
    # the same words, another state, another food
    ("chickpeas", None, "400 g tin chickpeas, drained", "sr:16359"),
    ("dried chickpeas", None, "200 g dried chickpeas", "sr:16056"),
    ("chickpeas", "soaked overnight", "200 g chickpeas, soaked overnight", "sr:16056"),
    ("tuna", "drained", "2 tins tuna in spring water, drained", "sr:15121"),
    ("tuna steaks", None, "4 tuna steaks", "sr:15127"),
    ("spaghetti", None, "350 g spaghetti", "sr:20420"),
    ("cooked spaghetti", None, "350 g cooked spaghetti", "sr:20421"),
    (
        "rice",
        "cooked according to packet instructions",
        "200 g rice, cooked according to packet instructions",
        "sr:20444",
    ),
    ("lemon", "juice only", "1 lemon, juice only", "sr:09152"),
    ("lemon", "zest only", "1 lemon, zest only", "sr:09156"),
    ("lemon", "sliced", "1 lemon, sliced", "sr:09150"),
    ("egg", "white only", "1 egg, white only", "sr:01124"),
    ("thyme", None, "3 sprigs of thyme", "sr:02049"),
    ("dried thyme", None, "1 tsp dried thyme", "sr:02042"),
    ("root ginger", None, "a thumb of root ginger", "sr:11216"),
    ("ground ginger", None, "1 tsp ground ginger", "sr:02021"),
]


@pytest.mark.parametrize(("name", "preparation", "line", "food_id"), STATES, ids=[s[2] for s in STATES])
def test_states_choose_the_food(linker: Linker, name: str, preparation: str | None, line: str, food_id: str) -> None:
    assert food_of(linker, name, preparation, line) == food_id


def test_a_pepper_counted_is_not_the_spice(linker: Linker) -> None:
    assert food_of(linker, "peppers", "cut into strips", "2 peppers, cut into strips") == "sr:11821"
    assert food_of(linker, "pepper", None, "1 large pepper") == "sr:11821"
    assert food_of(linker, "pepper", None, "1 tsp pepper") == "sr:02030"
    assert food_of(linker, "pepper", None, "salt and pepper") == "sr:02030"


def test_amounts_of_other_foods_in_the_line_say_nothing(linker: Linker) -> None:
    assert food_of(linker, "whole eggs", None, "2 whole eggs and 3 egg yolks") == "sr:01123"
    assert food_of(linker, "olive oil", None, "juice of ½ lemon and 2 tbsp olive oil") == "sr:04053"
    assert "cut" not in read("butter", None, "50 g butter, plus 2 apples, sliced").attributes


# -- not sure, and not at all ---------------------------------------------------------------------------


@pytest.mark.parametrize(
    "name",
    [
        "edible glitter", "cling film", "zwibbelo", "krunchoola", "magic dust", "unicorn tears", "wooden skewers",
        "baking parchment", "lime leaves", "elbow grease", "x", "", "!!!", "123", "½",
    ],
)  # fmt: skip
def test_nonsense_links_to_nothing(linker: Linker, name: str) -> None:
    link = linker.link(read(name, None, name))
    assert link.food is None
    assert link.sureness == "none"
    assert link.why


@pytest.mark.parametrize(
    ("name", "wrong"),
    [("orange liqueur", "sr:09200"), ("chicken bones", "sr:05006"), ("mint sauce", "sr:02065"),
     ("garlic bread", "sr:11215"), ("apple pie", "sr:09003"), ("almond essence", "sr:12061"),
     ("celery salt", "sr:11143"), ("butter beans", "sr:01001"), ("vegan cheddar", "sr:01009"),
     ("dairy-free butter", "sr:01001"), ("gluten-free flour", "sr:20581"),
     ("coconut milk", "sr:01211"), ("alcohol-free beer", "sr:14003")],
)  # fmt: skip
def test_the_last_word_says_what_a_thing_is(linker: Linker, name: str, wrong: str) -> None:
    assert food_of(linker, name) != wrong


@pytest.mark.parametrize(
    ("slip", "food_id"),
    [("broccolie", "sr:11090"), ("courgetta", "sr:11477"), ("zucchina", "sr:11477"), ("mayonnaide", "sr:04025"),
     ("vanila extract", "sr:02050"), ("sunflour oil", "sr:04506"), ("floury pototoes", "sr:11352")],
)  # fmt: skip
def test_slips_of_the_pen_link_but_are_never_sure(linker: Linker, slip: str, food_id: str) -> None:
    link = linker.link(read(slip, None, slip))
    assert link.food is not None
    assert link.food.food_id == food_id
    assert link.sureness == "likely"
    assert "read-as" in [remark.code for remark in link.remarks]


def test_words_run_together_or_apart_are_read(linker: Linker) -> None:
    assert food_of(linker, "butterbeans", None, "a tin of butterbeans") == food_of(
        linker, "butter beans", None, "a tin of butter beans"
    )
    assert food_of(linker, "sweet corn", None, "200 g frozen sweet corn") == food_of(
        linker, "sweetcorn", None, "200 g frozen sweetcorn"
    )


def test_a_word_nobody_understood_lowers_the_sureness(linker: Linker) -> None:
    plain, odd = linker.link(read("salmon fillet")), linker.link(read("zingleberry salmon fillet"))
    assert plain.sureness == "sure"
    assert odd.food is not None
    assert plain.food is not None
    assert odd.food.food_id == plain.food.food_id
    assert odd.sureness in ("likely", "doubtful")
    assert any(remark.code == "words-left-over" and "zingleberry" in remark.message for remark in odd.remarks)


def test_a_food_word_left_over_makes_it_doubtful(linker: Linker) -> None:
    link = linker.link(read("banana chicken"))
    assert link.sureness in ("doubtful", "none")


def test_an_unsaid_state_that_moves_the_figures_is_not_sure(linker: Linker) -> None:
    """Butter may be salted or not (1.6 g salt apart), milk whole or skimmed (3.2 g fat apart), mince of any fat."""
    for name in ("butter", "milk", "beef mince"):
        assert linker.link(read(name)).sureness == "likely", name
    assert linker.link(read("rice", "cooked", "rice, cooked")).sureness == "likely"


def test_near_candidates_of_the_index_that_differ_are_never_sure(linker: Linker) -> None:
    """Without word lists only the index decides; where its near candidates differ, it says doubtful."""
    bare = Linker([embedded()])
    bare.linkers[0].lists = WordList(filed(()))
    for name in ("salmon", "cheese", "haddock"):
        link = bare.link(read(name))
        assert link.sureness in ("doubtful", "none"), (name, link)
    assert bare.link(read("cheddar")).food is not None
    assert bare.link(read("cheddar")).sureness != "sure"


def test_food_and_sureness_none_go_together(linker: Linker) -> None:
    for name in ("salt", "elderflower cordial", "edible glitter", "quail's egg", "sumac", "galangal"):
        link = linker.link(read(name))
        assert (link.food is None) == (link.sureness == "none")


# -- percentages and mixes ------------------------------------------------------------------------------


def test_a_fat_percentage_between_two_rows_is_mixed_from_both(linker: Linker) -> None:
    link = linker.link(read("beef mince", "12% fat", "500 g beef mince, 12% fat"))
    assert link.food is not None
    assert link.food.food_id == "mix:beef-mince-12"
    assert [(part.food_id, round(share, 6)) for part, share in link.food.parts] == [
        ("sr:23562", 0.6),
        ("sr:23567", 0.4),
    ]
    assert link.food.values["FAT"] == pytest.approx(12, abs=0.3)
    assert link.sureness == "sure"
    assert "composed-food" in [remark.code for remark in link.remarks]


@pytest.mark.parametrize(
    ("name", "preparation", "food_id"),
    [("beef mince", "20% fat", "sr:23572"), ("95% lean ground beef", None, "sr:23557"),
     ("80/20 ground beef", None, "sr:23572"), ("dark chocolate", "70% cocoa solids", "sr:19904"),
     ("dark chocolate", "minimum 60 per cent cocoa solids", "sr:19903"),
     ("Greek yoghurt", "0% fat", "sr:01256"), ("2% milk", None, "sr:01174")],
)  # fmt: skip
def test_a_stated_percentage_takes_its_rung(linker: Linker, name: str, preparation: str | None, food_id: str) -> None:
    assert food_of(linker, name, preparation, f"{name} {preparation or ''}") == food_id


def test_a_percentage_beyond_the_ladder_is_said(linker: Linker) -> None:
    link = linker.link(read("beef mince", "45% fat", "beef mince, 45% fat"))
    assert link.sureness == "doubtful"
    assert "beyond-table" in [remark.code for remark in link.remarks]


def test_a_fat_that_a_food_without_rungs_has_not_is_said(linker: Linker) -> None:
    """SR28 05332, ground chicken: 8.1 g fat; the tolerance of a label below 10 g is 1.5 g."""
    lines = (("8% fat", "chicken mince 8%"), ("3% fat", "chicken mince 3%"))
    near, far = (linker.link(read("chicken mince", preparation, line)) for preparation, line in lines)
    assert near.sureness == "sure"
    assert far.sureness == "doubtful"
    assert "beyond-table" in [remark.code for remark in far.remarks]


@pytest.mark.parametrize(
    "line",
    [
        "coconut milk (75% coconut)",
        "peanut butter, 95% peanuts",
        "milk chocolate (30% cocoa)",
        "pork sausages (97% pork)",
    ],
)
def test_a_percentage_of_something_else_says_nothing_of_fat(linker: Linker, line: str) -> None:
    name = line.partition("(")[0].partition(",")[0].strip()
    plain, stated = linker.link(read(name)), linker.link(read(name, None, line))
    assert plain.food is not None
    assert stated.food == plain.food
    assert stated.sureness == plain.sureness


def test_percentages_are_read() -> None:
    assert percents("12% fat") == (("fat", 12.0),)
    assert percents("95 % lean") == (("fat", 5.0),)
    assert percents("minimum 70 per cent cocoa solids") == (("cocoa", 70.0),)
    assert percents("80/20") == (("fat", 20.0),)
    assert percents("1/2 tin, 400%") == ()


def test_every_mix_is_made_of_foods_of_the_table() -> None:
    table = embedded()
    mixer = Mixer(table)
    assert len(mixes()) > 60
    for mix_id, mix in mixes().items():
        ours = all(part.food.startswith("sr:") for part in mix.parts)
        assert (mix_id in mixer) == ours, mix_id
        assert len({part.food[:3] for part in mix.parts}) == 1, mix_id  # of one table
        if not ours:
            continue
        food = mixer.food(mix_id)
        assert {"ENERC_KCAL", "FAT", "NA", "PROCNT", "CHOCDF"} <= set(food.values), mix_id


@pytest.mark.parametrize(
    ("mix_id", "tag", "published"),
    [
        # UK Composition of Foods Integrated Dataset, 2015 proximates and 2021 minerals: code and figure per 100 g
        ("mix:clotted-cream", "FAT", 63.5),  # 12-592
        ("mix:half-fat-creme-fraiche", "FAT", 15.0),  # 12-336
        ("mix:mascarpone", "FAT", 44.5),  # 12-490
        ("mix:halloumi", "NA", 1200),  # 12-496
        ("mix:self-raising-flour", "NA", 342),  # 11-888
        ("mix:streaky-bacon", "NA", 1260),  # 19-016
        ("mix:streaky-bacon", "FAT", 23.6),  # 19-016
        ("mix:back-bacon", "FAT", 16.5),  # 19-497
        ("mix:chicken-stock-cube", "NA", 16300),  # 17-726
        ("mix:puff-pastry", "FAT", 26.2),  # 11-852
        ("mix:smoked-salmon", "NA", 1184),  # 16-412
        ("mix:digestive-biscuit", "ENERC_KCAL", 463),  # 11-799
    ],
)
def test_mixes_meet_the_published_figure(mix_id: str, tag: str, published: float) -> None:
    assert Mixer(embedded()).food(mix_id).values[tag] == pytest.approx(published, rel=0.10)


def test_double_cream_is_48_per_cent_fat(linker: Linker) -> None:
    link = linker.link(read("double cream", None, "300 ml double cream"))
    assert link.food is not None
    assert link.food.values["FAT"] == pytest.approx(48, abs=0.2)
    assert sum(share for _, share in link.food.parts) == pytest.approx(1)


# -- the cook decides -----------------------------------------------------------------------------------


def test_a_decision_wins_over_everything() -> None:
    linker = Linker([embedded()], {"Double Cream": "sr:01053", "glitter": "none", "mince": "mix:pork-mince"})
    for name in ("double cream", "Double creams", "DOUBLE CREAM"):
        link = linker.link(read(name))
        assert link.food is not None
        assert (link.food.food_id, link.sureness, link.why) == ("sr:01053", "sure", "your decision")
    assert linker.link(read("glitter")).sureness == "none"
    assert linker.link(read("glitter")).why == "your decision"
    mince = linker.link(read("mince")).food
    assert mince is not None
    assert mince.values["FAT"] == pytest.approx(16, abs=1.5)


def test_a_decision_for_a_food_no_longer_there_is_refused() -> None:
    with pytest.raises(InputError, match=r'"butter".*sr:99999'):
        Linker([embedded()], {"butter": "sr:99999"})
    with pytest.raises(InputError, match="mix:dragon"):
        Linker([embedded()], {"butter": "mix:dragon"})


# -- alternatives and search ----------------------------------------------------------------------------


def test_runners_up_are_four_others_without_doubles(linker: Linker) -> None:
    for name in ("smoked haddock", "butter", "cheddar", "rice", "zingleberry jam", "edible glitter", "pork chop"):
        link = linker.link(read(name))
        ids = [candidate.food_id for candidate in link.alternatives]
        assert len(ids) <= 4
        assert len(set(ids)) == len(ids)
        assert link.food is None or link.food.food_id not in ids
        assert all(0 <= candidate.score <= 1 for candidate in link.alternatives)
    assert "sr:01145" in [c.food_id for c in linker.link(read("butter")).alternatives]
    assert len(linker.link(read("smoked haddock")).alternatives) == 4


def test_search_is_for_people() -> None:
    tables = [embedded()]
    found = search("smoked haddock", tables, 5)
    assert found[0].food_id == "sr:15035"
    assert len(found) == 5
    assert [c.score for c in found] == sorted((c.score for c in found), reverse=True)
    assert search("smoked haddok", tables, 3)[0].food_id == "sr:15035"
    assert search("aubergine", tables, 1)[0].food_id == "sr:11209"
    assert search("", tables, 5) == []


def test_the_index_prefers_generic_and_plain() -> None:
    table = embedded()
    names = [table.names[hit.row] for hit in index_of(table).search(("cheddar",), frozenset())]
    assert names[0] == "Cheese, cheddar"
    tinned = index_of(table).search(("tinned", "kidney", "bean"), frozenset({"tinned"}))
    assert "canned" in table.names[tinned[0].row]
    assert index_of(table).search(("qwertyuiop",), frozenset()) == []


def test_what_was_linked_before_is_known_for_the_same_words_alone() -> None:
    linker = Linker([embedded()])
    assert linker.link(read("Butter")) is linker.link(read("butter"))
    for name in ("pdgu butter", "Pdgu Butter", "pdgu butter"):
        assert name in linker.link(read(name)).remarks[0].message  # as written in this line
    whole, leaves = read("tomato", None, "some leaves of tomato"), read("tomato", None, "some tomato leaves")
    assert whole == leaves
    for first, second in ((whole, leaves), (leaves, whole)):
        found = Linker([embedded()])
        assert (found.link(first).food is None, found.link(second).food is None) == (first is leaves, second is leaves)


# -- other tables ---------------------------------------------------------------------------------------


def small_table(folder: Path, name: str, foods: list[tuple[str, str, float, float, float]]) -> FoodTable:
    frame = pd.DataFrame(
        [(i, n, None, "Foods", "test", None, float(kcal), float(fat), float(na)) for i, n, kcal, fat, na in foods],
        columns=["food_id", "name", "scientific_name", "group", "source", "refuse", "ENERC_KCAL", "FAT", "NA"],
    )
    measures = pd.DataFrame({"food_id": [foods[0][0]], "amount": [1.0], "words": ["cup"], "grams": [100.0]})
    provenance = Provenance(name, "1", "none", "none", "none", "none", "none")
    return FoodTable(write(TableData(frame.astype({"refuse": float}), measures, provenance), folder, name))


def test_a_preferred_table_is_asked_through_the_linked_food(tmp_path: Path) -> None:
    own = small_table(
        tmp_path, "own", [("own:1", "Eggplant, raw", 25, 0.2, 2), ("own:2", "Butter, salted", 744, 82.2, 606)]
    )
    linker = Linker([own, embedded()])
    assert food_of(linker, "aubergine") == "own:1"
    assert linker.link(read("aubergine")).sureness == "likely"
    assert food_of(linker, "carrots") == "sr:11124"


def test_a_later_table_helps_where_the_first_has_nothing(tmp_path: Path) -> None:
    other = small_table(tmp_path, "other", [("other:1", "Samphire", 20, 0.3, 1200), ("other:2", "Sumac", 300, 15, 10)])
    linker = Linker([embedded(), other])
    assert food_of(linker, "samphire") == "other:1"
    assert linker.link(read("samphire")).sureness == "likely"


def test_a_table_without_word_lists_stands_alone(tmp_path: Path) -> None:
    only = small_table(
        tmp_path, "only", [("only:1", "Haddock, smoked", 101, 0.6, 1200), ("only:2", "Haddock, raw", 74, 0.5, 67)]
    )
    linker = Linker([only])
    assert food_of(linker, "smoked haddock") == "only:1"
    assert food_of(linker, "haddock") == "only:2"
    assert linker.link(read("butter")).food is None
    with pytest.raises(ValueError, match="table"):
        Linker([])


def test_a_near_name_of_a_preferred_table_does_not_push_out_the_food_meant(tmp_path: Path) -> None:
    own = small_table(
        tmp_path, "own", [("own:1", "Chicken soup", 30, 0.6, 320), ("own:2", "Butter biscuits", 500, 25, 300)]
    )
    linker = Linker([own, embedded()])
    assert (food_of(linker, "chicken") or "").startswith("sr:")
    assert food_of(linker, "salted butter") == "sr:01001"
    alone = Linker([own]).link(read("chicken"))
    assert alone.sureness in ("doubtful", "none")


def test_the_first_table_that_stands_is_taken_and_the_others_are_alternatives(tmp_path: Path) -> None:
    one = small_table(tmp_path, "one", [("one:1", "Carrots, raw", 40, 0.2, 60)])
    two = small_table(tmp_path, "two", [("two:1", "Carrots, raw", 41, 0.2, 62), ("two:2", "Leeks, raw", 61, 0.3, 20)])
    linker = Linker([one, two, embedded()])
    assert food_of(linker, "carrots") == "one:1"
    assert food_of(linker, "leeks") == "two:2"
    assert food_of(linker, "plain flour") == "sr:20581"


# -- the word lists themselves --------------------------------------------------------------------------


def all_rows() -> WordList:
    lists = word_list("usda-sr")
    assert lists is not None
    return lists


def test_every_row_of_the_word_lists_can_be_used() -> None:
    table, mixer = embedded(), Mixer(embedded())
    rows = list(all_rows())
    assert len(rows) > 10_000
    for row in rows:
        assert (row.food == NONE) == (row.sure == NONE), row.place
        assert row.food == NONE or row.food in table or row.food in mixer, (row.place, row.food)
        assert row.ground.strip(), row.place


def test_no_two_sure_rows_contradict_each_other() -> None:
    """The same words and states may not be sure of two foods that differ by more than the tolerances."""
    linker = Linker([embedded()])
    same: dict[object, list[WordRow]] = defaultdict(list)
    for row in all_rows():
        same[frozenset(row.words), row.when, row.unless, row.words[-1]].append(row)
    wrong = []
    for rows in same.values():
        sure = [row for row in rows if row.sure == "sure"]
        for one, other in itertools.pairwise(sure):
            if not agree(linker.food(one.food).values, linker.food(other.food).values):
                wrong.append((one.place, one.food, other.place, other.food))
    assert wrong == []


def test_rows_are_refused_with_their_place() -> None:
    for row in (("ham", "shiny", "sr:1", "sure", "x", "a.csv"), ("ham", "", "sr:1", "certain", "x", "a.csv")):
        with pytest.raises(ValueError, match=r"a\.csv, ham"):
            list(WordList(filed([row])))


def test_the_more_specific_row_wins_and_the_later_between_equals() -> None:
    lists = WordList(
        filed(
            [
                ("tomato", "", "a", "sure", "x", "a.csv, line 1"),
                ("tomato", "tinned", "b", "sure", "x", "a.csv, line 2"),
                ("cherry tomato", "", "c", "sure", "x", "a.csv, line 3"),
                ("dried tomato", "", "d", "sure", "x", "a.csv, line 4"),
                ("plum tomato", "", "a", "sure", "x", "a.csv, line 5"),
                ("cherry plum", "", "e", "sure", "x", "a.csv, line 6"),
            ]
        )
    )

    def best(name: str, context: str = "") -> str:
        return lists.best_first(read(name, None, context))[0][1].food

    assert best("tomatoes") == "a"
    assert best("tomatoes", "a tin of tomatoes") == "b"
    assert best("ripe tomatoes") == "a"
    assert best("cherry tomatoes") == "c"
    assert best("cherry plum tomatoes") == "e"
    assert best("dried tomatoes") == "d"


def test_guard_words_are_known() -> None:
    assert ("vegan",) in guards()
    assert ("gluten", "free") in guards()


# -- tolerances -----------------------------------------------------------------------------------------


def test_tolerances_follow_the_guidance() -> None:
    """European Commission, guidance on tolerances, December 2012, section 2: fat and salt."""
    assert [fat_tolerance(x) for x in (3, 20, 60)] == [1.5, 4.0, 8.0]
    assert [salt_tolerance(x) for x in (0.5, 2.0)] == [0.375, 0.4]
    butter = {"ENERC_KCAL": 717.0, "FAT": 81.0, "NA": 643.0}
    assert agree(butter, butter)
    assert not agree(butter, butter | {"NA": 643 - 0.5 / SALT_PER_MG})
    assert not agree(butter, {"ENERC_KCAL": 717.0, "FAT": 81.0})


# -- hostile input and speed ----------------------------------------------------------------------------


@given(st.text(max_size=80), st.one_of(st.none(), st.text(max_size=40)), st.text(max_size=80))
@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_any_text_is_answered(linker: Linker, name: str, preparation: str | None, context: str) -> None:
    link = linker.link(read(name, preparation, context))
    assert link.sureness in ORDER
    assert (link.food is None) == (link.sureness == "none")


@pytest.mark.parametrize("unit", ["a", "tin ", "12% ", "1/2", "without ", "chicken ", "(", "é", "80/20 ", " and 2 "])
def test_long_hostile_lines_are_answered(linker: Linker, unit: str) -> None:
    text = unit * (10_000 // len(unit))
    assert linker.link(read(text, text, text)).sureness in ORDER


def test_the_kind_behind_the_comma_is_read_where_the_lists_know_it(linker: Linker) -> None:
    assert food_of(linker, "coconut", "desiccated", "50 g coconut, desiccated") == food_of(linker, "desiccated coconut")
    assert food_of(linker, "carrots", "grated", "200 g carrots, grated") == "sr:11124"
    dried = food_of(linker, "desiccated coconut")
    decided = Linker([embedded()], {"coconut": "sr:12104"})  # of coconut, which this is not
    assert food_of(decided, "coconut", "desiccated", "50 g coconut, desiccated") == dried
    decided = Linker([embedded()], {"desiccated coconut": "sr:12104"})
    assert food_of(decided, "coconut", "desiccated", "50 g coconut, desiccated") == "sr:12104"


# -- a cook's review: stock, packs, biscuits, mince without meat -------------------------------------------

STOCK = [
    # name, preparation, line, food, sureness, salt per 100 g between
    ("chicken stock", None, "1 litre chicken stock", "mix:chicken-stock", "likely", (0.8, 1.0)),
    ("hot beef stock", None, "500 ml hot beef stock", "mix:beef-stock", "likely", (0.7, 0.9)),
    ("chicken stock", "made with 1 cube", "1 litre chicken stock, made with 1 cube", "mix:chicken-stock-from-cube",
     "sure", (0.8, 1.0)),
    ("vegetable stock", "from bouillon powder", "600 ml vegetable stock (from bouillon powder)",
     "mix:vegetable-stock-from-cube", "sure", (0.8, 1.0)),
    ("fish stock", "made with a stock pot", "300 ml fish stock, made with a stock pot", "mix:fish-stock-from-cube",
     "sure", (0.8, 1.0)),
    ("home-made chicken stock", None, "1 litre home-made chicken stock", "sr:06172", "sure", (0.3, 0.4)),
    ("vegetable stock", "preferably homemade", "1 litre vegetable stock, preferably homemade",
     "mix:home-made-vegetable-stock", "likely", (0.1, 0.3)),
    ("fresh chicken stock, not from a cube", None, "500 ml fresh chicken stock, not from a cube", "sr:06172", "likely",
     (0.3, 0.4)),
    ("shop-bought chicken stock", None, "500 ml shop-bought chicken stock", "sr:06183", "likely", (0.5, 0.6)),
    ("low-salt chicken stock", None, "1 litre low-salt chicken stock", "mix:low-salt-chicken-stock", "likely",
     (0.2, 0.4)),
    ("chicken stock", "fresh or made with a cube", "1 litre chicken stock, fresh or made with a cube",
     "mix:chicken-stock", "likely", (0.8, 1.0)),
    ("stock cube", "beef", "1 stock cube (beef)", "mix:beef-stock-cube", "sure", (35, 38)),
    ("vegetable stock pot", None, "1 vegetable stock pot", "mix:stock-gel", "likely", (15, 17)),
]  # fmt: skip


@pytest.mark.parametrize(("name", "preparation", "line", "food", "sureness", "salt"), STOCK)
def test_stock_goes_by_what_it_is_made_from(
    linker: Linker, name: str, preparation: str | None, line: str, food: str, sureness: str, salt: tuple[float, float]
) -> None:
    link = linker.link(read(name, preparation, line))
    assert link.food is not None
    assert (link.food.food_id, link.sureness) == (food, sureness)
    assert salt[0] <= link.food.values["NA"] * SALT_PER_MG <= salt[1]


def test_stock_of_no_kind_says_so_and_has_bounds_round_every_kind(linker: Linker) -> None:
    """CoFID 17-774 (cubes, chicken, made up: 579 mg), 17-681 (ready made: 225 mg); SR28 06970 (low sodium: 30 mg)."""
    for name in ("chicken stock", "beef stock", "vegetable stock", "fish stock", "lamb stock", "stock"):
        link = linker.link(read(name, None, f"1 litre {name}"))
        assert link.food is not None
        assert [remark.code for remark in link.remarks] == ["stock-kind"], name
        low, high = link.food.bounds["NA"]
        assert low <= 30 < 225 < link.food.values["NA"] < 579 <= high, name
    told = linker.link(read("chicken stock", "made with a cube", "1 litre chicken stock, made with a cube"))
    assert told.food is not None
    assert "stock-kind" not in [remark.code for remark in told.remarks]
    assert told.food.bounds["NA"][0] > 100


@pytest.mark.parametrize(
    ("mix_id", "tag", "published"),
    [
        ("mix:golden-syrup", "SUGAR", 79.0),  # CoFID 17-065
        ("mix:golden-syrup", "ENERC_KCAL", 298),  # 17-065
        ("mix:golden-syrup", "NA", 270),  # 17-065
        ("mix:golden-syrup", "WATER", 20.0),  # 17-065
        ("mix:cooked-prawns", "NA", 588),  # 16-384
        ("mix:cooked-prawns", "ENERC_KCAL", 70),  # 16-384
        ("mix:mycoprotein", "PROCNT", 14.0),  # 13-574
        ("mix:mycoprotein", "NA", 300),  # 13-574
        ("mix:beef-stock", "NA", 14560 * 10 / 460),  # 17-515, a 10 g cube in 450 ml
        ("mix:chicken-stock", "NA", 16300 * 10 / 460),  # 17-726
        ("mix:vegetable-stock", "NA", 16800 * 10 / 460),  # 17-727
        ("mix:ready-made-fish-stock", "NA", 225),  # 17-681, of chicken
    ],
)
def test_more_mixes_meet_the_published_figure(mix_id: str, tag: str, published: float) -> None:
    assert Mixer(embedded()).food(mix_id).values[tag] == pytest.approx(published, rel=0.10)


def test_golden_syrup_lacks_no_component(linker: Linker) -> None:
    food = linker.link(read("golden syrup", None, "3 tbsp golden syrup")).food
    assert food is not None
    assert {"ENERC_KCAL", "FAT", "FASAT", "CHOCDF", "SUGAR", "FIBTG", "PROCNT", "NA"} <= set(food.values)


OTHER_THAN_IT_LOOKS = [
    # name, preparation, line, food, sureness at best
    ("bourbons", "crushed", "200 g bourbons, crushed", "sr:18166", "likely"),
    ("bourbon biscuits", None, "8 bourbon biscuits", "sr:18166", "likely"),
    ("bourbon", None, "50 ml bourbon", "sr:14037", "sure"),
    ("bourbon whiskey", None, "2 tbsp bourbon whiskey", "sr:14037", "sure"),
    ("spaghetti", "cooked", "1 x 500 g pack of spaghetti, cooked", "sr:20420", "likely"),
    ("rice noodles", "cooked", "1 x 250 g packet rice noodles, cooked", "sr:20133", "likely"),
    ("spaghetti", "cooked", "1 pack of cooked spaghetti", "sr:20421", "likely"),
    ("spaghetti", "cooked", "500 g cooked spaghetti", "sr:20421", "likely"),
    ("beetroot", "cooked", "1 x 250 g pack beetroot, cooked", "sr:11081", "likely"),
    ("ready", "made mash", "500 g ready made mash", "sr:11934", "likely"),
    ("frozen", "cooked peeled prawns", "200 g frozen cooked peeled prawns", "mix:cooked-prawns", "likely"),
    ("sponge flour", None, "225 g sponge flour", "mix:self-raising-flour", "likely"),
    ("supreme plain flour", None, "225 g supreme plain flour", "sr:20581", "sure"),
    ("mycoprotein mince", None, "300 g mycoprotein mince", "mix:mycoprotein", "likely"),
    ("meat-free mince", None, "300 g meat-free mince", "sr:22120", "doubtful"),
    ("soya mince", None, "300 g soya mince", "sr:16117", "doubtful"),
    ("rosé", None, "75 ml rosé", "sr:14253", "likely"),
    ("granary", None, "1 granary loaf", "sr:28397", "sure"),
    ("rye", None, "1 rye loaf", "sr:18060", "sure"),
    ("rye", None, "50 g rye", "sr:20062", "sure"),
    ("eggs", "separated; you won't need the yolks", "3 eggs, separated (you won't need the yolks)", "sr:01124", "sure"),
    ("fillet of beef", "trimmed", "500 g fillet of beef, trimmed", "sr:23342", "sure"),
    ("eggs", "poached", "2 poached eggs", "sr:01131", "likely"),
]


@pytest.mark.parametrize(("name", "preparation", "line", "food", "sureness"), OTHER_THAN_IT_LOOKS)
def test_words_mean_what_a_cook_means_by_them(
    linker: Linker, name: str, preparation: str | None, line: str, food: str, sureness: str
) -> None:
    link = linker.link(read(name, preparation, line))
    assert (link.food.food_id if link.food else None, link.sureness) == (food, sureness)


def test_an_unknown_word_before_what_may_be_of_anything_leaves_doubt(linker: Linker) -> None:
    for thing in ("mince", "beef mince", "sausages", "burgers", "chicken pieces", "chicken nuggets", "lamb meatballs"):
        assert linker.link(read(f"Glarpy {thing}", None, f"500 g Glarpy {thing}")).sureness in ("doubtful", "none"), (
            thing
        )
    known = linker.link(read("Aberdeen Angus beef mince", None, "500 g Aberdeen Angus beef mince"))
    assert known.sureness == linker.link(read("beef mince", None, "500 g beef mince")).sureness == "likely"


def test_a_name_that_tells_nothing_is_no_food(linker: Linker) -> None:
    for name in ("slices", "halves", "large pieces"):
        assert linker.link(read(name, "toasted", f"2 {name}, toasted")).food is None, name


# -- what the table leaves out ------------------------------------------------------------------------------


def test_what_is_lent_is_missing_in_the_table_and_fits_into_its_whole() -> None:
    table = embedded()
    assert len(lent_values()) > 100
    for food_id, some in lent_values().items():
        food, whole = table.food(food_id), completed(table.food(food_id))
        assert {lent.tagname for lent in some}.isdisjoint(food.values), food_id
        available = whole.values["CHOCDF"] - whole.values.get("FIBTG", 0.0)
        assert whole.values.get("SUGAR", 0.0) <= available + 0.01, food_id
        assert whole.values.get("FASAT", 0.0) <= whole.values["FAT"], food_id
        for lent in some:
            assert whole.values[lent.tagname] == lent.value
            assert whole.source_of(lent.tagname) == lent.lender.source != food.source
            if lent.lender.food_id in table and ":" not in lent.lender.source:
                assert lent.value == pytest.approx(table.food(lent.lender.food_id).values[lent.tagname], abs=0.006)


def test_a_part_is_known_where_its_whole_is_nothing_or_little() -> None:
    table = embedded()
    lamb, mint, thyme = (table.food(food_id) for food_id in ("sr:17011", "sr:02065", "sr:02063"))
    assert "SUGAR" not in lamb.values
    assert lamb.values["CHOCDF"] == 0
    assert completed(lamb).values["SUGAR"] == 0  # no carbohydrate, no sugars
    assert completed(lamb).bounds == {}
    available = mint.values["CHOCDF"] - mint.values["FIBTG"]  # 1.6 g: within the 2 g a label may be out
    assert completed(mint).values["SUGAR"] == pytest.approx(available / 2)
    assert completed(mint).bounds["SUGAR"] == pytest.approx((0, available))
    assert "at most" in completed(mint).source_of("SUGAR")
    assert "SUGAR" not in completed(thyme).values  # 6.6 g available carbohydrate: missing stays missing


def test_links_and_mixes_use_what_is_lent(linker: Linker) -> None:
    milk = linker.link(read("coconut milk", None, "1 x 400 ml tin coconut milk")).food
    assert milk is not None
    assert milk.values["SUGAR"] == 1.95  # CoFID 14-889
    assert {"SUGAR", "FIBTG"} <= set(Mixer(embedded()).food("mix:light-coconut-milk").values)


def test_few_foods_of_the_word_lists_lack_what_a_label_declares(linker: Linker) -> None:
    """Of all foods that a row is sure or likely of: spices and rare plants may lack sugars, hardly any the rest."""
    lists = word_list("usda-sr")
    assert lists is not None
    foods = [linker.food(food_id) for food_id in {r.food for r in lists if r.sure in ("sure", "likely")} - {NONE}]
    lacking = {t: sum(t not in food.values for food in foods) for t in ("SUGAR", "FIBTG", "FASAT", "NA", "PROCNT")}
    assert lacking["SUGAR"] <= 190
    assert lacking["FIBTG"] <= 60
    assert lacking["FASAT"] <= 10
    assert lacking["NA"] <= 3
    assert lacking["PROCNT"] == 0


@pytest.mark.parametrize(
    ("written", "food_id"),
    [("brocolli", "sr:11090"), ("courgete", "sr:11477"), ("zuchinni", "sr:11477"), ("mayonaise", "sr:04025")],
)
def test_a_common_misspelling_is_no_slip(linker: Linker, written: str, food_id: str) -> None:
    """data/spellings.csv: what is often written so is read as meant, as in the allergen rules."""
    link = linker.link(read(written, None, written))
    assert link.food is not None
    assert link.food.food_id == food_id
    assert link.understood
