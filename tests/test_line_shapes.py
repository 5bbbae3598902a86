"""Shapes of real ingredient lines: coordination, amounts that belong to their own food, amounts as they come, states.

Weights beside a source: USDA SR28 measures (11977 serrano 6.1 g, 11979 jalapeno 14 g, 09021 apricot 35 g, 11124 carrot
strip 7 g); eggs by Regulation (EC) No 589/2008; all others common practice, no source.
"""

from __future__ import annotations

import pytest

from nutrilab.foods import embedded
from nutrilab.kitchen import Kitchen
from nutrilab.lines import parse_line


@pytest.fixture(scope="module")
def kitchen() -> Kitchen:
    return Kitchen([embedded()])


@pytest.mark.parametrize(
    ("line", "first", "others"),
    [
        ("8 corn or flour tortillas", "corn tortillas", 1),
        ("8 flour or corn tortillas", "flour tortillas", 1),
        ("oat or soya cream", "oat cream", 1),
        ("400g can black or green lentils, drained", "black lentils", 1),
        ("2 tbsp cherry or pomegranate molasses", "cherry molasses", 1),
        ("200 g egg or rice noodles", "egg noodles", 1),
        ("100 g milk or dark chocolate", "milk chocolate", 1),
        ("100 g goat's or feta cheese", "goat's cheese", 1),
        ("2 tbsp butter or olive oil", "butter", 1),
        ("50 g sugar or maple syrup", "sugar", 1),
        ("200 g whole-milk or part-skim ricotta", "whole-milk or part-skim ricotta", 0),
        ("600 g boneless and skinless chicken thighs", "boneless and skinless chicken thighs", 0),
        ("8 bone-in, skin-on chicken thighs", "bone-in skin-on chicken thighs", 0),
        ("4 boneless, skin-on salmon fillets", "boneless skin-on salmon fillets", 0),
        ("400 g peeled and diced tomatoes", "tomatoes", 0),
        ("2 seeded, minced jalapeño", "seeded jalapeño", 0),
        ("3 medium to large avocados", "avocados", 0),
        ("1 large or 2 small red peppers", "red peppers", 0),
        ("2 medium or 3 small onions, sliced", "onions", 0),
    ],
)
def test_a_shared_noun_and_state_go_to_each_side(kitchen: Kitchen, line: str, first: str, others: int) -> None:
    record = kitchen.line(line)
    assert [food.name for food in record.foods] == [first]
    assert len(record.parsed.names) == 1 + others
    assert record.foods[0].link.food is not None or "cream" in first  # SR28 has no oat cream


def test_an_alternative_in_brackets_never_overrides_the_named_food(kitchen: Kitchen) -> None:
    record = kitchen.line("1 cup half-and-half (or whole milk)")
    assert record.foods[0].link.food is not None
    assert "half and half" in record.foods[0].link.food.name


@pytest.mark.parametrize(
    ("line", "foods"),
    [
        ("225 g plain flour and a pinch of salt", [("plain flour", 225, 225), ("salt", 0.2, 0.6)]),
        ("4 eggs and a pinch of salt", [("eggs", 200, 240), ("salt", 0.2, 0.6)]),
        ("300 ml milk and a knob of butter", [("milk", 300, 318), ("butter", 8, 25)]),
        ("2 leeks and a handful of parsley", [("leeks", 150, 500), ("parsley", 3, 30)]),
        ("1 egg plus 1 egg yolk", [("egg", 50, 58), ("egg yolk", 15, 21)]),
        ("2 eggs and 3 egg yolks", [("eggs", 100, 120), ("egg yolks", 45, 63)]),
        ("whites of 3 large eggs", [("eggs", 100, 130)]),
        ("2 carrots, 1 onion and ½ head of celery", [("carrots", 100, 180), ("onion", 100, 160), ("celery", 150, 400)]),
        ("3 tbsp soy sauce mixed with 1 tsp sesame oil", [("soy sauce", 40, 60), ("sesame oil", 4, 5)]),
        ("2 tbsp cornflour blended with 1 tbsp sherry", [("cornflour", 12, 25), ("sherry", 13, 17)]),
    ],
)
def test_every_amount_counts_with_its_own_food(
    kitchen: Kitchen, line: str, foods: list[tuple[str, float, float]]
) -> None:
    found = kitchen.line(line).foods
    assert [food.name for food in found] == [name for name, _, _ in foods]
    for food, (_, low, high) in zip(found, foods, strict=True):
        assert food.weight.grams is not None
        assert low <= food.weight.grams <= high, food.name


def test_water_a_cube_is_dissolved_in_is_reported(kitchen: Kitchen) -> None:
    assert "extra-not-counted" in {r.code for r in kitchen.line("1 stock cube, dissolved in 500 ml water").remarks}


@pytest.mark.parametrize(
    ("line", "name", "unit", "grams"),
    [
        ("2 TB butter", "butter", "tbsp", 28.8),
        ("Butter 3tb", "Butter", "tbsp", 43.2),
        ("Urad dal 1 ts", "Urad dal", "tsp", 4.4),
        ("1 14- ounce can tomatoes", "tomatoes", "tin", 396.9),
        ("1 can 14 oz tomatoes", "tomatoes", "tin", 396.9),
        ("2-21/2 pounds leeks, trimmed", "leeks", "lb", 1020.6),
        ("11/2 cups milk", "milk", "cup", 366),
        ("1/4 + 1/8 teaspoon salt", "salt", "tsp", 2.25),
        ("**2 kg** of potatoes", "potatoes", "kg", 2000),
        ("*optional* 1 carrot", "carrot", None, 68),
        ("10 g cloves", "cloves", "g", 10),
        ("100 g butter—melted", "butter", "g", 100),
        ("3 slices ham--cubed", "ham", "slice", 84),
        ("5% fat mince 500 g", "5% fat mince", "g", 500),
        ("3 Eggs large", "Eggs", None, 175.6),
        ("2 sm. onions", "onions", None, 160),
        ("100 g butter room temp", "butter", "g", 100),
    ],
)
def test_amounts_as_they_come(kitchen: Kitchen, line: str, name: str, unit: str | None, grams: float) -> None:
    record = kitchen.line(line)
    assert (record.parsed.name, record.parsed.unit) == (name, unit)
    assert record.grams == pytest.approx(grams, rel=0.02)


def test_only_a_fraction_that_lost_its_space_is_parted(kitchen: Kitchen) -> None:
    assert kitchen.line("31/2-lb chicken").parsed.quantity == 3.5
    assert kitchen.line("3/4 cup milk").parsed.quantity == 0.75


@pytest.mark.parametrize(
    "line", ["500g minced beef (15% fat)", "500 g beef mince, 15% fat", "500g beef mince (15 % fat)"]
)
def test_the_commonest_british_line(kitchen: Kitchen, line: str) -> None:
    """USDA SR28 23567: ground beef, 85 % lean, 15 % fat, raw."""
    record = kitchen.line(line)
    assert record.sureness == "sure"
    assert record.foods[0].link.food is not None
    assert record.foods[0].link.food.values["FAT"] == pytest.approx(15, abs=0.5)


@pytest.mark.parametrize(
    ("line", "says", "never"),
    [
        ("200 g beetroot, not in vinegar", "raw", "pickled"),
        ("100 g gherkins, not in oil", "", "oil"),
        ("3 potatoes (washed, dried and cut)", "raw", "dehydrated"),
        ("3 carrots (peeled, dried)", "raw", "dehydrated"),
        ("2 courgettes, rinsed and dried", "raw", "dehydrated"),
        ("100 g apples, dried", "dried", "raw"),
        ("100 g cowpea, dry, raw", "raw", "canned"),
        ("100 g chickpeas, dry", "raw", "canned"),
        ("2 chicken breasts, sliced", "raw", "roasted"),
        ("400 g tomatoes, chopped", "raw", "canned"),
        ("400 g tin chopped tomatoes", "canned", "raw"),
        ("1 tin tuna in brine, drained", "canned in water", "oil"),
        ("1 tin tuna in oil, drained", "canned in oil", "water"),
        ("1 can sliced pineapple (save juice)", "Pineapple", "juice, canned or bottled"),
    ],
)
def test_states_are_those_the_line_says(kitchen: Kitchen, line: str, says: str, never: str) -> None:
    food = kitchen.line(line).foods[0].link.food
    assert food is not None
    assert says in food.name
    assert never not in food.name


def test_a_state_no_food_meets_is_never_sure(kitchen: Kitchen) -> None:
    for line in ("50 g okra, dried", "50 g dried okra", "100 g okra, pickled"):
        assert kitchen.line(line).sureness not in ("sure", "likely"), line


@pytest.mark.parametrize(
    ("line", "low", "high"),
    [
        ("1 habanero pepper", 5, 15),
        ("2 serrano peppers", 8, 24),
        ("1 Scotch bonnet pepper", 5, 15),
        ("6 pepperoncini peppers", 30, 150),
        ("1 red pepper", 108, 163),
        ("3 dried red chillies", 1.2, 5.4),
        ("3 dried red chilies", 1.2, 5.4),
        ("2 whole dry red chilli", 0.8, 3.6),
        ("8 apricot halves", 104, 192),
        ("12 crackers", 36, 120),
        ("2 carrot sticks", 8, 28),
        ("500 g cooked mussels", 500, 500),
        ("4 fillets (about 170 g each) cod", 680, 680),
        ("1 pineapple (550 g peeled weight)", 550, 550),
    ],
)
def test_pieces_weigh_what_such_a_piece_weighs(kitchen: Kitchen, line: str, low: float, high: float) -> None:
    grams = kitchen.line(line).grams
    assert grams is not None
    assert low <= grams <= high


@pytest.mark.parametrize(
    "line",
    ["2 tbsp vegan cocoa powder", "100 ml vegan red wine", "1 cup organic cane sugar", "100 g vegetarian brown rice"],
)
def test_harmless_words_do_not_block_a_link(kitchen: Kitchen, line: str) -> None:
    assert kitchen.line(line).sureness in ("sure", "likely")


@pytest.mark.parametrize("line", ["100 g vegan cheddar", "200 g vegan butter", "4 vegan sausages"])
def test_words_that_make_another_thing_still_do(kitchen: Kitchen, line: str) -> None:
    food = kitchen.line(line).foods[0].link.food
    assert food is None or food.values.get("CHOLE", 0) < 20 or kitchen.line(line).sureness == "doubtful"


@pytest.mark.parametrize(
    ("line", "quantity", "unit", "name"),
    [  # common practice, no source
        ("10 number whole cloves", 10, None, "cloves"),
        ("3 nos tomatoes, chopped", 3, None, "tomatoes"),
        ("2 pcs salmon fillet", 2, "piece", "salmon fillet"),
        ("1- 6 oz. can frozen lemonade", 1, "tin", "frozen lemonade"),
        ("1 8 oz. pkg cream cheese", 1, "pack", "cream cheese"),
        ("1 sm. can frozen lime juice", 1, "tin", "frozen lime juice"),
        ("2 lg. tins chopped tomatoes", 2, "tin", "chopped tomatoes"),
        ("gingerbread: 5 slices", 5, "slice", "gingerbread"),
        ("Rye bread: 2 slices", 2, "slice", "Rye bread"),
        ("2 jiggers rum", 2, "jigger", "rum"),
        ("½ part garlic powder", 0.5, "part", "garlic powder"),
        ("2 normal sized cucumbers per serving", 2, None, "cucumbers"),
        ("2 medium sized potatoes", 2, None, "potatoes"),
        ("Your favourite marinara sauce", None, None, "marinara sauce"),
        ("Any lean, tough cut of beef", None, None, "lean tough cut of beef"),
        ("⅔ cup fresh-grated pecorino", 2 / 3, "cup", "pecorino"),
        ("½ cup small-diced carrots", 0.5, "cup", "carrots"),
        ("100 g finely-chopped walnuts", 100, "g", "walnuts"),
        ("½ cup short grained rice we used pudding rice", 0.5, "cup", "short grained rice"),
        ("6 ears of corn (cut off the cob)—or equivalent", 6, "ear", "corn"),
        ("2 mangos firm and green, peeled", 2, None, "mangos"),
        ("3 avocados ripe and soft", 3, None, "avocados"),
        ("If you're feeling brave, 2 slices of bacon, diced", 2, "slice", "bacon"),
        ("When in season, a handful of samphire", 1, "handful", "samphire"),
        ("½ bunch ofcoriander, leaves picked", 0.5, "bunch", "coriander"),
        ("100 ggruyère, sliced", 100, "g", "gruyère"),
        ("250mlmilk", 250, "ml", "milk"),
        ("500 g offal", 500, "g", "offal"),
        ("2 grapes", 2, None, "grapes"),
        ("3 balls ofstem ginger, finely chopped", 3, "ball", "stem ginger"),
        ("2 tbsp sesame seeds3 large cabbages, chopped", 2, "tbsp", "sesame seeds"),
        ("1 small or 1⁄2 large white cabbage (about 300g)", 1, None, "white cabbage"),
        ("*optionally*, feta", None, None, "feta"),
        ("1 lb. can tomatoes- drained!", 1, "tin", "tomatoes"),
        ("1-9 inch pie crust", 1, None, "pie crust"),
        ("1 recipe of charred corn", 1, "recipe", "charred corn"),
        ("5 chicken wings frenched", 5, None, "chicken wings"),
        ("2 full- or half-fat yoghurts", 2, None, "full-fat or half-fat yoghurts"),
        ("500 g bone- and skin-free chicken", 500, "g", "bone-free and skin-free chicken"),
        ("8 medium- to large-sized carrots", 8, None, "carrots"),
        ("equal parts white wine vinegar and water", None, None, "white wine vinegar and water"),
    ],
)
def test_amounts_and_names_as_cooks_put_them(line: str, quantity: float | None, unit: str | None, name: str) -> None:
    found = parse_line(line)
    assert (found.quantity, found.unit, found.name) == (pytest.approx(quantity), unit, name)


@pytest.mark.parametrize(
    "line",
    [
        "Throw that cheese on top. Try to distribute it evenly.",
        "Place on parchment paper, into a heavy pot, score.",
        "A nice thick fat cap on the top of the pork is preferable.",
        "If your ricotta is very wet, you'll need to drain it before using.",
    ],
)
def test_a_sentence_is_no_food_and_stays_unresolved(kitchen: Kitchen, line: str) -> None:
    record = kitchen.line(line)
    assert (record.foods, record.resolved) == ((), False)
    assert "no-food" in {remark.code for remark in record.remarks}


@pytest.mark.parametrize(
    ("line", "allergen"), [("Scatter the cheddar over it.", "milk"), ("The prawns are best bought raw.", "crustaceans")]
)
def test_a_sentence_still_tells_its_allergens(kitchen: Kitchen, line: str, allergen: str) -> None:
    assert allergen in kitchen.line(line).findings.contains


@pytest.mark.parametrize(
    ("line", "name"),
    [
        ("Butter for greasing the tin.", "Butter"),
        ("Toast, to serve.", "Toast"),
        ("A little oil for frying.", "oil"),
        ("Salt and pepper to taste.", "Salt and pepper"),
        ("2 eggs, that are best fresh.", "eggs"),
        ("Fresh herbs such as dill.", "Fresh herbs"),
    ],
)
def test_a_line_with_a_full_stop_is_still_a_line(line: str, name: str) -> None:
    assert parse_line(line).name == name


@pytest.mark.parametrize(
    ("line", "most"),
    [
        ("100 g flour and salt", 10),
        ("500 g mince, salt and pepper", 10),
        ("2 leeks and salt", 10),
        ("1 kg chips & salt", 10),
    ],
)
def test_a_seasoning_never_shares_the_amount_of_a_food(kitchen: Kitchen, line: str, most: float) -> None:
    """Common practice, no source: half of "100 g flour and salt" is no salt."""
    first, *rest = kitchen.line(line).foods
    alone = kitchen.line(line.split(" and ")[0].split(",")[0].split(" & ")[0]).grams
    assert first.weight.grams == pytest.approx(alone)
    assert all(food.weight.grams is not None and food.weight.grams <= most for food in rest)


def test_seasonings_share_a_spoon(kitchen: Kitchen) -> None:
    salt, pepper = kitchen.line("1 tsp salt and pepper").foods
    assert salt.weight.grams == pytest.approx(3, abs=0.3)
    assert pepper.weight.grams == pytest.approx(1.2, abs=0.3)


@pytest.mark.parametrize(
    "line", ["2 eggs, salt and pepper", "200 g butter, salt and freshly ground black pepper", "500 g chips, sea salt"]
)
def test_seasoning_behind_a_comma_is_a_food_of_its_own(kitchen: Kitchen, line: str) -> None:
    """Common practice, no source: it is counted by habit and said, never left out in silence."""
    record = kitchen.line(line)
    assert any(food.link.food and food.link.food.food_id == "sr:02047" for food in record.foods)
    assert "common-practice-amount" in {remark.code for remark in record.remarks}


@pytest.mark.parametrize(
    ("line", "grams"),
    [
        ("4 boneless pork chops (200 g each)", 800),
        ("2 pork chops off the bone (180 g each)", 360),
        ("4 deboned chicken thighs (120 g each)", 480),
    ],
)
def test_no_bone_is_taken_off_what_is_sold_without(kitchen: Kitchen, line: str, grams: float) -> None:
    assert kitchen.line(line).grams == pytest.approx(grams)


def test_a_bone_is_taken_off_a_chop(kitchen: Kitchen) -> None:
    """USDA SR28 10036: bone and gristle 25 %."""
    assert kitchen.line("4 pork chops (200 g each)").grams == pytest.approx(600, rel=0.1)


@pytest.mark.parametrize(
    ("line", "low", "high"),
    [  # USDA SR28 02044 basil: whole leaves 24 g a cup; 11260 mushrooms: 96 g a cup whole, 70 g sliced
        ("1 cup basil, rinsed", 20, 40),
        ("1 cup chopped basil", 38, 55),
        ("1 cup mushrooms", 80, 110),
        ("½ cup mushrooms, sliced", 30, 40),
        ("2 cup mushrooms", 20, 60),
    ],
)
def test_a_cup_holds_what_is_said_of_it(kitchen: Kitchen, line: str, low: float, high: float) -> None:
    grams = kitchen.line(line).grams
    assert grams is not None
    assert low <= grams <= high


@pytest.mark.parametrize(
    ("line", "name", "grams"),
    [
        ("¼ small or 350g red cabbage, finely shredded", "red cabbage", 140),
        ("1 tin (400 g) or 2 cups condensed milk", "condensed milk", 400),
        ("2 large or 300 g carrots", "carrots", 160),
    ],
)
def test_a_second_amount_names_the_food_and_the_first_counts(
    kitchen: Kitchen, line: str, name: str, grams: float
) -> None:
    record = kitchen.line(line)
    assert record.parsed.name == name
    assert record.grams == pytest.approx(grams, rel=0.25)


@pytest.mark.parametrize("line", ["250 ml water minus 2 tsp", "500 g flour minus 50 g", "250 g butter, less 2 tbsp"])
def test_what_is_to_be_taken_off_is_asked_about(kitchen: Kitchen, line: str) -> None:
    record = kitchen.line(line)
    assert record.parsed.name in ("water", "flour", "butter")
    assert "amount-not-understood" in {remark.code for remark in record.remarks}


@pytest.mark.parametrize(
    ("line", "unit"),
    [
        ("1 tablepoon sea salt", "tbsp"),
        ("2 teasppons sugar", "tsp"),
        ("250 mililitres milk", "ml"),
        ("1 kilogramm flour", "kg"),
        ("2 handsome carrots", None),
        ("3 teaspouts", None),
    ],
)
def test_a_slip_in_the_long_name_of_a_measure_is_read(line: str, unit: str | None) -> None:
    assert parse_line(line).unit == unit


@pytest.mark.parametrize("line", ["200 g tuna and veggies", "1 bag frozen veggies with prawns", "veggies in milk"])
def test_veggies_are_vegetables_and_take_no_allergen_away(kitchen: Kitchen, line: str) -> None:
    """ "veggie" before a name says that it is made without meat or fish; "veggies" are vegetables."""
    said = kitchen.line(line).findings
    assert {"fish", "crustaceans", "milk"} & (set(said.contains) | set(said.check))
    assert not kitchen.line("2 veggie fish fingers").findings.contains.get("fish")


@pytest.mark.parametrize(
    ("line", "name", "low", "high"),
    [
        ("Onions chopped 2 n", "Onions", 200, 320),
        ("Potatoes 5 nos", "Potatoes", 700, 1100),
        ("Eggs 3 no", "Eggs", 140, 180),
        ("Eight table-spoonfuls of sifted flour.", "flour", 45, 90),
        ("1 tea-spoon sugar", "sugar", 3.5, 5),
        ("a pinch or two of salt", "salt", 0.2, 1.5),
        ("a clove or two of garlic", "garlic", 3, 8),
        ("2 tbsp or so olive oil", "olive oil", 25, 30),
        ("½ tsp or less of salt", "salt", 2, 4),
        ("2 springs thyme", "thyme", 0.5, 6),
        ("3 springs onions", "springs onions", 30, 90),
        ("1/3 cup parsley leaves (3/4 ounce; 20g), minced", "parsley leaves", 19, 21),
        ("1 head cauliflower (1 pound; 450g)", "cauliflower", 440, 460),
        ("1 bunch kale (about 300g ; 10 ounces after de-stemming)", "kale", 295, 305),
        ("1- 3 1/2 oz. can tuna in oil", "tuna in oil", 60, 100),
        ('1" inch ginger, minced', "ginger", 5, 20),
        ("A cup of diced onions of any kind.", "onions", 120, 180),
        ("1 larger pkg. flaked almonds", "flaked almonds", 60, 250),
    ],
)
def test_amounts_as_they_come_in_other_hands(kitchen: Kitchen, line: str, name: str, low: float, high: float) -> None:
    record = kitchen.line(line)
    assert record.parsed.name == name
    assert record.grams is not None
    assert low <= record.grams <= high


@pytest.mark.parametrize(
    ("line", "unit", "quantity"),
    [
        ("250 gbrynza cheese", "g", 250),
        ("100 mlArla whole milk", "ml", 100),
        ("500 gZorbel flour", "g", 500),
        ("250 gluten free crackers", None, 250),
        ("12 gherkins", None, 12),
        ("12 mlinci", None, 12),
        ("4 green peppers", None, 4),
    ],
)
def test_a_number_and_its_glued_unit_are_no_count(line: str, unit: str | None, quantity: float) -> None:
    parsed = parse_line(line)
    assert (parsed.unit, parsed.quantity) == (unit, quantity)


@pytest.mark.parametrize(
    ("line", "food"),
    [  # USDA SR28: 11529 tomatoes, 09152 lemon juice, 09160 lime juice
        ("500 g tomatoes, chopped, with seeds and juices", "sr:11529"),
        ("2 tomatoes, flesh and juice", "sr:11529"),
        ("3 tomatoes, seeds and juice reserved", "sr:11529"),
        ("1 lemon, zest and juice", "sr:09152"),
        ("2 limes, zested and juiced", "sr:09160"),
    ],
)
def test_juice_that_stays_with_a_food_is_no_juice(kitchen: Kitchen, line: str, food: str) -> None:
    linked = kitchen.line(line).foods[0].link.food
    assert linked is not None
    assert linked.food_id == food


@pytest.mark.parametrize(
    ("line", "name"),
    [
        ("Sprinkles (optional)", "Sprinkles"),
        ("Dashes", "Dashes"),
        ("pork chops, boneless, don't go too crazy thick.", "pork chops"),
        ("Prawns, these are best bought on the day.", "Prawns"),
        ("1 (or 2) tins tuna", "tuna"),
        ("Tomato puree Â¼ cup", "Tomato puree"),
    ],
)
def test_a_line_keeps_its_food(line: str, name: str) -> None:
    assert parse_line(line).name == name


@pytest.mark.parametrize(
    ("line", "foods"),
    [  # USDA SR28: 11297 parsley, 02047 salt, 02030 pepper, 09298 raisins, 02006 cardamom, 02028 paprika
        ("parsley, herbes de provence, salt, pepper", ["sr:11297", "mix:dried-mixed-herbs", "sr:02047", "sr:02030"]),
        ("raisins, cardamom, paprika (all optional)", ["sr:09298", "sr:02006", "sr:02028"]),
        ("salt, pepper, paprika", ["sr:02047", "sr:02030", "sr:02028"]),
        ("tomatoes, whole, peeled", ["sr:11529"]),
        ("chicken, skin on, bone in", ["sr:05006"]),
    ],
)
def test_foods_with_commas_alone_between_them_are_all_read(kitchen: Kitchen, line: str, foods: list[str]) -> None:
    linked = [one.link.food for one in kitchen.line(line).foods]
    assert [food.food_id for food in linked if food is not None] == foods
