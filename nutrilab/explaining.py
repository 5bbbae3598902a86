"""A line explained in plain words: what each room made of it, and the file and row that says so.

For a cook in doubt, and for whoever adds a word. Values only; places are files of ``nutrilab/data`` and their lines.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from nutrilab.allergens import cautions
from nutrilab.allergens.rules import rulebook
from nutrilab.allergens.values import Hit
from nutrilab.cooking.kinds import is_raw, kind_of, stove_kinds
from nutrilab.datafiles import AT, rows
from nutrilab.foods import Food
from nutrilab.lexicon.describing import placed
from nutrilab.lexicon.names import known_as
from nutrilab.lines import Reading
from nutrilab.messages import either, say
from nutrilab.results import LineFood, LineRecord
from nutrilab.weighing.asked import Span, in_grams

_SAYS = {  # kind of a rule -> how it is told
    "contains": "explain.rule-contains",
    "check": "explain.rule-check",
    "misleads": "explain.rule-misleads",
    "claim": "explain.rule-claim",
    "stand-in": "explain.rule-stand-in",
}


@dataclass(frozen=True, slots=True)
class Said:
    """One sentence of a room: what it made of the line, and the rows it took that from."""

    room: str
    text: str
    places: tuple[str, ...] = ()


def explain(record: LineRecord) -> tuple[Said, ...]:
    """What every room made of a line, in the order of the way."""
    found = [*_reading(record.parsed)]
    for food in record.foods:
        found += [*_lexicon(food), _link(food), _weight(food)]
        if food.link.food is not None:
            found.append(_stove(food.link.food))
    found += [*_allergens(record)]
    found += [Said("remark", remark.message) for remark in record.remarks]
    return (*found, *(Said("always", caution) for caution in cautions()))


def _reading(parsed: Reading) -> Iterator[Said]:
    if parsed.heading:
        yield Said("reading", say("explain.heading"))
        return
    yield Said("reading", _amount(parsed), _unit_places(parsed))
    for label, value in (("size", parsed.size), ("prepared", parsed.preparation), ("purpose", parsed.purpose)):
        if value:
            yield Said("reading", say(f"explain.{label}", value=value))
    for word, part, place in placed(parsed.text):
        yield Said("reading", f'"{word}": {part}', (place,))


def _amount(parsed: Reading) -> str:
    """Number, unit and names of a line."""
    names = either(parsed.names) if parsed.choice else ", ".join(parsed.names)
    if parsed.quantity is None:
        if parsed.unit:
            return say("explain.unit-alone", unit=parsed.unit, names=names)
        return say("explain.no-amount", names=names)
    number = f"{parsed.quantity:g}"
    if parsed.quantity_max is not None:
        number = say("explain.range", low=number, high=f"{parsed.quantity_max:g}")
    if parsed.unit:
        return say("explain.amount", number=number, unit=parsed.unit, names=names)
    return say("explain.counted", number=number, names=names)


def _unit_places(parsed: Reading) -> tuple[str, ...]:
    written = parsed.text.lower()
    return tuple(row[AT] for row in rows("units.csv") if row["unit"] == parsed.unit and row["word"] in written)[:1]


def _lexicon(food: LineFood) -> Iterator[Said]:
    """The name the linked words go by."""
    word = food.link.word
    if word not in known_as() or not food.link.place:
        return
    name, place = known_as()[word]
    text = say("explain.own-name", word=word) if word == name else say("explain.other-name", word=word, name=name)
    yield Said("name", text, (place,))


def _link(food: LineFood) -> Said:
    link = food.link
    if food.product is not None:
        return Said("food", say("explain.own-product", product=food.product.name))
    places = (link.place,) if link.place else ()
    if link.food is None:
        return Said("food", say("explain.no-food", name=food.name, why=link.why), places)
    how = f"{link.food.name} ({link.food.food_id}, {link.food.source}), {link.sureness}"
    return Said("food", say("explain.food", name=food.name, how=how, why=link.why), places)


def _weight(food: LineFood) -> Said:
    weight = food.weight
    if weight.grams is None or weight.low is None or weight.high is None:
        return Said("weight", say("explain.no-weight", name=food.name))
    span = in_grams(Span(weight.grams, weight.low, weight.high))
    return Said(
        "weight",
        say("explain.weight", weight=span, ground=weight.ground.words),
        (weight.place,) if weight.place else (),
    )


def _stove(food: Food) -> Said:
    kind = stove_kinds().get(kind_of(food))
    if kind is None:
        return Said("stove", say("explain.no-kind"))
    state = say("explain.raw" if is_raw(food) else "explain.ready")
    return Said("stove", say("explain.kind", kind=kind.name, state=state), (kind.place,))


def _allergens(record: LineRecord) -> Iterator[Said]:
    """Every rule the words meet, then what stands after they are weighed against each other."""
    reading = rulebook().read(record.parsed.text)
    for hit in dict.fromkeys(reading.hits):
        yield Said("allergens", _rule_text(hit), (hit.rule.place,) if hit.rule.place else ())
    findings = record.findings
    if not findings.contains and not findings.check:
        yield Said("allergens", say("explain.no-allergen"))
    for allergen, evidence in findings.contains.items():
        yield Said("allergens", say("explain.contains", allergen=allergen, evidence="; ".join(evidence)))
    for allergen, evidence in findings.check.items():
        yield Said("allergens", say("explain.check", allergen=allergen, evidence="; ".join(evidence)))


def _rule_text(hit: Hit) -> str:
    rule = hit.rule
    return say(_SAYS[rule.kind], words=rule.words, label=rule.label, ground=rule.ground)
