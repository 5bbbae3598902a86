"""The list of ingredients as text, HTML and JSON."""

from __future__ import annotations

import html
from collections.abc import Sequence
from typing import Any

from nutrilab.allergens.ingredients_list import Entry
from nutrilab.messages import say


def as_text(entries: Sequence[Entry]) -> str:
    """One line of text; allergens in capitals, so that they stand out without any markup (Article 21)."""
    shown = ("".join(run.text.upper() if run.kind == "allergen" else run.text for run in e.runs) for e in entries)
    noted = (_noted(text, e) for text, e in zip(shown, entries, strict=True))
    return say("label.ingredients", ingredients=", ".join(noted))


def _noted(text: str, entry: Entry) -> str:
    return text if entry.weighed else say("label.place-it", ingredient=text)


def as_html(entries: Sequence[Entry]) -> str:
    """A paragraph; allergens in <strong>, everything else escaped."""
    shown = []
    for entry in entries:
        parts = []
        for run in entry.runs:
            text = html.escape(run.text)
            tag = {"allergen": "strong", "check": "em"}.get(run.kind)
            parts.append(f"<{tag}>{text}</{tag}>" if tag else text)
        shown.append(_noted("".join(parts), entry))
    return "<p>Ingredients: " + ", ".join(shown) + ".</p>"


def as_json(entries: Sequence[Entry]) -> list[dict[str, Any]]:
    """One object an entry: grams [g] and percent unrounded, null where not known; runs with their kind."""
    return [
        {
            "grams": entry.grams,
            "percent": entry.percent,
            "weighed": entry.weighed,
            "runs": [{"text": run.text, "kind": run.kind} for run in entry.runs],
        }
        for entry in entries
    ]
