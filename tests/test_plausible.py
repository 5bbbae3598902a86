"""Impossible is refused, improbable said first; what is missing lowers coverage and completeness; figures agree."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from nutrilab import nutrition, plausible
from nutrilab.cli import main
from nutrilab.cooking.steps import mix, of_food
from nutrilab.datafiles import rows
from nutrilab.foods import Food, embedded
from nutrilab.kitchen import Kitchen
from nutrilab.law.energy import available_carbohydrate, reconciled
from nutrilab.products import load
from nutrilab.recipe import InputError, read_recipe
from nutrilab.records import dish_record
from nutrilab.remarks import Code
from nutrilab.results import DishResult
from nutrilab.sheets.writer import View, together


@pytest.fixture(scope="module")
def kitchen() -> Kitchen:
    return Kitchen([embedded()])


def cooked(
    kitchen: Kitchen,
    folder: Path,
    *lines: str,
    portions: float = 4,
    cooking: str = "",
    dish: str = "Slipway supper",
    more: str = "",
) -> DishResult:
    file = folder / "dish.yaml"
    listed = "".join(f"- {line}\n" for line in lines)
    how = f"cooking: {{{cooking}}}\n" if cooking else ""
    file.write_text(f"dish: {dish}\nportions: {portions}\ningredients:\n{listed}{how}{more}", encoding="utf-8")
    return kitchen.dish(read_recipe(file))


def said(result: DishResult) -> list[str]:
    """What is said to be improbable; all of it stands before any other remark."""
    first = [remark.code in plausible.FIRST for remark in result.remarks]
    assert first == sorted(first, reverse=True)
    assert len(result.remarks) == len(set(result.remarks))
    return [remark.message for remark in result.remarks if remark.code == Code.IMPROBABLE]


# -- improbable -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("lines", "portions", "says"),
    [
        (["25 kg potatoes"], 50, "25 kg"),
        (["21 kg flour"], 60, "21 kg"),
        (["46 lb onions"], 80, "20.9 kg"),
        (["12 kg leeks"], 4, "3 kg a portion"),
        (["3 kg rice", "1 litre water"], 1, "3 kg a portion"),
        (["2.1 kg beef mince"], 1, "2.1 kg a portion"),
        (["9 litres water", "1 kg carrots"], 3, "a portion weighs 3.34 kg"),
        (["1.7 kg carrots", "1.6 kg leeks"], 1, "a portion weighs 3.3 kg"),
        (["4 kg butter"], 2, "14673 kcal"),
        (["2 kg sugar", "1 kg butter"], 3, "kcal"),
        (["1 kg leeks", "300 g salt"], 4, "22 g of salt"),
        (["500 g squid", "200 g salt"], 4, "28 g of salt"),
        (["100 ml fish sauce", "50 ml soy sauce"], 2, "18 g of salt"),
    ],
)
def test_the_improbable_is_said_first(
    kitchen: Kitchen, tmp_path: Path, lines: list[str], portions: float, says: str
) -> None:
    result = cooked(kitchen, tmp_path, *lines, portions=portions)
    assert result.remarks[0].code == Code.IMPROBABLE
    assert any(says in message for message in said(result)), said(result)


@pytest.mark.parametrize(
    ("lines", "cooking", "grams"),
    [
        (["400 g potatoes", "600 ml oil for frying"], "method: baked", "138 g of frying oil"),
        (["500 g cod", "600 ml sunflower oil"], "method: pan-fried", "138 g of frying oil"),
        (["500 g squid", "450 g lard"], "method: stir-fried", "112 g of frying oil"),
        (["4 kg potatoes", "1 kg lard"], "method: deep-fried, frying oil left: 100", "225 g of frying oil"),
    ],
)
def test_frying_oil_that_nobody_can_eat(
    kitchen: Kitchen, tmp_path: Path, lines: list[str], cooking: str, grams: str
) -> None:
    result = cooked(kitchen, tmp_path, *lines, cooking=cooking)
    assert any(message.startswith(grams) for message in said(result)), said(result)
    assert [remark.line for remark in result.remarks if "frying oil a portion" in remark.message] == [2]


@pytest.mark.parametrize("cooking", ["", "method: deep-fried", "method: baked"])
def test_oil_for_deep_frying_is_a_bath_whatever_is_said_of_the_cooking(
    kitchen: Kitchen, tmp_path: Path, cooking: str
) -> None:
    """Its purpose says that it is poured and not eaten; without a method it was counted whole, 230 g a portion."""
    result = cooked(kitchen, tmp_path, "500 g cod", "1 litre sunflower oil, for deep-frying", cooking=cooking)
    assert not any("frying oil a portion" in message for message in said(result))
    assert "frying-oil-estimated" in {remark.code for remark in result.remarks}
    assert (result.whole.per_portion["fat"] or 0) < 20


@pytest.mark.parametrize(
    ("lines", "dish", "cooking"),
    [
        (["1 kg potatoes", "200 g cod"], "Supper", ""),
        (["100 g salt", "50 g dried thyme"], "Herb salt", ""),
        (["500 g salt", "500 g sugar"], "Cure for the salmon", ""),
        (["300 g salt", "1 litre water"], "Harbour brine", ""),
        (["40 g stock cubes"], "Vegetable stock cubes", ""),
        (["1.2 kg potatoes", "2 litres sunflower oil"], "Chips", "method: deep-fried"),
        (["1 kg aubergine", "400 ml olive oil for frying"], "Fried aubergine", "method: pan-fried"),
        (["7.9 kg leeks"], "Leeks", ""),
        (["500 g pasta"], "Plain noodles", "method: boiled, drained: true, weight after: 1.2 kg"),
    ],
)
def test_what_a_kitchen_does_is_not_improbable(
    kitchen: Kitchen, tmp_path: Path, lines: list[str], dish: str, cooking: str
) -> None:
    assert said(cooked(kitchen, tmp_path, *lines, dish=dish, cooking=cooking)) == []


@pytest.mark.parametrize(
    ("name", "salty"),
    [
        ("Herb salt", True),
        ("Brine for the ham", True),
        ("Vegetable stock cubes", True),
        ("Dry cure", True),
        ("salt", True),
        ("Salt and pepper squid", False),
        ("Salted caramel tart", False),
        ("Stockpot of beef", False),
        ("Tomato sauce", False),
        ("Fish with sea salt", False),
        ("", False),
    ],
)
def test_salt_stock_and_cures_are_told_by_the_end_of_their_name(name: str, salty: bool) -> None:
    assert plausible.too_salty(30.0, name) is not salty
    assert not plausible.too_salty(9.9, name)
    assert not plausible.too_salty(None, name)


def test_a_stage_too_salty_is_said_where_it_stands(kitchen: Kitchen, tmp_path: Path) -> None:
    file = tmp_path / "dish.yaml"

    def of(name: str, salt: str, portions: int) -> list[tuple[str | None, str]]:
        file.write_text(
            f"dish: Quay stew\nportions: {portions}\nstages:\n"
            f"- stage: {name}\n  ingredients: [200 g tomatoes, {salt}]\n"
            f"- stage: stew\n  ingredients: [all of {name}, 3 kg potatoes]\n",
            encoding="utf-8",
        )
        found = kitchen.dish(read_recipe(file)).remarks
        return [(remark.stage, remark.message) for remark in found if remark.code == Code.IMPROBABLE]

    assert [stage for stage, _ in of("sauce", "100 g salt", 8)] == ["sauce"]
    assert of("curing mix", "100 g salt", 8) == []  # its name says so
    assert of("sauce", "100 g salt", 20) == []  # 4.8 g of it in a portion: many a stock cube brings as much
    assert of("sauce", "10 g salt", 8) == []


@pytest.mark.parametrize("lines", [["1 litre water", "500 g salt"], ["200 ml water", "80 g sea salt"]])
def test_more_salt_than_water_dissolves_is_asked_about(kitchen: Kitchen, tmp_path: Path, lines: list[str]) -> None:
    assert "dissolves 360 g" in said(cooked(kitchen, tmp_path, *lines, dish="Brine"))[0]


def test_a_line_alone_is_looked_at_too(kitchen: Kitchen) -> None:
    assert kitchen.line("30 kg flour").remarks[0].code == Code.IMPROBABLE
    for line in ("10 kg flour", "20 kg flour", "flour"):
        assert Code.IMPROBABLE not in {remark.code for remark in kitchen.line(line).remarks}


def test_each_line_of_what_is_served_and_of_other_stages_is_looked_at_once(kitchen: Kitchen, tmp_path: Path) -> None:
    result = cooked(kitchen, tmp_path, "22 kg leeks", portions=40, more="serve with:\n- 2.5 kg bread\n")
    assert len([message for message in said(result) if "22 kg" in message]) == 1
    assert len([message for message in said(result) if "2.5 kg a portion" in message]) == 1


def test_what_went_into_the_water_is_asked_about(kitchen: Kitchen, tmp_path: Path) -> None:
    """Pasta takes up 1.2 to 1.4 times its weight (SR28 20420 and 20421, by dry matter); no tap makes 5 kg of 500 g."""
    how = "method: boiled, drained: true, weight after:"
    assert (
        "500 g would have grown to 5000 g" in said(cooked(kitchen, tmp_path, "500 g pasta", cooking=f"{how} 5 kg"))[0]
    )
    assert said(cooked(kitchen, tmp_path, "500 g rice", cooking=f"{how} 1.5 kg")) == []


def test_scales_and_lines_that_disagree_come_first(kitchen: Kitchen, tmp_path: Path) -> None:
    result = cooked(kitchen, tmp_path, "1 kg leeks", cooking="method: baked, weight before: 9 kg, weight after: 8 kg")
    assert {remark.code for remark in result.remarks[:2]} == {"scales-and-lines"} | {result.remarks[1].code}
    assert result.remarks[0].code in plausible.FIRST


def test_a_pack_that_says_too_much_salt(tmp_path: Path) -> None:
    packs = tmp_path / "products.yaml"
    packs.write_text(
        "- {name: House tomato sauce, salt: 45 g, contains: []}\n- {name: House stock cube, salt: 45 g, contains: []}\n"
        "- {name: Quay crackers, salt: 2 g, contains: [gluten]}\n",
        encoding="utf-8",
    )
    found = [remark for remark in load(packs).remarks() if remark.code == Code.IMPROBABLE]
    assert [remark.message.split('"')[1] for remark in found] == ["House tomato sauce"]


# -- impossible -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("lines", "cooking", "says"),
    [
        (["500 g potatoes", "1 litre water"], "method: boiled, drained: true, salted water: 400", "dissolves 360 g"),
        (["500 g potatoes", "1 litre water"], "method: boiled, drained: true, salted water: 361", "dissolves 360 g"),
        (["500 g potatoes", "1 litre water", "500 g salt"], "method: boiled, drained: true", "dissolves 360 g"),
        (["500 g sugar", "200 ml water"], "method: simmered, weight after: 450 g", "of water when it holds only"),
        (["400 g butter", "100 g sugar"], "method: baked, weight after: 410 g", "of water when it holds only"),
        (["300 g olive oil", "100 g water"], "method: simmered, weight after: 280 g", "of water when it holds only"),
        (
            ["500 g pasta", "3 litres water"],
            "method: boiled, drained: true, weight after: 40 kg",
            "the line that is missing",
        ),
        (
            ["1 kg chicken breast", "200 ml yoghurt"],
            "method: raw, drained: true, weight after: 3 kg",
            "the line that is missing",
        ),
        (["500 g cod", "50 g flour, for dusting"], "method: pan-fried, weight after: 2 kg", "the line that is missing"),
    ],
)
def test_the_impossible_is_refused(kitchen: Kitchen, tmp_path: Path, lines: list[str], cooking: str, says: str) -> None:
    with pytest.raises(InputError) as error:
        cooked(kitchen, tmp_path, *lines, cooking=cooking)
    assert says in str(error.value)
    assert "dish.yaml, line" in str(error.value)


@pytest.mark.parametrize("after", ["400 g", "240 g", "455 g"])
def test_a_weight_that_cannot_hold_its_macronutrients_is_refused(tmp_path: Path, after: str) -> None:
    """Packs state no water, so that nothing else tells: 95 g of 100 g, of 500 g, are 475 g."""
    packs = tmp_path / "products.yaml"
    packs.write_text("- {name: Quay fudge, fat: 15 g, carbohydrate: 78 g, protein: 2 g, contains: [milk]}\n", "utf-8")
    kitchen = Kitchen([embedded()], products=load(packs))
    with pytest.raises(InputError, match="475 g of fat, carbohydrate, fibre and protein cannot be in"):
        cooked(kitchen, tmp_path, "500 g Quay fudge", cooking=f"method: baked, weight after: {after}")
    near = cooked(kitchen, tmp_path, "500 g Quay fudge", cooking="method: baked, weight after: 470 g")
    assert (near.remarks[0].code, near.whole.mass) == ("scales-and-lines", pytest.approx(475))
    assert said(cooked(kitchen, tmp_path, "500 g Quay fudge", cooking="method: baked, weight after: 480 g")) == []


def test_it_ends_with_exit_code_2_and_one_sentence(tmp_path: Path) -> None:
    file = tmp_path / "dish.yaml"
    how = "{method: boiled, drained: true, salted water: 5000}"
    file.write_text(f"dish: Brine potatoes\nportions: 2\ningredients: [500 g potatoes]\ncooking: {how}\n", "utf-8")
    done = CliRunner().invoke(main, ["analyse", str(file), "--format", "json"])
    assert done.exit_code == 2
    assert done.stdout == ""
    assert done.stderr.count("\n") == 1


@pytest.mark.parametrize(
    ("lines", "cooking"),
    [
        (["500 g potatoes", "1 litre water"], "method: boiled, drained: true, salted water: 359"),
        (["500 g potatoes", "1 litre water", "350 g salt"], "method: boiled, drained: true"),
        (["500 g sugar", "200 ml water"], "method: simmered, weight after: 500 g"),
        (["500 g cod", "50 g flour, for dusting"], "method: pan-fried, weight after: 520 g"),
        (["500 g pasta", "3 litres water"], "method: boiled, drained: true, weight after: 1.1 kg"),
    ],
)
def test_what_just_can_be_is_not_refused(kitchen: Kitchen, tmp_path: Path, lines: list[str], cooking: str) -> None:
    """CRC Handbook of Chemistry and Physics (from memory): water dissolves 359 g of sodium chloride a litre at 20 C."""
    cooked(kitchen, tmp_path, *lines, cooking=cooking)


@pytest.mark.parametrize(
    ("lines", "grams"),
    [(["500 g sugar", "200 ml water"], 495), (["300 g olive oil", "100 g water"], 297), (["40 tbsp sugar"], 490)],
)
def test_no_dish_is_refused_for_scales_that_are_a_little_off(
    kitchen: Kitchen, tmp_path: Path, lines: list[str], grams: int
) -> None:
    """What is dry in it counts then, and no figure is more than can be."""
    result = cooked(kitchen, tmp_path, *lines, cooking=f"method: simmered, weight after: {grams} g")
    assert result.remarks[0].code == "scales-and-lines"
    hundred = result.whole.per_100g
    assert sum(hundred[key] or 0.0 for key in ("fat", "carbohydrate", "fibre", "protein")) <= 100 + 1e-9
    assert result.whole.mass > grams


# -- parts and wholes -------------------------------------------------------------------------------


def test_sugars_are_part_of_carbohydrate_and_saturates_of_fat() -> None:
    """Regulation (EU) No 1169/2011, Annex I points 2, 3, 7 and 8 (from memory)."""
    assert available_carbohydrate({"CHOCDF": 2.8, "SUGAR": 3.7}) == 3.7
    assert available_carbohydrate({"CHOCDF": 3.47, "FIBTG": 1.9, "SUGAR": 2.55}) == 2.55  # SR28 11531, tinned tomatoes
    assert available_carbohydrate({"CHOAVL": 5.0, "SUGAR": 3.7}) == 5.0
    assert available_carbohydrate({"CHOAVLM": 3.0, "SUGAR": 3.2}) == 3.2
    assert available_carbohydrate({"SUGAR": 3.2}) is None  # what is missing stays missing
    assert reconciled({"FAT": 0.01, "FASAT": 0.6}) == {"FAT": 0.6, "FASAT": 0.6}  # CIQUAL 11092, fresh tarragon
    assert "FAT" not in reconciled({"FASAT": 0.6})


def test_no_food_of_the_table_has_a_part_above_its_whole() -> None:
    table = embedded()
    for food_id in table.ids:
        found = nutrition.declared_values(of_food(table.food(food_id), 100.0))
        for part, whole in (("sugars", "carbohydrate"), ("saturates", "fat")):
            inner, outer = found[part], found[whole]
            assert inner is None or outer is None or inner <= outer, food_id


def test_energy_counts_the_same_carbohydrate_and_fat_as_are_declared() -> None:
    """4 kcal of sugars known and of carbohydrate not, 9 of saturates known and of fat not: both wholes have them."""
    known = Food("x:1", "known", "", "x", None, {"FAT": 0.0, "CHOAVL": 0.0, "PROCNT": 0.0, "FASAT": 0.0, "SUGAR": 0.0})
    part = Food("x:2", "part", "", "x", None, {"SUGAR": 10.0, "FASAT": 5.0})
    found = nutrition.declared_values(mix([of_food(known, 100.0), of_food(part, 100.0)]))
    assert (found["carbohydrate"], found["fat"]) == (10.0, 5.0)
    assert found["energy_kcal"] == pytest.approx(4 * 10 + 9 * 5)


@pytest.mark.parametrize(
    "line",
    ["300 ml single cream", "300 ml double cream", "200 ml whole milk", "400g tin chopped tomatoes", "1 beetroot"],
)
def test_declared_sugars_are_never_above_declared_carbohydrate(kitchen: Kitchen, tmp_path: Path, line: str) -> None:
    result = cooked(kitchen, tmp_path, line)
    for per in (result.whole.per_100g, result.whole.per_portion):
        sugars, carbohydrate = per["sugars"], per["carbohydrate"]
        assert sugars is not None
        assert carbohydrate is not None
        assert sugars <= carbohydrate
    for declared in (dish_record(result)["declared_per_100g"], dish_record(result)["declared_per_portion"]):
        assert float(declared["carbohydrate"].split()[0]) >= float(declared["sugars"].split()[0])


@pytest.mark.parametrize(
    ("values", "says"),
    [
        ({"CHOCDF": 2.8, "FIBTG": 0.0, "SUGAR": 3.7, "FAT": 19.0, "FASAT": 12.0}, "3.7 g of sugars in 2.8 g of carb"),
        ({"CHOCDF": 3.47, "FIBTG": 1.9, "SUGAR": 2.55}, "2.5 g of sugars in 1.6 g of carbohydrate"),
        ({"CHOAVL": 4.0, "SUGAR": 5.0}, "5.0 g of sugars in 4.0 g"),
        ({"CHOAVLM": 4.4, "STARCHM": 4.4, "SUGAR": 5.0}, "5.0 g of sugars in 4.0 g"),
        ({"FAT": 10.0, "FASAT": 12.0}, "12.0 g of saturates in 10.0 g of fat"),
        ({"FAT": 50.0, "CHOAVL": 40.0, "PROCNT": 15.0, "FIBTG": 2.0}, "come to 107 g"),
    ],
)
def test_a_table_that_contradicts_itself_is_named(values: dict[str, float], says: str) -> None:
    (remark,) = plausible.contradictions("cream", values)
    assert remark.code == Code.TABLE_CONTRADICTS_ITSELF
    assert says in remark.message


@pytest.mark.parametrize(
    "values",
    [
        {"CHOCDF": 3.4, "FIBTG": 0.0, "SUGAR": 3.7},  # rounding
        {"FAT": 9.99, "FASAT": 10.0},
        {"SUGAR": 5.0},
        {"FAT": 100.0, "CHOAVL": 0.0, "PROCNT": 0.25},
    ],
)
def test_rounding_is_no_contradiction(values: dict[str, float]) -> None:
    assert plausible.contradictions("cream", values) == ()


def test_a_line_and_a_dish_tell_of_it(kitchen: Kitchen, tmp_path: Path) -> None:
    codes = [remark.code for remark in cooked(kitchen, tmp_path, "300 ml single cream").remarks]
    assert Code.TABLE_CONTRADICTS_ITSELF in codes
    assert Code.TABLE_CONTRADICTS_ITSELF in {
        remark.code for remark in kitchen.line("400g tin chopped tomatoes").remarks
    }
    assert Code.TABLE_CONTRADICTS_ITSELF not in {remark.code for remark in kitchen.line("200 g butter").remarks}


# -- what is missing --------------------------------------------------------------------------------

UNWEIGHED = ["a pile of zorblewick", "cod", "1 sack of flour", "smoked salmon for the top", "2 Zappo bars"]


@pytest.mark.parametrize("line", UNWEIGHED)
def test_a_line_that_could_not_be_weighed_lowers_coverage_and_completeness(
    kitchen: Kitchen, tmp_path: Path, line: str
) -> None:
    result = cooked(kitchen, tmp_path, "2 tbsp water", line)
    assert result.unweighed == (line,)
    assert not result.complete
    assert all(share == pytest.approx(0.5) for share in result.whole.coverage.values())
    assert {one["coverage"] for one in dish_record(result)["vitamins_and_minerals"]} <= {0.5}
    whole = cooked(kitchen, tmp_path, "200 g leeks")
    assert whole.complete
    assert whole.whole.coverage["mass_linked"] == pytest.approx(1)


def test_half_a_line_that_could_not_be_weighed_counts_too(kitchen: Kitchen, tmp_path: Path) -> None:
    result = cooked(kitchen, tmp_path, "175 g unsalted butter, plus zorble")
    assert (result.complete, result.whole.coverage["mass_linked"]) == (False, pytest.approx(0.5))


def test_nothing_but_unweighed_lines_is_covered_not_at_all(kitchen: Kitchen, tmp_path: Path) -> None:
    result = cooked(kitchen, tmp_path, "cod", "haddock")
    assert result.unweighed == ("cod", "haddock")
    assert set(result.whole.coverage.values()) == {0.0}
    assert result.whole.per_portion["energy_kcal"] is None


def test_what_has_a_weight_and_no_food_lowers_coverage_by_its_weight(kitchen: Kitchen, tmp_path: Path) -> None:
    result = cooked(kitchen, tmp_path, "900 g leeks", "100 g zorblewick")
    assert result.unweighed == ("100 g zorblewick",)
    assert result.whole.coverage["mass_linked"] == pytest.approx(0.9)


def test_headings_and_what_is_no_food_ask_for_no_weight(tmp_path: Path) -> None:
    kitchen = Kitchen([embedded()], {"cling film": "none"})
    result = cooked(kitchen, tmp_path, "200 g leeks", "cling film")
    assert (result.complete, result.unweighed, result.whole.coverage["mass_linked"]) == (True, (), pytest.approx(1))


@pytest.mark.parametrize(
    ("lines", "complete"),
    [
        ("[200 g leeks, 100 g butter]", True),
        ("[200 g leeks, 1 bay leaf, a pinch of salt]", True),
        ("[200 g leeks, a pile of zorblewick]", False),
        ("[200 g leeks, cod]", False),
        ("[200 g leeks, 1 sack of flour]", False),
    ],
)
def test_every_sheet_agrees_about_completeness(tmp_path: Path, lines: str, complete: bool) -> None:
    file = tmp_path / "dish.yaml"
    file.write_text(f"dish: Quay leeks\nportions: 2\ningredients: {lines}\n", encoding="utf-8")
    out = {
        form: CliRunner().invoke(main, ["analyse", str(file), "--format", form]).output
        for form in ("json", "csv", "text", "html", "label", "caption", "jsonld", "still")
    }
    assert json.loads(out["json"])["complete"] is complete
    first = next(csv.DictReader(io.StringIO(out["csv"][1:])))
    assert first["complete"] == ("yes" if complete else "NO")
    assert bool(first["not understood"] or first["not in the figures"]) is not complete
    for form in ("text", "html", "label", "caption", "jsonld", "still"):
        assert ("NOT COMPLETE" in out[form]) is not complete, form
    assert bool(json.loads(out["json"])["unweighed"]) is not complete


def test_the_coverage_of_the_table_is_that_of_the_record(kitchen: Kitchen, tmp_path: Path) -> None:
    result = cooked(kitchen, tmp_path, "200 g leeks", "cod")
    record, text = dish_record(result), together([result], "csv", View(long=True))
    assert isinstance(text, str)
    figures = [row for row in csv.DictReader(io.StringIO(text[1:])) if row["kind"] == "figure"]
    assert {float(row["known for share of weight"]) for row in figures} == {record["coverage"]["fat"]} == {0.5}


def test_a_value_missing_for_a_trace_of_the_weight_leaves_the_dish_complete(kitchen: Kitchen, tmp_path: Path) -> None:
    """0.03 % of the weight without sugars made the whole dish "NO"."""
    result = cooked(kitchen, tmp_path, "2 kg leeks", "1 bay leaf")
    assert result.whole.coverage["sugars"] < 1
    assert result.complete
    text = together([result], "csv", View(long=True))
    assert isinstance(text, str)
    assert {row["complete"] for row in csv.DictReader(io.StringIO(text[1:]))} == {"yes"}


def test_every_limit_has_its_source() -> None:
    assert all(row["source"].strip() and float(row["most"]) > 0 for row in rows("plausible.csv"))
    assert {row["level"] for row in rows("plausible.csv")} == {"improbable", "impossible"}
    assert all(row["ground"].strip() for row in rows("salty_words.csv"))
    with pytest.raises(KeyError):
        plausible.limit("nothing of the kind")
