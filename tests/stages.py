"""A stage cooked of what its lines put into the pot."""

from __future__ import annotations

from collections.abc import Sequence

from nutrilab.cooking import stage
from nutrilab.cooking.media import Put, item
from nutrilab.cooking.steps import Batch
from nutrilab.cooking.work import StageResult
from nutrilab.recipe import Cooking


def cook_stage(
    puts: Sequence[Put], parts: Sequence[tuple[str, Batch]], cooking: Cooking | None, name: str, dish: str = ""
) -> StageResult:
    return stage.cook_stage([item(put) for put in puts], parts, cooking, name, dish)
