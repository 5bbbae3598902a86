"""Who is let in: attacks on the door of the page, each refused or served, never a trace of the inside."""

from __future__ import annotations

import contextlib
import http.client
import os
import re
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.page.serving import WAIT, Client, served

ROOT = Path(__file__).parents[2]
SOUP = "Jetty carrot soup\nServes 4\n\n25 g butter\n600 g carrots\n1 litre vegetable stock\n"


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    found = tmp_path_factory.mktemp("outside") / "kitchen"
    found.mkdir()
    (found / "soup.txt").write_text(SOUP)
    (found.parent / "secret.txt").write_text("a secret outside the folder\nServes 2\n\n100 g flour\n")
    return found


@pytest.fixture(scope="module")
def page(folder: Path) -> Iterator[Client]:
    with served(folder) as client:
        yield client


def test_the_key_becomes_a_cookie_that_no_script_and_no_other_site_sees(page: Client) -> None:
    found = page.ask("GET", f"/?key={page.serving.keys.key}", headers={"Cookie": None})
    assert found.status == 303
    assert found.headers["location"] == "/"
    assert page.serving.keys.key not in found.headers["set-cookie"]
    assert {"HttpOnly", "SameSite=Strict"} <= set(found.headers["set-cookie"].split("; "))
    assert page.get("/", Cookie=found.headers["set-cookie"].split(";")[0]).status == 200


def test_led_here_by_another_site_the_page_itself_leads_on(page: Client) -> None:
    """A strict cookie does not go along with a redirect that another site began (RFC 6265bis, section 5.2)."""
    headers = {"Cookie": None, "Sec-Fetch-Site": "cross-site"}
    found = page.ask("GET", f"/?key={page.serving.keys.key}", headers=headers)
    assert found.status == 200
    assert 'content="0; url=/"' in found.text
    assert "set-cookie" in found.headers


def test_the_key_a_browser_is_opened_with_is_good_once(page: Client) -> None:
    once = page.serving.keys.once
    assert page.ask("GET", f"/?key={once}", headers={"Cookie": None}).status == 303
    assert page.ask("GET", f"/?key={once}", headers={"Cookie": None}).status == 403


def test_keys_are_long_and_each_start_has_its_own(page: Client, folder: Path) -> None:
    with served(folder) as other:
        keys = [*_keys(page), *_keys(other)]
        assert len({*filter(None, keys)}) == len([*filter(None, keys)])
        assert all(len(key) >= 43 for key in keys if key)  # 256 bits of base64
        assert other.ask("GET", f"/?key={page.serving.keys.key}", headers={"Cookie": None}).status == 403
        assert other.get("/", Cookie=page.cookie.replace(str(page.port), str(other.port))).status == 403


def _keys(page: Client) -> tuple[str, str, str]:
    return page.serving.keys.key, page.serving.keys.once, page.serving.keys.cookie


@pytest.mark.parametrize(
    "path", ["/", "/new", "/recipe/soup.txt", "/static/page.js", "/?key=", "/?key=wrong", "/nowhere"]
)
@pytest.mark.parametrize("cookie", [None, "nutrilab=x", "nutrilab-1=x"])
def test_without_the_key_nothing_is_shown(page: Client, path: str, cookie: str | None) -> None:
    found = page.get(path, Cookie=cookie)
    assert found.status == 403
    assert "soup" not in found.text


@pytest.mark.parametrize(
    "host", [None, "", "evil.example", "evil.example:{port}", "127.0.0.1", "127.0.0.1:1", "[::1]:{port}",
             "localhost.evil.example:{port}", "127.0.0.1:{port}, evil.example", "127.0.0.1:{port}@evil.example",
             "127.0.0.1.:{port}"],
)  # fmt: skip
def test_another_host_is_refused_whatever_else_is_right(page: Client, host: str | None) -> None:
    """A name that its owner points to 127.0.0.1 for a moment (DNS rebinding)."""
    named = host if host is None else host.format(port=page.port)
    for path in ("/", f"/?key={page.serving.keys.key}"):
        assert page.get(path, Host=named).status in (400, 403)


def test_localhost_is_this_machine_too(page: Client) -> None:
    assert page.get("/", Host=f"localhost:{page.port}").status == 200


@pytest.mark.parametrize(
    "headers",
    [
        {"Origin": "https://evil.example", "Sec-Fetch-Site": "cross-site"},
        {"Origin": "https://evil.example", "Sec-Fetch-Site": None},
        {"Origin": "null", "Sec-Fetch-Site": None},
        {"Origin": "null", "Sec-Fetch-Site": "same-origin"},
        {"Origin": "http://127.0.0.1", "Sec-Fetch-Site": None},
        {"Origin": "http://127.0.0.1:1", "Sec-Fetch-Site": "same-site"},
        {"Origin": None, "Sec-Fetch-Site": None},
        {"Origin": None, "Sec-Fetch-Site": "none"},
        {"Sec-Fetch-Site": "cross-site"},
    ],
)
def test_what_another_site_sends_is_refused(page: Client, headers: dict[str, str | None]) -> None:
    found = page.post("/recipe", headers, do="save", name="evil.txt", text=SOUP, read="")
    assert found.status == 403
    assert "nothing was done" in found.text


@pytest.mark.parametrize("method", ["PUT", "DELETE", "PATCH", "OPTIONS", "TRACE", "CONNECT"])
def test_other_methods_are_refused(page: Client, method: str) -> None:
    assert page.ask(method, "/").status in (400, 405)


OUTSIDE = (
    "../secret.txt", "..\\secret.txt", "%2e%2e/secret.txt", "..%2fsecret.txt", "%252e%252e%252fsecret.txt",
    "/etc/passwd", "%2fetc%2fpasswd", "//etc/passwd", "C:\\Windows\\win.ini", "C%3A%5CWindows%5Cwin.ini", ".hidden.txt",
    "soup.txt%00.yaml", "soup.txt/", "soup.txt/../../secret.txt", "~/secret.txt", "decisions.yaml", "products.yaml",
    "kitchen.yaml", "DECISIONS.YAML", "con.txt", "nul.yaml", "soup.txt.", "soup.txt%20", "x" * 300 + ".txt", "soup.py",
)  # fmt: skip


@pytest.mark.parametrize("name", OUTSIDE)
def test_no_name_leads_out_of_the_folder(page: Client, name: str) -> None:
    found = page.ask("GET", "/recipe/" + name.replace("\\", "%5C").replace(" ", "%20"))
    assert found.status in (404, 422), found.text
    assert "a secret" not in found.text
    assert "root:" not in found.text


@pytest.mark.skipif(sys.platform == "win32", reason="links need rights there")
def test_a_link_that_leads_out_is_neither_read_nor_written(page: Client, folder: Path) -> None:
    outside = folder.parent / "secret.txt"
    before = outside.read_text()
    link = folder / "linked.txt"
    link.symlink_to(outside)
    away = folder / "away.txt"
    away.symlink_to(folder.parent / "not-there.txt")
    try:
        for name in ("linked.txt", "away.txt"):
            found = page.open(name)
            assert found.status == 422
            assert "leads out of this folder" in found.text
            assert "a secret" not in found.text
        assert "a secret" not in page.get("/").text
        (folder / "decisions.yaml").symlink_to(outside)
        found = page.open("soup.txt")
        assert "leads out of this folder" in found.text
    finally:
        for one in (link, away, folder / "decisions.yaml"):
            one.unlink(missing_ok=True)
    assert outside.read_text() == before
    assert not (folder.parent / "not-there.txt").exists()


def test_every_answer_has_the_policy_and_stays_in_no_cache(page: Client) -> None:
    answers = [page.get("/"), page.get("/nowhere"), page.get("/", Cookie=None), page.get("/static/page.css")]
    assert [one.status for one in answers] == [200, 404, 403, 200]
    for one in answers:
        assert one.headers["content-security-policy"].startswith("default-src 'none'")
        assert "unsafe" not in one.headers["content-security-policy"]
        assert one.headers["cache-control"] == "no-store"
        assert one.headers["x-content-type-options"] == "nosniff"
        assert "server" not in one.headers


def test_fifty_megabytes_are_refused_and_nothing_is_kept(page: Client) -> None:
    body = b"do=look&text=" + b"x" * 50_000_000
    found = page.ask("POST", "/recipe", body)
    assert found.status == 413
    assert "larger than any recipe" in found.text
    assert page.get("/").status == 200


def test_a_body_without_a_length_has_the_same_end(page: Client) -> None:
    with page.raw() as link:
        head = f"POST /recipe HTTP/1.1\r\nHost: {page.host}\r\nCookie: {page.cookie}\r\nOrigin: http://{page.host}\r\n"
        link.sendall(head.encode() + b"Transfer-Encoding: chunked\r\n\r\n")
        chunk = b"100000\r\n" + b"x" * 0x100000 + b"\r\n"
        for _ in range(4):
            link.sendall(chunk)
        link.sendall(b"0\r\n\r\n")
        assert b" 413 " in link.recv(100)


def test_two_hundred_at_once_are_served_or_told_to_wait(page: Client) -> None:
    found: list[int] = []

    def ask() -> None:
        found.append(page.get("/").status)

    threads = [threading.Thread(target=ask) for _ in range(200)]
    for one in threads:
        one.start()
    for one in threads:
        one.join(WAIT)
    assert len(found) == 200
    assert set(found) <= {200, 503}
    assert found.count(200) >= 100
    assert page.get("/").status == 200


def test_a_slow_client_is_cut_off_and_holds_nobody_up(page: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    from nutrilab.page import guard, server

    monkeypatch.setattr(server, "PACE", 0.5)
    monkeypatch.setattr(guard, "PATIENCE", 0.5)
    silent, dripping, body = page.raw(), page.raw(), page.raw()
    with silent, dripping, body:
        dripping.sendall(b"GET / HTTP/1.1\r\nHo")
        head = f"POST /recipe HTTP/1.1\r\nHost: {page.host}\r\nCookie: {page.cookie}\r\nOrigin: http://{page.host}\r\n"
        body.sendall(head.encode() + b"Content-Length: 1000\r\n\r\ndo=look")
        assert page.get("/").status == 200
        time.sleep(0.7)
        assert silent.recv(10) == b""
        with contextlib.suppress(OSError):
            dripping.sendall(b"st: x")
        assert _end_of(dripping)
        assert b" 408 " in body.recv(100)


def _end_of(link: object) -> bool:
    try:
        return link.recv(10) == b""  # type: ignore[attr-defined]
    except ConnectionError:
        return True


@pytest.mark.parametrize(
    "sent",
    [b"\x16\x03\x01\x02\x00\x01\x00", b"GET / HTTP/9.9\r\n\r\n", b"\r\n" * 50, b"GET " + b"a" * 100_000, b"\x00" * 1000,
     b"GET / HTTP/1.1\r\nHost: x\r\nHost: y\r\n\r\n", b"POST /recipe HTTP/1.1\r\nContent-Length: -1\r\n\r\n"],
)  # fmt: skip
def test_what_is_no_request_ends_the_connection_alone(page: Client, sent: bytes) -> None:
    with page.raw() as link:
        with contextlib.suppress(OSError):
            link.sendall(sent)
            link.shutdown(1)
        with contextlib.suppress(ConnectionError):
            said = link.recv(1000)
            assert b"Traceback" not in said
            assert b" 200 " not in said
    assert page.get("/").status == 200


# --- the command


def start(folder: Path, *options: str) -> subprocess.Popen[str]:
    command = [sys.executable, "-m", "nutrilab", "page", str(folder), "--no-browser", *options]
    return subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, cwd=ROOT)


def test_the_command_prints_one_line_logs_no_key_and_ends_well(folder: Path) -> None:
    running = start(folder)
    assert running.stdout is not None
    line = running.stdout.readline()
    found = re.fullmatch(r"http://127\.0\.0\.1:(\d+)/\?key=([\w-]{43,})\n", line)
    assert found, line
    link = http.client.HTTPConnection("127.0.0.1", int(found[1]), timeout=WAIT)
    link.request("GET", f"/?key={found[2]}")
    assert link.getresponse().status == 303
    link.close()
    second = start(folder, "--port", found[1])
    out, told = second.communicate(timeout=WAIT)
    assert (second.returncode, out) == (2, "")
    assert told.count("\n") == 1
    assert found[1] in told
    running.send_signal(signal.SIGINT)
    out, told = running.communicate(timeout=WAIT)
    assert (running.returncode, out, told) == (0, "", "")
    assert sorted(os.listdir(folder)) == ["soup.txt"]  # it leaves nothing behind


def test_a_folder_that_is_not_there_is_one_sentence(tmp_path: Path) -> None:
    ended = start(tmp_path / "nowhere")
    out, told = ended.communicate(timeout=WAIT)
    assert (ended.returncode, out, told.count("\n")) == (2, "", 1)


def test_without_the_extra_it_says_how_to_install_it(tmp_path: Path) -> None:
    """As on a machine without Starlette: a finder that hides it."""
    hide = (
        "import sys, importlib.abc\n"
        "class Hide(importlib.abc.MetaPathFinder):\n"
        "    def find_spec(self, name, path=None, target=None):\n"
        "        if name.split('.')[0] == 'starlette': raise ModuleNotFoundError(name)\n"
        "sys.meta_path.insert(0, Hide())\n"
        "from nutrilab.cli import main\n"
        f"main(['page', {str(tmp_path)!r}])\n"
    )
    ended = subprocess.run([sys.executable, "-c", hide], capture_output=True, text=True, cwd=ROOT, check=False)
    assert (ended.returncode, ended.stdout) == (2, "")
    assert "pip install '.[page]'" in ended.stderr
    assert ended.stderr.count("\n") == 1


def test_alone_the_program_says_how_to_open_the_page() -> None:
    ended = subprocess.run([sys.executable, "-m", "nutrilab"], capture_output=True, text=True, cwd=ROOT, check=False)
    assert "nutrilab page" in ended.stdout + ended.stderr
