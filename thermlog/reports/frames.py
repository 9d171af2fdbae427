"""Rows of results as a pandas DataFrame, typed also when empty."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from thermlog.words.columns import FRAME_TYPES

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    import pandas as pd

    from thermlog.reports.report_csv import Told


def frame_of(
    columns: Sequence[Told[Any]], rows: Sequence[tuple[Any, ...]], *, gaps: Collection[str] = ()
) -> pd.DataFrame:
    """A table of results.

    Parameters
    ----------
    columns : sequence of Told
    rows : sequence of tuple
        What the cells of a row are made from.
    gaps : collection of str
        Columns of whole numbers of which some may be missing.
    """
    import pandas as pd

    def kind(column: Told[Any]) -> str:
        return "Int64" if column.name in gaps else FRAME_TYPES[column.kind]

    return pd.DataFrame(
        {
            column.name: pd.Series([column.cell(*row) for row in rows], dtype=kind(column))
            for column in columns
        }
    )
