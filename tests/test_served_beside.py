"""What is served with a dish counts in the portion; 100 g are of what came out of the pot, in every output."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from nutrilab.cli import main
from nutrilab.declaration import components_of, declare, vitamins_of
from nutrilab.law.levels import limits
from nutrilab.recipe import read_recipe
from nutrilab.records import dish_record
from nutrilab.results import DishResult
from nutrilab.sheets.csv_figures import as_csv
from nutrilab.sheets.label import label
from nutrilab.sheets.page import sheet
from nutrilab.sheets.terminal import dish as on_screen
from tests.dishes import kitchen
from tests.html_tree import read

FIGURES = ("energy_kj", "energy_kcal", "fat", "saturates", "carbohydrate", "sugars", "fibre", "protein", "salt")
SAID = "Per 100 g is of what came out of the pot; a portion is with what is served beside it."


def cooked(folder: Path, more: str = "", lines: str = "[800 g plain yoghurt]", name: str = "bowl") -> DishResult:
    path = folder / f"{name}.yaml"
    path.write_text(f"dish: Bowl\nportions: 4\ningredients: {lines}\n{more}", encoding="utf-8")
    return kitchen().dish(read_recipe(path))


def test_100_g_are_of_the_pot_and_a_portion_is_as_served(tmp_path: Path) -> None:
    """USDA SR28 01001, salted butter: 81.11 g fat and 643 mg sodium in 100 g; Regulation (EU) No 1169/2011, Annex I:
    salt is sodium x 2.5."""
    plain, served = cooked(tmp_path), cooked(tmp_path, "serve with: [20 g butter]\n")
    for key in FIGURES:
        assert served.per_100g[key] == plain.per_100g[key], key
    for key, in_100 in (("fat", 81.11), ("salt", 0.643 * 2.5)):
        before, after = plain.per_portion[key], served.per_portion[key]
        assert before is not None
        assert after == pytest.approx(before + 0.2 * in_100)
    assert (served.cooked_mass, served.portion_weight) == (plain.cooked_mass, plain.portion_weight + 20)


def test_every_output_says_the_same(tmp_path: Path) -> None:
    plain, served = cooked(tmp_path), cooked(tmp_path, "serve with: [20 g butter]\n")
    told = dish_record(served)
    assert told["per_100g"] == dish_record(plain)["per_100g"]
    assert told["declared_per_100g"] == dish_record(plain)["declared_per_100g"]
    for page in (sheet(served), label(served)):
        tree = read(page)
        cells = [one.text for one in tree.all("td", data_per="100g") or tree.all("span", data_per="100g")]
        assert cells == [told["declared_per_100g"][key] for key in FIGURES]
        assert SAID in " ".join(page.split())  # units may hang on their numbers by a space that never breaks
    words = " ".join(label(served).split())
    assert f"per portion</span> ({served.portion_weight:.0f} g)" in words.replace("\u00a0", " ")
    assert SAID in " ".join(on_screen(served).split())
    rows = list(csv.DictReader(io.StringIO(as_csv([served])[1:], newline="")))
    assert [float(r["per 100 g"]) for r in rows if r["kind"] == "figure"] == [plain.per_100g[key] for key in FIGURES]
    pot = next(row for row in rows if row["name"] == "cooked weight of the dish")
    assert float(pot["grams"]) == served.cooked_mass
    for one, other in ((plain, served), (served, plain)):
        for page in (sheet(one), label(one), on_screen(one)):
            assert (SAID in " ".join(page.split())) == (one is served), other


def test_vitamins_and_components_too(tmp_path: Path) -> None:
    plain, served = cooked(tmp_path), cooked(tmp_path, "serve with: [20 g butter]\n")
    fat, before = components_of(served)["FAT"], components_of(plain)["FAT"]
    assert (fat.per_100g, before.per_100g) == (served.per_100g["fat"],) * 2
    assert fat.per_portion == pytest.approx(before.per_portion + 0.2 * 81.11)  # SR28 01001
    of_plain, of_served = ({m.name: m for m in vitamins_of(one, all_=True)} for one in (plain, served))
    before_, after = of_plain["Vitamin A"], of_served["Vitamin A"]
    assert (after.per_100, after.share_per_100) == (before_.per_100, before_.share_per_100)
    assert (after.per_portion or 0.0) > (before_.per_portion or 0.0)


def test_what_is_served_beside_can_make_a_portion_high(tmp_path: Path) -> None:
    """UK guide to front of pack labels, November 2016, table 2: above 100 g, more than 21 g fat a portion is high."""
    rule = limits("fat")
    assert rule is not None
    plain, served = cooked(tmp_path), cooked(tmp_path, "serve with: [20 g butter]\n")
    low, high = (next(f for f in declare(one).figures if f.key == "fat") for one in (plain, served))
    assert (low.per_portion or 0.0) < float(rule.portion_high) < (high.per_portion or 0.0)
    assert low.per_100g == high.per_100g
    assert low.level != "high"
    assert high.level == "high"


def test_of_a_drink_100_ml_are_of_the_jug(tmp_path: Path) -> None:
    lines = "[1 kg water, 25.6 g caster sugar]\ndrink: true"
    plain, served = cooked(tmp_path, lines=lines), cooked(tmp_path, "serve with: [20 g butter]\n", lines)
    one, other = declare(plain).basis, declare(served).basis
    assert (one.values, one.unit) == (other.values, "ml")
    assert other.portion == pytest.approx(one.portion + 20)
    assert (one.remark, other.remark) == ("", SAID.replace("100 g", "100 ml"))


def test_a_swap_beside_the_dish_moves_the_portion_alone(tmp_path: Path) -> None:
    cooked(tmp_path, "serve with: [20 g butter]\n")
    ran = CliRunner().invoke(
        main, ["swap", str(tmp_path / "bowl.yaml"), "--swap", "butter = olive oil", "--format", "json"]
    )
    assert ran.exit_code == 0, ran.stderr
    found = json.loads(ran.stdout)
    assert found["before"]["per_100g"] == found["after"]["per_100g"]
    assert found["difference"]["fat"] == pytest.approx(0.2 * (100 - 81.11))  # SR28 04053 olive oil and 01001
