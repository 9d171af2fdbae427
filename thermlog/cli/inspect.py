"""``thermlog inspect``: what was understood of a log, without judging."""

from __future__ import annotations

import click

from thermlog.cli.options import Reading, Writing, reading_options, writing_options


@click.command()
@click.argument("log", metavar="LOG")
@writing_options("text", "json")
@click.option("--policy", metavar="NAME|FILE", help="Whose limits of a reading and a walk hold.")
@reading_options
def inspect(*, log: str, writing: Writing, policy: str | None, reading: Reading) -> None:
    """Show what was understood of a log and what was set aside, without judging.

    LOG is a file, its address, or - for standard input. Look here first if a verdict surprises.
    """
    from thermlog.pipeline.settings import gather_settings
    from thermlog.reading.read import read_log

    files = [log, *([policy] if policy else []), *reading.files()]
    with writing.stream(files) as out:
        understood = read_log(log, gather_settings(reading=reading.options(), policy=policy).reading)
        if writing.output_format == "json":
            from thermlog.reports.report_json import inspect_text

            out.write(inspect_text(understood))
        else:
            from thermlog.reports.report_inspect import inspection

            out.write(inspection(understood, show=writing.show, quiet=writing.quiet))
