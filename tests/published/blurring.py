"""A published ingredient as a cook would have written it: in plain words, and in kitchen measures or rounded grams.

A published recipe says "Onions, raw" 95 g; a cook says "1 onion". What is drawn is drawn by a seed, and nothing here
asks nutrilab anything: neither its words, nor its measures, nor what it would make of the line.

**The food.** Of a name of SR28 the parts between commas that a shop or a laboratory needs ("raw", "enriched", "year
round average", "separable lean only", brand names, what stands in brackets) are left out, and so is the class a name
begins with ("Spices, pepper, black"). Of what is left the first one, two or three parts are told, each as likely, but
never one alone where no cook would ("cheese", "beans"). They stand in kitchen order ("olive oil", "chicken breast",
"tomato sauce"). What was done to it before it went in is told: canned, frozen, dried, smoked, cooked. Two foods of
one dish are told apart by one more part, as a cook would; where that does not do, they are one line.

**The amount.** Meat and fish are weighed. Of all else it is a toss-up which of the ways that SR28 has a measure for
is taken: counted pieces, a cup or spoon, or the scales; below `SCALES` [g] no kitchen scale is of use, so there a
spoon comes first. One such measure of this cook weighs what SR28 says times a draw from how much SR28 itself found
such measures to differ (`SPREAD`: the median relative standard deviation of WEIGHT.txt). The number is rounded to
what cooks write: quarters and thirds of a cup, halves of a piece, whole tablespoons from two on (common practice, no
source); grams as recipes have them (`GRAMS`).
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from math import exp, log
from random import Random
from typing import NamedTuple

from nutrilab.foods import Food

MOST = 20  # pieces that a cook counts (common practice, no source)
SCALES = 15.0  # g; below it a cook takes a spoon (common practice, no source)
# Relative standard deviation of a measure: median over the rows of SR28's WEIGHT.txt that publish a Std_Dev, of foods
# that are counted, spooned or sliced; tests/published/test_calibration.py reckons them again where the file is here.
SPREAD = {"volume": 0.054, "piece": 0.085, "slice": 0.118}

# Classes that a name of SR28 begins with, and no cook says.
CLASSES = frozenset((
    "spices", "leavening agents", "nuts", "seeds", "fish", "crustaceans", "mollusks", "beverages", "snacks", "candies",
    "cereals", "cereals ready-to-eat", "alcoholic beverage", "sweeteners", "game meat", "salad dressing", "restaurant",
    "fast food", "fast foods", "seaweed", "animal fat",
))  # fmt: skip
HEADS = {  # what a head is in a kitchen
    "tomato products": "tomato", "wheat flour": "flour", "sugars": "sugar", "syrups": "syrup",
    "cream substitute": "creamer",
    "ice creams": "ice cream", "frozen yogurts": "frozen yogurt", "puddings": "pudding", "gelatins": "gelatin",
    "pork sausage": "sausage", "butter oil": "clarified butter", "jellies": "jelly", "rolls": "roll",
    "shortening industrial": "shortening", "margarine-like": "margarine", "turkey from whole": "turkey",
    "mayonnaise-like": "mayonnaise", "mayonnaise type": "mayonnaise",
}  # fmt: skip
# What tells a shop or a laboratory something, and a cook nothing.
LABEL = re.compile(
    r"(ns as to.*|.* eaten|from raw|from pre-cooked|"
    r"raw|fresh|fluid|regular|enriched|unenriched|bleached|unbleached|fortified|not fortified|degermed|crude|"
    r"whole|table|red or green|ripe|seedless|anhydrous|cultured|composite.*|household|industrial.*|multiuse.*|"
    r"principal use.*|tap|municipal|drinking|bottled|generic|plain|original.*|all.*|mature seeds|"
    r"immature seeds|snap|cucumber|domestic|mixed species|various.*|choice|select|trimmed.*|separable lean.*|"
    r"meat only|meat and skin|broilers? or fryers?|broiler|boneless.*|bone-in|skinless|lip-o.*|heated|unheated|"
    r"unprepared|prepared.*|home-prepared|home recipe|homemade|commercial.*|ready-to.*|refrigerated|drained.*|"
    r"solids.*|.* solids|includes.*|excluding.*|added .*|with.*|without.*|no .* added|.* added|pre-sliced|"
    r"flesh.*|year round average|european.*|american type.*|domesticated|farmed|wild|atlantic.*|pacific.*|"
    r"alaska|low moisture|double-acting|sodium.*|straight.*|salad or cooking|hydrogenated.*|imitation|"
    r"processed.*|hi-fat.*|typical.*|confection.*|kernels.*|.* pack|packed.*|family.*|retail.*|variety meats.*|"
    r"in-store.*|from .*|cut off.*|peeled|high oleic.*|semi solid|.* style|cooked in skin|cooked without skin|"
    r"for frying|dry heat|moist heat|fast food|low sodium|loosely packed|unsweetened|sulfured|uncooked|nfs|"
    r".*\d.*|fat not added.*|not reconstituted|premium.*|infant|advance.*|pasteurized process|household.*|"
    r"link/patty|patty|crumbles|liquid or frozen|stick/tub/bottle|stick|tub|or baked|not canned|northern|"
    r"from whole.*|of trimmed.*|grated|pressurized|made with.*|vitamins? .*|no alcohol|canned in .*|"
    r"beef and pork|pork and beef|extra lean.*|fruit|baked in skin|to be .*|center slice|country.*|total can.*|"
    r"carbonated|squares|tabletop|.* loin \(chops\))"
)  # fmt: skip
STATES = ("canned", "frozen", "dried", "dry", "dehydrated flakes", "smoked", "sun-dried", "sprouted")
COOKED = re.compile(
    r"(cooked|boiled|braised|broiled|simmered|microwave|stewed|steamed|pan-browned|grilled|rotisserie|sauteed|"
    r"oven heated)( .*)?"
)
SAID_SO = ("roasted", "baked", "fried", "pan-fried", "hard-boiled", "scrambled", "mashed", "toasted", "poached")
BEHIND = (
    "sauce", "puree", "paste", "juice", "broth", "stock", "liver", "fat", "peel", "powder", "mix",
    "substitute", "tops", "skin", "liquid",
)  # fmt: skip
HOT = ("serrano", "jalapeno", "hot chili", "hot chile")  # no cook calls them peppers and no more
RENAMED = {"dry powder": "powder", "dry mix": "mix", "separable fat": "fat", "tops only": "tops", "skin only": "skin"}
BEFORE = ("ground", "corned beef", "cured", "light meat", "dark meat")  # said before a meat; its cuts follow it
MEATS = (
    "Beef Products", "Pork Products", "Poultry Products", "Lamb, Veal, and Game Products",
    "Sausages and Luncheon Meats", "Finfish and Shellfish Products",
)  # fmt: skip
READY = (
    "Fast Foods",
    "Restaurant Foods",
    "Meals, Entrees, and Side Dishes",
    "Baby Foods",
)  # nothing a cook measures out
JOINTS = MEATS[:4]  # whose parts are cuts: "chicken breast"
# Heads that a cook writes by themselves: any of these groups but the words behind, and these.
PLAIN_GROUPS = (
    "Vegetables and Vegetable Products",
    "Fruits and Fruit Juices",
    "Cereal Grains and Pasta",
    "Fats and Oils",
)
PLAIN_HEADS = ("milk", "butter", "egg", "yogurt", "bread", "sugar", "molasses", "honey", "salt", "vinegar", "water")
NEVER_PLAIN = ("beans", "squash", "seaweed", "fat", "vegetables", "tomato", "dressing", "creamy dressing")


class Words(NamedTuple):
    """The plain words of a name: the states said before it, its head, the other parts, and whether it is meat."""

    states: tuple[str, ...]
    head: str
    parts: tuple[str, ...]
    meat: bool
    alone: bool  # whether a cook writes the head alone

    def told(self, count: int) -> str:
        """The first ``count`` parts in kitchen order."""
        count = max(count, 1 if self.alone else 2) - 1
        parts = [
            part for n, part in enumerate(self.parts) if n < count or part in (*BEHIND, *HOT)
        ]  # a mix is no pudding
        parts = [part for n, part in enumerate(parts) if not any(part in later for later in parts[n + 1 :])]
        before = [part for part in reversed(parts) if not self._follows(part)]
        behind = [part for part in parts if self._follows(part)]
        words = " ".join((*self.states, *before, self.head, *behind)).split()
        return " ".join(dict.fromkeys(words) if self.meat else words)

    def _follows(self, part: str) -> bool:
        return part not in BEFORE if self.meat else part in BEHIND


def plain(name: str, group: str) -> Words:
    """The plain words of a name of SR28 or FNDDS."""
    parts = _parts(name)
    if any(re.match("prepared( with| from|$)", part) for part in parts):  # the water is in it: powder no more
        parts = [part for part in parts if part not in ("powder", "condensed", "dehydrated", "dry mix")]
    said = [part for part in parts if part in SAID_SO][:1]
    if not said and any(COOKED.fullmatch(part) for part in parts):
        said = ["cooked"]
    kept = ["dried" if "dehydrated" in part else part for part in parts[1:] if part in STATES][:1]
    said += [part for part in kept if not said or part in ("dried", "sprouted")]  # cooked prunes, but not cooked frozen
    parts = [p for p in parts if p not in SAID_SO and p not in STATES and not COOKED.fullmatch(p)] or parts[:1]
    rest = [RENAMED.get(p, p) for p in parts[1:] if not LABEL.fullmatch(p) or p in RENAMED]
    rest = [re.split(r" or | and/or |/", part)[0].removesuffix(" from whole") for part in rest]
    head = HEADS.get(parts[0], parts[0])
    rest = [part for part in rest if part not in head.split()]
    for whole in ("buttermilk", "half and half"):
        if whole in rest:
            rest.remove(whole)
            head = whole
    if head == "egg":
        head, rest = " ".join(["egg", *rest[:1]]), []
    alone = (group in PLAIN_GROUPS or head in PLAIN_HEADS or not rest) and head not in NEVER_PLAIN
    return Words(tuple(said), head, tuple(rest), group in JOINTS, alone and rest[:1] != ["fat"])


def _parts(name: str) -> list[str]:
    """The parts of a name in small letters, without brackets, brands and the class it begins with."""
    found = []
    for part in re.sub(r"\([^)]*\)| as ingredient in .*", "", name).split(","):
        bare = part if " OF " in part else re.sub(r"\b[A-Z][A-Z'&]{2,}\b", "", part)
        if bare := " ".join(bare.lower().split(" -- ")[0].split()):
            found.append(bare)
    if len(found) > 1 and (found[0] in CLASSES or (found[0] == "soup" and re.search("broth|stock|bouillon", name))):
        found = found[1:]
        while len(found) > 1 and LABEL.fullmatch(found[0]):
            found = found[1:]
    if found[0] == "stock" and len(found) > 1:
        found = [f"{found[1]} stock", *found[2:]]
    if found[:2] in (["pork", "cured"], ["beef", "cured"]) and len(found) > 2:
        found = [re.split(" and water| with natural", found[2])[0], *found[3:]]
    found[0] = re.split(r" or |/", found[0])[0]
    if found[0] in ("lobster", "crab"):
        found[0] += " meat"  # what is in the pot, not in its shell
    return found


class Measure(NamedTuple):
    """A kitchen measure of a food: its kind, the words round the food's name, what one weighs [g]."""

    kind: str  # volume, piece, slice
    words: str
    how: str  # preparation, "" for none
    grams: float


TEASPOONS = {"cup": 48.0, "tbsp": 3.0, "tablespoon": 3.0, "tsp": 1.0, "teaspoon": 1.0, "fl oz": 6.0}
_VOLUME = re.compile(
    r"(cup|tbsp|tablespoon|tsp|teaspoon|fl oz)\b(?!.*(serving|shell|NLEA|frozen|yield|packet))[ ,]*([a-z]*)"
)
# Forms that food is measured in; cheese is measured before it melts, and leaves of a dried herb are what it is.
_PREPARED = (
    "whipped", "packed", "chopped", "sliced", "diced", "shredded", "grated", "mashed", "cubes", "crumbled", "sifted",
    "ground", "leaves",
)  # fmt: skip
_PIECE = re.compile(r"(?:[A-Z][a-z]+ )?(small|medium|large)\b|(clove|stalk|leaf|sprig|slice)s?\b|([a-z]+)\b")


def kind_of(measure: str) -> str | None:
    """The kind of measure that some words of SR28 are; None for packs, servings, weights and lengths."""
    if _VOLUME.match(measure):
        return "volume"
    match = _PIECE.match(measure)
    if match is None or not (match[1] or match[2]):
        return None
    return "slice" if match[2] == "slice" else "piece"


def volumes(food: Food) -> list[Measure]:
    """Cups and spoons of a food, as what a teaspoon weighs."""
    found = []
    for one in food.measures:
        match = _VOLUME.match(one.words)
        if match and (match[3] in _PREPARED or not match[3]):
            how = "" if match[3] == "leaves" else match[3]
            found.append(Measure("volume", "", how, one.grams / one.amount / TEASPOONS[match[1]]))
    return found


def pieces(food: Food, head: str) -> list[Measure]:
    """The way a food is counted: medium ones, else cloves, stalks or slices, else one of what its name says."""
    found = []
    for one in food.measures:
        if (match := _PIECE.match(one.words)) is None or re.search(
            r"serving|refuse|yield|thin|very|not eaten|box|balls", one.words, re.I
        ):
            continue
        size, part, noun = match.groups()
        other = size or ("" if "medium" in one.words else next((s for s in ("small", "large") if s in one.words), ""))
        usual = "large" if head.startswith("egg") else "medium"
        said = "" if other in ("", usual) else other
        if part:
            found.append(
                Measure("slice" if part == "slice" else "piece", f"{said} {part}".strip(), "", one.grams / one.amount)
            )
        elif size or singular(head).split()[-1] == noun:
            found.append(Measure("piece", said, "", one.grams / one.amount))
    return sorted(found, key=lambda one: len(one.words.split()) + (one.words not in ("", "small", "large")))[:1]


def singular(words: str) -> str:
    """The last word as one: "onions" is an onion."""
    for end, one in (("ies", "y"), ("oes", "o"), ("ches", "ch"), ("aves", "af"), ("s", "")):
        if words.endswith(end) and not words.endswith("ss"):
            return words.removesuffix(end) + one
    return words


def plural(words: str) -> str:
    """The last word as several."""
    if words != singular(words) or words.endswith("ss"):
        return words
    return words.removesuffix("f") + "ves" if words.endswith("leaf") else words + ("es" if words.endswith("o") else "s")


FRACTIONS = {0.0: "", 1 / 8: "1/8", 1 / 4: "1/4", 1 / 3: "1/3", 1 / 2: "1/2", 2 / 3: "2/3", 3 / 4: "3/4"}
# What cooks write of a unit, up to which amount the steps hold: (up to, fractions of one).
CUPS = ((1.0, (1 / 4, 1 / 3, 1 / 2, 2 / 3, 3 / 4)), (4.0, (0.0, 1 / 4, 1 / 2, 3 / 4)), (1e9, (0.0, 1 / 2)))
TABLESPOONS = ((2.0, (0.0, 1 / 2)), (1e9, (0.0,)))
SPOONS = ((1.0, (1 / 8, 1 / 4, 1 / 2, 3 / 4)), (1e9, (0.0, 1 / 2)))
PIECES = ((2.0, (0.0, 1 / 2)), (1e9, (0.0,)))
# Of 1,096 lines of recipes in grams (../shared/gold): 20 to 50 g 98 % in fives, 50 to 100 g 94 % in tens or 75, 100 to
# 250 g 94 % in 25s, above 92 % in 50s.
GRAMS = (
    (10.0, 1.0), (50.0, 5.0), (72.0, 10.0), (78.0, 75.0), (100.0, 10.0), (250.0, 25.0), (1000.0, 50.0), (1e9, 100.0),
)  # fmt: skip
Steps = Sequence[tuple[float, tuple[float, ...]]]


def rounded(number: float, steps: Steps) -> tuple[int, float]:
    """The whole and the fraction that a cook writes for a number: the nearest by ratio."""
    fractions = next(some for up_to, some in steps if number < up_to)
    whole = int(number)
    near = [(n, f) for n in (whole, whole + 1) for f in {*fractions, 0.0} if n + f > 0]
    return min(near, key=lambda one: abs(log((one[0] + one[1]) / number)))


def said(number: float, steps: Steps) -> str:
    """A number as a cook writes it: "1 1/2"."""
    whole, fraction = rounded(number, steps)
    return f"{whole or ''} {FRACTIONS[fraction]}".strip()


def by_volume(teaspoons: float) -> str:
    """So many teaspoons in the cup or spoon a cook takes."""
    if teaspoons < 0.09:
        return "pinch"
    if teaspoons < 2.4:
        return f"{said(teaspoons, SPOONS)} tsp"
    if teaspoons < 11:
        return f"{said(teaspoons / 3, TABLESPOONS)} tbsp"
    number = said(teaspoons / 48, CUPS)
    return f"{number} cup{'' if number == '1' or number[:2] in ('1/', '2/', '3/') else 's'}"


def by_weight(grams: float) -> str:
    """Grams as a cook writes them."""
    step = next(step for up_to, step in GRAMS if grams < up_to)
    return f"{max(step, round(grams / step) * step):.0f} g"


def by_count(number: float, piece: str, name: str) -> str:
    """So many pieces of a food."""
    many = said(number, PIECES)
    one = sum(rounded(number, PIECES)) <= 1
    if piece in ("small", "large"):
        return f"{many} {piece} {singular(name) if one else plural(name)}"
    if piece and piece not in name.split() and plural(piece) not in name.split():
        return f"{many} {piece if one else plural(piece)} {name}"
    return f"{many} {singular(name) if one else plural(name)}"


def ready(food: Food) -> str:
    """What a line says of a weight with peel, stalks and shells off: published grams are edible ones."""
    if food.name.startswith(("Crustaceans", "Mollusks")) and "canned" not in food.name:
        return ", shelled"
    if not food.refuse:
        return ""
    return {"Fruits and Fruit Juices": ", peeled", "Vegetables and Vegetable Products": ", trimmed"}.get(food.group, "")


def line(food: Food, grams: float, name: str, head: str, draw: Random) -> str:
    """An ingredient line for some grams of a food under a plain name."""
    ways: list[Measure | None] = []
    if food.group not in MEATS and grams > 0:
        cups, counted = volumes(food), pieces(food, head)
        if counted and 0.4 <= grams / counted[0].grams <= MOST:
            ways += counted if head.startswith("egg") else [*counted, None]
        elif head.startswith("egg"):
            cups = []
        if cups and not (ways and head.startswith("egg")):
            ways += [draw.choice(cups)] if grams < SCALES else [draw.choice(cups), None]
    way = draw.choice(list(dict.fromkeys(ways))) if ways else None
    if way is None:
        return f"{by_weight(grams)} {name}{ready(food)}"
    number = grams / (way.grams * exp(draw.gauss(0.0, SPREAD[way.kind])))
    if way.kind != "volume":
        return by_count(number, way.words, name)
    amount = by_volume(number)
    parts = name.split()
    if way.how and way.how not in parts:  # before the name: "1 cup walnuts, chopped" is measured whole
        parts = [*parts, way.how] if way.how == "cubes" else [way.how, *parts]
    return " ".join(["a pinch of" if amount == "pinch" else amount, *parts])
