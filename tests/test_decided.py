"""Decisions in plain words and weights of pieces: what they come to, what is refused, what no line matches."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from nutrilab import decisions
from nutrilab.cli import main
from nutrilab.folder import Folder
from nutrilab.kitchen import Kitchen
from nutrilab.measures import Ground
from nutrilab.remarks import InputError
from nutrilab.results import LineFood

DECIDED = """# ours
my onions: 180 g
large onion: 0.22 kg
clove of garlic: 6 g
eggs: 65 g
banana: 200 g   # the usual box
lemon: 120 g
tin of chickpeas: 400 g
gribble: 30 g
leek: {food: sr:11246, weight: 250 g}
crème: {weight: 40}
stock: home-made stock, no salt
my broth: home-made, no salt
mince: 12% fat beef mince
house sauce: tomato ketchup
"""


@pytest.fixture(scope="module")
def kitchen(tmp_path_factory: pytest.TempPathFactory) -> Kitchen:
    folder = tmp_path_factory.mktemp("ours")
    (folder / "decisions.yaml").write_text(DECIDED, encoding="utf-8")
    return Folder(folder).kitchen()


def food(kitchen: Kitchen, text: str) -> LineFood:
    (found,) = kitchen.line(text).foods
    return found


def run(*arguments: object, text: str | None = None) -> Any:
    return CliRunner().invoke(main, [str(one) for one in arguments], input=text, prog_name="nutrilab")


# --- what one weighs ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "grams"),
    [
        ("2 onions, sliced", 360),
        ("half an onion", 90),
        ("2 large onions", 440),  # the size has a decision of its own
        ("2 small onions", 2 * 180 * 0.7),  # sizes.csv
        ("3 cloves garlic", 18),
        ("3 garlic cloves, crushed", 18),
        ("3 gribbles", 90),  # of no food table
        ("2 leeks", 500),
        ("3 eggs", 3 * 65 * 0.88),  # USDA SR28 01123: refuse 12 %, the shell
        ("1 banana", 200 * 0.64),  # USDA SR28 09040: refuse 36 %, the skin
    ],
)
def test_one_weighs_what_the_cook_says_as_bought(kitchen: Kitchen, text: str, grams: float) -> None:
    found = food(kitchen, text)
    assert found.weight.grams == pytest.approx(grams)
    assert str(found.weight.ground) == "your decision"
    assert not [remark for remark in found.weight.remarks if remark.code == "weight-unknown"]


@pytest.mark.parametrize(
    ("text", "ground"),
    [
        ("300 g onions", Ground.WEIGHED),
        ("2 onions (100 g each)", Ground.WEIGHED),
        ("juice of 1 lemon", Ground.PIECE),
        ("1 lemon, zest only", Ground.PIECE),
        ("3 eggs, yolks only", Ground.EGG),
        ("2 egg yolks", Ground.EGG),
        ("1 slice of onion", Ground.PIECE),
        ("2 red onions", Ground.PIECE),  # another name
        ("1 bulb of garlic", Ground.PIECE),
        ("onion", Ground.NONE),
        ("2 tbsp gribble", Ground.KIND_DENSITY),
    ],
)
def test_of_anything_else_it_says_nothing(kitchen: Kitchen, text: str, ground: Ground) -> None:
    plain = Folder(None).line(text).foods[0].weight
    found = food(kitchen, text).weight
    assert (found.grams, found.low, found.high) == (plain.grams, plain.low, plain.high)
    assert found.ground == plain.ground == ground


def test_a_tin_is_drained_as_elsewhere(kitchen: Kitchen) -> None:
    own, written = food(kitchen, "2 tins chickpeas, drained"), food(kitchen, "2 x 400 g tins chickpeas, drained")
    assert own.weight.grams == written.weight.grams
    assert (own.weight.ground, written.weight.ground) == (Ground.DECIDED, Ground.DRAINED)


def test_half_the_usual_range_is_left(kitchen: Kitchen) -> None:
    usual, own = Folder(None).line("1 onion").foods[0].weight, food(kitchen, "1 onion").weight
    low, high = ((own_end or 0) / 180 - 1 for own_end in (own.low, own.high))
    assert low == pytest.approx(((usual.low or 0) / (usual.grams or 1) - 1) / 2)
    assert high == pytest.approx(((usual.high or 0) / (usual.grams or 1) - 1) / 2)
    assert low < 0 < high
    unknown = food(kitchen, "1 gribble").weight
    assert (unknown.low, unknown.high) == pytest.approx((27, 33))


def test_it_narrows_the_dish_and_stands_in_its_record(tmp_path: Path) -> None:
    (tmp_path / "bowl.txt").write_text("Bowl\nServes 2\n2 avocados\n", encoding="utf-8")
    before = json.loads(run("analyse", tmp_path / "bowl.txt", "--format", "json").stdout)
    (tmp_path / "decisions.yaml").write_text("avocado: 200 g\n", encoding="utf-8")
    after = json.loads(run("analyse", tmp_path / "bowl.txt", "--format", "json").stdout)
    line = after["stages"][0]["lines"][0]
    assert (line["grams_from"], line["grams"]) == ("your decision", pytest.approx(2 * 200 * 0.7))  # pieces.csv: 30 %
    widths = [high / low for low, high in (one["per_portion_range"]["energy_kcal"] for one in (after, before))]
    assert widths[0] < widths[1]


# --- an ingredient in plain words -----------------------------------------------------------------------------------


def test_words_stand_for_their_food_as_surely_as_they_would_in_a_line(kitchen: Kitchen) -> None:
    for text, words in (
        ("500 ml stock", "500 ml home-made stock, no salt"),
        ("500 ml broth", "500 ml broth, home-made, no salt"),
        ("500 g mince", "500 g 12% fat beef mince"),
        ("2 tbsp house sauce", "2 tbsp tomato ketchup"),
    ):
        found, wanted = food(kitchen, text), Folder(None).line(words).foods[0]
        assert found.link.food is not None
        assert wanted.link.food is not None
        assert found.link.food.values == wanted.link.food.values
        assert found.link.sureness == wanted.link.sureness
        assert found.link.decided
        assert found.link.why.startswith("your decision: ")


def test_home_made_stock_without_salt_has_next_to_none(kitchen: Kitchen) -> None:
    """USDA SR28 06970, broth without salt: 30 mg sodium in 100 g; a made-up cube holds twelve times that."""
    found = food(kitchen, "500 ml stock").link.food
    assert found is not None
    assert found.values["NA"] == 30


def test_its_words_count_for_allergens_beside_those_of_the_line(tmp_path: Path) -> None:
    (tmp_path / "decisions.yaml").write_text("spread: almond butter\nmilk: soya milk\n", encoding="utf-8")
    kitchen = Folder(tmp_path).kitchen()
    assert set(kitchen.line("2 tbsp spread").findings.contains) == {"nuts"}
    assert set(kitchen.line("200 ml milk").findings.contains) == {"milk", "soya"}  # no word clears another


def test_an_own_product_may_be_said_in_words(tmp_path: Path) -> None:
    (tmp_path / "products.yaml").write_text("- {name: Quay relish, salt: 1 g, contains: [mustard]}\n", "utf-8")
    (tmp_path / "decisions.yaml").write_text("our chutney: quay relish\n", encoding="utf-8")
    record = Folder(tmp_path).line("2 tbsp chutney")
    assert record.foods[0].product is not None
    assert set(record.findings.contains) == {"mustard"}


@pytest.mark.parametrize(
    ("value", "words"),
    [
        ("zub", "for which no food is sure; write"),
        ("oat milk", "the nearest is Oat drink (mix:oat-drink)"),  # doubtful, and never the milk of a cow
        ("doubel cream", "no food is sure"),  # a guess at the spelling
        ("butter or margarine", "no food is sure"),
        ("butter and flour", "no food is sure"),
        ("200 g butter", "an amount is none"),
        ("200 ml", "an amount is none"),
        ("180", "an amount is none"),
        ("1053", "an amount is none"),
        ("no salt", "no food is sure"),
        ("null", "no food is sure"),
        ("=1+1", "no food is sure"),
    ],
)
def test_words_that_are_not_sure_are_refused_with_their_line(tmp_path: Path, value: str, words: str) -> None:
    (tmp_path / "decisions.yaml").write_text(f"butter: sr:01001\nhouse thing: {value}\n", encoding="utf-8")
    with pytest.raises(InputError, match=r"decisions\.yaml, line 2: your decision for \"house thing\" is ") as error:
        Folder(tmp_path).kitchen()
    assert words in str(error.value)
    assert "\n" not in str(error.value)


def test_a_plain_dictionary_decides_alike() -> None:
    found = Kitchen(Folder(None).tables, {"stock": "home-made stock, no salt"}).line("1 l stock")
    assert found.foods[0].link.decided


# --- written by the tool --------------------------------------------------------------------------------------------


def test_a_weight_goes_beside_the_food_and_all_else_stays(tmp_path: Path) -> None:
    path = tmp_path / "decisions.yaml"
    path.write_bytes(
        "\ufeff# crème ½\r\nonion: sr:11282   # red ones\r\n'butter, soft': none # so\r\nleek: 0.2 kg\r\n".encode()
    )
    for name, value in (
        ("Onions", "180 g"),
        ("onion", "200 g"),
        ("leek", "sr:11246"),
        ("leek", "sr:01001"),
        ("butter, soft", "20 g"),
        ("stock", "home-made: stock, no salt #1"),
        ("stock", "1 kg"),
        ("egg", "60 g"),
    ):
        decisions.add(tmp_path, name, value)
    assert path.read_bytes().decode() == (
        "\ufeff# crème ½\r\nonion: {food: sr:11282, weight: 180 g}   # red ones\r\n'butter, soft': none # so\r\n"
        "leek: {food: sr:11246, weight: 200 g}\r\n"
        "stock: {food: 'home-made: stock, no salt #1', weight: 1000 g}\negg: 60 g\n"
    )
    found = decisions.read_decisions(tmp_path)
    assert dict(found.weights) == {"onion": 180, "leek": 200, "stock": 1000, "egg": 60}
    assert found["stock"] == "home-made: stock, no salt #1"


def test_a_weight_that_cannot_be_put_beside_is_told(tmp_path: Path) -> None:
    text = "onion:\n  food: sr:11282\nleek: none\n"
    (tmp_path / "decisions.yaml").write_text(text, encoding="utf-8")
    with pytest.raises(InputError, match=r"write it in yourself: onion: \{food: sr:11282, weight: 180 g\}"):
        decisions.add(tmp_path, "onion", "180 g")
    assert (tmp_path / "decisions.yaml").read_text("utf-8") == text


# --- what no line matches -------------------------------------------------------------------------------------------

SOUP = "Soup\nServes 2\n2 onions\n100 ml double cream\n"


def cooked(folder: Path, decided: str) -> None:
    (folder / "decisions.yaml").write_text(decided, encoding="utf-8")
    (folder / "soup.txt").write_text(SOUP, encoding="utf-8")
    (folder / "rye.txt").write_text(
        "Rye\nServes 2\n100 g rye flakes\n3 cloves garlic\n1 celeriac, about 600 g\n", "utf-8"
    )


@pytest.mark.parametrize("command", ["allergens", "analyse"])
def test_a_decision_that_a_whole_folder_does_not_match_is_said(tmp_path: Path, command: str) -> None:
    cooked(
        tmp_path,
        "rye flakes: sr:20063\nonion: 180 g\nclove of garlic: 5 g\nceleriac: 500 g\n"
        "doubel cream: sr:01053\nspelt: none\n",
    )
    told = run(command, tmp_path)
    assert told.exit_code == 0
    first, second = told.stderr.splitlines()
    place = tmp_path / "decisions.yaml"
    assert first.startswith(f'{place}, line 5: "doubel cream" matches no ingredient')
    assert first.endswith('did you mean "double cream"?')
    assert second == (
        f'{place}, line 6: "spelt" matches no ingredient of the recipes in this folder; '
        "write it as they do, or take the line out"
    )


def test_of_one_recipe_only_a_likely_slip_is_said(tmp_path: Path) -> None:
    cooked(tmp_path, "rye flakes: sr:20063\nspelt: none\ngoat milk: sr:01106\nonoin: 180 g\n")
    told = run("analyse", tmp_path / "soup.txt", "--format", "json")
    assert told.stderr == ""
    near = [one["message"] for one in json.loads(told.stdout)["warnings"] if one["code"] == "decision-near"]
    assert near == [
        'decisions.yaml, line 4: no ingredient here is called "onoin", and one is called "onions": is that meant?'
    ]
    told = run("analyse", tmp_path / "rye.txt", "--format", "json")
    assert "decision-near" not in told.stdout
