"""One headless Chromium for all tests of pages, and what a test wants to know of an opened page.

`browser` is a fixture of the whole session (named in conftest). A test takes it and opens a page::

    def test_it(browser, tmp_path):
        with opened(browser, tmp_path / "page.html", width=390) as seen:
            assert seen.complaints == []
            assert seen.asked_for == []
            assert not seen.scrolls_sideways()

Where Playwright or Chromium is missing, every such test is skipped by name and says what to install.
"""

from __future__ import annotations

import shutil
import subprocess
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Browser, Page, Request

_NAMES = ("chromium", "chromium-browser", "google-chrome")
_FLAGS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
_CURE = 'apt-get install chromium fonts-dejavu-core poppler-utils; python -m pip install -e ".[test]"'


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Chromium, started once."""
    program = next(filter(None, map(shutil.which, _NAMES)), None)
    if program is None:
        pytest.skip(f"no Chromium here to look at pages with; {_CURE}")
    sync_api = pytest.importorskip("playwright.sync_api", reason=f"no Playwright here; {_CURE}")
    with sync_api.sync_playwright() as started:
        chromium = started.chromium.launch(executable_path=program, args=_FLAGS)
        yield chromium
        chromium.close()


class Opened:
    """A page on the screen: what it asked for, what it complained of."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.asked_for: list[str] = []
        self.complaints: list[str] = []
        page.on("request", self._note)
        page.on("console", lambda message: self.complaints.append(message.text))
        page.on("pageerror", lambda fault: self.complaints.append(str(fault)))

    def _note(self, request: Request) -> None:
        if not request.is_navigation_request() and not request.url.startswith("data:"):
            self.asked_for.append(request.url)

    def scrolls_sideways(self) -> bool:
        """True if the page is wider than its window."""
        return bool(self.page.evaluate("document.documentElement.scrollWidth > innerWidth"))

    def sheets(self, paper: str, place: Path, **printing: Any) -> int:
        """Sheets of paper ("A4", "Letter") that it prints on."""
        self.page.pdf(path=place, format=paper, **printing)
        return sheets_of(place)

    def text(self, where: str = "body") -> str:
        """Text that can be seen there."""
        return self.page.locator(where).inner_text()


@contextmanager
def opened(browser: Browser, where: Path | str, *, width: int = 1160, **context: Any) -> Iterator[Opened]:
    """Open a file or an address in a window of its own; `context` goes to Playwright's ``new_context``."""
    room = browser.new_context(viewport={"width": width, "height": 900}, **context)
    try:
        seen = Opened(room.new_page())
        seen.page.goto(where if isinstance(where, str) else where.resolve().as_uri())
        yield seen
    finally:
        room.close()


def texts_of(pdf: Path) -> list[str]:
    """What stands on every page of a PDF file, line by line as it is laid out."""
    program = shutil.which("pdftotext")
    if program is None:
        pytest.skip("pdftotext reads printed pages and is missing; apt-get install poppler-utils")
    told = subprocess.run(
        [program, "-layout", str(pdf), "-"], capture_output=True, text=True, check=True
    ).stdout
    return told.split("\f")[:-1]


def sheets_of(pdf: Path) -> int:
    """Pages of a PDF file."""
    program = shutil.which("pdfinfo")
    if program is None:
        pytest.skip("pdfinfo counts printed pages and is missing; apt-get install poppler-utils")
    told = subprocess.run([program, str(pdf)], capture_output=True, text=True, check=True).stdout
    return int(told.partition("Pages:")[2].split()[0])
