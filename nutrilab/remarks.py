"""What the tool has to say to the cook: remarks beside a result, and refusals."""

from __future__ import annotations

from dataclasses import dataclass, replace

from nutrilab.plain import file_name, sentence


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

    def __post_init__(self) -> None:
        object.__setattr__(self, "message", sentence(self.message))  # what it quotes came from anywhere

    def at(self, stage: str | None, line: int | None = None) -> Remark:
        """The same remark, placed in a stage and at a line of it."""
        return replace(self, stage=stage, line=line)


class NutrilabError(Exception):
    """What cannot be done: one sentence with the file, the line, the fault and the cure, harmless wherever it is shown.

    message: without its place; file, line: the place, None where there is none.
    """

    def __init__(self, message: str, file: object = None, line: int | None = None) -> None:
        self.message, self.file, self.line = sentence(message), file, line
        where = "" if file is None else f"{file_name(file)}{f', line {line}' if line else ''}: "
        super().__init__(where + self.message)


class InputError(NutrilabError):
    """Input that cannot be used."""
