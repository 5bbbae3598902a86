"""Ratios measured side by side: ``python -m tests.benchmarks.side_by_side [path of the SR28 files]``.

1. ``nutrilab analyse`` on a demo recipe, whole process, against importing the design card's packages
   (at most 1.4). 2. Importing SR28 against the bare pandas.read_csv of NUT_DATA.txt (at most 4). 3. Reading CIQUAL's
workbooks against the bare xlrd.open_workbook (at most 3).
The two of a pair take turns, and the smallest time of each counts: it is the one least disturbed.
"""

from __future__ import annotations

import io
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

HERE = Path(__file__).parents[2]
DEMO = HERE / "demo_recipes" / "harbour-fish-pie.yaml"
SR28 = HERE.parent / "shared" / "reference" / "sr28.zip"


def seconds(action: Callable[[], object]) -> float:
    start = time.perf_counter()
    action()
    return time.perf_counter() - start


def side_by_side(one: Callable[[], object], other: Callable[[], object], turns: int) -> tuple[float, float]:
    """Smallest time [s] of each, measured in turns."""
    pairs = [(seconds(one), seconds(other)) for _ in range(turns)]
    return min(a for a, _ in pairs), min(b for _, b in pairs)


def process(*arguments: str) -> Callable[[], object]:
    """A start of Python; modules may keep their compiled form, as those of an installed package have."""
    kept = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    return lambda: subprocess.run([sys.executable, *arguments], check=True, capture_output=True, env=kept)


def read_bare(data: bytes) -> None:
    import pandas as pd

    pd.read_csv(io.BytesIO(data), sep="^", quotechar="~", header=None, encoding="iso-8859-1", low_memory=False)


def import_table(path: Path) -> None:
    from data_loaders import schema, usda_sr

    with tempfile.TemporaryDirectory() as folder:
        schema.write(usda_sr.load(path), Path(folder), usda_sr.NAME)


def ciqual() -> None:
    """Both workbooks, where they are."""
    import xlrd

    from data_loaders import fr_ciqual

    for path in sorted(SR28.parent.glob("ciqual-2020-*.xls")):
        ours, bare = side_by_side(lambda: fr_ciqual.load(path), lambda: xlrd.open_workbook(path), 5)  # noqa: B023
        print(f"{path.name} {ours:.3f} s, bare xlrd {bare:.3f} s, ratio {ours / bare:.2f} (at most 3)")


def main() -> None:
    packages = "import pandas, pyarrow.parquet, rapidfuzz, pint, click"
    ours, bare = side_by_side(process("-m", "nutrilab", "analyse", str(DEMO)), process("-c", packages), 7)
    print(f"analyse {ours:.3f} s, bare imports {bare:.3f} s, ratio {ours / bare:.2f} (at most 1.4)")
    path = Path(sys.argv[1]) if len(sys.argv) > 1 else SR28
    if not path.exists():
        print(f"{path} is not here: the import was not measured")
        return
    from data_loaders.archive import read_files

    data = read_files(path, ("NUT_DATA.txt",))["NUT_DATA.txt"]
    ours, bare = side_by_side(lambda: import_table(path), lambda: read_bare(data), 3)
    print(f"import {ours:.3f} s, bare read_csv {bare:.3f} s, ratio {ours / bare:.2f} (at most 4)")
    ciqual()


if __name__ == "__main__":
    main()
