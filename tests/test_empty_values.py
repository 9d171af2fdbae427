"""An option whose value is empty is refused: a variable of a shell that was never set is no choice.

A careful inspector who writes --policy "$OURS" in a script wants to hear that OURS is empty, not a verdict by
another policy.
"""

from __future__ import annotations

from pathlib import Path

import click
import pytest

from thermlog.cli import COMMANDS, program

VAN = str(Path(__file__).parent.parent / "sample_logs" / "van_front_left_hot.csv")


def _valued() -> list[tuple[str, str]]:
    """Every command with each of its options that has a value."""
    context = click.Context(program)
    found = []
    for name in COMMANDS:
        command = program.get_command(context, name)
        assert command is not None
        found += [
            (name, option.opts[-1])
            for option in command.params
            if isinstance(option, click.Option) and not option.is_flag
        ]
    return found


@pytest.mark.parametrize(("command", "option"), _valued())
def test_an_option_without_a_value_is_refused_by_name(thermlog, command, option):
    ran = thermlog(command, option, "")
    assert (ran.code, ran.out) == (2, "")
    assert f"{option}: nothing stands behind it; give its value, or leave the option out" in ran.err


@pytest.mark.parametrize("words", [("--policy="), ("--gun=")])
def test_so_is_one_with_a_sign_and_nothing_behind_it(thermlog, words):
    ran = thermlog("check", VAN, words)
    assert ran.code == 2
    assert f"{words[:-1]}: nothing stands behind it" in ran.err


def test_a_value_that_ends_in_a_sign_is_none_of_these(thermlog):
    assert "nothing stands behind" not in thermlog("check", VAN, "--surface=1L=").err


def test_a_file_that_the_system_refuses_is_named_and_is_no_full_disk(thermlog, monkeypatch):
    import thermlog.pipeline.run as running

    def closed(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied", "table.toml")

    monkeypatch.setattr(running, "run_one", closed)
    ran = thermlog("narrow", VAN)
    assert ran.code == 3
    assert "table.toml: Permission denied" in ran.err
    assert "standard output" not in ran.err
