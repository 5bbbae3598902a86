"""A method's text cut into what is done: sentences, then a clause for every verb of the kitchen; times and heats."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from nutrilab.method.words import Verb, verb_at
from nutrilab.recipe import Line
from nutrilab.text import words

LONGEST = 2_000  # characters of a paragraph that are looked at
_SENTENCE = re.compile(r"(?<=[.;!?])\s+(?=[^\s])|\n+")
_NUMBER_AT_HEAD = re.compile(r"^[\s•*·–-]*(?:step\s*\d{1,2}\s*[.):–-]?|\(?\d{1,2}\s?[.):])\s+", re.IGNORECASE)
_TOKEN = re.compile(r"[^\W_]+(?:['’][^\W_]+)*%?|[½⅓⅔¼¾⅛]|[,;:()–—/]")
_ABBREVIATIONS = re.compile(r"\b((?i:mins?|hrs?|approx|tbsp|tsp|oz|lb|c|f|no))\.(?=\s+[a-z\d(])")
_MARKS = frozenset(",;:()–—")
_JOINTS = frozenset(("and", "then", "or", "but", "now", "next", "finally", "first", "after", "meanwhile", "to"))
_ADVERBS = frozenset(
    "gently slowly carefully quickly gradually briefly lightly thoroughly well finely roughly immediately just also "
    "again simply generously evenly coarsely thinly once now next finally then first lastly meanwhile please you can "
    "could should will ll need to want i we ve are re m am is going gonna have got start keep it still in".split()
)
_ARTICLES = frozenset(("the", "a", "an", "it", "them", "this", "each", "your", "both", "until"))
_OBJECTS = frozenset(
    "the a an it them with in into over for until on to this that your all both everything some any half each every "
    "remaining as at under through off out together uncovered covered gently well any my our these those by".split()
)


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


@dataclass(frozen=True, slots=True)
class _Token:
    word: str  # singular, or a punctuation mark
    start: int
    end: int


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


def tokens_of(text: str) -> list[_Token]:
    """Words, numbers and the marks that part clauses."""
    found = []
    for one in _TOKEN.finditer(text):
        said = words(one[0]) if one[0] not in _MARKS else (one[0],)
        if one[0] in "½⅓⅔¼¾⅛":
            said = (one[0],)
        found += [_Token(word, one.start(), one.end()) for word in said]
    return found


def _of_sentence(sentence: str, line: int | None, heading: str) -> Iterator[Clause]:
    tokens = tokens_of(sentence)
    said = [token.word for token in tokens]
    starts = [at for at in range(len(said)) if _begins(said, at)]
    if not starts:
        yield Clause(sentence, tuple(said), None, line=line, heading=heading)
        return
    first_words = tuple(w for w in said[: starts[0]] if w not in _MARKS)
    for number, at in enumerate(starts):
        end = starts[number + 1] if number + 1 < len(starts) else len(said)
        found = verb_at(said, at)
        if found is None:
            continue
        verb, length = found
        text = sentence[0 if number == 0 else tokens[at].start : tokens[end - 1].end].strip(" ,;:–—")
        for tail in (" and", " then", " or", ", and", " and then"):
            text = text.removesuffix(tail)
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
    opened = back < 0 or said[back] in _MARKS or said[back] in _JOINTS - {"to"}
    if not opened:
        return False
    if at - back > 4 or (back >= 0 and said[back] in ("and", "or") and not _verb_before(said, back)):
        return False
    follows = said[at + length] if at + length < len(said) else ""
    if at == 0:
        return True
    if verb.noun == "food":
        return at + length < len(said) and said[at + length] in _ARTICLES
    if follows == "and" and verb_at(said, at + length + 1):
        return True  # "brown and drain"
    if verb.noun or back >= 0:
        plain = not verb.noun and (back < 0 or said[back] in _MARKS or said[back] in ("then", "and", "or", "but"))
        return (plain and _no_noun_phrase(said, at, back)) or follows in _OBJECTS or follows.isdigit()
    return True


def _no_noun_phrase(said: Sequence[str], at: int, back: int) -> bool:
    """Whether what stands here can be a verb: not the last word before a mark right behind another ("soft, brown,")."""
    return not (back >= 0 and said[back] in ("and", "or") and at + 1 == len(said) and back == at - 1 and at < 3)


def _verb_before(said: Sequence[str], at: int) -> bool:
    """Whether a verb of the kitchen stands before a joint, so that the joint may join two of them."""
    return any(verb_at(said, n) for n in range(at))


_FRACTION = {"½": 0.5, "⅓": 1 / 3, "⅔": 2 / 3, "¼": 0.25, "¾": 0.75, "⅛": 0.125}
_SPELLED = {
    w: float(n)
    for n, w in enumerate(
        "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen "
        "seventeen eighteen nineteen twenty".split()
    )
} | {"thirty": 30.0, "forty": 40.0, "fifty": 50.0, "sixty": 60.0, "ninety": 90.0, "couple of": 2.0, "few": 3.0}
_N = (
    r"(?:\d{1,4}(?:[.,]\d{1,2})?(?:\s?[½⅓⅔¼¾])?(?:\s\d/\d)?|[½⅓⅔¼¾]|\d/\d|half an?|an?\s(?:couple of|few|good|further)|a|an|"
    + "|".join(sorted((w for w in _SPELLED if " " not in w), key=len, reverse=True))
    + r")(?:\s(?:and a half|and a quarter))?"
)
_TIME = re.compile(
    rf"\b({_N})(?:\s?(?:-|–|to|or)\s?({_N}))?[\s-]+(?:more |further |good |full |extra )?(seconds?|secs?|minutes?|mins?|hours?|hrs?|h|quarters? of an hour)\b",
    re.IGNORECASE,
)
_EACH_SIDE = re.compile(r"\b(?:on each side|each side|per side|a side|on both sides|either side)\b", re.IGNORECASE)
_DEGREES = re.compile(
    r"(\d{2,3})\s?(?:°|º|degrees?\s?)?\s?(c|f|celsius|fahrenheit|centigrade)?\b(?!\s?(?:g|ml|kg|min|m\b))",
    re.IGNORECASE,
)
_GAS = re.compile(r"\bgas(?:\s?mark)?\s?(\d|½|¼)\b", re.IGNORECASE)
# [°C] from memory, no source; marks 3 and 5 are common practice
GAS = {"½": 130.0, "¼": 120.0, "1": 140.0, "2": 150.0, "3": 170.0, "4": 180.0, "5": 190.0, "6": 200.0, "7": 220.0,
       "8": 230.0, "9": 240.0}  # fmt: skip
_AND_A_HALF = re.compile(r"\b(hours?|minutes?|hrs?)\s+and\s+a\s+(half|quarter)\b", re.IGNORECASE)
_GOES_ON = re.compile(
    r"(?:,|and|plus|then|a|another|further|more|for|uncovered|covered|or so|about|\s)*", re.IGNORECASE
)
_LONGER = re.compile(r"\b(?:another|further|more|then|plus)\b", re.IGNORECASE)


def minutes(text: str) -> float | None:
    """The time of a step [min]: the middle of a range, several times added up, twice what is said of each side."""
    text = _AND_A_HALF.sub(lambda one: f"{one[1]} {'30' if one[2].lower() == 'half' else '15'} minutes", text)
    if re.search(r"\bovernight\b", text, re.IGNORECASE):
        return 480.0
    total, found = 0.0, False
    last = -1
    for one in _TIME.finditer(text):
        between = text[last : one.start()] if last >= 0 else ""
        if found and not (_GOES_ON.fullmatch(between) or _LONGER.search(between) or _LONGER.search(one[0])):
            continue  # "10 minutes, or 5 minutes if they are small"
        low = _number(one[1])
        high = _number(one[2]) if one[2] else low
        unit = one[3].lower()
        factor = 60.0 if unit.startswith("h") else 15.0 if unit.startswith("q") else 1 / 60 if unit[0] == "s" else 1.0
        total += factor * (low + high) / 2
        found, last = True, one.end()
    if not found:
        return None
    return total * 2 if _EACH_SIDE.search(text) else total


def _number(text: str) -> float:
    low = text.lower().strip()
    extra = 0.5 if low.endswith("and a half") else 0.25 if low.endswith("and a quarter") else 0.0
    low = low.removesuffix(" and a half").removesuffix(" and a quarter")
    if low.startswith("half a"):
        return 0.5
    if low in ("a", "an") or low.endswith((" good", " further")):
        return 1.0 + extra
    if low.startswith(("a ", "an ")):
        return _SPELLED.get(low.split(" ", 1)[1], 1.0)
    if low in _SPELLED:
        return _SPELLED[low] + extra
    total = extra
    for part in re.findall(r"\d+/\d+|\d+(?:[.,]\d+)?|[½⅓⅔¼¾]", low):
        if part in _FRACTION:
            total += _FRACTION[part]
        elif "/" in part:
            top, bottom = part.split("/")
            total += int(top) / int(bottom) if int(bottom) else 0.0
        else:
            total += float(part.replace(",", "."))
    return total


def degrees(text: str) -> float | None:
    """The heat of an oven or of oil [°C]: Celsius first, else Fahrenheit, else the gas mark; None for none."""
    celsius, fahrenheit = None, None
    for one in _DEGREES.finditer(text):
        value, unit = float(one[1]), (one[2] or "").lower()[:1]
        signed = unit or "°" in one[0] or "º" in one[0] or "degree" in one[0].lower()
        if signed and unit == "f" and 200 <= value <= 550:
            fahrenheit = fahrenheit or (value - 32) / 1.8
        elif signed and unit != "f" and 40 <= value <= 300:
            celsius = celsius or value
    if celsius or fahrenheit:
        return celsius or fahrenheit
    if gas := _GAS.search(text):
        return GAS.get(gas[1])
    return None
