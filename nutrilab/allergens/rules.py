"""The allergen rules: data files in, a tree of words out, and what a text hits in it.

The rules are ``data/allergens/*.csv``; a new word is one new row. Words of a rule match whole words of a
text, in order, within one stretch between punctuation marks, in the singular and without accents. Every
rule that matches is a hit; what hits mean together is weighed up in ``allergen_words``.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from functools import cache
from itertools import pairwise
from typing import Any, NamedTuple, TypeAlias, cast

from nutrilab.allergens.choices import left_unsaid
from nutrilab.allergens.heard import tokenise
from nutrilab.allergens.spelling import Speller, Spelt
from nutrilab.allergens.values import Hit, Matched, Rule, RuleKind
from nutrilab.datafiles import AT, rows
from nutrilab.lexicon import spelt_out
from nutrilab.lexicon.matching import Matcher
from nutrilab.lexicon.ready import ready
from nutrilab.lexicon.spelling import as_meant
from nutrilab.text import singular
from nutrilab.wording import Wording, wording

_WORD = re.compile(r"[a-z]+|[0-9]+")
_FILES: dict[str, RuleKind] = {
    "contains": "contains",
    "other_names": "contains",
    "languages": "contains",
    "check": "check",
    "languages_check": "check",
    "misleads": "misleads",
    "languages_misleads": "misleads",
    "exempt": "misleads",
    "claims": "claim",
    "stand_ins": "stand-in",
}
# Rare and foreign words are read as they are written, never guessed at from a slip ("than" is no misspelt "thon").
_NEVER_GUESSED = ("other_names", "languages", "languages_check")
_REMEMBERED = 65536
_JOINED = 4  # letters from which any word of a rule may be half of two written as one; below only an allergen's name


# One spelling, the kind of its file, the cells, whether a misspelt word may be guessed to be this one.
Row: TypeAlias = "tuple[str, RuleKind, Mapping[str, str], bool]"
Filed: TypeAlias = "tuple[str, int]"  # one spelling, and the number of the facts of its row
_OPTIONAL = ("part", "contains_becomes", "check_becomes", "keeps", "keeps_words", "instead_of")


class Ordered(NamedTuple):
    """The rules by their first word, and the words that spelling goes by: plain values, kept ready between starts.

    facts: kind and cells of each row; known: every word of a rule; plain: words of their own that only look like an
    allergen word ("broad" is no bread); names: words that name an allergen alone; halves: words that may be half of two
    written as one; joined: words that stand side by side in a rule, written as one ("icecream").
    """

    filed: dict[str, list[Filed]]
    facts: list[tuple[str, ...]]
    known: frozenset[str]
    plain: frozenset[str]
    names: frozenset[str]
    halves: frozenset[str]
    joined: frozenset[str]


def in_order(table: Iterable[Row], plain: Iterable[str] = ()) -> Ordered:
    """Rules, and words that are no allergen's, as a rulebook has them."""
    filed: dict[str, list[Filed]] = defaultdict(list)
    facts: list[tuple[str, ...]] = []
    numbers: dict[str, int] = {}
    single: set[str] = set()
    never: set[str] = set()
    words: list[str] = []
    english: list[str] = []
    for row in table:
        first = _first_heard(row[0])
        place = row[2][AT]
        if place not in numbers:
            numbers[place] = len(facts)
            facts.append(_facts(row))
        filed[first].append((row[0], numbers[place]))
        if " " not in row[0] and row[1] in ("contains", "check"):
            (single if row[3] else never).add(first)
        words.append(row[0])
        if row[3]:
            english.append(row[0])
    names = single - never
    long = {word for word in map(singular, set(_WORD.findall(" ".join(english)))) if len(word) >= _JOINED}
    return Ordered(
        dict(filed),
        facts,
        frozenset(map(singular, set(_WORD.findall(" ".join(words))))),
        frozenset(map(singular, plain)),
        frozenset(names),
        frozenset(long | names),
        frozenset(_neighbours(words)),
    )


class Rulebook:
    """Rules by their words, with the speller that knows those words."""

    def __init__(self, ordered: Ordered) -> None:
        self._matcher: Matcher[Filed] = Matcher(ordered.filed, lambda entry: (_heard(entry[0]), entry))
        self._facts = ordered.facts
        self._rules: dict[Filed, Rule] = {}  # made when a text first hits them
        self._known, self._plain = ordered.known, ordered.plain
        self._speller = Speller(ordered.known, ordered.plain, ordered.names, ordered.halves, ordered.joined)
        self._as_written: set[str] = set()  # words already found to need no spelling

    def knows(self, word: str) -> bool:
        """Whether a singular word stands in a rule or in the list of plain words."""
        return word in self._known or word in self._plain

    def word_rules(self, word: str) -> list[Rule]:
        """The contains and check rules of one word alone."""
        branch = self._matcher.branch(word)
        found = map(self._rule, branch.values) if branch else ()
        return [rule for rule in found if rule.kind in ("contains", "check")]

    def read(self, text: str | Wording) -> Matched:
        """Tokens and hits of a text, in order; time grows with its length."""
        text = wording(text)
        tokens: list[str] = []
        respelt: dict[int, str] = {}
        guessed: set[int] = set()
        doubts: dict[str, Spelt] = {}
        brands = text.brands
        for token, written in as_meant(tokenise(text)):
            if written:
                respelt[len(tokens)] = written
            if written or token in self._as_written or token in brands:
                tokens.append(token)
                continue
            spelt = self._speller.read(token)
            if spelt.maybe:
                doubts[token] = spelt
            elif spelt.corrected:
                places = range(len(tokens), len(tokens) + len(spelt.tokens))
                respelt.update(dict.fromkeys(places, token))
                guessed.update(places)
            elif spelt.tokens == (token,) and len(self._as_written) < _REMEMBERED:
                self._as_written.add(token)
            tokens.extend(spelt.tokens)
        hits = self._hits(tokens)
        if unsaid := left_unsaid(tokens, hits):
            tokens += unsaid
            hits = self._hits(tokens)
        return Matched(tokens, hits, respelt, doubts, frozenset(guessed))

    def _hits(self, tokens: list[str]) -> list[Hit]:
        found: list[Hit] = []
        starts = self._matcher
        brackets = _brackets(tokens) if "(" in tokens else None
        for start, token in enumerate(tokens):
            if token in starts:
                for end, entries, gap in starts.at(tokens, start, brackets):
                    found += [Hit(start, end, self._rule(entry), gap) for entry in entries]
        return found

    def _rule(self, entry: Filed) -> Rule:
        rule = self._rules.get(entry)
        if rule is None:
            rule = self._rules[entry] = _rule(entry[0], self._facts[entry[1]])
        return rule


def _heard(words: str) -> list[str]:
    """The tokens of a rule; most are plain words, which are heard as they stand."""
    found = words.split()
    return list(map(singular, found)) if _are_plain(found) else tokenise(words)


def _first_heard(words: str) -> str:
    """The first token of a rule."""
    found = words.split()
    return singular(found[0]) if _are_plain(found) else tokenise(words)[0]


def _are_plain(words: list[str]) -> bool:
    letters = "".join(words)
    return letters.isascii() and letters.isalpha()


def _neighbours(phrases: Iterable[str]) -> set[str]:
    """Two words that stand side by side in a rule, written as one: "icecream"."""
    pairs = {pair for phrase in phrases if " " in phrase for pair in pairwise(phrase.split())}
    return {one + singular(other) for one, other in pairs}


def _brackets(tokens: list[str]) -> dict[int, int]:
    """Where a bracket opens -> the position after it closes; brackets in brackets are left out."""
    found: dict[int, int] = {}
    opened = -1
    for i, token in enumerate(tokens):
        if token == "(":
            opened = i
        elif token == ")" and opened >= 0:
            found[opened] = i + 1
            opened = -1
    return found


@cache
def rulebook() -> Rulebook:
    """The rules of the package, read once in a process."""
    return Rulebook(Ordered(*ready("allergens", _of_the_package)))


def _of_the_package() -> tuple[Any, ...]:
    plain = (row["word"] for name in ("plain", "pack_words") for row in rows(f"allergens/{name}.csv"))
    return tuple(in_order(load_rows(), plain))


def load_rows() -> Iterator[Row]:
    """Every row of the rule files, once for each spelling of its words."""
    for name, kind in _FILES.items():
        for row in rows(f"allergens/{name}.csv"):
            for words in row["words"].split("|") if kind == "claim" else spelt_out(row["words"]):  # no claim is a name
                yield words, kind, row, name not in _NEVER_GUESSED


def _facts(row: Row) -> tuple[str, ...]:
    """What a row says, whatever its spelling: its kind, allergen, ground and place, and _OPTIONAL."""
    _, kind, cells, _ = row
    return kind, cells["allergen"], cells["ground"], cells[AT], *(cells.get(name, "") for name in _OPTIONAL)


def _rule(words: str, facts: tuple[str, ...]) -> Rule:
    kind, allergen, ground, place, part, contains_becomes, check_becomes, keeps, keeps_words, instead_of = facts
    return Rule(
        words,
        cast(RuleKind, kind),
        allergen,
        ground,
        part=part,
        contains_becomes=contains_becomes,
        check_becomes=check_becomes,
        keeps=frozenset(keeps.split("|")) - {""},
        keeps_words=frozenset(keeps_words.split("|")) - {""},
        instead_of=instead_of,
        place=place,
    )
