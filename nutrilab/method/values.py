"""What the reading of a method holds: the lines it may speak of, its steps, and what was read of a stage."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from nutrilab.recipe import Stage

BATH, IN_BATH = 150.0, 0.4  # [g] of oil, and its share of the rest, that nobody eats (common practice, no source)


def is_much(oil: float, rest: float) -> bool:
    """Whether it is so much oil [g] for the rest of the food [g] that this may lie in it."""
    return oil >= max(BATH, IN_BATH * rest)


class Ground(StrEnum):
    """What a fact of the cooking stands on, as the records have it."""

    READ = "read from the method"


class What(StrEnum):
    """What can be read of how a stage is cooked, as the records have it."""

    METHOD = "method"
    MINUTES = "minutes"
    COVERED = "covered"
    DRAINED = "drained"
    FAT_POURED = "fat poured off"
    BOILED_OFF = "boiled off"
    SALTED = "salted water"
    FLAMED = "flamed"
    MARINADE = "marinade left behind"
    FAT_LEFT = "fat left behind"
    COATED = "coated in"
    THROWN = "thrown away"
    SALT_RINSED = "salt rinsed off"


@dataclass(frozen=True, slots=True)
class Named:
    """A line of the recipe as a method may call it.

    number: its place among all lines of the recipe, from 0; names: words of each of its foods, singular; kinds: what
    its foods are to the stove, with all parents; grams: what it weighs [g], 0 where nobody knows; purpose: a word of
    line_purposes.csv; heading: the heading it stands under, "" for none; line: its line in the file; share: of the
    cook's line, which has the number ``of``, this is as much [0 to 1].
    """

    number: int
    text: str
    names: tuple[tuple[str, ...], ...] = ()
    kinds: frozenset[str] = frozenset()
    grams: float = 0.0
    purpose: str | None = None
    heading: str = ""
    line: int | None = None
    share: float = 1.0
    of: int | None = None

    @property
    def origin(self) -> int:
        """The number of the cook's own line."""
        return self.number if self.of is None else self.of

    def is_any(self, *kinds: str) -> bool:
        """Whether one of its foods is of one of these kinds."""
        return not self.kinds.isdisjoint(kinds)


@dataclass(frozen=True, slots=True)
class Reduction:
    """How much of a liquid leaves: share of it between low and high [0 to 1], by which words."""

    share: float
    low: float
    high: float
    words: str


@dataclass(frozen=True, slots=True)
class Step:
    """One thing that is done.

    text: its words; line: of the file; does: as in data/method/verbs.csv, "" where it was not understood; method: a
    cooking method, "" where none is said; foods: numbers of the lines it names, in order; shares: of those of which
    only a part is used (number, share); all_foods: "all" or "rest" where it says everything; pronoun: it speaks of
    what was last spoken of; minutes [min]; degrees [°C]; covered: yes, no or not said; reduced; label: what it makes
    ("the sauce"); speaks: labels it speaks of; elsewhere: a pot of its own; into: the pot there is; water: poured in
    and in no line [ml]; salted: in salted water; paper: drained on paper, of fat only; fat: its object is fat; drained:
    "drain" that takes water away; hob: not in the oven; sets:
    a jam that sets.
    """

    text: str
    line: int | None = None
    does: str = ""
    method: str = ""
    foods: tuple[int, ...] = ()
    shares: tuple[tuple[int, float], ...] = ()
    rest: tuple[int, ...] = ()
    kept: tuple[int, ...] = ()
    all_foods: str = ""
    pronoun: bool = False
    minutes: float | None = None
    degrees: float | None = None
    covered: bool | None = None
    reduced: Reduction | None = None
    label: str = ""
    speaks: tuple[str, ...] = ()
    elsewhere: bool = False
    into: bool = False
    water: float = 0.0
    salted: bool = False
    deep: bool = False
    paper: bool = False
    fat: bool = False
    without_fat: bool = False
    hob: bool = False
    sets: bool = False

    @property
    def understood(self) -> bool:
        """Whether its words were."""
        return bool(self.does)


@dataclass(frozen=True, slots=True)
class Fact:
    """One thing read of how a stage is cooked: what, its value in words ("yes" or "no" of a state), the sentence."""

    what: What
    value: str
    sentence: str
    line: int | None = None
    ground: Ground = Ground.READ


@dataclass(frozen=True, slots=True)
class AsRead:
    """All that was read of one stage: the facts, the steps they came from, and the lines (names) they speak of."""

    stage: str
    foods: tuple[str, ...]
    facts: tuple[Fact, ...] = ()
    steps: tuple[Step, ...] = field(default=())


@dataclass(frozen=True, slots=True)
class MethodRead:
    """A method as read: the stages it makes of the lines, what was read of each, and all its steps; loose: those that
    throw away what stands in no line of its own; kept: that keep some of what was cooked; missing: foods that a step
    names and no line does.
    """

    stages: tuple[Stage, ...]
    read: tuple[AsRead, ...]
    steps: tuple[Step, ...]
    loose: tuple[Step, ...] = ()
    missing: tuple[tuple[str, Step], ...] = ()
    kept: tuple[Step, ...] = ()

    @property
    def unread(self) -> tuple[Step, ...]:
        """Steps whose words were not understood."""
        return tuple(step for step in self.steps if not step.understood)
