"""``thermlog policy``: the numbers a verdict rests on."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeAlias

import click

from thermlog.cli.files import result_stream

if TYPE_CHECKING:
    from collections.abc import Iterator

    from thermlog.words.policy import CausesFound

# value, unit, source, and the policy file that states it
_Number: TypeAlias = tuple[float, str, str, str]
_CHOOSERS = {
    "caller": "on the command line",
    "environment": "by the environment variable THERMLOG_POLICY",
    "config": "by a configuration file ({})",
    None: "by default",
}


@click.group()
def policy() -> None:
    """Show the numbers a verdict rests on, with unit and source."""


@policy.command()
@click.argument("name", required=False, metavar="[NAME|FILE]")
@click.option(
    "--format",
    "output_format",
    type=click.Choice(["text", "toml"]),
    default="text",
    show_default=True,
    help="toml: a whole policy file, which --policy takes.",
)
@click.option("--origin", is_flag=True, help="Say who chose the policy and which file states each number.")
def show(*, name: str | None, output_format: str, origin: bool) -> None:
    """Print every number of a policy with its unit and source.

    Without a NAME it is the policy of the environment variable THERMLOG_POLICY or of a configuration
    file, else light; a vehicle of three or more axles is judged by heavy.
    """
    from thermlog.pipeline.settings import named_policy
    from thermlog.words.policy import load_policy, policy_sources

    named, chooser = named_policy(name)
    chosen = named or "light"
    mark = load_policy(chosen)
    if output_format == "toml":
        with result_stream(None, force=False, exact=True) as out:
            out.write(_toml(mark.name, policy_sources(chosen), mark.causes_found))
        return
    head = [f"policy {mark.name} | sha256 {mark.sha256}"]
    if origin:
        head.append(f"chosen {_CHOOSERS[chooser].format(chosen)}")
    lines = [*head, "", *_lines(policy_sources(chosen), origin=origin), *_found_lines(mark.causes_found)]
    with result_stream(None, force=False) as out:
        out.write("\n".join(lines) + "\n")


def _toml(name: str, numbers: dict[str, _Number], found: CausesFound | None) -> str:
    """A whole policy file with these numbers, and the causes that were found."""
    import json

    from thermlog.reports.policytext import causes_lines
    from thermlog.words.policy import POLICY_SCHEMA

    lines = [f"name = {json.dumps(f'{name}, own')}", f'schema = "{POLICY_SCHEMA}"', ""]
    lines += [
        f"{key} = {{ value = {value:g}, unit = {json.dumps(unit)}, source = {json.dumps(source)} }}"
        for key, (value, unit, source, _) in numbers.items()
    ]
    if found is not None:
        lines += ["", *causes_lines(found)]
    return "\n".join(lines) + "\n"


def _lines(numbers: dict[str, _Number], *, origin: bool) -> Iterator[str]:
    wide = max(map(len, numbers))
    for key, (value, unit, source, file) in numbers.items():
        stated = f" [{file}]" if origin else ""
        yield f"{key:<{wide}}  {value:>8g} {unit:<5} {source}{stated}"


def _found_lines(found: CausesFound | None) -> Iterator[str]:
    """Causes that jobs confirmed, where the policy states any."""
    if found is None:
        return
    yield ""
    yield f"causes_found: the table of causes counts as {found.table_worth:g} findings beside these"
    for cause, count in found.counts:
        yield f"  {cause:<24} {count:>4}"
    yield f"  {found.source}"
