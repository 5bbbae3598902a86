"""Why each allergen is named, a line for each: the same source said once, with all the lines it stands in."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from nutrilab.allergens.dish import LineFindings, in_place
from nutrilab.allergens.values import OF_KINDS
from nutrilab.messages import listed, say
from nutrilab.results import DishResult
from nutrilab.tracing import all_stages, named_place

LONGEST = 200  # characters of one source
KINDS = ("contains", "check", "may")  # the answers there are, the most certain first
_KNOWN = re.compile(r"(?P<name>[^(]*(?:\(written \"[^\"]*\"\))?[^(]*?)(?: \((?P<why>.*)\))?", re.DOTALL)


@dataclass(frozen=True, slots=True)
class Because:
    """What is said of one allergen, and why in one line.

    answer: what is said of it; kinds: the cereals or nuts it is, or that others of them are to be checked.
    """

    kind: str
    answer: str
    allergen: str
    kinds: str
    why: str

    @property
    def named(self) -> str:
        """The allergen with its cereals or nuts: "gluten (wheat)"."""
        return f"{self.allergen} ({self.kinds})" if self.kinds else self.allergen


def because(result: DishResult) -> tuple[Because, ...]:
    """Every allergen that is named, what is contained first; other cereals and nuts of it stand with what to check."""
    told = result.allergens
    also = {allergen: found for allergen, found in told.also.items() if allergen in OF_KINDS}
    answers: tuple[Mapping[str, tuple[str, ...]], ...] = (told.contains, {**told.check, **also}, told.may)
    lines = _lines(result)
    return tuple(
        Because(
            kind,
            say(f"sheet.{kind}"),
            allergen,
            told.kinds(allergen) if kind == "contains" else _others(allergen in OF_KINDS and allergen in told.contains),
            _why(result, allergen, found, lines),
        )
        for kind, by_allergen in zip(KINDS, answers, strict=True)
        for allergen, found in by_allergen.items()
    )


def _others(contained: bool) -> str:
    return say("sheet.other-kinds") if contained else ""


def _lines(result: DishResult) -> dict[str, tuple[str, LineFindings]]:
    """Sentence of the dish -> the sentence as its line says it, and the line at its place in the cook's own list."""
    found = {}
    for line in (line for stage in all_stages(result) for line in stage.told):
        stage, number = result.places.get((line.stage, line.number), (line.stage, line.number))
        at = line._replace(stage=stage, number=number)
        for part in (line.findings.contains, line.findings.check, line.findings.may):
            for sentence in (sentence for of_allergen in part.values() for sentence in of_allergen):
                found[f"{sentence}{in_place(at)}"] = (sentence, at)
    return found


def _why(
    result: DishResult, allergen: str, sentences: Iterable[str], lines: Mapping[str, tuple[str, LineFindings]]
) -> str:
    """ "cheddar (line 8), butter (mash line 2, white sauce line 1)"; what is to be looked for behind those it is of."""
    by_reason: dict[str, dict[str, list[LineFindings]]] = {}
    for sentence in sentences:
        bare, line = lines.get(sentence, (sentence, None))
        name, reason = _parted(bare, allergen)
        at = by_reason.setdefault(reason, {}).setdefault(name, [])
        at += [line] if line else []
    said = []
    for reason, names in by_reason.items():
        listed = ", ".join(_listed(result, names))
        said.append(f"{listed}: {reason}" if reason else listed)
    return "; ".join(said)


def _listed(result: DishResult, names: Mapping[str, Iterable[LineFindings]]) -> Iterator[str]:
    """Each source with its places; those of the same places together: "dijon and mustard (line 3)"."""
    together: dict[str, list[str]] = {}
    for name, lines in names.items():
        together.setdefault(_at(result, lines), []).append(name)
    for at, some in together.items():
        yield f"{listed(some, len(some), LONGEST)}{at}" if at else ", ".join(some)


def _parted(sentence: str, allergen: str) -> tuple[str, str]:
    """The source a sentence names, and what is said of it."""
    label, colon, rest = sentence.partition(": ")
    text = rest if colon and (label == allergen or label.endswith(f"({allergen})")) else sentence
    known = _KNOWN.fullmatch(text)
    return (known["name"], known["why"] or "") if known else (text, "")


def _at(result: DishResult, lines: Iterable[LineFindings]) -> str:
    places = ", ".join(_by_stage(result, lines))
    return f" ({places})" if places else ""


def _by_stage(result: DishResult, lines: Iterable[LineFindings]) -> Iterator[str]:
    """ "line 2", "mash lines 2 and 5": the lines of a stage together."""
    numbers: dict[str, list[str]] = {}
    for line in lines:
        here = say("recipe.place", line=line.number)
        stage = named_place(result, line.stage, line.number).removesuffix(here).rstrip(", ")
        numbers.setdefault(stage, []).append(str(line.number))
    for stage, some in numbers.items():
        many = len(some) > 1
        told = say("recipe.lines", lines=listed(some, len(some))) if many else say("recipe.place", line=some[0])
        yield f"{stage} {told}" if stage else told
