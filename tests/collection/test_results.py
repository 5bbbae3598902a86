"""What a collection comes to: rows equal to those of single dishes, sheets, provenance, unchanged files, what moved."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pyarrow as pa
import pyarrow.parquet as pq
import pytest

from nutrilab.allergens import ALLERGENS, cautions
from nutrilab.collection import processes
from nutrilab.collection.doubtful import ranked
from nutrilab.collection.results import LINES
from nutrilab.collection.rows import line_schema
from nutrilab.collection.working import Job, Part
from nutrilab.folder import Folder
from nutrilab.law.rounding import ORDER
from nutrilab.recipe import read_recipe
from nutrilab.sheets import csv_dishes
from tests.collection.supper import MASH, contents, dishes, in_this_process, laid, recipe, rows, run, table
from tests.collection.supper import here as here

pytestmark = pytest.mark.usefixtures("here")
DEMOS = Path(__file__).parents[2] / "demo_recipes"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return laid(tmp_path / "recipes")


def test_a_row_a_dish_and_what_could_not_be_read_beside_it(folder: Path, tmp_path: Path) -> None:
    ran = run(folder, "-o", tmp_path / "out")
    assert ran.exit_code == 1
    out = tmp_path / "out"
    assert list(dishes(out)) == ["kedgeree.txt", "mash.yaml", "more.jsonl#1", "pie.yaml", "soups/low-tide.yaml"]
    assert [(row["file"], row["line"]) for row in rows(out / "problems.csv")] == [
        ("broken.yaml", "3"), ("more.jsonl#2", "2"),
    ]  # fmt: skip
    kedgeree = dishes(out)["kedgeree.txt"]
    assert kedgeree["complete"] is False
    assert "moon dust" in kedgeree["not_understood"]
    assert dishes(out)["soups/low-tide.yaml"]["complete"] is True
    assert "5 dishes" in ran.stderr
    assert "broken.yaml" in ran.stderr
    assert not list(tmp_path.glob(".*")), "nothing is left beside the results"


def test_the_figures_are_those_of_each_dish_alone(tmp_path: Path) -> None:
    assert run(DEMOS, "-o", tmp_path / "out").exit_code == 0
    found = dishes(tmp_path / "out")
    kitchen = Folder(DEMOS)
    paths = kitchen.recipes()
    assert sorted(found) == sorted(path.name for path in paths)
    for path in paths:
        alone, row = kitchen.dish(read_recipe(path)), found[path.name]
        assert row["portions"] == alone.portions
        assert row["portion_weight_g"] == alone.portion_weight
        for key in ORDER:
            assert row[key] == alone.per_portion[key], key
            assert row[f"{key}_100g"] == alone.per_100g[key], key
            assert (row[f"{key}_low"], row[f"{key}_high"]) == alone.whole.per_portion_range[key]
        assert {a: row[a] for a in ALLERGENS} == {a: alone.allergens.cell(a) for a in ALLERGENS}
        lines = [line for line in table(tmp_path / "out", "lines").to_pylist() if line["file"] == path.name]
        records = [record for stage in alone.stages for record in stage.records]
        assert [line["text"] for line in lines] == [record.parsed.text for record in records]
        assert [line["grams_from"] for line in lines]
    head, *sheet = csv_dishes.as_csv([kitchen.dish(path) for path in paths]).splitlines()
    assert (tmp_path / "out" / "dishes.csv").read_text(encoding="utf-8").splitlines() == [head, *sheet]


def test_the_tables_say_where_they_come_from(folder: Path, tmp_path: Path) -> None:
    (folder / "decisions.yaml").write_text("moon dust: none\n", encoding="utf-8")
    run(folder, "-o", tmp_path / "out")
    told = json.loads(pq.read_schema(tmp_path / "out" / "lines.parquet").metadata[b"nutrilab"])
    assert told["food_tables"][0]["source"] == "USDA SR28"
    assert len(told["food_tables"][0]["sha256"]) == 64
    assert told["kitchens"][str(folder)]["decisions"]
    assert told["cautions"] == list(cautions())
    assert {"nutrilab", "program_sha256", "arguments", "made"} <= set(told)
    assert dishes(tmp_path / "out")["kedgeree.txt"]["complete"] is True, "the folder's decisions count"


def counting(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The files that are done from now on."""
    done: list[str] = []

    def noted(jobs: Iterator[Job], tables: str | None, workers: int) -> Iterator[Part]:
        def each() -> Iterator[Job]:
            for job in jobs:
                done.extend(entry.file for entry in job.entries)
                yield job

        return in_this_process(each(), tables, workers)

    monkeypatch.setattr(processes, "run", noted)
    return done


def test_only_what_changed_is_done_again(folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    out = tmp_path / "out"
    run(folder, "-o", out)
    first = contents(out)
    done = counting(monkeypatch)
    assert run(folder, "-o", out).exit_code == 1
    assert done == []
    assert contents(out) == first

    (folder / "mash.yaml").write_text(MASH.replace("50 g butter", "60 g butter"), encoding="utf-8")
    run(folder, "-o", out)
    bad = {"broken.yaml", "more.jsonl#2"}  # what had a problem is tried again
    assert set(done) == {"mash.yaml", "pie.yaml"} | bad, "a pie is made of the mash of another file"
    del done[:]
    run(folder, "-o", tmp_path / "fresh")
    for name in ("dishes", "lines"):
        assert table(out, name).equals(table(tmp_path / "fresh", name))
    for name in ("dishes.csv", "problems.csv", "doubtful.csv"):
        assert (out / name).read_bytes() == (tmp_path / "fresh" / name).read_bytes()

    del done[:]
    (folder / "decisions.yaml").write_text("moon dust: none\n", encoding="utf-8")
    run(folder, "-o", out)
    assert set(dishes(out)) <= set(done), "a decision counts for every dish of its kitchen"
    del done[:]
    (folder / "kedgeree.txt").unlink()
    run(folder, "-o", out)
    assert set(done) == bad
    assert "kedgeree.txt" not in dishes(out)


def test_what_moved_and_why(folder: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    first = run(folder, "-o", out, "--changed").stderr
    assert "no earlier run" in first
    assert "no dish moved" not in first
    assert "no dish moved" in run(folder, "-o", out, "--changed").stderr
    (folder / "mash.yaml").write_text(MASH.replace("50 g butter", "60 g olive oil"), encoding="utf-8")
    (folder / "decisions.yaml").write_text("moon dust: none\n", encoding="utf-8")
    (folder / "soups" / "low-tide.yaml").unlink()
    more = json.dumps(recipe("Ebb tide tart", "100 g plain flour"))
    with (folder / "more.jsonl").open("a", encoding="utf-8") as file:
        file.write(more)
    said = run(folder, "-o", out, "--changed").stdout.splitlines()
    told = {line.split(": ")[0]: line for line in said if line not in cautions()}
    assert list(cautions()) == said[-len(cautions()) :]
    assert set(told) == {"kedgeree.txt", "mash.yaml", "pie.yaml", "more.jsonl#3", "soups/low-tide.yaml"}
    assert "its recipe changed and decisions changed" in told["mash.yaml"]
    assert "nothing points to milk any more" in told["mash.yaml"]
    assert "energy" in told["pie.yaml"]
    assert "now complete" in told["kedgeree.txt"]
    assert "because decisions changed" in told["kedgeree.txt"]
    assert "new" in told["more.jsonl#3"]
    assert "gone" in told["soups/low-tide.yaml"]
    assert run(folder, "-o", out, "--changed").stdout == ""


def test_doubtful_names_are_ranked_by_what_they_touch(tmp_path: Path) -> None:
    folder = tmp_path / "recipes"
    folder.mkdir()
    for number in range(3):
        lines = ["200 g potatoes", "20 g moon dust"] + (["30 g star anchovy glue"] if number == 1 else [])
        text = f"Dish {number}\nServes 2\n\n" + "\n".join(lines) + "\n"
        (folder / f"{number}.txt").write_text(text, encoding="utf-8")
    assert run(folder, "-o", tmp_path / "out").exit_code == 0
    ranked = rows(tmp_path / "out" / "doubtful.csv")
    assert [(row["name"], row["dishes"]) for row in ranked] == [("moon dust", "3"), ("star anchovy glue", "1")]
    assert ranked[0]["energy (kcal)"] == "", "what nobody knows is no zero"
    page = (tmp_path / "out" / "index.html").read_text(encoding="utf-8")
    assert page.index("moon dust</b>") < page.index("star anchovy glue</b>")


def test_of_names_in_as_many_dishes_the_one_with_more_energy_stands_first(tmp_path: Path) -> None:
    energies = {"aal": None, "brack": 10.0, "zander paste": 500.0, "often": 1.0}
    lines = [
        dict.fromkeys(line_schema().names)
        | {"file": file, "text": name, "doubtful": [{"name": name, "food_name": "Fish", "energy_kcal": kcal}]}
        for file in ("a.yaml", "b.yaml")
        for name, kcal in energies.items()
        if name == "often" or file == "a.yaml"
    ]
    pq.write_table(pa.Table.from_pylist(lines, line_schema()), tmp_path / LINES)
    found = ranked(tmp_path)
    assert [one.name for one in found] == ["often", "zander paste", "brack", "aal"]
    assert [(one.dishes, one.energy, one.unknown) for one in found] == [
        (2, 2.0, 0),
        (1, 500.0, 0),
        (1, 10.0, 0),
        (1, 0.0, 1),
    ]


def test_ask_writes_decisions_and_counts_by_them(tmp_path: Path) -> None:
    import click.testing

    from nutrilab.cli import main

    folder = tmp_path / "recipes"
    folder.mkdir()
    for number in range(2):
        text = f"Dish {number}\nServes 2\n\n200 g potatoes\n20 g moon dust\n"
        (folder / f"{number}.txt").write_text(text, encoding="utf-8")
    asked = ["collection", str(folder), "-o", str(tmp_path / "out"), "--ask"]
    ran = click.testing.CliRunner().invoke(main, asked, input="none\n")
    assert "in dishes of the collection: 2; calories of its lines: not known" in ran.stderr
    assert "0 kcal" not in ran.stderr, "what nobody knows is no zero"
    assert ran.exit_code == 0, ran.stderr
    assert "moon dust: none" in (folder / "decisions.yaml").read_text(encoding="utf-8")
    assert all(row["complete"] for row in dishes(tmp_path / "out").values())
    assert rows(tmp_path / "out" / "doubtful.csv") == []


def test_who_has_enough_of_questions_keeps_the_answers(tmp_path: Path) -> None:
    import click.testing

    from nutrilab.cli import main

    folder = tmp_path / "recipes"
    folder.mkdir()
    (folder / "a.txt").write_text("A\nServes 2\n\n20 g moon dust\n30 g star anchovy glue\n", encoding="utf-8")
    (folder / "b.txt").write_text("B\nServes 2\n\n200 g potatoes\n20 g moon dust\n", encoding="utf-8")
    asked = ["collection", str(folder), "-o", str(tmp_path / "out"), "--ask"]
    ran = click.testing.CliRunner().invoke(main, asked, input="none\n")  # the end of the input is as good as Ctrl-C
    assert ran.exit_code == 0, ran.stderr
    assert {file: row["complete"] for file, row in dishes(tmp_path / "out").items()} == {"a.txt": False, "b.txt": True}
