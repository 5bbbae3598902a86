"""The README: its two commands, how to call the tool after them, and that every command it names is one."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from nutrilab.cli import main

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text("utf-8")
DOCS = [ROOT / "README.md", ROOT / "DEVELOPERS.md", *sorted((ROOT / "docs").glob("*.md"))]
NAMED = re.compile(r"(?:\.venv/bin/)?\bnutrilab ((?:analyse|allergens|lines|foods|swap|tables|collection)\b[^`|\n<>]*)")


def test_a_paragraph_then_the_command_that_shows_a_dish_then_the_tests() -> None:
    head, first, between, second, _ = re.split(r"```sh\n(.*?)```", README, maxsplit=2, flags=re.S)
    assert "allergens" in head
    assert "nutrilab analyse demo_recipes/" in first
    assert second.strip().endswith("-m pytest -n auto")
    assert ".venv/bin/nutrilab" in between  # the environment is not active after the first command
    assert ". .venv/bin/activate" in between


@pytest.mark.parametrize("where", ["here", "elsewhere"])
def test_once_the_environment_is_active_the_name_alone_will_do(where: str, tmp_path: Path) -> None:
    activate = Path(sys.prefix) / "bin" / "activate"
    if not activate.exists():
        pytest.skip("these tests run in no virtual environment, so there is none to activate")
    ran = subprocess.run(
        ["sh", "-c", f". '{activate}' && nutrilab --help && command -v nutrilab"],
        cwd=ROOT if where == "here" else tmp_path,
        env={"PATH": "/usr/bin:/bin"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert ran.returncode == 0, ran.stderr
    assert ran.stdout.strip().endswith(str(activate.with_name("nutrilab")))


def test_the_same_without_activating(tmp_path: Path) -> None:
    tool = Path(sys.prefix) / "bin" / "nutrilab"
    if not tool.exists():
        pytest.skip("nutrilab is not installed in the environment of these tests")
    ran = subprocess.run([tool, "--help"], cwd=tmp_path, capture_output=True, text=True, env={}, check=False)
    assert ran.returncode == 0
    assert "Usage:" in ran.stdout


@pytest.mark.parametrize("path", [path for path in DOCS if path.name != "commands.md"], ids=lambda path: path.name)
def test_every_command_named_is_one_with_those_options(path: Path) -> None:
    for line in NAMED.findall(path.read_text("utf-8")):
        command: click.Command = main
        words = line.split()
        while isinstance(command, click.Group) and words:
            assert words[0] in command.commands, line
            command = command.commands[words.pop(0)]
        known = {option for param in command.params for option in (*param.opts, *param.secondary_opts)} | {"--help"}
        asked = [word.split("=")[0].rstrip(".,;:)") for word in words if word.startswith("-")]
        assert [option for option in asked if option not in known] == [], line


def test_commands_are_found_in_the_docs_at_all() -> None:
    assert len(NAMED.findall(README)) >= 10


def test_what_the_readme_shows_is_what_the_tool_prints() -> None:
    shown = re.search(r"```text\n(.*?)\n\.\.\.\n```", README, re.S)
    assert shown
    printed = CliRunner().invoke(main, ["analyse", str(ROOT / "demo_recipes" / "harbour-fish-pie.yaml")]).stdout
    assert printed.startswith(shown[1] + "\n")
