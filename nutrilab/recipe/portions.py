"""How many portions a recipe means by what it says it yields ("Serves 6", "12 scones", "1 loaf (10 slices)").

The one place for it: pages say it in a property of their own, plain text in a line that `says_yield` tells from an
ingredient.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from nutrilab.messages import as_portions, say
from nutrilab.plain import quoted
from nutrilab.remarks import Code, Remark

LONGEST = 200  # characters of what a recipe says it yields
FEWEST_THINGS = 4  # "12 scones" are portions; one loaf, two pies or three quiches are yet to be cut
_WORDS = (
    "one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen "
    "eighteen nineteen twenty"
).split()
_COUNT = {word: float(number) for number, word in enumerate(_WORDS, 1)}
_NUMBER = rf"\d{{1,6}}(?:[.,]\d{{1,2}})?|{'|'.join(sorted(_WORDS, key=len, reverse=True))}"
_ABOUT = r"(?:(?:about|around|roughly|approximately|approx\.?|at least|up to|a generous|c\.|~) ?)?"
_RANGE = rf"\b({_NUMBER})(?:\s?(?:-|–|—|to|or)\s?({_NUMBER}))?\b"
_TWO = re.compile(r"\b\d{1,3}[.,]\d{3}\b")  # "1.500" may be 1,500 or 1½: nobody knows, so it is not read
_DOZEN = re.compile(r"\b(?:(\d{1,3}) |(half) )?(?:a )?dozen\b")
_SERVES = re.compile(rf"(?<!\d )\b(?:serves?|servings?|portions|feeds)[\s:=–—-]*{_ABOUT}{_RANGE}")
_EATERS = r"(?:portions?|servings?|serves|people|persons?|guests?|helpings?|adults?|diners?|mouths)"
_PEOPLE = re.compile(rf"{_RANGE}[\s-]*(?:[a-z-]{{2,14}} ){{0,2}}{_EATERS}\b")
_ENOUGH = re.compile(rf"\benough for {_ABOUT}{_RANGE}(?=\s*(?:$|[.,;(]|as an? ))")
_PIECES = re.compile(rf"{_RANGE}[\s-]*(?:[a-z]{{2,12}} )?(?:slices|pieces|squares|wedges|bars)\b")
_MAKES = r"(?:this |recipe |the )*(?:makes?|yields?|gives|quantity|cuts? into|slices into)"
_BARE = re.compile(rf"(?:({_MAKES})[\s:=–—-]*|for |enough for )?{_ABOUT}{_RANGE}")
_THINGS = re.compile(rf"{_RANGE}[\s-]+((?:[a-z]+[\s-]*+){{1,3}})")
_AS = re.compile(rf"\b(?:{_NUMBER}) (?:{_EATERS} )?as an? ")
_MEASURES = frozenset(
    "g gr gram grams kg kilo kilos mg ml cl dl l litre litres liter liters cup cups pint pints quart quarts gallon "
    "gallons oz ounce ounces fl lb lbs pound pounds tbsp tsp tablespoon tablespoons teaspoon teaspoons jar jars bottle "
    "bottles batch batches tray trays tin tins pan pans inch inches cm x min mins minute minutes hour hours".split()
)
# A line of plain text that says it. What could be an ingredient ("4 servings cooked rice") must end with the number's
# own words; what begins with "serves" or "makes" cannot be one.
_TAIL = (
    r"(?:\s+(?:as an? [a-z][a-z -]{1,40}|\([^()]{0,60}\)|of (?:about )?\d{1,4} ?(?:g|ml)|each|generously|comfortably"
    r"|easily|well))*\s*\.?"
)
_ADJECTIVES = r"(?:(?:hungry|generous|large|big|small|good|hearty|main[ -]course|starter|adult|light|ample) )*"
_LINE = re.compile(
    rf"(?:this |the |recipe )*(?:(?:serves|feeds|makes|yields?|gives|cuts into|slices into|(?:makes )?enough for)"
    rf"(?: enough for)?\b[\s:=–—-]*{_ABOUT}{_RANGE}.*+"
    rf"|(?:servings?|portions?|for|quantity)[\s:=–—-]*{_ABOUT}{_RANGE}(?:\s*{_ADJECTIVES}{_EATERS})?{_TAIL}"
    rf"|{_ABOUT}{_RANGE}\s*{_ADJECTIVES}{_EATERS}{_TAIL})"
)
_BEHIND = re.compile(r"(?:\s*[,(–—|-]\s*|\s+)\(?((?:serves|feeds|makes|for) [^()|]{1,40})\)?\s*")


def says_yield(line: str) -> bool:
    """Whether a line of plain text says what the recipe yields, and is no ingredient."""
    return len(line) <= LONGEST and _LINE.fullmatch(_plain(line)) is not None


def split_yield(title: str) -> tuple[str, str | None]:
    """A title and what it says of the yield: ("Carrot soup", "serves 4") of "Carrot soup (serves 4)"."""
    low = title[:LONGEST].lower()
    for found in _BEHIND.finditer(low):
        if found.end() == len(low) == len(title) and found.start() and says_yield(found[1]):
            return title[: found.start()].strip(), title[found.start(1) : found.end(1)].strip()
    return title, None


def how_to_say(name: str) -> str:
    """What to do where a recipe file of this name does not say how many portions there are."""
    suffix = name.lower().rpartition(".")[2]
    if suffix in ("yaml", "yml"):
        return say("portions.in-yaml")
    if suffix in ("html", "htm", "xhtml", "json", "jsonld"):
        return say("portions.by-option")
    return say("portions.in-text")


def read_yield(texts: Iterable[str]) -> tuple[float | None, tuple[Remark, ...]]:
    """Portions [1], None if the texts do not say; and what was taken for them where they leave room.

    People and servings come before pieces, pieces before a bare number, that before other things counted. A range
    counts as its lower end: the larger portion. A measure ("2 cups") and a few whole things ("1 loaf") are no number
    of portions. Each remark has the number of its text as its line, from 1.
    """
    said = [(text, _TWO.sub("?", _plain(text))) for text in (" ".join(t.split())[:LONGEST] for t in texts)]
    for number, (text, low) in enumerate(said, 1):
        found = _SERVES.search(low) or _ENOUGH.search(low) or _PEOPLE.search(low)
        if found and (portions := _value(found[1])):
            several = found[2] or len(_AS.findall(low)) > 1
            return portions, _remarks(Code.PORTIONS_RANGE, text, portions, number) if several else ()
    for number, (text, low) in enumerate(said, 1):
        if (found := _PIECES.search(low)) and (portions := _value(found[1])):
            return portions, _remarks(Code.PORTIONS_PIECES, text, portions, number)
    return _counted(said)


def _plain(text: str) -> str:
    """Lower case, one space between words, a dozen as twelve."""
    return _DOZEN.sub(_dozen, " ".join(text[: LONGEST + 1].lower().split()))


def _counted(said: list[tuple[str, str]]) -> tuple[float | None, tuple[Remark, ...]]:
    """A bare number, or things counted. ["1", "1 loaf"] is one loaf, not one portion."""
    worded = any(not _BARE.fullmatch(low.strip(" .")) for _, low in said)
    for number, (text, low) in enumerate(said, 1):
        found = _BARE.fullmatch(low.strip(" ."))
        portions = _value(found[2]) if found else None
        if found and portions and (portions >= FEWEST_THINGS or not worded):
            made = Code.PORTIONS_PIECES if found[1] else None
            code = Code.PORTIONS_RANGE if found[3] else Code.PORTIONS_ONE if portions == 1 else made
            return portions, _remarks(code, text, portions, number) if code else ()
    for number, (text, low) in enumerate(said, 1):
        for found in _THINGS.finditer(low):
            portions = _value(found[1])
            if portions and portions >= FEWEST_THINGS and _MEASURES.isdisjoint(re.split(r"[\s-]+", found[3])):
                return portions, _remarks(Code.PORTIONS_PIECES, text, portions, number)
    return None, ()


def _dozen(found: re.Match[str]) -> str:
    return "6" if found[2] else str(12 * int(found[1] or 1))


def _value(text: str) -> float | None:
    number = _COUNT.get(text) or float(text.replace(",", "."))
    return number if number > 0 else None


def _remarks(code: Code, text: str, portions: float, number: int) -> tuple[Remark, ...]:
    words = say("portions.counted", line=quoted(text), portions=as_portions(portions))
    return (Remark(code, words, line=number),)
