"""What the tool says: every sentence by its key, out of one list a translator could work on (data/messages.csv)."""

from __future__ import annotations

from functools import cache

from nutrilab.datafiles import rows

FILE = "messages.csv"


@cache
def messages() -> dict[str, str]:
    """Key -> sentence with its fields in braces."""
    return {row["key"]: row["text"] for row in rows(FILE)}


def say(key: str, **fields: object) -> str:
    """The sentence of a key with its fields filled in; a figure comes as text, already with its unit.

    Raises KeyError: no such key, or a field of the sentence that is not given.
    """
    return messages()[key].format_map(fields)
