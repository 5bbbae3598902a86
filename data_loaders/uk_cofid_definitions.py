"""CoFID's values in the core's definitions, each original beside what is made of it.

Which is made of which, with formula and source, stands in nutrilab/law/conversions.py; here: what is used when.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from math import nan

from data_loaders.uk_cofid_values import Mark, Values
from nutrilab.law.conversions import (
    Bounded,
    by_weight,
    carbohydrate_by_weight,
    drink_density,
    exact,
    fatty_acids_in_food,
    fibre_from_nsp,
    protein_refactored,
    protein_regulation,
    sugars_by_weight,
)
from nutrilab.law.energy import energy_regulation
from nutrilab.messages import say

# Alcoholic drinks are printed per 100 ml (from memory; the row "Spirits, 40% volume" holds 31.7 g alcohol, and 40 ml of
# ethanol weigh 31.6 g).
DRINKS = "Q"
FACTORS = ("EDPOR", "SPECGRAV", "XN", "FATFACT")  # of the sheet Factors: no amounts of the food
PER_FATTY_ACIDS = "SATFAC"  # [g/100 g fatty acids]
SINGLE = {"GLUS": "GLUS", "GALS": "GALS", "FRUS": "FRUS", "SUCSM": "SUCS", "MALSM": "MALS", "LACSM": "LACS"}
WORTH_A_NOTE = 0.1  # [g/100 g] the step the table prints: bounds nearer than this say nothing new
LIKELY_DENSITY = (0.9, 1.2)  # [g/ml] of a drink
MOST_FACTOR, ROUNDING = 6.38, (0.005, 0.05)  # milk's factor is the greatest; nitrogen and protein as printed [g]
WASTE = re.compile(r",?(?: fillets)? weighed\b.*", re.IGNORECASE)  # "..., weighed with bone" in a name
USUAL_SUM = 98.0  # [g] median of what is printed of a food without waste (2015 edition), ash and acids missing
_SOLIDS = ("PROCNT", "FAT", "CHOAVL", "FIBTG", "ALC")


def to_core(values: Values, names: Sequence[str], groups: Sequence[str]) -> tuple[dict[int, float], dict[int, float]]:
    """Bring all values to 100 g edible portion and add what the core needs under its tagnames; the originals stay.

    groups: food group codes. Returns by row the density [g/ml] where there is one, and the edible share [0 to 1] of
    foods that were printed with their waste.
    """
    densities = {}
    shares = _edible_shares(values, names)
    for row in range(values.count):
        drink = groups[row].startswith(DRINKS)
        density = _density(values, row, drink)
        if density:
            densities[row] = density.value
        if drink and density:
            words = say("about.note-per-100-ml", density=f"{density.value:.3f}")
            _restate(values, row, density, "ALC", words)
        if row in shares:
            words = say("about.note-with-waste", share=f"{shares[row]:.2f}")
            _restate(values, row, exact(shares[row]), "WATER", words)
        _carbohydrate(values, row)
        _fibre(values, row)
        _protein(values, row)
        _saturates(values, row)
        if drink:
            _water_of_drink(values, row)
        _energy(values, row)
    return densities, shares


def _edible_shares(values: Values, names: Sequence[str]) -> dict[int, float]:
    """Edible share of the foods printed per 100 g with bone, skin, shell or stone (from their names).

    What is printed of such a food does not come to 100 g: the rest is waste. The share is its sum over that of the same
    food without waste; where there is none, over what foods come to without their ash.
    """
    plain = {name.lower(): row for row, name in enumerate(names) if not WASTE.search(name)}
    shares = {}
    for row, name in enumerate(names):
        if WASTE.search(name) and (whole := _printed(values, row)):
            twin = plain.get(WASTE.sub("", name).lower())
            shares[row] = min(1.0, whole / (_printed(values, twin) if twin is not None else USUAL_SUM))
    return shares


def _printed(values: Values, row: int) -> float:
    """Sum of the components printed [g], carbohydrate as printed."""
    return sum(values.get(name, row) or 0.0 for name in ("WATER", "PROCNT_JONES", "FAT", "CHOAVLM", "PSACNS", "ALC"))


def _density(values: Values, row: int, drink: bool) -> Bounded | None:
    """The table's specific gravity; of a drink without one, what its alcohol and sugars make."""
    printed = values.get("SPECGRAV", row)
    if printed and (not drink or LIKELY_DENSITY[0] <= printed <= LIKELY_DENSITY[1]):
        return exact(printed)
    alcohol = values.get("ALC", row)
    if not drink or alcohol is None:
        return None
    return drink_density(alcohol, values.get("CHOAVLM", row) or 0.0)


def _restate(values: Values, row: int, by: Bounded, noted: str, words: str) -> None:
    """Everything of a food divided by a density or a share; the component ``noted`` gets the note."""
    for tagname in values.columns:
        old = values.bounded(tagname, row)
        if old is None or tagname in FACTORS or tagname == PER_FATTY_ACIDS:
            continue
        mark = values.marks.get((tagname, row))
        if mark is not None:
            mark = mark._replace(low=mark.low / by.value, high=mark.high / by.value)
        elif tagname == noted:
            mark = Mark("converted", old.value / by.high, old.value / by.low, words)
        values.put(tagname, row, old.value / by.value, mark)


def _carbohydrate(values: Values, row: int) -> None:
    """CHOAVL, SUGAR, STARCH, OLSAC and single sugars by weight."""
    single = {tagname: found for own, tagname in SINGLE.items() if (found := values.get(own, row)) is not None}
    parts = {"STARCHM": "STARCH", "OLSACM": "OLSAC"} | SINGLE
    for own, tagname in parts.items():
        if tagname != own:
            _single(values, row, own, tagname)
    total, sugars = values.bounded("CHOAVLM", row), values.bounded("SUGARM", row)
    told: tuple[float, Bounded] | None = None
    if sugars is not None:
        _put(values, row, "SUGAR", sugars_by_weight(sugars, single), "SUGARM")
        told = sugars.value, sugars_by_weight(exact(sugars.value), single)
    elif single:
        known = sum(single.values())
        told = known, sugars_by_weight(exact(known), single)
    if total is not None:
        starch, oligosaccharides = values.get("STARCHM", row), values.get("OLSACM", row)
        _put(values, row, "CHOAVL", carbohydrate_by_weight(total, starch, oligosaccharides, told), "CHOAVLM")


def _single(values: Values, row: int, own: str, tagname: str) -> None:
    """One carbohydrate by weight; a mark of the original goes with it."""
    amount = values.get(own, row)
    if amount is None:
        values.put(tagname, row, None)
        return
    weight, mark = by_weight(tagname, amount), values.marks.get((own, row))
    if mark is not None:
        mark = mark._replace(low=by_weight(tagname, mark.low).low, high=by_weight(tagname, mark.high).high)
    values.put(tagname, row, weight, mark)


def _put(values: Values, row: int, tagname: str, amount: Bounded, own: str) -> None:
    """A sum by weight, with a note where its bounds are apart or its original has a mark."""
    mark = values.marks.get((own, row))
    if mark is not None:
        low, high = (amount.low, amount.high) if mark.low == mark.low else (mark.low, mark.high)
        mark = mark._replace(low=low, high=high)
    elif amount.high - amount.low > WORTH_A_NOTE:
        words = say("about.note-monosaccharides", own=own, weight=f"{values.get(own, row):g} g")
        mark = Mark("converted", amount.low, amount.high, words)
    values.put(tagname, row, amount, mark)


def _fibre(values: Values, row: int) -> None:
    """FIBTG: by the AOAC method as printed; else made of NSP, and no more than what the rest leaves of 100 g."""
    nsp = values.bounded("PSACNS", row)
    if values.get("FIBTG", row) is not None or nsp is None:
        return
    room = 100.0 - sum(values.get(name, row) or 0.0 for name in ("WATER", "PROCNT_JONES", "FAT", "CHOAVL", "ALC"))
    fibre = fibre_from_nsp(nsp)
    fibre = Bounded(*(min(amount, max(room, nsp.value)) for amount in fibre))
    words = say("about.note-fibre-of-nsp", weight=f"{nsp.value:g} g")
    values.put("FIBTG", row, fibre, Mark("converted", fibre.low, fibre.high, words) if fibre.high else None)


def _protein(values: Values, row: int) -> None:
    """PROCNT: nitrogen x 6.25. Where protein is more than any factor makes of the nitrogen, one of the two is a
    misprint; energy goes with the protein, so that one counts."""
    nitrogen, own, factor = (values.get(tagname, row) for tagname in ("NT", "PROCNT_JONES", "XN"))
    mark = values.marks.get(("PROCNT_JONES", row))
    if nitrogen is None:
        found = own if own is None or not factor else protein_refactored(own, factor)
    elif own is not None and own > MOST_FACTOR * (nitrogen + ROUNDING[0]) + ROUNDING[1]:
        found = own
        words = say("about.note-nitrogen", weight=f"{nitrogen:g} g")
        low, high = sorted((protein_regulation(nitrogen), own))
        mark = Mark("estimate", low, high, words)
    else:
        found = protein_regulation(nitrogen)
        mark = values.marks.get(("NT", row))
        if mark is not None:
            mark = mark._replace(low=protein_regulation(mark.low), high=protein_regulation(mark.high))
    values.put("PROCNT", row, found, mark)


def _saturates(values: Values, row: int) -> None:
    """FASAT as printed; else from its share of the fatty acids, where fat and factor are known."""
    if values.get("FASAT", row) is not None:
        return
    share, fat, factor = (values.get(tagname, row) for tagname in (PER_FATTY_ACIDS, "FAT", "FATFACT"))
    if share is not None and fat is not None and factor:
        amount = fatty_acids_in_food(share, fat, factor)
        words = say("about.note-fatty-acids", share=f"{share:g} g", fat=f"{fat:g} g", factor=f"{factor:g}")
        values.put("FASAT", row, amount, Mark("converted", nan, nan, words))


def _water_of_drink(values: Values, row: int) -> None:
    """WATER of a drink by difference: what is printed per 100 ml does not divide by the density."""
    solids = sum(values.get(tagname, row) or 0.0 for tagname in _SOLIDS)
    if values.get("WATER", row) is not None and values.get("ALC", row) is not None:
        water = max(0.0, 100.0 - solids)
        values.put("WATER", row, water, Mark("converted", nan, nan, say("about.note-water-of-drink")))


def _energy(values: Values, row: int) -> None:
    """ENERC_KJ and ENERC_KCAL by the Regulation, where protein, fat and carbohydrate are known."""
    known = {tagname: found for tagname in _SOLIDS if (found := values.get(tagname, row)) is not None}
    whole = all(tagname in known for tagname in ("PROCNT", "FAT", "CHOAVL"))
    kj, kcal = energy_regulation(known) if whole else (None, None)
    values.put("ENERC_KJ", row, kj)
    values.put("ENERC_KCAL", row, kcal)
