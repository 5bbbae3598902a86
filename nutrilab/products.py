"""Own products: what the packs in the kitchen say, from ``products.yaml`` beside the recipes, or a CSV table.

- name: House vegetable stock cube
  aliases: [vegetable stock cube, veg cube]
  per: 100 g                 # or 100 ml, and then a density
  energy kJ: 980
  energy kcal: 234
  fat: 12 g
  saturates: 6 g
  carbohydrate: 24 g
  sugars: 3 g
  fibre: 1 g
  protein: 7 g
  salt: 52 g
  density: 1.05              # [g/ml], only for per 100 ml
  pack size: 80 g
  ingredients: Salt, palm oil, **celery** seed, yeast extract (**barley**)
  contains: [celery, gluten] # as the pack states it; [] states that there is none
  may contain: [milk]
  sulphites: 20 mg/kg        # only if the pack or its maker says so
"""

from __future__ import annotations

import csv
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from nutrilab.allergens.labels import label_allergens, read_label
from nutrilab.allergens.rules import ALLERGENS
from nutrilab.allergens.words import say
from nutrilab.foods import Food
from nutrilab.remarks import InputError, Remark
from nutrilab.text import words

if TYPE_CHECKING:
    from nutrilab.recipe.yaml_file import KeyedBlock

SALT_TO_SODIUM = 1000 / 2.5  # [mg sodium per g salt], Regulation (EU) No 1169/2011, Annex I: salt = sodium x 2.5
# Label word -> INFOODS tagname; g per 100 g, energy as its tagname says.
_TAGS = {
    "energy kj": "ENERC_KJ", "energy kcal": "ENERC_KCAL", "fat": "FAT", "saturates": "FASAT",
    "carbohydrate": "CHOAVL", "sugars": "SUGAR", "fibre": "FIBTG", "protein": "PROCNT", "salt": "NA",
}  # fmt: skip
_LISTS = ("aliases", "contains", "may contain")
KEYS = (
    "name",
    "aliases",
    "per",
    *_TAGS,
    "density",
    "pack size",
    "ingredients",
    "contains",
    "may contain",
    "sulphites",
    "notes",
)
_NUMBER = re.compile(
    r"<?\s*(\d{1,6}(?:[.,]\d{1,6})?)\s*([a-z/]{0,5})", re.I
)  # "<0.5 g" counts as 0.5: the most it may be
_UNITS: dict[str, dict[str, float]] = {
    "energy kj": {"": 1.0, "kj": 1.0},
    "energy kcal": {"": 1.0, "kcal": 1.0},
    "density": {"": 1.0, "g/ml": 1.0, "kg/l": 1.0},
    "pack size": {"": 1.0, "g": 1.0, "kg": 1000.0, "ml": 1.0, "l": 1000.0, "cl": 10.0},
    "sulphites": {"": 1.0, "mg/kg": 1.0, "mg/l": 1.0},
}
_MASS = {"": 1.0, "g": 1.0, "mg": 0.001}
_LARGEST = 2_000_000  # bytes


@dataclass(frozen=True, slots=True)
class Product:
    """A product as its pack says.

    values: INFOODS tagname -> amount per 100 g; density [g/ml]; pack [g]; ingredients: the label's text; contains:
    what the pack states it contains, None if the cook gave nothing; may: what it may contain; sulphites [mg/kg];
    line: where it stands in its file.
    """

    name: str
    aliases: tuple[str, ...] = ()
    values: Mapping[str, float] = field(default_factory=dict)
    density: float | None = None
    pack: float | None = None
    ingredients: str | None = None
    contains: tuple[str, ...] | None = None
    may: tuple[str, ...] = ()
    sulphites: float | None = None
    line: int | None = None

    @property
    def names(self) -> tuple[str, ...]:
        """Its name and aliases."""
        return (self.name, *self.aliases)

    @property
    def food_id(self) -> str:
        """Its id as a food of a table of its own."""
        return "own:" + "-".join(words(self.name))

    @property
    def declares_allergens(self) -> bool:
        """Whether the pack's word on allergens is known, so that it overrides the general rules."""
        return self.ingredients is not None or self.contains is not None


class Products:
    """The own products of a kitchen, found by the words of their names."""

    def __init__(self, products: Iterable[Product]) -> None:
        self.all = tuple(products)
        self._by_words: dict[tuple[str, ...], Product] = {}
        for product in self.all:
            for name in product.names:
                self._by_words.setdefault(words(name), product)
        self._longest = max((len(key) for key in self._by_words), default=0)

    def remarks(self) -> tuple[Remark, ...]:
        """What a cook should look at: emphasised words no rule knows, and packs without a word on allergens."""
        found = []
        for product in self.all:
            if not product.declares_allergens:
                message = (
                    f'"{product.name}" has no "ingredients" and no "contains": its allergens are guessed from its name'
                )
                found.append(Remark("product-without-allergens", message))
            for word in label_allergens(read_label(product.ingredients or "")).unknown:
                message = (
                    f'the pack of "{product.name}" emphasises "{word}", which no rule knows: name it under "contains"'
                )
                found.append(Remark("label-emphasis", message))
        return tuple(found)

    def match(self, name: str) -> Product | None:
        """The product whose name or alias stands in ``name``; the longest one where several do."""
        tokens = words(name)
        for length in range(min(self._longest, len(tokens)), 0, -1):
            for start in range(len(tokens) - length + 1):
                found = self._by_words.get(tokens[start : start + length])
                if found is not None:
                    return found
        return None


def as_food(product: Product) -> Food:
    """The product as a food: its values per 100 g, nothing thrown away."""
    return Food(product.food_id, product.name, "own product", "the pack", 0.0, dict(product.values))


def load(path: Path) -> Products:
    """Read ``products.yaml`` or a CSV table with the same words in its head.

    Raises InputError with file and line: a file that cannot be read, an unknown word, a value that cannot be.
    """
    try:
        if path.stat().st_size > _LARGEST:
            raise InputError("the file is larger than 2 MB; own products need a few lines each", path)
        text = path.read_text(encoding="utf-8-sig")
    except OSError as error:
        raise InputError(f"the file cannot be read ({error.strerror})", path) from None
    except UnicodeDecodeError:
        raise InputError("the file is not written in UTF-8; save it again as UTF-8 text", path) from None
    found = _from_csv(text, str(path)) if path.suffix.lower() == ".csv" else _from_yaml(text, str(path))
    _refuse_doubles(found, path)
    return Products(found)


def _refuse_doubles(products: Sequence[Product], path: Path) -> None:
    seen: dict[tuple[str, ...], str] = {}
    for product in products:
        for name in product.names:
            key = words(name)
            if not key:
                raise InputError(f'"{name}" is no name; write one with letters', path, product.line)
            if key in seen:
                raise InputError(
                    f'"{name}" already names "{seen[key]}"; give each product its own names', path, product.line
                )
            seen[key] = product.name


def _from_yaml(text: str, file: str) -> list[Product]:
    import yaml

    from nutrilab.recipe.yaml_file import KeyedBlock, one_document

    if not text.strip():
        raise InputError("the file is empty; list products, each with a name", file)
    node = one_document(text, file)
    if not isinstance(node, yaml.SequenceNode):
        raise InputError('own products are a list; begin each with "- name: ..."', file, node.start_mark.line + 1)
    return [_product(KeyedBlock(item, file, KEYS, "a product"), file) for item in node.value]


def _product(given: KeyedBlock, file: str) -> Product:
    cells = {key: given.text(key) for key in KEYS if key not in _LISTS}
    lists = {key: _list(given, key, file) for key in _LISTS}
    return _checked(cells, lists, file, given.line("name"), given.line)


def _list(given: KeyedBlock, key: str, file: str) -> tuple[str, ...] | None:
    """A list, or one value with commas; None when the key is absent."""
    import yaml

    node = given.nodes.get(key)
    if node is None:
        return None
    if isinstance(node, yaml.ScalarNode):
        return _split(node.value)
    if not isinstance(node, yaml.SequenceNode) or not all(isinstance(item, yaml.ScalarNode) for item in node.value):
        raise InputError(f'"{key}" is a list of words', file, given.line(key))
    return tuple(item.value.strip() for item in node.value if item.value.strip())


def _split(text: str) -> tuple[str, ...]:
    found = tuple(part.strip() for part in re.split(r"[,;]", text) if part.strip())
    return () if [word.lower() for word in found] in (["none"], ["nothing"]) else found


def _from_csv(text: str, file: str) -> list[Product]:
    reader = csv.reader(text.splitlines())
    head = [" ".join(cell.lower().replace("_", " ").split()) for cell in next(reader, [])]
    if "name" not in head:
        raise InputError('the first line must name the columns, one of them "name"', file, 1)
    unknown = [cell for cell in head if cell not in KEYS]
    if unknown:
        raise InputError(f'"{unknown[0]}" is no word of a product; a product knows: {", ".join(KEYS)}', file, 1)
    found = []
    for cells in reader:
        number = reader.line_num
        if not any(cells):
            continue
        if len(cells) != len(head):
            raise InputError(f"{len(cells)} cells stand here, the head has {len(head)}", file, number)
        row = dict(zip(head, cells, strict=True))
        lists = {key: _split(row[key]) if row.get(key, "").strip() else None for key in _LISTS}
        plain = {key: row.get(key, "").strip() or None for key in KEYS if key not in _LISTS}
        found.append(_checked(plain, lists, file, number, lambda _key, at=number: at))  # type: ignore[misc]
    return found


def _checked(
    cells: Mapping[str, str | None],
    lists: Mapping[str, tuple[str, ...] | None],
    file: str,
    line: int,
    where: Callable[[str], int],
) -> Product:
    """A product from its cells; where: key -> line. Raises InputError for a value that cannot be."""
    if not cells["name"]:
        raise InputError('a product needs "name: ..."', file, line)
    numbers = {key: _number(cells, key, file, where) for key in (*_TAGS, "density", "pack size", "sulphites")}
    given = {key: value for key, value in numbers.items() if key in _TAGS and value is not None}
    _check_values(given, file, where)
    per = " ".join((cells["per"] or "100 g").lower().replace("100g", "100 g").replace("100ml", "100 ml").split())
    if per not in ("100 g", "100 ml"):
        raise InputError(f'per is "{cells["per"]}"; write 100 g or 100 ml, as the pack has it', file, where("per"))
    _check_words(lists, file, where)
    density = numbers["density"]
    if per == "100 ml" and given and not density:
        raise InputError('values per 100 ml need "density: ..." in g/ml, to be counted by weight', file, where("per"))
    scale = 1.0 / density if per == "100 ml" and density else 1.0
    values = {_TAGS[key]: value * scale * (SALT_TO_SODIUM if key == "salt" else 1.0) for key, value in given.items()}
    pack = numbers["pack size"]
    if pack is not None and density and (cells["pack size"] or "").lower().rstrip().endswith("l"):
        pack *= density
    return Product(
        name=cells["name"],
        aliases=lists["aliases"] or (),
        values=values,
        density=density,
        pack=pack,
        ingredients=cells["ingredients"],
        contains=lists["contains"],
        may=lists["may contain"] or (),
        sulphites=numbers["sulphites"],
        line=line,
    )


def _check_words(lists: Mapping[str, tuple[str, ...] | None], file: str, where: Callable[[str], int]) -> None:
    """Refuse a stated allergen that points to none of the 14: it would be lost in silence."""
    for key in ("contains", "may contain"):
        for word in lists[key] or ():
            said = say(word)
            if word.lower() not in ALLERGENS and not said.contains and not said.check:
                raise InputError(
                    f'"{word}" points to none of the 14 allergens: {", ".join(ALLERGENS)}', file, where(key)
                )


def _number(cells: Mapping[str, str | None], key: str, file: str, where: Callable[[str], int]) -> float | None:
    """A value in the unit of its key. Raises InputError."""
    text = cells[key]
    if text is None:
        return None
    units = _UNITS.get(key, _MASS)
    found = _NUMBER.fullmatch(text.strip())
    unit = found[2].lower() if found else ""
    if not found or unit not in units:
        named = " or ".join(name for name in units if name)
        raise InputError(f'{key} is "{text[:60]}"; write a number in {named}', file, where(key))
    return float(found[1].replace(",", ".")) * units[unit]


def _check_values(given: Mapping[str, float], file: str, where: Callable[[str], int]) -> None:
    """Refuse what no food can have per 100 g or 100 ml."""
    for key, value in given.items():
        most = {"energy kj": 3800, "energy kcal": 910}.get(key, 140)  # pure fat: 3700 kJ, 900 kcal; 140 g in 100 ml
        if value > most:
            raise InputError(
                f"{key} of {value:g} cannot be in 100 g or 100 ml; look at the pack again", file, where(key)
            )
    for part, whole in (("saturates", "fat"), ("sugars", "carbohydrate")):
        if part in given and whole in given and given[part] > given[whole] + 0.1:
            raise InputError(
                f"{part} are part of {whole}, but here they are more; look at the pack again", file, where(part)
            )
    if "energy kj" in given and "energy kcal" in given:
        kilojoules, kilocalories = given["energy kj"], given["energy kcal"]
        if abs(kilojoules - 4.184 * kilocalories) > max(20.0, 0.06 * kilojoules):
            message = f"{kilojoules:g} kJ and {kilocalories:g} kcal do not belong together (1 kcal is about 4.2 kJ)"
            raise InputError(message, file, where("energy kcal"))
