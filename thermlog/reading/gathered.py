"""What reading a log ends with: its readings, its record, and how it was understood."""

from __future__ import annotations

from msgspec import Struct

from thermlog.reading.plan import LAYOUT_WORDS, Plan
from thermlog.words.errors import LogRefusedError
from thermlog.words.tables import LogRecord, Readings


class Gathered(Struct, kw_only=True, eq=False):
    """The readings of one file, its record, and how numbers and times were understood."""

    readings: Readings
    record: LogRecord
    decimal: str
    unit: str
    time: str


class Understood(Struct, frozen=True, kw_only=True):
    """How a log was read, in words for people.

    Attributes
    ----------
    encoding : str
        Text encoding.
    delimiter : str
        Sign between columns.
    decimal : str
        Decimal mark.
    layout : str
        What a row holds.
    columns : dict of str to str
        Role -> heading as written, or ``column 3``.
    unit : str
        Unit of the readings.
    time : str
        What the times count from, and in what.
    """

    encoding: str
    delimiter: str
    decimal: str
    layout: str
    columns: dict[str, str]
    unit: str
    time: str


class LogReadings(Struct, frozen=True, kw_only=True, eq=False):
    """One log: its record, how it was understood, its readings.

    Attributes
    ----------
    record : LogRecord
        Shared by all cases of `readings`.
    understood : Understood
    readings : Readings
        Sorted by case and time; ``elapsed_s`` is NaN throughout if the log has no times.
    passed : tuple of LogRefusedError
        Sheets that hold no log, and say what stops a vehicle.
    """

    record: LogRecord
    understood: Understood
    readings: Readings
    passed: tuple[LogRefusedError, ...] = ()


def as_log(*, plan: Plan, gathered: Gathered, delimiter: str, encoding: str) -> LogReadings:
    """What was gathered, and what to say of it."""
    understood = Understood(
        encoding=encoding,
        delimiter=delimiter,
        decimal=gathered.decimal,
        layout=LAYOUT_WORDS[plan.layout or "long"],
        columns=_column_words(plan),
        unit=gathered.unit,
        time=gathered.time,
    )
    return LogReadings(record=gathered.record, understood=understood, readings=gathered.readings)


def _column_words(plan: Plan) -> dict[str, str]:
    words: dict[str, str] = {role: plan.names[k] for role, k in plan.index.items()}
    if plan.layout == "long":
        return words | {"temperature": plan.temps[0].name}
    if plan.layout == "rounds":
        return words | {f"round {k + 1}": temp.name for k, temp in enumerate(plan.temps)}
    return words | {f"wheel {temp.wheel}": temp.name for temp in plan.temps}
