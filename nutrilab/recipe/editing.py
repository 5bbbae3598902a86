"""One thing of a recipe's text put right, everything else left letter for letter: a line's words, a number, a weighing.

Of a recipe file the place is where YAML says that the old value stands; of plain text it is the line. What comes out
is read again and held against what went in: where more than the one thing would differ, nothing is changed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

from nutrilab.messages import say
from nutrilab.plain import quoted
from nutrilab.recipe import amounts, prose, said, text_file, yaml_file
from nutrilab.recipe.portions import says_yield
from nutrilab.recipe.values import Line, stage_key
from nutrilab.recipe.writing import flow_scalar, scalar
from nutrilab.remarks import InputError

FILE = "recipe"  # what a fault of the text is said of
DISH = ("portions", "portion weight")  # facts of the dish; all others are of a stage's cooking
# What plain text can say, and how it does.
_IN_TEXT: dict[str, tuple[str, Callable[[str], Any]]] = {
    "portions": ("Serves {0}", amounts.portions),
    "portion weight": ("A portion: {0}", amounts.weight),
    "weight after": ("Cooked weight: {0}", amounts.weight),
    "frying oil left": ("Oil left: {0}", amounts.liquid),
}
_SAID = {"frying oil left": "oil left"}  # keys as `said` has them, where they differ
IN_TEXT = tuple(_IN_TEXT)


def with_line(text: str, is_yaml: bool, line: int, old: str, new: str) -> str:
    """The text with other words in one line of its ingredients.

    line: of the file, from 1; old: the ingredient that stands there. Raises InputError: another stands there by now,
    words that are no line.
    """
    words = " ".join(new.split())
    if not words:
        raise InputError(say("edit.no-words"))
    found = _yaml_line(text, line, old, words) if is_yaml else _text_line(text, line, old, words)
    if found is None:
        raise InputError(say("edit.other-line", line=line, words=quoted(old)))
    before, after = _entries(text, is_yaml), _entries(found, is_yaml)
    if [words if (at, one) == (line, old) else one for at, one in before] != [one for _, one in after]:
        raise InputError(say("edit.by-hand"))
    return found


def with_fact(text: str, is_yaml: bool, stage: str, key: str, value: str) -> str:
    """The text with another value of a key of the recipe format, of the dish or of the cooking of a stage.

    stage: its name, "" for the dish; value: "" takes the key out. Raises InputError: a value that cannot be, a key that
    plain text has no words for.
    """
    value = " ".join(value.split())
    found = _yaml_fact(text, stage, key, value) if is_yaml else _text_fact(text, key, value)
    if [one for _, one in _entries(text, is_yaml)] != [one for _, one in _entries(found, is_yaml)]:
        raise InputError(say("edit.by-hand"))
    return found


def _entries(text: str, is_yaml: bool) -> list[tuple[int | None, str]]:
    """Every line of the list with its place in the file."""
    recipe = yaml_file.read(text, FILE) if is_yaml else text_file.read(text, FILE)
    lines = [*(entry for stage in recipe.stages for entry in stage.entries), *recipe.serve_with]
    return [(one.line, one.text) for one in lines]


# -- plain text -------------------------------------------------------------------------------------------------------


def _text_line(text: str, line: int, old: str, new: str) -> str | None:
    lines = text.splitlines(keepends=True)
    if not 0 < line <= len(lines) or old not in lines[line - 1]:
        return None
    lines[line - 1] = lines[line - 1].replace(old, new, 1)
    return "".join(lines)


def _text_fact(text: str, key: str, value: str) -> str:
    if key not in _IN_TEXT:
        raise InputError(say("edit.needs-file"))
    shape, reader = _IN_TEXT[key]
    if value:
        _check(key, value, reader)
    lines = text.splitlines(keepends=True)
    end = "\r\n" if "\r\n" in text else "\n"
    wanted = [shape.format(value) + end] if value else []
    at = [n for n, line in enumerate(lines) if _is_fact(line, key, n)]
    if at:
        lines[at[0] : at[0] + 1] = wanted
    else:
        title = next((n for n, line in enumerate(lines) if line.strip()), -1)
        if lines and not lines[title].endswith(("\n", "\r")):
            lines[title] += end
        below = max([title, *(n for n, line in enumerate(lines) if n > title and says_yield(prose.bare(line)))])
        lines[below + 1 : below + 1] = wanted
    return "".join(lines)


def _is_fact(line: str, key: str, number: int) -> bool:
    if key == "portions":
        return number > 0 and says_yield(prose.bare(line))
    try:
        found = said.said(Line(line.strip(), number + 1), FILE)
    except InputError:
        return False
    return found is not None and found.key == _SAID.get(key, key)


def _check(key: str, value: str, reader: Callable[[str], Any]) -> None:
    try:
        reader(value)
    except ValueError as error:
        raise InputError(f"{key}: {error}") from None


# -- a recipe file ----------------------------------------------------------------------------------------------------


def _document(text: str) -> Any:
    from nutrilab.yaml_reader import document

    return document(text, FILE)


def _yaml_line(text: str, line: int, old: str, new: str) -> str | None:
    for node in _items(_document(text)):
        if node.start_mark.line + 1 == line and _shown(node) == old:
            return text[: node.start_mark.index] + scalar(new) + text[_end(node) :]
    return None


def _items(root: Any) -> Iterator[Any]:
    """Every entry of every list of ingredients."""
    for key, value in root.value:
        name = _key(key)
        if name in ("ingredients", "serve with"):
            yield from value.value
        elif name == "stages":
            for stage in value.value:
                yield from _items(stage)


def _shown(node: Any) -> str:
    """An entry as the reader of recipes has it: "salt: to taste" is a mapping to YAML."""
    import yaml

    if isinstance(node, yaml.MappingNode) and len(node.value) == 1:
        first, second = node.value[0]
        if first.value.strip().lower() == yaml_file.AS_WRITTEN:
            return str(second.value).strip()
        return f"{first.value}: {second.value}".strip()
    return str(node.value).strip()


def _key(node: Any) -> str:
    return " ".join(str(node.value).lower().replace("_", " ").replace("-", " ").split())


def _yaml_fact(text: str, stage: str, key: str, value: str) -> str:
    root = _document(text)
    if key in DISH:
        found = _set(text, root, key, value, "dish")
    else:
        owner = _stage(root, stage)
        block = next((one for name, one in owner.value if _key(name) == "cooking"), None)
        if block is not None:
            alone = not value and [_key(name) for name, _ in block.value] == [key]
            found = _set(text, owner, "cooking", "", "") if alone else _set(text, block, key, value, "")
        elif value:
            found = _put_in(text, owner, f"cooking: {{{key}: {flow_scalar(value)}}}", "ingredients")
        else:
            found = text
    yaml_file.read(found, FILE)  # whose faults are those of the value
    return found


def _stage(root: Any, name: str) -> Any:
    """The mapping of a stage; of a dish without stages the whole. Raises InputError."""
    stages = next((value for key, value in root.value if _key(key) == "stages"), None)
    if stages is None:
        return root
    for one in stages.value:
        if any(_key(key) == "stage" and stage_key(value.value) == stage_key(name) for key, value in one.value):
            return one
    raise InputError(say("edit.no-stage", stage=quoted(name)))


def _set(text: str, block: Any, key: str, value: str, behind: str) -> str:
    """A key of a block put anew, added, or taken out."""
    pair = next(((name, one) for name, one in block.value if _key(name) == key), None)
    if pair is not None and value:
        new = flow_scalar(value) if block.flow_style else scalar(value)
        return text[: pair[1].start_mark.index] + new + text[pair[1].end_mark.index :]
    if pair is not None:
        return _without(text, block, pair)
    if not value:
        return text
    if block.flow_style:
        return _put_in(text, block, f"{key}: {flow_scalar(value)}", behind)
    return _put_in(text, block, f"{key}: {scalar(value)}", behind)


def _without(text: str, block: Any, gone: Any) -> str:
    if block.flow_style:
        kept = [text[name.start_mark.index : one.end_mark.index] for name, one in block.value if name is not gone[0]]
        return f"{text[: block.start_mark.index]}{{{', '.join(kept)}}}{text[block.end_mark.index :]}"
    start = text.rfind("\n", 0, gone[0].start_mark.index) + 1
    return text[:start] + text[_line_end(text, gone[1]) :]


def _put_in(text: str, block: Any, entry: str, behind: str) -> str:
    """An entry of a block on a line of its own, behind that of a key, else last; in braces last."""
    if block.flow_style:
        at = block.end_mark.index - 1
        return f"{text[:at].rstrip()}{', ' if block.value else ''}{entry}{text[at:]}"
    after = next((one for name, one in block.value if _key(name) == behind), block.value[-1][1])
    end = "\r\n" if "\r\n" in text else "\n"
    at = _line_end(text, after)
    start = text[:at] if text[:at].endswith("\n") else f"{text[:at]}{end}"
    return f"{start}{' ' * block.value[0][0].start_mark.column}{entry}{end}{text[at:]}"


def _end(node: Any) -> int:
    """Where a value ends; a block's own mark stands before what comes next."""
    while not getattr(node, "flow_style", True) and node.value:
        last = node.value[-1]
        node = last[1] if isinstance(last, tuple) else last
    return int(node.end_mark.index)


def _line_end(text: str, node: Any) -> int:
    """Where the line ends in which a value does, remarks behind it too."""
    at = _end(node)
    if at and text[at - 1] == "\n":  # a text of several lines ends behind its last one
        return at
    found = text.find("\n", at)
    return len(text) if found < 0 else found + 1
