"""A method's text cut into what is done: sentences, then a clause for every verb of the kitchen."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from nutrilab.method.speech import MARKS, Token, as_written
from nutrilab.method.words import Verb, role, verb_at
from nutrilab.recipe import Line
from nutrilab.text import words

LONGEST = 2_000  # characters of a paragraph that are looked at
PURPOSE = 7  # words of what it is for, at the most
_SENTENCE = re.compile(r"(?<=[.;!?])\s+(?=[^\s])|\n+")
_NUMBER_AT_HEAD = re.compile(r"^[\s•*·–-]*(?:step\s*\d{1,2}\s*[.):–-]?|\(?\d{1,2}\s?[.):])\s+", re.IGNORECASE)
_TOKEN = re.compile(r"[^\W_]+(?:['’][^\W_]+)*%?|[½⅓⅔¼¾⅛]|[,;:()–—/]")
_SHORT = re.compile(
    r"(i|you|we|they|he|she|it|that|this|these|those|there|here|what|let|who)['’](m|ve|re|ll|s|d)", re.IGNORECASE
)
_ABBREVIATIONS = re.compile(r"\b((?i:mins?|hrs?|approx|tbsp|tsp|oz|lb|c|f|no))\.(?=\s+[a-z\d(])")
_JOINTS = role("joint")
_ADVERBS = role("before a verb")
_ARTICLES = role("article")
_OBJECTS = role("behind a verb")


@dataclass(frozen=True, slots=True)
class Clause:
    """One thing that is done: its words as written and singular, its verb; before: words that lead to it ("once the
    oil is hot"); line: of the file; heading: what the part of the method it stands in makes.
    """

    text: str
    tokens: tuple[str, ...]
    verb: Verb | None
    verb_words: tuple[str, ...] = ()
    before: tuple[str, ...] = ()
    line: int | None = None
    heading: str = ""


def clauses(lines: Iterable[Line]) -> Iterator[Clause]:
    """Every clause of a method in order. A line that only heads what follows ("For the sauce:") gives its words on."""
    heading = ""
    for line in _unwrapped(lines):
        text = _NUMBER_AT_HEAD.sub("", line.text[:LONGEST].strip())
        if (title := _title(text)) is not None:
            heading = title
            continue
        for sentence in _SENTENCE.split(_ABBREVIATIONS.sub(r"\1", text)):
            if sentence.strip(" .;!?"):
                yield from _of_sentence(sentence.strip(), line.line, heading)


def _unwrapped(lines: Iterable[Line]) -> Iterator[Line]:
    """The lines with those joined that only the width of a page has parted: the sentence goes on in small letters."""
    held: Line | None = None
    for line in lines:
        text = line.text.strip()
        goes_on = held is not None and held.text[-1:] not in ".!?:;" and (text[:1].islower() or text[:1].isdigit())
        if (
            held is not None
            and goes_on
            and not _NUMBER_AT_HEAD.match(text)
            and line.line in (None, (held.line or 0) + 1)
        ):
            held = Line(f"{held.text} {text}", line.line)
            continue
        if held is not None:
            yield held
        held = Line(text, line.line)
    if held is not None:
        yield held


def _title(text: str) -> str | None:
    """What a heading within a method says it makes; None for a step."""
    bare = text.strip(" *#_=")
    if not bare.endswith(":") and not (bare.lower().startswith(("for the ", "to make the ")) and len(bare.split()) < 6):
        return None
    if len(bare.split()) > 7 or "," in bare or bare.endswith("."):
        return None
    said = [w for w in words(bare) if w not in ("for", "the", "to", "make", "making", "method", "a")]
    return " ".join(said)


def tokens_of(text: str) -> list[Token]:
    """Words, numbers and the marks that part clauses."""
    found = []
    for one in _TOKEN.finditer(text):
        said = words(one[0]) if one[0] not in MARKS else (one[0],)
        if short := _SHORT.fullmatch(one[0]):
            said = (short[1].lower(), short[2].lower())  # "I'm", "that's"
        if one[0] in "½⅓⅔¼¾⅛":
            said = (one[0],)
        found += [Token(word, one.start(), one.end()) for word in said]
    return found


def _of_sentence(sentence: str, line: int | None, heading: str) -> Iterator[Clause]:
    tokens = as_written(tokens_of(sentence))
    said = [token.word for token in tokens]
    starts = [at for at in range(len(said)) if tokens[at].starts or _begins(said, at)]
    if not starts:
        yield Clause(sentence, tuple(said), None, line=line, heading=heading)
        return
    first_words = tuple(w for w in said[: starts[0]] if w not in MARKS)
    for number, at in enumerate(starts):
        end = starts[number + 1] if number + 1 < len(starts) else len(said)
        found = verb_at(said, at)
        if found is None:
            continue
        verb, length = found
        first = 0 if number == 0 else min(token.start for token in tokens[at:end])
        text = sentence[first : max(token.end for token in tokens[at:end])].strip(" ,;:–—")
        for tail in (" and", " then", " or", ", and", " and then"):
            text = text.removesuffix(tail).rstrip(" ,;:–—")
        before = first_words if number == 0 else ()
        yield Clause(text, tuple(said[at:end]), verb, tuple(said[at : at + length]), before, line, heading)


def _begins(said: Sequence[str], at: int) -> bool:
    """Whether a verb of the kitchen stands here as one: at a start, after a mark or a joint, with adverbs between."""
    found = verb_at(said, at)
    if found is None:
        return False
    verb, length = found
    back = at - 1
    while back >= 0 and said[back] in _ADVERBS and not (said[back] == "to" and back and said[back - 1] in _JOINTS):
        back -= 1
    opened = back < 0 or said[back] in MARKS or said[back] in _JOINTS - {"to"}
    if not opened and not _purpose(said, back):
        return False
    if opened and (at - back > 4 or (back >= 0 and said[back] in ("and", "or") and not _verb_before(said, back))):
        return False
    follows = said[at + length] if at + length < len(said) else ""
    if at == 0 or (said[at - 1] == "then" and verb.noun != "food"):
        return True
    if verb.noun == "food":
        return at + length < len(said) and said[at + length] in _ARTICLES
    if follows == "and" and verb_at(said, at + length + 1):
        return True  # "brown and drain"
    if verb.noun or back >= 0:
        plain = not verb.noun and (back < 0 or said[back] in MARKS or said[back] in ("then", "and", "or", "but"))
        return (plain and _no_noun_phrase(said, at, back)) or follows in _OBJECTS or follows.isdigit()
    return True


def _purpose(said: Sequence[str], back: int) -> bool:
    """Whether all that stands before is what it is for: "For the batter whisk", "For the last 5 minutes add"."""
    return list(said[:2]) == ["for", "the"] and 2 <= back < PURPOSE and MARKS.isdisjoint(said[: back + 1])


def _no_noun_phrase(said: Sequence[str], at: int, back: int) -> bool:
    """Whether what stands here can be a verb: not the last word before a mark right behind another ("soft, brown,")."""
    return not (back >= 0 and said[back] in ("and", "or") and at + 1 == len(said) and back == at - 1 and at < 3)


def _verb_before(said: Sequence[str], at: int) -> bool:
    """Whether a verb of the kitchen stands before a joint, so that the joint may join two of them."""
    return any(verb_at(said, n) for n in range(at))
