"""Foods composed of table foods, and ladders of one food by its fat or cocoa content.

``data/mixes.csv`` names them, ``data/mix_parts.csv`` holds their parts. Three kinds: "fixed", shares of
mass that add up to 1; "ladder", the same food at several fat contents, of which two are mixed to meet a
stated percentage; "bands", the same at stated percentages, of which the nearest at or below is taken.
``data/mix_bounds.csv``: between what values a component of a mix lies, where products or habits differ.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache, cached_property

from nutrilab.datafiles import rows
from nutrilab.foods import Food, FoodTable, compose
from nutrilab.linking.lent import completed
from nutrilab.messages import as_percent, say
from nutrilab.once import once
from nutrilab.plain import brief
from nutrilab.remarks import Code, Remark
from nutrilab.text import singular

PREFIX = "mix:"
CLOSE = 0.3  # [%] a rung this near is taken as it is: a fifth of the tolerance round a fat content below 10 g
LONGEST_PART = 60  # characters of a food's name that tell a cook what it is
BEYOND = 1.5  # [%] past the last rung that is still that rung: the same tolerance


@dataclass(frozen=True, slots=True)
class MixPart:
    """A table food in a mix: its share of mass [1], or the percentage [%] it stands at."""

    food: str
    share: float
    point: float


@dataclass(frozen=True, slots=True)
class Mix:
    """A composed food as the data file gives it; ``of``: what the percentage of a ladder counts."""

    mix_id: str
    name: str
    kind: str
    of: str
    default: float
    ground: str
    parts: tuple[MixPart, ...]


@cache
def mixes() -> dict[str, Mix]:
    """All mixes of the data files by id, "mix:NAME". Raises ValueError when shares do not add up to 1."""
    parts: dict[str, list[MixPart]] = {}
    for row in rows("mix_parts.csv"):
        part = MixPart(row["food"], float(row["share"] or 0), float(row["point"] or 0))
        parts.setdefault(row["mix"], []).append(part)
    found = {}
    for row in rows("mixes.csv"):
        some = sorted(parts[row["mix"]], key=lambda p: p.point)
        if row["kind"] == "fixed" and abs(sum(p.share for p in some) - 1) > 1e-6:
            raise ValueError(f"mix_parts.csv: the shares of {row['mix']} do not add up to 1")
        mix_id = PREFIX + row["mix"]
        found[mix_id] = Mix(
            mix_id, row["name"], row["kind"], row["of"], float(row["default"] or 0), row["ground"], tuple(some)
        )
    return found


@cache
def mix_bounds() -> dict[str, dict[str, tuple[float, float]]]:
    """Mix id -> component -> lowest and highest value per 100 g [the component's unit]."""
    found: dict[str, dict[str, tuple[float, float]]] = {}
    for row in rows("mix_bounds.csv"):
        found.setdefault(PREFIX + row["mix"], {})[row["component"]] = (float(row["low"]), float(row["high"]))
    return found


class Mixer:
    """The mixes as foods of one table."""

    def __init__(self, table: FoodTable) -> None:
        self.table = table
        self._made: dict[str, Food] = {}

    def __contains__(self, mix_id: str) -> bool:
        mix = mixes().get(mix_id)
        return mix is not None and all(part.food in self.table for part in mix.parts)

    def _part(self, food_id: str) -> Food:
        return completed(self.table.food(food_id))

    def food(self, mix_id: str) -> Food:
        """A mix as a food; a ladder stands at its default. Raises KeyError if there is none of this id."""
        if mix_id not in self._made:
            mix = mixes()[mix_id]
            if mix.kind == "fixed":
                self._made[mix_id] = _composed(mix_id, mix.name, [(self._part(p.food), p.share) for p in mix.parts])
            else:
                return self.at(mix, mix.default)[0]
        return self._made[mix_id]

    @cached_property
    def _ladders(self) -> dict[str, Mix]:
        ladders = [mix for mix in mixes().values() if mix.kind != "fixed" and mix.mix_id in self]
        return {part.food: mix for mix in ladders for part in mix.parts} | {mix.mix_id: mix for mix in ladders}

    def ladder(self, food_id: str | None) -> Mix | None:
        """The ladder a food is a rung of."""
        return self._ladders.get(food_id or "")

    def at(self, mix: Mix, percent: float) -> tuple[Food, bool]:
        """The food of a ladder at a percentage: a rung, or a mix of two neighbours; and whether it lies on the ladder.

        Beyond the ends, the end rung is returned and False.
        """
        points = [part.point for part in mix.parts]
        if percent <= points[0] or percent >= points[-1]:
            end = mix.parts[0 if percent <= points[0] else -1]
            on = abs(percent - end.point) <= BEYOND or (mix.kind == "bands" and percent > points[-1])
            return self._part(end.food), on
        high = bisect_right(points, percent)
        low = high - 1
        if mix.kind == "bands" or percent - points[low] <= CLOSE:
            return self._part(mix.parts[low].food), True
        if points[high] - percent <= CLOSE:
            return self._part(mix.parts[high].food), True
        share = (percent - points[low]) / (points[high] - points[low])
        two = [(self._part(mix.parts[low].food), 1 - share), (self._part(mix.parts[high].food), share)]
        mix_id = f"{mix.mix_id}-{percent:g}"
        if mix_id not in self._made:
            self._made[mix_id] = _composed(mix_id, f"{mix.name}, {percent:g} % {mix.of}", two)
        return self._made[mix_id], True


def _composed(mix_id: str, name: str, parts: list[tuple[Food, float]]) -> Food:
    """A mix with what its parts had borrowed, its bounds those of its parts, or its own."""
    made = compose(mix_id, name, parts)
    borrowed = {tagname: lender for part, _ in parts for tagname, lender in part.borrowed.items()}
    bounds = {}
    for tagname in {t for part, _ in parts for t in part.bounds if t in made.values}:
        ends = [(share, part.bounds.get(tagname, (part.values[tagname],) * 2)) for part, share in parts]
        bounds[tagname] = (sum(share * low for share, (low, _) in ends), sum(share * high for share, (_, high) in ends))
    return replace(made, bounds=bounds | mix_bounds().get(mix_id, {}), borrowed=borrowed)


def composed_remark(food: Food, name: str) -> Remark:
    """What a composed food is made of, for the cook; name: of the line."""
    return Remark(Code.COMPOSED_FOOD, say("link.composed", food=brief(name), parts=_shares_said(food)))


@once
def _shares_said(food: Food) -> str:
    """The parts of a composed food with their shares, the largest first."""
    names = _short([part.name for part, _ in food.parts])
    shares = sorted(zip(names, (share for _, share in food.parts), strict=True), key=lambda one: -one[1])
    return "; ".join(f"{as_percent(share)} {brief(part, LONGEST_PART)}" for part, share in shares)


def _short(names: Sequence[str]) -> list[str]:
    """The beginnings of a table's names, which say the thing, as long as they need be to tell them apart."""
    pieces = [_pieces(name) for name in names]
    for length in range(1, max(map(len, pieces)) + 1):
        short = [", ".join(piece[:length]) for piece in pieces]
        if len(set(short)) == len(short):
            break
    return [name[:1].lower() + name[1:] for name in short]


def _pieces(name: str) -> list[str]:
    """A table's name without the class it begins with: "shrimp", "untreated" of "Crustaceans, shrimp, untreated"."""
    pieces = [piece.strip() for piece in name.split(",")]
    if len(pieces) > 1 and singular(pieces[0].lower()) in _classes():
        return pieces[1:]
    return [", ".join(pieces[:2]), *pieces[2:]]


@cache
def _classes() -> frozenset[str]:
    """First words of table names that a cook need not hear to know the thing."""
    return frozenset(row["word"] for row in rows("class_words.csv") if row["alone"] == "yes")


def ground_of(food_id: str) -> str:
    """Why a mix is as it is; "" for other foods."""
    mix = mixes().get(food_id)
    return mix.ground if mix else ""


@cache
def _said() -> dict[str, tuple[Remark, ...]]:
    """Food id -> what the cook has to know when a name is taken for that food."""
    found: dict[str, tuple[Remark, ...]] = {}
    for row in rows("link_remarks.csv"):
        found[row["food"]] = (
            *found.get(row["food"], ()),
            Remark(Code(row["code"]), say("link.stock-kind", stock=row["stock"], salt=row["salt"])),
        )
    return found


def remarks_on(food: Food, name: str) -> tuple[Remark, ...]:
    """What is to be said of a food that a name was linked to: its own remarks, else what it is mixed from."""
    own = _said().get(food.food_id)
    if own or not food.parts:
        return own or ()
    return (composed_remark(food, name),)
