"""The steps a window has taken, each taken back only while what it left still stands: else what came since is lost."""

from __future__ import annotations

import secrets
from collections import OrderedDict
from dataclasses import dataclass

from nutrilab.messages import say
from nutrilab.page.shelf import Shelf, Step, digest
from nutrilab.page.state import State
from nutrilab.remarks import InputError

MOST = 500  # steps back that are kept


@dataclass(frozen=True, slots=True)
class Back:
    """A step with what it leads back to.

    then: the token of the step before; file: the file the window had then, as `file_of` has it, None where the step
    left that as it was.
    """

    step: Step
    then: str
    file: tuple[str, str, str] | None


class Steps:
    """The steps of all windows, by tokens that nobody can guess."""

    def __init__(self, shelf: Shelf) -> None:
        self._shelf = shelf
        self._known: OrderedDict[str, Back] = OrderedDict()

    def remember(self, state: State, step: Step, file: tuple[str, str, str] | None = None) -> None:
        """A step that was taken."""
        token = secrets.token_urlsafe(9)
        self._known[token] = Back(step, state.back, file)
        while len(self._known) > MOST:
            self._known.popitem(last=False)
        state.back, state.said, state.looked = token, step.what, None

    def text(self, state: State, text: str, what: str, file: tuple[str, str, str] | None = None) -> None:
        """Another text in the window."""
        self.remember(state, Step("", state.text.encode(), _mark(text), what), file)
        state.text, state.saved = text, False

    def what(self, state: State) -> str:
        """What the last step was, in words; "" where there is none."""
        back = self._known.get(state.back)
        return back.step.what if back else ""

    def back(self, state: State) -> None:
        """Take the last step back. Raises InputError: it is long ago, what it left was changed since."""
        back = self._known.get(state.back)
        if back is None:
            raise InputError(say("desk.no-step"))
        if back.step.name:
            self._shelf.back(back.step)
            state.unsaved = back.file is not None
        elif _mark(state.text) != back.step.after:
            raise InputError(say("desk.step-changed"))
        else:
            state.text = (back.step.before or b"").decode()
        if back.file is not None:
            state.was, state.read, state.name = back.file
        del self._known[state.back]
        state.back, state.said, state.looked = back.then, say("desk.did-undo", what=back.step.what), None


def file_of(state: State) -> tuple[str, str, str]:
    """The file that a window has: where it was opened from, the digest of that, where it is to be saved."""
    return state.was, state.read, state.name


def _mark(text: str) -> str:
    """What tells a text from another; saving ends the last line."""
    return digest(text.rstrip("\n").encode())
