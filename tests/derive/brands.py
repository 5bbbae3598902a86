"""Write nutrilab/data/mix_brands.csv: between what published rows of one food lie, of foods that nutrilab composes.

    python -m tests.derive.brands ../shared/reference

Which rows of which table are the same food is judged by hand (PUBLISHED); each is mostly a mean of several brands
itself, so that single brands lie further apart. A component with fewer than two rows, or of which all say the same, is
left out. Sources: CoFID, proximates of 2015 and sodium of 2021 (Open Government Licence v3); CIQUAL 2020 (Anses,
Licence Ouverte); USDA SR28.
"""

from __future__ import annotations

import csv
import sys
from pathlib import Path
from typing import Any

from nutrilab.foods import embedded

TARGET = Path(__file__).parents[2] / "nutrilab" / "data" / "mix_brands.csv"
FILES = ("cofid-2015-proximates.csv", "cofid-2021-minerals-vitamins.xlsx", "ciqual-2020-eng.xls")
COMPONENTS = ("FAT", "FASAT", "SUGAR", "PROCNT", "NA")
UK_COLUMNS = {"FAT": "Fat (g)", "FASAT": "Satd FA /100g fd (g)", "SUGAR": "Total sugars (g)", "PROCNT": "Protein (g)"}
NAMED = {"uk": "CoFID {}", "fr": "CIQUAL {}", "sr": "SR28 {}"}
PUBLISHED = {
    "mascarpone": "uk:12-490 fr:19584",
    "greek-style-yogurt": "uk:12-555 fr:19860",
    "parmesan": "uk:12-526 fr:12120 sr:01033",
    "stilton": "uk:12-367 uk:12-181",
    "pizza-base": "uk:11-1016 fr:37001",
    "puff-pastry": "uk:11-852 fr:23420 fr:23421 fr:23424 fr:23425",
    "thin-pancake": "uk:11-959 uk:11-1102",
    "yorkshire-pudding": "uk:11-960 uk:11-1135 uk:11-1146",
    "baked-meringue": "uk:12-517 fr:24520",
    "set-polenta": "uk:11-905 fr:9615",
    "houmous": "uk:13-556 fr:25621 sr:16158",
    "black-pudding": "uk:19-113 fr:8703",
    "pork-sausage": "uk:19-510 uk:19-657 fr:30115 fr:30110",
    "back-bacon": "uk:19-497 uk:19-646",
    "prosciutto": "fr:28844 fr:28845 fr:28812",
    "cooked-ham": "fr:28803 fr:28900 fr:28910",
    "smoked-salmon": "uk:16-412 fr:26037 sr:15077 sr:15179",
    "smoked-mackerel": "uk:16-414 fr:26087",
    "cooked-prawns": "uk:16-389 fr:10006 fr:10007 fr:10033",
    "beef-stock-cube": "uk:17-515 fr:11001 sr:06076",
    "chicken-stock-cube": "uk:17-726 fr:11174 sr:06081",
    "vegetable-stock-cube": "uk:17-727 fr:25918",
    "lemon-curd": "uk:17-762 uk:17-806",
    "mint-sauce": "uk:17-707 uk:17-811",
    "sweet-chutney": "uk:17-343 uk:17-345 uk:17-784 uk:17-785",
    "mincemeat": "uk:17-765 uk:17-852",
    "fruit-cordial": "uk:17-738 uk:17-737 uk:17-200",
}
HEAD = """\
# Between what values published rows of a composed food lie, per 100 g in the component's unit: which brand or kind
# it is nobody knows. Each row is mostly a mean of several brands, so single brands lie further apart.
# Script: tests/derive/brands.py. Sources: UK Composition of Foods Integrated Dataset (CoFID, 2015 and 2021), Open
# Government Licence v3; CIQUAL 2020, Anses, Licence Ouverte; USDA SR28.
"""


def uk(reference: Path) -> dict[str, dict[str, float]]:
    """Food -> component -> value; "Tr" counts as 0, "N" and a significant blank as unknown."""
    import openpyxl  # type: ignore[import-untyped]

    found: dict[str, dict[str, float]] = {}
    with (reference / FILES[0]).open(encoding="utf-8-sig", newline="") as file:
        for row in csv.DictReader(file):
            told = {tagname: _figure(row[column]) for tagname, column in UK_COLUMNS.items()}
            found[f"uk:{row['Food Code']}"] = {tagname: value for tagname, value in told.items() if value is not None}
    sheet = openpyxl.load_workbook(reference / FILES[1], read_only=True)["metals"]
    lines = sheet.iter_rows(values_only=True)
    column = next(lines).index("Sodium (mg)")
    for line in lines:
        sodium = _figure(line[column])
        if sodium is not None:
            found.setdefault(f"uk:{line[0]}", {})["NA"] = sodium
    return found


def _figure(cell: Any) -> float | None:
    text = str("" if cell is None else cell).strip().strip("()")
    if text == "Tr":
        return 0.0
    try:
        return float(text)
    except ValueError:
        return None


def fr(reference: Path) -> dict[str, dict[str, float]]:
    """Food -> component -> value."""
    from data_loaders import fr_ciqual

    foods = fr_ciqual.load(reference / FILES[2]).foods
    records = foods[["food_id", *COMPONENTS]].to_dict("records")
    return {row["food_id"]: {t: row[t] for t in COMPONENTS if row[t] == row[t]} for row in records}


def rows(reference: Path) -> list[tuple[str, str, float, float, str]]:
    """Mix, component, low, high, ground."""
    known = uk(reference) | fr(reference)
    found = []
    for mix, listed in PUBLISHED.items():
        ids = listed.split()
        known |= {one: dict(embedded().food(one).values) for one in ids if one.startswith("sr:")}
        for tagname in COMPONENTS:
            told = [(known[one][tagname], one) for one in ids if tagname in known[one]]
            if len(told) >= 2 and min(told)[0] < max(told)[0]:
                ground = ", ".join(f"{NAMED[one[:2]].format(one[3:])}: {value:g}" for value, one in told)
                found.append((mix, tagname, min(told)[0], max(told)[0], ground))
    return found


def main(reference: Path, target: Path = TARGET) -> None:
    """Write the table."""
    with target.open("w", encoding="utf-8", newline="") as file:
        file.write(HEAD)
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(["mix", "component", "low", "high", "ground"])
        for mix, tagname, low, high, ground in rows(reference):
            writer.writerow([mix, tagname, f"{low:g}", f"{high:g}", ground])


if __name__ == "__main__":
    main(Path(sys.argv[1]))
