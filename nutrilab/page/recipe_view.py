"""A recipe in the window: what is asked for, what is written, and the parts of the page that show what comes of it.

Every request carries the whole text, so that no window knows more than another. With the script of the page it gets the
parts that changed; without, the whole page: both are made of the same templates.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from urllib.parse import quote

from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, RedirectResponse, Response

from nutrilab import decisions, products
from nutrilab.decisions import NAME as DECISIONS
from nutrilab.decisions import NONE
from nutrilab.draft import of_file
from nutrilab.files import there
from nutrilab.folder import PACKS, TEXT_NAMES
from nutrilab.messages import say
from nutrilab.page import answer, facts, panel, rows
from nutrilab.page.desk import Desk
from nutrilab.page.guard import LARGEST_FILE
from nutrilab.page.look import UNNAMED, Look, look, told
from nutrilab.page.shelf import ChangedError, Held, name_for
from nutrilab.page.state import OF_FACTS, OF_LINE, OWN, State, number, of_form
from nutrilab.page.steps import Steps, file_of
from nutrilab.page.templating import part
from nutrilab.plain import brief, quoted
from nutrilab.recipe import CAPTION_NAMES, PAGE_NAMES, YAML_NAMES
from nutrilab.recipe.editing import with_line
from nutrilab.recipe.recognised import form_of
from nutrilab.remarks import InputError, NutrilabError
from nutrilab.text import words

SHOWN_BY_TYPING = ("title", "answer", "settle", "lines", "more", "facts")
HEAD = 4_000  # bytes that tell what a file is
ALL = (*SHOWN_BY_TYPING, "file", "said")


class RecipeView:
    """The recipe page of a folder."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._steps = Steps(desk.shelf)
        self._actions: dict[str, Callable[[State, str], None]] = {
            "look": self._typed, "open": self._open, "close": self._close, "words": self._words,
            "search": self._search, "choose": self._choose, "weight": self._weight, "pack": self._pack,
            "facts": self._facts, "swap": self._swap, "keep": self._keep, "draft": self._draft, "save": self._save,
            "take": self._take, "undo": self._undo,
        }  # fmt: skip

    # -- the addresses

    def new(self, _: Request) -> Response:
        """An empty recipe."""
        return self._whole(State(""))

    def show(self, request: Request) -> Response:
        """The recipe of a file. Raises NutrilabError."""
        name = request.path_params["name"]
        held = self._desk.shelf.read(name)
        if Path(name).suffix.lower() in (*PAGE_NAMES, *CAPTION_NAMES):
            return self._whole(self._drafted(name, held.data))
        return self._whole(self._of_file(held))

    def act(self, request: Request, body: bytes) -> Response:
        """What a form of the page sends. Raises NutrilabError where nothing of it can be shown."""
        state = of_form(body)
        if state.was:
            self._desk.shelf.path(state.was)
        what, _, more = state.fields.get("do", "look").partition(":")
        action = self._actions.get(what)
        if action is None:
            raise InputError(say("desk.no-action"))
        try:
            action(state, more)
        except NutrilabError as error:
            state.said, state.failed = told(error, own=True), True
            if isinstance(error, ChangedError):
                state.both = error.there
        else:
            state.forget(OWN.get(what, ()))
        if request.headers.get("x-part"):
            return JSONResponse(self._parts(state))
        if state.saved and not state.failed and what == "save":
            return RedirectResponse(f"/recipe/{quote(state.was)}", 303)
        return self._whole(state)

    def drop(self, request: Request, body: bytes) -> Response:
        """A file that was dropped: its text, or the recipe that was taken out of it. Raises NutrilabError.

        What the window held goes ahead of the file, in as many bytes as `form` of the address says.
        """
        name = Path(request.query_params.get("name", "").replace("\\", "/")).name or f"{UNNAMED}.txt"
        form = number(request.query_params.get("form", ""))
        state, data = of_form(body[:form]), body[form:]
        dropped = self._dropped(name, data)
        before = file_of(state)
        state.forget((*OF_LINE, *OF_FACTS))
        state.was, state.read, state.name, state.line = "", "", dropped.name, 0
        self._steps.text(state, dropped.text, say("desk.did-take", name=brief(name)), before)
        state.said = dropped.said
        return JSONResponse(self._parts(state, text=True))

    def _dropped(self, name: str, data: bytes) -> State:
        suffix = Path(name).suffix.lower()
        form = form_of(data[:HEAD].decode("utf-8", "replace"))
        if suffix in (*PAGE_NAMES, *CAPTION_NAMES) or form in ("page", "captions"):
            return self._drafted(name, data)
        from nutrilab.files import text_of

        text = text_of(data, brief(name)).replace("\r\n", "\n")
        named = name if suffix in (*YAML_NAMES, *TEXT_NAMES) else f"{Path(name).stem}.txt"
        return State(text, name=named, said=say("desk.dropped", file=brief(name)))

    # -- states

    def _of_file(self, held: Held) -> State:
        from nutrilab.files import text_of

        text = text_of(held.data, held.name).replace("\r\n", "\n")
        return State(text, held.name, held.digest, held.name, saved=True)

    def _drafted(self, name: str, data: bytes) -> State:
        """A recipe taken out of a page, JSON or captions. Raises NutrilabError."""
        text = of_file(self._desk.folder(), self._desk.shelf.folder / name, data=data)
        state = State(text, name=f"{Path(name).stem}.yaml")
        state.said = say("desk.drafted", file=brief(name))
        return state

    # -- what may be done

    def _typed(self, state: State, _: str) -> None:
        state.typed = True

    def _open(self, state: State, line: str) -> None:
        """A line opened. What was written beside one that is gone goes with it, but for what only that one can have."""
        before = self._at(state)
        if before is None:
            state.forget(("words", "choice-", "search-"))
        elif before.line.line != number(line):
            state.forget(OF_LINE)
        state.line, state.words, state.focus = number(line), "", "panel"

    def _close(self, state: State, _: str) -> None:
        state.forget(OF_LINE)
        state.focus, state.line = f"open-{state.line}", 0

    def _words(self, state: State, _: str) -> None:
        new = state.fields.get("words", "")
        text = with_line(state.text, self._look(state).is_yaml, state.line, state.words, new)
        self._steps.text(state, text, say("desk.did-words", line=state.line))
        state.words = " ".join(new.split())

    def _search(self, state: State, at: str) -> None:
        state.focus = f"search-{at}"

    def _choose(self, state: State, at: str) -> None:
        """A food for a name, into the list of decisions."""
        shown = self._opened(state)
        found = shown.foods[min(number(at), len(shown.foods) - 1)] if shown.foods else None
        value = state.fields.get(f"choice-{at}", "")
        if found is None or not (value == NONE or any(choice.written == value for choice in found.choices)):
            raise InputError(say("desk.choose-first"))
        label = next((choice.food_name for choice in found.choices if choice.written == value), say("desk.no-food"))
        was = state.fields.get(f"decided-{at}", "")
        self._decide(state, found.name, value, was, say("desk.did-choose", name=brief(found.name), food=brief(label)))

    def _weight(self, state: State, _: str) -> None:
        """What one of a thing weighs, into the list of decisions."""
        from nutrilab.asking import answer_weight

        shown = self._opened(state)
        if shown.piece is None:
            raise InputError(say("desk.choose-first"))
        value = answer_weight(state.fields.get("piece", ""))
        what = say("desk.did-weigh", name=brief(shown.piece.name), weight=value)
        self._decide(state, shown.piece.name, value, state.fields.get("was-piece", ""), what)

    def _decide(self, state: State, name: str, value: str, was: str, what: str) -> None:
        folder = self._desk.shelf.folder
        step = self._desk.shelf.write(folder / DECISIONS, what, lambda: decisions.decide(folder, name, value, was))
        self._steps.remember(state, step)

    def _pack(self, state: State, _: str) -> None:
        """What a pack says, into the list of packs that the recipe uses."""
        shown = self._opened(state)
        cells = {key: state.fields.get(f"pack-{key}", "") for key in panel.PACK}
        if not cells["name"].strip():
            raise InputError(say("desk.pack-name"))
        if not any(cells[key].strip() for key in panel.PACK if key not in ("name", "aliases", "per")):
            raise InputError(say("desk.pack-empty"))
        if cells["aliases"].strip().casefold() == cells["name"].strip().casefold():
            cells["aliases"] = ""
        if not any(cells[key].strip() for key in panel.FIGURES):
            cells["per"] = ""
        same = words(shown.pack["name"]) == words(cells["name"])
        kept = {key: text for key, text in shown.pack.items() if same and key not in panel.PACK}
        files = self._packs(state) or (self._desk.shelf.folder / PACKS,)
        path = next((file for file in files if _holds(file, cells["name"])), files[0])
        what = say("desk.did-pack", name=brief(cells["name"]), file=path.name)
        self._steps.remember(state, self._desk.shelf.write(path, what, lambda: products.add(path, cells | kept)))

    def _packs(self, state: State) -> tuple[Path, ...]:
        """The lists of packs that the recipe uses."""
        recipe = self._look(state).recipe
        return tuple(self._desk.folder().packs_of(recipe)) if recipe else ()

    def _facts(self, state: State, _: str) -> None:
        found = self._look(state)
        if found.recipe is None:
            raise InputError(found.problem or say("desk.nothing-changed"))
        text = facts.written(found, state.fields)
        if text == state.text:
            state.said = say("desk.nothing-changed")
            return
        self._steps.text(state, text, say("desk.did-facts"))

    def _swap(self, state: State, _: str) -> None:
        found, at = self._line(state)
        new = state.fields.get("swap", "").strip()
        state.tried = panel.swap(found, at, self._desk.folder(), new)
        state.focus = "tried"

    def _keep(self, state: State, _: str) -> None:
        """A swap that was tried, tried once more and written into every line that it changes."""
        found, at = self._line(state)
        tried = panel.swap(found, at, self._desk.folder(), state.fields.get("kept", "").strip())
        if not tried.kept:
            raise InputError(tried.problem or say("desk.swap-elsewhere"))
        text = state.text
        for one in tried.kept:
            text = with_line(text, found.is_yaml, one.line, one.old, one.new)
        self._steps.text(state, text, say("desk.did-swap", old=brief(state.words), new=brief(tried.new)))
        state.words = next((one.new for one in tried.kept if one.line == at.line.line), state.words)

    def _draft(self, state: State, _: str) -> None:
        """Plain text made a recipe file, whose stages can say what was weighed."""
        name = state.was or state.name or f"{UNNAMED}.txt"
        if form_of(state.text) in ("page", "captions"):
            name = f"{Path(name).stem}{'.html' if form_of(state.text) == 'page' else '.srt'}"
        text = of_file(self._desk.folder(), self._desk.shelf.folder / name, data=state.text.encode())
        self._steps.text(state, text, say("desk.did-draft"), file_of(state))
        state.was = state.read = ""
        state.name, state.line = f"{Path(name).stem}.yaml", 0

    def _save(self, state: State, over: str) -> None:
        """The text into its file; over: the digest of what stands there, where the cook has seen it."""
        name = state.name or self._suggested(self._look(state))
        if form_of(state.text) == "yaml" and Path(name).suffix.lower() in TEXT_NAMES:
            raise InputError(say("desk.end-yaml", name=quoted(f"{Path(name).stem}.yaml")))
        if form_of(state.text) == "text" and Path(name).suffix.lower() in YAML_NAMES:
            raise InputError(say("desk.end-text", name=quoted(f"{Path(name).stem}.txt")))
        if not state.text.strip():
            raise InputError(say("desk.nothing-to-save"))
        read = over or (state.read if name == state.was else "")
        text = state.text if state.text.endswith("\n") else f"{state.text}\n"
        data = text.replace("\n", "\r\n").encode() if self._ends_in_two(name) else text.encode()
        step, before = self._desk.shelf.save(name, data, read), file_of(state)
        state.text, state.was, state.name, state.read, state.saved = text, name, name, step.after, True
        self._steps.remember(state, step, before)

    def _ends_in_two(self, name: str) -> bool:
        """Whether the lines of a file end as those of Windows do, as they then go on doing."""
        try:
            return b"\r\n" in self._desk.shelf.read(name).data
        except InputError:
            return False

    def _take(self, state: State, _: str) -> None:
        """What stands in the file instead of what stands in the window."""
        held = self._desk.shelf.read(state.name)
        fresh, before = self._of_file(held), file_of(state)
        state.was, state.read, state.name, state.saved = fresh.was, fresh.read, fresh.name, True
        self._steps.text(state, fresh.text, say("desk.did-take", name=brief(held.name)), before)
        state.saved = True

    def _undo(self, state: State, _: str) -> None:
        there = self._at(state) is not None
        self._steps.back(state)
        if there and self._at(state) is None:
            state.words = ""  # the open line has its old words again

    # -- what is shown

    def _look(self, state: State) -> Look:
        """What the text comes to, once for as long as nothing that it depends on is written."""
        if state.looked is None or (state.looked.text, state.looked.name) != (state.text, state.was):
            state.looked = look(self._desk, state.was, state.text)
        return state.looked

    def _at(self, state: State) -> rows.Found | None:
        return panel.at_line(self._look(state), state.line, state.words) if state.line else None

    def _line(self, state: State) -> tuple[Look, rows.Found]:
        """The recipe and its open line. Raises InputError: none is open, or it is not found any more."""
        found, at = self._look(state), self._at(state)
        if at is not None:
            return found, at
        raise InputError(found.problem or say("desk.line-gone" if state.line else "desk.choose-first"))

    def _opened(self, state: State) -> panel.Panel:
        """What is asked of the open line. Raises InputError as `_line` does."""
        found, at = self._line(state)
        return panel.panel(found, at, self._desk.folder(), state.fields, state.tried)

    def _panel(self, state: State) -> panel.Panel | None:
        """The open line as it is shown; where it is gone, what was written beside it."""
        if self._at(state) is not None:
            return self._opened(state)
        return panel.gone(state.line, state.words) if state.line and state.writes(*OF_LINE) else None

    def _suggested(self, found: Look) -> str:
        dish = found.recipe.dish if found.recipe else next(iter(found.text.split("\n")), "")
        return name_for(dish, ".yaml" if found.is_yaml else ".txt")

    def _values(self, state: State) -> dict[str, object]:
        found = self._look(state)
        dish, recipe = found.dish, found.recipe
        lines = rows.found_lines(recipe, dish) if recipe and dish else ()
        shown = None if state.typed else self._panel(state)
        return {
            "look": found,
            "state": state,
            "name": state.name or (self._suggested(found) if found.text.strip() else ""),
            "answer": answer.answer(found),
            "settle": answer.settle(found, lines),
            "rows": rows.rows(found),
            "panel": shown,
            "facts": facts.facts(found),
            "half_written": tuple(state.half_written(OF_FACTS)),
            "undo": self._steps.what(state),
            "figures": panel.FIGURES,
            "folder": self._desk.shelf.folder.name,
            "most": LARGEST_FILE,
            "yours": (state.both.data.decode("utf-8", "replace") if state.both else ""),
        }

    def _whole(self, state: State) -> Response:
        return HTMLResponse(part("recipe.html.j2", **self._values(state)))

    def _parts(self, state: State, text: bool = False) -> dict[str, object]:
        """The parts of the page that may have changed, and what the window has to know of them."""
        values = self._values(state)
        found: dict[str, object] = {
            "parts": {name: part(f"{name}.html.j2", **values) for name in (SHOWN_BY_TYPING if state.typed else ALL)},
            "focus": state.focus,
            "failed": state.failed,
            "saved": state.saved,
            "unsaved": state.unsaved,
            "spoken": answer.spoken(values["answer"], values["look"].problem),  # type: ignore[arg-type, attr-defined]
        }
        if state.typed:
            return found
        if text or state.text != state.fields.get("text", "").replace("\r\n", "\n"):
            found["text"] = state.text
        found["address"] = f"/recipe/{quote(state.was)}" if state.was else "/new"
        return found


def _holds(file: Path, name: str) -> bool:
    """Whether a list of packs has one of that name. Raises InputError: a list that cannot be read."""
    return there(file) and any(words(one.name) == words(name) for one in products.load(file).all)
