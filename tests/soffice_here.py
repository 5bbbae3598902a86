"""What a spreadsheet makes of a file: LibreOffice without its windows, where it is installed."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest

Sheet = list[list[object]]
SECONDS = 120
# What the window for text files stands on by itself: commas, double quotes, UTF-8 (76; it takes that from the mark of a
# file), the first line. Without its windows nobody looks at the mark, so it is said.
ASKED = "--infilter=Text - txt - csv (StarCalc):44,34,76,1"


def opened(path: Path, folder: Path) -> Sheet:
    """The cells of a CSV as LibreOffice Calc opens it; skips the test where there is no LibreOffice."""
    program = shutil.which("soffice")
    if program is None:
        pytest.skip("no LibreOffice on this machine (apt-get install --no-install-recommends libreoffice-calc-nogui)")
    openpyxl = pytest.importorskip("openpyxl")
    own = f"-env:UserInstallation={(folder / 'profile').as_uri()}"  # several may run at once
    command = [program, "--headless", own, ASKED, "--convert-to", "xlsx", "--outdir", str(folder), str(path)]
    subprocess.run(command, check=True, capture_output=True, timeout=SECONDS)
    book = openpyxl.load_workbook(folder / f"{path.stem}.xlsx")
    return [list(row) for row in book.active.iter_rows(values_only=True)]
