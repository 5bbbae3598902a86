"""A line as it was typed, pasted or scraped -> plain text on one line."""

from __future__ import annotations

import re
import unicodedata
from html import unescape
from math import gcd

VULGAR = "½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅐⅛⅜⅝⅞⅑⅒"
_LONG_REFERENCE = re.compile(
    r"&#(?:amp;#)?[xX]?[0-9a-fA-F]{8,}"
)  # no character has so many digits; unescape would fail
_TAG = re.compile(r"</?[a-zA-Z!][^<>]*>")
_LOOKALIKES = str.maketrans({
    **dict.fromkeys("‘’‚‛′ʼ`´＇", "'"), **dict.fromkeys("“”„‟″«»＂", '"'),
    **dict.fromkeys("‐‑‒–—―−﹣－", "-"), **dict.fromkeys("⁄∕／", "/"), **dict.fromkeys("×✕✖╳", "x"),
    "…": "...", "∼": "~", "≈": "~", "，": ",", "（": "(", "）": ")",
})  # fmt: skip
_NOT_VULGAR = re.compile(f"[^{VULGAR}]+")
_BULLETS = re.compile(r"(?:[-*+•·●○◦▪▫■□▢☐☑☒✓✔✗➤►▶‣⁃→>#_| ]|\[[ xX]?\](?= )|\(?\d{1,2}[.)](?= [\d" + VULGAR + "]))*")
_BIG_T = re.compile(rf"([\d{VULGAR}])\s?T(?=[\s.])")
_INCH_MARK = re.compile(rf"(?<![\w\"'.])(\d[\d./{VULGAR}]*+|[{VULGAR}])\"(?=[\s-]|$)")
_EMPHASIS = re.compile(r"\*\*|__|(?<![\w*])\*(?=\w[^*]{0,60}\w\*(?!\w))|(?<=\w)\*(?![\w*])")
# Anything but ASCII (` is a quote), fractions and the letters of Western languages that stand for nothing else.
_STRANGE = re.compile(rf"[^\0-_a-\x7f{VULGAR}°£À-ÁÃ-ÖØ-ž]")
_TWICE_CODED = re.compile(rf"Â(?=[{VULGAR}°£ ])")  # what a page leaves of a sign that was encoded twice: "Â¼ cup"
_LONG_DASH = re.compile(r"(?<=[^\W\d_])\s?(?:—|--)\s?(?=[^\W\d_])")  # "butter—melted" goes on as after a comma
# "full- or half-fat": the two share what stands behind the second dash
_SHARED_DASH = re.compile(r"\b([^\W\d_]+)-\s(and|or|to)\s([^\W\d_]+)-([^\W\d_]+)")
_LOOSE_DASH = re.compile(
    r"(?<=\d)(?:\s?-\s|\s-)(?=(?:ounce|oz|pound|lb|inch|gram|g|kg|ml|litre|liter|cup|pint|quart)s?\b)", re.I
)  # "14- ounce can"
# "21/2 pounds": a whole number and its fraction that lost the space between them
_GLUED = re.compile(r"(?<![\d/.,])(\d)(?=(\d)/([234568])(?![\d/]))")
_SPOON = re.compile(r"\b(table|tea|dessert)-\s?(?=spoon)", re.IGNORECASE)
_PIECES_OF = re.compile(r"( \d{1,3})\s?(?:n|nos?|numbers?)$", re.IGNORECASE)  # "Potatoes 5 n": five of them
_LONGEST_PIECES = len(" 100 numbers")
_MARKS = " \t*_#|~`"


def clean(text: str) -> str:
    """Entities, tags, control and direction marks, bullets and check boxes off; one space between words.

    Dashes, quotes and multiplication signs become the plain ones; vulgar fractions stay as they are.
    The result has as many characters as its lower case, so places in one are places in the other.
    """
    if "&" in text:
        for _ in range(2):  # pages escape what was escaped already
            text = unescape(_LONG_REFERENCE.sub(" ", text))
    if "<" in text:
        text = _TAG.sub(" ", text)
    if "—" in text or "--" in text:
        text = _LONG_DASH.sub(", ", text)
    if not text.isascii():
        text = _plain(text)
    if not text.isprintable():
        text = "".join(c if c.isprintable() else " " for c in text)
    text = text.strip()
    if "  " in text:  # a space is the only white space that can be printed
        text = " ".join(text.split())
    if not text[:1].isalpha() and (bullets := _BULLETS.match(text)):
        text = text[bullets.end() :]
    text = text.rstrip(_MARKS + ".;,")
    if "*" in text or "__" in text:
        text = _EMPHASIS.sub("", text)
    if "-" in text:
        text = _dashes(text)
    if text[-1:] in "nNoOsSrR" and (pieces := _PIECES_OF.search(text, max(0, len(text) - _LONGEST_PIECES))):
        text = text[: pieces.end(1)]
    if "/" in text:
        text = _GLUED.sub(_parted, text)
    if "T" in text:
        text = _BIG_T.sub(r"\1 tbsp", text)  # in American recipes T is a tablespoon and t a teaspoon
    if '"' in text:
        text = _INCH_MARK.sub(r"\1 inch", text).replace(" inch inch", " inch")
    low = text.lower()
    return text if len(low) == len(text) else low


def _dashes(text: str) -> str:
    """Dashes that lost a neighbour, or that no word has: "full- or half-fat", "14- ounce", "tea-spoon"."""
    if "- " in text or " -" in text:
        text = _LOOSE_DASH.sub("-", _SHARED_DASH.sub(r"\1-\4 \2 \3-\4", text))
    return _SPOON.sub(r"\1", text) if "spoon" in text.lower() else text


def _parted(found: re.Match[str]) -> str:
    """ "2" before "1/2" with a space between, where the two make no proper fraction together: "21/2", "31/2-lb"."""
    top, bottom = int(found[2]), int(found[3])
    return f"{found[1]} " if 0 < top < bottom and gcd(top, bottom) == 1 else found[1]


def _plain(text: str) -> str:
    """Look-alikes, invisible marks and compatibility forms of text that is not ASCII."""
    if not _STRANGE.search(text):
        return text
    text = _TWICE_CODED.sub("", text.translate(_LOOKALIKES))
    if all(c < "\u0180" or c in VULGAR for c in text):
        return text.replace("\xad", "")
    text = _NOT_VULGAR.sub(lambda found: unicodedata.normalize("NFKC", found[0]), text)
    return "".join(c for c in text.translate(_LOOKALIKES) if unicodedata.category(c) not in ("Cf", "Co", "Cs", "Mn"))
