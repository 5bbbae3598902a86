"""The allergens of a dish from those of its lines, what changed since, and the chart of a menu."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, Literal

from nutrilab.allergens.find import SULPHITES_LIMIT, Evidence, Findings
from nutrilab.allergens.rules import ALLERGENS
from nutrilab.remarks import InputError

Cell = Literal["contains", "check", "may", ""]


@dataclass(frozen=True, slots=True)
class LineFindings:
    """What is known of one line of a dish.

    number: its place in the stage, from 1; understood: whether every food of it was recognised.
    """

    findings: Findings
    text: str
    stage: str = ""
    number: int = 0
    understood: bool = True


@dataclass(frozen=True, slots=True)
class DishAllergens:
    """A dish's answer: allergen -> evidence sentences with the line they come from, in the order of Annex II.

    unresolved: lines that were not understood; while there is one, the answer is not complete, whatever it names.
    parts: the cereals or nuts to name in what is contained; also: what is to be checked beside what is contained
    already, another cereal or nut, or the same through a line that could be left out.
    """

    contains: Evidence = field(default_factory=dict)
    check: Evidence = field(default_factory=dict)
    may: Evidence = field(default_factory=dict)
    unresolved: tuple[str, ...] = ()
    parts: Evidence = field(default_factory=dict)
    also: Evidence = field(default_factory=dict)

    def named(self, allergen: str) -> str:
        """An allergen with its cereals or nuts, as Annex II wants them named: "gluten (wheat, barley)"."""
        parts = self.parts.get(allergen, ()) if allergen in self.contains else ()
        return f"{allergen} ({', '.join(parts)})" if parts else allergen

    @property
    def complete(self) -> bool:
        """Whether every line was understood; still no promise that anything is absent."""
        return not self.unresolved

    def with_dose(self, sentences: tuple[str, ...]) -> DishAllergens:
        """The same with what is estimated of sulphites; beside "contains" if that stands, else to be checked."""
        if not sentences:
            return self
        if "sulphites" in self.contains:
            return replace(self, contains={**self.contains, "sulphites": (*self.contains["sulphites"], *sentences)})
        check = {**self.check, "sulphites": (*self.check.get("sulphites", ()), *sentences)}
        return replace(self, check={a: check[a] for a in ALLERGENS if a in check})

    def cell(self, allergen: str) -> Cell:
        """The one word for an allergen in a chart: the most certain there is."""
        if allergen in self.contains:
            return "contains"
        if allergen in self.check:
            return "check"
        return "may" if allergen in self.may else ""


def merge(lines: Iterable[LineFindings]) -> DishAllergens:
    """A dish from its lines. The order of lines never matters for which allergens stand where."""
    contains: dict[str, dict[str, None]] = {}
    check: dict[str, dict[str, None]] = {}
    may: dict[str, dict[str, None]] = {}
    parts: dict[str, dict[str, None]] = {}
    unresolved: dict[str, None] = {}
    for line in lines:
        place = _place(line)
        found = line.findings
        for part, into in ((found.contains, contains), (found.check, check), (found.may, may)):
            for allergen, evidence in part.items():
                into.setdefault(allergen, {}).update((f"{sentence}{place}", None) for sentence in evidence)
        for allergen, names in found.parts.items():
            parts.setdefault(allergen, {}).update(dict.fromkeys(names))
        if not line.understood:
            unresolved[line.text] = None
    also = {allergen: check.pop(allergen) for allergen in list(check) if allergen in contains}
    return DishAllergens(
        _ordered(contains), _ordered(check), _ordered(may), tuple(unresolved), _ordered(parts), _ordered(also)
    )


def _place(line: LineFindings) -> str:
    where = ", ".join(part for part in (line.stage, f"line {line.number}" if line.number else "") if part)
    return f" [{where}: {line.text}]" if where else f" [{line.text}]"


def _ordered(found: Mapping[str, Mapping[str, None]]) -> dict[str, tuple[str, ...]]:
    return {allergen: tuple(found[allergen]) for allergen in ALLERGENS if allergen in found}


def sulphites(doses: Iterable[tuple[str, float, float]], total: float) -> tuple[str, ...]:
    """Sulphites of a dish estimated from dose and dilution: sentences for "check", never a clearance.

    doses: (product, grams used [g], SO2 of the product [mg/kg]); total: mass of the dish [g]. Concentration [mg/kg] =
    sum(grams x dose) / total; the limit is 10 mg/kg (Annex II, 12). Empty without a dose or a mass.
    """
    known = [(name, grams, dose) for name, grams, dose in doses if grams > 0 and dose > 0]
    if not known or total <= 0:
        return ()
    level = sum(grams * dose for _, grams, dose in known) / total
    side = "above" if level > SULPHITES_LIMIT else "not above"
    names = ", ".join(name for name, _, _ in known)
    return (
        f"sulphites: about {level:.1f} mg/kg in the dish from {names}, {side} the limit of {SULPHITES_LIMIT:g} mg/kg; "
        "an estimate from dose and dilution that clears nothing: check the packs",
    )


@dataclass(frozen=True, slots=True)
class Chart:
    """Dishes by allergen: for each dish its name, a cell for each of the 14, and whether its answer is complete."""

    allergens: tuple[str, ...]
    rows: tuple[tuple[str, tuple[Cell, ...], bool], ...]


def chart(dishes: Iterable[tuple[str, DishAllergens]]) -> Chart:
    """The chart of a menu, dishes in the order given."""
    rows = tuple((name, tuple(dish.cell(a) for a in ALLERGENS), dish.complete) for name, dish in dishes)
    return Chart(ALLERGENS, rows)


def compare(old: Mapping[str, Any], new: Mapping[str, Any]) -> list[str]:
    """What changed between two JSON results of a dish (docs/records.md), as sentences; empty if nothing did.

    Raises InputError when either is no such result.
    """
    before, after = answer_of(old, "the earlier result"), answer_of(new, "the new result")
    dish = str(new.get("dish", "the dish"))
    found: list[str] = []
    for allergen in ALLERGENS:
        was, now = _state(before, allergen), _state(after, allergen)
        if was != now:
            found.append(f"{dish}: {_change(allergen, was, now, before, after)}")
        elif (one := _named(before, allergen)) and (other := _named(after, allergen)) and one != other:
            found.append(f"{dish}: now contains {other}, before: {one}")
    gone = [text for text in before["unresolved"] if text not in after["unresolved"]]
    come = [text for text in after["unresolved"] if text not in before["unresolved"]]
    found += [f'{dish}: "{text}" is not understood, so the answer is not complete' for text in come]
    found += [f'{dish}: "{text}" no longer stands among the lines that were not understood' for text in gone]
    return found


_KEYS = ("contains", "check", "may_contain")
_WORDS = {"contains": "contains {0}", "check": "check the pack for {0}", "may_contain": "may contain {0}"}


def answer_of(result: Mapping[str, Any], what: str) -> dict[str, Any]:
    """The allergens of a result, checked. Raises InputError."""
    answer = result.get("allergens") if isinstance(result, Mapping) else None
    if not isinstance(answer, Mapping):
        raise InputError(f'{what} has no "allergens"; take a result written by "nutrilab analyse --format json"')
    checked: dict[str, Any] = {}
    for key in _KEYS:
        found = answer.get(key, {})
        if not isinstance(found, Mapping) or not all(_sentences(v) for v in found.values()):
            raise InputError(f'"{key}" of {what} is not what an allergen list looks like')
        checked[key] = found
    for key in ("unresolved", "named"):
        checked[key] = answer.get(key, [])
        if not _sentences(checked[key]):
            raise InputError(f'"{key}" of {what} is not a list of texts')
    return checked


def _named(answer: Mapping[str, Any], allergen: str) -> str:
    """An allergen with its cereals or nuts, as `DishAllergens.named` wrote it; "" where the result does not name it."""
    return next((text for text in answer["named"] if text == allergen or text.startswith(f"{allergen} (")), "")


def _sentences(value: object) -> bool:
    return isinstance(value, Sequence) and not isinstance(value, str) and all(isinstance(x, str) for x in value)


def _state(answer: Mapping[str, Any], allergen: str) -> str:
    return next((key for key in _KEYS if allergen in answer[key]), "")


def _change(allergen: str, was: str, now: str, before: Mapping[str, Any], after: Mapping[str, Any]) -> str:
    if not now:
        return f"nothing points to {allergen} any more (before: {_because(before[was][allergen])})"
    said = _WORDS[now].format(allergen)
    earlier = f", before: {_WORDS[was].format(allergen)}" if was else ""
    return f"now {said}{earlier} ({_because(after[now][allergen])})"


def _because(evidence: Sequence[str]) -> str:
    return evidence[0] if evidence else "no evidence given"
