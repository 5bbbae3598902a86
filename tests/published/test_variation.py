"""How far foods vary from batch to batch, against published samples and against another country's means.

Sources: USDA SR28, NUT_DATA (minimum, maximum, number of samples), by tests/published/variation.py. UK Composition of
Foods Integrated Dataset, proximates of 2015 (Public Health England, Open Government Licence v3): the rows typed here.
"""

from __future__ import annotations

import pytest

from nutrilab.foods import embedded
from nutrilab.variation import variation
from tests.published import variation as published

# Code of CoFID, food of SR28, water, protein, fat [g per 100 g] as CoFID prints them: plain foods of one kind, mostly
# means of about ten samples bought in the UK, where SR28's were bought in the USA.
UK = (
    ("13-489", "sr:11354", 78.1, 1.9, 0.1),  # potatoes, flesh only; SR28 has white, flesh and skin
    ("13-496", "sr:11124", 89.0, 0.5, 0.4),  # carrots
    ("13-499", "sr:11282", 89.1, 1.0, 0.1),  # onions
    ("14-319", "sr:09003", 86.2, 0.6, 0.5),  # apples with skin
    ("14-318", "sr:09040", 75.0, 1.2, 0.1),  # bananas
    ("12-937", "sr:01123", 76.8, 12.6, 9.0),  # eggs
    ("17-685", "sr:01001", 14.9, 0.6, 82.2),  # salted butter
    ("12-346", "sr:01009", 36.6, 25.4, 34.9),  # cheddar
    ("16-372", "sr:15015", 81.6, 17.5, 0.6),  # cod
    ("13-517", "sr:11529", 94.6, 0.5, 0.1),  # tomatoes
    ("13-438", "sr:11304", 74.6, 6.9, 1.5),  # peas
    ("13-502", "sr:11090", 88.2, 4.3, 0.6),  # broccoli
    ("13-572", "sr:11457", 89.7, 2.8, 0.8),  # spinach
    ("17-050", "sr:19296", 17.5, 0.4, 0.0),  # honey
    ("13-089", "sr:16069", 10.8, 24.3, 1.9),  # lentils
    ("14-327", "sr:09200", 87.0, 0.8, 0.2),  # oranges
    ("14-324", "sr:09316", 91.6, 0.6, 0.5),  # strawberries
    ("13-505", "sr:11260", 92.9, 1.0, 0.2),  # white mushrooms
    ("17-038", "sr:04053", 0.0, 0.0, 99.9),  # olive oil
    ("14-879", "sr:12155", 2.8, 14.7, 68.5),  # walnuts
    ("13-466", "sr:11246", 90.8, 1.6, 0.5),  # leeks
    ("13-509", "sr:11109", 90.1, 1.2, 0.1),  # cabbage
)


def test_the_page_is_in_step() -> None:
    assert published.written() == published.page(), "run: python -m tests.published.variation --write"


@pytest.mark.parametrize("tagname", published.NAMES)
def test_a_group_holds_nine_in_ten_of_the_batches_of_a_food_it_has_not_seen(tagname: str) -> None:
    one = published.result([seen for _, seen in published.left_out(tagname)])
    assert one.foods > 900
    assert 0.88 < one.held < 0.96
    assert one.whole > one.expected


@pytest.mark.parametrize("tagname", published.NAMES)
def test_own_samples_make_ranges_narrower_than_the_group_and_hold_nine_in_ten(tagname: str) -> None:
    own, group = (published.result([seen for _, seen in made(tagname)]) for made in (published.own, published.left_out))
    assert 0.90 < own.held < 0.97
    assert own.wide < 0.9 * group.wide


@pytest.mark.parametrize("tagname", published.NAMES)
def test_foods_with_little_of_a_component_are_held_as_those_with_much(tagname: str) -> None:
    """The floors of variation_scale.csv: thirds of the foods by how much they hold."""
    found = sorted(published.left_out(tagname), key=lambda pair: pair[0].samples.mean)
    third = len(found) // 3
    held = [published.result([seen for _, seen in found[n * third : (n + 1) * third]]).held for n in range(3)]
    assert min(held) > 0.84
    assert max(held) < 0.97


@pytest.mark.parametrize("count", [(2, 3), (4, 6), (7, 12), (13, 50)])
def test_few_samples_hold_as_many_as_do(count: tuple[int, int]) -> None:
    for tagname in published.NAMES:
        some = [seen for _, seen in published.own(tagname) if count[0] <= seen.count <= count[1]]
        assert published.result(some).held > 0.89, tagname


@pytest.mark.parametrize("tagname", published.BY_OTHERS)
def test_what_follows_from_other_values_varies_about_as_it_was_seen_to(tagname: str) -> None:
    one = published.result(published.by_others(tagname))
    assert one.foods > 15
    assert 0.8 < one.held < 0.97
    assert one.whole > one.expected


def test_the_check_sees_ranges_that_are_half_as_wide() -> None:
    """What the checks above go by can fail."""
    found = [seen for _, seen in published.left_out("PROCNT")]
    half = [
        seen._replace(low=seen.low + (seen.high - seen.low) / 4, high=seen.high - (seen.high - seen.low) / 4)
        for seen in found
    ]
    assert published.result(half).held < 0.8


def test_leaving_out_is_what_it_says() -> None:
    deviations = [one.deviation for one in published.known("NA") if one.food.group == "Snacks"]
    reach = published.reach_for(deviations)
    for n in (0, 7, len(deviations) - 1):
        again = published.reach_for(deviations[:n] + deviations[n + 1 :])
        assert published.without(reach, deviations, deviations[n]) == pytest.approx(again, rel=0.01)


def test_means_of_another_country_lie_in_the_range() -> None:
    """Three in four do. That is fewer than nine in ten, as it should be: breeds, laboratories and the way protein is
    counted differ from country to country, and that is no variation from batch to batch.
    """
    found = []
    for _, food_id, *told in UK:
        for tagname, value in zip(("WATER", "PROCNT", "FAT"), told, strict=True):
            one = variation(embedded().food(food_id), tagname)
            assert one is not None
            found.append(one.low - 0.05 <= value <= one.high + 0.05)
    assert 0.7 < sum(found) / len(found) < 0.95
