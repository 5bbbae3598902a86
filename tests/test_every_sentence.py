"""Every sentence that the tool prints stands in its one list (nutrilab/data/messages.csv), and none in the code.

The code of the rooms is read without running it. A text in it reads as a sentence for a cook when three words or more
stand in a row, or two of which one is an article, "not", "of" and the like; fields of an f-string count as words. What
only looks like one is told by what it is (`is_code`): a docstring, a pattern, a list of words, a code of a list or an
enumeration, a key of the recipe file, the help of an option. `EXCEPTIONS` has the rest, each with its reason.
"""

from __future__ import annotations

import ast
import csv
import json
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import NamedTuple

import pytest

ROOT = Path(__file__).parents[1]
DATA = ROOT / "nutrilab" / "data"
FIELD = "Xx"  # stands for what is filled into an f-string
ENGLISH = "recipes are written and read in English: what stands in a line or a step of one, not what is said of it"
SLIP = "a slip in the package's own lists, for those who write them: no file of a cook's leads to it"
CALL = "a wrong call from Python within the package: what a cook gives was looked at before"
PUBLISHED = "titles, licences, credits as publishers word them; definitions by tagnames for those who add tables"
PLACE = "the place of a row in the package's lists, which links and weights carry as a code"
CODE = "a code of the records or the tables of the package"
# Texts that no cook reads, or none may translate: where, how they begin, and why.
EXCEPTIONS: tuple[tuple[str, tuple[str, ...], str], ...] = (
    ("nutrilab/lexicon/check.py", ("",), "the build check: it speaks to those who write the word lists"),
    ("nutrilab/lexicon/names.py", (f"{FIELD}: the head must be",), SLIP),
    ("nutrilab/lines/query.py", ("words.csv: ",), SLIP),
    ("nutrilab/linking/mixes.py", ("mix_parts.csv: ",), SLIP),
    ("nutrilab/linking/wordlists.py", (FIELD,), SLIP),
    ("nutrilab/law/rounding.py", ("nrv.csv: ",), SLIP),
    ("nutrilab/datafiles.py", (f"{FIELD}, line {FIELD}: ",), SLIP),
    ("nutrilab/datafiles.py", (f"{FIELD}, line {FIELD}",), PLACE),
    ("nutrilab/lexicon/names.py", (f"{FIELD}, line {FIELD}",), PLACE),
    ("nutrilab/foods.py", (f"{FIELD}: the shares of its parts",), SLIP),
    ("nutrilab/weighing/asked.py", (f"{FIELD}: {FIELD} <= ",), SLIP),
    ("nutrilab/cooking/steps.py", (f"{FIELD} g of water cannot leave", f"{FIELD} g of fat cannot leave"), CALL),
    ("nutrilab/declaration.py", ("the density", "the coverage of", "a share", f"{FIELD} portions; there must"), CALL),
    ("nutrilab/law/levels.py", ("a share", "the portion"), CALL),
    ("nutrilab/law/rounding.py", (f"{FIELD} is not a number", f"{FIELD} below zero", f'"{FIELD}" is no comp'), CALL),
    ("nutrilab/law/tolerance.py", (f'"{FIELD}" is no component', f"{FIELD} of {FIELD} cannot be"), CALL),
    ("nutrilab/linking/stack.py", ("a linker needs",), CALL),
    ("nutrilab/allergens/", ("dish of", "cereals containing gluten"), ENGLISH),
    ("nutrilab/decisions.py", ("{food: ",), ENGLISH),
    ("nutrilab/lines/", ("for the ", " and "), ENGLISH),
    ("nutrilab/swapping/lines.py", (" and ", " or "), ENGLISH),
    ("nutrilab/method/", ("for the ", "to make the ", " and then", "and a half", "and a quarter", " and a "), ENGLISH),
    (
        "nutrilab/method/",
        ("reduced by", f"all of {FIELD}", f"{FIELD} ml water", f"the {FIELD}", f"{FIELD} {FIELD} minutes"),
        ENGLISH,
    ),
    ("nutrilab/recipe/", ("the rest", f"the {FIELD}", "all of", "boiled off at", "a litre"), ENGLISH),
    ("nutrilab/draft.py", (f"      {FIELD} at least", f"      {FIELD} at most"), ENGLISH),
    ("nutrilab/scaling.py", (f" from {FIELD}",), ENGLISH),
    ("nutrilab/spoken/", (f"{FIELD} to taste", "heard for "), ENGLISH),
    (
        "data_loaders/usda_fdc_parts.py",
        ("quantity not specified", "whole in shell"),
        "words of the file",
    ),
    ("nutrilab/cooking/retention.py", ("USDA retention factors",), PUBLISHED),
    ("data_loaders/ca_cnf.py", ("Canadian", "not verified: ", "Health Canada", "Food composition: "), PUBLISHED),
    ("data_loaders/ch_sfcd.py", ("Swiss", "Federal", "free use", f"{FIELD}. ", "per 100", "value type"), PUBLISHED),
    (
        "data_loaders/fi_fineli.py",
        ("Fineli, ", "CC BY 4.0", "National Institute", "Food composition: ", f" {FIELD} foods without"),
        PUBLISHED,
    ),
    ("data_loaders/no_matvaretabellen.py", ("as stored", "not verified: ", "Norwegian", "Food comp"), PUBLISHED),
    ("data_loaders/fr_ciqual.py", ("Anses", "Food composition: "), PUBLISHED),
    ("data_loaders/uk_cofid.py", ("McCance", "Open Gov", "Public Health", "Food composition: "), PUBLISHED),
    ("data_loaders/usda_fdc.py", ("US Department", "USDA FoodData", "Food composition: "), PUBLISHED),
    ("data_loaders/usda_sr.py", ("Release 28", "public domain", "US Dep", "Food composition: "), PUBLISHED),
    ("data_loaders/", ("CHOAVL", "CHOCDF", "PROCNT"), PUBLISHED),
    ("data_loaders/", ("less than", "not pinned", "too many"), CODE),
    ("nutrilab/allergens/rules.py", ("tuple[",), CODE),
    ("data_loaders/fetching.py", ("nutrilab tables fetch ",), "a command as it is typed"),
    (
        "nutrilab/marks.py",
        ("# What nutrilab wrote",),
        "nutrilab knows its own note by it: it may not change",
    ),
    (
        "nutrilab/cli.py",
        ("is not in the range x>0",),
        "what click says, put into words of the list there",
    ),
    ("nutrilab/page/desk.py", ("100 g plain flour",), ENGLISH),
    ("nutrilab/page/guard.py", (f"{FIELD}={FIELD}; HttpOnly",), "a cookie, by the words of its standard"),
    ("nutrilab/page/hand_on.py", ("default-src",), "a policy, by the words of its standard"),
    ("nutrilab/products.py", ("# Own products",), "the first line of a file of the cook's, which may change it"),
    ("nutrilab/cli.py", ("text html pdf",), "forms as they are typed"),
    ("nutrilab/sheets/tables.py", ("not pinned",), CODE),
    ("nutrilab/sheets/csv_", ("",), "heads and kinds of rows of a spreadsheet: programs and formulas go by them"),
    ("nutrilab/cli_output.py", ("Write to this {0}",), "the help of an option, shared by several"),
)
TO_DEVELOPERS = ("KeyError", "TypeError", "AttributeError", "AssertionError", "NotImplementedError")
HELP = ("help", "short_help", "metavar", "epilog", "show_default")
SMALL = frozenset(  # of two words one of these makes a phrase
    (
        "a an the is are was no not none nothing of in to by it its from your on and or for with this that only "
        "too more less"
    ).split()
)
_WORD = r"[A-Za-z][A-Za-z'’-]*"
_ROW = re.compile(rf"(?:{_WORD}[,;]? ){{2,}}{_WORD}")
_PATTERN = re.compile(r"\\[a-zA-Z.(]|\(\?|\[\^|[\])]\?(?=\S)|\w\|\w+\||[a-z]\+\\|\{\d,\d")


# One word and a field: "line 3", "6 portions".
_WITH_FIELD = re.compile(
    rf"\b(?:line|lines|under|over|about|sheet|without|from|note|at) {FIELD}"
    rf"|{FIELD} (?:minutes|hours|portions|foods|more|times|lines|stages|edition|dishes)\b"
)


class Text(NamedTuple):
    """A text in the code: where, how it reads with fields as `FIELD`, and what it is part of, the nearest first."""

    where: str
    text: str
    around: tuple[ast.AST, ...]


def is_sentence(text: str) -> bool:
    """Whether a text reads as words to a cook."""
    if _WITH_FIELD.search(text):
        return True
    for row in _ROW.findall(text):
        if sum(len(word) > 1 and word != FIELD for word in re.findall(_WORD, row)) > 1:
            return True
    every = text.strip(" .,;:!?()[]\"'").split(" ")
    return len(every) == 2 and all(re.fullmatch(_WORD, word) for word in every) and not SMALL.isdisjoint(every)


def texts(path: str, source: str) -> Iterator[Text]:
    """Every text of a module that is no part of another one."""
    yield from _below(ast.parse(source), path, ())


def _below(node: ast.AST, path: str, around: tuple[ast.AST, ...]) -> Iterator[Text]:
    if isinstance(node, ast.JoinedStr):
        said = "".join(str(part.value) if isinstance(part, ast.Constant) else FIELD for part in node.values)
        yield Text(f"{path}, line {node.lineno}", said, around)
        for part in node.values:
            if isinstance(part, ast.FormattedValue):
                yield from _below(part.value, path, (node, *around))
        return
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        yield Text(f"{path}, line {node.lineno}", node.value, around)
    for child in ast.iter_child_nodes(node):
        yield from _below(child, path, (node, *around))


def joins(one: Text) -> bool:
    """Whether a text makes names a list within a sentence, which `messages.listed` and `either` do."""
    parent = one.around[0]
    return one.text in (" and ", " or ") and isinstance(parent, ast.Attribute) and parent.attr == "join"


def is_code(one: Text) -> bool:
    """Whether a text is no words for a cook, by what it is and where it stands."""
    parent = one.around[0]
    if isinstance(parent, ast.Expr) or _PATTERN.search(one.text):  # a docstring; a regular expression
        return True
    if isinstance(parent, ast.Attribute) and parent.attr == "split":
        return True
    if any(isinstance(node, ast.FunctionDef) and node.name == "__repr__" for node in one.around):
        return True  # Python's own: for those who write code
    if any(isinstance(node, ast.keyword) and node.arg in HELP for node in one.around[:2]):
        return True  # stays with its option (docs/commands.md is made of it)
    if any(isinstance(node, ast.Call) and _name(node.func) in TO_DEVELOPERS for node in one.around):
        return True
    enumerated = any(
        isinstance(node, ast.ClassDef) and _name(node.bases[0]) == "StrEnum"
        for node in one.around[1:2]
        if isinstance(node, ast.ClassDef) and node.bases
    )
    key, _, rest = one.text.partition(":")
    return enumerated or (key.strip() in codes() and not is_sentence(rest))


def _name(node: ast.expr) -> str:
    return node.id if isinstance(node, ast.Name) else getattr(node, "attr", "")


@cache
def codes() -> frozenset[str]:
    """Every cell of the data lists but what is said, and every key of the recipe file."""
    found: set[str] = set()
    for path in DATA.rglob("*.csv"):
        if path.name != "messages.csv":
            with path.open(encoding="utf-8", newline="") as file:
                for row in csv.reader(line for line in file if line[:1] != "#"):
                    found.update(part for cell in row for part in cell.split("|"))
    found |= set(_keys(json.loads((DATA / "recipe.schema.json").read_text(encoding="utf-8"))))
    return frozenset(found)


def _keys(schema: object) -> Iterator[str]:
    if isinstance(schema, dict):
        if isinstance(schema.get("properties"), dict):
            yield from schema["properties"]
        for value in schema.values():
            yield from _keys(value)
    elif isinstance(schema, list):
        for value in schema:
            yield from _keys(value)


def sentences(path: str, source: str) -> list[Text]:
    """The texts of a module that read as sentences for a cook."""
    return [one for one in texts(path, source) if joins(one) or (is_sentence(one.text) and not is_code(one))]


def modules() -> dict[str, str]:
    found = {}
    for folder in ("nutrilab", "data_loaders"):
        for path in sorted((ROOT / folder).rglob("*.py")):
            found[path.relative_to(ROOT).as_posix()] = path.read_text(encoding="utf-8")
    return found


def excepted(one: Text) -> Iterator[int]:
    """The numbers of the exceptions that a text is one of."""
    for number, (place, begins, _) in enumerate(EXCEPTIONS):
        if one.where.startswith(place) and one.text.startswith(begins):
            yield number


def test_no_sentence_for_a_cook_stands_in_the_code() -> None:
    left = [
        f"{one.where}: {one.text}"
        for path, source in modules().items()
        for one in sentences(path, source)
        if not list(excepted(one))
    ]
    assert not left, "say it out of nutrilab/data/messages.csv:\n" + "\n".join(left)


def test_each_exception_is_still_needed_and_says_why() -> None:
    found = {(number, begins) for number, (_, every, _) in enumerate(EXCEPTIONS) for begins in every}
    for path, source in modules().items():
        for one in sentences(path, source):
            for number in excepted(one):
                found -= {(number, begins) for begins in EXCEPTIONS[number][1] if one.text.startswith(begins)}
    assert not found, [(EXCEPTIONS[number][0], begins) for number, begins in sorted(found)]
    assert all(len(why.split()) > 3 for _, _, why in EXCEPTIONS)


@pytest.mark.parametrize(
    "planted",
    [
        'raise InputError("the pot has no lid; put one on")',
        'WORDS = {"pot": "lost in cooking"}',
        'def put(pot: str) -> str:\n    return f"{pot} of {2} portions, {3} g each"',
        'def put(pot: str) -> str:\n    said = pot\n    said += f"; without the sheet {pot}"\n    return said',
        'raise ValueError(f"{pot!r} is no pot of this kitchen")',
        'UNKNOWN = "not known"',
        'WHAT = "a recipe"',
        'print("Cooked weight:", f"about {weight:.0f} g of it is left")',
        'block = KeyedBlock(node, "a file of pots")',
        'said = " and ".join(pots)',
        'where = f"line {number}"',
        'return f"{number} portions"',
        'class Pot:\n    note = "the lid was lost"',
        '@click.option("-o", help="Where to.")\ndef pot() -> None:\n    click.echo("the pot is empty")',
        'dish = "dish: the soup is not warm yet"',
    ],
)
def test_a_sentence_put_into_the_code_is_found(planted: str) -> None:
    assert sentences("nutrilab/pots.py", planted), planted


@pytest.mark.parametrize(
    "code",
    [
        '"""The pots of a kitchen, and what is in them."""',
        'def pot() -> None:\n    """Put the lid on it."""',
        'PLACE = re.compile(r"in the (?:pot|pan) of (\\d+)")',
        'ARTICLES = frozenset("the a an of".split())',
        'KEY = say("cooking.water-lost", water="12 g")',
        'class Ground(StrEnum):\n    READ = "read from the method"',
        'told = block.text("frying oil left")',
        'class Pot:\n    def __repr__(self) -> str:\n        return f"<pot {self.name} of {self.litres}, not full>"',
        '@click.option("-o", help="Write to this file, not the screen.")\ndef pot() -> None: ...',
        'raise KeyError(f"there is no pot {name}")',
        'text = f"{name}, {place}: {found} g"',
        'row = role("no food follows")',
    ],
)
def test_what_is_no_sentence_is_let_be(code: str) -> None:
    assert not sentences("nutrilab/pots.py", code), code


_CLASS = re.compile(r"\{% block kind %\}.*?\{% endblock %\}")  # a class of the style sheet
_FORMS = {"PDF", "SVG", "nutrilab"}  # names of forms and of this program, the same in every language
_FILLED = re.compile(r"\{#.*?#\}|\{%.*?%\}|\{\{.*?\}\}", re.DOTALL)
_NOT_SHOWN = re.compile(r"<style>.*?</style>|<script>.*?</script>|<[^>]*>", re.DOTALL)
_SHOWN_AS = re.compile(r'(?:aria-label|title|alt|placeholder)="([^"]*)"')


@pytest.mark.parametrize(
    "path", sorted((ROOT / "nutrilab").rglob("*.html.j2")), ids=lambda path: path.relative_to(ROOT).as_posix()
)
def test_no_words_stand_in_a_page_that_is_filled(path: Path) -> None:
    """What is read on a page, and what is read out of it, comes out of the list."""
    bare = _FILLED.sub(" ", _CLASS.sub(" ", path.read_text(encoding="utf-8")))
    shown = [_NOT_SHOWN.sub(" ", bare), *_SHOWN_AS.findall(bare)]
    assert not {word for text in shown for word in re.findall(r"[A-Za-z]{2,}", text)} - _FORMS, path.name


# Where a script puts words before a reader: as a text, an attribute that is read out, or through `tell` of page.js.
_TOLD = re.compile(
    r"""(?:(?:textContent|innerText|ariaLabel|title|alt|placeholder)\s*\+?=\s*"""
    r"""|setAttribute\(\s*["'](?:aria-label|title|alt|placeholder)["'],\s*|\b(?:tell|alert|confirm)\(\s*)"""
    r"""(?P<quote>["'`])(?P<words>[^"'`]*[A-Za-z]{2,}[^"'`]*)(?P=quote)"""
)


def told_by(script: str) -> list[str]:
    return [re.sub(r"\$\{[^}]*\}", " ", found["words"]) for found in _TOLD.finditer(script)]


@pytest.mark.parametrize(
    "path", sorted((ROOT / "nutrilab").rglob("*.js")), ids=lambda path: path.relative_to(ROOT).as_posix()
)
def test_no_script_has_words_of_its_own(path: Path) -> None:
    """What a script says stands in the page that it works on, as data attributes filled out of the list."""
    said = told_by(path.read_text(encoding="utf-8"))
    assert not [words for words in said if re.search(r"[A-Za-z]{2,}", words)], path.name


@pytest.mark.parametrize(
    "planted",
    ['lid.textContent = "Close";', "lid.setAttribute('aria-label', 'Close the lid');", "tell(`${pot} is empty`);"],
)
def test_words_put_into_a_script_are_found(planted: str) -> None:
    assert told_by(planted), planted
    assert not told_by("lid.textContent = lid.dataset.close; lid.setAttribute('aria-label', lid.dataset.name);")
