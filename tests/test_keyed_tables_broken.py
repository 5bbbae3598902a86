"""Broken and hostile files of the Finnish, Swiss, Canadian and Norwegian table: one sentence each, exit 2, nothing
written."""

from __future__ import annotations

import os
import subprocess
import sys
import zipfile
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

import pytest

from data_loaders import registry
from data_loaders.schema import TableError
from tests import test_ch_sfcd, test_fi_fineli, untried_tables

HERE = Path(__file__).parents[1]
Files = dict[str, bytes]


def fineli() -> Files:
    return {name: text.replace("\n", "\r\n").encode("iso-8859-1") for name, text in test_fi_fineli.FILES.items()}


def swiss() -> Files:
    return {"generic-foods.csv": test_ch_sfcd.written(test_ch_sfcd.rows())}


TABLES: dict[str, Callable[[], Files]] = {
    "fi-fineli": fineli,
    "ch-sfcd": swiss,
    "ca-cnf": untried_tables.canadian,
    "no-matvaretabellen": untried_tables.norwegian,
}
# kind, file, what stands there, what is put there, what is said
CHANGES: list[tuple[str, str, bytes, bytes, str]] = [
    ("fi-fineli", "component_value.csv", b";", b",", "component_value.csv, line 1: the column FOODID is missing"),
    ("fi-fineli", "component_value.csv", b"81,300", b"81.300x", 'line 3: "81.300x" in the column BESTLOC'),
    ("fi-fineli", "component_value.csv", b"81,300", b"=1+1", 'line 3: "=1+1" in the column BESTLOC'),
    ("fi-fineli", "component_value.csv", b"81,300", b"nan", 'line 3: "nan" in the column BESTLOC'),
    ("fi-fineli", "component_value.csv", b"81,300", b"inf", 'line 3: "inf" in the column BESTLOC'),
    ("fi-fineli", "component_value.csv", b"81,300;S;S;MI0107", b"81,300", "line 3: 3 cells where 6 belong"),
    ("fi-fineli", "component_value.csv", b"500;PROT", b"501;PROT", "line 4: a value belongs to 501, a food that"),
    ("fi-fineli", "component_value.csv", b"500;PROT", b"500;PRXT", "line 4: a value belongs to PRXT, a component that"),
    ("fi-fineli", "component_value.csv", b"500;PROT", b"500;FAT", "line 4: a value of 500 stands here a second time"),
    ("fi-fineli", "component.csv", b"FAT;G", b"FAT;KJ", "the nutrient FAT is given in"),
    ("fi-fineli", "component.csv", b"NA;MG;X;X\r\n", b"", "component.csv: the component NA is missing"),
    ("fi-fineli", "food.csv", b"RAW;71", b"RAW;171", "food.csv, line 3: a share of refuse is not between 0 and 1"),
    ("fi-fineli", "foodname_FI.csv", "Ä".encode("iso-8859-1"), "Ä".encode(), "its letters are not ISO-8859-1"),
    ("fi-fineli", "foodaddunit.csv", b"14,00", b"much", 'foodaddunit.csv, line 2: "much" is not a number'),
    ("ch-sfcd", "generic-foods.csv", b",", b";", "generic-foods.csv, line 1: the column ID is missing"),
    ("ch-sfcd", "generic-foods.csv", b"3330", b"=1+1", 'line 3: "=1+1" is not a number'),
    ("ch-sfcd", "generic-foods.csv", b"3330", b"3_0", 'line 3: "3_0" is not a number'),
    ("ch-sfcd", "generic-foods.csv", b"3330", "\u0663".encode(), 'line 3: "\u0663" is not a number'),
    ("no-matvaretabellen", "foods-en.json", b'"22.7"', b'"2_2"', 'the food 05.383: "2_2" is not a number'),
    ("ch-sfcd", "generic-foods.csv", b"kilojoule", b"calorie", '"calorie" under energy kJ is no word of version 5.3'),
    ("ch-sfcd", "generic-foods.csv", b"\n591,", b"\n62,", "line 3: the food 62 stands in it twice"),
    ("ch-sfcd", "generic-foods.csv", b"made up,", b"", "cells where"),
    ("ch-sfcd", "generic-foods.csv", b"Olive", b"Oli\xe9ve", "line 3: its letters are not UTF-8"),
    ("ca-cnf", "NUTRIENT_AMOUNT.csv", b",", b";", "NUTRIENT_AMOUNT.csv, line 1: the column FoodID is missing"),
    ("ca-cnf", "NUTRIENT_AMOUNT.csv", b"81.11", b"=1+1", 'line 3: "=1+1" in the column NutrientValue'),
    ("ca-cnf", "NUTRIENT_AMOUNT.csv", b"118,203,0.85,0,0,0,2010-01-01", b"118,203,0.85", "3 cells where 7 belong"),
    ("ca-cnf", "FOOD_NAME.csv", b"\r\n2485,2485", b"\r\n118,2485", "FOOD_NAME.csv, line 3: the food 118 stands"),
    ("ca-cnf", "FOOD_NAME.csv", "Beurre rég.".encode("iso-8859-1"), "Beurre rég.".encode(), "not ISO-8859-1"),
    ("ca-cnf", "NUTRIENT_NAME.csv", b"mg,SODIUM", b"IU,SODIUM", "the nutrient NA is given in"),
    ("ca-cnf", "CONVERSION_FACTOR.csv", b"0.95950", b"-1", 'CONVERSION_FACTOR.csv, line 2: "-1" is not a number'),
    ("no-matvaretabellen", "foods-en.json", b'"22.7"', b'"=1+1"', 'the food 05.383: "=1+1" is not a number'),
    ("no-matvaretabellen", "foods-en.json", b'"22.7"', b"22.7", "value is no text"),
    ("no-matvaretabellen", "foods-en.json", b"Gram flour", b"Gr\xe4m flour", "its letters are not UTF-8"),
    ("no-matvaretabellen", "foods-en.json", b"04.900", b"05.383", "the food 05.383 stands in it twice"),
    ("no-matvaretabellen", "lists-en.json", b'"Protein"', b'"Protien"', "the component Protein is missing"),
    ("no-matvaretabellen", "lists-en.json", b'"nutrients"', b'"nutriments"', 'holds an object with "nutrients"'),
]  # fmt: skip


def sentence(kind: str, path: Path) -> str:
    with pytest.raises(TableError) as refused:
        registry.load(kind, path)
    said = str(refused.value)
    assert "\n" not in said
    assert "Traceback" not in said
    return said


@pytest.mark.parametrize(("kind", "file", "old", "new", "said"), CHANGES, ids=lambda one: str(one)[:30])
def test_a_broken_file_is_told_with_its_place(
    tmp_path: Path, kind: str, file: str, old: bytes, new: bytes, said: str
) -> None:
    files = TABLES[kind]()
    whole = files[file]
    assert old in whole, "the change must change something"
    everywhere = old in (b";", b",") or not old.isascii()
    files[file] = whole.replace(old, new) if everywhere else whole.replace(old, new, 1)
    assert said in sentence(kind, untried_tables.put(tmp_path, files))


@pytest.mark.parametrize("kind", TABLES)
def test_each_file_that_is_missing_or_cut_is_told(tmp_path: Path, kind: str) -> None:
    whole = TABLES[kind]()
    for name in whole:
        rest = {other: data for other, data in whole.items() if other != name}
        assert sentence(kind, untried_tables.put(tmp_path / f"without {name}", rest))
        empty = untried_tables.put(tmp_path / f"empty {name}", whole | {name: b""})
        assert sentence(kind, empty)
        cut = untried_tables.put(tmp_path / f"cut {name}", whole | {name: whole[name][: len(whole[name]) // 2 - 3]})
        with suppress(TableError):  # a file cut between two rows may still be whole; nothing else may be raised
            registry.load(kind, cut)


@pytest.mark.parametrize("kind", TABLES)
def test_a_zip_will_do_and_one_that_leads_out_is_refused(tmp_path: Path, kind: str) -> None:
    files = TABLES[kind]()
    for inner, fine in (("release/", True), ("../", False)):
        path = tmp_path / f"{kind}-{fine}.zip"
        with zipfile.ZipFile(path, "w") as archive:
            for name, data in files.items():
                archive.writestr(inner + name, data)
        if fine:
            assert len(registry.load(kind, path).foods) > 1
        else:
            assert "holds a name that leads out" in sentence(kind, path)


@pytest.mark.parametrize("kind", TABLES)
def test_the_command_ends_in_one_sentence_and_writes_nothing(tmp_path: Path, kind: str) -> None:
    files = dict(list(TABLES[kind]().items())[1:])
    place = untried_tables.put(tmp_path / "files", files or {"other.csv": b"a,b\n1,2\n"})
    tables = tmp_path / "tables"
    done = subprocess.run(
        [sys.executable, "-m", "nutrilab", "tables", "import", kind, str(place)],
        env=os.environ | {"PYTHONPATH": str(HERE), "NUTRILAB_TABLES": str(tables)},
        capture_output=True, text=True, timeout=120, check=False,
    )  # fmt: skip
    assert (done.returncode, done.stdout) == (2, "")
    assert len(done.stderr.strip().splitlines()) == 1, done.stderr
    assert not tables.exists()
