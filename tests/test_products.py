"""Own products and their packs: reading the file, every mistake in one sentence, the label's word against the rules."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nutrilab.allergens import ALLERGENS, find
from nutrilab.allergens.labels import label_allergens, read_label
from nutrilab.foods import embedded
from nutrilab.kitchen import Kitchen
from nutrilab.products import Product, Products, as_food, load
from nutrilab.remarks import InputError

GOOD = """\
- name: Harbour vegetable stock cube
  aliases: [stock cube, veg cube]
  energy kJ: 980
  energy kcal: 234
  fat: 12 g
  saturates: <6 g
  salt: 52 g
  pack size: 80 g
  ingredients: Salt, palm oil, **celery** seed, yeast extract
  may contain: [milk]
- name: Oat drink
  per: 100 ml
  density: 1.03
  energy kcal: 46
  salt: 0.1 g
  pack size: 1 l
  contains: oats
"""


def write(folder: Path, text: str, name: str = "products.yaml") -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def test_a_pack_is_read_as_it_says(tmp_path: Path) -> None:
    cube, drink = load(write(tmp_path, GOOD)).all
    assert cube.values["ENERC_KJ"] == 980
    assert cube.values["NA"] == pytest.approx(20800)  # 52 g salt / 2.5, Annex I, in mg
    assert cube.values["FASAT"] == 6  # "<6 g" counts as the most it may be
    assert "PROCNT" not in cube.values  # missing is never zero
    assert drink.values["ENERC_KCAL"] == pytest.approx(46 / 1.03)
    assert drink.pack == pytest.approx(1030)
    assert (cube.line, drink.line) == (1, 11)


def test_a_product_is_found_by_its_longest_name(tmp_path: Path) -> None:
    products = load(write(tmp_path, GOOD))
    found = products.match("veg cubes, crumbled")
    assert found is not None
    assert found.name == "Harbour vegetable stock cube"
    assert products.match("2 carrots") is None


def test_a_csv_table_reads_the_same(tmp_path: Path) -> None:
    head = "name,aliases,fat,salt,ingredients,may contain"
    text = f'{head}\nHarbour cube,stock cube;veg cube,12,52,"Salt, **celery** seed",milk\n'
    (cube,) = load(write(tmp_path, text, "products.csv")).all
    assert cube.aliases == ("stock cube", "veg cube")
    assert cube.values["FAT"] == 12
    assert cube.may == ("milk",)


def test_it_becomes_a_food_of_its_own(tmp_path: Path) -> None:
    food = as_food(load(write(tmp_path, GOOD)).all[0])
    assert food.food_id == "own:harbour-vegetable-stock-cube"
    assert food.values["FAT"] == 12


@pytest.mark.parametrize(
    ("text", "part"),
    [
        ("", "empty"),
        ("name: x", "list"),
        ("- aliases: [x]", "needs"),
        ("- name: x\n  fatt: 3", "did you mean"),
        ("- name: x\n  fat: lots", "write a number"),
        ("- name: x\n  fat: 300", "cannot be"),
        ("- name: x\n  fat: 3\n  saturates: 5", "part of fat"),
        ("- name: x\n  carbohydrate: 3\n  sugars: 5", "part of carbohydrate"),
        ("- name: x\n  energy kj: 1000\n  energy kcal: 1000", "cannot be"),
        ("- name: x\n  energy kj: 1000\n  energy kcal: 500", "do not belong together"),
        ("- name: x\n  per: cup", "100 g or 100 ml"),
        ("- name: x\n  per: 100 ml\n  fat: 1", "density"),
        ("- name: x\n  contains: [moonlight]", "none of the 14"),
        ("- name: x\n- name: X", "already names"),
        ("- name: x\n  aliases: {a: b}", "list of words"),
        ("- name: '...'", "no name"),
        ("- name: &a x", "anchors"),
        ("- name: !!python/object x", "tags"),
        ("- name: x\n  name: y", "second time"),
        ("\t- name: x", "tab"),
        ("- name: [x", "YAML"),
    ],
)
def test_every_mistake_is_one_sentence_with_the_file(tmp_path: Path, text: str, part: str) -> None:
    with pytest.raises(InputError) as caught:
        load(write(tmp_path, text))
    message = str(caught.value)
    assert "products.yaml" in message
    assert part in message
    assert "\n" not in message


def test_a_mistake_names_its_line(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="line 3: salt"):
        load(write(tmp_path, "- name: x\n  fat: 1\n  salt: much\n"))


def test_a_missing_or_strange_file_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="there is no such file"):
        load(tmp_path / "none.yaml")
    (tmp_path / "odd.yaml").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(InputError, match="its letters are UTF-16; save the file as UTF-8"):
        load(tmp_path / "odd.yaml")


@pytest.mark.parametrize("text", ["", "fat,salt\n1,2", "name,colour\nx,red", "name,fat\nx"])
def test_a_broken_csv_is_refused(tmp_path: Path, text: str) -> None:
    with pytest.raises(InputError):
        load(write(tmp_path, text, "p.csv"))


def test_remarks_ask_for_what_the_pack_leaves_open(tmp_path: Path) -> None:
    products = load(write(tmp_path, "- name: Plain thing\n- name: Odd thing\n  ingredients: salt, **zorblax**\n"))
    assert {remark.code for remark in products.remarks()} == {"product-without-allergens", "label-emphasis"}


# -- the pack against the rules --------------------------------------------------------------------


def test_the_pack_overrides_the_rules_both_ways() -> None:
    cube = Product("stock cube", ingredients="Salt, palm oil, **mustard** seed")
    found = find("1 stock cube", product=cube)
    assert set(found.contains) == {"mustard"}  # the rules would not have said so
    assert not found.check  # the rules would have asked for celery and gluten


def test_the_pack_speaks_only_for_its_own_words() -> None:
    cube = Product("stock cube", contains=())
    found = find("1 stock cube melted into 20 g butter", product=cube)
    assert set(found.contains) == {"milk"}


def test_two_packs_of_a_line_each_speak_for_their_own_words() -> None:
    cube, sauce = Product("stock cube", contains=()), Product("brown sauce", contains=("barley",))
    found = find("1 stock cube, brown sauce and 20 g butter", product=[cube, sauce])
    assert set(found.contains) == {"gluten", "milk"}
    assert not found.check


def test_words_that_do_not_name_the_product_are_doubted_not_dropped() -> None:
    cube = Product("house cube", contains=())
    assert "fish" in find("1 anchovy bouillon", product=cube).check


def test_may_contain_is_never_merged_with_contains() -> None:
    found = find("1 oat bar", product=Product("oat bar", ingredients="**oats**, honey. May contain nuts."))
    assert set(found.contains) == {"gluten"}
    assert set(found.may) == {"nuts"}


def test_a_pack_without_a_word_on_allergens_leaves_the_rules_standing() -> None:
    found = find("1 stock cube", product=Product("stock cube", may=("milk",)))
    assert {"celery", "gluten"} <= set(found.check)
    assert "milk" in found.may


def test_sulphites_of_the_maker_count_above_the_limit() -> None:
    assert "sulphites" in find("wine", product=Product("wine", contains=(), sulphites=90.0)).contains
    assert "sulphites" not in find("wine", product=Product("wine", contains=(), sulphites=9.0)).contains


def test_the_evidence_names_the_pack() -> None:
    found = find("1 cube", product=Product("cube", ingredients="**celery**"))
    assert found.contains["celery"] == ("celery: celery (pack of cube)",)


# -- labels --------------------------------------------------------------------------------------

LABEL = (
    "Ingredients: Sugar, Glucose Syrup (from Wheat), Vegetable Oils (Palm, Rapeseed), Whey Powder (**Milk**) (4%), "
    "Flavouring [Lecithin (<b>Soya</b>), colour], Spices 2,5 % (*Mustard*, Pepper). "
    "Allergy advice: for allergens, including cereals containing gluten, see ingredients in bold. "
    "May contain traces of nuts and sesame. Made in a factory that handles fish."
)


def test_a_label_is_read_with_its_brackets_and_percentages() -> None:
    items = {item.name: item for item in read_label(LABEL).items}
    assert list(items) == ["Sugar", "Glucose Syrup", "Vegetable Oils", "Whey Powder", "Flavouring", "Spices"]
    assert [part.name for part in items["Vegetable Oils"].parts] == ["Palm", "Rapeseed"]
    assert (items["Whey Powder"].percent, items["Spices"].percent) == (4.0, 2.5)
    assert items["Flavouring"].parts[0].parts[0].name == "Soya"


def test_a_label_tells_its_allergens_and_the_exempt_wheat_is_none() -> None:
    found = label_allergens(read_label(LABEL))
    assert set(found.contains) == {"milk", "soya", "mustard"}
    assert set(found.may) == {"nuts", "sesame", "fish"}
    assert not found.check


def test_emphasised_words_count_whatever_stands_around_them() -> None:
    assert "milk" in label_allergens(read_label("sugar, coconut **MILK**, salt")).contains
    assert "gluten" in label_allergens(read_label("Glucose syrup (from WHEAT), sugar, salt")).contains


def test_a_label_all_in_capitals_emphasises_nothing() -> None:
    label = read_label("SUGAR, PALM OIL, COCOA, EMULSIFIER (LECITHIN)")
    assert label.emphasised == ()
    assert "soya" in label_allergens(label).check


def test_a_contains_statement_counts() -> None:
    assert set(label_allergens(read_label("Sugar, flavouring. Contains: milk, egg.")).contains) == {"milk", "eggs"}


@given(st.text(alphabet="abm,()[]*<>%. B;", max_size=200))
def test_no_label_ever_raises(text: str) -> None:
    found = label_allergens(read_label(text))
    assert set(found.contains) <= set(ALLERGENS)


@pytest.mark.parametrize(
    "text",
    ["(" * 20000, "**" * 10000, "<b>" * 7000, "milk, " * 3000, "a (" * 7000, "1% " * 7000, "may contain " * 1700],
)
def test_hostile_labels_are_read(text: str) -> None:
    found = label_allergens(read_label(text))
    assert ("milk" in found.contains) == text.startswith("milk")


def test_products_answer_to_the_first_of_two_equal_names() -> None:
    one, two = Product("house cube"), Product("other", ("house cube",))
    assert Products([one, two]).match("a house cube") is one


SOYA = """- name: shore soya drink
  aliases: [milk, stock cube]
  salt: 0.1 g
  ingredients: water, **soya** beans
"""


@pytest.mark.parametrize(
    ("line", "contains"),
    [
        ("900 ml whole milk", "milk"),
        ("50 g milk chocolate", "milk"),
        ("2 tbsp dark soy sauce", "gluten"),
        ("1 chicken stock cube", "gluten"),
        ("200 ml coconut milk", ""),
    ],
)
def test_a_pack_never_speaks_for_a_longer_name(tmp_path: Path, line: str, contains: str) -> None:
    """An alias that stands inside another food's name must not clear that food's allergens."""
    kitchen = Kitchen([embedded()], products=load(write(tmp_path, SOYA)))
    record = kitchen.line(line)
    assert record.foods[0].product is None
    if contains:
        assert contains in {*record.findings.contains, *record.findings.check}
    assert kitchen.line("200 ml milk").foods[0].product is not None
    assert "soya" in kitchen.line("200 ml milk").findings.contains


def test_a_longer_name_is_asked_back(tmp_path: Path) -> None:
    kitchen = Kitchen([embedded()], products=load(write(tmp_path, SOYA)))
    assert "own-product-near" in {remark.code for remark in kitchen.line("1 low salt stock cube").remarks}
    assert "own-product-near" not in {remark.code for remark in kitchen.line("900 ml whole milk").remarks}
