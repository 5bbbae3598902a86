"""Which of the recipe's lines a step speaks of: by name, by class, by what is left of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from nutrilab.method import words as known
from nutrilab.method.values import Named
from nutrilab.method.words import role
from nutrilab.text import words

_STOP = role("no food follows")  # what follows is no food that is put in
_PARTS = {
    "half": 0.5, "third": 1 / 3, "quarter": 0.25, "most": 0.75, "some": 0.5, "rest": 0.5, "remaining": 0.5,
    "remainder": 0.5, "other": 0.5, "½": 0.5, "⅓": 1 / 3, "⅔": 2 / 3, "¼": 0.25, "¾": 0.75,
}  # fmt: skip
# [g] in a measure of what a line holds: 1 ml as 1 g, spoons of oil or butter (common practice, no source)
_GRAMS = {
    "tbsp": 14.0, "tablespoon": 14.0, "spoonful": 14.0, "tsp": 4.7, "teaspoon": 4.7, "splash": 10.0, "little": 10.0,
    "knob": 12.0, "drizzle": 10.0, "ladle": 100.0, "ladleful": 100.0, "g": 1.0, "gram": 1.0, "ml": 1.0,
    "handful": 30.0, "pinch": 1.0, "cup": 240.0,
}  # fmt: skip
_COUNTS = {"a": 1.0, "one": 1.0, "two": 2.0, "three": 3.0, "four": 4.0, "half": 0.5, "couple": 2.0, "few": 3.0}
_AFTER_THING = role("ends a name")
_KEPT = role("kept")
_ENDS_PART = role("ends a part")
MOST = 0.95  # share from which a part of a line is all but the whole of it
SPOONED = 0.1  # share of a line of no known weight that a spoon of it is (common practice, no source)
_PART_SPAN = 5  # words between "half" and the food it is half of


@dataclass(frozen=True, slots=True)
class Spoken:
    """What a step speaks of: lines in the order named, the share of those used in part, everything, labels."""

    foods: tuple[int, ...] = ()
    shares: tuple[tuple[int, float], ...] = ()
    all_foods: str = ""
    pronoun: bool = False
    labels: tuple[str, ...] = ()
    fat: bool = False
    rest: tuple[int, ...] = ()
    kept: tuple[int, ...] = ()


class Lines:
    """The lines of a recipe by the words that may name them."""

    def __init__(self, lines: Sequence[Named]) -> None:
        self.lines = tuple(lines)
        self.headings = {self._key(one.heading): one.heading for one in lines if one.heading}
        self._forms = frozenset(phrase[0] for phrase in known.names("form"))
        self._makes = frozenset(phrase[0] for phrase in known.names("made of it"))
        self._by_word: dict[str, list[tuple[int, int, tuple[str, ...]]]] = {}
        for one in lines:
            for name in one.names:
                for at, word in enumerate(name):
                    level = self._level(name, at)
                    if level:
                        self._by_word.setdefault(word, []).append((level, one.number, name))

    @staticmethod
    def _key(heading: str) -> tuple[str, ...]:
        return tuple(w for w in words(heading) if w not in ("for", "the", "to", "make", "serve", "a"))

    def _level(self, name: tuple[str, ...], at: int) -> int:
        """3: the head of a name; 2: the thing before a form of it ("chicken" of thighs); 1: any other word."""
        rest = name[at + 1 :]
        if not rest:
            return 3
        if name[-1] in self._makes and len(name) > 1:
            return 1
        return 2 if all(word in self._forms for word in rest) else 1

    def spoken(self, tokens: Sequence[str], used: frozenset[int] = frozenset(), label: str = "") -> Spoken:
        """What the words of a step speak of; used: lines that other steps spoke of already; label: what it makes."""
        said = self._heard(tokens)
        foods: dict[int, float] = {}
        told: dict[str, list[int]] = {"rest": [], "kept": [], "": []}
        labels: list[str] = []
        pronoun, fat, everything, at = False, False, "", 0
        while at < len(said):
            if length := self._everything(said, at):
                everything, step = length
            elif (heading := self._label(said, at)) is not None:
                labels.append(self.headings[heading])
                step = len(heading)
            else:
                found, step = self._food(said, at, used, label)
                share, how = self._share(said, at, found)
                for number in found:
                    foods.setdefault(number, share)
                    told[how].append(number)
                pronoun |= not found and ((said[at],) in known.names("pronoun") or self._points(said, at))
                fat |= said[at] in ("fat", "grease", "dripping") or (said[at] == "oil" and "excess" in said)
            at += step
        shares = tuple((number, share) for number, share in foods.items() if share != 1)
        rest, kept = tuple(told["rest"]), tuple(told["kept"])
        return Spoken(tuple(foods), shares, everything, pronoun, tuple(labels), fat, rest, kept)

    @staticmethod
    def _points(said: Sequence[str], at: int) -> bool:
        """Whether "that", "those" or "these" stands for food and not before it: "that goes in the oil"."""
        return said[at] in ("that", "those", "these") and (at + 1 == len(said) or said[at + 1] in _AFTER_THING)

    @staticmethod
    def _heard(tokens: Sequence[str]) -> tuple[str, ...]:
        end = next((n for n, word in enumerate(tokens) if word in _STOP), len(tokens))
        return tuple(tokens[:end])

    @staticmethod
    def _everything(said: Sequence[str], at: int) -> tuple[str, int] | None:
        for length in range(min(5, len(said) - at), 0, -1):
            key = tuple(w for w in said[at : at + length])
            if members := known.names("all").get(key):
                return next(iter(members)), length
        return None

    def _label(self, said: Sequence[str], at: int) -> tuple[str, ...] | None:
        return next((key for key in self.headings if key and tuple(said[at : at + len(key)]) == key), None)

    def _food(self, said: Sequence[str], at: int, used: frozenset[int], label: str) -> tuple[tuple[int, ...], int]:
        """The lines that the word here names, and how many words that took."""
        word = said[at]
        follows = said[at + 1] if at + 1 < len(said) else ""
        if follows in self._makes and any(follows == name[-1] and word in name for _, name in self._with(follows)):
            return (), 1  # "chicken stock" where the list has one: the stock is meant
        if follows in self._forms and any((word, follows) in pairwise(name) for _, name in self._with(word)):
            return (), 1  # "fish bones" where the list has them: no other fish is meant
        direct = self._direct(said, at)
        if direct:
            return self._settled(direct, used, label), 1
        if follows in self._makes:
            return (), 1
        for length in (2, 1):
            phrase = tuple(said[at : at + length])
            kinds, named = known.names("kinds").get(phrase), known.names("names").get(phrase)
            if kinds or named:
                found = [
                    one.number for one in self.lines if kinds and one.is_any(*kinds) and not self._media(one, kinds)
                ]
                found += [one.number for one in self.lines if named and any(named & set(name) for name in one.names)]
                if found:
                    return tuple(dict.fromkeys(found)), length
        return (), 1

    @staticmethod
    def _media(one: Named, kinds: frozenset[str]) -> bool:
        """Whether a line of such a kind is something made of it that nobody means by the class: stock is no meat."""
        made = one.is_any("stock", "oil") and not kinds & {"stock", "oil", "water"}
        herbs = known.names("names").get(("herb",), frozenset())
        herb = any(not herbs.isdisjoint(name) for name in one.names)
        return made or ("vegetable" in kinds and (herb or one.is_any("tomato-product")))

    def _with(self, word: str) -> list[tuple[int, tuple[str, ...]]]:
        return [(number, name) for _, number, name in self._by_word.get(word, ())]

    def _direct(self, said: Sequence[str], at: int) -> list[int]:
        """Lines that have this word as their own, the best by how many of their words stand just before it."""
        near = said[max(0, at - 3) : at + 1]
        scored: dict[int, tuple[int, int]] = {}
        for level, number, name in self._by_word.get(said[at], ()):
            overlap = sum(1 for word in name if word in near)
            if level == 1 and not (len(name) > 1 and overlap == len(name)):
                continue
            follows = said[at + 1] if at + 1 < len(said) else ""
            if level == 2 and follows in name and follows != said[at]:
                continue  # the form itself comes next, and names it better
            score = (overlap, level)
            scored[number] = max(scored.get(number, (0, 0)), score)
        best = max(scored.values(), default=(0, 0))
        return [number for number, score in scored.items() if score == best]

    def _settled(self, found: list[int], used: frozenset[int], label: str) -> tuple[int, ...]:
        """Of several lines with one name those that no step has used, and of these those of the part at hand."""
        fresh = [number for number in found if number not in used] or found
        of = {number: self._key(self.lines[number].heading) for number in fresh}
        said = set(words(label))
        mine = [number for number in fresh if said & {*of[number]}] if said else []
        return tuple(mine or [number for number in fresh if of[number] == of[fresh[0]]])

    def _share(self, said: Sequence[str], at: int, found: Sequence[int]) -> tuple[float, str]:
        """Of the food at a place the share that is used [0 to 1] and how it is said: "rest", "kept", else "".

        "half the butter", "2 tbsp of the oil", "100 ml of the stock", "the remaining cheese", "the reserved juice".
        """
        for back in range(at - 1, max(-1, at - _PART_SPAN - 1), -1):
            word, before = said[back], said[back - 1] if back else ""
            if word in _ENDS_PART:
                return 1.0, ""
            if word in _KEPT:
                return 0.5, "kept"
            if word in _GRAMS and said[back + 1 : back + 2] == ("of",) and "the" in said[back:at]:
                return self._weighed(before, word, found), ""
            if word in _PARTS and "by" not in said[max(0, back - 2) : back] and _whole_after(said, back, at):
                times = {"two": 2.0, "2": 2.0, "three": 3.0, "3": 3.0}.get(before, 1.0)
                rest = word in ("rest", "remaining", "remainder", "other")
                share = _PARTS[word] * (times if word in ("third", "quarter") else 1.0)
                return min(share, MOST), "rest" if rest else ""
        return 1.0, ""

    def _weighed(self, number: str, unit: str, found: Sequence[int]) -> float:
        """The share that a spoon, a ladle or some grams of a line are."""
        there = sum(self.lines[n].grams for n in found)
        count = _COUNTS.get(number, 1.0)
        if number.replace(".", "", 1).isdigit():
            count = float(number)
        return min(MOST, count * _GRAMS[unit] / there) if there > 0 else SPOONED


def _whole_after(said: Sequence[str], back: int, at: int) -> bool:
    """Whether "half" is of what is named: "half the butter", "half of the", not "half full of oil"."""
    between = said[back + 1 : at]
    if not between:
        return said[back] not in ("some", "quarter") or back == 0
    return "full" not in between and "fill" not in between and (said[back] != "some" or between[0] == "of")
