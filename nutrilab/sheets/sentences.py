"""What every sheet has to say in words, said once: what is not complete, how a figure stands, what is to be checked.

Texts are plain (see safe.py) and wait to be escaped for their format.
"""

from __future__ import annotations

from collections.abc import Iterable

from nutrilab.declaration import ALL_KNOWN, Figure, declare, known_in_part
from nutrilab.doubt import doubts as doubts_of
from nutrilab.doubt import in_words
from nutrilab.holding import label_holds
from nutrilab.law.rounding import ORDER, declared, short_name
from nutrilab.messages import as_portions, listed, say
from nutrilab.plausible import FIRST
from nutrilab.remarks import Remark
from nutrilab.results import DishResult, LineRecord
from nutrilab.settling import ToSettle
from nutrilab.sheets.safe import plain
from nutrilab.tracing import all_stages

LINE = 120  # characters of a line of a recipe in a sentence; its beginning tells which line it is


def quoted(lines: Iterable[str]) -> str:
    """Lines of a recipe in a sentence."""
    return ", ".join(f'"{plain(line.strip(), LINE)}"' for line in lines)


def improbable(result: DishResult) -> list[Remark]:
    """What is to be looked at before anything else: figures that hardly can be."""
    return [remark for remark in result.remarks if remark.code in FIRST]


def asking(result: DishResult) -> list[Remark]:
    """The remarks that ask for something to be done, figures that hardly can be before all others."""
    return [remark for remark in result.remarks if remark.to_do]


def notes(result: DishResult) -> list[Remark]:
    """The remarks that are only good to know."""
    return [remark for remark in result.remarks if not remark.to_do]


def percent(share: float) -> str:
    """A share in whole per cent; one that is not nothing never reads 0 %, one that is not all never 100 %."""
    if 0 < abs(share) < 0.005:
        return say("share.under-1")
    return say("share.over-99") if 0.995 <= share < ALL_KNOWN else f"{share:.0%}".replace("-", "−")


def partly_known(result: DishResult) -> dict[str, str]:
    """`known_in_part` with the shares as text."""
    return {key: percent(share) for key, share in known_in_part(result).items()}


def of_portion(figure: Figure) -> str:
    """A declared figure of a portion; "at least" where something is left out that could raise it."""
    said = figure.declared_per_portion
    return say("caption.at-least", figure=said) if figure.too_low and figure.per_portion is not None else said


def portion_figures(result: DishResult) -> dict[str, str]:
    """The declared figures of a portion by their keys."""
    return {figure.key: of_portion(figure) for figure in declare(result).figures}


def first_figures(result: DishResult) -> str:
    """The figures of a portion that are asked for first; "at least" makes one claim for both units of the energy."""
    told = portion_figures(result)
    kj = declared("energy_kj", result.whole.per_portion["energy_kj"])
    return say("sheet.answer", kcal=told["energy_kcal"], kj=kj, salt=told["salt"])


def portions(result: DishResult) -> str:
    """How many portions of what weight."""
    return say("sheet.portions", portions=as_portions(result.portions), weight=f"{result.portion_weight:.0f} g")


def narrowing(result: DishResult, settle: Iterable[ToSettle]) -> list[str]:
    """What else narrows a figure, where what is to be settled first does not say it already."""
    told = " ".join(one.do for one in settle).lower()
    advice = [one.advice for found in doubts_of(result).values() for one in found if one.advice]
    return [words for words in in_words(result) if any(a in words and a.lower() not in told for a in advice)]


def too_low(result: DishResult) -> str:
    """Which figures lack the values of some foods, and which lines are in none; empty where all is known."""
    shares: dict[str, list[str]] = {}
    for key, share in known_in_part(result).items():
        shares.setdefault(percent(1 - share), []).append(short_name(key))
    said = []
    if shares:
        told = (
            say("sheet.no-value-of", figures=", ".join(dict.fromkeys(of)), share=share) for share, of in shares.items()
        )
        said.append(say("sheet.no-value", figures="; ".join(told)))
    if left_out := result.unweighed:
        said.append(say("sheet.left-out", lines=quoted(left_out)))
    return " ".join(said)


def values_left_out(result: DishResult) -> list[str]:
    """Which figures lack values of ingredients whose food tables have none; the dish may be complete all the same."""
    said = []
    keys = [key for key in ORDER if key != "energy_kj"]
    known = [key for key in keys if result.whole.per_portion[key] is not None]
    partly = {short_name(key): share for key, share in partly_known(result).items() if key in keys}
    if len(partly) > 1 and len(set(partly.values())) == 1 and len(partly) == len(known):
        partly = {say("sheet.all-figures"): next(iter(partly.values()))}
    if partly:
        said.append(say("sheet.known-in-part", figures=", ".join(f"{name} {share}" for name, share in partly.items())))
    if unknown := [short_name(key) for key in keys if key not in known]:
        said.append(say("sheet.not-known", figures=", ".join(unknown)))
    return said


def doubts(result: DishResult) -> list[tuple[str, str]]:
    """Lines whose food is doubtful or not found, and what they were counted as."""
    return [
        (record.parsed.text.strip(), _doubt(record))
        for stage in all_stages(result)
        for record in stage.records
        if record.foods and not record.no_food and not record.sureness.stands
    ]


def _doubt(record: LineRecord) -> str:
    food = next(food for food in record.foods if food.link.sureness == record.sureness and not food.no_food)
    if food.link.food is None:
        return say("sheet.no-food-found", food=quoted([food.name]))
    return say("sheet.counted-as", food=food.link.food.name, sureness=record.sureness, why=food.link.why)


def counted_by(result: DishResult) -> list[str]:
    """How the energy is reckoned, and which cup was used."""
    other = result.whole.table_kcal
    said = say("sheet.energy") if other is None else say("sheet.energy-beside", kcal=f"{other:.0f} kcal")
    return [said, *_total_carbohydrate(result), *cups(result)]


def _total_carbohydrate(result: DishResult) -> list[str]:
    """Carbohydrate with its fibre, as US labels count it (21 CFR 101.9(c)(6), from memory), where it is known."""
    available, fibre = (result.whole.per_portion[key] for key in ("carbohydrate", "fibre"))
    known = available is not None and fibre is not None and not {"carbohydrate", "fibre"} & {*known_in_part(result)}
    if not known or result.unweighed or available is None or fibre is None:
        return []
    return [say("sheet.total-carbohydrate", amount=declared("carbohydrate", available + fibre))]


def cups(result: DishResult) -> list[str]:
    """Which cup was used, where one was."""
    if any(record.parsed.unit == "cup" for stage in all_stages(result) for record in stage.records):
        return [say("sheet.cup-us" if result.recipe.cup == "us" else "sheet.cup-metric")]
    return []


def on_a_label(result: DishResult) -> list[str]:
    """Whether each figure would hold on a label, those of one answer in one sentence; not energy."""
    answers: dict[str, list[str]] = {}
    for one in label_holds(result):
        if one.holds is not None:
            answers.setdefault(one.words, []).append(one.key)
    return [say("sheet.on-label", figures=listed(keys, len(keys)), answer=words) for words, keys in answers.items()]
