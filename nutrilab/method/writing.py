"""From what is cooked together to the stages of a recipe, each with its cooking and what was read of it."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction

from nutrilab.messages import say
from nutrilab.method.heats import is_bath
from nutrilab.method.leaving import coating_of, is_fat
from nutrilab.method.pots import FRYING, LIQUID, WET, Event, is_liquid
from nutrilab.method.stages import Segment, minutes_of
from nutrilab.method.values import AsRead, Fact, Named, Step, What
from nutrilab.recipe import Cooking, Line, Method, Part, Stage, stage_key
from nutrilab.recipe.values import FINEST
from nutrilab.text import words

SALTED = (
    8.4  # [g/l] CoFID 11-721 and 11-720: pasta takes up 3.3 mg sodium with a gram of salted water (data/uptake.csv)
)
FRIED = (*FRYING, "deep-fried")
DRAINED_ANYWAY = ("pasta", "potato", "vegetable", "egg", "rice-noodle")  # boiled alone, in water that nobody lists
BATH = 150.0  # [g] of oil that food is fried in, not marinated (as cooking.media has it)
SOAKED = 2.0  # g of soaked pulses from a gram of dry ones (common practice, no source)
DISSOLVED = 0.62  # [ml] that a gram of sugar takes in water (from memory: partial specific volume of sucrose)
SYRUP = 0.2  # share of the water from which sugar makes a syrup of it (common practice, no source)
JAM = 0.25  # share of sugar from which what sets is a jam (common practice, no source)
SOLIDS = (
    0.695,
    0.65,
    0.72,
)  # share of jam that is no water (SR28 19297, 30.5 g in 100 g); low, high from memory
FRUIT = 0.1  # share of fruit that is no water (SR28: strawberry 9 %, plum 13 %)
MOST_REDUCED = 0.95  # share of the liquid: some always stays
SOLID = ("meat", "poultry", "fish", "shellfish", "offal", "tofu", "vegetable", "potato", "cheese", "egg", "sausage")


@dataclass(slots=True)
class Writer:
    """Segments to stages with names of their own."""

    lines: Mapping[int, Named]
    stages: list[Stage]
    read: list[AsRead]
    names: set[str]
    thrown: Mapping[int, Step] = field(default_factory=dict)
    rinsed: Mapping[int, Step] = field(default_factory=dict)
    soaked: Collection[int] = ()

    def write(self, one: Segment, name: str) -> str:
        """Write a segment and those before it; returns the name of its stage."""
        taken = [self.write(before, self._name(before)) for before in one.before]
        numbers = sorted(one.lines, key=lambda n: (self.lines[n].origin, n))
        entries: list[Line | Part] = [Part(f"all of {other}", other, 1.0) for other in taken]
        entries += self._entries(numbers)
        if water := one.water + self._soaked(one):
            entries.append(Line(f"{water:.0f} ml water"))
        cooking, facts = cooking_of(one, self.lines, self.thrown, self.rinsed)
        self.stages.append(Stage(name, tuple(entries), cooking))
        foods = tuple(dict.fromkeys(self._called(n, entries) for n in numbers))
        steps = dict.fromkeys(event.step for event in one.events if event.step is not None)
        self.read.append(AsRead(name, (*taken, *foods), facts, tuple(steps)))
        return name

    def _soaked(self, one: Segment) -> float:
        """Water that dry pulses took up before [g], where no yield from dry to boiled counts it: falafel."""
        wet = one.water or any(is_liquid(self.lines[n]) for n in one.lines)
        if one.method in WET and (one.drained or not wet):
            return 0.0
        return sum((SOAKED - 1) * self.lines[n].grams for n in one.lines if self._dry_pulse(n))

    def _dry_pulse(self, number: int) -> bool:
        return number in self.soaked and self.lines[number].is_any("pulses")

    def _entries(self, numbers: Sequence[int]) -> list[Line]:
        """The lines, each once: parts of one that came together again are one."""
        shares: dict[int, Fraction] = {}
        for n in numbers:
            one = self.lines[n]
            shares[one.origin] = shares.get(one.origin, Fraction(0)) + Fraction(one.share).limit_denominator(FINEST)
        return [Line(self.lines[n].text, self.lines[n].line, _share(share)) for n, share in shares.items()]

    def _called(self, number: int, entries: Sequence[Line | Part]) -> str:
        """A line by its name, with the share of it that is in: "1/2 of the butter"."""
        one = self.lines[number]
        name = " ".join(one.names[0]) if one.names else one.text
        entry = next((e for e in entries if isinstance(e, Line) and (e.text, e.line) == (one.text, one.line)), None)
        return name if entry is None or entry.share == 1 else replace(entry, text=f"the {name}").written

    def _name(self, one: Segment) -> str:
        """A name for a stage: its heading, what the method calls it, else its heaviest food; with its method."""
        headings = {self.lines[n].heading for n in one.all_lines()}
        stays = [n for n in one.all_lines() if n not in self.thrown] or one.all_lines()
        numbers = sorted(stays, key=lambda n: (self.lines[n].is_any(*LIQUID, "oil"), -self.lines[n].grams))
        first = next((self.lines[n].names[0] for n in numbers if self.lines[n].names), ("part",))
        label = one.label or ("stock" if one.strained and set(stays) < set(one.all_lines()) else "")
        called = ((headings.pop() if len(headings) == 1 else "") or label, " ".join(first))
        base = next(
            (n for n in called if n and stage_key(n) not in self.names), f"{called[1]}, {one.method or 'mixed'}"
        )
        name, count = base, 2
        while stage_key(name) in self.names:
            name, count = f"{base} {count}", count + 1
        self.names.add(stage_key(name))
        return name


def _share(share: Fraction) -> float:
    """A share that a recipe file can say; parts that make all but the whole line are the whole."""
    return 1.0 if share > 1 - Fraction(2, FINEST) else float(share.limit_denominator(FINEST))


def cooking_of(
    one: Segment,
    lines: Mapping[int, Named],
    thrown: Mapping[int, Step] | None = None,
    rinsed: Mapping[int, Step] | None = None,
) -> tuple[Cooking, tuple[Fact, ...]]:
    """How a segment was cooked, and each thing that was read of it with its sentence.

    thrown, rinsed: lines that are thrown away, and salt that is rinsed off, by the steps that say so.
    """
    away, salt = ({n: of[n] for n in one.lines if n in of} for of in (thrown or {}, rinsed or {}))
    if not one.method:
        return _unheated(lines, salt)
    steps = [event.step for event in one.events if event.step is not None]
    coat, coating = coating_of(one, lines)
    drained = one.drained or _boiled_alone(one, lines)
    poured = next((s for s in steps if s.does == "pour off" or (s.does in ("skim", "discard") and is_fat(s))), None)
    off, by = _boiled_off(one, lines)
    listed = any(lines[n].is_any("salt") and lines[n].grams for n in one.lines)  # then that is the salt in the water
    salted = next((s for s in steps if s.salted), None) if drained and not listed else None
    flamed = next((s for s in steps if s.does == "flame"), None)
    marinade, left = _marinade(one, steps, lines)
    if salt and marinade is None:
        marinade, left = next(iter(salt.values())), tuple(lines[n].text for n in salt)
    fat = _left_fat(one, steps, lines)
    cooking = Cooking(
        method=Method(one.method),
        minutes=None if one.minutes is None else round(one.minutes, 2),  # as a recipe file can say it
        drained=drained,
        covered=_covered(one),
        salted_water=SALTED if salted is not None else None,
        flamed=flamed is not None,
        fat_poured=poured is not None,
        boiled_off=off,
        marinade=(*left, *(text for text in fat if text not in left)),
        coating=tuple(lines[n].text for n in coating),
        thrown=tuple(lines[n].text for n in away),
        read=True,
    )
    told = {What.FAT_POURED: poured, What.BOILED_OFF: by, What.SALTED: salted, What.FLAMED: flamed, What.COATED: coat}
    told |= {What.MARINADE: marinade, What.THROWN: next(iter(away.values()), None)}
    return cooking, _facts(one, cooking, steps, told, left, fat)


def _unheated(lines: Mapping[int, Named], salt: Mapping[int, Step]) -> tuple[Cooking, tuple[Fact, ...]]:
    """What is put together cold, without the salt that was rinsed off."""
    facts = tuple(Fact(What.SALT_RINSED, lines[n].text, by.text, by.line) for n, by in salt.items())
    return Cooking(method=Method.RAW, marinade=tuple(lines[n].text for n in salt), read=True), facts


def _facts(
    one: Segment,
    cooking: Cooking,
    steps: Sequence[Step],
    told: Mapping[What, Step | None],
    left: Sequence[str],
    fat: Sequence[str],
) -> tuple[Fact, ...]:
    """What a cooking says, each thing with the step it was read from; told: the steps of some of them."""
    cause = next((event.step for event in one.heats if event.method == one.method), None)
    timed = next((e.step for e in one.heats if e.step and e.step.minutes is not None), None) if one.minutes else None
    drain = next((event.step for event in one.events if event.what == "drain"), None)
    lid = cooking.covered
    covered = next((s for s in steps if lid is not None and (s.covered is lid or s.does == "cover")), None)
    off = cooking.boiled_off
    values = {
        What.METHOD: (one.method, cause),
        What.MINUTES: (f"{one.minutes or 0:g}", timed),
        What.COVERED: ("yes" if lid else "no", covered),
        What.DRAINED: ("yes", drain),
        What.FAT_POURED: (say("method.but-a-tablespoon"), told[What.FAT_POURED]),
        What.BOILED_OFF: (f"{off[0]:.0f} g" if off else "", told[What.BOILED_OFF]),
        What.SALTED: (say("method.salt-a-litre", salt=f"{SALTED:g} g"), told[What.SALTED]),
        What.FLAMED: ("yes", told[What.FLAMED]),
        What.MARINADE: (", ".join(left), told[What.MARINADE]),
        What.FAT_LEFT: (", ".join(fat), cause if fat else None),
        What.COATED: (", ".join(cooking.coating), told[What.COATED]),
        What.THROWN: (", ".join(cooking.thrown), told[What.THROWN]),
    }
    return tuple(Fact(what, value, by.text, by.line) for what, (value, by) in values.items() if by is not None)


def _covered(one: Segment) -> bool | None:
    """Whether it is under a lid for the longer part; a lid stays till a step says otherwise."""
    state: bool | None = None
    time = {True: 0.0, False: 0.0}
    for event in one.events:
        if event.step is None:
            continue
        if event.step.covered is not None:
            state = event.step.covered
        elif event.step.does in ("cover", "uncover"):
            state = event.step.does == "cover"
        elif event.step.does in ("marinate", "soak"):
            state = None  # that was no lid
        if event.what == "heat" and state is not None:
            time[state] += minutes_of(event) or 1.0
    return time[True] > time[False] if any(time.values()) else state


def _boiled_alone(one: Segment, lines: Mapping[int, Named]) -> bool:
    """Whether food is boiled by itself in water nobody lists: it is drained though no step says so."""
    solid = [lines[n] for n in one.lines if not lines[n].is_any("salt", "oil")]
    if one.method != "boiled" or one.water or one.before or not solid:
        return False
    return all(line.is_any(*DRAINED_ANYWAY) for line in solid)


def _boiled_off(one: Segment, lines: Mapping[int, Named]) -> tuple[tuple[float, float, float] | None, Step | None]:
    """Water that the steps say is reduced away [g], low, high, and the last of them.

    Each reduction is of the liquid it names, else of the liquid that is in by then. "Thick" says nothing of water
    where flour or egg binds. Sugar that is dissolved takes its part of a syrup's volume; a jam that sets has its
    solids.
    """
    if set_jam := _set(one, lines):
        return set_jam
    bound = any(lines[n].is_any("flour", "egg") for n in one.all_lines())
    liquid = {n: lines[n].grams for n in one.all_lines() if is_liquid(lines[n])}
    left = dict(liquid)
    sugar = DISSOLVED * _sugar(one, lines)
    sugar = sugar if sugar > SYRUP * (sum(liquid.values()) + one.water) else 0.0
    low, high, grams, by = 0.0, 0.0, 0.0, None
    for event in one.heats:
        step = event.step
        if step is None or step.reduced is None or ("thick" in step.reduced.words and bound):
            continue
        named = [n for n in step.foods if n in left] or [n for n in one.before_event(event) if n in left] or list(left)
        mass = sum(left[n] for n in named) + (0.0 if step.foods else one.water + sugar)
        said = step.reduced
        grams, low, high, by = grams + said.share * mass, low + said.low * mass, high + said.high * mass, step
        left |= {n: left[n] * (1 - said.share) for n in named}
    most = MOST_REDUCED * (sum(liquid.values()) + one.water)
    if grams <= 0:
        return None, None
    off, least, up_to = (round(min(one, most), 1) for one in (grams, low, high))  # as a recipe file can say it
    return (off, least, up_to), by


def _sugar(one: Segment, lines: Mapping[int, Named]) -> float:
    """Sugar in a segment [g]."""
    return sum(lines[n].grams for n in one.all_lines() if any(name[-1] == "sugar" for name in lines[n].names))


def _set(one: Segment, lines: Mapping[int, Named]) -> tuple[tuple[float, float, float], Step] | None:
    """Water that is boiled off until a jam sets [g], low, high; None for no jam."""
    step = next((event.step for event in one.heats if event.step is not None and event.step.sets), None)
    mass = sum(lines[n].grams for n in one.all_lines()) + one.water
    sugar = _sugar(one, lines)
    if step is None or sugar < JAM * mass:
        return None
    solids = sugar + FRUIT * (mass - sugar)
    off, low, high = (max(0.0, mass - solids / share) for share in SOLIDS)
    return ((off, low, high), step) if off > 0 else None


def _marinade(one: Segment, steps: Sequence[Step], lines: Mapping[int, Named]) -> tuple[Step | None, tuple[str, ...]]:
    """The step by which a marinade stays behind, and the lines it is made of."""
    soaked = next((event for event in one.events if event.step and _marinates(event.step)), None)
    if soaked is None or soaked.step is None:
        return None, ()
    after = steps[steps.index(soaked.step) :]  # what is shaken off was a marinade, whatever it was called before
    away = next((s for s in after if s.does in ("discard", "drain", "remove", "pour off") and _of_marinade(s)), None)
    there = _with_marinade(one, soaked)
    if away is None and _left_behind(
        one, soaked.step, [s for s in after if s is not soaked.step], [n for n in there if not lines[n].is_any(*SOLID)]
    ):
        away = soaked.step
    if away is None:
        return None, ()
    bath = {n for n in there if lines[n].is_any("oil") and one.method in FRIED and lines[n].grams >= BATH}
    left = tuple(lines[n].text for n in there if not lines[n].is_any(*SOLID) and n not in bath)
    return away, left


def _left_fat(one: Segment, steps: Sequence[Step], lines: Mapping[int, Named]) -> tuple[str, ...]:
    """The lines of fat that food is cooked in, not fried, and lifted out of: a confit."""
    if one.method in FRIED:
        return ()
    there = [lines[n] for n in one.all_lines()]
    return tuple(lines[n].text for n in one.lines if is_bath(lines[n], there, steps, hot=True))


def _left_behind(one: Segment, soaked: Step, after: Sequence[Step], there: Sequence[int]) -> bool:
    """Whether a marinade stays behind though no step says so: a brine always, another where the food is then grilled
    or fried and nothing more is said of it.
    """
    if "brine" in words(soaked.text):
        return True
    spoken = any(_of_marinade(step) or step.all_foods or set(step.foods) & {*there} for step in after)
    return one.method in ("grilled", "pan-fried", "deep-fried") and not spoken


def _with_marinade(one: Segment, soaked: Event) -> list[int]:
    """Lines that were in when it was marinated, those that went in by that step among them."""
    at = max(n for n, event in enumerate(one.events) if event is soaked or event.step is soaked.step)
    return [event.number for event in one.events[: at + 1] if event.what == "line"]


def _marinates(step: Step) -> bool:
    return step.does == "marinate" or (step.does == "discard" and _of_marinade(step))


def _of_marinade(step: Step) -> bool:
    return "marinade" in step.text.lower() or "brine" in step.text.lower()
