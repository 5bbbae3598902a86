"""The page served for a test, in a thread of this process, and a client that has its key.

    with served(folder) as page:
        assert page.get("/").status == 200

Speaks HTTP by hand where a test needs what no client would send.
"""

from __future__ import annotations

import html
import http.client
import json
import re
import socket
import threading
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import quote, urlencode

import pytest

pytest.importorskip(
    "starlette", reason="Starlette is not installed, so the page was not served (pip install '.[page]')"
)
pytest.importorskip("uvicorn", reason="uvicorn is not installed, so the page was not served (pip install '.[page]')")

from nutrilab.page.server import Serving

WAIT = 60.0  # [s] for an answer of a busy machine
STEW = "Jetty stew\nServes 4\n\n2 onions\n400 g zorblax paste\n1 vegetable stock cube\n300 ml double cream\n"


@dataclass(frozen=True)
class Answer:
    status: int
    headers: Mapping[str, str]
    text: str


class Client:
    """A browser, as far as the page can tell."""

    def __init__(self, serving: Serving) -> None:
        self.serving, self.port = serving, serving.port
        self.host = f"127.0.0.1:{self.port}"
        self.cookie = f"nutrilab-{self.port}={serving.keys.cookie}"

    def ask(
        self, method: str, path: str, body: bytes | None = None, headers: Mapping[str, str | None] | None = None
    ) -> Answer:
        """One request. headers: besides those of a browser that has the key; None takes one of these out."""
        own: dict[str, str | None] = {"Host": self.host, "Cookie": self.cookie}
        if method == "POST":
            own |= {"Origin": f"http://{self.host}", "Sec-Fetch-Site": "same-origin"}
            own |= {"Content-Type": "application/x-www-form-urlencoded", "Content-Length": str(len(body or b""))}
        sent = {name: value for name, value in (own | dict(headers or {})).items() if value is not None}
        link = http.client.HTTPConnection("127.0.0.1", self.port, timeout=WAIT)
        try:
            link.putrequest(method, path, skip_host=True, skip_accept_encoding=True)
            for name, value in sent.items():
                link.putheader(name, value)
            link.endheaders(body)
            found = link.getresponse()
            return Answer(found.status, {k.lower(): v for k, v in found.getheaders()}, found.read().decode())
        finally:
            link.close()

    def get(self, path: str, **headers: str | None) -> Answer:
        return self.ask("GET", path, headers={name.replace("_", "-"): value for name, value in headers.items()})

    def post(self, path: str, headers: Mapping[str, str | None] | None = None, **fields: str) -> Answer:
        return self.ask("POST", path, urlencode(fields).encode(), headers)

    def open(self, name: str) -> Answer:
        """The page of a recipe."""
        return self.get(f"/recipe/{quote(name)}")

    def raw(self) -> socket.socket:
        """A bare connection."""
        return socket.create_connection(("127.0.0.1", self.port), timeout=WAIT)


def hidden(page: str, name: str) -> str:
    """The value of a hidden field of a page."""
    found = re.search(rf'<input type="hidden" name="{name}" value="([^"]*)"', page)
    assert found, f"no hidden field {name}"
    return html.unescape(found[1])


def act(page: Client, do: str, text: str = STEW, **fields: str) -> Answer:
    """What a button sends, without the script."""
    return page.post("/recipe", do=do, text=text, **{"was": "", "read": "", "name": "", **fields})


def parts(page: Client, do: str, text: str = STEW, **fields: str) -> dict[str, Any]:
    """The same with it."""
    found = page.post("/recipe", {"X-Part": "1"}, do=do, text=text, **{"was": "", "read": "", "name": "", **fields})
    assert found.status == 200, found.text
    shown: dict[str, Any] = json.loads(found.text)
    shown["parts"] = {name: text.replace("\xa0", " ") for name, text in shown["parts"].items()}
    return shown


def of_file(page: Client, name: str) -> dict[str, str]:
    """The hidden fields of an opened recipe, and its text."""
    shown = page.open(name).text
    text = re.search(r'<textarea id="text"[^>]*>\n(.*?)</textarea>', shown, re.DOTALL)
    assert text
    return {"was": name, "name": name, "read": hidden(shown, "read"), "text": html.unescape(text[1])}


@contextmanager
def served(folder: Path) -> Iterator[Client]:
    """The page of a folder, and its end."""
    serving = Serving(folder)
    ready = threading.Event()
    thread = threading.Thread(target=serving.run, args=(ready.set,), daemon=True)
    thread.start()
    assert ready.wait(WAIT), "the page did not answer"
    end = time.monotonic() + WAIT
    while not serving.page.desk.ready:
        assert time.monotonic() < end, "the kitchen was never ready"
        time.sleep(0.01)
    try:
        yield Client(serving)
    finally:
        serving.stop()
        thread.join(WAIT)
        assert not thread.is_alive(), "the page did not end"
