"""Layers around food, by what they are: flour, egg, crumbs, a batter, a marinade, salt that is rinsed off."""

from __future__ import annotations

from collections.abc import Sequence

from nutrilab.cooking.happening import Happening
from nutrilab.cooking.media import FRIED, Item, Pot
from nutrilab.cooking.steps import lose_water
from nutrilab.cooking.uptake import find
from nutrilab.cooking.work import Work
from nutrilab.messages import as_grams, say

CRUMBS = frozenset("crumb breadcrumb breadcrumbs panko crumbs matzo cornflake cornflakes oatmeal".split())
BEER = frozenset(("water", "beer", "ale", "lager", "buttermilk", "soda"))
WET = ("water", "milk", "wine", "stock")
COAT, BATTER = 0.03, 0.5  # share of flour in what is fried from which it is a coat; liquid by flour from which a batter


def coat_of(pot: Pot) -> str:
    """What fried food has on it: "battered" (flour and a liquid), "coated" (crumbs, flour and egg), "floured" or ""."""
    there = [*pot.foods, *pot.coating]
    flour = [i for i in there if i.is_any("flour") or i.says(*CRUMBS)]
    grams = sum(i.batch.mass for i in flour)
    if grams < COAT * sum(i.batch.mass for i in there):
        return ""
    if any(i.says(*CRUMBS) for i in flour):
        return "coated"
    if sum(i.batch.mass for i in there if i.is_any(*WET) or i.says(*BEER)) >= BATTER * grams:
        return "battered"
    return "coated" if any(i.is_any("egg") for i in there) else "floured"


def layers(work: Work) -> list[tuple[str, Happening, list[Item]]]:
    """What stays on the food by its table: the process of data/uptake.csv, its name, the items; in order."""
    found = [_marinade(work.pot.marinade)] if work.pot.marinade else []
    coating = list(work.pot.coating)
    if not coating:
        return found
    if not work.cooking.coating:
        return [*found, ("coating", Happening.COATING, coating)]
    crumbs = [i for i in coating if i.says(*CRUMBS)]
    rest = [i for i in coating if i not in crumbs]
    if any(i.is_any(*WET) or i.says(*BEER) for i in rest) and any(i.is_any("flour") for i in rest):
        return [*found, ("batter", Happening.BATTER, rest), ("coating-crumb", Happening.CRUMBS, crumbs)]
    egg = [i for i in rest if i.is_any("egg", "milk")]
    flour = [i for i in rest if i not in egg]
    return [
        *found,
        ("coating-flour", Happening.FLOUR, flour),
        ("coating-egg", Happening.EGG, egg),
        ("coating-crumb", Happening.CRUMBS, crumbs),
    ]


def _marinade(items: Sequence[Item]) -> tuple[str, Happening, list[Item]]:
    salt = all(i.kind == "salt" or i.says("sugar") for i in items) and any(i.kind == "salt" for i in items)
    return ("rinsed-salt", Happening.SALT, list(items)) if salt else ("marinade", Happening.MARINADE, list(items))


def dry_batter(work: Work, water: float) -> None:
    """Water that leaves a batter in hot oil: its own, for the yields are those of the food inside; water [g] in it."""
    row = find("batter-water", "any")
    if row is None or work.cooking.method not in FRIED or water <= 0:
        return
    grams = row.value * water
    work.batch, flow = lose_water(work.batch, min(grams, work.batch.get("WATER")))
    ends = [(name, water * (row.value - row.low), water * (row.high - row.value)) for name in ("mass", "WATER")]
    work.batch = work.batch.widened(work.source(Happening.WATER_OF_BATTER), ends)
    words = say("cooking.batter-dries", water=as_grams(flow.water))
    work.step(Happening.WATER_LOST, "lost", flow, words, source=row.source)


def draw(work: Work) -> None:
    """Water that salt draws out of cold vegetables before it is rinsed off."""
    row = find("salt-drawn", "any")
    mass = sum(i.batch.mass for i in work.pot.foods if i.is_any("vegetable"))
    if row is None or mass <= 0:
        return
    work.batch, flow = lose_water(work.batch, min(row.value * mass, work.batch.get("WATER")))
    ends = [(name, mass * (row.value - row.low), mass * (row.high - row.value)) for name in ("mass", "WATER")]
    work.batch = work.batch.widened(work.source(Happening.WATER_SALT_DRAWS), ends)
    words = say("cooking.salt-draws-water", water=as_grams(flow.water))
    work.step(Happening.WATER_LOST, "lost", flow, words, source=row.source)
