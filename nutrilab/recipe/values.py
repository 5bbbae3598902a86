"""What a recipe is: a dish made in stages of lines and parts of other stages."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum
from fractions import Fraction
from pathlib import Path

from nutrilab.plain import brief
from nutrilab.remarks import Remark


class Method(StrEnum):
    """How food is cooked, in the words of a recipe file."""

    RAW = "raw"
    BOILED = "boiled"
    SIMMERED = "simmered"
    STEAMED = "steamed"
    POACHED = "poached"
    STEWED = "stewed"
    BRAISED = "braised"
    BAKED = "baked"
    ROASTED = "roasted"
    GRILLED = "grilled"
    PAN_FRIED = "pan-fried"
    STIR_FRIED = "stir-fried"
    DEEP_FRIED = "deep-fried"
    MICROWAVED = "microwaved"
    TOASTED = "toasted"


METHODS = tuple(Method)
SAME = 1e-9  # [1] of a weight, between which and its like there is no difference
FINEST = 1000  # parts of a line that a share of it is told in


def stage_key(name: str) -> str:
    """Stage names match without regard to case and spaces."""
    return "".join(name.casefold().split())


@dataclass(frozen=True, slots=True)
class Cooking:
    """How a stage was cooked. Weights in [g], salted_water in [g salt per litre], loss a share 0 to 1.

    fat_poured: the fat was poured off and nobody weighed it; boiled_off: water that was reduced away [g], low, high;
    marinade: texts of the lines that stay behind as a marinade; coating: of those the food is coated in; thrown: of
    those that are thrown away when it is cooked; read: all this was read from the written method.
    """

    method: Method | None = None
    minutes: float | None = None
    drained: bool = False
    covered: bool | None = None
    weight_before: float | None = None
    weight_after: float | None = None
    loss: float | None = None
    fat_drained: float | None = None
    oil_left: float | None = None
    salted_water: float | None = None
    flamed: bool = False
    line: int | None = None
    fat_poured: bool = False
    boiled_off: tuple[float, float, float] | None = None
    marinade: tuple[str, ...] = ()
    coating: tuple[str, ...] = ()
    thrown: tuple[str, ...] = ()
    read: bool = False


@dataclass(frozen=True, slots=True)
class Was:
    """The line that a swapped one stands for: the method speaks of it by the old words.

    share: of the old line as the cook wrote it [0 to 1]; grams_stand: the new line weighs what the old one weighed;
    more: lines that the old one comes to beside this one.
    """

    text: str
    share: float = 1.0
    grams_stand: bool = True
    more: tuple[Line, ...] = ()


@dataclass(frozen=True, slots=True)
class Line:
    """An ingredient as the cook wrote it, and its line in the file.

    share: of what the line says as much goes in here [0 to 1]: "half of 50 g butter".
    whole: it is an ingredient whatever it looks like, and no part of a stage ("the rest of the sauce" of a page).
    was: what it stands for where somebody asks "what if".
    """

    text: str
    line: int | None = None
    share: float = 1.0
    whole: bool = False
    was: Was | None = None

    @property
    def written(self) -> str:
        """The text with its share, as a recipe file says it."""
        return self.text if self.share == 1 else f"{Fraction(self.share).limit_denominator(FINEST)} of {self.text}"


@dataclass(frozen=True, slots=True)
class Part:
    """Some of a stage made before, by share (0 to 1] or by weight [g]; ``file`` if of another recipe."""

    text: str
    stage: str
    share: float | None = None
    grams: float | None = None
    file: str | None = None
    line: int | None = None


@dataclass(frozen=True, slots=True)
class Stage:
    """One step of the kitchen: what goes in, in the order written, and how it is cooked.

    weighed_of: what went in when it was weighed [g], where somebody asks "what if" and something else goes in.
    """

    name: str
    entries: tuple[Line | Part, ...]
    cooking: Cooking | None = None
    left_over: bool = False
    line: int | None = None
    weighed_of: float | None = None

    def cooked(self, mass: float) -> Cooking | None:
        """Its cooking for so much that goes in [g]: what was weighed of other ingredients holds in proportion."""
        own = self.cooking
        if own is None or not self.weighed_of or abs(mass / self.weighed_of - 1) < SAME:
            return own
        before, after = (
            None if weight is None else weight * mass / self.weighed_of
            for weight in (own.weight_before, own.weight_after)
        )
        return replace(own, weight_before=before, weight_after=after)


@dataclass(frozen=True, slots=True, repr=False)
class Recipe:
    """A dish. The last stage is the dish; ``others`` holds the recipes whose stages it takes, by file name.

    portions [1] or portion_weight [g of cooked dish]; cup: "us" or "metric"; products: file of own products, named in
    ``products_line``; method: lines that were left out of the ingredients as steps of its method.
    """

    dish: str
    stages: tuple[Stage, ...]
    portions: float | None = None
    portion_weight: float | None = None
    serve_with: tuple[Line, ...] = ()
    drink: bool = False
    cup: str = "us"
    notes: str | None = None
    source: str | None = None
    products: str | None = None
    products_line: int | None = None
    method: tuple[Line, ...] = ()
    path: Path | None = None
    others: Mapping[str, Recipe] = field(default_factory=dict)
    remarks: tuple[Remark, ...] = ()

    def __repr__(self) -> str:
        lines = sum(isinstance(entry, Line) for stage in self.stages for entry in stage.entries)
        portions = "" if self.portions is None else f", {self.portions:g} portions"
        return f"<recipe {brief(self.dish)}: {len(self.stages)} stages, {lines} lines{portions}>"
