"""Figures in a cell that is no plain temperature: what may have been read there."""

from __future__ import annotations

from thermlog.reading.cells import DecimalMark, tidy
from thermlog.words.regular import regular

# Letters that stand for digits where a hand wrote, or a scanner read, a figure.
_ALIKE = str.maketrans("OoDQlI|SsBZz", "000011155822")
_RUN = regular(r"[0-9OoDQlI|SsBZz]*[0-9][0-9OoDQlI|SsBZz]*(?:[.,][0-9OoDQlI|SsBZz]+)?")
_LONGEST = 6  # digits and mark of a temperature
_SPACED = regular(r"(?<![0-9])(?:[0-9] ){1,3}[0-9](?![0-9])")


def largest_figure(cell: str, decimal: DecimalMark = ".") -> float | None:
    """The largest figure that a cell may hold; None where it holds none.

    Nothing is judged by it: it says whether a reading that was set aside may have been a hot one.

    Examples
    --------
    >>> largest_figure("280?"), largest_figure("28O"), largest_figure("250-280 hot"), largest_figure("red")
    (280.0, 280.0, 280.0, None)
    """
    text = _SPACED.sub(lambda digits: digits[0].replace(" ", ""), tidy(cell))
    found = [_value(run.translate(_ALIKE), decimal) for run in _RUN.findall(text) if len(run) <= _LONGEST]
    return max(found, default=None)


def _value(digits: str, decimal: DecimalMark) -> float:
    """A mark with three digits behind it is one of thousands, unless it is the log's decimal mark."""
    whole, _, part = digits.replace(",", ".").partition(".")
    thousands = len(part) == 3 and decimal not in digits
    return float(whole + part) if thousands else float(f"{whole}.{part or 0}")
