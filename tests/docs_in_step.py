"""Keep docs/commands.md in step with the command line: ``python -m tests.docs_in_step [--write]``."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from nutrilab.cli import main

PAGE = Path(__file__).parents[1] / "docs" / "commands.md"


def help_texts(command: click.Command, name: str, parent: click.Context | None = None) -> list[tuple[str, str]]:
    """(full name, help text) of a command and all below it."""
    context = click.Context(command, info_name=name, parent=parent, max_content_width=90, terminal_width=90)
    found = [(context.command_path, command.get_help(context))]
    if isinstance(command, click.Group):
        for sub in command.list_commands(context):
            child = command.get_command(context, sub)
            assert child is not None
            found += help_texts(child, sub, context)
    return found


def page() -> str:
    """The page as it should be."""
    parts = ["# Commands\n\nMade from the commands' own help by `python -m tests.docs_in_step --write`.\n"]
    parts += [f"## {name}\n\n```text\n{text}\n```\n" for name, text in help_texts(main, "nutrilab")]
    return "\n".join(parts)


def run() -> int:
    """Write the page, or say whether it has drifted; 1 if so."""
    if "--write" in sys.argv:
        PAGE.write_text(page(), encoding="utf-8")
        return 0
    if PAGE.read_text(encoding="utf-8") != page():
        print("docs/commands.md has drifted from the commands; run: python -m tests.docs_in_step --write")
        return 1
    print("docs/commands.md is in step with the commands")
    return 0


if __name__ == "__main__":
    sys.exit(run())
