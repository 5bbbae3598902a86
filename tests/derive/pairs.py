"""Raw and cooked rows of the same food in the embedded table (USDA SR28), and how much weight they say it changed.

Two names are the same food when they agree in every part between commas but the words of cooking. Weight is reckoned
by conservation of what cooking neither adds nor takes away:
    meat, fish, egg:   Y = protein raw / protein cooked
    everything else:   Y = (100 - water raw) / (100 - water cooked), dry matter
    water = Y x water cooked - water raw, fat = Y x fat cooked - fat raw   [g per 100 g raw]
Every third pair of a kind and method (by food id, where there are three or more) is kept out of the yield table, so
that tests/published/test_yields.py can predict it with factors that have not seen it.
"""

from __future__ import annotations

import re
from collections import defaultdict
from dataclasses import dataclass

from nutrilab.cooking.kinds import is_a, is_raw, kind_of
from nutrilab.foods import Food, FoodTable

WAYS = [
    ("roasted", "roasted"), ("pan-broiled", "pan-fried"), ("pan-browned", "pan-fried"), ("broiled", "grilled"),
    ("grilled", "grilled"), ("braised", "braised"), ("pan-fried", "pan-fried"), ("pan fried", "pan-fried"),
    ("stewed", "stewed"), ("simmered", "simmered"), ("boiled", "boiled"), ("hard-boiled", "boiled"),
    ("dry heat", "baked"), ("moist heat", "boiled"), ("baked", "baked"), ("steamed", "steamed"),
    ("microwaved", "microwaved"), ("poached", "poached"), ("stir-fried", "stir-fried"), ("fast fried", "pan-fried"),
    ("fast roasted", "roasted"), ("slow roasted", "roasted"), ("fast fry", "pan-fried"), ("toasted", "toasted"),
    ("fried", "fried"), ("cooked", "cooked"), ("prepared", "cooked"),
]  # fmt: skip
ANIMAL = ("meat", "poultry", "fish", "shellfish", "offal", "egg", "sausage")
STARCH = ("pasta", "rice", "grain", "pulses", "rice-noodle")
RAW_WORDS = ("raw", "uncooked", "dry", "unprepared", "fresh", "ckd", "unheated", "fresh-refrigerated")
DROPPED = (
    "drained", "without salt", "without added salt", "no salt added", "with salt", "with added salt", "skin not eaten",
    "as purchased",
)  # fmt: skip
BY_HAND = [  # pairs whose names differ
    ("sr:01123", "sr:01129", "boiled"), ("sr:01123", "sr:01131", "poached"), ("sr:20120", "sr:20121", "boiled"),
    ("sr:20420", "sr:20421", "boiled"), ("sr:20124", "sr:20125", "boiled"), ("sr:20133", "sr:20134", "boiled"),
    ("sr:20035", "sr:20137", "boiled"), ("sr:16069", "sr:16070", "boiled"), ("sr:20044", "sr:20045", "boiled"),
    ("sr:11352", "sr:11367", "boiled"), ("sr:11507", "sr:11508", "baked"), ("sr:11507", "sr:11510", "boiled"),
    ("sr:18069", "sr:18070", "toasted"), ("sr:18075", "sr:18076", "toasted"), ("sr:10123", "sr:10862", "pan-fried"),
    ("sr:23572", "sr:23573", "grilled"), ("sr:23572", "sr:23574", "pan-fried"), ("sr:23572", "sr:23575", "pan-fried"),
    ("sr:23562", "sr:23563", "grilled"), ("sr:23557", "sr:23558", "grilled"), ("sr:23567", "sr:23568", "grilled"),
    ("sr:07063", "sr:07064", "pan-fried"),
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Pair:
    """A raw and a cooked row, the method, and the change they say [g per g raw]."""

    kind: str
    method: str
    raw: Food
    cooked: Food
    change: float
    water: float
    fat: float


def _split(name: str) -> tuple[tuple[str, ...], str]:
    """The parts of a name that say which food it is, and "raw" or the method."""
    kept: list[str] = []
    method, raw = "", False
    for part in (p.strip() for p in name.lower().split(",")):
        if part in RAW_WORDS:
            raw = raw or part != "fresh"
            if part == "fresh":
                kept.append(part)
            continue
        found = next((ours for theirs, ours in WAYS if re.search(rf"\b{re.escape(theirs)}\b", part)), None)
        if found:
            method = found if method in ("", "cooked") else method
        elif part not in DROPPED:
            kept.append(part)
    return tuple(kept), method or ("raw" if raw else "")


def _salted(name: str) -> bool:
    return bool(re.search(r"with (added )?salt", name))


def pairs(table: FoodTable) -> list[Pair]:
    """All pairs of the table whose change of weight is possible for their kind."""
    raw: dict[tuple[str, ...], str] = {}
    cooked: dict[tuple[str, ...], list[tuple[str, str]]] = defaultdict(list)
    for food_id, name in zip(table.ids, table.names, strict=True):
        key, method = _split(name)
        if method == "raw":
            raw[key] = food_id
        elif method and not _salted(name.lower()):
            cooked[key].append((method, food_id))
    known = {(a, c, m) for key, a in raw.items() for m, c in cooked.get(key, [])}
    known |= {(a, c, m) for a, c, m in BY_HAND if m and a in table and c in table}
    found = (_pair(table.food(a), table.food(c), m) for a, c, m in sorted(known))
    return [p for p in found if p is not None]


def _pair(raw: Food, cooked: Food, method: str) -> Pair | None:
    kind = kind_of(raw)
    if not kind or (not is_raw(raw) and kind != "bread") or "batter" in cooked.name or "flour" in cooked.name:
        return None
    animal, starch = (any(is_a(kind, k) for k in kinds) for kinds in (ANIMAL, STARCH))
    if method == "cooked":
        method = "boiled" if starch else "pan-fried" if "mince" in kind else ""
    if method == "fried":
        method = "pan-fried" if animal and not is_a(kind, "fish") else "stir-fried" if is_a(kind, "vegetable") else ""
    if not method or "frozen" in raw.name.lower() or raw.name == "Potatoes, raw, skin":
        return None
    a, b = raw.values, cooked.values
    if animal and not b["PROCNT"]:
        return None
    change = a["PROCNT"] / b["PROCNT"] if animal else (100 - a["WATER"]) / (100 - b["WATER"])
    low, high = (1.5, 7.0) if starch or kind == "dried-fruit" else (0.3, 1.02) if animal else (0.55, 1.3)
    if not low <= change <= high:
        return None
    water, fat = (change * b[t] - a[t] for t in ("WATER", "FAT"))
    return Pair(kind, method, raw, cooked, change, water / 100, fat / 100)


def split(found: list[Pair]) -> tuple[list[Pair], list[Pair]]:
    """Pairs the table is derived from, and pairs kept out of it."""
    groups: dict[tuple[str, str], list[Pair]] = defaultdict(list)
    for pair in found:
        groups[pair.kind, pair.method].append(pair)
    used: list[Pair] = []
    kept_out: list[Pair] = []
    for group in groups.values():
        group.sort(key=lambda p: (p.raw.food_id, p.cooked.food_id))
        for number, pair in enumerate(group, 1):
            (kept_out if len(group) >= 3 and number % 3 == 0 else used).append(pair)
    return used, kept_out
