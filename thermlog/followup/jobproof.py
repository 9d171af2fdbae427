"""Drives after a repair, as the record of a job keeps them: every one, oldest first."""

from __future__ import annotations

from typing import Any, Literal, TypeAlias

from msgspec import Struct

from thermlog.words.moments import earlier

JobStage: TypeAlias = Literal["search", "drive", "proven"]


class JobVerification(Struct, frozen=True, kw_only=True):
    """A drive after the repair: its log, and what the comparison said of it.

    Attributes
    ----------
    file, sha256 : str
        The log.
    at : str
        When it was entered, by ISO 8601.
    outcome : str
        What the comparison said of it, in words; may change.
    even_again : bool
        True if nothing was open any more.
    taken_at : str or None
        When it was driven, as far as the log says so.
    parts : tuple of str or None
        What the record said was fitted when it was entered; None in a record that did not keep it.
    """

    file: str
    sha256: str
    at: str
    outcome: str
    even_again: bool
    taken_at: str | None = None
    parts: tuple[str, ...] | None = None


def with_drive(kept: tuple[JobVerification, ...], drive: JobVerification) -> tuple[JobVerification, ...]:
    """Drives with one more, oldest first: before those that were surely driven later, else last.

    A log that was entered before is one drive still: it keeps its place, and what is said of it now counts.

    Parameters
    ----------
    kept : tuple of JobVerification
    drive : JobVerification
    """
    if any(one.sha256 == drive.sha256 for one in kept):
        return tuple(drive if one.sha256 == drive.sha256 else one for one in kept)
    place = len(kept)
    while place and earlier(drive.taken_at, kept[place - 1].taken_at):
        place -= 1
    return (*kept[:place], drive, *kept[place:])


def up_to_date(fields: dict[str, Any]) -> dict[str, Any]:
    """The fields of a record; the first form held one drive after the repair, the last that was entered."""
    if fields.get("schema") != "thermlog-job-1":
        return fields
    drive = fields.get("verification")
    return {**fields, "schema": "thermlog-job-2", "verifications": [] if drive is None else [drive]}
