"""Each name's food in each table against the others by composition: what lies far apart is another food, or explained.

Tables: USDA SR28; UK Composition of Foods Integrated Dataset, proximates of 2015 and inorganics of 2021 (Open
Government Licence v3); CIQUAL 2020 (Anses, Licence Ouverte). Protein, fat, available carbohydrate, water and sodium
within `nutrilab.linking.tolerance.FAR`; far_apart.csv holds the pairs that are not, each with its reason.

Two checks: of every name and state through the linking, where the tables are; and of the rows of the word lists, by
the figures of their foods in listed_foods.csv (made by tests/derive/listed_foods.py), anywhere.
"""

from __future__ import annotations

import csv
import re
from collections import defaultdict
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

from nutrilab.foods import FoodTable, embedded
from nutrilab.lexicon import entries
from nutrilab.lexicon.check import far_apart
from nutrilab.lexicon.names import LATER, Entry
from nutrilab.lines.query import read
from nutrilab.linking.linker import TableLinker
from nutrilab.linking.tolerance import far_off
from nutrilab.linking.wordlists import NONE, food_id
from tests.published.three_tables import HERE, WHY_NOT, british, french

HOME = Path(__file__).parent
MEAT = re.compile(
    "^M[A-Z]{0,2} |meat|beef|pork|lamb|veal|poultry|sausage", re.IGNORECASE
)  # groups of the three tables; UK: M
TABLES = ("usda-sr", "uk-cofid", "fr-ciqual")
OF_2021_ALONE = {"uk:13-651"}  # whose proximates are not in ../shared/reference


def rows(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


def explained() -> dict[tuple[str, str], str]:
    return {(row["one"], row["other"]): row["why"] for row in rows(HOME / "far_apart.csv")}


def phrases() -> Iterator[str]:
    """Every name as a line says it, with each state that a list has it in."""
    found: dict[str, None] = {}
    for table in TABLES:
        for words, state, *_ in entries(table) or ():
            states = [one.replace("-", " ") for one in state.split() if not one.startswith("!")]
            behind = [one for one in states if one.startswith("in ")]
            found[" ".join((*(one for one in states if one not in behind), words, *behind))] = None
    return iter(found)


# -- the whole way, where the tables are ---------------------------------------------------------------


@pytest.mark.skipif(not HERE, reason=WHY_NOT)
def test_a_name_means_one_food_whichever_table_answers() -> None:
    american = TableLinker(embedded(), None, False)
    others: tuple[FoodTable, ...] = (british(), french())
    linkers = (american, *(TableLinker(table, american, False) for table in others))
    known, far, compared = explained(), {}, 0
    for phrase in phrases():
        query = read(phrase)
        links = [linker.link(query) for linker in linkers]
        foods = [link.food for link in links if link.food is not None and link.understood]
        for place, one in enumerate(foods):
            for other in foods[place + 1 :]:
                compared += 1
                if apart := far_off(one.values, other.values):
                    far.setdefault((one.food_id, other.food_id), f"{phrase!r}: {one.name} / {other.name}: {apart}")
    assert compared > 15000
    wrong = [words for pair, words in far.items() if pair not in known]
    assert not wrong, "\n".join(wrong)
    needed = {*far, *(pair for pair in known if by_lists(pair))}
    assert set(known) == needed, sorted(set(known) - needed)  # an explanation nobody needs any more goes


def by_lists(pair: tuple[str, str]) -> bool:
    """Whether two rows of the same words and states name the two foods."""
    return not {row[:2] for row in sure_rows(pair[0])}.isdisjoint(row[:2] for row in sure_rows(pair[1]))


@cache
def sure_rows(food: str) -> tuple[Entry, ...]:
    return tuple(r for t in TABLES for r in entries(t) or () if food_id(r[2]) == food and r[3] != "doubtful")


# -- the lists alone, anywhere -------------------------------------------------------------------------


def listed() -> dict[str, dict[str, float]]:
    """Food -> its figures, of the foods that the lists of the UK and the French table name; the embedded one's too."""
    found: dict[str, dict[str, float]] = {}
    for row in rows(HOME / "listed_foods.csv"):
        found[row["food"]] = {tag: float(value) for tag, value in row.items() if tag.isupper() and value}
    return found


def test_the_extract_holds_the_foods_of_the_lists() -> None:
    found = (row for table in TABLES[1:] for row in entries(table) or ())
    wanted = {row[2] for row in found if row[2] != NONE and not row[5].startswith(LATER)}
    assert wanted - set(listed()) == OF_2021_ALONE
    assert all(len(values) >= 3 for values in listed().values())


def test_a_row_of_another_food_fails_the_check() -> None:
    """The word lists as they are; and with a wrong food put in."""
    figures, known = listed(), explained()
    american = TableLinker(embedded(), None, False)

    def values(food: str) -> dict[str, float] | None:
        return figures.get(food) or (dict(american.food(food).values) if food in american else None)

    def apart(one: str, other: str) -> list[str]:
        a, b = values(one), values(other)
        return [f"{tag} {x:g} / {y:g}" for tag, (x, y) in far_off(a, b).items()] if a and b else []

    by_table = {
        table: [(*row[:2], food_id(row[2]), *row[3:]) for row in entries(table) or () if row[3] != "doubtful"]
        for table in TABLES
    }
    assert list(far_apart(by_table, apart, known)) == []
    at = next(n for n, row in enumerate(by_table["fr-ciqual"]) if row[:2] == ("sponge finger", ""))
    wrong = (*by_table["fr-ciqual"][at][:2], "fr:13009", *by_table["fr-ciqual"][at][3:])
    found = list(far_apart(by_table | {"fr-ciqual": [wrong]}, apart, known))
    assert found
    assert "fr-ciqual.csv" in found[0]


def test_every_explanation_is_of_two_tables_and_says_why() -> None:
    seen = defaultdict(int)
    for row in rows(HOME / "far_apart.csv"):
        seen[row["one"], row["other"]] += 1
        assert row["one"].partition(":")[0] != row["other"].partition(":")[0], row
        assert len(row["why"]) > 10, row
    assert max(seen.values()) == 1


def test_a_reason_about_salt_goes_with_sodium_and_one_about_trimming_with_fat() -> None:
    reasons: dict[str, set[str]] = defaultdict(set)
    for row in rows(HOME / "far_apart.csv"):
        reasons[row["why"]].add(row["apart"].split()[0])
    salty = {why for why in reasons if any(word in why for word in ("salt", "salted", "salting", "brine", "sea water"))}
    assert len(salty) > 5
    assert {why: reasons[why] for why in salty if reasons[why] != {"NA"}} == {}
    assert {tag for why, tags in reasons.items() if "trimmed" in why for tag in tags} == {"FAT"}


@pytest.mark.skipif(not HERE, reason=WHY_NOT)
def test_only_meat_is_trimmed() -> None:
    tables = {"sr": embedded(), "uk": british(), "fr": french()}
    for row in rows(HOME / "far_apart.csv"):
        if "trimmed" in row["why"]:
            foods = [tables[one.partition(":")[0]].food(one) for one in (row["one"], row["other"]) if "mix:" not in one]
            assert foods
            assert all(MEAT.search(food.group) for food in foods), (row, [food.group for food in foods])
