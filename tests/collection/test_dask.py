"""Dask does the same work: the same rows to the last digit, with a worker lost in the middle, at an address."""

from __future__ import annotations

import json
import os
import signal
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from nutrilab.collection import cluster
from nutrilab.collection import run as runs
from nutrilab.collection.bundles import bundle
from nutrilab.collection.remote import results_from
from nutrilab.collection.results import FILES, STATE
from nutrilab.collection.sources import Source, found_in
from nutrilab.collection.working import Job, Part
from tests.collection import test_unchanged as village
from tests.collection.supper import dishes, in_this_process, laid, recipe, rows, run, table
from tests.collection.test_unchanged import write

pytest.importorskip("distributed", reason="Dask is not installed (pip install nutrilab[dask])")
ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def client() -> Iterator[Any]:
    """A cluster of two processes on this machine."""
    with pytest.MonkeyPatch.context() as patched:
        patched.setenv("PYTHONPATH", str(ROOT))
        with cluster.client(None, 2) as found:
            yield found


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The supper club with packs that a recipe names, in a folder of its own, and decisions."""
    made = laid(tmp_path_factory.mktemp("dask") / "recipes")
    (made / "decisions.yaml").write_text("moon dust: none\n", encoding="utf-8")
    (made / "packs").mkdir()
    figures = "energy kcal: 400\n  fat: 30 g\n  saturates: 12 g\n  carbohydrate: 20 g\n  sugars: 2 g\n  protein: 5 g\n"
    pack = f"- name: Slipway spread\n  per: 100 g\n  {figures}  salt: 1.5 g\n  ingredients: 'butter (**milk**), salt'\n"
    (made / "packs" / "spread.yaml").write_text(pack, encoding="utf-8")
    text = "dish: Toast\nportions: 1\nproducts: packs/spread.yaml\ningredients:\n  - 20 g Slipway spread\n"
    (made / "toast.yaml").write_text(text, encoding="utf-8")
    # What is hidden is not fetched from an address.
    hidden = ("stew.yaml", ".kept/stock.yaml")
    write(made / "village", {name: text for name, text in village.FILES.items() if name not in hidden})
    # The same packs, beside the dish of one kitchen and in the folder of the other.
    relish = village.pack("Ebb relish", village.MILK)
    line = json.dumps(recipe("Row", "20 g Ebb relish"))
    write(made / "twins", {"a/kitchen.yaml": "", "a/sub/products.yaml": relish, "a/sub/dish.jsonl": line})
    write(made / "twins", {"b/kitchen.yaml": "", "b/products.yaml": relish, "b/sub/dish.jsonl": line})
    named = village.dish("Named", "20 g Ebb curd", products="zz packs.csv")
    broken = {"mended.yaml": village.dish("Mended", "all of Broken from bad.yaml"), "bad.yaml": "dish: Broken\n"}
    write(
        made / "twins", {"zz packs.csv": village.pack_csv("Ebb curd", village.PEANUTS), "named.yaml": named, **broken}
    )
    return made


@pytest.fixture(scope="module")
def local(folder: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """What this machine makes of it."""
    from nutrilab.collection import processes

    out = tmp_path_factory.mktemp("local") / "out"
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(processes, "run", in_this_process)
        run(folder, "-o", out)
    found = dishes(out)
    assert len(found) == 16
    assert [found[f"village/{file}"]["milk"] for file in ("cake.yaml", "said/row.jsonl#1")] == ["contains"] * 2
    assert [found[f"twins/{name}/sub/dish.jsonl#1"]["milk"] for name in "ab"] == ["contains"] * 2
    assert found["twins/named.yaml"]["peanuts"] == "contains"
    return out


def address(client: Any) -> str:
    return str(client.scheduler.address)


def test_the_same_rows_with_a_worker_killed_in_the_middle(
    folder: Path, local: Path, client: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    killed: list[int] = []
    whole = cluster.run

    def losing(*given: Any) -> Iterator[Part]:
        for part in whole(*given):
            if not killed:
                killed.append(next(iter(client.run(os.getpid).values())))
                os.kill(killed[0], signal.SIGTERM if os.name == "nt" else signal.SIGKILL)
            yield part

    monkeypatch.setattr(cluster, "run", losing)
    monkeypatch.setattr(runs, "TOGETHER", 1)
    ran = run(folder, "-o", tmp_path / "out", "--engine", "dask", "--scheduler", address(client))
    assert ran.exit_code == 1, ran.output
    assert killed
    for name in ("dishes", "lines"):
        assert table(tmp_path / "out", name).equals(table(local, name))
    assert rows(tmp_path / "out" / "problems.csv") == rows(local / "problems.csv")


@pytest.mark.usefixtures("client")
def test_sources_and_results_at_an_address(folder: Path, local: Path, client: Any, tmp_path: Path) -> None:
    import fsspec

    memory = fsspec.filesystem("memory")
    memory.put(str(folder), "/club", recursive=True)
    assert len(memory.find("/club")) == len([path for path in folder.rglob("*") if path.is_file()])
    there = ("--engine", "dask", "--scheduler", address(client))
    assert run("memory://club", "-o", "memory://results", *there).exit_code == 1
    assert {path.rpartition("/")[2] for path in memory.ls("/results", detail=False)} >= {*FILES, STATE}
    results_from("memory://results", tmp_path / "out")
    for name in ("dishes", "lines"):
        assert table(tmp_path / "out", name).equals(table(local, name))
    again = run("memory://club", "-o", "memory://results")
    assert again.exit_code == 1
    assert "computed in this run: 0" in again.stderr
    memory.pipe("/results/notes.txt", b"mine")
    refused = run("memory://club", "-o", "memory://results")
    assert refused.exit_code == 2
    assert "notes.txt" in refused.stderr


def test_a_kitchen_is_sent_as_it_lies(folder: Path) -> None:
    """Equal packs beside a dish and in the folder of a kitchen have one mark, and are two kitchens."""
    entries = found_in([Source("", folder / "twins")], None, None).entries
    twins = [entry for entry in entries if "sub/" in entry.file]
    assert len({entry.marks.products for entry in twins}) == 1
    sent = bundle(Job(0, tuple(twins)), None)
    own = [set(sent.kitchens[str(entry.kitchen)]) for entry in sent.job.entries]
    assert own == [{"kitchen.yaml"}, {"kitchen.yaml", "products.yaml"}]
    assert [str(entry.path) for entry in sent.job.entries] == [
        "source-0/a/sub/.line-0.json",
        "source-0/b/sub/.line-1.json",
    ]
    assert "source-0/a/sub/products.yaml" in sent.files


def test_a_file_address_is_a_path(folder: Path, local: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from nutrilab.collection import processes

    monkeypatch.setattr(processes, "run", in_this_process)
    run(folder.as_uri(), "-o", (tmp_path / "out").as_uri())
    assert table(tmp_path / "out").equals(table(local))


def test_what_cannot_be_reached_ends_in_a_sentence(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    import sys

    monkeypatch.setattr(cluster, "WAITING", 0.5)
    dask = ("--engine", "dask")
    cases = [
        (folder, (*dask, "--scheduler", "tcp://127.0.0.1:1"), "no Dask scheduler answers"),
        (folder, ("--scheduler", "tcp://127.0.0.1:1"), "--engine dask"),
        ("memory://nothing-here", (), "nothing lies at this address"),
        ("nosuchsystem://bucket/x", (), "nothing here can open"),
    ]
    for source, more, words in cases:
        ran = run(source, "-o", tmp_path / "out", *more)
        assert (ran.exit_code, ran.stderr.count("\n")) == (2, 1), ran.output
        assert words in ran.stderr
    monkeypatch.setitem(sys.modules, "distributed", None)
    ran = run(folder, "-o", tmp_path / "out", *dask)
    assert ran.exit_code == 2
    assert "nutrilab[dask]" in ran.stderr
    assert not (tmp_path / "out").exists()
