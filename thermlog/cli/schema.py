"""``thermlog schema``: the JSON Schema of an output."""

from __future__ import annotations

import click

from thermlog.cli.files import result_stream

_CONTRACTS = ("check", "inspect", "fleet", "compare", "narrow", "filing", "history", "outcomes", "practice")


@click.command()
@click.argument("output", type=click.Choice(_CONTRACTS))
def schema(*, output: str) -> None:
    """Print the JSON Schema (draft 2020-12) of what a command prints with --format json.

    The contract of a schema_version may grow by new keys; nothing in it changes its meaning or goes away.
    """
    from thermlog.reports.contract.schemas import CONTRACTS, schema_text

    text = schema_text(next(name for name in CONTRACTS if name == output))
    with result_stream(None, force=False, exact=True) as out:
        out.write(text)
