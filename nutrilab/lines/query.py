"""What a cook wrote about one food, read into one value: words, states, percentages.

The words that say a state ("tinned", "skinless") and those that change nothing stand in ``data/words.csv``, how
states exclude each other in ``data/attribute_kinds.csv``, words that turn a name into another food in
``data/guards.csv``.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from functools import cache, lru_cache
from typing import Literal, NamedTuple

from nutrilab.datafiles import rows
from nutrilab.lexicon import filler, forms, stating
from nutrilab.lexicon.describing import Stating
from nutrilab.lexicon.matching import Matcher, matcher
from nutrilab.lexicon.spelling import as_meant
from nutrilab.lexicon.sureness import Sureness
from nutrilab.lines.percents import FAT, lessened, percents
from nutrilab.text import fold, singular, words, words_once
from nutrilab.wording import wording

Layer = Literal["name", "preparation", "line", "aside", "table"]

LONGEST_NAME = 400  # characters read of a name or a preparation; no food needs more
LONGEST_LINE = 1000
COUNTED, PACKED = "counted", "by-pack"
_READ = {  # kind of phrase -> where it counts
    "same": ("name", "preparation", "table"),
    "line": ("name", "preparation", "line", "table"),
    "name": ("name", "table"),
    "verb": ("name", "table"),
    "aside": ("aside",),
    "table": ("table",),
    "behind": ("preparation", "table"),
}
_PLUS = re.compile(r"\b(?:plus|reserve[ds]? the|to serve with)\b|\+")
_NEXT_FOOD = re.compile(r"(?:[,;:+&]| and | or | plus ) ?(?=[0-9¼½¾⅓⅔])")
_NUMBER = re.compile(r"[0-9]+")
_LAST_WORD = re.compile(r"[a-z]+(?=[^a-z]*$)")
_NUMBER_FIRST = re.compile(r"[0-9¼½¾⅓⅔][0-9¼½¾⅓⅔ ./–-]*(?![0-9a-z])")
_PREPOSITIONS = frozenset("in with from on without for to into such like including e.g eg ie".split())


@dataclass(frozen=True, slots=True)
class Kind:
    """One state: what it excludes, its rank in the file, the best sureness when nothing meets it."""

    against: frozenset[str]
    rank: int
    unmet: Sureness


@dataclass(frozen=True, slots=True)
class Query:
    """One food as a cook wrote it.

    name: as given. tokens: its singular words, phrases that say a state replaced by the state
    ("low-fat"). attributes: states that hold, the nearest to the name winning. named: those the name
    itself says. prepared: those only the preparation or the line says. hinted: those only guessed from a
    measure ("a sprig" is fresh). percents: (what, value), as
    `nutrilab.lines.percents` has them. less: what it holds less of than the ordinary food. head: the word that says
    what the thing is.
    brands: words of the line that are a maker's name, and no slip of the pen. written: name, preparation and line as
    they were, for reading them once more in another order.
    """

    name: str
    tokens: tuple[str, ...]
    attributes: frozenset[str]
    named: frozenset[str]
    prepared: frozenset[str]
    hinted: frozenset[str]
    percents: tuple[tuple[str, float], ...]
    head: str
    brands: frozenset[str] = frozenset()
    less: frozenset[str] = frozenset()
    written: tuple[str, str | None, str] = field(default=("", None, ""), compare=False, repr=False)

    @property
    def kind(self) -> str:
        """What stands right behind the name: "desiccated" of "coconut, desiccated, toasted"."""
        return _behind(self.written[1] or "")[0].strip()

    def inverted(self) -> Query | None:
        """The same with the kind before the name ("desiccated coconut"); None where that says no more."""
        name, preparation, line = self.written
        kind, rest = _behind(preparation or "")
        query = read(f"{kind} {name}", rest, line)
        more = len(query.tokens) > len(read(name, rest, line).tokens)
        return replace(query, name=name, written=self.written) if more else None

    def of_leaves(self) -> Query | None:
        """The same with the leaves in its name that the line counts of it ("2 tomato leaves"); None without such.

        That leaves are fresh need not be guessed then.
        """
        name, preparation, line = self.written
        said = fold(line)
        if "lea" not in said or not name or not re.search(rf"{re.escape(fold(name))} lea(?:f|ves)\b", said):
            return None
        found = read(f"{name} leaf", preparation, line)
        attributes, hinted = found.attributes - found.hinted, frozenset[str]()
        return replace(found, name=name, attributes=attributes, hinted=hinted, written=self.written)


def _behind(preparation: str) -> tuple[str, str]:
    """The first stretch of a preparation, and the rest."""
    kind, _, rest = preparation.replace(";", ",").partition(",")
    return kind, rest


@cache
def kinds() -> dict[str, Kind]:
    """The states by name."""
    return {
        row["attribute"]: Kind(frozenset(row["against"].split()), rank, Sureness(row["unmet"]))
        for rank, row in enumerate(rows("attribute_kinds.csv"))
    }


@cache
def _phrases() -> Matcher[Stating]:
    """Phrases that say a state. Raises ValueError for an unknown one."""
    for phrase in stating():
        if phrase.state and phrase.state not in kinds():
            raise ValueError(f"words.csv: {phrase.state} has no row in attribute_kinds.csv")
    return matcher((phrase.words, phrase) for phrase in stating())


def _stating_at(tokens: tuple[str, ...], i: int) -> Iterator[Stating]:
    """The phrases that say a state from here on, the longest first."""
    for match in reversed(_phrases().at(tokens, i)):
        yield from match.values


@cache
def stating_words() -> frozenset[str]:
    """Words that say a state in a name, alone or with others."""
    return frozenset(
        word for p in stating() if p.read in ("same", "line", "name", "verb") for word in p.words
    ) | frozenset(kinds())


@cache
def _aside_starts() -> frozenset[str]:
    """First words of the phrases that count beside a name only."""
    return frozenset(phrase.words[0] for phrase in stating() if phrase.read == "aside")


def scan(tokens: tuple[str, ...], layer: Layer) -> tuple[tuple[str, ...], tuple[str, ...], tuple[str, ...]]:
    """States said by some words: (words with states put in their place, states, weak hints).

    Cooking verbs ("grilled") and hints stay words: they say more than their state.
    """
    phrases = _phrases()
    kept: list[str] = []
    said: list[str] = []
    hints: list[str] = []
    i = 0
    while i < len(tokens):
        step = 1
        for phrase in _stating_at(tokens, i) if tokens[i] in phrases else ():
            if phrase.read == "hint":
                hints.append(phrase.state)
            elif phrase.read not in ("none", "drop") and layer not in _READ[phrase.read]:
                continue
            elif phrase.state:
                said.append(phrase.state)
                if phrase.read != "verb":
                    kept.append(phrase.state)
                    i += len(phrase.words)
                    step = 0
                    break
            elif phrase.read == "drop":
                i += len(phrase.words)
                step = 0
                break
            step = len(phrase.words)
            break
        kept.extend(tokens[i : i + step])
        i += step
    return tuple(kept), tuple(said), tuple(hints)


@lru_cache(maxsize=32768)
def canonical(text: str) -> tuple[str, ...]:
    """The words of a food's name with states put in their place ("canned tuna" -> tinned, tuna)."""
    return scan(words(text), "name")[0]


@lru_cache(maxsize=32768)
def table_words(name: str) -> tuple[str, ...]:
    """The words of a table's own name with states put in their place ("Pasta, dry" -> pasta, dried)."""
    return scan(words(name), "table")[0]


def unmeaning(tokens: tuple[str, ...], i: int) -> int:
    """Length of the phrase that starts here and says nothing about the food ("in its juice"), 0 if none."""
    if tokens[i] not in _phrases():
        return 0
    return next((len(p.words) for p in _stating_at(tokens, i) if p.read == "none"), 0)


def implied_at(tokens: tuple[str, ...], i: int) -> tuple[int, str]:
    """Length and state of the words that start here and imply a state ("grilled": cooked); (0, "") if none do."""
    if tokens[i] not in _phrases():
        return 0, ""
    return next(((len(p.words), p.state) for p in _stating_at(tokens, i) if p.read == "verb"), (0, ""))


def _settle(layers: tuple[tuple[str, ...], ...]) -> frozenset[str]:
    """States of several layers in one set: a nearer layer wins over those it excludes."""
    known = kinds()
    held: set[str] = set()
    for layer in layers:
        for state in sorted(layer, key=lambda s: known[s].rank) if len(layer) > 1 else layer:
            if not held & known[state].against:
                held.add(state)
    return frozenset(held)


def _share_of_line(context: str, first_word: str) -> str:
    """The part of a line that speaks of this food: a part with an amount of its own is another food."""
    parts = _NEXT_FOOD.split(context)
    if len(parts) > 1 and first_word:
        return " . ".join(part for part in parts if first_word in part) or context
    return context


def head_of(tokens: tuple[str, ...]) -> str:
    """The last word before a preposition that is no shape and no state: what the thing is."""
    end = next((i for i, t in enumerate(tokens) if i and t in _PREPOSITIONS), len(tokens))
    states = kinds()
    anywhere = filler()["any"]
    for token in reversed(tokens[:end]):
        if token not in states and (token,) not in anywhere:
            return token
    return next((t for t in reversed(tokens[:end]) if t not in states), tokens[end - 1] if tokens else "")


@cache
def idle_words() -> frozenset[str]:
    """Single words that tell nothing in a word list: shapes and qualities."""
    return frozenset(phrase[0] for phrase in filler()["any"] | filler()["front"] if len(phrase) == 1)


@lru_cache(maxsize=16384)
def is_filler(word: str) -> bool:
    """Whether a word alone changes nothing, somewhere in a name."""
    return any((word,) in some for some in filler().values())


@cache
def cuts() -> frozenset[str]:
    """Words for a shape that food is cut to in the kitchen; not "flaked", "ground", which is how it is bought."""
    return frozenset(singular(word) for word, said in forms().items() if said.form in ("cut", "halves")) | {"sliced"}


@cache
def guards() -> frozenset[tuple[str, ...]]:
    """Words that turn a name into another food."""
    return frozenset(words(row["words"]) for row in rows("guards.csv"))


@lru_cache(maxsize=2048)
def read(name: str, preparation: str | None = None, context: str = "") -> Query:
    """Read what was written about one food. Never raises.

    A name that is but a state ("frozen", with the preparation "cooked peeled prawns") goes on in the preparation.
    """
    line = _NUMBER.sub("1", context[:LONGEST_LINE])
    called, told = name.strip(), preparation or ""
    if preparation and not _named(name[:LONGEST_NAME]) and _named(preparation[:LONGEST_NAME]):
        own, told = _own(f"{called} {preparation}"), ""
    else:
        own = _own(called)
    attributes, stated = _states(own, told, line)
    written = f"{name[:LONGEST_NAME]} {(preparation or '')[:LONGEST_NAME]} {context[:LONGEST_LINE]}".lower()
    return Query(
        called,
        own.tokens,
        attributes,
        own.named,
        attributes - own.named,
        attributes - stated,
        percents(written),
        own.head,
        wording(context).brands,
        lessened(written),
        (name, preparation, context),
    )


class _Own(NamedTuple):
    """What a name says by itself. name: as written; head: what the thing is; counted: whether it is a plural."""

    name: str
    tokens: tuple[str, ...]
    said: tuple[str, ...]
    hints: tuple[str, ...]
    named: frozenset[str]
    head: str
    counted: bool


@lru_cache(maxsize=16384)
def _own(name: str) -> _Own:
    """A name, read; the "fat" of "cooking cream 15 % fat" is no word of it."""
    tokens, said, hints = scan(tuple(word for word, _ in as_meant(words(name[:LONGEST_NAME]))), "name")
    tokens = tuple(word for at, word in enumerate(tokens) if not (word == FAT and at and tokens[at - 1].endswith("%")))
    last = _LAST_WORD.search(fold(name[-40:]))
    counted = last is not None and singular(last[0]) != last[0]
    return _Own(name, tokens, said, hints, frozenset(said), head_of(tokens), counted)


def _states(own: _Own, preparation: str, line: str) -> tuple[frozenset[str], frozenset[str]]:
    """The states of a food and those of them that are no guess; that there are amounts matters, not which."""
    prepared, weak = _said(preparation, "preparation") if preparation else ((), ())
    first = fold(own.name[:40]).split(" ", 1)[0]
    share = _share_of_line(fold(line), first)
    tokens = words_once(share)
    _, elsewhere, weaker = scan(
        words_once(_PLUS.split(share, maxsplit=1)[0]) if _PLUS.search(share) else tokens, "line"
    )
    stated = _settle((own.said, prepared, elsewhere, _beside(own.name, preparation, share, tokens)))
    counted = (COUNTED,) if own.counted or _numbered(own.name, line) else ()
    guessed = (*own.hints, *weak, *weaker, *counted)
    return (_settle((tuple(stated), guessed)) if guessed or len(stated) > 1 else stated), stated


def _beside(name: str, preparation: str, line: str, tokens: tuple[str, ...]) -> tuple[str, ...]:
    """States that only words beside the name can say: a stock is made from a cube, but a stock cube is one.

    A pack is weighed as bought when the cooking is told after the name ("1 pack of spaghetti, cooked").
    """
    if _aside_starts().isdisjoint(tokens) and (not preparation or _aside_starts().isdisjoint(words(preparation))):
        return ()
    own = scan(words(name), "aside")[1]
    found, _ = _said(f"{preparation} . {line}", "aside")
    at = line.find(fold(name)) + 1  # 0: the name was turned ("rice noodles, cooked")
    before = scan(words_once(line[: at - 1 + len(name)]), "name")[1] if at else ()
    return tuple(s for s in found if s not in own and not (s == PACKED and "cooked" in before))


@lru_cache(maxsize=8192)
def _named(name: str) -> bool:
    return telling(scan(words(name), "name")[0])


def telling(tokens: tuple[str, ...], places: tuple[str, ...] = ("any",)) -> bool:
    """Whether any word of a name is more than a state or filler of these places."""
    return any(token not in kinds() and all((token,) not in filler()[p] for p in places) for token in tokens)


def _numbered(name: str, context: str) -> bool:
    """Whether a number stands right before the name ("1 large pepper"): a line that counts pieces of it."""
    before = context.partition(name)[0] if name else ""
    number = _NUMBER_FIRST.match(before[:40])
    return number is not None and all((word,) in filler()["front"] for word in words(before[number.end() : 40]))


@lru_cache(maxsize=4096)
def _said(text: str, layer: Layer) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """(states, hints) of a preparation or a line, up to the first "plus"."""
    if not text:
        return (), ()
    text = _PLUS.split(text[:LONGEST_LINE], maxsplit=1)[0]
    _, said, hints = scan(words(text), layer)
    return said, hints
