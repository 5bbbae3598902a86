"""Results as plain dictionaries: the JSON of docs/records.md, names that other programs rely on."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from nutrilab.allergens import ALLERGENS
from nutrilab.as_read import CookedAsRead, cooked_as_read
from nutrilab.comparing import WhatIf
from nutrilab.cooking.balance import Step
from nutrilab.declaration import Micronutrient, declare, known_in_part, vitamins_of
from nutrilab.doubt import REST, Doubt, doubts
from nutrilab.holding import label_holds
from nutrilab.ingredients import as_html, as_json, as_text
from nutrilab.law.rounding import ORDER, declared_all, short_name
from nutrilab.law.tolerance import Held
from nutrilab.lexicon.sureness import Sureness
from nutrilab.measures import Ground, Weight
from nutrilab.remarks import Remark
from nutrilab.results import CookedStage, DishResult, FoodShare, LineFood, LineRecord, total
from nutrilab.settling import settle_first
from nutrilab.tracing import credits, ingredients


def line_record(record: LineRecord) -> dict[str, Any]:
    """One ingredient line. ``parts`` where several foods make it up; no food where one of them is not found."""
    return _line(record, [food.weight for food in record.foods], record.remarks)


def _line_of(stage: CookedStage, number: int, record: LineRecord) -> dict[str, Any]:
    """A line with what it counts with in its stage."""
    weights = [stage.weight(number, food) for food in record.foods]
    return _line(record, weights, stage.remarks_on(number, record))


def _line(record: LineRecord, weights: Sequence[Weight], remarks: Iterable[Remark]) -> dict[str, Any]:
    parsed, first = record.parsed, record.foods[0] if record.foods else None
    food = first.link.food if first and record.sureness != Sureness.NONE else None
    found: dict[str, Any] = {
        "text": parsed.text,
        "quantity": _whole(parsed.quantity),
        "quantity_max": _whole(parsed.quantity_max),
        "unit": parsed.unit,
        "name": parsed.name,
        "preparation": parsed.preparation,
        **grams_of(weights),
        **food_of(record, weights),
        "food_source": food.source if food else None,
        "sureness": str(record.sureness),
        "alternatives": _alternatives(first),
        "allergens": {"contains": _plain(record.findings.contains), "check": _plain(record.findings.check)},
        "warnings": [_warning(remark) for remark in remarks],
    }
    if record.findings.may:
        found["allergens"]["may_contain"] = _plain(record.findings.may)
    if (food or len(record.foods) > 1) and (parts := [_part(part) for part in record.parts_at(weights)]):
        found["parts"] = parts
    return found


def grams_of(weights: Sequence[Weight]) -> dict[str, Any]:
    """What a line weighs, of its foods together [g], and on what that stands."""
    return {
        "grams": total(weight.grams for weight in weights),
        "grams_low": total(weight.low for weight in weights),
        "grams_high": total(weight.high for weight in weights),
        "grams_from": str(weights[0].ground if weights else Ground.NONE),
    }


def food_of(record: LineRecord, weights: Sequence[Weight]) -> dict[str, Any]:
    """The food of a line by id and name; of several foods in one all of them, none where one was not found."""
    food = record.foods[0].link.food if record.foods and record.sureness != Sureness.NONE else None
    if food is None or len(record.foods) == 1:
        return {"food_id": food.food_id if food else None, "food_name": food.name if food else None}
    parts = [part.food for part in record.parts_at(weights) if part.food is not None]
    ids = "+".join(part.food_id.removeprefix("sr:") for part in parts)
    return {"food_id": f"mix:{ids}", "food_name": " + ".join(part.name for part in parts)}


def _held(one: Held) -> dict[str, Any]:
    """Whether a figure of 100 g would hold on a label; the limits are those of the guidance."""
    return {
        "declared": one.declared,
        "range": list(one.span) if one.span else None,
        "limits": list(one.limits) if one.limits else None,
        "holds": one.holds,
        "words": one.words,
    }


def _whole(value: float | None) -> float | int | None:
    """2.0 reads 2."""
    return int(value) if value is not None and value == int(value) else value


def _alternatives(first: LineFood | None) -> list[dict[str, Any]]:
    if first is None:
        return []
    return [
        {"food_id": a.food_id, "food_name": a.food_name, "score": round(a.score, 4)} for a in first.link.alternatives
    ]


def _part(part: FoodShare) -> dict[str, Any]:
    found, called = (part.food.food_id, part.food.name) if part.food else (None, None)
    return {"food_id": found, "food_name": called, "name": part.name, "grams": part.grams, "share": part.share}


def _plain(findings: Mapping[str, tuple[str, ...]]) -> dict[str, list[str]]:
    return {key: list(evidence) for key, evidence in findings.items()}


def _warning(remark: Remark) -> dict[str, Any]:
    return {"code": remark.code, "stage": remark.stage, "line": remark.line, "message": remark.message}


def dish_record(result: DishResult) -> dict[str, Any]:
    """A dish. Numbers are unrounded; the declared strings are rounded as the law says."""
    whole, entries = result.whole, ingredients(result)
    return {
        "dish": result.recipe.dish,
        "portions": _whole(result.portions),
        "complete": result.complete,
        "unweighed": list(result.unweighed),
        "cooked_weight_g": result.cooked_mass,
        "portion_weight_g": result.portion_weight,
        "per_portion": dict(whole.per_portion),
        "per_100g": dict(whole.per_100g),
        "per_portion_range": {key: list(ends) if ends else None for key, ends in whole.per_portion_range.items()},
        "doubt": {key: [_doubt(result, one) for one in found] for key, found in doubts(result).items()},
        "settle_first": [{"what": one.what, "where": one.where, "do": one.do} for one in settle_first(result)],
        "label_holds": {one.key: _held(one) for one in label_holds(result)},
        "energy_by_table": {"per_portion_kcal": whole.table_kcal},
        "cups": result.recipe.cup,
        "declared_per_100g": declared_all(whole.per_100g),
        "declared_per_portion": declared_all(whole.per_portion),
        **(_per_100ml(result) if result.recipe.drink else {}),
        "vitamins_and_minerals": [_micronutrient(one) for one in vitamins_of(result)],
        "allergens": {
            "contains": _plain(result.allergens.contains),
            "check": _plain(result.allergens.check),
            "check_too": _plain(result.allergens.also),
            "may_contain": _plain(result.allergens.may),
            "named": [result.allergens.named(allergen) for allergen in result.allergens.contains],
            "unresolved": list(result.allergens.unresolved),
            "complete": result.allergens.complete,
            "cautions": list(result.cautions),
        },
        "ingredients_list": {"text": as_text(entries), "html": as_html(entries), "entries": as_json(entries)},
        "coverage": dict(whole.coverage),
        "stages": [_stage(stage) for stage in result.stages],
        "method": [_as_read(row) for row in cooked_as_read(result)],
        "food_tables": [
            {"source": t.provenance.source, "version": t.provenance.version, "licence": t.provenance.licence}
            for t in result.tables
        ],
        "credits": list(credits(result)),
        "warnings": [_warning(remark) for remark in result.remarks],
    }


def _doubt(result: DishResult, one: Doubt) -> dict[str, Any]:
    found: dict[str, Any] = {"cause": one.cause, "share": one.share}
    stage, line = result.places.get((one.stage or "", one.line or 0), (one.stage, one.line))
    return found if one.cause == REST else {"stage": stage, "line": line, **found, "advice": one.advice}


def _per_100ml(result: DishResult) -> dict[str, Any]:
    counted = declare(result).basis
    return {"per_100ml": dict(counted.values), "declared_per_100ml": declared_all(counted.values)}


def _micronutrient(one: Micronutrient) -> dict[str, Any]:
    """A vitamin or mineral with a significant amount, in its unit; share of the daily reference value [1]."""
    return {
        "name": one.name,
        "unit": one.unit,
        "per_100": one.per_100,
        "per_portion": one.per_portion,
        "share_per_100": one.share_per_100,
        "coverage": one.coverage,
        "counts_as": one.counts_as,
    }


def _stage(stage: CookedStage) -> dict[str, Any]:
    return {
        "stage": stage.stage.name,
        "raw_weight_g": stage.result.raw.mass,
        "cooked_weight_g": stage.result.cooked.mass,
        "weight_from": str(stage.result.weight_from),
        "steps": [_step(step) for step in stage.result.steps],
        "lines": [_line_of(stage, number, record) for number, record in stage.lines],
    }


def _as_read(row: CookedAsRead) -> dict[str, Any]:
    """A stage as the method was read: weight before and after [g], factor [1], each fact with its sentence."""
    return {
        "stage": row.stage,
        "foods": list(row.foods),
        "done": row.done,
        "weight_before_g": row.before,
        "weight_after_g": row.after,
        "factor": row.factor,
        "weight_from": row.weight_from,
        "facts": [
            {"what": str(f.what), "value": f.value, "sentence": f.sentence, "line": f.line, "from": str(f.ground)}
            for f in row.read.facts
        ],
    }


def _step(step: Step) -> dict[str, Any]:
    """What happened in a stage: mass moved [g], and the factor with its range and source where there is one."""
    return {
        "step": str(step.name),
        "way": step.way,
        "grams": step.flow.mass,
        "factor": step.factor,
        "factor_low": step.low,
        "factor_high": step.high,
        "source": step.source or None,
        "words": step.words,
    }


def swap_record(found: WhatIf) -> dict[str, Any]:
    """A dish before and after a swap. `gone` holds nothing that has to be checked after it."""
    changes, moved = found.changes, found.moved
    return {
        "before": dish_record(found.before),
        "after": dish_record(found.after),
        "difference": {one.key: one.difference for one in changes},
        "difference_range": {one.key: list(one.span) if one.span else None for one in changes},
        "more_than_doubt": {one.key: one.more_than_doubt for one in changes},
        "allergens": {
            "gone": list(moved.gone),
            "new": list(moved.new),
            "check_gone": list(moved.check_gone),
            "check_new": list(moved.check_new),
            "may_gone": list(moved.may_gone),
            "may_new": list(moved.may_new),
            "still_to_check": list(moved.still),
            "kinds": {allergen: {"before": old, "after": new} for allergen, (old, new) in moved.kinds.items()},
            "complete": moved.sure,
            "cautions": list(found.after.cautions),
        },
        "swapped": [
            {"old": d.old, "new": d.new, "stage": d.stage, "line": d.line, "file": d.file, "grams_stand": d.grams_stand}
            for d in found.done
        ],
        "notes": list(found.notes),
        "scaled": _scaled(found),
    }


def _scaled(found: WhatIf) -> dict[str, Any] | None:
    """The list for a number of guests, if it was asked for."""
    if found.guests is None:
        return None
    lines = [{"stage": one.stage, "text": one.text, "scaled": one.scaled} for one in found.scaled]
    return {"guests": _whole(found.guests), "lines": lines}


def dish_values(result: DishResult) -> dict[str, str | float | None]:
    """A dish as plain values by name, for a row of a table: unrounded; words divided by ", ", lines by "; "."""
    told, whole, partly = result.allergens, result.whole, known_in_part(result)
    found: dict[str, str | float | None] = {
        "dish": result.recipe.dish,
        "portions": result.portions,
        "portion_weight_g": result.portion_weight,
        "cooked_weight_g": result.cooked_mass,
        "complete": result.complete,
    }
    for key in ORDER:
        low, high = whole.per_portion_range[key] or (None, None)
        found |= {key: whole.per_portion[key], f"{key}_low": low, f"{key}_high": high}
        found[f"{key}_100g"] = whole.per_100g[key]
    too_low = dict.fromkeys(short_name(key) for key in ORDER if result.unweighed or key in partly)
    return (
        found
        | {allergen: told.cell(allergen) for allergen in ALLERGENS}
        | {
            "contains": ", ".join(map(told.named, told.contains)),
            "to_check": ", ".join(told.to_check),
            "may_contain": ", ".join(told.may),
            "not_understood": "; ".join(told.unresolved),
            "not_counted": "; ".join(result.not_counted),
            "too_low": ", ".join(too_low),
            "remarks": len(result.remarks),
            "file": result.recipe.path.name if result.recipe.path else "",
        }
    )
