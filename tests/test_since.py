"""What changed since an earlier result: read in any encoding, refused in any other shape, never silent by mistake."""

from __future__ import annotations

import copy
import json
from contextlib import suppress
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from nutrilab.cli import main
from nutrilab.remarks import InputError
from nutrilab.sheets import earlier

BEFORE: dict[str, Any] = {
    "dish": "Soup",
    "allergens": {"contains": {"milk": ["milk: butter"]}, "check": {}, "unresolved": [], "named": ["milk"]},
}


@pytest.fixture(autouse=True)
def _here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NUTRILAB_TABLES", str(tmp_path / "no-tables"))
    monkeypatch.chdir(tmp_path)
    Path("soup.yaml").write_text("dish: Soup\nportions: 2\ningredients: [2 leeks, 50 g butter]\n", encoding="utf-8")
    Path("stew.yaml").write_text("dish: Stew\nportions: 2\ningredients: [2 leeks]\n", encoding="utf-8")


def since(text: str | bytes, *recipes: str) -> Result:
    Path("old.json").write_bytes(text.encode() if isinstance(text, str) else text)
    return CliRunner().invoke(main, ["allergens", *(recipes or ("soup.yaml",)), "--since", "old.json"])


def test_nothing_changed_is_said_of_what_was_compared() -> None:
    result = since(json.dumps(BEFORE))
    assert (result.exit_code, result.stdout) == (0, "Soup: nothing changed\n"), result.stderr


# -- dishes of one name ----------------------------------------------------------------------------


def other(contains: str) -> dict[str, Any]:
    return BEFORE | {"allergens": BEFORE["allergens"] | {"contains": {contains: ["x"]}, "named": [contains]}}


@pytest.mark.parametrize("before", [[other("fish"), BEFORE], [BEFORE, other("fish")], [BEFORE, BEFORE, other("eggs")]])
def test_two_dishes_of_one_name_in_the_earlier_result_are_said_to_be(before: list[dict[str, Any]]) -> None:
    result = since(json.dumps([*before, BEFORE | {"dish": "Stew"}]), "soup.yaml", "stew.yaml")
    assert result.exit_code == 0
    assert f"Soup: NOT COMPARED, as several dishes have this name ({len(before)} before, 1 now)" in result.stdout
    assert "nothing changed" not in result.stdout
    assert "Stew: nothing points to milk any more" in result.stdout  # the others are compared all the same


def test_two_dishes_of_one_name_now_are_said_to_be() -> None:
    Path("second.yaml").write_text("dish: Soup\nportions: 2\ningredients: [100 g prawns]\n", encoding="utf-8")
    result = since(json.dumps(BEFORE), "soup.yaml", "second.yaml")
    assert result.stdout.count("\n") == 1
    assert "Soup: NOT COMPARED" in result.stdout
    assert "(1 before, 2 now)" in result.stdout
    assert "give each dish its own name" in result.stdout


def test_two_of_one_name_on_both_sides_and_a_real_result_of_two() -> None:
    Path("second.yaml").write_text("dish: Soup\nportions: 2\ningredients: [100 g prawns]\n", encoding="utf-8")
    both = ["soup.yaml", "second.yaml"]
    made = CliRunner().invoke(main, ["analyse", *both, "--format", "json"]).stdout
    assert "(2 before, 2 now)" in since(made, *both).stdout


# -- encodings -------------------------------------------------------------------------------------


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
@pytest.mark.parametrize("ends", ["\n", "\r\n"])
def test_a_byte_order_mark_is_no_fault(encoding: str, ends: str) -> None:
    text = json.dumps(BEFORE, indent=1, ensure_ascii=False).replace("\n", ends)
    assert since(text.encode(encoding)).stdout == "Soup: nothing changed\n"


# -- shapes ----------------------------------------------------------------------------------------


def changed(**values: Any) -> str:
    return json.dumps(BEFORE | values)


def allergens(**values: Any) -> str:
    return changed(allergens=BEFORE["allergens"] | values)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (changed(dish=["Soup"]), 'no name under "dish"'),
        (changed(dish={"Soup": 1}), 'no name under "dish"'),
        (changed(dish=None), 'no name under "dish"'),
        (changed(dish=7), 'no name under "dish"'),
        (changed(allergens=None), 'no "allergens"'),
        (changed(allergens=["milk"]), 'no "allergens"'),
        (changed(allergens={}), 'lack "contains"'),
        (allergens(contains=["milk"]), '"contains" of the result'),
        (allergens(contains={"milk": "butter"}), '"contains" of the result'),
        (allergens(contains={"milk": [1]}), '"contains" of the result'),
        (allergens(check=None), '"check" of the result'),
        (allergens(may_contain=3), '"may_contain" of the result'),
        (allergens(unresolved=[["x"]]), '"unresolved" of the result'),
        (allergens(named={"milk": 1}), '"named" of the result'),
        (allergens(contains={"Milk": ["x"]}), '"Milk" of the result is none of the 14'),
        (allergens(check={"dairy": []}), '"dairy" of the result is none of the 14'),
        ('{"dish": "Soup", "dish": "Stew"}', '"dish" stands twice'),
        (json.dumps([BEFORE, 3]), "dish 2 of it"),
        (json.dumps([[BEFORE]]), "dish 1 of it"),
        ("[]", "no dish stands in it"),
        ("{}", 'no name under "dish"'),
        ("null", "take one written by"),
        ('"Soup"', "take one written by"),
        ("3", "take one written by"),
        ("", "line 1"),
        ("\n\n{'dish'}", "line 3"),
        ("dish: Soup", "take one written by"),
        (b"\xff\xfe{", "take one written by"),
        (b"{\"dish\": \"caf\xe9\"}", "take one written by"),
        (b"\x89PNG\r\n\x1a\n\0\0", "take one written by"),
        ("[" * 100_000, "take one written by"),
        ('{"dish": ' + "9" * 6000 + "}", "take one written by"),
        (json.dumps({"before": BEFORE, "after": BEFORE}), 'no name under "dish"'),
    ],
)  # fmt: skip
def test_every_other_shape_ends_in_a_sentence(text: str | bytes, words: str) -> None:
    result = since(text)
    assert (result.exit_code, result.stdout) == (2, ""), result.output
    assert len(result.stderr.splitlines()) == 1
    assert result.stderr.startswith("old.json")
    assert words in result.stderr
    assert len(result.stderr) < 400


@pytest.mark.parametrize("kind", ["missing", "folder", "loop"])
def test_what_is_no_file_ends_in_a_sentence(kind: str) -> None:
    if kind == "folder":
        Path("old.json").mkdir()
    elif kind == "loop":
        Path("old.json").symlink_to("old.json")
    result = CliRunner().invoke(main, ["allergens", "soup.yaml", "--since", "old.json"])
    assert (result.exit_code, result.stdout) == (2, "")
    assert result.stderr.startswith("old.json: ")
    assert len(result.stderr.splitlines()) == 1


def test_since_is_text_and_goes_into_a_text() -> None:
    Path("old.json").write_text(json.dumps(BEFORE), encoding="utf-8")
    asked = ["allergens", "soup.yaml", "--since", "old.json"]
    for more in (["--format", "html"], ["-o", "new.html"], ["-o", "new.csv"]):
        result = CliRunner().invoke(main, [*asked, *more])
        assert result.exit_code == 2
        assert not list(Path().glob("new.*"))
    assert CliRunner().invoke(main, [*asked, "-o", "new.txt"]).exit_code == 0
    assert Path("new.txt").read_text(encoding="utf-8") == "Soup: nothing changed\n"


STRANGE = st.recursive(
    st.none() | st.booleans() | st.floats(allow_nan=False) | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=2) | st.dictionaries(st.text(max_size=5), inner, max_size=2),
    max_leaves=6,
)


@settings(max_examples=300, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(st.data())
def test_a_result_with_anything_in_any_place_is_read_or_refused(tmp_path: Path, data: st.DataObject) -> None:
    record = copy.deepcopy(BEFORE)
    place = data.draw(st.sampled_from(["dish", "allergens", *BEFORE["allergens"]]))
    within = record if place in record else record["allergens"]
    within[place] = data.draw(STRANGE)
    path = tmp_path / "old.json"
    path.write_text(json.dumps(data.draw(st.sampled_from([record, [record], [BEFORE, record]]))), encoding="utf-8")
    found = None
    with suppress(InputError):
        found = earlier.read_result(path)
    assert found is None or all(isinstance(one["dish"], str) for one in found)
