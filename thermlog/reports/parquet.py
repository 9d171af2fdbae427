"""The list of work as a Parquet file: the columns of the CSV with their types, for tables of many nights."""

from __future__ import annotations

from contextlib import suppress
from datetime import datetime
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
MOMENTS = frozenset({"taken"})
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
            arrays = [
                array(map(_moment if kind.name in MOMENTS else _plain, column), type=kind.type)
                for column, kind in zip(zip(*some, strict=True), schema, strict=True)
            ]
            writer.write_batch(RecordBatch.from_arrays(arrays, schema=schema))


def _schema() -> Any:
    """Names, types, and whose columns these are."""
    import pyarrow as pa

    kinds = {"whole": pa.int64(), "figure": pa.float64(), "text": pa.string()}
    special = dict.fromkeys(CATEGORIES, pa.dictionary(pa.int32(), pa.string()))
    special |= dict.fromkeys(MOMENTS, pa.timestamp("us"))
    fields = [(told.name, special.get(told.name, kinds[told.kind])) for told in FLEET]
    about = {"thermlog.version": __version__, "thermlog.columns_version": str(COLUMNS_VERSION)}
    return pa.schema(fields, metadata=about)


def _moment(cell: Cell) -> datetime | None:
    """A moment as the log's own clock shows it; a date alone is its midnight, a time of day alone is none.

    Examples
    --------
    >>> _moment("2026-03-04T21:05+01:00"), _moment("2026-03-04"), _moment("T14:03")
    (datetime.datetime(2026, 3, 4, 21, 5), datetime.datetime(2026, 3, 4, 0, 0), None)
    """
    if not isinstance(cell, str) or cell.startswith("T"):
        return None
    with suppress(ValueError):  # such as a month alone
        return datetime.fromisoformat(cell).replace(tzinfo=None)
    return None


def _plain(cell: Cell) -> Cell:
    """A cell as the CSV has it, but for the apostrophe that keeps text from being a formula."""
    if isinstance(cell, str):
        return printable(cell) or None
    return six_digits(cell) if isinstance(cell, float) else cell
