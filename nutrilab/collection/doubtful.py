"""The names of a whole collection that nobody is sure of, those first that touch the most dishes, then most energy.

An hour of decisions goes where it counts: each answer is for every dish that the name is in.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from nutrilab.collection.results import LINES
from nutrilab.decisions import key_of


@dataclass(slots=True)
class Doubtful:
    """A name, what it is counted as ("" for nothing), and what it touches.

    energy: of all its lines that are counted [kcal]; unknown: lines whose energy nobody knows; text, file: a line it
    stands in, and where.
    """

    name: str
    counted_as: str
    text: str
    file: str
    dishes: int = 0
    lines: int = 0
    energy: float = 0.0
    unknown: int = 0
    last: str = ""


def ranked(folder: Path, apart: Callable[[str], object] = lambda _: None) -> list[Doubtful]:
    """The doubtful names of some results; apart: what of a file keeps its names apart from others. Raises OSError."""
    found: dict[tuple[object, ...], Doubtful] = {}
    for file, text, name, food, kcal in _lines(folder):
        key = (apart(file), *(key_of(name) or (name,)))
        one = found.get(key)
        if one is None:
            one = found[key] = Doubtful(name, food or "", text.strip(), file)
        one.lines += 1
        one.dishes += one.last != file  # the lines of a dish stand together
        one.last = file
        one.energy += kcal or 0.0
        one.unknown += kcal is None
    return sorted(found.values(), key=lambda one: (-one.dishes, -one.energy, one.name))


def _lines(folder: Path) -> Iterator[tuple[str, str, str, str | None, float | None]]:
    import pyarrow.compute as pc
    import pyarrow.parquet as pq

    file = pq.ParquetFile(folder / LINES)
    for number in range(file.num_row_groups):
        table = file.read_row_group(number, columns=["file", "text", "doubtful"])
        for row in table.filter(pc.greater(pc.list_value_length(table["doubtful"]), 0)).to_pylist():
            for one in row["doubtful"]:
                yield row["file"], row["text"], one["name"], one["food_name"], one["energy_kcal"]
