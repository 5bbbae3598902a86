"""The regulation's part: order, rounding, reference intakes, bands, vitamins and minerals of a nutrition declaration.

All values come unrounded and are rounded here, once. The rules stand in data files with their sources: rounding.csv,
reference_intakes.csv, bands.csv, nrv.csv, significant.csv, component_density.csv.
"""

from nutrilab.declaration.bands import Band, Limits, band, limits
from nutrilab.declaration.basis import Basis, basis
from nutrilab.declaration.drinks import DRINK_REMARK, density, per_100_words, per_100ml
from nutrilab.declaration.intakes import (
    REFERENCE_STATEMENT,
    percent,
    percent_of_intake,
    reference_intakes,
    share_of_intake,
)
from nutrilab.declaration.micronutrients import (
    MICRONUTRIENT_REMARK,
    Micronutrient,
    micronutrients,
    micronutrients_of,
)
from nutrilab.declaration.nrv import Nrv, Way, nrvs
from nutrilab.declaration.rounding import ORDER, UNKNOWN, declaration, declared, unmoved

__all__ = [
    "DRINK_REMARK",
    "MICRONUTRIENT_REMARK",
    "ORDER",
    "REFERENCE_STATEMENT",
    "UNKNOWN",
    "Band",
    "Basis",
    "Limits",
    "Micronutrient",
    "Nrv",
    "Way",
    "band",
    "basis",
    "declaration",
    "declared",
    "density",
    "limits",
    "micronutrients",
    "micronutrients_of",
    "nrvs",
    "per_100_words",
    "per_100ml",
    "percent",
    "percent_of_intake",
    "reference_intakes",
    "share_of_intake",
    "unmoved",
]
