"""Recipes are read in English: what becomes of a line in another language, with a table of that language and without.

The floor: no line is understood, and its dish complete, while an allergen in it goes unsaid. gold/languages.csv holds
what is said of lines in four languages, two or more foods of each of the 14. A foreign table, and one that names its
foods in English beside, are made up here; published/test_languages.py reads the French workbook.
"""

from __future__ import annotations

import csv
from pathlib import Path

import pandas as pd
import pytest

from data_loaders.schema import MEASURE_COLUMNS, Provenance, TableData, english_name, write
from nutrilab.allergens import ALLERGENS, find
from nutrilab.foods import Food, FoodTable, embedded
from nutrilab.kitchen import Kitchen
from nutrilab.linking.english import ENGLISH, in_english
from nutrilab.recipe import Line, Recipe, Stage

GOLD = Path(__file__).parent / "gold" / "languages.csv"
SAID = ("-", "check", "contains")  # from least to most


def gold() -> list[dict[str, str]]:
    with GOLD.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


def said_of(kitchen: Kitchen, line: str, allergen: str) -> tuple[str, bool]:
    """What is said of an allergen of a line, and whether the line is understood."""
    record = kitchen.line(line)
    found = record.findings
    return "contains" if allergen in found.contains else "check" if allergen in found.check else "-", record.resolved


def holds(kitchen: Kitchen, row: dict[str, str], column: str) -> None:
    """The line is not silent and complete, says no less than the table of outcomes, and is no more complete on less."""
    said, complete = said_of(kitchen, row["line"], row["allergen"])
    wanted, _, understood = row[column].partition(" ")
    assert said != "-" or not complete, "silent, and its dish complete"
    assert SAID.index(said) >= SAID.index(wanted)
    assert complete == bool(understood) or said == "contains"


def foreign(folder: Path, names: dict[str, str], name: str = "land") -> FoodTable:
    """A table of foods, name -> English name or "" where the publisher gives none."""
    rows = [
        (f"{name}:{i}", one, f"en: {english}" if english else None, "Gruppe", "Land", None, 400.0 + 31 * i, 9.0 * i)
        for i, (one, english) in enumerate(names.items())
    ]
    columns = ["food_id", "name", "scientific_name", "group", "source", "refuse", "ENERC_KCAL", "FAT"]
    frame = pd.DataFrame(rows, columns=columns).astype({"refuse": float})
    measures = pd.DataFrame({column: [] for column in MEASURE_COLUMNS}).astype({"amount": float, "grams": float})
    return FoodTable(write(TableData(frame, measures, Provenance("Land", "1", *["none"] * 5)), folder, name))


# Names that stand in no list and no rule, so that nothing but the table's own name can link them.
STRANGE = {
    "Knackmandelkerne": "Almonds, whole",
    "Gerstelmehl": "Barley flour",
    "Krebsschwänzli": "Crayfish tails",
    "Rühreimasse": "Egg, whole, pasteurised",
    "Egli": "Perch, raw",
    "Spanische Nüssli": "Peanuts, salted",
    "Sojaschnetzel": "Soya protein, textured",
    "Nidel": "Cream, double",
    "Zellerknolle": "Celeriac, raw",
    "Mostrich": "Mustard, prepared",
    "Semsemkörner": "Sesame seeds",
    "Wolfsbohnen": "Lupin seeds",
    "Miesli": "Mussels, raw",
    "Sauser": "Wine, new",
}
WHAT = "nuts gluten crustaceans eggs fish peanuts soya milk celery mustard sesame lupin molluscs sulphites".split()


@pytest.mark.parametrize("row", gold(), ids=lambda row: row["line"])
def test_lines_of_four_languages_with_the_embedded_table(row: dict[str, str]) -> None:
    """Ground: Annex II; the words of other languages: common practice, no source."""
    holds(Kitchen([embedded()], alternatives=False), row, "embedded")


def test_the_outcomes_cover_the_fourteen_in_each_language() -> None:
    """Ground: Annex II; the words of other languages: common practice, no source."""
    table = gold()
    for language, least in (("French", 4), ("German", 3), ("Italian", 3), ("Spanish", 3)):
        for allergen in ALLERGENS:
            of_it = {row["line"] for row in table if (row["language"], row["allergen"]) == (language, allergen)}
            assert len(of_it) >= least, (language, allergen)
    assert not [row for row in table for column in ("beside", "alone", "embedded") if row[column] == "- complete"]


@pytest.mark.parametrize("line", [f"100 g {name}" for name in STRANGE])
def test_a_line_that_only_a_foreign_name_reaches_is_not_understood(tmp_path: Path, line: str) -> None:
    """Ground: Annex II; the words of other languages: common practice, no source."""
    table = foreign(tmp_path, dict.fromkeys(STRANGE, ""))
    for tables in ([table], [table, embedded()]):
        record = Kitchen(tables, alternatives=False).line(line)
        assert record.foods[0].link.food is not None
        assert not record.resolved
        assert "not-english" in [remark.code for remark in record.remarks]
    assert not Kitchen([embedded(), table], alternatives=False).line(line).resolved


@pytest.mark.parametrize(
    "line", ["100 g noisettes", "Baumnuss", "200 g chapelure", "2 EL Haselnussmus", "pinoli tostati"]
)
def test_the_foreign_line_leaves_the_dish_open_or_names_what_is_in_it(tmp_path: Path, line: str) -> None:
    """Ground: Annex II; the words of other languages: common practice, no source."""
    names = dict.fromkeys(("Noisette, crue", "Baumnuss", "Chapelure", "Haselnussmus", "Pinoli tostati", "Zopf"), "")
    kitchen = Kitchen([foreign(tmp_path, names), embedded()], alternatives=False)
    dish = kitchen.dish(Recipe("Harbour cake", (Stage("cake", (Line("200 g caster sugar"), Line(line))),), portions=4))
    if not dish.allergens.complete:
        assert dish.allergens.unresolved == (line,)
    else:
        assert {"nuts", "gluten"} & set(dish.allergens.contains)


@pytest.mark.parametrize(
    ("line", "allergen"),
    [(f"80 g {name}", allergen) for name, allergen in zip(STRANGE, WHAT, strict=True)],
)
def test_the_english_name_beside_says_what_is_in_it(tmp_path: Path, line: str, allergen: str) -> None:
    """Ground: Annex II; the words of other languages: common practice, no source."""
    said, complete = said_of(Kitchen([foreign(tmp_path, STRANGE), embedded()], alternatives=False), line, allergen)
    assert (said, complete) == ("check", False)


def test_the_evidence_names_the_food_in_both_languages(tmp_path: Path) -> None:
    """Ground: Annex II; the words of other languages: common practice, no source."""
    kitchen = Kitchen([foreign(tmp_path, STRANGE), embedded()], alternatives=False)
    (evidence,) = kitchen.line("Mostrich").findings.check["mustard"]
    assert '"Mostrich (Mustard, prepared)"' in evidence


@pytest.mark.parametrize(
    "line", ["50 g butter", "2 eggs", "100 g hazelnuts, chopped", "1 tbsp Dijon mustard", "200 g tofu"]
)
def test_english_lines_are_as_well_understood_with_a_foreign_table_first(tmp_path: Path, line: str) -> None:
    """Ground: Annex II; the words of other languages: common practice, no source."""
    alone = Kitchen([embedded()], alternatives=False).line(line)
    behind = Kitchen([foreign(tmp_path, STRANGE), embedded()], alternatives=False).line(line)
    assert behind.findings == alone.findings
    assert behind.resolved == alone.resolved


@pytest.mark.parametrize("name", ["zorble", "blivet paste", "quandle"])
def test_a_word_that_no_list_knows_is_not_understood_by_an_english_table_either(tmp_path: Path, name: str) -> None:
    """Ground: Annex II; the words of other languages: common practice, no source."""
    table = foreign(tmp_path, {"Butter, salted": "", "Milk, whole": "", "Cheese, hard": "", name.capitalize(): ""})
    assert in_english(table)
    record = Kitchen([table, embedded()], alternatives=False).line(f"50 g {name}")
    assert record.foods[0].link.food is not None
    assert not record.resolved


@pytest.mark.parametrize(
    "line", ["Tarte aux prunes", "farina con knobbeli", "Rührei mit champignons", "prunes des zorbles"]
)
def test_a_name_of_which_a_list_knows_but_one_word_is_not_understood(line: str) -> None:
    """Ground: Annex II; the words of other languages: common practice, no source."""
    assert not Kitchen([embedded()], alternatives=False).line(line).resolved


@pytest.mark.parametrize(
    "line", ["2 tbsp creme de cassis", "a sprig of fleur de sel", "jus de canard", "chilli con carne mix"]
)
def test_english_names_with_a_joint_are_no_other_language(line: str) -> None:
    """Ground: Annex II; the words of other languages: common practice, no source."""
    record = Kitchen([embedded()], alternatives=False).line(line)
    assert "not-english" not in [remark.code for remark in record.remarks]


@pytest.mark.parametrize("name", ["noisettes", "zopfteig", "wurzelbrot"])
def test_a_decision_for_a_food_nobody_can_read_leaves_the_line_open(tmp_path: Path, name: str) -> None:
    """Ground: Annex II; the words of other languages: common practice, no source."""
    table = foreign(tmp_path, dict.fromkeys(STRANGE, ""))
    kitchen = Kitchen([table, embedded()], {name: "land:1"}, alternatives=False)
    record = kitchen.line(f"100 g {name}")
    assert record.foods[0].link.food is not None
    assert record.foods[0].link.food.food_id == "land:1"
    assert not record.resolved or record.findings.contains


def test_the_language_of_a_table_shows_in_its_names(tmp_path: Path) -> None:
    """Ground: Annex II; the words of other languages: common practice, no source."""
    assert in_english(embedded())
    assert not in_english(foreign(tmp_path, dict.fromkeys(STRANGE, "")))
    assert 0.6 < ENGLISH < 0.85  # what was measured lies on both sides


@pytest.mark.parametrize(
    ("second", "name"),
    [("Corylus avellana; en: Hazelnut", "Hazelnut"), ("en: Bread, white", "Bread, white"),
     ("Prunus domestica; fr: Pruneau", ""), ("Chen: a bird", ""), ("", "")],
)  # fmt: skip
def test_an_english_name_stands_behind_the_scientific_one(second: str, name: str) -> None:
    """Ground: Annex II; the words of other languages: common practice, no source."""
    assert english_name(second) == name


# -- words ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("line", "allergen"),
    [("noix de coco râpée", "nuts"), ("noix de muscade", "nuts"), ("noce moscata", "nuts"), ("nuez moscada", "nuts"),
     ("beurre noisette", "nuts"), ("4 lamb noisettes", "nuts"), ("noisettes of lamb", "nuts"),
     ("400 ml lait de coco", "milk"), ("beurre de cacao", "milk"), ("beurre de cacahuète", "milk"),
     ("burro di arachidi", "milk"), ("leche de coco", "milk"), ("nata de coco", "milk"), ("lait d'amande", "milk"),
     ("farine de riz", "gluten"), ("farina di ceci", "gluten"), ("harina de maíz", "gluten"),
     ("grano saraceno", "gluten"), ("2 tbsp fish sauce in lieu of salt", "gluten")],
)  # fmt: skip
def test_words_of_other_languages_that_mislead(line: str, allergen: str) -> None:
    """Ground: Annex II; the words of other languages: common practice, no source."""
    found = find(line)
    assert allergen not in found.contains
    assert allergen not in found.check


def test_what_a_group_may_hold_is_asked_only_where_the_name_is_not_read() -> None:
    """Ground: Annex II; the words of other languages: common practice, no source."""
    group = "fruits, vegetables, legumes and nuts: nuts and seeds"
    silent = Food("fr:1", "Graine mystère", group, "test", None, {}, english="")
    assert "nuts" in find("graine mystère", silent, doubtful=True).check
    for read in (Food("fr:1", "Graine mystère", group, "test", None, {}, english="Poppy, seed"),
                 Food("fr:1", "Poppy, seed", group, "test", None, {})):  # fmt: skip
        assert "nuts" not in find("graine mystère", read, doubtful=True).check
