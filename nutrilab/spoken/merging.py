"""From mentions to the lines of a recipe: repeats are one line, what is corrected counts, nothing is invented."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from nutrilab.spoken import talk
from nutrilab.spoken.listening import Amount, Food, Mention, Sentence, clean, figure

WRITTEN = ("g", "kg", "ml")  # units that a cook writes short and speaks long ("mils", "kilo")
SHORT = 3  # words of a sentence that only takes back
NEAR = 3  # sentences after which another amount of a food is another helping, not a correction


@dataclass(slots=True)
class Entry:
    """A line in the making; said: sentences in which it is spoken of; instead: amounts that were corrected;
    acted: something is done with it; spoken: the sentence its amount stands in; times: when it is spoken of [s].
    """

    food: Food
    amount: Amount | None
    sentence: int
    said: list[int] = field(default_factory=list)
    instead: list[str] = field(default_factory=list)
    drained: bool = False
    acted: bool = False
    spoken: int = 0
    times: list[float] = field(default_factory=list)

    @property
    def text(self) -> str:
        """The line as a cook would write it."""
        name = clean(self.food.said)
        tail = ", drained" if self.drained and self.amount and self.amount.kind == "container" else ""
        if self.amount is None:
            return name
        if self.food.part:
            return f"{self.food.part} of {shown(self.amount)} {name}"
        if self.amount.words == "to taste":
            return f"{name} to taste"
        each = f" ({self.amount.each} each)" if self.amount.each else ""
        return f"{shown(self.amount)} {name}{each}{tail}".strip()


def shown(amount: Amount) -> str:
    """An amount in figures: "2 x 400 gram tins", "3 large", "1.5 litres"."""
    if amount.words or amount.number is None:
        return amount.words
    number = figure(amount.number) + (f"-{figure(amount.most)}" if amount.most else "")
    pack = f" x {amount.pack}" if amount.pack else ""
    unit = amount.unit if amount.unit in WRITTEN else amount.spoken_unit
    return " ".join([number + pack, *amount.sizes, *([unit] if unit else [])])


def related(one: Food, other: Food) -> bool:
    """Whether two names may be one food: "oats" and "porridge oats"."""
    a, b = set(one.key), set(other.key)
    return one.key[-1:] == other.key[-1:] and (a <= b or b <= a)


class Merger:
    """The lines heard so far."""

    def __init__(self, said: Sequence[Sentence]) -> None:
        self.said = said
        self.entries: list[Entry] = []
        self.last: Entry | None = None
        self.last_at = (-9, 0)  # sentence, token where it ended

    def hear(self, mention: Mention) -> None:
        """Take a mention that nothing speaks against."""
        if mention.food is None:
            self._loose(mention)
            return
        entry = self._entry(mention, mention.food)
        self.last, self.last_at = entry, (mention.sentence, mention.end)

    def _entry(self, mention: Mention, food: Food) -> Entry:
        known = [e for e in self.entries if related(e.food, food)]
        entry = known[-1] if known else None
        if entry is None:
            return self._new(mention, food)
        if mention.amount is None or (mention.amount.number is None and not mention.amount.words and entry.amount):
            same = entry
        elif mention.another and entry.amount is not None:
            return self._new(mention, food)
        else:
            same = next((e for e in known if e.amount is not None and _same(e.amount, mention.amount)), entry)
            if same.amount is None or _same(same.amount, mention.amount) or self._corrects(mention, same):
                self._set(same, mention.amount, mention.sentence)
            else:
                return self._new(mention, food)
        self._again(same, mention, food)
        return same

    def _corrects(self, mention: Mention, entry: Entry) -> bool:
        between = self.said[max(entry.said) + 1 : mention.sentence]
        sorry = any(len(one.tokens) <= SHORT and talk.says(one.tokens, "correct") for one in between)  # "Sorry. Five."
        near = mention.sentence - max(entry.said) <= NEAR
        return near or ((mention.corrects or sorry) and self.last is entry)

    def _again(self, entry: Entry, mention: Mention, food: Food) -> None:
        if len(food.key) > len(entry.food.key) or (len(food.said) > len(entry.food.said) and not food.pointed):
            entry.food = replace(food, part=food.part or entry.food.part)
        elif food.part:
            entry.food = replace(entry.food, part=food.part)
        entry.said.append(mention.sentence)
        entry.times.append(self._when(mention))
        entry.drained |= mention.drained
        entry.acted |= mention.acts

    def _new(self, mention: Mention, food: Food) -> Entry:
        amount = mention.amount
        if amount is not None and amount.number is None and not amount.words:
            amount = None
        at = mention.sentence
        entry = Entry(
            food, amount, at, [at], drained=mention.drained, acted=mention.acts or mention.amount is not None, spoken=at
        )
        entry.times.append(self._when(mention))
        self.entries.append(entry)
        return entry

    def _when(self, mention: Mention) -> float:
        return self.said[mention.sentence].when(mention.place)

    def _set(self, entry: Entry, amount: Amount, sentence: int) -> None:
        """The amount counts now; a weight of a pack or a piece belongs to it."""
        before = entry.amount
        if before is None or not _same(before, amount):
            entry.spoken = sentence
        if before is None or _same(before, amount):
            entry.amount = amount if before is None or len(amount.sizes) >= len(before.sizes) else before
            if before is not None and before.pack and not amount.pack:
                entry.amount = replace(entry.amount or amount, pack=before.pack)
            return
        entry.instead.append(f"{shown(before)} {clean(entry.food.said)}".strip())
        entry.amount = amount

    def _loose(self, mention: Mention) -> None:
        """An amount without a food is of the food last named, where words say that it is given or corrected."""
        amount, entry = mention.amount, self.last
        if amount is None or entry is None or mention.sentence - self.last_at[0] > NEAR:
            return
        close = mention.sentence == self.last_at[0] and mention.place - self.last_at[1] <= 3
        if not (mention.pronoun or mention.gives or mention.corrects or close):
            return
        if amount.number is None:
            return
        before = entry.amount
        if before is not None and self.last_at[0] - entry.spoken > NEAR and amount.measured and not mention.corrects:
            self.last = self._new(mention, entry.food)  # "caster sugar, and it's seventy-five grams of that": once more
            return
        if not amount.unit and not amount.pack:
            if before is None or before.kind not in ("mass", "volume") or amount.number < 10 or not mention.corrects:
                return
            amount = replace(amount, unit=before.unit, spoken_unit=before.spoken_unit)
        after = [t.word for t in self.said[mention.sentence].tokens[mention.end : mention.end + 2]]
        if before is not None and before.kind == "container" and amount.kind in ("mass", "volume"):
            entry.amount = replace(before, pack=shown(amount))
        elif before is not None and "each" in after and amount.kind in ("mass", "volume"):
            entry.amount = replace(before, each=shown(amount))
        elif amount.measured or amount.kind == "vague" or before is None:
            self._set(entry, amount, mention.sentence)
        else:
            return
        entry.said.append(mention.sentence)
        entry.times.append(self._when(mention))
        entry.drained |= mention.drained
        self.last_at = (mention.sentence, mention.end)


def _same(one: Amount, other: Amount) -> bool:
    return (one.number, one.unit, one.words) == (other.number, other.unit, other.words)
