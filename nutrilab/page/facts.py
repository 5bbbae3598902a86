"""Portions, weighings and cooking as fields: what the recipe says of them, and what was read from its method."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from nutrilab.as_read import cooked_as_read
from nutrilab.messages import say
from nutrilab.page.look import Look
from nutrilab.recipe import METHODS, Cooking, Recipe
from nutrilab.recipe.editing import DISH, with_fact
from nutrilab.recipe.writing import number, percent
from nutrilab.sheets import trace

# Keys of the recipe format that have a field -> the name of the value; those that are asked for most come first.
OF_COOKING = {
    "method": "method", "minutes": "minutes", "weight before": "weight_before", "weight after": "weight_after",
    "drained": "drained", "covered": "covered", "loss": "loss", "fat drained": "fat_drained",
    "frying oil left": "oil_left", "salted water": "salted_water",
}  # fmt: skip
FIRST = 4  # of them that are shown at once
OF_TEXT = ("weight after", "frying oil left")  # those that plain text has words for
CHOICES = {"method": tuple(METHODS), "drained": ("yes", "no"), "covered": ("yes", "no")}


@dataclass(frozen=True, slots=True)
class Field:
    """A field: its name in the form, the key it writes, what stands there, what may be chosen, a word of help."""

    name: str
    key: str
    value: str
    choices: tuple[str, ...] = ()
    help: str = ""


@dataclass(frozen=True, slots=True)
class StageFacts:
    """A stage: its fields, the rarer of them apart; what it weighed, and how, in words; how it was read."""

    name: str
    fields: tuple[Field, ...]
    rarer: tuple[Field, ...]
    weights: str
    read: str


@dataclass(frozen=True, slots=True)
class Facts:
    """The fields of a recipe; needs_file: whether it has to become a recipe file before its stages can say more."""

    dish: tuple[Field, ...]
    stages: tuple[StageFacts, ...]
    as_read: tuple[str, ...]
    needs_file: bool

    @property
    def names(self) -> frozenset[str]:
        """The names of all its fields."""
        return frozenset(field.name for _, field in _all(self))


def facts(look: Look) -> Facts | None:
    """The fields of a recipe that can be read."""
    if look.recipe is None:
        return None
    recipe = look.recipe
    portion = "" if recipe.portion_weight is None else f"{number(recipe.portion_weight)} g"
    dish = (
        Field("fact--portions", "portions", "" if recipe.portions is None else number(recipe.portions)),
        Field("fact--portion weight", "portion weight", portion),
    )
    if not look.is_yaml:
        cooking = recipe.stages[-1].cooking or Cooking()
        fields = tuple(_field("", key, cooking) for key in OF_TEXT)
        stage = StageFacts("", fields, (), _whole(look), "")
        return Facts(dish, (stage,), tuple(_as_read(look)), needs_file=True)
    return Facts(dish, tuple(_stages(look, recipe)), tuple(_as_read(look)), needs_file=False)


def _stages(look: Look, recipe: Recipe) -> Iterator[StageFacts]:
    weights = dict(_weights(look))
    for stage in recipe.stages:
        fields = [_field(stage.name, key, stage.cooking or Cooking()) for key in OF_COOKING]
        yield StageFacts(stage.name, tuple(fields[:FIRST]), tuple(fields[FIRST:]), weights.get(stage.name, ""), "")


def _field(stage: str, key: str, cooking: Cooking) -> Field:
    value = getattr(cooking, OF_COOKING[key])
    return Field(
        f"fact-{stage}-{key}", key, _shown(key, value), CHOICES.get(key, ()), say(f"desk.help.{key.replace(' ', '-')}")
    )


def _shown(key: str, value: object) -> str:
    if value is None or (value is False and key == "drained"):
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float | int):
        if key == "loss":
            return f"{percent(value)}%"
        return number(value) + (" g" if key not in ("minutes", "salted water") else "")
    return str(value)


def _weights(look: Look) -> Iterator[tuple[str, str]]:
    for stage in trace.stages(look.dish, ()) if look.dish else ():
        yield stage.name, stage.weights


def _whole(look: Look) -> str:
    """What went into all of a plain text, and came out."""
    last = look.dish.recipe.stages[-1].name if look.dish else ""
    return dict(_weights(look)).get(last, "")


def _as_read(look: Look) -> Iterator[str]:
    for row in cooked_as_read(look.dish) if look.dish else ():
        foods = f"{', '.join(row.foods)}: " if row.foods else ""
        weights = say("sheet.before-after", before=f"{row.before:.0f} g", after=f"{row.after:.0f} g")
        yield f"{row.stage}: {foods}{row.done}; {weights}"


def written(look: Look, fields: Mapping[str, str]) -> str:
    """The text with what was changed in the fields. Raises InputError: a value that cannot be."""
    found = facts(look)
    text = look.text
    for stage, field in _all(found) if found else ():
        value = " ".join(fields.get(field.name, field.value).split())
        if value == fields.get(f"was-{field.name}", field.value):
            continue
        text = with_fact(text, look.is_yaml, stage, field.key, value)
        if value and field.key in DISH:  # a dish says one of the two
            other = next(key for key in DISH if key != field.key)
            text = with_fact(text, look.is_yaml, "", other, "")
    return text


def _all(found: Facts) -> Iterator[tuple[str, Field]]:
    yield from (("", field) for field in found.dish)
    for stage in found.stages:
        yield from ((stage.name, field) for field in (*stage.fields, *stage.rarer))
