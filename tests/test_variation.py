"""How much one food varies from batch to batch: what SR28 publishes of it, the scale, and what is made of both."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace
from math import exp, pi, sqrt
from pathlib import Path
from random import Random
from statistics import NormalDist

import pandas as pd
import pytest

from data_loaders import schema, usda_sr
from data_loaders.schema import TableError
from nutrilab.datafiles import rows
from nutrilab.foods import Food, FoodTable, Samples, compose, embedded
from nutrilab.linking.mixes import Mixer, mixes
from nutrilab.variation import DECLARED, Variation, brands, variation
from nutrilab.variation.scale import MEASURED, Measured, expected_range, measured, reach_of, scales

REFERENCE = Path(__file__).parents[2] / "shared" / "reference"

# -- what is published -----------------------------------------------------------------------------

# Rows of NUT_DATA.txt (USDA SR28) as printed: food, nutrient's tagname, value, samples, error, code, lowest, highest,
# degrees of freedom.
PUBLISHED = (
    ("sr:01001", "FAT", 81.11, 580, 0.065, "1", None, None, None),
    ("sr:01009", "NA", 653.0, 39, 13.172, "1", 644.0, 673.0, 18.0),
    ("sr:19335", "SUGAR", 99.80, 7, 0.109, "1", 99.17, 100.00, 6.0),
    ("sr:01050", "FAT", 19.10, 2, None, "1", 18.82, 19.39, 1.0),
    ("sr:01123", "FAT", 9.51, 12, 0.115, "1", 8.78, 10.30, 11.0),
    ("sr:11352", "WATER", 79.25, 11, 0.373, "1", 77.70, 83.92, 2.0),
)


@pytest.mark.parametrize("row", PUBLISHED)
def test_the_embedded_table_has_the_publishers_figures(row: tuple[object, ...]) -> None:
    food_id, tagname, value, count, error, code, lowest, highest, freedom = row
    found = embedded().food(str(food_id)).samples()[str(tagname)]
    assert found == Samples(value, count, error, lowest, highest, freedom, code)  # type: ignore[arg-type]


def test_a_value_without_samples_has_none_and_a_food_without_any_too() -> None:
    assert "NA" not in embedded().food("sr:02047").samples()  # one sample, no error
    assert embedded().food("sr:02047").samples() == {}


def test_importing_again_gives_the_embedded_table_value_for_value(tmp_path: Path) -> None:
    if not (REFERENCE / "sr28.zip").exists():
        pytest.skip("the published table (../shared/reference) is not here")
    table = usda_sr.load(REFERENCE / "sr28.zip")
    again = FoodTable(schema.write(table, tmp_path, "usda-sr"))
    assert table.variation is not None
    assert len(table.variation) > 15_000
    for food_id in embedded().ids:
        assert again.samples_of(food_id) == embedded().samples_of(food_id), food_id


def small(**changes: object) -> schema.TableData:
    foods = pd.DataFrame([["x:1", "Samphire", "", "plants", "x", 0.0, 5.0]], columns=[*schema.FOOD_COLUMNS, "NA"])
    row = {"food_id": "x:1", "tagname": "NA", "samples": 3.0, "error": 0.1, "lowest": 4.0, "highest": 6.0}
    row |= {"freedom": 2.0, "mean_low": 4.5, "mean_high": 5.5, "code": "1", **changes}  # type: ignore[dict-item]
    about = schema.Provenance("made up", "1", "none", "none", "none", "none", "none")
    measures = pd.DataFrame(columns=list(schema.MEASURE_COLUMNS))
    return schema.TableData(foods, measures, about, variation=pd.DataFrame([row]))


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"food_id": "x:2"}, "a variation belongs to x:2, which is no food of it"),
        ({"tagname": "FAT"}, "a variation belongs to FAT, which is no component of it"),
        ({"lowest": 7.0}, "a lowest above a highest"),
        ({"error": -1.0}, "an error below zero"),
    ],
)
def test_a_variation_that_cannot_be_is_refused(changes: dict[str, object], message: str, tmp_path: Path) -> None:
    with pytest.raises(TableError, match=message):
        schema.write(small(**changes), tmp_path, "x")
    assert list(tmp_path.iterdir()) == []
    schema.write(small(), tmp_path, "x")


def test_a_table_without_variation_has_no_such_file_and_foods_vary_by_their_group(tmp_path: Path) -> None:
    path = schema.write(replace(small(), variation=None), tmp_path, "x")
    assert not list(tmp_path.glob("*.variation.*"))
    food = FoodTable(path).food("x:1")
    found = variation(food, "NA")
    assert found is not None
    assert (food.samples(), found.ground) == ({}, "general")


def test_nothing_of_it_is_read_before_it_is_asked_for() -> None:
    table = FoodTable(embedded().path)
    food = table.food("sr:01123")
    assert "_variation" not in vars(table)
    assert food.samples()
    assert "_variation" in vars(table)


def test_asking_does_not_import_pandas() -> None:
    code = (
        "import sys; from nutrilab.foods import embedded; from nutrilab.variation import variation;"
        "print(variation(embedded().food('sr:01123'), 'ENERC_KCAL').ground, 'pandas' in sys.modules)"
    )
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    assert told.split() == ["derived", "False"]


# -- the scale -------------------------------------------------------------------------------------


def test_the_expected_range_is_that_of_normal_draws() -> None:
    """Tippett 1925, reckoned anew: E[range] = integral of 1 - F^n - (1 - F)^n."""
    normal = NormalDist()
    for count in (2, 3, 5, 10, 11, 20, 50, 154):
        steps = [-8 + n / 50 for n in range(801)]
        exact = sum(1 - normal.cdf(x) ** count - (1 - normal.cdf(x)) ** count for x in steps) / 50
        assert expected_range(count) == pytest.approx(exact, rel=0.02 if count > 10 else 0.001), count


@pytest.mark.parametrize("tagname", DECLARED)
def test_no_range_leaves_what_100_g_can_hold(tagname: str) -> None:
    scale = scales()[tagname]
    for share in (0.0, 0.001, 0.03, 0.5, 0.98, 1.0):
        value = share * scale.whole
        assert scale.value(scale.odds(value)) == pytest.approx(value, abs=1e-6 * scale.whole)
        low, high = scale.around(value, 2.5)
        assert 0 <= low <= value <= high <= scale.whole
        step = scale.floor / 1000
        rise = (scale.odds(value + step) - scale.odds(value)) / step
        assert share == 1 or rise == pytest.approx(scale.slope(value), rel=0.01)


def test_near_nothing_a_spread_is_an_amount_and_above_a_share() -> None:
    scale = scales()["FAT"]
    assert scale.around(0.0, 0.3)[1] == pytest.approx(0.1 * (exp(0.3) - 1), rel=0.01)
    low, high = scale.around(5.0, 0.3)
    assert (low, high) == pytest.approx((5 * exp(-0.3), 5 * exp(0.3)), rel=0.04)


def samples(**changes: object) -> Samples:
    base = Samples(10.0, 9, 0.5, 8.0, 13.0, 8.0, "1")
    return replace(base, **changes)  # type: ignore[arg-type]


def test_the_error_of_the_mean_is_turned_into_the_spread_of_batches() -> None:
    found = measured(samples(), "FAT")
    assert found is not None
    assert found.deviation == pytest.approx(0.5 * sqrt(9) * scales()["FAT"].slope(10.0))
    assert "9 samples, standard error 0.5" in found.words


@pytest.mark.parametrize("changes", [{"freedom": 3.0}, {"error": None}, {"count": 2, "freedom": 1.0}])
def test_where_the_error_says_nothing_of_single_batches_the_range_counts(changes: dict[str, object]) -> None:
    """SR28 01009 cheddar: 39 samples between 644 and 673 mg sodium, error 13.172 mg; times root n it would be 82 mg."""
    given = samples(**changes)
    found = measured(given, "FAT")
    assert found is not None
    assert found.deviation == pytest.approx(5.0 / expected_range(given.count) * scales()["FAT"].slope(10.0))


@pytest.mark.parametrize("changes", [{"count": 1}, {"code": "4"}, {"code": "8"}, {"lowest": None, "freedom": 3.0}])
def test_what_was_calculated_or_measured_once_tells_nothing(changes: dict[str, object]) -> None:
    assert measured(samples(**changes), "FAT") is None
    assert measured(samples(), "FAT") is not None


def test_the_codes_are_those_that_sr28_calls_measured() -> None:
    """SRC_CD.txt of SR28: 4 calculated or imputed, 7 assumed zero, 8 and 9 of labels and manufacturers' reckoning."""
    assert not MEASURED & {"4", "5", "7", "8", "9", "11"}


@pytest.mark.parametrize("count", [2, 3, 6, 12, 21])
def test_nine_new_batches_in_ten_lie_in_the_reach_for_any_number_of_samples(count: int) -> None:
    """Foods whose true deviations differ as those of a group do (a scaled inverse chi-square of two degrees)."""
    draw = Random(16 + count)
    true = [min(sqrt(2 / draw.gammavariate(1.0, 2.0)), 14.0) for _ in range(4_000)]
    normal = NormalDist()

    def held(reaches: list[float]) -> float:
        return sum(2 * normal.cdf(reach / s) - 1 for reach, s in zip(reaches, true, strict=True)) / len(true)

    group = next(r / 100 for r in range(100, 600) if held([r / 100] * len(true)) >= 0.9)
    seen = [s * sqrt(draw.gammavariate((count - 1) / 2, 2.0) / (count - 1)) for s in true]
    told = held([reach_of(Measured(s, count, ""), group) for s in seen])
    assert told == pytest.approx(0.9, abs=0.02)
    alone = held([1.645 * s for s in seen])
    assert alone < told or count > 12  # few samples by themselves hold far fewer
    assert reach_of(Measured(0.0, 1, ""), group) == pytest.approx(group)


# -- foods -----------------------------------------------------------------------------------------


def told(food_id: str, tagname: str) -> Variation:
    found = variation(embedded().food(food_id), tagname)
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("food_id", "tagname", "most"),
    [
        ("sr:02047", "NA", 0.02), ("sr:18372", "NA", 0.02), ("sr:19335", "SUGAR", 0.005), ("sr:19335", "CHOAVL", 0.005),
        ("sr:19335", "ENERC_KCAL", 0.005), ("sr:04053", "FAT", 0.001), ("sr:04044", "FAT", 0.001),
        ("sr:04002", "FAT", 0.001), ("sr:04053", "ENERC_KCAL", 0.001), ("sr:14411", "WATER", 0.001),
    ],
)  # fmt: skip
def test_what_is_one_substance_varies_by_next_to_nothing(food_id: str, tagname: str, most: float) -> None:
    found = told(food_id, tagname)
    assert found.value > 0
    low, high = found.factors
    assert 1 - most <= low <= 1 <= high <= 1 + most


@pytest.mark.parametrize(
    ("steady", "varying", "tagname"),
    [
        ("sr:01123", "sr:15076", "FAT"),  # a hen's egg; a wild salmon
        ("sr:01211", "sr:13498", "PROCNT"),  # whole milk; fatty mince
        ("sr:09003", "sr:11291", "NA"),  # an apple; a spring onion
        ("sr:20581", "sr:11352", "CHOAVL"),  # flour; a potato
        ("sr:01001", "sr:15076", "ENERC_KCAL"),  # butter; salmon
    ],
)
def test_what_every_cook_knows_to_vary_more_does(steady: str, varying: str, tagname: str) -> None:
    """Common practice, no source."""
    (a, b), (c, d) = told(steady, tagname).factors, told(varying, tagname).factors
    assert b / max(a, 0.01) < d / max(c, 0.01)


def test_what_a_food_never_holds_does_not_vary_and_what_was_not_found_does() -> None:
    assert told("sr:13498", "FIBTG") == Variation(0.0, 0.0, 0.0, "none", told("sr:13498", "FIBTG").source)
    orange = told("sr:09201", "NA")  # SR28: 0 mg, standard error 0.034 of 24 samples
    assert (orange.value, orange.low, orange.ground) == (0, 0, "samples")
    assert 0 < orange.high < 1
    assert orange.factors == (1, 1)


def test_a_value_that_was_calculated_goes_by_its_group() -> None:
    """SR28 01001 salted butter: sodium 643 mg is calculated (source code 4), fat is measured."""
    assert told("sr:01001", "NA").ground == "group"
    assert "Dairy and Egg Products" in told("sr:01001", "NA").source
    assert told("sr:01001", "FAT").ground == "samples"


def test_what_is_sold_by_its_fat_varies_no_more_than_the_statement_may_be_off() -> None:
    """Commission guidance, December 2012 (from memory): 10 to 40 g fat, 20 % to each side."""
    mince, steak = told("sr:23572", "FAT"), told("sr:13340", "FAT")
    assert (mince.ground, mince.low, mince.high) == ("stated", pytest.approx(16), pytest.approx(24))
    assert steak.ground != "stated"
    assert told("sr:01211", "FAT").ground == "samples"  # milk was measured


def test_saturates_vary_with_fat_and_by_their_share_of_it() -> None:
    oil = told("sr:04053", "FASAT").factors  # fat does not vary; what it is made of does
    assert oil[0] < 0.9 < 1.1 < oil[1]
    assert told("sr:15076", "FASAT").factors[1] > told("sr:15076", "FAT").factors[1] > 2


def test_carbohydrate_by_difference_varies_as_what_displaces_it() -> None:
    potato, water = told("sr:11352", "CHOAVL"), told("sr:11352", "WATER")
    dry = 100 - water.value
    assert potato.half > water.half * potato.value / dry * 0.99
    assert potato.half < water.half * 1.5
    assert told("sr:01009", "CHOAVL").ground == "group"  # cheese: too little of it


def test_energy_of_meat_varies_by_fat_and_of_flour_by_water() -> None:
    salmon = told("sr:15076", "ENERC_KCAL")
    assert salmon.half == pytest.approx(9 * told("sr:15076", "FAT").half, rel=0.25)
    flour = told("sr:20581", "ENERC_KCAL")
    assert flour.half == pytest.approx(4 * told("sr:20581", "WATER").half, rel=0.25)


def test_a_food_of_another_table_goes_by_its_like() -> None:
    beef = embedded().food("sr:13498")
    other = Food("xx:1", "Boeuf", "viandes", "X", None, {"PROCNT": 18.0, "NA": 60.0})
    alone, with_like = variation(other, "PROCNT"), variation(replace(other, like=beef), "PROCNT")
    assert alone is not None
    assert with_like is not None
    assert alone.ground == "general"
    assert with_like.ground in ("group", "samples")
    far = variation(replace(other, values={"PROCNT": 80.0}, like=beef), "PROCNT")
    assert far is not None
    assert far.ground == "group"  # not the samples of a food that is so different


def test_a_borrowed_value_varies_as_its_lenders() -> None:
    egg = embedded().food("sr:01123")
    other = Food("xx:1", "Egg", "eggs", "X", None, {"FAT": egg.values["FAT"]}, borrowed={"FAT": egg})
    found = variation(other, "FAT")
    assert found is not None
    assert found.factors == pytest.approx(told("sr:01123", "FAT").factors)


def test_parts_of_a_composed_food_vary_apart() -> None:
    egg, flour = embedded().food("sr:01123"), embedded().food("sr:20581")
    found = variation(compose("mix:x", "x", [(egg, 0.5), (flour, 0.5)]), "PROCNT")
    assert found is not None
    both = [told(food.food_id, "PROCNT").half / 2 for food in (egg, flour)]
    assert max(both) < found.half < sum(both)
    assert found.half == pytest.approx(sqrt(both[0] ** 2 + both[1] ** 2), rel=0.03)


def test_a_component_that_is_missing_has_no_variation() -> None:
    assert variation(Food("xx:1", "x", "g", "X", None, {"FAT": 3.0}), "NA") is None


@pytest.mark.parametrize("tagname", DECLARED)
def test_every_food_of_the_table_has_a_range_round_its_value(tagname: str) -> None:
    scale = scales()[tagname]
    for food_id in embedded().ids[::9]:
        found = variation(embedded().food(food_id), tagname)
        if found is not None:
            assert 0 <= found.low <= found.value <= found.high, food_id
            assert found.high <= max(scale.whole, found.value), food_id
            assert found.source, food_id


# -- brands ----------------------------------------------------------------------------------------


def test_brands_of_a_composed_food_are_told_with_their_rows() -> None:
    """CoFID 13-556: 26.7 g fat; CIQUAL 25621: 23.9 g; SR28 16158: 9.6 g."""
    found = brands(Mixer(embedded()).food("mix:houmous"), "FAT")
    assert found is not None
    assert (found.low, found.ground) == (9.6, "brands")
    assert found.high == max(26.7, found.value)
    assert "CoFID 13-556: 26.7" in found.source
    assert brands(embedded().food("sr:01123"), "FAT") is None


def test_what_was_judged_by_hand_stands_before_what_was_gathered() -> None:
    stock = brands(Mixer(embedded()).food("mix:chicken-stock"), "NA")
    assert stock is not None
    assert (stock.low, stock.high) == (30, 580)


def test_every_row_is_of_a_composed_food_and_holds_its_own_value() -> None:
    mixer = Mixer(embedded())
    for row in rows("mix_brands.csv"):
        assert f"mix:{row['mix']}" in mixes(), row
        found = brands(mixer.food(f"mix:{row['mix']}"), row["component"])
        assert found is not None
        assert found.low <= found.value <= found.high
        assert found.low < found.high


# -- the lists -------------------------------------------------------------------------------------


def test_the_lists_come_out_of_their_scripts_again(tmp_path: Path) -> None:
    from tests.derive import brands as of_brands
    from tests.derive import variation as of_groups

    of_groups.main(tmp_path / "variation.csv")
    assert (tmp_path / "variation.csv").read_bytes() == of_groups.TARGET.read_bytes()
    if not all((REFERENCE / name).exists() for name in of_brands.FILES):
        pytest.skip("the published tables (../shared/reference) are not here: brands are not gathered again")
    of_brands.main(REFERENCE, tmp_path / "mix_brands.csv")
    assert (tmp_path / "mix_brands.csv").read_bytes() == of_brands.TARGET.read_bytes()


def test_groups_are_those_of_the_table_and_all_foods_have_a_row() -> None:
    told = {(row["group"], row["component"]) for row in rows("variation.csv")}
    assert {group for group, _ in told} <= {"any", *embedded().groups}
    wanted = set(DECLARED) - {"FASAT", "CHOAVL", "ENERC_KCAL"}
    assert {("any", tagname) for tagname in wanted} <= told
    assert all(rows(name)[0]["source"] for name in ("variation.csv", "variation_defined.csv", "variation_stated.csv"))


def test_uniform_draws_are_not_what_the_range_is_reckoned_by() -> None:
    """The range of normal draws, not of even ones (which for 2 would be 1.155 deviations, by sqrt(12) / 3)."""
    assert expected_range(2) == pytest.approx(2 / sqrt(pi), abs=0.001)


def test_an_error_that_nothing_explains_counts_to_twice_the_group() -> None:
    """SR28 23093, stewing beef: 72 samples, SE 0.911 g of 4.48 g fat, no degrees of freedom and no ends."""
    found = variation(embedded().food("sr:23093"), "FAT")
    assert found is not None
    assert 1.0 < found.low < found.value < found.high < 16
