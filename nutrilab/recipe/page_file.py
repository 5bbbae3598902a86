"""A recipe from a saved page or JSON file that carries a schema.org/Recipe, as JSON-LD or microdata. No network.

Its lines are read as those of a recipe file in one stage: a page says nothing of stages, so no line of it takes part
of one. Where a page holds different recipes, which one is meant is for the cook to say.
"""

from __future__ import annotations

import json
import re
from itertools import islice
from typing import Any

from nutrilab.files import LONGEST_LINE, refuse_kinds, text_of
from nutrilab.messages import say
from nutrilab.plain import brief, quoted
from nutrilab.recipe import microdata
from nutrilab.recipe.checks import check_size
from nutrilab.recipe.markup import Token, tokens, unescape
from nutrilab.recipe.portions import read_yield
from nutrilab.recipe.schema_org import Found, TooMuchError, gathered, recipes
from nutrilab.recipe.values import Line, Recipe, Stage
from nutrilab.remarks import Code, InputError, Remark

MOST_TOKENS = 400_000  # tags and texts; a recipe page has some ten thousand

_CHARSET = re.compile(rb"""<meta[^<>]{0,200}?charset\s{0,9}=\s{0,9}["']?\s{0,9}([\w.:-]{1,40})""", re.IGNORECASE)
_CODECS = {  # declared encodings that are read, and how; those of western pages, as the HTML standard maps them
    "iso-8859-1": "cp1252", "latin1": "cp1252", "us-ascii": "cp1252", "windows-1252": "cp1252", "cp1252": "cp1252",
    "iso-8859-15": "iso-8859-15", "iso-8859-2": "iso-8859-2", "windows-1250": "cp1250", "macintosh": "mac-roman",
}  # fmt: skip
_MARKS = ((b"\xef\xbb\xbf", "utf-8-sig"), (b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"))
# What old pages wrap scripts in, to hide them from browsers that know none.
_WRAPPED = re.compile(r"\s*+(?:<!--|(?://|/\*)?\s*+<!\[CDATA\[\s*(?:\*/)?)")
_WRAPPER_END = re.compile(r"(?:(?://)?\s*-->|(?://|/\*)?\s*\]\]>\s*(?:\*/)?|;)\s*$")


def read(data: bytes, file: str, name: str = "") -> Recipe:
    """Read a recipe from the bytes of a page or of a JSON file.

    name: the dish where the page names none. Raises InputError: an encoding that cannot be read, broken or hostile
    markup or JSON, no recipe with ingredients, several different ones, too much of anything.
    """
    text = _decoded(data, file)
    begins = text[:200].lstrip()[:1]
    is_json = begins in ("{", "[") or (begins != "<" and file.lower().endswith((".json", ".jsonld")))
    try:
        found, remarks = _of_json(text, file) if is_json else _of_page(text, file)
    except (TooMuchError, microdata.TooDeepError):
        raise InputError(say("page.too-deep"), file) from None
    if found.elsewhere:
        raise InputError(say("page.elsewhere", advice=say("page.copy-it")), file)
    if len(found.dish) > LONGEST_LINE:
        raise InputError(say("page.long-name", number=f"{len(found.dish):,}"), file)
    portions, more = read_yield(found.yields)
    dish = found.dish or name or say("page.no-name")
    stage = Stage(dish, tuple(Line(line) for line in found.lines))
    steps = tuple(Line(step) for step in found.steps)
    recipe = Recipe(dish, (stage,), portions, method=steps, remarks=(*remarks, *(remark.at(None) for remark in more)))
    check_size(recipe, file)
    return recipe


def _decoded(data: bytes, file: str) -> str:
    """The text: by its byte order mark, as UTF-8, else as the page declares it. Raises InputError."""
    refuse_kinds(data, file)
    codec = next((codec for mark, codec in _MARKS if data.startswith(mark)), "utf-8")
    try:
        text = data.decode(codec)
    except UnicodeDecodeError as error:
        if codec != "utf-8":
            raise InputError(say("page.save-as-utf-8"), file) from None
        if not data[:1024].lstrip().startswith((b"<", b"{", b"[")):
            return text_of(data, file)  # which says what it is instead
        text = _declared(data, error.start, file)
    return text_of(text.encode("utf-8", "surrogatepass"), file) if "\0" in text else text


def _declared(data: bytes, fault: int, file: str) -> str:
    """A page that is not UTF-8, by the encoding it declares in its first 1,024 bytes, as the HTML standard has it."""
    line = data.count(b"\n", 0, fault) + 1
    found = _CHARSET.search(data, 0, 1024)
    declared = found[1].decode("ascii", "replace").lower() if found else ""
    if declared not in _CODECS:
        said = say("page.not-read-encoding", encoding=declared) if declared else say("page.no-encoding")
        raise InputError(said, file, line)
    try:
        return data.decode(_CODECS[declared])
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise InputError(say("page.wrong-encoding", encoding=declared), file, line) from None


def _of_json(text: str, file: str) -> tuple[Found, list[Remark]]:
    """The recipe of a JSON file."""
    try:
        found = recipes(_json(text))
    except json.JSONDecodeError as error:
        raise InputError(say("page.broken-json", problem=error.msg), file, error.lineno) from None
    if not found:
        raise InputError(say("page.no-recipe-in-json", advice=say("page.copy-it")), file)
    one = _the_one(found, file)
    return one, _differences(one, [])


def _of_page(page: str, file: str) -> tuple[Found, list[Remark]]:
    """The recipe of a page: from JSON-LD, else from microdata; a remark on what speaks against it."""
    whole = list(islice(tokens(page), MOST_TOKENS + 1))
    if len(whole) > MOST_TOKENS:
        raise InputError(say("page.too-much", most=f"{MOST_TOKENS:,}"), file)
    data, faults = _data(page, whole)
    written = recipes(data)
    try:
        shown = recipes(microdata.items(whole)) if "itemprop" in page.lower() else []
    except (TooMuchError, microdata.TooDeepError):
        if not written:
            raise
        shown = []
    if not written and not shown:
        for message, line in faults:
            raise InputError(say("page.broken-and", problem=message, advice=say("page.copy-it")), file, line)
        raise InputError(say("page.no-recipe", advice=say("page.copy-it")), file)
    one = _the_one(written or shown, file)
    remarks = _differences(one, shown if written else [])
    if not one.ended:
        remarks.append(Remark(Code.PAGE_CUT_OFF, say("page.cut-off")))
    for message, line in faults[:1]:
        said = say("page.part-broken", problem=message, line=line)
        remarks.append(Remark(Code.PAGE_BROKEN_DATA, said))
    return one, remarks


def _data(page: str, whole: list[Token]) -> tuple[list[Any], list[tuple[str, int]]]:
    """What stands in the JSON-LD of a page, and the faults of what cannot be read, with their lines."""
    found: list[Any] = []
    faults: list[tuple[str, int]] = []
    for script in whole:
        if script.kind != "script" or _kind(script) != "application/ld+json":
            continue
        text, at = _unwrapped(script)
        if not text.strip():
            continue
        try:
            found.append(_json(text))
        except json.JSONDecodeError as error:
            line = page.count("\n", 0, at) + error.lineno
            faults.append((say("page.broken-data", problem=error.msg), line))
    return found, faults


def _kind(script: Token) -> str:
    return script.attributes.get("type", "").split(";")[0].strip().lower()


def _unwrapped(script: Token) -> tuple[str, int]:
    """The JSON of a script and where it begins in the page."""
    text, at = script.text, script.at
    if wrapper := _WRAPPED.match(text):
        text, at = text[wrapper.end() :], at + wrapper.end()
    text = text.rstrip()
    for _ in range(3):
        if end := _WRAPPER_END.search(text, max(0, len(text) - 20)):
            text = text[: end.start()].rstrip()
    if text.lstrip()[:2] in ("{&", "[&") or '"' not in text:
        text = unescape(text)  # some writers of pages escape the whole of it
    return text, at


def _json(text: str) -> Any:
    """JSON with line breaks allowed in texts; of a key that stands twice, both values.

    Raises json.JSONDecodeError, TooMuchError.
    """
    try:
        return json.loads(text, strict=False, object_pairs_hook=gathered, parse_int=_integer)
    except RecursionError:
        raise TooMuchError from None


def _integer(digits: str) -> float:
    return int(digits) if len(digits) < 20 else float(digits)


def _the_one(found: list[Found], file: str) -> Found:
    """The only recipe there is; the same lines twice are one recipe. Raises InputError."""
    different: dict[tuple[str, ...], Found] = {}
    for recipe in found:
        different.setdefault(tuple("".join(line.split()).casefold() for line in recipe.lines), recipe)
    if len(different) > 1:
        names = ", ".join(quoted(recipe.dish) for recipe in list(different.values())[:5])
        raise InputError(say("page.several", number=len(different), names=names, advice=say("page.copy-it")), file)
    return next(iter(different.values()))


def _differences(one: Found, shown: list[Found]) -> list[Remark]:
    """Lines that stand in the page a second time and not in the list that is read; signs and spaces do not count."""

    def key(line: str) -> str:
        return "".join(filter(str.isalnum, line.casefold()))

    known = set(map(key, one.lines))
    second = [*one.other, *(line for recipe in shown for line in recipe.lines)]
    missing = [line for line in second if key(line) not in known]
    if not missing:
        return []
    said = "; ".join(brief(line) for line in missing[:5])
    message = say("page.lists-differ", lines=said)
    return [Remark(Code.PAGE_LISTS_DIFFER, message)]
