"""``thermlog bay``: readings on phones and tablets, served on this computer or to the shop's network."""

from __future__ import annotations

import gc
import sys
from importlib.util import find_spec
from pathlib import Path

import click

from thermlog.cli.files import tell
from thermlog.cli.options import Judging, judging_options
from thermlog.words.errors import OptionError

PORT = 8765


@click.command()
@click.argument("folder", metavar="[FOLDER]", default=".", type=click.Path(path_type=Path))
@click.option(
    "--port", type=click.IntRange(0, 65535), default=PORT, show_default=True, help="0: any free one."
)
@click.option("--lan", is_flag=True, help="Serve the shop's network too, to whoever scans the code.")
@click.option("--address", metavar="IP", help="With --lan: the address of this computer to serve on.")
@judging_options
def bay(*, folder: Path, port: int, lan: bool, address: str | None, judging: Judging) -> None:
    """Serve a page for phones and tablets on which the readings of a walk are taken.

    The first line names the address. Each walk is kept in FOLDER as a log that every other command reads as
    it is. Without --lan only this computer is served. With it every phone is let in once by the code in the
    address, which is shown as a square to scan; what is sent is not encrypted, so serve a network that you
    trust. Control-C ends it.
    """
    if address is not None and not lan:
        msg = "--address goes with --lan"
        raise click.UsageError(msg)
    need_libraries()
    from thermlog.bay.serving import LOOPBACK, Speaking, listening, own_address, serve
    from thermlog.bay.shelf import Shelf, refuse_shelf
    from thermlog.reports.wholefile import finished
    from thermlog.taking.stopwatch import Clocks

    settings = judging.settings()
    refuse_shelf(folder)
    opened = listening(address or (own_address() if lan else LOOPBACK), port)
    shelf = Shelf(folder, settings, Clocks.of_this_computer())
    gc.enable()  # a server that runs for days does make circles
    speaking = Speaking(first=_first, show=lambda text: click.echo(text, err=True), log=tell)
    try:
        serve(shelf, opened, coded=lan, speaking=speaking)
        tell("ended")
    finally:
        finished.extend(shelf.files())  # each stands whole after every line, however this ends
        shelf.close()


def need_libraries() -> None:
    """Refuse, before anything is opened, an installation without the extra."""
    missing = [name for name in ("segno", "starlette", "uvicorn") if find_spec(name) is None]
    if missing:
        named = " ".join(missing)
        msg = f'missing: {named}; install the extra ".[bay]", or: python -m pip install {named}'
        raise OptionError(msg)


def _first(line: str) -> None:
    """The address, at once, whoever reads."""
    click.echo(line)
    sys.stdout.flush()
