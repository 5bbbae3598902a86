"""Texts and files changed a little, at random: the same random numbers make the same changes."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from random import Random

LONGEST = 12_000  # characters a text may grow to; a little more than the longest line
# What has broken readers before, here or elsewhere: numbers, signs, marks of YAML, HTML, JSON and CSV, odd characters.
TOKENS = tuple(
    "1e-300 1e300 -1 0 00 0.0 999999999999 1.234,5 1.500 1,500 ½½ 1//2 1/0 nan inf ∞ ٣ １００ ⅞ 2x 2-1 3--4 %  100% °C "
    "kg g mg ml l oz lb tsp tbsp cup pint tin tins clove pinch handful knob dash each plus or and of half all "
    "egg milk MILK butter flour salt sugar oil water stock celery mustard vegan gluten-free free from may contain "
    "chopped drained cooked dried fresh to serve for frying to taste the rest of all of half of 80% of 600 g of "
    "serves portions dish stages stage ingredients cooking method notes products cups drink left over serve with "
    "air-fried baked boiled weight after weight before loss minutes salted water from a.yaml from ../a.yaml "
    "& * ! | > - : , ; # @ ` ' \" \\ / ( ) [ ] { } < > = ~ ^ ? + _ $ \\n \\0 \\ud800 &amp; &lt; &#0; &#9999999999; "
    "<!-- --> <script> </script> <![CDATA[ itemprop= itemscope @id @graph @list recipeIngredient recipeYield null true "
    "!!timestamp !!int !!bool &a *a --- ... %YAML {{ }} {% %}".split(" ")
)
CHARACTERS = (
    "\0\x01\x07\x08\t\n\r\x0b\x0c\x1b\x7f\x80\x85\x9b\xa0\xad\u0301\u0307\u0378\u200b\u200d\u200f\u2028\u2029\u202e\u2066"
    "\u2800\u3000\ufe0f\ufeff\uffff\U0001f35e\U000e0041İıßŁﬁ½٣ \"'"
)
# Values where a word, a number or a list belongs, as YAML and as JSON write them.
VALUES = (
    "1e-300", "1e300", "-4", "0", "nan", ".inf", "1.500", "999999999999", "4 people", "[4]", "[]", "{}", "{a: b}",
    "null", "~", "''", '"a\\0b.yaml"', '"\\e[31m\\u202e"', "!!int x", "!!timestamp x", "[!!bool x]", "&a x", "*a", "|",
    "/dev/zero", "loop.yaml", "../x.yaml", "air-fried", "yes", "12%", "x" * 300, "- - - x", "'unclosed", "half of x",
    "all of x from y.yaml", ">-", '"all of x from a\\0b.yaml"',
)  # fmt: skip
JSON_VALUES = (
    "null", "true", "[]", "{}", "[[]]", '["x"]', '{"@id": ["x"]}', '{"@id": {"a": 1}}', '{"name": ["a", "b"]}', "1e999",
    '"\\u0000"', '"\\ud800"', '[{"@type": "Recipe"}]', '{"value": [1], "unitText": {}}', '{"@list": {}}', "[1, [2]]",
    '{"contains": []}', '{"milk": "x"}', '"1e-300"', "-1",
)  # fmt: skip
_YAML_VALUE = re.compile(r"(?<=: )[^\n]*|(?<=- )[^\n]*")
_JSON_VALUE = re.compile(r'(?<=: )(?:"[^"]*"|\[[^\]]*\]|\{[^}]*\}|[\w.]+)|(?<=\[)"[^"]*"')
SEQUENCES = ("\x1b[31m", "\x1b]0;title\x07", "\u202egpj.exe", "e" + "\u0301" * 40, "\r\n\r\n", "\ud800", "\udfff")


def mutated(random: Random, text: str, others: Sequence[str]) -> str:
    """A text with one to four changes; others: texts to take parts from."""
    for _ in range(random.choice((1, 1, 1, 2, 2, 3, 4))):
        text = random.choice(_CHANGES)(random, text, others)[:LONGEST]
    return text


def mutated_bytes(random: Random, data: bytes) -> bytes:
    """Bytes with one to four flipped, left out, doubled or put in."""
    found = bytearray(data)
    for _ in range(random.choice((1, 1, 2, 4))):
        at = random.randrange(len(found) + 1)
        kind = random.randrange(4)
        if kind == 0 and found:
            found[min(at, len(found) - 1)] = random.randrange(256)
        elif kind == 1:
            del found[at : at + random.randrange(1, 40)]
        elif kind == 2:
            found[at:at] = found[at : at + random.randrange(1, 200)]
        else:
            found[at:at] = bytes(random.randrange(256) for _ in range(random.randrange(1, 6)))
    return bytes(found)


def _stretch(random: Random, text: str) -> tuple[int, int]:
    start = random.randrange(len(text) + 1)
    return start, min(len(text), start + random.randrange(1, 30))


def _left_out(random: Random, text: str, others: Sequence[str]) -> str:
    start, end = _stretch(random, text)
    return text[:start] + text[end:]


def _again(random: Random, text: str, others: Sequence[str]) -> str:
    start, end = _stretch(random, text)
    times = random.choice((1, 1, 2, 3, 50, 2_000))
    return text[:end] + text[start:end] * times + text[end:]


def _put_in(random: Random, text: str, others: Sequence[str]) -> str:
    at = random.randrange(len(text) + 1)
    gap = random.choice((" ", "", " "))
    return f"{text[:at]}{gap}{random.choice(TOKENS)}{gap}{text[at:]}"


def _character(random: Random, text: str, others: Sequence[str]) -> str:
    at = random.randrange(len(text) + 1)
    what = random.choice(CHARACTERS) if random.random() < 0.7 else random.choice(SEQUENCES)
    return text[:at] + what * random.choice((1, 1, 1, 3, 300)) + text[at:]


def _other_part(random: Random, text: str, others: Sequence[str]) -> str:
    other = random.choice(others)
    start, end = _stretch(random, other)
    at = random.randrange(len(text) + 1)
    return text[:at] + other[start : end + random.randrange(200)] + text[at:]


def _value(random: Random, text: str, others: Sequence[str]) -> str:
    json = text.lstrip()[:1] in ("{", "[", "<")
    places = list((_JSON_VALUE if json else _YAML_VALUE).finditer(text))
    if not places:
        return _put_in(random, text, others)
    place = random.choice(places)
    return text[: place.start()] + random.choice(JSON_VALUES if json else VALUES) + text[place.end() :]


def _swapped(random: Random, text: str, others: Sequence[str]) -> str:
    words = text.split(" ")
    one, two = random.randrange(len(words)), random.randrange(len(words))
    words[one], words[two] = words[two], words[one]
    return " ".join(words)


def _number(random: Random, text: str, others: Sequence[str]) -> str:
    places = [at for at, c in enumerate(text) if c.isdigit()]
    if not places:
        return _put_in(random, text, others)
    at = random.choice(places)
    new = random.choice(("0", "9", "99", "999999", ".", ",", "/", "½", "-", "e", " ", "%", "00", "x", "٣"))
    return text[:at] + new + text[at + random.randrange(2) :]


def _case(random: Random, text: str, others: Sequence[str]) -> str:
    start, end = _stretch(random, text)
    return text[:start] + text[start:end].swapcase() + text[end:]


def _cut_off(random: Random, text: str, others: Sequence[str]) -> str:
    return text[: random.randrange(len(text) + 1)]


_CHANGES: tuple[Callable[[Random, str, Sequence[str]], str], ...] = (
    _left_out,
    _again,
    _put_in,
    _put_in,
    _character,
    _value,
    _value,
    _other_part,
    _swapped,
    _number,
    _number,
    _case,
    _cut_off,
)
