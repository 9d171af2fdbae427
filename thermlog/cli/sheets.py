"""``--report FILE`` and its kin: pages that a command writes beside its result."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click
from msgspec import Struct

from thermlog.cli.files import numbered, refuse_alike
from thermlog.cli.options import CHART_WIDTH, Writing, chart_option, gathered
from thermlog.reports.wholefile import refuse_existing

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from thermlog.charts.look import Width
    from thermlog.pipeline.run import Run
    from thermlog.words.findings import Diagnosis

PAGE_ENDINGS = (".html", ".pdf")


def page_ending(ctx: click.Context, param: click.Parameter, value: str | None) -> str | None:  # noqa: ARG001
    """Name of a page, with an ending that is known."""
    if value is not None and not value.lower().endswith(PAGE_ENDINGS):
        msg = f'"{value}" does not end in {", ".join(PAGE_ENDINGS)}'
        raise click.BadParameter(msg)
    return value


class Sheets(Struct, frozen=True, kw_only=True):
    """The chart and the pages that are wanted of every drive."""

    chart: str | None
    chart_width: Width
    chart_neutral: bool
    report: str | None
    customer: str | None
    trainee: str | None

    @property
    def pages(self) -> tuple[str | None, str | None, str | None]:
        """Files of the pages."""
        return self.report, self.customer, self.trainee

    def refuse(self, writing: Writing, inputs: Sequence[str]) -> None:
        """Refuse, before any work is done, files that cannot be written or share a name.

        Parameters
        ----------
        writing : Writing
        inputs : sequence of str
            Files that are read; none of them is replaced.
        """
        refuse_chartless(self.chart, self.chart_width, neutral=self.chart_neutral)
        pages = zip(("--report", "--customer", "--trainee"), self.pages, strict=True)
        wanted = {"--chart": self.chart, **dict(pages)}
        refuse_alike({**wanted, "--output": writing.output})
        for name in filter(None, wanted.values()):
            refuse_existing(name, force=writing.force, inputs=inputs)
        for page in self.pages:
            refuse_paper(page)

    def write(self, done: Run, found: Sequence[Diagnosis], writing: Writing) -> None:
        """Write what is wanted: one file a drive, from the second on with a number in its name."""
        if not any(self.pages):
            return
        from thermlog.pages.customer import customer_page
        from thermlog.pages.report import report_page
        from thermlog.pages.trainee import trainee_page
        from thermlog.pipeline.dossier import dossier_of

        makers = (report_page, customer_page, trainee_page)

        for k, told in enumerate(found):
            dossier = dossier_of(done, k, told)
            for path, page in zip(self.pages, makers, strict=True):
                if path is not None:
                    write_page(numbered(path, k), page(dossier, show=writing.show), force=writing.force)


def refuse_chartless(chart: str | None, width: Width, *, neutral: bool = False) -> None:
    """Refuse words about a chart where none is drawn."""
    if chart is None and (width != "wide" or neutral):
        name = "--chart-neutral" if neutral else "--chart-width"
        msg = f"{name} goes with --chart FILE"
        raise click.UsageError(msg)


def refuse_paper(path: str | None) -> None:
    """Refuse, before any work is done, a PDF that cannot be made here."""
    if is_paper(path):
        from thermlog.pages.paper import weasyprint_html

        weasyprint_html(str(path))


def is_paper(path: str | None) -> bool:
    """True for a name that asks for a PDF."""
    return path is not None and path.lower().endswith(".pdf")


def write_page(path: str, text: str, *, force: bool) -> None:
    """Write a page as HTML or as PDF, by the ending of its name, and say so."""
    from thermlog.reports.wholefile import write_whole, write_whole_text

    if is_paper(path):
        from thermlog.pages.paper import pdf_of

        content = pdf_of(text, path)
        write_whole(path, lambda place: place.write_bytes(content), force=force)
    else:
        write_whole_text(path, text, force=force)
    click.echo(f"page: {path}", err=True)


_SHEETS = (
    chart_option("Draw the cooling curves and the whole vehicle too"),
    CHART_WIDTH,
    click.option("--chart-neutral", is_flag=True,
                 help="Draw nothing of the finding: no verdict, no band, no name of file or vehicle."),
    click.option("--report", callback=page_ending, metavar="FILE",
                 help="Write the findings as one page too, complete in itself: .html or .pdf."),
    click.option("--customer", callback=page_ending, metavar="FILE",
                 help="Write a sheet in plain words for the owner: .html or .pdf."),
    click.option("--trainee", callback=page_ending, metavar="FILE",
                 help="Write a sheet that leads from dots to the verdict in four steps: .html or .pdf."),
)  # fmt: skip


def sheet_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command the chart and the pages of a drive as one argument ``sheets``."""
    return gathered("sheets", Sheets, _SHEETS)(command)
