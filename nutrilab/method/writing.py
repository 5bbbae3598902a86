"""From what is cooked together to the stages of a recipe, each with its cooking and what was read of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from nutrilab.method.pots import LIQUID, Event
from nutrilab.method.stages import Segment, minutes_of
from nutrilab.method.values import AsRead, Fact, Named, Step
from nutrilab.recipe import Cooking, Line, Method, Part, Stage, stage_key

SALTED = (
    8.4  # [g/l] CoFID 11-721 and 11-720: pasta takes up 3.3 mg sodium with a gram of salted water (data/uptake.csv)
)
DRAINED_ANYWAY = ("pasta", "potato", "vegetable", "egg", "rice-noodle")  # boiled alone, in water that nobody lists
MOST_REDUCED = 0.95  # share of the liquid: some always stays
SOLID = ("meat", "poultry", "fish", "shellfish", "offal", "tofu", "vegetable", "potato", "cheese", "egg", "sausage")


@dataclass(slots=True)
class Writer:
    """Segments to stages with names of their own."""

    lines: Mapping[int, Named]
    stages: list[Stage]
    read: list[AsRead]
    names: set[str]

    def write(self, one: Segment, name: str) -> str:
        """Write a segment and those before it; returns the name of its stage."""
        taken = [self.write(before, self._name(before)) for before in one.before]
        numbers = sorted(one.lines)
        entries: list[Line | Part] = [Part(f"all of {other}", other, 1.0) for other in taken]
        entries += [Line(self.lines[n].text, self.lines[n].line) for n in numbers]
        if one.water:
            entries.append(Line(f"{one.water:.0f} ml water"))
        cooking, facts = cooking_of(one, self.lines)
        self.stages.append(Stage(name, tuple(entries), cooking))
        foods = tuple(" ".join(self.lines[n].names[0]) if self.lines[n].names else self.lines[n].text for n in numbers)
        steps = dict.fromkeys(event.step for event in one.events if event.step is not None)
        self.read.append(AsRead(name, (*taken, *foods), facts, tuple(steps)))
        return name

    def _name(self, one: Segment) -> str:
        """A name for a stage: its heading, what the method calls it, else its heaviest food; with its method."""
        headings = {self.lines[n].heading for n in one.all_lines()}
        numbers = sorted(one.all_lines(), key=lambda n: (self.lines[n].is_any(*LIQUID, "oil"), -self.lines[n].grams))
        first = next((self.lines[n].names[0] for n in numbers if self.lines[n].names), ("part",))
        called = ((headings.pop() if len(headings) == 1 else "") or one.label, " ".join(first))
        base = next(
            (n for n in called if n and stage_key(n) not in self.names), f"{called[1]}, {one.method or 'mixed'}"
        )
        name, count = base, 2
        while stage_key(name) in self.names:
            name, count = f"{base} {count}", count + 1
        self.names.add(stage_key(name))
        return name


def cooking_of(one: Segment, lines: Mapping[int, Named]) -> tuple[Cooking, tuple[Fact, ...]]:
    """How a segment was cooked, and each thing that was read of it with its sentence."""
    method = one.method
    if not method:
        return Cooking(method=Method.RAW, read=True), ()
    steps = [event.step for event in one.events if event.step is not None]
    drained = one.drained or _boiled_alone(one, lines)
    covered = _covered(one)
    poured = next((s for s in steps if s.does == "pour off"), None)
    off, by = _boiled_off(one, lines)
    salted = next((s for s in steps if s.salted), None) if drained else None
    flamed = next((s for s in steps if s.does == "flame"), None)
    marinade, left = _marinade(one, steps, lines)
    cause = next((event.step for event in one.heats if event.method == method), None)
    timed = next((e.step for e in one.heats if e.step and e.step.minutes is not None), None) if one.minutes else None
    drain = next((event.step for event in one.events if event.what == "drain"), None)
    lid = next((s for s in steps if covered is not None and (s.covered is covered or s.does == "cover")), None)
    told: list[tuple[str, str, Step | None]] = [
        ("method", method, cause),
        ("minutes", f"{one.minutes or 0:g}", timed),
        ("covered", "yes" if covered else "no", lid),
        ("drained", "yes", drain),
        ("fat poured off", "all but a tablespoon", poured),
        ("boiled off", f"{off[0]:.0f} g" if off else "", by),
        ("salted water", f"{SALTED:g} g salt a litre", salted),
        ("flamed", "yes", flamed),
        ("marinade left behind", ", ".join(left), marinade),
    ]
    facts = tuple(Fact(what, value, step.text, step.line) for what, value, step in told if step is not None)
    cooking = Cooking(
        method=Method(method),
        minutes=None if one.minutes is None else round(one.minutes, 2),  # as a recipe file can say it
        drained=drained,
        covered=covered,
        salted_water=SALTED if salted is not None else None,
        flamed=flamed is not None,
        fat_poured=poured is not None,
        boiled_off=off,
        marinade=left,
        read=True,
    )
    return cooking, facts


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
    where flour or egg binds.
    """
    bound = any(lines[n].is_any("flour", "egg") for n in one.all_lines())
    liquid = {n: lines[n].grams for n in one.all_lines() if lines[n].is_any(*LIQUID)}
    left = dict(liquid)
    low, high, grams, by = 0.0, 0.0, 0.0, None
    for event in one.heats:
        step = event.step
        if step is None or step.reduced is None or ("thick" in step.reduced.words and bound):
            continue
        named = [n for n in step.foods if n in left] or [n for n in one.before_event(event) if n in left] or list(left)
        mass = sum(left[n] for n in named) + (0.0 if step.foods else one.water)
        said = step.reduced
        grams, low, high, by = grams + said.share * mass, low + said.low * mass, high + said.high * mass, step
        left |= {n: left[n] * (1 - said.share) for n in named}
    most = MOST_REDUCED * (sum(liquid.values()) + one.water)
    if grams <= 0:
        return None, None
    off, least, up_to = (round(min(one, most), 1) for one in (grams, low, high))  # as a recipe file can say it
    return (off, least, up_to), by


def _marinade(one: Segment, steps: Sequence[Step], lines: Mapping[int, Named]) -> tuple[Step | None, tuple[str, ...]]:
    """The step by which a marinade stays behind, and the lines it is made of."""
    soaked = next((event for event in one.events if event.step and event.step.does == "marinate"), None)
    if soaked is None or soaked.step is None:
        return None, ()
    after = steps[steps.index(soaked.step) :]
    away = next((s for s in after if s.does in ("discard", "drain", "remove", "pour off") and _of_marinade(s)), None)
    if away is None:
        return None, ()
    there = _with_marinade(one, soaked)
    left = tuple(lines[n].text for n in there if not lines[n].is_any(*SOLID))
    return away, left


def _with_marinade(one: Segment, soaked: Event) -> list[int]:
    """Lines that were in when it was marinated, those that went in by that step among them."""
    at = max(n for n, event in enumerate(one.events) if event is soaked or event.step is soaked.step)
    return [event.number for event in one.events[: at + 1] if event.what == "line"]


def _of_marinade(step: Step) -> bool:
    return "marinade" in step.text.lower() or "brine" in step.text.lower()
