"""What must not depend on the machine: patterns mean the same in every Python that is supported."""

from __future__ import annotations

import importlib
import pkgutil
import re
from collections.abc import Iterator
from re import _constants, _parser  # type: ignore[attr-defined]
from typing import Any

import pytest

import data_loaders
import nutrilab

# Python up to 3.11.4 loses its place where a group is repeated possessively, or taken as a whole, and part of it fails
# (fixed in 3.11.5: changelog, gh-106052). Debian 12 has 3.11.2. Of a single character both are right.
WHOLE = {_constants.POSSESSIVE_REPEAT, _constants.ATOMIC_GROUP}


def parts(pattern: Any) -> Iterator[Any]:
    """Every operation of a parsed pattern, inner ones too."""
    for operation, argument in pattern:
        yield operation, argument
        for inner in argument if isinstance(argument, (tuple, list)) else [argument]:
            for one in inner if isinstance(inner, list) else [inner]:
                if isinstance(one, _parser.SubPattern):
                    yield from parts(one)


def gives_nothing_back(pattern: re.Pattern[str] | str) -> bool:
    """Whether a pattern has a possessive or atomic group of more than one character."""
    flags = pattern.flags & ~re.LOCALE if isinstance(pattern, re.Pattern) else 0
    text = pattern.pattern if isinstance(pattern, re.Pattern) else pattern
    for operation, argument in parts(_parser.parse(text, flags)):
        if operation in WHOLE:
            group = argument if operation == _constants.ATOMIC_GROUP else argument[2]
            if len(group) > 1 or (group and group[0][0] not in (_constants.IN, _constants.LITERAL, _constants.ANY)):
                return True
    return False


def patterns() -> Iterator[tuple[str, re.Pattern[Any]]]:
    for package in (nutrilab, data_loaders):
        for module in pkgutil.walk_packages(package.__path__, f"{package.__name__}."):
            if module.name.endswith("__main__"):
                continue
            for name, value in vars(importlib.import_module(module.name)).items():
                if isinstance(value, re.Pattern):
                    yield f"{module.name}.{name}", value


def test_no_pattern_repeats_a_group_without_giving_back() -> None:
    found = dict(patterns())
    assert len(found) > 100
    assert [name for name, pattern in found.items() if gives_nothing_back(pattern)] == []


@pytest.mark.parametrize(
    ("pattern", "found"),
    [
        (r"\d++", False),
        (r"[a-z]*+x", False),
        (r"(?:ab)*+", True),
        (r"x(?:[.,]++\d+)*+", True),
        (r"(?:a|(?:b(?>cd)))", True),
        (r"(?=(?:ab)?+)", True),
        (r"(?:ab)*", False),
    ],
)
def test_the_check_sees_them(pattern: str, found: bool) -> None:
    assert gives_nothing_back(pattern) is found
