"""What never changes while the page runs: its look, its script, its letters. Nothing of the cook's is in it."""

from __future__ import annotations

from functools import cache
from importlib.resources import files

from starlette.requests import Request
from starlette.responses import Response

_SHEETS, _PAGE = "nutrilab.sheets", "nutrilab.page"
# Name -> kind, and the files it is made of.
_FILES: dict[str, tuple[str, tuple[tuple[str, str], ...]]] = {
    "page.css": (
        "text/css; charset=utf-8",
        (
            (_PAGE, "static/letters.css"),
            (_SHEETS, "templates/style.css"),
            (_SHEETS, "templates/index.css"),
            (_SHEETS, "templates/dark.css"),
            (_PAGE, "static/page.css"),
        ),
    ),
    "page.js": ("text/javascript; charset=utf-8", ((_PAGE, "static/page.js"),)),
    "index.js": ("text/javascript; charset=utf-8", ((_SHEETS, "templates/index.js"),)),
    "icon.svg": ("image/svg+xml", ((_PAGE, "static/icon.svg"),)),
    "regular.woff2": ("font/woff2", ((_SHEETS, "fonts/arimo-regular.woff2"),)),
    "bold.woff2": ("font/woff2", ((_SHEETS, "fonts/arimo-bold.woff2"),)),
}


@cache
def _content(name: str) -> bytes:
    return b"\n".join((files(package) / path).read_bytes() for package, path in _FILES[name][1])


async def file(request: Request) -> Response:
    """One of these files."""
    name = request.path_params["name"]
    if name not in _FILES:
        return Response(status_code=404)
    return Response(_content(name), media_type=None, headers={"content-type": _FILES[name][0]})
