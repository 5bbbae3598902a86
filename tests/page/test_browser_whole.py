"""What a cook relies on in the browser, held against `nutrilab analyse --format json`: every figure, every group."""

from __future__ import annotations

import contextlib
import csv
import io
import json
from pathlib import Path
from typing import Any

from nutrilab.messages import say
from tests.page.serving import Client
from tests.page.test_browser import (  # its browser comes along by its name
    STEW,
    acted,
    analysed,
    api,
    chromium,
    line,
    opened,
    press,
    until,
)

__all__ = ["chromium"]


def plain(window: Any, where: str) -> str:
    return str(window.locator(where).first.text_content()).replace("\xa0", " ")


def test_pasted_and_saved_every_figure_and_group_is_that_of_the_command_line(
    chromium: Any, page: Client, folder: Path
) -> None:
    """Pasted with the clipboard, saved with the keyboard, loaded anew; then each export of the same file."""
    window = opened(chromium, page, "/new")
    window.context.grant_permissions(["clipboard-read", "clipboard-write"])
    window.evaluate("(text) => navigator.clipboard.writeText(text)", STEW + "30 g zorblax paste\n")
    window.focus("#text")
    window.keyboard.press("Control+V")
    window.wait_for_selector('.line:has-text("zorblax")')
    acted(window, lambda: window.keyboard.press("Control+s"))
    name = window.url.rpartition("/")[2]
    window.reload()
    record = analysed(folder / name)
    rows = window.locator("table.figures tbody tr")
    shown = [rows.nth(at).locator("td").all_text_contents()[:2] for at in range(rows.count())]
    wanted = zip(record["declared_per_100g"].values(), record["declared_per_portion"].values(), strict=True)
    assert [[cell.replace("\xa0", " ") for cell in row] for row in shown] == [list(pair) for pair in wanted]
    told = record["allergens"]
    for kind, names in (("contains", told["named"]), ("check", told["check"]), ("may", told["may_contain"])):
        groups = window.locator(f"#part-answer .group:has(.tag-{kind})")
        assert groups.count() == int(bool(names) or kind == "contains")
        for allergen in names:
            assert allergen in plain(window, f"#part-answer .group:has(.tag-{kind})")
    assert record["complete"] is False
    assert told["unresolved"] == ["30 g zorblax paste"]
    assert "zorblax" in plain(window, "#part-answer .warning")
    assert say("sheet.complete") not in plain(window, "#part-answer")

    window.click("text=Sheet, label")
    window.wait_for_selector("#caption-short")
    for words, read in (("For a program (JSON)", json.loads), (say("desk.csv"), None)):
        with window.expect_download() as kept:
            window.click(f"text={words}")
        text = Path(kept.value.path()).read_text(encoding="utf-8-sig")
        found = read(text) if read else next(csv.DictReader(io.StringIO(text)))
        if read:
            assert found["per_portion"] == record["per_portion"]
            assert found["allergens"] == record["allergens"]
        else:
            assert found["contains"]
            assert all(one in found["contains"] for one in told["contains"])
            assert found["not understood"] == "30 g zorblax paste"
    assert window.errors == []


def test_a_slow_answer_to_an_earlier_text_never_stands_over_a_later_one(chromium: Any, page: Client) -> None:
    """The first answer is held back until the second is shown: what a guest is told is of the text that stands."""
    window = opened(chromium, page, "/new")
    held: list[Any] = []

    def hold(route: Any) -> None:
        if not held and "walnuts" in (route.request.post_data or ""):
            held.append(route)
        else:
            route.continue_()

    window.route("**/recipe", hold)
    window.fill("#text", "Toast\nServes 2\n\n50 g walnuts\n")
    end = 0
    while not held:
        window.wait_for_timeout(20)
        end += 1
        assert end < 500
    window.fill("#text", "Toast\nServes 2\n\n50 g butter\n")
    until(window, "document.getElementById('part-answer').textContent.includes('milk')")
    with contextlib.suppress(api.Error):  # the page may have given the request up itself
        held[0].continue_()
    window.wait_for_timeout(1500)
    assert "nuts" not in plain(window, "#part-answer")
    assert "milk" in plain(window, "#part-answer")
    assert "walnuts" not in plain(window, "#part-lines")


def test_two_windows_that_decide_and_keep_packs_lose_nothing(chromium: Any, page: Client, folder: Path) -> None:
    text = "Slack stew\nServes 4\n\n100 g frimble\n100 g zorblax\n1 vegetable stock cube\n"
    (folder / "slack.txt").write_text(text)
    one, other = (opened(chromium, page, "/recipe/slack.txt") for _ in range(2))
    for window, name in ((one, "frimble"), (other, "zorblax")):
        acted(window, lambda w=window, n=name: line(w, n).locator("button.open").click())
        window.check('input[name="choice-0"][value="none"]')
    for window in (one, other):
        press(window, "choose:0")
    decided = (folder / "decisions.yaml").read_text()
    assert "frimble: none" in decided
    assert "zorblax: none" in decided
    assert text == (folder / "slack.txt").read_text()


def test_script_of_a_recipe_runs_in_no_view(chromium: Any, page: Client, folder: Path) -> None:
    hostile = "<img src=x onerror=document.title='ran'><script>document.title='ran'</script>"
    (folder / "bad.txt").write_text(f"{hostile}\nServes 2\n\n100 g {hostile}\n2 eggs\n")
    window = opened(chromium, page, "/recipe/bad.txt")
    window.fill("#text", f"{hostile}\nServes 2\n\n100 g {hostile}\n3 eggs\n")
    window.wait_for_selector('.line:has-text("3 eggs")')
    for path in ("/recipe/bad.txt", "/", "/hand-on/bad.txt", "/out/sheet/bad.txt", "/together/chart"):
        window.goto(f"http://{page.host}{path}")
        assert window.title() != "ran", path
        assert window.evaluate("document.querySelectorAll('img[src=x]').length") == 0, path


def test_a_paste_that_is_too_large_is_told_at_once_and_sent_nowhere(chromium: Any, page: Client) -> None:
    window = opened(chromium, page, "/new")
    window.fill("#text", "Toast\nServes 2\n\n50 g butter\n")
    until(window, "document.getElementById('part-answer').textContent.includes('milk')")
    sent: list[str] = []
    window.on("request", lambda request: sent.append(request.url) if request.method == "POST" else None)
    for count, taken in ((50_000_000, False), (1_000, True)):
        went_on = window.evaluate(
            "(count) => { const held = new DataTransfer(); held.setData('text/plain', 'x'.repeat(count));"
            " const paste = { clipboardData: held, bubbles: true, cancelable: true };"
            " return document.getElementById('text').dispatchEvent(new ClipboardEvent('paste', paste)); }",
            count,
        )
        assert went_on is taken
        assert window.evaluate("document.getElementById('said').textContent.trim()") == say("desk.too-large")
    assert sent == []
    assert window.evaluate("document.getElementById('text').value").startswith("Toast\nServes 2\n")
