"""Whether a declared value holds: the steps of the guidance, either side, and where it gives none."""

from __future__ import annotations

import pytest

from nutrilab.datafiles import rows
from nutrilab.law.rounding import ORDER
from nutrilab.law.tolerance import HOLDS, NO_TOLERANCE, held, held_all, limits


@pytest.mark.parametrize(
    ("component", "declared", "around"),
    [
        ("fat", 9.9, (8.4, 11.4)),
        ("fat", 10, (8, 12)),
        ("fat", 41, (33, 49)),
        ("saturates", 3.9, (3.1, 4.7)),
        ("saturates", 5, (4, 6)),
        ("sugars", 1, (0, 3)),
        ("protein", 40, (32, 48)),
        ("fibre", 6, (4, 8)),
        ("salt", 1.2, (0.825, 1.575)),
        ("salt", 1.25, (1.0, 1.5)),
    ],
)
def test_the_steps(component: str, declared: float, around: tuple[float, float]) -> None:
    assert limits(component, declared) == pytest.approx(around)


@pytest.mark.parametrize("component", [key for key in ORDER if not key.startswith("energy")])
def test_the_steps_leave_no_gap_and_name_their_source(component: str) -> None:
    steps = [row for row in rows("tolerances.csv") if row["component"] == component]
    assert steps[0]["from"] == "0"
    assert steps[-1]["below"] == ""
    assert [one["below"] for one in steps[:-1]] == [one["from"] for one in steps[1:]]
    assert all("2012" in one["source"] for one in steps)


def test_a_range_inside_and_one_that_sticks_out() -> None:
    assert held("salt", 1.0, (0.7, 1.3)).words == HOLDS
    over = held("salt", 1.0, (0.7, 1.4), "the salt of the water")
    assert (over.holds, over.words) == (False, "weigh the salt of the water first")
    assert held("salt", 1.0, (0.6, 1.3)).holds is False
    assert held("fat", 10.0, (8.0, 12.0)).holds is True
    assert "weighed first" in held("fat", 10.0, (7.9, 12.0)).words


def test_energy_and_what_is_not_known_are_not_judged() -> None:
    assert (held("energy_kcal", 120, (100, 900)).holds, held("energy_kcal", 120, (100, 900)).words) == (
        None,
        NO_TOLERANCE,
    )
    assert held("fibre", None, None).holds is None
    assert [one.key for one in held_all({"fat": 5.0}, {"fat": (4.0, 6.0)})] == list(ORDER)


@pytest.mark.parametrize(("component", "value"), [("fat", -1.0), ("fat", float("nan")), ("ash", 1.0)])
def test_what_cannot_be_declared_is_refused(component: str, value: float) -> None:
    with pytest.raises(ValueError, match=component):
        limits(component, value)
