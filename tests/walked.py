"""One demo recipe worked by hand for docs/how-figures-are-computed.md: ``python -m tests.walked [--write]``.

The arithmetic here is its own: grams as written below, values out of the food table, sums, shares and one division. It
uses nothing of nutrilab but the table, so that the page is a check of the product and not a copy of it.
"""

# ruff: noqa: E501 (lines of the page)
from __future__ import annotations

import sys
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path

from nutrilab.foods import embedded

PAGE = Path(__file__).parents[1] / "docs" / "how-figures-are-computed.md"
START, END = "<!-- walked: made by python -m tests.walked --write -->\n", "<!-- walked: end -->\n"
US_CUP = 236.5882365  # [ml], NIST Handbook 44, appendix C
US_TSP = US_CUP / 48  # [ml]
MILK = f"244 g a US cup of {US_CUP:.1f} ml (measure of the food)"
# stage -> line, food, grams, how
LINES: dict[str, list[tuple[str, str, float, str]]] = {
    "mash": [
        ("1.2 kg floury potatoes, peeled", "sr:11352", 1200, "weighed"),
        ("60 g butter", "sr:01001", 60, "weighed"),
        ("100 ml whole milk", "sr:01211", 100 * 244 / US_CUP, MILK),
        ("a pinch of salt", "sr:02047", 0.4, "common practice"),
    ],
    "white sauce": [
        ("50 g butter", "sr:01001", 50, "weighed"),
        ("50 g plain flour", "sr:20581", 50, "weighed"),
        ("700 ml whole milk", "sr:01211", 700 * 244 / US_CUP, "as above"),
        ("1 bay leaf", "sr:02004", 0.2, "counted piece"),
        ("½ tsp English mustard", "sr:02046", 0.5 * 5 * 5 / US_TSP, f"5 g a US teaspoon of {US_TSP:.2f} ml; ours is 5 ml"),
        ("salt (no amount)", "sr:02047", 6 * 0.75, "common practice: 0.75 g a portion"),
        ("black pepper (no amount)", "sr:02030", 6 * 0.1, "common practice: 0.1 g a portion"),
    ],
    "pie": [
        ("400 g skinless cod fillet", "sr:15015", 400, "weighed"),
        ("200 g undyed smoked haddock fillet", "sr:15035", 200, "weighed"),
        ("150 g cooked peeled prawns", "sr:15151", 0.62 * 150, "62 % of them (a mix to the UK's figures, CoFID 16-384)"),
        ("and the water they hold more", "sr:14411", 0.38 * 150, "38 % of them"),
        ("150 g frozen peas", "sr:11312", 150, "weighed"),
        ("a small handful of parsley", "sr:11297", 11 * 0.7, "common practice: 11 g a handful, a small one 0.7 of it"),
        ("50 g mature cheddar", "sr:01009", 50, "weighed"),
    ],
}  # fmt: skip
WEIGHED = {"mash": 1280.0, "white sauce": 740.0, "pie": 2560.0}  # after cooking [g]
SODIUM_KEPT = {"sr:11352": 0.95}  # potatoes, boiled, peeled, drained: USDA retention factors R6 (2007), code 3308
PORTIONS = 6
COLUMNS = ("fat", "carbohydrate", "protein", "fibre", "sodium")


@dataclass(frozen=True)
class Row:
    """What some food holds: grams, fat, available carbohydrate, protein, fibre [g], sodium [mg]."""

    grams: float
    fat: float
    carbohydrate: float
    protein: float
    fibre: float
    sodium: float

    def times(self, share: float) -> Row:
        return Row(*(share * getattr(self, name) for name in ("grams", *COLUMNS)))

    def __add__(self, other: Row) -> Row:
        return Row(*(getattr(self, name) + getattr(other, name) for name in ("grams", *COLUMNS)))

    @property
    def kcal(self) -> float:
        """Regulation (EU) No 1169/2011, Annex XIV."""
        return 9 * self.fat + 4 * self.carbohydrate + 4 * self.protein + 2 * self.fibre

    @property
    def kj(self) -> float:
        return 37 * self.fat + 17 * self.carbohydrate + 17 * self.protein + 8 * self.fibre


def line(food_id: str, grams: float) -> Row:
    values = embedded().food(food_id).values
    fibre = values.get("FIBTG", 0.0)
    per_100 = (
        values["FAT"],
        max(values.get("SUGAR", 0.0), values["CHOCDF"] - fibre),
        values["PROCNT"],
        fibre,
        values["NA"],
    )
    row = Row(grams, *(grams * value / 100 for value in per_100))
    kept = SODIUM_KEPT.get(food_id, 1.0)
    return Row(row.grams, row.fat, row.carbohydrate, row.protein, row.fibre, row.sodium * kept)


def cells(row: Row) -> str:
    return f"{row.grams:.1f} | {row.fat:.2f} | {row.carbohydrate:.2f} | {row.protein:.2f} | {row.fibre:.2f} | {row.sodium:.1f}"


def table(stage: str, parts: list[tuple[str, Row]]) -> tuple[list[str], Row]:
    found = [
        "| line | food | grams, how | g | fat | carbohydrate | protein | fibre | sodium mg |",
        "|---|---|---|--:|--:|--:|--:|--:|--:|",
    ]
    rows = [row for _, row in parts]
    found += [f"| {words} | | | {cells(row)} |" for words, row in parts]
    for words, food_id, grams, how in LINES[stage]:
        rows.append(line(food_id, grams))
        found.append(f"| {words} | {food_id} | {how} | {cells(rows[-1])} |")
    total = sum(rows[1:], rows[0])
    return [*found, f"| **{stage}, in** | | | {cells(total)} |"], total


def cooked(stage: str, into: Row) -> tuple[str, Row]:
    after = WEIGHED[stage]
    lost = into.grams - after
    words = f"The cook weighed {after:.0f} g after cooking, so {into.grams:.1f} - {after:.0f} = {lost:.1f} g of water left; nothing else did."
    return words, Row(after, *(getattr(into, name) for name in COLUMNS))


def rounded(value: float, step: str) -> str:
    return str(Decimal(repr(value)).quantize(Decimal(step), ROUND_HALF_UP))


def dish() -> tuple[list[str], Row]:
    """The page's text and the whole dish."""
    text = [
        "**Mash**, boiled and drained. Of the potatoes' sodium 95 % stay (USDA retention factors R6, 2007, code 3308).",
        "",
    ]
    lines, into = table("mash", [])
    words, mash = cooked("mash", into)
    text += [*lines, "", words, "", "**White sauce**, simmered.", ""]
    lines, into = table("white sauce", [])
    words, sauce = cooked("white sauce", into)
    part = sauce.times(0.8)
    text += [*lines, "", f"{words} Of these {sauce.grams:.0f} g, 80 % go into the pie: {part.grams:.0f} g.", ""]
    text += ["**Pie**, baked.", ""]
    lines, into = table("pie", [("all of mash", mash), ("80% of white sauce", part)])
    words, whole = cooked("pie", into)
    return [*text, *lines, "", words, ""], whole


def page() -> str:
    text, whole = dish()
    one, hundred = whole.times(1 / PORTIONS), whole.times(100 / whole.grams)
    salt, salt_100 = (row.sodium * 2.5 / 1000 for row in (one, hundred))
    text += [
        f"**A portion** is {whole.grams:.0f} / {PORTIONS} = {one.grams:.1f} g:", "",
        f"    energy = 9 x {one.fat:.2f} + 4 x {one.carbohydrate:.2f} + 4 x {one.protein:.2f} + 2 x {one.fibre:.2f} = {one.kcal:.1f} kcal, declared {rounded(one.kcal, '1')} kcal",
        f"    energy = 37 x {one.fat:.2f} + 17 x {one.carbohydrate:.2f} + 17 x {one.protein:.2f} + 8 x {one.fibre:.2f} = {one.kj:.1f} kJ, declared {rounded(one.kj, '1')} kJ",
        f"    salt   = {one.sodium:.1f} mg x 2.5 / 1000 = {salt:.3f} g, declared {rounded(salt, '0.1')} g",
        f"    fat {one.fat:.2f} g, declared {rounded(one.fat, '1')} g; carbohydrate {one.carbohydrate:.2f} g, declared {rounded(one.carbohydrate, '1')} g; protein {one.protein:.2f} g, declared {rounded(one.protein, '1')} g",
        "",
        f"and 100 g hold 100 / {whole.grams:.0f} of the whole: {hundred.kcal:.1f} kcal ({hundred.kj:.1f} kJ), fat {hundred.fat:.2f} g, carbohydrate {hundred.carbohydrate:.2f} g, protein {hundred.protein:.2f} g, salt {salt_100:.3f} g.",
    ]  # fmt: skip
    return "\n".join(text) + "\n"


def written() -> str:
    """The part of the page as it stands there."""
    return PAGE.read_text(encoding="utf-8").split(START)[1].split(END)[0]


def main() -> None:
    if "--write" in sys.argv:
        before, rest = PAGE.read_text(encoding="utf-8").split(START)
        PAGE.write_text(before + START + page() + END + rest.split(END)[1], encoding="utf-8")
    else:
        print(page())


if __name__ == "__main__":
    main()
