"""The JSON Schema of the recipe format, against the demo recipes and the reader."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import pytest
import yaml

from nutrilab.datafiles import FOLDER
from nutrilab.recipe import METHODS, read_recipe, yaml_file

HERE = Path(__file__).parents[1]
SCHEMA = json.loads((FOLDER / "recipe.schema.json").read_text(encoding="utf-8"))
DEMOS = sorted((HERE / "demo_recipes").glob("*.yaml"))


@pytest.mark.parametrize("path", DEMOS, ids=lambda p: p.stem)
def test_demo_recipes_fit_the_schema_and_are_read(path: Path) -> None:
    jsonschema.validate(yaml.safe_load(path.read_text(encoding="utf-8")), SCHEMA)
    assert read_recipe(path).stages


def test_there_are_demos() -> None:
    assert len(DEMOS) >= 4


def test_schema_and_reader_know_the_same_words() -> None:
    assert set(SCHEMA["properties"]) == set(yaml_file.RECIPE_KEYS)
    assert set(SCHEMA["$defs"]["stage"]["properties"]) == set(yaml_file.STAGE_KEYS)
    assert set(SCHEMA["$defs"]["cooking"]["properties"]) == set(yaml_file.COOKING_KEYS)
    assert SCHEMA["$defs"]["cooking"]["properties"]["method"]["enum"] == list(METHODS)


@pytest.mark.parametrize("change", [{"dish": ""}, {"portions": 0}, {"portion": 6}, {"ingredients": []}, {"stages": []}])
def test_schema_refuses_what_the_reader_refuses(change: dict[str, object]) -> None:
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate({"dish": "Soup", "portions": 4, "ingredients": ["1 leek"]} | change, SCHEMA)


def test_the_docs_show_this_schema() -> None:
    assert (HERE / "docs" / "recipe.schema.json").read_text() == (FOLDER / "recipe.schema.json").read_text()
