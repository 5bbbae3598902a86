"""The word lists of the UK table: every food is there, and what they name agrees with the American lists word by word.

Foods: UK Composition of Foods Integrated Dataset, proximates of 2015 and minerals of 2021 (../shared/reference, Open
Government Licence v3); USDA SR28, the embedded table. Where both lists have the same words, energy by the Regulation,
fat and salt must lie within BOUNDS, or the food stands in EXPLAINED with the reason.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path

import openpyxl
import pytest

from data_loaders import schema, uk_cofid
from nutrilab.foods import Food, FoodTable, embedded
from nutrilab.law.energy import energy_regulation, salt
from nutrilab.lines import parse_line
from nutrilab.lines.query import read
from nutrilab.linking import Linker
from nutrilab.linking.linker import TableLinker
from nutrilab.linking.wordlists import NONE, WordRow, word_list

SHARED = Path(__file__).parents[3] / "shared"
NEW = "later-editions.csv"
FILES = ("cofid-2015-proximates.csv", "cofid-2021-minerals-vitamins.xlsx")
needs_table = pytest.mark.skipif(
    not all((SHARED / "reference" / name).exists() for name in FILES),
    reason="../shared/reference/cofid-* is not here: the foods of the word lists are not checked",
)

# per 100 g, share of the larger of the two or the floor, whichever is more: wider than the tolerances of a label, for
# two countries' foods differ by nature; a wrong food is further off than this
BOUNDS = {"energy": (0.4, 40.0), "fat": (0.4, 4.0), "salt": (0.5, 0.6)}

# Real differences, found with the comparison and looked at one by one: food -> why the two tables do not agree.
TRIM = "cuts and mince are trimmed to more or less fat"
SALT = "made with more or less salt"
KIND = "the same word names another kind of it"
SUGAR = "British sugars and starch are analysed; American carbohydrate by difference counts acids and all else"
TABLE = "the analyses differ"
EXPLAINED: dict[str, str] = {
    code: reason
    for reason, some in {
        TRIM: "18-007 18-089 18-094 18-182 18-246 18-264 18-268 18-278 18-348 18-390 18-415 18-428 18-481 18-508 "
        "19-021 19-106 19-113 19-496 19-646",
        SALT: "11-1117 11-719 11-851 11-888 13-487 13-553 13-555 13-564 13-565 13-598 13-876 14-812 16-260 16-262 "
        "16-387 17-644 17-665 17-667 17-708",
        # English and Dijon mustard for American yellow, Greek style yogurt of 10 % fat, marzipan for almond paste,
        # sweet for fortified wine, ready for condensed soup, horseradish root for the sauce, one tuna for another ...
        KIND: "11-925 11-987 12-541 12-555 13-258 13-847 14-875 16-399 17-233 17-364 17-365 17-498 17-515 17-646 "
        "17-683 17-695 17-713 17-717 17-726",
        SUGAR: "13-146 13-342 14-178 17-158 17-378 17-379",
        TABLE: "11-902 13-118 13-837 13-845",
    }.items()
    for code in some.split()
}


def rows() -> list[WordRow]:
    lists = word_list("uk-cofid")
    assert lists is not None
    return list(lists)


def key(row: WordRow) -> tuple[str, frozenset[str], frozenset[str]]:
    return row.text, row.when - row.said, row.unless


@cache
def codes() -> tuple[frozenset[str], frozenset[str]]:
    """Food ids of the 2015 and of the 2021 edition."""
    with (SHARED / "reference" / FILES[0]).open(encoding="utf-8-sig", newline="") as file:
        old = frozenset(f"uk:{row['Food Code']}" for row in csv.DictReader(file))
    book = openpyxl.load_workbook(SHARED / "reference" / FILES[1], read_only=True)
    new = frozenset(f"uk:{cells[0]}" for cells in book["metals"].iter_rows(values_only=True, min_row=2))
    return old, new | {f"uk:{name}" for name in uk_cofid.PUBLISHED_TWICE.values()}


@pytest.fixture(scope="module")
def table(tmp_path_factory: pytest.TempPathFactory) -> FoodTable:
    folder = tmp_path_factory.mktemp("cofid")
    for name in FILES:
        (folder / name).symlink_to(SHARED / "reference" / name)
    return FoodTable(schema.write(uk_cofid.load(folder), tmp_path_factory.mktemp("tables"), "uk-cofid"))


# -- the lists by themselves --------------------------------------------------------------------------


def test_every_row_can_be_used() -> None:
    """Reading a row raises for an unknown state or sureness; none has no ground, and a food comes with a sureness."""
    found = rows()
    assert len(found) > 6000
    assert len({row.text for row in found}) > 5500
    for row in found:
        assert row.ground.strip(), row.place
        assert (row.food == NONE) == (row.sure == NONE), row.place
        assert row.food == NONE or row.food.startswith("uk:"), row.place


def test_no_words_stand_twice_in_one_edition() -> None:
    """Only the list of the 2021 codes repeats words, under other codes."""
    for new in (False, True):
        seen: dict[tuple[str, frozenset[str], frozenset[str]], str] = {}
        for row in rows():
            if row.place.startswith(NEW) == new:
                assert key(row) not in seen, (row.place, seen.get(key(row)))
                seen[key(row)] = row.place


# -- the foods ----------------------------------------------------------------------------------------


@needs_table
def test_every_food_is_in_the_table() -> None:
    old, new = codes()
    for row in rows():
        if row.food != NONE:
            assert row.food in (new if row.place.startswith(NEW) else old | new), row.place


@needs_table
def test_both_editions_are_served() -> None:
    """Words whose code the 2021 edition dropped have another row for it."""
    _, new = codes()
    served = {key(row) for row in rows() if row.food in new or row.food == NONE}
    lost = [row.place for row in rows() if key(row) not in served]
    assert not lost


def figures(food: Food) -> dict[str, float]:
    """Energy by the Regulation [kcal], fat [g], salt [g] per 100 g, as far as known."""
    values = food.values
    found: dict[str, float] = {}
    if {"PROCNT", "FAT"} <= set(values) and ("CHOAVL" in values or "CHOCDF" in values):
        found["energy"] = energy_regulation(values)[1]
    if "FAT" in values:
        found["fat"] = values["FAT"]
    if "NA" in values:
        found["salt"] = salt(values["NA"])
    return found


def apart(one: Mapping[str, float], other: Mapping[str, float]) -> list[str]:
    return [
        f"{name} {one[name]:.1f} / {other[name]:.1f}"
        for name, (share, floor) in BOUNDS.items()
        if name in one
        and name in other
        and abs(one[name] - other[name]) > max(floor, share * max(one[name], other[name]))
    ]


def pairs(table: FoodTable) -> Iterator[tuple[WordRow, Food, Food]]:
    """Rows of the same words in both lists, none of them doubtful, with their foods."""
    lists = word_list("usda-sr")
    assert lists is not None
    american = {key(row): row for row in lists}  # a later row corrects an earlier one
    linker = TableLinker(embedded())
    for row in rows():
        other = american.get(key(row))
        if (
            other is not None
            and row.food in table
            and other.food in linker
            and "doubtful" not in (row.sure, other.sure)
        ):
            yield row, table.food(row.food), linker.food(other.food)


@needs_table
def test_words_of_both_lists_agree_or_the_difference_is_explained(table: FoodTable) -> None:
    compared = 0
    needed = set()
    wrong = []
    for row, british, american in pairs(table):
        compared += 1
        if differences := apart(figures(british), figures(american)):
            needed.add(row.food.removeprefix("uk:"))
            if row.food.removeprefix("uk:") not in EXPLAINED:
                wrong.append(f"{row.place} -> {british.name} / {american.name}: {', '.join(differences)}")
    assert not wrong, "\n".join(wrong)
    assert compared > 3000
    assert needed == set(EXPLAINED)  # an explanation nobody needs any more goes


NAMES = [
    ("double cream", None, "uk:12-334"),
    ("self-raising flour", None, "uk:11-888"),
    ("tinned tomatoes", None, "uk:13-530"),
    ("dried chickpeas", None, "uk:13-074"),
    ("streaky bacon", "chopped", "uk:19-016"),
    ("golden syrup", None, "uk:17-065"),
    ("smoked haddock", "skinned", "uk:16-492"),
    ("cooked rice", None, "uk:11-862"),
    ("celery", "sliced", "uk:13-451"),
]


@needs_table
def test_names_are_linked_through_the_lists(table: FoodTable) -> None:
    linker = Linker([table])
    for name, preparation, food_id in NAMES:
        link = linker.link(read(name, preparation, name))
        assert link.food is not None
        assert (link.food.food_id, link.sureness) == (food_id, "sure"), name
    for name in ("pumpernickel", "fish sauce", "candied papaya"):
        assert linker.link(read(name)).food is None, name


@needs_table
def test_most_names_of_british_lines_are_known(table: FoodTable) -> None:
    path = SHARED / "gold" / "lines_unlabelled.txt"
    if not path.exists():
        pytest.skip("../shared/gold/lines_unlabelled.txt is not here: the share of known names is not measured")
    linker = Linker([table], alternatives=False)
    lines = map(parse_line, path.read_text(encoding="utf-8").splitlines())
    links = [linker.link(read(name, line.preparation, line.text)) for line in lines for name in line.names]
    assert len(links) > 1000
    assert sum(link.sureness in ("sure", "likely") for link in links) / len(links) > 0.80
