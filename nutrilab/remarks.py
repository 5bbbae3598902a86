"""What the tool has to say to the cook: remarks beside a result, and refusals."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum
from functools import cache

from nutrilab.datafiles import rows
from nutrilab.messages import say
from nutrilab.plain import file_name, sentence


class Code(StrEnum):
    """The code of a remark, a short stable word for programs; what each means stands in data/remark_codes.csv."""

    ADDED_AFTER_WEIGHING = "added-after-weighing"
    AMOUNT_ABSURD = "amount-absurd"
    AMOUNT_ADDED = "amount-added"
    AMOUNT_AMBIGUOUS = "amount-ambiguous"
    AMOUNT_ASSUMED = "amount-assumed"
    AMOUNT_IN_METHOD = "amount-in-method"
    AMOUNT_LEFT_OUT = "amount-left-out"
    AMOUNT_NOT_UNDERSTOOD = "amount-not-understood"
    AMOUNT_SHARED = "amount-shared"
    AMOUNTS_DISAGREE = "amounts-disagree"
    BEYOND_TABLE = "beyond-table"
    BORROWED = "borrowed"
    CHOICE = "choice"
    COATING_ESTIMATED = "coating-estimated"
    COMMON_PRACTICE_AMOUNT = "common-practice-amount"
    COMPOSED_FOOD = "composed-food"
    DECIDED_NO_FOOD = "decided-no-food"
    DECISION_NEAR = "decision-near"
    DENSITY_ASSUMED = "density-assumed"
    DENSITY_DOUBTFUL = "density-doubtful"
    DRAINED_WEIGHT = "drained-weight"
    EXTRA_NOT_COUNTED = "extra-not-counted"
    FAT_DRIPPED = "fat-dripped"
    FOODS_NOT_COUNTED = "foods-not-counted"
    FRIED_WITHOUT_FAT = "fried-without-fat"
    FRYING_OIL_ESTIMATED = "frying-oil-estimated"
    IMPOSSIBLE_ENERGY = "impossible-energy"
    IMPROBABLE = "improbable"
    KEPT_BACK = "kept-back"
    LABEL_EMPHASIS = "label-emphasis"
    LABEL_UNREAD = "label-unread"
    LEFT_OUT = "left-out"
    LEFT_OUT_AS_STEP = "left-out-as-step"
    LONG_HEAT_NO_LOSS = "long-heat-no-loss"
    MARINADE_ESTIMATED = "marinade-estimated"
    METHOD_NAMES_UNLISTED = "method-names-unlisted"
    MUCH_FAT = "much-fat"
    NO_AMOUNT = "no-amount"
    NO_FOOD = "no-food"
    NO_FRYING_OIL = "no-frying-oil"
    NO_MINUTES = "no-minutes"
    NO_MOISTURE_LOSS = "no-moisture-loss"
    NOT_ENGLISH = "not-english"
    OWN_PRODUCT_NEAR = "own-product-near"
    PACK_BEFORE_COOKING = "pack-before-cooking"
    PACK_SIZE_ASSUMED = "pack-size-assumed"
    PAGE_BROKEN_DATA = "page-broken-data"
    PAGE_CUT_OFF = "page-cut-off"
    PAGE_LISTS_DIFFER = "page-lists-differ"
    PORTIONS_NOT_READ = "portions-not-read"
    PORTIONS_ONE = "portions-one"
    PORTIONS_PIECES = "portions-pieces"
    PORTIONS_RANGE = "portions-range"
    PORTIONS_TWICE = "portions-twice"
    PRODUCT_WITHOUT_ALLERGENS = "product-without-allergens"
    READ_AS = "read-as"
    REFUSE_TAKEN_OFF = "refuse-taken-off"
    SALT_AND_SODIUM = "salt-and-sodium"
    SALT_IN_COOKING_WATER = "salt-in-cooking-water"
    SCALES_AND_LINES = "scales-and-lines"
    SERVED_WITH_UNLISTED = "served-with-unlisted"
    STATE_DIFFERS = "state-differs"
    STEP_NOT_UNDERSTOOD = "step-not-understood"
    STOCK_KIND = "stock-kind"
    SUM_NOT_100 = "sum-not-100"
    TABLE_CONTRADICTS_ITSELF = "table-contradicts-itself"
    TAKEN_FOR_HEADING = "taken-for-heading"
    THROWN_AWAY = "thrown-away"
    THROWN_AWAY_PART = "thrown-away-part"
    UNTRIED_TABLE = "untried-table"
    WATER_FROM_METHOD = "water-from-method"
    WATER_UNKNOWN = "water-unknown"
    WEIGHED_AS_SERVED = "weighed-as-served"
    WEIGHT_UNKNOWN = "weight-unknown"
    WORDS_LEFT_OVER = "words-left-over"


@cache
def _to_do() -> frozenset[str]:
    return frozenset(row["code"] for row in rows("remark_codes.csv") if row["kind"] == "do")


@dataclass(frozen=True, slots=True)
class Remark:
    """A warning that travels with a result; nothing in the core prints.

    code: short stable word for programs ("no-moisture-loss"); message: one plain
    sentence for the cook; stage and line: where it belongs, line counted from 1 in
    the stage's own list of ingredients.
    """

    code: Code
    message: str
    stage: str | None = None
    line: int | None = None

    def __post_init__(self) -> None:
        object.__setattr__(self, "message", sentence(self.message))  # what it quotes came from anywhere

    @property
    def to_do(self) -> bool:
        """Whether the cook has something to do or to look at; what is only good to know stands among the evidence."""
        return self.code in _to_do()

    def at(self, stage: str | None, line: int | None = None) -> Remark:
        """The same remark, placed in a stage and at a line of it."""
        return replace(self, stage=stage, line=line)


class NutrilabError(Exception):
    """What cannot be done: one sentence with the file, the line, the fault and the cure, harmless wherever it is shown.

    message: without its place; file, line: the place, None where there is none.
    """

    def __init__(self, message: str, file: object = None, line: int | None = None) -> None:
        self.message, self.file, self.line = sentence(message), file, line
        super().__init__(self._placed())

    def _placed(self) -> str:
        if self.file is None:
            return self.message
        if not self.line:
            return say("file.at", file=file_name(self.file), problem=self.message)
        return say("file.at-line", file=file_name(self.file), line=self.line, problem=self.message)


class InputError(NutrilabError):
    """Input that cannot be used."""
