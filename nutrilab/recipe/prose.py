"""What in a plain text recipe is no ingredient: headings, the steps of the method, times; told by shape and words.

The words are those of data/recipe_prose.csv, the verbs those of data/method/verbs.csv. What is left out may hide an
allergen, so every rule here says no where it is not sure, and a line that begins with an amount is never taken for a
step.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Sequence
from functools import cache
from typing import Literal

from nutrilab.datafiles import rows
from nutrilab.lexicon import line_words

Section = Literal["ingredients", "method", "notes"]
SECTIONS: tuple[Section, ...] = ("ingredients", "method", "notes")
LONGEST_HEADING = 60  # characters
LONGEST_MAKING = 7  # words
LOOKED_AT = 60  # words of a line; a sentence has shown by then what it is
LONGEST_PARAGRAPH = 2000  # characters; it has shown by then what it is
VERBS, SPEECH = 4, 14  # verbs of the kitchen, and words, from which on a line that begins with neither is a step
FEW = 4  # words from which on a line with a full stop is a sentence
MANY = 9  # words from which on a line needs none
_NUMBERED = re.compile(
    r"(?:step\s{0,3}\d{1,2}\s{0,3}[.):–-]?|\(?\d{1,2}\s{0,2}[.):]|\d{1,2}\s?[–-](?=\s+[^\W\d]))\s+(?=\S)", re.IGNORECASE
)
_BARE_NUMBER = re.compile(r"\d{1,2}\s+(?=[^\W\d])")
_MARKS = " \t#*_=~–—-.•·"
_WORD = re.compile(r"[^\W\d_][\w'’-]*")
_PIECE = re.compile(r"[^\W\d_]+(?:-[^\W\d_]+)*|\d+")
_FRACTIONS = "½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞"
_NO_SIGNS = str.maketrans(dict.fromkeys(_FRACTIONS, "0") | {"°": " "})
_ONE = rf"(?:\d[\d.,/⁄ {_FRACTIONS}]{{0,12}}|[{_FRACTIONS}])"
_AMOUNT = re.compile(rf"(?:(?:about|approx\.?|approximately|around|c\.)\s)?{_ONE}(?:\s?(?:-|–|—|to|or|x|×)\s?{_ONE})?")
_BRACKET = re.compile(r"\s\([^()]*\)$")
_BREAK = re.compile(r"[|•·;]")
_SENTENCES = re.compile(r"(?<=[.!?])\s+")


@cache
def _role(name: str) -> frozenset[str]:
    return frozenset(row["word"] for row in rows("recipe_prose.csv") if row["role"] == name)


@cache
def _begins(how: str) -> frozenset[str]:
    return frozenset(row["words"] for row in rows("method/verbs.csv") if row["begins"] == how)


@cache
def _units() -> frozenset[str]:
    """Words of one letter that stand for units are left out, but for g and l: "180 C" is no 180 cups."""
    found = {row["word"].lower() for row in rows("units.csv") if row["kind"] != "length"}
    return frozenset(word for word in found if len(word) > 1 or word in "gl")


@cache
def _lengths() -> frozenset[str]:
    return frozenset(row["word"] for row in rows("units.csv") if row["kind"] == "length")


@cache
def _spelled() -> dict[str, list[tuple[list[str], str]]]:
    """First word -> the numbers written as words that it begins with their values, the longest first: "half", "a"."""
    found: dict[str, list[tuple[list[str], str]]] = defaultdict(list)
    for row in sorted(rows("line_numbers.csv"), key=lambda row: -len(row["word"].split())):
        number = row["word"].split()
        found[number[0]].append((number, row["value"]))
    return dict(found)


@cache
def _sizes() -> frozenset[str]:
    return line_words("size") | line_words("unit size") | {"good", "generous"}


def bare(line: str) -> str:
    """A line without bullets and marks of a heading around it."""
    return line.strip(_MARKS)


def section(line: str) -> Section | None:
    """The part of a recipe that a heading alone on its line begins: "Method", "**Steps:**", "To make the sauce"."""
    for said in _said(line):
        for name in SECTIONS:
            if said in _role(name):
                return name
    return "method" if is_making(line) else None


def is_making(line: str) -> bool:
    """Whether a heading names what its steps make ("To make the sauce:"); ingredients may follow it too."""
    low = next(iter(_said(line)), "")
    making = any(f"{low} ".startswith(f"{words} ") for words in _role("making"))
    return making and "," not in low and len(low.split()) <= LONGEST_MAKING and _role("method").isdisjoint(_said(line))


def _said(line: str) -> tuple[str, ...]:
    """What a heading says: whole, without what it says of the yield, without its last bracket."""
    low = " ".join(bare(line).rstrip(" :.").strip(_MARKS).lower().replace("’", "'").split())
    if len(low) > LONGEST_HEADING:
        return ()
    from nutrilab.recipe.portions import split_yield  # many patterns, which no ingredient line needs

    return low, split_yield(low)[0], _BRACKET.sub("", low)


_FOR = re.compile(r"for (?:the|a|your) [^\W\d_][\w'’ -]{1,40}", re.IGNORECASE)


def heads(line: str, follow: Sequence[str]) -> bool:
    """Whether a line without a colon is a heading among ingredients: "For the prawns", or the name of a part of a dish
    ("Pastry") with two amounts right under it, for it may be a food as well.

    follow: the two lines after it.
    """
    if not follow or len(line.split()) > LONGEST_MAKING:
        return False
    if _FOR.fullmatch(line) or line.lower() in _role("beside"):
        return section(follow[0]) is None
    of = line.lower().removeprefix("the ")
    return of in _role("component") and len(follow) == 2 and all(amount_at_head(one) for one in follow)


def is_short(line: str) -> bool:
    """Whether a line that ends with a colon among the steps is a heading and not a step before a list."""
    words = _words(line)
    return len(words) <= LONGEST_MAKING and not line[:1].isdigit() and not _has_verb(words)


def label(line: str) -> tuple[Section, str] | None:
    """The section that a line says before a colon, and what follows: "Tip: use good stock"."""
    head, colon, rest = line.partition(":")
    name = section(head) if colon and rest.strip() else None
    return (name, rest.strip()) if name and not is_making(head) else None


def is_times(line: str) -> bool:
    """Whether a line tells nothing but times or the oven: "Prep: 10 minutes | Cook: 1 hr", "Oven 180C / gas 4"."""
    if len(line) > 2 * LONGEST_HEADING:
        return False
    return all(_is_time(piece) for piece in _BREAK.split(line) if piece.strip())


def _is_time(text: str) -> bool:
    words = _PIECE.findall(text.lower().translate(_NO_SIGNS))
    labels = next((n for n, word in enumerate(words) if word not in _role("fact")), 0)
    told = words[labels:]
    numbers = any(word.isdigit() or word == "overnight" for word in told)
    known = all(word.isdigit() or word in _role("time") or word in _role("fact") for word in told)
    return bool(labels) and numbers and known


def amount_at_head(line: str) -> Literal["unit", "count", ""]:
    """Whether a line begins as an ingredient does: "200 g ...", "a handful of ..." (unit), "2 eggs" (count)."""
    low = bare(line)[:100].lower()
    found = _AMOUNT.match(low)
    counts, rest = (True, low[found.end() :]) if found else _after_words(low)
    after = _WORD.findall(rest)[:4]
    while after and after[0] in _sizes():
        del after[0]
    if after and (after[0] in _units() or " ".join(after[:2]) in _units()):
        return "unit"
    return "count" if counts and after and after[0] not in _role("time") and after[0] not in _lengths() else ""


def _after_words(low: str) -> tuple[bool, str]:
    """What follows a number written as words, and whether it counts things ("two", not "a"); "" without one."""
    words = low.split()
    for number, value in _spelled().get(words[0], ()) if words else ():
        if words[: len(number)] == number:
            return value not in ("", "1"), " ".join(words[len(number) :])
    return False, ""


def is_sentence(line: str) -> bool:
    """Whether a line that begins with an amount goes on as no ingredient does: "200 ml of the stock is added"."""
    words = _words(line)
    return len(words) > FEW and not _role("finite").isdisjoint(words)


def step(line: str, in_method: bool = False) -> bool:
    """Whether a line is a step of the method: numbered and imperative, or a sentence that begins with its verb.

    in_method: under a heading that says so, where a number without a sign counts too.
    """
    text = bare(line)
    number = _NUMBERED.match(text)
    rest = text[number.end() :] if number else text
    if (number and number[0][:1] in "sS") or (not amount_at_head(rest) and _paragraph(rest)):
        return True
    if not number and (plain := _BARE_NUMBER.match(text)):
        words = _words(text[plain.end() :])
        return _imperative(words, strict=not in_method) or (in_method and _opens(words) and _has_verb(words))
    if amount_at_head(rest):
        return False
    words = _words(rest)
    sentence = line.rstrip().endswith((".", "!")) and len(words) >= FEW
    if not number and not sentence:
        return len(words) >= MANY and words[0] in _begins("step")
    return _imperative(words) or ((_opens(words) or (number is not None and sentence)) and _has_verb(words))


def _paragraph(text: str) -> bool:
    """Whether a line says what to do in several sentences, or with several verbs: no ingredient is written so."""
    sentences = [_words(one) for one in _SENTENCES.split(text[:LONGEST_PARAGRAPH])]
    telling = [one for one in sentences if _imperative(one) or (_opens(one) and _has_verb(one))]
    told = _words(text)
    verbs = sum(word in _begins("step") for word in told)
    return (len(telling) > 1 and len(told) > MANY) or (verbs >= VERBS and len(told) > SPEECH)


def may_be_step(line: str) -> bool:
    """Whether a numbered line reads as a step where its neighbours are steps: "2. Mix oats in", not "2. Butter"."""
    rest = unnumbered(line)
    words = _words(rest)
    verbs = _begins("step") | _begins("step or food") | _role("opener")
    return numbered(line) and not amount_at_head(rest) and len(words) >= FEW - 1 and words[0] in verbs


def numbered(line: str) -> bool:
    """Whether a line begins with the number of a list: "4. ...", "Step 2: ..."."""
    return _NUMBERED.match(bare(line)) is not None


def unnumbered(line: str) -> str:
    """A line without its bullet and the number of a list before it."""
    text = line.lstrip("-*•· ").strip() or line
    found = _NUMBERED.match(text)
    return text[found.end() :] if found else text


def _words(text: str) -> list[str]:
    return [word.lower() for word in _WORD.findall(text)[:LOOKED_AT]]


def _imperative(words: list[str], strict: bool = False) -> bool:
    """Whether words begin with a verb of the kitchen; one that may name a food, or any if strict, needs an object."""
    if not words:
        return False
    plain, may_be_food = words[0] in _begins("step"), words[0] in _begins("step or food")
    if may_be_food and words[1:2] == ["for"] and words[2:3] and words[2].endswith("ing"):
        return False  # "butter for greasing" is a food and what it is for
    if plain and not strict:
        return True
    return (plain or may_be_food) and len(words) > 1 and words[1] in _role("object")


def _opens(words: list[str]) -> bool:
    return bool(words) and words[0] in _role("opener")


def _has_verb(words: list[str]) -> bool:
    """A verb of the kitchen anywhere, but not as a purpose: "to serve"."""
    return any(_imperative(words[n:]) and (n == 0 or words[n - 1] != "to") for n in range(len(words)))
