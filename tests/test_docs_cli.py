"""docs/cli.md shows the help that every command prints; ``pytest --update-golden`` writes it anew."""

from __future__ import annotations

import re
from pathlib import Path

import click
import pytest

from thermlog.cli import CONTEXT, program

PAGE = Path(__file__).parent.parent / "docs" / "cli.md"
# a heading that names a command, then its help in a block without a language
BLOCK = re.compile(r"^## (thermlog[a-z ]*)\n\n```\n(.*?)```\n", re.MULTILINE | re.DOTALL)


def helps(command: click.Command, name: str, parent: click.Context | None = None) -> dict[str, str]:
    """Help of a command and of all below it, for a terminal of 100 columns."""
    settings = CONTEXT if parent is None else {}
    ctx = click.Context(command, info_name=name, parent=parent, terminal_width=100, **settings)
    found = {ctx.command_path: command.get_help(ctx) + "\n"}
    if isinstance(command, click.Group):
        for below in command.list_commands(ctx):
            inner = command.get_command(ctx, below)
            assert inner is not None
            found |= helps(inner, below, ctx)
    return found


def test_page_shows_the_help_of_every_command(request: pytest.FixtureRequest):
    real = helps(program, "thermlog")
    page = PAGE.read_text(encoding="utf-8")
    if request.config.getoption("--update-golden"):
        page = BLOCK.sub(lambda found: f"## {found[1]}\n\n```\n{real[found[1]]}```\n", page)
        PAGE.write_text(page, encoding="utf-8")

    assert dict(BLOCK.findall(page)) == real
