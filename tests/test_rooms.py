"""The order of the way is the order of the code: a room imports nothing that stands right of it, and no circle is left.

The rooms stand here as they stand in the way (DEVELOPERS.md), the basics and the food tables first. Every import
counts, also one inside a function or for types alone.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator, Mapping
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PACKAGES = ("nutrilab", "data_loaders")
DOOR = "nutrilab"  # the package itself holds the version that marks tell, and opens the door when it is asked for it
# Left to right; a room is a folder or a file of the package, in one row those that are one step of the way.
ROOMS: tuple[tuple[str, ...], ...] = (
    ("nutrilab.once",),
    ("nutrilab.plain",),
    ("nutrilab.datafiles",),
    ("nutrilab.messages",),  # what is said
    ("nutrilab.remarks",),
    ("nutrilab.files",),
    ("nutrilab.yaml_reader",),
    ("nutrilab.law",),  # what loaders count by too
    ("data_loaders",),
    ("nutrilab.text",),
    ("nutrilab.wording",),
    ("nutrilab.lexicon",),  # what every room right of it may ask of a word
    ("nutrilab.marks",),
    ("nutrilab.writing",),
    ("nutrilab.recipe",),
    ("nutrilab.plausible",),
    ("nutrilab.foods",),
    ("nutrilab.store",),
    ("nutrilab.settings",),
    ("nutrilab.decisions",),
    ("nutrilab.lines",),  # reading
    ("nutrilab.linking",),  # link
    ("nutrilab.borrowing",),
    ("nutrilab.variation",),  # how much one food varies
    ("nutrilab.weighing", "nutrilab.measures"),  # weigh
    ("nutrilab.allergens",),
    ("nutrilab.products",),
    ("nutrilab.decided",),  # the cook's word before all others
    ("nutrilab.method",),  # method
    ("nutrilab.cooking",),  # cook
    ("nutrilab.nutrition",),  # sum
    ("nutrilab.results",),
    ("nutrilab.tracing",),
    ("nutrilab.improbable",),
    ("nutrilab.doubt",),  # what a range is made of
    ("nutrilab.settling",),  # what to do first
    ("nutrilab.as_read",),  # the method laid over a recipe
    ("nutrilab.hearing", "nutrilab.bench", "nutrilab.kitchen"),
    ("nutrilab.spoken",),  # a film's captions, read on the bench
    ("nutrilab.swapping", "nutrilab.scaling"),  # what if
    ("nutrilab.declaration", "nutrilab.holding"),  # declare
    ("nutrilab.comparing",),
    ("nutrilab.asking", "nutrilab.asking_dish", "nutrilab.explaining"),
    ("nutrilab.ingredients",),
    ("nutrilab.records",),
    ("nutrilab.folder",),  # the door of the command line, the page and Python
    ("nutrilab.collection",),  # all recipes at once
    ("nutrilab.sheets",),  # sheet
    ("nutrilab.draft",),
    ("nutrilab.page",),  # page
    (
        "nutrilab.cli",
        "nutrilab.cli_collection",
        "nutrilab.cli_tables",
        "nutrilab.cli_draft",
        "nutrilab.cli_lines",
        "nutrilab.cli_output",
        "nutrilab.cli_page",
        "nutrilab.cli_parts",
        "nutrilab.cli_swap",
    ),
    ("nutrilab.__main__",),
)


def sources() -> dict[str, str]:
    """The text of every module by its name."""
    found = {}
    for package in PACKAGES:
        for path in (ROOT / package).rglob("*.py"):
            name = ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")
            found[name] = path.read_text(encoding="utf-8")
    return found


def imports(text: str, modules: Mapping[str, object]) -> Iterator[str]:
    """The modules of ours that a module imports, anywhere in it."""
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names if alias.name in modules)
        elif isinstance(node, ast.ImportFrom):
            assert not node.level, "imports name the whole way"
            for alias in node.names:
                whole = f"{node.module}.{alias.name}"
                yield from (name for name in (whole if whole in modules else node.module,) if name in modules)


def place(module: str) -> int:
    """The step of a module in the way. Raises AssertionError for a module that stands in none."""
    found = [n for n, rooms in enumerate(ROOMS) if any(f"{module}.".startswith(f"{room}.") for room in rooms)]
    assert len(found) == 1, f"{module} stands in no room of the way: give it its place in ROOMS"
    return found[0]


def turned_back(texts: Mapping[str, str]) -> list[str]:
    """Imports of what stands further right."""
    edges = [(one, other) for one in texts for other in imports(texts[one], texts) if DOOR not in (one, other)]
    return [f"{one} imports {other}" for one, other in edges if place(other) > place(one)]


def circle(texts: Mapping[str, str]) -> list[str]:
    """Modules that import each other in a ring; empty if none do."""
    graph = {one: set(imports(texts[one], texts)) - {DOOR, one} for one in texts if one != DOOR}
    try:
        TopologicalSorter(graph).prepare()
    except CycleError as error:
        return list(error.args[1])
    return []


def test_no_room_imports_what_stands_right_of_it() -> None:
    assert turned_back(sources()) == []


def test_no_circle_of_imports() -> None:
    assert circle(sources()) == []


def test_every_room_is_there() -> None:
    known = sources()
    assert [room for rooms in ROOMS for room in rooms if room not in known] == []


@pytest.mark.parametrize(
    ("module", "line"),
    [
        ("nutrilab.lines.parse", "from nutrilab.linking import Linker"),
        ("nutrilab.lines.query", "def late() -> None:\n    import nutrilab.measures"),
        ("nutrilab.recipe.values", "if TYPE_CHECKING:\n    from nutrilab.lines.values import Amount"),
        ("nutrilab.cooking.stage", "from nutrilab import sheets"),
        ("data_loaders.schema", "from nutrilab.foods import Food"),
    ],
)
def test_an_import_to_the_right_is_found(module: str, line: str) -> None:
    texts = sources()
    assert len(turned_back({**texts, module: f"{texts[module]}\n{line}\n"})) == 1


def test_a_circle_inside_a_room_is_found() -> None:
    texts = sources()
    back = "from nutrilab.cooking.stage import cook_stage"
    assert circle({**texts, "nutrilab.cooking.kinds": f"{texts['nutrilab.cooking.kinds']}\n{back}\n"})


def test_a_module_without_a_room_is_found() -> None:
    with pytest.raises(AssertionError, match="no room"):
        turned_back({**sources(), "nutrilab.attic": "import nutrilab.plain"})
