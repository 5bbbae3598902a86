"""Lines in four languages with the French workbook imported, the English one beside it and not.

Source: ANSES-CIQUAL French food composition table, version 2020-07-07 (Licence Ouverte; credit: Anses), both workbooks.

Every French name of the table as a line, the French table before the embedded one; of an allergen that the English name
of the food contains or asks for as the food of its group, nothing said though the line was understood:

    English names not read, lines complete (before)    193 of 1,043 names
    English workbook beside                              1
    French workbook alone                                2

"Sauce rouille" and "Crème anglaise": cooks' English lists know them, as mayonnaise and as custard, and the table's own
have anchovy and wheat flour.
"""

from __future__ import annotations

import shutil
from collections import Counter, defaultdict
from pathlib import Path

import pytest

from data_loaders import fr_ciqual, schema
from nutrilab.allergens.foods import witness
from nutrilab.datafiles import rows
from nutrilab.foods import FoodTable, embedded
from nutrilab.kitchen import Kitchen
from nutrilab.linking.english import in_english
from tests.test_languages import gold, holds

REFERENCE = Path(__file__).parents[3] / "shared" / "reference"
BOOKS = {language: REFERENCE / f"ciqual-2020-{language}.xls" for language in ("eng", "fra")}

pytestmark = pytest.mark.skipif(not all(map(Path.exists, BOOKS.values())), reason=f"not there: {REFERENCE}")


@pytest.fixture(scope="module")
def tables(tmp_path_factory: pytest.TempPathFactory) -> dict[str, FoodTable]:
    """beside: the French workbook with the English one in its folder; alone: without; english."""
    pytest.importorskip("xlrd", reason="xlrd reads .xls workbooks")
    folder = tmp_path_factory.mktemp("ciqual")
    lonely = folder / "lonely" / BOOKS["fra"].name
    lonely.parent.mkdir()
    shutil.copy(BOOKS["fra"], lonely)
    paths = {"beside": BOOKS["fra"], "alone": lonely, "english": BOOKS["eng"]}
    return {
        name: FoodTable(schema.write(fr_ciqual.load(path), folder / name, "fr-ciqual")) for name, path in paths.items()
    }


def first_words(name: str) -> str:
    return name.partition(",")[0].partition("(")[0].strip()


@pytest.mark.parametrize("column", ["beside", "alone"])
def test_the_table_of_outcomes(tables: dict[str, FoodTable], column: str) -> None:
    kitchen = Kitchen([tables[column], embedded()], alternatives=False)
    for row in gold():
        holds(kitchen, row, column)


@pytest.mark.parametrize("line", ["100 g noisettes", "50 g de chapelure", "huile d'arachide", "flocons d'avoine"])
@pytest.mark.parametrize("column", ["beside", "alone"])
def test_no_line_is_silent_and_complete_with_the_french_table_alone(
    tables: dict[str, FoodTable], column: str, line: str
) -> None:
    record = Kitchen([tables[column]], alternatives=False).line(line)
    assert record.findings.contains or record.findings.check
    assert not record.resolved or record.findings.contains


@pytest.mark.parametrize(("column", "most"), [("beside", 3), ("alone", 3)])
def test_every_french_name_as_a_line(tables: dict[str, FoodTable], column: str, most: int) -> None:
    english, french = tables["english"], tables[column]
    truth: dict[str, frozenset[str]] = {}
    for food_id, name in zip(french.ids, french.names, strict=True):
        known = witness(english.food(food_id))
        held = known.certain | known.likely
        truth[first_words(name)] = truth.get(first_words(name), held) & held
    kitchen = Kitchen([french, embedded()], alternatives=False)
    silent = []
    for line, held in truth.items():
        record = kitchen.line(line) if held else None
        if record is not None and record.resolved and held - set(record.findings.contains) - set(record.findings.check):
            silent.append(line)
    assert sum(map(bool, truth.values())) > 1000
    assert len(silent) <= most, silent


def test_the_two_workbooks_are_told_apart_and_give_one_set_of_groups(tables: dict[str, FoodTable]) -> None:
    assert [in_english(tables[name]) for name in ("english", "beside", "alone")] == [True, False, False]
    first, *others = (dict(zip(table.ids, table.groups, strict=True)) for table in tables.values())
    assert all(other == first for other in others)


def test_what_a_group_may_hold_covers_what_its_english_names_say(tables: dict[str, FoodTable]) -> None:
    """Of each group, every allergen that a tenth of its foods hold or ask for by their English names."""
    table = tables["english"]
    count = Counter(table.groups)
    said: dict[str, Counter[str]] = defaultdict(Counter)
    for food_id in table.ids:
        known = witness(table.food(food_id))
        said[table.food(food_id).group].update(known.certain | known.likely | known.asked)
    unread = {
        row["group"]: row["allergen"].split("|") for row in rows("allergens/groups.csv") if row["kind"] == "unread"
    }
    assert set(unread) <= set(count)
    lacking = [
        (group, allergen)
        for group, of_it in said.items()
        for allergen, n in of_it.items()
        if n >= 0.1 * count[group] and n > 2 and allergen not in unread.get(group, ())
    ]
    assert lacking == []
