"""YAML as recipes, packs, decisions and settings are written in it: every value kept as text, with its line.

One set of refusals for all of them: tabs, anchors and aliases, tags, control characters, deep nesting, a second
document, a key twice, a key that is no word of the thing. What a value means is for who asks.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any, TypeVar

import yaml

from nutrilab.messages import instead_of, say
from nutrilab.plain import quoted
from nutrilab.remarks import InputError, NutrilabError

Value = TypeVar("Value")
Refusal = type[NutrilabError]
Loader: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
DEEPEST = 20  # levels of nesting; a recipe has five
# What YAML does not take raw (YAML 1.2, section 5.1), but for NUL, which files.text_of refuses.
_CONTROL = re.compile("[\x01-\x08\x0b\x0c\x0e-\x1f\x7f\x80-\x84\x86-\x9f\ud800-\udfff\ufffe\uffff]")


def document(text: str, file: object, refusal: Refusal = InputError, deepest: int = DEEPEST) -> yaml.Node | None:
    """The node tree of the one document in a text; None for a text with nothing but remarks.

    Raises what ``refusal`` says, of file and line.
    """
    _refuse_characters(text, file, refusal)
    try:
        _refuse_events(text, file, refusal, deepest)
        node: yaml.Node | None = yaml.compose(text, Loader=Loader)
    except yaml.YAMLError as error:
        mark = getattr(error, "problem_mark", None) or getattr(error, "context_mark", None)
        problem = getattr(error, "problem", None) or str(error).partition("\n")[0] or say("yaml.not-yaml")
        words = say("yaml.not-as-wanted", problem=problem)
        raise refusal(words, file, mark.line + 1 if mark else None) from None
    return None if isinstance(node, yaml.ScalarNode) and not node.value and not node.style else node


def _refuse_characters(text: str, file: object, refusal: Refusal) -> None:
    if text.isascii() and text.isprintable():
        return
    if "\t" in text:
        line = text.count("\n", 0, text.index("\t")) + 1
        raise refusal(say("yaml.tab"), file, line)
    if found := _CONTROL.search(text):
        line = text.count("\n", 0, found.start()) + 1
        words = say("yaml.character", character=f"U+{ord(found[0]):04X}")
        raise refusal(words, file, line)


def _refuse_events(text: str, file: object, refusal: Refusal, deepest: int) -> None:
    """Refuse what a cook never needs and an attack does: anchors, aliases, tags, deep nesting, many documents."""
    depth = documents = 0
    for event in yaml.parse(text, Loader=Loader):
        line = event.start_mark.line + 1 if event.start_mark else None
        if isinstance(event, yaml.AliasEvent) or getattr(event, "anchor", None):
            raise refusal(say("yaml.anchors"), file, line)
        if getattr(event, "tag", None):
            raise refusal(say("yaml.tags"), file, line)
        if isinstance(event, yaml.CollectionStartEvent):
            depth += 1
        elif isinstance(event, yaml.CollectionEndEvent):
            depth -= 1
        elif isinstance(event, yaml.DocumentStartEvent):
            documents += 1
        if depth > deepest:
            raise refusal(say("yaml.too-deep"), file, line)
        if documents > 1:
            raise refusal(say("yaml.second-document"), file, line)


def line_of(node: yaml.Node) -> int:
    """The line a value begins in, from 1."""
    return int(node.start_mark.line) + 1


class KeyedBlock:
    """A YAML mapping whose keys are known words; reads its values with errors that name the line."""

    def __init__(
        self,
        node: yaml.Node,
        file: object,
        keys: tuple[str, ...],
        what: str,
        refusal: Refusal = InputError,
        meant: Callable[[str, str | None], str | None] | None = None,
    ) -> None:
        """what: the thing in words, "a recipe"; meant: what to say of another word and its value, where it knows."""
        self.file, self.start, self.what, self.refusal = file, line_of(node), what, refusal
        if not isinstance(node, yaml.MappingNode):
            raise refusal(say("yaml.key-value", what=what, key=keys[0]), file, self.start)
        self.nodes: dict[str, yaml.Node] = {}
        self.lines: dict[str, int] = {}
        for key_node, value in node.value:
            line = line_of(key_node)
            if not isinstance(key_node, yaml.ScalarNode):
                raise refusal(say("yaml.one-word", what=what), file, line)
            key = " ".join(key_node.value.lower().replace("_", " ").replace("-", " ").split())
            if key not in keys:
                written = value.value if isinstance(value, yaml.ScalarNode) else None
                hint = meant(key, written) if meant else None
                hint = hint or instead_of(key, keys, what)
                raise refusal(say("yaml.no-word", word=quoted(key_node.value), what=what, hint=hint), file, line)
            if key in self.nodes:
                raise refusal(say("yaml.twice", key=key), file, line)
            self.nodes[key], self.lines[key] = value, line

    def line(self, key: str) -> int:
        """The line a key's value begins in, of a key that is not there that of the whole."""
        return line_of(self.nodes[key]) if key in self.nodes else self.start

    def key_line(self, key: str) -> int:
        """The line a key stands in, of a key that is not there that of the whole."""
        return self.lines.get(key, self.start)

    def fault(self, message: str, key: str) -> NutrilabError:
        """What is wrong with the value of a key, to be raised."""
        return self.refusal(message, self.file, self.line(key))

    def text(self, key: str) -> str | None:
        """A value as written; None when absent or empty."""
        node = self.nodes.get(key)
        if node is None:
            return None
        if not isinstance(node, yaml.ScalarNode):
            raise self.fault(say("yaml.one-value", key=key), key)
        return node.value.strip() or None

    def needed(self, key: str) -> str:
        """A value that must be there."""
        value = self.text(key)
        if value is None:
            raise self.fault(say("yaml.needs", what=self.what, key=key), key)
        return value

    def read(self, key: str, reader: Callable[[str], Value]) -> Value | None:
        """A value through a reader that raises ValueError with its own words."""
        value = self.text(key)
        if value is None:
            if key in self.nodes:
                raise self.fault(say("yaml.no-value", key=key), key)
            return None
        try:
            return reader(value)
        except ValueError as error:
            raise self.fault(f"{key}: {error}", key) from None

    def items(self, key: str) -> list[yaml.Node]:
        """The nodes of a list; none when absent."""
        node = self.nodes.get(key)
        if node is None:
            return []
        if not isinstance(node, yaml.SequenceNode):
            raise self.fault(say("yaml.list", key=key), key)
        return list(node.value)


def words(node: yaml.Node) -> list[str] | None:
    """The texts of a plain list; None for anything else."""
    if not isinstance(node, yaml.SequenceNode) or not all(isinstance(item, yaml.ScalarNode) for item in node.value):
        return None
    return [item.value.strip() for item in node.value]
