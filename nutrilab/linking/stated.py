"""A percentage that a line states ("beef mince (5 %)", "chocolate, 70 % cocoa") is kept to, by every table.

A food that comes in rungs moves along them (``data/mixes.csv``). Any other must hold the fat, the fat in dry matter or
the alcohol that is stated, within the tolerance round it; of cocoa no table tells a figure, so there only rungs count.
What is not kept to is doubtful, and the next table of the cook's may answer. So is an ordinary food that the line says
there is less of something in ("unsalted", "30 % less sugar").

Source of the tolerance: as of `nutrilab.linking.tolerance`.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from nutrilab.datafiles import rows
from nutrilab.foods import Food
from nutrilab.law.conversions import ALCOHOL_DENSITY, drink_density
from nutrilab.law.energy import salt
from nutrilab.law.levels import limits
from nutrilab.lexicon.sureness import Sureness, worse
from nutrilab.lines.percents import ALCOHOL, COCOA, DRY_FAT, ENERGY, FAT, SALT, SATURATES, SUGARS
from nutrilab.lines.query import Query, table_words
from nutrilab.linking.links import Finding
from nutrilab.linking.mixes import Mix, Mixer
from nutrilab.linking.tolerance import alcohol_tolerance, fat_tolerance
from nutrilab.messages import listed, say
from nutrilab.plain import brief
from nutrilab.remarks import Code, Remark

NOTHING, UNSALTED = "nothing", "unsalted"


@cache
def _counted() -> dict[str, str]:
    """Word of a name -> what a bare percentage beside it counts."""
    return {word: row["counts"] for row in rows("percent_counts.csv") for word in row["words"].split("|")}


def stated(query: Query, ladder: Mix | None) -> tuple[str, float] | None:
    """What the line states of the food and how much of it [%]; None where it states nothing that we know of.

    ladder: the rungs that such food has, in this table or in the embedded one.
    """
    told = {_counted()[token] for token in query.tokens if token in _counted()}
    counts = ladder.of if ladder else told.pop() if len(told) == 1 else NOTHING
    for what, value in query.percents:
        meant = what or counts
        if meant == DRY_FAT or (meant != NOTHING and (meant == counts or (what == FAT and ladder is None))):
            return meant, value
    return None


def kept_to(query: Query, finding: Finding, food: Food, ladder: Mix | None, like: Mix | None, mixer: Mixer) -> Finding:
    """The finding at the percentage that the line states, surer by it or doubtful; itself where none is stated.

    food: what was found; ladder: its rungs; like: the rungs that the embedded table has for the same words.
    """
    said = stated(query, ladder or like)
    if said is None or (said[0] == COCOA and not (ladder or like)):
        return finding
    percent = f"{said[1]:g}%"
    share = say("link.fat-in-dry-matter", percent=percent) if said[0] == DRY_FAT else f"{percent} {said[0]}"
    if ladder is None or said[0] == DRY_FAT:
        return finding if _holds(food, *said) else _beyond(query, finding, share, food)
    moved, reached = mixer.at(ladder, said[1])
    why = say("link.percentage", food=ladder.name, share=share)
    found = replace(finding, food_id=moved.food_id, why=why)
    if not reached or (said[0] == FAT and not _holds(moved, *said)):
        return _beyond(query, found, share, moved)
    understood = finding.sureness.stands and not finding.remarks
    return replace(found, sureness=Sureness.SURE) if understood else found


LOW_ENERGY = 20.0  # [kcal/100 ml] a drink low in energy at most: Regulation (EC) No 1924/2006, annex (from memory)
# What is said less of -> the component it counts by, and the states by which a row or a name says it of a food.
_LESS = {
    FAT: ("FAT", ("low-fat", "fat-free")),
    SATURATES: ("FASAT", ("low-fat", "fat-free")),
    SUGARS: ("SUGAR", ("unsweetened",)),
    SALT: ("NA", ("unsalted",)),
    ENERGY: ("ENERC_KCAL", ("low-fat", "fat-free", "unsweetened")),
}


def less_kept_to(query: Query, finding: Finding, food: Food) -> Finding:
    """The finding, doubtful where the line says unsalted, or a percentage less of something, and the food is the
    ordinary one: neither its row nor its name says so, and it is not low in it by the band of drinks, the narrower
    (`nutrilab.law.levels`)."""
    if not (query.less or UNSALTED in query.attributes) or not finding.sureness.stands:
        return finding
    less = query.less | ({SALT} if UNSALTED in query.attributes else set())
    told = finding.met.union(table_words(food.name))
    ordinary = [what for what in sorted(less) if told.isdisjoint(_LESS[what][1]) and not _low(food, what)]
    if not ordinary:
        return finding
    why = say("link.ordinary", why=finding.why, what=listed(ordinary))
    return replace(finding, sureness=Sureness.DOUBTFUL, why=why)


def _low(food: Food, what: str) -> bool:
    """Whether a food is low in something; of what is not known it is not."""
    found, rule = food.values.get(_LESS[what][0]), limits(what, drink=True)
    if found is None:
        return False
    return (salt(found) if what == SALT else found) <= (float(rule.low_to) if rule else LOW_ENERGY)


def _holds(food: Food, what: str, percent: float) -> bool:
    """Whether the food holds what is stated, within the tolerance round that."""
    fat, water = food.values.get("FAT"), food.values.get("WATER")
    if what == ALCOHOL:
        return _holds_alcohol(food, percent)
    if what == DRY_FAT and water is not None:
        what, percent = FAT, percent * (100 - water) / 100
    return what == FAT and fat is not None and abs(fat - percent) <= fat_tolerance(percent)


def _holds_alcohol(food: Food, strength: float) -> bool:
    """strength: [% by volume]."""
    alcohol = food.values.get("ALC")
    of_100_ml = strength * ALCOHOL_DENSITY
    stated = of_100_ml / drink_density(of_100_ml, food.values.get("SUGAR", 0.0)).value
    return alcohol is not None and abs(alcohol - stated) <= alcohol_tolerance(stated)


def _beyond(query: Query, finding: Finding, share: str, food: Food) -> Finding:
    said = say("link.beyond-table", name=brief(query.name), share=share, food=food.name)
    remarks = (*finding.remarks, Remark(Code.BEYOND_TABLE, said))
    return replace(finding, sureness=worse(finding.sureness, Sureness.DOUBTFUL), remarks=remarks)
