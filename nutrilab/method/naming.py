"""Which of the recipe's lines a step speaks of: by name, by class, by what is left of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from nutrilab.method import words as known
from nutrilab.method.values import Named
from nutrilab.text import words

_STOP = frozenset(("until", "till", "like", "unless", "if"))  # what follows is no food that is put in
_PARTS = {"half": 0.5, "third": 1 / 3, "quarter": 0.25, "most": 0.75, "some": 0.5, "rest": 0.5, "remaining": 0.5}
_SPOONS = frozenset(
    ("tbsp", "tablespoon", "tsp", "teaspoon", "splash", "little", "knob", "spoonful", "ladleful", "ladle")
)
SPOONED = (
    0.1  # share of a line that a spoon of it is, where only that it is a part matters (common practice, no source)
)
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
                share = self._share(said, at)
                for number in found:
                    foods.setdefault(number, share)
                pronoun |= not found and (said[at],) in known.names("pronoun")
                fat |= said[at] in ("fat", "grease", "dripping") or (said[at] == "oil" and "excess" in said)
            at += step
        shares = tuple((number, share) for number, share in foods.items() if share != 1)
        return Spoken(tuple(foods), shares, everything, pronoun, tuple(labels), fat)

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

    @staticmethod
    def _share(said: Sequence[str], at: int) -> float:
        """Of the food at a place, the share that is used: "half the butter", "the remaining stock"."""
        for back in range(at - 1, max(-1, at - _PART_SPAN - 1), -1):
            if said[back] in (",", ";", "with", "in", "and", "to"):
                return 1.0
            if said[back] in _SPOONS and said[at - 1] in ("the", "of"):
                return SPOONED  # "1 tbsp of the oil"
            if said[back] in _PARTS and "by" not in said[max(0, back - 2) : back]:
                return _PARTS[said[back]]
        return 1.0
