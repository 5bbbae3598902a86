"""Every input that ever failed, again, and a few new ones; the files of the corpus are still those that failed."""

from __future__ import annotations

import hashlib
import shutil
import subprocess
from itertools import islice
from pathlib import Path
from random import Random

import pytest

from tests.fuzz import mutation, seeds, targets
from tests.fuzz.__main__ import CORPUS, SHARES, some_files, some_lines, tried

KEPT = sorted(path for path in CORPUS.glob("*/*"))
SUMS = CORPUS / "SHA256SUMS"


def placed(path: Path, folder: Path) -> Path:
    """A file of the corpus under the name, and beside the files, that its kind needs."""
    kind, data = path.parent.name, path.read_bytes()
    if kind == "tables":
        table, _, rest = path.name.partition("--")
        files = next(files for name, files in seeds.tables().items() if name.strip() == table and _named(rest, files))
        folder = folder / next(name for name, some in seeds.tables().items() if some is files)
        folder.mkdir()
        for name, sound in files.items():
            (folder / name).write_bytes(data if name == _named(rest, files) else sound)
        return folder / str(_named(rest, files))
    name = {"settings": "kitchen.yaml", "decisions": "decisions.yaml"}.get(kind, f"dish{path.suffix}")
    (folder / name).write_bytes(data)
    return folder / name


def _named(rest: str, files: dict[str, bytes]) -> str | None:
    """Which of a table's files a file of the corpus stands for: "FD_GROUP-4406e41394.txt" for FD_GROUP.txt."""
    stem, _, suffix = rest.rpartition(".")
    return next((name for name in files if name == f"{stem.rpartition('-')[0]}.{suffix}"), None)


@pytest.mark.parametrize("path", KEPT, ids=lambda path: f"{path.parent.name}/{path.name}")
def test_what_failed_once_does_not_fail_again(path: Path, tmp_path: Path) -> None:
    kind = path.parent.name
    if kind in targets.TEXTS:
        assert tried(kind, path.read_bytes().decode("utf-8", "surrogatepass")) == []
    else:
        assert tried(kind, placed(path, tmp_path)) == []


def test_the_corpus_is_byte_for_byte_what_failed() -> None:
    listed = dict(line.split("  ", 1)[::-1] for line in SUMS.read_text(encoding="ascii").splitlines())
    found = {f"{path.parent.name}/{path.name}": hashlib.sha256(path.read_bytes()).hexdigest() for path in KEPT}
    assert listed == found


def test_no_rule_of_the_repository_hides_or_changes_the_corpus() -> None:
    root = CORPUS.parents[2]
    if not (root / ".git").exists() or not shutil.which("git"):
        pytest.skip("no repository here, or no git to ask")
    names = [str(path.relative_to(root)) for path in KEPT]
    ignored = subprocess.run(["git", "check-ignore", "--no-index", *names], cwd=root, capture_output=True, text=True)
    assert ignored.stdout == ""
    told = subprocess.run(["git", "check-attr", "text", *names], cwd=root, capture_output=True, text=True, check=True)
    assert {line.rpartition(": ")[2] for line in told.stdout.splitlines()} == {"unset"}


def test_every_kind_is_mutated_and_tried() -> None:
    assert set(SHARES) == set(targets.FILES)
    assert {path.parent.name for path in KEPT} == {*targets.TEXTS, *targets.FILES}


def test_the_same_seed_makes_the_same_changes() -> None:
    def some(seed: int) -> list[str]:
        random = Random(seed)
        return [mutation.mutated(random, text, seeds.lines()) for text in seeds.lines()[:50]]

    assert some(1) == some(1) != some(2)


def test_some_lines_and_files_that_nobody_tried_before(tmp_path: Path) -> None:
    """A glance; `.ci/run` looks for a minute."""
    inputs = [*islice(some_lines(Random(7)), 400)]
    assert [(kind, what, found) for kind, what in inputs if (found := tried(kind, what))] == []
    wrong = []
    for kind, path in islice(some_files(Random(7), tmp_path), 120):
        if found := tried(kind, path):
            wrong.append((kind, path.read_bytes(), found))
    assert wrong == []
