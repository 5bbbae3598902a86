"""A collection of the Tidewater Supper Club to test with, and runs over it in this process."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import click.testing
import pyarrow as pa
import pyarrow.parquet as pq
import pytest

from nutrilab.cli import main
from nutrilab.collection import processes
from nutrilab.collection.working import Job, Kitchens, Part, work

SOUP = """dish: Low tide soup
portions: 4
ingredients:
  - 400 g leeks
  - 300 g floury potatoes
  - 40 g butter
  - 500 ml whole milk
"""
MASH = """dish: Mooring mash
portions: 4
ingredients:
  - 800 g potatoes
  - 50 g butter
"""
PIE = """dish: Slipway pie
portions: 4
stages:
  - stage: pie
    ingredients:
      - all of Mooring mash from mash.yaml
      - 400 g cod fillet
"""
KEDGEREE = "Mudflat kedgeree\nServes 2\n\n200 g basmati rice\n150 g smoked haddock\n2 eggs\na pinch of moon dust\n"


def recipe(name: str, *lines: str) -> dict[str, Any]:
    """A recipe as pages carry it."""
    about = {"@context": "https://schema.org", "@type": "Recipe", "name": name, "recipeYield": "4"}
    return {**about, "recipeIngredient": list(lines)}


def laid(folder: Path) -> Path:
    """A folder of five dishes in every form, with one bad file and one bad line."""
    (folder / "soups").mkdir(parents=True)
    (folder / "soups" / "low-tide.yaml").write_text(SOUP, encoding="utf-8")
    (folder / "mash.yaml").write_text(MASH, encoding="utf-8")
    (folder / "pie.yaml").write_text(PIE, encoding="utf-8")
    (folder / "kedgeree.txt").write_text(KEDGEREE, encoding="utf-8")
    (folder / "broken.yaml").write_text("dish: Broken\nportions: [\n", encoding="utf-8")
    lines = [json.dumps(recipe("Bell buoy salad", "100 g walnuts", "2 tbsp olive oil")), "{not json", ""]
    (folder / "more.jsonl").write_text("\n".join(lines), encoding="utf-8")
    return folder


_KITCHENS: dict[str | None, Kitchens] = {}


def in_this_process(jobs: Iterator[Job], tables: str | None, workers: int) -> Iterator[Part]:
    """An engine without workers."""
    kitchens = _KITCHENS[tables] = Kitchens(tables)
    for job in jobs:
        yield work(job, kitchens)


@pytest.fixture
def here(monkeypatch: pytest.MonkeyPatch) -> None:
    """Work is done in this process: what is tested is no matter of workers."""
    monkeypatch.setattr(processes, "run", in_this_process)


def run(*arguments: object) -> click.testing.Result:
    """The command."""
    return click.testing.CliRunner().invoke(main, ["collection", *map(str, arguments)])


def table(folder: Path, name: str = "dishes") -> pa.Table:
    """A table of results without the note of when it was made."""
    return pq.read_table(folder / f"{name}.parquet").replace_schema_metadata(None)


def dishes(folder: Path) -> dict[str, dict[str, Any]]:
    """The dishes of some results by file."""
    return {row["file"]: row for row in table(folder).to_pylist()}


def rows(path: Path) -> list[dict[str, str]]:
    """A spreadsheet of results."""
    text = path.read_bytes().decode()
    assert text[0] == "\ufeff"
    return list(csv.DictReader(io.StringIO(text[1:], newline="")))


def contents(folder: Path) -> dict[str, bytes]:
    """Every file of a folder."""
    return {path.name: path.read_bytes() for path in folder.iterdir()}
