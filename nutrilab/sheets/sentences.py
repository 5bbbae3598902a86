"""What every sheet has to say in words, said once: allergens, what is not complete, how a figure stands.

Texts are plain (see safe.py) and wait to be escaped for their format. No list of allergens is ever cut.
"""

from __future__ import annotations

from collections.abc import Iterable

from nutrilab.allergens.values import OF_KINDS
from nutrilab.declaration import ALL_KNOWN, known_in_part
from nutrilab.doubt import doubts as doubts_of
from nutrilab.doubt import in_words
from nutrilab.holding import label_holds
from nutrilab.law.rounding import ORDER, UNKNOWN, declared
from nutrilab.messages import listed, say
from nutrilab.plausible import FIRST
from nutrilab.remarks import Remark
from nutrilab.results import DishResult, LineRecord
from nutrilab.settling import ToSettle
from nutrilab.sheets.safe import plain
from nutrilab.tracing import all_stages

LINE = 120  # characters of a line of a recipe in a sentence; its beginning tells which line it is
AS_READ = "How it was cooked, as read from the method"


def allergens(result: DishResult) -> list[str]:
    """What the dish contains, what to check, what packs say it may contain, and whether the answer is complete."""
    answer = result.allergens
    said = []
    if answer.contains:
        said.append(f"Contains: {', '.join(map(answer.named, answer.contains))}.")
    else:
        said.append("Contains: nothing in the words of the recipe points to one of the 14 allergens.")
    if answer.check:
        said.append(f"Check the pack: {', '.join(answer.check)}.")
    if others := [allergen for allergen in answer.also if allergen in OF_KINDS]:
        said.append(f"Check the pack for other kinds of: {', '.join(others)}.")
    if answer.may:
        said.append(f"May contain, says the pack: {', '.join(answer.may)}.")
    if not answer.complete:
        lines = quoted(answer.unresolved)
        said.append(f"NOT COMPLETE: these lines were not understood, so allergens may be missing: {lines}.")
    return said


def quoted(lines: Iterable[str]) -> str:
    """Lines of a recipe in a sentence."""
    return ", ".join(f'"{plain(line.strip(), LINE)}"' for line in lines)


def not_counted(result: DishResult) -> list[str]:
    """Lines that are in no figure though their words were understood, so that nothing else is said of them."""
    return [line for line in result.unweighed if line not in result.allergens.unresolved]


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
        return "under 1%"
    return "over 99%" if 0.995 <= share < ALL_KNOWN else f"{share:.0%}".replace("-", "−")


def partly_known(result: DishResult) -> dict[str, str]:
    """`known_in_part` with the shares as text."""
    return {key: percent(share) for key, share in known_in_part(result).items()}


def portion_figure(result: DishResult, key: str) -> str:
    """A declared figure of a portion; "at least" where an ingredient's share of it is not known."""
    value = result.whole.per_portion[key]
    text = declared(key, value)
    lower = value is not None and (bool(result.unweighed) or key in known_in_part(result))
    return f"at least {text}" if lower else text


def answer(result: DishResult) -> str:
    """The figures of a portion that are asked for first; "at least" makes one claim for both units of the energy."""
    kj = declared("energy_kj", result.whole.per_portion["energy_kj"])
    return say("sheet.answer", kcal=portion_figure(result, "energy_kcal"), kj=kj, salt=portion_figure(result, "salt"))


def portions(result: DishResult) -> str:
    """How many portions of what weight."""
    count = f"{result.portions:g} {'portion' if result.portions == 1 else 'portions'}"
    return say("sheet.portions", portions=count, weight=f"{result.portion_weight:.0f} g")


def narrowing(result: DishResult, settle: Iterable[ToSettle]) -> list[str]:
    """What else narrows a figure, where what is to be settled first does not say it already."""
    told = " ".join(one.do for one in settle).lower()
    advice = [one.advice for found in doubts_of(result).values() for one in found if one.advice]
    return [words for words in in_words(result) if any(a in words and a.lower() not in told for a in advice)]


def too_low(result: DishResult) -> str:
    """Which figures lack the values of some foods, and which lines are in none; empty where all is known."""
    shares: dict[str, list[str]] = {}
    for key, share in known_in_part(result).items():
        shares.setdefault(percent(1 - share), []).append(_name(key))
    said = []
    if shares:
        told = (
            say("sheet.no-value-of", figures=", ".join(dict.fromkeys(of)), share=share) for share, of in shares.items()
        )
        said.append(say("sheet.no-value", figures="; ".join(told)))
    if left_out := result.unweighed:
        said.append(say("sheet.left-out", lines=quoted(left_out)))
    return " ".join(said)


def _name(key: str) -> str:
    return ORDER[key].removeprefix("of which ").lower()


def gaps(result: DishResult) -> list[str]:
    """What the figures leave out."""
    return [*lines_left_out(result), *values_left_out(result)]


def lines_left_out(result: DishResult) -> list[str]:
    """Which lines are in no figure; that makes a dish not complete."""
    left_out = result.unweighed
    if left_out and set(left_out) == {line.strip() for line in result.allergens.unresolved}:
        return ["Nor are they in the figures."]
    return [f"NOT COMPLETE: these lines are not in the figures: {quoted(left_out)}."] if left_out else []


def values_left_out(result: DishResult) -> list[str]:
    """Which figures lack values of ingredients whose food tables have none; the dish may be complete all the same."""
    said = []
    keys = [key for key in ORDER if key != "energy_kj"]
    known = [key for key in keys if result.whole.per_portion[key] is not None]
    partly = {_name(key): share for key, share in partly_known(result).items() if key in keys}
    if len(partly) > 1 and len(set(partly.values())) == 1 and len(partly) == len(known):
        partly = {"all": next(iter(partly.values()))}
    if partly:
        shares = ", ".join(f"{name} {share}" for name, share in partly.items())
        said.append(f"Known for a part of the ingredients' weight only: {shares}.")
    if unknown := [_name(key) for key in keys if key not in known]:
        said.append(f"{UNKNOWN.capitalize()}: {', '.join(unknown)}.")
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
        return f"no food in the tables for “{food.name}”; its figures are missing"
    return f"counted as {food.link.food.name} ({record.sureness}: {food.link.why})"


def counted_by(result: DishResult) -> list[str]:
    """By whose factors the energy is, and which cup was used."""
    said = ["Energy is by the factors of the Regulation"]
    if result.whole.table_kcal is not None:
        said[0] += f"; {result.whole.table_kcal:.0f} kcal a portion by the factors of the food table itself"
    return [*said, *cups(result)]


def cups(result: DishResult) -> list[str]:
    """Which cup was used, where one was."""
    if any(record.parsed.unit == "cup" for stage in all_stages(result) for record in stage.records):
        cup = "the US cup of 236.6 ml" if result.recipe.cup == "us" else "the metric cup of 250 ml"
        return [f"Cups are {cup}"]
    return []


def on_a_label(result: DishResult) -> list[str]:
    """Whether each figure would hold on a label, those of one answer in one sentence; not energy."""
    answers: dict[str, list[str]] = {}
    for one in label_holds(result):
        if one.holds is not None:
            answers.setdefault(one.words, []).append(one.key)
    return [say("sheet.on-label", figures=listed(keys, len(keys)), answer=words) for words, keys in answers.items()]
