"""Pages as the HTML standard reads them; hostile ones get an answer in time, whatever stands in them."""

from __future__ import annotations

import random
from typing import Any

import pytest

from nutrilab.recipe import InputError, page_file
from nutrilab.recipe.markup import tokens
from tests.test_page_file import NESTED, STEW, page

N = 100_000
BOMBS = {
    "nested": "<div>" * N,
    "comments": "<!--" * N,
    "declarations": "<![CDATA[" * N,
    "instructions": "<?" * N,
    "open tags": "<a " * N,
    "end tags": "</" * N,
    "attributes": "<a" + "".join(f" x{n}=1" for n in range(N)) + ">",
    "open quotes": '<a x="' * N,
    "scripts": "<script>" * N,
    "script ends": "<script>" + "</script " * N,
    "references": "&" * N,
    "formatting": "<b><p>" * N,
    "items": NESTED * (N // 10),
    "items in items": (NESTED + "<b itemprop=x>") * 500,
    "stray ends": f"{NESTED}{'<i>' * 900}" + "</b></u>" * N,
    "lists": f"{NESTED}" + "<li itemprop=ingredients>" * N,
    "spaces": f'<script type="application/ld+json">{" " * 10 * N}',
    "brackets": page("[" * 10 * N),
    "braces": page('{"a":' * N),
    "digits": page('{"@type": "Recipe", "recipeYield": ' + "9" * N),
    "same key": page('{"@type": "Recipe", ' + ", ".join(['"recipeIngredient": "1 egg"'] * N) + "}"),
    "many keys": page('{"@type": "Recipe", ' + ", ".join(f'"p{n}:name": ""' for n in range(N)) + "}"),
    "references to references": page(
        {
            "@graph": [
                {"@type": "Recipe", "recipeIngredient": {"@id": "0"}},
                *({"@id": f"{n}", "@list": [{"@id": f"{n + 1}"}] * 2} for n in range(90)),
            ]
        }
    ),
    "a circle": page({"@id": "a", "@type": "Recipe", "recipeIngredient": {"@id": "a"}, "@list": [{"@id": "a"}]}),
    "tags in a line": page(STEW | {"recipeIngredient": ["<b " * N]}),
    "references in a line": page(STEW | {"recipeIngredient": ["&amp;" * N]}),
}


@pytest.mark.parametrize("bomb", BOMBS.values(), ids=BOMBS)
def test_hostile_pages_are_answered_with_a_sentence(bomb: str) -> None:
    with pytest.raises(InputError):
        page_file.read(bomb.encode(), "page.html")


def test_tags_and_texts_are_those_of_the_standard() -> None:
    tinyhtml5 = pytest.importorskip("tinyhtml5.tokenizer", reason="comes with the HTML-to-PDF extra")
    kind = tinyhtml5.Token
    pieces = '< > / ! -- - ? a p B " \' = href src= CONTENT &amp; & x <!-- --> --!> </ /> <b> </b> content=" 1'.split()

    def expected(text: str) -> list[tuple[Any, ...]]:
        found: list[tuple[Any, ...]] = []
        for token in tinyhtml5.HTMLTokenizer(text):
            if token["type"] == kind.START_TAG:
                kept = {k: v for k, v in dict(token["data"]).items() if k in ("href", "src", "content")}
                found.append(("start", token["name"], kept))
            elif token["type"] == kind.END_TAG:
                found.append(("end", token["name"], {}))
            elif token["type"] in (kind.CHARACTERS, kind.SPACE_CHARACTERS):
                found.append(("text", token["data"], {}))
        return joined(found)

    def joined(found: list[tuple[Any, ...]]) -> list[tuple[Any, ...]]:
        whole: list[tuple[Any, ...]] = []
        for token in found:
            if whole and token[0] == whole[-1][0] == "text":
                whole[-1] = ("text", whole[-1][1] + token[1], {})
            else:
                whole.append(token)
        return whole

    chance = random.Random(7)
    for _ in range(1500):
        text = "".join(chance.choice([*pieces, " ", "\n"]) for _ in range(chance.randint(1, 25)))
        ours = [(t.kind, t.text if t.kind == "text" else t.name, t.attributes) for t in tokens(text)]
        assert joined(ours) == expected(text), text
