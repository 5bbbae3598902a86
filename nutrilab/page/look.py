"""A recipe as it stands in the window, saved or not, read and cooked as the command line would; or why it cannot be."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from nutrilab.folder import Dish
from nutrilab.measures import PORTIONS
from nutrilab.messages import say
from nutrilab.page.desk import Desk
from nutrilab.plain import brief
from nutrilab.recipe import YAML_NAMES, Recipe
from nutrilab.recipe.recognised import Form, form_of
from nutrilab.remarks import NutrilabError

UNNAMED = "recipe"  # the name of what has none yet


@dataclass(frozen=True, slots=True)
class Look:
    """What a text comes to.

    name: of its file, "" where it has none yet; form: of the text; recipe, dish: None where it cannot be read or
    cooked, and then `problem` says why; guessed: nobody said how many portions it is, so no figure of one is shown.
    """

    name: str
    text: str
    form: Form
    recipe: Recipe | None = None
    dish: Dish | None = None
    problem: str = ""
    guessed: bool = False

    @property
    def is_yaml(self) -> bool:
        """Whether it is a recipe file."""
        return self.form == "yaml"

    @property
    def title(self) -> str:
        """The dish, as far as it has a name."""
        return brief(self.recipe.dish, 150) if self.recipe else self.name


def look(desk: Desk, name: str, text: str) -> Look:
    """Read and cook a text. Raises nothing: what is wrong with it is in what comes back."""
    form = form_of(text)
    if name:
        form = "yaml" if Path(name).suffix.lower() in YAML_NAMES else "text" if form == "yaml" else form
    if form in ("page", "captions") or not text.strip():
        return Look(name, text, form)
    recipe: Recipe | None = None
    guessed = False
    try:
        recipe = desk.read(name or f"{UNNAMED}{'.yaml' if form == 'yaml' else '.txt'}", text.encode())
        guessed = not (recipe.portions or recipe.portion_weight)
        return Look(name, text, form, recipe, desk.dish(recipe, PORTIONS if guessed else None), "", guessed)
    except NutrilabError as error:
        return Look(name, text, form, recipe, None, told(error, own=True), guessed)


def told(error: NutrilabError, own: bool = False) -> str:
    """A refusal as the page says it: a file by its name alone, for there is but one folder.

    own: whether the file is the one in the window, which needs no name.
    """
    file = "" if own or not error.file else Path(str(error.file)).name
    place = ", ".join(part for part in (file, say("recipe.place", line=error.line) if error.line else "") if part)
    message = error.message if place else f"{error.message[:1].upper()}{error.message[1:]}"
    end = "" if message.endswith((".", "?", "!")) else "."
    return f"{place[:1].upper()}{place[1:]}: {message}{end}" if place else f"{message}{end}"
