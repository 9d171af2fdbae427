"""``thermlog learn``: a policy from a depot's own healthy vehicles."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Literal

import click

from thermlog.cli.files import complain, result_stream
from thermlog.cli.options import force_option
from thermlog.words.errors import OptionError

if TYPE_CHECKING:
    from thermlog.judging.judged import Judged
    from thermlog.words.policy import Policy
    from thermlog.words.tables import Readings

_AT_ONCE = 500  # drives judged together


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
    or whose job found a cause, are left out: learn from vehicles believed healthy. Too few of them are
    refused, with the number still needed.
    """
    from thermlog.history.learning import axles_seen, changes_between, learn, policy_text
    from thermlog.reports.report_learn import lesson_text
    from thermlog.reports.wholefile import refuse_existing, write_whole_text
    from thermlog.words.policy import load_policy

    refuse_existing(output, force=force, inputs=sources)
    readings, faulty = _readings(sources)
    policy = load_policy(base)
    judged = list(_judged(readings, policy))
    seen = [one for batch in judged for one in axles_seen(batch, faulty)]
    lesson = learn(seen, policy, base, (1.0 - 0.01 * false_alarms, 0.01 * confidence))
    text = policy_text(lesson, base, _made(sources))
    write_whole_text(output, text, force=force)
    changes = changes_between(judged, list(_judged(readings, load_policy(output))), base)
    with result_stream(None, force=False) as out:
        out.write(lesson_text(lesson, changes, output))


def _made(sources: Sequence[str]) -> str:
    from datetime import datetime

    from thermlog.words.version import __version__

    day = datetime.now().astimezone().date().isoformat()
    return f"by thermlog {__version__} learn on {day} from {len(sources)} source{'s' * (len(sources) > 1)}"


def _readings(sources: Sequence[str]) -> tuple[list[Readings], frozenset[str]]:
    """Readings of every drive, and the logs whose job found a cause."""
    from thermlog.history.address import is_history

    if not any(map(is_history, sources)):
        return _read(sources), frozenset()
    if len(sources) > 1:
        msg = "name one history, or logs; not both"
        raise OptionError(msg)
    from thermlog.followup.jobrecord import NO_FAULT
    from thermlog.history.store import History
    from thermlog.pipeline.settings import history_patience_s

    kept = History.open(sources[0], wait_s=history_patience_s())
    walks = list(dict.fromkeys(visit.walk_id for visit in kept.visits()))
    faulty = (job.log_sha256 for job in kept.jobs() if job.finding not in {None, NO_FAULT})
    return list(kept.readings(walks)), frozenset(faulty)


def _read(sources: Sequence[str]) -> list[Readings]:
    from thermlog.reading.paths import expand_paths
    from thermlog.reading.read import read_logs

    read = read_logs(list(expand_paths(sources).files))
    for _, refusal in read.refused:
        complain(refusal)
    return [log.readings for log in read.of_new_content().logs]


def _judged(readings: Sequence[Readings], policy: Policy) -> Iterator[Judged]:
    from msgspec.structs import replace

    from thermlog.judging.diagnose import judge
    from thermlog.pipeline.settings import gather_settings
    from thermlog.words.tables import stack_readings

    settings = replace(gather_settings(policy="light"), policy=policy)
    for start in range(0, len(readings), _AT_ONCE):
        yield judge(stack_readings(list(readings[start : start + _AT_ONCE])), settings)
