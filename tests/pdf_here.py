"""PDF where it can be made: the package needs libraries that pip does not bring."""

from __future__ import annotations

from collections.abc import Callable
from importlib import import_module

import pytest


def pdf_maker() -> Callable[[str], bytes]:
    """`nutrilab.sheets.pdf.to_pdf`; skips the test where WeasyPrint or the libraries it needs are missing."""
    try:
        import_module("weasyprint")
    except (ImportError, OSError) as error:
        first = str(error).partition(":")[0]
        pytest.skip(
            f"no PDF can be made on this machine (pip install '.[pdf]', apt-get install libpango-1.0-0): {first}"
        )
    from nutrilab.sheets.pdf import to_pdf

    return to_pdf
