"""Every refusal thermlog can utter, all below one base, each with its exit code."""

from __future__ import annotations

EXIT_EVEN = 0
EXIT_FLAGGED = 1
EXIT_USAGE = 2
EXIT_REFUSED = 3
EXIT_FAULT = 4
EXIT_INTERRUPTED = 130


class ThermlogError(Exception):
    """Something the user can put right; the text says where, what was found, and the cure."""

    exit_code = EXIT_REFUSED


class LogRefusedError(ThermlogError):
    """A log (or one table in it) cannot be read without guessing.

    Parameters
    ----------
    problem : str
        What was found and what would be right, one sentence without a final full stop.
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
    code : str
        The kind of problem, for programs: they never compare sentences.
    """

    def __init__(
        self,
        problem: str,
        *,
        file: str,
        line: int | None = None,
        column: str | None = None,
        value: str | None = None,
        hint: str | None = None,
        code: str = "other",
    ) -> None:
        self.code = code
        self.problem = problem
        self.file = file
        self.line = line
        self.column = column
        self.value = value
        self.hint = hint
        super().__init__(self._sentence())

    def _sentence(self) -> str:
        where = self.file
        if self.line is not None:
            where += f", line {self.line}"
        if self.column is not None:
            where += f', column "{self.column}"'
        if self.value is not None:
            where += f', found "{self.value}"'
        return f"{where}: {self.problem}"


class OptionError(ThermlogError):
    """An option given from Python is unknown, or its value has no meaning."""


class PolicyError(ThermlogError):
    """A policy file is missing, unreadable, incomplete or has a number without unit or source."""


class EvidenceError(ThermlogError):
    """The evidence files of the advice contradict themselves, or something in them is missing."""


class VehicleError(ThermlogError):
    """A vehicle description contradicts itself or the log."""


class OutputError(ThermlogError):
    """A result cannot be written: the file exists, the folder is missing, the disk refuses."""
