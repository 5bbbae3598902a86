"""What nutrilab says: every sentence of the one list, and every sentence that the code says out of it.

The list is data/messages.csv. Each row is said by the code with just its fields, reads as a sentence a cook can follow,
and holds no id and no word that only we understand. The last tests read what comes out of whole recipes.
"""

from __future__ import annotations

import ast
import csv
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import NamedTuple

import pytest

from nutrilab.datafiles import rows
from nutrilab.folder import Folder, open_kitchen, read_recipe
from nutrilab.messages import FILE, messages, say
from nutrilab.records import dish_record, line_record
from nutrilab.remarks import Code, NutrilabError, Remark

ROOT = Path(__file__).parents[1]
CODE = [path for folder in ("nutrilab", "data_loaders") for path in sorted((ROOT / folder).rglob("*.py"))]
EXAMPLES = ROOT / "tests" / "messages_examples.csv"
USUAL = "onions and leeks"
LONGEST = 200  # characters of a sentence with what is usually filled in
DEMOS = sorted(path for path in (ROOT / "demo_recipes").iterdir() if path.suffix in (".yaml", ".txt", ".html"))
# Words that only those who work on nutrilab understand, or that tell of its tables and not of the food.
OURS = (
    "sr:", "mix:", "fdc:", "cofid:", "ciqual:", "own:", "CHOAVL", "CHOCDF", "FASAT", "ENERC", "PROCNT", "FIBTG",
    "tagname", "component", "retention", "yield factor", "null", "None", "NaN", "parse", "schema", "regex", "traceback",
    "(none)", "leached", "driven off", "from memory", "common practice", "above all for", "row of its own", "moisture",
    "uptake", "dataclass", "boolean", "float", "string", "exception",
)  # fmt: skip
WORD = re.compile("|".join(rf"(?<![A-Za-z]){re.escape(word)}(?![A-Za-z])" for word in OURS))
ID = re.compile(r"\b(?:sr|mix|fdc|cofid|ciqual|own):[\w.-]")
CODED = re.compile(r"\bx ?[01]\.\d|\bNA\b|[a-z]_[a-z]")  # a factor, sodium by its tagname, a name of the code
# Loaders read other people's files: what a fault in one of them is called is the word that stands there.
OF_FILES = ("load.", "tables.", "python.")
FIELD = re.compile(r"\{(\w*)\}")
# What takes words for the cook.
SAYS = ("Remark", "InputError", "TableError", "NutrilabError", "Step", "ValueError", "refusal", "fault")
SAYS_BY_METHOD = ("say", "step", "leave", "fault")


class Call(NamedTuple):
    """A place that says something: the keys it may have, and the fields it fills; None where they come as a mapping."""

    where: str
    keys: tuple[str, ...]
    fields: frozenset[str] | None


@cache
def table() -> tuple[dict[str, str], ...]:
    return rows(FILE)


@cache
def listed_examples() -> dict[str, str]:
    with EXAMPLES.open(encoding="utf-8", newline="") as file:
        return {row["key"]: row["example"] for row in csv.DictReader(line for line in file if line[0] != "#")}


def examples(row: dict[str, str]) -> dict[str, str]:
    """What is usually filled in; a field begins where its name and "=" stand. Usual words where none are listed."""
    names = FIELD.findall(row["text"])
    if not names or row["key"] not in listed_examples():
        return dict.fromkeys(names, USUAL)
    parts = re.split(rf"(?:^|\|)({'|'.join(map(re.escape, names))})=", listed_examples()[row["key"]])
    return dict(zip(parts[1::2], parts[2::2], strict=True))


def filled(row: dict[str, str]) -> str:
    return row["text"].format_map(examples(row))


@pytest.mark.parametrize("row", table(), ids=lambda row: row["key"])
def test_each_sentence_is_one_that_a_cook_can_follow(row: dict[str, str]) -> None:
    assert re.fullmatch(r"[a-z]+(?:\.[a-z0-9_-]+)+", row["key"]), row
    assert row["when"], row
    assert set(examples(row)) == set(FIELD.findall(row["text"])), "each field has an example, and no other"
    text = filled(row)
    assert 0 < len(text) < LONGEST, (len(text), text)
    assert text == " ".join(text.split()), "one line, and one space between words"
    for pair in ("()", "[]"):
        assert text.count(pair[0]) == text.count(pair[1]), text
    assert text.count('"') % 2 == 0, text
    stands = FIELD.sub("", row["text"])
    if not row["key"].startswith(OF_FILES):
        assert not WORD.search(stands), text
        assert not CODED.search(stands), text
    assert not ID.search(stands), text


AFTER_A_PLACE = (
    "line.", "weight.", "link.", "cooking.", "method.", "plausible.", "own.", "recipe.", "portions.", "amount.",
    "yaml.", "page.", "file.", "folder.", "swap.", "write.", "load.",
)  # fmt: skip


def test_what_stands_after_a_place_begins_small_and_has_no_full_stop() -> None:
    """Remarks and refusals: "mash, line 3: ..."; only YAML is written large, and the name of a dish without one."""
    for row in table():
        if row["key"].startswith(AFTER_A_PLACE) and row["key"] != "page.no-name":
            assert not row["text"][:1].isupper() or row["text"].split()[0].isupper(), row
            assert not row["text"].endswith("."), row


def test_examples_are_of_sentences_that_stand() -> None:
    assert not set(listed_examples()) - set(messages())


def test_no_sentence_stands_twice() -> None:
    keys = [row["key"] for row in table()]
    assert sorted(set(keys)) == sorted(keys)
    assert messages().keys() == set(keys)


def test_a_field_that_is_missing_is_told_and_a_brace_in_what_is_filled_in_is_harmless() -> None:
    with pytest.raises(KeyError):
        say("cooking.water-lost", water="12 g")
    with pytest.raises(KeyError):
        say("cooking.no-such-sentence")
    assert "{x}" in say("weight.no-amount", food="{x}")


# --- the code and the list


def strings(tree: ast.AST) -> Iterator[str]:
    """Every text constant below a node."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str):
            yield node.value


@cache
def calls() -> tuple[Call, ...]:
    """Every place that says something out of the list. A key that is no constant is one of those of its module."""
    known = messages()
    found = []
    for path in CODE:
        tree = ast.parse(path.read_text(encoding="utf-8"))
        direct: set[int] = set()
        open_ended: list[ast.Call] = []
        for node in ast.walk(tree):
            if not (isinstance(node, ast.Call) and _is_say(node)):
                continue
            keys = tuple(_keys(node.args[0], _fields(node)))
            direct |= {id(part) for part in ast.walk(node.args[0])}
            if keys:
                found.append(Call(f"{path.name}, line {node.lineno}", keys, _fields(node)))
            else:
                open_ended.append(node)
        loose = tuple(
            node.value
            for node in ast.walk(tree)
            if isinstance(node, ast.Constant) and node.value in known and id(node) not in direct
        )
        for node in open_ended:
            fields = _fields(node)
            fit = tuple(key for key in loose if fields is None or fields == set(FIELD.findall(known[key])))
            found.append(Call(f"{path.name}, line {node.lineno}", fit, fields))
    return tuple(found)


def _keys(first: ast.expr, fields: frozenset[str] | None) -> Iterator[str]:
    """The keys that stand in a call: as texts, or as the beginning of one (f"sheet.cause.{cause}") with its fields."""
    if isinstance(first, ast.JoinedStr) and isinstance(first.values[0], ast.Constant):
        start = str(first.values[0].value)
        fit = (key for key, text in messages().items() if fields in (None, set(FIELD.findall(text))))
        yield from (key for key in fit if key.startswith(start))
    elif not isinstance(first, ast.Subscript):
        yield from (text for text in strings(first) if text in messages() or re.fullmatch(r"[a-z]+\.[a-z.-]+", text))


def _is_say(node: ast.Call) -> bool:
    """Whether a call says a sentence by its key: `say(...)` or `messages.say(...)` of nutrilab.messages."""
    function = node.func
    if isinstance(function, ast.Attribute):
        owner = function.value
        return function.attr == "say" and isinstance(owner, ast.Name) and owner.id == "messages"
    if not (isinstance(function, ast.Name) and function.id == "say" and node.args):
        return False
    first = node.args[0]
    return bool(node.keywords) or not isinstance(first, ast.Name | ast.Call) or len(node.args) == 1


def _fields(node: ast.Call) -> frozenset[str] | None:
    names = [keyword.arg for keyword in node.keywords]
    return None if None in names else frozenset(name for name in names if name)


OWN_SAY = (
    "words.py",
    "find.py",
    "foods.py",
    "ingredients_list.py",
    "labels.py",
    "products.py",
)  # allergens: what words say of them


def test_every_sentence_is_said_with_just_its_fields() -> None:
    known = messages()
    said = {row["sentence"] for row in rows("allergens/cautions.csv")}
    for path in sorted((ROOT / "nutrilab").rglob("*.j2")):
        said |= set(re.findall(r"""say\(["']([^"']+)["']""", path.read_text(encoding="utf-8")))
    for call in calls():
        if not call.keys and call.where.split(",")[0] in OWN_SAY:
            continue
        assert call.keys, f"{call.where}: no row of {FILE} has the fields {call.fields}"
        for key in call.keys:
            assert key in known, f"{call.where}: {key} is no key of {FILE}"
            if call.fields is not None:
                assert call.fields == set(FIELD.findall(known[key])), f"{call.where}: {key}: {known[key]}"
        said.update(call.keys)
    assert not set(known) - said, f"nothing says {sorted(set(known) - said)}"


def _literal(node: ast.expr) -> str | None:
    """A text that is written where it is said; None for anything else."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return node.value
    if isinstance(node, ast.JoinedStr):
        return "".join(part.value if isinstance(part, ast.Constant) else "X" for part in node.values)
    if isinstance(node, ast.BinOp):
        return _literal(node.left) or _literal(node.right)
    if isinstance(node, ast.IfExp):
        return _literal(node.body) or _literal(node.orelse)
    return None


def _names_of(tree: ast.AST) -> dict[str, list[str]]:
    """Text that is bound to a name: `words = f"..."`, by the name."""
    found: dict[str, list[str]] = {}
    for node in ast.walk(tree):
        if not (isinstance(node, ast.Assign) and len(node.targets) == 1 and isinstance(node.targets[0], ast.Name)):
            continue
        if (text := _literal(node.value)) is not None:
            found.setdefault(node.targets[0].id, []).append(text)
    return found


# Sentences for those who write data files and code: a slip in a list of the package, not of the cook's.
FOR_US = ("lexicon", "datafiles.py", "wordlists.py", "query.py", "asked.py", "mixes.py", "steps.py", "rounding.py",
          "tolerance.py", "stack.py", "foods.py", "declaration.py", "__init__.py", "csv_figures.py")  # fmt: skip


def test_no_sentence_is_written_where_it_is_said() -> None:
    """Nothing of sentence shape goes straight, or by a name, into a remark, a refusal or a step of the cooking."""
    found = []
    for path in CODE:
        tree = ast.parse(path.read_text(encoding="utf-8"))
        bound = _names_of(tree)
        for node in ast.walk(tree):
            if not isinstance(node, ast.Call):
                continue
            name = node.func.id if isinstance(node.func, ast.Name) else getattr(node.func, "attr", "")
            method = isinstance(node.func, ast.Attribute) and name in SAYS_BY_METHOD
            if name not in SAYS and not method:
                continue
            if name == "ValueError" and (path.name in FOR_US or path.parent.name in FOR_US):
                continue
            for argument in (*node.args, *(k.value for k in node.keywords if k.arg in (None, "words", "message"))):
                texts = bound.get(argument.id, []) if isinstance(argument, ast.Name) else [_literal(argument) or ""]
                found += [f"{path.name}, line {node.lineno}: {text}" for text in texts if _is_sentence(text)]
    assert not found, "\n".join(found)


def _is_sentence(text: str) -> bool:
    return text.count(" ") >= 3 and bool(re.search(r"[a-z]{2,} [a-z]{2,}", text))


# --- codes of remarks


def test_every_code_of_a_remark_stands_in_its_list_with_what_it_is() -> None:
    listed = rows("remark_codes.csv")
    assert sorted(row["code"] for row in listed) == sorted(Code)
    assert {row["kind"] for row in listed} == {"do", "note"}
    assert all(row["meant"] for row in listed)
    assert [row["code"] for row in listed] == sorted(row["code"] for row in listed)


def test_every_code_is_said_somewhere() -> None:
    used = {
        node.attr
        for path in CODE
        if path.name != "remarks.py"
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id == "Code"
    }
    with (ROOT / "nutrilab" / "data" / "link_remarks.csv").open(encoding="utf-8") as file:
        of_data = {row["code"] for row in csv.DictReader(line for line in file if line[0] != "#")}
    assert {code.name for code in Code if code not in of_data} <= used


def test_a_remark_that_asks_for_something_is_to_be_done_and_others_are_notes() -> None:
    assert Remark(Code.NO_MOISTURE_LOSS, "weigh it").to_do
    assert Remark(Code.LABEL_UNREAD, "look at the pack").to_do
    assert not Remark(Code.COMPOSED_FOOD, "it is counted as").to_do
    assert not Remark(Code.FAT_DRIPPED, "it drips off").to_do


# --- what comes out


def said_of(record: dict[str, object]) -> Iterator[dict[str, str]]:
    """Every warning of a record, and of the records inside it."""
    for key, value in record.items():
        if key == "warnings":
            assert isinstance(value, list)
            yield from value
        elif isinstance(value, dict):
            yield from said_of(value)
        elif isinstance(value, list):
            for one in value:
                if isinstance(one, dict):
                    yield from said_of(one)


def fit(text: str) -> bool:
    """Whether a sentence is short enough and has no word of ours."""
    return len(text) < LONGEST and not WORD.search(text) and not ID.search(text)


def evidence_of(record: dict[str, dict[str, dict[str, list[str]]]]) -> Iterator[str]:
    """Every sentence behind an allergen of a line or a dish."""
    for answer in ("contains", "check", "may_contain"):
        for sentences in record["allergens"].get(answer, {}).values():
            yield from sentences


def faults(warnings: list[dict[str, str]], written: str = "") -> Iterator[str]:
    """What is wrong with some warnings: a word of ours that is not written there, an id, too long, an unknown code."""
    for one in {(w["code"], w["message"]) for w in warnings}:
        code, message = one
        if code not in set(Code):
            yield f"{code} is no code"
        ours = [word for word in WORD.findall(message) if word not in written]
        if len(message) >= LONGEST or ours or ID.search(message) or CODED.search(message):
            yield f"{len(message)}: {message}"
        if message.endswith("."):
            yield f"ends with a full stop: {message}"


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.name)
def test_what_is_said_of_the_demos(path: Path) -> None:
    record = dish_record(Folder(path.parent).dish(read_recipe(path), 6))
    assert not list(faults(list(said_of(record))))
    assert all(fit(sentence.split(" [")[0]) for sentence in evidence_of(record))  # behind it stands the line
    for stage in record["stages"]:
        for step in stage["steps"]:
            assert fit(step["words"]), step["words"]
    for figure in record["doubt"].values():
        for one in figure:
            assert fit(one.get("advice") or ""), one


def test_what_is_said_of_odd_recipes(tmp_path: Path) -> None:
    """Recipes as cooks and pages mangle them: most are cooked, the rest refused in one sentence of the list."""
    blocks = (Path(__file__).parent / "odd_recipes.txt").read_text(encoding="utf-8").split("\n====\n")
    kitchen = Folder(tmp_path)
    said, refused, cooked, count = [], [], 0, 0
    for number, block in enumerate(filter(str.strip, blocks)):
        path = tmp_path / f"odd-{number}.txt"
        path.write_text(block.strip() + "\n", encoding="utf-8")
        try:
            found = list(said_of(dish_record(kitchen.dish(read_recipe(path), 4))))
            cooked += 1
            said += [one for one in found if list(faults([one], block))]
            count += len(found)
        except NutrilabError as error:
            refused.append(error.message)
    assert cooked > 20
    assert count > 50
    assert not said
    assert not [message for message in refused if len(message) >= LONGEST or WORD.search(message)]


def test_what_is_said_of_the_gold_lines() -> None:
    """Every line that links, weights and allergens are measured by."""
    kitchen = open_kitchen(None)
    texts: dict[str, None] = {}
    for path in sorted((Path(__file__).parent / "gold").glob("*.csv")):
        with path.open(encoding="utf-8", newline="") as file:
            for row in csv.DictReader(line for line in file if not line.startswith("#")):
                if text := row.get("line") or row.get("text"):
                    texts[text] = None
    assert len(texts) > 500
    records = [line_record(kitchen.line(text)) for text in texts]
    assert not [told for record in records for told in evidence_of(record) if not fit(told)]
    said = [warning for record in records for warning in said_of(record)]
    assert len(said) > 300
    assert not list(faults(said))
