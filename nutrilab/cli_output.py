"""Where and in which form a command writes: by the name said with -o, on the screen, into a file or a folder."""

from __future__ import annotations

import os
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import click

from nutrilab import marks, writing
from nutrilab.messages import either, say
from nutrilab.plain import file_name
from nutrilab.remarks import InputError

if TYPE_CHECKING:
    from nutrilab.recipe import Recipe
    from nutrilab.results import DishResult

# Ends of a file's name -> the form they stand for; and the ends that suit a form which is asked for by --format.
BY_NAME = {
    ".txt": "text",
    ".json": "json",
    ".html": "html",
    ".htm": "html",
    ".csv": "csv",
    ".pdf": "pdf",
    ".jsonld": "jsonld",
    ".svg": "still",
    ".png": "still",
}
SUITS = {
    "text": (".txt",),
    "json": (".json",),
    "html": (".html", ".htm", ".pdf"),
    "label": (".html", ".htm", ".pdf"),
    "jsonld": (".jsonld", ".json"),
    "caption": (".txt",),
    "still": (".svg", ".png"),
    "csv": (".csv",),
    "pdf": (".pdf",),
}
_LABEL = re.compile(r"(?:^|[\W_])labels?$", re.IGNORECASE)
WHERE = "Write to this {0}, not the screen; the end of its name says the form."


@dataclass(frozen=True, slots=True)
class Output:
    """form: as sheets.writer has it; path: None for the screen; folder: whether path is one; printed: a page as PDF."""

    form: str
    path: Path | None = None
    folder: bool = False
    printed: bool = False

    @property
    def pixels(self) -> bool:
        """Whether a still is to be a PNG."""
        return self.path is not None and not self.folder and self.path.suffix.lower() == ".png"


def output_of(
    said: str | None, form: str | None, forms: Sequence[str], read: Mapping[Path, str], folders: Sequence[str] = ()
) -> Output:
    """What is to be written where, looked at before anything is cooked. Raises InputError.

    said: as it stands after -o; form: as it stands after --format; forms: those of this command; folders: those of
    them with a file for each dish; read: what this run reads.
    """
    if said is None:
        return Output(form or "text")
    path = Path(said)
    if path.is_dir() or said.endswith(("/", os.sep)):
        if form not in folders:
            raise InputError(_say_a_file(path, forms, folders), said)
        return Output(form or "", path, folder=True)
    writing.refuse({path: b""}, read)
    end = path.name[path.name.rindex(".") :].lower() if "." in path.name else ""
    if not end:
        return Output(form or "text", path, folder=form in folders)
    if form is None:
        return _by_name(path, end, forms)
    if end not in SUITS[form]:
        raise InputError(say("output.wrong-end", form=form, end=end, ends=either(SUITS[form])), said)
    return Output(form, path, printed=end == ".pdf" and form != "pdf")


def _by_name(path: Path, end: str, forms: Sequence[str]) -> Output:
    """The form that the end of a name stands for; a page or PDF that is called a label is one."""
    form = BY_NAME.get(end)
    if form not in forms:
        known = [one for one, stands_for in BY_NAME.items() if stands_for in forms and one != ".htm"]
        raise InputError(say("output.unknown-end", end=end[:20], ends=either(known)), path)
    if form in ("html", "pdf") and "label" in forms and _LABEL.search(path.stem):
        return Output("label", path, printed=form == "pdf")
    return Output(form or "", path)


def _say_a_file(path: Path, forms: Sequence[str], folders: Sequence[str]) -> str:
    file = path / f"dishes{'.html' if 'html' in forms else '.txt'}"
    if not folders:
        return say("output.a-folder", file=file)
    return say("output.a-folder-or-form", file=file, forms=either(folders))


def only_for(wanted: str, output: Output, option: str, value: object) -> None:
    """Refuse an option of some forms (words) where another is written. Raises InputError."""
    forms = wanted.split()
    if value is not None and output.form not in forms:
        raise InputError(say("output.only-for", option=option, form=either(forms)))


def one_file(output: Output, dishes: int, folders: Sequence[str]) -> None:
    """Refuse several dishes in a file that holds one. Raises InputError."""
    if output.path is not None and not output.folder and dishes > 1 and output.form in folders:
        raise InputError(
            say("output.several", number=dishes, folder=f"{output.path.with_suffix('')}/", form=output.form),
            output.path,
        )


def given(recipes: Iterable[Path], since: Path | None = None) -> dict[Path, str]:
    """What the command line says to read -> what it is."""
    earlier = {since: say("write.earlier-read")} if since else {}
    return dict.fromkeys(recipes, say("write.recipes-read")) | earlier


def taken(results: Iterable[DishResult]) -> dict[Path, str]:
    """What was read besides: recipes that lend a stage, and lists of own products."""
    from nutrilab.folder import Folder

    found: dict[Path, str] = {}

    def walk(recipe: Recipe) -> None:
        for other in recipe.others.values():
            if other.path is not None and other.path not in found:
                found[other.path] = say("write.stage-read")
                walk(other)

    for result in results:
        walk(result.recipe)
        if result.recipe.path is not None:
            packs = Folder(result.recipe.path.parent).packs_of(result.recipe)
            found |= dict.fromkeys(packs, say("write.packs-read"))
    return found


def write(data: str | bytes, output: Path | None, read: Mapping[Path, str]) -> None:
    """To the screen, or whole to a file. Raises InputError."""
    if output is not None:
        writing.write({output: data}, read)
    elif isinstance(data, bytes):
        raise InputError(say("output.no-screen"))
    else:
        click.echo(marks.sealed(data.encode()).decode(), nl=False)


def write_folder(files: Mapping[str, str | bytes], folder: Path, read: Mapping[Path, str]) -> None:
    """Some files into a folder, all or none. Raises InputError."""
    writing.write({folder / name: data for name, data in files.items()}, read, folder)
    click.echo(say("output.files-in", number=len(files), folder=file_name(folder)), err=True)
