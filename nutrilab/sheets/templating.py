"""Filling the templates of this folder: everything escaped, nothing undefined, no control character let through."""

from __future__ import annotations

import re
from functools import cache
from typing import TYPE_CHECKING

from nutrilab.law.rounding import PARTS
from nutrilab.marks import MARK
from nutrilab.messages import say
from nutrilab.sheets import lettering
from nutrilab.sheets.safe import plain
from nutrilab.sheets.units import together

if TYPE_CHECKING:
    from jinja2 import Environment
    from markupsafe import Markup


_OPTION = re.compile(r"((?<!\S)--?[a-z][a-z-]*)")


def _inert(value: object) -> object:
    """Text without control and direction characters, its units with their numbers; escaping follows by itself."""
    return together(plain(value)) if isinstance(value, str) and not hasattr(value, "__html__") else value


def _wide(text: str, size: float) -> float:
    """How wide a text is in the shipped font [same unit as size]; 0 where another font has to draw some of it."""
    shown = plain(text)
    return lettering.width(shown, size) if lettering.drawn(shown) else 0.0


def _unbroken(text: str) -> Markup:
    """A sentence in which the options of a command ("-o") are not parted at their hyphen, and still can be copied."""
    from markupsafe import Markup, escape

    found = _OPTION.split(together(plain(text)))
    kept = Markup('<span class="nowrap">{}</span>')
    return Markup("").join(kept.format(part) if n % 2 else escape(part) for n, part in enumerate(found))


@cache
def environment(package: str = "nutrilab.sheets") -> Environment:
    """What fills the templates of a package, which may take parts of the sheets' into its own."""
    from jinja2 import ChoiceLoader, Environment, PackageLoader, StrictUndefined
    from markupsafe import Markup, escape

    made = Environment(
        loader=ChoiceLoader([PackageLoader(name) for name in dict.fromkeys((package, "nutrilab.sheets"))]),
        autoescape=True,
        finalize=_inert,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.filters["kept"] = escape  # an address, or what goes into a field and comes back: not a space of it may differ
    made.filters["cut"] = plain  # {{ name|cut(30) }}
    made.globals["mark"], made.globals["say"] = MARK, say
    made.globals["parts"] = PARTS
    made.filters["fitted"] = lambda text, size, room: lettering.fitted(plain(text), size, room)
    made.filters["wide"] = _wide
    made.filters["unbroken"] = _unbroken
    made.globals["font_faces"] = Markup(lettering.faces())  # data of our own, nothing of a recipe
    return made


def render(template: str, **values: object) -> str:
    """A template of ``sheets/templates`` filled. Raises jinja2.UndefinedError for a value it asks for and lacks."""
    return environment().get_template(template).render(**values)
