"""The JSON downloads of FoodData Central: the same table as from CSV, and what is broken in a sentence."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from data_loaders import schema, usda_fdc, usda_fdc_json
from data_loaders.schema import TableError
from tests.usda_fdc_files import alike, folder, good_or_a_sentence, json_file, json_foods, zipped


def test_json_and_csv_give_the_same_table(tmp_path: Path) -> None:
    expected = usda_fdc.load(folder(tmp_path / "fdc"))
    whole = usda_fdc.load(json_file(tmp_path / "foods.json"))
    alike(whole, expected)
    assert whole.provenance.citation == expected.provenance.citation
    assert whole.provenance.inputs == {"foods.json": schema.sha256((tmp_path / "foods.json").read_bytes())}
    parts = {f"{key}.json": json.dumps({key: foods}).encode("utf-8-sig") for key, foods in json_foods().items()}
    alike(usda_fdc.load(zipped(tmp_path / "json.zip", parts, "FoodData_Central_json_2024-04-18/")), expected)


@pytest.mark.parametrize("chunk", [1, 7, 64, 5000])
def test_json_reads_the_same_in_pieces_of_any_size(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, chunk: int) -> None:
    expected = usda_fdc.load(json_file(tmp_path / "foods.json", indent=1))
    monkeypatch.setattr(usda_fdc_json, "CHUNK", chunk)
    alike(usda_fdc.load(tmp_path / "foods.json"), expected)


JSON_BROKEN: list[tuple[str, str, str]] = [
    ('"SRLegacyFoods"', '"Foods"', "line 1: one of the keys FoundationFoods, SRLegacyFoods"),
    ('"fdcId": 173410', '"fdcId": "173410"', "fdcId is no whole number"),
    ('"fdcId": 173410', '"fdcId": 99999999999999999999', "fdcId is no whole number"),
    ('"fdcId": 173410', '"fdcId": 1e999', "fdcId is no whole number"),
    ('"fdcId": 321358', '"fdcId": 173410', "the food 173410: it stands here a second time"),
    ('"amount": 81.11', '"amount": "81.11"', "the food 173410: amount is no number"),
    ('"amount": 81.11', '"amount": true', "the food 173410: amount is no number"),
    ('"amount": 81.11', '"amount": NaN', "what begins here is no food of FoodData Central"),
    ('"amount": 81.11', '"amount": 1e999', "the food 173410: amount is no number"),
    ('"amount": 81.11', '"amount": -81.11', "the food 173410: Total lipid \\(fat\\) of -81.11 is below zero"),
    ('"amount": 81.11', '"amount": 811.1', "the food 173410: Total lipid \\(fat\\) of 811.1 cannot be in 100 g"),
    ('"amount": 81.11', '"amount": ' + "9" * 5000, "no food of FoodData Central"),
    ('"amount": 81.11', '"amount": 81.11.1', "cut short or no JSON"),
    ('"number": "204"', '"number": "203"', "the nutrient 1004 has the number 203, but 1004 is 204"),
    ('"id": 1004', '"id": 1003', "the nutrient 1003 has the number 204, but 1003 is 203"),
    ('"id": 1004', '"id": null', "a nutrient has no id"),
    ('"id": 1004, "number": "204", "name": "Total lipid (fat)", "unitName": "g"',
     '"id": 1004, "number": "204", "name": "Total lipid (fat)", "unitName": "IU"',
     'the nutrient 1004 is given in "IU", g belongs'),
    ('"nutrient": {', '"nutrient": [], "x": {', "a value is of no nutrient"),
    ('"foodNutrients": [', '"foodNutrients": [7, ', "foodNutrients is no list of objects"),
    ('"description": "Butter, salted"', '"description": ""', "the food 173410: it has no description"),
    ('"description": "Butter, salted"', '"description": ["Butter"]', "description is no text"),
    ('"gramWeight": 5.0', '"gramWeight": -5.0', "the food 173410: a portion is below zero"),
    ('{"SRLegacyFoods": [', '{"SRLegacyFoods": [' + "[" * 100_000, "no food of FoodData Central|no JSON"),
    ('{"SRLegacyFoods": [', '{"SRLegacyFoods": [5, ', "a food belongs here"),
    ('{"SRLegacyFoods": [', '[{"SRLegacyFoods": [', "{ belongs here"),
    ('"Milk, human"', '"Milk, human', "cut short or no JSON"),
    ('}]}', '}]} {}', "something follows the end"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "message"), JSON_BROKEN)
def test_broken_json_is_refused_in_a_sentence(tmp_path: Path, old: str, new: str, message: str) -> None:
    path = json_file(tmp_path / "foods.json")
    text = path.read_text(encoding="utf-8")
    assert old in text
    at = text.rindex(old) if old == "}]}" else text.index(old)
    path.write_text(text[:at] + new + text[at + len(old) :], encoding="utf-8")
    with pytest.raises(TableError, match=message) as error:
        usda_fdc.load(path)
    assert "\n" not in str(error.value)


def test_json_cut_anywhere_is_refused(tmp_path: Path) -> None:
    whole = json_file(tmp_path / "foods.json").read_bytes()
    for cut in range(1, len(whole) - 1, 97):
        (tmp_path / "cut.json").write_bytes(whole[:cut])
        with pytest.raises(TableError, match=r"cut.json, line 1: "):
            usda_fdc.load(tmp_path / "cut.json")


def test_json_in_another_encoding_or_with_a_fault_far_down(tmp_path: Path) -> None:
    text = json_file(tmp_path / "foods.json", indent=1).read_text(encoding="utf-8")
    for encoding in ("utf-16", "latin-1"):
        (tmp_path / "odd.json").write_bytes(text.encode(encoding))
        with pytest.raises(TableError):
            usda_fdc.load(tmp_path / "odd.json")
    (tmp_path / "far.json").write_text(text.replace('"amount": 17\n', '"amount": -17\n'), encoding="utf-8")
    end = next(i for i, line in enumerate(text.splitlines(), 1) if '"1 fl oz"' in line)
    with pytest.raises(
        TableError, match=rf"far.json, line {end + 3}: the food 781084: Sodium, Na of -17 is below zero"
    ):
        usda_fdc.load(tmp_path / "far.json")


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_any_change_to_json_ends_in_a_table_or_a_sentence(tmp_path: Path, data: st.DataObject) -> None:
    whole = json_file(tmp_path / "foods.json").read_bytes()
    at = data.draw(st.integers(0, len(whole)))
    gone = data.draw(st.integers(0, 30))
    put = data.draw(
        st.one_of(st.binary(max_size=20), st.sampled_from([b'"', b",", b"null", b"[", b"{}", b"-1", b"1e400"]))
    )
    (tmp_path / "fuzz.json").write_bytes(whole[:at] + put + whole[at + gone :])
    good_or_a_sentence(lambda: usda_fdc.load(tmp_path / "fuzz.json"))
