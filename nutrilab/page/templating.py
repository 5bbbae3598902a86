"""The templates of the page, filled as those of the sheets are: everything escaped, nothing undefined."""

from __future__ import annotations

from collections.abc import Mapping

from starlette.responses import HTMLResponse

from nutrilab.allergens import cautions
from nutrilab.sheets.templating import environment


def part(template: str, **values: object) -> str:
    """A template of ``page/templates`` filled. Raises jinja2.UndefinedError for a value it asks for and lacks."""
    return environment("nutrilab.page").get_template(template).render(cautions=cautions, **values)


def page(
    template: str, /, status: int = 200, headers: Mapping[str, str] | None = None, **values: object
) -> HTMLResponse:
    """A template as an answer."""
    return HTMLResponse(part(template, **values), status, headers)
