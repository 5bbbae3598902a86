"""Write nutrilab/data/retention.csv from the USDA Table of Nutrient Retention Factors, Release 6.

Run: python tests/derive/retention.py ../shared/reference/usda-retention-factors-r6.xlsx
The factors are the published ones, in per cent; the words, the kinds of food, and the methods of our own recipes
that each row answers to are ours.
"""

from __future__ import annotations

import csv
import re
import sys
from pathlib import Path

TAGNAMES = (
    "CA FE MG P K NA ZN CU VITC THIA RIBF NIA VITB6A FOLFD FOLAC FOL CHOLN VITB12 VITA_IU VITA_RAE ALC CARTB CARTA "
    "CRYPX LYCPN LUTZEA"
).split()
HEAD = """\
# USDA Table of Nutrient Retention Factors, Release 6 (USDA ARS, Nutrient Data Laboratory, 2007): share of a
# component that stays in the food, in per cent. code: the published code. The table's vitamin A in RE stands under
# VITA_RAE. kinds and methods: ours, for which food and method the row is chosen; drained: yes when the cooking water
# or the drippings are thrown away, no when they are eaten, empty when it makes no difference; minutes: cooking time
# the row is meant for. Rows without kinds are used by code only.
"""
# code ranges -> kind of food (nutrilab/data/cooking_kinds.csv), plain words
KINDS = [
    ((1, 7), "cheese", "cheese"), ((101, 109), "egg", "egg"), ((151, 157), "fruit", "fruit, fresh"),
    ((158, 158), "", "fruit, dried at home"), ((251, 257), "dried-fruit", "fruit, dried"),
    ((270, 270), "citrus", "citrus fruit"), ((301, 306), "flour", "flour or meal"),
    ((351, 358), "oats", "breakfast cereal"), ((380, 385), "pasta", "pasta"), ((431, 434), "rice", "rice"),
    ((501, 550), "pulses", "pulses"), ((601, 602), "beef", "beef"), ((603, 603), "beef-mince", "beef mince"),
    ((604, 605), "beef", "beef"), ((651, 654), "beef-joint", "beef joint"), ((701, 704), "beef", "beef in pieces"),
    ((749, 754), "beef-mince", "beef mince"), ((770, 770), "beef", "beef"), ((801, 864), "chicken", "chicken"),
    ((1001, 1001), "lamb", "lamb"), ((1003, 1003), "lamb-mince", "lamb mince"), ((1004, 1074), "lamb", "lamb"),
    ((1151, 1154), "liver", "liver"), ((1181, 1184), "offal", "offal other than liver"),
    ((1251, 1254), "pork", "pork"), ((1301, 1302), "pork-joint", "pork joint"), ((1351, 1354), "pork", "pork chop"),
    ((1401, 1406), "pork-mince", "pork mince"), ((1407, 1407), "pork", "pork"), ((1451, 1451), "cured-pork", "gammon"),
    ((1456, 1456), "bacon", "bacon"), ((1459, 1459), "cured-pork", "gammon"), ((1521, 1522), "cured-pork", "ham joint"),
    ((1551, 1556), "cured-pork", "gammon in slices"), ((1602, 1606), "cured-pork", "cured pork mince"),
    ((1654, 1659), "cooked-sausage", "sausage, ready to eat"), ((1705, 1712), "sausage", "sausage, raw"),
    ((1805, 1860), "turkey", "turkey"), ((1951, 1954), "veal", "veal"), ((2001, 2004), "veal-joint", "veal joint"),
    ((2051, 2064), "veal", "veal in slices"), ((2151, 2154), "milk", "milk"), ((2201, 2204), "nuts", "nuts"),
    ((2301, 2402), "lean-fish", "fish below 5 % fat"), ((2451, 2552), "oily-fish", "fish above 5 % fat"),
    ((2554, 2554), "fish", "fish"), ((2601, 2605), "", "fish, frozen"), ((2701, 2702), "", "shellfish in the shell"),
    ((2750, 2771), "shellfish", "shellfish out of the shell"), ((2901, 2917), "", "other sea food, frog, turtle"),
    ((3001, 3019), "greens", "leaf vegetables"), ((3301, 3316), "potato", "potato"),
    ((3371, 3375), "", "potato, tinned"), ((3379, 3379), "potato", "potato"), ((3380, 3382), "", "potato, frozen"),
    ((3451, 3469), "roots", "root and bulb vegetables"), ((3701, 3713), "sweet-potato", "sweet potato"),
    ((3751, 3754), "tomato", "tomato"), ((3771, 3789), "vegetable", "other vegetables"),
    ((5001, 5010), "alcohol", "wine, beer, spirits"),
]  # fmt: skip
WORDS = [
    ("BKD/SIMMRD", "baked or simmered"), ("SIMMRD WO/DRIP", "simmered, drippings thrown away"), ("BKD", "baked"),
    ("BLD", "boiled"), ("BOILD", "boiled"), ("BRWN", "browned"), ("BRLD", "grilled"), ("BROILED", "grilled"),
    ("BROIL", "grilled"), ("BRSD", "braised"), ("BRAIS", "braised"), ("CKD", "cooked"), ("DRAIND", "drained"),
    ("DRND", "drained"), ("DRAIN", "drained"), ("FRYD", "fried"), ("FRZN", "frozen"), ("FRN", "frozen"),
    ("INST", "instant"), ("REG/QUICK", "regular or quick"), ("WTR", "water"), ("SIMMER", "simmered"),
    ("SIMMR", "simmered"), ("SIMMRD", "simmered"), ("SIMRD", "simmered"), ("SIMR", "simmered"), ("SIMM", "simmered"),
    ("SIMMRD,", "simmered"), ("W/COATING", "coated"), ("W/COAT", "coated"), ("WO/COATING", "uncoated"),
    ("WO/COAT", "uncoated"), ("W/O", "without"), ("STIRRED", "stirred in"), ("HR", "h"), ("MIN", "min"),
    ("APPROX", "about"), ("PARED", "peeled"), ("FRSH", "fresh"), ("STUFFD", "stuffed"), ("BEV", "drink"), ("ALC", ""),
]  # fmt: skip
_DRIP = re.compile(r"\b(WO|W)/(?:DRIPPINGS|DRIPPNGS|DRIPPNG|DRIPPING|DRIP)\b")
_MOIST = "boiled simmered poached stewed braised"


def methods(text: str, kind: str) -> str:
    """Methods of our recipes (docs/recipe-format.md) a published description answers to."""
    if "REHEATED" in text or kind == "":
        return ""
    found = []
    for pattern, ours in (
        (r"BAKED|BKD", "baked"), (r"ROASTED", "roasted"), (r"BROIL|BRLD", "grilled"), (r"STEAMED", "steamed"),
        (r"STIR FRY", "stir-fried"), (r"SAUTEED", "pan-fried stir-fried"), (r"TOASTED", "toasted"),
        (r"POACHED", "poached"), (r"HARD COOKED", "boiled"), (r"STEWED", _MOIST),
    ):  # fmt: skip
        if re.search(pattern, text):
            found.append(ours)
    if re.search(r"(?<!STIR )\bFRIED", text):
        found.append("pan-fried deep-fried stir-fried")
    if (re.search(r"\bSIMM|\bSIMR|BRWN|BROWN,S", text) and kind != "alcohol") or re.search(
        r"BOIL|BLD|COOKED,(DRAINED|WATER)|COOKED W/L|REG/QUICK|(?<!NOT )CITRUS|HEATED|INST|RTE.*CKD|OTHER,CKD", text
    ):
        found.append(_MOIST)
    return " ".join(dict.fromkeys(" ".join(found).split()))


def drained(text: str) -> str:
    """Whether water or drippings are thrown away."""
    if re.search(r"WATER USED|NOT DRAINED|\bW/(?:DRIP|LIQ)|W/LIQUID", text):
        return "no"
    if re.search(r"DRAIN|DRND|\bWO/DRIP", text):
        return "yes"
    return ""


def minutes(text: str) -> str:
    """Cooking time of the row [min], the middle of a range."""
    for pattern, scale in ((r"([\d.]+)/([\d.]+) ?MIN", 1), (r"([\d.]+)/([\d.]+) ?HRS", 60)):
        if found := re.search(pattern, text):
            return f"{(float(found[1]) + float(found[2])) / 2 * scale:g}"
    if found := re.search(r"([\d.]+) ?(MIN|HR|HOUR)", text):
        return f"{float(found[1]) * (1 if found[2] == 'MIN' else 60):g}"
    return ""


def plain(text: str) -> str:
    """The method in plain lower-case words."""
    rest = (
        text.replace("(NOT CITRUS)", "")
        .replace(",ETC", "")
        .replace("(NOTLIVER)", ",")
        .replace("NOT STIRRED IN", "BESIDE THE REST")
    )
    rest = re.split(r"[,.(]", rest, maxsplit=1)[1] if re.search(r"[,.(]", rest) else rest.split()[-1]
    rest = _DRIP.sub(lambda m: "drippings thrown away" if m[1] == "WO" else "drippings eaten", rest)
    for theirs, ours in WORDS:
        rest = re.sub(rf"(?<![\w/]){re.escape(theirs)}(?![\w/])", ours, rest)
    return " ".join(re.split(r"[\s,()]+", rest.strip().lower())).strip(" ,")


# Rows whose own words would answer to too much: used by code only, or for one method only.
ONLY = {
    3: "grilled", 5: _MOIST, 103: "pan-fried stir-fried", 154: "", 156: "", 503: "", 504: "", 505: "", 506: "",
    523: "", 524: "", 525: "", 526: "", 543: "", 544: "", 545: "", 546: "", 382: "", 433: "", 3302: "", 3307: "",
    3310: "", 3311: "", 3316: "", 3701: "baked roasted", 3702: "", 3707: "", 3712: "", 3713: "", 3019: "", 3469: "",
    3789: "", 3004: "", 3454: "", 3774: "", 604: "pan-fried stir-fried", 605: "deep-fried", 803: "pan-fried stir-fried",
    804: "deep-fried", 1252: "pan-fried stir-fried", 1253: "deep-fried", 1952: "pan-fried stir-fried",
    1953: "deep-fried",
    2309: "pan-fried stir-fried", 2310: "deep-fried", 2459: "pan-fried stir-fried", 2460: "deep-fried",
    2755: "pan-fried stir-fried", 2756: "deep-fried", 701: "", 702: "", 651: "", 652: "", 1351: "", 1352: "",
    851: "", 852: "", 1051: "", 1052: "", 751: "", 752: "", 1401: "", 1402: "", 1551: "", 1552: "", 1602: "",
    1603: "", 2051: "", 2052: "", 2001: "", 2002: "", 357: "", 351: "", 5001: "", 5002: "", 5003: "", 5010: "",
    5004: "", 5005: "", 5006: "", 5007: "", 5008: "", 5009: "", 1003: "grilled", 1456: "grilled pan-fried",
    3751: f"{_MOIST} baked roasted", 3752: "grilled pan-fried stir-fried", 3301: "baked roasted microwaved",
    270: f"{_MOIST} baked", 3460: "pan-fried", 602: "grilled", 603: "grilled pan-fried stir-fried",
}  # fmt: skip


def row(code: int, text: str, factors: list[object]) -> list[str]:
    """One row of ours."""
    kind, food = next((k, f) for (first, last), k, f in KINDS if first <= code <= last)
    ways = ONLY[code] if code in ONLY else methods(text, kind)
    used = kind if ways else ""
    return [str(code), food, plain(text), used, ways, drained(text), minutes(text), *(str(f) for f in factors)]


def main(path: Path) -> None:
    """Read the transcription, write our table."""
    import openpyxl  # type: ignore[import-untyped]

    sheet = openpyxl.load_workbook(path, read_only=True).worksheets[0]
    found = [r for r in sheet.iter_rows(min_row=2, values_only=True) if r[0] is not None]
    target = Path(__file__).parents[2] / "nutrilab" / "data" / "retention.csv"
    with target.open("w", encoding="utf-8", newline="") as file:
        file.write(HEAD)
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(["code", "food", "method", "kinds", "methods", "drained", "minutes", *TAGNAMES])
        writer.writerows(row(int(r[0]), str(r[1]), list(r[2:28])) for r in sorted(found, key=lambda r: int(r[0])))


if __name__ == "__main__":
    main(Path(sys.argv[1]))
