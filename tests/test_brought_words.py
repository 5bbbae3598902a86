"""Words that reach a table by the numbers of the Standard Reference, and words a table brings."""

from __future__ import annotations

from pathlib import Path

import pandas as pd
import pytest

from data_loaders import registry, schema
from data_loaders.schema import Provenance, TableData, TableError
from nutrilab.bench import Bench
from nutrilab.foods import FoodTable, embedded
from nutrilab.lines.query import read
from nutrilab.linking.brought import check_words, numbered
from nutrilab.linking.linker import TableLinker
from tests import usda_fdc_files
from tests.untried_tables import canadian, put

WORDS = [
    ("Apfelsaft|harbour apple juice", "", "hafen:1", "sure", "the table's own"),
    ("rapeseed oil", "", "hafen:2", "likely", "read as rapeseed"),
]


def german(words: list[tuple[str, ...]] | None = None) -> TableData:
    head = {"group": "", "source": "Hafentabelle", "refuse": float("nan")}
    columns = [*schema.FOOD_COLUMNS, "FAT"]
    foods = pd.DataFrame([
        {"food_id": "hafen:1", "name": "Apfelsaft", "scientific_name": "en: Apple juice", "FAT": 0.1, **head},
        {"food_id": "hafen:2", "name": "Rapsöl", "scientific_name": "en: Rapeseed oil", "FAT": 99.0, **head},
    ], columns=columns)  # fmt: skip
    measures = pd.DataFrame([("hafen:1", 1.0, "ml", 1.05)], columns=list(schema.MEASURE_COLUMNS))
    about = Provenance("Hafentabelle", "1", *["made up"] * 5)
    return TableData(foods, measures, about, words=pd.DataFrame(words or WORDS, columns=list(schema.WORD_COLUMNS)))


def linker(table: TableData, place: Path, name: str) -> TableLinker:
    return TableLinker(FoodTable(schema.write(table, place, name)), TableLinker(embedded()))


@pytest.mark.parametrize(("words", "food", "sure"), [
    ("Apfelsaft", "hafen:1", "sure"), ("harbour apple juice", "hafen:1", "sure"),
    ("canola oil", "hafen:2", "likely"),  # another word for a name it brings
])  # fmt: skip
def test_words_a_table_brings_reach_its_foods(tmp_path: Path, words: str, food: str, sure: str) -> None:
    found = linker(german(), tmp_path, "hafen").find(read(words, None, ""))
    assert (found.food_id, found.sureness) == (food, sure)


def test_words_with_letters_of_another_language_reach_their_food(tmp_path: Path) -> None:
    words = [("hazelnut spread|Rübsenöl", "", "hafen:2", "sure", "the table's own")]
    found = linker(german(words), tmp_path, "hafen").find(read("Rübsenöl", None, ""))
    assert (found.food_id, found.sureness) == ("hafen:2", "sure")


def test_a_word_that_nothing_english_stands_behind_leaves_its_line_unresolved(tmp_path: Path) -> None:
    """Labskaus mostly holds fish, and no rule hears that; what has an English name, or a name we know, is resolved."""
    table = german([*WORDS, ("labskaus", "", "hafen:3", "sure", "the table's own")])
    table.foods.loc[2] = {**table.foods.loc[1], "food_id": "hafen:3", "name": "Labskaus", "scientific_name": ""}
    hafen = FoodTable(schema.write(table, tmp_path, "hafen"))
    records = {line: Bench((hafen, embedded())).line(line) for line in ("200 g labskaus", "200 ml Apfelsaft")}
    assert records["200 g labskaus"].foods[0].link.food.food_id == "hafen:3"
    assert [record.resolved for record in records.values()] == [False, True]


@pytest.mark.parametrize("row", [("x", "", "hafen:9", "sure", ""), ("x", "", "hafen:1", "certain", ""),
                                 (" ", "", "hafen:1", "sure", "")])  # fmt: skip
def test_words_of_no_food_or_sureness_are_refused(tmp_path: Path, row: tuple[str, ...]) -> None:
    with pytest.raises(TableError):
        schema.write(german([row]), tmp_path, "hafen")
    assert list(tmp_path.iterdir()) == []


def test_a_state_that_reading_does_not_know_is_refused(tmp_path: Path) -> None:
    with pytest.raises(TableError, match="not understood"):
        check_words(german([("Apfelsaft", "sparkly", "hafen:1", "sure", "")]).words, tmp_path)


def test_the_numbers_of_the_standard_reference_bring_its_words(tmp_path: Path) -> None:
    canada = linker(registry.load("ca-cnf", put(tmp_path / "ca", canadian())), tmp_path, "ca-cnf")
    assert numbered(canada.table)["sr:01001"] == "ca:118"
    butter, carrot = (canada.find(read(name, None, "")) for name in ("salted butter", "carrots"))
    assert (butter.food_id, butter.sureness) == ("ca:118", "sure")
    assert carrot.food_id == "ca:2485"


def test_a_food_that_was_analysed_anew_is_less_sure(tmp_path: Path) -> None:
    files = canadian()
    files["NUTRIENT_AMOUNT.csv"] = files["NUTRIENT_AMOUNT.csv"].replace(b"118,307,643", b"118,307,11")
    canada = linker(registry.load("ca-cnf", put(tmp_path / "ca", files)), tmp_path, "ca-cnf")
    found = canada.find(read("salted butter", None, ""))
    assert (found.food_id, found.sureness) == ("ca:118", "likely")


def test_foods_of_fooddata_central_have_links(tmp_path: Path) -> None:
    table = registry.load("usda-fdc", usda_fdc_files.folder(tmp_path / "fdc"))
    american = linker(table, tmp_path, "usda-fdc")
    assert numbered(american.table)["sr:01001"] == "fdc:173410"
    assert american.find(read("salted butter", None, "")).food_id == "fdc:173410"
