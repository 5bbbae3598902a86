"""Write nutrilab/data/dish_moisture.csv: medians of moisture change by kind of dish from FNDDS 2015-2016.

Run: python -m tests.derive.dish_moisture ../shared/reference
FNDDS gives one moisture change for a dish, per cent of the weight of all its ingredients. Counted are dishes of three
or more ingredients that lose water at all: a change of 0 means that the recipe is written with cooked ingredients.
"""

from __future__ import annotations

import csv
import re
import sys
from pathlib import Path
from statistics import median, quantiles

HEAD = """\
# Moisture change of whole dishes, per cent of the weight of all that went in: median and quartiles (q1 loses most) by
# kind of dish, over the n dishes of FNDDS 2015-2016 (USDA ARS, 2018) of three or more ingredients that lose water.
# fndds: what their category and name hold (regular expressions). words: what the name of a stage or dish of ours must
# hold, all words of one of the phrases divided by |; the first kind whose words and methods fit counts; without words:
# a dish whose name tells nothing. Script:
# tests/derive/dish_moisture.py.
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
     "stew|casserole|goulash|ragout|ragu|bolognese|hotpot|hot pot|tagine|cassoulet|daube|bourguignon|coq vin|fricassee|"
     "braise|stroganoff|mince|gumbo|filling|pot roast|lobscouse|scouse", MOIST + " baked"),
    ("meatballs or loaf", MIXED, r"\b(meatballs?|meat ?loaf|croquettes?|patty)\b", r"sauce|gravy|breaded",
     "meatball|meatloaf|meat loaf|burger|kofta|patty|rissole|croquette|fishcake|fish cake|nut roast",
     "baked roasted grilled pan-fried deep-fried"),
    ("porridge", r"Grits|Oatmeal", r"grits|oatmeal|cream of|cornmeal|cereal", "fast food|instant",
     "porridge|oatmeal|polenta|grits|congee", MOIST + " microwaved"),
    ("stir-fry", "Stir-fry|Fried rice", ".", "^$", "stir fry|stirfry|chow mein|wok", "stir-fried pan-fried"),
    ("omelette", "^Eggs", r"\b(omelet|scrambled|frittata)\b", "^$", "omelette|omelet|frittata|scrambled|tortilla|egg",
     "pan-fried baked stir-fried grilled"),
    ("souffle", ".", r"\bsouffle\b", "^$", "souffle", OVEN),
    ("quiche", ".", r"\bquiche\b", "^$", "quiche|flan", OVEN),
    ("waffles", "^Pancakes", "^waffle", "^$", "waffle", "baked pan-fried"),
    ("pancakes", "^Pancakes", "^(pancake|crepe|blintz|french toast)", "^$",
     "pancake|crepe|drop scone|blini|french toast|eggy bread|crumpet", "pan-fried baked"),
    ("scones and muffins", "^Biscuits, muffins", ".", "^$",
     "scone|muffin|soda bread|cornbread|banana bread|quick bread|bannock", OVEN),
    ("fruit pie or crumble", "^Cakes and pies", r"^(pie|cobbler|crisp|strudel|tart)\b|^apple", "shell",
     "crumble|cobbler|strudel|fruit pie|apple pie|cherry pie|plum tart|apple tart|fruit tart|lemon tart", OVEN),
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
    ("cooked pulses", "^Beans, peas", ".", "refried", "dal|dhal|daal|baked bean|bean|lentil", MOIST + " baked"),
    # Dishes of any kind, for a dish whose name tells nothing: no words of ours.
    ("any dish of the hob", MIXED + "|^Soups", ".", "canned|instant|frozen", "",
     MOIST + " poached"),
    ("any dish of the oven", MIXED + "|Other starchy|potatoes|Vegetable mixed",
     r"\b(casserole|scalloped|au gratin|lasagna|moussaka|ziti|stuffed|parmesan|enchilada|pot pie|shepherd's pie|baked|"
     r"meat ?loaf)\b", "frozen", "", OVEN + " grilled"),
    ("any dish of the pan", "Stir-fry|Fried rice|^Eggs|^Pancakes", ".", "^waffle", "", "stir-fried pan-fried"),
]  # fmt: skip


def changes(path: Path) -> list[tuple[str, str, float]]:
    """Category, name and moisture change [%] of dishes of three or more ingredients that lose water."""
    import openpyxl  # type: ignore[import-untyped]

    found: dict[int, tuple[str, str, float, int]] = {}
    sheet = openpyxl.load_workbook(path, read_only=True).worksheets[0]
    for line in sheet.iter_rows(min_row=3, values_only=True):
        if line[0] is not None:
            n = found[line[0]][3] + 1 if line[0] in found else 1
            found[line[0]] = (str(line[3]), str(line[1]), float(line[9] or 0), n)
    return [(category, name, change) for category, name, change, n in found.values() if n >= 3 and change < 0]


def main(folder: Path) -> None:
    """Write the table."""
    dishes = changes(folder / "fndds-2015-2016-ingredients.xlsx")
    target = Path(__file__).parents[2] / "nutrilab" / "data" / "dish_moisture.csv"
    with target.open("w", encoding="utf-8", newline="") as file:
        file.write(HEAD)
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(["dish", "words", "methods", "n", "q1", "median", "q3", "fndds", "source"])
        for kind, category, pattern, bar, ours, methods in KINDS:
            values = [
                v for group, name, v in dishes
                if re.search(category, group) and re.search(pattern, name, re.IGNORECASE)
                and not re.search(bar, name, re.IGNORECASE)
            ]  # fmt: skip
            q1, q3 = quantiles(values, n=4, method="inclusive")[::2]
            numbers = [str(len(values)), *(f"{v:.1f}" for v in (q1, median(values), q3))]
            writer.writerow([kind, ours, methods, *numbers, f"{category}: {pattern}", SOURCE])


if __name__ == "__main__":
    main(Path(sys.argv[1]))
