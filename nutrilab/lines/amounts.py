"""The amount at the head of a line: count, unit, size, pack and the second system of measures."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from functools import lru_cache

from nutrilab.lines.beginning import beginning
from nutrilab.lines.clean import VULGAR
from nutrilab.lines.numbers import Number, number
from nutrilab.lines.units import dimension, metric, ratio, sizes_at, unit_at
from nutrilab.lines.values import Amount
from nutrilab.lines.words import FACTORS, KINDS, NEEDS_OF, Unit
from nutrilab.remarks import Code

MEASURED = frozenset(("mass", "volume", "spoon", "length"))
COUNTED = frozenset(("container", "piece", "vague"))
_HELD = COUNTED | {"volume", "spoon"}
# A volume in one of these is that volume of food; a tin or a pack is a thing that is counted, drained or kept whole.
_JUST_HELD = frozenset(("pot", "tub", "carton", "bottle", "glass", "cup"))
_SMALLER = {"lb": ("oz",), "kg": ("g",), "l": ("ml", "cl"), "pint": ("fl oz",), "quart": ("pint",), "gallon": ("pint",)}
_FEW = 2.5  # the same behind "1-": "1-3½ oz can" is one can
_MANY = 5  # "1-14 oz can" is a can of 14 oz: no cook gives a range five times as wide

_TIMES = re.compile(r"\s?(?:x|\*)(?![a-z])\s?")
_NUMBERS_OF = re.compile(r"\s(?:numbers?|nos)\.?(?=\s[a-z])")  # "8 number garlic cloves": eight of them
_OF = re.compile(r"\.?\s(?:of(?:\s(?:the|a|an|my|your|some))?)(?=\s)")
_EACH = re.compile(r"\.?\s(?:of\s)?each(?:\sof)?(?=[\s:,]|$),?")
_DUAL = re.compile(
    rf"\.?\s?(?:/+|\||=|;|or\s|\(|-(?=\s?[\d{VULGAR}])|(?=[\d{VULGAR}]))\s?(?:about\s|approx\.?\s|approximately\s|or\s|~\s?)?"
)
_SLASHED_REST = re.compile(rf"\s?/+\s?[\d{VULGAR}][\d{VULGAR}\s.,/-]*")
_CLOSE = re.compile(r"\.?(?P<each>\seach)?\s?\)")
_PLUS = re.compile(r"\.?\s?(?:plus\s|\+|and\s|&)\s?")
_OR_TWO = re.compile(r"\sor\s(?:(two)|so|less|more|fewer)(?=\s|$)")  # "a pinch or two of salt", "2 tbsp or so"
_NAMES_NOTHING = re.compile(r"\s?(?:[,;(]|$)")
_DASH = re.compile(r"\.?\s?(?:-{1,2}|to\s|or\s)\s?")
_BEFORE_HOLDER = frozenset(" -")
# How what may follow an amount begins, behind its full stop and space: a range, a second system, more of it.
_RANGE_BEGINS = frozenset("-to")
_DUAL_BEGINS = frozenset("/|=;o(-")
_TIMES_BEGINS = frozenset("x*")
_FINISH_BEGINS = frozenset("oe")
_PLUS_BEGINS = frozenset("p+a&")


@dataclass(slots=True)
class AmountRead:
    """What was read of an amount so far; the text goes on at ``end``; ``word`` is the unit as written, at ``place``."""

    quantity: float | None = None
    quantity_max: float | None = None
    unit: str | None = None
    size: str | None = None
    pack: Amount | None = None
    other: Amount | None = None
    each: bool = False
    end: int = 0
    vague: str = ""
    word: str = ""
    place: tuple[int, int] = (0, 0)
    found: bool = False
    notes: tuple[Code, ...] = ()

    def again(self) -> AmountRead:
        """The same to go on with; this one stays as it is."""
        known = self.quantity, self.quantity_max, self.unit, self.size, self.pack, self.other, self.each, self.end
        return AmountRead(*known, self.vague, self.word, self.place, self.found, self.notes)


def _ahead(low: str, pos: int) -> str:
    """The first character behind an amount, its full stop and space passed over; "" at the end.

    Most texts go on with a food: one look spares the search for all that an amount may go on with.
    """
    return low[pos : pos + 3].lstrip(". ")[:1]


def measure_at(low: str, pos: int) -> tuple[Amount, int] | None:
    """A measured amount at ``pos``: "400 g", "2lb 4oz" (one amount, in pounds), "50ml-75ml", "1-2 tbsp"."""
    count = number(low, pos)
    return _measure(low, count) if count else None


def _measure(low: str, count: Number) -> tuple[Amount, int] | None:
    """The measured amount that begins with a number already read."""
    if count.low is None or not (found := unit_at(low, count.end)) or found[0].kind not in MEASURED:
        return None
    name, end = found[0].name, found[1]
    quantity, high = count.low, count.high
    if high is None:
        if name in _SMALLER and (part := _smaller(low, end, name)):
            quantity, end = quantity + part[0], part[1]
        if _ahead(low, end) in _RANGE_BEGINS and (upper := _upper(low, end, name, quantity)):
            high, end = upper
    return Amount(quantity, name, high), end


def _smaller(low: str, end: int, name: str) -> tuple[float, int] | None:
    """The ounces of "2lb 4oz" in pounds, and where they end."""
    start = end + (low[end : end + 1] in (".", ",") and low[end + 1 : end + 2] == " ")
    start += low[start : start + 1] == " "
    if not low[start : start + 1].isnumeric():
        return None
    part = number(low, start)
    if not part or part.low is None or part.high is not None:
        return None
    found = unit_at(low, part.end)
    if not found or found[0].name not in _SMALLER[name]:
        return None
    return part.low * ratio(found[0].name, name), found[1]


def _upper(low: str, end: int, name: str, quantity: float) -> tuple[float, int] | None:
    """The upper end of "50ml-75ml" or "800g-1kg", in the unit of the lower, and where it ends."""
    dash = _DASH.match(low, end)
    if not dash:
        return None
    upper = number(low, dash.end())
    if not upper or upper.low is None or upper.high is not None:
        return None
    found = unit_at(low, upper.end)
    if not found or dimension(name) is None or dimension(found[0].name) != dimension(name):
        return None  # how much a mug is stands in no list of factors
    high = upper.low * ratio(found[0].name, name)
    same_system = metric(found[0].name) == metric(name)
    return (high, found[1]) if same_system and quantity < high < quantity * 100 else None


def second_system(low: str, pos: int, first: Amount) -> tuple[Amount, int] | None:
    """The "/6oz" or "(6 oz)" after a first amount, and where it ends; of three systems the metric one."""
    best: Amount | None = None
    bracket = False
    for _ in range(3):
        sign = _DUAL.match(low, pos)
        found = measure_at(low, sign.end()) if sign else None
        if not sign or not found or (dimension(found[0].unit) == "length") != (dimension(first.unit) == "length"):
            break
        amount, end = found
        if "/" not in sign[0] and "(" not in sign[0] and metric(amount.unit) == metric(first.unit):
            break
        bracket = bracket or "(" in sign[0]
        if best is None or (metric(amount.unit) and not metric(best.unit)):
            best = amount
        pos = end
    if best is None:
        return None
    if bracket:
        close = _CLOSE.match(low, pos)
        if not close:
            return None
        pos = close.end()
    return best, pos


def read_amount(low: str, cup: str = "us") -> AmountRead:
    """The amount at the beginning of lower-case text; ``found`` says if there is any.

    What stands before the first word that no amount has settles it, and there are few such beginnings.
    """
    return amount_of(beginning(low), cup).again()


@lru_cache(maxsize=8192)
def amount_of(low: str, cup: str) -> AmountRead:
    """The amount at the beginning of text that is looked at whole; not to be changed."""
    reading = AmountRead()
    sizes, pos = sizes_at(low, 0) if low[:1].isalpha() else ([], 0)
    count = number(low, pos + (low[pos : pos + 1] == " "))
    if count is None:
        return _unit_alone(low)
    if sizes:
        reading.size = " ".join(sizes)
    reading.found = True
    if count.low is None:
        return _vague(low, count, reading)
    if measured := _measure(low, count):
        _measured(low, *measured, reading, cup)
    else:
        _counted(low, count, reading)
    _finish(low, reading)
    return reading


def _measured(low: str, amount: Amount, end: int, reading: AmountRead, cup: str) -> None:
    """ "175g/6oz", "400g tin", "2cm piece", "1-14 oz can", "1 cup plus 2 tbsp"."""
    ahead, kind = _ahead(low, end), dimension(amount.unit)
    if (ahead in _DUAL_BEGINS or ahead.isnumeric()) and (other := second_system(low, end, amount)):
        _compare(amount, other[0], reading, cup)
        reading.other, end = other
        if upper := _upper(low, end, amount.unit, amount.quantity):
            amount, end = replace(amount, quantity_max=upper[0]), upper[1]
            if again := second_system(low, end, amount):
                end = again[1]
    elif ahead == "/" and (rest := _SLASHED_REST.match(low, end)) and (unit := unit_at(low, rest.end())):
        reading.notes += (Code.AMOUNT_NOT_UNDERSTOOD,)
        end = unit[1]
    if kind == "length" and amount.quantity_max and amount.quantity_max >= _MANY * amount.quantity:
        reading.quantity, reading.end = amount.quantity, end  # "1-9 inch pie crust" is one of nine inches
        return
    sizes, holder = _holder(low, end) if KINDS[amount.unit] != "spoon" else ([], None)
    if holder and holder[0].name not in _JUST_HELD:
        _one_of(amount, reading)
        reading.unit, reading.end = holder[0].name, holder[1]
        reading.size = " ".join(sizes) or reading.size
        return
    if holder:
        end = holder[1]
    elif kind == "volume" and _ahead(low, end) in _PLUS_BEGINS and (sign := _PLUS.match(low, end)):
        amount, end = _added(low, sign.end(), amount, cup) or (amount, end)
    reading.quantity, reading.quantity_max = amount.quantity, amount.quantity_max
    reading.unit, reading.end = amount.unit, end


def _holder(low: str, end: int) -> tuple[list[str], tuple[Unit, int] | None]:
    """The large and the tin of "400 g large tin": what a measured amount is in or of, and where the text goes on."""
    sizes, after = sizes_at(low, end + (low[end : end + 2] == ". "))
    holder = unit_at(low, after) if low[after : after + 1] in _BEFORE_HOLDER else None
    if not holder or holder[0].kind not in COUNTED:
        return sizes, None
    if holder[0].kind == "piece" and not sizes and _NAMES_NOTHING.match(low, holder[1]):
        return sizes, None  # "10 g cloves": the counting word is the food
    return sizes, holder


def _one_of(amount: Amount, reading: AmountRead) -> None:
    """ "400g tin" is one tin of 400 g; "1-14 oz can" as well."""
    reading.quantity = 1.0
    many = _FEW if amount.quantity == 1 else _MANY
    if amount.quantity_max and amount.quantity_max >= many * amount.quantity:
        reading.quantity, amount = amount.quantity, Amount(amount.quantity_max, amount.unit)
    reading.pack, reading.other = better(amount, reading.other), None


def better(amount: Amount, other: Amount | None) -> Amount:
    """Of two systems for one pack the metric one."""
    return other if other and metric(other.unit) and not metric(amount.unit) else amount


def _added(low: str, pos: int, amount: Amount, cup: str) -> tuple[Amount, int] | None:
    """ "1 cup plus 2 tbsp" in cups: both volumes, so the sum is exact."""
    more = measure_at(low, pos)
    if not more or dimension(more[0].unit) != "volume" or amount.quantity_max or more[0].quantity_max:
        return None
    us = cup == "us"
    sizes = [FACTORS[a.unit].us if us else FACTORS[a.unit].uk for a in (amount, more[0])]
    return Amount(round(amount.quantity + more[0].quantity * sizes[1] / sizes[0], 6), amount.unit), more[1]


def _counted(low: str, count: Number, reading: AmountRead) -> None:
    """ "2 x 400g tins", "2 large cloves", "½ 400g/14 oz can", "2 (8 ounce) packages", "3"."""
    reading.quantity, reading.quantity_max = count.low, count.high
    end = count.end
    if _ahead(low, end) == "n" and (of_them := _NUMBERS_OF.match(low, end)):
        end = of_them.end()
    times = _TIMES.match(low, end) if _ahead(low, end) in _TIMES_BEGINS else None
    if times:
        end = times.end()
    inside = low[end : end + 2].lstrip(" ")[:1]
    if times or inside.isnumeric() or inside == "(":
        end = _pack(low, end, reading)
    sizes, after = sizes_at(low, end)
    if low[after : after + 2].lstrip(" ")[:1] == "(" and not reading.pack:
        after = _pack(low, after, reading)
    found = unit_at(low, after)
    # "2 x 150g pieces of cod" are two of something: the pieces add nothing.
    if found and found[0].kind in _HELD and (low[after : after + 1] in _BEFORE_HOLDER or after == end):
        name = found[0].name
        reading.word, reading.place = name, (after, found[1])
        reading.unit = None if name == "piece" and times and reading.pack and reading.pack.unit in ("g", "kg") else name
        end = found[1]
        held = found[0].kind == "container" and low[end : end + 1] == " " and low[end + 1 : end + 2].isnumeric()
        if not reading.pack and (held or low[end : end + 2] == " ("):
            end = _pack(low, end, reading)  # "1 can (14 oz)", "1 can 14 oz"
        reading.size = " ".join(sizes) or reading.size
    elif reading.pack and after != end and not sizes:
        end = after
    reading.end = end


def _pack(low: str, pos: int, reading: AmountRead) -> int:
    """The "400g/14oz" of "2 x 400g/14oz tins", in brackets or not; returns where the text goes on."""
    start = pos + (low[pos : pos + 1] == " ")
    bracket = low[start : start + 1] == "("
    found = measure_at(low, start + bracket)
    if not found:
        return pos
    amount, end = found
    if other := second_system(low, end, amount):
        _compare(amount, other[0], reading, "us")
        amount, end = better(amount, other[0]), other[1]
    if bracket:
        close = _CLOSE.match(low, end)
        if not close:
            return pos
        end = close.end()
    reading.pack = amount
    return end + (low[end : end + 2] == ". ")  # "8 oz. pkg"


def _vague(low: str, count: Number, reading: AmountRead) -> AmountRead:
    """ "a few drops of", "a little oil": a unit perhaps, no number."""
    reading.vague, reading.end = count.word, count.end
    found = unit_at(low, count.end)
    if found and found[0].kind not in ("mass", "length"):
        reading.unit, reading.end = found[0].name, found[1]
    _finish(low, reading)
    return reading


_A = re.compile(r"(?:an?|the|one)\s")


def _unit_alone(low: str) -> AmountRead:
    """ "handful basil", "small bunch mint", "knob of butter", "sprigs fresh chives": a unit without a number."""
    reading = AmountRead()
    sizes, pos = sizes_at(low, 0)
    found = unit_at(low, pos)
    if not found or found[0].kind == "length" or (pos and low[pos] not in " -"):
        return reading
    unit, end = found
    word = low[pos:end].strip(" -.")
    of = _OF.match(low, end)
    if end >= len(low) or (unit.name in NEEDS_OF and not of) or low[end] not in " .":
        return reading
    if unit.kind not in COUNTED and unit.kind not in ("spoon", "volume"):
        return reading
    if unit.name == "leaf" and not of:
        return reading
    reading.found, reading.unit, reading.end = True, unit.name, end
    reading.word, reading.place = word, (pos, end)
    reading.size = " ".join(sizes) or None
    if word.endswith("s") and word != unit.name:
        reading.vague = word
    else:
        reading.quantity = 1.0
        if unit.kind in ("spoon", "volume") and not _A.match(low):
            reading.notes += (Code.AMOUNT_ASSUMED,)
    _finish(low, reading)
    return reading


def _finish(low: str, reading: AmountRead) -> None:
    """Full stop, "each" and "of" after the amount."""
    if low[reading.end : reading.end + 1] == ".":
        reading.end += 1
    if _ahead(low, reading.end) not in _FINISH_BEGINS:
        return
    if (more := _OR_TWO.match(low, reading.end)) and (not more[1] or reading.quantity == 1):
        reading.quantity_max, reading.end = 2.0 if more[1] else reading.quantity_max, more.end()
    if each := _EACH.match(low, reading.end):
        reading.each, reading.end = True, each.end()
    elif of := _OF.match(low, reading.end):
        reading.end = of.end()
        if reading.word and not reading.pack and KINDS.get(reading.unit or "") == "container":
            _contents(low, reading)


def _contents(low: str, reading: AmountRead) -> None:
    """The 6 of "1 pack of 6 pitta breads": pieces in a pack."""
    inside = number(low, reading.end + 1)
    if inside and inside.low is not None and low[inside.end : inside.end + 1] == " " and not _measure(low, inside):
        reading.pack, reading.end = Amount(inside.low, "", inside.high), inside.end


def _compare(first: Amount, second: Amount, reading: AmountRead, cup: str) -> None:
    """Note two systems that are more than 15 % apart in the British and in the American reading."""
    a, b = FACTORS.get(first.unit), FACTORS.get(second.unit)
    if not a or not b or a.dimension != b.dimension or a.dimension == "length":
        return
    sizes = {(x, y) for x in (a.uk, a.us) for y in (b.uk, b.us)}
    if all(abs(first.middle * x / (second.middle * y) - 1) > 0.15 for x, y in sizes if second.middle):
        reading.notes += (Code.AMOUNTS_DISAGREE,)
