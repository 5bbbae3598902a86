"""The French table's loader, on a few of its own rows in both published layouts, and on ways to break them.

Values: ANSES-CIQUAL French food composition table, version 2020-07-07 (Licence Ouverte; credit: Anses), sheet "compo".
"""

from __future__ import annotations

import random
import re
import struct
import zipfile
from collections.abc import Hashable, Sequence
from pathlib import Path
from typing import Any
from xml.sax.saxutils import escape

import pandas as pd
import pytest

from data_loaders import fr_ciqual, fr_ciqual_xls, schema
from data_loaders.fr_ciqual_values import constituents, label, trace_bounds
from data_loaders.registry import loader
from data_loaders.schema import TableError
from nutrilab.foods import FoodTable

pytest.importorskip("xlrd", reason="xlrd reads .xls workbooks")

Cell = str | float | bool
# code, English name, French name, scientific name, group, group below, values by tagname; what is not told is "-"
FOODS: list[tuple[int, str, str, str, str, str, dict[str, Cell]]] = [
    (16400, "Butter, 82% fat, unsalted", "Beurre à 82% MG, doux", "", "fats and oils", "butters",
     {"ENERC_KJ": "3100", "ENERC_KCAL": "753", "WATER": "15,4", "PROCNT_JONES": "0,7", "PROCNT": "0,69",
      "CHOAVL": "0,9", "FAT": "82,9", "SUGAR": "0,83", "FIBTG": "0", "POLYL": "0", "ASH": "< 0,25", "ALC": "0",
      "OA": "0,1", "FASAT": "55,4", "NACL": "0,063", "NA": "25"}),
    (13042, "Prune", "Pruneau", "", "fruits, vegetables, legumes and nuts", "fruits",
     {"ENERC_KJ": "969", "ENERC_KCAL": "229", "WATER": "34,9", "PROCNT_JONES": "1,63", "PROCNT": "1,63",
      "CHOAVL": "55,4", "FAT": "0,4", "SUGAR": "38,1", "FIBTG": "5,1", "POLYL": "9,6", "ASH": "1,72", "ALC": "0",
      "OA": "0,9", "FASAT": "0,16", "NACL": "< 0,013", "NA": "< 5"}),
    (8000, "Rillettes, pork", "Rillettes de porc", "", "meat, egg and fish", "delicatessen meat and similar",
     {"ENERC_KJ": "1610", "ENERC_KCAL": "390", "WATER": "46,3", "PROCNT_JONES": "14,3", "PROCNT": "14,3",
      "CHOAVL": "0,2", "FAT": "36,9", "SUGAR": "-", "FIBTG": "traces", "POLYL": "0", "ASH": "1,75", "ALC": "0",
      "OA": "0", "FASAT": "14,6", "NACL": "1,6", "NA": "1600"}),
    (8025, "Rillettes, pure goose", "Rillettes pure oie", "", "meat, egg and fish", "delicatessen meat and similar",
     {"ENERC_KJ": "1720", "ENERC_KCAL": "417", "PROCNT_JONES": "14,7", "PROCNT": "14,7", "CHOAVL": "traces",
      "FAT": "39,8", "FIBTG": "traces", "POLYL": "0", "ASH": "1,3", "ALC": "0", "OA": "0", "NACL": "1,3"}),
    (26043, "Cod, raw", "Cabillaud, cru", "Gadus morhua (Linnaeus, 1758)", "meat, egg and fish", "fish, raw",
     {"ENERC_KJ": "329", "ENERC_KCAL": "77,6", "WATER": "79,8", "PROCNT_JONES": "18,1", "PROCNT": "18,1",
      "CHOAVL": "traces", "FAT": "0,57", "SUGAR": "0", "FIBTG": "< 0,2", "POLYL": "0", "ASH": "1,1", "ALC": "0",
      "OA": "0", "FASAT": "0,1"}),
]  # fmt: skip
TAGS = [one.tagname for one in constituents()]
FRENCH_GROUPS = {"fats and oils": "matières grasses", "butters": "beurres"}


# Written here, as no library at hand writes .xls: the records of BIFF8 a workbook needs, in an OLE2 file.
def _record(kind: int, data: bytes) -> bytes:
    return struct.pack("<HH", kind, len(data)) + data


def _text(value: str, wide: str) -> bytes:
    return struct.pack(wide, len(value)) + b"\x01" + value.encode("utf-16-le")


def _cell(row: int, column: int, value: Cell) -> bytes:
    head = struct.pack("<HHH", row, column, 0)
    if isinstance(value, bool):  # standing for an error cell, #DIV/0!
        return _record(0x0205, head + b"\x07\x01")
    if isinstance(value, float):
        return _record(0x0203, head + struct.pack("<d", value))
    return _record(0x0204, head + _text(value, "<H")) if value else b""


def workbook(rows: list[list[Cell]], sheet: str = "compo") -> bytes:
    """An .xls of one sheet: texts, numbers, and error cells where a value is a bool."""
    start = struct.pack("<HHHHII", 0x0600, 5, 0, 0, 0, 0)
    name = struct.pack("<BB", len(sheet), 1) + sheet.encode("utf-16-le")
    ahead = 4 + len(start) + 4 + 6 + len(name) + 4
    stream = _record(0x0809, start) + _record(0x0085, struct.pack("<IH", ahead, 0) + name) + _record(0x000A, b"")
    stream += _record(0x0809, struct.pack("<HHHHII", 0x0600, 0x10, 0, 0, 0, 0))
    stream += b"".join(_cell(r, c, value) for r, row in enumerate(rows) for c, value in enumerate(row))
    stream += _record(0x000A, b"")
    stream += bytes(max(4096, -(-len(stream) // 512) * 512) - len(stream))
    sectors = len(stream) // 512
    assert sectors <= 126, "one sector of the sector table holds 128"
    table = [0xFFFFFFFD, 0xFFFFFFFE, *range(3, 2 + sectors), 0xFFFFFFFE] + [0xFFFFFFFF] * (126 - sectors)
    head = fr_ciqual_xls.MAGIC + bytes(16) + struct.pack("<HHHHH", 0x3E, 3, 0xFFFE, 9, 6) + bytes(6)
    head += struct.pack("<IIIIIIIII", 0, 1, 1, 0, 4096, 0xFFFFFFFE, 0, 0xFFFFFFFE, 0) + struct.pack("<I", 0)
    entries = b""
    for title, kind, child, first, size in (("Root Entry", 5, 1, 0xFFFFFFFE, 0), ("Workbook", 2, -1, 2, len(stream))):
        letters = title.encode("utf-16-le") + b"\0\0"
        entries += letters.ljust(64, b"\0") + struct.pack("<HBBiii", len(letters), kind, 1, -1, -1, child)
        entries += bytes(36) + struct.pack("<III", first, size, 0)
    return head.ljust(512, b"\xff") + struct.pack("<128I", *table) + entries.ljust(512, b"\0") + stream


def sheet(language: str = "eng") -> list[list[Cell]]:
    """The rows of the English ("eng") or French ("fr") workbook."""
    per = "/100g)" if language == "eng" else "/100 g)"
    names = [one.english if language == "eng" else one.french for one in constituents()]
    units = [one.unit.replace("ug", "µg") for one in constituents()]
    rows: list[list[Cell]] = [
        ["alim_grp_code", f"alim_grp_nom_{language}", f"alim_ssgrp_nom_{language}", "alim_code",
         f"alim_nom_{language}", "alim_nom_sci", *(f"{n} ({u}{per}" for n, u in zip(names, units, strict=True))]
    ]  # fmt: skip
    for code, english, french, scientific, group, below, values in FOODS:
        if language == "fr":
            group, below = FRENCH_GROUPS.get(group, group), FRENCH_GROUPS.get(below, below)
        name = english if language == "eng" else french
        rows.append(["01", group, below, float(code), name, scientific, *(values.get(tag, "-") for tag in TAGS)])
    return rows


def changed(rows: list[list[Cell]], tagname: str, value: Cell, row: int = 1) -> list[list[Cell]]:
    """The same rows with one value of one food set."""
    rows[row][rows[0].index(next(h for h in rows[0] if place_of(str(h)) == tagname))] = value
    return rows


def place_of(head: str) -> str:
    name, unit = label(head)
    return next(
        (one.tagname for one in constituents() if label(f"{one.english} ({one.unit}/100g)") == (name, unit)), ""
    )


def element(name: str, fields: Sequence[tuple[str, object]]) -> str:
    """One row of an XML file; a value that is missing has the attribute missing, as published (from memory)."""
    lines = [f"<{k}> {v} </{k}>" if v not in ("", None) else f'<{k} missing=" " />' for k, v in fields]
    return "\n      ".join([f"   <{name}>", *lines]) + f"\n   </{name}>\n"


def xml_file(name: str, fields: Sequence[Sequence[tuple[str, object]]], encoding: str = "windows-1252") -> bytes:
    body = "".join(element(name, record) for record in fields)
    return f'<?xml version="1.0" encoding="{encoding}" ?>\n<TABLE>\n{body}</TABLE>\n'.encode(encoding)


def xml(encoding: str = "windows-1252") -> dict[str, bytes]:
    """The XML download of the same foods; the values of compo are not escaped, as published (from memory)."""
    foods = [
        [("alim_code", code), ("alim_nom_fr", escape(french)), ("ALIM_NOM_INDEX_FR", french),
         ("alim_nom_eng", escape(english)), ("alim_nom_sci", scientific), ("alim_grp_code", f"{group[:2]}"),
         ("alim_ssgrp_code", below[:4])]
        for code, english, french, scientific, group, below, _ in FOODS
    ]  # fmt: skip
    groups = [
        [("alim_grp_code", group[:2]), ("alim_grp_nom_fr", "-"), ("alim_grp_nom_eng", group),
         ("alim_ssgrp_code", below[:4]), ("alim_ssgrp_nom_fr", "-"), ("alim_ssgrp_nom_eng", below)]
        for _, _, _, _, group, below, _ in FOODS
    ]  # fmt: skip
    const = [
        [("const_code", c.const_code), ("const_nom_fr", f"{c.french} ({c.unit}/100 g)"),
         ("const_nom_eng", f"{c.english} ({c.unit}/100g)")]
        for c in constituents()
    ]  # fmt: skip
    compo = [
        [("alim_code", code), ("const_code", c.const_code), ("teneur", values.get(c.tagname, "-")),
         *bounds.get((code, c.tagname), [("min", None), ("max", None), ("code_confiance", None)]), ("source_code", 1)]
        for code, _, _, _, _, _, values in FOODS
        for c in constituents()
    ]  # fmt: skip
    parts: dict[str, Sequence[Sequence[tuple[str, object]]]] = {
        "alim": foods,
        "alim_grp": groups,
        "const": const,
        "compo": compo,
    }
    return {f"{name}_2020_07_07.xml": xml_file(name.upper(), part, encoding) for name, part in parts.items()}


bounds: dict[tuple[int, str], list[tuple[str, object]]] = {
    (16400, "FAT"): [("min", "80,2"), ("max", "84"), ("code_confiance", "A")],
    (13042, "FAT"): [("min", "0,9"), ("max", "0,2"), ("code_confiance", "D")],  # the wrong way round
}


def put(place: Path, files: dict[str, bytes]) -> Path:
    place.mkdir(exist_ok=True)
    for name, data in files.items():
        (place / name).write_bytes(data)
    return place


def load_rows(tmp_path: Path, rows: list[list[Cell]], title: str = "compo") -> schema.TableData:
    (tmp_path / "made.xls").write_bytes(workbook(rows, title))
    return fr_ciqual.load(tmp_path / "made.xls")


def by_name(table: schema.TableData) -> dict[str, dict[Hashable, Any]]:
    return {str(row["name"]): row for row in table.foods.to_dict("records")}


def notes(table: schema.TableData, food_id: str, tagname: str) -> list[tuple[object, ...]]:
    assert table.notes is not None
    found = table.notes[(table.notes["food_id"] == food_id) & (table.notes["tagname"] == tagname)]
    return [tuple(row) for row in found[["kind", "low", "high", "words"]].itertuples(index=False)]


def test_values_and_notes_of_the_english_workbook(tmp_path: Path) -> None:
    table = load_rows(tmp_path, sheet())
    schema.check(table, "made.xls")
    foods = by_name(table)
    butter, prune, cod = foods["Butter, 82% fat, unsalted"], foods["Prune"], foods["Cod, raw"]
    assert (butter["food_id"], butter["group"]) == ("fr:16400", "fats and oils: butters")
    assert (butter["PROCNT"], butter["PROCNT_JONES"], butter["FAT"], butter["ENERC_KJ"]) == (0.69, 0.7, 82.9, 3100)
    assert (prune["NA"], notes(table, "fr:13042", "NA")) == (2.5, [("less than", 0, 5, "< 5")])
    assert (cod["CHOAVL"], notes(table, "fr:26043", "CHOAVL")) == (0.005, [("trace", 0, 0.01, "traces")])
    assert cod["scientific_name"] == "Gadus morhua (Linnaeus, 1758)"
    assert pd.isna(cod["NA"])  # "-" is missing, never 0
    assert pd.isna(foods["Rillettes, pork"]["SUGAR"])
    assert list(table.foods["food_id"]) == ["fr:8000", "fr:8025", "fr:13042", "fr:16400", "fr:26043"]
    assert loader("fr-ciqual").NAME == "fr-ciqual"


def test_sodium_where_only_salt_is_told_and_where_both_disagree(tmp_path: Path) -> None:
    """Rillettes of CIQUAL 2020: goose has salt 1,3 g and no sodium; pork has salt 1,6 g and sodium 1600 mg."""
    table = load_rows(tmp_path, sheet())
    foods = by_name(table)
    assert foods["Rillettes, pure goose"]["NA"] == pytest.approx(520)
    assert [note[0] for note in notes(table, "fr:8025", "NA")] == ["converted"]
    assert foods["Rillettes, pork"]["NA"] == 1600  # as published
    assert [note[:3] for note in notes(table, "fr:8000", "NA")] == [("estimate", 640, 1600)]
    assert notes(table, "fr:16400", "NA") == []  # 25 mg are 0,063 g: they agree


def test_sodium_from_a_salt_below_a_bound_keeps_the_bound(tmp_path: Path) -> None:
    table = load_rows(tmp_path, changed(sheet(), "NACL", "< 0,05", row=5))
    assert by_name(table)["Cod, raw"]["NA"] == pytest.approx(10)
    assert [note[:3] for note in notes(table, "fr:26043", "NA")] == [("converted", 0, pytest.approx(20))]


def test_french_workbook_alone_and_both_together(tmp_path: Path) -> None:
    english, french = (workbook(sheet(language)) for language in ("eng", "fr"))
    plain = load_rows(tmp_path, sheet())
    alone = fr_ciqual.load(put(tmp_path / "fr", {"ciqual-2020-fra.xls": french}) / "ciqual-2020-fra.xls")
    both = fr_ciqual.load(put(tmp_path / "two", {"ciqual-2020-eng.xls": english, "ciqual-2020-fra.xls": french}))
    assert list(alone.foods["name"])[3:] == ["Beurre à 82% MG, doux", "Cabillaud, cru"]
    assert alone.foods["group"][3] == "fats and oils: butters"  # in English from either workbook
    assert list(both.foods["name"]) == list(plain.foods["name"])
    assert both.foods["scientific_name"][4] == "Gadus morhua (Linnaeus, 1758); fr: Cabillaud, cru"
    assert [fr_ciqual.french_name(name) for name in both.foods["scientific_name"]] == list(alone.foods["name"])
    for other in (alone, both):
        pd.testing.assert_frame_equal(other.foods[TAGS], plain.foods[TAGS], check_exact=True)
    assert set(both.provenance.inputs) == {"ciqual-2020-eng.xls", "ciqual-2020-fra.xls"}


def test_english_names_stand_second_where_the_english_workbook_lies_beside_the_french(tmp_path: Path) -> None:
    english, french = (workbook(sheet(language)) for language in ("eng", "fr"))
    folder = put(tmp_path / "two", {"ciqual-2020-eng.xls": english, "ciqual-2020-fra.xls": french})
    table = fr_ciqual.load(folder / "ciqual-2020-fra.xls")
    assert list(table.foods["name"])[3:] == ["Beurre à 82% MG, doux", "Cabillaud, cru"]
    second = list(table.foods["scientific_name"])
    assert second[3:] == ["en: Butter, 82% fat, unsalted", "Gadus morhua (Linnaeus, 1758); en: Cod, raw"]
    assert [schema.english_name(name) for name in second] == list(load_rows(tmp_path, sheet()).foods["name"])
    assert set(table.provenance.inputs) == {"ciqual-2020-eng.xls", "ciqual-2020-fra.xls"}
    read = FoodTable(schema.write(table, tmp_path, "fr-ciqual"))
    assert read.food("fr:26043").called == "Cabillaud, cru (Cod, raw)"
    alone = fr_ciqual.load(put(tmp_path / "one", {"ciqual-2020-fra.xls": french}) / "ciqual-2020-fra.xls")
    assert not any(schema.english_name(name) for name in alone.foods["scientific_name"])
    assert set(fr_ciqual.load(folder / "ciqual-2020-eng.xls").provenance.inputs) == {"ciqual-2020-eng.xls"}


def test_a_damaged_english_workbook_beside_the_french_is_named(tmp_path: Path) -> None:
    french = workbook(sheet("fr"))
    broken = fr_ciqual_xls.MAGIC + bytes(600)
    folder = put(tmp_path / "two", {"ciqual-2020-eng.xls": broken, "ciqual-2020-fra.xls": french})
    with pytest.raises(TableError, match=r"ciqual-2020-eng\.xls"):
        fr_ciqual.load(folder / "ciqual-2020-fra.xls")


@pytest.mark.parametrize("encoding", ["windows-1252", "utf-8"])
def test_xml_reads_as_the_workbooks_do(tmp_path: Path, encoding: str) -> None:
    folder = put(tmp_path / "xml", xml(encoding))
    table = fr_ciqual.load(folder)
    schema.check(table, folder)
    books = {f"ciqual-2020-{part}.xls": workbook(sheet(part[:2] if part == "fra" else part)) for part in ("eng", "fra")}
    both = fr_ciqual.load(put(tmp_path / "xls", books))
    pd.testing.assert_frame_equal(table.foods, both.foods, check_exact=True)
    with zipfile.ZipFile(tmp_path / "xml.zip", "w") as archive:
        for name, data in xml(encoding).items():
            archive.writestr(f"XML_2020_07_07/{name}", data)
    pd.testing.assert_frame_equal(fr_ciqual.load(tmp_path / "xml.zip").foods, both.foods, check_exact=True)


def test_xml_keeps_confidence_codes_with_the_span_of_the_sources(tmp_path: Path) -> None:
    table = fr_ciqual.load(put(tmp_path / "xml", xml()))
    assert notes(table, "fr:16400", "FAT") == [("confidence", 80.2, 84, "confidence A")]
    kind, low, high, words = notes(table, "fr:13042", "FAT")[0]
    assert (kind, words) == ("confidence", "confidence D")
    assert low != low  # bounds the wrong way round bound nothing
    assert high != high
    assert not notes(load_rows(tmp_path, sheet()), "fr:16400", "FAT")  # the workbooks have no such codes


def test_xml_escaped_as_it_should_be_reads_the_same(tmp_path: Path) -> None:
    files = xml()
    plain = fr_ciqual.load(put(tmp_path / "bare", files)).foods
    name = "compo_2020_07_07.xml"
    assert files[name].count(b"< 0,25")
    files[name] = files[name].replace(b"> < ", b"> &lt; ")
    alim = "alim_2020_07_07.xml"
    files[alim] = files[alim].replace(b"Prune ", b"Prune & plum ").replace(b"alim_code", b"ALIM_CODE")
    read = fr_ciqual.load(put(tmp_path / "escaped", files)).foods
    assert read["name"][2] == "Prune & plum"  # a bare & is itself
    pd.testing.assert_frame_equal(read[TAGS], plain[TAGS], check_exact=True)


def test_constituents_go_by_name_and_only_then_by_code(tmp_path: Path) -> None:
    files = xml()
    const = "const_2020_07_07.xml"
    for name in (const, "compo_2020_07_07.xml"):  # the codes of fat and water changed for each other
        files[name] = re.sub(rb"> (40000|400) <", lambda m: b"> 400 <" if m[1] == b"40000" else b"> 40000 <",
                             files[name])  # fmt: skip
    assert fr_ciqual.load(put(tmp_path / "codes", files)).foods["FAT"][3] == 82.9
    files = xml()
    files[const] = files[const].replace(b"Fat (g", b"Oily part (g").replace(b"Lipides (g", b"Partie grasse (g")
    assert fr_ciqual.load(put(tmp_path / "names", files)).foods["FAT"][3] == 82.9
    extra = element("CONST", [("const_code", "99"), ("const_nom_fr", "Or (mg/100 g)"), ("const_nom_eng", "")]).encode()
    files[const] = files[const].replace(b"</TABLE>", extra + b"</TABLE>")
    assert len(fr_ciqual.load(put(tmp_path / "more", files)).foods) == 5  # one we do not keep


def test_columns_in_any_order_and_numbers_as_numbers(tmp_path: Path) -> None:
    plain = load_rows(tmp_path, sheet()).foods
    rows = sheet()
    order = list(range(len(rows[0])))
    random.Random(7).shuffle(order)
    mixed = load_rows(tmp_path, [[row[i] for i in order] for row in rows]).foods
    pd.testing.assert_frame_equal(mixed, plain, check_exact=True)
    numbers = [[float(v.replace(",", ".")) if re.fullmatch(r"\d+,\d+", str(v)) else v for v in row] for row in rows]  # type: ignore[union-attr]
    pd.testing.assert_frame_equal(load_rows(tmp_path, numbers).foods, plain, check_exact=True)


def test_a_group_without_a_name_takes_the_one_its_code_has_elsewhere(tmp_path: Path) -> None:
    """As flours and doughs, group 0305 of the workbooks of 2020: they have codes, but no names."""
    rows = sheet()
    rows[1][1] = rows[1][2] = ""
    rows[2][1] = rows[2][2] = ""
    rows[2][0] = "00"
    foods = by_name(load_rows(tmp_path, rows))
    assert foods["Butter, 82% fat, unsalted"]["group"] == "meat, egg and fish"  # code 01 here
    assert foods["Prune"]["group"] == ""


def test_a_food_in_two_rows_becomes_one_where_they_do_not_differ(tmp_path: Path) -> None:
    """As wheat bran, 9621, stands in the workbooks of 2020: one row has its energy in kJ, the other all else."""
    rows = sheet()
    again = [*rows[1][:6], *("" for _ in TAGS)]
    again[1], again[2] = "miscellaneous", "miscellaneous ingredients"
    rows.insert(1, changed([rows[0], again], "ENERC_KJ", "3100")[1])
    changed(rows, "ENERC_KJ", "", row=2)
    table = load_rows(tmp_path, rows)
    pd.testing.assert_frame_equal(table.foods, load_rows(tmp_path, sheet()).foods, check_exact=True)
    changed(rows, "FAT", "83", row=1)
    with pytest.raises(TableError, match=r"line 3: the food 16400 stands in it twice with different values"):
        load_rows(tmp_path, rows)


def test_written_and_read_back(tmp_path: Path) -> None:
    table = fr_ciqual.load(put(tmp_path / "xml", xml()))
    opened = FoodTable(schema.write(table, tmp_path / "tables", "fr-ciqual"))
    assert opened.food("fr:16400").values["FAT"] == 82.9
    assert "SUGAR" not in opened.food("fr:8000").values
    assert opened.food("fr:16400").measures == ()
    assert opened.food("fr:16400").refuse is None
    assert "Anses" in opened.provenance.credit
    assert "6.25" in opened.provenance.protein
    assert opened.provenance.notes_file


BROKEN: list[tuple[str, Cell, str]] = [
    ("FAT", "8l,1", 'made.xls, sheet compo, line 2: "8l,1" under Fat of the food 16400 is no value'),
    ("FAT", "-82,9", '"-82,9" under Fat of the food 16400 is no value'),
    ("FAT", "butter", '"butter" under Fat of the food 16400 is no value'),
    ("FAT", "1e9", '"1e9" under Fat of the food 16400 is no value'),
    ("FAT", "9" * 400, "is no value"),
    ("FAT", "< x", '"< x" under Fat'),
    ("FAT", "<", '"<" under Fat'),
    ("FAT", "nan", '"nan" under Fat'),
    ("FAT", "=82,9", '"=82,9" under Fat'),
    ("FAT", -1.0, '"-1.0" under Fat'),
    ("FAT", float("inf"), '"inf" under Fat'),
    ("FAT", True, '"a date, boolean or error" under Fat'),
    ("FAT", "102", '"102" under Fat of the food 16400 is more than 100 g of food can hold [g]'),
    ("NA", "< 200000", "under Sodium of the food 16400 is more than 100 g of food can hold [mg]"),
    ("ENERC_KCAL", "3100", "under Energy, Regulation EU No 1169/2011 of the food 16400 is more than 100 g of food can"),
    ("ENERC_KJ", "traces", "Energy, Regulation EU No 1169/2011 cannot be a trace"),
]


@pytest.mark.parametrize(("tagname", "value", "message"), BROKEN)
def test_texts_that_are_no_values_are_refused_with_line_and_food(
    tmp_path: Path, tagname: str, value: Cell, message: str
) -> None:
    with pytest.raises(TableError) as error:
        load_rows(tmp_path, changed(sheet(), tagname, value))
    assert message in str(error.value)


def test_rows_and_heads_that_are_wrong(tmp_path: Path) -> None:
    def said(rows: list[list[Cell]], title: str = "compo") -> str:
        with pytest.raises(TableError) as error:
            load_rows(tmp_path, rows, title)
        return str(error.value)

    def head(old: str, new: str) -> list[list[Cell]]:
        rows = sheet()
        rows[0][rows[0].index(old)] = new
        return rows

    assert said(sheet(), "other") == 'made.xls: the sheet "compo" is missing in it; use the workbook as published'
    assert said(sheet()[:1]).endswith("no food was found in it; use the file as published")
    assert 'the column "Fat (g/100g)" is missing' in said(head("Fat (g/100g)", "Fat (mg/100g)"))
    assert 'the column "Water (g/100g)" stands in it twice' in said(head("Fat (g/100g)", "Water (g/100g)"))
    assert 'the column "alim_code" is missing' in said(head("alim_code", "code"))
    assert 'the column "alim_nom_eng" or "alim_nom_fr" is missing' in said(head("alim_nom_eng", "name"))
    assert "stands in it twice" in said(head("alim_nom_sci", "alim_nom_eng"))
    for code, shown in (("butter", "butter"), (1.5, "1.5"), ("", ""), ("-4", "-4"), ("²", "²"), ("9" * 40, "9" * 40)):
        rows = sheet()
        rows[2][3] = code
        assert (
            said(rows)
            == f'made.xls, sheet compo, line 3: "{shown}" is no food code (alim_code); use the file as published'
        )
    rows = sheet()
    rows[2][3] = rows[1][3]
    assert 'line 3: the food 16400 stands in it twice, as "Butter' in said(rows)
    rows = sheet()
    rows[2][4] = ""
    with pytest.raises(TableError, match="fr:13042 has no name"):
        schema.check(load_rows(tmp_path, rows), "made.xls")


SWAPPED = [
    ("ENERC_KJ", "ENERC_KCAL", "more than 100 g of food can hold"),
    ("FAT", "FASAT", "in many of its foods"),
    ("FAT", "PROCNT", "energy in kJ does not follow"),
    ("WATER", "FAT", "energy in kJ does not follow"),
    ("NA", "WATER", "energy in kJ does not follow|salt is not sodium|more than 100 g"),
]


@pytest.mark.parametrize(("one", "other", "message"), SWAPPED)
def test_swapped_columns_are_noticed(tmp_path: Path, one: str, other: str, message: str) -> None:
    rows = sheet()
    heads = [place_of(str(head)) for head in rows[0]]
    a, b = heads.index(one), heads.index(other)
    for row in rows[1:]:
        row[a], row[b] = row[b], row[a]
    with pytest.raises(TableError, match=message):
        load_rows(tmp_path, rows)


def test_damaged_workbooks_end_in_one_sentence(tmp_path: Path) -> None:
    """Cut at every 97th byte, and with bytes changed at random: read as it is or refused, never anything else."""
    whole = workbook(sheet())
    path = tmp_path / "made.xls"
    draw = random.Random(11)
    spoilt = [whole[:size] for size in range(9, len(whole), 97)]
    for _ in range(300):
        data = bytearray(whole)
        for _ in range(draw.choice((1, 3, 30))):
            data[draw.randrange(8, len(data))] = draw.randrange(256)
        spoilt.append(bytes(data))
    refused = []
    for spoiled in spoilt:
        path.write_bytes(spoiled)
        try:
            fr_ciqual.load(path)
        except TableError as error:
            refused.append(str(error))
    assert len(refused) > 100
    assert all(sentence.startswith(("made.xls", str(path))) and "\n" not in sentence for sentence in refused)


def test_what_is_no_ciqual_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def said(path: Path) -> str:
        with pytest.raises(TableError) as error:
            fr_ciqual.load(path)
        return str(error.value)

    made = {"empty.xls": b"", "text.xls": b"butter;82,9\n", "cut.xls": fr_ciqual_xls.MAGIC, "alone.xml": b"<TABLE/>"}
    put(tmp_path, made)
    assert said(tmp_path / "empty.xls").endswith("the file is empty; fetch it again")
    assert "neither a folder nor a zip nor a tar" in said(tmp_path / "text.xls")
    assert said(tmp_path / "cut.xls") == "cut.xls: the workbook is damaged or has a password; fetch it again"
    assert "one XML file is not enough" in said(tmp_path / "alone.xml")
    assert "no such file" in said(tmp_path / "nothing.xls")
    assert "none of the files of CIQUAL 2020 is in it" in said(put(tmp_path / "none", {"notes.txt": b"x"}))
    with zipfile.ZipFile(tmp_path / "new.xlsx", "w") as archive:
        archive.writestr("xl/workbook.xml", "<workbook/>")
    assert "none of the files of CIQUAL 2020 is in it" in said(tmp_path / "new.xlsx")
    twice = {"ciqual-2020-eng.xls": workbook(sheet()), "Table Ciqual 2020_ENG_2020 07 07.xls": workbook(sheet())}
    assert "the workbook of one language twice" in said(put(tmp_path / "twice", twice))
    other = {"ciqual-2020-eng.xls": workbook(sheet()), "ciqual-2020-fra.xls": workbook(sheet("fr")[:-1])}
    assert "the food 26043 is in only one of its two workbooks" in said(put(tmp_path / "other", other))
    (tmp_path / "made.xls").write_bytes(workbook(sheet()))
    monkeypatch.setattr(fr_ciqual, "LARGEST", 1000)
    assert "more than any food table" in said(tmp_path / "made.xls")


def test_archives_that_lead_out_are_refused(tmp_path: Path) -> None:
    with zipfile.ZipFile(tmp_path / "up.zip", "w") as archive:
        for name, data in xml().items():
            archive.writestr(f"../../{name}", data)
    with pytest.raises(TableError, match="leads out of it"):
        fr_ciqual.load(tmp_path / "up.zip")


ALIM, COMPO, CONST = (f"{name}_2020_07_07.xml" for name in ("alim", "compo", "const"))
LAUGHS = "".join(f'<!ENTITY l{i} "{f"&l{i - 1};" * 10}">' for i in range(1, 12))
HEAD = b'<?xml version="1.0" encoding="windows-1252" ?>\n'
BROKEN_XML: list[tuple[str, bytes, bytes, str]] = [
    (COMPO, HEAD, HEAD + b'<!DOCTYPE x [<!ENTITY e SYSTEM "file:///etc/passwd">]>', "compo_2020_07_07.xml: it holds a"),
    (COMPO, HEAD, HEAD + f'<!DOCTYPE x [<!ENTITY l0 "ha">{LAUGHS}]>'.encode(), "it holds a DOCTYPE"),
    (ALIM, HEAD, HEAD + b'<!DOCTYPE x SYSTEM "http://localhost/x.dtd">', "alim_2020_07_07.xml: it holds a DOCTYPE"),
    (COMPO, b"> 82,9 <", b"> &e; <", "it is no whole XML file (undefined entity)"),
    (COMPO, b"</TABLE>", b"", "it is no whole XML file (no element found)"),
    (COMPO, b"</teneur>", b"</tenor>", "compo_2020_07_07.xml, line 6: it is no whole XML file (mismatched tag)"),
    (COMPO, b"> 82,9 <", b"> 82.9 g <", '"82.9 g" under Fat of the food 16400 is no value'),
    (COMPO, b"> 80,2 <", b"> much <", '"much" under Fat of the food 16400 is no value'),
    (COMPO, b"> 16400 <", b"> 16401 <", "a value belongs to the food 16401, which is not in alim_2020_07_07.xml"),
    (COMPO, b"> 40000 <", b"> 40001 <", "a value belongs to the constituent 40001, which is not in const"),
    (COMPO, b"> 40000 <", b"> 400 <", "the value Water of the food 16400 stands in it twice"),
    (COMPO, b"<teneur> 82,9 </teneur>", b"<teneur> 82,9 </teneur><teneur> 8 </teneur>", "teneur stands twice in one"),
    (ALIM, b"> 16400 <", b"> butter <", '"butter" is no food code'),
    (ALIM, b"> 13042 <", b"> 16400 <", "the food 16400 stands in it twice, as"),
    (ALIM, b"windows-1252", b"utf-8", "alim_2020_07_07.xml: its letters are not utf-8, as it says"),
    (ALIM, b"windows-1252", b"utf-7", "it is written in utf-7, in which CIQUAL does not publish"),
    (CONST, b"Fat (g/100g)", b"Water (g/100g)", 'is "Lipides (g/100 g)" in French, but "Water (g/100g)" in English'),
    (CONST, b"> 40000 <", b"> 400 <", 'the constituent "Fat (g/100g)" stands in it twice'),
]


@pytest.mark.parametrize(("name", "old", "new", "message"), BROKEN_XML)
def test_broken_and_hostile_xml(tmp_path: Path, name: str, old: bytes, new: bytes, message: str) -> None:
    files = xml()
    assert old in files[name]
    files[name] = files[name].replace(old, new, 1)
    with pytest.raises(TableError) as error:
        fr_ciqual.load(put(tmp_path / "xml", files))
    assert message in str(error.value)
    assert "\n" not in str(error.value)


@pytest.mark.parametrize("name", [ALIM, COMPO, CONST])
def test_an_xml_file_that_is_missing_or_empty_is_named(tmp_path: Path, name: str) -> None:
    folder = put(tmp_path / "xml", xml())
    (folder / name).write_bytes(b" \n")
    with pytest.raises(TableError, match=f"{name}: the file is empty"):
        fr_ciqual.load(folder)
    (folder / name).write_bytes(HEAD + b"<TABLE></TABLE>")
    with pytest.raises(TableError, match=f"{name}: no {name.partition('_')[0].upper()} was found in it"):
        fr_ciqual.load(folder)
    (folder / name).unlink()
    with pytest.raises(TableError, match=f"the file {name} is missing"):
        fr_ciqual.load(folder)


def test_a_constituent_that_is_missing_is_named(tmp_path: Path) -> None:
    files = xml()
    fat = element("CONST", [("const_code", "40000"), ("const_nom_fr", "Lipides (g/100 g)"),
                            ("const_nom_eng", "Fat (g/100g)")]).encode()  # fmt: skip
    assert fat in files[CONST]
    files[CONST] = files[CONST].replace(fat, b"")
    with pytest.raises(TableError, match="the constituent 40000, Fat, is missing in it"):
        fr_ciqual.load(put(tmp_path / "xml", files))


def test_every_constituent_has_its_unit_and_the_bound_of_its_traces() -> None:
    known = schema.components()
    for one in constituents():
        assert known[one.tagname].unit == one.unit, one
        assert one.tagname in trace_bounds() or one.unit in ("kJ", "kcal"), one
    assert len({one.tagname for one in constituents()}) == len({one.const_code for one in constituents()}) == 67
