"""What cannot be in 100 g is left out of every table with a word, or the table refused; wrong units are seen."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pandas as pd
import pytest
from click.testing import CliRunner, Result

from data_loaders import checking, leaving_out, registry, schema
from data_loaders.leaving_out import leave_out, limits, most
from data_loaders.schema import FOOD_COLUMNS, Provenance, TableData, TableError, components
from nutrilab.cli import main
from nutrilab.foods import FoodTable, embedded
from tests import test_fr_ciqual, test_uk_cofid, test_usda_sr, usda_fdc_files

MADE_UP = Provenance("made up", "1", "none", "none", "none", "none", "none")


def imported(kind: str, path: Path, into: Path) -> Result:
    return CliRunner().invoke(main, ["tables", "import", kind, str(path), "--into", str(into)])


def table_of(measures: list[tuple[float, str, float]] | None = None, **values: list[float]) -> TableData:
    """Foods "Salt, table", "Leek" and others with these values; measures are leek's."""
    count = max((len(column) for column in values.values()), default=2)
    ids = [f"x:{i}" for i in range(1, count + 1)]
    names = ["Salt, table", "Leek", *(f"Fish {i}" for i in range(3, count + 1))][:count]
    foods = {"food_id": ids, "name": names, "scientific_name": "", "group": "g", "source": "s", "refuse": 0.0}
    rows = [("x:2", *measure) for measure in measures or [(1.0, "leek", 90.0)]]
    return TableData(pd.DataFrame(foods | values), pd.DataFrame(rows, columns=list(schema.MEASURE_COLUMNS)), MADE_UP)


# -- every loader -----------------------------------------------------------------------------------


def sr(place: Path, protein: str = "0.85", grams: str = "14.2") -> Path:
    values = test_usda_sr.FILES["NUT_DATA.txt"].replace("^0.85^", f"^{protein}^")
    weights = test_usda_sr.FILES["WEIGHT.txt"].replace("^14.2^", f"^{grams}^")
    return test_usda_sr.folder(place, {"NUT_DATA.txt": values.encode(), "WEIGHT.txt": weights.encode()})


def fdc(place: Path, protein: str = "0.85", grams: str = "14.2") -> Path:
    values = usda_fdc_files.FILES["food_nutrient.csv"].replace('"1003","0.85"', f'"1003","{protein}"')
    portions = usda_fdc_files.FILES["food_portion.csv"].replace('"tbsp","14.2"', f'"tbsp","{grams}"')
    changes = {"food_nutrient.csv": values.encode(), "food_portion.csv": portions.encode()}
    return usda_fdc_files.folder(place, {**changes})


def ciqual(place: Path, protein: str = "0,69", grams: str = "") -> Path:
    rows = test_fr_ciqual.changed(test_fr_ciqual.sheet(), "PROCNT", protein.replace(".", ","))
    return test_fr_ciqual.put(place, {"ciqual.xls": test_fr_ciqual.workbook(rows)}) / "ciqual.xls"


def cofid(place: Path, protein: str = "0.6", grams: str = "") -> Path:
    """Protein of butter by its nitrogen: x 6.25."""
    place.mkdir()
    sheets = test_uk_cofid.official()
    for row in sheets["1.3 Proximates"]:
        if row[0] == test_uk_cofid.BUTTER:
            row[8] = float(protein) / 6.25
    return test_uk_cofid.save(place, sheets)


LOADERS: dict[str, tuple[Callable[..., Path], str]] = {
    "usda-sr": (sr, "sr:01001"),
    "usda-fdc": (fdc, "fdc:173410"),
    "fr-ciqual": (ciqual, "fr:16400"),
    "uk-cofid": (cofid, "uk:17-685"),
}


@pytest.mark.parametrize("kind", LOADERS)
@pytest.mark.parametrize("protein", ["101", "100.6", "100.9"])
def test_protein_that_cannot_be_is_left_out_with_a_word(kind: str, protein: str, tmp_path: Path) -> None:
    make, food_id = LOADERS[kind]
    done = imported(kind, make(tmp_path / "in", protein=protein), tmp_path / "out")
    assert done.exit_code == 0, done.output
    assert f"{food_id}: Protein" in done.stderr
    assert "cannot be and was left out" in done.stderr
    food = FoodTable(tmp_path / "out" / f"{kind}.foods.parquet").food(food_id)
    assert "PROCNT" not in food.values  # missing, never zero
    assert food.values["FAT"] == pytest.approx(82, abs=1)  # the rest of it stands


@pytest.mark.parametrize("kind", LOADERS)
@pytest.mark.parametrize("protein", ["101.5", "850", "100000", "1e300"])
def test_protein_of_another_unit_is_refused_or_left_out(kind: str, protein: str, tmp_path: Path) -> None:
    make, food_id = LOADERS[kind]
    done = imported(kind, make(tmp_path / "in", protein=protein), tmp_path / "out")
    if done.exit_code == 0:
        assert f"{food_id}: Protein" in done.stderr
        assert "PROCNT" not in FoodTable(tmp_path / "out" / f"{kind}.foods.parquet").food(food_id).values
    else:
        assert (done.exit_code, done.stderr.count("\n")) == (2, 1)
        assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("kind", ["usda-sr", "usda-fdc"])
@pytest.mark.parametrize("grams", ["1e300", "14200", "0.0000142", "26000"])
def test_a_measure_that_cannot_be_is_left_out_with_a_word(kind: str, grams: str, tmp_path: Path) -> None:
    make, food_id = LOADERS[kind]
    done = imported(kind, make(tmp_path / "in", grams=grams), tmp_path / "out")
    assert done.exit_code == 0, done.output
    assert f"{food_id}: a household measure (1 tbsp of" in done.stderr
    found = FoodTable(tmp_path / "out" / f"{kind}.foods.parquet").food(food_id).measures
    assert [measure.grams for measure in found] == [5.0]


@pytest.mark.parametrize("kind", LOADERS)
def test_sound_tables_lose_nothing_and_say_nothing(kind: str, tmp_path: Path) -> None:
    done = imported(kind, LOADERS[kind][0](tmp_path / "in"), tmp_path / "out")
    said = "fdc:400003, OAT DRINK: it is printed per 100 ml without a density, so it was left out\n"
    assert (done.exit_code, done.stderr) == (0, said if kind == "usda-fdc" else "")


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ("protein: 101 g", "protein of 101 cannot be"),
        ("fat: 70 g, carbohydrate: 50 g", "come to 120 g in 100 g"),
        ("energy kcal: 1200", "energy kcal of 1200 cannot be"),
        ("sugars: 9 g, carbohydrate: 5 g", "sugars are part of carbohydrate"),
        ("saturates: 9 g, fat: 5 g", "saturates are part of fat"),
    ],
)
def test_packs_that_cannot_be_are_refused(words: str, says: str, tmp_path: Path) -> None:
    packs = tmp_path / "packs.yaml"
    packs.write_text(f"- {{name: Quay bar, {words}, contains: []}}\n", "utf-8")
    done = imported("own-products", packs, tmp_path / "out")
    assert done.exit_code == 2
    assert says in done.stderr
    assert not (tmp_path / "out").exists()


def test_a_table_of_another_package_is_looked_at_as_well(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    table = table_of([(1.0, "leek", 1e300)], PROCNT=[0.0, 130.0], NA=[38758.0, 20.0])
    monkeypatch.setattr(registry, "load", lambda name, path: table)
    done = imported("quay", tmp_path, tmp_path / "out")
    assert done.exit_code == 0
    assert done.stderr.count("cannot be and was left out") == 2
    assert "PROCNT" not in FoodTable(tmp_path / "out" / "quay.foods.parquet").food("x:2").values


def test_many_sentences_are_cut(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    table = table_of(PROCNT=[1.0] * 60 + [150.0] * 40)
    monkeypatch.setattr(registry, "load", lambda name, path: table)
    done = imported("quay", tmp_path, tmp_path / "out")
    assert done.stderr.count("was left out") == 20
    assert "and 20 more that cannot be were left out" in done.stderr


# -- values and measures ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("tagname", "value"),
    [
        ("PROCNT", 101.0), ("WATER", 100.6), ("NA", 45_000.0), ("FAT", -1.0), ("ENERC_KCAL", 1200.0), ("CA", 2e5),
        ("SUGAR", float("inf")), ("CHOAVLM", 112.0), ("SUCSM", 107.0), ("VITB12", 1e9),
    ],
)  # fmt: skip
def test_what_no_food_can_hold_is_left_out_with_a_word(tagname: str, value: float) -> None:
    table = leave_out(table_of(**{tagname: [0.0, value]}), "made up")
    assert pd.isna(table.foods[tagname].iloc[1])
    assert table.foods[tagname].iloc[0] == 0
    (sentence,) = table.left_out
    assert sentence.startswith(f"x:2: {components()[tagname].name} of ")
    assert sentence.endswith("cannot be and was left out")


@pytest.mark.parametrize(
    ("tagname", "value"),
    [("FAT", 100.0), ("NA", 39_300.0), ("CHOAVLM", 105.0), ("STARCHM", 110.0), ("ENERC_KJ", 3774.0), ("WATER", 0.0)],
)
def test_what_just_can_be_stays(tagname: str, value: float) -> None:
    """Sugar is 105 g of monosaccharide equivalents in 100 g (CoFID 17-063), lard 902 kcal (SR28 04002)."""
    table = table_of(**{tagname: [0.0, value]})
    assert leave_out(table, "made up") is table


def test_macronutrients_far_above_the_whole_go_together() -> None:
    """Nobody knows which of them is wrong."""
    table = leave_out(table_of(FAT=[1.0, 60.0], CHOCDF=[2.0, 60.0], PROCNT=[3.0, 10.0], NA=[1.0, 2.0]), "made up")
    assert table.foods[["FAT", "CHOCDF", "PROCNT"]].iloc[1].isna().all()
    assert table.foods["NA"].iloc[1] == 2
    assert table.left_out == (
        "x:2: fat, carbohydrate, fibre and protein of 130 g in 100 g cannot be and were left out",
    )
    rosemary = table_of(FAT=[1.0, 15.2], CHOAVL=[1.0, 44.3], FIBTG=[0.0, 42.6], PROCNT=[1.0, 4.9])  # CoFID 13-882
    assert leave_out(rosemary, "made up") is rosemary
    (fault,) = checking.check_foods(rosemary.foods).faults["macronutrients"]
    assert fault.words == "they come to 107.0 g"


@pytest.mark.parametrize(
    ("amount", "words", "grams", "stays"),
    [
        (1.0, "cup", 237.0, True), (1.0, "cup", 0.237, False), (1.0, "tsp", 5000.0, False), (1.0, "tsp", 0.005, False),
        (0.5, "cup, chopped", 30.0, True), (100.0, "ml", 100.0, True), (100.0, "ml", 1e5, False),
        (1.0, "bird", 5717.0, True), (1.0, "bird", 57_170.0, False), (2.0, "leaves", 0.1, True),
        (1e-290, "leek", 90.0, False), (1.0, "leek", 1e300, False), (1.0, "cupcake", 45_000.0, False),
        (1.0, "cupcake", 45.0, True), (1.0, "l", 1000.0, True), (1.0, "loaf", 2000.0, True),
    ],
)  # fmt: skip
def test_measures(amount: float, words: str, grams: float, stays: bool) -> None:
    table = leave_out(table_of([(1.0, "leek", 90.0), (amount, words, grams)]), "made up")
    assert (len(table.measures) == 2) is stays
    assert bool(table.left_out) is not stays
    assert table.measures["grams"].iloc[0] == 90


def test_notes_of_what_was_left_out_go_with_it() -> None:
    notes = pd.DataFrame(
        [("x:2", "PROCNT", "less than", 0.0, 300.0, "w"), ("x:1", "PROCNT", "trace", 0.0, 1.0, "w")],
        columns=list(schema.NOTE_COLUMNS),
    )
    table = table_of(PROCNT=[0.5, 150.0])
    found = leave_out(TableData(table.foods, table.measures, MADE_UP, notes), "made up")
    assert found.notes is not None
    assert list(found.notes["food_id"]) == ["x:1"]


def test_a_column_in_another_unit_is_refused_whole() -> None:
    table = table_of(PROCNT=[1000.0 + i for i in range(40)], FAT=[1.0] * 40)
    with pytest.raises(TableError, match="40 of its 40 values of Protein cannot be in g; the column may be in another"):
        leave_out(table, "made up")
    few = table_of(PROCNT=[1.0] * 30 + [150.0] * 10)
    assert len(leave_out(few, "made up").left_out) == 10


def test_every_component_has_a_most_and_every_limit_a_source() -> None:
    assert all(most(tagname) > 0 for tagname in components())
    for name in ("possible.csv", "volumes.csv", "anchor_figures.csv", "middles.csv"):
        assert all(row["source"].strip() for row in leaving_out._rows(name))
    assert limits()["least measure"] < limits()["measure"]


# -- checks at import -------------------------------------------------------------------------------


def test_import_shows_what_is_odd(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    table = table_of(NA=[38758.0, 20.0], SUGAR=[0.0, 9.0], CHOAVL=[0.0, 4.0], FAT=[0.0, 1.0], FASAT=[0.0, 3.0])
    monkeypatch.setattr(registry, "load", lambda name, path: table)
    done = imported("quay", tmp_path, tmp_path / "out")
    assert "odd: sugars are part of carbohydrate: NOT SO in 1 of 2 foods" in done.stdout
    assert "x:2  Leek: 9.00 g in 4.00 g of carbohydrate without fibre" in done.stdout
    assert "odd: saturates are part of fat" in done.stdout
    assert "nutrilab tables check quay" in done.stdout


def test_import_says_when_nothing_tells_of_units(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    table = table_of(PROCNT=[0.0, 1.5])
    monkeypatch.setattr(registry, "load", lambda name, path: table)
    assert "a wrong unit would not be seen" in imported("quay", tmp_path, tmp_path / "out").stdout


def test_import_says_that_a_unit_is_wrong(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    table = table_of(NA=[38.758, 0.02])
    monkeypatch.setattr(registry, "load", lambda name, path: table)
    done = imported("quay", tmp_path, tmp_path / "out")
    assert "THIS CANNOT BE WHAT IT SAYS IT IS: x:1, Salt, table: Sodium, Na of 38.76 mg" in done.stdout
    assert "its unit may be wrong by 1,000" in done.stdout


ANCHORS = {  # made up within the published bounds, under names as cooks and tables of other countries write them
    "Salt": {"NA": 39_000.0}, "Salted butter": {"FAT": 82.0, "ENERC_KCAL": 740.0, "WATER": 15.0},
    "Whole milk": {"CA": 118.0, "PROCNT": 3.3, "FAT": 3.6}, "Plain flour": {"PROCNT": 10.0, "CHOAVL": 75.0},
    "Olive oil": {"FAT": 100.0, "ENERC_KCAL": 899.0}, "Egg": {"PROCNT": 12.6, "CHOLE": 370.0, "NA": 140.0},
    "Sugar": {"SUGAR": 100.0, "CHOAVL": 100.0}, "Salt, low sodium": {"NA": 12_000.0},
    "Milk, dried": {"CA": 950.0, "PROCNT": 26.0}, "Egg, dried": {"PROCNT": 47.0},
}  # fmt: skip


def anchors() -> pd.DataFrame:
    foods = pd.DataFrame.from_dict(ANCHORS, orient="index").reset_index(names="name")
    fixed = {"food_id": [f"x:{i}" for i in range(len(foods))], "name": foods["name"], "scientific_name": ""}
    return pd.DataFrame(fixed | {"group": "g", "source": "s", "refuse": 0.0}).join(foods.drop(columns="name"))


def test_anchors_are_found_by_many_names() -> None:
    report = checking.check_foods(anchors())
    assert report.looked["anchors"] == 7
    assert report.faults["anchors"] == ()


@pytest.mark.parametrize("factor", [1000.0, 0.001])
@pytest.mark.parametrize("tagname", ["NA", "FAT", "ENERC_KCAL", "CA", "PROCNT", "SUGAR", "CHOAVL", "CHOLE", "WATER"])
def test_each_unit_wrong_by_a_thousand_is_seen_by_the_anchors(tagname: str, factor: float) -> None:
    foods = anchors()
    foods[tagname] *= factor
    report = checking.check_foods(foods)
    assert report.faults["anchors"]
    assert "unit may be wrong by 1,000" in report.unsound


def test_one_food_wrong_by_a_thousand_is_seen() -> None:
    """Of several foods of a name the nearest counts: low-sodium salt is no fault, salt in grams is."""
    foods = anchors()
    foods.loc[foods["name"] == "Salt", "NA"] = 39.0
    (fault,) = checking.check_foods(foods).faults["anchors"]
    assert (fault.name, "39 mg where 31000 to 48000 is usual" in fault.words) == ("Salt", True)


@pytest.mark.parametrize("factor", [1000.0, 0.001])
@pytest.mark.parametrize("tagname", ["NA", "FE", "VITC", "PROCNT", "FOL"])
def test_without_any_name_the_middle_of_a_column_tells(tagname: str, factor: float) -> None:
    path = Path(checking.__file__).parents[1] / "nutrilab" / "data" / "usda-sr.foods.parquet"
    foods = checking.read_foods(path).iloc[::9].reset_index(drop=True)
    foods["name"] = [f"elintarvike {i}" for i in range(len(foods))]
    assert checking.check_foods(foods).sound
    foods[tagname] *= factor
    report = checking.check_foods(foods)
    assert report.looked["anchors"] == 0
    assert any(components()[tagname].name in fault.words for fault in report.faults["middles"])
    assert not report.sound


def test_the_embedded_table_keeps_its_anchors_and_loses_nothing() -> None:
    """USDA SR28: every anchor is found and none is off."""
    path = Path(checking.__file__).parents[1] / "nutrilab" / "data" / "usda-sr.foods.parquet"
    foods = checking.read_foods(path)
    report = checking.check_foods(foods)
    assert report.looked["anchors"] == 7
    assert not report.faults["anchors"]
    assert not report.faults["middles"]
    measures = pd.DataFrame(
        [(id_, m.amount, m.words, m.grams) for id_ in embedded().ids for m in embedded().food(id_).measures],
        columns=list(schema.MEASURE_COLUMNS),
    )
    assert len(measures) > 15_000
    assert leave_out(TableData(foods, measures, MADE_UP), "SR28").left_out == ()
    assert list(foods.columns[: len(FOOD_COLUMNS)]) == list(FOOD_COLUMNS)
