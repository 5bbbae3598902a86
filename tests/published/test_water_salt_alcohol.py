"""What water, salt and alcohol do when a text recipe is cooked: against published retention, and what must not move.

Sources: USDA Table of Nutrient Retention Factors, Release 6 (2007), by code: sodium and alcohol; CoFID 2015 and 2021
(Open Government Licence v3): food boiled in salted water.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from nutrilab.foods import embedded
from nutrilab.kitchen import Kitchen
from nutrilab.recipe import read_recipe
from nutrilab.results import DishResult
from tests.published import frying


@cache
def kitchen() -> Kitchen:
    return Kitchen([embedded()], alternatives=False)


def cooked(folder: Path, lines: str, method: str, of: Kitchen | None = None) -> DishResult:
    path = folder / "dish.txt"
    told = f"Method\n{method}\n" if method else ""
    path.write_text(f"Halyard supper\nServes 4\n{lines}\n{told}", encoding="utf-8")
    return (of or kitchen()).dish(read_recipe(path))


def sodium_left(result: DishResult) -> float:
    """Sodium that came out of the first stage by what went in."""
    stage = result.stages[0].result
    return stage.cooked.get("NA") / stage.raw.get("NA")


# --- sodium that leaches: line, name, share left when drained and its code, share left with the liquid and its code
SODIUM = [
    ("500 g carrots", "carrots", 0.95, 3455, 1.0, 3456),
    ("500 g spring greens", "greens", 0.95, 3005, 1.0, 3006),
    ("500 g green beans", "beans", 0.95, 3775, 1.0, 3776),
    ("800 g potatoes", "potatoes", 0.95, 3308, 1.0, 3309),
    ("400 g spaghetti", "spaghetti", 0.50, 381, 1.0, 384),
    ("800 g chicken breast", "chicken", 0.70, 855, 1.0, 856),
    ("800 g stewing beef", "beef", 0.55, 703, 1.0, 704),
]


@pytest.mark.parametrize(("line", "name", "drained", "code", "kept", "kept_code"), SODIUM)
def test_sodium_leaches_where_the_water_is_poured_away(
    tmp_path: Path, line: str, name: str, drained: float, code: int, kept: float, kept_code: int
) -> None:
    away = cooked(tmp_path, line, f"Boil the {name} for 20 minutes, then drain.")
    assert sodium_left(away) == pytest.approx(drained, abs=0.005), code
    eaten = cooked(tmp_path, f"{line}\n300 ml water", f"Simmer the {name} in the water for 20 minutes.")
    assert sodium_left(eaten) == pytest.approx(kept, abs=0.005), kept_code


# --- salt taken up
SALTED = [
    "Boil the pasta in salted water for 10 minutes and drain.",
    "Bring a large pan of salted water to the boil. Cook the pasta for 10 minutes, then drain.",
    "Bring a big pan of water to the boil and salt it well. Add the pasta, cook for 10 minutes and drain.",
    "Cook the pasta in plenty of well-salted boiling water, then drain.",
    "Boil the pasta in 4 litres of water with 2 tbsp salt, then drain.",
    "Salt the water, add the pasta, boil for 10 minutes and drain.",
    "Add a tablespoon of salt to a pan of boiling water. Boil the pasta for 9 minutes, drain.",
]
UNSALTED = [
    "Boil the pasta for 10 minutes and drain.",
    "Boil the pasta in unsalted water and drain.",
    "Bring a pan of water to the boil, cook the pasta for 10 minutes and drain.",
    "Cook the pasta in water without salt and drain.",
]


@pytest.mark.parametrize("method", SALTED)
def test_pasta_takes_salt_up_however_the_water_is_salted(tmp_path: Path, method: str) -> None:
    """CoFID 11-721: 174 mg sodium in 100 g of pasta boiled in salted water."""
    result = cooked(tmp_path, "400 g spaghetti", method)
    assert 100 * result.batch.get("NA") / result.batch.mass == pytest.approx(174, rel=0.2)


@pytest.mark.parametrize("method", UNSALTED)
def test_no_salt_comes_from_plain_water(tmp_path: Path, method: str) -> None:
    result = cooked(tmp_path, "400 g spaghetti", method)
    assert 100 * result.batch.get("NA") / result.batch.mass < 10


@pytest.mark.parametrize("salt", ["1 tbsp salt", "1 tbsp salt, for the pasta water"])
def test_salt_of_the_list_is_in_the_water_once(tmp_path: Path, salt: str) -> None:
    """What food takes up of 18 g of salt is less than all of it, and "salted water" adds none to it."""
    lines = f"400 g spaghetti\n{salt}"
    plain = cooked(tmp_path, lines, "Boil the pasta for 10 minutes and drain.")
    said = cooked(tmp_path, lines, "Boil the pasta in salted water for 10 minutes and drain.")
    assert 0.1 < 4 * (plain.whole.per_portion["salt"] or 0) / 18 < 0.5
    assert said.whole.per_portion["salt"] == plain.whole.per_portion["salt"]


IN_SALTED_WATER = [
    ("uk:11-721", "400 g dried fusilli pasta", "pasta"),
    ("uk:13-605", "800 g old potatoes", "potatoes"),
    ("uk:13-583", "500 g broccoli", "broccoli"),
    ("uk:13-610", "800 g new potatoes", "potatoes"),  # in their skins: 26 mg, the low end of the range
]


@pytest.mark.skipif(not frying.HERE, reason="../shared/reference/cofid-* is not here")
@pytest.mark.parametrize(("code", "line", "name"), IN_SALTED_WATER)
def test_the_uk_tables_salted_rows_lie_in_the_range(tmp_path: Path, code: str, line: str, name: str) -> None:
    of = frying.kitchen()
    result = cooked(tmp_path, line, f"Boil the {name} in salted water for 12 minutes, then drain.", of)
    salt = of.tables[0].food(code).values["NA"] * 2.5 / 1000 * result.cooked_mass / 100 / result.portions
    ends = result.whole.per_portion_range["salt"]
    assert ends is not None
    low, high = ends
    assert 0.9 * low <= salt <= high
    if code != "uk:13-610":
        assert result.whole.per_portion["salt"] == pytest.approx(salt, rel=0.35)


# --- alcohol: minutes as a cook says them, share left, code
ALCOHOL = [
    ("15 minutes", 0.40, 5004), ("half an hour", 0.35, 5005), ("1 hour", 0.25, 5006),
    ("an hour and a half", 0.20, 5007),
    ("2 hours", 0.10, 5008),
    ("2½ hours", 0.05, 5009), ("4 hours", 0.05, 5009), ("45 minutes", 0.30, 0),
]  # fmt: skip
WITH_WINE = "600 g braising steak\n500 ml red wine"


def alcohol_left(result: DishResult) -> float:
    return result.batch.get("ALC") / result.batch.alcohol_in


@pytest.mark.parametrize(("minutes", "left", "code"), ALCOHOL)
def test_alcohol_leaves_by_its_minutes(tmp_path: Path, minutes: str, left: float, code: int) -> None:
    """45 minutes lie between two codes."""
    for method in ("Simmer the beef in the wine for {}.", "Brown the beef, pour in the wine and bake for {}."):
        assert alcohol_left(cooked(tmp_path, WITH_WINE, method.format(minutes))) == pytest.approx(left, abs=0.002), code


def test_alcohol_that_is_flamed(tmp_path: Path) -> None:
    """Code 5003: 75 % of what is flamed is left."""
    lines = "600 g rump steak\n1 tbsp oil\n100 ml brandy"
    for method in (
        "Fry the steak in the oil. Pour in the brandy and flambé.",
        "Fry the steak, add the brandy, set alight.",
    ):
        assert alcohol_left(cooked(tmp_path, lines, method)) <= 0.751


def test_alcohol_without_heat_stays(tmp_path: Path) -> None:
    result = cooked(tmp_path, "500 g strawberries\n100 ml port", "Pour the port over the strawberries and serve.")
    assert alcohol_left(result) == pytest.approx(1)


# --- energy does not move when only water does: lines, what is cooked how, and for how long
WATER_MOVES = [
    ("600 g carrots\n200 g onions\n1 litre vegetable stock", "Simmer everything {}."),
    ("500 g red lentils\n1.5 litres water\n2 tsp cumin", "Bring to the boil and simmer {}."),
    ("800 g tinned tomatoes\n1 onion\n2 tbsp oil", "Cook the onion in the oil, add the tomatoes and simmer {}."),
    ("700 g lean stewing beef\n300 g swede\n500 ml beef stock", "Put everything in a pot and stew {}."),
    ("600 g cod\n400 ml fish stock\n500 g potatoes", "Simmer the potatoes in the stock, add the cod and simmer {}."),
    ("1 kg butternut squash\n400 ml coconut milk\n300 ml vegetable stock", "Simmer all the ingredients {}."),
    ("500 ml double cream\n300 ml chicken stock\n200 g mushrooms", "Boil the cream, stock and mushrooms {}."),
    ("600 g skinless chicken breast\n400 g tin chopped tomatoes\n200 g peppers", "Braise everything {}."),
    ("1 kg cooking apples\n150 g sugar\n100 ml water", "Cook the apples, sugar and water {}."),
    ("400 g tin chickpeas\n300 g spinach\n400 g tin tomatoes", "Simmer everything {}."),
]  # fmt: skip
HOW = [
    "for 10 minutes", "for 2 hours", "covered for 30 minutes", "uncovered for 30 minutes",
    "with the lid on for an hour", "until reduced by half", "until reduced by a third",
    "until almost all the liquid has gone", "",
]  # fmt: skip


@pytest.mark.parametrize(("lines", "method"), WATER_MOVES)
def test_energy_of_a_portion_stays_when_water_leaves(tmp_path: Path, lines: str, method: str) -> None:
    found = [cooked(tmp_path, lines, method.format(how).replace(" .", ".")) for how in HOW]
    energies = {round(result.whole.per_portion["energy_kcal"] or 0, 9) for result in found}
    assert len(energies) == 1, dict(zip(HOW, [r.whole.per_portion["energy_kcal"] for r in found], strict=True))
    assert len({round(result.cooked_mass) for result in found}) > 1
    plain = cooked(tmp_path, lines, "")
    assert plain.whole.per_portion["energy_kcal"] == pytest.approx(energies.pop(), abs=1e-6)
