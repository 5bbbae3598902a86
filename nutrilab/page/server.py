"""The page on this machine alone: a port of 127.0.0.1, one line with the address when it is ready, until Ctrl-C."""

from __future__ import annotations

import gc
import socket
import sys
import threading
from collections.abc import Callable
from pathlib import Path
from typing import Any

import h11
import uvicorn
from uvicorn.protocols.http.h11_impl import H11Protocol

from nutrilab.messages import say
from nutrilab.page.app import Page
from nutrilab.page.guard import Guard, Keys
from nutrilab.remarks import InputError

HOST = "127.0.0.1"
PACE = 10.0  # [s] in which the head of a request has to come
IDLE = 30  # [s] a connection may wait for its next request
MOST = 400  # connections and requests at once; a browser opens six
LARGEST_HEAD = 32_000  # bytes
GOODBYE = 2  # [s] for requests under way when it ends


class Paced(H11Protocol):
    """A connection on which the head of a request has to come in time: uvicorn itself waits for ever."""

    _pace: Any = None

    def connection_made(self, transport: Any) -> None:
        super().connection_made(transport)
        self._watch()

    def data_received(self, data: bytes) -> None:
        super().data_received(data)
        self._watch()

    def connection_lost(self, exc: Exception | None) -> None:
        self._unwatch()
        super().connection_lost(exc)

    def _watch(self) -> None:
        """The clock runs from the first byte of a head, or the connection, to its end."""
        if self.conn.their_state is not h11.IDLE:
            self._unwatch()
        elif self._pace is None:
            self._pace = self.loop.call_later(PACE, self._too_slow)

    def _unwatch(self) -> None:
        if self._pace is not None:
            self._pace.cancel()
            self._pace = None

    def _too_slow(self) -> None:
        self._pace = None
        if not self.transport.is_closing() and self.conn.their_state is h11.IDLE:
            self.transport.close()


def listen(port: int) -> socket.socket:
    """A socket of this machine alone; port 0: any that is free. Raises InputError."""
    # With its protocol said, or asyncio would let every answer wait 40 ms for more to send (Nagle's algorithm).
    there = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    try:
        if sys.platform == "win32":
            there.setsockopt(socket.SOL_SOCKET, socket.SO_EXCLUSIVEADDRUSE, 1)  # nobody else may listen there too
        else:
            there.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)  # one that has just ended is no hindrance
        there.bind((HOST, port))
        there.listen(MOST)
    except OSError:
        there.close()
        raise InputError(say("desk.port-in-use", port=port)) from None
    return there


class Serving:
    """A page that is served: `address` opens it. `run` serves until `stop` or Ctrl-C."""

    def __init__(self, folder: Path, port: int = 0, tables: str | None = None) -> None:
        """Raises InputError: a port in use, a folder that cannot be opened."""
        self.page = Page(folder, tables)
        self._socket = listen(port)
        self.port: int = self._socket.getsockname()[1]
        self.keys = Keys()
        config = uvicorn.Config(
            Guard(self.page.app, self.keys, self.port),
            http=Paced,
            ws="none",
            loop="asyncio",
            lifespan="off",
            log_config=None,
            log_level="critical",
            access_log=False,
            proxy_headers=False,
            server_header=False,
            limit_concurrency=MOST,
            timeout_keep_alive=IDLE,
            timeout_graceful_shutdown=GOODBYE,
            h11_max_incomplete_event_size=LARGEST_HEAD,
        )
        self._server = _Server(config)

    def address(self, key: str | None = None) -> str:
        """The address with a key; with the one to keep when None."""
        return f"http://{HOST}:{self.port}/?key={key or self.keys.key}"

    def run(self, ready: Callable[[], None] = lambda: None) -> None:
        """Serve; ready: called once the page answers."""
        self._server.ready = ready
        self.page.warm()
        try:
            self._server.run(sockets=[self._socket])
        finally:
            self._socket.close()

    def stop(self) -> None:
        """End soon; may be called from any thread."""
        self._server.should_exit = True


class _Server(uvicorn.Server):
    """uvicorn that says when it is ready; signals are for the main thread alone."""

    ready: Callable[[], None]

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        await super().startup(sockets)
        if self.started:
            self.ready()


def serve(folder: Path, port: int, tables: str | None, browser: bool, say_ready: Callable[[str], None]) -> None:
    """Serve the page of a folder until Ctrl-C. Raises InputError.

    browser: whether it is opened in one; say_ready: told the address once.
    """
    serving = Serving(folder, port, tables)
    gc.enable()  # this is no short process

    def ready() -> None:
        say_ready(serving.address())
        if browser:
            threading.Thread(target=_show, args=(serving.address(serving.keys.once),), daemon=True).start()

    try:
        serving.run(ready)
    except KeyboardInterrupt:
        return


def _show(address: str) -> None:
    import webbrowser

    webbrowser.open(address)
