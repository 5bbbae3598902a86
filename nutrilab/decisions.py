"""What the cook decided once: ``decisions.yaml`` beside the recipes says what a name stands for, and what one weighs.

Beside a name stands one value: a food id, none, a weight, or an ingredient in plain words; or two of them in braces,
``onion: {food: sr:11282, weight: 180 g}``. A number with g or kg is a weight, a table's short name with a colon begins
a food id, none is none, and everything else is words.
"""

from __future__ import annotations

import codecs
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from textwrap import wrap
from typing import Any, Final

from data_loaders import disk
from nutrilab.files import content, text_of, there
from nutrilab.messages import say
from nutrilab.plain import quoted
from nutrilab.recipe import amounts
from nutrilab.remarks import InputError
from nutrilab.text import words
from nutrilab.writing import Written, alone

NAME = "decisions.yaml"
NONE: Final = "none"  # the name stands for no food
LARGEST = 1_000_000  # bytes
EXAMPLE = "sr:01053"  # a food id, to show what one looks like
WORDS = '{food: "home-made stock, no salt"}'
BOTH = "onion: {food: sr:11282, weight: 180 g}"
HEAVIEST = 100_000.0  # [g] of one piece
_OURS = frozenset("my our the".split())  # before a name they say nothing: "my onions"
_ID = re.compile(r"[a-z][a-z-]{0,20}:\S{1,2000}", re.IGNORECASE)
_WEIGHT = re.compile(r"\d[\d.,]*\s*(?:g|kg|grams?)", re.IGNORECASE | re.ASCII)
_KEYS = ("food", "weight")
_QUOTED_ID = re.compile(r"\{food: '([a-z-]+:[\w.-]+)', ", re.ASCII)  # which needs no quotes


@dataclass(frozen=True, slots=True, eq=False)
class Decisions(Mapping[str, str]):
    """Name -> food id, "none" or plain words; weights: name -> what one weighs as bought [g].

    file, lines: where each stands, lines from 1.
    """

    foods: Mapping[str, str] = field(default_factory=dict)
    file: Path | None = None
    lines: Mapping[str, int] = field(default_factory=dict)
    weights: Mapping[str, float] = field(default_factory=dict)

    def __getitem__(self, name: str) -> str:
        return self.foods[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self.foods)

    def __len__(self) -> int:
        return len(self.foods)

    @property
    def names(self) -> tuple[str, ...]:
        """All names something was decided of, in the order of the file."""
        return tuple(self.lines or dict.fromkeys((*self.foods, *self.weights)))


def key_of(name: str) -> tuple[str, ...]:
    """A name as decisions are looked up: its singular words, "my onions" as "onion"."""
    found = words(name)
    return found[1:] if len(found) > 1 and found[0] in _OURS else found


def is_id(value: str) -> bool:
    """Whether a decision's text is a food id, of whatever table."""
    return _ID.fullmatch(value) is not None


def without(decisions: Mapping[str, str], names: Iterable[str]) -> Decisions:
    """The decisions but for some names, each still where it stands."""
    gone = set(names)
    kept = {name: food for name, food in decisions.items() if name not in gone}
    return replace(decisions, foods=kept) if isinstance(decisions, Decisions) else Decisions(kept)


def fault(decisions: Mapping[str, str], name: str, message: str) -> InputError:
    """What is wrong with a decision, as a sentence with its file and line where they are known."""
    if isinstance(decisions, Decisions):
        return InputError(message, decisions.file, decisions.lines.get(name))
    return InputError(message)


def _head() -> str:
    """The remark at the head of a new file."""
    return "".join(f"# {line}\n" for line in wrap(say("decisions.head"), 110))


def _one_line() -> str:
    return say("decisions.one-line", food=EXAMPLE)


def weight_of(text: str) -> float | None:
    """ "180 g" -> 180.0 [g]; None for what is no weight. Raises ValueError for one that no piece has."""
    if not _WEIGHT.fullmatch(text.strip()):
        return None
    grams = amounts.weight(text)
    if grams > HEAVIEST:
        raise ValueError(say("decisions.too-heavy", weight=quoted(text)))
    return grams


def read_decisions(folder: Path) -> Decisions:
    """Decisions of a folder; empty when there is no such file.

    Raises InputError: not readable, no decision, a name twice.
    """
    path = folder / NAME
    return _parsed(content(path, LARGEST, InputError, say("thing.decisions")), path) if there(path) else Decisions()


def _parsed(data: bytes, path: Path) -> Decisions:
    from nutrilab.yaml_reader import document

    node = document(text_of(data, path), path)
    return Decisions(file=path) if node is None else _pairs(node, path)


def _pairs(node: Any, path: Path) -> Decisions:
    """Names and what was decided of each; anything else is refused. Raises InputError."""
    import yaml

    from nutrilab.yaml_reader import line_of

    if not isinstance(node, yaml.MappingNode):
        raise InputError(_one_line(), path, line_of(node))
    foods: dict[str, str] = {}
    weights: dict[str, float] = {}
    lines: dict[str, int] = {}
    known: set[tuple[str, ...]] = set()
    for key, value in node.value:
        if not isinstance(key, yaml.ScalarNode) or isinstance(value, yaml.SequenceNode):
            raise InputError(_one_line(), path, line_of(key))
        name = _name(key.value, known, path, line_of(key))
        lines[name] = line_of(key)
        food, grams = _scalar(value, name, path) if isinstance(value, yaml.ScalarNode) else _both(value, name, path)
        if food is not None:
            foods[name] = food
        if grams is not None:
            weights[name] = grams
    return Decisions(foods, path, lines, weights)


def _name(text: str, known: set[tuple[str, ...]], path: Path, line: int) -> str:
    """A name as written; names that are looked up alike are one. Raises InputError."""
    name = text.strip()
    key = key_of(name)
    if not key:
        raise InputError(say("decisions.no-name", how=_one_line()), path, line)
    if key in known:
        raise InputError(say("decisions.twice", name=quoted(name), example=BOTH), path, line)
    known.add(key)
    return name


def _scalar(node: Any, name: str, path: Path) -> tuple[str | None, float | None]:
    """The food or the weight that stands beside a name. Raises InputError."""
    text, line = node.value.strip(), int(node.start_mark.line) + 1
    if not words(text):
        raise InputError(say("decisions.nothing-beside", name=quoted(name), how=_one_line()), path, line)
    try:
        grams = weight_of(text)
    except ValueError as error:
        raise InputError(f"{quoted(name)}: {error}", path, line) from None
    return (_food(text), None) if grams is None else (None, grams)


def _both(node: Any, name: str, path: Path) -> tuple[str | None, float | None]:
    """The food and the weight in braces beside a name. Raises InputError."""
    from nutrilab.yaml_reader import KeyedBlock

    block = KeyedBlock(node, path, _KEYS, say("thing.decision"), meant=_meant)
    text, grams = block.text("food"), block.read("weight", amounts.weight)
    if (text is None and grams is None) or (text is not None and not words(text)):
        raise InputError(say("decisions.nothing-beside", name=quoted(name), how=_one_line()), path, block.start)
    if text is not None and _WEIGHT.fullmatch(text):
        raise block.fault(say("decisions.weight-no-food", text=quoted(text)), "food")
    if grams is not None and grams > HEAVIEST:
        raise block.fault(say("decisions.too-heavy", weight=f"{grams:.0f} g"), "weight")
    food = None if text is None else _food(text)
    if food == NONE and grams is not None:
        raise InputError(say("decisions.no-food-weight", name=quoted(name)), path, block.start)
    return food, grams


def _meant(_: str, value: str | None) -> str | None:
    """What to say of words behind a comma in braces."""
    return None if value else say("decisions.quotes", example=WORDS)


def _food(text: str) -> str:
    return NONE if text.lower() == NONE else text


def add(folder: Path, name: str, value: str) -> Written:
    """Write one decision more under those of a folder, which stay letter for letter, remarks too.

    value: a food id, "none", plain words, or a weight ("180 g"), which goes beside a food that is decided already. What
    was decided meanwhile stays as it is. Raises InputError, with the file as it was.
    """
    return _change(folder, name.strip(), value, None)


def decide(folder: Path, name: str, value: str, was: str) -> Written:
    """As `add`, but what was decided of the name before is decided anew.

    was: the food or the weight that stood there when it was looked at, as `decided` says it. Raises InputError where
    something else stands there by now.
    """
    return _change(folder, name.strip(), value, was)


def decided(decisions: Decisions, name: str, weight: bool = False) -> str:
    """The food that is decided of a name, or what one weighs ("180 g"), as it stands in the file; "" where nothing."""
    same = next((one for one in decisions.names if key_of(one) == key_of(name)), name)
    grams = decisions.weights.get(same)
    return (f"{grams:g} g" if grams is not None else "") if weight else decisions.get(same, "")


def _change(folder: Path, name: str, value: str, was: str | None) -> Written:
    path = folder / NAME
    with alone(path):
        known = read_decisions(folder)
        if was is not None and (now := decided(known, name, weight_of(value) is not None)) != was:
            words = say("decisions.now-other", name=quoted(name), value=quoted(now or say("list.nothing")))
            raise InputError(words, path)
        old = path.read_bytes() if path.exists() else None
        data = _with(path, _head().encode() if old is None else old, known, name, value, anew=was is not None)
        if data is None:
            return Written(old, old)
        disk.put(path, data, durable=True)
    return Written(old, data)


def _with(path: Path, old: bytes, known: Decisions, name: str, value: str, anew: bool = False) -> bytes | None:
    """The file with one decision more; None where that is decided already, unless it is to be decided anew.

    Raises InputError where a line under it is no decision; OSError.
    """
    name = next((one for one in known.names if key_of(one) == key_of(name)), name)
    food, grams = known.get(name), known.weights.get(name)
    beside = name in known.names
    added = weight_of(value)
    taken = food is not None or (beside and value == NONE) if added is None else grams is not None or food == NONE
    if taken and not anew:
        return None
    if anew and food == NONE and added is not None:
        raise InputError(say("decisions.no-food-weight", name=quoted(name)), path)
    if anew and value == NONE:
        grams = None  # what is no food weighs nothing
    wanted = (_food(value), grams) if added is None else (food, added)
    if beside:
        line = _line(name, _value(*wanted))
        new = _beside(old, name, line)
    else:
        line = _line(name, value)
        new = old + (b"" if old.endswith(b"\n") or not old else b"\n") + line.encode()
    try:
        found = _parsed(new, path)
    except InputError:
        found = Decisions()
    others = [(one, found.get(one), found.weights.get(one)) for one in found.names if one != name]
    kept = [(one, known.get(one), known.weights.get(one)) for one in known.names if one != name]
    if others != kept or (found.get(name), found.weights.get(name)) != wanted:
        message = say("decisions.not-added", line=line.strip())
        raise InputError(message, path)
    return new


def _value(food: str | None, grams: float | None) -> str | dict[str, str]:
    """What stands beside a name: one value, or two in braces."""
    if food is None or grams is None:
        return food or f"{grams:g} g"
    return {"food": food, "weight": f"{grams:g} g"}


def _line(name: str, value: str | dict[str, str]) -> str:
    import yaml

    flow = None if isinstance(value, dict) else False  # two values in braces, on one line
    line = yaml.safe_dump({name: value}, allow_unicode=True, width=10_000, sort_keys=False, default_flow_style=flow)
    return _QUOTED_ID.sub(r"{food: \1, ", str(line))


def _beside(old: bytes, name: str, line: str) -> bytes:
    """The file with the value of one name put anew, what stands behind it on its line kept."""
    from nutrilab.yaml_reader import document

    text = text_of(old, NAME)
    node: Any = document(text, NAME)
    value = next(value for key, value in node.value if key.value.strip() == name)
    start, end = value.start_mark.index, value.end_mark.index
    _, _, fresh = line.strip().partition(": ")
    mark = codecs.BOM_UTF8 if old.startswith(codecs.BOM_UTF8) else b""
    return mark + (text[:start] + fresh + text[end:]).encode()
