"""From clauses to steps: what is done, to which lines, how long, and what happens to liquid and fat."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import replace

from nutrilab.method import words as known
from nutrilab.method.clauses import Clause, clauses
from nutrilab.method.naming import Lines
from nutrilab.method.times import degrees, minutes
from nutrilab.method.values import Named, Step
from nutrilab.method.words import role
from nutrilab.recipe import Line
from nutrilab.text import words

MOST_STEPS = 400  # of one method; a long one has some sixty
HEATING = ("cook", "brown", "toast", "wilt", "boil up", "reduce", "flame")
_WATER = re.compile(
    r"(\d{1,5}(?:[.,]\d{1,2})?|½|¼|¾|half a|a|one|two)\s?(ml|millilitres?|l|litres?|pints?|cups?)\s(?:of\s)?"
    r"(?:(?:just[ -]|freshly )?(?:boiled|boiling|cold|hot|warm|lukewarm|tepid|fresh|more)\s)*water\b",
    re.IGNORECASE,
)
_LITRES = {"m": 1.0, "l": 1000.0, "p": 568.0, "c": 250.0}  # [ml]; UK pint, metric cup (handbook, section 5)
_NUMBERS = {"½": 0.5, "¼": 0.25, "¾": 0.75, "half a": 0.5, "a": 1.0, "one": 1.0, "two": 2.0}
_MADE = (
    "sauce|gravy|dressing|filling|topping|batter|dough|pastry|mash|marinade|crumble|custard|icing|rice|salsa|relish|"
    "syrup|roux|base|crust|stuffing|salad|glaze|dumplings"
)
_LABEL = re.compile(
    rf"\b(?:for|make|prepare|making|to|into) (?:the |a |an |your )((?:[a-z-]+ ){{0,2}}?(?:{_MADE}))\b", re.IGNORECASE
)
_OVEN = re.compile(r"\b(?:in|into|to|on|onto) (?:the|a|an) (?:[\w-]+ ){0,4}oven\b", re.IGNORECASE)
_GRILL = re.compile(r"\b(?:under|beneath) (?:the|a|an) (?:[\w-]+ ){0,3}(?:grill|broiler)\b", re.IGNORECASE)
_THROWN = role("thrown")
_AT = {
    ("oven",): "baked", ("grill",): "grilled", ("barbecue",): "grilled", ("bbq",): "grilled", ("hob",): "simmered",
    ("microwave",): "microwaved", ("slow", "cooker"): "stewed", ("pressure", "cooker"): "stewed",
    ("air", "fryer"): "roasted", ("steamer",): "steamed",
}  # fmt: skip
_SHORT_PLACE = re.compile(
    r"[\W\d]*(?:then |into |in |on |under |the |a |low |hot |medium )*"
    r"(oven|grill|barbecue|bbq|hob|microwave|slow cooker|pressure cooker|air fryer|steamer)\b",
    re.IGNORECASE,
)
_NOT_NEAR = 2  # words behind the verb in which "not" is about it
_OWN_POT = re.compile(r"\bin an? (?:[\w-]+,? ){0,4}(?:pan|saucepan|pot|bowl|wok|skillet|casserole)\b", re.IGNORECASE)
_SALT = re.compile(
    r"\bsalt\b[^.;]{0,40}\bwater\b|\bwater\b[^.;]{0,40}(?<!no )(?<!without )\bsalt\b|\bsalt it\b", re.IGNORECASE
)
_IN_FAT = re.compile(r"\bin (?:the |hot |some )*(?:oil|fat|dripping|lard|fryer|frier)\b", re.IGNORECASE)
_BOARD = role("surface") | role("form of tin")
_TOGETHER = ("mix", "marinate", "top", "add")
_BEFORE = (*HEATING, "drain", "remove", "mix", "add")  # verbs whose food may stand before: "rice in, stir"
_FAT = role("fat")
_GOES_ON = ("with", "through", "into", "in", "together", "over", "on")  # "mash with the butter": what is at hand, and


def steps_of(method: Iterable[Line], lines: Sequence[Named]) -> tuple[Step, ...]:
    """The steps of a method in order; one not understood is among them, with its text."""
    book = Lines(lines)
    used: set[int] = set()
    found: list[Step] = []
    for clause in clauses(method):
        if len(found) >= MOST_STEPS:
            found.append(Step(clause.text, clause.line))  # listed, not read: no method is that long
            break
        step = _step(clause, book, frozenset(used))
        if step is None:
            continue
        if _only_time(step, clause) and found and found[-1].does in HEATING and found[-1].minutes is None:
            found[-1] = replace(found[-1], minutes=step.minutes)  # "it'll take about twenty minutes"
            step = replace(step, does="prepare", minutes=None)
        put = found[-1].method if found and found[-1].does in ("top", "add") else ""
        if clause.verb_words == ("leave",) and put and step.minutes is not None and not step.foods:
            step = replace(step, does="cook", method=put)  # "leave it there for 35 minutes"
        used.update(step.foods)
        found.append(step)
    return tuple(found)


def _step(clause: Clause, book: Lines, used: frozenset[int]) -> Step | None:
    after = clause.tokens[len(clause.verb_words) :] if clause.verb else clause.tokens
    coats = clause.verb_words == ("flour",) and _BOARD.isdisjoint(after)  # "flour the pork" is with the flour
    said = book.spoken((*clause.verb_words, *after) if coats else after, used, _label(clause, book))
    base = Step(clause.text, clause.line)
    if clause.verb is None:
        # A sentence that names no food and does nothing ("The crust should be golden") is listed all the same.
        return _without_verb(base, clause, said.foods)
    whole = (*clause.before, *clause.tokens)
    values = known.settings(whole)
    near = (*clause.before, *clause.verb_words, *after[:_NOT_NEAR])
    if "not" in known.settings(near) and "without fat" not in values:
        return replace(base, does="prepare")
    before = book.spoken(clause.before, used)
    foods = said.foods or (before.foods if not said.all_foods and clause.verb.does in _BEFORE else ())
    if clause.verb.does in _TOGETHER and after[:1] == ("with",):
        foods = tuple(dict.fromkeys((*before.foods, *foods)))  # "dry the wings and toss with the salt"
    label = _label(clause, book)
    base = replace(base, shares=said.shares, rest=said.rest, kept=said.kept, all_foods=said.all_foods, foods=foods)
    step = replace(
        base,
        does=_does(clause, after),
        method=clause.verb.method,
        pronoun=said.pronoun or (bool(after) and after[0] in _GOES_ON and not before.labels),
        minutes=minutes(clause.text),
        degrees=degrees(clause.text),
        covered={"yes": True, "no": False}.get(values.get("covered", "")),
        reduced=known.reduction(whole),
        label=label,
        speaks=said.labels or (before.labels if not foods else ()),
        elsewhere=("elsewhere" in values or bool(_OWN_POT.search(clause.text))) and "into" not in values,
        into="into" in values,
        water=_water(clause.text),
        salted=("salted" in values or bool(_SALT.search(clause.text))) and "unsalted" not in values,
        deep="deep" in values,
        paper="paper" in values,
        fat=said.fat,
        without_fat="without fat" in values,
        hob="hob" in values,
        sets="sets" in values,
    )
    place = values.get("method", "") or _place_of(clause.text)
    place = "baked" if place == "poached" and _OVEN.search(clause.text) else place  # a water bath in the oven
    if clause.verb_words[:1] == ("give",) and place and step.minutes is not None:
        step = replace(step, does="cook")  # "give it ten minutes in the oven"
    return _with_place(step, clause.verb.method, place)


def _without_verb(base: Step, clause: Clause, foods: tuple[int, ...]) -> Step | None:
    """A step in the shorthand of a kitchen: "oven 150C, 3 hrs, lid on", "stock and saffron in"."""
    place, time = _SHORT_PLACE.match(base.text), minutes(base.text)
    if place and time is not None:
        lid = {"yes": True, "no": False}.get(known.settings(clause.tokens).get("covered", ""))
        return replace(base, does="cook", method=_AT[words(place[1])], minutes=time, pronoun=True, covered=lid)
    if foods and (clause.tokens[-1] in ("in", "on") or time is not None):
        return replace(base, does="add", foods=foods, minutes=time)
    return base if _worth_listing(clause) else None


def _does(clause: Clause, after: Sequence[str]) -> str:
    """What the verb does; what is thrown "away" is thrown away, whatever stands between."""
    does = clause.verb.does if clause.verb else ""
    if clause.verb_words[:1] and clause.verb_words[0] in _THROWN and does in ("add", "top", "mix", "pour off"):
        away = next((n for n, word in enumerate(after) if word == "away"), None)
        if away is not None and after[away + 1 : away + 2] != ("from",):
            return "discard"
    return does


def _place_of(text: str) -> str:
    """The method of an oven or a grill, whatever words stand before it: "under a very hot grill"."""
    return "baked" if _OVEN.search(text) else "grilled" if _GRILL.search(text) else ""


def _only_time(step: Step, clause: Clause) -> bool:
    """Whether a step says no more than how long it takes."""
    return clause.verb_words[:1] == ("take",) and step.minutes is not None and not step.foods


def _with_place(step: Step, method: str, place: str) -> Step:
    """The step with the method its place gives where its verb says none, or says less."""
    if step.does in ("drain", "pour off", "skim"):
        said = set(words(step.text))
        if step.fat or not said.isdisjoint(_FAT):
            return replace(step, does="pour off" if step.does != "skim" else "skim")
        return replace(step, does="skim" if step.does == "skim" else "drain")
    if step.does == "warm":
        return step
    if step.deep and step.does in ("cook", "brown", "heat"):
        return replace(step, method="deep-fried")
    if step.does == "cook" and method == "boiled" and _IN_FAT.search(step.text):
        return replace(step, method="deep-fried")  # "blanch the chips in the oil"
    if not place:
        return step
    if step.does == "wilt" and place == "steamed":
        return replace(step, does="warm")  # chocolate melts over simmering water; no steam gets at it
    if step.does in ("cook", "wilt") and not method:
        return replace(step, does="cook", method=place)
    if step.does == "cook" and method == "pan-fried" and place in ("stir-fried", "deep-fried"):
        return replace(step, method=place)
    hot = place in ("baked", "roasted", "microwaved", "grilled", "deep-fried", "steamed", "stewed")
    lies = place == "pan-fried" and not {"oil", "fat", "pan"}.isdisjoint(words(step.text))
    if step.does in ("top", "add", "remove") and (hot or lies) and step.minutes:
        return replace(step, does="cook", method=place)  # "return to the oven for 20 minutes"
    if step.does in ("top", "add") and hot:
        return replace(step, method=place)  # "slide under the grill", and the next step cooks there
    if (
        step.does in ("top", "remove", "rest")
        and place in ("baked", "grilled")
        and "oven" in step.text.lower()
        and step.minutes
    ):
        return replace(step, does="cook", method=place)
    return step


def _worth_listing(clause: Clause) -> bool:
    return len([w for w in clause.tokens if w.isalpha()]) >= 3


def _label(clause: Clause, book: Lines) -> str:
    """What the step makes, by its own words or the heading it stands under."""
    for label in (" ".join(w for w in clause.before), clause.text):
        if (
            (found := _LABEL.search(label))
            and clause.verb
            and clause.verb.does not in ("add", "top", "remove", "serve")
        ):
            return words(found[1])[-1]
    return clause.heading


def _water(text: str) -> float:
    """Water that a step pours in [ml]."""
    total = 0.0
    for one in _WATER.finditer(text):
        number = _NUMBERS.get(one[1].lower())
        total += (number if number is not None else float(one[1].replace(",", "."))) * _LITRES[one[2][0].lower()]
    return total
