"""``thermlog guide``: how to drive, park, aim and walk so that the readings mean something."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from thermlog.cli.options import Writing, writing_options

if TYPE_CHECKING:
    from thermlog.words.vehicle import WeightClass


@click.command()
@click.option(
    "--weight",
    type=click.Choice(["light", "heavy"]),
    default="light",
    show_default=True,
    help="Class of vehicle: times of the drives, and the policy whose urgent lines are named.",
)
@writing_options("text", "markdown", "html")  # fmt: skip
def guide(*, weight: WeightClass, writing: Writing) -> None:
    """Say how to drive, park, aim and walk so that readings mean something, and when to stop.

    With --format html -o CARD.html it is a card to print. --quiet: only before driving, and when to stop.
    """
    from thermlog.advice.guide import guide_of
    from thermlog.reports.report_guide import guide_markdown, guide_text
    from thermlog.words.policy import load_policy
    from thermlog.words.sentences import Page, on_page

    parts = guide_of(load_policy(weight), weight)
    page = Page(unit=writing.show)
    with writing.stream([]) as out:
        if writing.output_format == "html":
            from thermlog.pages.guide import guide_page

            name = "cars, vans, light trailers" if weight == "light" else "lorries, buses, trailers"
            out.write(guide_page(parts, weight=name, show=writing.show))
        elif writing.output_format == "markdown":
            out.write(guide_markdown(on_page(parts, page)))
        else:
            out.write(guide_text(on_page(parts, page), quiet=writing.quiet))
