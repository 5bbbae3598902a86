"""Every CSV as a spreadsheet takes it: letters, numbers as numbers, no formulas; the table of a row a dish."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Sequence
from pathlib import Path

import pytest
from click.testing import CliRunner

from nutrilab.allergens import ALLERGENS
from nutrilab.cli import main
from nutrilab.law.rounding import ORDER
from nutrilab.results import DishResult
from nutrilab.sheets import chart, csv_dishes, csv_figures
from tests.dishes import demos, dish
from tests.soffice_here import opened

Make = Callable[[Sequence[DishResult]], str]
MAKES: tuple[Make, ...] = (csv_dishes.as_csv, csv_figures.as_csv, chart.as_csv)
NAMES = ("a row a dish", "long", "chart")
every = pytest.mark.parametrize("make", MAKES, ids=NAMES)
TITLES = ("energy", "fat", "saturates", "carbohydrate", "sugars", "fibre", "protein", "salt")


def rows_of(text: str) -> list[list[str]]:
    assert text[0] == "\ufeff"
    return list(csv.reader(io.StringIO(text[1:], newline=""), strict=True))


def table(*results: DishResult) -> list[dict[str, str]]:
    head, *rows = rows_of(csv_dishes.as_csv(results))
    return [dict(zip(head, row, strict=True)) for row in rows]


def run(*arguments: object) -> bytes:
    ran = CliRunner().invoke(main, [str(one) for one in arguments])
    assert ran.exit_code == 0, ran.stderr
    return ran.stdout_bytes


# --- a row a dish ---------------------------------------------------------------------------------------------------


def test_a_dish_is_one_row_and_what_is_asked_first_stands_first() -> None:
    head, *rows = rows_of(csv_dishes.as_csv(demos()))
    assert [row[0] for row in rows] == [result.recipe.dish for result in demos()]
    assert {len(row) for row in rows} == {len(head)} == {len(set(head))}
    assert head[:6] == [
        "dish", "complete", "portions", "portion weight (g)", "energy a portion (kJ)", "energy a portion (kcal)",
    ]  # fmt: skip
    where = head.index("contains")
    assert head[where + 3 : where + 17] == list(ALLERGENS)
    assert all(f"{title} per 100 g (g)" in head for title in TITLES[1:])


def test_its_figures_are_the_dishs_to_two_decimals() -> None:
    for result, row in zip(demos(), table(*demos()), strict=True):
        for key, title in ORDER.items():
            name = title.removeprefix("of which ").lower()
            unit = {"energy_kj": "kJ", "energy_kcal": "kcal"}.get(key, "g")
            low, high = result.whole.per_portion_range[key] or (None, None)
            for column, value in (
                (f"{name} a portion ({unit})", result.per_portion[key]),
                (f"{name} a portion, at least ({unit})", low),
                (f"{name} a portion, at most ({unit})", high),
                (f"{name} per 100 g ({unit})", result.per_100g[key]),
            ):
                assert value is not None
                assert float(row[column]) == round(value, 2), column
        assert float(row["portion weight (g)"]) == round(result.portion_weight, 2)
        assert float(row["cooked weight (g)"]) == round(result.cooked_mass, 2)
        assert row["contains"] == ", ".join(map(result.allergens.named, result.allergens.contains))
        open_ = "" if result.allergens.complete else csv_dishes.OPEN
        assert {a: row[a] for a in ALLERGENS} == {a: result.allergens.cell(a) or open_ for a in ALLERGENS}
        assert row["cautions"] == " ".join(result.cautions)


def test_a_dish_that_is_not_complete_leaves_no_allergen_empty(tmp_path: Path) -> None:
    (row,) = table(dish(tmp_path, "Snack", "100 g butter", "2 zub", "1 vegetable stock cube"))
    assert (row["complete"], row["not understood"]) == ("NO", "2 zub")
    assert (row["milk"], row["celery"], row["fish"]) == ("contains", "check", "not known")
    assert "" not in {row[allergen] for allergen in ALLERGENS}
    (whole,) = table(dish(tmp_path, "Snack", "100 g butter"))
    assert (whole["complete"], whole["milk"], whole["fish"]) == ("yes", "contains", "")


def test_what_nobody_knows_is_an_empty_cell_and_no_nought(tmp_path: Path) -> None:
    (row,) = table(dish(tmp_path, "Odd", "100 g zub"))
    assert row["energy a portion (kcal)"] == row["salt per 100 g (g)"] == ""


# --- on the command line --------------------------------------------------------------------------------------------


def test_the_long_form_is_asked_for_by_name(tmp_path: Path) -> None:
    short = run("analyse", "demo_recipes/harbour-fish-pie.yaml", "--format", "csv").decode()
    long = run("analyse", "demo_recipes/harbour-fish-pie.yaml", "--format", "csv", "--long").decode()
    assert (len(rows_of(short)), rows_of(long)[0]) == (2, list(csv_figures.COLUMNS))
    run("analyse", "demo_recipes/harbour-fish-pie.yaml", "--long", "-o", tmp_path / "all.csv")
    assert (tmp_path / "all.csv").read_bytes().decode() == long
    for wrong in ((), ("--format", "json"), ("-o", str(tmp_path / "a.html"))):
        ran = CliRunner().invoke(main, ["analyse", "demo_recipes/harbour-fish-pie.yaml", "--long", *wrong])
        assert (ran.exit_code, ran.stdout, ran.stderr.count("\n")) == (2, "", 1)
        assert "--long says how a csv is made" in ran.stderr


# --- as a spreadsheet has it ----------------------------------------------------------------------------------------


@every
def test_letters_survive_by_the_mark_of_utf_8(make: Make, tmp_path: Path) -> None:
    """RFC 3629, section 6: EF BB BF; RFC 4180, section 2: CR LF, as many cells in every row of the table."""
    data = make([dish(tmp_path, "Crème ½ µ", "100 g crème fraîche")]).encode()
    assert data.startswith(b"\xef\xbb\xbf")
    assert data.count(b"\xef\xbb\xbf") == 1
    assert "Crème ½ µ" in data.decode("utf-8-sig")
    assert b"\n" not in data.replace(b"\r\n", b"")


def number(cell: str) -> float | None:
    try:
        return float(cell)
    except ValueError:
        return None


@every
def test_libreoffice_opens_it_cell_by_cell(make: Make, tmp_path: Path) -> None:
    strange = dish(tmp_path, "=1+1 Crème ½ µ", "100 g crème fraîche", "½ tsp @SUM(A1) salt", "2 zub; =1+1")
    text = make([strange, *demos()])
    (tmp_path / "table.csv").write_bytes(text.encode())
    found = opened(tmp_path / "table.csv", tmp_path)
    wanted = rows_of(text)
    assert len(found) == len(wanted)
    numbers = 0
    for row, cells in zip(found, wanted, strict=True):
        cells = [*cells, *[""] * (len(row) - len(cells))]  # the foot of the chart has one cell a row
        for shown, cell in zip(row, cells, strict=True):
            if (value := number(cell)) is not None:
                numbers += 1
                assert isinstance(shown, int | float)
                assert shown == pytest.approx(value, rel=1e-12)
            else:
                assert (shown or "") == cell
                assert not str(shown).startswith("=")
    assert numbers > (len(demos()) * 9 if make is not chart.as_csv else -1)
    assert any("'=1+1 Crème ½ µ" in str(row[0]) for row in found)
