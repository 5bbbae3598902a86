"""The accuracy report: ``python -m tests.accuracy`` prints a table and exits 1 below a floor.

Gold lines: ``tests/gold/*.csv`` of our own, and ``../shared/gold/*.csv`` when that folder is there. The
definitions of right and wrong are those of that folder's README: same unit and quantity within 1 %; the same
words of the name after case, plural and filler; grams inside the gold range; a food of the accepted set; every
allergen of ``contains`` said. Floors stand in ``tests/gold/floors.csv``; they are only ever raised.
"""

from __future__ import annotations

import csv
import re
import sys
from collections import Counter
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

from nutrilab.allergens.labels import of_pack
from nutrilab.allergens.values import ALLERGENS
from nutrilab.kitchen import Kitchen
from nutrilab.law.energy import salt as salt_of
from nutrilab.linking.tolerance import agree
from nutrilab.records import line_record
from nutrilab.store import tables
from nutrilab.text import words as folded

HERE = Path(__file__).parent
OWN, SHARED = HERE / "gold", HERE.parents[1] / "shared" / "gold"
FILLER = set("a an the of fresh freshly good quality best large small medium ripe free range organic or and".split())
UNITS = {
    "gram": "g", "kilogram": "kg", "millilitre": "ml", "litre": "l", "tablespoon": "tbsp", "teaspoon": "tsp",
    "dessertspoon": "dsp", "ounce": "oz", "pound": "lb", "can": "tin", "packet": "pack", "package": "pack",
    "pkt": "pack",
}  # fmt: skip
Row = dict[str, str]
Record = dict[str, Any]


def read(path: Path) -> list[Row]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


def alternatives(text: str | None) -> set[str]:
    return {part for part in (text or "").split("|") if part}


def name_words(text: str | None) -> set[str]:
    return {word for word in folded(text or "") if word not in FILLER}


def unit(text: str | None) -> str:
    word = " ".join(folded(text or ""))
    return UNITS.get(word, word)


def number(text: object) -> float | None:
    return float(str(text)) if re.fullmatch(r"-?\d+(\.\d+)?", str(text)) else None


def same_amount(row: Row, record: Record) -> bool:
    """Same unit, and quantity within 1 %; "a handful" may be 1 handful or no number."""
    gold, got = number(row["quantity"]), number(record["quantity"])
    if unit(row["unit"]) != unit(record["unit"]):
        return False
    if gold is None or got is None:
        return gold == got or (bool(unit(row["unit"])) and {gold, got} == {None, 1.0})
    return abs(gold - got) <= 0.01 * max(abs(gold), abs(got))


def score_parse(rows: Iterable[tuple[Row, Record]]) -> dict[str, float]:
    n: Counter[str] = Counter()
    for row, record in rows:
        n["all"] += 1
        n["amount"] += same_amount(row, record)
        n["name"] += name_words(row["name"]) == name_words(record["name"])
    return {"quantity and unit right": n["amount"] / n["all"], "name right": n["name"] / n["all"]}


def score_grams(rows: Iterable[tuple[Row, Record]]) -> dict[str, float]:
    inside, covered, widths, count = 0, 0, [], 0
    for row, record in rows:
        if not row.get("grams"):
            continue
        gold, low, high = (float(row[key]) for key in ("grams", "grams_low", "grams_high"))
        got, own_low, own_high = (record[key] for key in ("grams", "grams_low", "grams_high"))
        count += 1
        if got is None:
            continue
        inside += low * 0.999 <= got <= high * 1.001
        covered += own_low <= gold * 1.001 and own_high >= gold * 0.999
        if (high - low) / gold > 0.06 and got:
            widths.append((own_high - own_low) / got)
    found = {"grams inside gold range": inside / count, "gold grams inside own range": covered / count}
    return found | {"median own width": sorted(widths)[len(widths) // 2]}


def linked(row: Row, record: Record) -> tuple[bool, bool]:
    """Whether the food is right, and whether a right one is among the first five."""
    accepted = alternatives(row["accepted_ndb"])
    parts = {p["food_id"].removeprefix("sr:") for p in record.get("parts", [])}
    got = (record["food_id"] or "").removeprefix("sr:")
    if accepted == {"NONE"}:
        right = record["sureness"] == "none" or bool(parts)
        return right, right
    right = got in accepted or bool(parts & accepted) or ("NONE" in accepted and not got)
    five = {got, *(a["food_id"].removeprefix("sr:") for a in record["alternatives"][:4])}
    return right, right or bool(accepted & five)


def score_links(rows: Iterable[tuple[Row, Record]]) -> dict[str, float]:
    n: Counter[str] = Counter()
    for row, record in rows:
        right, five = linked(row, record)
        n["all"] += 1
        if alternatives(row["accepted_ndb"]) == {"NONE"}:
            n["no twin"] += 1
            n["left open"] += record["sureness"] in ("none", "doubtful") or "parts" in record
        else:
            n["twin"] += 1
            n["right"] += right
            n["five"] += five
        if record["sureness"] == "sure":
            n["sure"] += 1
            n["sure right"] += right
    return {
        "accepted food first": n["right"] / n["twin"],
        "accepted food in five": n["five"] / n["twin"],
        "no twin: left open": n["left open"] / n["no twin"],
        "sure: right": n["sure right"] / n["sure"],
        "sure: share of lines": n["sure"] / n["all"],
    }


def score_allergens(rows: Iterable[tuple[Row, Record]]) -> dict[str, float]:
    n: Counter[str] = Counter()
    for row, record in rows:
        contains, usually = alternatives(row["contains"]), alternatives(row["usually"])
        said, check = set(record["allergens"]["contains"]), set(record["allergens"]["check"])
        n["all"] += 1
        n["contains"] += len(contains)
        n["said"] += len(contains & said)
        n["usually"] += len(usually)
        n["usually said"] += len(usually & (said | check))
        n["false contains"] += bool(said - contains - usually)
        n["false alarm"] += bool((said | check) - contains - usually)
    return {
        "allergens contained and said": n["said"] / n["contains"],
        "allergens usual and said": n["usually said"] / n["usually"],
        "lines without a false contains": 1 - n["false contains"] / n["all"],
        "lines without a false alarm": 1 - n["false alarm"] / n["all"],
    }


def wrong_links(rows: Iterable[tuple[Row, Record]], kitchen: Kitchen) -> list[str]:
    """Wrong links not owned up to: chosen, gold, and what it does to kcal and salt per 100 g."""
    table, found = kitchen.tables[0], []
    for row, record in rows:
        if linked(row, record)[0] or record["sureness"] in ("none", "doubtful"):
            continue
        gold = f"sr:{row['best_ndb']}"
        line = f"{row['text']!r}: {record['food_name']} ({record['sureness']})"
        if gold in table:
            best = table.food(gold)
            line += f"; gold {best.name}"
            if record["food_id"] in table:
                got = table.food(record["food_id"])
                kcal = got.values.get("ENERC_KCAL", 0) - best.values.get("ENERC_KCAL", 0)
                salt = salt_of(got.values.get("NA", 0)) - salt_of(best.values.get("NA", 0))
                line += f"; {kcal:+.0f} kcal, {salt:+.2f} g salt per 100 g"
        found.append(line)
    return found


def score_values(rows: list[tuple[Row, Record]], kitchen: Kitchen) -> dict[str, float]:
    """Energy, salt and fat of the chosen food beside the gold's best one, by `nutrilab.linking.tolerance.agree`."""
    table, near, count = kitchen.tables[0], 0, 0
    for row, record in rows:
        gold, got = f"sr:{row['best_ndb']}", record["food_id"]
        if gold in table and got and not (got.startswith("mix:") and "+" in got):
            count += 1
            near += agree(table.food(gold).values, kitchen.linker.food(got).values)
    return {"energy, fat and salt near the gold": near / count}


SCORES: dict[str, tuple[Callable[[list[tuple[Row, Record]]], dict[str, float]], ...]] = {
    "own lines": (score_parse,),
    "own allergens": (score_allergens,),
    "own foods": (score_grams, score_links),
    "shared parse_dev": (score_parse,),
    "shared link_dev": (score_grams, score_links),
    "shared allergen_dev": (score_allergens,),
}


def pack_figures(rows: list[Row]) -> tuple[dict[str, float], dict[str, Counter[str]]]:
    """Of real packs: allergens printed and said, by set; what is false; and for each allergen how it was said."""
    n: Counter[tuple[str, str]] = Counter()
    by: dict[str, Counter[str]] = {}
    for row in rows:
        found = of_pack(row["text"])
        said, asked = set(found.contains), set(found.check)
        for allergen in row["contains"].split():
            how = "contains" if allergen in said else "check" if allergen in asked else "missed"
            by.setdefault(allergen, Counter())[how] += 1
            n[row["set"], "all"] += 1
            n[row["set"], "said"] += how != "missed"
        wrong = row["not_contains"].split() + row["may_only"].split()
        n["false", "all"] += len(wrong)
        n["false", "said"] += len(set(wrong) - said)
    sets = sorted({name for name, _ in n})
    return {f"{name}: right": n[name, "said"] / n[name, "all"] for name in sets if n[name, "all"]}, by


def show(name: str, figure: str, value: float, floors: dict[tuple[str, str], float]) -> bool:
    """Print a figure beside its floor; whether it falls below."""
    floor = floors.get((name, figure))
    below = floor is not None and (value > floor if "width" in figure else value < floor)
    limit = f"floor {floor:.1%}" if floor is not None else "no floor"
    print(f"{name:20} {figure:32} {value:8.2%}  {limit} {'BELOW' if below else ''}")
    return below


def report_packs(name: str, path: Path, floors: dict[tuple[str, str], float]) -> int:
    """The figures of real packs, then a table by allergen; how many fall below their floor."""
    figures, by = pack_figures(read(path))
    failed = sum(show(name, figure, value, floors) for figure, value in figures.items())
    for allergen in ALLERGENS:
        if how := by.get(allergen):
            told = f"contains {how['contains']:4} check {how['check']:3} missed {how['missed']:3}"
            print(f"{name:20}   {allergen:12} {told}")
    return failed


def files() -> dict[str, Path]:
    own = {f"own {path.stem}": path for path in sorted(OWN.glob("*.csv")) if path.stem != "floors"}
    return own | {f"shared {path.stem}": path for path in sorted(SHARED.glob("*.csv"))}


def main() -> int:
    """Print every figure beside its floor; 1 if any falls below it."""
    kitchen = Kitchen(tables(None))
    floors = {(row["set"], row["figure"]): float(row["floor"]) for row in read(OWN / "floors.csv")}
    failed = 0
    for name, path in files().items():
        if name == "shared labels_dev":
            failed += report_packs(name, path, floors)
        if name not in SCORES:
            continue
        rows = [(row, line_record(kitchen.line(row["text"]))) for row in read(path)]
        scores = [score(rows) for score in SCORES.get(name, ())]
        if score_links in SCORES.get(name, ()):
            scores.append(score_values(rows, kitchen))
        for figures in scores:
            for figure, value in figures.items():
                failed += show(name, figure, value, floors)
        if score_links in SCORES.get(name, ()):
            wrong = wrong_links(rows, kitchen)
            shown = wrong if "--wrong" in sys.argv else wrong[:5]
            print(
                "\n".join(
                    [
                        f"{name:20} wrong links said to be sure or likely: {len(wrong)}",
                        *(f"    {line}" for line in shown),
                    ]
                )
            )
    if not SHARED.is_dir():
        print("../shared/gold is not here: only our own gold lines were measured")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
