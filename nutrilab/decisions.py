"""What the cook decided once: ``decisions.yaml`` beside the recipes maps a name to a food of a table."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any, Final

from data_loaders import disk
from nutrilab.files import content, text_of, there
from nutrilab.plain import quoted
from nutrilab.remarks import InputError
from nutrilab.text import words

NAME = "decisions.yaml"
NONE: Final = "none"  # the name stands for no food
LARGEST = 1_000_000  # bytes
HEAD = "# What a name in these recipes stands for, decided once: a food id of a food table, or none.\n"
ONE_LINE = 'a decision is one line, "name: food id", such as "double cream: sr:01053"'


@dataclass(frozen=True, slots=True, eq=False)
class Decisions(Mapping[str, str]):
    """Name -> food id or "none", and where each stands: the file and its lines, from 1."""

    foods: Mapping[str, str] = field(default_factory=dict)
    file: Path | None = None
    lines: Mapping[str, int] = field(default_factory=dict)

    def __getitem__(self, name: str) -> str:
        return self.foods[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self.foods)

    def __len__(self) -> int:
        return len(self.foods)


def without(decisions: Mapping[str, str], names: Iterable[str]) -> Decisions:
    """The decisions but for some names, each still where it stands."""
    gone = set(names)
    kept = {name: food for name, food in decisions.items() if name not in gone}
    return replace(decisions, foods=kept) if isinstance(decisions, Decisions) else Decisions(kept)


def fault(decisions: Mapping[str, str], name: str, message: str) -> InputError:
    """What is wrong with a decision, as a sentence with its file and line where they are known."""
    if isinstance(decisions, Decisions):
        return InputError(message, decisions.file, decisions.lines.get(name))
    return InputError(message)


def read_decisions(folder: Path) -> Decisions:
    """Decisions of a folder; empty when there is no such file.

    Raises InputError: not readable, not "name: food id" lines, a name twice.
    """
    path = folder / NAME
    return _parsed(content(path, LARGEST, InputError, "a list of decisions"), path) if there(path) else Decisions()


def _parsed(data: bytes, path: Path) -> Decisions:
    from nutrilab.yaml_reader import document

    node = document(text_of(data, path), path)
    return Decisions(file=path) if node is None else _pairs(node, path)


def _pairs(node: Any, path: Path) -> Decisions:
    """Name and food of a flat mapping; anything else is refused. Raises InputError."""
    import yaml

    from nutrilab.yaml_reader import line_of

    if not isinstance(node, yaml.MappingNode):
        raise InputError(ONE_LINE, path, line_of(node))
    found: dict[str, str] = {}
    lines: dict[str, int] = {}
    known: set[tuple[str, ...]] = set()
    for key, value in node.value:
        if not (isinstance(key, yaml.ScalarNode) and isinstance(value, yaml.ScalarNode)):
            raise InputError(ONE_LINE, path, line_of(key))
        name = _name(key.value, known, path, line_of(key))
        lines[name] = line_of(key)
        found[name] = _food(value.value, name, path, line_of(value))
    return Decisions(found, path, lines)


def _name(text: str, known: set[tuple[str, ...]], path: Path, line: int) -> str:
    """A name as written; names that are looked up alike are one. Raises InputError."""
    name = text.strip()
    key = words(name)
    if not key:
        raise InputError(f"no name stands here; {ONE_LINE}", path, line)
    if key in known:
        raise InputError(f"{quoted(name)} is decided twice", path, line)
    known.add(key)
    return name


def _food(text: str, name: str, path: Path, line: int) -> str:
    food_id = text.strip()
    if not food_id:
        raise InputError(f"{quoted(name)} has no food id; write one, such as sr:01053, or none", path, line)
    return NONE if food_id.lower() == NONE else food_id


def add(folder: Path, name: str, food_id: str) -> Path:
    """Write one decision more under those of a folder, which stay letter for letter, remarks too.

    A name that was decided meanwhile stays as it is. Raises InputError, with the file as it was.
    """
    path = folder / NAME
    try:
        with disk.locked(folder / f".{NAME}.lock"):
            known = read_decisions(folder)
            if words(name) not in map(words, known):
                disk.put(path, _with(path, known, name, food_id), durable=True)
    except TimeoutError:
        raise InputError("another nutrilab is writing it; try again when that has ended", path) from None
    except OSError as error:
        raise InputError(f"it cannot be written ({error.strerror})", path) from None
    return path


def _with(path: Path, known: Mapping[str, str], name: str, food_id: str) -> bytes:
    """The file with one line more. Raises InputError where a line under it is no decision; OSError."""
    import yaml

    line = yaml.safe_dump({name: food_id}, allow_unicode=True, width=1000)
    old = path.read_bytes() if path.exists() else HEAD.encode()
    new = old + (b"" if old.endswith(b"\n") or not old else b"\n") + line.encode()
    try:
        found = _parsed(new, path)
    except InputError:
        found = Decisions()
    if len(found) != len(known) + 1 or found.get(name.strip()) != food_id:
        message = f"no line can be added under what stands here; write it in yourself: {line.strip()}"
        raise InputError(message, path)
    return new
