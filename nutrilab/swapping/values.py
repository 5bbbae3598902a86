"""What a swap is made of: what was said, and the lines and names that it could mean."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from nutrilab.lexicon.same import name_of
from nutrilab.lines import Reading
from nutrilab.recipe import Line, Recipe
from nutrilab.results import LineRecord

Place = tuple[Path | None, str, int]  # recipe, stage, number in it


@dataclass(frozen=True, slots=True)
class Wish:
    """A swap as it was said: the words of an ingredient, and what takes its place."""

    old: str
    new: str
    reading: Reading

    @property
    def weighs_itself(self) -> bool:
        """Whether the new ingredient says how much of it; else the old grams stand."""
        return self.reading.quantity is not None or self.reading.in_doubt


@dataclass(frozen=True, slots=True)
class Name:
    """A food of a line as it can be swapped: as written, its singular words and those of its preparation."""

    written: str
    tokens: tuple[str, ...]
    beside: tuple[str, ...]

    @property
    def key(self) -> str:
        """What tells one name from another."""
        return name_of(self.tokens)


@dataclass(frozen=True, slots=True)
class Spot:
    """A line that can be swapped: the recipe it stands in, its stage, its number there from 1, its names."""

    recipe: Recipe
    stage: str
    number: int
    line: Line
    names: tuple[Name, ...]
    record: LineRecord

    @property
    def place(self) -> Place:
        """What tells its line from all others."""
        return self.recipe.path, self.stage, self.number
