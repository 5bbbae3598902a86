"""Sheets lay out what was found: figures, shares and rounding come from the rooms before them."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[1] / "nutrilab"
SHEETS = [*sorted((PACKAGE / "sheets").glob("*.py")), PACKAGE / "records.py", PACKAGE / "ingredients.py"]
DRAWN = {"pictures.py", "lettering.py", "chart_room.py", "still.py"}  # where numbers are places on paper
COMPUTING = ("nutrilab.cooking.steps", "nutrilab.nutrition", "nutrilab.law.energy", "nutrilab.kitchen")
VALUES = {"COMPONENTS", "SALT_PER_SODIUM", "sodium", "Step"}  # names, and units turned into one another


def counted(source: str) -> list[str]:
    """What a file computes: products, quotients and powers, of text and paths none; what it imports to compute."""
    found = []
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.BinOp) and isinstance(node.op, ast.Mult | ast.Div | ast.Pow | ast.FloorDiv):
            text = ast.unparse(node)
            if not any(word in text for word in ("files(", "Path(", '"', "'", "100 * share")):
                found.append(text)
        elif isinstance(node, ast.ImportFrom) and (node.module or "").startswith(COMPUTING):
            found += [alias.name for alias in node.names if alias.name not in VALUES]
    return found


@pytest.mark.parametrize("path", [path for path in SHEETS if path.name not in DRAWN], ids=lambda path: path.name)
def test_a_sheet_computes_nothing(path: Path) -> None:
    assert counted(path.read_text("utf-8")) == []


def test_the_check_sees_what_is_computed() -> None:
    assert counted("weight = result.whole.mass / result.portions") == ["result.whole.mass / result.portions"]
    assert counted("from nutrilab.nutrition import COMPONENTS, per_100g") == ["per_100g"]
    assert counted("folder = files('nutrilab') / 'templates'") == []
