"""The score of one person over time, kept in a small JSON file of thermlog's own."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

import msgspec
from msgspec import Struct

from thermlog.followup.jobrecord import now
from thermlog.practice.cases import CaseOrder, PracticeCase
from thermlog.practice.commitment import Commitment
from thermlog.practice.marking import Mark, Marked, PlantedFault
from thermlog.practice.topics import Level, Topic
from thermlog.words.bounds import Count
from thermlog.words.errors import ScoreRefusedError
from thermlog.words.shelltext import shell_file
from thermlog.words.version import __version__

SCORE_SCHEMA: Literal["thermlog-score-1"] = "thermlog-score-1"


class OpenSeries(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A series on its way.

    Attributes
    ----------
    seed : int
        Of the series; its cases follow from it.
    length : int
        Cases in all.
    level : Level
    topic : Topic or None
        None: drawn for each case.
    done : int
        Cases answered.
    """

    seed: int
    length: Count
    level: Level
    topic: Topic | None = None
    done: Count = 0


class ScoredCase(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One case that was answered, and when; what the tool made of the same readings beside it."""

    at: str
    case: CaseOrder
    truth: PlantedFault
    committed: Commitment
    mark: Mark
    step_agrees: bool | None
    tool: Commitment
    tool_mark: Mark


class ScoreFile(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """All cases of one person, in order.

    Attributes
    ----------
    schema : str
    tool : str
        Version of thermlog that wrote it.
    series : OpenSeries or None
        What goes on next time.
    cases : tuple of ScoredCase
    """

    schema: Literal["thermlog-score-1"]
    tool: str = __version__
    series: OpenSeries | None = None
    cases: tuple[ScoredCase, ...] = ()


def no_scores() -> ScoreFile:
    """A file before its first case."""
    return ScoreFile(schema=SCORE_SCHEMA)


def load_scores(path: str) -> ScoreFile | None:
    """Scores in a file; None if there is no such file yet.

    Raises
    ------
    ScoreRefusedError
        The file cannot be read or is no such file of thermlog.
    """
    try:
        content = Path(path).read_bytes()
    except FileNotFoundError:
        return None
    except OSError as fault:
        msg = f"{path}: cannot be opened ({fault.strerror}); name another file for the scores"
        raise ScoreRefusedError(msg) from fault
    try:
        return msgspec.json.decode(content, type=ScoreFile)
    except (msgspec.MsgspecError, UnicodeDecodeError) as fault:
        msg = f"{path}: no score file of thermlog ({fault}); name another file, or mend this one"
        raise ScoreRefusedError(msg) from fault


def known_scores(path: str) -> ScoreFile:
    """Scores in a file that must exist.

    Raises
    ------
    ScoreRefusedError
        There is no such file, or it is no such file of thermlog.
    """
    scores = load_scores(path)
    if scores is None:
        msg = f"{path}: no such file; begin it with thermlog practice --score {shell_file(path)}"
        raise ScoreRefusedError(msg)
    return scores


class ScoreKeeper:
    """The scores of one file, which somebody else may write to as well.

    Attributes
    ----------
    scores : ScoreFile
        As they stood when the file was last read or written.
    """

    def __init__(self, path: str | None) -> None:
        self._path = path
        self._on_disk = None if path is None else load_scores(path)
        self.scores = self._on_disk or no_scores()

    def changed(self, scores: ScoreFile) -> str | None:
        """Text of the file with these scores; None where it holds them, or nothing is kept.

        Raises
        ------
        ScoreRefusedError
            It has changed since it was read: nothing in it is written over.
        """
        if self._path is None or scores == self._on_disk:
            return None
        if load_scores(self._path) != self._on_disk:
            msg = (
                f"{self._path}: somebody else has written to it meanwhile; this case is not kept, begin again"
            )
            raise ScoreRefusedError(msg)
        self.scores = self._on_disk = scores
        return msgspec.json.format(msgspec.json.encode(scores), indent=2).decode() + "\n"


def scored(case: PracticeCase, told: Marked) -> ScoredCase:
    """A case with its marks, as the file keeps it."""
    return ScoredCase(
        at=now(),
        case=case.order,
        truth=told.truth,
        committed=told.committed,
        mark=told.mark,
        step_agrees=told.step_agrees,
        tool=told.tool,
        tool_mark=told.tool_mark,
    )
