"""The compile check of the lexicon: what may not stand in its files, each fault as one sentence with file and row.

Pure functions: what a phrase means to linking and to the allergen rules, right of the lexicon, is handed in.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from typing import NamedTuple

from nutrilab.datafiles import FOLDER, numbered
from nutrilab.lexicon.names import NAME_COLUMNS, Entry, cells, name_files, parted
from nutrilab.text import fold, singular

MOST, FEWEST = 0.6, 3  # share of a name's siblings that carry an allergen, and how many there are at least


# Files whose rows speak of names, and the column that refers to them.
FACTS = {
    **{f"foods/{name}.csv": "names" for name in ("usda-sr", "uk-cofid", "fr-ciqual", "fi-fineli", "ch-sfcd")},
    **{f"allergens/{name}.csv": "words" for name in (
        "contains", "other_names", "languages", "check", "languages_check", "misleads", "languages_misleads", "exempt",
        "stand_ins",
    )},
    **{f"{name}.csv": "words" for name in (
        "pieces", "packs", "vague", "densities", "kinds", "as_bought", "drained", "no_amount", "cooked",
    )},
}  # fmt: skip
_PIECE = re.compile(r"[a-z0-9%]+|[^\sa-z0-9%-]| - ")


class Row(NamedTuple):
    """A row of names: where it stands, the name, the other words for it."""

    place: str
    name: str
    also: tuple[str, ...]


class Fact(NamedTuple):
    """A cell of a file of facts that refers to names: where it stands, and the names."""

    place: str
    names: tuple[str, ...]


class Speech(NamedTuple):
    """What a phrase says of allergens by its own words: contained or asked for, and denied."""

    carried: frozenset[str]
    denied: frozenset[str]


def name_rows() -> list[Row]:
    """The rows of ``data/names/*.csv``."""
    return [
        Row(f"{path.name}, line {number}", name, tuple(also.split("|")) if also else ())
        for path in name_files()
        for number, (name, also) in cells(path, NAME_COLUMNS)
    ]


def facts() -> list[Fact]:
    """The cells of all files of facts that refer to names; a kind ("@fish") and a food group are no names."""
    found = []
    for file, column in FACTS.items():
        for path in sorted(FOLDER.glob(file)):
            head, rows = numbered(path)
            at = head.index(column)
            found += [Fact(f"{path.name}, line {number}", tuple(_named(row[at]))) for number, row in rows]
    return found


def _named(cell: str) -> Iterator[str]:
    for text in cell.split("|"):
        name, _ = parted(text)
        if name and "@" not in name and not name.startswith(("group:", "-")):
            yield name


def _folded(phrase: str) -> tuple[str, ...]:
    """A phrase as two are compared: singular folded words, and the marks between them, which rules may hold."""
    return tuple(map(singular, _PIECE.findall(fold(phrase).replace("'", ""))))


def written_twice(rows: Iterable[Row]) -> Iterator[str]:
    """Phrases that stand in two rows of names, or twice in one, compared as reading does: in the singular, folded."""
    seen: dict[tuple[str, ...], str] = {}
    for place, name, also in rows:
        for phrase in (name, *also):
            known = seen.setdefault(_folded(phrase), place)
            if known is not place:
                yield f"{place}: {phrase!r} stands in {known} too; a name is written once: keep one of the two"
        if len({_folded(phrase) for phrase in (name, *also)}) <= len(also):
            yield f"{place}: a word for {name!r} stands twice in its row; keep one"


def unknown_names(facts: Iterable[Fact], rows: Iterable[Row]) -> Iterator[str]:
    """Facts for a name that no list of names holds, or for another word of a name instead of the name."""
    rows = list(rows)
    known = {row.name for row in rows}
    name_of = {phrase: row.name for row in rows for phrase in row.also}
    for place, names in facts:
        for name in names:
            if name in name_of:
                yield f"{place}: {name!r} is another word for {name_of[name]!r}; write the name"
            elif name not in known:
                yield f"{place}: no list of names/ knows {name!r}; add it there, or write the name it goes by"


def idle_names(facts: Iterable[Fact], rows: Iterable[Row]) -> Iterator[str]:
    """Names of which no file says anything."""
    used = {name for fact in facts for name in fact.names}
    for place, name, _ in rows:
        if name not in used:
            yield f"{place}: nothing is said of {name!r}; refer to it from a file of facts, or take it out"


Means = Callable[[Entry], object]


def contradictions(entries: Iterable[Entry], means: Means) -> Iterator[str]:
    """Two rows of the same words and states that name different foods, or the same one with another sureness.

    means: a row's words, in their order, and states, as linking reads them; rows that mean the same must say the same.
    """
    seen: dict[object, Entry] = {}
    for entry in entries:
        key = means(entry)
        known = seen.setdefault(key, entry)
        if known[2:5] != entry[2:5]:
            one, other = (f"{e[2]} ({e[3]}, {e[4]})" for e in (known, entry))
            yield f"{entry[5]}: {entry[0]!r} is {other}, but {known[5]} says {one} for the same words and states"


def far_apart(
    by_table: Mapping[str, Iterable[Entry]],
    apart: Callable[[str, str], Collection[str]],
    explained: Collection[tuple[str, str]],
) -> Iterator[str]:
    """Rows of the same words and states in two tables whose foods lie so far apart that one of them is another food.

    by_table: rows, the embedded table's first; apart: what of two foods' composition is far off; explained: pairs of
    foods that were looked at and are both right.
    """
    known: dict[tuple[str, str], list[Entry]] = defaultdict(list)
    for entries in by_table.values():
        for entry in entries:
            for other in known[entry[0], entry[1]]:
                if (other[2], entry[2]) not in explained and (found := apart(other[2], entry[2])):
                    yield f"{entry[5]}: {entry[0]!r} is {entry[2]}, {other[5]} has {other[2]}: {', '.join(found)}"
        for entry in entries:
            known[entry[0], entry[1]].append(entry)


def differing(names: Collection[str], allergen: str, speech: Callable[[str], Speech]) -> set[str]:
    """Names of one food that say nothing of an allergen though most of the others do, and no row denies it."""
    carry = {name for name in names if allergen in speech(name).carried}
    if len(carry) < FEWEST or len(carry) < MOST * (len(names) - 1):
        return set()
    return {name for name in set(names) - carry if allergen not in speech(name).denied}


def silent_siblings(
    by_food: Mapping[str, Collection[str]],
    allergens: Sequence[str],
    speech: Callable[[str], Speech],
    excused: Collection[tuple[str, str]],
) -> Iterator[str]:
    """Names that lack an allergen which their siblings carry, without a row of ``siblings.csv``; and idle such rows."""
    gaps = {(n, a) for names in by_food.values() for a in allergens for n in differing(names, a, speech)}
    for name, allergen in sorted(gaps - set(excused)):
        yield f"{name!r} says nothing of {allergen}, which most names for its food do: add it to a row of allergens/"
    for name, allergen in sorted(set(excused) - gaps):
        yield f"siblings.csv: {name!r} needs no excuse for {allergen}; take it out"


def by_food(entries: Iterable[Entry]) -> dict[str, set[str]]:
    """Food -> its names as a line says them, with the states they are listed for: "dried apricot"; but for no food."""
    found: dict[str, set[str]] = defaultdict(set)
    for phrase, state, food, *_ in entries:
        if food == "none":
            continue
        states = " ".join(one.replace("-", " ") for one in state.split() if not one.startswith("!"))
        found[food].add(f"{states} {phrase}".strip())
    return found


def described_twice(found: Iterable[tuple[str, Mapping[str, str]]]) -> Iterator[str]:
    """Words of ``words.csv`` that stand in two rows: as written, or folded where both rows say it of names.

    found: (place, row) for each.
    """
    seen: dict[tuple[str, ...], str] = {}
    for place, row in found:
        written = row["words"].split("|")
        keys: list[tuple[str, ...]] = [("as written:", word) for word in written]
        if row["filler"] or row["read"]:
            keys += dict.fromkeys(_folded(word) for word in written)
        for key in keys:
            known = seen.setdefault(key, place)
            if known is not place:
                yield f"{place}: {' '.join(key)!r} stands in {known} too; say all of it in one row"
                break


# Lists that say one thing of their words between them: no word needs to stand in two.
APART = (("allergens/plain.csv", "word"), ("allergens/pack_words.csv", "word"))


def listed_twice(lists: Iterable[tuple[str, Iterable[str]]]) -> Iterator[str]:
    """Words that stand in two lists which say the same of them, or twice in one. lists: (file, its words)."""
    seen: dict[str, str] = {}
    for file, found in lists:
        for word in found:
            if word in seen:
                yield f"{file}: {word!r} stands in {seen[word]} too, which says the same of it; keep one"
            seen.setdefault(word, file)
