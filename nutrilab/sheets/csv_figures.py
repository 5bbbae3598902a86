"""The long form: every figure of dishes, unrounded and as declared, with units, how far they are known and sources.

One table for all, a row each, told apart by ``kind``; an empty cell is not known or does not apply.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

from data_loaders.schema import components
from nutrilab.declaration import components_of, declare, vitamins_of
from nutrilab.foods import Food
from nutrilab.messages import as_portions, say
from nutrilab.nutrition import COMPONENTS
from nutrilab.results import CookedStage, DishResult, LineFood, LineRecord
from nutrilab.sheets.safe import Cell, csv_text, plain
from nutrilab.sheets.sentences import values_left_out
from nutrilab.tracing import in_dish, used

COLUMNS = (
    "dish", "complete", "kind", "name", "unit", "per 100 g", "a portion", "portion low", "portion high",
    "declared per 100 g", "declared a portion", "share of an adult's day", "level", "known for share of weight",
    "stage", "line", "grams", "grams low", "grams high", "grams in the dish", "grams from", "food id", "food",
    "how sure", "note", "source",
)  # fmt: skip
NAME = 200  # characters of a dish's name
Row = dict[str, Cell]

_REGULATION = "Regulation (EU) No 1169/2011"
_UNITS = {"energy_kj": "kJ", "energy_kcal": "kcal"}
_CARBOHYDRATE = ("CHOAVL", "CHOCDF", "CHOAVLM")
_ENERGY = ("FAT", "PROCNT", *_CARBOHYDRATE, "ALC", "FIBTG", "OA", "POLYL")


def as_csv(results: Sequence[DishResult]) -> str:
    """The table of all dishes."""
    return csv_text([COLUMNS, *(_cells(result, row) for result in results for row in _rows(result))])


def _cells(result: DishResult, row: Row) -> tuple[Cell, ...]:
    complete = "yes" if result.complete else "NO"
    named: Row = {"dish": plain(result.recipe.dish, NAME), "complete": complete, **row}
    return tuple(named.get(column) for column in COLUMNS)


def _rows(result: DishResult) -> Iterator[Row]:
    """What is not complete first, then figures, lines, allergens, remarks, cautions and food tables."""
    for text in result.allergens.unresolved:
        key = "csv.not-understood-not-counted" if text.strip() in result.unweighed else "csv.not-understood"
        yield {"kind": "NOT COMPLETE", "name": text, "note": say(key)}
    for text in result.not_counted:
        yield {"kind": "NOT COMPLETE", "name": text, "note": say("csv.not-counted")}
    for sentence in values_left_out(result):
        yield {"kind": "partly known", "note": sentence}
    foods = {id(food): food for one in used(result) if (food := one.food.link.food) is not None}.values()
    yield from _weights(result)
    yield from _figures(result, foods)
    yield from _vitamins(result)
    yield from _components(result, foods)
    yield from _lines(result)
    yield from _allergens(result)
    for remark in result.remarks:
        yield {
            "kind": "remark",
            "name": remark.code,
            "stage": remark.stage,
            "line": remark.line,
            "note": remark.message,
        }
    for caution in result.cautions:
        yield {"kind": "caution", "note": caution}
    for table in result.tables:
        told = table.provenance
        credit = f"{told.credit} ({told.licence})"
        yield {"kind": "food table", "name": told.source, "note": credit, "source": told.version}


def _weights(result: DishResult) -> Iterator[Row]:
    ground = result.stages[len(result.recipe.stages) - 1].result.weight_from
    yield {
        "kind": "weight",
        "name": "cooked weight of the dish",
        "unit": "g",
        "grams": result.cooked_mass,
        "grams from": ground,
    }
    yield {"kind": "weight", "name": "portions", "a portion": 1.0, "note": as_portions(result.portions)}
    yield {"kind": "weight", "name": "a portion", "unit": "g", "a portion": result.portion_weight}


def _figures(result: DishResult, foods: Collection[Food]) -> Iterator[Row]:
    """The declaration in the Regulation's order; of a drink the note has it per 100 ml, by which its level goes."""
    told = declare(result)
    for one in told.figures:
        low, high = one.ends or (None, None)
        yield {
            "kind": "figure",
            "name": one.title,
            "unit": _UNITS.get(one.key, "g"),
            "per 100 g": one.per_100g,
            "a portion": one.per_portion,
            "portion low": low,
            "portion high": high,
            "declared per 100 g": one.declared_per_100g,
            "declared a portion": one.declared_per_portion,
            "share of an adult's day": one.share_of_day,
            "level": one.level,
            "known for share of weight": one.coverage,
            "note": f"{one.declared_per_100} {told.basis.words}" if result.recipe.drink else None,
            "source": _source_of_figure(foods, one.key),
        }


def _source_of_figure(foods: Collection[Food], key: str) -> str:
    if key in _UNITS:
        return say("csv.energy-from", law=_REGULATION, sources=_sources(foods, _ENERGY))
    if key == "salt":
        return say("csv.salt-from", law=_REGULATION, sources=_sources(foods, ("NA",)))
    tagname = COMPONENTS[key]
    return _sources(foods, _CARBOHYDRATE if tagname == "CHOAVL" else (tagname,))


def _sources(foods: Collection[Food], tagnames: Sequence[str]) -> str:
    """The sources of the foods that have a value for one of the components."""
    found = (food.source_of(tagname) for food in foods for tagname in tagnames if tagname in food.values)
    return "; ".join(dict.fromkeys(found))


def _vitamins(result: DishResult) -> Iterator[Row]:
    drink = result.recipe.drink
    for one in vitamins_of(result, all_=True):
        little = "" if one.significant else say("csv.not-significant")
        notes = (one.counts_as, little, say("csv.per-100-ml") if drink else "")
        yield {
            "kind": "vitamin or mineral",
            "name": one.name,
            "unit": one.unit,
            "per 100 g": one.per_100,
            "a portion": one.per_portion,
            "declared per 100 g": one.declared_per_100,
            "declared a portion": one.declared_per_portion,
            "share of an adult's day": one.share_per_portion,
            "known for share of weight": one.coverage,
            "note": "; ".join(filter(None, notes)),
            "source": say("csv.reference-value", law=_REGULATION),
        }


def _components(result: DishResult, foods: Collection[Food]) -> Iterator[Row]:
    """Every component of the food tables that the dish has a value for, in the order of components.csv."""
    held = components_of(result)
    for tagname, component in components().items():
        if one := held.get(tagname):
            yield {
                "kind": "component",
                "name": f"{component.name} ({tagname})",
                "unit": component.unit,
                "per 100 g": one.per_100g,
                "a portion": one.per_portion,
                "known for share of weight": one.coverage,
                "source": _sources(foods, _CARBOHYDRATE if tagname == "CHOAVL" else (tagname,)),
            }


def _lines(result: DishResult) -> Iterator[Row]:
    """Every line, a row for each of its foods."""
    grams = {(id(one.stage), one.number, one.place): one.grams for one in used(result)}
    for stage, _ in in_dish(result):
        for number, record in stage.lines:
            for place, food in enumerate(record.foods or (None,)):
                yield _line(stage, number, record, food) | {"grams in the dish": grams.get((id(stage), number, place))}


def _line(stage: CookedStage, number: int, record: LineRecord, food: LineFood | None) -> Row:
    row: Row = {
        "kind": "line",
        "name": record.parsed.text.strip(),
        "stage": stage.stage.name,
        "line": number,
        "note": say("trace.heading" if record.parsed.heading else "trace.no-food"),
    }
    if food is None:
        return row
    found, weight = food.link.food, stage.weight(number, food)
    return row | {
        "unit": "g",
        "grams": weight.grams,
        "grams low": weight.low,
        "grams high": weight.high,
        "grams from": weight.ground,
        "food id": found.food_id if found else None,
        "food": found.name if found else None,
        "how sure": food.link.sureness,
        "note": f"{food.name}: {food.link.why}",
        "source": found.source if found else None,
    }


def _allergens(result: DishResult) -> Iterator[Row]:
    answer = result.allergens
    kinds = (
        ("contains", answer.contains),
        ("check the pack", answer.check),
        ("check the pack too", answer.also),
        ("may contain", answer.may),
    )
    for kind, found in kinds:
        for allergen, evidence in found.items():
            name = answer.named(allergen) if kind == "contains" else allergen
            yield {"kind": kind, "name": name, "note": "; ".join(evidence)}
