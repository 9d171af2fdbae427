"""The report as a page: complete in itself, safe, and in agreement with JSON."""

from __future__ import annotations

import html
import json
import re
import sys
from pathlib import Path

import pytest
from browser import opened, sheets_of

from thermlog.cli import run
from thermlog.pages.rendering import PageSetup, render
from thermlog.pages.shown import Dual, in_both, seen
from thermlog.reports.wording import degrees, temperature

ROOT = Path(__file__).parent.parent
SAMPLES = sorted((ROOT / "sample_logs").glob("*.csv"))
SMALL = [log for log in SAMPLES if not log.stem.startswith(("bus", "combination", "lorry", "tipper"))]
VAN = ROOT / "sample_logs" / "van_front_left_hot.csv"
LIMIT_BYTES = 300_000  # what a page of a car may weigh


@pytest.fixture
def page(thermlog, tmp_path):
    """The report of a log, as a file."""

    def made(log: Path, *options: str) -> Path:
        place = tmp_path / f"{log.stem}.html"
        ran = thermlog("check", str(log), "--exit-zero", "--report", str(place), *options)
        assert ran.code == 0, ran.err
        return place

    return made


def test_a_text_in_both_units_is_escaped_and_stands_once_where_it_is_alike():
    assert in_both(lambda show: f"{temperature(100.0, show)} {degrees(show)}") == Dual("100 °C", "212 °F")
    assert Dual("<b>", "<b>").__html__() == "&lt;b&gt;"
    assert Dual("1 &", "2").__html__() == '<bdi class="c">1 &amp;</bdi><bdi class="f">2</bdi>'


def test_a_name_loses_what_cannot_be_seen_and_keeps_its_joiners():
    assert seen("a\u202eb\x00c\ud800") == "a?b?c?"
    assert seen("می‌خواهم") == "می‌خواهم"


@pytest.fixture(scope="module")
def reports(tmp_path_factory):
    """The report of every sample, each made once."""
    folder, known = tmp_path_factory.mktemp("reports"), {}

    def made(log: Path) -> Path:
        if log not in known:
            known[log] = folder / f"{log.stem}.html"
            said = ["-q", "--exit-zero", "-o", str(folder / f"{log.stem}.txt")]
            assert run(["check", str(log), "--report", str(known[log]), *said]) == 0
        return known[log]

    return made


@pytest.mark.parametrize("log", SAMPLES, ids=lambda path: path.stem)
def test_every_sample_has_a_page_that_is_small_and_carries_its_policy(reports, log):
    text = reports(log).read_text(encoding="utf-8")

    assert len(text.encode()) <= LIMIT_BYTES or log not in SMALL
    assert "default-src 'none'" in html.unescape(text)
    assert re.search(r'\b(src|href)="(?!data:|#)', text) is None
    assert re.search(r"<[^>]+\s(style|on\w+)=", text) is None


def test_the_same_log_gives_the_same_bytes(page):
    first = page(VAN).read_bytes()
    assert page(VAN, "--force").read_bytes() == first


def test_a_page_is_never_written_over_another_unasked(thermlog, page):
    place = page(VAN)
    again = thermlog("check", str(VAN), "--report", str(place))
    assert again.code == 3
    assert "--force" in again.err
    assert thermlog("check", str(VAN), "--report", "page.txt").code == 2
    assert thermlog("check", str(VAN), "--report", "a.html", "-o", "a.html").code == 2


def test_it_opens_without_a_request_or_a_complaint_at_every_width(browser, page):
    place = page(VAN)
    for width in (320, 390, 1160):
        with opened(browser, place, width=width) as seen_:
            assert seen_.complaints == []
            assert seen_.asked_for == []
            assert not seen_.scrolls_sideways()


def test_the_unit_is_chosen_without_script(browser, page, thermlog):
    told = json.loads(thermlog("check", str(VAN), "--format", "json").out)
    hot = told["corners"][0]["at_common_degc"]
    with opened(browser, page(VAN), java_script_enabled=False) as seen_:
        assert f"{hot:.0f} °C" in seen_.text(".plan")
        seen_.page.locator("#uf").check()
        assert f"{hot * 9 / 5 + 32:.0f} °F" in seen_.text(".plan")
        assert "°C" not in seen_.text("main")


@pytest.mark.parametrize("log", SMALL, ids=lambda path: path.stem)
def test_every_car_and_trailer_prints_on_one_sheet(browser, reports, tmp_path, log):
    with opened(browser, reports(log), width=320) as seen_:
        assert not seen_.scrolls_sideways()
        assert {seen_.sheets(paper, tmp_path / "print.pdf") for paper in ("A4", "Letter")} == {1}


def test_a_pdf_is_one_sheet_and_the_same_bytes_again(thermlog, tmp_path):
    pytest.importorskip("weasyprint", reason='a PDF needs: python -m pip install ".[pdf]"')
    first, again = tmp_path / "first.pdf", tmp_path / "again.pdf"
    assert thermlog("check", str(VAN), "--report", str(first), "--exit-zero").code == 0
    assert thermlog("check", str(VAN), "--report", str(again), "--exit-zero").code == 0

    assert first.read_bytes() == again.read_bytes()
    assert sheets_of(first) == 1


def test_a_pdf_that_cannot_be_made_is_refused_before_any_work_with_its_cure(thermlog, monkeypatch, tmp_path):
    monkeypatch.setitem(sys.modules, "weasyprint", None)  # an import of it then fails
    ran = thermlog("check", "no-such-log.csv", "--report", str(tmp_path / "page.pdf"))
    assert ran.code == 3
    assert "libpango" in ran.err
    assert ".html" in ran.err


def test_where_nothing_can_be_drawn_the_page_says_why(browser, page):
    written = ROOT / "tests" / "data" / "written"
    with opened(browser, page(written / "139_no_times_healthy.csv")) as seen_:
        assert seen_.page.locator(".cool svg").count() == 0
        assert "no times are stated" in seen_.text(".cool")
        assert "cannot tell" in seen_.text(".ans")
        assert seen_.page.locator(".plan .w").count() == 4


def test_a_wheel_that_was_not_read_is_an_empty_tile_and_nothing_is_cleared(browser, page):
    written = ROOT / "tests" / "data" / "written"
    with opened(browser, page(written / "129_left_side_only.csv")) as seen_:
        assert seen_.page.locator(".plan .w.not_read").count() == 2
        assert "not read" in seen_.text(".plan")
        assert "not a clearance" in seen_.text("footer")


def test_what_is_urgent_stands_above_all_answers(browser, reports):
    with opened(browser, reports(ROOT / "sample_logs" / "trailer_hub_hot.csv")) as seen_:
        bar, answers = (seen_.page.locator(where).bounding_box() for where in (".bar", ".ans"))
        assert bar["y"] + bar["height"] <= answers["y"]
        assert "STOP" in seen_.text(".plan")


def test_what_another_room_brings_is_read_for_each_page(tmp_path):
    """Nothing is kept by the name of a folder: it may hold something else by now."""
    setup = PageSetup(title="Bay", styles=("own.css",), folder=tmp_path)
    told = []
    for word in ("first", "second"):
        (tmp_path / "own.html").write_text(
            f'{{% extends "base.html" %}}{{% block main %}}{word}{{% endblock %}}'
        )
        (tmp_path / "own.css").write_text(f".{word} {{ margin: 0 }}")
        told.append(render("own.html", setup, None))

    assert [("first" in one, ".first" in one, "second" in one) for one in told] == [
        (True, True, False),
        (False, False, True),
    ]
