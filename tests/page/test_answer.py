"""What the page says of a dish, held part by part against the record that the command line writes of the same file."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from nutrilab import open_kitchen
from nutrilab.folder import Dish
from nutrilab.messages import as_grams, say
from nutrilab.settling import settle_first, weigh_next
from nutrilab.sheets.because import because
from tests import html_tree
from tests.html_tree import Element
from tests.page.serving import STEW, Client, parts, served

DEMOS = Path(__file__).parents[2] / "demo_recipes"
PACK = "- name: Lantern chocolate\n  aliases: dark chocolate\n  ingredients: cocoa mass, sugar\n"
PACK += "  contains: soya\n  may contain: milk, nuts\n"
# Each keeps a dish from a plain answer in another way.
OPEN = {
    "zorblax.txt": STEW,
    "oat-cream.txt": "Oat broth\nServes 4\n\n150 g oat cream\n2 onions\n",
    "toast.txt": "Quay toast\nServes 2\n\n2 slices white bread\nsome butter\n",
    "chocolate.txt": "Tide pots\nServes 4\n\n200 g dark chocolate\n300 ml single cream\n",
    "salty.txt": "Brine pie\nServes 4\n\n1 chicken\n500 g leeks\n2 kg salt\nsome butter\n",
    "two.txt": "Sea toast\nServes 2\n\n2 slices rye bread\n50 g butter and olive oil\n",
    "plain.txt": "Carrots\nServes 2\n\n500 g carrots\n",
    "both.txt": "Slack water stew\nServes 4\n\n200 g frimble\n150 g oat cream\n30 g dark chocolate\n2 sausages\n",
    "one-stock.txt": "Broth\nServes 3\n\n1 vegetable stock cube\n2 leeks\n",
    "beside.yaml": "dish: Ham\nportions: 4\ningredients:\n  - 400 g ham\n"
    "serve with:\n  - 40 g rye bread\n  - 9 g butter\n",
    "stages.yaml": "dish: Cod in sauce\nportions: 4\nstages:\n  - stage: sauce\n    ingredients:\n      - 50 g butter\n"
    "      - 500 ml milk\n  - stage: dish\n    ingredients:\n      - all of sauce\n      - 40 g butter\n"
    "      - 1 tsp mustard\n",
}  # fmt: skip
NAMES = (*sorted(OPEN), *sorted(p.name for p in DEMOS.iterdir() if p.suffix in (".yaml", ".txt")))
KINDS = ("contains", "check", "may")


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    found = tmp_path_factory.mktemp("answer") / "kitchen"
    (found / "packs").mkdir(parents=True)
    for one in (*DEMOS.glob("*.yaml"), *DEMOS.glob("*.txt"), *DEMOS.glob("packs/*")):
        (found / one.relative_to(DEMOS)).write_bytes(one.read_bytes())
    for name, text in OPEN.items():
        (found / name).write_text(text)
    (found / "products.yaml").write_text(PACK)
    return found


@pytest.fixture(scope="module")
def page(folder: Path) -> Iterator[Client]:
    with served(folder) as client:
        yield client


@pytest.fixture(scope="module")
def kitchen(folder: Path) -> Any:
    return open_kitchen(folder)


def shown(page: Client, folder: Path, name: str) -> tuple[dict[str, Element], str]:
    """The parts of the page of a file as trees, and the answer in a breath."""
    found = parts(page, "look", (folder / name).read_text(), was=name, name=name)
    return {key: html_tree.read(text) for key, text in found["parts"].items()}, found["spoken"].replace("\xa0", " ")


def groups(answer: Element) -> dict[str, str]:
    """The groups of an answer by their kind, each with the word that stands before it."""
    return {
        kind: one.text for kind in KINDS for one in answer.all("p", class_="group") if one.all(class_=f"tag-{kind}")
    }


def wanted(dish: Dish, kind: str) -> str:
    """The allergens of a group as they have to stand there."""
    names = [one.named for one in because(dish) if one.kind == kind]
    return f"{say(f'sheet.{kind}')} {', '.join(names) or say('sheet.nothing-found')}"


@pytest.mark.parametrize("name", NAMES)
def test_the_groups_are_those_of_the_record(page: Client, folder: Path, kitchen: Any, name: str) -> None:
    """Every group is there and holds what it has to, no more: what is contained stands in no other."""
    dish = kitchen.dish(folder / name)
    told = dish.to_dict()["allergens"]
    found = groups(shown(page, folder, name)[0]["answer"])
    kinds = [kind for kind in KINDS if kind == "contains" or any(one.kind == kind for one in because(dish))]
    assert found == {kind: wanted(dish, kind) for kind in kinds}
    for allergen in told["named"]:
        assert allergen in found["contains"]
    for allergen in told["check"]:
        assert allergen in found["check"]
        assert allergen in told["contains"] or allergen not in found["contains"]
    for allergen in told["may_contain"]:
        assert allergen in found["may"]
    assert bool(told["check"]) <= ("check" in found)
    assert bool(told["may_contain"]) == ("may" in found)


@pytest.mark.parametrize("name", NAMES)
def test_complete_or_what_is_missing_is_that_of_the_record(page: Client, folder: Path, kitchen: Any, name: str) -> None:
    record = kitchen.dish(folder / name).to_dict()
    answer = shown(page, folder, name)[0]["answer"]
    open_ = record["allergens"]["unresolved"]
    unweighed = [line for line in record["unweighed"] if line not in open_]
    warnings = [one.text for one in answer.all("p", class_="warning")]
    lines = ((say("sheet.not-understood"), open_), (say("sheet.not-counted"), unweighed))
    assert warnings == [f"{sentence} {'; '.join(some)}" for sentence, some in lines if some]
    assert (say("sheet.complete") in answer.text) is record["complete"]
    assert bool(warnings) is not record["complete"]
    assert say("sheet.not-named") in answer.text


@pytest.mark.parametrize("name", NAMES)
def test_what_is_read_out_says_all_of_it(page: Client, folder: Path, kitchen: Any, name: str) -> None:
    """Who hears the page hears every group, and that a dish is not complete."""
    dish = kitchen.dish(folder / name)
    record = dish.to_dict()
    tree, spoken = shown(page, folder, name)
    for kind, text in groups(tree["answer"]).items():
        word = say(f"sheet.{kind}")
        assert f"{word}: {text.removeprefix(word).strip()}" in spoken
    assert record["declared_per_portion"]["energy_kcal"] in spoken
    assert record["declared_per_portion"]["salt"] in spoken
    assert (say("sheet.complete") in spoken) is record["complete"]
    assert (say("sheet.not-understood") in spoken) is bool(record["allergens"]["unresolved"])
    assert (say("sheet.not-counted") in spoken) is bool(dish.not_counted)


@pytest.mark.parametrize("name", NAMES)
def test_the_figures_are_those_of_the_record_each_under_its_head(
    page: Client, folder: Path, kitchen: Any, name: str
) -> None:
    """Of all components that are shown: 100 g and a portion each in its own column."""
    record = kitchen.dish(folder / name).to_dict()
    tree = shown(page, folder, name)[0]
    said = tree["answer"].one("p", class_="answer").text
    assert record["declared_per_portion"]["energy_kcal"] in said
    assert record["declared_per_portion"]["salt"] in said
    table = tree["more"].one("table", class_="figures")
    heads = [one.text for one in table.one("thead").all("th")]
    assert heads[2] == say("sheet.a-portion")
    assert "100 g" in heads[1]
    rows = [[one.text for one in row.all("td")][:2] for row in table.one("tbody").all("tr")]
    per_100, portion = (list(record[f"declared_per_{what}"].values()) for what in ("100g", "portion"))
    keys = list(record["declared_per_portion"])
    assert rows == [[a, b] for a, b in zip(per_100, portion, strict=True)]
    assert keys == list(record["per_portion"])
    assert json.loads(page.get(f"/out/figures.json/{name}").text)["per_portion"] == record["per_portion"]


@pytest.mark.parametrize("name", NAMES)
def test_each_line_has_the_allergens_the_food_and_the_grams_of_the_record(
    page: Client, folder: Path, kitchen: Any, name: str
) -> None:
    dish = kitchen.dish(folder / name)
    record = dish.to_dict()
    tree = shown(page, folder, name)[0]["lines"]
    rows = [one for one in tree.all("li", class_="line") if one.all("ul", class_="facts")]
    lines = [one for stage in record["stages"] for one in stage["lines"]]
    text = (folder / name).read_text()
    places = [text.find(row.one("p", class_="words").text) for row in rows]
    numbers = [int(row.attributes["data-line"]) for row in rows]
    assert len(numbers) == len(set(numbers))
    assert -1 not in places
    seen = set()
    for row in rows:
        words = row.one("p", class_="words").text
        same = [one for one in lines if one["text"].strip() in words]
        assert same, words
        seen |= {one["text"] for one in same}
        one = max(same, key=lambda line: len(line["text"]))
        for kind, key in (("contains", "contains"), ("check", "check"), ("may", "may_contain")):
            said = [tag.text for tag in row.all("li", class_="allergens") if tag.all(class_=f"tag-{kind}")]
            names = ", ".join(one["allergens"].get(key, ()))
            assert said == ([f"{say(f'sheet.{kind}')} {names}"] if names else []), words
        if len(same) == 1:
            grams = say("trace.not-weighed") if one["grams"] is None else as_grams(one["grams"]).replace("\xa0", " ")
            assert row.one("li", class_="grams").text == grams
            if one["food_name"]:
                assert row.one("li", class_="food").text == one["food_name"]
            assert row.has("class", f"state-{one['sureness']}")
    assert seen == {one["text"] for one in lines if one["sureness"] or one["grams"]}


def test_lines_of_every_answer_are_among_them(folder: Path, kitchen: Any) -> None:
    """The recipes above hold each case, so that none of these tests can pass by having nothing to look at."""
    records = {name: kitchen.dish(folder / name).to_dict() for name in NAMES}
    told = [one["allergens"] for one in records.values()]
    assert all(any(one[key] for one in told) for key in ("contains", "check", "may_contain", "unresolved"))
    assert any(not one["contains"] for one in told)
    assert any(one["unweighed"] and not one["allergens"]["unresolved"] for one in records.values())
    assert {one["complete"] for one in records.values()} == {True, False}
    assert records["both.txt"]["allergens"]["unresolved"]
    assert kitchen.dish(folder / "both.txt").not_counted


@pytest.mark.parametrize("name", NAMES)
def test_what_to_weigh_next_leads_what_to_settle(page: Client, folder: Path, kitchen: Any, name: str) -> None:
    dish = kitchen.dish(folder / name)
    weigh, first = weigh_next(dish), settle_first(dish)
    found = shown(page, folder, name)[0]["settle"].all("li")
    order = [weigh, *(one for one in first if one.what != weigh.what)] if weigh else list(first)
    assert len(found) == len(order)
    for entry, one in zip(found, order, strict=True):
        assert one.what in entry.text
        assert one.advice in entry.text
        assert bool(entry.all(class_="tag-open")) is (one is weigh)
    if weigh:
        assert found[0].text.startswith(f"{say('desk.weigh-next')} {weigh.what}")


@pytest.mark.parametrize("name", NAMES)
def test_a_thing_to_settle_opens_its_own_line(page: Client, folder: Path, kitchen: Any, name: str) -> None:
    dish = kitchen.dish(folder / name)
    text = (folder / name).read_text()
    tree = shown(page, folder, name)[0]
    for entry in tree["settle"].all("li"):
        for button in entry.all("button"):
            number = button.attributes["value"].removeprefix("open:")
            words = text.splitlines()[int(number) - 1]
            what = next(one for one in (weigh_next(dish), *settle_first(dish)) if one and one.what in entry.text)
            quoted = [row.one("p", class_="words").text for row in tree["lines"].all(data_line=number)]
            assert [one for one in quoted if one in words] == quoted != []
            assert any(word in what.what.lower() for word in quoted[0].lower().split() if len(word) > 2)


def test_an_unknown_food_leads_to_its_choice_and_not_to_the_scales(page: Client, folder: Path, kitchen: Any) -> None:
    """ "150 g oat cream" is weighed already: what it lacks is a food."""
    assert weigh_next(kitchen.dish(folder / "oat-cream.txt")) is None
    settle = shown(page, folder, "oat-cream.txt")[0]["settle"]
    assert say("desk.weigh-next") not in settle.text
    assert say("settle.open") in settle.text
    assert say("settle.weigh-line") not in settle.text
    one = next(one for one in settle_first(kitchen.dish(folder / "oat-cream.txt")) if "oat cream" in one.what)
    assert one.of == "food"
    assert settle.all("button", value="open:4")


@pytest.mark.parametrize("name", NAMES)
def test_every_other_remark_that_asks_for_something_stands_there(
    page: Client, folder: Path, kitchen: Any, name: str
) -> None:
    """ "Look at these too" or what to settle: no remark that asks for something is in neither."""
    dish = kitchen.dish(folder / name)
    tree = shown(page, folder, name)[0]
    asked = [one.message for one in dish.remarks if one.to_do]
    said = f"{tree['settle'].text} {tree['more'].text}"
    assert [one for one in asked if " ".join(one.replace("\xa0", " ").split()) not in said] == []
    heads = [one.text for one in tree["more"].all("h2")]
    first = {one.what.rstrip(".") for one in settle_first(dish)}
    assert (say("sheet.to-check") in heads) is any(one.rstrip(".") not in first for one in asked)


@pytest.mark.parametrize("name", NAMES)
def test_why_an_allergen_is_named_stands_with_its_answer(page: Client, folder: Path, kitchen: Any, name: str) -> None:
    told = because(kitchen.dish(folder / name))
    more = shown(page, folder, name)[0]["more"]
    found = [one.text for one in more.one("details", id="why").all("li")] if told else []
    assert len(found) == len(told)
    for entry, one in zip(found, told, strict=True):
        answer = "" if one.kind == "contains" else f"{one.answer}; "
        assert entry == " ".join(f"{one.named}: {answer}{one.why}".split())
