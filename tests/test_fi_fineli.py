"""The Finnish table's loader on a small release: files as descript.txt of release 20 tells, some published rows.

The rows of butter, avocado with skin, red wine and nettle are those of release 20 (THL, CC BY 4.0), cut to a few
components; the household measures too. Broken files: test_keyed_tables_broken.py.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from data_loaders import fi_fineli, registry
from data_loaders.keyed import listed
from data_loaders.schema import TableData, components

HEAD = "FOODID;EUFDNAME;BESTLOC;ACQTYPE;METHTYPE;METHIND"
UNITS = {"g": "G", "mg": "MG", "ug": "UG", "kJ": "KJ"}
VALUES = """
500;ENERC;3041,89 500;FAT;81,300 500;PROT;1,19 500;CHOAVL;0,8 500;WATER;15,010 500;NA;592 500;F18D2CN6;1040
28933;ENERC;588,73 28933;FAT;13,206 28933;PROT;2,00 28933;CHOAVL;0,511 28933;FIBC;6,461 28933;WATER;48,067
28933;ASH;0,781 924;ENERC;294,96 924;FAT;0 924;PROT;0,26 924;CHOAVL;0,3 924;FIBC;0 924;WATER;88,88 924;ASH;0,25
35616;ENERC;1000 35616;FOL;
""".split()
FILES = {
    "food.csv": "FOODID;FOODNAME;FOODTYPE;PROCESS;EDPORT;IGCLASS;IGCLASSP;FUCLASS;FUCLASSP\n"
    "500;VOI;FOOD;IND;100;BUTTER;FATTOT;BUTTER;FATTOT\n28933;AVOKADO;FOOD;RAW;71;FRUITOTH;FRUITTOT;FRUFRESH;FRUDITOT\n"
    "924;PUNAVIINI;FOOD;IND;100;WINE;ALCTOT;WINE;ALCTOT\n35616;NOKKONEN;FOOD;DRIE;100;VEGLEAF;VEGTOT;VEGFRESH;VEGDITOT\n"
    "32717;MAKSALAATIKKO;DISH;BAK;100;DISH;DISH;MEATDISH;MEATDTOT\n",
    "component.csv": "EUFDNAME;COMPUNIT;CMPCLASS;CMPCLASSP\n"
    + "".join(
        f"{code};{'MG' if code == 'F18D2CN6' else UNITS[components()[tagname].unit]};X;X\n"
        for code, tagname in listed("fi_fineli_components").items()
    ),
    "component_value.csv": HEAD + "\n" + "".join(f"{value};S;S;MI0107\n" for value in VALUES),
    "foodname_EN.csv": "FOODID;FOODNAME;LANG\n500;BUTTER;EN\n28933;AVOCADO  WITH SKIN AND STONE;EN\n924;RED WINE;EN\n"
    "35616;NETTLE, LEAF, DRIED;EN\n32717;LIVER CASSEROLE;EN\n",
    "foodname_FI.csv": "FOODID;FOODNAME;LANG\n500;VOI;FI\n28933;AVOKADO KUORINEEN JA SIEMENINEEN;FI\n"
    "924;PUNAVIINI;FI\n35616;NOKKONEN, LEHTI, KUIVATTU, RÄÄKKYLÄ;FI\n32717;MAKSALAATIKKO;FI\n",
    "igclass_EN.csv": "THSCODE;DESCRIPT;LANG\nBUTTER;Butter, milk fat;EN\nFATTOT;Fat;EN\nFRUITOTH;Other fruits;EN\n"
    "FRUITTOT;Fruits;EN\nWINE;Wines;EN\nALCTOT;Alcoholic beverages;EN\nVEGLEAF;POISTETTU_Leaf vegetables;EN\n"
    "VEGTOT;Vegetables;EN\n",
    "foodaddunit.csv": "FOODID;FOODUNIT;MASS\n"
    "500;RKL;14,00\n500;DL;95,00\n924;DL;99,5\n924;PORTM;120,00\n32717;DL;90\n",
}


def release(place: Path, changes: dict[str, bytes | None] | None = None) -> Path:
    place.mkdir(exist_ok=True, parents=True)
    whole = {name: text.replace("\n", "\r\n").encode("iso-8859-1") for name, text in FILES.items()} | (changes or {})
    for name, data in whole.items():
        if data is not None:
            (place / name).write_bytes(data)
    return place


@pytest.fixture(scope="module")
def table(tmp_path_factory: pytest.TempPathFactory) -> TableData:
    return registry.load("fi-fineli", release(tmp_path_factory.mktemp("fineli")))


def row(table: TableData, number: int) -> dict[str, object]:
    found = table.foods.set_index("food_id").loc[f"fi:{number}"].dropna()
    return {str(key): value for key, value in found.items()}


def test_foods_are_named_grouped_and_left_out_when_nothing_is_printed_of_them(table: TableData) -> None:
    assert table.foods["food_id"].tolist() == ["fi:500", "fi:28933", "fi:924", "fi:35616"]
    butter, nettle = row(table, 500), row(table, 35616)
    assert (butter["name"], butter["scientific_name"]) == ("Butter", "fi: Voi")
    assert (butter["group"], nettle["group"]) == ("Fat: Butter, milk fat", "Vegetables: Leaf vegetables")
    assert "räkkylä" not in str(nettle["scientific_name"])
    assert str(nettle["scientific_name"]).endswith("rääkkylä")
    assert "1 foods without any value are left out" in table.provenance.citation
    assert table.provenance.licence.startswith("CC BY 4.0")


def test_values_keep_their_units_and_the_missing_stays_missing(table: TableData) -> None:
    butter, nettle = row(table, 500), row(table, 35616)
    assert (butter["FAT"], butter["NA"], butter["ENERC_KJ"]) == (81.3, 592, 3041.89)
    assert butter["F18D2CN6"] == pytest.approx(1.04)  # [g]; printed in mg
    assert butter["ENERC_KCAL"] == pytest.approx(3041.89 / 4.184)
    assert {"FOL", "PROCNT", "NA"}.isdisjoint(nettle)  # an empty value and no row at all: missing, never 0
    assert row(table, 924)["FAT"] == 0  # a printed 0 is a 0
    assert "ALC" not in butter


def test_a_food_printed_with_its_waste_is_brought_to_what_is_eaten(table: TableData) -> None:
    avocado = row(table, 28933)
    assert avocado["FAT"] == pytest.approx(13.206 / 0.71)
    assert avocado["refuse"] == pytest.approx(0.29)
    assert table.notes is not None
    noted = table.notes[table.notes["food_id"] == "fi:28933"]
    assert set(noted["kind"]) == {"converted"}
    assert {"FAT", "ENERC_KJ", "WATER"} <= set(noted["tagname"])


def test_alcohol_is_what_the_energy_leaves_with_its_bounds(table: TableData) -> None:
    alcohol = (294.96 - 17 * 0.3 - 17 * 0.26) / 29
    assert row(table, 924)["ALC"] == pytest.approx(alcohol)  # 9.8 g; 12.5 % of volume is 9.9 g
    assert table.notes is not None
    (noted,) = table.notes[table.notes["food_id"] == "fi:924"].to_dict("records")
    assert (noted["tagname"], noted["kind"]) == ("ALC", "converted")
    assert (noted["low"], noted["high"]) == (pytest.approx(alcohol), pytest.approx(100 - 0.3 - 0.26 - 88.88 - 0.25))


def test_measures_are_those_a_cook_can_use(table: TableData) -> None:
    found = table.measures[["food_id", "amount", "words", "grams"]].to_numpy().tolist()
    assert found == [
        ["fi:500", 1.0, "tbsp", 14.0],
        ["fi:500", 1.0, "dl", 95.0],
        ["fi:924", 1.0, "dl", 99.5],
        ["fi:924", 1.0, "medium portion", 120.0],
    ]


def test_a_food_kept_without_its_waste_stays_as_printed(tmp_path: Path) -> None:
    """The potato of release 20 has an edible share of 85 %, and figures that come to 98.6 g: those of the flesh."""
    whole = FILES["component_value.csv"].replace("28933;WATER;48,067", "28933;WATER;76")
    table = fi_fineli.load(release(tmp_path, {"component_value.csv": whole.encode()}))
    assert row(table, 28933)["FAT"] == 13.206
    assert row(table, 28933)["refuse"] == pytest.approx(0.29)
