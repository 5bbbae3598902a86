"""What is kept ready between starts: never older than the lists, never trusted when damaged, never needed."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from nutrilab.lexicon import ready as module
from nutrilab.lexicon.ready import caches, ready


@pytest.fixture
def lists(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder of one list, and an empty folder of caches."""
    monkeypatch.setenv("NUTRILAB_CACHE", str(tmp_path / "caches"))
    folder = tmp_path / "data"
    folder.mkdir()
    (folder / "foods.csv").write_text("name\nturbot\n")
    monkeypatch.setattr(module.datafiles, "FOLDER", folder)
    return folder


def counted(lists: Path) -> tuple[tuple[str, ...], int]:
    """What is ready of the list, and how often it was worked out for that."""
    times = 0

    def work_out() -> tuple[str, ...]:
        nonlocal times
        times += 1
        return tuple((lists / "foods.csv").read_text().split())

    module._stamp.cache_clear()  # as a new start has it
    return ready("foods", work_out), times


def test_the_lists_are_read_once_for_many_starts(lists: Path) -> None:
    assert counted(lists) == (("name", "turbot"), 1)
    assert counted(lists) == (("name", "turbot"), 0)


@pytest.mark.parametrize("time", [0, None])
def test_an_edited_row_counts_at_once(lists: Path, time: int | None) -> None:
    counted(lists)
    before = (lists / "foods.csv").stat()
    (lists / "foods.csv").write_text("name\nsalmon\n" if time is None else "name\nsea trout\n")
    if time == 0:  # another size, with the time it had before
        os.utime(lists / "foods.csv", ns=(before.st_atime_ns, before.st_mtime_ns))
    else:  # the same size, at another time
        os.utime(lists / "foods.csv", ns=(before.st_atime_ns, before.st_mtime_ns + 1))
    found, times = counted(lists)
    assert (found[1], times) == ("salmon" if time is None else "sea", 1)


@pytest.mark.parametrize("new", ["more.csv", "code.py", "names/fish.csv"])
def test_a_new_list_or_module_counts_at_once(lists: Path, new: str) -> None:
    counted(lists)
    (lists / new).parent.mkdir(exist_ok=True)
    (lists / new).write_text("")
    assert counted(lists)[1] == 1


@pytest.mark.parametrize("damage", [b"", b"short", "cut", "turned", "swapped"])
def test_what_is_damaged_is_made_again(lists: Path, damage: bytes | str) -> None:
    counted(lists)
    (file,) = (lists.parent / "caches").rglob("*.words")
    whole = file.read_bytes()
    changed = {
        "cut": whole[:-1],
        "turned": whole[:-3] + bytes([whole[-3] ^ 1]) + whole[-2:],
        "swapped": whole.replace(b"turbot", b"halibu"),
    }
    file.write_bytes(damage if isinstance(damage, bytes) else changed[damage])
    assert counted(lists) == (("name", "turbot"), 1)
    assert counted(lists) == (("name", "turbot"), 0)


def test_nothing_is_lost_where_nothing_can_be_kept(lists: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (lists.parent / "caches").write_text("a file where the folder should be")
    assert counted(lists) == counted(lists) == (("name", "turbot"), 1)
    monkeypatch.delenv("NUTRILAB_CACHE")
    monkeypatch.delenv("XDG_CACHE_HOME", raising=False)

    def nobody() -> Path:
        raise RuntimeError("no home")

    monkeypatch.setattr(module.Path, "home", nobody)
    assert caches() is None
    assert counted(lists) == (("name", "turbot"), 1)


def test_no_half_written_file_stays(lists: Path) -> None:
    counted(lists)
    assert [path.name for path in (lists.parent / "caches").rglob("*") if path.is_file()] == ["foods.words"]
