"""How time grows with hostile text: ``python -m tests.benchmarks.bench_hostile``.

Each reader gets a text and the same eight times as long, in turns; the smallest time of each counts. About 8 means in
proportion, 64 would be the square.
"""

from __future__ import annotations

from collections.abc import Callable

from nutrilab.allergens import find
from nutrilab.allergens.dish import DishAllergens
from nutrilab.allergens.labels import label_allergens, read_label
from nutrilab.allergens.method import of_method
from nutrilab.foods import embedded
from nutrilab.kitchen import Kitchen
from nutrilab.lines import parse_line
from nutrilab.lines.in_doubt import in_doubt
from nutrilab.linking import Linker, query
from nutrilab.recipe import prose
from nutrilab.recipe.markup import tokens
from nutrilab.recipe.portions import read_yield, says_yield, split_yield
from tests.benchmarks.side_by_side import side_by_side

SHORT, TIMES = 1_250, 8  # characters, how much longer the longer one is
FLOOR = 0.002  # [s] below which a time is noise
UNITS = {
    "lines": ("1 ", "(", "1/2 ", "or ", "&amp;", "1 x ", "<a", '1"', "chopped and ", "\u202e1 egg", "1 egg, total "),
    "numbers": ("/", "1/", " / ", "'", "1e", ".,", "½ ", "1 000 ", "1.5 /2 ", "9"),
    "kitchen": ("half half ", "gluten-free ", "MILK MILK ", "egg ", "vegan ", "half a dozen "),
    "allergens": ("coconut milk ", "(", "gluten free ", "butter(", "vegan, ", "a", "- "),
    "labels": ("(", "**", "<b>", "milk, ", "a (", "1% ", "may contain "),
    "links": ("a", "tin ", "12% ", "without ", "chicken ", "(", "80/20 ", " and 2 "),
    "text recipes": ("1 ", "1. ", "serves 4 as a ", "a ", "½", "Mix ", ": ", "|", "'", "a-", "(", "for 1 - ", "dozen "),
    "pages": ("<!--", "<a ", '<a x="', "<div>", "</", "<![CDATA[", "<script></script "),
}


def prose_of(text: str) -> None:
    """What is asked of every line of a recipe written as plain text."""
    prose.section(text), prose.label(text), prose.is_times(text), prose.step(text), prose.amount_at_head(text)
    says_yield(text), read_yield([text]), split_yield(text), of_method([text], [], DishAllergens())


def readers() -> dict[str, Callable[[str], object]]:
    linker = Linker([embedded()])
    return {
        "lines": parse_line,
        "numbers": in_doubt,
        "kitchen": Kitchen([embedded()], alternatives=False).line,
        "allergens": lambda text: find.__wrapped__(text) if hasattr(find, "__wrapped__") else find(text),
        "labels": lambda text: label_allergens(read_label(text)),
        "links": lambda text: linker.link(query.read(text, None, text)),
        "text recipes": prose_of,
        "pages": lambda text: sum(1 for _ in tokens(text)),
    }


def main() -> None:
    for name, read in readers().items():
        read("warm up")
        worst = ("", 0.0, 0.0)
        for unit in UNITS[name]:
            fresh = iter(range(1_000))  # every text is new, so that nothing is remembered

            def text(length: int, unit: str = unit, fresh: object = fresh) -> str:
                return unit * (length // len(unit)) + f" {next(fresh)}"  # type: ignore[call-overload]

            small, large = side_by_side(lambda: read(text(SHORT)), lambda: read(text(SHORT * TIMES)), 3)  # noqa: B023
            ratio = large / max(small, FLOOR)
            worst = max(worst, (unit, ratio, large), key=lambda one: one[1])
        print(f"{name}: worst {worst[1]:.1f} for {TIMES} times the text ({worst[0]!r}, {1000 * worst[2]:.0f} ms)")


if __name__ == "__main__":
    main()
