"""One cell: numbers, units, marks; and rows under every dialect of the CSV trouble survey."""

from __future__ import annotations

import pytest

from thermlog.reading.cells import decimal_of, measured, number, plain_numbers, unit_word
from thermlog.reading.files.comments import take_comments
from thermlog.reading.files.dialect import Dialect, quoting_of, split_block, split_blocks


@pytest.mark.parametrize(
    ("text", "decimal", "value"),
    [
        ("80", ".", 80.0),
        ("80.5", ".", 80.5),
        ("80,5", ",", 80.5),
        ("−3,5", ",", -3.5),
        ("+7", ".", 7.0),
        ("1.234,5", ",", 1234.5),
        ("1,234.5", ".", 1234.5),
        ("\u00a085.5 ", ".", 85.5),
        ("80,5", ".", None),
        ("80.5", ",", None),
        ("1.234.567", ",", None),
        ("1_0", ".", None),
        ("nan", ".", None),
        ("٣", ".", None),
        ("", ".", None),
    ],
)
def test_numbers_in_either_decimal_mark(text: str, decimal, value: float | None) -> None:
    assert number(text, decimal) == value


@pytest.mark.parametrize(
    ("cell", "value", "unit"),
    [
        ("148 °C", 148.0, "C"),
        ("148°F", 148.0, "F"),
        ("421.2 K", 421.2, "K"),
        ("148 degC", 148.0, "C"),
        ("148ºC", 148.0, "C"),
        ("148", 148.0, None),
    ],
)
def test_units_in_cells(cell: str, value: float, unit: str | None) -> None:
    found = measured(cell)
    assert (found.value, found.unit, found.problem) == (value, unit, None)


@pytest.mark.parametrize("unit", ["C", "°F", "K", "deg c", "Celsius"])
@pytest.mark.parametrize("figure", ["80", "-18.5", "80,5", "0", ">80", "80+", "1e400", "1.5.2", "9" * 70])
def test_a_blank_before_the_unit_changes_nothing(figure: str, unit: str) -> None:
    """With a blank a cell is read at once, without one as any other: marks and mistakes tell the same."""
    assert repr(measured(f"{figure} {unit}")) == repr(measured(f"{figure}{unit}"))


def test_uncertainty_behind_the_value_keeps_the_value_s_unit() -> None:
    found = measured("18,5 °C ± 2 K", ",")
    assert (found.value, found.sigma, found.unit) == (18.5, 2.0, "C")
    assert measured("18 ± 2 C").unit == "C"


@pytest.mark.parametrize(
    "cell",
    ["OL", "O.L", ">400", "< -50", "HI", "over range", "---", "-", "n/a", "#N/A", "NaN", "null", "inf", "?",
     "", "=1+1", "@SUM(1)", "'80", "80 bar", "hot", "8\x000", "1e400", "80 81", "12.05.2031"],
)  # fmt: skip
def test_what_is_no_reading_says_why(cell: str) -> None:
    assert measured(cell).problem


def test_plain_numbers_take_nothing_that_only_python_calls_a_number() -> None:
    assert plain_numbers(["80", "81.5"]) == [80.0, 81.5]
    for odd in ("nan", "inf", "1_0", "1e999", "x"):
        assert plain_numbers(["80", odd]) is None


def test_decimal_mark_is_told_by_the_whole_column() -> None:
    assert decimal_of(["80", "81,5"]) == ","
    assert decimal_of(["80", "81.5"]) == "."
    assert decimal_of(["80", "81"]) is None
    assert decimal_of(["80,5", "81.5"]) == "both"
    assert decimal_of(["1.234,5", "80"]) == ","
    assert decimal_of(["12.05.2031"]) is None


def test_unit_words_are_not_guessed() -> None:
    assert unit_word(" Deg  C ") == "C"
    assert unit_word("m") is None


ROWS = [["a", "b", "c"], ["1", "2 2", "3"]]


@pytest.mark.parametrize(
    ("text", "delimiter"),
    [
        ("a,b,c\n1,2 2,3", ","),
        ("a, b, c\n1, 2 2, 3", ","),
        ("a;b;c\n1;2 2;3", ";"),
        ("a\tb\tc\n1\t2 2\t3", "\t"),
        ("a|b|c\n1|2 2|3", "|"),
        ("a   b     c\n1   2 2   3", "  "),
        ('a b c\n1 "2 2" 3', " "),
        ('"a","b","c"\n"1","2 2","3"', ","),
        ("'a';'b';'c'\n'1';'2 2';'3'", ";"),
    ],
)
def test_one_table_under_every_dialect(text: str, delimiter: str) -> None:
    quoting = quoting_of(text)
    found = split_block(
        text.split("\n"), Dialect(delimiter=delimiter, quote=quoting.quote, escape=quoting.escape)
    )
    assert [[cell.strip() for cell in row] for row in found.rows] == ROWS
    assert list(found.lines) == [1, 2]
    assert found.damaged == {}


def test_backslash_escapes_where_no_quote_is_doubled() -> None:
    text = '1,"say \\"hot\\", twice"'
    found = split_block([text], Dialect(escape=quoting_of(text).escape))
    assert found.rows == [["1", 'say "hot", twice']]


def test_a_quoted_cell_may_span_lines_and_keeps_the_numbers_of_the_others() -> None:
    found = split_block(['1,"x', 'y"', "2,z"], Dialect())
    assert found.rows == [["1", "x\ny"], ["2", "z"]]
    assert list(found.lines) == [1, 3]


@pytest.mark.parametrize("row", ['10,"FR,81', '10,FR,"81'])
def test_a_quote_that_never_closes_costs_its_own_row_only(row: str) -> None:
    found = split_block(["0,FL,80", row, "20,RL,70", '30,RR,"71"'], Dialect())
    assert set(found.damaged) == {1}
    assert [r[1] for k, r in enumerate(found.rows) if k != 1] == ["FL", "RL", "RR"]


def test_blocks_of_a_long_file_are_the_file() -> None:
    lines = [f'{k},"x{k}"' if k % 7 == 0 else f"{k},x{k}" for k in range(45_000)]
    blocks = list(split_blocks(lines, Dialect(), start=3))
    assert len(blocks) > 2
    assert [row for block in blocks for row in block.rows] == [[str(k), f"x{k}"] for k in range(3, 45_000)]
    assert [line for block in blocks for line in block.lines] == list(range(4, 45_001))


def test_comments_are_taken_out_and_leave_line_numbers_alone() -> None:
    text = '# a: 1\n"# b: 2",,\nx,y\n% c\n// d\n1,2'
    lines = text.split("\n")
    assert [(c.line, c.text) for c in take_comments(lines, text)] == [
        (1, "a: 1"),
        (2, "b: 2"),
        (4, "c"),
        (5, "d"),
    ]
    assert lines == ["", "", "x,y", "", "", "1,2"]
