"""A text tokenised once: every word and sign of it, at its place."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nutrilab.lines import parse_line
from nutrilab.text import words
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
