"""Figures as files and as text, the same figure always as the same bytes."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from io import BytesIO
from pathlib import Path

import matplotlib as mpl
from matplotlib import style
from matplotlib.figure import Figure

from thermlog.charts.svgtext import page_svg
from thermlog.reports.wholefile import refuse_existing, write_whole
from thermlog.words.errors import OutputError

SUFFIXES = (".png", ".svg", ".pdf")


@contextmanager
def usual_settings() -> Iterator[None]:
    """Draw as matplotlib comes, whatever a settings file of the user says: same input, same bytes."""
    with style.context("default"):
        yield


def save_figure(figure: Figure, path: Path | str, *, force: bool = False) -> None:
    """Write a figure whole or not at all; the same figure gives the same bytes.

    Parameters
    ----------
    figure : Figure
        Its label becomes the description in the file.
    path : path
        Ends with ``.png``, ``.svg`` or ``.pdf``.
    force : bool
        Replace an existing file.

    Raises
    ------
    OutputError
        Other suffix, folder missing or not writable, file exists and `force` is not given.
    """
    suffix = Path(path).suffix.lower()
    if suffix not in SUFFIXES:
        msg = f"{path}: a chart is written as {', '.join(SUFFIXES)}; give the file one of these endings"
        raise OutputError(msg)
    refuse_existing(str(path), force=force)
    content = _content(figure, suffix[1:])
    write_whole(str(path), lambda draft: draft.write_bytes(content), force=force)


def svg_text(figure: Figure, *, key: str = "", sized: bool = False) -> str:
    """A figure as an ``<svg>`` element, its label as title and description; see `svgtext.page_svg`."""
    description = str(figure.get_label())
    title = description.split("\n", maxsplit=1)[0]
    svg = _drawn(figure, "svg", {"Date": None})
    return page_svg(svg, title=title, description=description, key=key, sized=sized)


def _content(figure: Figure, kind: str) -> bytes:
    if kind == "svg":
        return f'<?xml version="1.0" encoding="utf-8"?>\n{svg_text(figure, sized=True)}\n'.encode()
    description = str(figure.get_label())
    title = description.split("\n", maxsplit=1)[0]
    metadata: dict[str, dict[str, str | None]] = {
        "png": {"Title": title, "Description": description, "Software": "thermlog"},
        "pdf": {"Title": title, "Subject": description, "CreationDate": None},
    }
    return _drawn(figure, kind, metadata[kind])


def _drawn(figure: Figure, kind: str, metadata: dict[str, str | None]) -> bytes:
    stream = BytesIO()
    # ids from a fixed salt, letters of a SVG as text, those of a PDF as the font itself
    with (
        usual_settings(),
        mpl.rc_context({"svg.hashsalt": "thermlog", "svg.fonttype": "none", "pdf.fonttype": 42}),
    ):
        figure.savefig(stream, format=kind, metadata=metadata)
    return stream.getvalue()
