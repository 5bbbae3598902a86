"""Write tests/published/listed_foods.csv: ``python -m tests.derive.listed_foods``.

What the foods of the UK and the French word lists hold of protein, fat, available carbohydrate, water and sodium, as
the loaders read them from ../shared/reference, so that the lists are checked anywhere.
"""

from __future__ import annotations

from nutrilab.law.energy import available_carbohydrate
from nutrilab.lexicon import entries
from nutrilab.linking.wordlists import NONE
from tests.derive.extracts import write
from tests.published.three_tables import british, french

SOURCES = (
    "Sources: UK Composition of Foods Integrated Dataset (McCance and Widdowson's), proximates 2015, inorganics 2021,",
    "Open Government Licence v3; Anses CIQUAL 2020, Licence Ouverte (Etalab). Per 100 g: NA in mg, else g.",
)
TAGS = ("PROCNT", "FAT", "CHOAVL", "WATER", "NA")


def main() -> None:
    """Read both tables and write the extract."""
    found = []
    for table in (british(), french()):
        wanted = {row[2] for row in entries(table.path.name.partition(".")[0]) or () if row[2] != NONE}
        for food in sorted(wanted & set(table.ids)):
            values = dict(table.food(food).values)
            if (carbohydrate := available_carbohydrate(values)) is not None:
                values["CHOAVL"] = carbohydrate
            found.append((food, *(f"{values[tag]:.4g}" if tag in values else "" for tag in TAGS)))
    write("../listed_foods.csv", SOURCES, ("food", *TAGS), found)


if __name__ == "__main__":
    main()
