"""The allergens of a dish: merged lines, the chart, sulphites by dilution, what changed since an earlier result."""

from __future__ import annotations

import pytest

from nutrilab.allergens import ALLERGENS, Findings, cautions, find, join
from nutrilab.allergens.dish import LineFindings, merge, sulphites
from nutrilab.datafiles import rows
from nutrilab.remarks import InputError
from nutrilab.sheets.earlier import compare


def test_a_dish_says_which_line_and_why() -> None:
    """Ground: Annex II, 7; evidence for who has to answer for it: common practice, no source."""
    found = merge([LineFindings(find("50 g butter"), "50 g butter", "white sauce", 1)])
    assert found.contains["milk"] == ("milk: butter [white sauce, line 1: 50 g butter]",)


def test_what_a_dish_contains_is_not_also_to_be_checked_but_may_stays_apart() -> None:
    """Ground: Article 36: precautionary statements are voluntary and stand apart."""
    may = Findings({}, {}, {"milk": ("milk: may contain milk",)})
    found = merge(
        [
            LineFindings(find("margarine"), "margarine"),
            LineFindings(may, "biscuits"),
            LineFindings(find("milk"), "milk"),
        ]
    )
    assert "milk" not in found.check
    assert "milk" in found.contains
    assert "milk" in found.may


def test_join_keeps_may_apart() -> None:
    """Ground: Article 36: precautionary statements are voluntary and stand apart."""
    joined = join([find("stock cube"), Findings({}, {}, {"celery": ("celery: x",)})])
    assert "celery" in joined.check
    assert "celery" in joined.may


def test_the_chart_has_a_cell_for_each_of_the_fourteen() -> None:
    """Ground: Annex II names fourteen."""
    pie = merge([LineFindings(find("400 g cod"), "400 g cod")])
    mystery = merge([LineFindings(find("gloop"), "gloop", understood=False)])
    assert (pie.complete, mystery.complete) == (True, False)
    assert {pie.cell(allergen) for allergen in ALLERGENS if allergen != "fish"} == {""}
    assert pie.cell("fish") == "contains"
    assert {mystery.cell(allergen) for allergen in ALLERGENS} == {""}
    assert len(ALLERGENS) == 14


def test_sulphites_are_estimated_but_never_cleared() -> None:
    """Ground: Annex II, 12: 10 mg/kg as total SO2; the sums stand beside the figures."""
    (above,) = sulphites([("red wine", 200, 150)], 1000)  # 200 g x 150 mg/kg / 1000 g = 30 mg/kg
    assert "about 30.0 mg/kg" in above
    (below,) = sulphites([("red wine", 20, 150)], 1000)
    assert "not above" in below
    assert "check the packs" in below
    assert sulphites([], 1000) == ()


def result(
    name: str, contains: dict[str, list[str]], check: dict[str, list[str]], unresolved: list[str]
) -> dict[str, object]:
    return {"dish": name, "allergens": {"contains": contains, "check": check, "unresolved": unresolved}}


def test_what_changed_since_is_said_in_sentences() -> None:
    """Ground: common practice, no source."""
    old = result("Fish pie", {"milk": ["milk: butter"]}, {"celery": ["celery: stock cube"]}, ["gloop"])
    new = result("Fish pie", {"mustard": ["mustard: the new stock cube"], "celery": ["celery: celery"]}, {}, [])
    said = compare(old, new)
    assert "Fish pie: now contains mustard (mustard: the new stock cube)" in said
    assert "Fish pie: nothing points to milk any more (before: milk: butter)" in said
    assert any(s.startswith("Fish pie: now contains celery, before: check the pack for celery") for s in said)
    assert any('"gloop" no longer stands' in s for s in said)
    assert compare(new, new) == []


def test_another_nut_or_cereal_is_a_change() -> None:
    """Ground: Annex II, 8, "namely"."""

    def nutty(kind: str) -> dict[str, object]:
        found: dict[str, object] = {"contains": {"nuts": [kind], "milk": ["x"]}, "named": [f"nuts ({kind})", "milk"]}
        return {"dish": "Tart", "allergens": found}

    assert compare(nutty("almond"), nutty("walnut")) == ["Tart: now contains nuts (walnut), before: nuts (almond)"]
    assert compare(nutty("almond"), nutty("almond")) == []
    assert compare(result("Tart", {"nuts": ["x"], "milk": ["x"]}, {}, []), nutty("walnut")) == []  # it named none


@pytest.mark.parametrize(
    "broken",
    [
        {},
        {"allergens": []},
        {"allergens": {"contains": ["milk"]}},
        {"allergens": {"unresolved": "x"}},
        {"allergens": {"named": "nuts (walnut)"}},
    ],
)
def test_a_broken_earlier_result_is_refused(broken: dict[str, object]) -> None:
    """Ground: common practice, no source."""
    with pytest.raises(InputError):
        compare(broken, result("x", {}, {}, []))


def test_cautions_are_said_and_nothing_is_ever_cleared() -> None:
    """Ground: Regulation (EU) No 1169/2011, Article 44 and common practice, no source."""
    assert any("Cross-contact" in sentence for sentence in cautions())
    everything = " ".join(
        [
            *cautions(),
            *(
                " ".join(row.values())
                for f in ("contains", "check", "misleads", "cautions")
                for row in rows(f"allergens/{f}.csv")
            ),
        ]
    )
    assert "free from" not in everything.lower()


def test_what_is_contained_does_not_hide_what_is_to_be_checked() -> None:
    """Who leaves out the hazelnuts has to know of the pesto, and another nut has to be named.

    Ground: Annex II, 1 and 8, "namely": each cereal and nut is named.
    """
    lines = [LineFindings(find(text), text) for text in ("100 g hazelnuts", "2 tbsp pesto", "1 vegetable stock cube")]
    answer = merge(lines)
    assert "nuts" in answer.contains
    assert "nuts" not in answer.check
    assert any("pesto" in sentence for sentence in answer.also["nuts"])
    assert "gluten" in answer.check
    assert set(answer.also) <= set(answer.contains)
