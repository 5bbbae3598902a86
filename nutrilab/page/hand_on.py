"""What is handed on of a saved recipe, and of all: sheets, labels, charts, captions, data, as the commands write.

Each document is that of `nutrilab analyse` or `nutrilab allergens` of the same file. A sheet is shown in a frame of its
own rules: nothing in it may run, nor ask for anything.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import quote

from starlette.requests import Request
from starlette.responses import Response

from nutrilab import marks
from nutrilab.folder import Dish
from nutrilab.messages import listed, say
from nutrilab.page.desk import Desk
from nutrilab.page.templating import page
from nutrilab.recipe import read_recipe
from nutrilab.remarks import InputError, NutrilabError
from nutrilab.sheets import writer

PLAIN = writer.View()
LENGTHS = ("short", "medium", "long")
POLICY = "default-src 'none'; style-src 'unsafe-inline'; font-src data:; img-src data:; base-uri 'none'; sandbox"


@dataclass(frozen=True, slots=True)
class Document:
    """A document by its name in the address: how it is made, its kind, the end of its file's name, shown or kept."""

    make: Callable[[list[Dish]], str | bytes]
    kind: str
    end: str
    shown: bool = False


def _one(form: str, view: writer.View = PLAIN) -> Callable[[list[Dish]], str | bytes]:
    return lambda dishes: writer.one(dishes[0], form, view)


def _all(form: str, view: writer.View = PLAIN) -> Callable[[list[Dish]], str | bytes]:
    return lambda dishes: writer.together(dishes, form, view)


def _chart(form: str, paper: str) -> Callable[[list[Dish]], str | bytes]:
    return lambda dishes: writer.chart(dishes, form, writer.View(paper=paper, checks=True))


def _printed(form: str) -> Callable[[list[Dish]], str | bytes]:
    return lambda dishes: writer.printed(str(writer.one(dishes[0], form)))


HTML, PDF, TEXT = "text/html; charset=utf-8", "application/pdf", "text/plain; charset=utf-8"
JSON, CSV = "application/json", "text/csv; charset=utf-8"
OF_ONE = {
    "sheet": Document(_one("html"), HTML, ".html", shown=True),
    "sheet.pdf": Document(_one("pdf"), PDF, ".pdf"),
    "label": Document(_one("label"), HTML, "-label.html", shown=True),
    "label.pdf": Document(_printed("label"), PDF, "-label.pdf"),
    "page.jsonld": Document(_one("jsonld"), "application/ld+json", ".jsonld"),
    "figures.csv": Document(_all("csv"), CSV, ".csv"),
    "figures.json": Document(_all("json"), JSON, ".json"),
    "still.svg": Document(_one("still"), "image/svg+xml", "-still.svg"),
    "still.png": Document(_one("still", writer.View(pixels=True)), "image/png", "-still.png"),
}
OF_ALL = {
    "chart": Document(_chart("html", "a4"), HTML, ".html", shown=True),
    "chart-a3": Document(_chart("html", "a3"), HTML, ".html", shown=True),
    "chart.pdf": Document(_chart("pdf", "a4"), PDF, ".pdf"),
    "chart-a3.pdf": Document(_chart("pdf", "a3"), PDF, ".pdf"),
    "dishes.csv": Document(_all("csv"), CSV, ".csv"),
    "dishes.json": Document(_all("json"), JSON, ".json"),
}


class HandOn:
    """The documents of a folder."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    def show(self, request: Request) -> Response:
        """What there is of one recipe, its captions and its data to copy. Raises NutrilabError."""
        name = request.path_params["name"]
        dish = self._dish(name)
        captions = []
        for length in LENGTHS:
            view = writer.View(length=length)
            captions.append(
                (length, str(writer.together([dish], "caption", view)), writer.notes([dish], "caption", view))
            )
        return page(
            "hand_on.html.j2",
            dish=dish.recipe.dish,
            name=name,
            captions=captions,
            jsonld=str(writer.one(dish, "jsonld")),
        )

    def one(self, request: Request) -> Response:
        """A document of one recipe. Raises NutrilabError."""
        name = request.path_params["name"]
        document = _known(OF_ONE, request)
        return _answer(document, document.make([self._dish(name)]), Path(name).stem)

    def together(self, request: Request) -> Response:
        """A document of all recipes. Raises NutrilabError: none there, one that cannot be used and would be missing."""
        document = _known(OF_ALL, request)
        dishes, missing = [], []
        for path in self._desk.shelf.recipes():
            try:
                dishes.append(self._dish(path.name))
            except NutrilabError:
                missing.append(path.name)
        if missing:
            raise InputError(say("desk.would-be-missing", files=listed(missing, len(missing))))
        if not dishes:
            raise InputError(say("desk.no-recipes"))
        return _answer(document, document.make(dishes), request.path_params["form"].partition(".")[0])

    def _dish(self, name: str) -> Dish:
        return self._desk.dish(read_recipe(self._desk.shelf.path(name)))


def _known(documents: dict[str, Document], request: Request) -> Document:
    form = request.path_params["form"]
    if form not in documents:
        raise InputError(say("desk.no-document"))
    return documents[form]


def _answer(document: Document, made: str | bytes, stem: str) -> Response:
    data = marks.sealed(made.encode() if isinstance(made, str) else made)
    headers = {"content-type": document.kind}
    if document.shown:
        headers["content-security-policy"] = POLICY
    else:
        headers["content-disposition"] = f"attachment; filename*=UTF-8''{quote(stem + document.end)}"
    return Response(data, headers=headers)
