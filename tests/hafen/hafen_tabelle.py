"""A made-up German table of thirty foods, drinks per 100 ml: a package after docs/adding-a-food-table.md."""

from __future__ import annotations

import csv
import datetime
from math import nan
from pathlib import Path

import pandas as pd

from data_loaders.archive import read_file
from data_loaders.keyed import foods_frame, notes_frame, per_100_g
from data_loaders.schema import WORD_COLUMNS, Provenance, TableData, TableError, sha256

NAME = "hafen"
TAGS = {
    "wasser": "WATER", "eiweiss": "PROCNT", "fett": "FAT", "gesaettigt": "FASAT", "kohlenhydrate": "CHOAVL",
    "zucker": "SUGAR", "ballaststoffe": "FIBTG", "natrium mg": "NA", "alkohol": "ALC",
}  # fmt: skip
TRACE = 0.1  # g; "Sp" (Spuren), the least step the table prints
# The groups whose foods are an allergen's own bear the names nutrilab knows them by.
GROUPS = {
    "Milch": "Dairy and Egg Products", "Eier": "Dairy and Egg Products", "Fisch": "Finfish and Shellfish Products",
    "Nüsse": "Nut and Seed Products", "Getreide": "Cereal Grains and Pasta",
}  # fmt: skip


def number(text: str, where: tuple[Path, int]) -> tuple[float, str]:
    """A printed value, NaN where nothing stands, and the kind of its note."""
    if not text:
        return nan, ""
    if text == "Sp":
        return TRACE / 2, "trace"
    try:
        value = float(text.removeprefix("<").replace(",", "."))
    except ValueError:
        raise TableError(f'"{text[:40]}" is no number', *where) from None
    return (value / 2, "less than") if text.startswith("<") else (value, "")


def load(path: Path) -> TableData:
    """The foods of the harbour. Raises TableError with file and line."""
    data = read_file(path, 1_000_000)
    rows = list(csv.DictReader(data.decode("utf-8").splitlines(), delimiter=";"))
    heads, values, notes, measures, words, left_out = [], [], [], [], [], []
    for line, row in enumerate(rows, 2):
        if None in row or None in row.values():
            raise TableError("a row of another length", path, line)
        food_id, density = f"hafen:{row['nr']}", number(row["dichte"], (path, line))[0]
        if row["pro"] == "ml" and not density > 0:
            left_out.append(f"{food_id}, {row['name']}: per 100 ml without a density, left out")
            continue
        told = {tag: number(row[column], (path, line)) for column, tag in TAGS.items()}
        by_weight = {tag: value for tag, (value, _) in told.items()}
        values.append(per_100_g(by_weight, density) if row["pro"] == "ml" else by_weight)
        notes += [
            (food_id, tag, kind, 0.0, 2 * values[-1][tag], "printed so") for tag, (_, kind) in told.items() if kind
        ]
        heads.append((food_id, row["name"], f"en: {row['english']}", GROUPS.get(row["gruppe"], row["gruppe"]), nan))
        words.append((row["woerter"], "", food_id, "sure", "the table's own name"))
        if row["pro"] == "ml":
            measures.append((food_id, 1.0, "ml", density))
        if row["loeffel g"]:
            measures.append((food_id, 1.0, "tbsp", number(row["loeffel g"], (path, line))[0]))
    ids, names, seconds, groups, refuse = (list(column) for column in zip(*heads, strict=True))
    about = {"food_id": ids, "name": names, "scientific_name": seconds, "group": groups,
             "source": ["Hafentabelle 2026"] * len(ids), "refuse": refuse}  # fmt: skip
    return TableData(
        foods=foods_frame(about, pd.DataFrame(values)),
        measures=pd.DataFrame(measures, columns=["food_id", "amount", "words", "grams"]),
        provenance=Provenance(
            source="Hafentabelle 2026", version="1", licence="made up for a test", citation="Hafentabelle (made up)",
            credit="Food composition: Hafentabelle (made up)", carbohydrate="CHOAVL: available",
            protein="PROCNT: nitrogen x 6.25", inputs={path.name: sha256(data)},
            imported=datetime.date.today().isoformat(),
        ),
        notes=notes_frame(notes),
        left_out=tuple(left_out),
        words=pd.DataFrame(words, columns=list(WORD_COLUMNS)),
    )  # fmt: skip
