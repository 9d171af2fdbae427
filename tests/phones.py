"""Fingers on the page of the bay, in a real browser.

The clocks of page and server are moved by hand, so that a walk of six minutes takes seconds; the page's runs
on beside, so moments are right within the few seconds that the test itself takes.
"""

from __future__ import annotations

import csv
import time
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from browser import opened
from shopserver import Shop, shop
from walkcases import VAN

from thermlog.judging.settings import Settings
from thermlog.pipeline.run import run_one

if TYPE_CHECKING:
    from collections.abc import Iterator

PHONE = {"has_touch": True, "is_mobile": True}


class Phone:
    """Fingers on a page."""

    def __init__(self, page, one: Shop) -> None:
        self.page, self.shop = page, one

    def begin(self, *, axles: int = 2, name: str = "van 7", by: str = "AB") -> None:
        page = self.page
        page.locator("#form").wait_for()
        page.fill("[name=vehicle]", name)
        page.select_option("[name=axles]", str(axles))
        page.fill("[name=by]", by)
        page.tap("#form button")
        page.locator("#parked").wait_for()

    def park(self, *, reached: bool = True) -> None:
        self.page.tap("#parked")
        self.page.locator("#pad").wait_for()
        if reached:
            self.settled()

    def wait(self, seconds: float) -> None:
        """Time passes, for the page and for the server."""
        self.shop.clock.s += seconds
        self.page.clock.fast_forward(seconds * 1000)  # a jump: what is due runs once, at its end

    def type(self, shown: str) -> None:
        for key in ["OL"] if shown == "OL" else shown:
            self.page.tap(f"[data-key='{'neg' if key == '-' else key}']")

    def read(self, wheel: str, shown: str) -> None:
        self.page.tap(f".tile[data-w='{wheel}']")
        self.type(shown)
        self.page.tap("[data-key=take]")

    def until(self, holds, *, seconds: float = 15.0) -> None:
        """Wait; the page's policy lets no tool evaluate a condition inside it again and again."""
        end = time.monotonic() + seconds
        while not holds():
            assert time.monotonic() < end, (self.line(), self.page.inner_text("body"))
            self.page.wait_for_timeout(20)

    def settled(self) -> None:
        """The server has everything."""
        self.until(lambda: self.line().startswith("✓") and "way" not in self.line())

    def away(self) -> None:
        self.until(lambda: self.line().startswith("?"))

    def line(self) -> str:
        return self.page.inner_text("#line")

    def tile(self, wheel: str) -> str:
        return self.page.inner_text(f".tile[data-w='{wheel}']")

    def walk(self, rows=VAN) -> None:
        at = 0.0
        for moment, wheel, shown in rows:
            self.wait(moment - at)
            at = moment
            self.read(wheel, shown)
            self.settled()
            self.keep()

    def walked(self, rows=VAN) -> None:
        """A walk from its form to its last reading, in air of 18 °C."""
        self.begin()
        self.park()
        self.read("air", "18")
        self.walk(rows)

    def keep(self) -> None:
        if self.page.locator("#ask").is_visible():
            self.page.tap("[data-answer=keep]")


@contextmanager
def phone(browser, one: Shop, *, width: int = 390, **context) -> Iterator[Phone]:
    with opened(browser, "about:blank", width=width, **(PHONE | context)) as seen:
        seen.page.clock.install()
        seen.page.goto(one.address)
        yield Phone(seen.page, one)
        # the browser itself tells of a server out of reach, and of one that lets nobody in
        assert [text for text in seen.complaints if "Failed to load resource" not in text] == []
        assert {url.split("/")[2] for url in seen.asked_for} <= {f"127.0.0.1:{one.port}"}


@pytest.fixture
def here(tmp_path):
    with shop(tmp_path / "shop") as one:
        yield one


def rows(one: Shop) -> list[tuple[str, str]]:
    (file,) = one.logs()
    read = csv.reader(line for line in file.read_text().splitlines() if line[0].isdigit())
    return [(row[1], row[3]) for row in read]


def told(path: Path):
    return next(iter(run_one(str(path), Settings()).findings()))
