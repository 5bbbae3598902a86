"""Write nutrilab/sheets/fonts and nutrilab/data/letter_widths.csv from an npm package with all of Arimo.

    npm pack @expo-google-fonts/arimo@0.4.3 && tar xzf expo-google-fonts-arimo-0.4.3.tgz
    python -m tests.derive.font package

Arimo is Copyright 2020 The Arimo Project Authors, under the SIL Open Font License 1.1, without a reserved name. Its
letters are as wide as those of Arial. Only the letters of the Latin alphabets of Europe and the signs of a recipe are
kept: the two files stand in every page. Needs fontTools and brotli, which come with the extra ``pdf``.
"""

from __future__ import annotations

import csv
import sys
from pathlib import Path

from fontTools import subset
from fontTools.ttLib import TTFont

NUTRILAB = Path(__file__).parents[2] / "nutrilab"
FONTS, WIDTHS = NUTRILAB / "sheets" / "fonts", NUTRILAB / "data" / "letter_widths.csv"
FACES = {"regular": "400Regular/Arimo_400Regular.ttf", "bold": "700Bold/Arimo_700Bold.ttf"}
# Basic Latin, Latin-1, Latin Extended-A, Romanian, capital sharp s; dashes, quotes, bullets, primes; euro, trade mark;
# thirds and eighths; arrows; minus, about, not equal, at most and at least
KEPT = (
    "20-7e,a0-17f,192,218-21b,2c6,2dc,1e9e,2010-2015,2018-201e,2020-2022,2026,202f,2030,2032,2033,2039,203a,2044,"
    "20ac,2122,2153,2154,215b-215e,2190-2193,2212,2248,2260,2264,2265"
)
HEAD = """\
# How wide the letters of the shipped font are, in thousandths of their size. code: Unicode, hexadecimal.
# Source: advance widths of Arimo 1.341 (hmtx), SIL Open Font License 1.1; written by tests/derive/font.py.
"""


def cut(full: Path, target: Path) -> TTFont:
    """A face with the kept letters only, as WOFF 2; the same input gives the same bytes."""
    options = subset.Options(
        flavor="woff2", layout_features=["kern"], hinting=False, name_IDs=[0, 1, 2, 3, 4, 5, 6, 13, 14]
    )
    font = subset.load_font(str(full), options)
    font.recalcTimestamp = False
    cutter = subset.Subsetter(options)
    cutter.populate(unicodes=subset.parse_unicodes(KEPT))
    cutter.subset(font)
    subset.save_font(font, str(target), options)
    return font


def widths(font: TTFont) -> dict[int, int]:
    """Code point -> advance width [1/1000 of the size]."""
    size = font["head"].unitsPerEm
    return {code: round(1000 * font["hmtx"][name][0] / size) for code, name in sorted(font.getBestCmap().items())}


def main(package: Path) -> None:
    made = {face: cut(package / path, FONTS / f"arimo-{face}.woff2") for face, path in FACES.items()}
    (FONTS / "OFL.txt").write_bytes((package / "LICENSE_FONT").read_bytes())
    found = {face: widths(font) for face, font in made.items()}
    with WIDTHS.open("w", encoding="utf-8", newline="") as file:
        file.write(HEAD)
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(("code", *FACES))
        writer.writerows((f"{code:04x}", *(found[face][code] for face in FACES)) for code in found["regular"])
    for path in (*sorted(FONTS.iterdir()), WIDTHS):
        print(f"{path.name}: {path.stat().st_size} bytes")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
