"""The scales of the house: quantity and unit of a line -> edible grams, with the ground they stand on.

The first ground that holds decides: a weight that is written; what one weighs by the cook's decision; a pack of a
written size, drained where its liquid is poured off; a volume by the food's own household measure, its own density or
that of its kind; an egg by its class; a counted thing by British sizes, else by the food table's own measures; the hand
and the eye by common practice. Written weights of things bought whole lose their bones, shells and skins. Where
nothing is known there are no grams and a remark says so: missing is never zero.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from nutrilab.lines import Reading
from nutrilab.messages import as_grams, say
from nutrilab.plain import brief
from nutrilab.plausible import limit
from nutrilab.remarks import Code, Remark
from nutrilab.text import words
from nutrilab.weighing.as_bought import says_state, state_factor
from nutrilab.weighing.asked import Asked, Ground, OwnPiece, Weight, ask
from nutrilab.weighing.counted import by_egg, by_number, by_part
from nutrilab.weighing.habits import PORTIONS, by_habit, is_seasoning
from nutrilab.weighing.own_pieces import by_decision
from nutrilab.weighing.phrases import Measured, WeighedFood
from nutrilab.weighing.volumes import by_volume
from nutrilab.weighing.written import written

__all__ = ["PORTIONS", "Ground", "Measured", "WeighedFood", "Weight", "is_seasoning", "weigh"]

_GROUNDS: tuple[Callable[[Asked], Weight | None], ...] = (written, by_decision, by_volume, by_egg, by_part, by_number)


def weigh(
    line: Reading,
    name: str,
    food: WeighedFood | None,
    cup: str = "us",
    portions: float = PORTIONS,
    own: OwnPiece | None = None,
    linked: WeighedFood | None = None,
) -> Weight:
    """Weigh one food of a line. Never raises.

    name: the one of line.names meant; food: the one whose measures and kind count, or None; cup: "us" or "metric";
    portions: how many the dish serves, for "to taste" and its like; own: what one weighs by the cook's decision;
    linked: what the name was linked to, where that is another food. The line's quantity counts in full: a caller with
    several foods sharing one quantity divides.
    """
    if line.heading or line.in_doubt:  # the line's own remark asks which number is meant
        return Weight(None, None, None, Ground.NONE)
    asked = ask(line, name, food, cup, own)
    for ground in _GROUNDS:
        weight = ground(asked)
        if weight is not None:
            return in_state(asked, weight, linked or food) if _possible(weight) else _absurd(asked)
    return by_habit(asked, portions)


def _possible(weight: Weight) -> bool:
    return weight.grams is None or weight.grams <= limit("line weight at all")


def _absurd(asked: Asked) -> Weight:
    words_ = say("weight.absurd", food=brief(asked.name))
    return Weight(None, None, None, Ground.NONE, (Remark(Code.AMOUNT_ABSURD, words_),))


def in_state(asked: Asked, weight: Weight, linked: WeighedFood | None) -> Weight:
    """The weight, with the factor to the linked food's state where line and food differ in it."""
    if linked is None or not says_state(asked.line.text):
        return weight
    found = state_factor(asked.order, asked.before(), words(linked.name))
    if not found:
        return weight
    state, factor, _ = found
    message = say(
        "weight.cooked-for-raw" if state == "cooked" else "weight.dry-for-cooked",
        food=brief(asked.name),
        weight=as_grams(100 * factor.grams),
    )
    remarks = (*weight.remarks, Remark(Code.STATE_DIFFERS, message))
    return replace(weight, state=state, table_factor=factor.grams, remarks=remarks)
