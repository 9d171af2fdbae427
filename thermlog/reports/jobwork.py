"""The record of a job while its cause is looked for: begun or gone on with, and what every answer adds."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from msgspec.structs import replace

from thermlog.advice.narrowing import Found
from thermlog.followup.jobrecord import (
    JobCause,
    job_content,
    job_in,
    known_job,
    new_record,
    restated,
    with_answers,
)
from thermlog.followup.otherjob import refuse_other, refuse_other_drive
from thermlog.reports.contract.jsonnumbers import taken_over
from thermlog.reports.contract.writing import json_text
from thermlog.reports.summary import Tell, answer_lines, first_page_of, headline_parts, page_of, part_words
from thermlog.reports.wholefile import write_whole_text
from thermlog.reports.wording import STANDING_WORDS, printable, weighed_by_hand
from thermlog.words.errors import JobRefusedError, OptionError
from thermlog.words.sentences import on_page
from thermlog.words.shelltext import shell_file

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from thermlog.advice.choosing import Ending
    from thermlog.advice.narrowing import Narrowed, SearchedPlace
    from thermlog.followup.jobrecord import JobRecord
    from thermlog.pipeline.run import Run
    from thermlog.words.findings import Diagnosis


def job_of(
    path: str,
    record: JobRecord | None,
    done: Run,
    k: int,
    told: Diagnosis,
    *,
    stated: Mapping[str, tuple[str, ...]],
) -> tuple[JobRecord, list[str]]:
    """The record that exists, or a new one, with what is stated now.

    Parameters
    ----------
    path : str
        The record's file.
    record : JobRecord or None
        What stands there.
    done : Run
    k : int
        The case whose cause is looked for.
    told : Diagnosis
        Of this case.
    stated : mapping of str to tuple of str
        By the option's name, as it was typed.

    Returns
    -------
    JobRecord
    list of str
        Answers that count no more, because something else was seen since.

    Raises
    ------
    JobRefusedError
        The record is of another vehicle, another log or another drive.
    """
    if record is None:
        judged, own = done.case(k)
        readings = judged.as_read
        record = new_record(told, readings.take(readings.case == own), _findings(told), stated)
    refuse_other(record, path, vehicle=told.vehicle, sha256=told.log.sha256)
    refuse_other_drive(record, path, stated)
    if record.stated == stated:
        return record, []
    return restated(record, stated, _findings(told))


def _findings(told: Diagnosis) -> tuple[str, ...]:
    """What stops the vehicle and the parts that are watched, the answers, and remarks no rule understands."""
    stop = (str(one) for one in headline_parts(told) if one.state == "urgent")
    parts = (str(Tell("watch", part_words(one, page_of(told, "C")))) for one in told.parts_above)
    return (*stop, *parts, *answer_lines(told), *weighed_by_hand(told))


def with_number(
    stated: Mapping[str, tuple[str, ...]], done: Run, k: int, about: SearchedPlace | None
) -> dict[str, tuple[str, ...]]:
    """What was stated, with the drive's number and the suspect's first brake in place of what named them."""
    number = done.numbers()[k]
    kept = {name: texts for name, texts in stated.items() if name not in {"case", "at"}}
    case = {} if number is None else {"case": (str(number),)}
    return kept | case | ({} if about is None else {"at": (about.at,)})


def with_state(record: JobRecord, state: Narrowed, told: Diagnosis) -> JobRecord:
    """The record with the answers so far, the causes as they stand, what is forbidden, and other jobs."""
    causes = tuple(taken_over(JobCause, one, standing=STANDING_WORDS[one.standing]) for one in state.suspects)
    answered = with_answers(record, state.found, state.skipped)
    page = first_page_of(told, None)
    return replace(
        answered,
        causes=causes,
        cautions=on_page(state.cautions, page),
        about=None if state.about is None else on_page(state.about.words, page),
        other_jobs=tuple(on_page(one.words, page) for one in state.others),
    )


def at_stage(state: Narrowed, record: JobRecord | None) -> Narrowed:
    """Where the job stands: no check and no remedy once a repair is entered that no drive has disproved."""
    stage = "search" if record is None else record.stage
    if stage == "search":
        return state
    ending: Ending = "proven" if stage == "proven" else "repair_entered"
    return replace(state, check=None, how="", answers=(), remedy=None, ending=ending)


class JobFile:
    """The file of a record, and what it held when this command last read or wrote it.

    Parameters
    ----------
    path : str

    Raises
    ------
    JobRefusedError
        What stands there cannot be read, or is no record.
    """

    def __init__(self, path: str) -> None:
        self.path = path
        self._held = job_content(path)
        self.record = None if self._held is None else job_in(self._held, path)

    def known(self) -> JobRecord:
        """The record, which must be there."""
        return known_job(self.path) if self.record is None else self.record

    def write(self, record: JobRecord) -> None:
        """Write the record over what stood there; it is thermlog's own file.

        Raises
        ------
        JobRefusedError
            Another command wrote it meanwhile, or it holds something that is no text.
        """
        text = json_text(record)
        try:
            job_in(text.encode(), self.path)
        except JobRefusedError as fault:
            name = printable(record.log.file)
            why = f"a record is text, and the name of {name}, or what was entered, is not"
            msg = f"{self.path}: {why}; name the log and write the entry in letters, as UTF-8"
            raise JobRefusedError(msg) from fault
        if (there := job_content(self.path)) != self._held:
            raise JobRefusedError(self._overtaken(record, there))
        write_whole_text(self.path, text, force=True)
        self.record, self._held = record, text.encode()

    def _overtaken(self, record: JobRecord, content: bytes | None) -> str:
        """What to do where another command wrote the record, as it stands now, meanwhile."""
        theirs = () if content is None else job_in(content, self.path).answers
        known = {(one.check, one.answer) for one in theirs}
        lost = [f"--found {one.check}={one.answer}" for one in record.answers
                if (one.check, one.answer) not in known]  # fmt: skip
        more = f", with {' '.join(lost)}, which it lacks" if lost else ""
        why = "another command has written it meanwhile; nothing was entered here"
        return f"{self.path}: {why}: run this again{more}"


class JobSearch:
    """The search for a cause on its way: answers so far, and the record they are kept in.

    Parameters
    ----------
    done : Run
    k : int
    told : Diagnosis
        Of case `k`.
    found : sequence of Found
        Answers beside those of the record.
    skipped : sequence of str
    file : JobFile or None
        Where the record is kept; None where none is.
    record : JobRecord or None
    at : str or None
        A brake or an axle of the suspect; None: the severest.

    Attributes
    ----------
    told : Diagnosis
    found : list of Found
    skipped : list of str
    record : JobRecord or None
    state : Narrowed
        Where the search stands; follows `found` and `skipped` when `narrow` is called.
    """

    def __init__(
        self,
        done: Run,
        k: int,
        told: Diagnosis,
        found: Sequence[Found],
        skipped: Sequence[str],
        *,
        file: JobFile | None = None,
        record: JobRecord | None = None,
        at: str | None,
    ) -> None:
        self.told, self.record, self._file = told, record, file
        before = () if record is None else record.answers
        self.found = [*(Found(check=one.check, answer=one.answer) for one in before), *found]
        self.skipped = [*(() if record is None else record.skipped), *skipped]
        self._narrowed = partial(done.narrowed, k, told, at=at)
        self.narrow()

    def narrow(self) -> None:
        """Put `state` where the answers so far bring it."""
        since_min = 0.0 if self.record is None else self.record.since_min()
        self.state = self._narrowed(self.found, self.skipped, since_min=since_min)

    def keep(self) -> None:
        """Write the record, if there is one."""
        if self._file is not None and self.record is not None:
            self.record = with_state(self.record, self.state, self.told)
            self._file.write(self.record)

    def stand(self, *, going_on: bool) -> None:
        """Put `state` where the job stands; who answers a check goes on searching, whatever is entered."""
        if not going_on:
            self.state = at_stage(self.state, self.record)


def searched_with(
    path: str,
    done: Run,
    k: int,
    told: Diagnosis,
    *,
    found: Sequence[Found],
    skipped: Sequence[str],
    stated: Mapping[str, object],
    at: str | None,
) -> JobSearch:
    """The search after the answers of a record and these, and the record, written with them.

    Parameters
    ----------
    path : str
        The record's file.
    done : Run
    k : int
    told : Diagnosis
        Of case `k`.
    found : sequence of Found
    skipped : sequence of str
    stated : mapping of str to object
        What a program gave beside the log; None is not given.
    at : str or None
        A brake or an axle of the suspect; without it the one of the record, or the severest.

    Raises
    ------
    OptionError
        Something is given, or stated in the record, that a program cannot state there.
    JobRefusedError
        As `job_of`.
    """
    file = JobFile(path)
    record = file.record
    if at is None and record is not None:
        at = next(iter(record.stated.get("at", ())), None)
    texts = with_number(_texts(path, stated), done, k, done.narrowed(k, told, at=at).about)
    before = texts if record is None else {**record.stated}
    if {**before, "case": (), "at": ()} != {**texts, "case": (), "at": ()}:
        said = ", ".join(f"{name}={' '.join(each)}" for name, each in before.items()) or "nothing"
        msg = (
            f"{path}: the record states {said}; give the same, or go on with thermlog narrow --job "
            f"{shell_file(path)}"
        )
        raise OptionError(msg)
    job, _ = job_of(path, record, done, k, told, stated=texts)
    search = JobSearch(done, k, told, found, skipped, file=file, record=job, at=at)
    search.keep()
    search.stand(going_on=bool(found))
    return search


def _texts(path: str, stated: Mapping[str, object]) -> dict[str, tuple[str, ...]]:
    """What was given as a command line would have it."""
    given = {name: value for name, value in stated.items() if value is not None}
    for name in given.keys() - {"policy", "vehicle"}:
        msg = f"job: {path} cannot keep {name}=; state it in the log, or use thermlog narrow --job"
        raise OptionError(msg)
    return {
        name: tuple(map(str, value)) if isinstance(value, (list, tuple)) else (str(value),)
        for name, value in given.items()
    }
