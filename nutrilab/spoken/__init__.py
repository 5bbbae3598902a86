"""A cook who speaks, by the captions of the film: the lines of a recipe, its method, and when each was said."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from nutrilab.as_read import named_lines
from nutrilab.bench import Bench
from nutrilab.lexicon.sureness import Sureness
from nutrilab.measures import Ground
from nutrilab.messages import listed, say
from nutrilab.method.naming import Lines
from nutrilab.plain import brief
from nutrilab.recipe import InputError, Line, Recipe, Stage
from nutrilab.recipe.checks import check_size
from nutrilab.results import LineRecord
from nutrilab.spoken import captions, talk
from nutrilab.spoken.listening import Amount, Mention, Sentence, clean, figure, has_verb, mentions, sentences
from nutrilab.spoken.merging import Entry, Merger, related
from nutrilab.spoken.numbers import SIGNS, Token

QUOTED = 70  # characters of speech in a comment
TIMES = 6  # times of one line that a comment names
MOST_NOTES = 40
NO_STEP = ("other", "past", "price", "choice", "elsewhere", "optional")  # talk that is no step
REASONS = ("because", "cause", "unless")  # why, and no step: "because the stock's salty already"
_EATERS = re.compile(
    r"\b(?:serves?|feeds?|does|enough for|for) (?:about )?(\d{1,3})"
    r"(?= (?:people|of|portions|guests|easily)\b| [.,;!]|$)"
    r"|\b(?:makes|cut it in|cut into) (?:about )?(\d{1,3}) (?!grams|ml|litre)[a-z]"
)
_WHY = {  # what speaks against a food that is named -> how a draft says so
    "unknown": "spoken.why-unknown", "question": "spoken.why-question", "choice": "spoken.why-choice",
    "other": "spoken.why-other", "not": "spoken.why-not", "price": "spoken.why-talk", "past": "spoken.why-past",
    "elsewhere": "spoken.why-talk", "dish": "spoken.why-dish",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Heard:
    """A recipe as it was spoken; head: what is to be said of the whole; lines: of each line, by its text."""

    recipe: Recipe
    head: tuple[str, ...]
    lines: dict[str, tuple[str, ...]]


def read(path: Path, kitchen: Bench, data: bytes | None = None) -> Heard:
    """The recipe of a captions file, for the cook to correct; data: its content, where it is at hand.

    Raises InputError: no captions, no food in them.
    """
    said = sentences(captions.read(path, data))
    merger, left = Merger(said), []
    for mention in mentions(said):
        if mention.against:
            left.append(mention)
        else:
            merger.hear(mention)
    entries, silent = _settled(merger.entries, kitchen)
    if not entries:
        raise InputError(say("spoken.nothing"), path)
    dish = " ".join(re.split(r"[\s_-]+", path.stem)).strip().capitalize() or "Dish"
    lines = tuple(Line(entry.text, n) for n, entry in enumerate(entries, 1))
    method = tuple(Line(step, n) for n, step in enumerate(_steps(said), 1))
    recipe = Recipe(dish, (Stage(dish, lines),), _portions(said), method=method, path=path)
    check_size(recipe, str(path))
    notes: dict[str, tuple[str, ...]] = {}
    for entry in entries:
        notes[entry.text] = (*notes.get(entry.text, ()), *_notes(entry, said))
    head = (say("spoken.name-of-file"), *_left_out(left, silent, entries, said))
    return Heard(recipe, head, notes)


def _settled(found: Sequence[Entry], kitchen: Bench) -> tuple[list[Entry], list[Entry]]:
    """The entries that are lines, and those that only talk named. A food without an amount may be one that has one
    under another name ("the fish"); it stands alone where something is done with it.
    """
    for entry in found:
        if entry.amount is not None and _is_article(entry.amount) and not _is_counted(entry, kitchen):
            entry.amount = None  # "a little salt", "a slaw": no number of anything
    weighed = [entry for entry in found if entry.amount is not None]
    book = Lines(named_lines(*_as_recipe(weighed, kitchen)))
    kept, silent = list(weighed), []
    for entry in found:
        if entry.amount is not None:
            continue
        known = book.spoken(entry.food.key).foods
        if known:
            weighed[known[-1]].times += entry.times
        elif entry.acted and kitchen.line(entry.text).sureness in (Sureness.SURE, Sureness.LIKELY):
            kept.append(entry)
        else:
            silent.append(entry)
    return sorted(kept, key=lambda entry: entry.sentence), silent


def _is_article(amount: Amount) -> bool:
    return amount.number == 1 and not (amount.unit or amount.pack or amount.words or amount.each)


def _is_counted(entry: Entry, kitchen: Bench) -> bool:
    """Whether cooks count the food by number."""
    grounds = {food.weight.ground for food in kitchen.line(entry.text).foods}
    return bool(grounds & {Ground.PIECE, Ground.EGG, Ground.OWN_MEASURE, Ground.DECIDED})


def _as_recipe(entries: Sequence[Entry], kitchen: Bench) -> tuple[Recipe, dict[str, LineRecord]]:
    lines = tuple(Line(entry.text, n) for n, entry in enumerate(entries, 1))
    return Recipe("dish", (Stage("dish", lines),)), {line.text: kitchen.line(line.text) for line in lines}


def _portions(said: Sequence[Sentence]) -> float | None:
    """How many it feeds, as it is said first."""
    for sentence in said:
        for start, end in talk.clauses(sentence.tokens):
            clause = sentence.tokens[start:end]
            shown = " ".join(token.word if token.number is None else figure(token.number) for token in clause)
            found = _EATERS.search(f"{shown} ")
            if found and not talk.says(clause, *NO_STEP, "time"):
                return float(found[1] or found[2])
    return None


def _steps(said: Sequence[Sentence]) -> Iterator[str]:
    """The sentences in which something is done, without the clauses that are talk."""
    for sentence in said:
        if sentence.asks or not has_verb(sentence.tokens):
            continue
        whole = [sentence.tokens[a:b] for a, b in talk.clauses(sentence.tokens)]
        kept = [clause for clause in whole if clause[0].word not in REASONS and not talk.says(clause, *NO_STEP)]
        if len(kept) == len(whole):
            yield sentence.text
            continue
        kept = [clause for clause in kept if has_verb(clause)]
        if kept:
            yield "; ".join(_spelt(clause) for clause in kept) + "."


def _spelt(clause: Sequence[Token]) -> str:
    return " ".join(token.said for token in clause if token.word not in SIGNS)


def _notes(entry: Entry, said: Sequence[Sentence]) -> Iterator[str]:
    """When a line was said, in which words, what it was corrected from, and that its amount was not said."""
    times = list(dict.fromkeys(clock(time) for time in sorted(entry.times)))
    quote = brief(said[entry.spoken].text, QUOTED)
    if entry.amount is None:
        yield say("spoken.no-amount")
    for before in entry.instead:
        yield say("spoken.corrected", before=brief(before, QUOTED))
    yield say("spoken.said-at", times=listed(times, most=TIMES), words=quote)


def _left_out(
    left: Sequence[Mention], silent: Sequence[Entry], entries: Sequence[Entry], said: Sequence[Sentence]
) -> Iterator[str]:
    """Foods that were named and are in no line, and why: one of them may belong in."""
    found: dict[str, str] = {}
    for mention in left:
        if mention.food and mention.against != "dish" and not any(related(mention.food, e.food) for e in entries):
            name = clean(mention.food.said)
            found.setdefault(
                name,
                say(
                    "spoken.left-out",
                    name=name,
                    time=clock(said[mention.sentence].time),
                    why=say(_WHY[mention.against]),
                ),
            )
    for entry in silent:
        if not any(related(entry.food, e.food) for e in entries):
            name = clean(entry.food.said)
            found.setdefault(name, say("spoken.nothing-done", name=name, time=clock(said[entry.sentence].time)))
    for one in list(found.values())[:MOST_NOTES]:
        yield say("spoken.look", food=one)
    if len(found) > MOST_NOTES:
        yield say("spoken.more", number=len(found) - MOST_NOTES)


def clock(seconds: float) -> str:
    """A time as a player shows it: 1:05, 1:02:03."""
    whole = max(0, int(seconds))
    hours, rest = divmod(whole, 3600)
    return f"{hours}:{rest // 60:02d}:{rest % 60:02d}" if hours else f"{rest // 60}:{rest % 60:02d}"
