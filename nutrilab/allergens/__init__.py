"""The 14 allergens of Annex II with evidence, the labels of packs, and the ingredients list."""

from nutrilab.allergens.find import Findings, cautions, find, join
from nutrilab.allergens.values import ALLERGENS

__all__ = ["ALLERGENS", "Findings", "cautions", "find", "join"]
