"""The words that reach the Finnish and the Swiss table, against the tables themselves and the embedded one.

Sources: Fineli, release 20 (THL, CC BY 4.0); Swiss Food Composition Database 5.3 (FSVO). What a list is sure of has the
energy, fat and salt of the food that the embedded table has for the same words (tolerances: nutrilab/linking/
tolerance.py), but for EXPLAINED.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from data_loaders import registry, schema
from nutrilab.foods import FoodTable, embedded
from nutrilab.lexicon.names import entries
from nutrilab.lines.query import read
from nutrilab.linking.linker import TableLinker
from nutrilab.linking.tolerance import agree
from nutrilab.linking.wordlists import NONE

REFERENCE = Path(__file__).parents[3] / "shared" / "reference"
FOLDERS = {"fi-fineli": "fineli", "ch-sfcd": "swiss"}
EXPLAINED = {"cocoa powder"}  # European cocoa has 22 to 24 % fat, the American 14 %


@pytest.fixture(scope="module", params=FOLDERS)
def linker(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> TableLinker:
    folder = REFERENCE / FOLDERS[request.param]
    if not folder.exists():
        pytest.skip(f"the published table ../shared/reference/{folder.name} is not beside this project")
    table = schema.write(registry.load(request.param, folder), tmp_path_factory.mktemp("table"), request.param)
    return TableLinker(FoodTable(table), american())


@cache
def american() -> TableLinker:
    return TableLinker(embedded())


def rows(linker: TableLinker) -> list[tuple[str, str, str, str]]:
    name = linker.table.path.name.removesuffix(".foods.parquet")
    return [row[:4] for row in entries(name) or ()]


def name(words: str, state: str) -> str:
    return " ".join([*(one for one in state.split() if not one.startswith("!")), words])


def test_every_food_is_in_the_table(linker: TableLinker) -> None:
    foods = {food for _, _, food, _ in rows(linker) if food != NONE}
    assert len(foods) > 250
    assert not foods - set(linker.table.ids)


def test_every_name_reaches_its_food(linker: TableLinker) -> None:
    for words, state, food, sure in rows(linker):
        found = linker.find(read(name(words, state), None, ""))
        assert found.food_id == food, (words, state)
        assert sure in ("sure", "likely", "doubtful")


def test_what_is_sure_agrees_with_the_embedded_table_and_has_the_figures_of_a_label(linker: TableLinker) -> None:
    looked = 0
    for words, state, food, sure in rows(linker):
        if sure != "sure":
            continue
        values = linker.table.food(food).values
        assert {"PROCNT", "CHOAVL", "FAT", "NA"} <= set(values), (words, state)
        other = american().find(read(name(words, state), None, ""))
        if other.food_id and other.sureness == "sure" and words not in EXPLAINED:
            looked += 1
            assert agree(values, american().food(other.food_id).values), (words, state)
    assert looked > 120
