"""The list of work as Parquet: the cells of the CSV with their types, written whole or not at all."""

from __future__ import annotations

import csv
import io
import sys
from datetime import datetime
from pathlib import Path

import pyarrow as pa
import pyarrow.parquet as pq
import pytest
from logs import DRAGGING_K, HEALTHY_K, depot, log_text, write_log

from thermlog.reports import parquet
from thermlog.reports.fleetcolumns import COLUMNS_VERSION, FLEET

KINDS = {"whole": pa.int64(), "figure": pa.float64(), "text": pa.string()}


def folder() -> None:
    """A depot with a copy, a date, an empty file, and text that a spreadsheet would take for a formula."""
    depot()
    write_log(Path(), "depot/copy.csv", HEALTHY_K, vehicle="A")
    dated = log_text({corner: k + 2 for corner, k in HEALTHY_K.items()}, vehicle="dated")
    Path("depot/dated.csv").write_text("# date: 2026-03-04 21:05\n" + dated, encoding="utf-8")
    write_log(Path(), "depot/formula.csv", DRAGGING_K, vehicle="=1+1 \u202ex")


@pytest.mark.parametrize("at_once", [1, 20_000])
def test_read_back_it_is_the_csv(thermlog, monkeypatch, at_once):
    monkeypatch.setattr(parquet, "_ROWS_AT_ONCE", at_once)
    folder()
    rows = list(csv.DictReader(io.StringIO(thermlog("fleet", "depot", "--format", "csv").out)))
    ran = thermlog("fleet", "depot", "--format", "parquet", "-o", "list.parquet")
    assert (ran.code, ran.out) == (1, "")
    table = pq.read_table("list.parquet")
    assert table.num_rows == len(rows) == 9
    assert table.column_names == list(rows[0])
    for told in FLEET:
        for cell, row in zip(table[told.name].to_pylist(), rows, strict=True):
            text = row[told.name]
            if told.name == "taken":
                assert cell == (datetime.fromisoformat(text) if text else None)
            elif told.kind == "text":
                assert (cell or "") == text.removeprefix("'")
            else:
                assert cell == (float(text) if text else None)  # the very number: both have six digits
    assert datetime.fromisoformat("2026-03-04T21:05") in table["taken"].to_pylist()
    assert (
        "=1+1 \\u202ex" in table["unit"].to_pylist()
    )  # a sign that turns letters round is shown, not obeyed
    assert "" not in table["urgent"].to_pylist()


def test_types_are_those_of_the_columns_and_the_file_says_its_version(thermlog):
    folder()
    thermlog("fleet", "depot", "--format", "parquet", "-o", "list.parquet")
    schema = pq.read_schema("list.parquet")
    for told in FLEET:
        kind = schema.field(told.name).type
        if told.name in parquet.CATEGORIES:
            assert pa.types.is_dictionary(kind)
            assert kind.value_type == pa.string()
        elif told.name in parquet.MOMENTS:
            assert kind == pa.timestamp("us")
        else:
            assert kind == KINDS[told.kind]
    assert {told.name for told in FLEET if told.kind == "text"} >= parquet.CATEGORIES
    assert schema.metadata[b"thermlog.columns_version"] == str(COLUMNS_VERSION).encode()
    assert b"thermlog.version" in schema.metadata


def test_the_same_list_gives_the_same_bytes_and_nothing_is_replaced_unasked(thermlog):
    folder()
    how = ("fleet", "depot", "--format", "parquet", "-o", "list.parquet")
    thermlog(*how)
    first = Path("list.parquet").read_bytes()
    again = thermlog(*how)
    assert (again.code, Path("list.parquet").read_bytes()) == (3, first)
    assert "exists already; add --force" in again.err
    assert thermlog(*how, "--force").code == 1
    assert Path("list.parquet").read_bytes() == first
    assert sorted(path.name for path in Path().iterdir()) == ["depot", "list.parquet"]


def test_where_nothing_could_be_read_there_is_a_table_of_what_was_not(thermlog):
    Path("a.csv").write_bytes(b"")
    assert thermlog("fleet", "a.csv", "--format", "parquet", "-o", "list.parquet").code == 3
    (row,) = pq.read_table("list.parquet").to_pylist()
    assert (row["group"], row["file"], row["rank"]) == ("unreadable", "a.csv", None)


@pytest.mark.parametrize("output", [(), ("-o", "-")])
def test_not_on_a_screen(thermlog, output):
    folder()
    ran = thermlog("fleet", "depot", "--format", "parquet", *output)
    assert (ran.code, ran.out) == (2, "")
    assert "a Parquet table goes into a file; name it with -o list.parquet" in ran.err


def test_without_the_extra_it_is_named_before_any_work(thermlog, monkeypatch):
    monkeypatch.setitem(sys.modules, "pyarrow", None)
    monkeypatch.setitem(sys.modules, "pyarrow.parquet", None)
    ran = thermlog("fleet", "none", "--format", "parquet", "-o", "list.parquet")
    assert (ran.code, ran.out) == (3, "")
    assert 'a Parquet file needs pyarrow: python -m pip install ".[parquet]"' in ran.err
