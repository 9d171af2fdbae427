"""A page as a PDF: what a browser would print, made without one."""

from __future__ import annotations

import logging
from typing import TYPE_CHECKING, Any

from thermlog.words.errors import OutputError

if TYPE_CHECKING:
    from collections.abc import Callable

_CURE = (
    'a PDF needs WeasyPrint and Pango: python -m pip install ".[pdf]" in the checkout, and on Debian '
    "apt-get install libpango-1.0-0 libpangoft2-1.0-0; or name a page that ends in .html and print it"
)


def weasyprint_html(path: str) -> Callable[..., Any]:
    """The library's reader of HTML, told of early: before any work is done.

    Parameters
    ----------
    path : str
        The file wanted, for the refusal.

    Raises
    ------
    OutputError
        It is not installed, or cannot find Pango.
    """
    try:
        from weasyprint import HTML
    except (ImportError, OSError) as fault:
        msg = f"{path}: {_CURE}"
        raise OutputError(msg) from fault
    logging.getLogger("weasyprint").setLevel(logging.CRITICAL)  # it tells of styles made for screens
    reader: Callable[..., Any] = HTML
    return reader


def pdf_of(page: str, path: str) -> bytes:
    """A page as it prints, in the unit that it opens with; the same page gives the same bytes.

    Parameters
    ----------
    page : str
        As `rendering.render` makes it: nothing in it asks for anything.
    path : str
        The file wanted, for the refusal.

    Returns
    -------
    bytes
        PDF without a date.
    """
    made = weasyprint_html(path)(string=page, url_fetcher=_nothing).write_pdf()
    return bytes(made)


def _nothing(url: str, *_: object, **__: object) -> dict[str, object]:
    """Whatever a page asks for: nothing."""
    msg = f"a page asks for nothing, not for {url[:60]}"
    raise ValueError(msg)
