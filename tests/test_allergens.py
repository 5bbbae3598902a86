"""The allergens of lines and dishes: gold, traps, claims, witnesses, properties, and what losing a rule does."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nutrilab.allergens import ALLERGENS, find
from nutrilab.allergens.dish import LineFindings, merge
from nutrilab.allergens.heard import tokenise
from nutrilab.allergens.rules import Rulebook, in_order, load_rows, rulebook
from nutrilab.allergens.words import say, say_by
from nutrilab.datafiles import rows
from nutrilab.foods import Food
from nutrilab.lexicon import spelt_out

GOLD = Path(__file__).parent / "gold" / "allergens.csv"
CONTAINS_FILES = ("contains", "other_names", "languages")
MISLEADS_FILES = ("misleads", "exempt", "languages_misleads")
RULE_FILES = (*CONTAINS_FILES, "check", "languages_check", *MISLEADS_FILES, "claims", "stand_ins")


def gold() -> list[dict[str, str]]:
    with GOLD.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def keys(cell: str) -> set[str]:
    return {key for key in cell.split("|") if key}


@pytest.mark.parametrize("row", gold(), ids=lambda row: row["text"][:40])
def test_every_gold_line_is_right(row: dict[str, str]) -> None:
    """Ground: the column of that name in each row: the entries of Annex II, or common practice, no source."""
    found = find(row["text"])
    contains, usually = keys(row["contains"]), keys(row["usually"])
    assert contains <= set(found.contains), "an allergen of the line is missing"
    assert usually <= set(found.contains) | set(found.check)
    assert not (set(found.contains) | set(found.check)) - contains - usually, "a false alarm"


def test_gold_has_enough_lines_of_every_allergen() -> None:
    """Ground: Regulation (EU) No 1169/2011, Annex II names fourteen."""
    lines = gold()
    assert len(lines) >= 150
    for allergen in ALLERGENS:
        assert sum(allergen in keys(row["contains"]) for row in lines) >= 2, allergen


@pytest.mark.parametrize(
    ("text", "evidence"),
    [
        ("200 g plain flour", "wheat (gluten): flour"),
        ("50 g ground almonds", "almond (nuts): almond"),
        ("100 g rye flour", "rye (gluten): rye flour"),
        ("1 litre whole milk", "milk: milk"),
        ("80 g mozarella", 'milk: mozzarella (written "mozarella")'),
    ],
)
def test_evidence_names_the_cereal_the_nut_and_the_words(text: str, evidence: str) -> None:
    """Ground: Annex II, 1 and 8, "namely": the cereal and the nut are named; Article 21(1)."""
    found = find(text)
    assert evidence in [sentence for sentences in found.contains.values() for sentence in sentences]


@pytest.mark.parametrize(
    "text", ["2 Arbroath smokies", "4 blinis", "2 gateaus", "3 stotties", "mozarella", "almods", "carrots"]
)
def test_a_word_read_twice_says_the_same(text: str) -> None:
    """Ground: common practice, no source (what stands in those foods); one text has one answer."""
    book = Rulebook(in_order(load_rows()))
    first, second = say_by(book, text), say_by(book, f"{text} ")
    assert first == second
    assert bool(first.contains or first.check) == (text != "carrots")


def test_check_says_what_to_look_for() -> None:
    """Ground: common practice, no source: what a cook reads on a pack; Annex II, 9."""
    (sentence,) = find("1 beef stock cube").check["celery"]
    assert "look for celery" in sentence


@pytest.mark.parametrize(
    ("text", "allergen"),
    [
        ("50 g vegan butter or milk", "milk"),
        ("vegan butter with double cream", "milk"),
        ("plain or gluten-free flour", "gluten"),
        ("gluten-free flour or plain", "gluten"),
        ("bread (gluten-free if you like)", "gluten"),
        ("2 eggs free-range", "eggs"),
        ("butter (or vegan alternative)", "milk"),
        ("not vegan cheese", "milk"),
        ("gluten-free oatcakes", "gluten"),
        ("lactose-free cream", "milk"),
        ("fat-free milk", "milk"),
        ("nut-free granola with almonds", "nuts"),
        ("gluten-free bread and wheat flour", "gluten"),
        ("no added sulphites red wine", "sulphites"),
        ("plain, or gluten-free flour", "gluten"),
        ("plain/gluten-free flour", "gluten"),
        ("plain flour (or gluten-free)", "gluten"),
        ("fish sauce (vegan: soy sauce)", "fish"),
        ("prawns (vegetarians: leave out)", "crustaceans"),
        ("anchovies (omit for vegetarians)", "fish"),
        ("butter (vegan or not)", "milk"),
        ("butter (vegan, if liked)", "milk"),
        ("mayonnaise, or vegan mayonnaise", "eggs"),
    ],
)
def test_a_claim_takes_away_only_what_it_names_and_reaches(text: str, allergen: str) -> None:
    """Ground: common practice, no source (how cooks write); oats: Annex II, 1; lactose: Annex II, 7; sulphites: 12."""
    found = find(text)
    assert allergen in {**found.contains, **found.check}


@pytest.mark.parametrize(
    ("text", "allergen"),
    [
        ("gluten-free plain flour", "gluten"),
        ("plain flour (gluten free)", "gluten"),
        ("mayonnaise, vegan", "eggs"),
        ("dairy-free spread (such as sunflower margarine)", "milk"),
        ("Worcestershire sauce suitable for vegetarians", "fish"),
        ("granola without nuts", "nuts"),
        ("egg-free mayonnaise", "eggs"),
        ("eggless noodles", "eggs"),
        ("gluten-free and vegan brownies", "eggs"),
    ],
)
def test_a_claim_that_holds_raises_no_alarm(text: str, allergen: str) -> None:
    """Ground: Regulation (EU) No 828/2014 for gluten; the others by what they say: common practice, no source."""
    found = find(text)
    assert allergen not in {**found.contains, **found.check}


def test_wheat_free_still_has_to_be_checked_for_other_cereals() -> None:
    """Ground: Annex II, 1: rye, barley and oats beside wheat."""
    found = find("wheat-free bread")
    assert "gluten" not in found.contains
    assert "gluten" in found.check


@pytest.mark.parametrize("text", ["wheat-free spelt bread", "wheat-free rye bread", "wheat-free oat flapjack"])
def test_wheat_free_leaves_the_other_cereals(text: str) -> None:
    """Ground: Annex II, 1: spelt is wheat; rye and oats beside it."""
    assert "gluten" in find(text).contains


@pytest.mark.parametrize(
    "text", ["butter, beans", "butter (beans later)", "butter; beans", "butter and beans", "butter / beans"]
)
def test_misleading_words_need_to_stand_together(text: str) -> None:
    """Ground: Annex II, 7; how cooks write: common practice, no source."""
    assert "milk" in find(text).contains


def test_words_in_brackets_inside_misleading_words_count_for_themselves() -> None:
    """Ground: Annex II, 8 (almond); coconut is none of its nuts."""
    found = find("100 ml coconut (or almond) milk")
    assert "nuts" in found.contains
    assert "milk" not in found.contains


def food(name: str, group: str = "Dairy and Egg Products") -> Food:
    return Food("sr:00000", name, group, "test", None, {})


def test_the_food_is_a_second_witness() -> None:
    """Ground: Annex II, 7: cheese is made of milk; USDA SR28, food group 0100."""
    found = find("100 g Monte Sereno, crumbled", food("Cheese, parmesan, hard"))
    assert "Cheese, parmesan, hard" in found.contains["milk"][0]
    assert find("100 g Monte Sereno, crumbled").contains == {}


def test_a_food_that_stands_for_a_product_only_asks_for_a_look() -> None:
    """Ground: common practice, no source: recipes of products differ."""
    found = find("1 jar Nonna sauce", food("Sauce, white, milk", "Soups, Sauces, and Gravies"))
    assert "milk" in found.check
    assert "milk" not in found.contains


def test_words_that_mislead_and_claims_stand_against_the_food() -> None:
    """Ground: common practice, no source: what coconut milk and vegan mayonnaise are made of."""
    assert "milk" not in {**find("200 ml coconut milk", food("Milk, whole")).contains}
    assert "eggs" not in {**find("vegan mayo", food("Egg, whole, raw")).contains}


def test_what_the_words_contain_stands_whatever_the_food_says() -> None:
    """Ground: Annex II, 7."""
    assert "milk" in find("100 g butter", food("Oil, olive", "Fats and Oils")).contains


def test_nuts_of_the_table_that_annex_2_does_not_name() -> None:
    """Ground: Annex II, 8 names its nuts; a pine nut is none of them, an almond is."""
    assert find("100 g kernels", food("Nuts, pine nuts, dried", "Nut and Seed Products")).contains == {}
    assert "nuts" in find("100 g kernels", food("Nuts, almonds", "Nut and Seed Products")).contains


@pytest.mark.parametrize(
    ("text", "allergen"),
    [
        ("Greek or coconut yoghurt", "milk"),
        ("Greek, natural or dairy-free coconut yoghurt", "milk"),
        ("cow's/almond milk", "milk"),
        ("double and oat cream", "milk"),
        ("salted or peanut butter", "milk"),
        ("plain or rice flour", "gluten"),
        ("rice flour or plain", "gluten"),
        ("coconut yoghurt (or Greek), to serve", "milk"),
        ("egg or rice noodles", "gluten"),
        ("rice (or egg) noodles", "gluten"),
        ("fresh or lentil pasta", "gluten"),
        ("mature or vegan cheddar", "milk"),
    ],
)
def test_words_that_mislead_do_not_hide_the_other_half_of_a_choice(text: str, allergen: str) -> None:
    """Ground: Annex II, 1 and 7; how cooks write: common practice, no source."""
    assert allergen in find(text).contains


@pytest.mark.parametrize(
    "text",
    [
        "oil or coconut milk",
        "stock or coconut cream",
        "almond or oat milk",
        "full-fat or light coconut milk",
        "egg or eggplant",
    ],
)
def test_only_a_word_for_the_ordinary_kind_is_the_other_half(text: str) -> None:
    """Ground: common practice, no source: how cooks write."""
    assert "milk" not in find(text).contains


@pytest.mark.parametrize(
    ("text", "allergen"),
    [
        ("75 g salted buter", "milk"),  # data/spellings.csv
        ("2 tsp worstershire sauce", "fish"),
        ("100 g pistachoes", "nuts"),
        ("2 tbsp peanutbutter", "peanuts"),  # two words written as one
    ],
)
def test_a_common_misspelling_is_contained(text: str, allergen: str) -> None:
    """Ground: common practice, no source: how cooks misspell; the foods: Annex II."""
    assert allergen in find(text).contains


@pytest.mark.parametrize(
    ("text", "allergen"),
    [
        ("2 tsp tsatziki", "milk"),
        ("1 glass prosseco", "sulphites"),
        ("60 g hazzelnuts", "nuts"),
        ("1 tbsp tahhini", "sesame"),
    ],
)
def test_a_guess_at_a_slip_of_the_pen_is_asked_never_contained(text: str, allergen: str) -> None:
    """Ground: common practice, no source: a guess is no knowledge."""
    found = find(text)
    assert allergen in found.check
    assert not found.contains


@pytest.mark.parametrize("text", ["2 tsp creem", "1 craker"])
def test_a_slip_that_may_be_several_things_is_to_be_checked(text: str) -> None:
    """Ground: common practice, no source: a guess is no knowledge."""
    found = find(text)
    assert found.check
    assert not found.contains


def test_rare_and_foreign_words_are_read_but_never_guessed_at() -> None:
    """Ground: Annex II, 4 (tuna) and 14 (Japanese carpet clam); a guess at them: common practice, no source."""
    assert "fish" in find("2 thon steaks").contains
    assert find("150 g asari").contains.keys() == {"molluscs"}
    assert find("150 g asarr") == find("150 g xyzzy")


def test_a_rule_may_hold_a_bracket() -> None:
    """Ground: common practice, no source: okra by its other name; sponge fingers: Annex II, 1."""
    assert find("okra (lady's fingers)") == find("okra")
    assert "gluten" in find("trifle (ladyfingers)").contains


# -- the data ------------------------------------------------------------------------------------


def test_every_rule_has_a_ground_and_a_key_of_the_fourteen() -> None:
    """Ground: Annex II names fourteen; the grounds stand in the rows."""
    for name in RULE_FILES:
        for row in rows(f"allergens/{name}.csv"):
            assert row["allergen"] in ALLERGENS, row
            assert row["ground"].strip(), row
            assert all(tokenise(words) for words in spelt_out(row["words"])), row


def test_there_are_at_least_nine_hundred_rows_that_find_something() -> None:
    """Ground: common practice, no source: the size of the list."""
    assert len(rows("allergens/contains.csv")) >= 900


def test_no_row_stands_twice() -> None:
    """Ground: none but order in the data: common practice, no source."""
    for names in (("contains", "other_names"), ("languages",), ("check",), ("misleads",), ("languages_misleads",)):
        seen: set[tuple[tuple[str, ...], str]] = set()
        for row in (row for name in names for row in rows(f"allergens/{name}.csv")):
            for words in spelt_out(row["words"]):
                key = (tuple(tokenise(words)), row["allergen"])
                assert key not in seen, (names, words, row["allergen"])
                seen.add(key)


def test_every_contains_row_is_found_as_itself() -> None:
    """Ground: the one in each row: Annex II or common practice."""
    for row in (row for name in CONTAINS_FILES for row in rows(f"allergens/{name}.csv")):
        for words in spelt_out(row["words"]):
            assert row["allergen"] in say(words).contains, words


def test_a_longer_phrase_loses_an_allergen_only_by_a_row_that_says_so() -> None:
    """Ground: Annex II: what is in a food is named; the exceptions stand in rows with theirs."""
    hidden = {
        (tuple(tokenise(words)), row["allergen"])
        for name in MISLEADS_FILES
        for row in rows(f"allergens/{name}.csv")
        for words in spelt_out(row["words"])
    }
    table = [row for name in CONTAINS_FILES for row in rows(f"allergens/{name}.csv")]
    contains = [(w, row["allergen"]) for row in table for w in spelt_out(row["words"])]
    for words, _ in contains:
        reading = rulebook().read(words)
        inside = {h.rule.allergen for h in reading.hits if h.rule.kind == "contains"}
        lost = inside - set(say(words).contains)
        spans = {(tuple(reading.tokens[h.start : h.end]), h.rule.allergen) for h in reading.hits}
        assert all(any(key[1] == allergen and key in hidden for key in spans) for allergen in lost), (words, lost)


# The commonest words of the trade that carry an allergen, as counted over some thousand lines of recipes: losing the
# row of any of them must be noticed.
COMMONEST = {
    "gluten": "flour|bread|breadcrumb|pasta|spaghetti|penne|tagliatelle|couscous|noodle|oats|barley|rye|wheat|beer|"
    "ale|biscuit|cake|sponge|pastry|semolina|bulgur|bun|brioche|baguette|ciabatta|tortilla|wholemeal|"
    "self raising|soy|loaf",
    "crustaceans": "prawn|crab|lobster|shrimp|crayfish|scampi|shellfish",
    "eggs": "egg|yolk|mayonnaise|meringue|sponge|brioche|savoiardi",
    "fish": "fish|cod|salmon|tuna|anchovy|haddock|mackerel|bass|bream|halibut|hake|trout|sardine|worcestershire",
    "peanuts": "peanut|groundnut|satay",
    "soya": "soya|soy|tofu|miso|edamame|gochujang",
    "milk": "milk|butter|cream|creme|fraiche|cheese|cheddar|parmesan|mozzarella|feta|mascarpone|ricotta|brie|"
    "stilton|yoghurt|ghee|custard|brioche|skimmed",
    "nuts": "almond|hazelnut|walnut|cashew|pistachio|pecan|nut",
    "celery": "celery|celeriac",
    "mustard": "mustard|dijon",
    "sesame": "sesame|tahini|hummus",
    "sulphites": "wine|cider|sherry|port|marsala|balsamic",
    "lupin": "lupin",
    "molluscs": "mussel|squid|oyster|scallop|clam",
}
COMMON_ROWS = [(words, allergen) for allergen, cell in COMMONEST.items() for words in cell.split("|")]


def without(words: str, allergen: str) -> Rulebook:
    """The rules but for the contains row of these words, with all spellings of that row."""
    wanted = tokenise(words)
    kept = [row for row in load_rows() if not (row[1] == "contains" and _stands_in(row[2], wanted, allergen))]
    return Rulebook(in_order(kept, (row["word"] for row in rows("allergens/plain.csv"))))


def test_there_are_sixty_commonest_words() -> None:
    """Ground: counted over recipe lines: common practice, no source."""
    assert len(COMMON_ROWS) >= 60
    assert set(COMMONEST) == set(ALLERGENS)


def _stands_in(cells: Mapping[str, str], wanted: list[str], allergen: str) -> bool:
    return cells["allergen"] == allergen and wanted in [tokenise(words) for words in spelt_out(cells["words"])]


@pytest.mark.parametrize(("words", "allergen"), COMMON_ROWS)
def test_losing_the_row_of_a_common_word_is_noticed(words: str, allergen: str) -> None:
    """Ground: Annex II, for each key the entry of its number."""
    assert allergen in say(words).contains
    assert allergen not in say_by(without(words, allergen), words).contains


# -- properties ----------------------------------------------------------------------------------

TEXTS = [row["text"] for row in gold()]
lines = st.sampled_from(TEXTS)


@settings(deadline=None)
@given(lines, lines)
def test_adding_an_ingredient_to_a_dish_never_removes_an_allergen(one: str, other: str) -> None:
    """Ground: Regulation (EU) No 1169/2011, Article 9(1)(c): all that is used is named."""
    alone = merge([LineFindings(find(one), one)])
    both = merge([LineFindings(find(one), one), LineFindings(find(other), other)])
    assert set(alone.contains) <= set(both.contains)
    assert set(alone.check) <= set(both.check) | set(both.contains)


@settings(deadline=None)
@given(lines, lines, st.sampled_from([", ", " and ", " or ", " with ", " plus ", "; "]))
def test_adding_an_ingredient_to_a_line_never_removes_what_it_contains(one: str, other: str, joint: str) -> None:
    """Ground: Regulation (EU) No 1169/2011, Article 9(1)(c): all that is used is named."""
    found = find(one + joint + other)
    assert set(find(one).contains) <= set(found.contains) | set(found.check)


@settings(deadline=None)
@given(lines, st.integers(min_value=1, max_value=9999))
def test_scaling_never_changes_the_answer(text: str, amount: int) -> None:
    """Ground: Article 9(1)(c) knows no least amount, but for sulphites (Annex II, 12), which are asked."""
    words = text.lstrip("0123456789½ ")
    one, many = find(f"1 kg {words}"), find(f"{amount} kg {words}")
    assert one == many


@settings(deadline=None)
@given(st.lists(lines, max_size=6), st.randoms())
def test_the_order_of_lines_never_matters(texts: list[str], random: object) -> None:
    """Ground: Article 9(1)(c): all that is used is named, in whatever order."""
    made = [LineFindings(find(text), text, "stage", n) for n, text in enumerate(texts, 1)]
    mixed = list(made)
    random.shuffle(mixed)  # type: ignore[attr-defined]
    a, b = merge(made), merge(mixed)
    assert set(a.contains) == set(b.contains)
    assert set(a.check) == set(b.check)
    assert {k: set(v) for k, v in a.contains.items()} == {k: set(v) for k, v in b.contains.items()}


@settings(deadline=None)
@given(st.lists(lines, max_size=4), st.text(min_size=1, max_size=20))
def test_an_unknown_word_never_makes_a_dish_complete(texts: list[str], unknown: str) -> None:
    """Ground: Article 9(1)(c): what is not known is not "none"."""
    made = [LineFindings(find(text), text) for text in texts]
    dish = merge([*made, LineFindings(find(unknown), unknown, understood=False)])
    assert not dish.complete
    assert unknown in dish.unresolved


@settings(max_examples=200, deadline=None)
@given(st.text(max_size=300))
def test_no_text_ever_raises_and_answers_stay_within_the_fourteen(text: str) -> None:
    """Ground: Annex II names fourteen."""
    found = find(text)
    assert set(found.contains) | set(found.check) <= set(ALLERGENS)
    assert not set(found.contains) & set(found.check)


@pytest.mark.parametrize(
    "text",
    [
        "coconut milk " * 900,
        "(" * 10000,
        "gluten free " * 900,
        "butter(" * 1500,
        "vegan, " * 1500,
        "a" * 10000,
        "- " * 5000,
    ],
)
def test_hostile_lines_are_read(text: str) -> None:
    """How long each takes is a benchmark: tests/benchmarks/bench_hostile.py.

    Ground: Annex II names fourteen; that any text is read: common practice, no source.
    """
    found = find(text[:10000])
    assert {*found.contains, *found.check} <= set(ALLERGENS)


def test_a_claim_is_no_name_and_has_no_other_words() -> None:
    """Words of the lexicon that stand beside a claim's words in a row of names take nothing away.

    Ground: Annex II, 2, 4 and 14 stand until a claim says otherwise.
    """
    claimed = {words for row in rows("allergens/claims.csv") for words in row["words"].split("|")}
    assert {row[0] for row in load_rows() if row[1] == "claim"} == claimed
    assert "fish" in say("beef style pieces with cod").contains
    assert "crustaceans" in say("mixed beef style piece and prawns").contains
