"""``thermlog enter``: take the readings of a walk at the keyboard, each stamped by its first key."""

from __future__ import annotations

import os
import re
import sys
from typing import TYPE_CHECKING, Literal

import click
from msgspec import Struct

from thermlog.cli.files import tell
from thermlog.cli.options import Judging, exit_zero_option, gathered, judging_options
from thermlog.words.errors import EXIT_EVEN, EXIT_FLAGGED, WalkError

if TYPE_CHECKING:
    from thermlog.taking.desk import Desk
    from thermlog.taking.journal import Journal
    from thermlog.taking.stopwatch import Stopwatch
    from thermlog.taking.walking import WalkHead
    from thermlog.words.tables import Drive
    from thermlog.words.vehicle import Vehicle


class Start(Struct, frozen=True, kw_only=True):
    """What the user says before the walk."""

    name: str | None
    axles: str | None
    brakes: str | None
    weight: Literal["light", "heavy"] | None
    drive: Drive | None
    unit: Literal["C", "F"] | None
    by: str | None
    parked_ago: float | None


def ago_s(ctx: click.Context, param: click.Parameter, value: str | None) -> float | None:  # noqa: ARG001
    """``12:30`` or ``40`` (minutes and seconds, or seconds) in [s]."""
    if value is None:
        return None
    found = re.fullmatch(r"(?:(\d{1,3}):)?(\d{1,5})", value)
    if found is None:
        msg = f'"{value}" is not a time; write 12:30 or 40'
        raise click.BadParameter(msg)
    return 60.0 * int(found[1] or 0) + int(found[2])


_START = (
    click.option("--name", metavar="TEXT", help="Name of the vehicle."),
    click.option("--axles", metavar="N|ROLES",
                 help='Axles from the front: 2, or "steer drive drive trailer".  [default: 2]'),
    click.option("--brakes", metavar="KINDS", help='disc or drum, one word or one an axle: "disc drum".'),
    click.option("--weight", type=click.Choice(["light", "heavy"]), help="Weight class."),
    click.option("--drive", type=click.Choice(["normal", "coast", "verification"]),
                 help="Kind of drive before the walk."),
    click.option("--unit", type=click.Choice(["C", "F"], case_sensitive=False), metavar="C|F",
                 help="What the gun shows.  [default: C]"),
    click.option("--by", metavar="NAME", help="Who takes the readings."),
    click.option("--parked-ago", callback=ago_s, metavar="M:SS",
                 help="The wheels stopped so long ago; else say parked when they stop."),
)  # fmt: skip


@click.command()
@click.argument("file", metavar="FILE")
@gathered("start", Start, _START)
@exit_zero_option
@judging_options
@click.pass_context
def enter(ctx: click.Context, *, file: str, start: Start, exit_zero: bool, judging: Judging) -> None:
    """Take the readings of a walk at the keyboard, each with its time; answers while you walk.

    FILE becomes a log that every other command reads as it is; every line is on the disk before the next is
    typed. A FILE that holds a walk taken with thermlog
    goes on. Type a number for the wheel that is proposed, or a wheel and a number; the time of a reading is
    that of its first key. Without a terminal lines are read from standard input.
    """
    from thermlog.cli.terminal import enter_lines, from_lines, need_library
    from thermlog.reports.report_text import last_lines
    from thermlog.reports.wholefile import finished

    terminal = sys.stdin.isatty() and sys.stderr.isatty()
    if terminal:
        need_library()
    desk = _desk(file, start, judging)
    finished.append(file)  # it stands whole after every line, however this ends
    try:
        if start.parked_ago is not None and desk.watch.mark is None:
            desk.park(start.parked_ago)
        (enter_lines if terminal else from_lines)(desk)
    finally:
        desk.journal.close()
    tell(f"kept: {file}")
    told = desk.finding.told
    if told is None:
        ctx.exit(EXIT_FLAGGED if not exit_zero else EXIT_EVEN)
    unit = desk.journal.walk.head.unit
    click.echo("\n".join(last_lines(told, show="F" if unit == "F" else "C")))
    ctx.exit(EXIT_FLAGGED if told.flagged and not exit_zero else EXIT_EVEN)


def _desk(file: str, start: Start, judging: Judging) -> Desk:
    from thermlog.taking.desk import Desk
    from thermlog.taking.journal import Journal
    from thermlog.taking.live import look
    from thermlog.taking.stopwatch import Clocks, Stopwatch

    settings = judging.settings()
    watch = Stopwatch(clocks=Clocks.of_this_computer())
    if os.path.lexists(file):
        _refuse_head(start, file)
        journal = Journal.go_on(file)
        _count_on(journal, watch, start.parked_ago)
    else:
        journal = Journal.begin(file, _head(start, settings.vehicle))
    desk = Desk(journal=journal, watch=watch, looking=lambda: look(file, settings), by=start.by or "")
    if journal.walk.readings():
        desk.look()
    return desk


def _count_on(journal: Journal, watch: Stopwatch, parked_ago: float | None) -> None:
    """Let the watch of a walk that was begun go on."""
    last_s = max((one.elapsed_s for one in journal.walk.entries.values()), default=0.0)
    if journal.mark is None:
        return
    if parked_ago is not None:
        watch.park(ago_s=parked_ago)
    elif not watch.resume(journal.mark, last_s=last_s):
        tell("goes on by the wall clock; if it was set since, end this and state --parked-ago M:SS")
    count = len(journal.walk.readings())
    tell(f"goes on: {count} readings, {watch.elapsed_s():.0f} s since the wheels stopped")


def _refuse_head(start: Start, file: str) -> None:
    """What the file says of the vehicle is not said twice."""
    given = [name for name in ("name", "axles", "brakes", "weight", "drive", "unit") if getattr(start, name)]
    if given:
        options = ", ".join(f"--{name}" for name in given)
        msg = (
            f"{file}: a walk that was begun holds what {options} would say; leave it out, or name a new file"
        )
        raise WalkError(msg)


def _head(start: Start, described: Vehicle | None) -> WalkHead:
    from thermlog.taking.walking import WalkHead

    if described is not None and (start.axles or start.brakes or start.weight):
        msg = "--axles, --brakes and --weight are told by the file of --vehicle; leave them out"
        raise click.UsageError(msg)
    return WalkHead(
        description=described or _vehicle(start), vehicle=(start.name or "").strip(), drive=start.drive,
        unit=start.unit or "C", by=start.by or "",
    )  # fmt: skip


def _vehicle(start: Start) -> Vehicle:
    """The vehicle of the options, by the words that a log may have for it."""
    from thermlog.taking.vehicleform import described_vehicle

    return described_vehicle(axles=start.axles or "2", brakes=start.brakes or "", weight=start.weight or "")
