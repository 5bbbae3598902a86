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
from nutrilab.results import LineFood, LineRecord
from nutrilab.weighing.asked import Span, in_grams

_SAYS = {
    "contains": "contains {label}",
    "check": "ask the pack for {label}",
    "misleads": "does not mean {label}",
    "claim": "takes {label} away, as far as it goes",
    "stand-in": "if a claim takes the usual away, ask for {label}",
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
        yield Said("reading", "a heading, no food")
        return
    yield Said("reading", _amount(parsed), _unit_places(parsed))
    for label, value in (("size", parsed.size), ("prepared", parsed.preparation), ("purpose", parsed.purpose)):
        if value:
            yield Said("reading", f"{label}: {value}")
    for word, part, place in placed(parsed.text):
        yield Said("reading", f'"{word}": {part}', (place,))


def _amount(parsed: Reading) -> str:
    """Number, unit and names of a line."""
    names = " or ".join(parsed.names) if parsed.choice else ", ".join(parsed.names)
    if parsed.quantity is None:
        return f'no amount of "{names}"' if not parsed.unit else f'{parsed.unit} of "{names}", without a number'
    number = f"{parsed.quantity:g}" + (f" to {parsed.quantity_max:g}" if parsed.quantity_max is not None else "")
    return f'{number} {parsed.unit or "counted"}, "{names}"'


def _unit_places(parsed: Reading) -> tuple[str, ...]:
    written = parsed.text.lower()
    return tuple(row[AT] for row in rows("units.csv") if row["unit"] == parsed.unit and row["word"] in written)[:1]


def _lexicon(food: LineFood) -> Iterator[Said]:
    """The name the linked words go by."""
    word = food.link.why.partition(":")[0]
    if word not in known_as() or not food.link.place:
        return
    name, place = known_as()[word]
    text = f'"{word}" is a name of its own' if word == name else f'"{word}" is another word for "{name}"'
    yield Said("name", text, (place,))


def _link(food: LineFood) -> Said:
    link = food.link
    if food.product is not None:
        return Said("food", f'your own product "{food.product.name}"')
    places = (link.place,) if link.place else ()
    if link.food is None:
        return Said("food", f'"{food.name}" is linked to no food: {link.why}', places)
    how = f"{link.food.name} ({link.food.food_id}, {link.food.source}), {link.sureness}"
    return Said("food", f'"{food.name}" is {how}, by "{link.why}"', places)


def _weight(food: LineFood) -> Said:
    weight = food.weight
    if weight.grams is None or weight.low is None or weight.high is None:
        return Said("weight", f"nobody knows what {food.name} weighs")
    span = in_grams(Span(weight.grams, weight.low, weight.high))
    return Said("weight", f"{span}, {weight.ground}", (weight.place,) if weight.place else ())


def _stove(food: Food) -> Said:
    kind = stove_kinds().get(kind_of(food))
    if kind is None:
        return Said("stove", "of no kind that yields and retention know")
    state = "raw or dry" if is_raw(food) else "ready"
    return Said("stove", f"kind {kind.name}, {state}", (kind.place,))


def _allergens(record: LineRecord) -> Iterator[Said]:
    """Every rule the words meet, then what stands after they are weighed against each other."""
    reading = rulebook().read(record.parsed.text)
    for hit in dict.fromkeys(reading.hits):
        yield Said("allergens", _rule_text(hit), (hit.rule.place,) if hit.rule.place else ())
    findings = record.findings
    if not findings.contains and not findings.check:
        yield Said("allergens", "so: nothing in the words points to one of the 14 allergens")
    for label, found in (("contains", findings.contains), ("check the pack for", findings.check)):
        for allergen, evidence in found.items():
            yield Said("allergens", f"so: {label} {allergen} ({'; '.join(evidence)})")


def _rule_text(hit: Hit) -> str:
    rule = hit.rule
    return f'"{rule.words}" {_SAYS[rule.kind].format(label=rule.label)}: {rule.ground}'
