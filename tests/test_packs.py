"""Reading the ingredients text of packs: the grammar, statements, claims, emphasis, exemptions.

Grounds: Regulation (EU) No 1169/2011, Articles 18, 21, 22, 36, Annexes II and VII; Regulation (EU) No 828/2014;
FALCPA 2004, section 203 (US statements). The wording of packs: common practice, no source.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nutrilab.allergens.labels import label_allergens, read_label
from nutrilab.foods import embedded
from nutrilab.kitchen import Kitchen
from nutrilab.products import load


def contains(text: str) -> set[str]:
    return set(label_allergens(read_label(text)).contains)


def may(text: str) -> set[str]:
    return set(label_allergens(read_label(text)).may)


@pytest.mark.parametrize(
    ("text", "expected"),
    [  # every word of every group is read: Article 18 and Annex VII part E (compound ingredients)
        (
            "Sponge fingers (wheat flour, egg) custard powder (maize starch, whey powder) jelly (sugar)",
            "gluten eggs milk",
        ),
        ("Filling (apple) [sugar] {butter}, crust (flour (wheat) water)", "gluten milk"),
        ("Biscuit (wheat flour; butter (milk); salt) cream (cashew) topping (sugar)", "gluten milk nuts"),
        ("Crackers [flour {wheat}], dip (yoghurt (milk), cucumber) seeds (sesame)", "gluten milk sesame"),
        ("Curry: coconut (desiccated) and prawn paste, rice", "crustaceans"),
        ("Base (maize. salt. barley malt) top (oil)", "gluten"),
        ("Soup (water, cream (milk), celery", "milk celery"),  # a bracket never closed
        ("Soup water, cream (milk)), celery)", "milk celery"),  # closed too often
        ("Oyster (24%) sauce, fish (cod)", "molluscs fish"),
        ("Glaze: egg. Filling: mustard seed; Decoration - almonds", "eggs mustard nuts"),
        ("Salt, contains 2% or less of: whey, soy lecithin", "milk soya"),
        ("Salt, less than 2% of each of the following: egg white, lupin flour", "eggs lupin"),
        ("Colours: beta-carotene, titanium dioxide (may contain dye) and soy lecithin", "soya"),
        ("Vitamin B2. folic acid. Cheese powder (milk)", "milk"),
    ],
)
def test_every_word_of_every_group_is_read(text: str, expected: str) -> None:
    assert contains(text) >= set(expected.split())


@pytest.mark.parametrize(
    ("text", "has", "perhaps"),
    [  # Article 36: precautionary statements are voluntary, and end with their sentence or bracket
        ("Vegetable oil (may contain one or more of: palm), milk powder, wheat flour", "milk gluten", ""),
        ("Oil (may contain soya), butter (milk)", "milk", "soya"),
        ("Sugar [may contain traces of nuts], wheat flour. May contain sesame.", "gluten", "nuts sesame"),
        ("Flour (wheat) (may contain rye), egg", "gluten eggs", "gluten"),
        ("May contain egg. Wheat flour, salt", "gluten", "eggs"),
        ("Sugar, may contain milk and nuts", "", "milk nuts"),
        ("Oil, may contain palm, whey powder", "milk", ""),
        ("Sugar. May contain NUTS", "", "nuts"),
        ("Sugar. May contain **nuts**", "", "nuts"),
        ("Sugar. May contain _peanuts_ and <b>milk</b>", "", "peanuts milk"),
        ("Rice. Made in a factory that also handles nuts, sesame and milk.", "", "nuts sesame milk"),
        ("Rice. Produced on shared equipment with wheat", "", "gluten"),
        ("Rice. Packed in a facility that processes soya; fish", "", "soya fish"),
        ("Rice. Not suitable for nut allergy sufferers", "", "nuts"),
        ("Rice. Cannot guarantee nut free", "", ""),
        ("Rice. Made in a factory that does not handle nuts", "", ""),
        ("Rice. Packed in a nut-free facility", "", ""),
        ("Free from milk and egg. Rice, wheat flour", "gluten", ""),
        ("Rice, salt. Free from gluten, milk, soya.", "", ""),
        ("Rice, no nuts, wheat flour", "gluten", ""),
        ("Rice. Contains no milk. Egg", "eggs", ""),
        ("Spread (free from milk, soya), barley", "gluten", ""),
        ("Allergy advice: for allergens, including cereals containing gluten, see ingredients in bold. Rice", "", ""),
        ("Rice. Allergy advice: contains celery, may contain mustard", "celery", "mustard"),
        ("Rice. Allergens: fish", "fish", ""),
        ("Rice. Made without milk, nuts or egg", "", ""),
        ("Rice. Possible traces: lupin, mustard", "", "lupin mustard"),
        ("Tea. Blended and packed on machinery that handles barley, milk", "", "gluten milk"),
        ("Rice! May contain crustaceans, molluscs. Salt", "", "crustaceans molluscs"),
        ("Rice. Cross-contamination possible: crustaceans, soya.", "", "crustaceans soya"),
        ("Seeds. Grown in fields where wheat may also be grown", "", "gluten"),
        ("Chocolate (cocoa). Made alongside products containing milk", "", "milk"),
        ("Naturally free from dairy, nuts and soya. Oats", "gluten", ""),
        ("Damsons, sugar. Serve with mature Cheddar and oatcakes", "", ""),
        ("Rice, salt. Great in stir fries with soy sauce", "", ""),
        ("Serve with butter, wheat flour, salt", "milk gluten", ""),  # the list itself begins with no such sentence
    ],
)
def test_a_statement_ends_with_its_sentence_or_bracket(text: str, has: str, perhaps: str) -> None:
    assert contains(text) == set(has.split())
    assert may(text) >= set(perhaps.split())
    if not perhaps:
        assert may(text) <= {"nuts"}  # "cannot guarantee nut free" may be either


@pytest.mark.parametrize(
    ("text", "speaks"),
    [  # Article 21: only an emphasised or stated allergen makes a label speak for itself
        ("Sugar, cocoa, emulsifier (lecithin), BHT", False),
        ("Sugar, cocoa, lecithin, MSG, EDTA", False),
        ("UHT cream substitute, lecithin", False),
        ("SUGAR, COCOA BUTTER, LECITHIN, MILK", False),
        ("Sugar*, lecithin*, eggs*. *Organic", False),
        ("Sugar, lecithin. May contain NUTS", False),
        ("Sugar, lecithin. **Store cool**", False),
        ("Sugar, lecithin, MILK powder", True),
        ("Sugar, lecithin, **milk** powder", True),
        ("Sugar, lecithin. Contains: milk", True),
        ("Sugar, lecithin, _egg_ white", True),
    ],
)
def test_only_an_emphasised_or_stated_allergen_ends_the_questions(text: str, speaks: bool) -> None:
    assert ("soya" in label_allergens(read_label(text)).check) is not speaks


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("Filling for the egg tart, sugar", {"eggs"}),
        ("For the crispy cod topping", {"fish"}),
        ("Crumbs to coat the prawns", {"crustaceans"}),
        ("This cake is made with wheat flour and milk all day long", {"gluten", "milk"}),
    ],
)
def test_on_a_pack_every_word_counts(text: str, expected: set[str]) -> None:
    """In a cook's line "for the batter" only tells what it is for; a pack lists what is in it: Article 18."""
    assert contains(text) >= expected


def test_a_us_statement_ends_no_question_about_what_it_need_not_name() -> None:
    """FALCPA 2004, section 203: celery, mustard, sulphites, lupin, molluscs and barley are none of its allergens."""
    found = label_allergens(read_label("Chicken stock, salt, spices, lecithin. Contains: milk"))
    assert "celery" in found.check
    assert "soya" not in found.check


@pytest.mark.parametrize(
    ("text", "expected"),
    [  # an owner's claim or exemption reaches neither into its bracket nor past the named thing: Regulation 828/2014
        ("Coconut (milk, sugar)", "milk"),
        ("Crisp rice (malt extract)", "gluten"),
        ("Gluten free bread (wheat starch)", "gluten"),
        ("vegan sauce (egg white powder)", "eggs"),
        ("dairy free spread (buttermilk powder)", "milk"),
        ("glucose syrup (wheat flour)", "gluten"),
        ("dextrose (corn), wheat", "gluten"),
        ("gluten-free wheat starch", "gluten"),
        ("gluten-free spelt flour", "gluten"),
        ("Gluten free wheat starch", "gluten"),
        ("gluten-free barley flakes", "gluten"),
        ("gluten free rye flakes", "gluten"),
        ("Gluten-free oats", "gluten"),
    ],
)
def test_claims_and_exemptions_end_where_they_are_named(text: str, expected: str) -> None:
    """Ground: Annex II, 1 and its exemptions; Regulation (EU) No 828/2014."""
    assert contains(text) == {expected}


@pytest.mark.parametrize(
    "text",
    [  # Annex II, 1(a), 1(b), 1(c), 6(a), 6(b): exempt however the pack puts it
        "wheat-derived glucose syrup, sugar",
        "maltodextrin (from wheat), salt",
        "glucose syrup (wheat)",
        "Dextrose [wheat], salt",
        "glucose syrup derived from wheat",
        "maltodextrin (wheat)",
        "glucose syrup (from barley)",
        "fully refined soya oil",
        "antioxidant: tocopherols (soya)",
        "tocopherol (soy)",
    ],
)
def test_what_annex_two_exempts_is_no_allergen(text: str) -> None:
    assert not contains(text)


@pytest.mark.parametrize(
    "text",
    [  # Annex II, 12; Regulation (EC) No 1333/2008, Annex II: E220 to E228
        "sodium bisulfite (preservative)",
        "sodium metabisulphite",
        "POTASSIUM METABISULFITE",
        "sulphiting agents",
        "preservative: E220",
        "preservative (E 223)",
        "Preservative E-228",
        "preservatives (202, 220)",
        "preservative 224",
        "sulfur dioxide",
        "calcium hydrogen sulphite",
    ],
)
def test_sulphites_in_every_spelling(text: str) -> None:
    assert "sulphites" in contains(text)


@pytest.mark.parametrize("text", ["soy lecithin", "vegetable broth (soy)", "SOY, sugar", "contains soy", "soy protein"])
def test_soy_on_a_pack_is_the_bean_and_no_sauce(text: str) -> None:
    """Annex II, 6; on US packs "soy" is the name of the bean: FALCPA 2004, section 203."""
    assert contains(text) == {"soya"}
    assert contains("soy sauce") == {"soya", "gluten"}


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("_milk_ powder", {"milk"}),
        ("__milk__ powder", {"milk"}),
        ("*milk* powder", {"milk"}),
        ("**milk** powder", {"milk"}),
        ("<strong>milk</strong> powder", {"milk"}),
        ("MILK powder", {"milk"}),
        ("<milk> powder", {"milk"}),
        ("<<milk>> protein, sugar", {"milk"}),
        ("M I L K solids, salt", {"milk"}),
        ("_coconut_ milk", set()),
        ("**coconut** milk", set()),
        ("coconut **milk**", {"milk"}),
    ],
)
def test_marks_of_emphasis(text: str, expected: set[str]) -> None:
    """Ground: Articles 18, 21 and 36; the wording of packs: common practice, no source."""
    assert contains(text) == expected


def test_a_guess_at_a_misprint_is_asked_never_contained() -> None:
    """Ground: Articles 18, 21 and 36; the wording of packs: common practice, no source."""
    found = label_allergens(read_label("sugar, glucono delta lactone, L-cysteine, hazzelnutz"))
    assert not found.contains
    assert "nuts" in found.check


def test_what_is_no_ingredient_is_listed_and_the_dish_is_not_complete(tmp_path: Path) -> None:
    """Ground: Articles 18, 21 and 36; the wording of packs: common practice, no source."""
    assert label_allergens(read_label("sugar, blorvine, xq!!")).unread == ("blorvine", "xq")
    assert label_allergens(read_label("sugar, riboflavin, E471, xanthan gum, Lactobacillus casei")).unread == ()
    file = tmp_path / "products.yaml"
    file.write_text("- name: harbour dust\n  salt: 1 g\n  ingredients: sugar, blorvine\n", encoding="utf-8")
    kitchen = Kitchen([embedded()], products=load(file))
    record = kitchen.line("20 g harbour dust")
    assert not record.resolved
    assert kitchen.products is not None
    assert any(r.code == "label-unread" and "blorvine" in r.message for r in kitchen.products.remarks())


PIECES = [
    "wheat flour", "sugar", "milk powder", "oyster sauce", "egg white", "soy lecithin", "coconut milk",
    "rice (malt extract)",
    "Sponge (wheat, egg) jelly (sugar)", "glucose syrup (wheat)", "gluten free oats", "MILK", "**egg**", "cod (fish)",
]  # fmt: skip
ADDED = [
    "salt", "(palm)", "[sugar, salt]", "May contain nuts.", "Store in a cool dry place.", "Contains: sesame.",
    "FREE FROM COLOURS.", "Suitable for vegetarians.", "Made in a factory that handles peanuts.", "* organic", "(2.5%)",
    "No added sugar.", "SHOUTED WORDS ALL ALONG HERE", "(may contain palm)", "contains 2% or less of: salt",
]  # fmt: skip


@given(st.lists(st.sampled_from(PIECES), min_size=1, max_size=6), st.sampled_from(ADDED), st.integers(0, 6))
def test_adding_a_bracket_or_a_sentence_takes_nothing_away(pieces: list[str], added: str, at: int) -> None:
    """Unless it is a claim about that very thing, which none of these is.

    Ground: Articles 18, 21 and 36; the wording of packs: common practice, no source.
    """
    at = min(at, len(pieces))
    before = contains(", ".join(pieces) + ".")
    if added[0] in "([":
        after = ", ".join([*pieces[:at], (pieces[at] if at < len(pieces) else "salt") + f" {added}", *pieces[at + 1 :]])
    elif added.endswith("."):
        after = ", ".join(pieces[:at]) + (". " if at else "") + added + " " + ", ".join(pieces[at:])
    else:
        after = ", ".join([*pieces[:at], added, *pieces[at:]])
    assert contains(after + ".") >= before


@pytest.mark.parametrize(
    ("size", "make"),
    [
        (4, lambda n: "milk powder (whey), " * n),
        (4, lambda n: " " * (8 * n)),
        (4, lambda n: "(" * n + ")" * n),
        (4, lambda n: "may contain nuts, " * n),
        (4, lambda n: "** *_" * n),
        (4, lambda n: "wheat\n" * n),
    ],
)
def test_a_long_text_is_read_in_one_pass(size: int, make, monkeypatch: pytest.MonkeyPatch) -> None:  # type: ignore[no-untyped-def]
    """100 kB of text: the number of steps grows with the length, counted, not timed.

    Ground: Articles 18, 21 and 36; the wording of packs: common practice, no source.
    """
    from nutrilab.allergens import pack_text

    steps = {"n": 0}
    plain = pack_text._Reader._say

    def counted(self: object, start: int, end: int) -> None:
        steps["n"] += 1
        plain(self, start, end)  # type: ignore[arg-type]

    monkeypatch.setattr(pack_text._Reader, "_say", counted)
    read_label(make(1000))
    one = max(steps["n"], 1)
    steps["n"] = 0
    read_label(make(1000 * size))
    assert steps["n"] <= 1.2 * size * one + 10


def test_a_hundred_kilobytes_end_well() -> None:
    """Ground: Articles 18, 21 and 36; the wording of packs: common practice, no source."""
    text = "sponge (wheat flour, egg) jelly (sugar), " * 2500
    assert len(text) > 100_000
    assert contains(text) == {"gluten", "eggs"}
    assert not contains(" " * 40_000)
    assert not re.search(r"\S", " " * 40_000)
