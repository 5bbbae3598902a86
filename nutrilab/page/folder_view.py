"""The kitchen's folder as a list: every recipe with its answer, what needs attention first."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response

from nutrilab.page.desk import Desk
from nutrilab.page.templating import page


class FolderView:
    """The list."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    def show(self, _: Request) -> Response:
        """The list. Raises NutrilabError."""
        recipes = self._desk.shelf.recipes()
        return page("folder.html.j2", folder=self._desk.shelf.folder.name, recipes=[path.name for path in recipes])
