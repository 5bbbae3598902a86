"""What is read and what is not: below folders, in one order, no link out, no file of nutrilab's own."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest

from nutrilab.collection.sources import Found, Source, found_in
from nutrilab.recipe import LARGEST
from nutrilab.remarks import InputError
from tests.collection.supper import SOUP, dishes, laid, recipe, rows, run
from tests.collection.supper import here as here


def found(*paths: Path, left_out: Path | None = None) -> Found:
    return found_in([Source(str(path), path) for path in paths], left_out, None)


def files(*paths: Path) -> list[str]:
    return [entry.file for entry in found(*paths).entries]


def test_folders_are_read_below_in_the_order_of_names(tmp_path: Path) -> None:
    folder = laid(tmp_path / "recipes")
    (folder / ".hidden.yaml").write_text(SOUP, encoding="utf-8")
    (folder / "photo.jpg").write_bytes(b"\xff\xd8\xff")
    (folder / "page.html").write_text("<html><p>no recipe</p>", encoding="utf-8")
    (folder / "log.jsonl").write_text('{"a": 1}\n', encoding="utf-8")
    (folder / "products.yaml").write_text("", encoding="utf-8")
    names = ["broken.yaml", "kedgeree.txt", "mash.yaml", "more.jsonl#1", "more.jsonl#2", "pie.yaml"]
    assert files(folder) == [*names, "soups/low-tide.yaml"]
    assert files(folder, folder / "mash.yaml", folder) == files(folder), "each file once"


def test_two_sources_with_one_name_stay_two(tmp_path: Path) -> None:
    for name in ("a", "b"):
        (tmp_path / name).mkdir()
        (tmp_path / name / "soup.yaml").write_text(SOUP, encoding="utf-8")
    assert files(tmp_path / "a", tmp_path / "b") == ["soup.yaml", f"{tmp_path / 'b'}/soup.yaml"]


def test_files_with_one_name_are_told_apart_as_they_were_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    for name in ("a", "b", "b/b"):
        Path(name).mkdir()
        Path(name, "one.yaml").write_text(SOUP, encoding="utf-8")
        Path(name, "all.jsonl").write_text(json.dumps(recipe("One", "100 g butter")), encoding="utf-8")
    assert files(Path("a/one.yaml"), Path("b/one.yaml")) == ["one.yaml", "b/one.yaml"]
    assert files(Path("a/all.jsonl"), Path("b/all.jsonl")) == ["all.jsonl#1", "b/all.jsonl#1"]
    named = ["all.jsonl#1", "b/all.jsonl#1", "b/one.yaml", "one.yaml", "./b/one.yaml"]
    assert files(Path("b"), Path("a/one.yaml")) == [*named[:4], "a/one.yaml"]
    Path("c/b").mkdir(parents=True)
    Path("c/b/one.yaml").write_text(SOUP, encoding="utf-8")
    assert files(Path("a/one.yaml"), Path("c"), Path("b/one.yaml")) == ["one.yaml", "b/one.yaml", "./b/one.yaml"]


@pytest.mark.skipif(os.name == "nt", reason="links need rights there")
def test_no_link_is_followed_and_one_that_leads_out_is_told(tmp_path: Path) -> None:
    folder, outside = tmp_path / "recipes", tmp_path / "outside"
    for place in (folder / "inner", outside):
        place.mkdir(parents=True)
        (place / "soup.yaml").write_text(SOUP, encoding="utf-8")
    (folder / "loop").symlink_to(folder)
    (folder / "again.yaml").symlink_to(folder / "inner" / "soup.yaml")
    assert files(folder) == ["inner/soup.yaml"]
    assert found(folder).faults == [], "what they lead to is read in its own place"
    (folder / "out").symlink_to(outside)
    (folder / "out.yaml").symlink_to(outside / "soup.yaml")
    (folder / "dead.yaml").symlink_to(folder / "nowhere.yaml")
    assert files(folder) == ["inner/soup.yaml"]
    assert [fault.file for fault in found(folder).faults] == ["dead.yaml", "out", "out.yaml"]


def test_a_line_that_is_too_long_is_passed_over_and_the_rest_is_read(tmp_path: Path) -> None:
    lines = [recipe("One", "100 g butter"), recipe("Two", "x" * (LARGEST + 10)), recipe("Three", "100 g butter")]
    path = tmp_path / "all.jsonl"
    path.write_text("\n".join(map(json.dumps, lines)), encoding="utf-8")
    there = found(path)
    assert [entry.file for entry in there.entries] == ["all.jsonl#1", "all.jsonl#3"]
    assert [(fault.file, fault.line) for fault in there.faults] == [("all.jsonl#2", 2)]
    data = path.read_bytes()
    for entry, dish in zip(there.entries, ("One", "Three"), strict=True):
        assert json.loads(data[entry.start : entry.start + entry.size])["name"] == dish


HOSTILE = [
    '{"@type": "Recipe", "name": "Deep", "recipeIngredient": ' + "[" * 5_000 + "]" * 5_000 + "}",
    '{"@type": "Recipe", "name": "\\ud800<script>", "recipeIngredient": ["100 g butter"], "recipeYield": "2"}',
    '["@type"]',
    "<html>",
    '{"@type": "Recipe"}',
    "\x00\x00",
    '{"@type": "Recipe", "name": "Good", "recipeIngredient": ["100 g butter"], "recipeYield": "2"}',
]


@pytest.mark.usefixtures("here")
def test_a_hostile_line_costs_itself(tmp_path: Path) -> None:
    path = tmp_path / "all.jsonl"
    path.write_text("\n".join(HOSTILE), encoding="utf-8")
    ran = run(path, "-o", tmp_path / "out")
    assert ran.exit_code == 1
    assert "Traceback" not in ran.output
    assert list(dishes(tmp_path / "out")) == ["all.jsonl#2", "all.jsonl#7"]
    assert [row["line"] for row in rows(tmp_path / "out" / "problems.csv")] == ["1", "3", "4", "5", "6"]


@pytest.mark.usefixtures("here")
def test_results_are_not_read_as_recipes(tmp_path: Path) -> None:
    folder = laid(tmp_path)
    first = run(folder, "-o", folder / "results")
    assert run(folder, "-o", folder / "results").stderr.replace(" 5\n", " 0\n") == first.stderr.replace(" 5\n", " 0\n")
    assert run(folder, "-o", folder / "more").exit_code == 1
    assert list(dishes(folder / "more")) == list(dishes(folder / "results")), "nor those of another run"


@pytest.mark.usefixtures("here")
def test_what_holds_no_recipe_is_told_by_its_ending(tmp_path: Path) -> None:
    folder, out = tmp_path / "recipes", tmp_path / "out"
    folder.mkdir()
    (folder / "soup.yaml").write_text(SOUP, encoding="utf-8")
    for name in ("menu.docx", "Supper.DOCX", "told.srt", "about.html", "visits.jsonl", "NOTES", "decisions.yaml"):
        (folder / name).write_text("", encoding="utf-8")
    passed = {".docx": 2, ".srt": 1, ".html": 1, ".jsonl": 1, "NOTES": 1}
    assert found(folder).passed == passed
    for _ in range(2):  # also where nothing has changed since
        said = run(folder, "-o", out).stderr
        assert "Not read, because nothing in them says that they are recipes: 2 .docx, " in said
        assert sum(kind in said for kind in passed) == len(passed)


def test_the_nearest_decisions_count(tmp_path: Path) -> None:
    text = "Dish\nServes 2\n\n200 g potatoes\n20 g moon dust\n"
    for name in ("a", "b"):
        (tmp_path / "r" / name).mkdir(parents=True)
        (tmp_path / "r" / name / "dish.txt").write_text(text, encoding="utf-8")
    (tmp_path / "r" / "a" / "decisions.yaml").write_text("moon dust: none\n", encoding="utf-8")
    run(tmp_path / "r", "-o", tmp_path / "out")
    assert {file: row["complete"] for file, row in dishes(tmp_path / "out").items()} == {
        "a/dish.txt": True, "b/dish.txt": False,
    }  # fmt: skip


def test_nothing_to_read_ends_in_a_sentence(tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    for source in ("empty", "missing"):
        ran = run(tmp_path / source, "-o", tmp_path / "out")
        assert ran.exit_code == 2
        assert ran.stderr.count("\n") == 1
    assert not (tmp_path / "out").exists()
    with pytest.raises(InputError):
        found(tmp_path / "missing")
