"""What the cook decided once: ``decisions.yaml`` beside the recipes maps a name to a food of a table."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any, Final

from data_loaders import disk
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
    kept = {name: food for name, food in decisions.items() if name not in set(names)}
    return replace(decisions, foods=kept) if isinstance(decisions, Decisions) else Decisions(kept)


def fault(decisions: Mapping[str, str], name: str, message: str) -> InputError:
    """What is wrong with a decision, as a sentence with its file and line where they are known."""
    if isinstance(decisions, Decisions):
        return InputError(message, decisions.file, decisions.lines.get(name))
    return InputError(message)


def read(folder: Path) -> Decisions:
    """Decisions of a folder; empty when there is no such file.

    Raises InputError: not readable, not "name: food id" lines, a name twice.
    """
    path = folder / NAME
    if not path.exists():
        return Decisions()
    import yaml

    try:
        if path.stat().st_size > LARGEST:
            raise InputError("the file is too large for a list of decisions", path)
        text = path.read_text(encoding="utf-8-sig")
        events = list(yaml.parse(text, Loader=yaml.SafeLoader))
    except UnicodeDecodeError:
        raise InputError("a letter here is not UTF-8; save the file as UTF-8", path) from None
    except OSError as error:
        raise InputError(f"it cannot be read ({error.strerror})", path) from None
    except yaml.YAMLError as error:
        mark = getattr(error, "problem_mark", None)
        raise InputError("this is not written as YAML wants it", path, mark.line + 1 if mark else None) from None
    return _pairs(events, path)


def _pairs(events: Iterable[Any], path: Path) -> Decisions:
    """Name and food of a flat mapping, from its YAML events; anything else is refused. Raises InputError."""
    import yaml

    found: dict[str, str] = {}
    lines: dict[str, int] = {}
    known: set[tuple[str, ...]] = set()
    name: str | None = None
    inside = False
    for event in events:
        line = int(event.start_mark.line) + 1 if event.start_mark else None
        if isinstance(event, yaml.MappingStartEvent) and not inside and not found and not event.anchor:
            inside = True
        elif isinstance(event, yaml.MappingEndEvent):
            inside = False
        elif inside and isinstance(event, yaml.ScalarEvent) and not event.anchor and not event.tag:
            if name is None:
                name = _name(event.value, known, path, line)
                lines[name] = line or 0
            else:
                found[name], name = _food(event.value, name, path, line), None
        elif isinstance(event, yaml.NodeEvent) and not _is_nothing(event):
            raise InputError(ONE_LINE, path, line)
    return Decisions(found, path, lines)


def _is_nothing(event: Any) -> bool:
    """What the parser gives for a file that holds remarks only."""
    return getattr(event, "value", None) == "" and bool(event.implicit[0])


def _name(text: str, known: set[tuple[str, ...]], path: Path, line: int | None) -> str:
    """A name as written; names that are looked up alike are one. Raises InputError."""
    name = text.strip()
    key = words(name)
    if not key:
        raise InputError(f"no name stands here; {ONE_LINE}", path, line)
    if key in known:
        raise InputError(f'"{name}" is decided twice', path, line)
    known.add(key)
    return name


def _food(text: str, name: str, path: Path, line: int | None) -> str:
    food_id = text.strip()
    if not food_id:
        raise InputError(f'"{name}" has no food id; write one, such as sr:01053, or none', path, line)
    return NONE if food_id.lower() == NONE else food_id


def add(folder: Path, name: str, food_id: str) -> Path:
    """Write one decision more under those of a folder, which stay letter for letter, remarks too.

    A name that was decided meanwhile stays as it is. Raises InputError, with the file as it was.
    """
    path = folder / NAME
    try:
        with disk.locked(folder / f".{NAME}.lock"):
            known = read(folder)
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
        found = yaml.load(new.decode("utf-8-sig"), Loader=yaml.BaseLoader)
    except yaml.YAMLError:
        found = None
    if not isinstance(found, dict) or len(found) != len(known) + 1 or found.get(name) != food_id:
        message = f"no line can be added under what stands here; write it in yourself: {line.strip()}"
        raise InputError(message, path)
    return new
