"""Loaders of other packages: found by entry point, never in the way of ours, every fault of theirs one sentence."""

from __future__ import annotations

import sys
from importlib import import_module
from pathlib import Path

import pytest

from data_loaders import registry
from data_loaders.schema import TableError

GOOD = """\
import pandas as pd
from data_loaders.schema import Provenance, TableData, TableError

NAME = "{name}"

def load(path):
    food = {{"food_id": "{prefix}:1", "name": "Rock samphire", "scientific_name": "", "group": "plants"}}
    foods = pd.DataFrame([food | {{"source": "a made-up table", "refuse": 0.0, "FAT": 0.3}}])
    measures = pd.DataFrame({{"food_id": ["{prefix}:1"], "amount": [1.0], "words": ["sprig"], "grams": [2.0]}})
    return TableData(foods, measures, Provenance("made up", "1", "none", "none", "none", "none", "none"))
"""


@pytest.fixture
def install(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    """Put a package with one module and its list of entry points where Python finds packages."""
    monkeypatch.syspath_prepend(str(tmp_path))

    def put(package: str, entry_points: str, module: str | None = None, version: str = "1.0") -> None:
        info = tmp_path / f"{package}-{version}.dist-info"
        info.mkdir()
        (info / "METADATA").write_text(f"Metadata-Version: 2.1\nName: {package}\nVersion: {version}\n")
        (info / "entry_points.txt").write_text(entry_points)
        if module is not None:
            (tmp_path / f"{package}.py").write_text(module)
            sys.modules.pop(package, None)

    return put


def group(*lines: str) -> str:
    return f"[{registry.GROUP}]\n" + "\n".join(lines) + "\n"


def test_every_loader_of_ours_is_there_under_its_own_name() -> None:
    for name in registry.LOADERS:
        assert name == import_module(registry.LOADERS[name]).NAME
        assert callable(registry.loader(name).load)


def test_a_package_brings_a_loader(install, tmp_path: Path) -> None:
    install("shoretables", group("shore = shoretables"), GOOD.format(name="shore", prefix="shore"))
    assert registry.names()["shore"] == "the package shoretables 1.0"
    assert registry.load("shore", tmp_path).foods["name"].tolist() == ["Rock samphire"]
    assert registry.problems() == []


def test_an_unknown_kind_is_refused_with_those_there_are(install) -> None:
    install("shoretables", group("shore = shoretables"), GOOD.format(name="shore", prefix="shore"))
    with pytest.raises(TableError, match=r"^martian: no such kind .* usda-sr, .*shore$"):
        registry.loader("martian")


def test_ours_is_never_shadowed(install, tmp_path: Path) -> None:
    install("shoretables", group("usda-sr = shoretables"), GOOD.format(name="usda-sr", prefix="shore"))
    assert registry.loader("usda-sr") is import_module("data_loaders.usda_sr")
    assert registry.names()["usda-sr"] == "nutrilab"
    (told,) = registry.problems()
    assert told == "usda-sr: the package shoretables 1.0 brings a loader of this name, which nutrilab has; ours is used"


def test_two_packages_with_one_name_are_both_refused(install) -> None:
    install("shoretables", group("shore = shoretables"), GOOD.format(name="shore", prefix="shore"))
    install("cliffs", group("shore = cliffs"), GOOD.format(name="shore", prefix="cliff"))
    (told,) = registry.problems()
    assert "both bring it; uninstall one of them" in told
    assert "shore" not in registry.names()
    with pytest.raises(TableError, match="both bring it"):
        registry.loader("shore")


BROKEN = {
    "raises on import": ("1 / 0\n", "ZeroDivisionError"),
    "stops the program": ("import sys; sys.exit(3)\n", "SystemExit"),
    "no Python": ("def load(:\n", "SyntaxError"),
    "a package missing": ("import no_such_package_here\n", "no_such_package_here"),
    "no load": ('NAME = "shore"\n', "no load"),
    "another name": ('NAME = "cliff"\ndef load(path): ...\n', "no NAME"),
}


@pytest.mark.parametrize(("module", "words"), BROKEN.values(), ids=BROKEN)
def test_a_broken_loader_is_one_sentence_and_ours_still_work(install, module: str, words: str) -> None:
    install("shoretables", group("shore = shoretables"), module)
    (told,) = registry.problems()
    assert told.startswith("shore: its loader, of the package shoretables 1.0,")
    assert words in told
    assert "\n" not in told
    with pytest.raises(TableError, match="shoretables"):
        registry.loader("shore")
    assert registry.loader("usda-sr").NAME == "usda-sr"


def test_a_list_of_entry_points_that_cannot_be_read_is_told(install) -> None:
    install("shoretables", f"[{registry.GROUP}]\nshore shoretables\n")
    (told,) = registry.problems()
    assert "cannot be read" in told
    assert registry.loader("usda-sr").NAME == "usda-sr"


FAULTS = {
    "an error of its own": (
        "NAME = 'shore'\ndef load(path): raise KeyError('x')\n",
        "the loader shore failed .KeyError",
    ),
    "nothing back": ("NAME = 'shore'\ndef load(path): return None\n", "gives no TableData"),
    "ids of another table": (GOOD.format(name="shore", prefix="sr"), "the food sr:1 has an id that belongs"),
    "no names": (GOOD.format(name="shore", prefix="shore").replace("Rock samphire", " "), "has no name"),
    "whole numbers": (GOOD.format(name="shore", prefix="shore").replace('"FAT": 0.3', '"FAT": 3'), "FAT holds int64"),
    "words for numbers": (GOOD.format(name="shore", prefix="shore").replace('"FAT": 0.3', '"FAT": "3"'), "FAT holds"),
    "below zero": (GOOD.format(name="shore", prefix="shore").replace('"FAT": 0.3', '"FAT": -0.3'), "below zero"),
    "without end": (
        GOOD.format(name="shore", prefix="shore").replace('"FAT": 0.3', '"FAT": float("inf")'),
        "without end",
    ),
    "an unknown component": (GOOD.format(name="shore", prefix="shore").replace('"FAT"', '"MOON"'), "MOON is no known"),
}


@pytest.mark.parametrize(("module", "words"), FAULTS.values(), ids=FAULTS)
def test_what_a_foreign_loader_gives_is_not_trusted(install, tmp_path: Path, module: str, words: str) -> None:
    install("shoretables", group("shore = shoretables"), module)
    with pytest.raises(TableError, match=words) as error:
        registry.load("shore", tmp_path)
    assert "\n" not in str(error.value)
