"""Captions of a film to what is said and when: each stretch of speech once, without what only the screen needs."""

from __future__ import annotations

import html
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import ModuleType

from nutrilab.files import content, text_of
from nutrilab.messages import say
from nutrilab.plain import plain
from nutrilab.remarks import InputError

LARGEST = 2_000_000  # bytes; an hour of speech with the time of every word has some 500,000
MOST_CUES = 20_000
LONGEST_CUE = 2_000  # characters of one caption; two lines on a screen have some eighty
PAUSE = 0.7  # [s] of silence after which speech without full stops begins a new sentence (common practice, no source)
_WIDE = (b"\xff\xfe", b"\xfe\xff")
_TAG = re.compile(r"<(?!-)[^<>\n]{0,200}>|\{\\[^{}\n]{0,200}\}")
_SOUND = re.compile(r"\[[^\[\]\n]{0,80}\]|\([A-Z][A-Z ]{2,40}\)|[♪♫]")  # [music], (APPLAUSE)
_SPEAKER = re.compile(r"^\s*(?:-\s*|>>\s*)?(?:[A-Z][A-Z ]{1,20}:\s+)?")
_TIMES = re.compile(r"-->|^\d+$")


@dataclass(frozen=True, slots=True)
class Cue:
    """Words that stand on the screen together; start, end [s]."""

    start: float
    end: float
    text: str


def read(path: Path, data: bytes | None = None) -> tuple[Cue, ...]:
    """The speech of a captions file in order; data: its content, where it is at hand.

    Raises InputError: unreadable, too large, no captions in it.
    """
    data = content(path, LARGEST, what=say("thing.captions")) if data is None else data
    pysubs2 = _pysubs2(path)
    text = _decoded(data, path)
    form = "vtt" if text.lstrip("\ufeff \n\r").startswith("WEBVTT") else "srt"
    # A tag that holds two times is taken for a line of times by the reader, and the words behind it would be lost.
    untagged = _TAG.sub("", text.replace("\r\n", "\n").replace("\r", "\n"))
    try:
        found = pysubs2.SSAFile.from_string(untagged, format_=form, keep_unknown_html_tags=True)
        cues = [Cue(one.start / 1000, one.end / 1000, _shown(one.plaintext)) for one in found[: MOST_CUES + 1]]
    except (pysubs2.exceptions.Pysubs2Error, ValueError, OverflowError, RecursionError) as error:
        raise InputError(say("spoken.not-readable", problem=error), path) from None
    if len(cues) > MOST_CUES:
        raise InputError(say("spoken.too-many", most=f"{MOST_CUES:,}"), path)
    cues = sorted((cue for cue in cues if cue.text), key=lambda cue: cue.start)
    if not cues:
        raise InputError(say("spoken.none"), path)
    return tuple(unrolled(cues))


def _pysubs2(path: Path) -> ModuleType:
    try:
        import pysubs2
    except ImportError:
        raise InputError(say("spoken.no-package"), path) from None
    return pysubs2


def _decoded(data: bytes, path: Path) -> str:
    """The text, as UTF-8 or by its mark as UTF-16. Raises InputError."""
    if data.startswith(_WIDE):
        try:
            data = data.decode("utf-16").encode("utf-8")
        except UnicodeError:
            raise InputError(say("spoken.utf-8"), path) from None
    return text_of(data, path)


def _shown(text: str) -> str:
    """What is said of a caption: without tags, sounds and the name of who speaks."""
    lines = (_SPEAKER.sub("", _SOUND.sub(" ", line)) for line in text[:LONGEST_CUE].split("\n"))
    said = html.unescape(" \n".join(line for line in lines if not _TIMES.search(line.strip())))
    return "\n".join(tidy for line in said.split("\n") if (tidy := " ".join(plain(line).split())))


def unrolled(cues: Sequence[Cue]) -> Iterable[Cue]:
    """The captions without what the one before has shown already, whole lines or words that go on."""
    before: list[str] = []
    last = ""
    for cue in cues:
        new = cue.text.split()
        first, _, more = cue.text.partition("\n")
        if more and first.casefold() == last.casefold():  # the line before moved up
            new = more.split()
        last = cue.text.rpartition("\n")[2]
        over = next((n for n in range(min(len(before), len(new)), 0, -1) if _same(before[-n:], new[:n])), 0)
        # One or two words may well be said twice; the same line again is one that stayed.
        kept = new[over:] if over == len(new) or over >= 3 or over == len(before) else new
        if kept:
            yield Cue(cue.start, cue.end, " ".join(kept))
            before = (before + kept)[-60:]


def _same(one: Sequence[str], other: Sequence[str]) -> bool:
    return [w.casefold() for w in one] == [w.casefold() for w in other]
