"""Pages opened in headless Chromium, for the tests of the sheets.

Speaks the DevTools protocol over Chromium's own pipe, so it needs the browser and nothing else. One browser serves a
whole test run; every page has a context of its own. Nothing outside the machine can be reached from a page.

    from tests import browser

    with browser.page(path, width=360) as page:  # skips the test where there is no Chromium
        assert page.errors == []                 # console errors and uncaught exceptions
        assert page.requests == []               # whatever was asked for beside the file itself
        assert page.sideways() == 0              # [px] the page can be scrolled sideways
        assert page.pdf_pages() == 1             # printed on A4, or as @page says
"""

from __future__ import annotations

import atexit
import base64
import contextlib
import fcntl
import io
import json
import os
import select
import shutil
import signal
import tempfile
import time
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest

_NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
_FLAGS = (
    "--headless --no-sandbox --disable-gpu --disable-quic --no-first-run --disable-background-networking "
    "--disable-component-update --disable-sync --disable-extensions --disable-dev-shm-usage --hide-scrollbars "
    "--force-color-profile=srgb --font-render-hinting=none --remote-debugging-pipe --no-startup-window"
)
_NOWHERE = "--host-resolver-rules=MAP * ~NOTFOUND"
_PATIENCE = 60.0  # seconds for one answer: the first page of a busy machine is slow
_ERROR_LEVELS = ("error", "warning")
_KEYS = {"Tab": 9, "Enter": 13, "Space": 32, "ArrowDown": 40, "ArrowUp": 38}
_KEY_TEXT = {"Enter": "\r", "Space": " "}


def executable() -> str | None:
    """Path of a Chromium on this machine, else None."""
    return next((found for name in _NAMES if (found := shutil.which(name))), None)


class Browser:
    """A running headless Chromium and the pipe to it."""

    def __init__(self, command: str) -> None:
        self._profile = tempfile.mkdtemp(prefix="nutrilab-chromium-")
        to_read, self._to = os.pipe()
        self._from, to_write = os.pipe()
        # Chromium reads on descriptor 3 and writes on 4; lift ours above them so that neither is overwritten.
        ends = [fcntl.fcntl(fd, fcntl.F_DUPFD_CLOEXEC, 20) for fd in (to_read, to_write)]
        actions: list[tuple[Any, ...]] = [(os.POSIX_SPAWN_OPEN, fd, os.devnull, os.O_RDWR, 0) for fd in (0, 1, 2)]
        actions += [(os.POSIX_SPAWN_DUP2, ends[0], 3), (os.POSIX_SPAWN_DUP2, ends[1], 4)]
        args = [command, *_FLAGS.split(), _NOWHERE, f"--user-data-dir={self._profile}"]
        self._pid = os.posix_spawn(command, args, dict(os.environ), file_actions=actions, setpgroup=0)
        for fd in (to_read, to_write, *ends):
            os.close(fd)
        self._buffer = b""
        self._number = 0
        self.events: list[dict[str, Any]] = []
        atexit.register(self.close)

    def call(self, method: str, session: str | None = None, **params: Any) -> dict[str, Any]:
        """The answer to one command. Raises RuntimeError on a refusal, TimeoutError on silence."""
        self._number += 1
        message: dict[str, Any] = {"id": self._number, "method": method, "params": params}
        if session:
            message["sessionId"] = session
        data = json.dumps(message).encode() + b"\0"
        while data:
            data = data[os.write(self._to, data) :]
        until = time.monotonic() + _PATIENCE
        while True:
            answer = self._next(until)
            if answer is None:
                raise TimeoutError(f"no answer to {method} within {_PATIENCE:.0f} s")
            if answer.get("id") == self._number:
                if "error" in answer:
                    raise RuntimeError(f"{method}: {answer['error'].get('message')}")
                result: dict[str, Any] = answer["result"]
                return result
            self.events.append(answer)

    def wait_for(self, method: str, session: str) -> None:
        """Waits until an event has come. Raises TimeoutError."""
        until = time.monotonic() + _PATIENCE
        while not any(e.get("method") == method and e.get("sessionId") == session for e in self.events):
            event = self._next(until)
            if event is None:
                raise TimeoutError(f"{method} did not come within {_PATIENCE:.0f} s")
            self.events.append(event)

    def _next(self, until: float) -> dict[str, Any] | None:
        while b"\0" not in self._buffer:
            left = until - time.monotonic()
            if left <= 0 or not select.select([self._from], [], [], left)[0]:
                return None
            data = os.read(self._from, 1 << 20)
            if not data:
                raise RuntimeError("Chromium ended by itself")
            self._buffer += data
        message, _, self._buffer = self._buffer.partition(b"\0")
        found: dict[str, Any] = json.loads(message)
        return found

    def close(self) -> None:
        """Ends the browser and everything it started; safe to call twice."""
        atexit.unregister(self.close)
        if self._pid:
            with contextlib.suppress(ProcessLookupError):
                os.killpg(self._pid, signal.SIGKILL)
            with contextlib.suppress(ChildProcessError):
                os.waitpid(self._pid, 0)
            os.close(self._to)
            os.close(self._from)
            self._pid = 0
        shutil.rmtree(self._profile, ignore_errors=True)


def shared() -> Browser:
    """The browser of this run; skips the test where there is none that draws letters."""
    found = _started()
    if isinstance(found, str):
        pytest.skip(found)
    return found


@cache
def _started() -> Browser | str:
    """The browser of this run, or why there is none."""
    command = executable()
    if command is None:
        return "no Chromium on this machine (Debian: apt-get install chromium), so the page was not opened"
    browser = Browser(command)
    if _draws(browser):
        return browser
    browser.close()  # without any font it draws no letters, and often reads no font that a page brings along
    return "no font on this machine (Debian: apt-get install fonts-dejavu-core), so the page was not opened"


def _draws(browser: Browser) -> bool:
    """Whether the browser has any font of its own to draw letters with."""
    target = browser.call("Target.createTarget", url="data:text/html,<span>letters</span>")["targetId"]
    session = browser.call("Target.attachToTarget", targetId=target, flatten=True)["sessionId"]
    opened = Page(browser, session, "")
    opened.wait("document.querySelector('span') !== null")
    drawn = opened.js("document.querySelector('span').getBoundingClientRect().width > 0")
    browser.call("Target.closeTarget", targetId=target)
    browser.events.clear()
    return bool(drawn)


class Page:
    """An open page. Lengths in CSS pixels."""

    def __init__(self, browser: Browser, session: str, url: str) -> None:
        self._browser, self._session, self._url = browser, session, url

    def call(self, method: str, **params: Any) -> dict[str, Any]:
        """One DevTools command for this page."""
        return self._browser.call(method, self._session, **params)

    def js(self, expression: str) -> Any:
        """The value of a JavaScript expression. Raises AssertionError if it throws."""
        result = self.call("Runtime.evaluate", expression=expression, returnByValue=True, awaitPromise=True)
        if "exceptionDetails" in result:
            raise AssertionError(f"{expression}: {result['exceptionDetails']}")
        return result["result"].get("value")

    def wait(self, condition: str) -> None:
        """Waits until a JavaScript condition holds. Raises AssertionError if it never does."""
        until = time.monotonic() + 10
        while not self.js(condition):
            assert time.monotonic() < until, f"never came true: {condition}"
            time.sleep(0.02)

    def settle(self) -> None:
        """Waits for the fonts a page brings along: each is read on its own, once something is to be laid out in it."""
        self.js("[...document.fonts].forEach((font) => { font.load(); })")
        self.wait("[...document.fonts].every((font) => font.status === 'loaded')")

    def _events(self, method: str) -> Iterator[dict[str, Any]]:
        self.js("1")  # everything the page said before this answer has come
        for event in self._browser.events:
            if event.get("sessionId") == self._session and event.get("method") == method:
                yield event["params"]

    @property
    def errors(self) -> list[str]:
        """Console errors and warnings, and exceptions nobody caught."""
        found = [_thrown(e["exceptionDetails"]) for e in self._events("Runtime.exceptionThrown")]
        found += [str(e["args"]) for e in self._events("Runtime.consoleAPICalled") if e["type"] in _ERROR_LEVELS]
        entries = [e["entry"] for e in self._events("Log.entryAdded")]
        return found + [str(entry["text"]) for entry in entries if entry["level"] in _ERROR_LEVELS]

    @property
    def requests(self) -> list[str]:
        """What the page asked for beside itself; data: addresses are part of the page."""
        asked = [str(e["request"]["url"]) for e in self._events("Network.requestWillBeSent")]
        return [url for url in asked if url != self._url and not url.startswith("data:")]

    def text(self, selector: str = "body") -> str:
        """What a reader sees there; hidden parts are left out, spaces that do not break are spaces."""
        return str(self.js(f"document.querySelector({json.dumps(selector)}).innerText")).replace("\xa0", " ")

    def texts(self, selector: str) -> list[str]:
        """What a reader sees in each matching element that is shown."""
        shown = f"[...document.querySelectorAll({json.dumps(selector)})].filter(e => e.getClientRects().length)"
        found: list[str] = self.js(f"{shown}.map(e => e.innerText.trim())")
        return [text.replace("\xa0", " ") for text in found]

    def dom(self) -> str:
        """The document as it stands, as HTML."""
        return str(self.js("document.documentElement.outerHTML"))

    def resize(self, width: int, height: int = 900) -> None:
        """A window of another size [px]."""
        self.call("Emulation.setDeviceMetricsOverride", width=width, height=height, deviceScaleFactor=1, mobile=False)

    def sideways(self) -> int:
        """How far the page can be scrolled sideways [px]; 0 is right."""
        return int(self.js("document.documentElement.scrollWidth - document.documentElement.clientWidth"))

    def click(self, selector: str) -> None:
        """A real click in the middle of an element, or of its first line; scrolled into view before."""
        found = f"const e = document.querySelector({json.dumps(selector)});"
        middle = "const r = e.getClientRects()[0]; return [r.left + r.width / 2, r.top + r.height / 2];"
        box = self.js(f"(() => {{ {found} e.scrollIntoView({{block: 'center'}}); {middle} }})()")
        for kind in ("mousePressed", "mouseReleased"):
            self.call("Input.dispatchMouseEvent", type=kind, x=box[0], y=box[1], button="left", clickCount=1)

    def press(self, key: str) -> None:
        """A key of the keyboard: Tab, Enter, Space, ArrowDown, ArrowUp."""
        name = " " if key == "Space" else key
        common: dict[str, Any] = {"key": name, "code": key, "windowsVirtualKeyCode": _KEYS[key]}
        self.call("Input.dispatchKeyEvent", type="keyDown", **common, **_typed(key))
        self.call("Input.dispatchKeyEvent", type="keyUp", **common)

    def pdf(self) -> bytes:
        """The page printed on A4 upright, unless its own @page says otherwise."""
        result = self.call(
            "Page.printToPDF", paperWidth=8.27, paperHeight=11.69, preferCSSPageSize=True, printBackground=True
        )
        return base64.b64decode(result["data"])

    def pdf_pages(self) -> int:
        """How many sheets of paper the page takes."""
        return len(pdf_texts(self.pdf()))

    def screenshot(self, path: Path, clip: tuple[float, float, float, float] | None = None, scale: float = 1) -> None:
        """A PNG of the whole page, or of a part of it: left, top, width, height."""
        size = self.call("Page.getLayoutMetrics")["cssContentSize"]
        left, top, width, height = clip or (0, 0, size["width"], size["height"])
        box = {"x": left, "y": top, "width": width, "height": height, "scale": scale}
        result = self.call("Page.captureScreenshot", clip=box, captureBeyondViewport=True)
        path.write_bytes(base64.b64decode(result["data"]))


def _thrown(details: dict[str, Any]) -> str:
    return str(details.get("exception", {}).get("description") or details["text"])


def _typed(key: str) -> dict[str, str]:
    return {"text": _KEY_TEXT[key]} if key in _KEY_TEXT else {}


@contextlib.contextmanager
def page(path: Path | str, width: int = 800, height: int = 900, script: bool = True, media: str = "") -> Iterator[Page]:
    """Opens a file in a window of that size and closes it afterwards; skips the test where there is no Chromium.

    script: False opens it as a browser with scripts turned off; media: "print" shows it as printed.
    """
    browser = shared()
    url = Path(path).resolve().as_uri()
    context = browser.call("Target.createBrowserContext")["browserContextId"]
    target = browser.call("Target.createTarget", url="about:blank", browserContextId=context)["targetId"]
    session = browser.call("Target.attachToTarget", targetId=target, flatten=True)["sessionId"]
    opened = Page(browser, session, url)
    try:
        for domain in ("Page", "Runtime", "Log", "Network"):
            opened.call(f"{domain}.enable")
        opened.resize(width, height)
        if media:
            opened.call("Emulation.setEmulatedMedia", media=media)
        if not script:
            opened.call("Emulation.setScriptExecutionDisabled", value=True)
        opened.call("Page.navigate", url=url)
        browser.wait_for("Page.loadEventFired", session)
        opened.settle()
        yield opened
    finally:
        browser.call("Target.disposeBrowserContext", browserContextId=context)
        browser.events.clear()


def pdf_texts(data: bytes) -> list[str]:
    """The text of each sheet of a PDF; skips the test where pypdf is not installed."""
    pypdf = pytest.importorskip("pypdf", reason="pypdf is not installed, so the PDF was not read (pip install pypdf)")
    return [sheet.extract_text() for sheet in pypdf.PdfReader(io.BytesIO(data)).pages]
