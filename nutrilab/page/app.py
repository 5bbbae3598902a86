"""The addresses of the page: what each asks the kitchen for, and which view shows it."""

from __future__ import annotations

import threading
from collections.abc import Callable
from pathlib import Path

from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from nutrilab.messages import say
from nutrilab.page import folder_view, static
from nutrilab.page.desk import BusyError, Desk
from nutrilab.page.shelf import Shelf
from nutrilab.page.templating import page
from nutrilab.remarks import NutrilabError

Answer = Callable[[Request], Response]


class Page:
    """The page of one folder; app: as ASGI has it."""

    def __init__(self, folder: Path, tables: str | None = None) -> None:
        """Raises InputError: no such folder."""
        self.shelf = Shelf(folder)
        self.desk = Desk(self.shelf, tables)
        folders = folder_view.FolderView(self.desk)
        self.app = Starlette(
            routes=[
                Route("/", self._answered(folders.show)),
                Route("/static/{name}", static.file),
            ],
            exception_handlers={404: _not_there},
        )

    def warm(self) -> None:
        """Begin to read tables and words while the page already answers."""
        threading.Thread(target=self.desk.warm, daemon=True).start()

    def _answered(self, view: Answer) -> Callable[[Request], object]:
        """A view as an address has it: asked for on the side, and what is refused as a page with the sentence."""

        async def answer(request: Request) -> Response:
            try:
                return await self.desk.work(lambda: view(request))
            except BusyError as error:
                return _refused(error, 503, {"retry-after": "1"})
            except NutrilabError as error:
                return _refused(error, 422, {})

        return answer


def _refused(error: NutrilabError, status: int, headers: dict[str, str]) -> Response:
    return page("refused.html.j2", status=status, headers=headers, title=say("desk.refused"), sentence=told(error))


async def _not_there(request: Request, _: Exception) -> Response:
    return page("refused.html.j2", status=404, title=say("desk.refused"), sentence=say("desk.not-there"))


def told(error: NutrilabError) -> str:
    """A refusal as the page says it: the file by its name alone, for there is but one folder."""
    file = Path(str(error.file)).name if error.file else ""
    place = ", ".join(part for part in (file, f"line {error.line}" if error.line else "") if part)
    message = error.message[:1].upper() + error.message[1:] if not place else error.message
    end = "" if message.endswith((".", "?", "!")) else "."
    return f"{place}: {message}{end}" if place else f"{message}{end}"
