"""The templates of the page, filled as those of the sheets are: everything escaped, nothing undefined."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from jinja2 import Environment
from markupsafe import escape
from starlette.responses import HTMLResponse

from nutrilab.allergens import cautions
from nutrilab.sheets.templating import environment


@cache
def _environment() -> Environment:
    made = environment("nutrilab.page")
    made.filters["kept"] = escape  # what goes into a field comes back: not a space of it may differ
    made.globals["cautions"] = cautions
    return made


def part(template: str, **values: object) -> str:
    """A template of ``page/templates`` filled. Raises jinja2.UndefinedError for a value it asks for and lacks."""
    return _environment().get_template(template).render(**values)


def page(template: str, status: int = 200, headers: Mapping[str, str] | None = None, **values: object) -> HTMLResponse:
    """A template as an answer."""
    return HTMLResponse(part(template, **values), status, headers)
