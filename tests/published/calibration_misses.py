"""What lies outside its range in the calibration, and why: ``python -m tests.published.calibration_misses [NUMBER]``.

The difference of a figure is parted among its causes, line by line: the amount (our grams against the cook's, of the
cook's food), the food (our food against the cook's, at our grams), and what is left: cooking, energy factors, and
what FNDDS itself counts otherwise. The worst come first: by how many times the way from our value to the nearer end
of its range the true one is away.
"""

from __future__ import annotations

import sys
from math import inf, log
from statistics import mean, median
from typing import NamedTuple

from nutrilab.foods import Food
from tests.published.calibration import FIGURES, Checked, Held, complete, written

NUMBER = 15


class Part(NamedTuple):
    """What one cause adds to the difference of a figure [kcal, g]."""

    cause: str
    what: str
    adds: float


def parts(one: Checked, key: str) -> list[Part]:
    """The difference of ours and theirs by cause, the largest first."""
    _, tag, _, unit = FIGURES[key]
    stage = one.result.stages[0]
    found, all_lines = [], 0.0
    for put, (number, record) in zip(one.dish.puts, stage.lines, strict=True):
        theirs = put.grams * _value(put.food, tag) * unit
        weights = [(food.link.food, stage.weight(number, food).grams or 0.0) for food in record.foods]
        grams = sum(weight for _, weight in weights)
        ours = sum(weight * _value(food, tag) * unit for food, weight in weights if food is not None)
        amount = (grams - put.grams) * _value(put.food, tag) * unit
        linked = " + ".join(food.name for food, _ in weights if food is not None)
        found.append(Part("amount", f"{put.line!r} taken for {grams:.0f} g, was {put.grams:.0f} g", amount))
        found.append(Part("food", f"{put.line!r} taken for {linked}; was {put.food.name}", ours - theirs - amount))
        all_lines += ours - theirs
    held = one.figures[key]
    found.append(Part("cooking and the rest", f"cooked {_how(one)}", held.value - held.true - all_lines))
    return sorted(found, key=lambda part: -abs(part.adds))


def _value(food: Food, tag: str) -> float:
    return food.values.get(tag, 0.0) / 100


def _how(one: Checked) -> str:
    cooking = one.dish.cooking
    return "not at all" if cooking is None or cooking.method is None else str(cooking.method)


def times_out(held: Held) -> float:
    """How often the way to the nearer end of its range the true figure is away, in the logarithm; above 1: outside."""
    if held.true <= 0 or held.value <= 0:
        return inf
    end = held.high if held.true > held.value else held.low
    way = abs(log(end / held.value)) if end > 0 else inf
    return abs(log(held.true / held.value)) / way if way else inf


def misses(source: str, blur: str, key: str) -> list[Checked]:
    """The dishes whose figure lies outside its range, the worst first."""
    outside = [one for one in complete(source, blur) if key in one.figures and not one.figures[key].inside]
    return sorted(outside, key=lambda one: -times_out(one.figures[key]))


def causes(source: str, blur: str, key: str) -> dict[str, int]:
    """How many misses each cause is the largest part of."""
    found: dict[str, int] = {}
    for one in misses(source, blur, key):
        cause = parts(one, key)[0].cause
        found[cause] = found.get(cause, 0) + 1
    return found


def grounds(source: str) -> list[str]:
    """How many lines hold what the cook put in, by the ground of their weight: foods told, amounts blurred."""
    found: dict[str, list[tuple[bool, float, float]]] = {}
    for one in complete(source, "amounts"):
        for put, record in zip(one.dish.puts, one.result.stages[0].records, strict=True):
            grams, low, high = record.grams, record.low, record.high
            if grams and low is not None and high is not None:
                seen = low <= put.grams * 1.001 and put.grams * 0.999 <= high, (high - low) / grams, grams / put.grams
                found.setdefault(str(record.foods[0].weight.ground), []).append(seen)
    return [
        f"  {ground}: {len(some)} lines, {100 * mean(held for held, *_ in some):.0f} % inside, median width "
        f"{100 * median(width for _, width, _ in some):.0f} %, ours / theirs {median(ratio for *_, ratio in some):.2f}"
        for ground, some in sorted(found.items(), key=lambda item: -len(item[1]))
    ]


def report(source: str, number: int) -> str:
    """The lines by ground, then the worst misses of each figure with their largest parts."""
    lines = [
        f"{len(written(source))} written dishes",
        "what the cook put in against the range of its line",
        *grounds(source),
    ]
    for key, (name, *_) in FIGURES.items():
        missed = misses(source, "foods and amounts", key)
        lines += ["", f"{name}: {len(missed)} outside, by {causes(source, 'foods and amounts', key)}"]
        for one in list({one.dish.code: one for one in reversed(missed)}.values())[::-1][:number]:
            held = one.figures[key]
            told = f"published {held.true:.4g}, ours {held.value:.4g} ({held.low:.4g} to {held.high:.4g})"
            lines.append(f"  {one.dish.code} {one.dish.name[:70]}: {told}, {times_out(held):.1f} times out")
            lines += [f"      {part.adds:+.4g} {part.cause}: {part.what}" for part in parts(one, key)[:2]]
    return "\n".join(lines)


if __name__ == "__main__":
    print(report("extract", int(sys.argv[1]) if len(sys.argv) > 1 else NUMBER))
