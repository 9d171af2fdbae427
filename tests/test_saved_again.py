"""A log that was only saved again is the same log: line ends, byte order mark and blank lines make no drive.

Each copy is the same bytes to whoever reads it in an editor. One with another figure is another log.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from logs import HEALTHY_K, log_text

TEXT = log_text(HEALTHY_K).encode()
BOM = b"\xef\xbb\xbf"


def listed(thermlog, *contents: bytes) -> dict[str, object]:
    Path("d").mkdir()
    for k, content in enumerate(contents):
        Path(f"d/{k}.csv").write_bytes(content)
    return json.loads(thermlog("fleet", "d", "--format", "json").out)


@pytest.mark.parametrize(
    "copy",
    [TEXT.replace(b"\n", b"\r\n"), TEXT.replace(b"\n", b"\r"), BOM + TEXT, TEXT + b"\n\n", TEXT.rstrip(b"\n"),
     BOM + TEXT.replace(b"\n", b"\r\n") + b"\r\n"],
)  # fmt: skip
@pytest.mark.parametrize("first", [True, False])
def test_a_copy_saved_in_another_way_is_no_second_drive(thermlog, copy, first):
    found = listed(thermlog, *((TEXT, copy) if first else (copy, TEXT)))
    assert found["duplicates"] == [{"file": "d/1.csv", "same_as": "d/0.csv"}]


def test_another_figure_is_another_log(thermlog):
    assert listed(thermlog, TEXT, TEXT.replace(b"30,", b"31,", 1).replace(b"\n", b"\r\n"))["duplicates"] == []
