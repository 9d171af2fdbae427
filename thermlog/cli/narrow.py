"""``thermlog narrow``: from the odd corner to the cause, one check after another."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

import click
from msgspec import Struct
from msgspec.structs import replace

from thermlog.cli.files import refuse_alike, tell
from thermlog.cli.given import StatedOption, stated_texts, take_up
from thermlog.cli.keeping import recalling
from thermlog.cli.keys import STOP, asked_key, at_terminal, terminal_width
from thermlog.cli.options import (
    Judging,
    Reading,
    Writing,
    exit_zero_option,
    gathered,
    judging_options,
    reading_options,
    writing_options,
)
from thermlog.cli.sheets import page_ending, refuse_paper, write_page
from thermlog.reports.wholefile import refuse_existing
from thermlog.words.errors import EXIT_EVEN, EXIT_FLAGGED, OptionError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from thermlog.advice.narrowing import SearchedPlace
    from thermlog.followup.jobrecord import JobRecord
    from thermlog.pipeline.run import Run
    from thermlog.reports.jobwork import JobFile, JobSearch
    from thermlog.words.findings import Diagnosis


class Job(Struct, frozen=True, kw_only=True):
    """What the user says about the job; kept in the record."""

    job: str | None
    complaint: str | None
    by: str | None
    cause: str | None
    part: tuple[str, ...]
    measured: tuple[str, ...]
    report: str | None

    @property
    def found_out(self) -> bool:
        """True where the cause or the repair is entered: whoever enters it asks for no further check."""
        return bool(self.cause or self.part)

    def file(self) -> JobFile | None:
        """The file of the record, if one is named.

        Raises
        ------
        click.UsageError
            Something is to be entered, and no record is named.
        """
        if self.job is None:
            if self.complaint or self.by or self.cause or self.part or self.measured or self.report:
                msg = (
                    "--complaint, --by, --cause, --part, --measured and --report belong to a record; name it "
                    "with --job"
                )
                raise click.UsageError(msg)
            return None
        from thermlog.reports.jobwork import JobFile

        return JobFile(self.job)

    def refuse(self, writing: Writing, inputs: Sequence[str]) -> None:
        """Refuse, before any work is done, files under one name and a page that cannot be written."""
        refuse_alike({"--job": self.job, "--report": self.report, "--output": writing.output})
        if self.report is not None:
            refuse_existing(self.report, force=writing.force, inputs=inputs)
            refuse_paper(self.report)


_JOB = (
    click.option("--job", metavar="FILE.json",
                 help="Record of the job, written after every answer; a search that stopped goes on there."),
    click.option("--complaint", metavar="TEXT", help="For the record: what the driver says."),
    click.option("--by", metavar="NAME", help="For the record: who works on it."),
    click.option("--cause", metavar="CAUSE", help="For the record: the cause that was really found."),
    click.option("--part", multiple=True, metavar="TEXT",
                 help="For the record: a part fitted. May be repeated."),
    click.option("--measured", multiple=True, metavar="TEXT",
                 help="For the record: a measurement. May be repeated."),
    click.option("--report", callback=page_ending, metavar="FILE",
                 help="Write the record as one page too: .html or .pdf."),
)  # fmt: skip


def found_pairs(
    ctx: click.Context,  # noqa: ARG001 - click's signature
    param: click.Parameter,  # noqa: ARG001
    values: tuple[str, ...],
) -> tuple[tuple[str, str], ...]:
    """``check=answer`` as pairs."""
    for value in values:
        if "=" not in value:
            msg = f'"{value}": write CHECK=ANSWER, as in spin_hot=free'
            raise click.BadParameter(msg)
    pairs = [(check.strip(), answer.strip()) for check, _, answer in (one.partition("=") for one in values)]
    known: dict[str, str] = {}
    for check, answer in pairs:
        if known.setdefault(check, answer) != answer:
            msg = (
                f"{check} was given twice, {known[check]} and {answer}: give the one that holds; a check "
                f"that was made a second time is told as {check}_again={answer}"
            )
            raise click.BadParameter(msg)
    return tuple(pairs)


class KnownAnswers(Struct, frozen=True, kw_only=True):
    """What is asked about, and what is known already."""

    found: tuple[tuple[str, str], ...]
    skip: tuple[str, ...]
    case: str | None
    at: str | None
    history: str | None


_ASKED = (
    click.option("--found", multiple=True, callback=found_pairs, metavar="CHECK=ANSWER",
                 help="What a check showed; may be repeated. With it nothing is asked."),
    click.option("--skip", multiple=True, metavar="CHECK",
                 help="A check that cannot be done now; may be repeated."),
    click.option("--case", cls=StatedOption, metavar="NUMBER|NAME",
                 help="Which of several flagged drives: its number, or its vehicle, its drive, or both."),
    click.option("--at", cls=StatedOption, metavar="1L|2",
                 help="Which of several suspects: one of its brakes, or its axle. Without it the severest."),
    click.option("--history", cls=StatedOption, metavar="ADDRESS",
                 help="Let earlier drives of the vehicle count, as check --history does; nothing is stored."),
)  # fmt: skip


def list_checks(ctx: click.Context, param: click.Parameter, value: bool) -> None:  # noqa: ARG001, FBT001 - click's
    """Print every check with its answers, and leave."""
    if value:
        from thermlog.reports.report_narrow import checks_text

        click.echo(checks_text(), nl=False)
        ctx.exit()


@click.command()
@click.argument("log", metavar="LOG")
@click.option(
    "--checks",
    is_flag=True,
    is_eager=True,
    expose_value=False,
    callback=list_checks,
    help="List every check with its answers for --found and --skip, and every cause for --cause, and leave.",
)
@gathered("asked", KnownAnswers, _ASKED)
@gathered("kept", Job, _JOB)
@writing_options("text", "json")
@exit_zero_option
@judging_options
@reading_options
@click.pass_context
def narrow(
    ctx: click.Context,
    *,
    log: str,
    asked: KnownAnswers,
    kept: Job,
    writing: Writing,
    exit_zero: bool,
    judging: Judging,
    reading: Reading,
) -> None:
    """Look for the cause: the next best check, what each answer means, and what is left.

    On a terminal every check is asked with one key an answer. Elsewhere the state after the answers of
    --found is printed.
    """
    from thermlog.pipeline.run import run_one

    file = kept.file()
    record = None if file is None else file.record
    if file is not None and record is not None:
        asked, judging, reading = take_up(ctx, file.path, record.stated, (asked, judging, reading))
    inputs = [log, *judging.files(), *reading.files()]
    kept.refuse(writing, inputs)
    with writing.stream(inputs) as out:
        done = run_one(log, judging.settings(reading), recall=recalling(asked.history))
        if done.unremembered is not None:
            raise done.unremembered
        k, told = done.flagged_case(asked.case)
        about = done.narrowed(k, told, at=asked.at).about
        record = _record(done, k, told, kept, record=record, ctx=ctx, about=about)
        search = _search(done, k, told, asked, file=file, record=record)
        entered = bool(asked.found or kept.found_out) or (record is not None and record.stage == "proven")
        asking = not entered and writing.output_format == "text" and at_terminal()
        if asking:
            _Keys(search).ask(writing)
        search.keep()
        _show(search.record, kept.report, writing)
        search.stand(going_on=bool(asked.found))
        shown = asking and writing.output is None and sys.stdout.isatty()
        width = terminal_width() if shown else None
        out.write(_rendered(search, writing, width=width))
    ctx.exit(EXIT_FLAGGED if search.told.flagged and not exit_zero else EXIT_EVEN)


def _search(
    done: Run,
    k: int,
    told: Diagnosis,
    asked: KnownAnswers,
    *,
    file: JobFile | None,
    record: JobRecord | None,
) -> JobSearch:
    """The search after the answers of the record and of the command line."""
    from thermlog.advice.narrowing import Found
    from thermlog.reports.jobwork import JobSearch

    before = {} if record is None else {one.check: one.answer for one in record.answers}
    for check, answer in asked.found:
        if before.get(check, answer) != answer:
            tell(f"{check}={answer} takes the place of {check}={before[check]} of the record")
    found = [Found(check=check, answer=answer) for check, answer in asked.found]
    return JobSearch(done, k, told, found, asked.skip, file=file, record=record, at=asked.at)


class _Keys:
    """The search at a terminal, where every check is asked with one key an answer."""

    def __init__(self, search: JobSearch) -> None:
        self.search = search
        self.pressed: list[str] = []

    def ask(self, writing: Writing) -> None:
        """Ask check after check."""
        from thermlog.advice.narrowing import Found
        from thermlog.reports.report_narrow import screen

        search, cool = self.search, Found(check="cool_first", answer="not_yet")
        search.found = [one for one in search.found if one != cool]  # it may have cooled since
        search.narrow()
        asked_anew = True
        while search.state.check is not None and search.state.answers:
            if search.state.ending == "wait" and not asked_anew:
                break
            asked_anew = False
            shown = screen(search.state, search.told, show=writing.show, width=terminal_width())
            if not self._key(asked_key(shown)):
                break
            search.narrow()
            search.keep()
        click.clear()

    def _key(self, key: str) -> bool:
        """Act on a key; False to stop."""
        from thermlog.advice.narrowing import Found

        check, answers = self.search.state.check, self.search.state.answers
        if check is None or key == STOP:
            return False
        if key == "b":
            self._back()
        elif key == "s":
            self.search.skipped.append(check.id)
            self.pressed.append("s")
        elif key.isascii() and key.isdigit() and 1 <= int(key) <= len(answers):
            self.search.found.append(Found(check=check.id, answer=answers[int(key) - 1].id))
            self.pressed.append(key)
        return True

    def _back(self) -> None:
        """Take back what was pressed last; before that what the record holds, answers first."""
        found, skipped = self.search.found, self.search.skipped
        last = self.pressed.pop() if self.pressed else "" if found else "s"
        some = skipped if last == "s" else found
        if some:
            some.pop()


def _show(record: JobRecord | None, report: str | None, writing: Writing) -> None:
    """Write the record as a page, if the user wants one."""
    if report is not None and record is not None:
        from thermlog.pages.job import job_page

        write_page(report, job_page(record, show=writing.show), force=writing.force)


def _record(
    done: Run,
    k: int,
    told: Diagnosis,
    kept: Job,
    *,
    record: JobRecord | None,
    ctx: click.Context,
    about: SearchedPlace | None,
) -> JobRecord | None:
    """The record that exists, or a new one, with what the command line adds."""
    if kept.job is None:
        return None
    from thermlog.reports.jobwork import job_of, with_number

    record, asked_anew = job_of(
        kept.job, record, done, k, told, stated=with_number(stated_texts(ctx), done, k, about)
    )
    if asked_anew:
        tell(f"{kept.job}: something else was seen since {', '.join(asked_anew)}; asked anew")
    for name in ("complaint", "by", "cause"):
        before, now = getattr(record, name), getattr(kept, name)
        if before and now and now != before:
            tell(f'{kept.job}: --{name} "{now}" takes the place of "{before}" of the record')
    return replace(
        record,
        complaint=kept.complaint or record.complaint,
        by=kept.by or record.by,
        cause=_known_cause(kept.cause) or record.cause,
        parts=(*record.parts, *kept.part),
        measured=(*record.measured, *kept.measured),
    )


def _known_cause(cause: str | None) -> str | None:
    from thermlog.advice.evidenceload import evidence_table
    from thermlog.followup.jobrecord import NO_FAULT

    if cause is not None and cause not in {*evidence_table().causes, NO_FAULT}:
        from difflib import get_close_matches  # only a mistake needs it

        near = ", ".join(get_close_matches(cause, (NO_FAULT, *evidence_table().causes), n=3, cutoff=0.5))
        cure = f"nearest: {near}" if near else f"{NO_FAULT} where nothing was wrong"
        msg = f'--cause: no cause "{cause}"; {cure}; thermlog narrow --checks lists all'
        raise OptionError(msg)
    return cause


def _rendered(search: JobSearch, writing: Writing, *, width: int | None) -> str:
    from thermlog.reports.report_narrow import narrow_json, narrow_text

    if writing.output_format == "json":
        return narrow_json(search.state, search.told, search.record)
    return narrow_text(search.state, search.told, show=writing.show, width=width, record=search.record)
