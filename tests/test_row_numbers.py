"""A first column of row numbers may be called #: its heading is no comment. All logs are invented."""

from __future__ import annotations

import pytest
from readcases import PLAIN, read

from thermlog.judging.uncleared import _lines
from thermlog.words.reasons import Reason
from thermlog.words.reasontexts import reason_text


@pytest.mark.parametrize("mark", [",", ";", "\t", "|"])
@pytest.mark.parametrize("first", ["#", '"#"', "# "])
def test_a_column_of_row_numbers_called_hash(mark: str, first: str) -> None:
    head, *rows = PLAIN.splitlines()
    lines = [f"{first},{head}", *(f"{k},{row}" for k, row in enumerate(rows, start=1))]
    found = read("# ambient: 18 C\n" + "\n".join(lines).replace(",", mark) + "\n")
    assert found.readings.indicated_degc.tolist() == [80.5, 81, 70, 71]
    assert found.readings.cases[0].ambient_degc == 18


@pytest.mark.parametrize("comment", ["#,checked by hand", "#;;", "# ,", "#,,,"])
def test_a_comment_that_begins_like_it_stays_one(comment: str) -> None:
    assert read(f"{comment}\n{PLAIN}").record.rows_used == read(f"{PLAIN}{comment}\n").record.rows_used == 4


def test_two_columns_of_one_line_are_not_two_lines() -> None:
    one, two = (
        reason_text(Reason(code="impossible_pace", numbers=_lines(*pair))) for pair in ((3, 3), (3, 4))
    )
    assert one.startswith("line 3: nobody reads the wheels of its columns so soon")
    assert two.startswith("lines 3 and 4: nobody reads two wheels so soon")
