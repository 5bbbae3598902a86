"""Tables that a script makes and a docs page shows, between two marks of that page."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple


class Place(NamedTuple):
    """Where a table stands: the page, and the marks before and behind it."""

    page: Path
    start: str
    end: str

    def written(self) -> str:
        """The table as it stands in the page."""
        return self.page.read_text(encoding="utf-8").split(self.start)[1].split(self.end)[0]

    def put(self, text: str) -> None:
        """Put the table there; the rest of the page stays."""
        before, rest = self.page.read_text(encoding="utf-8").split(self.start)
        self.page.write_text(before + self.start + text + self.end + rest.split(self.end)[1], encoding="utf-8")

    def main(self, make: Callable[[], str]) -> None:
        """The script: prints the table, or with --write puts it into the page."""
        if "--write" in sys.argv:
            self.put(make())
        else:
            print(make())
