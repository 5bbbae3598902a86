"""Own products: what the packs in the kitchen say, from a list in YAML or a table in CSV.

- name: House vegetable stock cube
  aliases: [vegetable stock cube, veg cube]
  per: 100 g                 # or 100 ml, and then a density
  energy kJ: 980
  energy kcal: 234
  fat: 12 g
  saturates: <6 g
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

Words of a label: Regulation (EU) No 1169/2011, Annex XV. What a label says of allergens does not fit a table of
values, so `write` puts the file itself beside the table.
"""

from __future__ import annotations

import datetime
import re
import unicodedata
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from data_loaders import schema
from data_loaders.leaving_out import limits
from data_loaders.schema import Provenance, TableData, TableError, sha256
from nutrilab.law.energy import KJ_PER_KCAL, SODIUM_PER_SALT
from nutrilab.messages import either, say
from nutrilab.plain import quoted, two_numbers

if TYPE_CHECKING:  # the kitchen imports this module for Product alone: what reading needs is imported where it reads
    import pandas as pd

    from data_loaders.pack_files import Row

NAME = "own-products"
PREFIX = "own:"
GROUP = "own product"  # food group of every product
FROM = say("about.own-from")  # and its source
LARGEST = 2_000_000  # bytes; some thousand products
# Label word -> INFOODS tagname; g per 100 g, energy as its tagname says.
_TAGS = {
    "energy kj": "ENERC_KJ", "energy kcal": "ENERC_KCAL", "fat": "FAT", "saturates": "FASAT",
    "monounsaturates": "FAMS", "polyunsaturates": "FAPU", "carbohydrate": "CHOAVL", "sugars": "SUGAR",
    "polyols": "POLYL", "starch": "STARCH", "fibre": "FIBTG", "protein": "PROCNT", "salt": "NA",
}  # fmt: skip
_NUMBER = re.compile(r"([<≤]?)\s*(\d{1,6}(?:[.,]\d{1,6})?)\s*([a-z/]{0,5})", re.I)
_UNITS: dict[str, dict[str, float]] = {
    "energy kj": {"": 1.0, "kj": 1.0},
    "energy kcal": {"": 1.0, "kcal": 1.0},
    "density": {"": 1.0, "g/ml": 1.0, "kg/l": 1.0},
    "pack size": {"": 1.0, "g": 1.0, "kg": 1000.0, "ml": 1.0, "l": 1000.0, "cl": 10.0},
    "sulphites": {"": 1.0, "mg/kg": 1.0, "mg/l": 1.0},
}
_THOUSANDS = ("energy kj", "energy kcal", "pack size", "sulphites")  # of which a thousand and more is usual
_MASS = {"": 1.0, "g": 1.0, "mg": 0.001}
_MOST = {"energy kj": "kJ", "energy kcal": "kcal"}  # rows of possible.csv; every other value is in grams
_WHOLE = ("FAT", "CHOAVL", "FIBTG", "PROCNT")
_PARTS = (
    ("saturates", "fat"), ("monounsaturates", "fat"), ("polyunsaturates", "fat"), ("sugars", "carbohydrate"),
    ("polyols", "carbohydrate"), ("starch", "carbohydrate"),
)  # fmt: skip
_SPLIT = re.compile(r"[^a-z0-9%]+")


@dataclass(frozen=True, slots=True)
class Product:
    """A product as its pack says.

    values: INFOODS tagname -> amount per 100 g; density [g/ml]; pack [g]; ingredients: the label's text; contains:
    what the pack states it contains, None if the cook gave nothing; may: what it may contain; sulphites [mg/kg];
    line: where it stands in its file; less_than: tagnames declared as "<" an amount, which counts in full.
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
    less_than: tuple[str, ...] = ()

    @property
    def names(self) -> tuple[str, ...]:
        """Its name and aliases."""
        return (self.name, *self.aliases)

    @property
    def food_id(self) -> str:
        """Its id as a food of a table of its own."""
        return food_id(self.name)

    @property
    def declares_allergens(self) -> bool:
        """Whether the pack's word on allergens is known, so that it overrides the general rules."""
        return self.ingredients is not None or self.contains is not None

    @property
    def measures(self) -> tuple[tuple[float, str, float], ...]:
        """What the pack says of weights: amount, words, grams [g]."""
        found = [(100.0, "ml", 100.0 * self.density)] if self.density else []
        return (*found, (1.0, "pack", self.pack)) if self.pack else tuple(found)


def food_id(name: str) -> str:
    """The id of an own product: the words of its name, accents off ("Crème brûlée" -> "own:creme-brulee")."""
    plain = unicodedata.normalize("NFKD", name.lower().replace("'", "").replace("’", ""))
    return PREFIX + "-".join(part for part in _SPLIT.split(plain.encode("ascii", "ignore").decode()) if part)


def cells(product: Product) -> dict[str, str]:
    """What a pack says, by the words of a label, per 100 g: written into a list, it reads back as the same."""
    found = {"name": product.name, "aliases": ", ".join(product.aliases), "per": "100 g" if product.values else ""}
    for key, tagname in _TAGS.items():
        if tagname in product.values:
            amount = product.values[tagname] / (SODIUM_PER_SALT if key == "salt" else 1)
            unit = "" if key in _MOST else " g"
            found[key] = f"{'<' if tagname in product.less_than else ''}{amount:.10g}{unit}"
    found |= {"density": f"{product.density:g}"} if product.density else {}
    found |= {"pack size": f"{product.pack:g} g"} if product.pack else {}
    found |= {"ingredients": product.ingredients} if product.ingredients else {}
    found |= {} if product.contains is None else {"contains": ", ".join(product.contains) or "none"}
    found |= {"may contain": ", ".join(product.may)} if product.may else {}
    return found | ({"sulphites": f"{product.sulphites:g} mg/kg"} if product.sulphites is not None else {})


def load(path: Path) -> TableData:
    """The packs as a food table: values, measures by density and pack size, "<" amounts as notes.

    Raises TableError as `read` does, and when two names give the same id.
    """
    return _table(_read(path), path)


def read_packs(path: Path) -> tuple[Product, ...]:
    """The products of a YAML list or of a CSV table with the same words in its head.

    Raises TableError with file and line: a file that cannot be read, an unknown word, a value that cannot be.
    """
    return products_in(_read(path), path)


def write(path: Path, folder: Path, name: str = NAME) -> tuple[TableData, Path]:
    """Import a file of packs: the table, and beside it the file itself, for what it says of allergens.

    The file's name holds its SHA-256 and the table's provenance holds it too, so that replacing the foods file
    switches to the new packs as a whole or not at all. Returns the table and its foods file. Raises TableError.
    """
    data = _read(path)
    table = _table(data, path)
    kept = f"{name}.packs.{sha256(data)[:12]}.{'csv' if _is_csv(path) else 'yaml'}"
    return table, schema.write(table, folder, name, {kept: data})


def kept(foods_file: Path) -> Path:
    """The file of packs a table was made from. Raises TableError when it is not there, not alone, or another."""
    import pyarrow.parquet as pq

    try:
        metadata = pq.ParquetFile(foods_file).schema_arrow.metadata
    except (OSError, ValueError) as error:
        raise TableError(say("tables.not-readable", problem=error), foods_file) from error
    inputs = list(schema.read_provenance(metadata, foods_file).inputs.values())
    name = foods_file.name.removesuffix(".foods.parquet")
    found = list(foods_file.parent.glob(f"{name}.packs.{inputs[0][:12]}.*")) if len(inputs) == 1 else []
    if len(found) != 1 or sha256(_read(found[0])) != inputs[0]:
        message = say("load.packs-was-made-from-no")
        raise TableError(message, foods_file)
    return found[0]


def _read(path: Path) -> bytes:
    from nutrilab.files import content

    return content(path, LARGEST, TableError, say("thing.packs"))


def _is_csv(path: Path) -> bool:
    return path.suffix.lower() == ".csv"


def products_in(data: bytes, path: Path) -> tuple[Product, ...]:
    """The products of the bytes of such a file. Raises TableError."""
    from data_loaders.pack_files import rows

    products = tuple(_product(row, path) for row in rows(data, path, _is_csv(path)))
    seen: dict[str, str] = {}
    for product in products:
        key = product.food_id
        if key == PREFIX:
            raise TableError(say("own.no-name", name=quoted(product.name)), path, product.line)
        if key in seen:
            message = say("own.name-twice", name=quoted(product.name), product=quoted(seen[key]))
            raise TableError(message, path, product.line)
        seen[key] = product.name
    return products


def _table(data: bytes, path: Path) -> TableData:
    import pandas as pd

    products = products_in(data, path)
    foods = [
        {"food_id": product.food_id, "name": product.name, "scientific_name": "", "group": GROUP}
        | {"source": FROM, "refuse": 0.0, **product.values}
        | ({"NACL": product.values["NA"] / SODIUM_PER_SALT} if "NA" in product.values else {})
        for product in products
    ]
    frame = pd.DataFrame(foods, columns=[*schema.FOOD_COLUMNS, *_TAGS.values(), "NACL"])
    frame = frame.astype(dict.fromkeys((*_TAGS.values(), "NACL"), "float64"))  # one that no pack states stays, empty
    measures = [(product.food_id, *measure) for product in products for measure in product.measures]
    table = pd.DataFrame(measures, columns=list(schema.MEASURE_COLUMNS))
    table = table.astype({"food_id": "str", "amount": "float64", "words": "str", "grams": "float64"})
    return TableData(frame, table, _provenance(data, path), _notes(products))


def _notes(products: tuple[Product, ...]) -> pd.DataFrame | None:
    import pandas as pd

    words = say("about.note-pack-less-than")
    found = [
        (product.food_id, tagname, "less than", 0.0, product.values[tagname], words)
        for product in products
        for tagname in product.less_than
    ]
    return pd.DataFrame(found, columns=list(schema.NOTE_COLUMNS)) if found else None


def _provenance(data: bytes, path: Path) -> Provenance:
    return Provenance(
        source=say("about.own-source"),
        version=say("about.own-version", day=datetime.date.today().isoformat()),
        licence=say("about.own-licence"),
        citation=say("about.own-citation", file=path.name),
        credit=say("about.own-credit"),
        carbohydrate="CHOAVL: available, as declared on a label (Regulation (EU) No 1169/2011, Annex I)",
        protein="PROCNT: nitrogen x 6.25, as declared on a label (Regulation (EU) No 1169/2011, Annex I)",
        inputs={path.name: sha256(data)},
        imported=datetime.date.today().isoformat(),
    )


def _product(row: Row, path: Path) -> Product:
    """A product from its cells. Raises TableError for a value that cannot be."""
    cells = row.cells
    if not cells["name"]:
        raise TableError(say("load.product-needs-name"), path, row.line)
    found = {key: _number(row, key, path) for key in (*_TAGS, "density", "pack size", "sulphites")}
    given = {key: number[0] for key, number in found.items() if number}
    for key in ("density", "pack size"):
        if key in given and given[key] <= 0:
            raise TableError(say("load.must-number-above-0", key=key), path, row.where(key))
    density, pack = given.get("density"), given.get("pack size")
    values = _values({key: given[key] for key in _TAGS if key in given}, row, density, path)
    if pack is not None and (cells["pack size"] or "").lower().endswith("l"):
        pack = pack * density if density else None  # millilitres of an unknown density are no weight
    return Product(
        name=cells["name"],
        aliases=row.lists["aliases"] or (),
        values=values,
        density=density,
        pack=pack,
        ingredients=cells["ingredients"],
        contains=row.lists["contains"],
        may=row.lists["may contain"] or (),
        sulphites=given.get("sulphites"),
        line=row.line,
        less_than=tuple(tagname for key, tagname in _TAGS.items() if (number := found[key]) and number[1]),
    )


def _values(given: Mapping[str, float], row: Row, density: float | None, path: Path) -> dict[str, float]:
    """Tagname -> amount per 100 g, from label word -> amount per what the pack says."""
    written = row.cells["per"] or "100 g"
    per = " ".join(written.lower().replace("100g", "100 g").replace("100ml", "100 ml").split())
    if per not in ("100 g", "100 ml"):
        raise TableError(say("load.per", text=quoted(written)), path, row.where("per"))
    if per == "100 ml" and given and not density:
        message = say("load.values-per-100-ml-need")
        raise TableError(message, path, row.where("per"))
    scale = 1.0 / density if per == "100 ml" and density else 1.0
    _check_values(given, scale, path, row.where)
    values = {_TAGS[key]: value * scale * (SODIUM_PER_SALT if key == "salt" else 1) for key, value in given.items()}
    whole = sum(values.get(tagname, 0.0) for tagname in _WHOLE) + given.get("salt", 0.0) * scale
    if whole > limits()["pack"]:
        message = say("load.fat-carbohydrate-fibre-protein-salt", whole=f"{whole:.0f}")
        raise TableError(message, path, row.line)
    return values


def _number(row: Row, key: str, path: Path) -> tuple[float, bool] | None:
    """A value in the unit of its key, and whether it is the most it may be ("<0.5 g"). Raises TableError."""
    text = row.cells[key]
    if text is None:
        return None
    units = _UNITS.get(key, _MASS)
    found = _NUMBER.fullmatch(text)
    unit = found[3].lower() if found else ""
    if not found or unit not in units:
        named = either([name for name in units if name])
        raise TableError(say("load.write-number", key=key, text=quoted(text), units=named), path, row.where(key))
    if key in _THOUSANDS and units[unit] <= 1 and (ways := two_numbers(found[2])):
        raise TableError(
            say("load.can-write-without-sign", key=key, text=quoted(text), one=ways[0], other=ways[1]),
            path,
            row.where(key),
        )
    return float(found[2].replace(",", ".")) * units[unit], bool(found[1])


def _check_values(given: Mapping[str, float], scale: float, path: Path, where: Callable[[str], int]) -> None:
    """Refuse what no food can have per 100 g; given: as the pack has it, scale: from there to 100 g."""
    for key, value in given.items():
        if value * scale > limits()[_MOST.get(key, "g")]:
            message = say("load.cannot-100-g-100-ml", key=key, value=f"{value:g}")
            raise TableError(message, path, where(key))
    for part, whole in _PARTS:
        if part in given and whole in given and given[part] > given[whole] + 0.1:
            message = say("load.part-but-here-they-more", part=part, whole=whole)
            raise TableError(message, path, where(part))
    if "energy kj" in given and "energy kcal" in given:
        kilojoules, kilocalories = given["energy kj"], given["energy kcal"]
        if abs(kilojoules - KJ_PER_KCAL * kilocalories) > max(20.0, 0.06 * kilojoules):
            message = say("load.kj-kcal-do-not-belong", kilojoules=f"{kilojoules:g}", kilocalories=f"{kilocalories:g}")
            raise TableError(message, path, where("energy kcal"))
