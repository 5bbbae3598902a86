"""Write nutrilab/data/yields.csv.

Run: python -m tests.derive.yields ../shared/reference
Published weights (they were weighed), and what raw and cooked rows of USDA SR28 say (tests/derive/pairs.py).
"""

from __future__ import annotations

import csv
import re
import sys
from collections import defaultdict
from pathlib import Path
from statistics import median, quantiles

from nutrilab.foods import embedded
from tests.derive.pairs import Pair, pairs, split

HEAD = """\
# Cooked weight as per cent of raw weight, by kind of food (cooking_kinds.csv) and method (docs/recipe-format.md).
# water, fat: change in g per 100 g raw, below 0 is lost; empty: not told apart. raw_fat: fat of the raw rows [g per
# 100 g]; what a leaner or fatter piece loses stands in fat_drip.csv. low, high: range of the yield [%]. Of several rows
# for a kind and method the median counts, all give the range.
# derived: yes when reckoned from raw and cooked composition by conservation, Y = protein raw / protein cooked (meat,
# fish, egg) or dry matter raw / dry matter cooked (the rest); median, low and high the 10th and 90th percentile or
# the ends; n pairs; the food ids of USDA SR28 rows used, at most six. Script: tests/derive/yields.py.
# Where a published figure comes without a range, low and high are 5 % of it to either side (common practice).
# Bergstrom, Bognar, AH-102: as quoted by FAO/INFOODS, West African food composition table, 2019, sheet 07. CoFID:
# McCance and Widdowson's Composition of Foods Integrated Dataset, Public Health England, 2015 and 2021 (OGL v3).
"""
MOIST, DRAINED = "boiled simmered poached", "boiled simmered"
STEW = "stewed braised"
# published entry, as yield-factors-published.csv quotes it -> our kind, our methods
QUOTED = {
    "(Aubergine, boiled)": ("aubergine", DRAINED), "(Beans, green, boiled)": ("green-beans", DRAINED),
    "(Beans, green, stewed)": ("green-beans", STEW), "(Fish, grilled, average)": ("fish", "grilled"),
    "(Onions boiled; av.)": ("onion", DRAINED), "(Pepper, boiled)": ("pepper", DRAINED),
    "(Spaghetti, boiled)": ("pasta", MOIST), "(Tomatoes, boiled)": ("tomato", MOIST),
    "(Tuna, boiled)": ("oily-fish", "boiled simmered"), "(Turnips, boiled)": ("roots", DRAINED),
    "(Beef, big pieces, braised, medium)": ("beef-joint", STEW), "(Beef, mince stewed)": ("beef-mince", STEW),
    "(Beef, small pieces, boiled, well done)": ("beef", MOIST), "(Chicken grilled)": ("chicken", "grilled"),
    "(Chicken, boiled; av.)": ("chicken", MOIST), "(Chicken, braised; av.)": ("chicken", STEW),
    "(Chicken, parts, boiled)": ("chicken-skin", MOIST), "(Chicken, parts, braised)": ("chicken-skin", STEW),
    "(Chicken, parts, roasted)": ("chicken-skin", "roasted"), "(Egg, with shell, boiled)": ("egg", "boiled"),
    "(Kidney beef, roasted)": ("offal", "roasted"), "(Kidney beef, stewed)": ("offal", f"{MOIST} {STEW}"),
    "(Lamb, big pieces with bones, braised)": ("lamb", "braised"),
    "(Lamb, big pieces, meat only, braised)": ("lamb", "stewed"), "(Lamb, brikset, boiled)": ("lamb", MOIST),
    "(Liver, beef, boiled)": ("liver", MOIST), "(Liver, beef, fried; av.)": ("liver", "pan-fried"),
    "(Liver, beef, stewed; av.)": ("liver", STEW),
    "(Pork, big pieces, boiled, steamed)": ("pork-joint", f"{MOIST} steamed"),
    "(Pork, fat, small pieces, braised)": ("pork-belly", STEW), "(Pork, fillet, steak, braised)": ("pork", STEW),
    "(Pork, grilled, av.)": ("pork", "grilled"), "(Pork, pig pieces, boiled, steamed)": ("pork", MOIST),
    "(Rabbit, stewed)": ("game", f"{MOIST} {STEW}"), "(Rice, brown, boiled)": ("rice-brown", "boiled simmered steamed"),
    "(Soyabeans, dried; av.)": ("soya-beans", "boiled simmered"), "(Tripes, beef, boiled)": ("beef-offal", MOIST),
    "(Tuna, baked in oven)": ("oily-fish", "baked"), "(Cabbage, white/red, boiled)": ("cabbage", DRAINED),
    "(Carrot, boiled)": ("carrot", DRAINED), "(Carrot, stewed)": ("carrot", STEW),
    "(Leafy vegetables, boiled)": ("greens", DRAINED), "(Leafy vegetables, stewed)": ("greens", STEW),
    "(Potato, without peel, boiled)": ("potato", "boiled simmered steamed"),
    "(Pumpkin/squash, boiled)": ("squash", DRAINED), "(Root and tuber vegetables, boiled)": ("roots", "steamed"),
    "(Spinach boiled)": ("spinach", DRAINED), "(Spinach, stewed)": ("spinach", STEW),
    "(White cabbage, stewed)": ("cabbage", STEW), "(Eggplant, stewed)": ("aubergine", STEW),
    "(Millet, shacked corn, boiled)": ("millet", "boiled simmered"),
    "(Rice, long corn, polished, boiled)": ("rice", "boiled simmered steamed"),
    "(Roast beef (Chuck, leg, shoulder, top round), medium, grill, broil, barbecue)": ("beef", "grilled"),
    "(Wheat, whole, boiled, stewed)": ("grain", "boiled simmered"),
    "(1551 Oats": ("oats", "boiled simmered microwaved"), "(1555 okra": ("okra", "steamed"),
    "(2126 Pumpkin, leafy tips": ("greens", "steamed"),
    "(2500 Sweet potatoes": ("sweet-potato", "boiled simmered steamed"), "(2528 Taro": ("cassava", "boiled simmered"),
    "USDA Yield 928": ("sweetcorn", "boiled simmered steamed"),
}  # fmt: skip
# CoFID 2021 rows whose description states the weight change they were calculated with -> kind, method
COFID = {
    "11-1136": ("bread", "toasted"), "11-1001": ("bread", "toasted"), "11-1004": ("bread", "toasted"),
    "11-982": ("bread", "toasted"), "11-948": ("bread", "toasted"), "11-542": ("bread", "toasted"),
    "16-466": ("lean-fish", "grilled"), "16-467": ("lean-fish", "steamed"), "16-429": ("lean-fish", "baked"),
    "16-430": ("lean-fish", "grilled"), "16-431": ("lean-fish", "poached"), "16-469": ("lean-fish", "steamed"),
    "16-473": ("lean-fish", "poached"), "16-478": ("lean-fish", "steamed"), "13-589": ("onion", "baked roasted"),
    "16-432": ("lean-fish", "baked"), "16-433": ("lean-fish", "poached"), "11-1129": ("pasta", "boiled"),
    "11-856": ("pastry", "baked"), "11-854": ("pastry", "baked"), "11-853": ("pastry", "baked"),
    "13-536": ("peas", "boiled simmered"), "13-537": ("pepper", "boiled"), "16-434": ("lean-fish", "baked"),
    "16-435": ("lean-fish", "steamed"), "16-436": ("lean-fish", "baked"), "16-437": ("lean-fish", "steamed"),
    "16-485": ("oily-fish", "baked"), "16-486": ("oily-fish", "grilled"), "16-487": ("oily-fish", "steamed"),
    "13-550": ("spinach", "boiled"),
}  # fmt: skip
# Pairs of CoFID rows by conservation of dry matter free of fat: raw row, cooked row, kind, method
COFID_PAIRS = [
    ("13-489", "13-595", "potato", "deep-fried"),
    ("13-161", "13-162", "aubergine", "deep-fried pan-fried"),
    ("13-230", "13-232", "courgette", "pan-fried"),
    ("13-499", "13-501", "onion", "pan-fried stir-fried"),
    ("13-505", "13-507", "mushroom", "pan-fried"),
    ("13-300", "13-302", "okra", "stir-fried pan-fried"),
    ("13-122", "13-568", "green-beans", "stir-fried pan-fried"),
    ("11-980", "11-1137", "bread", "pan-fried"),
    ("13-489", "13-490", "potato", "boiled"),
    ("13-489", "13-492", "potato", "roasted pan-fried"),
    ("13-517", "13-518", "tomato", "grilled baked roasted"),
    ("13-463", "13-363", "sweet-potato", "baked roasted"),
    ("13-353", "13-354", "squash", "baked roasted"),
    ("13-355", "13-356", "squash", "baked roasted"),
    ("13-496", "13-498", "carrot", "microwaved"),
    ("13-502", "13-504", "broccoli", "steamed"),
    ("13-463", "13-365", "sweet-potato", "steamed"),
    ("14-362", "14-342", "fruit", "baked roasted"),
]
# Pairs of CoFID rows by conservation of protein
COFID_MEAT = [
    ("19-497", "19-500", "back-bacon", "grilled"), ("19-497", "19-498", "back-bacon", "pan-fried"),
    ("19-016", "19-018", "bacon", "grilled baked roasted"),
    ("19-016", "19-504", "bacon", "pan-fried"), ("18-481", "18-159", "lamb-mince", "stewed braised simmered"),
    ("18-206", "18-208", "pork-belly", "roasted"), ("18-206", "18-209", "pork-belly", "grilled"),
    ("18-371", "18-374", "duck", "roasted"), ("18-297", "18-341", "chicken-skin", "roasted"),
    ("18-293", "18-337", "chicken-skin", "roasted"), ("18-077", "18-081", "beef", "stewed"),
    ("18-007", "18-009", "beef", "braised"), ("12-937", "12-962", "egg", "pan-fried"),
]  # fmt: skip

UMBRELLAS = ("vegetable", "greens", "roots", "fruit", "grain", "pulses")  # hold what has no kind of its own
Row = list[str]


def row(kind: str, method: str, change: float, low: float, high: float, derived: bool, source: str) -> Row:
    """A row without water and fat."""
    return [kind, method, f"{100 * change:.1f}", "", "", "", f"{100 * low:.1f}", f"{100 * high:.1f}",
            "yes" if derived else "no", source]  # fmt: skip


def quoted(folder: Path) -> list[Row]:
    """Published factors as another table quotes them; the original is named."""
    found = []
    with (folder / "yield-factors-published.csv").open(encoding="utf-8", newline="") as file:
        for line in csv.DictReader(file):
            entry = line["published source (entry)"]
            key = next((k for k in QUOTED if k in entry), None)
            if key is None:
                continue
            kind, methods = QUOTED[key]
            y = float(line["yield_factor"])
            document = (
                "Bergstrom 1994, NFA rapport 32/94" if entry.startswith("Bergs")
                else "Bognar 2002, BFE-R-02-03" if entry.startswith("Bogn")
                else "Matthews and Garrison 1975, USDA AH-102" if entry.startswith("Matthews")
                else "USDA yield table, entry 928"
            )  # fmt: skip
            inner = entry[entry.find("(") + 1 : entry.rfind(")")]
            found.append(row(kind, methods, y, y * 0.95, y * 1.05, False, f"{document}: {inner}"))
    return found


def cofid_table(folder: Path) -> dict[str, list[str]]:
    """Rows of the UK table by code."""
    with (folder / "cofid-2015-proximates.csv").open(encoding="utf-8", newline="") as file:
        return {line[0]: line for line in csv.reader(file)}


def cofid(folder: Path) -> list[Row]:
    """Weight changes that the UK table states it used."""
    import openpyxl  # type: ignore[import-untyped]

    sheet = openpyxl.load_workbook(folder / "cofid-2021-minerals-vitamins.xlsx", read_only=True).worksheets[0]
    found = []
    for line in sheet.iter_rows(values_only=True):
        if str(line[0]) not in COFID:
            continue
        number = re.search(
            r"([\d.]+)% weight (loss|gain)|weight loss of ([\d.]+)%|\(([\d.]+)% weight loss", str(line[2])
        )
        if number is None:
            continue
        percent = float(next(g for g in (number[1], number[3], number[4]) if g))
        y = 1 + percent / 100 if number[2] == "gain" else 1 - percent / 100
        kind, method = COFID[str(line[0])]
        source = f"CoFID 2021, food {line[0]} {line[1]}: weight {number[2] or 'loss'} {percent:g} %"
        found.append(row(kind, method, y, y * 0.95, y * 1.05, False, source))
    return found


def cofid_pairs(folder: Path) -> list[Row]:
    """Frying: dry matter free of fat stays; fat gained is oil."""
    table = cofid_table(folder)
    found = []
    for raw, cooked, kind, methods in COFID_PAIRS:
        (w0, f0), (w1, f1) = ((float(table[c][7]), float(table[c][10])) for c in (raw, cooked))
        y = (100 - w0 - f0) / (100 - w1 - f1)
        source = f"CoFID 2015, food {cooked} from {raw}, dry matter free of fat"
        made = row(kind, methods, y, y * 0.9, y * 1.1, True, source)
        made[3], made[4], made[5] = f"{y * w1 - w0:.1f}", f"{y * f1 - f0:.1f}", f"{f0:g}"
        found.append(made)
    return found


def cofid_meat(folder: Path) -> list[Row]:
    """Meat and eggs of the UK table: protein stays."""
    table = cofid_table(folder)
    found = []
    for raw, cooked, kind, methods in COFID_MEAT:
        (_w0, p0, f0), (_w1, p1, f1) = ([float(table[c][n]) for n in (7, 9, 10)] for c in (raw, cooked))
        y = p0 / p1
        fat = min(0.0, y * f1 - f0)
        source = f"CoFID 2015, food {cooked} {table[cooked][1]} from {raw}, protein"
        made = row(kind, methods, y, y * 0.93, y * 1.07, True, source)
        made[3], made[4], made[5] = f"{100 * (y - 1) - fat:.1f}", f"{fat:.1f}", f"{f0:g}"
        found.append(made)
    return found


def vegetables(made: list[Row]) -> list[Row]:
    """In the oven, under the grill and in the pan: the median of all vegetables that have a row for it."""
    from nutrilab.cooking.kinds import is_a

    found = []
    for ways in ("baked roasted grilled", "pan-fried stir-fried", "steamed", "microwaved"):
        group = [r for r in made if set(r[1].split()) & set(ways.split()) and is_a(r[0], "vegetable")]
        ys = sorted(float(r[2]) - max(0.0, float(r[4] or 0)) for r in group)
        source = f"median of the rows here for {', '.join(sorted({r[0] for r in group}))}; n = {len(ys)}"
        found.append(row("vegetable", ways, median(ys) / 100, ys[0] / 100, ys[-1] / 100, True, source))
    return found


DRIP_HEAD = """\
# Fat that drips or melts out of meat [g per 100 g raw] = slope x (fat of the raw food - free), never below 0.
# Least mean absolute difference over raw and cooked rows of USDA SR28 (tests/derive/yields.py), kinds as in
# cooking_kinds.csv, a kind without a row asks its parent. low, high: slope that covers eight of ten pairs.
# mince: what is poured or wiped off when it is browned or grilled; it stays where nothing is drained.
"""
DRIPPING = {  # kind -> the kinds whose pairs speak for it
    "meat": ("meat",), "poultry": ("poultry",), "beef-mince": ("beef-mince", "lamb-mince", "pork-mince"),
    "lamb-mince": ("beef-mince", "lamb-mince", "pork-mince"), "pork-mince": ("beef-mince", "lamb-mince", "pork-mince"),
    "bacon": ("bacon",),
}  # fmt: skip


def drip(used: list[Pair], kind: str) -> list[str]:
    """The best free fat and slope for a kind."""
    from nutrilab.cooking.kinds import is_a

    own = DRIPPING[kind]
    group = [p for p in used if any(is_a(p.kind, k) for k in own) and p.raw.values["FAT"] > 3]
    if len(own) == 1 and kind != "bacon":
        group = [p for p in group if "mince" not in p.kind and p.kind != "bacon"]
    points = [(p.raw.values["FAT"], -100 * p.fat) for p in group]

    def miss(free: float, slope: float) -> float:
        return sum(abs(lost - slope * max(0.0, fat - free)) for fat, lost in points) / len(points)

    free, slope = min(((f, s / 100) for f in range(13) for s in range(10, 100, 5)), key=lambda fs: miss(*fs))
    slopes = sorted(lost / (fat - free) for fat, lost in points if fat > free + 2)
    tenth = len(slopes) // 10
    low, high = max(0.0, slopes[tenth]), slopes[-1 - tenth]
    source = f"USDA SR28 raw and cooked, n = {len(points)}, mean difference {miss(free, slope):.1f} g"
    return [kind, f"{free}", f"{slope:.2f}", f"{min(low, slope):.2f}", f"{min(1.0, max(high, slope)):.2f}", source]


def derived(used: list[Pair]) -> list[Row]:
    """Medians of pairs by kind and method; for kinds with parents also of the whole family."""
    groups: dict[tuple[str, str], list[Pair]] = defaultdict(list)
    for pair in used:
        groups[pair.kind, pair.method].append(pair)
    found = []
    for (kind, method), group in sorted(groups.items()):
        if kind in UMBRELLAS and len(group) < 3:
            continue
        changes = sorted(p.change for p in group)
        y = median(changes)
        if len(changes) >= 5:
            tenths = quantiles(changes, n=10, method="inclusive")
            low, high = tenths[0], tenths[-1]
        else:
            low, high = min(changes[0], y * 0.93), max(changes[-1], y * 1.07)
        fat = min(0.0, median(p.fat for p in group))
        ids = ", ".join(f"{p.raw.food_id[3:]}-{p.cooked.food_id[3:]}" for p in group[:6])
        rule = "protein" if group[0].water and _animal(kind) else "dry matter"
        source = f"USDA SR28 by {rule}, n = {len(group)}: {ids}"
        twin = {"braised": "stewed", "stewed": "braised"}.get(method)
        ways = f"{method} {twin}" if twin and (kind, twin) not in groups else method  # one medium, one heat
        made = row(kind, ways, y, low, high, True, source)
        made[3], made[4] = f"{100 * (y - 1 - fat):.1f}", f"{100 * fat + 0:.1f}"
        made[5] = f"{median(p.raw.values['FAT'] for p in group):.1f}"
        found.append(made)
    return found


def _animal(kind: str) -> bool:
    from nutrilab.cooking.kinds import is_a
    from tests.derive.pairs import ANIMAL

    return any(is_a(kind, k) for k in ANIMAL)


def family(used: list[Pair]) -> list[Row]:
    """Medians for whole families (meat, poultry, fish ...) by method, for kinds without pairs of their own."""
    from nutrilab.cooking.kinds import is_a

    found = []
    for parent in ("meat", "poultry", "fish", "offal"):
        have = {p.method for p in used if p.kind == parent}
        members = [p for p in used if is_a(p.kind, parent)]
        for method in sorted({p.method for p in members} - have):
            group = [p for p in members if p.method == method]
            if len(group) < 5:
                continue
            kinds = sorted({p.kind for p in group})
            made = derived([Pair(parent, method, p.raw, p.cooked, p.change, p.water, p.fat) for p in group])[0]
            made[-1] = f"USDA SR28, median of {', '.join(kinds[:5])}; n = {len(group)}"
            found.append(made)
    return found


def main(folder: Path) -> None:
    """Write the table: weighed figures first, so that they count before derived ones."""
    used, _ = split(pairs(embedded()))
    made = [*quoted(folder), *cofid(folder), *cofid_pairs(folder), *cofid_meat(folder), *derived(used), *family(used)]
    made += vegetables(made)
    order = {name: n for n, name in enumerate(dict.fromkeys(r[0] for r in sorted(made)))}
    made.sort(key=lambda r: order[r[0]])
    target = Path(__file__).parents[2] / "nutrilab" / "data" / "yields.csv"
    with target.open("w", encoding="utf-8", newline="") as file:
        file.write(HEAD)
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(["kind", "method", "yield", "water", "fat", "raw_fat", "low", "high", "derived", "source"])
        writer.writerows(made)
    with target.with_name("fat_drip.csv").open("w", encoding="utf-8", newline="") as file:
        file.write(DRIP_HEAD)
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(["kind", "free", "slope", "low", "high", "source"])
        writer.writerows(drip(used, kind) for kind in DRIPPING)


if __name__ == "__main__":
    main(Path(sys.argv[1]))
