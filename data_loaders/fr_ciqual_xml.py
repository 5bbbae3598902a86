"""CIQUAL's XML download: alim (foods), alim_grp (groups), const (constituents), compo (values), one element a row.

The layout is written from memory, no file of it was at hand: TABLE > ALIM, ALIM_GRP, CONST or COMPO, each with one
child a field, padded with blanks, an empty child with ``missing=" "`` where there is no value, tags in either case,
windows-1252. From memory as well: a bare "<" stands in the values of compo ("< 0,3"), which is no XML, so a "<" that no
tag can follow is read as the sign, and a bare "&" as itself.

A DOCTYPE is refused before anything in it is read, so no entity of a file is ever resolved: that is the one thing
defusedxml would be needed for, and the tables have none.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import TYPE_CHECKING
from xml.parsers import expat

from data_loaders.fr_ciqual_values import (
    Published,
    by_label,
    constituents,
    food_code,
    group_name,
    label,
    same_food_twice,
)
from data_loaders.schema import TableError
from nutrilab.messages import say

if TYPE_CHECKING:
    import numpy as np

RELEASE = "2020_07_07"
ALIM, COMPO, CONST, GROUPS = (f"{name}_{RELEASE}.xml" for name in ("alim", "compo", "const", "alim_grp"))
_FOOD = ("alim_code", "alim_nom_fr", "alim_nom_eng", "alim_nom_sci", "alim_grp_code", "alim_ssgrp_code")
_GROUP = ("alim_grp_code", "alim_ssgrp_code", "alim_grp_nom_eng", "alim_ssgrp_nom_eng", "alim_grp_nom_fr",
          "alim_ssgrp_nom_fr")  # fmt: skip
_VALUE = ("alim_code", "const_code", "teneur", "min", "max", "code_confiance")
_DECLARED = re.compile(rb"""^\s*<\?xml[^>]{0,200}?encoding\s*=\s*["']([A-Za-z0-9._-]{1,40})["']""")
_BARE = re.compile(rb"<(?=[\s\d])|&(?!(?:[A-Za-z]{1,8}|#\d{1,7}|#x[0-9A-Fa-f]{1,6});)")
_ENCODINGS = {"windows-1252": "cp1252", "iso-8859-1": "cp1252", "utf-8": "utf-8", "us-ascii": "ascii"}

Record = tuple[str, ...]


def read_xml(files: Mapping[str, bytes]) -> Published:
    """The table from the files ALIM, COMPO, CONST and, if there, GROUPS.

    Raises TableError: not well-formed, a DOCTYPE, a wrong encoding, no record, a food or a value twice, a value of a
    food or constituent that is not in the files, a constituent missing.
    """
    import numpy as np

    foods = _foods(files[ALIM])
    places = _places(files[CONST])
    known = _group_names(files.get(GROUPS))
    rows = {code: row for row, code in enumerate(foods)}
    grids = [np.full((len(foods), len(constituents())), None, dtype=object) for _ in range(4)]
    _fill(grids, files[COMPO], rows, places)
    texts, low, high, confidence = grids
    return Published(
        file=COMPO,
        codes=list(foods),
        french=[food[1] for food in foods.values()],
        english=[food[2] for food in foods.values()],
        scientific=[food[3] for food in foods.values()],
        groups=[known.get((food[4], food[5]), "") for food in foods.values()],
        texts=texts,
        confidence=confidence,
        low=low,
        high=high,
    )


def _foods(data: bytes) -> dict[int, Record]:
    foods: dict[int, Record] = {}
    for record in _records(data, "alim", _FOOD, ALIM):
        code = food_code(record[0], ALIM)
        if foods.setdefault(code, record)[1:3] != record[1:3]:
            raise same_food_twice(code, record[1], foods[code][1], ALIM)
    return foods


def _group_names(data: bytes | None) -> dict[tuple[str, str], str]:
    """(group code, code of the group below) -> name, English where there is one."""
    records = _records(data, "alim_grp", _GROUP, GROUPS) if data else []
    return {(grp, ssgrp): group_name((a, b) if a else (c, d)) for grp, ssgrp, a, b, c, d in records}


def _places(data: bytes) -> dict[str, int]:
    """Code of a constituent -> its place, None of those we do not keep.

    The name decides, which is known from the workbooks; our list of codes, from memory, only where no name is known.
    """
    by_code = {one.const_code: place for place, one in enumerate(constituents())}
    places: dict[str, int] = {}
    for code, french, english in _records(data, "const", ("const_code", "const_nom_fr", "const_nom_eng"), CONST):
        named = {by_label()[key] for key in (label(french), label(english)) if key in by_label()}
        if len(named) > 1:
            raise TableError(
                say("load.constituent-french-but-english", code=code, french=french, english=english), CONST
            )
        place = named.pop() if named else by_code.get(code, -1)
        if code in places or (place >= 0 and place in places.values()):
            raise TableError(say("load.constituent-stands-twice", name=english or french), CONST)
        places[code] = place
    for place, one in enumerate(constituents()):
        if place not in places.values():
            raise TableError(say("load.constituent-missing", code=one.const_code, name=one.english), CONST)
    return places


def _fill(grids: list[np.ndarray], data: bytes, rows: Mapping[int, int], places: Mapping[str, int]) -> None:
    """Put every value, its bounds and its confidence code where it belongs."""
    texts, low, high, confidence = grids
    by_text = {str(code): row for code, row in rows.items()}
    for alim, const, *values in _records(data, "compo", _VALUE, COMPO):
        row = by_text.get(alim, -1)
        place = places.get(const)
        if row < 0:
            raise TableError(say("load.value-belongs-food-not", food=alim[:20], file=ALIM), COMPO)
        if place is None:
            raise TableError(say("load.value-belongs-constituent-not", constituent=const[:20], file=CONST), COMPO)
        if place < 0:
            continue
        if texts[row, place] is not None:
            raise TableError(say("load.value-food-stands-twice", name=constituents()[place].english, food=alim), COMPO)
        texts[row, place], low[row, place], high[row, place], confidence[row, place] = values


def _plain(data: bytes, file: str) -> bytes:
    """The text in UTF-8 with every sign that is no mark-up escaped. Raises TableError: empty, a wrong encoding."""
    if not data.strip():
        raise TableError(say("load.file-empty"), file)
    declared = _DECLARED.match(data[:400])
    name = declared[1].decode().lower() if declared else "utf-8"
    if name not in _ENCODINGS:
        raise TableError(say("load.encoding-not-one-ciqual-publishes", name=name), file)
    try:
        if _ENCODINGS[name] != "utf-8":
            data = data.decode(_ENCODINGS[name]).encode()
        else:
            data.decode()
    except UnicodeDecodeError as error:
        raise TableError(say("load.encoding-not-says-fetch-file", name=name), file) from error
    return _BARE.sub(lambda sign: b"&lt;" if sign[0] == b"<" else b"&amp;", data)


def _records(data: bytes, element: str, fields: tuple[str, ...], file: str) -> list[Record]:
    """The wanted fields of every element of a name, blanks off, "" where there is none.

    Raises TableError as `_plain`, and: not well-formed, a DOCTYPE, no such element, a field twice in one, a first
    field missing.
    """
    at = {name: place for place, name in enumerate(fields)} | {name.upper(): place for place, name in enumerate(fields)}
    tags = (element, element.upper())
    found: list[Record] = []
    now = [""] * len(fields)
    text: list[str] = []

    def end(name: str) -> None:
        nonlocal now
        if name in tags:
            found.append(tuple(now))
            now = [""] * len(fields)
        elif (place := at.get(name)) is not None:
            if now[place]:
                raise TableError(
                    say("load.stands-twice-one", name=name, element=element.upper()), file, parser.CurrentLineNumber
                )
            now[place] = "".join(text).strip()

    def no_doctype(*_: object) -> None:
        raise TableError(say("load.holds-doctype-published-files-do"), file)

    parser = expat.ParserCreate("utf-8")
    parser.buffer_text = True
    parser.StartDoctypeDeclHandler = no_doctype
    parser.StartElementHandler = lambda name, attributes: text.clear()
    parser.EndElementHandler = end
    parser.CharacterDataHandler = text.append
    try:
        parser.Parse(_plain(data, file), True)
    except expat.ExpatError as error:
        words = expat.ErrorString(error.code)
        raise TableError(say("load.no-whole-xml-file-fetch", problem=words), file, error.lineno) from error
    if not found:
        raise TableError(say("load.no-was-found", element=element.upper()), file)
    return found
