"""``python -m tests.fuzz.sums``: write the list of the corpus anew, after something was added to it."""

from __future__ import annotations

import hashlib

from tests.fuzz.__main__ import CORPUS


def main() -> None:
    files = sorted(CORPUS.glob("*/*"))
    lines = [f"{hashlib.sha256(path.read_bytes()).hexdigest()}  {path.parent.name}/{path.name}\n" for path in files]
    (CORPUS / "SHA256SUMS").write_text("".join(lines), encoding="ascii")


if __name__ == "__main__":
    main()
