"""`nutrilab lines --explain`: every room speaks, and every row it names is there and says so."""

from __future__ import annotations

import pytest
from click.testing import CliRunner

from nutrilab.cli import main
from nutrilab.datafiles import FOLDER
from nutrilab.explaining import Said, explain
from nutrilab.foods import embedded
from nutrilab.kitchen import Kitchen
from nutrilab.lexicon import spelt_out


def told(text: str) -> tuple[Said, ...]:
    return explain(Kitchen([embedded()], alternatives=False).line(text))


def row_at(place: str) -> str:
    """The line of the data file that a place names."""
    name, _, line = place.partition(", line ")
    (path,) = [path for path in FOLDER.rglob(name) if path.parent.name != "names"] or FOLDER.rglob(name)
    return path.read_text(encoding="utf-8").splitlines()[int(line) - 1]


@pytest.mark.parametrize(
    ("line", "row_of_food", "weight", "kind"),
    [
        ("2 bangers", "banger", "pieces.csv", "sausage"),
        ("1 onion, peeled", "onion", "pieces.csv", "onion"),
        ("2 tbsp golden syrup", "golden syrup", "densities.csv", "ready"),
        ("1 punnet strawberries", "strawberry", "packs.csv", "fruit"),
    ],
)
def test_every_room_names_its_row(line: str, row_of_food: str, weight: str, kind: str) -> None:
    said = told(line)
    by_room = {one.room: one for one in said}
    assert set(by_room) >= {"reading", "name", "food", "weight", "stove", "allergens", "always"}
    assert row_of_food in list(spelt_out(row_at(by_room["food"].places[0]).split(",")[0].strip('"')))
    assert by_room["weight"].places[0].startswith(weight)
    assert kind in by_room["stove"].text
    assert row_at(by_room["stove"].places[0]).split(",")[0] in by_room["stove"].text


def test_a_rule_is_quoted_with_its_row_and_what_stands_in_the_end() -> None:
    said = [one for one in told("200 ml coconut milk") if one.room == "allergens"]
    against = next(one for one in said if "does not mean milk" in one.text)
    assert "coconut milk" in row_at(against.places[0])
    assert not any(one.text.startswith("so: contains milk") for one in said)
    said = [one for one in told("2 slices of rye bread") if one.room == "allergens"]
    assert any(one.text.startswith("so: contains gluten") for one in said)
    for one in said:
        for place in one.places:
            assert one.text.split('"')[1].split()[-1] in row_at(place)


def test_a_state_and_another_word_for_a_name_are_said_with_their_rows() -> None:
    said = told("400 g tin of zucchini, drained")
    state = next(one for one in said if "says that it is tinned" in one.text)
    assert row_at(state.places[0]).split(",")[0].split("|")[0] in ("tin", "tins of", "tin of")
    said = told("100 g whole grain mustard")
    name = next(one for one in said if one.room == "name")
    assert "mustard" in row_at(name.places[0])


def test_what_nobody_knows_is_said() -> None:
    said = told("3 zorblings")
    assert any(one.room == "food" and "linked to no food" in one.text for one in said)
    assert any(one.room == "weight" and "nobody knows" in one.text for one in said)
    assert "cross-contact" in " ".join(one.text for one in said if one.room == "always").lower()
    assert told("For the sauce:")[0].text == "a heading, no food"


def test_the_command_answers_in_words_and_takes_nothing_beside() -> None:
    found = CliRunner().invoke(main, ["lines", "--explain", "2 bangers"])
    assert found.exit_code == 0
    assert "usda-sr.csv, line" in found.output
    assert "check the pack for gluten" in " ".join(found.output.split())
    for more in (["--format", "jsonl"], ["--ask"], ["list.txt"]):
        refused = CliRunner().invoke(main, ["lines", "--explain", "2 bangers", *more])
        assert refused.exit_code == 2
        assert "leave FILE, --format and --ask out" in refused.output
    assert CliRunner().invoke(main, ["lines", "--explain", "x" * 100_000]).exit_code == 2
