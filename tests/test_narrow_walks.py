"""The walk-throughs of docs/narrow.md, pressed key by key on a terminal."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest
from terminals import on_terminal

from thermlog.cli import run

ROOT = Path(__file__).parent.parent
PAGE = (ROOT / "docs" / "narrow.md").read_text(encoding="utf-8")
WALKS = re.findall(r"^### (.+?)\n.*?```text\n(.*?)```", PAGE, flags=re.MULTILINE | re.DOTALL)


def shown_at_the_end(shown: str) -> list[str]:
    """The lines of the end that the page shows."""
    last = (
        shown.rsplit("stop here", maxsplit=1)[-1]
        .replace("\x1b[2J", "\n")
        .replace("\x1b[1;1H", "")
        .replace("\r", "")
    )
    # Broken between words for 80 columns; not set in where the page would not fit else.
    last = re.sub(r"(?<=\S)\n(?: {10}(?=\S)|(?![A-Z]{2})(?=\S))", " ", last)
    starts = ("FINDING ", "  1  ", "ANSWERED", "DIFFERS ", "RESULT ")
    return [line.rstrip() for line in last.splitlines() if line.startswith(starts)]


def test_page_has_every_walk():
    assert [title for title, _ in WALKS] == [
        "Slide pin", "Sticking piston", "Collapsed hose", "Parking brake",
        "No pedal free play", "Long stroke", "Bearing", "Trailer brake", "A slip that is found",
    ]  # fmt: skip


@pytest.mark.parametrize(("title", "block"), WALKS, ids=[title for title, _ in WALKS])
def test_walk_ends_as_the_page_says(title, block):
    Path("sample_logs").symlink_to(ROOT / "sample_logs")
    lines = block.splitlines()
    commands = [shlex.split(line)[2:] for line in lines if line.startswith("$ thermlog ")]
    keys = next(line for line in lines if line.startswith("keys: ")).removeprefix("keys: ").replace(" ", "")
    for command in commands[:-1]:
        assert run(command) == 0
    assert commands[-1][0] == "narrow"
    shown = on_terminal(keys, *commands[-1])
    expected = [line for line in lines if not line.startswith(("$ ", "keys: "))]
    assert len(expected) == 4 + (title == "A slip that is found")
    assert shown_at_the_end(shown) == expected
