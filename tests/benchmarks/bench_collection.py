"""Many dishes: ``python -m tests.benchmarks.bench_collection [--recipes 10000] [--method] [--cores 2] [--fresh 0.2]``.

Recipes of ten lines of a corpus made from our own names and measures (`corpus`), cooked by the thousand as a collection
does: of each the nine figures of a portion with their ranges, the 14 allergens, whether it is complete. Prints recipes
a second of CPU time in one process: cold (the first thousand, from an empty memory, the opening of the kitchen with
it), warm (all that come after; of the lines one in five is one that no recipe had before, and one in ten or so of the
others one that was forgotten), both together, known (a thousand over again, no line new); and the peak memory. Beside
it, in the same run and no floor: pandas over the same lines, their grams and foods already known, merged with the
values of the foods and summed by dish. The distance is what reading, weighing, cooking and judging cost.
"""

from __future__ import annotations

import argparse
import resource
import time
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from itertools import islice

import nutrilab as nl
from nutrilab.once import many
from nutrilab.recipe import Recipe
from tests.benchmarks import corpus

THOUSAND = 1_000
COMPONENTS = ("FAT", "FASAT", "CHOCDF", "SUGAR", "FIBTG", "PROCNT", "NA")


def row(dish: nl.Dish | nl.NutrilabError) -> tuple[object, ...]:
    """What a collection keeps of a dish."""
    if isinstance(dish, nl.NutrilabError):
        return (str(dish),)
    told = dish.allergens
    whole = dish.whole
    return (
        dish.recipe.dish, dish.portions, dish.portion_weight, dish.complete, *whole.per_portion.values(),
        *whole.per_100g.values(), *whole.per_portion_range.values(), *map(told.cell, told.contains),
        *map(told.cell, told.check), *map(told.cell, told.may),
    )  # fmt: skip


def cook(kitchen: nl.Folder, recipes: Sequence[Recipe]) -> list[tuple[object, ...]]:
    return [row(dish) for dish in kitchen.dishes(recipes, errors="keep")]


def by_the_thousand(recipes: Iterator[Recipe]) -> Iterator[list[Recipe]]:
    while part := list(islice(recipes, THOUSAND)):
        yield part


def run(recipes: Iterator[Recipe]) -> tuple[dict[str, float], int]:
    """Recipes a second of CPU time by how well their lines are known, and peak memory [MB]."""
    found: dict[str, float] = {}
    kitchen: nl.Folder | None = None
    spent, cooked = 0.0, 0
    part: list[Recipe] = []
    with many():  # as a process does that cooks a part of a collection
        for part in by_the_thousand(recipes):
            begun = time.process_time()
            kitchen = kitchen or nl.open_kitchen(None)
            cook(kitchen, part)
            took = time.process_time() - begun
            if not found:
                found["cold"] = len(part) / took
            else:
                spent, cooked = spent + took, cooked + len(part)
        assert kitchen is not None
        found["warm"] = cooked / spent if spent else 0.0
        found["both"] = (THOUSAND + cooked) / (THOUSAND / found["cold"] + spent) if spent else found["cold"]
        begun = time.process_time()
        cook(kitchen, part)
        found["known"] = len(part) / (time.process_time() - begun)
    return found, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024


def of_core(core: int, cores: int, count: int, fresh: float, method: bool) -> dict[str, float]:
    made = corpus.recipes(count // cores, seed=1 + core, fresh=fresh, method=method)
    start = time.perf_counter()
    found, megabytes = run(made)
    return {**found, "MB": megabytes, "wall": time.perf_counter() - start}


def bare_pandas(count: int) -> float:
    """Dishes a second that pandas sums of lines whose grams and foods are known."""
    import numpy as np
    import pandas as pd

    from nutrilab.foods import embedded

    table = embedded()
    foods = pd.DataFrame({t: table.column(t) for t in COMPONENTS}).assign(food=table.ids)
    dice = np.random.default_rng(1)
    lines = pd.DataFrame({
        "dish": np.repeat(np.arange(count), corpus.LINES),
        "food": np.array(table.ids)[dice.zipf(1.3, count * corpus.LINES) % len(table)],
        "grams": dice.lognormal(4, 1, count * corpus.LINES),
    })  # fmt: skip
    start = time.process_time()
    merged = lines.merge(foods, on="food")
    merged[list(COMPONENTS)] = merged[list(COMPONENTS)].mul(merged["grams"] / 100, axis=0)
    merged.groupby("dish")[list(COMPONENTS)].sum()
    return count / (time.process_time() - start)


def main() -> None:
    asked = argparse.ArgumentParser()
    asked.add_argument("--recipes", type=int, default=10_000)
    asked.add_argument("--cores", type=int, default=1)
    asked.add_argument("--fresh", type=float, default=corpus.FRESH)
    asked.add_argument("--method", action="store_true")
    said = asked.parse_args()
    of = (said.cores, said.recipes, said.fresh, said.method)
    if said.cores == 1:
        found = [of_core(0, *of)]
    else:
        with ProcessPoolExecutor(said.cores) as pool:
            found = list(pool.map(of_core, range(said.cores), *([one] * said.cores for one in of)))
    for one in found:
        rates = ", ".join(f"{name} {one[name]:,.0f}" for name in ("cold", "warm", "both", "known"))
        print(f"{said.recipes // said.cores:,} recipes: {rates} a second of CPU time; at most {one['MB']:.0f} MB")
    if said.cores > 1:
        print(f"{said.cores} cores together: {said.recipes / max(one['wall'] for one in found):,.0f} a second")
    print(f"beside it, bare pandas: {bare_pandas(said.recipes):,.0f} dishes a second")


if __name__ == "__main__":
    main()
