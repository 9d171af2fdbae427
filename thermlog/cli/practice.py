"""``thermlog practice``: a case with a hidden truth, a commitment, then the truth and the tool beside it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click
from msgspec import Struct

from thermlog.cli.files import refuse_same_file
from thermlog.cli.keys import STOP, asked_key, at_terminal, terminal_width
from thermlog.cli.options import MOST_SEED, Writing, chart_option, gathered, writing_options
from thermlog.reports.wholefile import make_folder, refuse_existing, refuse_file, write_whole_text

if TYPE_CHECKING:
    from thermlog.practice.cases import PracticeCase
    from thermlog.practice.series import Answered, PracticeSeries, WantedSeries
    from thermlog.practice.topics import Level, Topic
    from thermlog.reports.wording import Show

# Spelled out, so that help needs no simulator; a test compares.
TOPIC_NAMES: tuple[Topic, ...] = (
    "stagger", "shiny", "one_lap", "misses", "hard_stop", "cold", "diagonal", "parking", "bearing", "coast",
)  # fmt: skip
LEVEL_NAMES: tuple[Level, ...] = (1, 2, 3)


class Practising(Struct, frozen=True, kw_only=True):
    """Which cases, and what becomes of the answers."""

    series: int | None
    level: str | None
    topic: Topic | None
    seed: int | None
    new: bool
    answer: tuple[str, ...]
    score: str | None
    scores: bool
    write: str | None
    key: str | None
    sheet: str | None
    chart: str | None

    def wanted(self) -> WantedSeries:
        """The same for the series."""
        from thermlog.practice.series import WantedSeries

        level = next((one for one in LEVEL_NAMES if str(one) == self.level), None)
        return WantedSeries(length=self.series, level=level, topic=self.topic, seed=self.seed, anew=self.new)


_OPTIONS = (
    click.option("--series", type=click.IntRange(1, 999), metavar="N", help="So many cases; else one."),
    click.option("--level", type=click.Choice([str(one) for one in LEVEL_NAMES]),
                 help="How hard: 1 plain, 2 usual (default), 3 at the edge of what can be told."),
    click.option("--topic", type=click.Choice(TOPIC_NAMES), metavar="NAME",
                 help=f"What all cases are about, else each draws its own: {', '.join(TOPIC_NAMES)}."),
    click.option("--seed", type=click.IntRange(0, MOST_SEED), metavar="N",
                 help="The same seed gives the same cases; else nobody can guess it."),
    click.option("--answer", multiple=True, metavar="TEXT",
                 help='Commit without being asked, one a case: "drag 1L sure wheel", "idle 2 0.8", '
                      '"cannot_tell fairly again". May be repeated.'),
    click.option("--score", metavar="FILE.json",
                 help="Keep the score here, written after every case; a series that stopped goes on there."),
    click.option("--scores", is_flag=True, help="Only show the score of --score, beside the tool's."),
    click.option("--new", is_flag=True, help="Begin another series though one is open in --score."),
    click.option("--write", metavar="FOLDER",
                 help="For a class: write the logs and an answer sheet here, and ask nothing."),
    click.option("--key", metavar="FILE.json",
                 help="Where the key of --write goes; else beside the folder, its name with _key.json. "
                      "With --sheet the key to mark by."),
    click.option("--sheet", metavar="FILE.csv", help="Mark this filled-in answer sheet by --key."),
    chart_option("Draw the readings of the case that waits and nothing of what they mean, of a series with "
                 "its number, with --write every case beside its log with this ending"),
)  # fmt: skip


@click.command()
@gathered("asked", Practising, _OPTIONS)
@writing_options("text", "json")
def practice(*, asked: Practising, writing: Writing) -> None:
    """Practise on simulated vehicles: look, commit, then see the truth.

    You say what you see (a brake drags, one does not work, a hub is hot, nothing, cannot tell), where, how
    sure, and what you would do next. Then you see what was planted, what the tool makes of the same readings,
    and which reading would have decided. On a terminal one key answers; elsewhere --answer does. Nothing that
    is shown or written before the answer depends on the truth but the temperatures. The exit code never tells
    whether an answer was right.
    """
    _refuse_contradictions(asked)
    refuse_same_file(asked.score, writing.output, "--score and --output")
    if asked.write is not None:
        _write_cases(asked, asked.write, writing)
        return
    with writing.stream([name for name in (asked.score, asked.key, asked.sheet) if name]) as out:
        if asked.sheet is not None:
            out.write(_sheet_marked(asked.key or "", asked.sheet, writing))
        else:
            out.write(_scores_shown(asked, writing) if asked.scores else _practised(asked, writing))


def _sheet_marked(key: str, sheet: str, writing: Writing) -> str:
    from thermlog.practice.classroom import marked_sheet
    from thermlog.practice.series import marked_series
    from thermlog.reports.report_practice import practice_json, practice_text

    series = marked_series(*marked_sheet(key, sheet))
    if writing.output_format == "json":
        return practice_json(series, kept=True)
    return practice_text(series, show=writing.show, quiet=True, kept=True)


def _scores_shown(asked: Practising, writing: Writing) -> str:
    from thermlog.practice.progress import progress_of
    from thermlog.practice.scorefile import known_scores
    from thermlog.reports.report_practice import progress_json, progress_text

    progress = progress_of(known_scores(asked.score or "").cases)
    return progress_json(progress) if writing.output_format == "json" else progress_text(progress)


def _practised(asked: Practising, writing: Writing) -> str:
    """Ask or take the answers, and tell what became of them."""
    from thermlog.reports.report_practice import practice_json, practice_text

    sitting = _Sitting(asked, writing)
    sitting.keep()
    if asked.answer:
        sitting.take(asked.answer)
    elif writing.output_format == "text" and at_terminal():
        sitting.ask()
        return sitting.summary()
    sitting.draw()
    if writing.output_format == "json":
        return practice_json(sitting.series, kept=asked.score is not None)
    return practice_text(sitting.series, show=writing.show, quiet=writing.quiet, kept=asked.score is not None)


class _Sitting:
    """One sitting: a series, and the file its scores go to."""

    def __init__(self, asked: Practising, writing: Writing) -> None:
        from thermlog.practice.scorefile import ScoreKeeper
        from thermlog.practice.series import begin_series

        self.asked, self.writing = asked, writing
        self.keeper = ScoreKeeper(asked.score)
        self.series: PracticeSeries = begin_series(asked.wanted(), self.keeper.scores)

    def keep(self) -> None:
        """Write the scores, if the user wants them kept: before a truth is shown, so that it counts."""
        if (text := self.keeper.changed(self.series.to_keep())) is not None and self.asked.score is not None:
            write_whole_text(self.asked.score, text, force=True)

    def draw(self) -> None:
        """Draw the case that waits, if that is wanted."""
        if self.asked.chart is None or self.series.through:
            return
        number, of = self.series.place
        path = Path(self.asked.chart)
        named = str(path.with_stem(f"{path.stem}-{number:03d}")) if of > 1 else str(path)
        draw_neutral(self.series.case(), named, show=self.writing.show, force=self.writing.force)
        click.echo(f"chart: {named}", err=True)

    def take(self, answers: tuple[str, ...]) -> None:
        """Commit to what was given on the command line, one a case."""
        from thermlog.practice.commitment import commitment_of_words

        left = self.series.plan.length - self.series.plan.done
        if len(answers) > left:
            msg = f"{len(answers)} answers for {left} cases; add --series {len(answers)}, or leave some out"
            raise click.UsageError(msg)
        for text in answers:
            case = self.series.case()
            self.series.commit(case, commitment_of_words(text, case.corners))
            self.keep()

    def ask(self) -> None:
        """Ask case after case on the terminal, one key an answer."""
        while not self.series.through:
            case = self.series.case()
            self.draw()
            if not self._asked(case) or not self._told(self.series.answered[-1]):
                break
        click.clear()

    def _asked(self, case: PracticeCase) -> bool:
        """Questions of one case; False to stop, and nothing is committed to."""
        from thermlog.practice.asking import Asking
        from thermlog.reports.report_practice import question_screen

        asking, strange = Asking(case.corners), ""
        while asking.stage is not None:
            shown = question_screen(
                case, self.series.place, asking,
                show=self.writing.show, width=terminal_width(), strange=strange,
            )  # fmt: skip
            key = asked_key(shown)
            if key == STOP:
                return False
            if key == "b":
                asking.back()
            strange = "" if key == "b" or asking.take(key) else key[:1]
        self.series.commit(case, asking.commitment())
        self.keep()
        return True

    def _told(self, entry: Answered) -> bool:
        """The truth, screen by screen; False to stop."""
        from thermlog.reports.report_practice import told_screens

        more = not self.series.through
        screens = told_screens(entry, self.series.plan.length, show=self.writing.show,
                               width=terminal_width(), more=more)  # fmt: skip
        return all(asked_key(screen) != STOP for screen in screens)

    def summary(self) -> str:
        """What is left on the screen: the one case that was answered, or a line for each, and the score."""
        from thermlog.reports.report_practice import practice_text

        return practice_text(
            self.series,
            show=self.writing.show,
            quiet=len(self.series.answered) > 1,
            kept=self.asked.score is not None,
            waiting=False,
        )


def draw_neutral(case: PracticeCase, path: str, *, show: Show, force: bool) -> None:
    """Draw the readings of a case, and nothing of what they mean."""
    from thermlog.charts.chart import figure_of
    from thermlog.charts.look import Look
    from thermlog.charts.saving import save_figure

    # bare: what is drawn of the whole vehicle rests on curves, which would do the trainee's work
    look = Look(show=show, stage="points", framed=False)
    save_figure(figure_of(case.told, look), path, force=force)


def _write_cases(asked: Practising, folder: str, writing: Writing) -> None:
    """Logs and answer sheet into a folder, the key beside it."""
    from thermlog.practice.classroom import written_cases
    from thermlog.practice.scorefile import no_scores
    from thermlog.practice.series import begin_series, nth_case

    target = Path(folder)
    key = asked.key or f"{target}_key.json"
    if Path(key).resolve().parent == target.resolve():
        msg = f"--key {key}: a key beside the logs is no secret; name a file outside of {folder}"
        raise click.UsageError(msg)
    plan = begin_series(asked.wanted(), no_scores()).plan
    made = written_cases(plan)
    files = [*made.logs, made.sheet]
    charts = [] if asked.chart is None else [
        str((target / name).with_suffix(Path(asked.chart).suffix)) for name, _ in made.logs
    ]  # fmt: skip
    refuse_file(folder)
    there = [*(str(target / name) for name, _ in files), *charts] if target.is_dir() else []
    for path in [key, *there]:
        refuse_existing(path, force=writing.force)
    make_folder(folder)
    for name, text in files:
        write_whole_text(str(target / name), text, force=writing.force)
    for number, path in enumerate(charts, start=1):
        draw_neutral(nth_case(plan, number), path, show=writing.show, force=writing.force)
    write_whole_text(key, made.key, force=writing.force)
    with writing.stream([]) as out:
        logs = "1 log" if len(made.logs) == 1 else f"{len(made.logs)} logs"
        out.write(f"{logs} and {made.sheet[0]} in {target}; the key is {key}: keep it apart\n")


def _refuse_contradictions(asked: Practising) -> None:
    """Refuse options that would be of no effect together."""
    wrong = (
        (asked.scores and asked.score is None, "--scores needs --score FILE, the file to show"),
        (asked.new and asked.score is None, "--new is for a series in --score; without it every call is new"),
        (asked.key is not None and not (asked.write or asked.sheet), "--key is for --write or --sheet"),
        (asked.sheet is not None and asked.key is None, "--sheet is marked by --key FILE.json"),
        (asked.sheet is not None and asked.write is not None, "--sheet marks, --write writes; name one"),
        (asked.sheet is not None and bool(asked.answer), "--sheet holds the answers; leave out --answer"),
        (asked.sheet is not None and asked.score is not None, "--sheet is a class's; leave out --score"),
        (
            asked.chart is not None and (asked.scores or asked.sheet is not None),
            "--chart is of a case that waits; leave out --scores and --sheet",
        ),
        (asked.write is not None and bool(asked.answer), "--write asks nothing; leave out --answer"),
        (asked.write is not None and asked.score is not None, "--write asks nothing; leave out --score"),
    )
    for is_wrong, cure in wrong:
        if is_wrong:
            raise click.UsageError(cure)
