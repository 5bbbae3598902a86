"""The Standard Reference loader, on a few rows of SR28 itself and on ways to break them."""

from __future__ import annotations

import io
import tarfile
import zipfile
from pathlib import Path

import pytest

from data_loaders import schema, usda_sr
from data_loaders.schema import TableError
from nutrilab.foods import FoodTable, embedded

# Rows of USDA SR28 (FOOD_DES, FD_GROUP, NUT_DATA, WEIGHT): salted butter and brie.
FILES = {
    "FOOD_DES.txt": (
        "~01001~^~0100~^~Butter, salted~^~BUTTER,WITH SALT~^~~^~~^~Y~^~~^0^~~^6.38^4.27^8.79^3.87\r\n"
        "~01006~^~0100~^~Cheese, brie~^~CHEESE,BRIE~^~~^~~^~Y~^~~^0^~~^6.38^4.27^8.79^3.87\r\n"
    ),
    "FD_GROUP.txt": "~0100~^~Dairy and Egg Products~\r\n",
    "NUT_DATA.txt": (
        "~01001~^~203~^0.85^16^0.074^~1~^~~^~~^~~^^^^^^^~~^11/1976^\r\n"
        "~01001~^~204~^81.11^580^0.065^~1~^~~^~~^~~^^^^^^^~~^11/1976^\r\n"
        "~01006~^~307~^629^2^^~1~^~A~^~~^~~^1^598^660^1^^^~~^08/2010^\r\n"
    ),
    "WEIGHT.txt": '~01001~^1^1^~pat (1" sq, 1/3" high)~^5.0^^\r\n~01001~^2^1^~tbsp~^14.2^^\r\n',
}


def folder(place: Path, changes: dict[str, bytes | None] | None = None) -> Path:
    place.mkdir(exist_ok=True)
    files: dict[str, bytes | None] = {name: text.encode("latin-1") for name, text in FILES.items()} | (changes or {})
    for name, data in files.items():
        if data is not None:
            (place / name).write_bytes(data)
    return place


def test_values_measures_and_provenance(tmp_path: Path) -> None:
    table = usda_sr.load(folder(tmp_path / "sr"))
    butter, brie = table.foods.to_dict("records")
    assert (butter["food_id"], butter["name"], butter["group"]) == (
        "sr:01001",
        "Butter, salted",
        "Dairy and Egg Products",
    )
    assert (butter["PROCNT"], butter["FAT"], brie["NA"]) == (0.85, 81.11, 629)
    assert butter["NA"] != butter["NA"]  # not in the file: missing, never 0
    assert table.measures.to_dict("records")[1] == {"food_id": "sr:01001", "amount": 1, "words": "tbsp", "grams": 14.2}
    assert table.provenance.inputs["FD_GROUP.txt"] == schema.sha256(FILES["FD_GROUP.txt"].encode())


def test_folder_zip_and_tar_read_the_same(tmp_path: Path) -> None:
    plain = folder(tmp_path / "sr")
    with zipfile.ZipFile(tmp_path / "sr.zip", "w") as archive:
        for name in FILES:
            archive.write(plain / name, f"sr28asc/{name}")
    with tarfile.open(tmp_path / "sr.tar.gz", "w:gz") as archive:
        archive.add(plain, "sr28asc")
    expected = usda_sr.load(plain)
    for path in (tmp_path / "sr.zip", tmp_path / "sr.tar.gz"):
        assert usda_sr.load(path).foods.equals(expected.foods)
        assert usda_sr.load(path).measures.equals(expected.measures)


BROKEN: list[tuple[str, str, str, str]] = [
    ("NUT_DATA.txt", "^16^0.074", "^16", "NUT_DATA.txt, line 1: 17 fields where 18 belong"),
    ("NUT_DATA.txt", "^580^", "^^580^", "NUT_DATA.txt, line 2: 19 fields"),
    ("NUT_DATA.txt", "81.11", "8l.11", 'NUT_DATA.txt, line 2: "8l.11" is not a number'),
    ("NUT_DATA.txt", "81.11", "", "NUT_DATA.txt, line 2: the food 01001 has an empty value"),
    ("NUT_DATA.txt", "81.11", "-81.11", "NUT_DATA.txt, line 2: the food 01001 has a value below zero"),
    ("NUT_DATA.txt", "81.11", "inf", "NUT_DATA.txt, line 2: the food 01001 has a value that is not a number"),
    ("NUT_DATA.txt", "~204~", "~203~", "NUT_DATA.txt, line 2: a value of the food 01001 stands here a second time"),
    ("NUT_DATA.txt", "~204~", "~999~", "NUT_DATA.txt, line 2: the nutrient 999 is not known"),
    ("NUT_DATA.txt", "~01006~", "~01007~", "NUT_DATA.txt, line 3: the food 01007 is not in FOOD_DES.txt"),
    (
        "NUT_DATA.txt",
        "^598^660^",
        "^698^660^",
        "NUT_DATA.txt, line 3: the food 01006 has a lowest value above its highest",
    ),
    ("NUT_DATA.txt", "^598^", "^some^", 'NUT_DATA.txt, line 3: "some" is not a number'),
    ("NUT_DATA.txt", "^0.074^", "^-0.074^", "NUT_DATA.txt, line 1: the food 01001 has a standard error below zero"),
    ("FOOD_DES.txt", "~01006~", "~01001~", "FOOD_DES.txt, line 2: the food 01001 stands here a second time"),
    ("FOOD_DES.txt", "~0100~^~Cheese", "~0200~^~Cheese", "FOOD_DES.txt, line 2: the food group 0200 is not in"),
    ("FOOD_DES.txt", "^0^~~^6.38", "^101^~~^6.38", "FOOD_DES.txt, line 1: 101.0 % of waste cannot be"),
    ("FOOD_DES.txt", "Cheese, brie", "Cheese, brié", "FOOD_DES.txt, line 2: its letters are not ISO-8859-1"),
    ("FOOD_DES.txt", "Cheese, brie", "Cheese,\0brie", "FOOD_DES.txt, line 2: its letters are not ISO-8859-1"),
    ("WEIGHT.txt", "^14.2^", "^heavy^", 'WEIGHT.txt, line 2: "heavy" is not a number'),
    ("WEIGHT.txt", "~01001~^2", "~01009~^2", "WEIGHT.txt, line 2: the food 01009 is not in FOOD_DES.txt"),
]


@pytest.mark.parametrize(("name", "old", "new", "message"), BROKEN)
def test_broken_rows_are_refused_with_file_and_line(
    tmp_path: Path, name: str, old: str, new: str, message: str
) -> None:
    assert old in FILES[name]
    place = folder(tmp_path / "sr", {name: FILES[name].replace(old, new, 1).encode()})
    with pytest.raises(TableError) as error:
        usda_sr.load(place)
    assert str(error.value).startswith(message)


@pytest.mark.parametrize("name", FILES)
def test_a_missing_or_empty_file_is_named(tmp_path: Path, name: str) -> None:
    place = folder(tmp_path / "sr", {name: None})
    with pytest.raises(TableError, match=f"the file {name} is missing"):
        usda_sr.load(place)
    (place / name).write_bytes(b"")
    with pytest.raises(TableError, match=f"{name}: the file is empty"):
        usda_sr.load(place)


def test_archives_that_are_damaged_or_hostile(tmp_path: Path) -> None:
    plain = folder(tmp_path / "sr")
    whole = io.BytesIO()
    with zipfile.ZipFile(whole, "w", zipfile.ZIP_DEFLATED) as archive:
        for name in FILES:
            archive.write(plain / name, f"../../{name}")
    (tmp_path / "up.zip").write_bytes(whole.getvalue())
    with pytest.raises(TableError, match="leads out of it"):
        usda_sr.load(tmp_path / "up.zip")
    assert not (tmp_path.parent / "FOOD_DES.txt").exists()
    (tmp_path / "cut.zip").write_bytes(whole.getvalue()[: len(whole.getvalue()) // 2])
    (tmp_path / "text.zip").write_text("no archive")
    for name in ("cut.zip", "text.zip"):
        with pytest.raises(TableError, match="neither a folder nor a zip nor a tar"):
            usda_sr.load(tmp_path / name)
    with pytest.raises(TableError, match="no such file"):
        usda_sr.load(tmp_path / "nothing.zip")


def test_a_failed_import_leaves_the_table_there(tmp_path: Path) -> None:
    tables = tmp_path / "tables"
    schema.write(usda_sr.load(folder(tmp_path / "sr")), tables, "usda-sr")
    before = {p.name: p.read_bytes() for p in tables.iterdir()}
    bad = usda_sr.load(folder(tmp_path / "sr"))
    bad.foods.loc[1, "food_id"] = "sr:01001"
    with pytest.raises(TableError, match="stands in it twice"):
        schema.write(bad, tables, "usda-sr")
    assert {p.name: p.read_bytes() for p in tables.iterdir()} == before


def test_writing_again_replaces_both_files(tmp_path: Path) -> None:
    table = usda_sr.load(folder(tmp_path / "sr"))
    schema.write(table, tmp_path, "usda-sr")
    other = schema.TableData(table.foods, table.measures.iloc[:1], table.provenance)
    path = schema.write(other, tmp_path, "usda-sr")
    assert len(list(tmp_path.glob("*.parquet"))) == 2
    assert len(FoodTable(path).food("sr:01001").measures) == 1


def test_the_embedded_table_is_whole() -> None:
    """Counts and values of USDA SR28 (documentation, table 1; FOOD_DES and NUT_DATA rows)."""
    table = embedded()
    assert len(table) == 8789
    assert table.provenance.source == "USDA SR28"
    assert set(table.provenance.inputs) == set(usda_sr.FIELDS)
    butter = table.food("sr:01001")
    assert (butter.values["FAT"], butter.values["NA"], butter.values["ENERC_KCAL"]) == (81.11, 643, 717)
    assert [m.grams for m in butter.measures] == [5, 14.2, 227, 113]
    assert "ALC" in butter.values
    assert "STARCH" not in butter.values  # not measured: missing
    assert table.food("sr:09040").refuse == 0.36  # bananas, raw: 36 % skin


def test_reading_sr28_again_gives_the_embedded_table() -> None:
    import pandas as pd

    path = Path(__file__).parents[2] / "shared" / "reference" / "sr28.zip"
    if not path.exists():
        pytest.skip("the SR28 files (../shared/reference/sr28.zip) are not here: the whole table is not compared")
    fresh = usda_sr.load(path)
    kept = embedded().path
    pd.testing.assert_frame_equal(pd.read_parquet(kept), fresh.foods, check_exact=True, check_dtype=False)
    measures = pd.read_parquet(kept.with_name(embedded().provenance.measures_file))
    pd.testing.assert_frame_equal(measures, fresh.measures, check_exact=True, check_dtype=False)
    assert fresh.provenance.inputs == embedded().provenance.inputs
