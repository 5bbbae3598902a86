"""The compile check of the lexicon: on the files as they are, and each of its faults seen once.

What it says of allergens, names beside their siblings, is in test_siblings.py.
"""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from nutrilab.datafiles import FOLDER, rows
from nutrilab.lexicon import check, entries
from nutrilab.lexicon.names import LATER, LATER_COLUMNS, Entry, cells, known_as
from nutrilab.linking.wordlists import WordList, filed

LONG = ("usda-sr", "uk-cofid", "fr-ciqual")
TABLES = ("usda-sr", "uk-cofid", "fr-ciqual", "fi-fineli", "ch-sfcd")


def means(found: list[Entry]) -> dict[Entry, object]:
    """Each entry with its words and states as linking reads them."""
    read = dict(zip(found, WordList(filed(found)), strict=True))
    return {entry: (row.words, row.when, row.unless) for entry, row in read.items()}


def of_edition(table: str, later: bool) -> list[Entry]:
    """The entries of a table but for the codes of its other edition."""
    codes = {row[1 - later] for _, row in cells(FOLDER / "foods" / LATER, LATER_COLUMNS)}
    return [entry for entry in entries(table) or () if entry[2] not in codes]


def describing() -> list[tuple[str, dict[str, str]]]:
    return [(f"words.csv, row {number}", row) for number, row in enumerate(rows("words.csv"), 1)]


# -- the files as they are ----------------------------------------------------------------------------


def test_a_name_is_written_once() -> None:
    assert len(check.name_rows()) > 10000
    assert list(check.written_twice(check.name_rows())) == []


def test_every_fact_is_of_a_name_that_a_list_knows_and_every_name_has_a_fact() -> None:
    assert len(check.facts()) > 10000
    assert list(check.unknown_names(check.facts(), check.name_rows())) == []
    assert list(check.idle_names(check.facts(), check.name_rows())) == []


def test_no_two_rows_of_the_same_words_and_states_differ() -> None:
    for table in TABLES:
        for later in (False, True):
            found = of_edition(table, later)
            assert len(found) > (3000 if table in LONG else 300)
            assert list(check.contradictions(found, means(found).__getitem__)) == []


def test_a_word_that_says_something_of_a_food_stands_in_one_row() -> None:
    """Its part in a line, whether it is filler, what state it says: all of it together."""
    assert list(check.described_twice(describing())) == []
    gone = {"line_words.csv", "filler.csv", "attributes.csv", "forms.csv", "head_words.csv"}
    assert gone.isdisjoint(p.name for p in FOLDER.glob("*.csv"))


def test_lists_that_say_the_same_share_no_word() -> None:
    lists = [(file, [word for row in rows(file) for word in row[column].split("|")]) for file, column in check.APART]
    assert all(len(found) > 200 for _, found in lists)
    assert list(check.listed_twice(lists)) == []
    (said,) = check.listed_twice([("one.csv", ["mussel", "cockle"]), ("other.csv", ["cockle"])])
    assert said.startswith("other.csv: 'cockle' stands in one.csv too")


# -- each fault seen once -----------------------------------------------------------------------------


def test_a_name_written_twice_is_seen() -> None:
    """In another list, in another number, or among the other words of its own row."""
    for fault in (
        check.Row("fruit.csv, line 900", "courgettes", ()),
        check.Row("fruit.csv, line 900", "marine squash", ("zucchini",)),
        check.Row("fruit.csv, line 900", "marine squash", ("marine squashes",)),
    ):
        found = list(check.written_twice([*check.name_rows(), fault]))
        assert len(found) == 1
        assert found[0].startswith("fruit.csv, line 900")


def test_a_piece_or_a_density_of_a_name_no_list_knows_is_seen() -> None:
    known = check.name_rows()
    assert "no list of names/ knows 'zorbling'" in next(
        check.unknown_names([check.Fact("pieces.csv, line 900", ("carrot", "zorbling"))], known)
    )
    also = next(row for row in known if row.also)
    fault = check.Fact("densities.csv, line 900", (also.also[0],))
    assert "write the name" in next(check.unknown_names([fault], known))
    assert list(check._named("courgette -baby|@fish|group:Fats and Oils|-tail|@meat raw")) == ["courgette"]


def test_a_name_of_which_nothing_is_said_is_seen() -> None:
    assert "'zorbling'" in next(check.idle_names([], [check.Row("fruit.csv, line 900", "zorbling", ())]))


def test_two_rows_that_contradict_each_other_are_seen() -> None:
    """The same food less sure, another food, and the same words by way of a state."""
    base: Entry = ("tinned tuna", "", "sr:15121", "sure", "x", "usda-sr.csv, line 1")
    for other in (
        ("tinned tuna", "", "sr:15121", "likely", "x", "usda-sr.csv, line 2"),
        ("tinned tuna", "", "sr:15119", "sure", "x", "usda-sr.csv, line 2"),
        ("tuna", "tinned", "none", "none", "x", "usda-sr.csv, line 2"),
        ("canned tuna", "", "sr:15119", "sure", "x", "usda-sr.csv, line 2"),
    ):
        (said,) = check.contradictions([base, other], means([base, other]).__getitem__)
        assert said.startswith("usda-sr.csv, line 2: ")
    fine: Entry = ("tuna", "", "sr:15119", "sure", "x", "usda-sr.csv, line 2")
    assert list(check.contradictions([base, fine], means([base, fine]).__getitem__)) == []


def test_a_word_list_beside_the_lexicon_is_seen() -> None:
    """A phrase with a second row: as written, in another number as filler, and as a state in another spelling."""
    empty = {"words": "", "line": "", "filler": "", "state": "", "read": "", "ground": "x"}
    for fault in (
        {"words": "peeled", "line": "tail"},
        {"words": "tablespoons", "filler": "any"},
        {"words": "skin on", "state": "skin-on", "read": "same"},
    ):
        (said,) = check.described_twice([*describing(), ("words.csv, row 9999", empty | fault)])
        assert said.startswith("words.csv, row 9999: ")


# -- one row in one file --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "line"),
    [("courgette", "2 {}s"), ("banger", "2 {}s"), ("rye bread", "2 slices of {}"), ("tahini", "2 tbsp {}")],
)
def test_a_word_more_has_all_that_its_name_has(name: str, line: str, tmp_path: Path) -> None:
    """ "zorbling" in the row of a name, in a copy of the data; same food, grams, allergens as that name."""
    data = tmp_path / "data"
    shutil.copytree(FOLDER, data)
    file, number = place_of(name)
    path = data / "names" / file
    lines = path.read_text(encoding="utf-8").splitlines(keepends=True)
    row = lines[int(number) - 1].rstrip("\n")
    lines[int(number) - 1] = row + ("zorbling\n" if row.endswith(",") else "|zorbling\n")
    path.write_text("".join(lines), encoding="utf-8")
    code = (
        "import json, sys; from pathlib import Path; import nutrilab.datafiles as d; d.FOLDER = Path(sys.argv[1]);"
        "from nutrilab.foods import embedded; from nutrilab.kitchen import Kitchen;"
        "k = Kitchen([embedded()]); r = [k.line(t) for t in sys.argv[2:]];"
        "print(json.dumps([[x.foods[0].link.food.food_id, x.sureness, x.grams, sorted(x.findings.contains),"
        " sorted(x.findings.check)] for x in r]))"
    )
    asked = [line.format(word) for word in (name, "zorbling")]
    done = subprocess.run([sys.executable, "-c", code, str(data), *asked], capture_output=True, text=True, check=True)
    one, other = json.loads(done.stdout)
    assert one == other


def place_of(name: str) -> tuple[str, str]:
    """File and line of the row of a name."""
    known, place = known_as()[name]
    assert known == name
    file, _, number = place.partition(", line ")
    return file, number
