"""What is done with an input of each kind, and what must hold of it.

Every input ends in an answer or in one sentence, in time; a sentence is short, harmless and names the file; an answer
can be written as JSON and shows no figure that cannot be without a word about it.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path

from data_loaders import registry
from nutrilab import decisions, settings
from nutrilab.allergens import find
from nutrilab.allergens.labels import label_allergens, read_label
from nutrilab.foods import embedded
from nutrilab.kitchen import Kitchen
from nutrilab.plain import LONGEST_MESSAGE, QUOTED
from nutrilab.products import load
from nutrilab.recipe import read_recipe
from nutrilab.records import dish_record, line_record
from nutrilab.remarks import NutrilabError
from nutrilab.results import DishResult
from nutrilab.sheets import earlier, writer
from nutrilab.sheets.safe import json_text
from tests.fuzz import figures, seeds

_QUOTE = re.compile(r'"([^"]*)"')
_ALL_SHEETS = 20  # of so many dishes one is written in every form


@cache
def kitchen() -> Kitchen:
    return Kitchen([embedded()], alternatives=False)


def of_message(error: NutrilabError, path: Path | None) -> Iterator[str]:
    """What is wrong with a refusal."""
    said = str(error)
    if not said.isprintable():
        yield f"a message with what cannot be shown: {said!r}"
    if len(error.message) > LONGEST_MESSAGE or any(len(quote) > QUOTED for quote in _QUOTE.findall(error.message)):
        yield f"a message that quotes too much: {said[:300]!r}"
    if path is not None and path.name not in said:
        yield f"a message that names no file: {said[:300]!r}"
    if len(said) < 10:
        yield f"a message that says nothing: {said!r}"


def line(text: str) -> Iterator[str]:
    """One ingredient line, as `nutrilab lines` answers it."""
    record = kitchen().line(text)
    json_text(line_record(record), indent=None)
    yield from figures.of_line(record)


def pack_text(text: str) -> Iterator[str]:
    """The ingredients text of a pack."""
    label_allergens(read_label(text))
    find(text)
    yield from ()


def recipe(path: Path) -> Iterator[str]:
    """A recipe file or a saved page, as `nutrilab analyse` answers it."""
    read = read_recipe(path)
    result = kitchen().dish(read, None if read.portions or read.portion_weight else 4)
    record = dish_record(result)
    json_text(record)
    yield from figures.of_dish(result, record)
    if sum(path.read_bytes()) % _ALL_SHEETS == 0:
        _sheets(result)


def _sheets(result: DishResult) -> None:
    for form in ("text", "html", "label", "jsonld", "caption", "still", "csv"):
        text = writer.together([result], form, writer.View(balance=True, vitamins=True))
        if isinstance(text, str):
            text.encode("utf-8")
    for form in ("text", "csv", "html"):
        writer.chart([result], form)


def packs(path: Path) -> Iterator[str]:
    """A file of own products, and lines with their names."""
    products = load(path)
    own = Kitchen([embedded()], alternatives=False, products=products)
    for product in products.all[:3]:
        found = own.line(f"100 g {product.name}")
        json_text(line_record(found), indent=None)
        yield from figures.of_line(found)
    products.remarks()


def kitchen_file(path: Path) -> Iterator[str]:
    settings.read_settings([path.parent])
    yield from ()


def decided(path: Path) -> Iterator[str]:
    Kitchen([embedded()], decisions.read_decisions(path.parent), alternatives=False).line("100 ml double cream")
    yield from ()


def since(path: Path) -> Iterator[str]:
    earlier.changes(earlier.read_result(path), [_soup()])
    yield from ()


@cache
def _soup() -> DishResult:
    import tempfile

    path = Path(tempfile.mkdtemp(prefix="nutrilab-fuzz-")) / "dish.yaml"
    path.write_text(seeds.YAML, encoding="utf-8")
    return kitchen().dish(read_recipe(path))


def table(path: Path) -> Iterator[str]:
    """A food table; the folder it lies in is named after its kind."""
    found = registry.load(path.parent.name.strip(), path.parent if len(seeds.tables()[path.parent.name]) > 1 else path)
    yield from figures.of_table(found)


TEXTS: dict[str, Callable[[str], Iterator[str]]] = {"lines": line, "labels": pack_text}
FILES: dict[str, Callable[[Path], Iterator[str]]] = {
    "recipes": recipe,
    "pages": recipe,
    "packs": packs,
    "settings": kitchen_file,
    "decisions": decided,
    "earlier": since,
    "tables": table,
}


def faults_of_text(kind: str, text: str) -> list[str]:
    """What is wrong with the answer to a text; lines and packs' texts are never refused."""
    return list(TEXTS[kind](text))


def faults_of_file(kind: str, path: Path) -> list[str]:
    """What is wrong with the answer to a file."""
    try:
        return list(FILES[kind](path))
    except NutrilabError as error:
        return list(of_message(error, None if kind in ("tables", "decisions") else path))
