"""Reading recipe files: the format of docs/recipe-format.md and every mistake a person can make in it."""

from __future__ import annotations

from pathlib import Path

import pytest

from nutrilab.recipe import Cooking, InputError, Line, Part, read_recipe

PIE = """\
dish: Harbour pie
portions: 6
stages:
  - stage: Mash
    ingredients: [1 kg potatoes]
    cooking: {method: boiled, drained: true}
  - stage: pie
    ingredients:
      - all of mash
      - half of a lemon
      - "salt: to taste"
      - pepper: to taste
    cooking:
      method: baked
      minutes: 40
      weight before: 2.6 kg
      weight after: 2350
      frying oil left: 100 ml
"""


def write(folder: Path, text: str | bytes, name: str = "dish.yaml") -> Path:
    path = folder / name
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def test_yaml_recipe_is_read_whole(tmp_path: Path) -> None:
    recipe = read_recipe(write(tmp_path, PIE))
    assert (recipe.dish, recipe.portions, [s.name for s in recipe.stages]) == ("Harbour pie", 6, ["Mash", "pie"])
    mash, pie = recipe.stages
    assert mash.entries == (Line("1 kg potatoes", 5),)
    assert mash.cooking == Cooking(method="boiled", drained=True, line=6)
    assert pie.entries == (
        Part("all of mash", "mash", share=1.0, line=9),
        Line("half of a lemon", 10),
        Line("salt: to taste", 11),
        Line("pepper: to taste", 12),
    )
    assert pie.cooking is not None
    assert (pie.cooking.weight_before, pie.cooking.weight_after) == (2600, 2350)
    assert pie.cooking.oil_left == pytest.approx(92)


@pytest.mark.parametrize(
    ("text", "stage", "share", "grams"),
    [
        ("all of mash", "mash", 1.0, None),
        ("half of the Mash", "Mash", 0.5, None),
        ("3/4 of mash", "mash", 0.75, None),
        ("¾ of mash", "mash", 0.75, None),
        ("80% of mash", "mash", 0.8, None),
        ("12,5 % of mash", "mash", 0.125, None),
        ("600 g of mash", "mash", None, 600.0),
        ("1.5 kg of mash", "mash", None, 1500.0),
    ],
)
def test_parts_of_stages(tmp_path: Path, text: str, stage: str, share: float | None, grams: float | None) -> None:
    part = read_recipe(write(tmp_path, PIE.replace("all of mash", text))).stages[1].entries[0]
    assert part == Part(text, stage, share, grams, line=9)


# (what is changed in PIE, what stands there instead, the line told, words of the sentence)
MISTAKES = [
    ("dish: Harbour pie\n", "", 1, 'needs "dish'),
    ("portions: 6", "portions: 0", 2, "above 0"),
    ("portions: 6", "portions: six", 2, "no number"),
    ("portions: 6", "portions: -2", 2, "above 0"),
    ("portions: 6", "portion weight: 0 g", 2, "above 0"),
    ("portions: 6", "portions:", 2, "no value"),
    ("portions: 6", "portions: 6\nportions: 8", 3, "second time"),
    ("portions: 6", "portions: 6\nPortions : 8", 3, "second time"),
    ("portions: 6", "portions: 6\nserve with: [half of mash]", 3, "takes no stage"),
    ("portions: 6", "portions: 6\nserve with: [50 g of mash from mash.yaml]", 3, "takes no stage"),
    ("portions: 6", "portion: 6", 2, 'did you mean "portions"'),
    ("portions: 6", "portions: [6]", 2, "one value"),
    ("all of mash", "all of mush", 9, 'did you mean "Mash"'),
    ("all of mash", "all of gravy", 9, 'no stage "gravy"'),
    ("all of mash", "80% of custard", 9, 'no stage "custard"'),
    ("all of mash", "all of pie", 9, "takes from itself"),
    ("all of mash", "120% of mash", 9, "more than all"),
    ("all of mash", "3/2 of mash", 9, "more than all"),
    ("all of mash", "0% of mash", 9, "nothing"),
    ("all of mash", "the rest of mash", 9, "say how much"),
    ("- half of a lemon", "- 10% of mash", 10, "more than all"),
    ("- all of mash", "- 1 egg", 4, "never used"),
    ("stage: pie", "stage: MA SH", 7, "two stages"),
    ("[1 kg potatoes]", "[half of pie]", 5, "before it is made"),
    ("[1 kg potatoes]", "[]", 5, "no ingredients"),
    ("[1 kg potatoes]", "1 kg potatoes", 5, "is a list"),
    ("[1 kg potatoes]", "[[1 kg potatoes]]", 5, "one line of text"),
    ("- half of a lemon", "-", 10, "empty"),
    ("method: baked", "method: backed", 14, 'did you mean "baked"'),
    ("method: baked", "method: juggled", 14, "no cooking method"),
    ("weight after: 2350", "weight after: 2350 stone", 17, "no weight"),
    ("weight after: 2350", "weight after: 0", 17, "above 0"),
    ("weight after: 2350", f"weight after: {'9' * 400}", 17, "more than a kitchen weighs"),
    ("weight after: 2350", f"salted water: {'9' * 400} g per litre", 17, "more than a kitchen weighs"),
    ("weight after: 2350", "loss: 120%", 17, "between 0% and 100%"),
    ("drained: true", "drained: maybe", 6, "yes or no"),
    ("      method: baked", "\t method: baked", 14, "tab"),
    ("Harbour pie", "&pie Harbour pie", 1, "anchors"),
    ("Harbour pie", "*pie", 1, "anchors"),
    ("Harbour pie", "!!python/object:os.system pie", 1, "tags"),
    ("Harbour pie", "'Harbour pie", None, "YAML"),
    ("stages:", "ingredients: [1 egg]\nstages:", 3, 'beside "stages"'),
]


@pytest.mark.parametrize(("old", "new", "line", "words"), MISTAKES)
def test_mistakes_get_one_sentence_with_the_line(tmp_path: Path, old: str, new: str, line: int, words: str) -> None:
    assert old in PIE
    path = write(tmp_path, PIE.replace(old, new, 1))
    with pytest.raises(InputError) as error:
        read_recipe(path)
    message = str(error.value)
    assert words in message
    assert "\n" not in message
    assert message.startswith(f"{path}, line {line}: " if line else str(path))


def test_files_that_are_no_recipe(tmp_path: Path) -> None:
    cases: list[tuple[str | bytes, str]] = [
        (b"dish: caf\xe9\n", "line 1: a letter here is not UTF-8"),
        (b"", "empty"),
        (b"dish: a\0b", "this is no text file"),
        ("- 1 egg\n", 'written as "key: value"'),
        ("dish: A\nportions: 2\n", "no ingredients"),
        ("dish: A\n---\ndish: B\n", "line 2: a second document"),
        ("dish: " + "[" * 60 + "]" * 60, "too deeply"),
    ]
    for text, words in cases:
        with pytest.raises(InputError, match=r"dish\.yaml") as error:
            read_recipe(write(tmp_path, text))
        assert words in str(error.value)
    with pytest.raises(InputError, match="no such file"):
        read_recipe(tmp_path / "nothing.yaml")
    with pytest.raises(InputError, match="not a file"):
        read_recipe(tmp_path)


def test_a_huge_file_is_refused_before_it_is_read(tmp_path: Path) -> None:
    path = tmp_path / "huge.yaml"
    with path.open("wb") as file:
        file.truncate(100_000_000)
    with pytest.raises(InputError, match="100,000,000 bytes"):
        read_recipe(path)


def test_a_bomb_of_aliases_is_refused_at_its_first_anchor(tmp_path: Path) -> None:
    bomb = "a: &a [x]\n" + "".join(
        f"{c}: &{c} [{', '.join(['*' + p] * 9)}]\n" for p, c in zip("abcdefgh", "bcdefghi", strict=True)
    )
    with pytest.raises(InputError, match="line 1: YAML anchors"):
        read_recipe(write(tmp_path, bomb))


def test_stages_of_other_recipes(tmp_path: Path) -> None:
    write(tmp_path, "dish: Mash\nportions: 4\ningredients: [1 kg potatoes]\n", "mash.yaml")
    pie = "dish: Pie\nportions: 4\ningredients: [all of mash from mash.yaml, 1 egg]\n"
    recipe = read_recipe(write(tmp_path, pie))
    assert recipe.stages[0].entries[0] == Part("all of mash from mash.yaml", "mash", 1.0, file="mash.yaml", line=3)
    assert recipe.others["mash.yaml"].dish == "Mash"
    for wrong, words in [
        ("all of gravy from mash.yaml", 'has no stage "gravy"'),
        ("all of mash from none.yaml", "there is no such file"),
        ("all of mash from ../mash.yaml", "outside the folder"),
        ("all of mash from /etc/mash.yaml", "outside the folder"),
        ("all of pie from dish.yaml", "circle"),
    ]:
        with pytest.raises(InputError, match="line 3") as error:
            read_recipe(write(tmp_path, pie.replace("all of mash from mash.yaml", wrong)))
        assert words in str(error.value)


def test_a_cycle_between_files_is_refused(tmp_path: Path) -> None:
    write(tmp_path, "dish: A\ningredients: [all of B from b.yaml]\n", "a.yaml")
    write(tmp_path, "dish: B\ningredients: [all of C from c.yaml]\n", "b.yaml")
    write(tmp_path, "dish: C\ningredients: [all of A from a.yaml]\n", "c.yaml")
    with pytest.raises(InputError, match="circle"):
        read_recipe(tmp_path / "a.yaml")


def test_many_files_that_share_files_are_read_once_each(tmp_path: Path) -> None:
    write(tmp_path, "dish: S0\ningredients: [1 egg]\n", "s0.yaml")
    for i in range(1, 40):  # read once a mention, this would be 2^39 readings
        lines = f"half of S{i - 1} from s{i - 1}.yaml, half of S{i - 1} from ./s{i - 1}.yaml"
        write(tmp_path, f"dish: S{i}\ningredients: [{lines}]\n", f"s{i}.yaml")
    assert read_recipe(tmp_path / "s39.yaml").dish == "S39"


TEXT = """\
Harbour pie
Serves 4-6

For the mash:
- 1 kg potatoes
* 50 g butter
For the top:
half of for the mash
1 egg
"""


def test_plain_text(tmp_path: Path) -> None:
    recipe = read_recipe(write(tmp_path, TEXT, "pie.txt"))
    assert (recipe.dish, recipe.portions) == ("Harbour pie", 4)
    assert [s.name for s in recipe.stages] == ["For the mash", "For the top"]
    assert recipe.stages[0].entries == (Line("1 kg potatoes", 5), Line("50 g butter", 6))
    assert [r.code for r in recipe.remarks] == ["portions-range"]


def test_plain_text_stages_nobody_takes_end_in_the_dish(tmp_path: Path) -> None:
    recipe = read_recipe(write(tmp_path, TEXT.replace("half of for the mash\n", ""), "pie.txt"))
    assert recipe.stages[-1].name == "Harbour pie"
    assert [e.text for e in recipe.stages[-1].entries] == ["all of For the mash", "all of For the top"]
    assert all(isinstance(e, Part) for e in recipe.stages[-1].entries)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "empty"),
        ("Pie\nServes 4\n", "no ingredients"),
        ("Pie\nTop:\n", "nothing stands under"),
        ("Pie\nServes 0\n1 egg", "above 0"),
    ],
)
def test_plain_text_mistakes(tmp_path: Path, text: str, words: str) -> None:
    with pytest.raises(InputError, match=words):
        read_recipe(write(tmp_path, text, "pie.txt"))
