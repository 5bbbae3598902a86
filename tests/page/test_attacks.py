"""The same attacks on every address that reads or writes: each refused or served, nothing outside touched.

test_guard.py holds the door itself; here every address behind it is tried.
"""

from __future__ import annotations

import html
import json
import sys
import threading
from pathlib import Path
from typing import Any
from urllib.parse import quote, urlencode

import pytest

from tests import html_tree
from tests.page.serving import STEW, WAIT, Answer, Client, act, hidden, parts

SECRET = "a secret outside the folder\nServes 2\n\n100 g flour\n"
READ = ("/", "/new", "/recipe/stew.txt", "/hand-on/stew.txt", "/out/sheet/stew.txt", "/out/figures.json/stew.txt",
        "/together/chart", "/together/dishes.csv", "/static/page.js")  # fmt: skip
SAVE = urlencode({"do": "save", "text": STEW, "name": "evil.txt", "was": "", "read": ""}).encode()
WRITES = (("/recipe", SAVE), ("/drop?name=evil.txt", STEW.encode()))


@pytest.fixture
def folder(folder: Path) -> Path:
    (folder / "stew.txt").write_text(STEW)
    (folder.parent / "secret.txt").write_text(SECRET)
    return folder


def everything(folder: Path) -> dict[str, bytes]:
    """Every file there and beside the folder."""
    return {str(one): one.read_bytes() for one in sorted(folder.parent.rglob("*")) if one.is_file()}


def shut(found: Answer, *statuses: int) -> None:
    assert found.status in statuses, (found.status, found.text)
    for secret in ("zorblax", "a secret", "Traceback", "root:"):
        assert secret not in found.text


def test_an_old_key_or_none_opens_no_address(page: Client, folder: Path) -> None:
    """The cookie of an earlier start on the same port is worth no more than none."""
    before = everything(folder)
    old = f"nutrilab-{page.port}={'A' * len(page.serving.keys.cookie)}"
    for cookie in (None, old, f"nutrilab-{page.port}=", page.cookie[:-1], f"x{page.cookie}"):
        for path in READ:
            shut(page.get(path, Cookie=cookie), 403)
        for path, body in WRITES:
            shut(page.ask("POST", path, body, {"Cookie": cookie}), 403)
        shut(page.ask("POST", f"/recipe?key={page.serving.keys.key}", SAVE, {"Cookie": cookie}), 403)
    assert everything(folder) == before


@pytest.mark.parametrize("host", ["evil.example", "evil.example:{port}", "localhost.evil.example:{port}", None])
def test_another_host_opens_no_address(page: Client, folder: Path, host: str | None) -> None:
    """DNS rebinding: the page of another site, whose name now points here, with the cookie and its own origin."""
    before = everything(folder)
    named = host and host.format(port=page.port)
    for path in READ:
        shut(page.get(path, Host=named), 400, 403)
    for path, body in WRITES:
        for origin in (f"http://{named}", f"http://{page.host}"):
            shut(page.ask("POST", path, body, {"Host": named, "Origin": origin}), 400, 403)
    assert everything(folder) == before


@pytest.mark.parametrize(
    "headers",
    [
        {"Origin": "https://evil.example", "Sec-Fetch-Site": "cross-site"},
        {"Origin": "https://evil.example", "Sec-Fetch-Site": None},
        {"Origin": "https://evil.example", "Sec-Fetch-Site": None, "Content-Type": "text/plain"},
        {"Origin": "https://evil.example", "Sec-Fetch-Site": None, "X-Part": "1"},
        {"Origin": "null", "Sec-Fetch-Site": None, "Content-Type": "multipart/form-data; boundary=x"},
        {"Origin": None, "Sec-Fetch-Site": None, "Referer": "https://evil.example/"},
        {"Origin": "http://127.0.0.1:1", "Sec-Fetch-Site": "same-site"},
    ],
)
def test_what_another_site_sends_changes_nothing(page: Client, folder: Path, headers: dict[str, str | None]) -> None:
    before = everything(folder)
    for path, body in WRITES:
        shut(page.ask("POST", path, body, headers), 403)
    assert everything(folder) == before


NAMES = (
    "../secret.txt", "..%2fsecret.txt", "%2e%2e%2fsecret.txt", "%252e%252e%252fsecret.txt", "..%5csecret.txt",
    "/etc/passwd", "%2fetc%2fpasswd", "C%3A%5CWindows%5Cwin.ini", "{outside}", "stew.txt%00.yaml", ".hidden.txt",
    "decisions.yaml", "products.yaml", "kitchen.yaml", "stew.txt%2f..%2f..%2fsecret.txt",
)  # fmt: skip


@pytest.mark.parametrize("name", NAMES)
def test_no_address_reads_a_name_outside(page: Client, folder: Path, name: str) -> None:
    for own in ("decisions.yaml", "kitchen.yaml"):
        (folder / own).write_text("# a secret of the kitchen\n")
    name = name.replace("{outside}", quote(str(folder.parent / "secret.txt"), safe=""))
    for path in ("/recipe/", "/hand-on/", "/out/sheet/", "/out/figures.json/", "/static/"):
        shut(page.ask("GET", path + name), 404, 422)
    for form in ("../../secret.txt", "..%2f..%2fsecret.txt", "sheet%2f..%2f..%2fsecret.txt", "%2fetc%2fpasswd"):
        shut(page.ask("GET", f"/together/{form}"), 404, 422)
        shut(page.ask("GET", f"/out/{form}/stew.txt"), 404, 422)


WRITTEN = (
    "../out.txt", "..\\out.txt", "{outside}", "/etc/nutrilab.txt", "a/b.txt", ".hidden.txt", "decisions.yaml",
    "products.yaml", "kitchen.yaml", "Products.YAML", "x\x00.txt", "x\n.txt", "C:\\x.txt", "~/x.txt", "\\\\host\\x.txt",
)  # fmt: skip


@pytest.mark.parametrize("name", WRITTEN)
def test_no_action_writes_or_takes_a_name_outside(page: Client, folder: Path, name: str) -> None:
    name = name.replace("{outside}", str(folder.parent / "secret.txt"))
    before = everything(folder)
    for do in ("save", "save:" + "0" * 64, "take", "draft", "look", "undo"):
        for sent in ({"name": name}, {"was": name, "name": name, "read": "x"}, {"was": name, "name": "stew.txt"}):
            found = act(page, do, "Other\nServes 1\n\n1 egg\n", **{"was": "", "read": "", **sent})
            assert found.status in (200, 422), (do, sent)
            assert "a secret" not in found.text
            assert "Traceback" not in found.text
    found = page.ask("POST", f"/drop?name={quote(name)}", b"Dropped\nServes 2\n\n1 egg\n", {"X-Part": "1"})
    assert found.status in (200, 422)
    assert everything(folder) == before


@pytest.mark.skipif(sys.platform == "win32", reason="links need rights there")
def test_no_link_leads_any_address_out(page: Client, folder: Path) -> None:
    """A recipe, a list of packs, a stage of another recipe, a folder, the kitchen's own files: none through a link."""
    outside = folder.parent
    (outside / "away").mkdir()
    (outside / "away" / "packs.yaml").write_text("- name: a secret pack\n  aliases: leeks\n  contains: lupin\n")
    (outside / "away" / "sauce.yaml").write_text("dish: a secret sauce\nportions: 1\ningredients:\n  - 1 egg\n")
    (folder / "linked.txt").symlink_to(outside / "secret.txt")
    (folder / "packs").symlink_to(outside / "away")
    (folder / "sauce.yaml").symlink_to(outside / "away" / "sauce.yaml")
    head = "dish: Broth\nportions: 2\n"
    (folder / "a.yaml").write_text(f"{head}products: packs/packs.yaml\ningredients:\n  - 2 leeks\n")
    stages = "stages:\n  - stage: broth\n    ingredients:\n      - all of sauce from sauce.yaml\n      - 2 leeks\n"
    (folder / "b.yaml").write_text(head + stages)
    before = everything(folder)
    for name in ("linked.txt", "sauce.yaml", "a.yaml", "b.yaml"):
        for path in ("/recipe/", "/hand-on/", "/out/sheet/", "/out/figures.json/"):
            found = page.ask("GET", path + name)
            assert found.status in (200, 422)
            for secret in ("a secret", "lupin", "eggs"):
                assert secret not in found.text, (path, name)
    for path in ("/", "/together/chart", "/together/dishes.csv", "/together/dishes.json"):
        found = page.get(path)
        assert found.status in (200, 422)
        assert "a secret" not in found.text
        assert "Traceback" not in found.text
    for name in ("linked.txt", "sauce.yaml"):
        held = {"was": name, "name": name, "read": "0" * 64}
        for do in ("save", "take", "save:" + "0" * 64):
            assert "a secret" not in act(page, do, "X\nServes 1\n\n1 egg\n", **held).text
    assert everything(folder) == before


@pytest.mark.skipif(sys.platform == "win32", reason="links need rights there")
@pytest.mark.parametrize("own", ["decisions.yaml", "products.yaml", "kitchen.yaml"])
def test_none_of_the_kitchens_files_is_read_or_written_through_a_link(page: Client, folder: Path, own: str) -> None:
    outside = folder.parent / "outside.yaml"
    outside.write_text("a secret: [\n")
    (folder / own).symlink_to(outside)
    line = {"line": "7", "of": "300 ml double cream"}
    pack = {"pack-name": "X", "pack-ingredients": "salt", "pack-per": "100 g"}
    for do, more in (("choose:0", {"choice-0": "none", "decided-0": ""}), ("pack", pack), ("look", {})):
        found = page.post("/recipe", {"X-Part": "1"}, do=do, text=STEW, was="", read="", name="", **line, **more)
        assert "leads out" in html.unescape(found.text)
        assert "a secret" not in found.text
    assert outside.read_text() == "a secret: [\n"


# --- script


SCRIPT = "<script>alert(1)</script>"
IMAGE = "\"'><img src=x onerror=alert(1)>"
TEMPLATE = "{{ 1234567 * 7 }}"
ALL_FIELDS = (
    "was-fact--portions", "fact--portions", "fact--portion weight", "was-fact--portion weight", "fact--weight after",
    "fact-Jetty stew-method", "fact-Jetty stew-weight before", "fact-Jetty stew-drained", "fact-Jetty stew-loss",
    "pack-name", "pack-aliases", "pack-ingredients", "pack-contains", "pack-may contain", "pack-per", "pack-density",
    "pack-energy kj", "pack-energy kcal", "pack-fat", "pack-saturates", "pack-carbohydrate", "pack-sugars",
    "pack-fibre", "pack-protein", "pack-salt", "choice-0", "search-0", "decided-0", "piece", "piece-was", "words",
    "swap", "kept", "of", "line", "name", "read", "back", "text",
)  # fmt: skip


def clean(text: str) -> None:
    """No tag of a guest stands in a page, and no template of theirs was worked out."""
    assert "<script>alert" not in text
    assert "<img src=x" not in text
    assert "8641969" not in text
    tree = html_tree.read(text)
    assert not [one for one in tree.walk() if any(name.startswith("on") for name in one.attributes)]
    assert {one.attributes.get("src", "").split("?")[0].rpartition("/")[0] for one in tree.all("script")} <= {"/static"}


@pytest.mark.parametrize("hostile", [SCRIPT, IMAGE, TEMPLATE], ids=["script", "image", "template"])
@pytest.mark.parametrize("field", ALL_FIELDS)
def test_script_in_one_field_is_text_in_every_answer(page: Client, field: str, hostile: str) -> None:
    """One field at a time, the others right: so that each is shown as far as it ever is."""
    right = {"line": "5", "of": "400 g zorblax paste", "was": "", "read": "", "name": "", "text": STEW}
    pack = {"pack-name": "Lantern", "pack-ingredients": "salt", "pack-per": "100 g"}
    for do in ("search:0", "words", "weight", "pack", "facts", "swap", "keep", "save"):
        fields = {**right, **pack, field: hostile, "do": do}
        found = page.post("/recipe", **fields)
        assert found.status in (200, 303, 422), (do, found.status)
        if found.status != 303:
            clean(found.text)
        told = page.post("/recipe", {"X-Part": "1"}, **fields)
        for shown in json.loads(told.text).get("parts", {}).values():
            clean(shown)


@pytest.mark.parametrize("hostile", [SCRIPT, IMAGE, TEMPLATE], ids=["script", "image", "template"])
def test_script_in_every_file_is_text_in_every_view(page: Client, folder: Path, hostile: str) -> None:
    """Of a dish, a stage, a line, a pack, a decision: on the page, the list and all that is handed on."""
    said = hostile.replace('"', "").replace("'", "")
    (folder / "stew.txt").write_text(f"{said}\nServes 4\n\n100 g {said}\n2 onions\n\n{said}:\n1 leek\n30 g chocolate\n")
    (folder / "b.yaml").write_text(
        f"dish: '{said} b'\nportions: 2\nnotes: '{said}'\nsource: '{said}'\nstages:\n  - stage: '{said}'\n"
        f"    ingredients:\n      - '2 leeks, {said}'\n      - 30 g chocolate\n"
    )
    (folder / "products.yaml").write_text(f"- name: '{said}'\n  aliases: chocolate\n  ingredients: '{said}, milk'\n")
    (folder / "decisions.yaml").write_text(f"'{said} x': none\n")
    forms = ("sheet", "label")
    views = ["/", "/together/chart", *(f"/out/{form}/{name}" for form in forms for name in ("stew.txt", "b.yaml"))]
    views += [f"/{kind}/{name}" for kind in ("recipe", "hand-on") for name in ("stew.txt", "b.yaml")]
    for path in views:
        found = page.get(path)
        assert found.status == 200, (path, found.text)
        assert "<script>alert" not in found.text
        assert "<img src=x" not in found.text
        assert "8641969" not in found.text
        if not path.startswith(("/out", "/together")):
            clean(found.text)
    for number in range(1, 9):
        text = (folder / "stew.txt").read_text()
        for shown in parts(page, f"open:{number}", text, was="stew.txt", name="stew.txt")["parts"].values():
            clean(shown)
    svg = page.get("/out/still.svg/stew.txt").text
    assert "<script>alert" not in svg
    assert "<img src=x" not in svg


# --- too much


def test_fifty_megabytes_are_refused_at_every_address(page: Client, folder: Path) -> None:
    before = everything(folder)
    body = b"x" * 50_000_000
    for path in ("/recipe", "/drop?name=big.txt"):
        for headers in ({}, {"X-Part": "1"}):
            found = page.ask("POST", path, body, headers)
            assert found.status == 413
            assert "larger than any recipe" in found.text
    assert everything(folder) == before
    assert page.get("/").status == 200


def test_two_hundred_saves_at_once_lose_nothing(page: Client, folder: Path) -> None:
    """Each into a file of its own: what was answered with yes stands there whole, what was refused not at all."""
    found: dict[int, int] = {}

    def save(at: int) -> None:
        text = f"Supper {at}\nServes 2\n\n{at + 1} eggs\n"
        found[at] = act(page, "save", text, name=f"supper-{at}.txt").status

    at_once(save, 200)
    assert set(found.values()) <= {303, 503}
    assert list(found.values()).count(303) >= 100
    for at, status in found.items():
        path = folder / f"supper-{at}.txt"
        assert path.exists() is (status == 303)
        assert status == 503 or path.read_text() == f"Supper {at}\nServes 2\n\n{at + 1} eggs\n"
    assert not list(folder.glob("*.tmp"))


def test_fifty_saves_of_one_file_at_once_leave_one_whole_and_refuse_the_others(page: Client, folder: Path) -> None:
    shown = page.open("stew.txt").text
    held = {"was": "stew.txt", "name": "stew.txt", "read": hidden(shown, "read")}
    texts = [STEW.replace("2 onions", f"{at + 3} onions") for at in range(50)]
    found: dict[int, int] = {}

    def save(at: int) -> None:
        found[at] = act(page, "save", texts[at], **held).status

    at_once(save, 50)
    won = [at for at, status in found.items() if status == 303]
    assert len(won) == 1
    assert (folder / "stew.txt").read_text() == texts[won[0]]


def test_windows_that_keep_packs_at_once_all_come_to_stand(page: Client, folder: Path) -> None:
    said: list[Any] = []

    def keep(at: int) -> None:
        pack = {"pack-name": f"Lantern {at}", "pack-contains": "celery", "pack-ingredients": "salt"}
        said.append(parts(page, "pack", line="6", of="1 vegetable stock cube", **pack)["failed"])

    at_once(keep, 12)
    assert said == [False] * 12
    text = (folder / "products.yaml").read_text()
    assert sorted(line for line in text.splitlines() if "name:" in line) == sorted(
        f"- name: Lantern {at}" for at in range(12)
    )


def at_once(do: Any, number: int) -> None:
    threads = [threading.Thread(target=do, args=(at,)) for at in range(number)]
    for one in threads:
        one.start()
    for one in threads:
        one.join(WAIT)
    assert not any(one.is_alive() for one in threads)
