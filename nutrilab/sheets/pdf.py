"""Pages as PDF, through WeasyPrint; needs the extra ``pdf`` and, on Linux and macOS, the Pango libraries."""

from __future__ import annotations

import re
from functools import cache
from importlib import import_module
from importlib.resources import files
from types import ModuleType
from typing import Any
from warnings import catch_warnings, simplefilter

from nutrilab.marks import MARK, PROGRAM
from nutrilab.messages import say
from nutrilab.remarks import InputError
from nutrilab.sheets.lettering import faces

# ISO 32000-1:2008, 14.3.2; the packet as the XMP specification (ISO 16684-1) frames it, from memory.
_METADATA = (
    '<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>\n<x:xmpmeta xmlns:x="adobe:ns:meta/">'
    '<rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#"><rdf:Description rdf:about="" '
    'xmlns:xmp="http://ns.adobe.com/xap/1.0/"><xmp:CreatorTool>{0}</xmp:CreatorTool></rdf:Description></rdf:RDF>'
    '</x:xmpmeta>\n<?xpacket end="r"?>'
)

_NOT_TEXT = re.compile(r"(<(style|script)\b.*?</\2>|<[^>]*>)", re.DOTALL)
_LONG_WORD = re.compile(r"(?:&[^;\s<>]{1,10};|[^\s&<>]){50}")  # longer than any word or address a cook writes
_MAY_BREAK = "\u200b"


def to_pdf(html: str) -> bytes:
    """A page as a tagged PDF, printed as its own style says; the same page gives the same bytes.

    The page is read as it stands: nothing is fetched for it, from no network and no file; only the font that goes with
    every page is read, as data. Raises InputError when WeasyPrint or a library it needs is missing.
    """
    weasyprint = _weasyprint()
    nothing = weasyprint.urls.URLFetcher(allowed_protocols=())  # what a page asks for is left out
    ours = weasyprint.urls.URLFetcher(allowed_protocols=("data",))
    fonts = _fonts(weasyprint)
    own = weasyprint.CSS(string=faces() + _style(), url_fetcher=ours, font_config=fonts)
    page = _breakable(html.replace(faces(), "").replace(MARK, PROGRAM))
    made: bytes = weasyprint.HTML(string=page, url_fetcher=nothing).write_pdf(
        stylesheets=[own], font_config=fonts, pdf_tags=True, finisher=_marked
    )
    return made


def _fonts(weasyprint: ModuleType) -> Any:
    """What the fonts of a page are kept in; that a machine has none of its own matters to nobody here."""
    with catch_warnings():
        simplefilter("ignore", UserWarning)
        return weasyprint.text.fonts.FontConfiguration()


def _marked(_: object, pdf: Any) -> None:
    """Put the mark of nutrilab into a PDF where its metadata stand, uncompressed, so that it can be sealed in place."""
    streams: Any = import_module("pydyf")
    stream = streams.Stream([_METADATA.format(MARK).encode()], {"Type": "/Metadata", "Subtype": "/XML"})
    pdf.add_object(stream)
    pdf.catalog["Metadata"] = stream.reference


def _breakable(html: str) -> str:
    """The page with places to break in very long words: WeasyPrint takes minutes to find them by itself."""
    parts = _NOT_TEXT.split(html)  # text, mark-up, name of a style or script or None, text, ...
    parts[::3] = [_LONG_WORD.sub(rf"\g<0>{_MAY_BREAK}", text or "") for text in parts[::3]]
    del parts[2::3]
    return "".join(parts)


@cache
def _style() -> str:
    return (files("nutrilab.sheets") / "templates" / "pdf.css").read_text(encoding="utf-8")


def _weasyprint() -> ModuleType:
    try:
        return import_module("weasyprint")
    except ImportError as error:
        raise InputError(say("pdf.no-package")) from error
    except OSError as error:  # a shared library that is not there
        first = str(error).splitlines()[0] if str(error) else say("pdf.library")
        raise InputError(say("pdf.no-library", problem=first)) from error
