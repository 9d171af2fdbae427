"""Awkward files of others (tests/data/messy): the right cells, or one clear refusal; never a wrong table."""

from __future__ import annotations

from pathlib import Path

import pytest
from readcases import outcome

from thermlog.reading.files.dialect import Dialect, quoting_of, split_block
from thermlog.reading.files.rawtext import decode, split_lines
from thermlog.words.errors import LogRefusedError

MESSY = Path(__file__).parent / "data" / "messy"
FILES = sorted(MESSY.glob("*.?sv"))


def cells(name: str, delimiter: str = ",") -> list[list[str]]:
    """Rows of a file that hold anything."""
    text = decode((MESSY / name).read_bytes(), file=name).text
    quoting = quoting_of(text)
    dialect = Dialect(delimiter=delimiter, quote=quoting.quote, escape=quoting.escape)
    return [row for row in split_block(split_lines(text), dialect).rows if row]


ABC = ["a", "b", "c"]
# The cells expected of spectrum__* are those of the JSON files in the npm package csv-spectrum 2.0.0.
SPECTRUM = {
    "comma_in_quotes": [
        ["first", "last", "address", "city", "zip"],
        ["John", "Doe", "120 any st.", "Anytown, WW", "08123"],
    ],
    "empty": [ABC, ["1", "", ""], ["2", "3", "4"]],
    "empty_crlf": [ABC, ["1", "", ""], ["2", "3", "4"]],
    "escaped_quotes": [["a", "b"], ["1", 'ha "ha" ha'], ["3", "4"]],
    "json": [["key", "val"], ["1", '{"type": "Point", "coordinates": [102.0, 0.5]}']],
    "newlines": [ABC, ["1", "2", "3"], ["Once upon \na time", "5", "6"], ["7", "8", "9"]],
    "newlines_crlf": [ABC, ["1", "2", "3"], ["Once upon \na time", "5", "6"], ["7", "8", "9"]],
    "quotes_and_newlines": [["a", "b"], ["1", 'ha \n"ha" \nha'], ["3", "4"]],
    "simple": [ABC, ["1", "2", "3"]],
    "simple_crlf": [ABC, ["1", "2", "3"]],
    "utf8": [ABC, ["1", "2", "3"], ["4", "5", "ʤ"]],
}


@pytest.mark.parametrize("name", SPECTRUM)
def test_cells_of_csv_spectrum(name: str) -> None:
    """A carriage return inside a quoted cell is a line end like any other here."""
    assert cells(f"spectrum__{name}.csv") == SPECTRUM[name]


# Read by eye from the files of csvkit 2.2.0, whose names say what each is about.
CSVKIT = {
    "csvkit__dummy.tsv": [["a", "b", "c"], ["1", "2", "3"]],
    "csvkit__mac_newlines.csv": [ABC, ["1", "2", "3"], ["Once upon\na time", "5", "6"]],
    "csvkit__null_byte.csv": [ABC, ["\x00", "2", "3"]],
    "csvkit__optional_quote_characters.csv": [ABC, ["1", "2", "3"]],
    "csvkit__test_latin1.csv": [ABC, ["1", "2", "3"], ["4", "5", "©"]],
    "csvkit__test_utf16_big.csv": [ABC, ["1", "2", "3"], ["4", "5", "ʤ"]],
    "csvkit__test_utf16_little.csv": [ABC, ["1", "2", "3"], ["4", "5", "ʤ"]],
    "csvkit__test_utf8_bom.csv": [["foo", "bar", "baz"], ["1", "2", "3"], ["4", "5", "ʤ"]],
    "csvkit__test_locale.csv": [ABC, ["1,7", "200.000.000", ""]],
    "csvkit__test_empty_columns_long_row.csv": [ABC, ["", "", "", ""]],
    "csvkit__test_empty_columns_short_row.csv": [ABC, ["", ""]],
}


@pytest.mark.parametrize("name", CSVKIT)
def test_cells_of_csvkit(name: str) -> None:
    assert cells(name, "\t" if name.endswith("tsv") else ",") == CSVKIT[name]


def test_a_row_with_a_cell_more_than_the_header_shifts_nothing() -> None:
    """The reader that takes the first column for row names here moves every value one heading to the left."""
    assert [len(row) for row in cells("csvkit__bad.csv")] == [3, 4, 2, 3]


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.name)
def test_none_of_them_passes_for_a_brake_log(file: Path) -> None:
    found = outcome(file.read_bytes())
    assert isinstance(found, LogRefusedError)
    assert found.problem.count(";") >= 1  # the cure stands after it


def test_the_licences_stand_beside_the_files() -> None:
    assert len(FILES) == 32
    assert "MIT License" in (MESSY / "csvkit-LICENSE.txt").read_text(encoding="utf-8")
    assert "Redistributions" in (MESSY / "csv-spectrum-LICENSE.txt").read_text(encoding="utf-8")
