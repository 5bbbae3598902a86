"""Sheet, label and chart as PDF: what stands on which page, their text, and nothing fetched from anywhere."""

from __future__ import annotations

import datetime
import http.server
import io
import threading
import unicodedata
from collections.abc import Callable
from pathlib import Path
from types import ModuleType

import pytest

from nutrilab.records import dish_record
from nutrilab.remarks import InputError
from nutrilab.sheets import pdf
from nutrilab.sheets.chart_page import chart_page
from nutrilab.sheets.index_page import index
from nutrilab.sheets.label import label
from nutrilab.sheets.page import sheet
from tests.browser import pdf_texts
from tests.dishes import demos, dish
from tests.pdf_here import pdf_maker

TODAY = datetime.date(2026, 11, 25)


@pytest.fixture
def to_pdf() -> Callable[[str], bytes]:
    return pdf_maker()


def squeezed(text: str) -> str:
    """Text without spaces and hyphens, as a PDF breaks lines where it likes."""
    return "".join(unicodedata.normalize("NFKC", text).split()).replace("‐", "").replace("\u00ad", "")


def test_what_to_check_follows_the_chart_on_request(to_pdf: Callable[[str], bytes]) -> None:
    texts = [squeezed(text) for text in pdf_texts(to_pdf(chart_page(demos(), TODAY, checks=True)))]
    assert len(texts) == 2
    assert "Sheet1of1" in texts[0]
    assert squeezed("What to check") not in texts[0]
    assert texts[1].startswith(squeezed("What to check"))
    assert all(squeezed(caution) in text for text in texts for caution in demos()[0].cautions)


def test_a_dozen_of_the_longest_rows_lose_nothing(tmp_path: Path, to_pdf: Callable[[str], bytes]) -> None:
    lines = ("wheat flour", "barley", "rye flour", "almonds", "hazelnuts", "cashews", "zorblax", "stock cube", "pesto")
    result = dish(tmp_path, "The captain's platter of the regatta with everything on it", *(f"20 g {x}" for x in lines))
    texts = pdf_texts(to_pdf(chart_page([result] * 12, TODAY)))
    assert sum(text.count("NOT COMPLETE") for text in texts) == 12 + len(texts)  # a dish each, and below each page
    assert all(f"Sheet {number} of {len(texts)}" in text for number, text in enumerate(texts, 1))


def test_page_1_of_the_sheet_holds_what_it_declares(to_pdf: Callable[[str], bytes]) -> None:
    for result in demos()[1:5:3]:  # the longest, and one that is not complete
        texts = [squeezed(text) for text in pdf_texts(to_pdf(sheet(result, TODAY)))]
        told = dish_record(result)
        for figure in told["declared_per_portion"].values():
            assert squeezed(figure) in texts[0]
        assert all(allergen in texts[0] for allergen in (*told["allergens"]["contains"], *told["allergens"]["check"]))
        assert all(squeezed(caution) in texts[0] for caution in result.cautions)
        for words in ("Settle these first", "Why each allergen is named", "Ingredients:"):
            assert squeezed(words) in texts[0]
        assert squeezed("Line by line") in "".join(texts)  # what is folded away on a screen


def test_no_page_of_the_sheet_holds_a_few_lines_alone(to_pdf: Callable[[str], bytes]) -> None:
    for result in demos():
        texts = pdf_texts(to_pdf(sheet(result, TODAY)))
        assert all(len(text.splitlines()) > 12 for text in texts), result.recipe.dish
        assert squeezed("What brings the calories") in squeezed(texts[-1])


def test_the_label_holds_the_figures_of_the_record(to_pdf: Callable[[str], bytes]) -> None:
    for result in demos()[1:5:3]:
        texts = pdf_texts(to_pdf(label(result)))
        for figure in dish_record(result)["declared_per_100g"].values():
            assert squeezed(figure) in squeezed(texts[0])


def test_a_hostile_recipe_is_laid_out_all_the_same(tmp_path: Path, to_pdf: Callable[[str], bytes]) -> None:
    hostile = "</style><img src=file:///etc/passwd><script>x</script>"
    result = dish(tmp_path, f"Pie {hostile}", f"1 stock cube {hostile}", f"20 g {'x' * 9000}")
    for html in (chart_page([result], TODAY), index([("a.html", result)], TODAY), sheet(result, TODAY)):
        text = squeezed("".join(pdf_texts(to_pdf(html))))
        assert squeezed(hostile) in text
        assert "root:" not in text


def test_only_very_long_words_get_places_to_break() -> None:
    html = (
        f"<style>{'s' * 99}</style><p title='{'t' * 99}'>short {'x' * 120} {'&lt;' * 51}</p><script>{'y' * 99}</script>"
    )
    broken = pdf._breakable(html)
    assert broken.replace("\u200b", "") == html
    assert [len(part) for part in broken.split(">short ")[1].split("\u200b")] == [50, 50, 221, 124]
    assert all(pdf._breakable(page) == page for page in (chart_page(demos(), TODAY), sheet(demos()[0], TODAY)))


def test_the_same_page_gives_the_same_bytes(to_pdf: Callable[[str], bytes]) -> None:
    html = chart_page(demos()[:2], TODAY)
    assert to_pdf(html) == to_pdf(html)


def test_the_pdf_carries_its_title_its_language_and_its_structure(to_pdf: Callable[[str], bytes]) -> None:
    pypdf = pytest.importorskip("pypdf", reason="pypdf is not installed, so the PDF was not read")
    reader = pypdf.PdfReader(io.BytesIO(to_pdf(chart_page(demos()[:2], TODAY))))
    assert reader.metadata.title == "Allergens by dish"
    assert reader.trailer["/Root"]["/Lang"] == "en-GB"
    assert "/StructTreeRoot" in reader.trailer["/Root"]


def test_nothing_is_fetched_from_a_file_or_a_network(tmp_path: Path, to_pdf: Callable[[str], bytes]) -> None:
    secret = tmp_path / "secret.svg"
    secret.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="90" height="20"><text y="15">harbour secret</text></svg>',
        encoding="utf-8",
    )
    asked: list[str] = []

    class Listener(http.server.BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            asked.append(self.path)
            self.send_error(404)

        def log_message(self, *_: object) -> None:
            pass

    server = http.server.HTTPServer(("127.0.0.1", 0), Listener)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    here, there = secret.as_uri(), f"http://127.0.0.1:{server.server_port}"
    html = f"""<!doctype html><html lang="en"><head><title>x</title><base href="{here}">
      <link rel="stylesheet" href="{there}/style.css"><link rel="attachment" href="{here}">
      <style>@import url({there}/more.css); @font-face {{ font-family: f; src: url({there}/f.ttf) }}
      p {{ background: url({there}/back.png); font-family: f }}</style></head>
      <body><p>shown</p><img src="{here}"><img src="secret.svg"><img src="{there}/a.png"><object data="{here}"></object>
      <embed src="{here}"><iframe src="{here}"></iframe></body></html>"""
    try:
        made = to_pdf(html)
    finally:
        server.shutdown()
        server.server_close()
    assert asked == []
    assert "shown" in pdf_texts(made)[0]
    assert "secret" not in pdf_texts(made)[0]
    assert b"EmbeddedFile" not in made


def test_a_missing_package_is_one_sentence(monkeypatch: pytest.MonkeyPatch) -> None:
    def missing(_: str) -> ModuleType:
        raise ModuleNotFoundError("No module named 'weasyprint'")

    monkeypatch.setattr(pdf, "import_module", missing)
    with pytest.raises(InputError) as caught:
        pdf.to_pdf("<p>x</p>")
    assert "pip install '.[pdf]'" in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_missing_library_is_one_sentence_that_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    def missing(_: str) -> ModuleType:
        raise OSError("cannot load library 'libpango-1.0-0': error 0x7e\nAdditionally, ctypes did not find it")

    monkeypatch.setattr(pdf, "import_module", missing)
    with pytest.raises(InputError) as caught:
        pdf.to_pdf("<p>x</p>")
    assert "apt-get install libpango-1.0-0" in str(caught.value)
    assert "'libpango-1.0-0': error 0x7e" in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_label_goes_to_pdf_by_the_name_of_its_file(tmp_path: Path, to_pdf: Callable[[str], bytes]) -> None:
    from click.testing import CliRunner

    from nutrilab.cli import main
    from tests.dishes import DEMOS

    target = tmp_path / "label.pdf"
    result = CliRunner().invoke(main, ["analyse", str(DEMOS[0]), "--format", "label", "-o", str(target)])
    assert result.exit_code == 0, result.output
    assert target.read_bytes().startswith(b"%PDF-")
