"""Times and heats in the text of a step: "for 10 to 12 minutes", "1½ hours", "4 minutes a side", "gas mark 5"."""

from __future__ import annotations

import re

_FRACTION = {"½": 0.5, "⅓": 1 / 3, "⅔": 2 / 3, "¼": 0.25, "¾": 0.75, "⅛": 0.125}
_SPELLED = {
    w: float(n)
    for n, w in enumerate(
        "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen "
        "seventeen eighteen nineteen twenty".split()
    )
} | {
    "thirty": 30.0,
    "forty": 40.0,
    "fifty": 50.0,
    "sixty": 60.0,
    "seventy": 70.0,
    "eighty": 80.0,
    "ninety": 90.0,
    "couple of": 2.0,
    "few": 3.0,
}
_N = (
    r"(?:(?:twenty|thirty|forty|fifty)[\s-](?:one|two|three|four|five|six|seven|eight|nine)\b"
    r"|\d{1,4}(?:[.,]\d{1,2})?(?:\s?[½⅓⅔¼¾])?(?:\s\d/\d)?|[½⅓⅔¼¾]|\d/\d|half an?"
    r"|an?\s(?:couple of|few|good|further)|a|an|"
    + "|".join(sorted((w for w in _SPELLED if " " not in w), key=len, reverse=True))
    + r")(?:\s(?:and a half|and a quarter))?"
)
_TIME = re.compile(
    rf"\b({_N})(?:\s?(?:-|–|to|or)\s?({_N}))?[\s-]+(?:more |further |good |full |extra )?"
    r"(seconds?|secs?|minutes?|mins?|hours?|hrs?|h|quarters? of an hour)\b",
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
_HUNDREDS = re.compile(
    r"\b(to|at|about) (a|one|two) (?:hundred(?: and)? ?)?(ten|twenty|thirty|forty|fifty|sixty|seventy|eighty|ninety)?\b"
    r"(?! (?:min|hour|sec|gram|mil|more))(?= degrees|[.,]|$)",
    re.IGNORECASE,
)
_AND_A_HALF = re.compile(r"\b(hours?|minutes?|hrs?)\s+and\s+a\s+(half|quarter)\b", re.IGNORECASE)
_ANOTHER = re.compile(r"\b(?:another|one more|a further|a final|the last) (hour|minute)\b", re.IGNORECASE)
_NO_UNIT = re.compile(r"\b(?<=for )(\d{1,2}) more(?=\s*(?:[.,;]|$))", re.IGNORECASE)  # "fry for 3 more"
_HOUR_AND = re.compile(r"\b(\d{1,2}\s?(?:hours?|hrs?|h))\s(\d{1,2})\b(?!\s?(?:min|/|[°.,]\d|g\b|ml\b))", re.IGNORECASE)
_GOES_ON = re.compile(
    r"(?:,|and|plus|then|a|another|further|more|for|uncovered|covered|or so|about|\s)*", re.IGNORECASE
)
_LONGER = re.compile(r"\b(?:another|further|more|then|plus)\b", re.IGNORECASE)


def minutes(text: str) -> float | None:
    """The time of a step [min]: the middle of a range, several times added up, twice what is said of each side."""
    text = _AND_A_HALF.sub(lambda one: f"{one[1]} {'30' if one[2].lower() == 'half' else '15'} minutes", text)
    text = _ANOTHER.sub(r"1 \1", text)
    text = _NO_UNIT.sub(r"\1 minutes", text)
    text = _HOUR_AND.sub(r"\1 \2 minutes", text)
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
    if (both := re.split(r"[\s-]", low))[0] in _SPELLED and len(both) == 2 and both[1] in _SPELLED:
        return _SPELLED[both[0]] + _SPELLED[both[1]]
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


def _in_digits(said: re.Match[str]) -> str:
    """ "up to a hundred and eighty" as cooks say it: to 180 degrees."""
    tens = _SPELLED.get((said[3] or "").lower(), 0.0)
    return f"{said[1]} {100 * (2 if said[2].lower() == 'two' else 1) + tens:.0f} degrees"


def degrees(text: str) -> float | None:
    """The heat of an oven or of oil [°C]: Celsius first, else Fahrenheit, else the gas mark; None for none."""
    celsius, fahrenheit = None, None
    text = _HUNDREDS.sub(_in_digits, text)
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
