"""Words to hand on under a picture or a film: what a guest must know of a dish, in three lengths."""

from __future__ import annotations

from collections.abc import Iterable

from nutrilab.declaration import declare
from nutrilab.law.rounding import short_name
from nutrilab.messages import say
from nutrilab.results import DishResult
from nutrilab.sheets.answer import Answer, answer, left_open, sentence
from nutrilab.sheets.safe import plain
from nutrilab.sheets.sentences import of_portion

# Most characters (Unicode code points) of a caption: about what a short post, a longer one and a description of a film
# may have; common practice, no source. More is taken where nothing can go any more: allergens and cautions never go.
LENGTHS = {"short": 300, "medium": 600, "long": 2200}


def caption(result: DishResult, length: str = "medium") -> str:
    """The fullest text that keeps to a length, a key of `LENGTHS`; where none does, the shortest complete one."""
    said = texts(result, length)
    return next((text for text in said if len(text) <= LENGTHS[length]), said[-1]) + "\n"


def too_long(result: DishResult, length: str) -> str | None:
    """What is to be said where no complete text keeps to a length."""
    count, dish = len(caption(result, length)) - 1, answer(result).dish
    return say("caption.too-long", dish=dish, count=count, most=LENGTHS[length]) if count > LENGTHS[length] else None


def texts(result: DishResult, length: str = "long") -> list[str]:
    """All complete texts for a length, the fullest first."""
    bare = answer(result)
    told, in_one = bare.with_packs, _in_one_line(bare)
    said = [[_lines(_in_full(result, told))], [_lines(_in_brief(one)) for one in (told, bare)], [_in_one_line(told)]]
    fit = [text for texts in said[list(LENGTHS)[::-1].index(length) :] for text in texts]
    return [*fit, in_one, in_one.removesuffix(bare.more).rstrip()]


def _lines(said: Iterable[str]) -> str:
    return "\n".join(filter(None, said))


def _first(told: Answer) -> str:
    return sentence(told.incomplete) if told.incomplete else ""


def _in_full(result: DishResult, told: Answer) -> list[str]:
    """All figures of a portion, the lines that were left out, by what was calculated."""
    sources = ", ".join(plain(table.provenance.source) for table in result.tables)
    return [
        *left_open(result, told),
        say("caption.dish", dish=told.dish, weight=f"{result.portion_weight:.0f} g"),
        *_figures(result),
        *map(sentence, told.allergens),
        told.caution,
        say("caption.calculated", tables=sources) if sources else "",
        told.more,
    ]


def _figures(result: DishResult) -> list[str]:
    """Energy and how sure it is; the other figures in the order of a declaration."""
    kj, kcal, *others = declare(result).figures
    if kcal.per_portion is None or kj.per_portion is None:
        energy = say("caption.no-energy")
    else:
        energy = say("caption.energy", kcal=kcal.declared_per_portion, kj=kj.declared_per_portion)
        energy = say("caption.at-least", figure=energy) if kcal.too_low or kj.too_low else energy
    ends = kcal.declared_ends
    likely = [say("caption.likely", low=ends[0], high=ends[1])] if ends and not kcal.too_low else []
    named = [f"{short_name(one.key)} {of_portion(one)}" for one in others]
    return [sentence(energy, *likely), sentence(", ".join(named))]


def _in_brief(told: Answer) -> list[str]:
    return [_first(told), told.dish, sentence(told.portion), *map(sentence, told.allergens), told.caution, told.more]


def _in_one_line(told: Answer) -> str:
    said = (_first(told), sentence(told.portion), *map(sentence, told.allergens), told.caution, told.more)
    return " ".join(filter(None, said))
