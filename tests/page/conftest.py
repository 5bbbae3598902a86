"""A kitchen folder and the page served for it; a test file puts its own recipes there by a fixture of the same name."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from tests.page.serving import Client


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    found = tmp_path / "kitchen"
    found.mkdir()
    return found


@pytest.fixture
def page(folder: Path) -> Iterator[Client]:
    from tests.page.serving import served  # which skips where the page's packages are not installed

    with served(folder) as client:
        yield client
