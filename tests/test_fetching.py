"""Fetching from a server of this machine: good and bad files, a broken line, nothing to check by, a kill half way."""

from __future__ import annotations

import hashlib
import http.server
import os
import signal
import socket
import subprocess
import sys
import threading
import zipfile
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from data_loaders import fetching, publishers, registry, schema
from data_loaders.publishers import Published, describe, download, published, standing
from data_loaders.schema import TableError
from nutrilab.foods import FoodTable
from nutrilab.sheets import tables as sheet

pytest.importorskip("pooch", reason="pooch (nutrilab[fetch]) is not installed: fetching is not tried")

HERE = Path(__file__).parents[1]
NAMES = {
    "FOOD_DES.txt": "~01001~^~0100~^~Butter, salted~^~BUTTER,WITH SALT~^~~^~~^~Y~^~~^0^~~^6.38^4.27^8.79^3.87\r\n",
    "FD_GROUP.txt": "~0100~^~Dairy and Egg Products~\r\n",
    "NUT_DATA.txt": "~01001~^~204~^81.11^580^0.065^~1~^~~^~~^~~^^^^^^^~~^11/1976^\r\n",
    "WEIGHT.txt": "~01001~^2^1^~tbsp~^14.2^^\r\n",
}  # rows of USDA SR28


def release(fat: str = "81.11") -> bytes:
    """A release of the Standard Reference with one food."""
    import io

    sink = io.BytesIO()
    with zipfile.ZipFile(sink, "w") as made:
        for name, text in NAMES.items():
            made.writestr(name, text.replace("81.11", fat))
    return sink.getvalue()


def sha256(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


class Server(http.server.ThreadingHTTPServer):
    """Sends ``data`` in whatever bad way its turn says; counts what was asked."""

    data = b""
    turns: list[str]
    asked = 0


class Answer(http.server.BaseHTTPRequestHandler):
    def do_GET(self) -> None:
        server = self.server
        assert isinstance(server, Server)
        server.asked += 1
        turn = server.turns.pop(0) if len(server.turns) > 1 else server.turns[0]
        if turn.isdigit():
            self.send_error(int(turn))
            return
        self.send_response(200)
        if turn == "endless":
            self.end_headers()
            try:
                while True:
                    self.wfile.write(bytes(100_000))
            except OSError:
                return
        self.send_header("Content-Length", str(len(server.data)))
        self.end_headers()
        self.wfile.write(server.data if turn == "good" else server.data[: len(server.data) // 2])
        if turn == "stuck":
            self.wfile.flush()
            threading.Event().wait(30)

    def log_message(self, *_: object) -> None:
        """Not on the screen of the tests."""


@pytest.fixture
def server() -> Iterator[Server]:
    made = Server(("127.0.0.1", 0), Answer)
    made.daemon_threads, made.data, made.turns = True, release(), ["good"]
    threading.Thread(target=made.serve_forever, args=(0.02,), daemon=True).start()
    yield made
    made.shutdown()
    made.server_close()


@pytest.fixture
def row(server: Server, monkeypatch: pytest.MonkeyPatch):
    """Have the server's file in publishers.csv, with or without a checksum; further rows for files inside it."""

    def put(digest: str = "", *inside: tuple[str, str], port: int | None = None, size: int | None = None) -> None:
        url = f"http://127.0.0.1:{port or server.server_port}/sr.zip"
        rows = [Published("usda-sr", "sr.zip", url, digest, size, "28", "made for a test")]
        rows += [replace(rows[0], file=name, url="", sha256=known) for name, known in inside]
        monkeypatch.setattr(publishers, "published", lambda: tuple(rows))

    return put


@pytest.fixture
def there(tmp_path: Path) -> Path:
    """A folder with a table imported before, with other values."""
    (tmp_path / "old.zip").write_bytes(release("12.3"))
    schema.write(registry.load("usda-sr", tmp_path / "old.zip"), tmp_path / "tables", "usda-sr")
    return tmp_path / "tables"


def fat(folder: Path) -> float:
    return FoodTable(folder / "usda-sr.foods.parquet").food("sr:01001").values["FAT"]


def refused(folder: Path, words: str, **options: object) -> str:
    """Fetching ends in one sentence with these words, and the old table is as it was."""
    before = {p.name: p.read_bytes() for p in folder.glob("*.parquet")}
    with pytest.raises(TableError) as error:
        fetching.fetch("usda-sr", folder, waits=(), **options)  # type: ignore[arg-type]
    assert words in str(error.value)
    assert "\n" not in str(error.value)
    assert {p.name: p.read_bytes() for p in folder.glob("*.parquet")} == before
    assert not list((folder / "fetched").glob("tmp*"))
    return str(error.value)


# -- files that may be taken in --------------------------------------------------------------------


def test_a_file_with_the_pinned_checksum_replaces_the_table(server: Server, row, there: Path) -> None:
    row(sha256(server.data), size=len(server.data))
    seen: list[tuple[int, int]] = []
    table, target = fetching.fetch("usda-sr", there, tell=lambda done, total: seen.append((done, total)))
    assert (fat(there), len(table.foods), target.parent) == (81.11, 1, there)
    assert seen[-1] == (len(server.data), len(server.data))
    fetching.fetch("usda-sr", there)
    assert server.asked == 1  # it is in the cache and still the one wanted


def test_files_inside_a_download_can_be_what_is_pinned(server: Server, row, there: Path) -> None:
    row("", *[(name, sha256(text.encode())) for name, text in NAMES.items()])
    fetching.fetch("usda-sr", there)
    assert fat(there) == 81.11
    server.data = release("9.9")
    (there / "fetched" / "sr.zip").unlink()
    refused(there, "no checksum is pinned that this file could be checked by")


def test_a_file_in_the_cache_that_was_changed_is_fetched_again(server: Server, row, there: Path) -> None:
    row(sha256(server.data))
    (there / "fetched").mkdir()
    (there / "fetched" / "sr.zip").write_bytes(release("55"))
    fetching.fetch("usda-sr", there)
    assert (fat(there), server.asked) == (81.11, 1)


def test_a_file_nothing_is_known_of_waits_until_its_checksum_is_given(server: Server, row, there: Path) -> None:
    row()
    told = refused(there, "no checksum is pinned")
    digest = sha256(server.data)
    assert f"--sha256 {digest}" in told
    refused(there, "no checksum is pinned")  # and again: it is never taken in by and by
    fetching.fetch("usda-sr", there, sha256=digest.upper())
    assert (fat(there), server.asked) == (81.11, 1)


def test_a_checksum_given_stands_above_the_pinned_one(server: Server, row, there: Path) -> None:
    row("0" * 64)
    fetching.fetch("usda-sr", there, sha256=sha256(server.data))
    assert fat(there) == 81.11


# -- files that may not ----------------------------------------------------------------------------


def test_a_file_with_another_checksum_is_refused_and_thrown_away(server: Server, row, there: Path) -> None:
    row("0" * 64)
    told = refused(there, "what came is not the file expected")
    assert sha256(server.data) in told
    assert not (there / "fetched" / "sr.zip").exists()
    refused(there, "64 digits", sha256="abc")


def test_a_cut_file_is_refused_and_a_whole_one_taken_at_the_next_try(server: Server, row, there: Path) -> None:
    row(sha256(server.data))
    server.turns = ["cut"]
    refused(there, "the line broke off")
    server.turns, server.asked = ["cut", "503", "good"], 0
    fetching.fetch("usda-sr", there, waits=(0.0, 0.0))
    assert (fat(there), server.asked) == (81.11, 3)


@pytest.mark.parametrize(("turn", "words"), [("404", "answers 404"), ("403", "answers 403"), ("500", "answers 500")])
def test_an_error_of_the_server_is_told(server: Server, row, there: Path, turn: str, words: str) -> None:
    row(sha256(server.data))
    server.turns = [turn]
    assert "nutrilab tables import" in refused(there, words)


def test_a_page_that_is_not_there_is_not_asked_for_again(server: Server, row, there: Path) -> None:
    row(sha256(server.data))
    server.turns = ["404"]
    with pytest.raises(TableError):
        fetching.fetch("usda-sr", there, waits=(0.0, 0.0))
    assert server.asked == 1


def test_offline_is_told(row, there: Path) -> None:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    row("0" * 64, port=port)
    assert "go online" in refused(there, "cannot be reached")


def test_a_file_that_never_ends_is_stopped(server: Server, row, there: Path) -> None:
    row(sha256(server.data), size=1000)
    server.turns = ["endless"]
    refused(there, "far larger than the table")


def test_a_file_that_cannot_be_read_or_be_true_is_refused(server: Server, row, there: Path) -> None:
    server.data = b"<html>not here any more</html>" * 10
    row(sha256(server.data))
    refused(there, "neither a folder nor a zip")
    server.data = release("181.11")  # 181 g of fat in 100 g
    row(sha256(server.data))
    refused(there, "figures that cannot be")


def test_what_has_no_address_is_told_with_what_has(there: Path) -> None:
    with pytest.raises(TableError, match=r"^martian: no publisher's address .* usda-sr"):
        fetching.fetch("martian", there)
    with pytest.raises(TableError, match=r"no download x.zip of it; there are: ciqual-2020-eng.xls, "):
        fetching.fetch("fr-ciqual", there, file="x.zip")


def test_without_pooch_it_says_what_to_install(row, there: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    row("0" * 64)
    monkeypatch.setitem(sys.modules, "pooch", None)
    refused(there, "pip install '.[fetch]'")


# -- a kill half way -------------------------------------------------------------------------------

KILLED = """
import sys
from pathlib import Path
from data_loaders import fetching, publishers
from data_loaders.publishers import Published

publishers.published = lambda: (Published("usda-sr", "sr.zip", sys.argv[1], sys.argv[2], None, "28", "test"),)
fetching.fetch("usda-sr", Path(sys.argv[3]), tell=lambda done, total: print("here", flush=True))
"""


def test_a_kill_half_way_leaves_the_old_table_in_use(server: Server, row, there: Path, tmp_path: Path) -> None:
    server.data = release() + os.urandom(400_000)  # some pieces, so that half of it is told before it sticks
    server.turns = ["stuck"]
    digest = sha256(server.data)
    (tmp_path / "fetch.py").write_text(KILLED)
    url = f"http://127.0.0.1:{server.server_port}/sr.zip"
    command = [sys.executable, str(tmp_path / "fetch.py"), url, digest, str(there)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, env=os.environ | {"PYTHONPATH": str(HERE)}) as killed:
        assert killed.stdout is not None
        assert killed.stdout.readline() == b"here\n"
        killed.send_signal(signal.SIGKILL)
    assert fat(there) == 12.3
    (left,) = (there / "fetched").iterdir()
    os.utime(left, (0, 0))  # long ago
    server.data, server.turns = release(), ["good"]
    row(sha256(server.data))
    fetching.fetch("usda-sr", there)
    assert fat(there) == 81.11
    assert [p.name for p in (there / "fetched").iterdir()] == ["sr.zip"]


# -- what is known of published files, and how a table on disk stands to it -----------------------------


def test_the_list_of_publishers_is_in_order() -> None:
    for found in published():
        assert found.name in registry.LOADERS
        assert found.ground
        assert found.url.startswith("https://") or (not found.url and found.sha256)
        assert found.sha256 == "" or len(found.sha256) == 64
        assert "from memory" in found.ground or not found.url  # nobody has tried these addresses yet
    assert {row.name for row in published()} >= {"usda-sr", "fr-ciqual"}
    assert download("usda-sr").file == "sr28asc.zip"
    assert download("fr-ciqual", "ciqual-2020-fra.xls").file == "ciqual-2020-fra.xls"


def test_how_inputs_stand_to_the_pinned_checksums() -> None:
    known = {row.file: row.sha256 for row in published() if row.name == "usda-sr" and row.sha256}
    assert standing("usda-sr", known) == "pinned"
    assert standing("usda-sr", known | {"WEIGHT.txt": "0" * 64}) == "differs"
    assert standing("own-products", {"packs.yaml": "0" * 64}) == "not pinned"
    assert standing("usda-sr", {}) == "not pinned"


def test_the_embedded_table_is_made_from_the_pinned_files() -> None:
    from nutrilab.foods import embedded

    found = describe("usda-sr", embedded().path)
    assert (found.standing, found.foods, found.faults) == ("pinned", 8789, ())


def test_a_list_tells_of_every_damage_and_never_fails(there: Path) -> None:
    foods = there / "usda-sr.foods.parquet"
    (measures,) = there.glob("*.measures.*")
    good = describe("usda-sr", foods)
    assert (good.standing, good.faults) == ("differs", ())
    text = sheet.listing([good], {}, ["shore: its loader cannot be used"])
    for words in (
        "USDA SR28",
        "1 foods",
        "public domain",
        "credit: Food composition: USDA",
        "CHECKSUM DIFFERS",
        "shore:",
    ):
        assert words in text
    assert good.provenance is not None
    assert f"imported {good.provenance.imported}" in text
    measures.write_bytes(measures.read_bytes()[:-1] + b"x")
    assert "not as it was written" in sheet.listing([describe("usda-sr", foods)], {})
    measures.unlink()
    assert "is not there" in sheet.listing([describe("usda-sr", foods)], {})
    foods.write_bytes(foods.read_bytes()[:100])
    assert "CANNOT BE USED" in sheet.listing([describe("usda-sr", foods)], {})
    assert "CANNOT BE USED" in sheet.listing([describe("gone", there / "gone.foods.parquet")], {})


def test_a_list_fits_a_terminal_of_80_columns(there: Path) -> None:
    """With a version as long as that of a table put together of single sheets."""
    found = describe("usda-sr", there / "usda-sr.foods.parquet")
    assert found.provenance is not None
    long = replace(
        found, provenance=replace(found.provenance, version="sheets of several editions; " * 9, credit="c " * 90)
    )
    lines = sheet.listing([long], {}).splitlines()
    assert len(lines) > 9
    assert [line for line in lines if len(line) > 80 and str(there) not in line] == []


def test_the_bar_keeps_quiet_where_nobody_looks(capsys: pytest.CaptureFixture[str]) -> None:
    with sheet.progress("[b]sr.zip") as tell:
        tell(10, 0)
        tell(20, 100)
    assert capsys.readouterr() == ("", "")
