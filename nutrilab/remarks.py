"""What the tool has to say to the cook: remarks beside a result, and refusals."""

from __future__ import annotations

from dataclasses import dataclass, replace


@dataclass(frozen=True, slots=True)
class Remark:
    """A warning that travels with a result; nothing in the core prints.

    code: short stable word for programs ("no-moisture-loss"); message: one plain
    sentence for the cook; stage and line: where it belongs, line counted from 1 in
    the stage's own list of ingredients.
    """

    code: str
    message: str
    stage: str | None = None
    line: int | None = None

    def at(self, stage: str | None, line: int | None = None) -> Remark:
        """The same remark, placed in a stage and at a line of it."""
        return replace(self, stage=stage, line=line)


class InputError(Exception):
    """Input that cannot be used: one sentence with the file, the line, the fault and the cure."""

    def __init__(self, message: str, file: object = None, line: int | None = None) -> None:
        where = "" if file is None else f"{file}{f', line {line}' if line else ''}: "
        super().__init__(where + message)
