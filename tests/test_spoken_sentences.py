"""Sentences of cooks who speak, by class: amounts, corrections, repeats, other helpings, talk."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest
from click.testing import CliRunner

from nutrilab import spoken
from nutrilab.cli import main
from nutrilab.foods import embedded
from nutrilab.kitchen import Kitchen
from nutrilab.recipe import read_recipe
from tests.test_spoken import FILMS


@cache
def kitchen() -> Kitchen:
    return Kitchen([embedded()], alternatives=False)


def film(folder: Path, *sentences: str, name: str = "film.srt") -> spoken.Heard:
    """Sentences as captions, ten seconds each."""
    cues = [
        f"{n}\n00:{n // 6:02d}:{n % 6}0,000 --> 00:{n // 6:02d}:{n % 6}9,500\n{s}\n" for n, s in enumerate(sentences, 1)
    ]
    path = folder / name
    path.write_text("\n".join(cues), encoding="utf-8")
    return spoken.read(path, kitchen())


def lines(found: spoken.Heard) -> list[str]:
    return [entry.text for entry in found.recipe.stages[0].entries]


SPOKEN = [
    ("We need about a kilo of potatoes.", "1 kg potatoes"),
    ("A couple of tablespoons of oil goes in.", "2 tablespoons oil"),
    ("That's about three hundred grams of flour, two fifty will do.", "250 g flour"),
    ("Put in a good glug of olive oil.", "1 good glug olive oil"),
    ("I've got half a dozen eggs.", "6 eggs"),
    ("And two and a half litres of chicken stock.", "2.5 litres chicken stock"),
    ("So that's a pound and a half of beef mince.", "1.5 pound beef mince"),
    ("Add a quarter of a teaspoon of nutmeg.", "0.25 teaspoon nutmeg"),
    ("And quarter of a teaspoon of turmeric.", "0.25 teaspoon turmeric"),
    ("I've got six hundred and fifty mils of milk.", "650 ml milk"),
    ("There's three quarters of a pint of double cream.", "0.75 pint double cream"),
    ("Two four-hundred-gram tins of chickpeas.", "2 x 400 g tins chickpeas"),
    ("Four or five cloves of garlic.", "4-5 cloves garlic"),
    ("Then one seventy five of, no, one hundred and seventy five grams of caster sugar.", "175 g caster sugar"),
    ("I've got a dozen prawns.", "12 prawns"),
    ("We want an onion, chopped up.", "1 onion"),
    ("And the juice of two lemons.", "juice of 2 lemons"),
    ("A hundred and twenty grams of butter.", "120 g butter"),
    ("You want 150 grams of self-raising flour.", "150 g self-raising flour"),
    ("Two tablespoons of soy sauce.", "2 tablespoons soy sauce"),
    ("Three tablespoons of mango chutney.", "3 tablespoons mango chutney"),
]


@pytest.mark.parametrize(("sentence", "line"), SPOKEN)
def test_an_amount_is_heard_as_it_is_spoken(tmp_path: Path, sentence: str, line: str) -> None:
    assert lines(film(tmp_path, sentence)) == [line]


@pytest.mark.parametrize(
    ("sentences", "line", "before"),
    [
        (("I've got 300 grams of flour.", "No, sorry, make that 250 grams of flour."), "250 g flour", "300 g flour"),
        (("A teaspoon of salt goes in, actually make it half a teaspoon.",), "0.5 teaspoon salt", "1 teaspoon salt"),
        (("Thirty grams of sugar, well, call it forty.",), "40 g sugar", "30 g sugar"),
        (("Two hundred grams of oats.", "I tell a lie, one eighty."), "180 g oats", "200 g oats"),
    ],
)
def test_a_correction_counts_over_what_was_said(
    tmp_path: Path, sentences: tuple[str, ...], line: str, before: str
) -> None:
    found = film(tmp_path, *sentences)
    assert lines(found) == [line]
    assert any(note.startswith(f"corrected: {before}") for note in found.lines[line])


def test_what_is_said_four_times_is_one_line_with_its_times(tmp_path: Path) -> None:
    found = film(
        tmp_path, "I've got two onions.", "Chop the onions.", "The onions go in.", "Fry the two onions gently."
    )
    assert lines(found) == ["2 onions"]
    assert any(note.startswith("0:10, 0:20, 0:30 and 0:40:") for note in found.lines["2 onions"])


def test_another_helping_is_a_line_of_its_own(tmp_path: Path) -> None:
    found = film(tmp_path, "Two tablespoons of olive oil go in.", "And another two tablespoons of olive oil.")
    assert lines(found) == ["2 tablespoons olive oil", "2 tablespoons olive oil"]


def test_a_food_without_an_amount_is_marked_and_none_is_invented(tmp_path: Path) -> None:
    found = film(tmp_path, "I've got a kilo of potatoes.", "Stir in some spinach.")
    assert lines(found) == ["1 kg potatoes", "spinach"]
    assert "named without an amount: write how much" in found.lines["spinach"]
    assert kitchen().line("spinach").grams is None


TALK = [
    "I bought this pan for fifty pounds.",
    "My nan used four eggs, and I never do.",
    "I don't put garlic in.",
    "Some people add cream.",
    "My sister puts half a pound of butter in hers.",
    "If you want, a handful of walnuts.",
    "You could use two hundred grams of prawns.",
    "Two sprigs of rosemary if you've got it.",
    "Shall I put three eggs in?",
    "We used to make it with a pint of cream.",
    "I paid nine quid for this spoon.",
    "I'm doing a tomato relish.",
    "This is a lamb and barley pot.",
    "It takes twenty five minutes at a hundred and eighty.",
]


@pytest.mark.parametrize("sentence", TALK)
def test_talk_gives_no_line(tmp_path: Path, sentence: str) -> None:
    assert lines(film(tmp_path, "I've got a kilo of potatoes.", sentence)) == ["1 kg potatoes"]


def test_what_was_named_and_not_taken_is_said(tmp_path: Path) -> None:
    found = film(tmp_path, "I've got a kilo of potatoes.", "Some people add walnuts.")
    assert any("walnuts at 0:20, somebody else's way" in note for note in found.head)


def test_a_sentence_cut_across_captions_is_joined(tmp_path: Path) -> None:
    assert lines(film(tmp_path, "So that is about three hundred", "grams of plain flour.")) == ["300 g plain flour"]


def test_how_many_it_feeds_is_heard(tmp_path: Path) -> None:
    assert film(tmp_path, "This feeds eight.", "I've got a kilo of potatoes.").recipe.portions == 8
    assert film(tmp_path, "If you want to feed twelve, double it.", "A kilo of potatoes.").recipe.portions is None


@pytest.mark.parametrize("path", FILMS, ids=lambda p: p.stem)
def test_the_draft_of_a_film_is_a_recipe_file(tmp_path: Path, path: Path) -> None:
    to = tmp_path / "film.yaml"
    assert CliRunner().invoke(main, ["draft", str(path), "-o", str(to), "--portions", "6"]).exit_code == 0
    assert kitchen().dish(read_recipe(to)).cooked_mass > 500
