"""From a keystroke to figures: a recipe of 25 lines sent as it is typed, beside a request for nothing.

``python -m tests.benchmarks.bench_page``: median of 50 in milliseconds, by the clock and of this process's own time.
"""

from __future__ import annotations

import http.client
import tempfile
import time
from pathlib import Path
from statistics import median
from urllib.parse import urlencode

from tests.page.serving import Client, served

LINES = (
    "1 kg chicken thigh fillets|150 g natural yogurt|1 tbsp ground coriander|3 tbsp rapeseed oil|2 large onions|"
    "4 cloves garlic, crushed|30 g ginger, grated|1 tbsp ground cumin|1 x 400 g tin chopped tomatoes|"
    "300 ml chicken stock|150 ml double cream|1 tsp salt|450 g basmati rice|a handful of coriander|200 g flour|"
    "2 eggs|150 ml whole milk|50 g butter|1 leek, sliced|2 bay leaves|½ tsp English mustard|50 g mature cheddar|"
    "400 g cod fillet|a pinch of sugar|1 wedge of lemon"
).split("|")
TIMES = 50


def took(page: Client, link: http.client.HTTPConnection, method: str, path: str, body: bytes | None) -> list[float]:
    """One request [ms]: by the clock, and of the time of this process, which is client and server."""
    headers = {"Host": page.host, "Cookie": page.cookie, "Origin": f"http://{page.host}", "X-Part": "1"}
    clock, own = time.perf_counter(), time.process_time()
    link.request(method, path, body, headers)
    answer = link.getresponse()
    answer.read()
    assert answer.status == 200
    return [1000 * (time.perf_counter() - clock), 1000 * (time.process_time() - own)]


def typed(number: int) -> bytes:
    """The recipe with one letter more in its last line."""
    lines = [*LINES[:-1], LINES[-1] + " for each plate of it, cut on the morning of the supper itself"[:number]]
    text = "Feast\nServes 8\n\n" + "\n".join(lines) + "\n\nMethod\n1. Simmer for 30 minutes.\n"
    return urlencode({"do": "look", "text": text}).encode()


def run() -> None:
    with tempfile.TemporaryDirectory() as folder, served(Path(folder)) as page:
        link = http.client.HTTPConnection("127.0.0.1", page.port)
        took(page, link, "POST", "/recipe", typed(0))
        for name, method, path in (("look", "POST", "/recipe"), ("nothing", "GET", "/static/icon.svg")):
            found = [took(page, link, method, path, typed(n) if method == "POST" else None) for n in range(TIMES)]
            clock, own = (median(one) for one in zip(*found, strict=True))
            print(f"{name}: median of {TIMES} {clock:.1f} ms by the clock, {own:.1f} ms of its own time")


if __name__ == "__main__":
    run()
