"""Write tests/published/extracts: rows of published tables to check against where the tables themselves are not.

    python -m tests.derive.extracts ../shared/reference

Every row is the publisher's, digit for digit, chosen by rule (every Nth in the publisher's order) and not by outcome.
FNDDS and SR28 are works of the US government in the public domain; the retention factors are a CC0 transcription of
a USDA table; FoodData Central is CC0.
"""

from __future__ import annotations

import csv
import io
import sys
import zipfile
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import Any

EXTRACTS = Path(__file__).parents[1] / "published" / "extracts"
PLAIN_EVERY, NESTED_EVERY, FOODS_EVERY = 5, 40, 18
FNDDS = (
    "Source: USDA ARS Food Surveys Research Group, Food and Nutrient Database for Dietary Studies 2015-2016, At a",
    'Glance tables "FNDDS Ingredients" and "FNDDS Nutrient Values", 2018. Work of the US government, public domain.',
)
SR28 = (
    "Source: USDA ARS Nutrient Data Laboratory, National Nutrient Database for Standard Reference, Release 28,",
    "2015/16, from {0}. Work of the US government, public domain.",
)
PUBLISHED = (  # columns of FNDDS Nutrient Values
    "Energy (kcal)", "Protein (g)", "Carbohydrate (g)", "Total Fat (g)", "Fatty acids, total saturated (g)",
    "Water (g)", "Sodium (mg)", "Alcohol (g)", "Thiamin (mg)", "Vitamin C (mg)", "Potassium (mg)", "Iron (mg)",
)  # fmt: skip
# Nutrient numbers of SR28 (NUTR_DEF): proximates, sugars, fibre, minerals, vitamins, fats
NUTRIENTS = (
    "255 208 268 203 204 205 291 269 221 207 301 303 304 305 306 307 309 401 404 405 406 415 418 435 320 323 606 645 "
    "646 601"
).split()


def write(name: str, remarks: Iterable[str], head: Sequence[str], rows: Iterable[Sequence[Any]]) -> None:
    """A CSV file with its source above the head."""
    text = io.StringIO()
    text.writelines(f"# {remark}\n" for remark in remarks)
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(head)
    writer.writerows(rows)
    (EXTRACTS / name).write_text(text.getvalue(), encoding="utf-8")
    print(f"{name}: {len(text.getvalue().encode())} bytes")


def sheet(path: Path, first: int) -> Iterator[tuple[Any, ...]]:
    """Rows of the first sheet of a workbook, from that row on."""
    import openpyxl  # type: ignore[import-untyped]

    rows = openpyxl.load_workbook(path, read_only=True).worksheets[0].iter_rows(min_row=first, values_only=True)
    return (row for row in rows if row[0] is not None)


def fndds(reference: Path, known: set[int]) -> None:
    """Dishes of three or more ingredients, of SR28 rows alone and of other dishes too; those they are made of as well.

    known: NDB numbers of SR28.
    """
    dishes: dict[int, list[tuple[Any, ...]]] = {}
    for row in sheet(reference / "fndds-2015-2016-ingredients.xlsx", 3):
        dishes.setdefault(row[0], []).append(row)
    large = [code for code, rows in dishes.items() if len(rows) >= 3]
    plain = [code for code in large if all(int(row[5]) in known for row in dishes[code])]
    nested = [code for code in large if any(int(row[5]) in dishes for row in dishes[code])]
    chosen = {*plain[::PLAIN_EVERY], *nested[::NESTED_EVERY]}
    while more := {int(row[5]) for code in chosen for row in dishes[code]} & dishes.keys() - chosen:
        chosen |= more
    lines = sheet(reference / "fndds-2015-2016-nutrient-values.xlsx", 2)
    head = list(next(lines))
    places = [head.index(name) for name in PUBLISHED]
    values = {row[0]: [row[place] for place in places] for row in lines}
    remarks = [
        *FNDDS,
        f"Every {PLAIN_EVERY}th dish of 3 or more ingredients that are all SR28 rows, every {NESTED_EVERY}th that",
        "holds another dish, and the dishes those hold. Moisture change: % of the raw weight; values: per 100 g.",
    ]
    write(
        "fndds_dishes.csv", remarks, ["code", "name", "moisture", *PUBLISHED],
        ([code, dishes[code][0][1], dishes[code][0][9], *values[code]] for code in sorted(chosen)),
    )  # fmt: skip
    remarks = [*FNDDS, "Ingredients of the dishes of fndds_dishes.csv: SR28 numbers below 100,000, else dishes; grams."]
    write(
        "fndds_ingredients.csv", remarks, ["dish", "ingredient", "grams", "retention"],
        ([code, row[5], row[7], row[8] or 0] for code in sorted(chosen) for row in dishes[code]),
    )  # fmt: skip


def ascii_rows(archive: zipfile.ZipFile, name: str) -> Iterator[list[str]]:
    """Rows of an ASCII file of SR28: ^ between fields, ~ round text."""
    for line in archive.read(name).decode("latin-1").splitlines():
        yield [cell.strip("~") for cell in line.split("^")]


def sr28(archive: zipfile.ZipFile) -> set[int]:
    """Every Nth food with its values and measures; all NDB numbers."""
    foods = {row[0]: row for row in ascii_rows(archive, "FOOD_DES.txt")}
    groups = {row[0]: row[1] for row in ascii_rows(archive, "FD_GROUP.txt")}
    chosen = sorted(foods)[::FOODS_EVERY]
    wanted = set(chosen)
    values = {(row[0], row[1]): row[2] for row in ascii_rows(archive, "NUT_DATA.txt") if row[0] in wanted}
    rule = f"Every {FOODS_EVERY}th food."
    write(
        "sr28_foods.csv",
        [
            SR28[0],
            SR28[1].format("FOOD_DES, FD_GROUP and NUT_DATA"),
            f"{rule} Refuse in per cent; values per 100 g by nutrient number (NUTR_DEF); empty: there is none.",
        ],
        ["ndb", "name", "group", "refuse", *NUTRIENTS],
        (
            [ndb, foods[ndb][2], groups[foods[ndb][1]], foods[ndb][8], *(values.get((ndb, n), "") for n in NUTRIENTS)]
            for ndb in chosen
        ),
    )
    write(
        "sr28_measures.csv",
        [SR28[0], SR28[1].format("WEIGHT"), f"{rule} Grams of that amount of the measure."],
        ["ndb", "amount", "measure", "grams"],
        ([row[0], row[2], row[3], row[4]] for row in ascii_rows(archive, "WEIGHT.txt") if row[0] in wanted),
    )
    return {int(ndb) for ndb in foods}


def retention(reference: Path) -> None:
    """All codes and factors."""
    rows = list(sheet(reference / "usda-retention-factors-r6.xlsx", 1))
    head = [name.removeprefix("usda_rf_") for name in rows[0][2:28]]
    write(
        "retention_factors.csv",
        [
            "Source: USDA ARS Nutrient Data Laboratory, Table of Nutrient Retention Factors, Release 6, 2007; a CC0",
            "transcription. Per cent of a nutrient that stays in the food.",
        ],
        ["code", "description", *head],
        (row[:28] for row in sorted(rows[1:], key=lambda row: int(row[0]))),
    )


def fdc(reference: Path) -> None:
    """nutrient.csv, and the rows of four foods."""
    folder = reference / "fdc-foundation-partial"
    source = "Source: USDA ARS, FoodData Central, Foundation Foods, 2022, {0}. CC0."
    with (folder / "nutrient.csv").open(encoding="utf-8", newline="") as file:
        head, *rows = list(csv.reader(file))
    write("fdc_nutrients.csv", [source.format("nutrient.csv")], head, rows)
    ids = {"321358", "748967", "1750340", "328637"}
    for name, target in (("food_nutrient.csv", "fdc_values.csv"), ("food_portion.csv", "fdc_portions.csv")):
        with (folder / name).open(encoding="utf-8", newline="") as file:
            head, *rows = list(csv.reader(file))
        place = head.index("fdc_id")
        remark = source.format(f"{name}: the rows of four foods")
        write(target, [remark], head, (row for row in rows if row[place] in ids))


def main(reference: Path) -> None:
    EXTRACTS.mkdir(exist_ok=True)
    with zipfile.ZipFile(reference / "sr28.zip") as archive:
        known = sr28(archive)
    fndds(reference, known)
    retention(reference)
    fdc(reference)


if __name__ == "__main__":
    main(Path(sys.argv[1]))
