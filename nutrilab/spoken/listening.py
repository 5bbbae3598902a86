"""From what is said to the amounts and foods in it, each with its place; nothing is decided here."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from nutrilab.datafiles import rows
from nutrilab.method.words import verb_at
from nutrilab.spoken import talk
from nutrilab.spoken.captions import PAUSE, Cue
from nutrilab.spoken.numbers import AND_A_PART, SIGNS, Token, tokens
from nutrilab.text import words

LONGEST = 60  # words of a sentence without a full stop
FULL_STOPS = 1 / 60  # full stops a word from which on speech is written with them
_ENDS = (".", "?", "!")
_OPENERS = frozenset(("okay", "ok", "right", "now"))
_UNITS = {row["word"]: row["unit"] for row in rows("units.csv") if row["kind"] != "length" and len(row["word"]) > 1}
_UNITS |= {"g": "g", "l": "l"}
_KIND = {row["unit"]: row["kind"] for row in rows("units.csv")}
_LONG = 4  # letters of a word that may be a food nobody knows
_MEASURED = ("mass", "volume", "spoon")
_SIZES = frozenset(
    "big large small medium good generous heaped heaping level rounded scant fat thick huge nice decent tiny".split()
)
_POINTERS = frozenset("the your my our this that these those all some of more about just any".split())
_THINGS = ("spoon", "cup", "glass", "mug", "shot", "measure", "scoop")
_LOOSE_VAGUE = ("lots", "loads", "plenty", "bit", "little")
SEASONING = "to taste"


@dataclass(frozen=True, slots=True)
class Sentence:
    """What is said between two full stops or pauses, and when [s]; times: of each of its words."""

    time: float
    text: str
    tokens: tuple[Token, ...]
    times: tuple[float, ...] = ()

    def when(self, place: int) -> float:
        """When the token at a place is said, by its caption [s]."""
        word = self.text.count(" ", 0, self.tokens[place].start) if place < len(self.tokens) else 0
        return self.times[word] if word < len(self.times) else self.time

    @property
    def asks(self) -> bool:
        return self.text.rstrip().endswith("?")


@dataclass(frozen=True, slots=True)
class Amount:
    """An amount as said: number (and upper end), sizes, unit as said and as the lists have it; each: of every piece.

    number None: an amount without a number ("a few", "to taste"), in ``words``.
    """

    number: float | None
    unit: str = ""
    spoken_unit: str = ""
    sizes: tuple[str, ...] = ()
    most: float | None = None
    words: str = ""
    pack: str = ""
    each: str = ""

    @property
    def kind(self) -> str:
        """mass, volume, spoon, container, piece, vague; "" for a count."""
        return _KIND.get(self.unit, "")

    @property
    def measured(self) -> bool:
        return self.kind in _MEASURED


@dataclass(frozen=True, slots=True)
class Food:
    """A food as named: its words in the singular and as said; pointed: by "the", "your"; juice: its juice."""

    key: tuple[str, ...]
    said: str
    pointed: bool = False
    part: str = ""


@dataclass(frozen=True, slots=True)
class Mention:
    """An amount, a food or both, at a place [token] of a sentence; against: why it is not put in, "" for nothing.

    acts: something is done in its clause, or the cook has it there.
    """

    sentence: int
    place: int
    end: int
    amount: Amount | None
    food: Food | None
    against: str
    another: bool = False
    corrects: bool = False
    gives: bool = False
    drained: bool = False
    pronoun: bool = False
    acts: bool = False


def sentences(cues: Sequence[Cue]) -> tuple[Sentence, ...]:
    """What is said, sentence by sentence: by full stops, or by pauses where there are none."""
    heard = [(word, cue.start, n == 0) for cue in cues for n, word in enumerate(cue.text.split())]
    stops = sum(word.endswith(_ENDS) for word, _, _ in heard)
    pauses = {b.start for a, b in itertools.pairwise(cues) if b.start - a.end >= PAUSE}
    stopped = stops >= FULL_STOPS * len(heard)
    found: list[Sentence] = []
    now: list[tuple[str, float]] = []
    for word, time, first in heard:
        pause = not stopped and first and time in pauses
        if now and (pause or len(now) >= LONGEST or (not stopped and word.lower() in _OPENERS and len(now) > 3)):
            found.append(_sentence(now))
            now = []
        now.append((word, time))
        if word.endswith(_ENDS) and not word.endswith("...") and stopped:
            found.append(_sentence(now))
            now = []
    return tuple([*found, _sentence(now)] if now else found)


def _sentence(heard: Sequence[tuple[str, float]]) -> Sentence:
    text = " ".join(word for word, _ in heard)
    meant = talk.heard()
    said = tuple(replace(t, word=meant[t.word], said=meant[t.word]) if t.word in meant else t for t in tokens(text))
    return Sentence(heard[0][1], text, said, tuple(time for _, time in heard))


def mentions(said: Sequence[Sentence]) -> Iterator[Mention]:
    """Every amount and food, in order."""
    for number, sentence in enumerate(said):
        yield from _of_sentence(number, sentence)


def _of_sentence(number: int, sentence: Sentence) -> Iterator[Mention]:
    all_tokens = sentence.tokens
    for start, end in talk.clauses(all_tokens):
        at = start
        while at < end:
            found = _mention(all_tokens, at, end)
            if found is None:
                at += 1
                continue
            amount, food, stop, pronoun = found
            before = all_tokens[start:at]
            against = "question" if sentence.asks else talk.why_not(all_tokens, start, end, at)
            against = against or ("dish" if _names_dish(amount, food, all_tokens, stop, end) else "")
            against = against or ("unknown" if food is not None and not food.key else "")
            acts = talk.says(all_tokens[start:end], "cooking") or has_verb(all_tokens[start:end])
            yield Mention(
                number, at, stop, amount, food, against,
                another=talk.says(all_tokens[max(start, at - 2) : at + 1], "another"),
                corrects=talk.says(all_tokens[max(0, at - 8) : at], "correct")
                or talk.says(all_tokens[stop : stop + 2], "correct"),
                gives=talk.says(before[-6:], "gives") or talk.says(all_tokens[stop : stop + 3], "gives"),
                drained=any(t.word in ("drained", "drain") for t in all_tokens[at : at + 14]),
                pronoun=pronoun, acts=acts,
            )  # fmt: skip
            at = stop


def _mention(said: Sequence[Token], at: int, end: int) -> tuple[Amount | None, Food | None, int, bool] | None:
    """What begins at a place: an amount with or without its food, or a food alone; and whether a pronoun stands for
    the food.
    """
    if part := _part_of(said, at, end):
        return part
    amount, stop, of = _amount(said, at, end)
    if amount is None:
        food, stop = _food(said, at, end)
        if food is None:
            return None
        if food.part:  # "the juice of two lemons"
            counted = next((t.number for t in said[at:stop] if t.number is not None), None)
            return Amount(counted or 1.0), food, stop, False
        after = tuple(t.word for t in said[stop : stop + 2])
        return (Amount(None, words=SEASONING) if after == ("to", "taste") else None), food, stop, False
    food, stop_food = _food(said, stop, end, pointed=of)
    if food is not None and (of or not food.pointed or not amount.unit):
        return amount, food, stop_food, False
    if of and amount.number and stop < end and said[stop].word in talk.meaning("with an amount"):
        return amount, Food(words(said[stop].word), said[stop].word), stop + 1, False
    pronoun = of and bool(talk.at(said, stop, "pronoun"))
    if of and not pronoun and amount.measured:  # of something nobody knows, not of what was named before
        strange = stop < end and said[stop].word.isalpha() and len(said[stop].word) >= _LONG
        return (amount, Food((), said[stop].said), stop + 1, False) if strange else None
    thing = amount.spoken_unit in _THINGS or not (amount.measured or amount.kind == "vague")
    if amount.number == 1 and said[at].word in ("a", "an") and thing:
        return None  # "a spoon", "a tin": a thing of the kitchen
    return amount, None, stop, pronoun


def _part_of(said: Sequence[Token], at: int, end: int) -> tuple[Amount, Food, int, bool] | None:
    """ "The juice of two limes": of how many things their juice is taken."""
    at += said[at].word == "the"
    words_ = [token.word for token in said[at : min(at + 2, end)]]
    number = said[at + 2].number if at + 2 < end else None
    if words_ not in (["juice", "of"], ["zest", "of"]) or number is None:
        return None
    food, stop = _food(said, at + 3, end)
    return (Amount(number), replace(food, part=words_[0]), stop, False) if food is not None else None


def _amount(said: Sequence[Token], at: int, end: int) -> tuple[Amount | None, int, bool]:
    """The amount that begins here, where it ends, and whether "of" closes it."""
    token = said[at]
    if token.word in _LOOSE_VAGUE and said[at + 1 : at + 2] and said[at + 1].word == "of":
        return Amount(None, words=""), at + 2, True
    few = token.word == "few"
    one = 1.0 if few or token.word in ("a", "an", "one", "another") else None
    number = one if token.number is None else token.number
    if number is None:
        return None, at, False
    now, most = at + 1, None
    if token.word in ("a",) and said[now : now + 1] and said[now].word == "few":
        few, now = True, now + 1
    upper = said[now + 1].number if now + 1 < min(end, len(said)) and said[now].word in ("or", "to") else None
    if upper and number < upper <= 4 * number and not token.share:
        most, now = upper, now + 2
    pack, now = _pack(said, now, end)
    sizes: list[str] = []
    while now < end and (said[now].word in _SIZES or said[now].word in talk.meaning("filler")):
        sizes += [said[now].word] if said[now].word in _SIZES else []
        now += 1
    spoken, length = _unit(said, now, end)
    if now < end and said[now].word in talk.no_amount() and not spoken:
        return None, at, False
    now += length
    for more, value in AND_A_PART.items():
        if spoken and tuple(t.said.lower() for t in said[now : now + len(more)]) == more and number == int(number):
            number, now = number + value, now + len(more)
            break
    if spoken and said[now : now + 2] and said[now].word == "and" and now + 1 < end and said[now + 1].share:
        number, now = number + (said[now + 1].number or 0), now + 2
    of = now < end and said[now].word == "of"
    if of and not spoken and not few and number == 1 and token.number is None:
        return Amount(None), now + 1, True  # "a bit of", "one of"
    words_ = f"a few {spoken}".strip() if few else ""
    amount = Amount(number, _UNITS.get(spoken, ""), spoken, tuple(sizes), most, words_, pack)
    return amount, now + of, of


def _pack(said: Sequence[Token], at: int, end: int) -> tuple[str, int]:
    """The size of a pack before its name: "two 400 gram tins"."""
    if at + 2 >= end or said[at].number is None:
        return "", at
    unit, length = _unit(said, at + 1, end)
    container, _ = _unit(said, at + 1 + length, end)
    if _KIND.get(_UNITS.get(unit, "")) in ("mass", "volume") and _KIND.get(_UNITS.get(container, "")) == "container":
        return f"{figure(said[at].number or 0)} {_UNITS[unit]}", at + 1 + length
    return "", at


def _unit(said: Sequence[Token], at: int, end: int) -> tuple[str, int]:
    for length in (2, 1):
        spoken = " ".join(t.word for t in said[at : min(at + length, end)])
        if spoken in _UNITS and at + length <= end:
            return spoken, length
    return "", 0


def _food(said: Sequence[Token], at: int, end: int, pointed: bool = True) -> tuple[Food | None, int]:
    """The food named at a place, with the words before it that belong to its name."""
    now, points, part = at, False, ""
    while now < end and said[now].word in (*_POINTERS, "a", "an") and now - at < 4:
        points |= said[now].word not in ("some", "of", "more", "about", "just", "a", "an", "any")
        now += 1
    if now + 1 < end and said[now].word in ("juice", "zest") and said[now + 1].word == "of":
        part, now = said[now].word, now + 2
        while now < end and (said[now].word in ("a", "an", "the") or said[now].number is not None):
            now += 1
    begin = now
    while now < end and now - begin < 4:
        if said[now].word in SIGNS or said[now].number is not None:
            return None, at
        if (length := _named(said, now, end)) and not (now == begin == at and length == 1 and _is_verb(said[now])):
            stop = now + length
            shown = [t for t in said[begin:stop] if t.word not in talk.meaning("filler")]
            return Food(
                words(" ".join(t.said for t in said[now:stop])), " ".join(t.said for t in shown), points, part
            ), stop
        if said[now].word not in talk.describing() and said[now].word not in talk.meaning("filler"):
            return None, at
        now += 1
    return None, at


def _is_verb(token: Token) -> bool:
    """Whether a word alone is what is done, though a list has a food of that name: "brown", "mash"."""
    found = verb_at(words(token.word), 0)
    return found is not None and found[0].noun != "food"


def _named(said: Sequence[Token], at: int, end: int) -> int:
    """How many words the longest name of a food takes here; "self-raising flour" is three in the lists."""
    run: list[str] = []
    ends: dict[int, int] = {}  # words of a list -> tokens
    for count, token in enumerate(said[at : min(at + 6, end)], 1):
        one = words(token.word) if token.number is None and token.word not in SIGNS else ()
        if not one:
            break
        run += one
        ends[len(run)] = count
    if not run:
        return 0
    found = [match.end for match in talk.food_names().at(run, 0) if match.end in ends]
    return ends[found[-1]] if found else 0


def _names_dish(amount: Amount | None, food: Food | None, said: Sequence[Token], at: int, end: int) -> bool:
    """Whether the food before a place only names a dish: "a lamb and barley pot"; what has an amount is put in."""
    if food is None or (amount is not None and (amount.number != 1 or amount.unit)):
        return False
    for token in said[max(0, at - 1) : min(at + 3, end)]:
        if token.word in talk.meaning("dish"):
            return True
        if token.word != "and" and not _named((token,), 0, 1):
            return False
    return False


def has_verb(said: Sequence[Token]) -> bool:
    """Whether something of the kitchen is done."""
    run = [word for token in said for word in words(token.word)]
    return any(verb_at(run, n) is not None for n in range(len(run)))


def figure(value: float) -> str:
    """A number as a cook writes it."""
    for part, sign in ((1 / 3, "1/3"), (2 / 3, "2/3")):
        if abs(value - part) < 1e-9:
            return sign
    return f"{value:.10g}"


def clean(text: str) -> str:
    """A name in small letters, without what hangs on it."""
    return " ".join(word.removesuffix("'s").removesuffix("’s") for word in text.lower().split())
