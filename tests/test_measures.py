"""The scales: every ground, what is taken off, what is said, and that no line of any kind makes them fail."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nutrilab.datafiles import rows
from nutrilab.lexicon import spelt_out
from nutrilab.lines import Amount, Reading, parse_line
from nutrilab.measures import Weight, weigh
from nutrilab.weighing import units
from nutrilab.weighing.asked import Span, around, cells
from nutrilab.weighing.phrases import Phrases, heads, kinds_named, thing
from nutrilab.weighing.pieces import Pieces


@dataclass(frozen=True)
class Measure:
    amount: float
    words: str
    grams: float


@dataclass(frozen=True)
class Food:
    """A food as the scales see it."""

    name: str
    measures: tuple[Measure, ...] = ()
    group: str = ""
    food_id: str = "own:1"
    parts: tuple[object, ...] = ()
    values: Mapping[str, float] = field(default_factory=dict)


RICE = Food("Rice, white, long-grain, raw", (Measure(1, "cup", 185),))
ALMONDS = Food("Nuts, almonds", (Measure(1, "cup, whole", 143), Measure(1, "cup, ground", 95)))
CREAM = Food("Cream, heavy", (Measure(1, "cup, whipped", 120), Measure(1, "cup, fluid", 238), Measure(1, "tbsp", 15)))
NOTHING = Food("Unheard-of thing")


def weight(text: str, food: Food | None = None, cup: str = "us") -> Weight:
    """The weight of the first food of a written line."""
    line = parse_line(text)
    return weigh(line, line.names[0] if line.names else line.name, food, cup)


def codes(found: Weight) -> list[str]:
    return [remark.code for remark in found.remarks]


@pytest.mark.parametrize(
    ("text", "grams", "ground"),
    [
        ("175g/6oz plain flour", 175, "weighed"),
        ("1oz/25g walnuts, chopped", 25, "weighed"),  # the metric one of two systems
        ("2lb potatoes", 907.2, "weighed"),
        ("800g-1kg dried spaghetti", 900, "weighed"),
        ("4 x 150g/5oz halibut fillets", 600, "weighed"),
        ("1 large carrot (about 160g)", 160, "weighed"),
        ("4 chicken breast fillets (about 170g each)", 680, "weighed"),
        ("1 tsp (5g) dry mustard", 5, "weighed"),
        ("500g apples", 500, "weighed"),  # peel and core are the cook's to weigh
        ("1.2 kg potatoes, peeled", 1200, "weighed"),
        ("2 x 400g tins chopped tomatoes", 800, "pack size"),
        ("1 x 250g tub ricotta", 250, "pack size"),
        ("2 tbsp olive oil", 27.6, "density of its kind"),
        ("500ml water", 500, "density of its kind"),
        ("2 medium eggs", 102.1, "egg class"),
        ("1 large egg yolk", 18.5, "egg class"),
        ("3 onions, sliced", 390, "counted piece"),
        ("4 rashers smoked streaky bacon", 72, "counted piece"),
        ("juice of 1 lemon", 46, "counted piece"),
        ("1 lemon, juice and zest", 50, "counted piece"),
        ("5cm piece of ginger", 25, "counted piece"),
        ("1 stick butter", 113, "counted piece"),
        ("1 tin condensed milk", 397, "pack size"),
        ("1 handful of rocket", 22, "common practice"),
        ("a knob of butter", 15, "common practice"),
        ("a pinch of salt", 0.4, "common practice"),
    ],
)
def test_grounds(text: str, grams: float, ground: str) -> None:
    found = weight(text)
    assert found.grams == pytest.approx(grams, rel=0.005)
    assert found.ground == ground


@pytest.mark.parametrize(
    ("text", "grams", "food", "ground"),
    [
        ("1 cup rice", 185, RICE, "household measure of this food"),
        ("100 ml rice", 185 / 2.365882, RICE, "density of this food"),
        ("1 cup ground almonds", 95, ALMONDS, "household measure of this food"),
        ("1 cup whole almonds", 143, ALMONDS, "household measure of this food"),
        ("2 tbsp double cream", 30 * 15 / 14.7868, CREAM, "household measure of this food"),
        ("300ml double cream, whipped", 300 * 238 / 236.588, CREAM, "density of this food"),  # poured, then whipped
        ("1 cup whipped cream", 120, CREAM, "household measure of this food"),
        (
            "1 breadfruit",
            384,
            Food("Breadfruit", (Measure(0.25, "fruit, small", 96),)),
            "household measure of this food",
        ),
    ],
)
def test_own_measures_come_first(text: str, grams: float, food: Food, ground: str) -> None:
    found = weight(text, food)
    assert found.grams == pytest.approx(grams, rel=0.005)
    assert found.ground == ground


def test_a_mix_is_not_weighed_by_its_largest_part() -> None:
    mix = Food("Oregano, fresh", (Measure(1, "tbsp", 14.8),), parts=(("water", 0.9), ("dried oregano", 0.1)))
    assert weight("1 tbsp fresh oregano", mix).grams == pytest.approx(2.7)


def test_british_sizes_beat_american_ones() -> None:
    american = Food("Apples, raw", (Measure(1, "medium", 182),))
    assert weight("2 apples", american).grams == pytest.approx(300)


@pytest.mark.parametrize(
    ("text", "share", "code"),
    [
        ("2 x 400g tins chickpeas, drained", 0.6, "drained-weight"),
        ("1 x 400g tin kidney beans", 0.6, "drained-weight"),  # cooks drain them without a word
        ("400g/14oz tinned kidney beans, rinsed and drained", 0.6, "drained-weight"),
        ("1 x 145g tin tuna in sunflower oil, drained", 0.71, "drained-weight"),
        ("1 leg of lamb on the bone (about 2kg)", 0.79, "refuse-taken-off"),
        ("1 whole chicken (about 1.5kg)", 0.68, "refuse-taken-off"),
        ("1.6kg chicken", 0.68, "refuse-taken-off"),
        ("2kg mussels, scrubbed", 0.3, "refuse-taken-off"),
        ("500g bananas", 0.64, "refuse-taken-off"),
        ("2 x 400g sea bass, filleted", 0.5, "refuse-taken-off"),
        ("1 x 1.8kg pineapple", 0.51, "refuse-taken-off"),
        ("2 butternut squash (about 650g each)", 0.84, "refuse-taken-off"),
    ],
)
def test_what_is_not_eaten_is_taken_off_and_said(text: str, share: float, code: str) -> None:
    line = parse_line(text)
    amount = line.pack or line.other or Amount(line.quantity or 0, line.unit or "g")
    gross = amount.quantity * units.grams(amount.unit) * ((line.quantity or 1) if line.pack else 1)
    found = weight(text)
    assert found.grams == pytest.approx(gross * share, rel=0.01)
    assert code in codes(found)


@pytest.mark.parametrize(
    "text",
    [
        "400g skinless cod fillet",
        "200g frozen peas",
        "400g boned, skinless chicken thighs",
        "4 x 150g salmon",  # fillets: no salmon weighs 150 g
        "300g chicken",
        "400g peeled bananas",
        "500g mussel meat",
        "150g pistachio nuts, shells removed",
        "1.2kg boned and rolled lamb shoulder",
        "350g canned butter beans, rinsed and drained",  # no whole tin: the drained weight itself
        "400g can baked beans",
        "2 x 400g tins chopped tomatoes",
        "500g pork chops, bones removed",
    ],
)
def test_ready_things_keep_their_weight(text: str) -> None:
    found = weight(text)
    line = parse_line(text)
    amount = line.pack or Amount(line.quantity or 0, line.unit or "g")
    assert found.grams == pytest.approx(
        amount.quantity * units.grams(amount.unit) * ((line.quantity or 1) if line.pack else 1)
    )
    assert codes(found) == []


def test_bones_for_stock_are_no_food() -> None:
    found = weight("1kg fish bones")
    assert found.grams is not None
    assert 0 < found.grams < 100
    assert codes(found) == ["refuse-taken-off"]


def test_a_drained_weight_in_brackets_is_taken_at_its_word() -> None:
    found = weight("2x 400 g cans green lentils, drained and rinsed (drained weight 265g)")
    assert found.grams == pytest.approx(530)
    assert found.ground == "drained pack"


@pytest.mark.parametrize("text", ["salt, to taste", "salt", "freshly ground black pepper", "oil, for frying"])
def test_no_amount_is_counted_by_common_practice_and_said(text: str) -> None:
    found = weight(text)
    assert found.grams is not None
    assert found.low is not None
    assert 0 < found.low < found.grams
    assert found.ground == "common practice"
    assert codes(found) == ["common-practice-amount"]


def test_to_taste_grows_with_the_portions() -> None:
    line = parse_line("salt, to taste")
    four, fifty = (weigh(line, "salt", None, portions=portions).grams for portions in (4, 50))
    assert four is not None
    assert fifty == pytest.approx(four * 12.5)


def test_a_pinch_is_said_and_never_zero() -> None:
    found = weight("a pinch of saffron")
    assert found.grams is not None
    assert found.grams > 0
    assert "common-practice-amount" in codes(found)


@pytest.mark.parametrize(
    ("text", "code"),
    [("goats' cheese log", "no-amount"), ("3 flurbs of quux", "weight-unknown"), ("poppy", "no-amount")],
)
def test_what_is_not_known_has_no_grams_and_a_remark(text: str, code: str) -> None:
    found = weight(text)
    assert (found.grams, found.low, found.high, found.ground) == (None, None, None, "none")
    assert codes(found) == [code]


def test_a_heading_weighs_nothing_in_silence() -> None:
    assert weight("For the sauce:") == Weight(None, None, None, "none")


def test_an_unknown_spoonful_is_water_with_a_remark() -> None:
    found = weight("2 tbsp grobble", NOTHING)
    assert found.grams == pytest.approx(30)
    assert codes(found) == ["density-assumed"]
    assert found.high - found.low > 0.5 * found.grams  # type: ignore[operator]


def test_a_measure_unlike_its_kind_is_doubted() -> None:
    wrong = Food("Peppers, hot chile, sun-dried", (Measure(1, "cup", 37),))  # whole pods for flakes
    found = weight("1 tsp chilli flakes", wrong)
    assert found.grams == pytest.approx(1.8)
    assert codes(found) == ["density-doubtful"]


def test_cups_and_quarts_follow_the_recipe_and_pints_are_british() -> None:
    assert weight("1 cup water", cup="us").grams == pytest.approx(236.6, rel=1e-3)
    assert weight("1 cup water", cup="metric").grams == pytest.approx(250, rel=1e-3)
    assert weight("1 quart water", cup="us").grams == pytest.approx(946.4, rel=1e-3)
    for cup in ("us", "metric"):
        assert weight("1 pint water", cup=cup).grams == pytest.approx(568.3, rel=1e-3)
        assert weight("1 tbsp water", cup=cup).grams == pytest.approx(15, rel=1e-3)


def test_spoons_fuller_than_level() -> None:
    level, rounded, heaped = (weight(f"1 {size} tbsp flour").grams for size in ("level", "rounded", "heaped"))
    assert level is not None
    assert rounded is not None
    assert heaped is not None
    assert level < rounded < heaped < 2.1 * level
    assert weight("1 heaped tbsp flour").high >= 2 * level  # type: ignore[operator]


@pytest.mark.parametrize(
    ("small", "large"),
    [
        ("1 small onion", "1 large onion"),
        ("1 small egg", "1 large egg"),
        ("small handful of rocket", "large handful of rocket"),
    ],
)
def test_sizes(small: str, large: str) -> None:
    assert weight(small).grams < weight(large).grams  # type: ignore[operator]


def test_more_pieces_average_out() -> None:
    one, six = weight("1 onion"), weight("6 onions")
    assert (six.high - six.low) / six.grams < 0.9 * (one.high - one.low) / one.grams  # type: ignore[operator]


def test_weak_grounds_are_wider() -> None:
    widths = [
        (found.high - found.low) / found.grams  # type: ignore[operator]
        for found in map(weight, ("100 g salt", "100 ml water", "1 onion", "a handful of rocket"))
    ]
    assert widths == sorted(widths)
    assert widths[0] <= 0.06


def test_cooked_words_against_raw_food() -> None:
    found = weight("200g cooked rice", RICE)
    assert found.grams == pytest.approx(200)
    assert found.state == "cooked"
    assert found.table_factor == pytest.approx(1 / 2.8)
    assert codes(found) == ["state-differs"]
    same = weight("200g cooked rice", Food("Rice, white, long-grain, cooked"))
    assert (same.state, same.table_factor) == (None, 1.0)
    for later in ("200g dried penne, cooked according to packet instructions", "250g penne, cooked"):
        assert weight(later, Food("Pasta, dry")).table_factor == 1.0


def test_a_thing_named_after_another_is_not_it() -> None:
    assert weight("2 chicken kievs", NOTHING).grams is None
    assert weight("1 lemon sole, filleted").grams != weight("1 lemon").grams


@pytest.mark.parametrize(
    ("name", "named", "head"),
    [
        ("tuna in sunflower oil", ("tuna",), {"tuna"}),
        ("bone-in chicken thighs", ("bone", "in", "chicken", "thigh"), {"thigh"}),
        ("cannon of lamb", ("cannon", "of", "lamb"), {"cannon", "lamb"}),
        ("fresh or tinned water chestnuts", ("fresh", "or", "tinned", "water", "chestnut"), {"chestnut"}),
    ],
)
def test_what_a_name_names(name: str, named: tuple[str, ...], head: set[str]) -> None:
    from nutrilab.text import words

    assert thing(words(name)) == named
    assert heads(words(name)) == head


def test_phrases_prefer_words_to_kinds_and_later_words() -> None:
    table = Phrases([("tomato", 1), ("puree", 2), ("tomato puree", 3), ("@sauce", 4), ("soup -tomato", 5)])
    assert table.best(("tomato", "puree")).row == 3  # type: ignore[union-attr]
    assert table.best(("tomato", "sweet", "puree"), ("@sauce",)).row == 3  # type: ignore[union-attr]
    assert table.best(("tomato", "soup")).row == 1  # type: ignore[union-attr]
    assert table.best(("gloop",), ("@sauce",)).row == 4  # type: ignore[union-attr]
    assert table.best(("gloop",)) is None


def test_kinds_by_words_by_food_by_group() -> None:
    assert "@softherb" in kinds_named("fresh basil leaves", None)
    assert "@oil" in kinds_named("my favourite", Food("Oil, olive, salad or cooking"))
    assert "@spice" in kinds_named("grobble", Food("Gribble", group="Spices and Herbs"))
    assert kinds_named("grobble", None) == ()


# --- the data


TABLES = ("pieces.csv", "vague.csv", "packs.csv")


@pytest.mark.parametrize("file", TABLES)
def test_rows_of_pieces(file: str) -> None:
    seen: dict[tuple[str, str, frozenset[str], frozenset[str]], str] = {}
    for row in rows(file):
        assert row["source"], row
        cells(row)
        for unit in row["unit"].split("|"):
            for size in row["size"].split("|"):
                for text in row["words"].split("|"):
                    for phrase in (p for ps in Phrases([(text, 0)])._by_word.values() for p in ps):
                        key = unit, size, phrase.needs, phrase.bars
                        assert seen.get(key, text) is text, f"{file}: {text!r} ({unit}) stands twice"
                        seen[key] = text


def test_rows_out_of_order_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    bad = ({"words": "x", "unit": "", "size": "", "grams": "5", "low": "6", "high": "7", "source": "none"},)
    monkeypatch.setattr("nutrilab.weighing.pieces.rows", lambda _: bad)
    with pytest.raises(ValueError, match="does not hold"):
        Pieces("bad.csv")


def test_enough_things_are_counted() -> None:
    counted = {text for row in rows("pieces.csv") if "" in row["unit"].split("|") for text in spelt_out(row["words"])}
    assert len(counted) >= 250


FILES = (*TABLES, "densities.csv", "as_bought.csv", "drained.csv", "cooked.csv", "no_amount.csv")


@pytest.mark.parametrize("file", FILES)
def test_kinds_of_the_files_exist_and_every_row_has_a_source(file: str) -> None:
    known = {kind for row in rows("kinds.csv") for kind in row["kind"].split()}
    for row in rows(file):
        assert row["source"], row
        for word in row["words"].replace("|", " ").split():
            assert word[0] != "@" or word[1:] in known, f"{file}: {word} is no kind"


# --- no line of any kind


UNITS = sorted({row["unit"] for row in rows("units.csv")})
NAMES = [
    "onion",
    "red wine",
    "chicken",
    "tinned tomatoes",
    "salt",
    "egg",
    "egg yolks",
    "fresh basil",
    "",
    "in",
    "x y z",
    "½",
]
NAMES += [
    "mussels",
    "leg of lamb",
    "chickpeas",
    "lemon",
    "flour",
    "self-raising flour",
    "of",
    "bone-in",
    "ice cream",
    "% ()",
]
amounts = st.builds(
    Amount,
    st.floats(0, 1e6),
    st.sampled_from([*UNITS, ""]),
    st.none() | st.floats(0, 1e6),
)
lines = st.builds(
    Reading,
    text=st.text(max_size=60),
    quantity=st.none() | st.floats(-10, 1e6) | st.sampled_from([math.inf, math.nan]),
    quantity_max=st.none() | st.floats(0, 1e6),
    unit=st.none() | st.sampled_from([*UNITS, "flurb"]),
    name=st.sampled_from(NAMES),
    preparation=st.none()
    | st.sampled_from(["drained", "juice only", "cooked", "cut into 8 pieces, on the bone", "whipped"]),
    size=st.none() | st.sampled_from(["small", "large", "heaped", "thumb-sized", "a few", "lightly heaped", ""]),
    pack=st.none() | amounts,
    other=st.none() | amounts,
    purpose=st.none() | st.sampled_from(["to taste", "for frying", "to serve"]),
    part=st.none() | st.sampled_from(["juice", "zest and juice", "yolk", "leaves", "rind"]),
)
foods = st.none() | st.builds(
    Food,
    name=st.sampled_from(["Rice, raw", "Rice, cooked", "Egg, whole", "Oil, olive"]),
    group=st.sampled_from(["Spices and Herbs", "Poultry Products", "nothing"]),
    measures=st.lists(
        st.builds(
            Measure,
            amount=st.sampled_from([0.0, 0.5, 1.0, 2.0]),
            words=st.sampled_from(
                ["cup", "tbsp", "cup, chopped", "serving 1/0 cup", "medium (2 in)", "slice", "", "large"]
            ),
            grams=st.floats(0.1, 1000),
        ),
        max_size=4,
    ).map(tuple),
)


@settings(max_examples=600, deadline=None)
@given(
    line=lines, name=st.sampled_from(NAMES) | st.text(max_size=30), food=foods, cup=st.sampled_from(["us", "metric"])
)
def test_weighing_never_raises_and_ranges_are_in_order(line: Reading, name: str, food: Food | None, cup: str) -> None:
    found = weigh(line, name, food, cup)
    if found.grams is None:
        assert found.low is None
        assert found.high is None
        assert found.remarks, "nothing known, and nothing said"
    else:
        assert found.low is not None
        assert found.high is not None
        assert 0 <= found.low <= found.grams * (1 + 1e-9)
        assert found.grams <= found.high * (1 + 1e-9)
        assert found.ground != "none"


SCALING = [
    "g",
    "kg",
    "oz",
    "tsp",
    "tbsp",
    "cup",
    "ml",
    "pint",
    None,
    "clove",
    "slice",
    "rasher",
    "sprig",
    "tin",
    "handful",
]


@settings(max_examples=300, deadline=None)
@given(
    unit=st.sampled_from(SCALING),
    name=st.sampled_from(
        ["onion", "garlic", "red wine", "bacon", "white bread", "fresh thyme", "chickpeas", "eggs", "rice"]
    ),
    quantity=st.floats(0.25, 20),
    factor=st.floats(0.1, 50),
)
def test_grams_grow_with_the_quantity(unit: str | None, name: str, quantity: float, factor: float) -> None:
    line = Reading(text="", quantity=quantity, unit=unit, name=name, names=(name,))
    once, more = weigh(line, name, RICE), weigh(replace(line, quantity=quantity * factor), name, RICE)
    assert (once.grams is None) == (more.grams is None)
    if once.grams is not None:
        assert more.grams == pytest.approx(once.grams * factor)


@settings(max_examples=200, deadline=None)
@given(st.text(max_size=200))
def test_any_text_can_be_weighed(text: str) -> None:
    line = parse_line(text)
    for name in line.names or (line.name,):
        weigh(line, name, None)


@given(st.floats(0, 1e6), st.floats(0, 1), st.floats(0, 100))
def test_spans_stay_in_order(grams: float, share: float, number: float) -> None:
    span = around(grams, share).likely(number)
    assert span.low <= span.grams <= span.high
    assert span.plus(Span(1, 0, 2)).grams == pytest.approx(grams + 1)


@pytest.mark.parametrize(
    "text",
    ["400g tin chickpeas, drained (240g drained weight)", "400 g tin of chickpeas (drained weight 240 g)"],
)
def test_a_drained_weight_that_is_written_is_counted_as_it_is(text: str) -> None:
    line = parse_line(text)
    weight = weigh(line, line.names[0], None)
    assert (weight.grams, weight.ground, weight.remarks) == (240, "drained pack", ())
