"""A dish and its lines as rows of the two tables, and what makes a row of an earlier run good for this one.

Figures are unrounded, of a portion where nothing else is said; a value nobody knows is null, never zero.
"""

from __future__ import annotations

import json
import os
from collections.abc import Callable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from nutrilab.allergens import ALLERGENS
from nutrilab.collection.values import Entry, content_of
from nutrilab.folder import PACKS
from nutrilab.law.rounding import ORDER
from nutrilab.records import dish_values, food_of, grams_of
from nutrilab.results import CookedStage, DishResult, LineFood, LineRecord

if TYPE_CHECKING:
    import pyarrow as pa

    from nutrilab.recipe import Recipe

Row = dict[str, Any]
_FILES = ("needs", "packs")  # other files that a dish is made of: recipes, and lists of own products
MARKED = ("content_hash", *_FILES, "program", "tables_hash", "decisions_hash", "products_hash", "settings_hash")
_TOLD = ("contains", "to_check", "may_contain")
_TEXTS = (*_TOLD, "not_understood", "not_counted", "too_low")


def dish_schema() -> pa.Schema:
    """The columns of dishes.parquet."""
    import pyarrow as pa

    figures = [f"{key}{end}" for end in ("", "_low", "_high", "_100g") for key in ORDER]
    return pa.schema(
        [("file", pa.string()), ("dish", pa.string()), ("portions", pa.float64()), ("portion_weight_g", pa.float64())]
        + [("cooked_weight_g", pa.float64()), ("complete", pa.bool_())]
        + [(name, pa.float64()) for name in figures]
        + [(allergen, pa.string()) for allergen in ALLERGENS]
        + [(name, pa.string()) for name in _TEXTS]
        + [("remarks", pa.int32()), ("tables", pa.string())]
        + [(name, pa.string()) for name in MARKED]
    )


def line_schema() -> pa.Schema:
    """The columns of lines.parquet."""
    import pyarrow as pa

    doubtful = pa.struct([("name", pa.string()), ("food_name", pa.string()), ("energy_kcal", pa.float64())])
    words = ("file", "dish", "stage"), ("text", "name"), ("grams_from", "food_id", "food_name", "sureness", *_TOLD)
    return pa.schema(
        [
            *((name, pa.string()) for name in words[0]),
            ("line", pa.int32()),
            *((name, pa.string()) for name in words[1]),
            *((name, pa.float64()) for name in ("grams", "grams_low", "grams_high")),
            *((name, pa.string()) for name in words[2]),
            ("remarks", pa.string()),
            ("doubtful", pa.list_(doubtful)),
        ]
    )


def dish_row(entry: Entry, result: DishResult, *files: Mapping[str, str]) -> Row:
    """A dish. files: as `needs_of`."""
    marks = entry.marks
    tables = (f"{table.provenance.source}, {table.provenance.version}" for table in result.tables)
    found: Row = {**dish_values(result), "file": entry.file, "tables": "; ".join(tables), "content_hash": entry.digest}
    found |= {name: json.dumps(some, sort_keys=True) if some else "" for name, some in zip(_FILES, files, strict=True)}
    found |= {"program": marks.program, "tables_hash": marks.tables, "decisions_hash": marks.decisions}
    return found | {"products_hash": marks.products, "settings_hash": marks.settings}


def marked(entry: Entry) -> tuple[str, ...]:
    """What a row of `MARKED` but for other files must hold to be good for an entry."""
    of = entry.marks
    return entry.digest, of.program, of.tables, of.decisions, of.products, of.settings


def line_rows(entry: Entry, result: DishResult) -> Iterator[Row]:
    """The lines of a dish, those of its own recipe, where the cook wrote them."""
    for stage in result.stages:
        for number, record in stage.lines:
            found = _line(stage, number, record)
            where, line = result.places.get((stage.stage.name, number), (stage.stage.name, number))
            yield {"file": entry.file, "dish": result.recipe.dish, "stage": where, "line": line, **found}


def _line(stage: CookedStage, number: int, record: LineRecord) -> Row:
    weights = [stage.weight(number, food) for food in record.foods]
    told = record.findings
    return {
        "text": record.parsed.text,
        "name": record.parsed.name,
        **grams_of(weights),
        **food_of(record, weights),
        "sureness": str(record.sureness),
        "contains": ", ".join(told.contains),
        "to_check": ", ".join(told.check),
        "may_contain": ", ".join(told.may),
        "remarks": ", ".join(dict.fromkeys(remark.code for remark in stage.remarks_on(number, record))),
        "doubtful": [_doubtful(food, weight.grams) for food, weight in zip(record.foods, weights, strict=True)
                     if not (food.link.sureness.stands or food.link.decided)],
    }  # fmt: skip


def _doubtful(food: LineFood, grams: float | None) -> Row:
    """A name that nobody is sure of, what it is counted as, and the energy that it brings [kcal]."""
    found = food.link.food
    kcal = found.values.get("ENERC_KCAL") if found else None
    energy = None if kcal is None or grams is None else grams * kcal / 100
    return {"name": food.name, "food_name": found.name if found else None, "energy_kcal": energy}


Files = tuple[dict[str, str], dict[str, str]]


def needs_of(entry: Entry, recipe: Recipe, packs: Sequence[Path], digest: Callable[[Path], str] = content_of) -> Files:
    """The other recipes that a recipe is made of, and the packs: place in the source's folder -> SHA-256.

    Packs that are found by their name alone are among the marks. Those beside another recipe count before they are
    there, with "".
    """
    by_name = {entry.kitchen / PACKS, entry.path.parent / PACKS}
    others = tuple(_others(recipe))
    own = dict.fromkeys((*(path.parent / PACKS for path in others), *packs))
    own = dict.fromkeys(path for path in own if path not in by_name)
    recipes, lists = ({_place(path, entry.root): digest(path) for path in some} for some in (others, own))
    return recipes, lists


def _others(recipe: Recipe) -> Iterator[Path]:
    """The recipes that a recipe takes stages from."""
    for other in recipe.others.values():
        if other.path is not None:
            yield other.path
        yield from _others(other)


def _place(path: Path, root: Path) -> str:
    """Where a file lies below a folder; a recipe may name it by its whole path."""
    inside = path if path.is_relative_to(root) else Path(os.path.relpath(path.resolve(), root.resolve()))
    return (inside.relative_to(root) if inside is path else inside).as_posix()
