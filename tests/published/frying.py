"""Fat of fried food against the UK table, through recipes as a cook writes them.

Source: McCance and Widdowson's Composition of Foods Integrated Dataset, Public Health England 2015 (Open Government
Licence v3), raw and fried rows, read in place from ../shared/reference. The recipe is weighed from the raw rows of
that table; the fat and water of 100 g that come out are held against its fried row. Each food is fried by every wording
of its way; the middle counts. "seen": the uptake in data/uptake.csv was reckoned from this very pair.

``python -m tests.published.frying [--write]``: the table of docs/checked-against.md.
"""

from __future__ import annotations

import csv
import tempfile
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from statistics import median

from data_loaders import schema, uk_cofid
from nutrilab.foods import FoodTable, embedded
from nutrilab.kitchen import Kitchen
from nutrilab.recipe import read_recipe
from nutrilab.results import DishResult
from tests.derive.pages import Place

ROOT = Path(__file__).parents[2]
REFERENCE = ROOT.parent / "shared" / "reference"
FILES = ("cofid-2015-proximates.csv", "cofid-2021-minerals-vitamins.xlsx")
HERE = all((REFERENCE / name).exists() for name in FILES)
PAGE = ROOT / "docs" / "checked-against.md"
START, END = "<!-- frying: made by python -m tests.published.frying --write -->\n", "<!-- frying: end -->\n"

# way -> wordings: line of oil, sentence
WAYS = {
    "deep": (
        ("1 litre sunflower oil, for deep frying", "Deep-fry the {} until golden and drain on kitchen paper."),
        ("vegetable oil, for deep frying", "Heat the oil to 180C and fry the {} in batches."),
        ("1.5 litres oil", "Fill a deep pan a third full of oil. Fry the {} until crisp."),
        ("750 ml groundnut oil", "Heat the oil in a large pan, lower in the {} and cook until brown."),
    ),
    "pan": (
        ("sunflower oil, for frying", "Fry the {} until browned on both sides."),
        ("oil for shallow frying", "Heat the oil in a frying pan and fry the {} for 4 minutes a side."),
        ("vegetable oil", "Shallow-fry the {}, turning once."),
    ),
    "stir": (
        ("1 tbsp rapeseed oil", "Stir-fry the {} in the oil for 5 minutes."),
        ("oil for frying", "Heat the oil in a wok and stir-fry the {}."),
        ("1 tbsp vegetable oil", "Heat the oil until smoking, add the {} and stir-fry over a high heat for 4 minutes."),
    ),
}


@dataclass(frozen=True, slots=True)
class Fried:
    """A fried row of the table, how the raw food is written, called and fried, what is done first, and whether seen."""

    code: str
    lines: str
    name: str
    way: str
    first: str = ""
    seen: bool = False


BATTER = "Whisk the flour and water to a batter and dip the {} in it."
FOODS = (
    Fried("13-595", "1 kg potatoes", "potatoes", "deep", "Cut the potatoes into chips.", seen=True),
    Fried("13-162", "500 g aubergines", "aubergines", "pan", "Slice the aubergines.", seen=True),
    Fried("13-232", "500 g courgettes", "courgettes", "pan", seen=True),
    Fried("13-507", "500 g mushrooms", "mushrooms", "pan", seen=True),
    Fried("13-501", "500 g onions", "onions", "pan", "Slice the onions.", seen=True),
    Fried("13-302", "500 g okra", "okra", "pan", seen=True),
    Fried("13-568", "500 g mangetout", "mangetout", "stir", seen=True),
    Fried("12-944", "6 eggs", "eggs", "pan", seen=True),
    Fried("11-1137", "6 slices white bread", "bread", "pan", seen=True),
    Fried("16-052", "800 g haddock fillets\n110 g plain flour\n150 ml water", "haddock", "deep", BATTER, seen=True),
    Fried("16-129", "800 g red snapper fillets", "fish", "pan", seen=True),
    Fried("16-058", "800 g haddock fillets\n50 g plain flour", "fish", "pan", "Dip the fish in the flour.", seen=True),
    Fried("18-326", "800 g chicken breast", "chicken", "stir", "Cut the chicken into strips.", seen=True),
    Fried("18-412", "500 g chicken livers", "livers", "pan", seen=True),
    Fried("18-487", "600 g veal escalopes", "veal", "pan", seen=True),
    Fried("13-602", "500 g tomatoes", "tomatoes", "pan"),
    Fried("13-569", "500 g ripe plantain", "plantain", "pan"),
    Fried("13-567", "500 g beansprouts", "beansprouts", "stir"),
    Fried("16-499", "800 g plaice fillets\n140 g plain flour\n180 ml water", "plaice", "deep", BATTER),
    Fried("16-368", "800 g cod fillets\n130 g plain flour\n160 ml water", "cod", "deep", BATTER),
    Fried(
        "16-162", "800 g whiting fillets\n1 egg\n80 g breadcrumbs", "fish", "pan", "Coat the fish in egg and crumbs."
    ),
    Fried("16-219", "500 g sprats", "sprats", "deep"),
    Fried("18-067", "800 g sirloin steak", "steak", "pan"),
    Fried("18-472", "800 g rump steak", "steak", "pan"),
    Fried("18-266", "800 g pork loin steaks", "pork", "pan"),
    Fried("18-122", "800 g lamb chump steaks", "lamb", "pan"),
    Fried("18-357", "800 g turkey breast", "turkey", "stir", "Cut the turkey into strips."),
    Fried("18-494", "500 g lamb's liver", "liver", "pan"),
    Fried("18-410", "500 g calf's liver", "liver", "pan"),
    Fried("18-493", "500 g lamb's kidneys", "kidneys", "pan"),
    Fried("19-512", "500 g pork sausages", "sausages", "pan"),
    Fried("19-653", "500 g beef sausages", "sausages", "pan"),
    Fried("19-504", "400 g streaky bacon", "bacon", "pan"),
)


@cache
def kitchen() -> Kitchen:
    """A kitchen of the UK table, with the embedded one behind it."""
    folder = Path(tempfile.mkdtemp())
    source = folder / "source"
    source.mkdir()
    for name in FILES:
        (source / name).symlink_to(REFERENCE / name)
    table = FoodTable(schema.write(uk_cofid.load(source), folder, uk_cofid.NAME))
    return Kitchen([table, embedded()], alternatives=False)


@cache
def _rows() -> dict[str, list[str]]:
    with (REFERENCE / FILES[0]).open(encoding="utf-8-sig", newline="") as file:
        return {line[0]: line for line in csv.reader(file)}


def published(code: str) -> tuple[str, float, float]:
    """Name, fat and water [g per 100 g] of a row as printed."""
    row = _rows()[code]
    return row[1], float(row[10]), float(row[7])


def dish(lines: str, oil: str, sentence: str) -> DishResult:
    """A plain text recipe of these lines."""
    path = Path(tempfile.mkdtemp()) / "dish.txt"
    path.write_text(f"Capstan plate\nServes 4\n{lines}\n{oil}\nMethod\n{sentence}\n", encoding="utf-8")
    return kitchen().dish(read_recipe(path))


@cache
def fried(one: Fried) -> tuple[tuple[float, float], ...]:
    """Fat and water [g per 100 g] by each wording."""
    found = []
    for oil, sentence in WAYS[one.way]:
        batch = dish(one.lines, oil, f"{one.first} {sentence}".strip().format(*[one.name] * 2)).batch
        found.append((100 * batch.get("FAT") / batch.mass, 100 * batch.get("WATER") / batch.mass))
    return tuple(found)


def off(one: Fried) -> float:
    """How far the fat by the middle wording is off, as a share of the published."""
    return median(fat for fat, _ in fried(one)) / published(one.code)[1] - 1


def page() -> str:
    """The table."""
    lines = ["| fried row | fat g/100 g | ours | off | water g/100 g | ours | seen |", "|---|--:|--:|--:|--:|--:|---|"]
    for one in FOODS:
        name, fat, water = published(one.code)
        ours, wet = (median(pair[n] for pair in fried(one)) for n in (0, 1))
        seen = "yes" if one.seen else ""
        figures = f"{fat:.1f} | {ours:.1f} | {100 * off(one):+.0f} % | {water:.1f} | {wet:.1f}"
        lines.append(f"| {one.code} {name} | {figures} | {seen} |")
    for title, some in (("seen", [f for f in FOODS if f.seen]), ("not seen", [f for f in FOODS if not f.seen])):
        lines.append(
            f"| **median of {len(some)}, {title}** | | | {100 * median(abs(off(f)) for f in some):.0f} % | | | |"
        )
    return "\n".join(lines) + "\n"


def written() -> str:
    """The table as it stands in the page."""
    return Place(PAGE, START, END).written()


if __name__ == "__main__":
    Place(PAGE, START, END).main(page)
