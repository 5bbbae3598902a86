"""A text tokenised once: every word and sign of it, at its place."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nutrilab.allergens.heard import tokenise
from nutrilab.lines import parse_line
from nutrilab.text import singular, words
from nutrilab.wording import wording

TEXTS = st.text(st.sampled_from("aé1'’%-½œß ,.(&²ﬁİx\u0301"), max_size=12) | st.text(max_size=40)


@given(TEXTS)
def test_its_words_are_the_words_of_the_text(text: str) -> None:
    assert wording(text).words == words(text)


@given(TEXTS)
def test_tokens_stand_in_order_at_their_places(text: str) -> None:
    tokens = wording(text).tokens
    assert all(0 <= token.start <= token.end <= len(text) for token in tokens)
    assert all(one.start <= other.start for one, other in pairwise(tokens))


@pytest.mark.parametrize(
    ("text", "token", "there"),
    [
        ("200 g crème fraîche", "creme", "crème"),
        ("2 œufs (beaten)", "oeufs", "œufs"),
        ("400g tins", "400", "400"),
        ("salt & pepper", "&", "&"),
        ("1 cup d’olives", "dolives", "d’olives"),
    ],
)
def test_a_token_is_found_where_it_was_written(text: str, token: str, there: str) -> None:
    place = next(one for one in wording(text).tokens if one.text == token)
    assert text[place.start : place.end] == there


@pytest.mark.parametrize(
    ("text", "phrases", "said"),
    [
        ("8 bone-in chicken thighs", [("bone", "in")], True),
        ("a chicken, cut into 8 pieces", [("cut", "into", "#")], True),
        ("a chicken, cut into pieces", [("cut", "into", "#")], False),
        ("boned and rolled", [("bone", "in")], False),
    ],
)
def test_phrases_of_a_line(text: str, phrases: list[tuple[str, ...]], said: bool) -> None:
    assert parse_line(text).wording.says(phrases) is said


@pytest.mark.parametrize(
    ("text", "heard"),
    [
        ("salt & vinegar crisps", ["salt", "and", "vinegar", "crisp"]),
        ("mac 'n' cheese", ["mac", "and", "cheese"]),
        ("half-n-half", ["half", "and", "half"]),
        ("pork n duja", ["pork", "n", "duja"]),
        ("2 eggs, free-range", ["2", "egg", ",", "freerange"]),
        ("nuts (e.g. pecans)", ["nut", "(", "eg", "pecan", ")"]),
        ("Arbroath smokies", ["arbroath", "smokie"]),
        ("100 ml rosé", ["100", "ml", "rose", "wine"]),
        ("rose water", ["rose", "water"]),
        ("bread - white", ["bread", " - ", "white"]),
        ("full-fat milk", ["full", "fat", "milk"]),
        ("cr\u00e8me fra\u00eeche", ["creme", "fraiche"]),
    ],
)
def test_what_the_allergen_rules_hear(text: str, heard: list[str]) -> None:
    assert tokenise(text) == heard


@given(TEXTS)
def test_no_word_goes_unheard(text: str) -> None:
    """Letters and figures of a text are all among what the rules hear; a missed word may be a missed allergen."""
    said = [token.text for token in wording(text).tokens if token.in_word]
    said = [word for word in said if word not in "eig"] if {"eg", "ie"} & {*tokenise(text)} else said  # "e.g.", "i.e."
    assert {singular(word) for word in said if word not in ("free", "range", "smokies")} <= {*tokenise(text)}
