"""Files out of archives made to hurt: each ends as one sentence, none costs much memory, and a kill costs no table."""

from __future__ import annotations

import io
import os
import random
import signal
import struct
import subprocess
import sys
import tarfile
import tracemalloc
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from data_loaders import archive
from data_loaders.archive import opened, read_file, read_files, safe_workbook
from data_loaders.schema import TableError
from nutrilab.foods import FoodTable

TEXT = b"a^b\r\n" * 100
HERE = Path(__file__).parents[1]


def zipped(path: Path, files: dict[str, bytes], method: int = zipfile.ZIP_DEFLATED) -> Path:
    with zipfile.ZipFile(path, "w", method) as made:
        for name, data in files.items():
            made.writestr(name, data)
    return path


def tarred(path: Path, *infos: tuple[tarfile.TarInfo, bytes], mode: str = "w") -> Path:
    with tarfile.open(path, mode) as made:
        for info, data in infos:
            made.addfile(info, io.BytesIO(data))
    return path


def info(name: str, size: int = len(TEXT), kind: bytes = tarfile.REGTYPE, link: str = "") -> tarfile.TarInfo:
    found = tarfile.TarInfo(name)
    found.size, found.type, found.linkname = size, kind, link
    return found


def refused(work: Callable[[], object], words: str, most: int = 100_000_000) -> None:
    """The work ends in one TableError with these words, in little memory."""
    tracemalloc.start()  # the most a process ever held would tell of the tests before this one
    try:
        with pytest.raises(TableError) as error:
            work()
        peak = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    assert words in str(error.value)
    assert "\n" not in str(error.value)
    assert peak < most


# -- what is found where ---------------------------------------------------------------------------


def test_files_are_found_in_any_folder_of_an_archive(tmp_path: Path) -> None:
    plain = tmp_path / "plain"
    (plain / "release" / "deeper").mkdir(parents=True)
    (plain / "release" / "Food.TXT").write_bytes(TEXT)
    packed = zipped(tmp_path / "a.zip", {"x/y/z/Food.TXT": TEXT, "notes.txt": b""})
    windows = zipped(tmp_path / "w.zip", {"x\\food.txt": TEXT})
    tar = tarred(tmp_path / "a.tar.gz", (info("x/food.txt"), TEXT), mode="w:gz")
    for path in (plain, plain / "release", packed, windows, tar):
        assert read_files(path, ("food.txt",)) == {"food.txt": TEXT}
        with opened(path, "food.txt") as stream:
            assert stream.read() == TEXT
    assert read_files(packed, (), ("notes.txt", "more.txt")) == {"notes.txt": b""}


def test_a_file_that_is_missing_or_there_twice_is_named(tmp_path: Path) -> None:
    twice = zipped(tmp_path / "twice.zip", {"a/food.txt": TEXT, "b/food.txt": TEXT})
    for path, name, words in (
        (twice, "food.txt", "holds the file food.txt twice"),
        (twice, "more.txt", "more.txt is missing"),
    ):
        refused(lambda path=path, name=name: read_files(path, (name,)), words)
        refused(lambda path=path, name=name: opened(path, name).__enter__(), words)


def test_a_single_file_is_read_or_refused(tmp_path: Path) -> None:
    (tmp_path / "a").write_bytes(TEXT)
    (tmp_path / "none").write_bytes(b"")
    assert read_file(tmp_path / "a") == TEXT
    refused(lambda: read_file(tmp_path / "a", 10), "500 bytes")
    refused(lambda: read_file(tmp_path / "none"), "empty")
    refused(lambda: read_file(tmp_path), "not a file")
    refused(lambda: read_file(tmp_path / "b"), "no such file")


# -- names, links, locks ---------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["../food.txt", "a/../../food.txt", "/etc/food.txt", "..\\food.txt", "C:\\food.txt"])
def test_a_name_that_leads_out_is_refused(tmp_path: Path, name: str) -> None:
    inside = {"food.txt": TEXT, name: b"x"}  # refused whatever else stands in it
    refused(lambda: read_files(zipped(tmp_path / "a.zip", inside), ("food.txt",)), "leads out of it")
    tar = tarred(tmp_path / "a.tar", (info(name), TEXT), (info("food.txt"), TEXT))
    refused(lambda: read_files(tar, ("food.txt",)), "leads out of it")
    assert sorted(p.name for p in tmp_path.iterdir()) == ["a.tar", "a.zip"]  # nothing is unpacked


@pytest.mark.parametrize("kind", [tarfile.SYMTYPE, tarfile.LNKTYPE, tarfile.CHRTYPE, tarfile.FIFOTYPE])
def test_links_and_devices_in_a_tar_are_refused(tmp_path: Path, kind: bytes) -> None:
    path = tarred(tmp_path / "a.tar", (info("other.txt"), TEXT), (info("food.txt", 0, kind, "other.txt"), b""))
    refused(lambda: read_files(path, ("food.txt",)), "is a link to another file")


def test_a_link_in_a_zip_is_refused(tmp_path: Path) -> None:
    link = zipfile.ZipInfo("food.txt")
    link.external_attr = 0o120777 << 16
    with zipfile.ZipFile(tmp_path / "a.zip", "w") as made:
        made.writestr(link, "/etc/passwd")
    refused(lambda: read_files(tmp_path / "a.zip", ("food.txt",)), "is a link to another file")


def test_a_locked_zip_is_refused(tmp_path: Path) -> None:
    data = bytearray(zipped(tmp_path / "a.zip", {"food.txt": TEXT}).read_bytes())
    for mark, place in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        data[data.index(mark) + place] |= 1
    (tmp_path / "a.zip").write_bytes(data)
    refused(lambda: read_files(tmp_path / "a.zip", ("food.txt",)), "locked with a password")


# -- sizes -----------------------------------------------------------------------------------------


def test_a_bomb_that_owns_up_is_refused_before_it_is_unpacked(tmp_path: Path) -> None:
    zeros = bytes(150_000_000)
    for path in (
        zipped(tmp_path / "a.zip", {"food.txt": zeros}),
        zipped(tmp_path / "b.zip", {"x": zeros, "food.txt": TEXT}),
    ):
        assert path.stat().st_size < 500_000
        refused(lambda path=path: read_files(path, ("food.txt",)), "100 times its size")


@pytest.mark.parametrize("told", [10, 20_000_000])
def test_a_zip_that_lies_about_a_size_is_refused(tmp_path: Path, told: int) -> None:
    path = zipped(tmp_path / "a.zip", {"food.txt": os.urandom(1_000_000)})
    data = bytearray(path.read_bytes())
    for mark, place in ((b"PK\x03\x04", 22), (b"PK\x01\x02", 24)):
        start = data.index(mark) + place
        data[start : start + 4] = struct.pack("<I", told)
    path.write_bytes(data)
    with pytest.raises(TableError, match=r"damaged|not the size"):
        read_files(path, ("food.txt",))


def test_a_tar_bomb_is_refused_before_it_is_unpacked(tmp_path: Path) -> None:
    path = tarred(tmp_path / "a.tar.gz", (info("food.txt", 150_000_000), bytes(150_000_000)), mode="w:gz")
    refused(lambda: read_files(path, ("food.txt",)), "100 times its size")


def test_a_tar_head_of_gigabytes_costs_no_memory(tmp_path: Path) -> None:
    """A pax head says how long it is and Python's tarfile would read it whole."""
    import gzip

    head = info("food.txt", 3_000_000_000, tarfile.XHDTYPE).tobuf(tarfile.USTAR_FORMAT)
    with gzip.open(tmp_path / "a.tar.gz", "wb") as file:
        file.write(head + bytes(20_000_000))
    refused(lambda: read_files(tmp_path / "a.tar.gz", ("food.txt",)), "list of files is far too long")


def test_a_file_above_the_limit_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(archive, "LIMIT", 499)
    for path in (zipped(tmp_path / "a.zip", {"food.txt": TEXT}), tarred(tmp_path / "a.tar", (info("food.txt"), TEXT))):
        refused(lambda path=path: read_files(path, ("food.txt",)), "would unpack to 500 bytes")


@pytest.mark.parametrize("count", [archive.ENTRIES + 1, 1_000_000])
def test_a_zip_of_very_many_files_is_refused(tmp_path: Path, count: int) -> None:
    entry = struct.pack("<4s6H3L5H2L", b"PK\x01\x02", 20, 20, 0, 0, 0, 0, 0, 0, 0, 1, 0, 0, 0, 0, 0, 0) + b"a"
    size = len(entry) * count
    end = struct.pack("<4s4H2LH", b"PK\x05\x06", 0, 0, min(count, 65535), min(count, 65535), size, 0, 0)
    (tmp_path / "a.zip").write_bytes(entry * count + end)
    refused(lambda: read_files(tmp_path / "a.zip", ("food.txt",)), "files", 150_000_000)


def test_a_tar_of_very_many_files_is_refused(tmp_path: Path) -> None:
    entry = info("a", 0).tobuf()
    (tmp_path / "a.tar").write_bytes(entry * (archive.ENTRIES + 2) + bytes(1024))
    refused(lambda: read_files(tmp_path / "a.tar", ("food.txt",)), "more than 10,000 files")


@pytest.mark.parametrize("share", [0.1, 0.5, 0.9, 0.999])
def test_a_cut_archive_is_refused(tmp_path: Path, share: float) -> None:
    data = os.urandom(200_000)
    for path in (
        zipped(tmp_path / "a.zip", {"food.txt": data}),
        tarred(tmp_path / "a.tar.gz", (info("food.txt", len(data)), data), mode="w:gz"),
        tarred(tmp_path / "a.tar", (info("food.txt", len(data)), data)),
    ):
        whole = path.read_bytes()
        path.write_bytes(whole[: int(len(data) * share)])
        with pytest.raises(TableError) as error:
            read_files(path, ("food.txt",))
        assert "\n" not in str(error.value)


def test_a_flipped_byte_is_noticed(tmp_path: Path) -> None:
    path = zipped(tmp_path / "a.zip", {"food.txt": TEXT}, zipfile.ZIP_STORED)
    path.write_bytes(path.read_bytes().replace(b"a^b", b"a^c", 1))
    refused(lambda: read_files(path, ("food.txt",)), "damaged")


# -- workbooks -------------------------------------------------------------------------------------

SHEET = '<?xml version="1.0"?><worksheet/>'
ENTITY = '<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a SYSTEM "file:///etc/passwd">]><x>&a;</x>'


def workbook(**parts: bytes) -> bytes:
    sink = io.BytesIO()
    with zipfile.ZipFile(sink, "w", zipfile.ZIP_DEFLATED) as made:
        for name, data in ({"sheet.xml": SHEET.encode()} | parts).items():
            made.writestr(f"xl/{name}", data)
    return sink.getvalue()


def test_a_harmless_workbook_passes_unchanged() -> None:
    data = workbook(picture=bytes(range(256)) * 50)
    assert safe_workbook(data, "a.xlsx").read() == data


@pytest.mark.parametrize("encoding", ["utf-8", "utf-16", "utf-16-le", "utf-16-be", "iso-8859-1"])
@pytest.mark.parametrize("pad", [0, 999_968, 499_967])  # before, across and after the end of a piece read at once
def test_a_workbook_with_entities_is_refused(encoding: str, pad: int) -> None:
    filler = f"<!--{random.Random(1).randbytes(pad).hex()[:pad]}-->"  # not to be packed so well that it is a bomb
    text = ENTITY.replace("?><!", f"?>{filler}<!")
    refused(lambda: safe_workbook(workbook(strange=text.encode(encoding)), "a.xlsx"), "holds a DOCTYPE")


def test_a_workbook_that_is_none_or_a_bomb_is_refused() -> None:
    refused(lambda: safe_workbook(b"name,fat\n", "a.xlsx"), "this is no workbook")
    refused(lambda: safe_workbook(b"\xd0\xcf\x11\xe0" + bytes(100), "a.xlsx"), "old .xls or a workbook with a password")
    refused(lambda: safe_workbook(workbook()[:60], "a.xlsx"), "damaged")
    bomb = workbook(big=bytes(150_000_000))
    refused(lambda: safe_workbook(bomb, "a.xlsx"), "far more than a food table")
    sink = io.BytesIO()
    with zipfile.ZipFile(sink, "w") as made:
        made.writestr("../../x", "x")
    refused(lambda: safe_workbook(sink.getvalue(), "a.xlsx"), "leads out of it")


# -- a kill half way -------------------------------------------------------------------------------

IMPORT = """
import os, sys, time
from pathlib import Path
import pandas as pd
from data_loaders import schema

folder, salt, stop_at = Path(sys.argv[1]), float(sys.argv[2]), int(sys.argv[3])
rename, count = os.replace, 0

def slow(source, target):
    global count
    count += 1
    if count == stop_at:
        print("here", flush=True)
        time.sleep(60)
    rename(source, target)

schema.os.replace = slow
foods = pd.DataFrame([["x:1", "Samphire", "", "plants", "made up", 0.0, salt]], columns=[*schema.FOOD_COLUMNS, "NA"])
measures = pd.DataFrame([["x:1", 1.0, "sprig", salt]], columns=list(schema.MEASURE_COLUMNS))
notes = pd.DataFrame([["x:1", "NA", "estimate", 0.0, salt, "made up"]], columns=list(schema.NOTE_COLUMNS))
about = schema.Provenance("made up", str(salt), "none", "none", "none", "none", "none")
schema.write(schema.TableData(foods, measures, about, notes), folder, "shore")
"""


@pytest.mark.parametrize("stop_at", [1, 2, 3])  # measures, notes, foods: the three renames of an import
def test_a_killed_import_leaves_the_old_table_in_use(tmp_path: Path, stop_at: int) -> None:
    script = tmp_path / "import_shore.py"
    script.write_text(IMPORT)
    folder = tmp_path / "tables"
    command = [sys.executable, str(script), str(folder)]
    environment = os.environ | {"PYTHONPATH": str(HERE)}
    subprocess.run([*command, "10", "0"], check=True, env=environment)
    with subprocess.Popen([*command, "20", str(stop_at)], stdout=subprocess.PIPE, env=environment) as killed:
        assert killed.stdout is not None
        assert killed.stdout.readline() == b"here\n"
        killed.send_signal(signal.SIGKILL)
        assert killed.wait(10) == -signal.SIGKILL
    table = FoodTable(folder / "shore.foods.parquet")
    assert table.provenance.version == "10.0"
    assert table.food("x:1").values["NA"] == 10
    assert table.food("x:1").measures[0].grams == 10
    assert (folder / table.provenance.notes_file).is_file()
    subprocess.run([*command, "20", "0"], check=True, env=environment)
    assert FoodTable(folder / "shore.foods.parquet").food("x:1").measures[0].grams == 20
