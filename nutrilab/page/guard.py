"""Who may ask the page anything: a browser of this machine that has the key, and only from the page itself.

Everything is looked at before any address is: the host (a name that was bent to this machine by another site's name
server is none of ours), the key or the cookie it became, for what writes the origin, and the size and pace of what is
sent. What is refused gets a sentence and nothing else.

Sources: Fetch Metadata (W3C), the Origin header (RFC 6454, section 7), cookies (RFC 6265bis, SameSite), CSP Level 3.
"""

from __future__ import annotations

import asyncio
import hmac
import html
import secrets
from collections.abc import Awaitable, Callable, Mapping, MutableMapping
from dataclasses import dataclass, field
from typing import Any
from urllib.parse import parse_qs

from nutrilab.messages import say

Scope = MutableMapping[str, Any]
Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]

KEY_BYTES = 32  # 256 bits
LARGEST = 2_000_000  # bytes of a form; the text of a recipe may have half of it
LARGEST_FILE = 10_100_000  # bytes of a file that is dropped: a page saved whole
LARGEST_DROP = LARGEST + LARGEST_FILE  # and of one with what the window holds
DROP = "/drop"  # where files are dropped
DRAINED = 80_000_000  # bytes of what is too large that are read and thrown away, so that the refusal is heard
PATIENCE = 20.0  # [s] for a whole body
LEADS_ON = (
    '<!doctype html><html lang="en-GB"><title>nutrilab</title><meta http-equiv="refresh" content="0; url=/">'
    '<p><a href="/">{0}</a></p></html>'
)
HEADERS = {
    "content-security-policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; font-src 'self'; connect-src 'self'; "
        "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
    ),
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
    "referrer-policy": "same-origin",  # with "no-referrer" a browser would hide the origin of our own forms
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "cache-control": "no-store",
}


@dataclass(slots=True)
class Keys:
    """What opens the page.

    key: stands in the printed address; once: in the one a browser is opened with, where others on this machine may see
    it: it is good for one use; cookie: what either becomes.
    """

    key: str = field(default_factory=lambda: secrets.token_urlsafe(KEY_BYTES))
    once: str = field(default_factory=lambda: secrets.token_urlsafe(KEY_BYTES))
    cookie: str = field(default_factory=lambda: secrets.token_urlsafe(KEY_BYTES))

    def opens(self, said: str) -> bool:
        """Whether a key of an address is right; the one for one use is used up by it."""
        if self.once and _same(said, self.once):
            self.once = ""
            return True
        return _same(said, self.key)

    def knows(self, cookie: str) -> bool:
        """Whether a cookie is ours."""
        return _same(cookie, self.cookie)


def _same(one: str, other: str) -> bool:
    """Compared in a time that tells nothing of how much of it is right."""
    return hmac.compare_digest(one.encode("utf-8", "replace"), other.encode())


class Guard:
    """The page behind its door."""

    def __init__(self, app: App, keys: Keys, port: int) -> None:
        self._app, self._keys, self._port = app, keys, port
        self._hosts = frozenset(f"{name}:{port}" for name in ("127.0.0.1", "localhost"))
        self.cookie_name = f"nutrilab-{port}"  # cookies know no ports: two pages must not take each other's

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """One request. Never raises: a fault of ours ends in a sentence too."""
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
            return
        if scope["type"] != "http":
            return
        begun = False

        async def sent(message: Message) -> None:
            nonlocal begun
            if message["type"] == "http.response.start":
                begun = True
                message["headers"] = [*message.get("headers", ()), *_ours(message.get("headers", ()))]
            await send(message)

        try:
            await self._asked(scope, receive, sent)
        except Exception as error:  # whatever it is: no trace of it goes to the reader, none of the key to a log
            _report(error)
            if not begun:
                await _answer(sent, 500, say("desk.fault"))

    async def _asked(self, scope: Scope, receive: Receive, send: Send) -> None:
        headers = _headers(scope)
        method, path = scope["method"], scope["path"]
        if headers.get("host") not in self._hosts:
            await _answer(send, 403, say("desk.wrong-host"))
        elif method not in ("GET", "HEAD", "POST"):
            await _answer(send, 405, say("desk.wrong-method"))
        elif method == "GET" and path == "/" and (said := _key(scope)) is not None:
            await self._open(send, said, headers)
        elif not self._keys.knows(_cookie(headers, self.cookie_name)):
            await _answer(send, 403, say("desk.no-key"))
        elif method == "POST" and not _is_own(headers):
            await _answer(send, 403, say("desk.other-site"))
        elif (body := await _body(headers, receive, LARGEST_DROP if path == DROP else LARGEST)) is None:
            await _answer(send, 413, say("desk.too-large"))
        elif isinstance(body, str):
            await _answer(send, 408, body)
        else:
            await self._app(scope, _again(body, receive), send)

    async def _open(self, send: Send, said: str, headers: Mapping[str, str]) -> None:
        """The key of the address becomes a cookie, and the address is left without it."""
        if not self._keys.opens(said):
            await _answer(send, 403, say("desk.no-key"))
            return
        cookie = f"{self.cookie_name}={self._keys.cookie}; HttpOnly; SameSite=Strict; Path=/"
        if headers.get("sec-fetch-site") == "cross-site":
            # A strict cookie does not go along when another site led here, redirects included: our own page leads on.
            await _send(send, 200, LEADS_ON.format(html.escape(say("desk.go-on"))), {"set-cookie": cookie})
            return
        await _send(send, 303, "", {"set-cookie": cookie, "location": "/"})


def _headers(scope: Scope) -> dict[str, str]:
    """The headers by their names; of one that comes twice, both, so that none of them is taken for the other."""
    found: dict[str, str] = {}
    for name, value in scope["headers"]:
        key, text = name.decode("latin-1").lower(), value.decode("latin-1")
        found[key] = f"{found[key]}, {text}" if key in found and key != "cookie" else text
    return found


def _key(scope: Scope) -> str | None:
    """The key that stands in an address."""
    found = parse_qs(scope["query_string"].decode("latin-1"), max_num_fields=20).get("key")
    return found[0] if found else None


def _cookie(headers: Mapping[str, str], name: str) -> str:
    pairs = (pair.strip().partition("=") for pair in headers.get("cookie", "").split(";"))
    return next((value for key, _, value in pairs if key == name), "")


def _is_own(headers: Mapping[str, str]) -> bool:
    """Whether what writes comes from the page itself, by its origin and by what the browser says of its way."""
    origin, site = headers.get("origin"), headers.get("sec-fetch-site")
    if origin is None:
        return site == "same-origin"
    return origin == f"http://{headers['host']}" and site in (None, "same-origin")


async def _body(headers: Mapping[str, str], receive: Receive, most: int) -> bytes | str | None:
    """The body; None where it is too large; a sentence where it came too slowly."""
    parts: list[bytes] = []
    size = 0
    try:
        async with asyncio.timeout(PATIENCE):
            while True:
                message = await receive()
                if message["type"] != "http.request":
                    return say("desk.too-slow")  # gone before it was all there
                size += len(message.get("body", b""))
                if size <= most:
                    parts.append(message.get("body", b""))
                else:
                    parts.clear()
                if not message.get("more_body") or size > DRAINED:
                    return None if size > most else b"".join(parts)
    except TimeoutError:
        return say("desk.too-slow")


def _again(body: bytes, receive: Receive) -> Receive:
    """A body that was read, to be read once more; then whatever else comes."""
    given = False

    async def once() -> Message:
        nonlocal given
        if given:
            return await receive()
        given = True
        return {"type": "http.request", "body": body, "more_body": False}

    return once


def _ours(there: Any) -> list[tuple[bytes, bytes]]:
    """The headers that every answer has, but for those it brings itself."""
    own = {name.lower() for name, _ in there}
    return [(name.encode(), value.encode()) for name, value in HEADERS.items() if name.encode() not in own]


async def _answer(send: Send, status: int, sentence: str) -> None:
    page = (
        '<!doctype html><html lang="en-GB"><meta charset="utf-8"><meta name="viewport" content="width=device-width">'
        f"<title>nutrilab</title><main><h1>nutrilab</h1><p>{html.escape(sentence)}</p></main></html>"
    )
    await _send(send, status, page, {})


async def _send(send: Send, status: int, page: str, headers: Mapping[str, str]) -> None:
    body = page.encode()
    all_ = {"content-type": "text/html; charset=utf-8", "content-length": str(len(body)), **headers}
    pairs = [(name.encode(), value.encode()) for name, value in all_.items()]
    await send({"type": "http.response.start", "status": status, "headers": pairs})
    await send({"type": "http.response.body", "body": body})


def _report(error: Exception) -> None:
    """A fault of ours on standard error: what and where, no text of the cook's and no key."""
    import sys

    trace = error.__traceback__
    while trace is not None and trace.tb_next is not None:
        trace = trace.tb_next
    where = f"{trace.tb_frame.f_code.co_filename}, {say('recipe.place', line=trace.tb_lineno)}" if trace else ""
    print(say("desk.fault-where", kind=type(error).__name__, where=where), file=sys.stderr, flush=True)
