"""ANSES-CIQUAL French food composition table, version 2020: the workbooks (.xls) and the XML download.

Given are one workbook, English or French, or a folder, zip or tar that holds one or both, or the XML files; where the
XML files are there they are read, as only they have bounds and confidence codes. ``name`` is the English name where
there is one; the French name then stands in ``scientific_name`` after the scientific one, as "Prunus domestica; fr:
Pruneau" (`french_name` takes it out again). From the French workbook alone all names are French; where the English
workbook lies beside it, in the same folder, the English names stand in ``scientific_name``, as "Prunus domestica; en:
Prune", so that what they say of allergens is heard. Groups are named in English from either workbook.

What the values are, and what is made of them:

* "-" and blank: missing. "< 0,3": 0.15, half the bound, which is what CIQUAL itself counts in its energies
  (tests/published/test_fr_ciqual.py shows it); "traces": half of the bound of traces.csv; both with a note.
* Energy, protein and carbohydrate are already as the Regulation defines them (``_provenance`` says how); the energy and
  the protein by nitrogen factors of each food stand beside them under their own tagnames.
* Salt (NACL) stands as published; where sodium is missing it is worked out from salt, with a note. Where both stand and
  disagree by more than rounding, sodium keeps its value and a note holds the two as its bounds.
"""

from __future__ import annotations

import datetime
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from data_loaders.archive import read_file, read_files
from data_loaders.fr_ciqual_values import (
    LESS,
    MISSING,
    SOURCE,
    TRACE,
    Published,
    constituents,
    read_values,
    refuse,
    trace_bounds,
)
from data_loaders.fr_ciqual_xls import MAGIC, english_names, read_workbook
from data_loaders.fr_ciqual_xml import ALIM, COMPO, CONST, GROUPS, read_xml
from data_loaders.schema import ENGLISH, MEASURE_COLUMNS, NOTE_COLUMNS, Provenance, TableData, TableError, sha256
from nutrilab.law.energy import KJ_PER_KCAL, SODIUM_PER_SALT, factors
from nutrilab.messages import say

if TYPE_CHECKING:
    import numpy as np
    import pandas as pd

NAME = SOURCE
FRENCH = "fr: "
XML = (ALIM, COMPO, CONST)
WORKBOOKS = (
    "Table Ciqual 2020_ENG_2020 07 07.xls",  # the publisher's names, from memory
    "Table Ciqual 2020_FR_2020 07 07.xls",
    "ciqual-2020-eng.xls",
    "ciqual-2020-fra.xls",
)
LARGEST = 60_000_000  # bytes of a workbook; the real ones have 3.6 million


def load(path: Path) -> TableData:
    """Read CIQUAL 2020 from a workbook, or a folder, zip or tar of workbooks or XML files.

    Returns foods (values per 100 g edible portion, sorted by code), no household measures, provenance and notes.
    Raises TableError with file, sheet and line where known: a file, sheet or column missing, damaged, a text where a
    value belongs, more of something than 100 g can hold, a food twice, columns that contradict each other.
    """
    table, inputs = _published(path)
    beside = {} if any(table.english) else _names_beside(path, inputs)
    numbers, kinds = read_values(table.texts)
    refuse(table, table.texts, kinds, numbers)
    values, high = _middle(numbers, kinds, table.file)
    _check_sense(values, table.file)
    notes = [_bound_notes(table, kinds, high), _sodium_notes(table, values, high), _confidence_notes(table)]
    return TableData(_foods(table, values, beside), _no_measures(), _provenance(inputs), _joined(notes))


def french_name(scientific_name: str) -> str:
    """The French name beside an English one in a ``scientific_name``; "" if there is none."""
    return scientific_name.partition(FRENCH)[2]


def _published(path: Path) -> tuple[Published, dict[str, str]]:
    """The table as published, and file name -> SHA-256 of what was read."""
    head = _head(path)
    if head == MAGIC:
        data = read_file(path, LARGEST)
        return read_workbook(data, path.name), {path.name: sha256(data)}
    if head.lstrip(b"\xef\xbb\xbf \r\n").startswith(b"<"):
        raise TableError(say("load.one-xml-file-not-enough", files=", ".join(XML)), path)
    found = read_files(path, (), (*XML, GROUPS, *WORKBOOKS))
    books = [name for name in WORKBOOKS if name in found]
    if any(name in found for name in XML):
        if missing := [name for name in XML if name not in found]:
            raise TableError(say("load.file-missing", file=missing[0]), path)
        used, table = [name for name in (*XML, GROUPS) if name in found], read_xml(found)
    elif books:
        used, table = books, _both([read_workbook(found[name], name) for name in books], path)
    else:
        raise TableError(say("load.none-files-ciqual-2020", files=", ".join((*XML, *WORKBOOKS))), path)
    return table, {name: sha256(found[name]) for name in used}


def _names_beside(path: Path, inputs: dict[str, str]) -> dict[int, str]:
    """alim_code -> English name, from an English workbook beside a French one; that file is added to the inputs.

    Raises TableError when it lies there and cannot be read.
    """
    for name in WORKBOOKS:
        other = path.parent / name
        if name != path.name and path.is_file() and _head(other) == MAGIC:
            data = read_file(other, LARGEST)
            if found := english_names(data, name):
                inputs[name] = sha256(data)
                return found
    return {}


def _head(path: Path) -> bytes:
    """The first bytes of a file, b"" of what is none. Raises TableError: empty, not readable."""
    if not path.is_file():
        return b""
    try:
        with path.open("rb") as file:
            head = file.read(len(MAGIC))
    except OSError as error:
        raise TableError(say("file.not-readable", problem=error.strerror), path) from error
    if not head:
        raise TableError(say("load.file-empty"), path)
    return head


def _both(books: list[Published], path: Path) -> Published:
    """One table of one workbook, or of an English and a French one: values of the English, names of both."""
    if len(books) == 1:
        return books[0]
    english = [book for book in books if any(book.english)]
    french = [book for book in books if any(book.french)]
    if len(english) != 1 or len(french) != 1:
        raise TableError(say("load.holds-workbook-one-language-twice"), path)
    names = dict(zip(french[0].codes, french[0].french, strict=True))
    if strangers := set(names).symmetric_difference(english[0].codes):
        raise TableError(say("load.food-only-one-two-workbooks", food=min(strangers)), path)
    return replace(english[0], french=[names[code] for code in english[0].codes])


def _middle(numbers: np.ndarray, kinds: np.ndarray, file: str) -> tuple[np.ndarray, np.ndarray]:
    """(values, upper bounds): of "< x" and "traces" half the bound, of all else the number and NaN."""
    import numpy as np

    bounds = np.array([trace_bounds().get(one.tagname, np.nan) for one in constituents()])
    high = np.where(kinds == LESS, numbers, np.where(kinds == TRACE, bounds, np.nan))
    boundless = np.argwhere((kinds == TRACE) & np.isnan(high))
    if len(boundless):
        one = constituents()[boundless[0][1]]
        raise TableError(say("load.cannot-trace-fetch-file-again", name=one.english), file)
    return np.where((kinds == LESS) | (kinds == TRACE), high / 2, numbers), high


def _at(tagname: str) -> int:
    return [one.tagname for one in constituents()].index(tagname)


def _check_sense(values: np.ndarray, file: str) -> None:
    """Refuse a table much of which contradicts itself, as when heads and columns are swapped.

    Single foods that do are the publisher's, and are shown by the checks of a table: of the real one 0.7 % at most.
    """
    import numpy as np

    def of(tagname: str) -> np.ndarray:
        return np.asarray(values[:, _at(tagname)])

    per_gram = {tagname: kj for tagname, (kj, _) in factors().items()}
    kj = sum((per_gram[tagname] * of(tagname) for tagname in ("PROCNT", "CHOAVL", "FAT", "FIBTG")), np.zeros(1))
    kj = kj + per_gram["ALC"] * np.nan_to_num(of("ALC"))
    kcal, salt = of("ENERC_KJ") / KJ_PER_KCAL, of("NA") / SODIUM_PER_SALT
    tests = {  # what must hold -> how far it does not, NaN where it cannot be told
        "load.kj-not-of-components": np.abs(kj - of("ENERC_KJ")) - 0.2 * kj - 20,
        "load.kcal-not-of-kj": np.abs(of("ENERC_KCAL") - kcal) - 0.1 * of("ENERC_KCAL") - 5,
        "load.saturates-above-fat": of("FASAT") - 1.1 * of("FAT") - 0.5,
        "load.sugars-above-carbohydrate": of("SUGAR") - 1.1 * of("CHOAVL") - 0.5,
        "load.salt-not-of-sodium": np.abs(of("NACL") - salt) - 0.5 * salt - 0.1,
    }
    for words, excess in tests.items():
        known = excess[~np.isnan(excess)]
        if len(known) and (known > 0).mean() > 0.4:
            raise TableError(say("load.many-foods-columns-swapped-fetch", problem=say(words)), file)


def _foods(table: Published, values: np.ndarray, beside: dict[int, str]) -> pd.DataFrame:
    """beside: English names that stand second, by alim_code."""
    import numpy as np
    import pandas as pd

    others = [
        f"{FRENCH}{french}" if english and french else f"{ENGLISH}{beside[code]}" if beside.get(code) else ""
        for code, english, french in zip(table.codes, table.english, table.french, strict=True)
    ]
    second = ["; ".join(part for part in pair if part) for pair in zip(table.scientific, others, strict=True)]
    foods = pd.DataFrame(
        {
            "food_id": [f"fr:{code}" for code in table.codes],
            "name": [english or french for english, french in zip(table.english, table.french, strict=True)],
            "scientific_name": second,
            "group": table.groups,
            "source": "Anses CIQUAL 2020",
            "refuse": np.nan,  # the table is of edible portions and says nothing of waste
        }
    )
    grid = pd.DataFrame(values, columns=[one.tagname for one in constituents()])
    return pd.concat([foods, grid], axis=1).iloc[np.argsort(table.codes, kind="stable")].reset_index(drop=True)


def _notes(table: Published, where: np.ndarray, low: object, high: object, kind: object, words: object) -> pd.DataFrame:
    """Notes on the values at ``where`` (rows of food and constituent)."""
    import pandas as pd

    ids = [f"fr:{code}" for code in table.codes]
    tags = [one.tagname for one in constituents()]
    columns = [[ids[row] for row in where[:, 0]], [tags[place] for place in where[:, 1]], kind, low, high, words]
    return pd.DataFrame(dict(zip(NOTE_COLUMNS, columns, strict=True)))


def _bound_notes(table: Published, kinds: np.ndarray, high: np.ndarray) -> pd.DataFrame:
    import numpy as np

    where = np.argwhere((kinds == LESS) | (kinds == TRACE))
    at = where[:, 0], where[:, 1]
    kind = np.where(kinds[at] == LESS, "less than", "trace")
    return _notes(table, where, np.zeros(len(where)), high[at], kind, table.texts[at])


def _sodium_notes(table: Published, values: np.ndarray, high: np.ndarray) -> pd.DataFrame:
    """Put in the sodium that only the salt column tells, and note it and every sodium that salt contradicts.

    They contradict when they differ by more than 5 % and more than 0.006 g of salt: less is rounding, as the salt of a
    pack has two digits. Sodium [mg] = salt [g] / 2.5 * 1000.
    """
    import numpy as np
    import pandas as pd

    na, nacl = _at("NA"), _at("NACL")
    per_salt = np.array([1.0, SODIUM_PER_SALT])  # both as sodium [mg]
    middle = values[:, [na, nacl]] * per_salt
    bound = high[:, [na, nacl]] * per_salt
    least, most = np.where(np.isnan(bound), middle, 0.0), np.where(np.isnan(bound), middle, bound)
    gap = np.maximum(least[:, 0] - most[:, 1], least[:, 1] - most[:, 0])
    apart = np.flatnonzero(gap > np.maximum(0.05 * middle[:, 0], 0.006 * per_salt[1]))
    told = np.flatnonzero(np.isnan(middle[:, 0]) & ~np.isnan(middle[:, 1]))
    values[told, na] = middle[told, 1]
    low = np.where(np.isnan(bound[told, 1]), np.nan, 0.0)
    salts = table.texts[:, nacl]
    return pd.concat(
        [
            _notes(table, _column(told, na), low, bound[told, 1], "converted",
                   [say("about.note-sodium-of-salt", salt=salts[row]) for row in told]),
            _notes(table, _column(apart, na), least[apart].min(axis=1), most[apart].max(axis=1), "estimate",
                   [say("about.note-salt-and-sodium", salt=salts[row]) for row in apart]),
        ],
        ignore_index=True,
    )  # fmt: skip


def _column(rows: np.ndarray, place: int) -> np.ndarray:
    import numpy as np

    return np.stack([rows, np.full(len(rows), place)], axis=1)


def _confidence_notes(table: Published) -> pd.DataFrame | None:
    """The publisher's confidence codes (A the best, D the least), with the least and greatest of its sources."""
    import numpy as np

    if table.confidence is None or table.low is None or table.high is None:
        return None
    bounds = []
    for grid in (table.low, table.high):
        numbers, kinds = read_values(grid)
        refuse(table, grid, kinds, numbers)
        bounds.append(np.where(kinds == MISSING, np.nan, numbers))
    low, high = bounds
    low[low > high] = np.nan  # then they bound nothing
    where = np.argwhere(table.confidence.astype(bool))
    at = where[:, 0], where[:, 1]
    low, high = low[at], np.where(np.isnan(low[at]), np.nan, high[at])
    return _notes(table, where, low, high, "confidence", ["confidence " + code[:20] for code in table.confidence[at]])


def _joined(notes: list[pd.DataFrame | None]) -> pd.DataFrame:
    import pandas as pd

    return pd.concat([found for found in notes if found is not None and len(found)] or notes[:1], ignore_index=True)


def _no_measures() -> pd.DataFrame:
    import pandas as pd

    types = {"food_id": "str", "amount": "float64", "words": "str", "grams": "float64"}
    return pd.DataFrame({column: pd.Series(dtype=types[column]) for column in MEASURE_COLUMNS})


def _provenance(inputs: dict[str, str]) -> Provenance:
    return Provenance(
        source="Anses CIQUAL 2020",
        version="2020-07-07",
        licence="Licence Ouverte / Open Licence (Etalab)",
        citation="Anses. 2020. Ciqual French food composition table. Version of 7 July 2020.",
        credit="Food composition: Anses. 2020. Ciqual French food composition table (7 July 2020)",
        carbohydrate="CHOAVL: available carbohydrate as Regulation (EU) No 1169/2011 defines it, polyols included; by "
        "difference from water, protein, fat, fibre, ash, alcohol and organic acids where not analysed (from memory; "
        "with these it adds up to 100 +- 5 g in 99.8 % of its foods). Fibre: FIBTG, by AOAC methods (from memory). "
        "Energy: ENERC_KJ and ENERC_KCAL by the Regulation's factors (Annex XIV) with protein N x 6.25; ENERC_KJ_OWN "
        "and ENERC_KCAL_OWN with the protein of PROCNT_JONES",
        protein="PROCNT: nitrogen x 6.25, as Annex I of the Regulation wants it; PROCNT_JONES: nitrogen x the factor "
        "of each food (Jones), the table's own protein",
        inputs=inputs,
        imported=datetime.date.today().isoformat(),
    )
