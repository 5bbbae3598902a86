"""The cook's files: what is never written over, what nutrilab knows for its own, and the form a name stands for."""

from __future__ import annotations

import csv
import errno
import glob
import io
import json
import os
import threading
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from hypothesis import given
from hypothesis import strategies as st

from data_loaders import disk
from nutrilab import decisions, marks, writing
from nutrilab.cli import main
from nutrilab.remarks import InputError

SOUP = "dish: Soup\nportions: 2\ningredients: [2 leeks, 50 g butter]\n"
PAGE = (
    '<html><head><script type="application/ld+json">{{"@type": "Recipe", "name": "{0}", "recipeYield": "4", '
    '"recipeIngredient": ["2 leeks", "50 g butter"]}}</script></head></html>'
)
ALL_FORMS = ("text", "json", "html", "label", "jsonld", "caption", "still", "csv", "pdf")
NAMES = {"text": "a.txt", "caption": "a.txt", "label": "a.html", "still": "a.svg"} | {
    form: f"a.{form}" for form in ("json", "html", "jsonld", "csv", "pdf")
}


@pytest.fixture(autouse=True)
def _here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NUTRILAB_TABLES", str(tmp_path / "no-tables"))
    monkeypatch.chdir(tmp_path)


def run(*arguments: str) -> Result:
    return CliRunner().invoke(main, arguments)


def wrote(*arguments: str) -> Result:
    result = run(*arguments)
    if "WeasyPrint" in result.stderr or "Pango" in result.stderr:
        pytest.skip("WeasyPrint or its libraries are not here, so no PDF was made")
    assert (result.exit_code, result.stdout) == (0, ""), result.stderr
    return result


def refused(*arguments: str, words: str = "") -> str:
    """One sentence with exit code 2, and not a byte in the folder has changed."""
    before = contents()
    result = run(*arguments)
    assert (result.exit_code, result.stdout) == (2, ""), arguments
    assert len(result.stderr.splitlines()) == 1
    assert words in result.stderr
    assert contents() == before
    return result.stderr


def contents(folder: Path = Path()) -> dict[str, bytes | None]:
    return {
        str(path): path.read_bytes() if path.is_file() else None
        for path in sorted(folder.rglob("*"))
        if not path.is_symlink()
    }


def cook(**files: str) -> None:
    """Files of these names, with _ for the dot."""
    for name, text in files.items():
        Path(".".join(name.rsplit("_", 1))).write_text(text, encoding="utf-8")


# -- never written over ----------------------------------------------------------------------------


def test_saved_pages_and_a_foreign_index_are_never_replaced_by_their_sheets() -> None:
    """The issue's own: two saved pages, and an index.html of somebody else's, in the folder of the sheets."""
    cook(page_html=PAGE.format("Page"), tart_html=PAGE.format("Tart"), index_html="my own web site")
    said = refused("analyse", "page.html", "tart.html", "--format", "html", "-o", ".")
    for name in ("page.html", "tart.html", "index.html", "nothing was written", "-o"):
        assert name in said


@pytest.mark.parametrize(
    ("standing", "form"),
    [
        ("chart.html", "html"),
        ("soup.html", "html"),
        ("soup-label.html", "label"),
        ("soup-still.svg", "still"),
        ("soup.jsonld", "jsonld"),
        ("soup.pdf", "pdf"),
    ],
)
def test_one_foreign_file_keeps_a_whole_folder_of_sheets_from_being_written(standing: str, form: str) -> None:
    cook(soup_yaml=SOUP, stew_yaml=SOUP.replace("Soup", "Stew"))
    Path("sheets").mkdir()
    Path("sheets", standing).write_text("somebody's own", encoding="utf-8")
    said = run("analyse", "soup.yaml", "stew.yaml", "--format", form, "-o", "sheets")
    if "WeasyPrint" in said.stderr or "Pango" in said.stderr:
        pytest.skip("WeasyPrint or its libraries are not here")
    assert said.exit_code == 2
    assert f"{Path('sheets', standing)}: this is no file that nutrilab made" in said.stderr
    assert list(Path("sheets").iterdir()) == [Path("sheets", standing)]


def test_a_folder_or_a_link_in_the_place_of_a_sheet_stays() -> None:
    cook(soup_yaml=SOUP)
    Path("sheets", "soup.html").mkdir(parents=True)
    refused("analyse", "soup.yaml", "--format", "html", "-o", "sheets", words="this is a folder")
    Path("sheets", "soup.html").rmdir()
    os.symlink(Path("soup.yaml").absolute(), Path("sheets", "soup.html"))
    refused("analyse", "soup.yaml", "--format", "html", "-o", "sheets", words="this is one of the recipes")


def test_a_recipe_whose_stage_the_run_uses_is_never_written_over() -> None:
    """The issue's own, -o a.yaml; and the same one further away, and under a name that could be written."""
    cook(
        a_yaml="dish: A\nportions: 2\ningredients: [1 leek]\n",
        b_yaml="dish: B\nportions: 2\ningredients: [all of A from a.yaml]\n",
        c_yaml="dish: C\nportions: 2\ningredients: [all of B from b.yaml]\n",
        stock_txt="Stock\nServes 2\n\n1 leek\n",
        d_yaml="dish: D\nportions: 2\ningredients: [all of Stock from stock.txt]\n",
    )
    for recipe, output in (("b.yaml", "a.yaml"), ("c.yaml", "a.yaml"), ("c.yaml", "b.yaml"), ("d.yaml", "stock.txt")):
        refused("analyse", recipe, "-o", output, words="not written over")
        refused("allergens", recipe, "-o", output, words="not written over")


@pytest.mark.parametrize("name", ["decisions.yaml", "products.yaml", "kitchen.yaml", "Kitchen.YAML"])
@pytest.mark.parametrize("there", [True, False])
def test_the_kitchens_own_files_are_no_place_for_a_result(name: str, there: bool) -> None:
    cook(soup_yaml=SOUP)
    if there:
        Path(name).write_text("# nothing yet\n" if "decisions" in name else "tables: [usda-sr]\n", encoding="utf-8")
    for command in (["analyse", "soup.yaml"], ["allergens", "soup.yaml"], ["analyse", "soup.yaml", "--format", "json"]):
        before = contents()
        result = run(*command, "-o", name)
        assert result.exit_code == 2
        assert contents() == before


@pytest.mark.parametrize("name", ["notes.txt", "menu.csv", "web.html", "old.json", "letter.pdf", "other.txt"])
def test_any_other_file_of_the_cook_stays(name: str) -> None:
    cook(soup_yaml=SOUP, other_txt="Other\nServes 2\n\n1 leek\n")
    if not Path(name).exists():
        Path(name).write_text("nutrilab is a program; this is my own file", encoding="utf-8")
    refused("analyse", "soup.yaml", "-o", name, words="this is no file that nutrilab made")


def test_what_is_read_is_known_by_any_name_it_has() -> None:
    cook(soup_txt="Soup\nServes 2\n\n1 leek\n")
    Path("deep").mkdir()
    os.symlink(Path("soup.txt").absolute(), "link.txt")
    os.link("soup.txt", "hard.txt")
    for name in (
        "soup.txt",
        "./soup.txt",
        "deep/../soup.txt",
        str(Path("soup.txt").absolute()),
        "link.txt",
        "hard.txt",
    ):
        refused("analyse", "soup.txt", "-o", name, words="this is one of the recipes")


def test_packs_read_in_this_run_are_never_written_over() -> None:
    cook(
        soup_yaml=SOUP.replace("portions", "products: packs.csv\nportions"),
        packs_csv="name,salt\nQuay butter,1\n",
    )
    refused("analyse", "soup.yaml", "-o", "packs.csv", words="not written over")


def test_what_nutrilab_made_is_not_written_over_while_it_is_read() -> None:
    """A result that is compared with, and a recipe it wrote as JSON-LD itself: both its own, both in use."""
    cook(soup_yaml=SOUP)
    wrote("analyse", "soup.yaml", "-o", "soup.json")
    wrote("allergens", "soup.yaml", "-o", "chart.txt")
    refused("allergens", "soup.yaml", "--since", "soup.json", "-o", "soup.json", words="the earlier result")
    os.rename("soup.json", "soup.txt")
    refused("allergens", "soup.yaml", "--since", "soup.txt", "-o", "soup.txt", words="the earlier result")
    wrote("analyse", "soup.yaml", "-o", "soup.jsonld")
    refused("analyse", "soup.jsonld", "-o", "soup.jsonld", words="one of the recipes")
    for name, text in (("stock.txt", "Stock\nServes 2\n\n1 leek\n"), ("packs.csv", "name,salt\nQuay butter,1\n")):
        writing.write({Path(name): text}, {})
    cook(
        bowl_yaml="dish: Bowl\nportions: 1\ningredients: [all of Stock from stock.txt]\n",
        cup_yaml="dish: Cup\nportions: 1\nproducts: packs.csv\ningredients: [5 g quay butter]\n",
    )
    refused("analyse", "bowl.yaml", "-o", "stock.txt", words="a recipe of which a stage is used")
    refused("allergens", "cup.yaml", "-o", "packs.csv", words="the list of own products")


def test_what_is_no_plain_file_stays() -> None:
    cook(soup_yaml=SOUP)
    os.mkfifo("pipe.txt")
    assert "no plain file" in run("analyse", "soup.yaml", "-o", "pipe.txt").stderr
    os.symlink("round.txt", "round.txt")
    assert run("analyse", "soup.yaml", "-o", "round.txt").exit_code == 2
    assert run("analyse", "soup.yaml", "-o", "/dev/null").exit_code == 2
    assert Path("pipe.txt").is_fifo()


# -- its own, known again --------------------------------------------------------------------------


@pytest.mark.parametrize("form", ALL_FORMS)
def test_a_second_run_writes_over_the_first_and_stops_where_a_cook_has_changed_it(form: str) -> None:
    cook(soup_yaml=SOUP)
    name = NAMES[form]
    wrote("analyse", "soup.yaml", "--format", form, "-o", name)
    first = Path(name).read_bytes()
    cook(soup_yaml=SOUP.replace("50 g", "90 g"))
    wrote("analyse", "soup.yaml", "--format", form, "-o", name)
    assert Path(name).read_bytes() != first
    wrote("analyse", "soup.yaml", "--format", form, "-o", name)
    whole = Path(name).read_bytes()
    for changed in (
        whole.replace(b"Soup", b"Stew", 1) if form != "pdf" else whole[:-9] + b"x" + whole[-8:],
        whole + b"\nmy own notes",
    ):
        assert changed != whole
        Path(name).write_bytes(changed)
        refused("analyse", "soup.yaml", "--format", form, "-o", name, words="changed since nutrilab made it")
    Path(name).write_bytes(whole)
    wrote("analyse", "soup.yaml", "--format", form, "-o", name)


@pytest.mark.parametrize("form", ["text", "csv", "html", "pdf"])
def test_a_chart_is_known_again(form: str) -> None:
    cook(soup_yaml=SOUP, stew_yaml=SOUP.replace("Soup", "Stew"))
    name = NAMES[form]
    wrote("allergens", "soup.yaml", "-o", name)
    wrote("allergens", "soup.yaml", "stew.yaml", "-o", name)
    Path(name).write_bytes(b"mine")
    refused("allergens", "soup.yaml", "-o", name)


def test_a_folder_of_sheets_is_written_again_and_again() -> None:
    cook(soup_yaml=SOUP, stew_yaml=SOUP.replace("Soup", "Stew"))
    for dishes in (["soup.yaml", "stew.yaml"], ["stew.yaml"], ["soup.yaml", "stew.yaml"]):
        result = run("analyse", *dishes, "--format", "html", "-o", "sheets/")
        assert result.exit_code == 0, result.stderr
    assert sorted(os.listdir("sheets")) == ["chart.html", "index.html", "soup.html", "stew.html"]


@pytest.mark.parametrize("form", ["html", "pdf", "json", "label"])
def test_marks_inside_travel_with_the_file(form: str) -> None:
    cook(soup_yaml=SOUP)
    wrote("analyse", "soup.yaml", "--format", form, "-o", NAMES[form])
    assert sorted(os.listdir()) == sorted(["soup.yaml", NAMES[form]])  # and nothing beside it
    Path("moved").mkdir()
    os.rename(NAMES[form], Path("moved", "other-" + NAMES[form]))
    wrote("analyse", "soup.yaml", "--format", form, "-o", str(Path("moved", "other-" + NAMES[form])))


def test_what_was_sent_to_the_screen_and_kept_is_known_again() -> None:
    cook(soup_yaml=SOUP)
    for form in ("html", "json"):
        shown = run("analyse", "soup.yaml", "--format", form)
        Path(NAMES[form]).write_text(shown.stdout, encoding="utf-8")
        wrote("analyse", "soup.yaml", "--format", form, "-o", NAMES[form])
    Path("a.json").write_text(json.dumps(json.loads(Path("a.json").read_bytes()), indent=4), encoding="utf-16")
    wrote("analyse", "soup.yaml", "-o", "a.json")  # as PowerShell and other programs write it


def test_each_mark_stands_where_its_format_names_the_program() -> None:
    cook(soup_yaml=SOUP, stew_yaml=SOUP.replace("Soup", "Stew"))
    wrote("analyse", "soup.yaml", "-o", "a.html")
    page = Path("a.html").read_text(encoding="utf-8")
    assert f'<meta name="generator" content="{marks.PROGRAM}, seal ' in page
    assert "seal 000000" not in page
    wrote("analyse", "soup.yaml", "stew.yaml", "-o", "a.json")
    assert [one["made_by"].split(",")[0] for one in json.loads(Path("a.json").read_bytes())] == [marks.PROGRAM] * 2
    wrote("analyse", "soup.yaml", "-o", "a.csv")
    assert len({len(row) for row in csv.reader(Path("a.csv").read_text(encoding="utf-8").splitlines())}) == 1
    assert "seal" not in Path("a.csv").read_text(encoding="utf-8")
    wrote("analyse", "soup.yaml", "-o", "a.jsonld")
    assert "nutrilab" not in Path("a.jsonld").read_text(encoding="utf-8")
    kept = Path(marks.RECORD).read_text(encoding="utf-8")
    assert [line.split("  ")[1] for line in kept.splitlines()[1:]] == ["a.csv", "a.jsonld"]


def test_a_pdf_says_in_its_metadata_who_made_it() -> None:
    pypdf = pytest.importorskip("pypdf", reason="pypdf is not installed, so the PDF was not read")
    cook(soup_yaml=SOUP)
    wrote("analyse", "soup.yaml", "-o", "a.pdf")
    reader = pypdf.PdfReader(io.BytesIO(Path("a.pdf").read_bytes()), strict=True)
    assert reader.metadata.creator == marks.PROGRAM
    assert reader.xmp_metadata.xmp_creator_tool.startswith(f"{marks.PROGRAM}, seal ")
    assert "Soup" in reader.pages[0].extract_text()


@given(st.binary(max_size=200), st.binary(max_size=200), st.integers(0, 10_000))
def test_a_sealed_page_is_known_and_any_other_byte_in_it_is_seen(before: bytes, after: bytes, place: int) -> None:
    page = marks.sealed(before + marks.MARK.encode() + after)
    assert marks.carried(page)
    assert marks.sealed(page) == page
    at = place % len(page)
    assert not marks.carried(page[:at] + bytes([page[at] ^ 1]) + page[at + 1 :])


def test_a_page_that_quotes_another_ones_seal_is_still_its_own() -> None:
    first = marks.sealed(f"<p>{marks.MARK}</p>".encode())
    both = marks.sealed(first + marks.MARK.encode())
    assert marks.carried(both)
    assert not marks.carried(first + b"more")


def test_the_list_beside_the_files_is_no_recipe_and_gives_way_to_none() -> None:
    cook(soup_txt="Soup\nServes 2\n\n1 leek\n")
    wrote("analyse", "soup.txt", "-o", "a.csv")
    assert glob.glob("*") == glob.glob("*.*") != []  # a pattern leaves it out
    Path(marks.RECORD).write_text("a list of somebody else's", encoding="utf-8")
    refused("analyse", "soup.txt", "-o", "b.csv", words=marks.RECORD)
    refused("analyse", "soup.txt", "-o", "a.csv", words="this")
    wrote("analyse", "soup.txt", "-o", "b.html")


def test_a_list_that_names_a_file_does_not_give_another_content_away() -> None:
    cook(soup_yaml=SOUP)
    wrote("analyse", "soup.yaml", "-o", "a.csv")
    Path("a.csv").write_text("dish,price\nSoup,4.50\n", encoding="utf-8")
    refused("analyse", "soup.yaml", "-o", "a.csv", words="changed since")
    os.remove(marks.RECORD)
    refused("analyse", "soup.yaml", "-o", "a.csv", words="no file that nutrilab made")


def test_results_written_at_once_into_one_folder_are_all_known() -> None:
    def work(number: int) -> None:
        for again in range(5):
            writing.write({Path(f"{number}.csv"): f"dish\n{number}{again}\n"}, {})

    threads = [threading.Thread(target=work, args=(number,)) for number in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert {marks.state(Path(f"{number}.csv")) for number in range(6)} == {"own"}
    assert sorted(os.listdir()) == sorted([marks.RECORD, *(f"{number}.csv" for number in range(6))])


# -- nothing half-written --------------------------------------------------------------------------


@pytest.mark.parametrize("after", [0, 1, 3])
def test_a_disk_that_fills_leaves_no_half_folder(monkeypatch: pytest.MonkeyPatch, after: int) -> None:
    cook(soup_yaml=SOUP, stew_yaml=SOUP.replace("Soup", "Stew"))
    plain, count = Path.write_bytes, 0

    def write(self: Path, data: bytes) -> int:
        nonlocal count
        count += 1
        if count > after:
            plain(self, data[:10])
            raise OSError(errno.ENOSPC, "No space left on device")
        return plain(self, data)

    with monkeypatch.context() as patched:
        patched.setattr(Path, "write_bytes", write)
        refused("analyse", "soup.yaml", "stew.yaml", "--format", "html", "-o", "new/sheets", words="No space left")
    assert run("analyse", "soup.yaml", "stew.yaml", "--format", "html", "-o", "new/sheets").exit_code == 0
    whole = contents()
    count = 0
    with monkeypatch.context() as patched:
        patched.setattr(Path, "write_bytes", write)
        refused("analyse", "stew.yaml", "soup.yaml", "--format", "html", "-o", "new/sheets", words="No space left")
    assert contents() == whole


def test_a_cooks_file_beside_the_output_is_not_used_up_on_the_way() -> None:
    cook(soup_yaml=SOUP)
    for name in ("a.html.part", "a.part", ".a.html.part"):
        Path(name).write_text("mine", encoding="utf-8")
    wrote("analyse", "soup.yaml", "-o", "a.html")
    assert all(Path(name).read_text(encoding="utf-8") == "mine" for name in ("a.html.part", "a.part", ".a.html.part"))


def test_what_a_killed_run_left_is_taken_away_later() -> None:
    cook(soup_yaml=SOUP)
    old, new = disk.beside(Path("a.html")), disk.beside(Path("b.html"))
    for path in (old, new):
        path.write_bytes(b"half")
    os.utime(old, (1, 1))
    wrote("analyse", "soup.yaml", "-o", "c.html")
    assert not old.exists()
    assert new.exists()  # another run may be at it


def test_names_as_long_as_a_disk_allows_are_written() -> None:
    cook(soup_yaml=SOUP)
    for name in ("x" * 250 + ".csv", "海" * 83 + ".csv", "\udcff.csv"):
        try:
            Path(name).touch()
        except OSError:
            continue  # a disk of other rules
        Path(name).unlink()
        wrote("analyse", "soup.yaml", "-o", name)
        wrote("analyse", "soup.yaml", "-o", name)


def test_rights_of_a_file_stay_when_it_is_written_again() -> None:
    cook(soup_yaml=SOUP)
    wrote("analyse", "soup.yaml", "-o", "a.html")
    os.chmod("a.html", 0o640)
    wrote("analyse", "soup.yaml", "-o", "a.html")
    assert os.stat("a.html").st_mode & 0o777 == 0o640


def test_two_results_in_one_file_are_refused() -> None:
    os.symlink("a.html", "b.html")
    with pytest.raises(InputError, match="two results would stand in this one file"):
        writing.write({Path("a.html"): "one", Path("b.html"): "two"}, {})


# -- the form by the name --------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "begins"),
    [
        ("label.pdf", b"%PDF-"),
        ("soup.pdf", b"%PDF-"),
        ("soup.html", b"<!doctype html>"),
        ("SOUP.HTM", b"<!doctype html>"),
        ("soup.csv", b"\xef\xbb\xbfdish,complete,portions,"),
        ("soup.json", b'{\n "dish": "Soup"'),
        ("soup.jsonld", b'{\n "@context"'),
        ("soup.txt", b"Soup --"),
        ("soup.v2.csv", b"\xef\xbb\xbfdish,"),
    ],
)
def test_the_name_chooses_the_form(name: str, begins: bytes) -> None:
    cook(soup_yaml=SOUP)
    wrote("analyse", "soup.yaml", "-o", name)
    assert Path(name).read_bytes().startswith(begins)


def test_a_page_that_is_called_a_label_is_one() -> None:
    cook(soup_yaml=SOUP)
    for name, label in (("label.html", True), ("soup-label.html", True), ("labelled.html", False), ("s.html", False)):
        wrote("analyse", "soup.yaml", "-o", name)
        assert ("<title>Soup: label</title>" in Path(name).read_text(encoding="utf-8")) == label


@pytest.mark.parametrize("name", ["chart.pdf", "chart.html", "chart.csv", "chart.txt"])
def test_the_name_of_a_chart_chooses_its_form(name: str) -> None:
    cook(soup_yaml=SOUP)
    wrote("allergens", "soup.yaml", "-o", name)
    begins = {"pdf": b"%PDF-", "html": b"<!doctype", "csv": b"\xef\xbb\xbfdish,gluten", "txt": b" "}[name.split(".")[1]]
    assert Path(name).read_bytes().startswith(begins)


@pytest.mark.parametrize("name", ["a.docx", "a.yaml", "a.xlsx", "a.md", "a.pdf.zip", ".docx", "a.", "a..", "a.pdf "])
@pytest.mark.parametrize("command", ["analyse", "allergens"])
def test_an_end_that_cannot_be_written_is_refused(command: str, name: str) -> None:
    cook(soup_yaml=SOUP)
    said = refused(command, "soup.yaml", "-o", name, words="cannot be written here")
    assert ".html" in said


@pytest.mark.parametrize(
    ("form", "name"),
    [("text", "a.pdf"), ("json", "a.pdf"), ("csv", "a.html"), ("pdf", "a.txt"), ("html", "a.csv"), ("label", "a.json")],
)
def test_a_form_does_not_go_into_a_file_of_another_name(form: str, name: str) -> None:
    cook(soup_yaml=SOUP)
    said = refused("analyse", "soup.yaml", "--format", form, "-o", name, words=f"{form} does not go into a ")
    assert "end the name with ." in said


@pytest.mark.parametrize("name", ["all.html", "all.pdf", "all.jsonld", "labels.html"])
def test_two_dishes_in_a_file_of_one_are_refused_with_the_cure(name: str) -> None:
    cook(soup_yaml=SOUP, stew_yaml=SOUP.replace("Soup", "Stew"))
    said = refused("analyse", "soup.yaml", "stew.yaml", "-o", name, words="2 dishes do not go into one file")
    assert f"such as {name.split('.')[0]}/ and --format " in said
    form = said.strip().rsplit(" ", 1)[1]
    assert form in ALL_FORMS
    result = run("analyse", "soup.yaml", "stew.yaml", "--format", form, "-o", name.split(".")[0] + "/")
    if "WeasyPrint" not in result.stderr and "Pango" not in result.stderr:
        assert result.exit_code == 0, result.stderr  # the cure that was told
    assert not Path(name).exists()


@pytest.mark.parametrize("name", ["all.csv", "all.json", "all.txt"])
def test_forms_that_hold_several_dishes_do(name: str) -> None:
    cook(soup_yaml=SOUP, stew_yaml=SOUP.replace("Soup", "Stew"))
    wrote("analyse", "soup.yaml", "stew.yaml", "-o", name)
    text = Path(name).read_text(encoding="utf-8")
    assert "Soup" in text
    assert "Stew" in text


@pytest.mark.parametrize("command", ["analyse", "allergens"])
@pytest.mark.parametrize("name", ["sheets", "sheets/", "new/"])
def test_a_folder_for_a_form_of_one_file_is_refused_with_the_cure(command: str, name: str) -> None:
    cook(soup_yaml=SOUP)
    Path("sheets").mkdir()
    said = refused(command, "soup.yaml", "-o", name, words="this is a folder; say a file in it")
    if command == "analyse":
        assert "--format html" in said


def test_a_file_in_the_place_of_the_folder_is_refused() -> None:
    cook(soup_yaml=SOUP)
    Path("sheets").write_text("mine", encoding="utf-8")
    refused("analyse", "soup.yaml", "--format", "html", "-o", "sheets")
    refused("analyse", "soup.yaml", "--format", "html", "-o", "sheets/")


# -- decisions -------------------------------------------------------------------------------------


def test_an_answer_is_added_to_the_decisions_and_every_other_letter_stays() -> None:
    text = "# ours, settled in spring\nsalt: sr:02047  # the cheap one\r\n\n# and this\nfat: none"
    Path("decisions.yaml").write_bytes(text.encode())
    cook(lines_txt="100 g harbour relish\n")
    assert CliRunner().invoke(main, ["lines", "lines.txt", "--ask"], input="1\n").exit_code == 0
    kept = Path("decisions.yaml").read_bytes().decode()
    assert kept.startswith(text + "\nharbour relish: ")
    assert dict(decisions.read_decisions(Path()))["fat"] == "none"
    assert len(decisions.read_decisions(Path())) == 3


@pytest.mark.parametrize("text", ["{salt: sr:02047}\n", "---\nsalt: sr:02047\n...\n", "  salt: sr:02047\n"])
def test_decisions_that_no_line_can_be_added_to_stay_and_the_answer_is_told(text: str) -> None:
    Path("decisions.yaml").write_text(text, encoding="utf-8")
    with pytest.raises(InputError, match="write it in yourself: quay relish: sr:01001"):
        decisions.add(Path(), "quay relish", "sr:01001")
    assert Path("decisions.yaml").read_text(encoding="utf-8") == text


def test_decisions_made_at_once_are_all_kept() -> None:
    names = [f"relish number {word}" for word in ("one", "two", "three", "four", "five", "six")]
    threads = [threading.Thread(target=decisions.add, args=(Path(), name, "sr:01001")) for name in names * 2]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert set(decisions.read_decisions(Path())) == set(names)
    assert os.listdir() == ["decisions.yaml"]
