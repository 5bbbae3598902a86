"""The answer on a dish in words a guest reads, each said once: captions, stills and page data all take it from here.

Every text is a clause that `sentence` ends; none is ever cut, but for the name of the dish.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from nutrilab.allergens.values import OF_KINDS
from nutrilab.declaration import declare
from nutrilab.messages import listed, say
from nutrilab.results import DishResult, LineRecord
from nutrilab.sheets.safe import plain
from nutrilab.sheets.sentences import of_portion, quoted, values_left_out
from nutrilab.tracing import in_dish

NAME = 100  # characters of a name
PACKS = 3  # named, at most


@dataclass(frozen=True, slots=True)
class Answer:
    """What must be said of a dish wherever it is shown; "" where there is nothing to say.

    incomplete: comes first wherever the answer stands; to_check: by name what is to be looked up on packs;
    packs: check, with the packs to look at; caution: a whole sentence, as is more, which tells where to read on.
    """

    dish: str
    incomplete: str
    portion: str
    contains: str
    check: str
    may: str
    to_check: tuple[str, ...]
    caution: str
    more: str
    packs: str = ""

    @property
    def with_packs(self) -> Answer:
        """The same, saying which packs to look at."""
        return replace(self, check=self.packs)

    @property
    def allergens(self) -> tuple[str, ...]:
        """What it contains, what to check, what packs say it may contain: as many clauses as there are."""
        return tuple(filter(None, (self.contains, self.check, self.may)))


def answer(result: DishResult) -> Answer:
    """The answer on a dish."""
    found = result.allergens
    figures = {figure.key: figure for figure in declare(result).figures}
    checks = found.to_check
    contained = ", ".join(map(found.named, found.contains))
    may = tuple(one for one in found.may if one not in found.contains or one in OF_KINDS)  # of these, another kind
    energy = figures["energy_kcal"]
    return Answer(
        dish=" ".join(plain(result.recipe.dish, NAME).split()),
        incomplete=_incomplete(result),
        portion=say(
            "caption.portion",
            energy=say("caption.no-energy") if energy.per_portion is None else of_portion(energy),
            salt=of_portion(figures["salt"]),
        ),
        contains=say("caption.contains", allergens=contained) if contained else say("caption.contains-none"),
        check=_check(checks),
        may=say("caption.may", allergens=", ".join(may)) if may else "",
        to_check=checks,
        caution=say("caption.caution"),
        more=say("caption.more", link=result.link) if result.link else "",
        packs=_check(checks, _packs(result)),
    )


def _check(checks: tuple[str, ...], packs: str = "") -> str:
    if not checks:
        return ""
    said = ", ".join(checks)
    return say("caption.check-of", allergens=said, packs=packs) if packs else say("caption.check", allergens=said)


def _packs(result: DishResult) -> str:
    """The packs to look at by the names of what is in them, the first few; "" where they are not all known.

    Of a step of the method that names what no line does nobody knows the pack, and another's must not stand for it.
    """
    found = result.allergens
    asked = (*found.check, *(allergen for allergen in found.also if allergen in OF_KINDS))
    lines = [line for allergen in asked for line in found.asking.get(allergen, ())]
    if any(allergen not in found.asking for allergen in asked) or any(not line.number for line in lines):
        return ""
    records = {record.parsed.text.strip(): record for stage, _ in in_dish(result) for record in stage.records}
    return listed([*dict.fromkeys(_pack(line.text, records) for line in lines)], PACKS, NAME)


def _pack(line: str, records: Mapping[str, LineRecord]) -> str:
    """The name of the one food of a line, without its amount; else the line."""
    record = records.get(line)
    return plain(record.foods[0].name if record and len(record.foods) == 1 else line, NAME)


def in_full(result: DishResult) -> tuple[str, ...]:
    """The answer and what it leaves out, a sentence each; what is not complete comes first, with its lines."""
    told = answer(result)
    return (*left_open(result, told), *map(sentence, told.allergens), *values_left_out(result))


def left_open(result: DishResult, told: Answer) -> tuple[str, ...]:
    """That a dish is not complete, and the lines it is for; nothing of one that is."""
    lines = {"not-understood": result.allergens.unresolved, "not-counted": result.not_counted}
    named = (say(f"caption.lines-{what}", lines=quoted(some)) for what, some in lines.items() if some)
    return (sentence(told.incomplete), *named) if told.incomplete else ()


def _incomplete(result: DishResult) -> str:
    """How many lines are not understood, and how many more are in no figure; "" where none is."""
    counts = (
        (len(result.allergens.unresolved), "caption.not-understood-one", "caption.not-understood-many"),
        (len(result.not_counted), "caption.not-counted-one", "caption.not-counted-many"),
    )
    said = [say(one) if count == 1 else say(many, count=count) for count, one, many in counts if count]
    return say("caption.incomplete", why="; ".join(said)) if said else ""


def sentence(*clauses: str) -> str:
    """Clauses as one sentence."""
    whole = "; ".join(clauses)
    return f"{whole[:1].upper()}{whole[1:]}."
