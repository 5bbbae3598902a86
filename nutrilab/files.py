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
from nutrilab.plain import nearest, quoted
from nutrilab.remarks import InputError, NutrilabError

LONGEST_LINE = 10_000  # characters of a line, whether it stands in a recipe or comes from standard input
MOST_NAMES = 5_000  # names of a folder that are looked at for the likest one
LIKE = 0.6  # how like a name must be to be meant [0 to 1]
NO_TEXT, COPY = "this is no text file", "copy what it says into a plain text file (.txt)"
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


def content(path: Path, largest: int, refusal: Refusal = InputError, what: str = "a recipe") -> bytes:
    """The bytes of a file. Raises what ``refusal`` says: not there, no file, too large, not readable.

    largest: bytes that ``what`` has at most.
    """
    try:
        if not path.is_file():
            raise refusal(no_file(path), path)
        size = path.stat().st_size
        if size > largest:
            raise refusal(f"the file has {size:,} bytes, which is too large; {what} has at most {largest:,}", path)
        return path.read_bytes()
    except (OSError, ValueError) as error:
        raise refusal(f"it cannot be read ({_why(error)})", path) from None


def _why(error: OSError | ValueError | RuntimeError) -> str:
    return (error.strerror or "the disk says no") if isinstance(error, OSError) else "no file can have this name"


def no_file(path: Path) -> str:
    """Why a path is no file that can be read."""
    if path.is_dir():
        return "this is a folder, not a file; name a file in it"
    if path.exists():
        return "this is not a file"
    if there(path):
        return "this is a link that leads nowhere or round in a circle; name the file itself"
    return missing(path)


def missing(path: Path, what: str = "file") -> str:
    """What to say of a file or folder that is not there: that it is a web address, or the likest name beside it."""
    text = str(path)
    if _ADDRESS.match(text):
        if text.lower().startswith("file:"):
            return "this is the address of a file; give its path alone, without file:"
        return (
            "this is a web address, and nothing is read from the web here; "
            "open it in a browser, save what is there as a file (a page as HTML) and give that file"
        )
    folder = path.parent
    if not folder.is_dir():
        near = nearest(folder.name, _names(folder.parent), LIKE)
        hint = f"; did you mean {quoted(folder.parent / near)}?" if near else ""
        return f"there is no such {what}: its folder {quoted(folder)} is not there{hint}"
    near = nearest(path.name, _names(folder), LIKE) or _by_stem(path)
    hint = f"; did you mean {quoted(near)}?" if near else ""
    return f"there is no such {what}{hint}"


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
        words = "is a link that leads round in a circle; name the file itself"
    except (OSError, ValueError) as error:
        words = f"cannot be a file ({_why(error)})"
    else:
        return found
    if file is None:
        raise refusal(f"this {words}", path, line)
    raise refusal(f"{quoted(path)} {words}", file, line)


def within(name: str, beside: Path, folder: Path, line: int | None = None) -> Path:
    """The file that a line of the file ``beside`` names, which must lie in ``folder`` or below. Raises InputError."""
    path = beside.parent / name
    if not place(path, InputError, beside, line).is_relative_to(place(folder)):
        raise InputError(f"{quoted(name)} lies outside the folder of the recipe", beside, line)
    return path


def refuse_kinds(data: bytes, file: object, refusal: Refusal = InputError) -> None:
    """Refuse a photo, a word-processor file or the like, whatever its name says."""
    kind = next((kind for start, kind in _kinds().items() if data.startswith(start)), None)
    if kind:
        raise refusal(f"{NO_TEXT} but {kind}; {COPY}", file)


def text_of(data: bytes, file: object, refusal: Refusal = InputError) -> str:
    """The text of a file. Raises what ``refusal`` says: no text at all, another encoding than UTF-8."""
    refuse_kinds(data, file, refusal)
    if data.startswith(_WIDE):
        raise refusal("its letters are UTF-16; save the file as UTF-8", file)
    if b"\0" in data:
        raise refusal(f"{NO_TEXT}; {COPY}", file, _line(data, data.index(b"\0")))
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        if not _is_no_text(data.decode("latin-1")):
            line = _line(data, error.start)
            raise refusal("a letter here is not UTF-8; save the file as UTF-8", file, line) from None
        text = "\0"
    if text == "\0" or _is_no_text(text):
        raise refusal(f"{NO_TEXT}; {COPY}", file)
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
            raise refusal(f"this line has {len(line):,} characters; no ingredient is that long", file, number)
