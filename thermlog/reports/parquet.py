"""The list of work as a Parquet file: the columns of the CSV with their types, for tables of many nights."""

from __future__ import annotations

from itertools import islice
from typing import TYPE_CHECKING, Any

from thermlog.reports.fleetcolumns import COLUMNS_VERSION, FLEET, fleet_cells
from thermlog.reports.wording import printable, six_digits
from thermlog.words.errors import OptionError
from thermlog.words.version import __version__

if TYPE_CHECKING:
    from pathlib import Path

    from thermlog.fleet.worklist import WorkList
    from thermlog.reports.report_csv import Cell

# Text of few kinds: kept as a dictionary, which tables know as a category.
CATEGORIES = frozenset({
    "group", "drive", "corner", "verdict", "pattern", "drag", "idle", "heat", "action", "again_by", "load",
    "when", "weight_class", "policy",
})  # fmt: skip
_ROWS_AT_ONCE = 20_000


def refuse_without_arrow() -> None:
    """Refuse before any work is done what cannot be written.

    Raises
    ------
    OptionError
        pyarrow is not installed.
    """
    try:
        import pyarrow.parquet  # noqa: F401 - whether it is there
    except ImportError:
        msg = 'a Parquet file needs pyarrow: python -m pip install ".[parquet]"; --format csv does without'
        raise OptionError(msg) from None


def write_fleet(work: WorkList, place: Path) -> None:
    """Write the list, some thousand rows at a time.

    Parameters
    ----------
    work : WorkList
    place : Path
        An empty file.
    """
    from pyarrow import RecordBatch, array
    from pyarrow.parquet import ParquetWriter

    schema = _schema()
    rows = fleet_cells(work)
    with ParquetWriter(place, schema) as writer:
        while some := list(islice(rows, _ROWS_AT_ONCE)):
            columns = (map(_plain, column) for column in zip(*some, strict=True))
            arrays = [array(column, type=kind.type) for column, kind in zip(columns, schema, strict=True)]
            writer.write_batch(RecordBatch.from_arrays(arrays, schema=schema))


def _schema() -> Any:
    """Names, types, and whose columns these are."""
    import pyarrow as pa

    kinds = {"whole": pa.int64(), "figure": pa.float64(), "text": pa.string()}
    category = pa.dictionary(pa.int32(), pa.string())
    fields = [(told.name, category if told.name in CATEGORIES else kinds[told.kind]) for told in FLEET]
    about = {"thermlog.version": __version__, "thermlog.columns_version": str(COLUMNS_VERSION)}
    return pa.schema(fields, metadata=about)


def _plain(cell: Cell) -> Cell:
    """A cell as the CSV has it, but for the apostrophe that keeps text from being a formula."""
    if isinstance(cell, str):
        return printable(cell) or None
    return six_digits(cell) if isinstance(cell, float) else cell
