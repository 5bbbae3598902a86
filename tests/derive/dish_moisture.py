"""Write nutrilab/data/dish_moisture.csv: medians of moisture change by kind of dish from FNDDS 2015-2016.

Run: python -m tests.derive.dish_moisture ../shared/reference
FNDDS gives one moisture change for a dish, per cent of the weight of all its ingredients. Counted are dishes of three
or more ingredients that lose water at all: a change of 0 means that the recipe is written with cooked ingredients.
"""

from __future__ import annotations

import csv
import re
import sys
from collections.abc import Sequence
from pathlib import Path
from statistics import median, quantiles
from typing import NamedTuple

HEAD = """\
# Moisture change of whole dishes, per cent of the weight of all that went in: median and quartiles (q1 loses most) by
# kind of dish, over the n dishes of FNDDS 2015-2016 (USDA ARS, 2018) of three or more ingredients that lose water.
# fndds: what their category and name hold (regular expressions). words: what the name of a stage or dish of ours must
# hold, all words of one of the phrases divided by |; of several the one that ends last counts, as what a dish is stands
# last in its name. Without words: a dish whose name tells nothing, counted over those that go in raw by a quarter.
# wet: yes where more than a fifth of it is water, stock or milk. whole: yes where its foods are beaten or kneaded into
# one, so that its own change stands before the yields of its foods. Script: tests/derive/dish_moisture.py.
"""
MOIST = "boiled simmered stewed braised"
OVEN = "baked roasted"
SOURCE = "FNDDS 2015-2016 moisture changes"
# kind, FNDDS name, not, our words, methods
MIXED = r"mixed dishes|Other Mexican|Macaroni|Rice mixed"
# kind, FNDDS category, FNDDS name, not in the name, our words, methods
KINDS = [
    ("soup", "^Soups", r"\b(soup|chowder|bisque|broth)\b", r"canned|instant|soup meat",
     "soup|chowder|bisque|broth|cawl|bouillabaisse|pottage", MOIST),
    ("chilli", MIXED, r"^chili con carne", "^$", "chilli con carne|chilli|chili", MOIST),
    ("curry", MIXED, r"\bcurry\b", "^$",
     "curry|balti|korma|masala|dhansak|vindaloo|rogan josh|bhuna|jalfrezi", MOIST + " baked"),
    ("rice dish", "Rice mixed|Fried rice|mixed dishes|cooked cereals",
     r"\b(biryani|jambalaya|paella|pilaf|risotto|congee)\b|^rice with", "^$",
     "risotto|paella|pilaf|pilau|pilav|biryani|jambalaya|kedgeree", MOIST + " baked"),
    ("stew", MIXED, r"\b(stew|stewed|goulash|ragout|gumbo)\b|with (tomato-based sauce|gravy)", "^$",
     "stew|stewed|casserole|goulash|ragout|ragu|bolognese|hotpot|hot pot|tagine|cassoulet|daube|bourguignon|coq vin|"
     "fricassee|braise|braised|stroganoff|mince|gumbo|filling|pot roast|lobscouse|scouse", MOIST + " baked"),
    ("meatballs or loaf", MIXED, r"\b(meatballs?|meat ?loaf|croquettes?|patty)\b", r"sauce|gravy|breaded",
     "meatball|meatloaf|meat loaf|burger|kofta|patty|rissole|croquette|fishcake|fish cake|nut roast",
     "baked roasted grilled pan-fried deep-fried"),
    ("porridge", r"Grits|Oatmeal", r"grits|oatmeal|cream of|cornmeal|cereal", "fast food|instant",
     "porridge|oatmeal|polenta|grits|congee", MOIST + " microwaved"),
    ("stir-fry", "Stir-fry|Fried rice", ".", "^$", "stir fry|stirfry|chow mein|wok", "stir-fried pan-fried"),
    ("omelette", "^Eggs", r"\b(omelet|scrambled|frittata)\b", "^$", "omelette|omelet|frittata|scrambled|tortilla",
     "pan-fried baked stir-fried grilled"),
    ("souffle", ".", r"\bsouffle\b", "^$", "souffle", OVEN),
    ("quiche", ".", r"\bquiche\b", "^$", "quiche|flan", OVEN),
    ("waffles", "^Pancakes", "^waffle", "^$", "waffle", "baked pan-fried"),
    ("pancakes", "^Pancakes", "^(pancake|crepe|blintz|french toast)", "^$",
     "pancake|crepe|drop scone|blini|french toast|eggy bread|crumpet", "pan-fried baked"),
    ("scones and muffins", "^Biscuits, muffins", ".", "^$",
     "scone|muffin|soda bread|cornbread|banana bread|quick bread|bannock", OVEN),
    ("fruit pie or crumble", "^Cakes and pies", r"^(pie|cobbler|crisp|strudel|tart)\b|^apple", "shell",
     "crumble|cobbler|strudel|fruit pie|apple pie|cherry pie|plum tart|apple tart|fruit tart|lemon tart|berry pie|"
     "blueberry pie|blackberry pie|raspberry pie|strawberry pie|gooseberry pie|rhubarb pie|plum pie|peach pie|pear pie|"
     "apricot pie|pumpkin pie|mince pie|meringue pie", OVEN),
    ("cake", "^Cakes and pies", r"^(cake|cheesecake)\b", "raw|batter",
     "cake|sponge|gateau|brownie|gingerbread|parkin|cupcake|traybake|roulade|blondie|flapjack|madeira|cheesecake",
     OVEN),
    ("biscuits", "^Cookies", "^cookie", r"raw|dough|batter", "biscuit|cookie|shortbread|macaroon|tuile|biscotti", OVEN),
    ("bread pudding or custard", "^Pudding", ".", "instant|canned",
     "pudding|custard|creme brulee|creme caramel|clafoutis|rice pudding", MOIST + " baked"),
    ("yeast bread", "^(Yeast breads|Rolls|Bagels)", ".", "^$",
     "bread|roll|bun|loaf|focaccia|dough|brioche|baguette|bagel|naan|pitta|bap|teacake|pizza", OVEN),
    ("savoury pie", ".", r"shepherd's pie|pot pie|(empanada|turnover|pastry).*(meat|chicken|cheese|vegetable|fish)",
     "frozen|cheese-filled.*dessert", "pie|pasty|pastie|sausage roll|tart|turnover|wellington|cottage|shepherd", OVEN),
    ("bake", MIXED + "|Other starchy|potatoes|Other vegetables|Vegetable mixed",
     r"\b(casserole|scalloped|au gratin|lasagna|moussaka|ziti|stuffed|parmesan|enchilada)\b", "^$",
     "bake|gratin|moussaka|lasagne|casserole|dauphinoise|parmigiana|stuffed|cannelloni", OVEN),
    ("chutney or jam", ".", r"^(chutney|tomato relish|corn relish|jam|salsa, red, homemade)", "^$",
     "chutney|relish|jam|marmalade|pickle", MOIST),
    ("gravy or sauce", "sauces", ".", "dip", "sauce|gravy|jus|reduction|coulis|ketchup|glaze|passata|stock", MOIST),
    ("fritters", ".", r"\bfritters?\b|dumpling, fried|wonton, fried", "^$",
     "fritter|bhaji|pakora|beignet|doughnut|dumpling|samosa", "deep-fried pan-fried"),
    ("cooked pulses", "^Beans, peas", ".", "refried", "dal|dhal|daal|baked bean|bean|lentil|chickpea",
     MOIST + " baked"),
    # Dishes of any kind, for a dish whose name tells nothing: no words of ours.
    ("any dish of the hob", MIXED + "|^Soups", ".", "canned|instant|frozen", "", MOIST + " poached"),
    ("any wet dish of the hob", MIXED + "|^Soups", ".", "canned|instant|frozen", "", MOIST + " poached"),
    ("any dish of the oven", MIXED + "|Other starchy|potatoes|Vegetable mixed",
     r"\b(casserole|scalloped|au gratin|lasagna|moussaka|ziti|stuffed|parmesan|enchilada|pot pie|shepherd's pie|baked|"
     r"meat ?loaf)\b", "frozen", "", OVEN + " grilled"),
    ("any dish of the pan", "^Eggs|^Pancakes", ".", "^waffle", "", "pan-fried"),
    ("any dish of the wok", "Stir-fry|Fried rice", ".", "^$", "", "stir-fried"),
    ("any dish of the fryer", ".", r"(coated|breaded|battered|batter-dipped|floured),? fried|fritters?\b", "^$", "",
     "deep-fried"),
]  # fmt: skip


WHOLE = frozenset((
    "omelette", "souffle", "quiche", "waffles", "pancakes", "scones and muffins", "cake", "biscuits", "fritters",
    "bread pudding or custard", "yeast bread",
))  # fmt: skip
RAW = 0.25  # share of raw food from which a dish is cooked, not only warmed: only such tell of dishes of any kind
WET = 0.2  # share of water, stock and milk from which a dish is wet, as in nutrilab/cooking/weight.py
_LIQUID = re.compile(r"^(water, (tap|municipal|bottled)|soup, [^,]*(broth|stock|bouillon)|milk\b)", re.IGNORECASE)


class Dish(NamedTuple):
    """A dish of FNDDS: its moisture change [%], how much is liquid, how much of the rest raw [0 to 1]; ingredients."""

    code: int
    category: str
    name: str
    change: float
    liquid: float
    raw: float
    n: int


def dishes(path: Path) -> list[Dish]:
    """All dishes of the published ingredients."""
    import openpyxl  # type: ignore[import-untyped]

    lines: dict[int, list[tuple[object, ...]]] = {}
    sheet = openpyxl.load_workbook(path, read_only=True).worksheets[0]
    for line in sheet.iter_rows(min_row=3, values_only=True):
        if line[0] is not None:
            lines.setdefault(int(line[0]), []).append(line)
    found = []
    for code, own in lines.items():
        whole = sum(float(str(line[7])) for line in own)
        liquid = sum(float(str(line[7])) for line in own if _LIQUID.match(str(line[6])))
        raw = sum(float(str(line[7])) for line in own if re.search(r"\b(raw|dry)\b", str(line[6])))
        shares = liquid / whole if whole else 0.0, raw / (whole - liquid) if whole > liquid else 0.0
        found.append(Dish(code, str(own[0][3]), str(own[0][1]), float(str(own[0][9] or 0)), *shares, len(own)))
    return found


def table(told: Sequence[Dish]) -> list[dict[str, str]]:
    """The rows of the table by these dishes, of which those of three ingredients or more that lose water count."""
    told = [one for one in told if one.n >= 3 and one.change < 0]
    found = []
    for kind, category, pattern, bar, ours, methods in KINDS:
        wet = "wet" in kind
        values = [
            one.change for one in told
            if re.search(category, one.category) and re.search(pattern, one.name, re.IGNORECASE)
            and not re.search(bar, one.name, re.IGNORECASE) and (ours or _is_general(one, kind))
        ]  # fmt: skip
        if not values:
            continue
        q1, q3 = quantiles(values, n=4, method="inclusive")[::2] if len(values) > 1 else (values[0], values[0])
        row = {"dish": kind, "words": ours, "methods": methods, "wet": "yes" if wet else ""}
        row |= {"whole": "yes" if kind in WHOLE else "", "n": str(len(values))}
        row |= {"q1": f"{q1:.1f}", "median": f"{median(values):.1f}", "q3": f"{q3:.1f}"}
        found.append({**row, "fndds": f"{category}: {pattern}", "source": SOURCE})
    return found


def _is_general(one: Dish, kind: str) -> bool:
    """Whether a dish tells of dishes of any kind: cooked from raw, and as wet as the kind where that makes one."""
    return one.raw > RAW and ("the hob" not in kind or (one.liquid > WET) == ("wet" in kind))


def main(folder: Path) -> None:
    """Write the table."""
    found = table(dishes(folder / "fndds-2015-2016-ingredients.xlsx"))
    target = Path(__file__).parents[2] / "nutrilab" / "data" / "dish_moisture.csv"
    with target.open("w", encoding="utf-8", newline="") as file:
        file.write(HEAD)
        writer = csv.DictWriter(file, list(found[0]), lineterminator="\n")
        writer.writeheader()
        writer.writerows(found)


if __name__ == "__main__":
    main(Path(sys.argv[1]))
