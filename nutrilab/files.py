"""Files as a cook gives them: where they lie, what is in them as bytes and as text, each refusal one sentence.

The one door for recipes, saved pages, packs, decisions, settings, earlier results and lists of lines.
"""

from __future__ import annotations

import os
import re
from collections.abc import Iterable, Iterator
from functools import cache
from pathlib import Path

from nutrilab.datafiles import rows
from nutrilab.messages import say
from nutrilab.plain import nearest, quoted
from nutrilab.remarks import InputError, NutrilabError

LONGEST_LINE = 10_000  # characters of a line, whether it stands in a recipe or comes from standard input
MOST_NAMES = 5_000  # names of a folder that are looked at for the likest one
LIKE = 0.6  # how like a name must be to be meant [0 to 1]
_ADDRESS = re.compile(r"(?:https?|ftp|file):/|www\.", re.IGNORECASE)
# Text has line ends, tabs, form feeds and at most stray escapes; other control characters make it something else.
_CONTROL = re.compile("[\x01-\x08\x0e-\x1a\x1c-\x1f\x7f]")
FEW = 0.02  # share of control characters from which on something is no text
_WIDE = (b"\xff\xfe", b"\xfe\xff")  # the byte order marks of UTF-16

Refusal = type[NutrilabError]


def there(path: Path) -> bool:
    """Whether something of this name lies in its folder, be it only a link that leads nowhere."""
    try:
        return os.path.lexists(path)
    except ValueError:  # a NUL in the name
        return False


def content(path: Path, largest: int, refusal: Refusal = InputError, what: str | None = None) -> bytes:
    """The bytes of a file. Raises what ``refusal`` says: not there, no file, too large, not readable.

    largest: bytes that ``what`` has at most, a recipe where it is None.
    """
    try:
        if not path.is_file():
            raise refusal(no_file(path), path)
        size = path.stat().st_size
        if size > largest:
            raise refusal(
                say("file.too-large", size=f"{size:,}", what=what or say("thing.recipe"), most=f"{largest:,}"), path
            )
        return path.read_bytes()
    except (OSError, ValueError) as error:
        raise refusal(say("file.not-readable", problem=_why(error)), path) from None


def _why(error: OSError | ValueError | RuntimeError) -> str:
    return (error.strerror or say("file.disk-says-no")) if isinstance(error, OSError) else say("file.no-such-name")


def no_file(path: Path) -> str:
    """Why a path is no file that can be read."""
    if path.is_dir():
        return say("file.a-folder")
    if path.exists():
        return say("file.no-file")
    if there(path):
        return say("file.dead-link")
    return missing(path)


def missing(path: Path, what: str | None = None) -> str:
    """What to say of a file or folder that is not there: that it is a web address, or the likest name beside it."""
    what = what or say("thing.file")
    text = str(path)
    if _ADDRESS.match(text):
        if text.lower().startswith("file:"):
            return say("file.address")
        return say("file.web-address")
    folder = path.parent
    if not folder.is_dir():
        near = nearest(folder.name, _names(folder.parent), LIKE)
        if near:
            return say("file.no-folder-but", what=what, folder=quoted(folder), name=quoted(folder.parent / near))
        return say("file.no-folder", what=what, folder=quoted(folder))
    near = nearest(path.name, _names(folder), LIKE) or _by_stem(path)
    return say("file.not-there-but", what=what, name=quoted(near)) if near else say("file.not-there", what=what)


def _names(folder: Path) -> Iterator[str]:
    """Names of the files and folders in a folder, hidden ones left out."""
    try:
        with os.scandir(folder) as entries:
            for count, entry in enumerate(entries):
                if count >= MOST_NAMES:
                    return
                if not entry.name.startswith("."):
                    yield entry.name
    except OSError:
        return


def _by_stem(path: Path) -> str | None:
    """The file whose name without its suffix is likest to this one's: "pie" for "pie.yaml"."""
    stems = {Path(name).stem: name for name in sorted(_names(path.parent), reverse=True)}
    near = nearest(path.stem, stems, LIKE)
    return stems[near] if near else None


def place(path: Path, refusal: Refusal = InputError, file: object = None, line: int | None = None) -> Path:
    """A path without links and dots in it. Raises what ``refusal`` says, of ``file`` and ``line`` if given."""
    try:
        found = path.resolve()
        found.exists()  # a name that no file can have shows here at the latest
    except RuntimeError:
        words = say("file.circle") if file is None else say("file.names-circle", name=quoted(path))
    except (OSError, ValueError) as error:
        words = say("file.cannot-be", problem=_why(error))
        if file is not None:
            words = say("file.names-no-file", name=quoted(path), problem=_why(error))
    else:
        return found
    raise refusal(words, path if file is None else file, line)


def within(name: str, beside: Path, folder: Path, line: int | None = None) -> Path:
    """The file that a line of the file ``beside`` names, which must lie in ``folder`` or below. Raises InputError."""
    path = beside.parent / name
    if not place(path, InputError, beside, line).is_relative_to(place(folder)):
        raise InputError(say("file.outside", name=quoted(name)), beside, line)
    return path


def refuse_kinds(data: bytes, file: object, refusal: Refusal = InputError) -> None:
    """Refuse a photo, a word-processor file or the like, whatever its name says."""
    kind = next((kind for start, kind in _kinds().items() if data.startswith(start)), None)
    if kind:
        raise refusal(say("file.other-kind", kind=kind), file)


def text_of(data: bytes, file: object, refusal: Refusal = InputError) -> str:
    """The text of a file. Raises what ``refusal`` says: no text at all, another encoding than UTF-8."""
    refuse_kinds(data, file, refusal)
    if data.startswith(_WIDE):
        raise refusal(say("file.utf-16"), file)
    if b"\0" in data:
        raise refusal(say("file.no-text"), file, _line(data, data.index(b"\0")))
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        if not _is_no_text(data.decode("latin-1")):
            line = _line(data, error.start)
            raise refusal(say("file.utf-8"), file, line) from None
        text = "\0"
    if text == "\0" or _is_no_text(text):
        raise refusal(say("file.no-text"), file)
    return text


def _is_no_text(text: str) -> bool:
    return len(_CONTROL.findall(text)) > FEW * len(text) + 2


def _line(data: bytes, at: int) -> int:
    return data.count(b"\n", 0, at) + 1


@cache
def _kinds() -> dict[bytes, str]:
    return {bytes.fromhex(row["start"]): row["kind"] for row in rows("file_kinds.csv")}


def check_lines(lines: Iterable[str], file: object, refusal: Refusal = InputError) -> None:
    """Refuse a line that is longer than any ingredient, wherever it comes from."""
    for number, line in enumerate(lines, 1):
        if len(line) > LONGEST_LINE:
            raise refusal(say("recipe.line-too-long", number=f"{len(line):,}"), file, number)
