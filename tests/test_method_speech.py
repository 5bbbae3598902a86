"""Sentences of methods as written and as spoken, each read for what it tells (tests/method_sentences.py)."""

from __future__ import annotations

import pytest

from nutrilab.method.reading import steps_of
from nutrilab.method.steps import HEATING
from nutrilab.recipe import METHODS, Line
from tests.method_sentences import HELD_OUT, SPOKEN, WRITTEN, sentences

ALL = [*sentences(WRITTEN), *sentences(SPOKEN), *sentences(HELD_OUT)]


def misread(sentence: str, told: frozenset[str]) -> list[str]:
    """What a sentence tells and reading does not, and what is read and not told."""
    steps = steps_of([Line(sentence, 1)], ())
    heat: dict[str, float] = {}
    for step in steps:
        if step.does in HEATING and step.does != "flame":
            heat[step.method or "?"] = heat.get(step.method or "?", 0.0) + (step.minutes or 0.0)
    does = {step.does for step in steps}
    does |= {"cover" for s in steps if s.covered} | {"uncover" for s in steps if s.covered is False}
    wanted = {method: time for method, _, time in (one.partition(" ") for one in told) if method in (*METHODS, "?")}
    wrong = ["not understood"] * any(not step.understood for step in steps)
    wrong += [f"no {method}" for method in wanted if method not in heat]
    wrong += [f"{heat[m]:g} minutes" for m, t in wanted.items() if t and m in heat and abs(heat[m] - float(t)) > 1e-6]
    wrong += [f"{method} is not told" for method in heat if method not in wanted and (method != "?" or not wanted)]
    other = told - {"cold"} - {one for one in told if one.partition(" ")[0] in wanted}
    return wrong + [f"no {one}" for one in other if one not in does]


@pytest.mark.parametrize(("sentence", "told"), ALL, ids=[sentence[:60] for sentence, _ in ALL])
def test_a_sentence_is_read_as_it_is_meant(sentence: str, told: frozenset[str]) -> None:
    assert misread(sentence, told) == []


def test_there_are_enough_of_them() -> None:
    assert len(sentences(WRITTEN)) >= 60
    assert len(sentences(SPOKEN)) >= 60


@pytest.mark.parametrize(
    "sentence",
    [
        "I'm gonna gribble the zorb",
        "we've flurbed that for ten minutes",
        "so that wants zorbing until it's vibbled",
    ],
)
def test_what_is_said_and_not_understood_is_listed(sentence: str) -> None:
    assert any(not step.understood for step in steps_of([Line(sentence, 1)], ()))


@pytest.mark.parametrize(
    ("sentence", "text"),
    [
        ("so that's gonna roast for about an hour", "so that's gonna roast for about an hour"),
        ("chop the leeks and then I'll boil them for ten minutes", "I'll boil them for ten minutes"),
        ("in goes the butter", "in goes the butter"),
    ],
)
def test_a_spoken_step_keeps_its_own_words(sentence: str, text: str) -> None:
    assert text in [step.text for step in steps_of([Line(sentence, 1)], ())]
