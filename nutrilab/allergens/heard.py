"""The tokens of a text as the rules hear them: singular words, numbers and signs."""

from __future__ import annotations

import unicodedata

from nutrilab.text import singular
from nutrilab.wording import Token, Wording, wording

_APOSTROPHES = "'’‘‛ʼ`´"
_DIVIDES = " - "


def tokenise(text: str | Wording) -> list[str]:
    """Singular words and numbers of a text; a sign, or a dash between spaces, is a token too."""
    line = wording(text)
    found: list[str] = []
    passed = 0  # tokens that were heard together with one before
    for at, token in enumerate(line.tokens):
        if at < passed:
            continue
        special = _SPECIAL.get(token.text)
        if special is None:
            found.append(singular(token.text))
        else:
            heard, length = special(line, at)
            found += heard
            passed = at + length
    return found


Heard = tuple[list[str], int]  # what is heard of some tokens, and how many they are


def _dash(line: Wording, at: int) -> Heard:
    """A dash divides where it stands between spaces, and is passed over in "free-range"."""
    end = at + 1
    while end < len(line.tokens) and line.tokens[end].text == "-" and _touch(line.tokens[end - 1], line.tokens[end]):
        end += 1
    start, stop = line.tokens[at].start, line.tokens[end - 1].end
    spaced = line.text[max(0, start - 1) : start].isspace() and line.text[stop : stop + 1].isspace()
    return ([_DIVIDES] if spaced else []), end - at


def _and(line: Wording, at: int) -> Heard:
    """ "half & half" is "half and half"."""
    return (["and"] if _between_words(line, at) else ["&"]), 1


def _n(line: Wording, at: int) -> Heard:
    """ "mac 'n' cheese", "half-n-half"; 'nduja is a sausage."""
    token = line.tokens[at]
    before = line.text[: token.start].rstrip(_APOSTROPHES)[-1:]
    loose = all(sign.isspace() or sign == "-" for sign in (before, line.text[token.end : token.end + 1]) if sign)
    joins = loose and before and _between_words(line, at) and not _word(line, at, 1).startswith("duja")
    return (["and"] if joins else ["n"]), 1


def _short(line: Wording, at: int) -> Heard:
    """ "e.g." and "i.e." are words."""
    first = line.tokens[at].text
    tokens = line.tokens[at : at + 4]
    written = "".join(token.text for token in tokens)
    if written in ("e.g.", "i.e.") and all(map(_touch, tokens, tokens[1:])):
        return [written.replace(".", "")], 4
    return [first], 1


def _free(line: Wording, at: int) -> Heard:
    """ "2 eggs free-range" are eggs."""
    end = at + 2 if _text(line, at + 1) == "-" else at + 1
    if not _text(line, end).startswith("range"):
        return ["free"], 1
    return [singular(f"free{_text(line, end)}")], end - at + 1


def _rose(line: Wording, at: int) -> Heard:
    """Rosé is a wine; without its accent it would be the flower."""
    token = line.tokens[at]
    written = unicodedata.normalize("NFC", line.text[token.start : token.end]).lower()
    return (["rose", "wine"] if written.startswith("rosé") else ["rose"]), 1


def _smokie(line: Wording, at: int) -> Heard:
    """Smokies are haddock; "smoky" is a taste."""
    return ["smokie"], 1


_SPECIAL = {
    "-": _dash, "&": _and, "n": _n, "e": _short, "i": _short, "free": _free, "rose": _rose, "roses": _rose,
    "smokies": _smokie,
}  # fmt: skip


def _between_words(line: Wording, at: int) -> bool:
    return _word(line, at, -1).isalpha() and _word(line, at, 1).isalpha()


def _word(line: Wording, at: int, step: int) -> str:
    """The next token that is no dash."""
    at += step
    while _text(line, at) == "-":
        at += step
    return _text(line, at)


def _text(line: Wording, at: int) -> str:
    return line.tokens[at].text if 0 <= at < len(line.tokens) else ""


def _touch(one: Token, other: Token) -> bool:
    return other.start <= one.end
