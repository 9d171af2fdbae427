"""Run the commands of docs/course and put their outputs and figures where they are shown.

python bench/make_course.py [--check]: every ``sh`` block of a lesson is run in a folder of its own; what it
prints replaces the ``text`` block under it, what it draws into ``img`` goes to docs/course/img. With --check
nothing is written: stale lessons and figures are named, and the exit code is 1.
"""

from __future__ import annotations

import argparse
import contextlib
import io
import re
import shlex
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

from thermlog.cli import run

COURSE = Path(__file__).parents[1] / "docs" / "course"
# commands, then, if something is printed, the block that shows it
BLOCK = re.compile(r"```sh\n(.*?)```\n(?:\n```text\n(.*?)```\n)?", re.DOTALL)


def lessons() -> list[Path]:
    """Pages of the course, in order."""
    return sorted(COURSE.glob("*.md"))


def renewed(page: str, folder: Path, *, draw: bool) -> str:
    """A lesson with what its commands print now.

    Parameters
    ----------
    page : str
    folder : Path
        Empty; the commands run here, and leave their figures in ``img``.
    draw : bool
        False to leave out the charts, which take a second each.
    """
    (folder / "img").mkdir(exist_ok=True)

    def told(block: re.Match[str]) -> str:
        printed = "".join(outputs(block[1], folder, draw=draw))
        shown = f"\n```text\n{printed}```\n" if block[2] is not None else ""
        return f"```sh\n{block[1]}```\n{shown}"

    return BLOCK.sub(told, page)


def outputs(commands: str, folder: Path, *, draw: bool) -> Iterator[str]:
    """What the commands of a block print on standard output."""
    for line in commands.splitlines():
        program, *arguments = shlex.split(line, comments=True)
        if program != "thermlog":
            msg = f"a lesson runs thermlog only: {line}"
            raise SystemExit(msg)
        if not draw and "--chart" in arguments:
            place = arguments.index("--chart")
            del arguments[place : place + 2]
        printed = io.StringIO()
        with contextlib.chdir(folder), contextlib.redirect_stdout(printed):
            code = run(arguments)
        if code:
            msg = f"exit code {code}: {line}"
            raise SystemExit(msg)
        yield "".join(f"{one.rstrip()}\n" for one in printed.getvalue().splitlines())


def main(*, check: bool) -> list[str]:
    """Names of what was stale; written anew unless `check`."""
    stale = []
    for lesson in lessons():
        with tempfile.TemporaryDirectory() as folder:
            page = lesson.read_text(encoding="utf-8")
            now = {lesson: renewed(page, Path(folder), draw=True).encode()}
            now |= {COURSE / "img" / one.name: one.read_bytes() for one in Path(folder, "img").iterdir()}
        for place, content in now.items():
            if not place.exists() or place.read_bytes() != content:
                stale.append(place.relative_to(COURSE).as_posix())
                if not check:
                    place.parent.mkdir(exist_ok=True)
                    place.write_bytes(content)
    return stale


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--check", action="store_true", help="only compare")
    checking = parser.parse_args().check
    found = main(check=checking)
    for name in found:
        print(f"{'stale' if checking else 'written'}: {name}")
    sys.exit(bool(found) and checking)
