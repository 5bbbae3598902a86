"""Words that name no food but say something of one (``data/words.csv``): their part in a line, filler, states."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from typing import NamedTuple

from nutrilab.datafiles import AT, rows
from nutrilab.lexicon.matching import Matcher, matcher
from nutrilab.lexicon.names import names
from nutrilab.messages import say
from nutrilab.text import singular, words

FILE = "words.csv"
Folded = tuple[str, ...]


class Stating(NamedTuple):
    """Words that say a state, and where they do; ``state`` "" = they say none."""

    words: Folded
    state: str
    read: str


@cache
def _by_part() -> dict[str, set[str]]:
    found: dict[str, set[str]] = {}
    for row in rows(FILE):
        if row["line"]:
            for part in row["line"].split("|"):
                found.setdefault(part, set()).update(row["words"].split("|"))
    return found


@cache
def line_words(part: str) -> frozenset[str]:
    """All words that play one part in an ingredient line, as they are written. Raises KeyError for no part."""
    return frozenset(_by_part()[part])


@cache
def filler() -> dict[str, frozenset[Folded]]:
    """Words that change nothing, by place: "any", "front", "unit", "cut"."""
    found: dict[str, set[Folded]] = {"any": set(), "front": set(), "unit": set(), "cut": set()}
    for row in rows(FILE):
        if row["filler"]:
            found[row["filler"]].update(words(written) for written in row["words"].split("|"))
    return {place: frozenset(some) for place, some in found.items()}


@cache
def stating() -> tuple[Stating, ...]:
    """Every phrase that says a state, or is passed over because it only seems to."""
    found = []
    for row in rows(FILE):
        if row["read"]:
            said = zip(row["state"].split("|"), row["read"].split("|"), strict=True)
            phrases = dict.fromkeys(words(written) for written in row["words"].split("|"))
            found += [Stating(phrase, state, read) for state, read in said for phrase in phrases]
    return tuple(found)


class Form(NamedTuple):
    """A form that a food is measured in, as a word says it; unsaid: "never" or "shape", see the file."""

    form: str
    unsaid: str


@cache
def forms() -> dict[str, Form]:
    """Word -> the form it says; a cup of what is chopped is no cup of what is whole."""
    found = (row for row in rows(FILE) if row["form"])
    return {word: Form(*f"{row['form']} ".split(" ")[:2]) for row in found for word in row["words"].split("|")}


@cache
def _rows_by_words() -> Matcher[dict[str, str]]:
    return matcher((words(written), row) for row in rows(FILE) for written in row["words"].split("|"))


@cache
def listed_words() -> frozenset[str]:
    """Every word that stands in a name or in the list of describing words, as written there or in the singular."""
    phrases = (phrase for row in rows(FILE) for phrase in row["words"].split("|"))
    named = (phrase for also in names().values() for phrase in also)
    found = frozenset(word for phrase in (*phrases, *named) for word in phrase.split())
    return found | frozenset(map(singular, found))


def placed(text: str) -> Iterator[tuple[str, str, str]]:
    """The describing words of a text, the longest first at each place: (words, what they say, place of the row)."""
    tokens, known, at = words(text), _rows_by_words(), 0
    while at < len(tokens):
        found = known.at(tokens, at)
        end = found[-1].end if found else at + 1
        if found:
            row = found[-1].values[0]
            yield " ".join(tokens[at:end]), _said(row), row[AT]
        at = end


def _said(row: dict[str, str]) -> str:
    """What a row says, in words."""
    said = [say("explain.in-line", parts=row["line"].replace("|", ", "))] if row["line"] else []
    said += [say("explain.filler", place=row["filler"])] if row["filler"] else []
    for state in dict.fromkeys(row["state"].split("|")) if row["read"] else ():
        said.append(say("explain.state", state=state) if state else say("explain.no-state"))
    said += [say("explain.form", form=row["form"].split(" ")[0])] if row["form"] else []
    return "; ".join(said)
