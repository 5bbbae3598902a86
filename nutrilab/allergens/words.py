"""What the words of an ingredient line say about the 14 allergens: the hits of the rules, weighed against each other.

Every contains rule that matches counts, also inside a longer match ("egg noodles" are egg and noodles), unless a
misleads row of the longer words says it does not ("coconut milk"), or a claim reaches it ("vegan mayonnaise"): a longer
phrase never loses an allergen in silence, each loss is a row with its ground. A check rule, which only says what is
usual, gives way to longer words that have a contains or check rule of their own: "rye bread" is no sliced white bread.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from nutrilab import messages
from nutrilab.allergens.asides import asides
from nutrilab.allergens.bases import has_base, is_pure
from nutrilab.allergens.by_container import by_container
from nutrilab.allergens.claims import Holding, claims
from nutrilab.allergens.rules import Rulebook, rulebook
from nutrilab.allergens.values import Hit, Matched
from nutrilab.plain import quoted
from nutrilab.wording import Wording

_LONGEST = 8  # words in a rule, at most
_NO_ACCIDENT = 4  # letters of each of two words written as one
_SAYING = ("contains", "check", "stand-in")


@dataclass(frozen=True, slots=True)
class Said:
    """What words say.

    contains, check: allergen -> evidence sentences; parts: allergen -> cereals or nuts named in contains;
    denied: allergens that a misleads row or a claim took away somewhere in the text.
    """

    contains: dict[str, tuple[str, ...]]
    check: dict[str, tuple[str, ...]]
    parts: dict[str, tuple[str, ...]]
    denied: frozenset[str]


_NOTHING = Said({}, {}, {}, frozenset())


def say(text: str | Wording, listed: bool = False) -> Said:
    """What a text says by the rules of the package.

    listed: it is an item of a pack, of which every word counts; in a cook's line some only tell what it is for.
    """
    return _remembered(text if isinstance(text, str) else text.text, listed)


@lru_cache(maxsize=1024)
def _remembered(text: str, listed: bool) -> Said:
    return say_by(rulebook(), text, listed)


def say_by(book: Rulebook, text: str | Wording, listed: bool = False) -> Said:
    """What a text says by the rules of ``book``; time grows with its length."""
    reading = book.read(text)
    reading.hits.extend(by_container(reading.tokens))
    if not reading.hits and not reading.doubts:
        return _NOTHING
    beside: frozenset[int] = frozenset() if listed else asides(reading.tokens, reading.hits)
    standing, denied = _standing(reading, beside)
    contains: dict[str, dict[str, None]] = defaultdict(dict)
    check: dict[str, dict[str, None]] = defaultdict(dict)
    parts: dict[str, dict[str, None]] = defaultdict(dict)
    for hit, kind in standing:
        rule = hit.rule
        if kind == "contains":
            contains[rule.allergen][_evidence(hit, reading)] = None
            if rule.part:
                parts[rule.allergen][rule.part] = None
        else:
            check[rule.allergen][f"{_evidence(hit, reading)} ({rule.ground})"] = None
    heard = {token for i, token in enumerate(reading.tokens) if i not in beside}
    for word, spelt in reading.doubts.items():
        for target in spelt.maybe if word in heard else ():
            for rule in book.word_rules(target):
                guess = messages.say("allergens.misspelt", label=rule.label, word=quoted(word), name=quoted(target))
                check[rule.allergen][guess] = None
    return Said(
        contains={allergen: tuple(found) for allergen, found in contains.items()},
        check={allergen: tuple(found) for allergen, found in check.items() if allergen not in contains},
        parts={allergen: tuple(found) for allergen, found in parts.items()},
        denied=denied,
    )


def _guessed(hit: Hit, reading: Matched) -> bool:
    """Whether a hit rests on a guess at a misspelt word.

    Two words written as one ("milkpowder") are no guess where the hit is both of them, or both are long enough to be
    no accident: a maker's "Selleray" is no ray.
    """
    return any(i in reading.guessed and not _written_as_one(i, hit, reading) for i in range(hit.start, hit.end))


def _written_as_one(i: int, hit: Hit, reading: Matched) -> bool:
    written, tokens = reading.respelt, reading.tokens
    other = next((j for j in (i - 1, i + 1) if written.get(j) == written[i]), None)
    if other is None:
        return False
    if hit.start <= other < hit.end or min(len(tokens[i]), len(tokens[other])) >= _NO_ACCIDENT:
        return True
    beside = (one for one in reading.hits if one.start <= other < one.end)
    return any(one.rule.allergen == hit.rule.allergen for one in beside)  # "eggyolk": both words say egg


def _evidence(hit: Hit, reading: Matched) -> str:
    written = [reading.respelt[i] for i in range(hit.start, hit.end) if i in reading.respelt]
    evidence = f"{hit.rule.label}: {hit.rule.words}"
    if not written:
        return evidence
    return messages.say("allergens.written", evidence=evidence, words=quoted(" ".join(dict.fromkeys(written))))


def _standing(reading: Matched, beside: frozenset[int]) -> tuple[list[tuple[Hit, str]], frozenset[str]]:
    """Hits that count, each as "contains" or "check", and the allergens that something was taken away from.

    beside: places of words that name nothing in the line ("butter for the pastry"). What rests on a guess at a
    spelling is to be checked; and a guess takes nothing away for certain.
    """
    hits = [hit for hit in reading.hits if not beside.issuperset(range(hit.start, hit.end))]
    holding = Holding(claims(reading.tokens, reading.hits))
    hiding = [hit for hit in reading.hits if hit.rule.kind in ("misleads", "claim")]
    hiders = _Spans((hit.rule.allergen, hit) for hit in hiding if not _guessed(hit, reading))
    guesses = _Spans((hit.rule.allergen, hit) for hit in hiding if _guessed(hit, reading))
    denied = {hit.rule.allergen for hit in hiding if hit.rule.kind == "misleads" and not _guessed(hit, reading)}
    denied.update(holding.allergens)
    left: list[tuple[Hit, str]] = []
    for hit in hits:
        rule = hit.rule
        if rule.kind == "stand-in":
            if holding.reaching(rule.instead_of, hit):
                left.append((hit, "nothing" if has_base(reading.tokens, hit) else "check"))
        elif rule.kind in ("contains", "check") and not hiders.inside(rule.allergen, hit):
            kind = "nothing" if is_pure(reading.tokens, hit) else _under_claims(hit, holding)
            unsure = kind == "contains" and (_guessed(hit, reading) or guesses.inside(rule.allergen, hit))
            left.append((hit, "check" if unsure else kind))
    left = [(hit, kind) for hit, kind in left if kind != "nothing"]
    longer = _Spans(
        [(hit.rule.allergen, hit) for hit, kind in left if kind == "contains"]
        + [("stand-in" if hit.rule.kind == "stand-in" else "check", hit) for hit in hits if hit.rule.kind in _SAYING]
    )
    return [(hit, kind) for hit, kind in left if not longer.inside(_rank(hit, kind), hit)], frozenset(denied)


def _rank(hit: Hit, kind: str) -> str:
    """Among which longer matches a hit gives way: those of its allergen, all that say something, all stand-ins."""
    if kind == "contains":
        return hit.rule.allergen
    return "stand-in" if hit.rule.kind == "stand-in" else "check"


def _under_claims(hit: Hit, holding: Holding) -> str:
    """What a hit is worth under the claims that reach it."""
    kind: str = hit.rule.kind
    for rule in holding.reaching(hit.rule.allergen, hit):
        if hit.rule.part not in rule.keeps and rule.keeps_words.isdisjoint(hit.rule.words.split()):
            kind = {"contains": rule.contains_becomes, "check": rule.check_becomes}.get(kind, kind)
    return kind


class _Spans:
    """Stretches of tokens by key, to ask whether a hit lies inside a longer one."""

    def __init__(self, hits: Iterable[tuple[str, Hit]]) -> None:
        self._at: dict[tuple[str, int], list[Hit]] = defaultdict(list)
        for key, hit in hits:
            self._at[key, hit.start].append(hit)

    def inside(self, key: str, hit: Hit) -> bool:
        """Whether a longer stretch of that key holds the hit."""
        if not self._at:
            return False
        for start in range(max(0, hit.start - _LONGEST), hit.start + 1):
            for longer in self._at.get((key, start), ()):
                if longer.end >= hit.end and (longer.end > hit.end or start < hit.start) and not _in_gap(hit, longer):
                    return True
        return False


def _in_gap(hit: Hit, longer: Hit) -> bool:
    return longer.gap is not None and longer.gap[0] <= hit.start < longer.gap[1]
