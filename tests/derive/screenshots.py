"""The pictures of the docs, taken from the demo recipes: of the sheet, the chart, a still and the page.

    python -m tests.derive.screenshots

Needs Pillow, which comes with the extra ``pdf``, and Playwright for the page. Taken with the browser and the fonts of
this machine: look at them before they go in.
"""

from __future__ import annotations

import io
import shutil
import tempfile
from pathlib import Path

from PIL import Image, ImageDraw

from nutrilab.cli_parts import cook
from nutrilab.sheets.chart_page import chart_page
from nutrilab.sheets.page import sheet
from nutrilab.sheets.still import still
from nutrilab.sheets.still_png import to_png
from tests import browser
from tests.dishes import DEMOS

DOCS = Path(__file__).parents[2] / "docs"
SHEET, OPENED = "harbour-fish-pie", "low-tide-leek-soup"
MOST = 200_000  # bytes a picture may take
COLOURS = 64  # enough for ink on paper


def take(html: str, picture: Path, width: int, last: str) -> None:
    """A picture of the top of a page down to the end of the element ``last``. Raises ValueError if it is too large."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "page.html")
        path.write_text(html, encoding="utf-8")
        with browser.page(path, width) as page:
            end = float(page.js(f"document.querySelector('{last}').getBoundingClientRect().bottom + scrollY"))
            page.screenshot(picture, (0, 0, width, end + 12))
    keep(Image.open(picture), picture)


def keep(image: Image.Image, picture: Path) -> None:
    """Save a picture small. Raises ValueError for one that stays too large."""
    image.convert("RGB").quantize(COLOURS, dither=Image.Dither.NONE).save(picture, optimize=True)
    size = picture.stat().st_size
    if size > MOST:
        raise ValueError(f"{picture} takes {size} bytes, more than {MOST}")
    print(f"{picture}: {size} bytes")


def laid_over(pixels: bytes) -> Image.Image:
    """A still over a picture of nothing in particular, half its size: stripes of sea and sky."""
    still = Image.open(io.BytesIO(pixels))
    ground = Image.new("RGBA", still.size)
    pen, (width, height) = ImageDraw.Draw(ground), still.size
    for y in range(0, height, 12):
        light = 150 + 60 * y // height if y < height // 2 else 170 - 110 * y // height + 9 * (y // 12 % 4)
        pen.rectangle((0, y, width, y + 12), fill=(light // 2, light - 20, light + 30))
    ground.alpha_composite(still)
    return ground.resize((width // 2, height // 2), Image.Resampling.LANCZOS)


def take_the_page() -> None:
    """The page in a browser: a recipe with a line open, the list on a dark telephone. Needs Playwright and Chromium."""
    from playwright.sync_api import sync_playwright

    from tests.page.serving import served

    with tempfile.TemporaryDirectory() as kept, sync_playwright() as driver:
        kitchen = Path(kept, "recipes")
        shutil.copytree(DEMOS[0].parent, kitchen)
        running = driver.chromium.launch(executable_path=browser.executable(), args=["--no-sandbox"])
        with served(kitchen) as page:
            for file, width, height, scheme, then in (
                ("page.png", 1280, 900, "light", f"recipe/{OPENED}.yaml"),
                ("page-phone.png", 390, 800, "dark", ""),
            ):
                context = running.new_context(viewport={"width": width, "height": height}, color_scheme=scheme)
                window = context.new_page()
                window.goto(page.serving.address())
                window.goto(f"http://{page.host}/{then}")
                window.wait_for_selector("[data-dish]" if not then else "button.open")
                if then:
                    window.locator("button.open").nth(3).click()
                    window.wait_for_selector("#panel")
                    window.evaluate("scrollTo(0, 0)")
                window.screenshot(path=DOCS / file)
                keep(Image.open(DOCS / file), DOCS / file)
        running.close()


def main() -> None:
    results = cook(tuple(DEMOS), None)
    pie = next(r for path, r in zip(DEMOS, results, strict=True) if path.stem == SHEET)
    take(sheet(pie), DOCS / "sheet.png", 1000, "#ingredients")
    take(chart_page(results), DOCS / "chart.png", 1240, ".sheet")
    keep(laid_over(to_png(still(pie))), DOCS / "still.png")
    take_the_page()


if __name__ == "__main__":
    main()
