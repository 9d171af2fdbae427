"""Every refusal thermlog can utter, all below one base, each with its exit code."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Literal, TypeAlias

if TYPE_CHECKING:
    from collections.abc import Callable

    from thermlog.words.unread import UnreadLog

EXIT_EVEN = 0
EXIT_FLAGGED = 1
EXIT_REFUSED = 3
EXIT_FAULT = 4
EXIT_INTERRUPTED = 130


# Every trouble by its name, for programs: they never compare sentences. A name never changes its meaning.
# docs/log-format.md shows an example of each.
SetAsideCode: TypeAlias = Literal[  # what becomes of single readings
    "row_shape", "over_range", "under_range", "no_value", "by_hand", "not_a_number", "unit", "impossible",
    "no_wheel", "unknown_wheel", "unclear_wheel", "summary", "air", "spot", "time", "repeat", "surface",
    "taken_back", "before_parked", "other_part",
]  # fmt: skip
TroubleCode: TypeAlias = Literal[
    SetAsideCode,  # a log is refused for what all its readings share
    "no_file", "folder", "no_access", "not_a_file", "no_log", "too_large", "empty", "damaged", "other_kind",
    "encoding", "columns", "no_header", "no_wheel_column", "no_temperature_column", "two_columns",
    "wheel_columns", "time_columns", "swapped", "column_map", "no_readings", "too_wide", "second_table",
    "decimal_mark", "no_unit", "unit_contradicted", "ambient_contradicted", "no_air", "stated_twice",
    "too_few_axles", "time_unit", "two_ways", "time_styles", "parked", "offsets", "no_such_date",
    "date_order", "time_order", "clock_back", "no_minutes", "starts_again", "falling", "far_moment",
    "option", "policy", "vehicle", "output", "job", "depot", "history", "walk", "score",
    "cluster", "address", "single_track",
]  # fmt: skip


class ThermlogError(Exception):
    """Something the user can put right; the text says where, what was found, and the cure.

    Attributes
    ----------
    code : TroubleCode
        The kind of trouble, for programs.
    file, column, value : str or None
        Where it is and what stands there, as far as there is such a place.
    line : int or None
        First line 1.
    unread : UnreadLog or None
        What stands in the log that it refuses, as far as that stops a vehicle.
    """

    exit_code = EXIT_REFUSED
    code: TroubleCode
    file: str | None = None
    line: int | None = None
    column: str | None = None
    value: str | None = None
    unread: UnreadLog | None = None

    def without_file(self) -> str:
        """The text without the name of the log in front, as far as that is the one at fault."""
        return str(self)


class LogRefusedError(ThermlogError):
    """A log (or one table in it) cannot be read without guessing.

    Parameters
    ----------
    problem : str
        What was found and what would be right, one sentence without a final full stop.
    code : TroubleCode
        The kind of trouble.
    file : str
        The path as the user gave it, ``-`` for standard input.
    line : int, optional
        Line in the file, first line 1.
    column : str, optional
        Column name as written in the file.
    value : str, optional
        The cell as found.
    hint : str, optional
        Text worth printing under the message, such as a column map ready to edit.
    unread : UnreadLog, optional
        What the log says that stops a vehicle.

    Attributes
    ----------
    code : TroubleCode
        The kind of trouble, for programs: they never compare sentences.
    problem, file, line, column, value, hint, unread
        As given.
    """

    def __init__(
        self,
        problem: str,
        *,
        code: TroubleCode,
        file: str,
        line: int | None = None,
        column: str | None = None,
        value: str | None = None,
        hint: str | None = None,
        unread: UnreadLog | None = None,
    ) -> None:
        self.code = code
        self.problem = problem
        self.file: str = file
        self.line = line
        self.column = column
        self.value = value
        self.hint = hint
        self.unread = unread
        super().__init__(self._sentence())

    def __reduce__(self) -> tuple[Callable[[], LogRefusedError], tuple[()]]:
        """Every part by its name, so that a refusal may cross to another process."""
        return partial(LogRefusedError, **vars(self)), ()

    def _sentence(self) -> str:
        joint = ": " if not self._within() else ", "
        return f"{self.file}{joint}{self.without_file()}"

    def without_file(self) -> str:
        """Where in the file it is, what stands there, and what is wrong with it."""
        within = self._within()
        return f"{', '.join(within)}: {self.problem}" if within else self.problem

    def _within(self) -> list[str]:
        parts = {"line {}": self.line, 'column "{}"': self.column, 'found "{}"': self.value}
        return [pattern.format(part) for pattern, part in parts.items() if part is not None]


class OptionError(ThermlogError):
    """An option given from Python is unknown, or its value has no meaning."""

    code: TroubleCode = "option"


class PolicyError(ThermlogError):
    """A policy file is missing, unreadable, incomplete or has a number without unit or source."""

    code: TroubleCode = "policy"


class EvidenceError(ThermlogError):
    """The evidence files of the advice contradict themselves, or something in them is missing."""


class VehicleError(ThermlogError):
    """A vehicle description contradicts itself or the log.

    Parameters
    ----------
    problem : str
        What is wrong; in a log its place goes before it.
    file : str, optional
        The log that the description contradicts.
    line : int, optional
        Line of it.
    """

    code: TroubleCode = "vehicle"

    def __init__(self, problem: str, *, file: str | None = None, line: int | None = None) -> None:
        self.file = file
        self.line = line
        self._said = problem if line is None else f"line {line}: {problem}"
        joint = ": " if line is None else ", "
        super().__init__(self._said if file is None else f"{file}{joint}{self._said}")

    def without_file(self) -> str:
        """Where in the log it is, and what is wrong."""
        return self._said


class DepotError(ThermlogError):
    """The file of a depot's units cannot be read, or contradicts itself."""

    code: TroubleCode = "depot"


class OutputError(ThermlogError):
    """A result cannot be written: the file exists, the folder is missing, the disk refuses."""

    code: TroubleCode = "output"


class JobRefusedError(ThermlogError):
    """A job record cannot be read, or belongs to another vehicle or log."""

    code: TroubleCode = "job"


class HistoryError(ThermlogError):
    """The history of a depot cannot be reached, read or written."""

    code: TroubleCode = "history"


class ClusterError(ThermlogError):
    """A cluster cannot be reached, or its workers would not judge alike."""

    code: TroubleCode = "cluster"


class WalkError(ThermlogError):
    """What was entered cannot be of this walk, or its journal cannot be kept."""

    code: TroubleCode = "walk"


class ScoreRefusedError(ThermlogError):
    """A score file of practice, or a key of a set of cases, cannot be read."""

    code: TroubleCode = "score"
