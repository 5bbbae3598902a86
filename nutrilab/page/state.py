"""What one window shows: the recipe's text, its file, the open line, and what stands half-written in the fields.

A field goes with what nutrilab had put there ("was-" before its name). Where the two differ, the cook has typed: that
stays in the field until the button of the field has done its work, or another line is opened.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from urllib.parse import parse_qsl

from nutrilab.messages import say
from nutrilab.page import panel
from nutrilab.page.look import Look
from nutrilab.page.shelf import Held
from nutrilab.remarks import InputError

MOST_FIELDS = 4_000  # of a form: twenty a stage
WAS = "was-"
OF_LINE = ("words", "piece", "pack-", "swap", "choice-", "search-")  # fields of an open line; "-" ends a beginning
OF_FACTS = ("fact-",)
# The fields that an action has written once it is done.
OWN = {
    "words": ("words", "choice-", "search-"), "weight": ("piece",), "pack": ("pack-",), "facts": OF_FACTS,
    "keep": ("words", "swap", "choice-", "search-"), "choose": ("choice-",),
}  # fmt: skip


@dataclass(slots=True)
class State:
    """What one window shows.

    was: name of the file it was opened from, "" of a new one; read: its digest; name: what it is to be saved as; back:
    token of the last step; line, words: the open line; said: what was done, or why it was not; both: what stands in the
    file that was to be saved over; saved: whether the text is that of the file; unsaved: whether it is not any more.
    """

    text: str
    was: str = ""
    read: str = ""
    name: str = ""
    back: str = ""
    line: int = 0
    words: str = ""
    said: str = ""
    failed: bool = False
    both: Held | None = None
    saved: bool = False
    unsaved: bool = False
    typed: bool = False
    tried: panel.Tried | None = None
    fields: dict[str, str] = field(default_factory=dict)
    focus: str = ""
    looked: Look | None = None

    def shown(self, name: str, stored: str) -> str:
        """What stands in a field: what was typed into it, else what is stored."""
        return self.fields[name] if self._is_typed(name) else stored

    def half_written(self, of: tuple[str, ...]) -> Iterator[tuple[str, str]]:
        """The fields of some names that were typed into, with what stands there."""
        yield from ((name, text) for name, text in self.fields.items() if _one_of(name, of) and self._is_typed(name))

    def writes(self, *of: str) -> bool:
        """Whether something stands half-written in the fields of some names."""
        return any(True for _ in self.half_written(of))

    def forget(self, of: tuple[str, ...]) -> None:
        """Drop what was typed into the fields of some names: it is written, or of another line."""
        for name in [name for name in self.fields if _one_of(name, of)]:
            del self.fields[name]

    def _is_typed(self, name: str) -> bool:
        return name in self.fields and not _same(self.fields[name], self.fields.get(f"{WAS}{name}", ""))


def of_form(body: bytes) -> State:
    """The state that a form of the page sends. Raises InputError: more fields than any form has."""
    try:
        pairs = parse_qsl(body.decode("utf-8", "replace"), keep_blank_values=True, max_num_fields=MOST_FIELDS)
    except ValueError:
        raise InputError(say("desk.no-action")) from None
    fields = {name: value.replace("\r\n", "\n") for name, value in pairs}
    return of_fields(fields, fields.get("text", ""))


def of_fields(fields: Mapping[str, str], text: str) -> State:
    """The state that goes with some fields."""
    return State(
        text=text,
        was=fields.get("was", ""),
        read=fields.get("read", ""),
        name=fields.get("name", "").strip(),
        back=fields.get("back", ""),
        line=number(fields.get("line", "")),
        words=fields.get("of", ""),
        fields=dict(fields),
    )


def number(text: str) -> int:
    """A number out of a field, 0 where there is none."""
    return int(text) if text.isdecimal() and len(text) < 9 else 0


def _one_of(name: str, of: tuple[str, ...]) -> bool:
    return any(name.startswith(one) if one.endswith("-") else name == one for one in of)


def _same(one: str, other: str) -> bool:
    return one.split() == other.split()
