"""The addresses of the page: what each asks the kitchen for, and which view shows it."""

from __future__ import annotations

import threading
from collections.abc import Awaitable, Callable
from pathlib import Path

from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from nutrilab.messages import say
from nutrilab.page import folder_view, hand_on, recipe_view, static
from nutrilab.page.desk import BusyError, Desk
from nutrilab.page.guard import DROP
from nutrilab.page.look import told
from nutrilab.page.shelf import Shelf
from nutrilab.page.templating import page
from nutrilab.remarks import NutrilabError

View = Callable[[Request], Response]
Action = Callable[[Request, bytes], Response]
Endpoint = Callable[[Request], Awaitable[Response]]


class Page:
    """The page of one folder; app: as ASGI has it."""

    def __init__(self, folder: Path, tables: str | None = None) -> None:
        """Raises InputError: no such folder."""
        self.shelf = Shelf(folder)
        self.desk = Desk(self.shelf, tables)
        folders, recipes = folder_view.FolderView(self.desk), recipe_view.RecipeView(self.desk)
        documents = hand_on.HandOn(self.desk)
        self.app = Starlette(
            routes=[
                Route("/", self._answered(folders.show, folders.begin)),
                Route("/new", self._answered(recipes.new, recipes.new)),
                Route("/recipe/{name}", self._answered(recipes.show)),
                Route("/recipe", self._acted(recipes.act), methods=["POST"]),
                Route(DROP, self._acted(recipes.drop), methods=["POST"]),
                Route("/hand-on/{name}", self._answered(documents.show)),
                Route("/out/{form}/{name}", self._answered(documents.one)),
                Route("/together/{form}", self._answered(documents.together)),
                Route("/static/{name}", static.file),
            ],
            exception_handlers={404: _not_there, 405: _not_there},
        )
        self.app.router.redirect_slashes = False

    def warm(self) -> None:
        """Begin to read tables and words while the page already answers."""
        threading.Thread(target=self.desk.warm, daemon=True).start()

    def _answered(self, view: View, begin: View | None = None) -> Endpoint:
        """A view as an address has it: asked for on the side, and what is refused as a page with the sentence.

        begin: what is shown at once where the kitchen is not ready yet.
        """
        return self._acted(lambda request, _: view(request), begin)

    def _acted(self, view: Action, begin: View | None = None) -> Endpoint:
        """The same, of what is sent."""

        async def answer(request: Request) -> Response:
            body = await request.body()
            try:
                if begin is not None and not self.desk.ready:
                    return begin(request)
                return await self.desk.work(lambda: view(request, body))
            except BusyError as error:
                return _refused(request, error, 503, {"retry-after": "1"})
            except NutrilabError as error:
                return _refused(request, error, 422, {})

        return answer


def _refused(request: Request, error: NutrilabError, status: int, headers: dict[str, str]) -> Response:
    if request.headers.get("x-part"):
        return JSONResponse({"sentence": told(error)}, status, headers)
    return page("refused.html.j2", status=status, headers=headers, title=say("desk.refused"), sentence=told(error))


async def _not_there(request: Request, _: Exception) -> Response:
    return page("refused.html.j2", status=404, title=say("desk.refused"), sentence=say("desk.not-there"))
