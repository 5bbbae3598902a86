"""What the cook decided once: ``decisions.yaml`` beside the recipes maps a name to a food of a table."""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from nutrilab.remarks import InputError

NAME = "decisions.yaml"
LARGEST = 1_000_000  # bytes
HEAD = "# What a name in these recipes stands for, decided once: a food id of a food table, or none.\n"


def read(folder: Path) -> dict[str, str]:
    """Decisions of a folder, name -> food id or "none"; empty when there is no such file.

    Raises InputError: not readable, not "name: food id" lines, a name twice.
    """
    path = folder / NAME
    if not path.exists():
        return {}
    import yaml

    try:
        if path.stat().st_size > LARGEST:
            raise InputError("the file is too large for a list of decisions", path)
        text = path.read_text(encoding="utf-8")
        events = list(yaml.parse(text, Loader=yaml.SafeLoader))
    except (OSError, UnicodeDecodeError) as error:
        raise InputError(f"it cannot be read ({error})", path) from None
    except yaml.YAMLError as error:
        mark = getattr(error, "problem_mark", None)
        raise InputError("this is not written as YAML wants it", path, mark.line + 1 if mark else None) from None
    return _pairs(events, path)


def _pairs(events: Iterable[Any], path: Path) -> dict[str, str]:
    """Name and food of a flat mapping, from its YAML events; anchors, tags and lists are refused."""
    import yaml

    found: dict[str, str] = {}
    name: str | None = None
    for event in events:
        if isinstance(event, yaml.ScalarEvent) and not event.anchor and not event.tag:
            if name is None:
                name = event.value.strip()
                if name in found:
                    raise InputError(f'"{name}" is decided twice', path, _line(event))
            else:
                found[name], name = event.value.strip(), None
        elif isinstance(event, yaml.MappingStartEvent) and name is None and not found and not event.anchor:
            continue
        elif isinstance(event, yaml.NodeEvent):
            message = 'a decision is one line, "name: food id", such as "double cream: sr:01053"'
            raise InputError(message, path, _line(event))
    return found


def _line(event: Any) -> int:
    return int(event.start_mark.line) + 1


def write(folder: Path, decisions: Mapping[str, str]) -> Path:
    """Write all decisions of a folder, beside and then over the old file. Raises InputError."""
    import yaml

    path = folder / NAME
    body = yaml.safe_dump(dict(sorted(decisions.items())), allow_unicode=True, default_flow_style=False, width=1000)
    temporary = path.with_suffix(".part")
    try:
        temporary.write_text(HEAD + body, encoding="utf-8")
        os.replace(temporary, path)
    except OSError as error:
        temporary.unlink(missing_ok=True)
        raise InputError(f"it cannot be written ({error.strerror})", path) from None
    return path
