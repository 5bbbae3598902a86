"""What happens to a stage, and what of it nobody knows exactly: a code each, and its words out of the list."""

from __future__ import annotations

from enum import StrEnum

from nutrilab.messages import say


class Happening(StrEnum):
    """Its value is the code of a step in the records, and of a source of doubt."""

    WEIGHT = "weight"
    SCALES_AND_LINES = "scales and lines"
    WATER_LOST = "water lost"
    WEIGHT_GAINED = "weight gained"
    WATER_TAKEN_UP = "water taken up"
    COOKING_WATER = "cooking water"
    SALT_TAKEN_UP = "salt taken up"
    SALT_IN_WATER = "salt in the water"
    FAT_DRIPPED = "fat dripped"
    FAT_THAT_DRIPS = "fat that drips"
    FAT_POURED_OFF = "fat poured off"
    LOST_IN_COOKING = "lost in cooking"
    ALCOHOL_DRIVEN_OFF = "alcohol driven off"
    FRYING_OIL = "frying oil"
    THROWN_AWAY = "thrown away"
    WATER_OF_BATTER = "water of the batter"
    WATER_SALT_DRAWS = "water that salt draws"
    MARINADE = "marinade"
    SALT = "salt"
    COATING = "coating"
    BATTER = "batter"
    CRUMBS = "crumbs"
    FLOUR = "flour"
    EGG = "egg"

    @property
    def words(self) -> str:
        """As the cook reads it."""
        return say(f"cooking.did.{self.replace(' ', '-')}")
