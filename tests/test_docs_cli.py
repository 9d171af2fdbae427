"""docs/cli.md shows the help that every command prints; ``pytest --update-golden`` writes it anew.

The README shows four lines of a check, and both pages name every sign.
"""

from __future__ import annotations

import re
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from thermlog.cli import CONTEXT, program
from thermlog.reports.wording import SIGNS

ROOT = Path(__file__).parent.parent
PAGE = ROOT / "docs" / "cli.md"
README = (ROOT / "README.md").read_text(encoding="utf-8")
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


@pytest.mark.usefixtures("unset")
def test_readme_shows_what_a_check_prints():
    """The block under "What it says" is the whole of `check -q` on that sample."""
    sample = ROOT / "sample_logs" / "van_front_left_hot.csv"
    printed = CliRunner().invoke(program, ["check", str(sample), "--quiet"])

    assert printed.exit_code == 1
    assert f"```\n{printed.stdout.rstrip()}\n```" in README


@pytest.mark.parametrize(("verdict", "sign"), SIGNS.items())
def test_pages_name_every_sign(verdict, sign):
    words = {"urgent": "stop driving", "cannot_tell": "cannot tell"}.get(verdict, verdict)

    for page in (README, PAGE.read_text(encoding="utf-8")):
        assert f"`{sign}` {words}" in page


def test_readme_names_every_command():
    """Those that print a result; the list of thresholds stands for `policy`."""
    commands = program.list_commands(click.Context(program))
    assert "check" in commands  # a group that imports late holds none until it is asked
    assert [command for command in commands if f"`thermlog {command}" not in README] == []
