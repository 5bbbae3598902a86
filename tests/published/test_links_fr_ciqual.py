"""The cooks' words of the French table against the table itself, and against what the same words mean in USDA SR28.

Sources: ANSES-CIQUAL 2020 (Licence Ouverte; credit: Anses); USDA SR28; CoFID = UK Composition of Foods Integrated
Dataset, proximates of 2015 and sodium of 2021, by food code (Open Government Licence v3): where the two tables differ,
it says which of them is nearer to what a British cook buys.

Bounds: fat and salt by the guidance on tolerances of December 2012, section 2; energy 20 % or 20 kcal
(nutrilab/linking/tolerance.py); energy by the Regulation's factors on both sides.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from data_loaders import fr_ciqual
from nutrilab.foods import Food, embedded
from nutrilab.law.energy import energy_regulation, salt
from nutrilab.lexicon import entries
from nutrilab.linking.linker import TableLinker
from nutrilab.linking.tolerance import energy_tolerance, fat_tolerance, salt_tolerance
from nutrilab.linking.wordlists import NONE, food_id

WORKBOOK = Path(__file__).parents[3] / "shared" / "reference" / "ciqual-2020-eng.xls"

# Foods both lists are sure of that still differ: fr-ciqual food, usda-sr food, why the French row stands (our own
# reading of the two rows where no source is named).
EXPLAINED = """
fr:1015  sr:14057 a fortified wine of its own: sweeter than the mean of dessert wines
fr:2030  sr:09160 acids counted as carbohydrate in SR28; CoFID 14-279 has 9 kcal
fr:4011  sr:11376 the brine of American tins is saltier
fr:6111  sr:23607 how closely the steak is trimmed
fr:6116  sr:23342 how closely the fillet is trimmed; CoFID 18-016, lean: 6.1 g fat
fr:6130  sr:23217 how closely the skirt is trimmed
fr:6206  sr:23611 how closely the steak is trimmed
fr:6231  sr:23093 SR28's stewing beef is leaner; CoFID 18-077: 146 kcal, 6.4 g fat
fr:6510  sr:17104 how closely the chop is trimmed
fr:7100  sr:18069 American sliced bread holds 3 % fat; CoFID 11-977, farmhouse: 2.0 g
fr:7110  sr:18075 American sliced bread holds added fat; CoFID 11-981: 2.5 g
fr:7500  sr:18079 1.53 g apart in fat where 1.5 g are allowed
fr:9103  sr:20037 water taken up in boiling; CoFID 11-871, easy cook: 157 kcal
fr:9900  sr:20133 American rice noodles are salted
fr:10001 sr:15175 salt of the sea it was washed in; CoFID 16-263: 110 mg sodium, SR28 44 mg, CIQUAL 243 mg
fr:10003 sr:15172 SR28's scallops are kept in brine; CoFID 16-262, steamed: 180 mg sodium
fr:10017 sr:15157 SR28's clams are saltier and leaner
fr:10035 sr:15171 SR28's oyster holds little sea water; CoFID 16-260: 510 mg sodium
fr:10045 sr:15172 SR28's scallops are kept in brine; CoFID 16-262, steamed: 180 mg sodium
fr:11000 sr:11215 water; CoFID 13-244: 98 kcal
fr:11004 sr:11941 CoFID 13-246: 690 mg sodium, CIQUAL 689 mg
fr:11015 sr:02030 a spice; used in grams
fr:11018 sr:02053 the Regulation counts acetic acid, SR28 gives none; CoFID 17-339: 22 kcal
fr:11018 sr:02068 the Regulation counts acetic acid, SR28 gives none; CoFID 17-339: 22 kcal
fr:11021 sr:02046 yellow American mustard is thinner; CoFID 17-365, wholegrain: 140 kcal, 10.2 g fat, 1620 mg sodium
fr:11045 sr:18375 226 and 51 mg sodium; used in grams
fr:11046 sr:18369 another acid in it; CoFID 17-355: 163 kcal, 11800 mg sodium
fr:11074 sr:11216 CoFID 13-890: 44 kcal
fr:11088 sr:11962 CoFID 13-847, cayenne: 17.3 g fat, as CIQUAL
fr:11100 sr:06150 American sauces are sweeter; CoFID 17-705: 140 kcal, 630 mg sodium
fr:11220 sr:02068 the Regulation counts acetic acid, SR28 gives none; CoFID 17-339: 22 kcal
fr:12001 sr:01007 CoFID 12-345: 605 mg sodium, CIQUAL 579 mg
fr:12500 sr:01039 the French cheese measured in France
fr:12524 sr:01004 SR28 has blue cheese of no named kind
fr:12812 sr:01159 SR28 has the soft fresh one; CoFID 12-357, white rind: 601 mg sodium
fr:13004 sr:09037 CoFID 14-037: 190 kcal, 19.5 g fat
fr:13027 sr:09279 mirabelles are sweeter than plums
fr:15002 sr:16089 salting differs by maker
fr:15002 sr:16090 salting differs by maker
fr:15009 sr:12652 salting differs by maker; CoFID 14-840: 530 mg sodium
fr:18100 sr:19165 SR28 has the defatted powder; CoFID 12-545: 21.7 g fat
fr:19590 sr:01026 SR28 has the drier American one; CoFID 12-360, fresh: 257 kcal, 20.3 g fat, 395 mg sodium
fr:19591 sr:01026 SR28 has the cow's milk one
fr:20039 sr:11246 CoFID 13-466: 22 kcal
fr:20079 sr:11264 the brine of American tins is saltier
fr:20132 sr:11485 another squash
fr:20169 sr:11693 American tins are salted; CoFID 13-530: 5 mg sodium
fr:21514 sr:17412 CoFID 18-160, neck fillet, lean: 13.9 g fat
fr:24430 sr:18423 American ladyfingers are soft, with a fifth of water; European ones are dry
fr:26011 sr:15039 fat varies with the season; CoFID 16-175: 13.2 g
fr:26039 sr:15121 CoFID 16-416: 109 kcal, 1.0 g fat, 293 mg sodium
fr:26161 sr:15076 CoFID 16-360: 179 kcal, 10.1 g fat
fr:28470 sr:10004 what share of the back fat is skin and lean
fr:30315 sr:07019 CoFID 19-516: 1400 mg sodium, half way
fr:31040 sr:01225 recipes differ
fr:36005 sr:05009 CoFID 18-341: 218 kcal, 12.5 g fat
fr:36018 sr:05064 CoFID 18-330, light meat: 3.6 g fat
fr:38105 sr:25028 American chips are less salted; CoFID 17-644: 504 kcal, 636 mg sodium
fr:39515 sr:19095 American ice cream is fatter; CoFID 12-508: 8.2 g fat
fr:40700 sr:05023 how closely the gizzard is trimmed
"""
REASONS = {tuple(line.split(None, 2)[:2]): line.split(None, 2)[2] for line in EXPLAINED.strip().splitlines()}


def rows(table: str) -> list[dict[str, str]]:
    """What the lists say of a table's foods, a row for each spelling of a name."""
    head = ("words", "when", "food", "sure", "ground", "place")
    return [dict(zip(head, row, strict=True)) for row in entries(table) or ()]


@cache
def french() -> dict[str, Food]:
    pytest.importorskip("xlrd", reason="xlrd reads the published .xls workbook")
    if not WORKBOOK.exists():
        pytest.skip("the published workbook ../shared/reference/ciqual-2020-eng.xls is not beside this project")
    foods = fr_ciqual.load(WORKBOOK).foods
    tags = list(foods.columns[6:])
    found = {}
    for row in foods.to_dict("records"):
        values = {tag: row[tag] for tag in tags if row[tag] == row[tag]}
        found[row["food_id"]] = Food(row["food_id"], row["name"], row["group"], row["source"], None, values)
    return found


@cache
def american() -> TableLinker:
    return TableLinker(embedded())


def test_every_food_is_in_the_table() -> None:
    unknown = {row["food"] for row in rows("fr-ciqual") if row["food"] != NONE} - set(french())
    assert not unknown


def test_what_is_sure_has_the_figures_a_label_needs() -> None:
    """No row is sure of a food whose energy or salt the table cannot give."""
    for row in rows("fr-ciqual"):
        if row["sure"] == "sure":
            missing = {"PROCNT", "CHOAVL", "FAT", "NA"} - set(french()[row["food"]].values)
            assert not missing, (row, missing)


def apart(one: Food, other: Food) -> list[str]:
    """What of energy, fat and salt two foods differ in by more than the bounds; where one is missing, nothing."""
    energies = [energy_regulation(food.values)[1] for food in (one, other)]
    found = ["energy"] if abs(energies[0] - energies[1]) > energy_tolerance(max(energies)) else []
    a, b = one.values.get("FAT"), other.values.get("FAT")
    if a is not None and b is not None and abs(a - b) > fat_tolerance(max(a, b)):
        found.append("fat")
    a, b = one.values.get("NA"), other.values.get("NA")
    if a is not None and b is not None and salt(abs(a - b)) > salt_tolerance(salt(max(a, b))):
        found.append("salt")
    return found


@cache
def pairs() -> list[tuple[dict[str, str], str, str]]:
    """French rows whose words and states have a row for SR28 too: the row, that food, how sure."""
    listed = {(row["words"], row["when"]): row for row in rows("usda-sr")}
    found = []
    for row in rows("fr-ciqual"):
        other = listed.get((row["words"], row["when"]))
        if other and NONE not in (row["food"], other["food"]):
            found.append((row, food_id(other["food"]), other["sure"]))
    return found


def test_the_two_tables_agree_on_what_both_are_sure_of() -> None:
    """Energy, fat and salt within the bounds, or the pair is explained above; nothing is explained that agrees."""
    sure = [(row["food"], other) for row, other, how in pairs() if row["sure"] == how == "sure"]
    assert len(sure) >= 1200
    differ = {pair for pair in sure if apart(french()[pair[0]], american().food(pair[1]))}
    assert differ == set(REASONS), (sorted(differ - set(REASONS)), sorted(set(REASONS) - differ))
    assert sum(pair in differ for pair in sure) / len(sure) < 0.12


def test_what_is_only_likely_is_no_other_food() -> None:
    """Where one list has a doubt the two may differ, but four in five still agree in fat and energy."""
    some = [(row["food"], other) for row, other, how in pairs() if "doubtful" not in (row["sure"], how)]
    agree = [not {"energy", "fat"} & set(apart(french()[one], american().food(other))) for one, other in some]
    assert sum(agree) / len(agree) >= 0.8
