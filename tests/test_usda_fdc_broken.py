"""Broken and hostile downloads of FoodData Central: each ends in one sentence that names file and line."""

from __future__ import annotations

import zipfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from data_loaders import csv_files, schema, usda_fdc
from data_loaders.schema import TableError
from tests.usda_fdc_files import FILES, NEEDED, by_id, changed, folder, good_or_a_sentence, zipped

BROKEN: list[tuple[str, str, str, str]] = [
    ("food.csv", '"173410","sr_legacy_food"', '"1734l0","sr_legacy_food"', 'food.csv, line 2: "1734l0" in the column'),
    ("food.csv", '"321358","foundation_food"', '"173410","foundation_food"', "food.csv, line 3: the food 173410"),
    ("food.csv", '"321358","foundation_food"', '"","foundation_food"', "food.csv, line 3: the fdc_id is 0 or empty"),
    ("food.csv", '"321358","foundation_food"', '"-8","foundation_food"', "food.csv, line 3: the fdc_id of -8"),
    ("food.csv", '"Butter, salted"', '""', "food.csv, line 2: the food 173410 has no description"),
    ("food.csv", '"Butter, salted","1"', '"Butter, salted"', "food.csv, line 2: 4 cells where 5 belong"),
    ("food.csv", "Butter, salted", 'Butter, "salted', "food.csv"),
    ("food.csv", '"data_type"', '"type"', "food.csv, line 1: the column data_type is missing"),
    ("food.csv", '"food_category_id"', '"fdc_id"', "food.csv, line 1: the column \"fdc_id\" stands in it twice"),
    ("food_nutrient.csv", '"81.11"', '"8l.11"', 'food_nutrient.csv, line 3: "8l.11" in the column amount'),
    ("food_nutrient.csv", '"81.11"', '"-81.11"', "line 3: the food 173410: Total lipid (fat) of -81.11 is below"),
    ("food_nutrient.csv", '"81.11"', '"811.1"', "line 3: the food 173410: Total lipid (fat) of 811.1 cannot"),
    ("food_nutrient.csv", '"81.11"', '"nan"', "line 3: the food 173410: Total lipid (fat) of nan cannot"),
    ("food_nutrient.csv", '"81.11"', '"inf"', "line 3: the food 173410: Total lipid (fat) of inf cannot"),
    ("food_nutrient.csv", '"81.11"', '"81,11"', 'food_nutrient.csv, line 3: "81,11" in the column amount'),
    ("food_nutrient.csv", '"643.0"', '"643000"', "line 4: the food 173410: Sodium, Na of 643000 cannot"),
    ("food_nutrient.csv", '"717"', '"7170"', "food_nutrient.csv, line 5: the food 173410: Energy of 7170 cannot"),
    ("food_nutrient.csv", '"173410","1004"', '"173410","1003"', "the food 173410 has the nutrient 203 twice"),
    ("food_nutrient.csv", '"173410","1004"', '"173410",""', "food_nutrient.csv, line 3: the nutrient_id is 0 or empty"),
    ("food_nutrient.csv", '"173410","1004"', '"999","1004"', "food_nutrient.csv: 1 of its 21 rows are of foods that"),
    ("food_nutrient.csv", '"580","1",""', '"580","1"', "food_nutrient.csv, line 3: 10 cells where 11 belong"),
    ("food_nutrient.csv", '"580","1",""', '"580","1","",""', "food_nutrient.csv, line 3: 12 cells where 11 belong"),
    ("nutrient.csv", '"G","204"', '"G","203"', "nutrient.csv, line 3: the nutrient 1004 has the number 203"),
    ("nutrient.csv", '"G","204"', '"KCAL","204"', 'nutrient.csv, line 3: the nutrient 1004 is given in "KCAL"'),
    ("nutrient.csv", '"G","204"', '"","204"', 'nutrient.csv, line 3: the nutrient 1004 is given in "", g belongs'),
    ("nutrient.csv", '"1103"', '"1003"', "nutrient.csv, line 15: the nutrient 1003 has the number 317"),
    ("nutrient.csv", '"2058","Beta-glucan","G",""', '"2058","Se","UG","317"', "nutrient.csv, line 17: the nutrient"),
    ("food_portion.csv", '"14.2"', '"heavy"', 'food_portion.csv, line 3: "heavy" in the column gram_weight is not a'),
    ("food_portion.csv", '"14.2"', '"-14.2"', "food_portion.csv, line 3: a portion of the food 173410 is below zero"),
    ("food_portion.csv", '"173410","2"', '"999","2"', "food_portion.csv: 1 of its 8 rows are of foods that food.csv"),
    ("sr_legacy_food.csv", '"173410"', '"butter"', 'sr_legacy_food.csv, line 2: "butter" in the column fdc_id'),
    ("branded_food.csv", '"400002"', '"400001"', "branded_food.csv: a food stands in it twice"),
    ("branded_food.csv", '"serving_size_unit"', '"unit"', "branded_food.csv, line 1: the column serving_size_unit is"),
]  # fmt: skip


@pytest.mark.parametrize(("name", "old", "new", "message"), BROKEN)
def test_broken_rows_are_refused_with_file_and_line(
    tmp_path: Path, name: str, old: str, new: str, message: str
) -> None:
    with pytest.raises(TableError) as error:
        usda_fdc.load(changed(tmp_path / "fdc", name, old, new))
    assert message in str(error.value)
    assert "\n" not in str(error.value)


def test_a_bad_value_far_down_is_named_by_its_line(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """In a file of many batches the line counts from the top of the file."""
    monkeypatch.setattr(csv_files, "BLOCK", 300)
    rows = [f"{1000 + i},1003,1.5\n" for i in range(500)]
    food = "".join(f"{1000 + i},sr_legacy_food,Food {i}\n" for i in range(500))
    files: dict[str, bytes | None] = dict.fromkeys(set(FILES) - {"nutrient.csv"})
    files["food.csv"] = b"fdc_id,data_type,description\n" + food.encode()
    files["food_nutrient.csv"] = b"fdc_id,nutrient_id,amount\n" + "".join(rows).encode()
    table = usda_fdc.load(folder(tmp_path / "fdc", files))
    assert table.foods["name"].tolist() == [f"Food {i}" for i in range(500)]
    assert (table.foods["PROCNT"] == 1.5).all()
    for bad, message in (("-1.5", "Protein of -1.5 is below zero"), ("x", '"x" in the column amount is not a number')):
        rows[400] = f"1400,1003,{bad}\n"
        files["food_nutrient.csv"] = b"fdc_id,nutrient_id,amount\n" + "".join(rows).encode()
        with pytest.raises(TableError, match=f"food_nutrient.csv, line 402: .*{message}"):
            usda_fdc.load(folder(tmp_path / "fdc", files))


@pytest.mark.parametrize("name", NEEDED)
def test_a_missing_file_is_named(tmp_path: Path, name: str) -> None:
    with pytest.raises(TableError, match=name):
        usda_fdc.load(folder(tmp_path / "fdc", {name: None}))


@pytest.mark.parametrize("name", FILES)
def test_an_empty_file_is_named(tmp_path: Path, name: str) -> None:
    with pytest.raises(TableError, match=f"{name}: the file is empty"):
        usda_fdc.load(folder(tmp_path / "fdc", {name: b""}))


@pytest.mark.parametrize("name", ["food.csv", "nutrient.csv", "food_nutrient.csv", "branded_food.csv"])
def test_a_file_of_nothing_but_its_head(tmp_path: Path, name: str) -> None:
    head = FILES[name].split("\n")[0] + "\n"
    with pytest.raises(TableError):
        usda_fdc.load(folder(tmp_path / "fdc", {name: head.encode()}))


def test_files_of_two_downloads_are_told_apart(tmp_path: Path) -> None:
    text = FILES["food_nutrient.csv"].replace('"173410"', '"999999"').replace('"321358"', '"999998"')
    with pytest.raises(TableError, match=r"rows are of foods that food\.csv does not list; use the files of one"):
        usda_fdc.load(folder(tmp_path / "fdc", {"food_nutrient.csv": text.encode()}))
    with pytest.raises(TableError, match="the column"):
        usda_fdc.load(folder(tmp_path / "fdc", {"food.csv": FILES["nutrient.csv"].encode()}))


def test_other_types_alone_or_packs_by_volume_alone_are_no_table(tmp_path: Path) -> None:
    text = FILES["food.csv"]
    for kind in ("sr_legacy_food", "foundation_food", "survey_fndds_food", "branded_food"):
        text = text.replace(f'"{kind}"', '"experimental_food"')
    with pytest.raises(TableError, match="no food of the kinds Foundation, SR Legacy"):
        usda_fdc.load(folder(tmp_path / "fdc", {"food.csv": text.encode()}))
    only = FILES["food.csv"].split("\n")[0] + '\n"400003","branded_food","OAT DRINK","","2021-05-06"\n'
    with pytest.raises(TableError, match="none of its foods can be used: 1 Branded foods stated per 100 ml"):
        usda_fdc.load(folder(tmp_path / "fdc", {"food.csv": only.encode()}))


def test_encodings_other_than_utf8(tmp_path: Path) -> None:
    text = FILES["food.csv"].replace("Butter", "Bütter")
    with pytest.raises(TableError, match=r"food.csv.*its letters are not UTF-8"):
        usda_fdc.load(folder(tmp_path / "fdc", {"food.csv": text.encode("latin-1")}))
    with pytest.raises(TableError, match=r"food.csv, line 1: it is no CSV text in UTF-8"):
        usda_fdc.load(folder(tmp_path / "fdc", {"food.csv": text.encode("utf-16")}))
    table = usda_fdc.load(folder(tmp_path / "fdc", {"food.csv": text.replace("\n", "\r\n").encode("utf-8-sig")}))
    assert by_id(table)["fdc:173410"]["name"] == "Bütter, salted"


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (b",".join(b"c%d" % i for i in range(1_000_000)) + b"\n", "line 1: a row has more than 1,048,576"),
        (b"fdc_id,data_type,description" + b"," * 100 + b"\n", "line 1: its head has more than 100 columns"),
        (b"x" * 3_000_000, "line 1: a row has more than 1,048,576"),
        (b"fdc_id,data_type,description\n1,sr_legacy_food," + b"x" * 3_000_000 + b"\n", "a row has more than"),
        (b'fdc_id,data_type,description\n1,sr_legacy_food,"x\n', "food.csv, line 2: a quotation mark is left open"),
        (b"PK\x03\x04" + bytes(1000), "food.csv, line 1: "),
        (b"\xff\xfe" + bytes(1000), "food.csv, line 1: "),
        (b"\n\n\n", "food.csv, line 1: its first line is empty"),
        (b"<html><body>Not found</body></html>\n", "food.csv, line 1: the column fdc_id is missing"),
    ],
    ids=range(9),
)
def test_files_made_to_hurt(tmp_path: Path, data: bytes, message: str) -> None:
    with pytest.raises(TableError, match=message) as error:
        usda_fdc.load(folder(tmp_path / "fdc", {"food.csv": data}))
    assert len(str(error.value)) < 300


# -- archives ---------------------------------------------------------------------------------------


def test_archives_made_to_hurt(tmp_path: Path) -> None:
    files = {name: text.encode() for name, text in FILES.items()}
    with pytest.raises(TableError, match="leads out of it"):
        usda_fdc.load(zipped(tmp_path / "up.zip", files, "../../"))
    bomb = files | {"food_nutrient.csv": files["food_nutrient.csv"] + b"\n" * 50_000_000}
    with pytest.raises(TableError, match="no food table"):
        usda_fdc.load(zipped(tmp_path / "bomb.zip", bomb))
    whole = zipped(tmp_path / "whole.zip", files).read_bytes()
    (tmp_path / "cut.zip").write_bytes(whole[: len(whole) // 2])
    (tmp_path / "text.zip").write_text("no archive")
    (tmp_path / "empty.zip").write_bytes(b"")
    zipped(tmp_path / "other.zip", {"readme.txt": b"hello"})
    for name in ("cut.zip", "text.zip", "empty.zip", "other.zip", "nothing.zip"):
        with pytest.raises(TableError):
            usda_fdc.load(tmp_path / name)
    with pytest.raises(TableError, match=r"neither food.csv nor a .json file is in it"):
        usda_fdc.load(tmp_path / "other.zip")


def test_a_damaged_file_in_a_zip_is_refused(tmp_path: Path) -> None:
    """Bytes flipped inside the packed data, or a head that lies about sizes: the checksum of the zip tells."""
    files = {name: text.encode() for name, text in FILES.items()}
    whole = zipped(tmp_path / "whole.zip", files).read_bytes()
    with zipfile.ZipFile(tmp_path / "whole.zip") as archive:
        info = archive.getinfo("food_nutrient.csv")
    for at in (100, 150, 200):
        data = bytearray(whole)
        data[info.header_offset + at] ^= 0xFF
        (tmp_path / "bad.zip").write_bytes(data)
        with pytest.raises(TableError):
            usda_fdc.load(tmp_path / "bad.zip")
    lying = whole.replace(info.file_size.to_bytes(4, "little"), (info.file_size - 50).to_bytes(4, "little"))
    (tmp_path / "lying.zip").write_bytes(lying)
    with pytest.raises(TableError):
        usda_fdc.load(tmp_path / "lying.zip")


def test_a_failed_import_writes_nothing_and_leaves_the_table_there(tmp_path: Path) -> None:
    tables = tmp_path / "tables"
    schema.write(usda_fdc.load(folder(tmp_path / "fdc")), tables, "usda-fdc")
    before = {path.name: path.read_bytes() for path in tables.iterdir()}
    with pytest.raises(TableError):
        schema.write(
            usda_fdc.load(changed(tmp_path / "bad", "food_nutrient.csv", '"81.11"', '"x"')), tables, "usda-fdc"
        )
    assert {path.name: path.read_bytes() for path in tables.iterdir()} == before


# -- whatever else ----------------------------------------------------------------------------------


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(name=st.sampled_from(sorted(FILES)), data=st.data())
def test_any_change_to_any_file_ends_in_a_table_or_a_sentence(tmp_path: Path, name: str, data: st.DataObject) -> None:
    whole = FILES[name].encode()
    at = data.draw(st.integers(0, len(whole)))
    gone = data.draw(st.integers(0, 30))
    put = data.draw(st.one_of(st.binary(max_size=20), st.sampled_from([b'"', b",", b"\n", b"\r", b"\x00", b"9" * 30])))
    good_or_a_sentence(lambda: usda_fdc.load(folder(tmp_path / "fdc", {name: whole[:at] + put + whole[at + gone :]})))
