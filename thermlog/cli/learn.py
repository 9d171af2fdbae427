"""``thermlog learn``: a policy from a depot's own healthy vehicles."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Literal

import click

from thermlog.cli.files import complain, result_stream
from thermlog.cli.options import force_option
from thermlog.words.errors import OptionError

if TYPE_CHECKING:
    from thermlog.history.seen import DriveSeen
    from thermlog.words.policy import Policy
    from thermlog.words.tables import Readings


@click.command()
@click.argument("sources", metavar="HISTORY|LOGS...", nargs=-1, required=True)
@click.option("-o", "--output", required=True, metavar="POLICY.toml", help="Write the policy here.")
@click.option(
    "--base",
    type=click.Choice(["light", "heavy"]),
    default="light",
    show_default=True,
    help="Vehicles to learn of, and the policy to begin from.",
)
@click.option(
    "--false-alarms",
    type=click.FloatRange(0.1, 50.0),
    default=5.0,
    show_default=True,
    metavar="PERCENT",
    help="Of healthy vehicles that may pass the limit.",
)
@click.option(
    "--confidence",
    type=click.FloatRange(50.0, 99.9),
    default=95.0,
    show_default=True,
    metavar="PERCENT",
    help="How sure the limit is to hold.",
)
@force_option
def learn(
    *,
    sources: tuple[str, ...],
    output: str,
    base: Literal["light", "heavy"],
    false_alarms: float,
    confidence: float,
    force: bool,
) -> None:  # fmt: skip
    """Learn a policy from a depot's own vehicles, and show what it would have changed.

    HISTORY is an address as for --history; LOGS are files and folders. Drives that the present policy calls,
    or whose job found a cause, teach nothing of healthy brakes. Of a history the jobs count, too: the share
    of faults, and which causes were found. Too few of anything are refused, with the number still needed.
    """
    from thermlog.history.learning import changes_between, learn_numbers
    from thermlog.reports.policytext import policy_text
    from thermlog.reports.report_learn import lesson_text
    from thermlog.reports.wholefile import refuse_existing, write_whole_text
    from thermlog.words.policy import load_policy

    refuse_existing(output, force=force, inputs=sources)
    readings, finding = _readings(sources)
    policy = load_policy(base)
    drives = _seen(readings, policy)
    lesson = learn_numbers(drives, finding, policy, base, (1.0 - 0.01 * false_alarms, 0.01 * confidence))
    write_whole_text(output, policy_text(lesson, base, _made(sources)), force=force)
    changes = changes_between(drives, _seen(readings, load_policy(output)), base)
    with result_stream(None, force=False) as out:
        out.write(lesson_text(lesson, changes, output))


def _made(sources: Sequence[str]) -> str:
    from datetime import datetime

    from thermlog.words.version import __version__

    day = datetime.now().astimezone().date().isoformat()
    return f"by thermlog {__version__} learn on {day} from {len(sources)} source{'s' * (len(sources) > 1)}"


def _readings(sources: Sequence[str]) -> tuple[list[Readings], dict[str, str]]:
    """Readings of every drive in the order driven, and what jobs found, by the hash of the log."""
    from thermlog.history.address import is_history

    if not any(map(is_history, sources)):
        return _read(sources), {}
    if len(sources) > 1:
        msg = "name one history, or logs; not both"
        raise OptionError(msg)
    from thermlog.history.store import History
    from thermlog.pipeline.settings import history_patience_s

    kept = History.open(sources[0], wait_s=history_patience_s())
    walks = list(dict.fromkeys(visit.walk_id for visit in kept.visits()))
    finding = {job.log_sha256: job.finding for job in kept.jobs() if job.finding is not None}
    return list(kept.readings(walks)), finding


def _read(sources: Sequence[str]) -> list[Readings]:
    from thermlog.reading.files.paths import expand_paths
    from thermlog.reading.read import read_logs

    read = read_logs(list(expand_paths(sources).files))
    for _, refusal in read.refused:
        complain(refusal)
    return [log.readings for log in read.of_new_content().logs]


def _seen(readings: Sequence[Readings], policy: Policy) -> list[DriveSeen]:
    """All drives judged by a policy."""
    from msgspec.structs import replace

    from thermlog.history.seen import drives_seen
    from thermlog.pipeline.anew import judged_anew
    from thermlog.pipeline.settings import gather_settings

    settings = replace(gather_settings(policy="light"), policy=policy)
    return [drive for judged in judged_anew(readings, settings) for drive in drives_seen(judged)]
