"""Where the statements and headings of a pack begin: "contains", "may contain", "made in a factory", "free from".

The phrases are ``data/allergens/pack_statements.csv``.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from typing import Literal

from nutrilab.datafiles import rows

Mode = Literal["list", "contains", "may", "free", "claim", "use", "done"]
StatementKind = Literal["list", "contains", "may", "factory", "free", "claim", "use", "advice"]
Place = Literal["start", "any"]

_WORD = re.compile(r"[^\W_]+(?:['’][^\W\d_]+)?|%")
_BETWEEN = re.compile(r"[\s:-]{0,4}")
_AFTER_HEADING = re.compile(
    r"\s*(?:of )?(?:each of )?(?:any of )?(?:the )?(?:following)?[^,;.()\[\]{}:]{0,40}:|\s*of\b|\s*:", re.I
)
_POINTER = re.compile(
    r"\b(?:bold|capitals?|capitali[sz]ed|highlighted|underlined|italic|see (?:the )?ingredients|emphasi[sz]ed)\b",
    re.I,
)
_PREMISES = re.compile(
    r"\b(?:factory|factories|facilit\w{1,3}|environment|plants?|bakery|kitchens?|sites?|premises|lines?|equipment|"
    r"machinery|machines?|mill|building|unit|establishment|area|room)\b",
    re.I,
)
_CLEAN = re.compile(
    r"\b(?:does|do|is|are) not (?:use|handle|contain|process|have|store|pack|work)\b|\bwithout\b"
    r"|\bno (?:nuts?|peanuts?|milk|dairy|eggs?|gluten|wheat|soya?|sesame)\b|\b\w{2,12}[- ]free\b",
    re.I,
)
_WINDOW = 200  # characters that are looked at for what a phrase speaks of
_SENTENCE_END = re.compile(r"\.(?=\s|$)|\n\s*\n")


@dataclass(frozen=True, slots=True)
class Start:
    """A phrase that begins a statement or a heading, from ``start`` to ``end`` of the text."""

    start: int
    end: int
    kind: StatementKind
    place: Place


@cache
def _phrases() -> dict[str, list[tuple[tuple[str, ...], StatementKind, Place]]]:
    """First word -> its phrases, longest first."""
    found: dict[str, list[tuple[tuple[str, ...], StatementKind, Place]]] = {}
    for row in rows("allergens/pack_statements.csv"):
        for phrase in row["words"].split("|"):
            words = tuple(phrase.replace("%", " %").split())
            found.setdefault(words[0], []).append((words, row["kind"], row["place"]))  # type: ignore[arg-type]
    for some in found.values():
        some.sort(key=lambda one: -len(one[0]))
    return found


def starts(text: str) -> list[Start]:
    """Every phrase that could begin a statement or a heading, last first, none inside another."""
    phrases = _phrases()
    words = [
        ("#" if m[0].isdecimal() else m[0].lower().replace("’", "'"), m.start(), m.end()) for m in _WORD.finditer(text)
    ]
    found: list[Start] = []
    i = 0
    while i < len(words):
        begin = next((s for p in phrases.get(words[i][0], ()) if (s := _match(text, words, i, p))), None)
        if begin is None:
            i += 1
            continue
        found.append(begin)
        while i < len(words) and words[i][1] < begin.end:
            i += 1
    return found[::-1]


def _match(
    text: str, words: list[tuple[str, int, int]], i: int, phrase: tuple[tuple[str, ...], StatementKind, Place]
) -> Start | None:
    wanted, kind, place = phrase
    if i + len(wanted) > len(words) or any(words[i + n][0] != word for n, word in enumerate(wanted)):
        return None
    last = i + len(wanted) - 1
    if any(not _BETWEEN.fullmatch(text, words[n][2], words[n + 1][1]) for n in range(i, last)):
        return None
    end = words[last][2]
    if kind == "factory" and not _PREMISES.search(_sentence(text, words[i][1])):
        return None
    if kind == "list" and (heading := _AFTER_HEADING.match(text, end)):
        end = heading.end()
    return Start(words[i][1], end, kind, place)


def _sentence(text: str, start: int) -> str:
    """From a place to the end of its sentence, at most so far as is looked at."""
    window = text[start : start + _WINDOW]
    end = _SENTENCE_END.search(window)
    return window[: end.start()] if end else window


def pointer_end(text: str, start: int) -> int:
    """Where the advice that begins at ``start`` points to the words in bold or capitals; 0 where it does not."""
    sentence = _sentence(text, start)
    last = 0
    for found in _POINTER.finditer(sentence):
        last = found.end()
    return start + last if last else 0


def mode_of(text: str, begin: Start) -> Mode:
    """What the words behind a phrase are read as; a factory that does not handle nuts is a claim."""
    if begin.kind == "factory":
        return "claim" if _CLEAN.search(_sentence(text, begin.end)) else "may"
    return "contains" if begin.kind == "advice" else begin.kind
