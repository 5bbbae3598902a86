"""kitchen.yaml, --tables, and what one table borrows from another."""

from __future__ import annotations

import json
from pathlib import Path

import pandas as pd
import pytest
from click.testing import CliRunner, Result

from data_loaders.schema import NOTE_COLUMNS, Provenance, TableData, write
from nutrilab.borrowing import lacks, lent
from nutrilab.cli import main
from nutrilab.cooking.errors import deviation
from nutrilab.cooking.steps import ENERGY_KCAL, of_food
from nutrilab.foods import Food, FoodTable, embedded
from nutrilab.kitchen import Kitchen
from nutrilab.nutrition import per_100g, ranges
from nutrilab.recipe import read_recipe
from nutrilab.remarks import InputError
from nutrilab.settings import Settings, in_order, read_settings

COLUMNS = ["food_id", "name", "scientific_name", "group", "source", "refuse"]
# Invented values near those of SR28, so that the table is another one.
LEEK = {
    "WATER": 83.0,
    "PROCNT": 1.6,
    "FAT": 0.4,
    "CHOAVL": 10.5,
    "SUGAR": 3.0,
    "FIBTG": 2.0,
    "NA": 15.0,
    "ENERC_KCAL": 56.0,
}
BUTTER = {"WATER": 15.5, "PROCNT": 0.7, "FAT": 82.0, "CHOAVL": 0.6, "NA": 600.0, "ENERC_KCAL": 743.0}


def table(
    folder: Path, name: str, notes: list[tuple[object, ...]] | None = None, source: str = "Isle table", **more: float
) -> Path:
    """more: further values of the butter."""
    foods = [(f"{name}:1", "Leeks, raw", LEEK), (f"{name}:2", "Butter, salted", BUTTER | more)]
    frame = pd.DataFrame([{**dict.fromkeys(COLUMNS), "food_id": i, "name": n, **v} for i, n, v in foods])
    frame = frame.assign(group="Isle", source=source).astype({"refuse": float})
    frame = frame[[*COLUMNS, *LEEK, *more]]
    measures = pd.DataFrame({"food_id": [f"{name}:1"], "amount": [1.0], "words": ["cup"], "grams": [100.0]})
    about = Provenance("Isle table", "1", "none", "none", "Isle credit", "CHOAVL", "6.25")
    more = pd.DataFrame(notes, columns=list(NOTE_COLUMNS)) if notes else None
    return write(TableData(frame, measures, about, more), folder, name)


def run(folder: Path, *arguments: str) -> Result:
    return CliRunner().invoke(main, list(arguments), env={"NUTRILAB_TABLES": str(folder)})


@pytest.fixture
def soup(tmp_path: Path) -> Path:
    table(tmp_path / "tables", "isle")
    (tmp_path / "soup.yaml").write_text(
        "dish: Soup\nportions: 2\ningredients: [400 g leeks, 50 g salted butter, 500 g potatoes]\n"
    )
    return tmp_path


def ids(result: Result) -> list[str]:
    return [line["food_id"] for line in json.loads(result.stdout)["stages"][0]["lines"]]


def test_tables_in_order_of_preference_and_their_credit(soup: Path) -> None:
    found = run(soup / "tables", "analyse", str(soup / "soup.yaml"), "--tables", "isle,usda-sr", "--format", "json")
    assert ids(found) == ["isle:1", "isle:2", "sr:11352"]
    data = json.loads(found.stdout)
    assert [t["source"] for t in data["food_tables"]] == ["Isle table", "USDA SR28"]
    assert [line["food_source"] for line in data["stages"][0]["lines"]] == ["Isle table", "Isle table", "USDA SR28"]
    text = run(soup / "tables", "analyse", str(soup / "soup.yaml"), "--tables", "isle,usda-sr").stdout
    assert "Isle credit" in text
    plain = run(soup / "tables", "analyse", str(soup / "soup.yaml"))
    assert "Isle credit" not in plain.stdout
    turned = run(soup / "tables", "analyse", str(soup / "soup.yaml"), "--tables", "usda-sr,isle", "--format", "json")
    assert all(i.startswith("sr:") for i in ids(turned))


def test_kitchen_yaml_beside_the_recipes_says_the_same(soup: Path) -> None:
    (soup / "kitchen.yaml").write_text("tables: [own, isle, usda-sr]\n")
    assert ids(run(soup / "tables", "analyse", str(soup / "soup.yaml"), "--format", "json"))[0] == "isle:1"
    asked = run(soup / "tables", "analyse", str(soup / "soup.yaml"), "--tables", "usda-sr", "--format", "json")
    assert ids(asked)[0].startswith("sr:")


def test_kitchen_yaml_beside_the_tables_holds_for_all(soup: Path) -> None:
    (soup / "tables" / "kitchen.yaml").write_text("tables: isle, usda-sr\n")
    assert ids(run(soup / "tables", "analyse", str(soup / "soup.yaml"), "--format", "json"))[0] == "isle:1"


def test_a_missing_component_is_borrowed_and_said(soup: Path) -> None:
    (soup / "kitchen.yaml").write_text("tables: [isle, usda-sr]\nborrow: usda-sr\n")
    data = json.loads(run(soup / "tables", "analyse", str(soup / "soup.yaml"), "--format", "json").stdout)
    said = [w["message"] for w in data["warnings"] if w["code"] == "borrowed"]
    assert any("saturates" in words and "Butter, salted" in words and "USDA SR28" in words for words in said)
    assert data["coverage"]["saturates"] == pytest.approx(1.0)
    assert data["per_portion"]["saturates"] > 12  # 50 g butter hold 25 g saturates (SR28 01001: 51.4 g in 100 g)
    (soup / "kitchen.yaml").write_text("tables: [isle, usda-sr]\n")
    plain = json.loads(run(soup / "tables", "analyse", str(soup / "soup.yaml"), "--format", "json").stdout)
    assert plain["coverage"]["saturates"] == pytest.approx(500 / 950)


def test_a_table_that_lends_is_credited_by_its_foods(tmp_path: Path) -> None:
    """Sources of single foods may have other words than their table's own."""
    poor = FoodTable(table(tmp_path, "isle"))
    rich = FoodTable(table(tmp_path / "far", "far", source="Far rows, no. 7", FASAT=52.0))
    (tmp_path / "d.txt").write_text("Leeks\nServes 2\n\n50 g salted butter\n", encoding="utf-8")
    result = Kitchen([poor], borrow=rich).dish(read_recipe(tmp_path / "d.txt"))
    food = result.stages[0].records[0].foods[0].link.food
    assert food is not None
    assert (food.source_of("FAT"), food.source_of("FASAT")) == ("Isle table", "Far rows, no. 7")
    assert [t.path.name for t in result.tables] == ["isle.foods.parquet", "far.foods.parquet"]


def test_only_what_is_missing_is_lent() -> None:
    mine = Food("isle:2", "Butter", "", "Isle", None, {"FAT": 80.0, "NA": 0.0}, bounds={"NA": (0.0, 1.0)})
    twin = embedded().food("sr:01001")
    assert lacks(mine)
    food, said = lent(mine, twin)
    assert (food.values["FAT"], food.values["NA"]) == (80.0, 0.0)
    assert food.values["FASAT"] == twin.values["FASAT"]
    assert food.values["CHOAVL"] == pytest.approx(0.06)
    assert set(said) == {"saturates", "sugars", "fibre", "protein", "water", "carbohydrate"}
    assert not lacks(food)
    assert lent(food, twin) == (food, ())


def test_no_part_is_lent_that_is_more_than_its_whole() -> None:
    """SR28 01001 butter has 51.4 g saturates and 0.06 g sugars: a spread of 40 g fat cannot have them all."""
    spread = Food("isle:3", "Spread", "", "Isle", None, {"FAT": 40.0, "CHOAVL": 1.0, "NA": 1.0, "PROCNT": 0.5})
    food, said = lent(spread, embedded().food("sr:01001"))
    assert "FASAT" not in food.values
    assert food.values["SUGAR"] == 0.06
    assert set(said) == {"sugars", "fibre", "water"}


def test_bounds_of_a_trace_widen_the_range(tmp_path: Path) -> None:
    notes = [
        ("isle:1", "NA", "trace", 0.0, 30.0, "Tr"),
        ("isle:1", "FAT", "less than", 0.0, 0.8, "<0.8"),
        ("isle:1", "FAT", "confidence", float("nan"), float("nan"), "A"),
    ]
    food = FoodTable(table(tmp_path, "isle", notes)).food("isle:1")
    assert food.bounds == {"NA": (0.0, 30.0), "FAT": (0.0, 0.8)}
    batch = of_food(food, 200)
    low, high = ranges(batch)["salt"] or (0, 0)
    assert (low, high) == (pytest.approx(0.0), pytest.approx(0.15))  # 2 x 30 mg x 2.5
    assert ranges(batch)["fat"] == (pytest.approx(0.0), pytest.approx(1.6))
    assert deviation(batch.spread, ENERGY_KCAL) == (pytest.approx(7.2), pytest.approx(7.2))  # 0.8 g x 9 kcal
    assert per_100g(batch)["fat"] == pytest.approx(0.4)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("tables: 7\n", "is a list of food tables"),
        ("tables: []\nborrow: [usda-sr]\n", "names one food table"),
        ("link: supper.example\n", "is one address of at most 100 letters"),
        ("link: [https://supper.example]\n", "is one address"),
        ('link: "https://supper.example/\\" onload=x"\n', "is one address"),
        ("link: javascript:alert(1)\n", "is one address"),
        ("link: https://suppér.example\n", "is one address"),
        (f"link: https://supper.example/{'x' * 100}\n", "is one address"),
        ("tables: [isle]\ntables: [usda-sr]\n", 'line 2: "tables" stands here a second time'),
        ("table: usda-sr\n", '"table" is no word of a file of settings; did you mean "tables"?'),
        ("- usda-sr\n", "a file of settings is written as"),
        ("tables: [usda-sr\n", "not written as YAML"),
        ("tables: &a [usda-sr]\nborrow: *a\n", "anchors"),
        ("x" * 200_000, "too large"),
    ],
)
def test_faults_of_kitchen_yaml_are_one_sentence(soup: Path, text: str, words: str) -> None:
    (soup / "kitchen.yaml").write_text(text)
    result = run(soup / "tables", "analyse", str(soup / "soup.yaml"))
    assert result.exit_code == 2
    assert words in result.stderr
    assert "kitchen.yaml" in result.stderr
    assert result.stderr.count("\n") == 1


def test_a_table_that_is_not_there_is_named_with_those_that_are(soup: Path) -> None:
    result = run(soup / "tables", "analyse", str(soup / "soup.yaml"), "--tables", "moon")
    assert result.exit_code == 2
    assert "moon" in result.stderr
    assert "isle, usda-sr" in result.stderr.replace("usda-sr, isle", "isle, usda-sr")


def test_names_without_doubles_and_own_products_first_anyway(tmp_path: Path) -> None:
    assert in_order(["own", "isle ", "isle", "", "usda-sr"]) == ("isle", "usda-sr")
    assert in_order(["own"]) == ("usda-sr",)
    assert read_settings([tmp_path]) == Settings()
    (tmp_path / "kitchen.yaml").write_bytes(b"\xff\xfe")
    with pytest.raises(InputError, match="its letters are UTF-16"):
        read_settings([tmp_path])


def test_salt_in_cooking_water_brings_what_the_food_takes(tmp_path: Path) -> None:
    from nutrilab.tracing import brings

    text = "dish: P\nportions: 1\ningredients: [600 g potatoes, 'salt, 2 tsp, for the water']\n"
    (tmp_path / "p.yaml").write_text(text + "cooking: {method: boiled, drained: true}\n")
    found = {
        one.text: one.amount for one in brings(Kitchen([embedded()]).dish(read_recipe(tmp_path / "p.yaml")), "salt")
    }
    assert found["salt, 2 tsp, for the water"] > 0.5
    assert abs(found.get("lost or gained in cooking", 0.0)) < 0.02  # what leaches out of the potatoes
