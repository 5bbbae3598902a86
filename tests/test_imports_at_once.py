"""Imports that are killed, fail, run two at once or are read meanwhile: a working table, and nothing left behind."""

from __future__ import annotations

import errno
import os
import threading
from collections.abc import Callable
from pathlib import Path

import pandas as pd
import pytest
from click.testing import CliRunner

from data_loaders import disk, own_products, publishers, schema
from data_loaders.schema import TableError
from nutrilab.cli import main
from nutrilab.foods import FoodTable
from nutrilab.products import import_products, imported_products
from tests.fuzz import imports


def table(salt: float, notes: bool = True) -> schema.TableData:
    """A table of one food that states one number everywhere."""
    salt = float(salt)
    food = ["x:1", "Samphire", "", "plants", "made up", 0.0, salt]
    foods = pd.DataFrame([food], columns=[*schema.FOOD_COLUMNS, "NA"])
    measures = pd.DataFrame([["x:1", 1.0, "sprig", salt]], columns=list(schema.MEASURE_COLUMNS))
    noted = pd.DataFrame([["x:1", "NA", "estimate", 0.0, salt, "made up"]], columns=list(schema.NOTE_COLUMNS))
    about = schema.Provenance("made up", str(salt), "none", "none", "none", "none", "none")
    varied = pd.DataFrame(
        [["x:1", "NA", 3.0, 0.1, 0.0, salt, 2.0, 0.0, salt, "1"]], columns=list(schema.VARIATION_COLUMNS)
    )
    return schema.TableData(foods, measures, about, noted if notes else None, variation=varied if notes else None)


def states(opened: FoodTable) -> set[float]:
    food = opened.food("x:1")
    return {food.values["NA"], food.measures[0].grams, food.bounds["NA"][1], food.samples()["NA"].highest or 0.0}


def names(folder: Path) -> list[str]:
    return sorted(os.listdir(folder))


# -- killed, and two at once -----------------------------------------------------------------------


def test_imports_killed_at_random_moments_leave_a_working_table(tmp_path: Path) -> None:
    counts = imports.kills(6, seed=1, place=tmp_path)
    assert counts.faults == []
    assert counts.old + counts.new == 7  # and the whole import after them


def test_two_imports_at_once_read_meanwhile_leave_one_of_them(tmp_path: Path) -> None:
    counts = imports.pairs(4, seed=1, place=tmp_path)
    assert counts.faults == []
    assert counts.old + counts.new == 4
    assert counts.reads > 0


def test_the_watch_sees_a_table_of_two_versions(tmp_path: Path) -> None:
    """What the random tests go by can fail: a measures file of another import in the place of the table's own."""
    import_products(imports.packs(tmp_path, 1), tmp_path / "tables")
    import_products(imports.packs(tmp_path, 2), tmp_path / "others")
    (mine,), (other,) = ((tmp_path / where).glob("*.measures.*") for where in ("tables", "others"))
    mine.write_bytes(other.read_bytes())
    with pytest.raises(AssertionError, match="one table states"):
        imports.look(tmp_path / "tables")


def test_a_lock_lets_one_in_and_is_gone_afterwards(tmp_path: Path) -> None:
    path, inside, most = tmp_path / "a.lock", 0, []

    def work() -> None:
        nonlocal inside
        for _ in range(20):
            with disk.locked(path):
                inside += 1
                most.append(inside)
                inside -= 1

    threads = [threading.Thread(target=work) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert (max(most), len(most)) == (1, 80)
    assert not path.exists()


def test_a_lock_that_is_held_ends_in_a_sentence_and_changes_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    schema.write(table(1), tmp_path, "shore")
    before = names(tmp_path)
    monkeypatch.setattr(disk, "WAIT", 0.1)
    with disk.locked(tmp_path / ".shore.lock"):
        with pytest.raises(TableError, match="another import of it is under way"):
            schema.write(table(2), tmp_path, "shore")
        schema.write(table(3), tmp_path, "quay")  # another table does not wait
    assert states(FoodTable(tmp_path / "shore.foods.parquet")) == {1}
    assert set(before) <= set(names(tmp_path))


@pytest.mark.parametrize("left", [".shore.lock", ".own-products.lock"])
def test_the_lock_of_a_killed_import_blocks_nobody(tmp_path: Path, left: str) -> None:
    (tmp_path / left).write_bytes(b"")
    name = left.strip(".").removesuffix(".lock")
    schema.write(table(2), tmp_path, name)
    assert not (tmp_path / left).exists()
    assert states(FoodTable(tmp_path / f"{name}.foods.parquet")) == {2}


# -- read meanwhile --------------------------------------------------------------------------------


def test_who_has_opened_a_table_keeps_it_through_an_import(tmp_path: Path) -> None:
    opened = FoodTable(schema.write(table(1), tmp_path, "shore"))
    schema.write(table(2), tmp_path, "shore")
    assert states(opened) == {1}
    assert states(FoodTable(tmp_path / "shore.foods.parquet")) == {2}


def test_a_table_replaced_while_it_is_opened_is_opened_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The switch falls between reading the foods file and opening the files it names, which are gone by then."""
    path = schema.write(table(1), tmp_path, "shore")
    plain, switched = FoodTable._parquet, []

    def late(self: FoodTable, name: str, fault: str) -> object:
        if ".measures." in name and not switched:
            switched.append(schema.write(table(2), tmp_path, "shore"))
        return plain(self, name, fault)

    monkeypatch.setattr(FoodTable, "_parquet", late)
    assert states(FoodTable(path)) == {2}
    assert switched


def test_packs_replaced_while_they_are_read_are_read_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    import_products(imports.packs(tmp_path, 1), tmp_path / "tables")
    kept, switched = own_products.kept, []

    def late(foods_file: Path) -> Path:
        found = kept(foods_file)
        if not switched:
            switched.append(import_products(imports.packs(tmp_path, 2), tmp_path / "tables"))
        return found

    monkeypatch.setattr(own_products, "kept", late)
    products = imported_products(tmp_path / "tables")
    assert products is not None
    assert {one.values["FAT"] for one in products.all} == {2}


def test_a_table_replaced_while_it_is_described_has_no_faults(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = schema.write(table(1), tmp_path, "shore")
    plain, switched = publishers._fault, []

    def late(part: Path) -> str | None:
        if not switched:
            switched.append(schema.write(table(2), tmp_path, "shore"))
        return plain(part)

    monkeypatch.setattr(publishers, "_fault", late)
    assert publishers.describe("shore", path).faults == ()


def test_a_table_that_is_damaged_is_not_read_for_ever(tmp_path: Path) -> None:
    path = schema.write(table(1), tmp_path, "shore")
    next(tmp_path.glob("*.measures.*")).unlink()
    with pytest.raises(TableError, match=r"measures cannot be read.*import it again"):
        FoodTable(path)
    path.write_bytes(path.read_bytes()[:300])
    with pytest.raises(TableError, match="import it again"):
        FoodTable(path)
    assert states(FoodTable(schema.write(table(2), tmp_path, "shore"))) == {2}  # which is the cure that was told


# -- failing ---------------------------------------------------------------------------------------


def failing(after: int, error: BaseException) -> Callable[[Path, bytes], int]:
    """Path.write_bytes that fails after some files, half of it written."""
    plain, count = Path.write_bytes, 0

    def write(self: Path, data: bytes) -> int:
        nonlocal count
        count += 1
        if count > after:
            plain(self, data[: len(data) // 2])
            raise error
        return plain(self, data)

    return write


@pytest.mark.parametrize("after", [0, 1, 2])
@pytest.mark.parametrize("error", [OSError(errno.ENOSPC, "No space left on device"), KeyboardInterrupt()])
def test_an_import_that_fails_leaves_nothing_behind(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, after: int, error: BaseException
) -> None:
    schema.write(table(1), tmp_path / "there", "shore")
    before = names(tmp_path / "there")
    for folder in ("there", "new/and/deep"):
        with monkeypatch.context() as patched:
            patched.setattr(Path, "write_bytes", failing(after, error))
            with pytest.raises((TableError, KeyboardInterrupt)) as told:
                schema.write(table(2), tmp_path / folder, "shore")
        if isinstance(error, OSError):
            assert "No space left on device" in str(told.value)
    assert names(tmp_path / "there") == before
    assert states(FoodTable(tmp_path / "there" / "shore.foods.parquet")) == {1}
    assert names(tmp_path) == ["there"]


@pytest.mark.parametrize(
    ("name", "text"),
    [("packs.yaml", "- name: x\n  fat: lots\n"), ("packs.yaml", "- name: a\n- name: a\n"), ("packs.csv", "fat\n1\n")],
)
def test_an_import_of_what_cannot_be_read_makes_no_folder(tmp_path: Path, name: str, text: str) -> None:
    (tmp_path / name).write_text(text, encoding="utf-8")
    asked = ["tables", "import", "own-products", str(tmp_path / name), "--into", str(tmp_path / "tables")]
    assert CliRunner().invoke(main, asked).exit_code == 2
    assert names(tmp_path) == [name]


def test_the_next_import_takes_away_what_killed_ones_left(tmp_path: Path) -> None:
    schema.write(table(1), tmp_path, "shore")
    for left in (".shore.foods.parquet.0123456789ab.nutrilab-part", "shore.measures.0123456789ab.parquet"):
        (tmp_path / left).write_bytes(b"half")
    schema.write(table(2, notes=False), tmp_path, "shore")
    assert [name.split(".")[1] for name in names(tmp_path)] == ["foods", "measures"]


# -- the cook's own files in the folder ------------------------------------------------------------


@pytest.mark.parametrize("kind", ["text", "parquet", "folder"])
def test_an_import_never_replaces_a_file_that_is_no_table_of_ours(tmp_path: Path, kind: str) -> None:
    target = tmp_path / "shore.foods.parquet"
    if kind == "text":
        target.write_text("my own notes", encoding="utf-8")
    elif kind == "parquet":
        pd.DataFrame({"food_id": ["a"]}).to_parquet(target)
    else:
        target.mkdir()
    before = None if kind == "folder" else target.read_bytes()
    with pytest.raises(TableError) as told:
        schema.write(table(1), tmp_path, "shore")
    assert str(target) in str(told.value)
    assert names(tmp_path) == [target.name]
    assert target.is_dir() if before is None else target.read_bytes() == before


@pytest.mark.parametrize("file", ["own-products.packs.yaml", "own-products.packs.old.csv", "own-products.notes.txt"])
def test_an_import_takes_nothing_away_that_it_did_not_make(tmp_path: Path, file: str) -> None:
    (tmp_path / file).write_text("- name: my own list\n", encoding="utf-8")
    for version in (1, 2):
        import_products(imports.packs(tmp_path, version), tmp_path)
    assert (tmp_path / file).read_text(encoding="utf-8") == "- name: my own list\n"


def test_packs_changed_in_place_and_imported_from_there_stay(tmp_path: Path) -> None:
    tables = tmp_path / "tables"
    import_products(imports.packs(tmp_path, 1), tables)
    (kept,) = tables.glob("*.packs.*")
    kept.write_text(kept.read_text(encoding="utf-8").replace("[celery]", "[milk]"), encoding="utf-8")
    import_products(kept, tables)
    assert "[milk]" in kept.read_text(encoding="utf-8")
    products = imported_products(tables)
    assert products is not None
    assert {one.contains for one in products.all} == {("milk",)}
