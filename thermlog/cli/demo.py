"""``thermlog demo``: the sample logs, copied out."""

from __future__ import annotations

from functools import partial
from pathlib import Path

import click

import thermlog
from thermlog.cli.files import result_stream
from thermlog.cli.options import force_option
from thermlog.reports.wholefile import make_folder, refuse_existing, refuse_file, write_whole
from thermlog.words.errors import OutputError
from thermlog.words.shelltext import shell_file

_FIRST = "van_front_left_hot.csv"


@click.command()
@click.argument("folder", default="thermlog_samples", metavar="[FOLDER]")
@force_option
def demo(*, folder: str, force: bool) -> None:
    """Copy the sample logs into a folder and name the next command.

    FOLDER is thermlog_samples if none is named. All samples are simulated; the README.md beside them says
    what each one shows.
    """
    samples = _samples()
    target = Path(folder)
    refuse_file(folder)
    for sample in samples if target.is_dir() else ():
        refuse_existing(str(target / sample.name), force=force)
    make_folder(folder)
    for sample in samples:
        content = sample.read_bytes()
        write_whole(str(target / sample.name), partial(Path.write_bytes, data=content), force=force)
    first = shell_file(str(target / _FIRST))
    with result_stream(None, force=False) as out:
        out.write(f"{len(samples)} files copied to {target}. Next:\n\n    thermlog check {first}\n")


def _samples() -> list[Path]:
    """Bundled files, sorted: inside the package when installed, beside it in a checkout."""
    package = Path(thermlog.__file__).parent
    folders = (package / "sample_logs", package.parent / "sample_logs")
    found = next((sorted(place.iterdir()) for place in folders if place.is_dir()), [])
    if _FIRST not in {file.name for file in found}:
        msg = "this installation has no sample logs; install thermlog again"
        raise OutputError(msg)
    return [file for file in found if file.is_file()]
