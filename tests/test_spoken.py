"""Captions of cooks who speak: what they meant is found, what they did not say is not."""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import pytest

from nutrilab import spoken
from nutrilab.foods import embedded
from nutrilab.kitchen import Kitchen

LONGEST = 12  # [s] of a sentence
HERE = Path(__file__).parent / "captions"
FILMS = sorted(path for path in HERE.iterdir() if path.suffix in (".srt", ".vtt"))


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
    text = (line for line in path.with_suffix(".csv").read_text().splitlines() if not line.startswith("#"))
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
    assert len(FILMS) >= 4
    assert sum(one.foods for one in scores) >= 0.9 * meant, [one.wrong for one in scores]
    assert sum(one.grams for one in scores) >= 0.85 * meant, [one.wrong for one in scores]


@pytest.mark.parametrize("path", FILMS, ids=lambda p: p.stem)
def test_nothing_is_found_that_was_not_said(path: Path) -> None:
    assert score(path).not_said == ()


@pytest.mark.parametrize("path", FILMS, ids=lambda p: p.stem)
def test_each_line_has_its_time(path: Path) -> None:
    """A comment names the time at which the sentence begins, so some seconds before the words of the line."""
    rows = csv.DictReader(line for line in path.with_suffix(".csv").read_text().splitlines() if line[0] != "#")
    times = [seconds(row["time"]) for row in rows]
    notes = [note.partition(': "')[0] for said in heard(path).lines.values() for note in said]
    there = [seconds(time) for note in notes for time in re.findall(r"\b\d+:\d\d\b", note)]
    near = [time for time in times if any(0 <= time - begins <= LONGEST for begins in there)]
    assert len(near) >= 0.9 * len(times), sorted(set(times) - set(near))


def seconds(time: str) -> int:
    minutes, _, rest = time.partition(":")
    return 60 * int(minutes) + int(rest)
