"""The embedded table and the retention factors against the publisher's own rows (tests/published/extracts).

Sources: USDA National Nutrient Database for Standard Reference, Release 28, ASCII files FOOD_DES, NUT_DATA, WEIGHT:
every 18th food, 489 of 8,789. USDA Table of Nutrient Retention Factors, Release 6 (2007): all 270 codes.
"""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path

import pytest

from data_loaders import usda_sr
from nutrilab.cooking.retention import by_code
from nutrilab.foods import Food, embedded
from tests.published.extracted import EXTRACTS, extracted

# Nutrient number -> INFOODS tagname, typed from NUTR_DEF.txt
TAGNAMES = {
    "255": "WATER", "208": "ENERC_KCAL", "268": "ENERC_KJ", "203": "PROCNT", "204": "FAT", "205": "CHOCDF",
    "291": "FIBTG", "269": "SUGAR", "221": "ALC", "207": "ASH", "301": "CA", "303": "FE", "304": "MG", "305": "P",
    "306": "K", "307": "NA", "309": "ZN", "401": "VITC", "404": "THIA", "405": "RIBF", "406": "NIA", "415": "VITB6A",
    "418": "VITB12", "435": "FOLDFE", "320": "VITA_RAE", "323": "TOCPHA", "606": "FASAT", "645": "FAMS", "646": "FAPU",
    "601": "CHOLE",
}  # fmt: skip
# Columns of the retention table -> tagname; its vitamin A in RE stands under VITA_RAE
FACTORS = {
    "calcium": "CA", "iron": "FE", "magnesium": "MG", "phosphorus": "P", "potassium": "K", "sodium": "NA", "zinc": "ZN",
    "copper": "CU", "vitc": "VITC", "vitb1": "THIA", "vitb2": "RIBF", "vitb3": "NIA", "vitb6": "VITB6A",
    "folate_food": "FOLFD", "vitb9": "FOLAC", "folate_total": "FOL", "choline": "CHOLN", "vitb12": "VITB12",
    "vita_iu": "VITA_IU", "vita_re": "VITA_RAE", "alcohol": "ALC", "carotene_beta": "CARTB", "carotene_alpha": "CARTA",
    "cryptoxanthin": "CRYPX", "lycopene": "LYCPN", "lutein": "LUTZEA",
}  # fmt: skip
MOST = 300_000  # bytes of all extracts together


@cache
def foods() -> tuple[tuple[dict[str, str], Food], ...]:
    """The publisher's row and ours of each food."""
    return tuple((row, embedded().food(f"sr:{row['ndb']}")) for row in extracted("sr28_foods.csv"))


def test_extracts_are_small_and_name_their_source() -> None:
    files = sorted(EXTRACTS.glob("*.csv"))
    assert sum(path.stat().st_size for path in files) < MOST
    for path in files:
        head = path.read_text("utf-8").split("\n")[:3]
        assert head[0].startswith("# Source: USDA"), path.name
        assert any(licence in " ".join(head) for licence in ("public domain", "CC0")), path.name


def test_there_are_some_hundred_foods_of_every_group() -> None:
    assert len(foods()) == 489
    assert {row["group"] for row, _ in foods()} == set(embedded().groups)


def test_names_groups_and_refuse() -> None:
    for row, food in foods():
        assert (food.name, food.group) == (row["name"], row["group"]), row["ndb"]
        if row["refuse"]:
            assert food.refuse == pytest.approx(float(row["refuse"]) / 100), row["ndb"]
        else:
            assert food.refuse is None, row["ndb"]


@pytest.mark.parametrize("number", TAGNAMES)
def test_every_value_is_the_publishers_and_a_missing_one_is_missing(number: str) -> None:
    told = {row["ndb"]: float(row[number]) for row, _ in foods() if row[number]}
    ours = {row["ndb"]: food.values[TAGNAMES[number]] for row, food in foods() if TAGNAMES[number] in food.values}
    assert ours == told
    assert len(told) > 200


def test_household_measures_are_the_publishers_in_its_order() -> None:
    for row, food in foods():
        told = [
            (float(one["amount"]), one["measure"], float(one["grams"]))
            for one in extracted("sr28_measures.csv")
            if one["ndb"] == row["ndb"]
        ]
        assert [(one.amount, one.words, one.grams) for one in food.measures] == told, row["ndb"]


def test_the_loader_reads_the_publishers_layout(tmp_path: Path) -> None:
    """The rows as ASCII files in the layout of SR28, through the loader: the embedded table's values come out."""
    groups = {group: f"{n:02d}00" for n, group in enumerate(sorted({row["group"] for row, _ in foods()}), 1)}
    rows = {
        "FOOD_DES.txt": [
            f"~{row['ndb']}~^~{groups[row['group']]}~^~{row['name']}~^~~^~~^~~^~~^~~^{row['refuse']}^~~^^^^"
            for row, _ in foods()
        ],
        "FD_GROUP.txt": [f"~{code}~^~{group}~" for group, code in groups.items()],
        "NUT_DATA.txt": [
            f"~{row['ndb']}~^~{number}~^{row[number]}^0^^~~^~~^~~^~~^^^^^^^~~^~~^"
            for row, _ in foods()
            for number in TAGNAMES
            if row[number]
        ],
        "WEIGHT.txt": [
            f"~{one['ndb']}~^{n}^{one['amount']}^~{one['measure']}~^{one['grams']}^^"
            for n, one in enumerate(extracted("sr28_measures.csv"), 1)
        ],
    }
    for name, lines in rows.items():
        (tmp_path / name).write_bytes("".join(f"{line}\r\n" for line in lines).encode("latin-1"))
    table = usda_sr.load(tmp_path)
    found = {row["food_id"]: row for row in table.foods.to_dict("records")}
    assert len(table.measures) == len(extracted("sr28_measures.csv"))
    for _, food in foods():
        values = {tag: found[food.food_id][tag] for tag in TAGNAMES.values()}
        known = {tag: value for tag, value in values.items() if not math.isnan(value)}
        assert known == {tag: food.values[tag] for tag in TAGNAMES.values() if tag in food.values}, food.food_id


@pytest.mark.parametrize("column", FACTORS)
def test_every_retention_factor_is_the_publishers(column: str) -> None:
    told = {row["code"]: float(row[column]) for row in extracted("retention_factors.csv")}
    assert len(told) == 270
    ours = {code: found.factors.get(FACTORS[column], 1.0) for code in told if (found := by_code(code))}
    assert {code: 100 * share for code, share in ours.items()} == pytest.approx(told)


@pytest.mark.parametrize("name", ["sr28_foods.csv", "retention_factors.csv", "fdc_nutrients.csv"])
def test_the_extracts_come_out_again(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from tests.derive import extracts

    reference = Path(__file__).parents[3] / "shared" / "reference"
    if not (reference / "sr28.zip").exists():
        pytest.skip("the published tables (../shared/reference) are not here: the whole tables are not read again")
    monkeypatch.setattr(extracts, "EXTRACTS", tmp_path)
    if name == "sr28_foods.csv":
        import zipfile

        with zipfile.ZipFile(reference / "sr28.zip") as archive:
            assert len(extracts.sr28(archive)) == 8789
    elif name == "retention_factors.csv":
        extracts.retention(reference)
    else:
        extracts.fdc(reference)
    made = sorted(tmp_path.iterdir())
    assert name in {path.name for path in made}
    for path in made:
        assert path.read_bytes() == (EXTRACTS / path.name).read_bytes(), path.name
