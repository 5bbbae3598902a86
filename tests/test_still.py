"""Stills: all that is said of a dish, inside the margins, in letters a telephone shows, on any ground; SVG and PNG.

The margins are held against the safe areas of EBU R 95 (graphics, 16:9: 5 % a side) and SMPTE ST 2046-1:2009 (title:
90 % of width and height); both from memory.
"""

from __future__ import annotations

import io
import json
import re
from dataclasses import replace
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from click.testing import CliRunner, Result

from nutrilab.cli import SHAPES, main
from nutrilab.kitchen import DishResult
from nutrilab.remarks import InputError
from nutrilab.sheets import still as stills
from nutrilab.sheets.answer import answer
from nutrilab.sheets.lettering import width, wrapped
from nutrilab.sheets.still import PHONE, Still, still, too_small
from nutrilab.sheets.writer import View, one
from tests import browser
from tests.dishes import DEMOS, demos
from tests.layout import LETTERS, lettered
from tests.test_captions import LINK, everything
from tests.test_hostile_sheets import PAYLOADS, flaws, hostile

SIZES = {"wide": (1920, 1080), "square": (1080, 1080)}
LONG_NAME = "The harbour master's grand regatta platter of everything that swims, grows or is baked in town today"
EACH_KIND = (
    "100 g rye flour", "50 g barley", "50 g oats", "20 g almonds", "20 g hazelnuts", "20 g cashews", "20 g pecans",
    "20 g Brazil nuts", "20 g pistachios", "20 g macadamia nuts", "100 g Slipway seed crackers", "20 g edible glitter",
    "cod",
)  # fmt: skip


def svg(result: DishResult, shape: str = "wide") -> str:
    text = one(result, "still", View(shape=shape))
    assert isinstance(text, str)
    return text


def png(result: DishResult, shape: str = "wide") -> Any:
    image = pytest.importorskip(
        "PIL.Image", reason="Pillow is not installed, so no PNG was made (pip install '.[still]')"
    )
    data = one(result, "still", View(shape=shape, pixels=True))
    assert isinstance(data, bytes)
    return image.open(io.BytesIO(data))


@pytest.fixture(scope="module")
def worst(tmp_path_factory: pytest.TempPathFactory) -> DishResult:
    """All 14 allergens with every cereal and nut, what to check, what may be, not complete, a long name, a link."""
    found = everything(tmp_path_factory.mktemp("worst"), *EACH_KIND, name=LONG_NAME)
    assert len(found.allergens.parts["nuts"]) == 8
    return replace(found, link=LINK)


@pytest.fixture(scope="module")
def results(worst: DishResult, tmp_path_factory: pytest.TempPathFactory) -> tuple[DishResult, ...]:
    folder = tmp_path_factory.mktemp("dishes")
    fourteen = everything(folder, "20 g edible glitter", name="Everything the harbour has, in one platter with sauces")
    return *demos(), replace(demos()[0], link=LINK), fourteen, worst, hostile()


def said(picture: Still) -> str:
    return " ".join(line.text for line in picture.lines)


def test_the_command_line_knows_the_shapes() -> None:
    assert tuple(stills.SHAPES) == SHAPES == tuple(SIZES)
    assert {name: (shape.width, shape.height) for name, shape in stills.SHAPES.items()} == SIZES


@pytest.mark.parametrize("shape", SHAPES)
class TestPlaces:
    def test_all_stays_inside_the_margins(self, shape: str, results: tuple[DishResult, ...]) -> None:
        wide, high = SIZES[shape]
        for result in results:
            for box in still(result, shape).boxes:
                assert box.x >= 0.05 * wide
                assert box.x + box.width <= 0.95 * wide + 0.01
                assert box.y >= 0.05 * high
                assert box.y + box.height <= 0.95 * high + 0.01

    def test_every_line_stands_in_the_panel_and_on_no_other(self, shape: str, results: tuple[DishResult, ...]) -> None:
        for result in results:
            picture = still(result, shape)
            panel, foot = picture.boxes[0], 0.0
            for line in picture.lines:
                assert line.width == pytest.approx(width(line.text, line.size, line.face))
                assert panel.x < line.x
                assert line.x + line.width < panel.x + panel.width
                assert line.y - 0.905 * line.size >= foot - 0.01  # how high and low Arimo reaches
                foot = line.y + 0.212 * line.size
            assert foot < panel.y + panel.height

    def test_letters_stand_out_from_what_is_right_behind_them(
        self, shape: str, results: tuple[DishResult, ...]
    ) -> None:
        """WCAG 2.1, 1.4.3 AA: 4.5 to 1. The panel is opaque, so no ground shows through."""
        for result in results:
            picture = still(result, shape)
            for line in picture.lines:
                behind = [b for b in picture.boxes if b.y <= line.y - line.size / 2 <= b.y + b.height][-1]
                assert behind.y <= line.y - 0.72 * line.size  # its capitals (Arimo: 0.716)
                assert line.y + 0.212 * line.size <= behind.y + behind.height + 0.01
                assert contrast(line.fill, behind.fill) >= 4.5

    def test_letters_are_as_large_as_a_telephone_needs(self, shape: str, results: tuple[DishResult, ...]) -> None:
        for result in results[:-2]:
            assert still(result, shape).smallest * PHONE / SIZES[shape][0] >= 11
            assert too_small(result, shape) is None

    def test_where_letters_must_be_smaller_the_cook_is_told(self, shape: str, worst: DishResult) -> None:
        shown = still(worst, shape).smallest * PHONE / SIZES[shape][0]
        note = too_small(worst, shape)
        assert (note is None) == (shown >= 11.25) == (shape == "square")
        assert note is None or f"{shown:.1f} px" in note
        assert shown > 10  # the worst there is

    def test_the_packs_to_look_at_are_named(self, shape: str) -> None:
        asked = [result for result in demos() if result.allergens.to_check and result.complete]
        assert asked
        for result in asked:
            assert answer(result).packs[1:].replace(" ", "") in said(still(result, shape)).replace(" ", "")

    def test_nothing_is_cut(self, shape: str, results: tuple[DishResult, ...]) -> None:
        for result in results:
            picture, told = still(result, shape), answer(result)
            shown = said(picture).replace(" ", "")
            if told.packs.replace(" ", "")[1:] in shown:  # else the names of packs gave way
                told = told.with_packs
            for clause in (told.incomplete, told.portion, *told.allergens):
                assert clause[1:].replace(" ", "") in shown
                assert clause[1:] in picture.words
            assert told.dish.replace(" ", "") in shown
            assert told.caution.replace(" ", "") in shown
            for word in ("Cross-contact not covered", "check every pack", "local food law", "registered dietitian"):
                assert word in picture.words

    def test_what_is_not_complete_comes_first(self, shape: str, worst: DishResult) -> None:
        assert said(still(worst, shape)).startswith("NOT COMPLETE: ")
        assert said(still(demos()[0], shape)).startswith(demos()[0].recipe.dish)


def contrast(one: str, other: str) -> float:
    """WCAG 2.1, "contrast ratio" and "relative luminance"."""

    def light(colour: str) -> float:
        parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
        red, green, blue = (p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
        return 0.2126 * red + 0.7152 * green + 0.0722 * blue

    darker, lighter = sorted((light(one), light(other)))
    return (lighter + 0.05) / (darker + 0.05)


def test_a_unit_never_parts_from_its_number() -> None:
    for shape in SHAPES:
        for result in demos():
            for line in still(result, shape).lines:
                assert not re.match(r"(kcal|g)\b", line.text)


def test_an_address_shows_where_there_is_room_and_gives_way_to_letters(worst: DishResult) -> None:
    assert LINK in said(still(replace(demos()[0], link=LINK))).replace(" ", "")
    assert "http" not in said(still(demos()[0]))
    assert "http" not in said(still(worst))
    assert LINK in still(worst).words


class TestWrapped:
    @pytest.mark.parametrize("face", ["regular", "bold"])
    @pytest.mark.parametrize(
        "text", ["a few short words and one more", "W" * 90, "x " + "i" * 300 + " y", "", "海" * 40]
    )
    def test_lines_fit_and_nothing_is_left_out(self, text: str, face: str) -> None:
        for room in (60, 200, 500):
            lines = wrapped(text, 20, room, face)
            assert "".join(lines).replace(" ", "") == text.replace(" ", "")
            assert all(width(line, 20, face) <= room for line in lines)

    def test_a_line_takes_what_it_can(self) -> None:
        assert wrapped("aa bb cc", 10, width("aa bb", 10)) == ["aa bb", "cc"]


class TestSvg:
    def test_a_program_reads_it_and_it_asks_for_nothing(self, results: tuple[DishResult, ...]) -> None:
        for shape in SHAPES:
            for result in results:
                text = svg(result, shape)
                root = ElementTree.fromstring(text)
                assert {tag(e) for e in root.iter()} == {"svg", "title", "desc", "metadata", "style", "rect", "text"}
                assert not [n for e in root.iter() for n in e.attrib if n.startswith("on") or "href" in n]
                assert set(re.findall(r"url\((.{12})", text)) == {'"data:font/w'}
                assert (root.get("width"), root.get("height")) == tuple(map(str, SIZES[shape]))
                assert not flaws(text)
                assert len(text.encode()) < 60_000

    def test_hostile_names_are_words(self, tmp_path: Path) -> None:
        for payload in PAYLOADS:
            result = replace(demos()[0], recipe=replace(demos()[0].recipe, dish=payload), link=LINK)
            root = ElementTree.fromstring(svg(result))
            assert {tag(e) for e in root.iter()} == {"svg", "title", "desc", "metadata", "style", "rect", "text"}
            (title,) = [e.text for e in root.iter() if tag(e) == "title"]
            assert title == answer(result).dish

    def test_a_browser_runs_nothing_of_it(self, tmp_path: Path) -> None:
        path = tmp_path / "still.svg"
        path.write_text(svg(hostile()), encoding="utf-8")
        with browser.page(path) as page:
            assert page.errors == []
            assert page.requests == []
            assert page.js("typeof window.pwned") == "undefined"

    @pytest.mark.parametrize("letters", LETTERS)
    def test_drawn_in_any_letters_it_stays_inside_and_nothing_overlaps(
        self, letters: str, results: tuple[DishResult, ...], tmp_path: Path
    ) -> None:
        path = tmp_path / "still.svg"
        for shape in SHAPES:
            for result in results[:-1]:
                path.write_text(lettered(svg(result, shape), letters), encoding="utf-8")
                with browser.page(path, *SIZES[shape]) as page:
                    boxes = page.js("[...document.querySelectorAll('text')].map(e => e.getBBox())"
                                    ".map(b => [b.x, b.y, b.width, b.height])")  # fmt: skip
                    panel = page.js("(() => { const b = document.querySelector('rect').getBBox();"
                                    "return [b.x, b.y, b.width, b.height]; })()")  # fmt: skip
                assert faults(boxes, panel, SIZES[shape]) == [], (result.recipe.dish, shape)

    def test_the_check_itself_finds_faults(self) -> None:
        size, panel = (1920, 1080), (100.0, 60.0, 1700.0, 900.0)
        assert faults([(110, 70, 500, 60), (110, 140, 500, 60)], panel, size) == []
        assert len(faults([(50, 70, 500, 60)], panel, size)) == 1
        assert len(faults([(110, 70, 1750, 60)], panel, size)) == 1
        assert len(faults([(110, 70, 500, 60), (110, 90, 500, 60)], panel, size)) == 1


def tag(element: ElementTree.Element) -> str:
    return element.tag.removeprefix("{http://www.w3.org/2000/svg}")


def faults(boxes: list[Any], panel: Any, size: tuple[int, int]) -> list[str]:
    """Lines of text outside the panel or the safe area, or on the line above by more than a fifth of their height."""
    found, foot = [], 0.0
    for x, y, wide, high in boxes:
        right = min(panel[0] + panel[2], 0.95 * size[0])
        if x < max(panel[0], 0.05 * size[0]) or x + wide > right or y + high > panel[1] + panel[3] + high / 5:
            found.append(f"outside: {x:.0f} {y:.0f} {wide:.0f} {high:.0f}")
        if y < foot - high / 5:
            found.append(f"on the line above: {y:.0f}")
        foot = y + high
    return found


class TestPng:
    @pytest.mark.parametrize("shape", SHAPES)
    def test_size_clear_ground_and_opaque_panel(self, shape: str, results: tuple[DishResult, ...]) -> None:
        wide, high = SIZES[shape]
        for result in results[:-1]:
            picture = png(result, shape)
            assert (picture.size, picture.mode, picture.format) == ((wide, high), "RGBA", "PNG")
            alpha = picture.getchannel("A")
            assert alpha.getextrema() == (0, 255)
            assert alpha.histogram()[1:255] == [0] * 254  # either clear or opaque
            left, top, right, bottom = alpha.getbbox()
            assert (left, right, bottom) == (0.05 * wide, 0.95 * wide, 0.95 * high)
            assert top >= 0.05 * high
            assert alpha.crop((left, top, right, bottom)).getextrema() == (255, 255)

    def test_what_is_drawn_is_what_the_svg_shows(self, worst: DishResult, tmp_path: Path) -> None:
        """Both pictures, over one ground: few points differ by much, at the edges of letters."""
        image = pytest.importorskip("PIL.Image", reason="Pillow is not installed")
        chops = pytest.importorskip("PIL.ImageChops", reason="Pillow is not installed")
        for shape in SHAPES:
            path, shot = tmp_path / "still.svg", tmp_path / "shot.png"
            path.write_text(svg(worst, shape), encoding="utf-8")
            with browser.page(path, *SIZES[shape]) as page:
                page.screenshot(shot)
            ground = image.new("RGBA", SIZES[shape], "white")
            ground.alpha_composite(png(worst, shape))
            apart = chops.difference(ground.convert("L"), image.open(shot).convert("L"))
            ink = sum(ground.convert("L").histogram()[:128])
            assert sum(apart.histogram()[128:]) < 0.05 * ink

    def test_letters_are_there_and_cover_what_the_layout_says(self) -> None:
        """A picture without letters would have all of the above."""
        picture = still(demos()[1])
        drawn = png(demos()[1]).convert("L")
        for line in picture.lines:
            box = tuple(map(round, (line.x, line.y - 0.73 * line.size, line.x + line.width, line.y)))
            low, high = drawn.crop(box).getextrema()
            assert high - low > 150
            shares = drawn.crop(box).histogram()
            assert 0.1 < sum(shares[:128]) / sum(shares) < 0.9

    def test_no_font_of_the_machine_counts(self, monkeypatch: pytest.MonkeyPatch) -> None:
        font = pytest.importorskip("PIL.ImageFont", reason="Pillow is not installed")
        asked = []
        kept = font.truetype
        monkeypatch.setattr(font, "truetype", lambda file, *a, **k: asked.append(file) or kept(file, *a, **k))
        from nutrilab.sheets import still_png

        still_png._font.cache_clear()
        png(demos()[1])
        assert asked
        assert all(isinstance(file, io.BytesIO) for file in asked)

    def test_a_letter_the_font_lacks_loses_its_marks_only(self) -> None:
        pho = replace(demos()[0], recipe=replace(demos()[0].recipe, dish="Phở 🍜 de\u0301"))
        plain = replace(demos()[0], recipe=replace(demos()[0].recipe, dish="Pho de\u0301"))
        from nutrilab.sheets.still_png import _drawable, to_png

        assert next(_drawable(line.text) for line in still(pho).lines) == "Pho  dé"
        marked = replace(plain, recipe=replace(plain.recipe, dish="Phở de\u0301"))
        other = replace(plain, recipe=replace(plain.recipe, dish="Ph de\u0301"))
        assert to_png(still(marked)) == to_png(still(plain)) != to_png(still(other))
        assert "Phở 🍜 dé" in svg(pho)

    @pytest.mark.parametrize("name", ["寿司", "Борщ", "حمص"])
    def test_another_script_is_refused_for_a_png_and_not_for_an_svg(self, name: str) -> None:
        result = replace(demos()[0], recipe=replace(demos()[0].recipe, dish=name))
        with pytest.raises(InputError, match=r'have no ".".*\.svg'):
            png(result)
        assert name in svg(result)


class TestCommand:
    @pytest.fixture(autouse=True)
    def _here(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.chdir(tmp_path)

    def run(self, *arguments: str) -> Result:
        return CliRunner().invoke(main, ["analyse", str(DEMOS[1]), *arguments])

    def test_by_the_name_and_by_the_form(self) -> None:
        for arguments in (("-o", "a.svg"), ("--format", "still", "-o", "b.svg"), ("-o", "c.svg", "--shape", "wide")):
            ran = self.run(*arguments)
            assert (ran.exit_code, ran.output) == (0, "")
        assert Path("a.svg").read_text() == Path("b.svg").read_text() == Path("c.svg").read_text()
        assert self.run("--format", "still").stdout == Path("a.svg").read_text()
        assert self.run("-o", "a.svg", "--shape", "square").exit_code == 0  # its own, written over
        assert 'width="1080"' in Path("a.svg").read_text()

    def test_a_png_by_its_name(self) -> None:
        image = pytest.importorskip("PIL.Image", reason="Pillow is not installed")
        for shape in SHAPES:
            ran = self.run("-o", "a.png", "--shape", shape)
            assert (ran.exit_code, ran.output) == (0, "")
            assert image.open("a.png").size == SIZES[shape]
        assert "a.png" in Path(".made-by-nutrilab").read_text()  # known by its checksum, and so written over

    def stills(self) -> tuple[list[str], str]:
        ran = CliRunner().invoke(main, ["analyse", *map(str, DEMOS[:2]), "--format", "still", "-o", "stills/"])
        assert ran.exit_code == 0
        return sorted(path.name for path in Path("stills").iterdir() if path.name[0] != "."), ran.stderr

    def test_a_folder_of_stills_holds_both_kinds_of_each(self) -> None:
        pytest.importorskip("PIL.Image", reason="Pillow is not installed")
        found, said = self.stills()
        assert found == [f"{path.stem}-still.{end}" for path in DEMOS[:2] for end in ("png", "svg")]
        assert "4 files in stills" in said

    def test_a_folder_without_pillow_holds_what_it_can_and_says_why(self, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr("nutrilab.sheets.still_png.find_spec", lambda _: None)
        found, said = self.stills()
        assert found == [f"{path.stem}-still.svg" for path in DEMOS[:2]]
        assert said.count("Pillow, which is not installed") == 1

    def test_without_pillow_one_sentence_says_what_to_install(self, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr("nutrilab.sheets.still_png.find_spec", lambda _: None)
        ran = self.run("-o", "a.png")
        assert (ran.exit_code, ran.stdout) == (2, "")
        assert ran.stderr == (
            "a PNG needs Pillow, which is not installed; in the folder of nutrilab, pip install '.[still]' "
            "or write an .svg\n"
        )
        assert not Path("a.png").exists()
        assert self.run("-o", "a.svg").exit_code == 0

    @pytest.mark.parametrize("form", ["text", "json", "html", "label", "jsonld", "caption", "csv", "pdf"])
    def test_a_shape_of_anything_else_is_refused(self, form: str) -> None:
        ran = self.run("--format", form, "--shape", "square")
        assert (ran.exit_code, ran.stdout) == (2, "")
        assert (
            ran.stderr == "--shape says how a still is made, and this makes none; leave it out, or say --format still\n"
        )

    def test_what_is_too_much_is_drawn_and_said(self, worst: DishResult) -> None:
        recipe = {
            "dish": LONG_NAME,
            "portions": 4,
            "ingredients": [line.text for line in worst.recipe.stages[0].entries],
        }
        Path("worst.yaml").write_text(json.dumps(recipe))
        ran = CliRunner().invoke(main, ["analyse", "worst.yaml", "-o", "worst.svg"])
        assert ran.exit_code == 0
        assert "px high on a telephone 360 px wide" in ran.stderr
        assert len(ran.stderr.splitlines()) == 1
