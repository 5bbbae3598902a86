"""Own products: what the packs in the kitchen say, from ``products.yaml`` beside the recipes or an imported file.

Reading packs is data_loaders/own_products.py, with the words a product knows; here the allergens they state are held
against the rules, and products are found by the words of a line.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from data_loaders import own_products
from data_loaders.disk import put, steady
from data_loaders.own_products import Product
from data_loaders.schema import TableError
from nutrilab import messages
from nutrilab.allergens.labels import of_pack
from nutrilab.allergens.values import ALLERGENS
from nutrilab.allergens.words import say
from nutrilab.files import content, text_of, there
from nutrilab.foods import Food, HouseholdMeasure
from nutrilab.law.energy import salt
from nutrilab.messages import as_grams
from nutrilab.plain import quoted
from nutrilab.plausible import too_salty
from nutrilab.recipe.writing import scalar
from nutrilab.remarks import Code, InputError, Remark
from nutrilab.text import words
from nutrilab.writing import Written, alone

if TYPE_CHECKING:
    from data_loaders.schema import TableData

# Words beside a product's name that make no other thing of it.
_BESIDE = frozenset(
    "a an the some of our my your own good level heaped rounded chopped sliced crumbled crushed grated".split()
)

HEAD = "# Own products: what the packs in the kitchen say.\n"
_SHOWN = 60  # characters of what could not be read

__all__ = ["Product", "Products", "add", "as_food", "import_products", "imported_products", "load", "stacked"]


class Products:
    """The own products of a kitchen, found by the words of their names."""

    def __init__(self, products: Iterable[Product]) -> None:
        self.all = tuple(products)
        self._by_words: dict[tuple[str, ...], Product] = {}
        for product in self.all:
            for name in product.names:
                self._by_words.setdefault(words(name), product)
        self._longest = max((len(key) for key in self._by_words), default=0)

    def remarks(self, used: Iterable[Product] | None = None) -> tuple[Remark, ...]:
        """What a cook should look at: emphasised words no rule knows, and packs without a word on allergens.

        used: only those of these products, all of them when None.
        """
        found = []
        for product in self.all if used is None else used:
            if not product.declares_allergens:
                message = messages.say("own.no-allergens", product=quoted(product.name))
                found.append(Remark(Code.PRODUCT_WITHOUT_ALLERGENS, message))
            of_salt = salt(product.values["NA"]) if "NA" in product.values else None
            if of_salt is not None and too_salty(of_salt, *product.names):
                message = messages.say("own.too-salty", product=quoted(product.name), salt=as_grams(of_salt))
                found.append(Remark(Code.IMPROBABLE, message))
            pack = of_pack(product.ingredients or "")
            for word in pack.unknown:
                message = messages.say("own.emphasis", product=quoted(product.name), word=quoted(word))
                found.append(Remark(Code.LABEL_EMPHASIS, message))
            for words_ in (name for name in pack.unread if name not in pack.unknown):
                message = messages.say("own.unread", product=quoted(product.name), word=quoted(words_[:_SHOWN]))
                found.append(Remark(Code.LABEL_UNREAD, message))
        return tuple(found)

    def match(self, name: str) -> Product | None:
        """The product that a name is, word for word but for what says nothing of the thing.

        A longer name is another thing: soya milk called "milk" is neither the "whole milk" nor the "milk chocolate" of
        another line, and its pack must not clear their allergens.
        """
        return self._by_words.get(tuple(word for word in words(name) if word not in _BESIDE))

    def within(self, name: str) -> Product | None:
        """The product of several words whose name stands inside a longer one: not taken, but worth a question."""
        tokens = words(name)
        for length in range(min(self._longest, len(tokens) - 1), 1, -1):
            for start in range(len(tokens) - length + 1):
                found = self._by_words.get(tokens[start : start + length])
                if found is not None:
                    return found
        return None


def stacked(*kitchens: Products | None) -> Products | None:
    """The products of several files as one; what stands earlier wins, by name and by id. None when there are none."""
    there: dict[str, Product] = {}
    for product in (product for one in kitchens if one for product in one.all):
        there.setdefault(product.food_id, product)
    return Products(there.values()) if there else None


def as_food(product: Product) -> Food:
    """The product as a food: its values per 100 g, nothing thrown away, its density and pack as measures."""
    return Food(
        food_id=product.food_id,
        name=product.name,
        group=own_products.GROUP,
        source=own_products.FROM,
        refuse=0.0,
        values=dict(product.values),
        measures=tuple(HouseholdMeasure(*measure) for measure in product.measures),
        bounds={tagname: (0.0, product.values[tagname]) for tagname in product.less_than},
    )


def load(path: Path) -> Products:
    """Read ``products.yaml`` or a CSV table with the same words in its head.

    Raises InputError with file and line: a file that cannot be read, an unknown word, a value that cannot be, a name
    twice, a stated allergen that is none of the 14.
    """
    return _checked(lambda: own_products.read_packs(path), path)


def _checked(read: Callable[[], Sequence[Product]], path: Path) -> Products:
    try:
        found = read()
    except TableError as error:
        raise InputError(error.message, error.file, error.line) from None
    _refuse_doubles(found, path)
    for product in found:
        _check_words(product, path)
    return Products(found)


def add(path: Path, cells: Mapping[str, str]) -> Written:
    """Write one pack into a list in YAML, in place of the one of its name, else last; the others stay as they are.

    cells: words of a label (data_loaders/own_products.py) -> what the pack says. Raises InputError, with the file as it
    was: a value that cannot be, a name that another pack has.
    """
    if path.suffix.lower() == ".csv":
        raise InputError(messages.say("own.add-to-csv"), path)
    with alone(path):
        before = content(path, own_products.LARGEST, InputError, messages.say("thing.packs")) if there(path) else None
        old = HEAD if before is None else text_of(before, path)
        new = _with(old, path, cells)
        _checked(lambda: own_products.products_in(new.encode(), path), path)
        if _others(old, path, cells) != _others(new, path, cells):
            raise InputError(messages.say("edit.by-hand"), path)  # a list that is written in another way
        put(path, new.encode(), durable=True)
    return Written(before, new.encode())


def _others(text: str, path: Path, cells: Mapping[str, str]) -> list[dict[str, str]]:
    """What a list says of all packs but the one of that name: writing one may change nothing of them."""
    found = own_products.products_in(text.encode(), path) if text != HEAD and text.strip() else ()
    return [own_products.cells(one) for one in found if words(one.name) != words(cells.get("name", ""))]


def _with(old: str, path: Path, cells: Mapping[str, str]) -> str:
    """The list with a pack more, or another in its place, as far in as those that stand there."""
    rows = [f"{key}: {scalar(' '.join(text.split()))}" for key, text in cells.items() if text.strip()]
    end = "\r\n" if "\r\n" in old else "\n"
    there = own_products.products_in(old.encode(), path) if old != HEAD and old.strip() else ()
    lines = old.splitlines(keepends=True)
    margin = _margin(lines[(there[0].line or 1) - 1]) if there else ""
    item = f"{margin}- " + f"{end}{margin}  ".join(rows) + end
    for product in there:
        if words(product.name) == words(cells.get("name", "")):
            return _in_place(lines, product.line or 1, item, margin)
    return old + ("" if old.endswith("\n") or not old else end) + item


def _margin(line: str) -> str:
    return line[: len(line) - len(line.lstrip(" "))]


def _in_place(lines: Sequence[str], line: int, item: str, margin: str) -> str:
    """The list with what begins at a line put anew, up to the next pack or what stands before it at its margin."""
    below = (n for n, text in enumerate(lines[line:], line) if text.strip() and len(_margin(text)) <= len(margin))
    return "".join([*lines[: line - 1], item, *lines[next(below, len(lines)) :]])


def import_products(path: Path, folder: Path, name: str = own_products.NAME) -> tuple[TableData, Path]:
    """Import a file of packs into the tables folder, whole or not at all; one imported before is replaced.

    Returns the table and its foods file. Raises InputError as `load` does, TableError when it cannot be written.
    """
    load(path)
    return own_products.write(path, folder, name)


def imported_products(folder: Path | None, name: str = own_products.NAME) -> Products | None:
    """The packs imported into the tables folder, with their allergens; None when none were.

    Raises TableError when their table is there and they are not.
    """
    foods_file = (folder or Path()) / f"{name}.foods.parquet"
    if folder is None or not foods_file.exists():
        return None
    return steady(foods_file, lambda: load(own_products.kept(foods_file)))  # an import may replace both meanwhile


def _refuse_doubles(products: Sequence[Product], path: Path) -> None:
    seen: dict[tuple[str, ...], str] = {}
    for product in products:
        for name in product.names:
            key = words(name)
            if not key:
                raise InputError(messages.say("own.no-name", name=quoted(name)), path, product.line)
            if key in seen:
                words_ = messages.say("own.name-twice", name=quoted(name), product=quoted(seen[key]))
                raise InputError(words_, path, product.line)
            seen[key] = product.name


def _check_words(product: Product, path: Path) -> None:
    """Refuse a stated allergen that points to none of the 14: it would be lost in silence."""
    for word in (*(product.contains or ()), *product.may):
        said = say(word)
        if word.lower() not in ALLERGENS and not said.contains and not said.check:
            message = messages.say("own.no-allergen", word=quoted(word), allergens=", ".join(ALLERGENS))
            raise InputError(message, path, product.line)
