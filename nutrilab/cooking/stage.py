"""Cooking one stage: food and media in, retention, uptake, weight change, and the balance of it all."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import partial
from operator import is_

from nutrilab.cooking import retention, uncooked, uptake, weight, yields
from nutrilab.cooking.balance import doubts, refuse_impossible
from nutrilab.cooking.coats import coat_of, draw, dry_batter, layers
from nutrilab.cooking.errors import NO_SPREAD
from nutrilab.cooking.happening import Happening
from nutrilab.cooking.media import BATH, FRIED, Item, Pot, sort
from nutrilab.cooking.settle import drip, settle
from nutrilab.cooking.steps import NOTHING, Batch, lose_fat, mix, of_food, retain, take_up
from nutrilab.cooking.work import StageResult, Work
from nutrilab.lines import Purpose
from nutrilab.messages import as_grams, as_percent, listed, say
from nutrilab.recipe import Cooking, Method
from nutrilab.remarks import Code, InputError, Remark

__all__ = ["StageResult", "cook_stage"]

_NOT_SAID = Cooking()
_COLD = (None, Method.RAW)
WORTH_A_WORD = 0.01  # share of the cooked weight from which what is added after the weighing is named


def cook_stage(
    items: Sequence[Item],
    parts: Sequence[tuple[str, Batch]],
    cooking: Cooking | None,
    stage: str,
    dish: str = "",
) -> StageResult:
    """Cook one stage.

    items: the foods of its lines; parts: (words, batch) of stages made before; cooking: how, None if the recipe does
    not say; stage, dish: their names, by whose words the kind of dish is told when nothing was weighed.
    Raises InputError for what cannot be: more weight out than in with nothing added, more water lost than there was,
    more oil left than was poured, more fat drained than there was, more fat or solids than it weighs.
    """
    pot = _with_garnish(sort(items, [b for _, b in parts], cooking), cooking)
    work = Work(stage, pot, cooking or _NOT_SAID)
    foods = [_retain(work, i) for i in pot.foods]
    put_in = [*foods, *(_alcohol(work, b) for b in pot.parts)]
    work.batch = mix(put_in)
    oil = _oil(work)
    for process, name, items in layers(work):
        _coat(work, process, name, items)
    _throw(work)
    media = (*pot.liquid, *pot.marinade, *pot.coating, *pot.thrown)
    went_in = [*(i.batch for i in (*pot.foods, *media)), *pot.parts, *oil]
    raw = work.batch if len(went_in) == len(put_in) and all(map(is_, went_in, put_in)) else mix(went_in)
    _pour_fat(work)
    ground = settle(work, raw, cooking, (stage, dish) if dish else (stage,))
    added = _add(work)
    raw, cooked = raw + added, work.batch + added
    if cooked is not raw:
        refuse_impossible(raw, cooked)
    done = cooked.in_stage(stage)
    went = done if raw is cooked else raw.in_stage(stage)
    work.later(lambda: doubts(done, stage, _is_fat(pot)))
    left = mix(work.left).in_stage(stage)
    return StageResult(went, done, ground, tuple(work.steps), tuple(work.said), left, work.eaten)


def _is_fat(pot: Pot) -> bool:
    """Whether it is made of little but fats and oils."""
    return sum(i.batch.mass for i in pot.foods if i.is_any("oil")) > 0.8 * pot.food_mass


def _with_garnish(pot: Pot, cooking: Cooking | None) -> Pot:
    """The pot with what is added after cooking among its food, where the scales show that it was weighed with it."""
    after = cooking.weight_after if cooking else None
    if not pot.after or cooking is None or after is None or weight.may_gain(pot, cooking) or after <= pot.food_mass:
        return pot
    return replace(pot, foods=(*pot.foods, *pot.after), after=())


def _add(work: Work) -> Batch:
    """What is added after cooking and weighing: nothing of it is lost."""
    if not work.pot.after:
        return NOTHING
    added = mix(i.batch for i in work.pot.after)
    work.later(partial(uncooked.remarks, Pot(work.pot.after), ()))
    if work.cooking.weight_after is not None and added.mass >= WORTH_A_WORD * work.cooking.weight_after:
        named = listed(list(dict.fromkeys(i.put.name for i in work.pot.after)))
        work.say(
            Code.ADDED_AFTER_WEIGHING, say("cooking.added-after-weighing", foods=named, weight=as_grams(added.mass))
        )
    return added


def _retain(work: Work, one: Item) -> Batch:
    """Minerals and vitamins that stay, by ingredient, and the alcohol that does not."""
    food, cooking = one.put.food, work.cooking
    if food is None:
        return one.batch
    if one.put.retention_code is not None:
        row = retention.by_code(one.put.retention_code)
    elif one.batch.alcohol_in > 0 and one.batch.get("ALC") > 0:
        return _alcohol(work, one.batch)
    elif cooking.method in _COLD:
        return one.batch
    else:
        drained = cooking.drained or (one.is_any("pasta", "pulses") and not _poured_on(work.pot))
        row = retention.choose(food, cooking, drained)
    if row is None:
        return one.batch
    batch, flow = retain(one.batch, row.factors)
    salt = row.factors.get("NA", 1.0)
    words = say("cooking.vitamins-lost", food=one.put.name)
    if salt < 1:
        words = say("cooking.salt-left-behind", food=one.put.name, share=as_percent(1 - salt))
    work.step(Happening.LOST_IN_COOKING, "lost", flow, words, factor=salt, source=row.source)
    return batch


def _poured_on(pot: Pot) -> bool:
    return any(i.is_any(*weight.LIQUIDS) for i in (*pot.foods, *pot.liquid)) or bool(pot.parts)


def _alcohol(work: Work, batch: Batch) -> Batch:
    """Alcohol that is left after this stage, along the published curve from where it stood."""
    if batch.alcohol_in <= 0 or batch.get("ALC") <= 0:
        return batch
    before = min(1.0, batch.get("ALC") / batch.alcohol_in)
    after = retention.alcohol_left(work.cooking, before)
    if after >= before:
        return batch
    if work.cooking.minutes is None and not work.cooking.flamed and batch.get("ALC") > 1:
        words = say("cooking.no-minutes")
        if not any(isinstance(r, Remark) and r.code == Code.NO_MINUTES for r in work.said):
            work.say(Code.NO_MINUTES, words)
    changed, flow = retain(batch, {"ALC": after / before})
    words = say("cooking.alcohol-left", share=as_percent(after))
    source = say("cooking.by.code", table=retention.TITLE, codes="5001-5010")
    work.step(Happening.ALCOHOL_DRIVEN_OFF, "lost", flow, words, factor=after, source=source)
    return changed


def _oil(work: Work) -> list[Batch]:
    """Frying oil: what was absorbed counts, by the oil left in the pan, else as `_oil_wanted` has it.

    Returns what went in: what was poured; or, where the recipe gives no amount of oil, what was taken up.
    """
    pot, cooking = work.pot, work.cooking
    if not pot.oil:
        if cooking.method == Method.DEEP_FRIED:
            work.say(Code.NO_FRYING_OIL, say("cooking.no-frying-oil"))
        return []
    wanted, low, high, sources = _oil_wanted(work)
    open_ended = all(i.batch.mass == 0 for i in pot.oil)
    if open_ended:
        food = pot.oil[0].put.food
        if food is None:
            return []
        taken = of_food(food, wanted)
        work.add(taken, Happening.FRYING_OIL, wanted - low, high - wanted)
        work.eat(pot.oil, wanted, wanted - low, high - wanted)
        work.say(Code.FRYING_OIL_ESTIMATED, say("cooking.frying-oil-assumed", oil=as_grams(wanted)))
        return [taken]
    poured = mix([i.batch for i in pot.oil])
    if cooking.oil_left is not None:
        if cooking.oil_left > poured.mass:
            raise InputError(
                say("cooking.more-oil-left", left=as_grams(cooking.oil_left), poured=as_grams(poured.mass))
            )
        wanted = low = high = poured.mass - cooking.oil_left
        sources = say("cooking.by.oil-left")
    taken, left = take_up(poured, wanted)
    ends = (max(0.0, taken.mass - low), max(0.0, min(high, poured.mass) - taken.mass))
    work.add(replace(taken, spread=NO_SPREAD) if left.mass > 0 else taken, Happening.FRYING_OIL, *ends)
    work.eat(pot.oil, taken.mass, *ends)
    words = say("cooking.frying-oil", oil=as_grams(taken.mass), poured=as_grams(poured.mass))
    work.leave(Happening.FRYING_OIL, left, words, factor=taken.mass / max(pot.food_mass, 1e-9), source=sources)
    if left.mass > 0 and cooking.oil_left is None:
        said = say("cooking.frying-oil-estimated", oil=as_grams(taken.mass), poured=as_grams(poured.mass))
        work.say(Code.FRYING_OIL_ESTIMATED, said)
    return [poured]


def _oil_wanted(work: Work) -> tuple[float, float, float, str]:
    """What food takes up of frying oil [g], low, high, sources: by the table, or more where a weighing shows it.

    Nothing takes up water in a frying pan: fried food that weighs more than all else that went in holds oil.
    """
    coat = coat_of(work.pot)
    bath = any(i.put.reading.purpose == Purpose.DEEP_FRYING for i in work.pot.oil)
    bath = bath or any(i.batch.mass >= BATH for i in work.pot.oil)
    deep = bath or work.cooking.method not in (Method.PAN_FRIED, Method.STIR_FRIED)
    value, low, high, sources = _wanted(work, Method.DEEP_FRIED if deep else Method.PAN_FRIED, coat)
    with_coat = 1 + _sticks(work) / (work.pot.food_mass or 1.0)  # the coat takes up oil as what it is on
    value, low, high = value * with_coat, low * with_coat, high * with_coat
    after = work.cooking.weight_after if work.cooking.method in FRIED else None
    least = 0.0 if after is None else after - work.batch.mass - sum(i.batch.mass for i in work.pot.coating)
    return (least, least, max(high, least), say("cooking.by.cook")) if least > value else (value, low, high, sources)


def _sticks(work: Work) -> float:
    """What of the layers around food stays on it [g]."""
    coats = ((_wanted(work, process)[0], items) for process, _, items in layers(work) if process != "marinade")
    return sum(min(wanted, sum(i.batch.mass for i in items)) for wanted, items in coats)


def _wanted(work: Work, process: str, coat: str | None = None) -> tuple[float, float, float, str]:
    """What the food takes up by the table [g], low, high, sources; coat: what fried food has on it, None: not fried."""

    def row_of(kind: str) -> uptake.Uptake | None:
        return uptake.find(process, kind) if coat is None else uptake.of_frying(process, coat, kind)

    rows = [(i.batch.mass, row_of(i.kind)) for i in work.pot.foods if not i.is_any("oil", "salt")]
    if process != "rinsed-salt":
        rows += [(b.mass, row_of("")) for b in work.pot.parts]
    known = [(mass, row) for mass, row in rows if row is not None]
    value, low, high = (sum(mass * getattr(row, end) for mass, row in known) for end in ("value", "low", "high"))
    return value, low, high, "; ".join(dict.fromkeys(row.source for _, row in known))


def _throw(work: Work) -> None:
    """What the method throws away when it is cooked: bones, a bay leaf, the vegetables of a stock."""
    thrown = work.pot.thrown
    if not thrown:
        return
    away = mix([i.batch for i in thrown])
    work.eat(thrown, 0.0)
    said = listed(list(dict.fromkeys(i.put.name for i in thrown)))
    work.leave(
        Happening.THROWN_AWAY,
        away,
        say("cooking.thrown-away-step", foods=said, weight=as_grams(away.mass)),
        source=say("cooking.by.method"),
    )
    work.say(Code.THROWN_AWAY, say("cooking.thrown-away", foods=said, weight=as_grams(away.mass)))


def _coat(work: Work, process: str, name: Happening, items: Sequence[Item]) -> None:
    """A marinade or coating: what sticks to the food counts, the rest stays behind."""
    if not items:
        return
    put = mix([i.batch for i in items])
    wanted, low, high, sources = _wanted(work, process)
    taken, left = take_up(put, wanted)
    ends = (max(0.0, taken.mass - low), max(0.0, min(high, put.mass) - taken.mass))
    work.add(taken, name, *ends)
    work.eat(items, taken.mass, *ends)
    if process == "batter":
        dry_batter(work, taken.get("WATER"))
    if process == "rinsed-salt":
        draw(work)
    words = say("cooking.coat", taken=as_grams(taken.mass), put=as_grams(put.mass), what=name.words)
    work.leave(name, left, words, factor=taken.mass / max(work.pot.food_mass, 1e-9), source=sources)
    if left.mass > 0:
        code = Code.MARINADE_ESTIMATED if process == "marinade" else Code.COATING_ESTIMATED
        words = say("cooking.coat-estimated", taken=as_grams(taken.mass), put=as_grams(put.mass), what=name.words)
        work.say(code, words)


def _pour_fat(work: Work) -> None:
    """Fat the cook poured or skimmed off, weighed or only said."""
    grams = work.cooking.fat_drained
    if not grams:
        if work.cooking.fat_poured:
            _pour_unweighed(work)
        return
    try:
        work.batch, flow = lose_fat(work.batch, grams)
    except ValueError:
        fat = work.batch.get("FAT")
        raise InputError(say("cooking.more-fat-poured-off", poured=as_grams(grams), fat=as_grams(fat))) from None
    work.step(
        Happening.FAT_POURED_OFF,
        "lost",
        flow,
        say("cooking.fat-poured-off", fat=as_grams(grams)),
        source=say("cooking.by.fat-drained"),
    )


TABLESPOON = 13.6  # [g] of fat; "pour off the fat" leaves about as much in the pan (common practice, no source)


def _pour_unweighed(work: Work) -> None:
    """Fat poured off that nobody weighed: what melts out of the meat and the oil it was fried in, but a tablespoon."""
    sources, grams = [], -TABLESPOON
    for one in work.pot.foods:
        row, food = yields.drip_of(one.kind), one.put.food
        if row is not None and food is not None and one.raw:
            grams += row.lost(food.values.get("FAT", 0.0) / 100) * one.batch.mass
            sources.append(row.source)
        elif one.kind == "oil":
            grams += one.batch.get("FAT")
    if grams > 0:
        drip(work, min(grams, work.batch.get("FAT")), "; ".join(dict.fromkeys(sources)), poured=True)
