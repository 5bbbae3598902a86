"""The page of a collection: quick with ten thousand dishes, harmless whatever they are called, whole at any width."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pyarrow as pa
import pyarrow.parquet as pq
import pytest

from nutrilab.allergens import cautions
from nutrilab.collection.doubtful import Doubtful
from nutrilab.collection.results import DISHES, LINES
from nutrilab.collection.rows import dish_schema, line_schema
from nutrilab.collection.values import Fault
from nutrilab.marks import carried
from nutrilab.sheets import collection_page as page
from tests import browser
from tests.collection.supper import dishes, in_this_process, laid, recipe, run
from tests.layout import collisions, lettered
from tests.test_hostile_sheets import PAYLOADS

MANY = 10_000
QUICK = 100  # [ms] for a filter, the least of nine: other programs run on this machine


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The results of the supper club, with dishes and lines that are called what may do harm."""
    from nutrilab.collection import processes

    top = tmp_path_factory.mktemp("collection")
    folder = laid(top / "recipes")
    hostile = [recipe(text, "100 g butter", f"20 g {text}") for text in PAYLOADS]
    (folder / "hostile.jsonl").write_text("\n".join(map(json.dumps, hostile)), encoding="utf-8")
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(processes, "run", in_this_process)
        assert run(folder, "-o", top / "out").exit_code == 1
    return top / "out"


@pytest.fixture(scope="module")
def many(made: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A page of ten thousand dishes with ten lines each."""
    out = tmp_path_factory.mktemp("many")
    kept, lines = pq.read_table(made / DISHES).to_pylist(), pq.read_table(made / LINES).to_pylist()
    kept = [row for row in kept if "hostile" not in row["file"]]
    rows = [{**kept[n % len(kept)], "file": f"d{n:05d}.yaml", "dish": f"Dish number {n}"} for n in range(MANY)]
    more = [{**lines[(n + k) % 12], "file": row["file"]} for n, row in enumerate(rows) for k in range(10)]
    pq.write_table(pa.Table.from_pylist(rows, dish_schema()), out / DISHES)
    pq.write_table(pa.Table.from_pylist(more, line_schema()), out / LINES)
    page.write(out, [], [], ["USDA SR28"])
    return out / "index.html"


def test_it_filters_ten_thousand_dishes_at_once(many: Path) -> None:
    by = "document.getElementById"
    with browser.page(many, 1280) as opened:
        assert opened.text("#count").startswith("Dishes: 10000.")
        timed = """(set) => { const times = []; for (let n = 0; n < 9; n++) { const t = performance.now(); set();
          document.getElementById("controls").dispatchEvent(new Event("input")); document.body.offsetHeight;
          times.push(performance.now() - t); } return times.sort((a, b) => a - b)[0]; }"""
        tick = 'document.querySelector("input[value=milk]")'
        ways = {
            "words": f"{by}('words').value = 'number 99'",
            "allergen": f"{by}('words').value = ''; {tick}.checked = true",
            "complete": f"{tick}.checked = false; {by}('which').value = '0'",
            "order": f"{by}('which').value = ''; {by}('order').value = 'salt down'",
        }
        left = {}
        for name, way in ways.items():
            took = opened.js(f"({timed})(() => {{ {way}; }})")
            assert took < QUICK, f"{name}: {took:.0f} ms"
            left[name] = opened.text("#count")
        assert left["words"].startswith("Dishes: 280 of 10000.")  # of four figures, 280 hold two nines in a row
        assert left["complete"] == "Dishes: 2000 of 10000. Not complete: 2000."
        assert "no promise" in left["allergen"] or "not a promise" in left["allergen"]
        assert not opened.errors


def test_what_a_filter_leaves_is_what_the_table_says(made: Path) -> None:
    rows = dishes(made)
    safe = [row["file"] for row in rows.values() if row["complete"] and not row["fish"]]
    with browser.page(made / "index.html", 1280) as opened:
        opened.click("input[value=fish]")
        assert sorted(opened.texts("#dishes .file")) == sorted(safe)
        opened.js("document.querySelector('button[type=reset]').click()")
        opened.wait("document.querySelectorAll('#dishes tr').length > 6")
        opened.js("document.getElementById('words').value = 'HADDOCK'; undefined")
        opened.js("document.getElementById('words').dispatchEvent(new Event('input', {bubbles: true}))")
        assert opened.texts("#dishes .file") == ["kedgeree.txt"]
        assert "NOT COMPLETE: not understood" in opened.text("#dishes")
        assert "moon dust" in opened.text("#dishes")


def test_the_cautions_and_what_could_not_be_read_stand_on_it(made: Path) -> None:
    text = (made / "index.html").read_text(encoding="utf-8")
    assert carried(text.encode())
    with browser.page(made / "index.html", 1280) as opened:
        shown = opened.text()
        assert all(sentence in shown for sentence in cautions())
        assert "broken.yaml" in shown
        assert not opened.requests
    with browser.page(made / "index.html", 800, script=False) as opened:
        assert "dishes.csv" in opened.text()
        assert all(sentence in opened.text() for sentence in cautions())


def test_nothing_of_a_recipe_acts(made: Path) -> None:
    with browser.page(made / "index.html", 1280) as opened:
        assert opened.js("document.querySelectorAll('#dishes tr').length") == len(dishes(made))
        assert opened.js("window.pwned === undefined")
        assert opened.js("document.querySelectorAll('#dishes script, #dishes img, #dishes svg').length") == 0
        assert not opened.errors
        assert not opened.requests


@pytest.mark.parametrize("width", [390, 1280])
@pytest.mark.parametrize("letters", ["shipped", "wide"])
def test_nothing_lies_on_anything(made: Path, tmp_path: Path, width: int, letters: str) -> None:
    shutil.copy(made / "index.html", tmp_path / "page.html")
    html = (tmp_path / "page.html").read_text(encoding="utf-8")
    (tmp_path / "page.html").write_text(lettered(html, letters), encoding="utf-8")
    with browser.page(tmp_path / "page.html", width) as opened:
        assert opened.sideways() == 0
        assert collisions(opened) == []


def test_the_dishes_stand_in_their_place_whatever_a_name_says(made: Path, tmp_path: Path) -> None:
    for name in (DISHES, LINES):
        shutil.copy(made / name, tmp_path / name)
    told = Doubtful(page._HERE, page._HERE, page._HERE, page._HERE, 1, 1)
    page.write(tmp_path, [told], [Fault(page._HERE, None, page._HERE)], [page._HERE])
    text = (tmp_path / "index.html").read_text(encoding="utf-8")
    data = text.partition('<script type="application/json" id="data">')[2].partition("</script>")[0]
    assert [row[1] for row in json.loads(data)] == list(dishes(made))
    assert f"<b>{page._HERE}</b>" in text


def test_many_problems_are_cut_and_it_says_so(made: Path, tmp_path: Path) -> None:
    for name in (DISHES, LINES):
        shutil.copy(made / name, tmp_path / name)
    page.write(tmp_path, [], [Fault(f"{n}.yaml", None, "no portions") for n in range(40)], [])
    text = (tmp_path / "index.html").read_text(encoding="utf-8")
    assert "15 more in problems.csv" in text
    count = text.index('id="count"')
    assert count < text.index("Could not be read, so not in this list: 40.") < text.index("<table")
    page.write(tmp_path, [], [], [])
    assert "Could not be read" not in (tmp_path / "index.html").read_text(encoding="utf-8")
