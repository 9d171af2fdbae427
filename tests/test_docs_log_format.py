"""docs/log-format.md says what thermlog says: its table of troubles, its examples, its column map."""

from __future__ import annotations

import re
from pathlib import Path
from typing import get_args

import pytest
from readcases import read
from troubles import renewed

from thermlog.reading.columnmap import load_column_map
from thermlog.reading.files.rawtext import LARGEST_BYTES
from thermlog.words.errors import SetAsideCode, TroubleCode

PAGE = (Path(__file__).parents[1] / "docs" / "log-format.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"^```\n(.*?)^```$", PAGE, re.MULTILINE | re.DOTALL)


def test_the_tables_on_the_page_are_current() -> None:
    """Made by bench/make_log_format.py."""
    assert renewed(PAGE) == PAGE


def test_every_code_has_an_example_on_the_page() -> None:
    """The list of codes holds none that nothing says, and nothing says one that is not on it."""
    shown = re.findall(r"^\| [^|]+ \| [^|]+ \| `([a-z_]+)` \|", PAGE, re.MULTILINE)
    assert set(shown) == set(get_args(TroubleCode))


def test_codes_of_single_readings_are_some_of_all_codes() -> None:
    assert set(get_args(SetAsideCode)) < set(get_args(TroubleCode))


@pytest.mark.parametrize("block", BLOCKS)
def test_examples_are_read_whole(block: str) -> None:
    found = read(block)
    assert found.record.set_aside == ()
    assert found.record.rows_used >= 2


def test_there_is_an_example_of_every_layout() -> None:
    layouts = {read(block).understood.layout for block in BLOCKS}
    assert len(layouts) == 5


def test_the_column_map_on_the_page_loads(tmp_path: Path) -> None:
    file = tmp_path / "map.toml"
    file.write_text(re.search(r"```toml\n(.*?)```", PAGE, re.DOTALL)[1], encoding="utf-8")
    column_map = load_column_map(str(file))
    assert column_map.columns == {"time": "Uhr", "position": 2, "temperature": "Wert A"}
    assert column_map.positions == {"11": "1L"}


@pytest.mark.parametrize("line", re.findall(r"`(# [a-z ]+: [^`]+)`", PAGE))
def test_every_header_comment_on_the_page_is_understood(line: str) -> None:
    notes = read(f"{line}\ntime_s,position,temp\n0,1L,80 C\n9,2L,81 C\n").record.notes
    assert not [note for note in notes if "says nothing" in note]


def test_the_limit_on_the_page_is_the_limit() -> None:
    assert f"{LARGEST_BYTES // 1024**2} MiB" in PAGE
