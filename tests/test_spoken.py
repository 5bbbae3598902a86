"""Captions of cooks who speak: what they meant is found, what they did not say is not."""

from __future__ import annotations

import csv
import re
import sys
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import pytest
from click.testing import CliRunner

from nutrilab import spoken
from nutrilab.cli import main
from nutrilab.foods import embedded
from nutrilab.kitchen import Kitchen
from nutrilab.remarks import InputError

LONGEST = 7  # [s] of a caption
HERE = Path(__file__).parent / "captions"
DEMO = HERE.parents[1] / "demo_recipes" / "sluice-gate-supper.srt"
FILMS = [*sorted(path for path in HERE.iterdir() if path.suffix in (".srt", ".vtt")), DEMO]


@cache
def kitchen() -> Kitchen:
    return Kitchen([embedded()], alternatives=False)


@cache
def heard(path: Path) -> spoken.Heard:
    return spoken.read(path, kitchen())


@dataclass(frozen=True)
class Score:
    meant: int
    foods: int
    grams: int
    wrong: tuple[str, ...]
    not_said: tuple[str, ...]


@cache
def score(path: Path) -> Score:
    """The lines of a film held against those its cook meant."""
    text = (line for line in (HERE / f"{path.stem}.csv").read_text().splitlines() if not line.startswith("#"))
    rows = list(csv.DictReader(text))
    portions = heard(path).recipe.portions or 4
    entries = heard(path).recipe.stages[0].entries
    free = {entry.text: kitchen().line(entry.text, portions=portions) for entry in entries}
    foods, grams, wrong = 0, 0, []
    for row in rows:
        near: dict[str, bool] = {}
        for text_, record in free.items():
            if record.foods and record.foods[0].link.food and record.foods[0].link.food.food_id in row["foods"].split():
                weight = record.grams
                near[text_] = not row["grams"] or bool(weight and abs(weight / float(row["grams"]) - 1) <= 0.2)
        best = max(near, key=lambda one: near[one], default=None)
        if best is None:
            wrong.append(row["line"])
            continue
        foods, grams = foods + 1, grams + near[best]
        wrong += [] if near[best] else [f"{row['line']} is {best}"]
        del free[best]
    return Score(len(rows), foods, grams, tuple(wrong), tuple(free))


# --- the films --------------------------------------------------------------------------------------------------------


def test_what_cooks_meant_is_found() -> None:
    scores = [score(path) for path in FILMS]
    meant = sum(one.meant for one in scores)
    assert len(FILMS) >= 8
    assert sum(one.foods for one in scores) >= 0.9 * meant, [one.wrong for one in scores]
    assert sum(one.grams for one in scores) >= 0.85 * meant, [one.wrong for one in scores]


@pytest.mark.parametrize("path", FILMS, ids=lambda p: p.stem)
def test_nothing_is_found_that_was_not_said(path: Path) -> None:
    assert score(path).not_said == ()


@pytest.mark.parametrize("path", FILMS, ids=lambda p: p.stem)
def test_each_line_has_its_time(path: Path) -> None:
    """A comment names the time of the caption the words stand in."""
    rows = csv.DictReader(line for line in (HERE / f"{path.stem}.csv").read_text().splitlines() if line[0] != "#")
    times = [seconds(row["time"]) for row in rows]
    notes = [note.partition(': "')[0] for said in heard(path).lines.values() for note in said]
    there = [seconds(time) for note in notes for time in re.findall(r"\b\d+:\d\d\b", note)]
    near = [time for time in times if any(abs(time - begins) <= LONGEST for begins in there)]
    assert len(near) >= 0.9 * len(times), sorted(set(times) - set(near))


def seconds(time: str) -> int:
    minutes, _, rest = time.partition(":")
    return 60 * int(minutes) + int(rest)


# --- files as they come -----------------------------------------------------------------------------------------------

ONE = "1\n00:00:01,000 --> 00:00:04,000\nTwo hundred grams of flour goes in.\n\n"


def lines_of(tmp_path: Path, data: bytes, name: str = "film.srt") -> list[str]:
    path = tmp_path / name
    path.write_bytes(data)
    return [entry.text for stage in spoken.read(path, kitchen()).recipe.stages for entry in stage.entries]


@pytest.mark.parametrize(
    "data",
    [
        ONE.encode(),
        b"\xef\xbb\xbf" + ONE.encode(),
        ONE.encode("utf-16"),
        ONE.replace("\n", "\r\n").encode(),
        ONE.replace("Two", "<i>Two</i>").replace("flour", "<font color='red'>flour</font>").encode(),
        ONE.replace("Two", "{\\an8}Two").encode(),
        ONE.replace("Two", "[music] TOM: Two").encode(),
        ONE.replace("goes in.", "goes in.\nhttps://example.org/00:00:01 <script>alert(1)</script>").encode(),
        (ONE + ONE.replace("01,000", "03,000").replace("04,000", "09,000")).encode(),  # it stays on the screen
        (ONE + "2\nnot a time --> at all\nThree hundred grams of sugar.\n\n").encode(),
    ],
)
def test_captions_are_read_as_they_come(tmp_path: Path, data: bytes) -> None:
    assert lines_of(tmp_path, data)[0] == "200 g flour"


def test_web_captions_that_roll_say_each_word_once(tmp_path: Path) -> None:
    text = (
        "WEBVTT\n\nNOTE made by a machine\n\n00:01.000 --> 00:03.000 align:start\nso that's about a kilo\n\n"
        "00:03.000 --> 00:05.000\nso that's about a kilo\nof potatoes and a\n\n"
        "00:05.000 --> 00:07.000\nof potatoes and a\ncouple of tablespoons of oil\n"
    )
    assert lines_of(tmp_path, text.encode(), "film.vtt") == ["1 kg potatoes", "2 tablespoons oil"]


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "no caption with its times"),
        (b"just some words\nwithout any times\n", "no caption with its times"),
        (b"\xff\xfe\x00\xd8", "cannot be read"),
        (b"x" * 3_000_000, "bytes"),
        (
            b"".join(b"%d\n00:00:01,000 --> 00:00:02,000\nsalt\n\n" % n for n in range(20_500)),
            "more than 20,000 captions",
        ),
    ],
)
def test_what_holds_no_captions_is_refused_in_one_sentence(tmp_path: Path, data: bytes, words: str) -> None:
    with pytest.raises(InputError, match=words) as error:
        lines_of(tmp_path, data)
    assert "\n" not in str(error.value)


def test_a_missing_package_is_named_with_what_to_do(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "pysubs2", None)
    with pytest.raises(InputError, match=r"pip install '\.\[captions\]'"):
        lines_of(tmp_path, ONE.encode())


@pytest.mark.parametrize(
    ("said", "lines"),
    [
        ("About a kilo of potatoes, peeled.", ["1 kg potatoes"]),
        ("A couple of tablespoons of oil goes in.", ["2 tablespoons oil"]),
        ("That's about three hundred grams of flour, two fifty will do.", ["250 g flour"]),
        ("Half a dozen eggs, beaten.", ["6 eggs"]),
        ("Two and a half litres of water go in the pot.", ["2.5 litres water"]),
        ("A pound and a half of mince.", ["1.5 pound mince"]),
        ("I bought this pan for fifty pounds.", []),
        ("My nan used four eggs, I use two eggs.", ["2 eggs"]),
        ("I don't put garlic in.", []),
        ("Some people add cream.", []),
        ("Did I say two onions?", []),
    ],
)
def test_amounts_are_taken_as_they_are_said(tmp_path: Path, said: str, lines: list[str]) -> None:
    salt = "A pinch of salt goes in."  # so that there is a recipe
    found = lines_of(tmp_path, f"1\n00:00:01,000 --> 00:00:06,000\n{said} {salt}\n\n".encode())
    assert found == [*lines, "1 pinch salt"]


def test_an_amount_of_something_nobody_knows_is_said(tmp_path: Path) -> None:
    path = tmp_path / "film.srt"
    path.write_text("1\n00:00:01,000 --> 00:00:06,000\nSome milk goes in. Two hundred grams of zorblax.\n\n")
    found = spoken.read(path, kitchen())
    assert any("zorblax at 0:01, with an amount" in note for note in found.head)
    assert not any("200" in entry.text for entry in found.recipe.stages[0].entries)


def test_the_command_line_drafts_captions_and_asks_for_a_draft_first(tmp_path: Path) -> None:
    film = tmp_path / "film.srt"
    film.write_text(ONE)
    drafted = CliRunner().invoke(main, ["draft", str(film), "-o", str(tmp_path / "film.yaml")])
    assert drafted.exit_code == 0
    text = (tmp_path / "film.yaml").read_text()
    assert "- 200 g flour  # 0:01" in text
    asked = CliRunner().invoke(main, ["analyse", str(film)])
    assert asked.exit_code == 2
    assert "nutrilab draft" in asked.stderr
    again = CliRunner().invoke(main, ["draft", str(film), "-o", str(tmp_path / "film.yaml")])
    assert again.exit_code == 2
    assert "not written over" in again.stderr
    assert (tmp_path / "film.yaml").read_text() == text
