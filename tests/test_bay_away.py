"""The page of the bay out of reach and back: server gone or started anew, reloads, set clocks, two pages."""

from __future__ import annotations

import pytest
from phones import phone, rows, told
from walkcases import VAN


def test_out_of_reach_in_mid_walk_and_back(browser, here):
    """All goes on; what was taken is sent later, with its moments, once."""
    with phone(browser, here) as hand:
        hand.begin()
        hand.park()
        hand.walk(VAN[:2])
        hand.page.context.set_offline(True)
        hand.wait(18)
        hand.read("2R", "67")
        hand.away()
        hand.wait(20)
        assert "the computer does not answer" in hand.line().lower()
        assert "aim" not in hand.line()
        hand.read("2L", "69")
        assert "2 entries are kept here" in hand.line()
        assert "67°" in hand.tile("2R")
        assert "next" in hand.tile("2L") + hand.tile("2R") + hand.tile("1L") + hand.tile("1R")
        assert [one for one, _ in rows(here)] == ["1L", "1R"]
        hand.page.context.set_offline(False)
        hand.wait(4)
        hand.settled()
    assert rows(here) == [("1L", "177"), ("1R", "96"), ("2R", "67"), ("2L", "69")]
    entries = list(next(iter(here.shelf._open.values())).journal.walk.readings())
    assert [one.elapsed_s for one in entries] == pytest.approx([20, 38, 56, 76], abs=5.0)


def test_a_whole_walk_without_the_server_is_sent_when_it_is_back(browser, here):
    """The page was loaded, then the server was gone: vehicle, stop and readings are made in the page."""
    with phone(browser, here) as hand:
        hand.page.locator("#form").wait_for()
        hand.page.context.set_offline(True)
        hand.begin()
        hand.park(reached=False)
        hand.wait(20)
        hand.read("1L", "177")
        hand.wait(18)
        hand.type("96")
        hand.page.tap("[data-key=take]")  # across the axle: proposed without the server
        assert here.logs() == []
        hand.page.context.set_offline(False)
        hand.wait(4)
        hand.settled()
    assert rows(here) == [("1L", "177"), ("1R", "96")]
    entries = list(next(iter(here.shelf._open.values())).journal.walk.readings())
    assert [one.elapsed_s for one in entries] == pytest.approx([20, 38], abs=5.0)


def test_a_reload_without_the_network_loses_nothing(browser, here):
    """Taken out of reach, the page thrown away, opened again with the network back: sent, with its moment."""
    with phone(browser, here) as hand:
        hand.begin()
        hand.park()
        hand.walk(VAN[:1])
        hand.page.context.set_offline(True)
        hand.wait(18)
        hand.read("1R", "96")
        hand.away()
        hand.page.context.set_offline(False)
        hand.page.reload()
        hand.wait(2)
        hand.settled()
        assert "96°" in hand.tile("1R")
    assert rows(here) == [("1L", "177"), ("1R", "96")]
    entries = list(next(iter(here.shelf._open.values())).journal.walk.readings())
    assert entries[1].elapsed_s == pytest.approx(38, abs=5.0)


def test_a_clock_that_is_set_moves_nothing(browser, here):
    """The phone's wall clock jumps by an hour, and the page is loaded anew: the server's clock counts."""
    with phone(browser, here) as hand:
        hand.begin()
        hand.park()
        hand.wait(20)
        hand.page.evaluate("Date.now = (now => () => now() + 3_600_000)(Date.now)")
        hand.read("1L", "177")
        hand.settled()
        hand.page.reload()
        hand.wait(2)
        hand.settled()
        hand.wait(16)
        hand.read("1R", "96")
        hand.settled()
    entries = list(next(iter(here.shelf._open.values())).journal.walk.readings())
    assert [one.elapsed_s for one in entries] == pytest.approx([20, 38], abs=5.0)


def test_the_server_is_started_anew_in_mid_walk(browser, here):
    with phone(browser, here) as hand:
        hand.begin()
        hand.park()
        hand.walk(VAN[:2])
        here.stop()
        hand.wait(18)
        hand.read("2R", "67")
        hand.away()
        here.start()
        hand.wait(4)
        hand.settled()
        assert hand.line() == "✓ 3 readings kept"
    assert rows(here) == [("1L", "177"), ("1R", "96"), ("2R", "67")]


def test_two_people_share_a_walk(browser, here):
    """Each sees what the other took; who took it stands in the log; undo takes back one's own."""
    with phone(browser, here) as left, phone(browser, here) as right:
        left.begin()
        left.park()
        left.wait(20)
        left.read("1L", "177")
        left.settled()
        right.page.reload()
        right.page.get_by_text("Join: van 7").wait_for()
        right.page.evaluate("localStorage.setItem('thermlog.by', '\"CD\"')")
        right.page.get_by_text("Join: van 7").tap()
        right.until(lambda: "177°" in right.tile("1L"))
        here.clock.s += 10
        right.page.clock.fast_forward(10_000)
        right.read("1R", "96")
        right.settled()
        left.page.clock.fast_forward(12_000)
        left.until(lambda: "96°" in left.tile("1R"))
        left.page.tap("[data-key=undo]")
        left.settled()
        assert "–" in left.tile("1L")
        right.page.clock.fast_forward(3000)
        right.until(lambda: "–" in right.tile("1L"))
    (file,) = here.logs()
    assert ",AB," in file.read_text()
    assert ",CD," in file.read_text()
    assert "# taken back: line" in file.read_text()


def test_out_of_reach_the_file_is_made_in_the_page(browser, here, tmp_path):
    """The simplest log, which check reads."""
    with phone(browser, here) as hand:
        hand.walked(VAN[:4])
        hand.page.context.set_offline(True)
        hand.page.tap("#menu")
        with hand.page.expect_download() as saved:
            hand.page.tap("#save")
        saved.value.save_as(tmp_path / "saved.csv")
    mine, theirs = told(tmp_path / "saved.csv"), told(here.logs()[0])
    assert [one.answer for one in mine.answers.each] == [one.answer for one in theirs.answers.each]
