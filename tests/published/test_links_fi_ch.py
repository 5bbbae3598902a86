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
from nutrilab.bench import Bench
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
        assert (found.food_id or NONE) == food, (words, state)
        assert sure in ("sure", "likely", "doubtful") or (food, sure) == (NONE, "none")


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


FAR_OFF = {
    # A cube is no stock, a sauce mix no sauce, milk powder no milk, rose hips are no rosé.
    "fi-fineli": {"vegetable stock", "chicken stock", "lamb stock", "rosé", "white bread", "thyme"},
    "ch-sfcd": {"fish stock", "rosé", "vegetable stock cube", "ginger beer", "chestnut flour"},
}
DOUBTFUL = {
    "fi-fineli": {"hollandaise": "fi:32175", "béarnaise sauce": "fi:32153", "anchovies": "fi:829"}
    | {"tinned apricot halves": "fi:11054", "tinned plums": "fi:11053"},
    "ch-sfcd": {"tinned apricot halves": "ch:379", "tinned plums": "ch:474"},
}
READY = {
    "fi-fineli": {"fish stock": "fi:75", "semi-skimmed": "fi:684", "vegetable bouillon powder": "fi:29008"},
    "ch-sfcd": {"vegetable stock": "ch:664", "hot chicken stock": "ch:665", "semi-skimmed": "ch:59"},
}


def test_a_near_name_far_off_what_is_meant_is_no_food_and_a_dry_one_doubtful(linker: TableLinker) -> None:
    table = linker.table.path.name.removesuffix(".foods.parquet")
    found = {words: linker.find(read(words, None, "")) for words in FAR_OFF[table]}
    assert {words: one.food_id for words, one in found.items() if one.food_id} == {}
    for words, food in DOUBTFUL[table].items():
        one = linker.find(read(words, None, ""))
        assert (one.food_id, one.sureness) == (food, "doubtful"), words
    for words, food in READY[table].items():
        one = linker.find(read(words, None, ""))
        assert one.food_id == food, words
        assert one.sureness.stands, words


def test_what_a_name_asks_of_the_pack_is_asked_by_a_table_that_lacks_the_food(linker: TableLinker) -> None:
    """By the embedded table's food for the words: no food, and so not contained, but not silent either."""
    line = "2 tbsp vegetable bouillon powder" if linker.table.path.name.startswith("ch") else "1 litre lamb stock"
    alone, beside = (Bench(tables).line(line) for tables in ([linker.table], [linker.table, embedded()]))
    assert alone.foods[0].link.food is None
    known = {*beside.findings.contains, *beside.findings.check}
    assert {"celery"} <= known <= {*alone.findings.contains, *alone.findings.check}


def test_the_zest_of_a_lemon_is_not_its_flesh_and_a_mixture_with_rye_no_bread_flour(linker: TableLinker) -> None:
    bench = Bench([linker.table, embedded()], alternatives=False)
    for line, food in {"zest of 1 lemon": "sr:09156", "1 tsp finely grated orange zest": "sr:09216"}.items():
        (found,) = bench.line(line).foods
        assert found.link.food is not None
        assert found.link.food.food_id == food, line
    (flour,) = bench.line("400 g bread flour").foods
    assert flour.link.food is not None
    assert "mixture" not in flour.link.food.name
