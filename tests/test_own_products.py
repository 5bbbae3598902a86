"""Packs as a food table: values per 100 g or 100 ml, "<" with its bounds, allergens that survive the import."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from data_loaders import own_products, registry, schema
from data_loaders.own_products import Product
from data_loaders.schema import TableError
from nutrilab import products
from nutrilab.foods import FoodTable, embedded
from nutrilab.kitchen import Kitchen
from nutrilab.products import as_food, import_products, imported_products, load, stacked
from nutrilab.remarks import InputError

HERE = Path(__file__).parents[1]

PACKS = """\
- name: Harbour vegetable stock cubes
  aliases: [vegetable stock cube, veg cube]
  energy kJ: 980
  energy kcal: 234
  fat: 12,5 g
  saturates: <6 g
  salt: 52 g
  pack size: 80 g
  ingredients: Salt, palm oil, **mustard** seed, yeast extract
  may contain: [milk]
- name: Tidewater oat drink
  per: 100 ml
  density: 1.03
  energy kcal: 46
  fat: 1.5 g
  sugars: 3.1 g
  salt: 0.1 g
  pack size: 1 l
  contains: oats
- name: Crème de la jetée
  polyols: 30 g
  carbohydrate: 60 g
"""
INGREDIENTS = "Salt, palm oil, **mustard** seed, yeast extract"
CSV = f"""\
name,aliases,energy_kJ,energy kcal,fat,saturates,salt,per,pack size,ingredients,contains,may contain
Harbour vegetable stock cubes,vegetable stock cube; veg cube,980,234,12.5,<6,52,,80 g,"{INGREDIENTS}",,milk
"""


def write(folder: Path, text: str, name: str = "packs.yaml") -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def refused(path: Path, words: str) -> None:
    with pytest.raises(TableError) as error:
        own_products.load(path)
    assert str(error.value).startswith(str(path))
    assert words in str(error.value)
    assert "\n" not in str(error.value)


# -- the table -------------------------------------------------------------------------------------


def test_packs_become_a_food_table(tmp_path: Path) -> None:
    table = registry.load("own-products", write(tmp_path, PACKS))
    schema.check(table, "packs")
    cube, drink, cream = table.foods.to_dict("records")
    assert [f["food_id"] for f in (cube, drink, cream)] == [
        "own:harbour-vegetable-stock-cubes",
        "own:tidewater-oat-drink",
        "own:creme-de-la-jetee",
    ]
    assert (cube["FAT"], cube["NACL"], cube["ENERC_KJ"]) == (12.5, 52, 980)
    assert cube["NA"] == pytest.approx(20800)  # 52 g of salt / 2.5, Regulation (EU) No 1169/2011, Annex I
    assert cube["PROCNT"] != cube["PROCNT"]  # not on the pack: missing, never 0
    assert drink["FAT"] == pytest.approx(1.5 / 1.03)  # per 100 ml: by its density
    assert drink["NACL"] == pytest.approx(0.1 / 1.03)
    assert cream["POLYL"] == 30
    assert table.provenance.inputs == {"packs.yaml": schema.sha256(PACKS.encode())}
    assert "label" in table.provenance.carbohydrate


def test_what_a_pack_weighs_is_a_measure(tmp_path: Path) -> None:
    measures = own_products.load(write(tmp_path, PACKS)).measures.to_dict("records")
    rows = [(m["food_id"].split("-")[0], m["amount"], m["words"], pytest.approx(m["grams"])) for m in measures]
    assert rows == [
        ("own:harbour", 1, "pack", 80),
        ("own:tidewater", 100, "ml", 103),
        ("own:tidewater", 1, "pack", 1030),
    ]


def test_less_than_keeps_its_bounds(tmp_path: Path) -> None:
    table = own_products.load(write(tmp_path, PACKS))
    assert table.notes is not None
    (note,) = table.notes.to_dict("records")
    assert (note["tagname"], note["kind"], note["low"], note["high"]) == ("FASAT", "less than", 0, 6)
    assert table.foods["FASAT"][0] == 6  # the most it may be, as in products.yaml
    per_ml = own_products.load(write(tmp_path, "- {name: x, per: 100 ml, density: 0.5, salt: <0.01 g}"))
    assert per_ml.notes is not None
    assert per_ml.notes["tagname"].tolist() == ["NA"]
    assert per_ml.notes["high"][0] == pytest.approx(0.01 * 400 / 0.5)


def test_csv_reads_the_same_with_commas_semicolons_and_tabs(tmp_path: Path) -> None:
    first = own_products.load(write(tmp_path, PACKS)).foods.iloc[0].dropna()
    for divider in (",", ";", "\t"):
        text = CSV.replace(INGREDIENTS, "LABEL").replace("; veg", " AND veg").replace(",", divider)
        text = text.replace("LABEL", INGREDIENTS).replace(" AND", "," if divider == ";" else ";")
        path = write(tmp_path, text, "packs.csv")
        found = own_products.load(path).foods.iloc[0].dropna()
        assert found.to_dict() == first.to_dict()
        (product,) = own_products.read_packs(path)
        assert product.aliases == ("vegetable stock cube", "veg cube")
        assert product.ingredients == INGREDIENTS


def test_millilitres_of_an_unknown_density_are_no_weight(tmp_path: Path) -> None:
    (product,) = own_products.read_packs(write(tmp_path, "- name: x\n  pack size: 1 l\n"))
    assert product.pack is None
    refused(write(tmp_path, "- name: x\n  per: 100 ml\n  fat: 1\n"), "line 2: values per 100 ml need")


@pytest.mark.parametrize(("text", "expected"), [("contains:", None), ("contains: []", ()), ("contains: none", ())])
def test_an_empty_field_never_states_that_there_is_none(tmp_path: Path, text: str, expected: object) -> None:
    """A cook who leaves "contains:" blank has not said that the pack contains nothing."""
    (product,) = own_products.read_packs(write(tmp_path, f"- name: stock cube\n  {text}\n"))
    assert product.contains == expected
    (product,) = own_products.read_packs(
        write(tmp_path, f"name,contains\ncube,{'none' if expected == () else ''}\n", "p.csv")
    )
    assert product.contains == expected


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("- name: x\n  salt: 120 g", "line 2: salt of 120 cannot be in 100 g"),
        ("- name: x\n  per: 100 ml\n  density: 0.5\n  fat: 60 g", "line 4: fat of 60 cannot be"),
        ("- name: x\n  fat: 60\n  carbohydrate: 60", "come to 120 g in 100 g"),
        ("- name: x\n  density: 0\n", "line 2: density must be a number above 0"),
        ("- name: x\n  pack size: 0 g\n", "line 2: pack size must be"),
        ("- name: x\n  fat: -1\n", 'line 2: fat is "-1"; write a number in g or mg'),
        ("- name: x\n  polyols: 5\n  carbohydrate: 4\n", "polyols are part of carbohydrate"),
        ("- name: Oat-cake\n- name: oat cake", 'line 2: "oat cake" already names "Oat-cake"'),
        ("- name: 海\n", "write one with letters"),
        ("- [a, b]", 'line 1: a product is written as "key: value" lines'),
        ("- name: [a]", '"name" takes one value'),
        ("- name: x\n  contains: [[milk]]", 'line 2: "contains" is a list of words'),
        ("[" * 100_000, "packs.yaml, line 1: this is"),
        ("- name: x\n---\n- name: y", "line 2: a second document begins here"),
        ("- name: &a x\n- name: *a", "line 1: YAML anchors"),
        ("- name: !!python/object/apply:os.system [ls]", "YAML tags"),
        ("[]", "no product stands in it"),
        ("- name: 'a\0b'", "this is no text file"),
        ("- name: [x", "not written as YAML wants it"),
    ],
)
def test_every_mistake_in_yaml_is_one_sentence(tmp_path: Path, text: str, words: str) -> None:
    refused(write(tmp_path, text), words)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("name,fat,fat\nx,1,2\n", 'line 1: the first line names "fat" twice; take one'),
        ("name,colour\nx,red\n", 'line 1: "colour" is no word of a product'),
        ("name,fatt\nx,1\n", 'did you mean "fat"?'),
        ("name,fat\nx,1\ny,1,2\n", "line 3: this line has 3 cells, and the first line has 2"),
        ("fat\n1\n", 'one of them "name"'),
        ("name\n", "no product stands in it"),
        ("name,fat\n,1\n", "line 2: a product needs"),
        (f"name\n{'x' * 200_000}\n", "line 2: this is not written as CSV ("),
        ("name" + ",fat" * 400_000, 'names "fat" twice'),
        ("name," + ",".join(f"c{i}" for i in range(200_000)), '"c0" is no word'),
    ],
)
def test_every_mistake_in_csv_is_one_sentence(tmp_path: Path, text: str, words: str) -> None:
    refused(write(tmp_path, text, "packs.csv"), words)


def test_files_that_are_no_text_or_too_large_are_refused(tmp_path: Path) -> None:
    path = tmp_path / "packs.csv"
    path.write_bytes("name\nCrème\n".encode("cp1252"))
    refused(path, "line 2: a letter here is not UTF-8")
    path.write_bytes(b"name\n" + b"x" * 2_000_000)
    refused(path, "which is too large; a list of packs has at most 2,000,000")
    refused(tmp_path / "none.csv", "no such file")


@given(st.binary(max_size=300), st.booleans())
def test_any_bytes_are_read_or_refused(tmp_path_factory: pytest.TempPathFactory, data: bytes, as_csv: bool) -> None:
    path = tmp_path_factory.getbasetemp() / ("any.csv" if as_csv else "any.yaml")
    path.write_bytes((b"name,fat\n" if as_csv else b"- name: ") + data)
    try:
        told = ""
        assert own_products.read_packs(path)
    except TableError as error:
        told = str(error)
    assert "\n" not in told


@pytest.mark.parametrize("name", ["Harbour's best", "50% sauce", "Oats", "Crème brûlée", "A  B"])
def test_table_and_product_have_one_id(tmp_path: Path, name: str) -> None:
    table = own_products.load(write(tmp_path, f"- name: {name}"))
    assert table.foods["food_id"].tolist() == [Product(name).food_id] == [own_products.food_id(name)]


# -- from the import to the dish -------------------------------------------------------------------


@pytest.mark.parametrize("kind", ["yaml", "csv"])
def test_a_recipe_line_uses_the_imported_product_values_and_allergens(tmp_path: Path, kind: str) -> None:
    folder = tmp_path / "tables"
    table, foods_file = import_products(write(tmp_path, PACKS if kind == "yaml" else CSV, f"packs.{kind}"), folder)
    (tmp_path / f"packs.{kind}").unlink()  # the cook's file may go
    products = imported_products(folder)
    assert products is not None
    kitchen = Kitchen([embedded()], products=products)
    record = kitchen.line("20 g vegetable stock cube, crumbled")
    food = record.foods[0]
    assert food.link.food is not None
    assert (food.link.food.food_id, food.link.sureness) == ("own:harbour-vegetable-stock-cubes", "sure")
    assert food.link.food.values["NA"] == pytest.approx(20800)
    assert set(record.findings.contains) == {"mustard"}  # the general rules would not have said so
    assert not record.findings.check  # and would have asked for celery and gluten
    assert set(record.findings.may) == {"milk"}
    in_table = FoodTable(foods_file).food("own:harbour-vegetable-stock-cubes")
    for tagname, value in food.link.food.values.items():
        assert in_table.values[tagname] == value
    assert in_table.bounds == food.link.food.bounds == {"FASAT": (0, 6)}
    assert food.product in products.all
    assert food.product.food_id == in_table.food_id
    assert len(table.foods) == len(products.all)


def test_the_density_of_a_pack_weighs_a_line(tmp_path: Path) -> None:
    import_products(write(tmp_path, PACKS), tmp_path)
    kitchen = Kitchen([embedded()], products=imported_products(tmp_path))
    weight = kitchen.line("200 ml tidewater oat drink").foods[0].weight
    assert (weight.grams, weight.ground) == (pytest.approx(206), "density of this food")


def test_what_no_rule_knows_is_refused_at_the_import(tmp_path: Path) -> None:
    path = write(tmp_path, PACKS.replace("contains: oats", "contains: moonlight"))
    with pytest.raises(InputError, match=r"moonlight.*none of the 14"):
        import_products(path, tmp_path / "tables")
    assert not (tmp_path / "tables").exists()


def test_nothing_imported_is_no_products(tmp_path: Path) -> None:
    assert imported_products(tmp_path) is None
    assert imported_products(None) is None
    assert stacked(None, None) is None


def test_importing_again_replaces_and_leaves_nothing_behind(tmp_path: Path) -> None:
    import_products(write(tmp_path, CSV, "a.csv"), tmp_path / "tables")
    import_products(write(tmp_path, PACKS), tmp_path / "tables")
    names = sorted(".".join(p.name.split(".")[:2]) for p in (tmp_path / "tables").iterdir())
    assert names == ["own-products.foods", "own-products.measures", "own-products.notes", "own-products.packs"]
    products = imported_products(tmp_path / "tables")
    assert products is not None
    assert len(products.all) == 3


@pytest.mark.parametrize("damage", ["gone", "changed"])
def test_a_table_whose_packs_are_gone_is_refused_never_used_without_allergens(tmp_path: Path, damage: str) -> None:
    import_products(write(tmp_path, PACKS), tmp_path / "tables")
    (packs,) = (tmp_path / "tables").glob("*.packs.*")
    packs.unlink() if damage == "gone" else packs.write_text(PACKS.replace("mustard", "parsley"))
    with pytest.raises(TableError, match="import them again"):
        imported_products(tmp_path / "tables")


def test_products_beside_the_recipes_stand_before_imported_ones(tmp_path: Path) -> None:
    import_products(write(tmp_path, PACKS), tmp_path)
    beside = load(write(tmp_path, "- name: Harbour vegetable stock cubes\n  contains: celery\n", "products.yaml"))
    both = stacked(beside, imported_products(tmp_path))
    assert both is not None
    assert len(both.all) == 3
    (found,) = (one for one in both.all if one.food_id == "own:harbour-vegetable-stock-cubes")
    assert found is both.match("harbour vegetable stock cubes")
    assert found is not None
    assert found.contains == ("celery",)


def test_remarks_can_be_kept_to_the_products_used(tmp_path: Path) -> None:
    products = load(write(tmp_path, "- name: a thing\n- name: b thing\n"))
    assert len(products.remarks()) == 2
    assert len(products.remarks(products.all[:1])) == 1
    assert products.remarks([]) == ()


def test_a_product_as_food_has_its_measures_and_bounds() -> None:
    food = as_food(Product("x", values={"FAT": 1.0, "NA": 2.0}, density=1.2, pack=50, less_than=("NA",)))
    assert food.bounds == {"NA": (0, 2)}
    assert [(m.amount, m.words, m.grams) for m in food.measures] == [(100, "ml", 120), (1, "pack", 50)]


KILLED = """
import sys, time
from pathlib import Path
from data_loaders import schema
from nutrilab.products import import_products

rename, count = schema.os.replace, 0

def slow(source, target):
    global count
    count += 1
    if count == int(sys.argv[3]):
        print("here", flush=True)
        time.sleep(60)
    rename(source, target)

schema.os.replace = slow
import_products(Path(sys.argv[1]), Path(sys.argv[2]))
"""


@pytest.mark.parametrize("stop_at", [2, 4])  # the packs are renamed first, the foods file fourth and last
def test_a_killed_import_leaves_the_old_packs_in_use(tmp_path: Path, stop_at: int) -> None:
    import_products(write(tmp_path, CSV, "old.csv"), tmp_path / "tables")
    script = write(tmp_path, KILLED, "import_packs.py")
    command = [sys.executable, str(script), str(write(tmp_path, PACKS)), str(tmp_path / "tables"), str(stop_at)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, env=os.environ | {"PYTHONPATH": str(HERE)}) as killed:
        assert killed.stdout is not None
        assert killed.stdout.readline() == b"here\n"
        killed.send_signal(signal.SIGKILL)
    products = imported_products(tmp_path / "tables")
    assert products is not None
    assert [product.name for product in products.all] == ["Harbour vegetable stock cubes"]
    assert len(FoodTable(tmp_path / "tables" / "own-products.foods.parquet")) == 1


PLAIN = {"name": "Quay pesto", "contains": "milk, nuts", "may contain": "celery"}


@pytest.mark.parametrize(
    "listed",
    [
        "- name: Quay pesto\n  contains: [milk]\n- name: Slip biscuits\n  contains: [nuts, milk]\n",
        "  - name: Quay pesto\n    contains: [milk]\n  - name: Slip biscuits\n    contains: [nuts, milk]\n",
        "  - name: Slip biscuits\n    contains: [nuts, milk]\n  # green\n  - name: Quay pesto\n    contains: [milk]\n",
    ],
)
def test_a_pack_written_anew_leaves_all_others_as_they_are(tmp_path: Path, listed: str) -> None:
    path = tmp_path / "products.yaml"
    path.write_text(listed, "utf-8")
    products.add(path, PLAIN)
    found = {one.name: one for one in products.load(path).all}
    assert found["Quay pesto"].contains == ("milk", "nuts")
    assert found["Slip biscuits"].contains == ("nuts", "milk")
    products.add(path, {"name": "Harbour cube", "contains": "celery"})
    assert {one.name for one in products.load(path).all} == {"Quay pesto", "Slip biscuits", "Harbour cube"}


def test_a_list_that_is_written_in_another_way_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "products.yaml"
    path.write_text("[{name: Quay pesto, contains: [milk]}, {name: Slip biscuits, contains: [nuts]}]\n", "utf-8")
    before = path.read_bytes()
    with pytest.raises(InputError):
        products.add(path, PLAIN)
    assert path.read_bytes() == before
