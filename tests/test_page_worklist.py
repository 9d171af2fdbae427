"""The list of work as a page: the same drives as JSON, without a script, sorted and searched with one."""

from __future__ import annotations

import json
import re
from html.parser import HTMLParser
from pathlib import Path

import pytest
from browser import opened
from logs import COLD_K, HEALTHY_K, depot, log_text, write_log
from msgspec.structs import replace
from samples import cool_van, even_van, hot_rear_right, smoking_van, untold_van, watched_van

from thermlog.fleet.fleetlist import FleetList
from thermlog.fleet.fleetrows import rows_of
from thermlog.fleet.worklist import WorkList, work_list
from thermlog.pages.worklist import work_page
from thermlog.reports.report_fleet import fleet_text
from thermlog.words.tables import Taken

HERE = Path()
LOGS = Path(__file__).parent.parent / "sample_logs"
HOSTILE = "<img src=x onerror=alert(1)>\" & 'co'"


class Rows(HTMLParser):
    """Texts of the cells of every row."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.rows: list[list[str]] = []
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:  # noqa: ARG002
        if tag == "tr":
            self.rows.append([])
        elif tag in {"td", "th"} and self.rows:
            self.rows[-1].append("")

    def handle_data(self, data: str) -> None:
        if self.rows and self.rows[-1]:
            self.rows[-1][-1] += data


def made(*vans) -> WorkList:
    return work_list(FleetList(rows=[row for van in vans for row in rows_of(van)]))


def all_kinds() -> WorkList:
    return made(hot_rear_right(), watched_van(), smoking_van(), even_van(), cool_van(), untold_van())


def test_page_and_json_hold_the_same_drives_in_the_same_groups(thermlog):
    depot()
    Path("depot/s.csv").write_text("# seen: smoke\n" + log_text(HEALTHY_K, vehicle="S"), encoding="utf-8")
    write_log(HERE, "depot/z_copy.csv", COLD_K, vehicle="C")
    html = thermlog("fleet", "depot", "--format", "html").out
    found = json.loads(thermlog("fleet", "depot", "--format", "json").out)
    counts = [int(count) for count in re.findall(r"<a href=\"#\w+\"><b>(\d+)</b>", html)]
    groups = found["work"]["tally"]["groups"]

    assert counts == [*(groups[name] for name in ("urgent", "called", "watch", "again", "nothing")), 2]
    for one in found["work"]["drives"]:
        if one["group"] != "nothing":
            (row,) = [cells for cells in Rows(html).rows if len(cells) == 6 and f" {one['unit']}" in cells[1]]
            assert row[1].split()[0] == str(one["rank"])
            assert one["lines"][0]["finding"].split(" ", 1)[1].replace("1L", "") in " ".join(row[2].split())
            assert f"about {one['errand']['minutes']:.0f} min" in row[5]
    assert "depot/z_copy.csv" in html
    assert "depot/e_empty.csv: " in html


def test_names_of_others_are_shown_and_never_carried_out():
    html = work_page(made(hot_rear_right(), even_van(HOSTILE, HOSTILE)))
    assert "<img" not in html
    assert "&lt;img src=x onerror=alert(1)&gt;" in html


def test_drives_of_one_vehicle_are_told_apart_by_their_moments():
    """Called, to drive again, nothing found: each row has its own moment, on the page and in the text."""
    moments = {"2031-05-04T14:03:00": hot_rear_right(), "2031-05-11": untold_van(), "T09:15:00": even_van()}
    work = made(*(replace(van, vehicle="van 5", taken=Taken(start=at)) for at, van in moments.items()))
    rows = [
        " ".join(row[1].split()) for row in Rows(work_page(work)).rows if len(row) == 6 and "van 5" in row[1]
    ]
    assert rows == ["1 van 5 2031-05-04 14:03:00", "2 van 5 2031-05-11"]
    assert "van 5, 09:15:00" in work_page(work)
    assert "1  van 5, 2031-05-04 14:03:00  " in fleet_text(work)
    assert "3 drives: 1 to check (2031-05-04), 1 to drive or read again (2031-05-11), 1 with" in fleet_text(
        work
    )


def test_both_units_are_on_the_page_and_differences_go_without_the_32():
    html = work_page(all_kinds())
    assert '<bdi class="c">-58 ± 8 °C</bdi><bdi class="f">-104 ± 14 °F</bdi>' in html
    assert "tyre front left 118 °C" in html
    assert "tyre front left 244 °F" in html  # 118 times 9/5 plus 32


def test_nothing_judged_and_nothing_found_say_so():
    assert "Nothing was judged." in work_page(made())
    html = work_page(made(even_van()))
    assert "Nothing urgent, no brake that drags or does nothing, none to watch." in html
    assert "not a clearance" in html


@pytest.mark.parametrize("width", [320, 390, 1100])
def test_page_fits_asks_for_nothing_and_complains_of_nothing(browser, tmp_path, width):
    page = tmp_path / "list.html"
    page.write_text(work_page(all_kinds()), encoding="utf-8")
    with opened(browser, page, width=width) as seen:
        assert (seen.complaints, seen.asked_for) == ([], [])
        assert not seen.scrolls_sideways()


def test_columns_sort_by_a_key_or_a_click_and_say_so(browser, tmp_path):
    vans = [
        hot_rear_right(),
        *(_dragging(name, gap_k) for name, gap_k in (("van 2", -90.0), ("van 10", 20.0))),
    ]
    page = tmp_path / "list.html"
    page.write_text(work_page(made(*vans)), encoding="utf-8")
    with opened(browser, page, width=1100) as seen:
        rows = "#called tbody th bdi"
        head = seen.page.get_by_role("button", name="unit")
        head.focus()
        seen.page.keyboard.press("Enter")
        assert seen.page.locator(rows).all_inner_texts() == ["van 2", "van 10", "van 12"]
        assert seen.page.locator("#called th[aria-sort=ascending]").count() == 1
        assert "Sorted by unit, ascending" in seen.text("#live")
        seen.page.get_by_role("button", name="left").click()
        seen.page.get_by_role("button", name="left").click()
        assert seen.page.locator(rows).all_inner_texts() == ["van 2", "van 12", "van 10"]  # by size
        assert seen.page.locator("#called th[aria-sort=descending]").count() == 1


def test_any_unit_is_found_one_with_nothing_found_too(browser, tmp_path):
    page = tmp_path / "list.html"
    page.write_text(work_page(all_kinds()), encoding="utf-8")
    with opened(browser, page, width=1100) as seen:
        seen.page.fill("#q", "van 3")  # the even one
        assert seen.page.locator(".en:visible").count() == 1
        assert "1 shown" in seen.text("#live")
        seen.page.fill("#q", "")
        assert seen.page.locator(".work .en:visible").count() == 5


def test_without_a_script_everything_can_be_read(browser, tmp_path):
    page = tmp_path / "list.html"
    page.write_text(work_page(all_kinds()), encoding="utf-8")
    with opened(browser, page, width=1100, java_script_enabled=False) as seen:
        assert not seen.page.locator("#q").is_visible()
        told = seen.text()
        for name in ("van 12", "van 5", "van 7", "van 8", "logs/cold.csv"):
            assert name in told
        seen.page.locator("label", has_text="°F").click()
        assert "-104 ± 14 °F" in seen.text()


def test_paper_and_text_have_the_caution_of_every_step(browser, thermlog, tmp_path):
    """A sheet of paper cannot be unfolded, and a list that sends to a wheel says how, as check does."""
    names = (
        "hatchback_rear_right_hot",
        "van_front_left_hot",
        "trailer_hub_hot",
        "combination_axle4_left_cold",
    )
    logs = [str(LOGS / f"{name}.csv") for name in names]
    page, place = tmp_path / "list.html", tmp_path / "list.pdf"
    page.write_text(thermlog("fleet", *logs, "--format", "html").out, encoding="utf-8")
    told = json.loads(thermlog("fleet", *logs, "--format", "json").out)["work"]["drives"]
    wanted = [one["errand"]["safety"].replace("2L", "rear left") for one in told]  # of the trailer
    assert any("Chock both ways" in one for one in wanted)
    assert any("never under a jack alone" in one for one in wanted)
    checked = "".join(_flat(thermlog("check", log, "-q").out) for log in logs)
    with opened(browser, page) as seen:
        assert not any(one in _flat(seen.text()) for one in wanted)  # folded on the screen
        seen.page.emulate_media(media="print")
        on_paper = _flat(seen.text())
        assert seen.sheets("A4", place) <= 2
    assert on_paper.count("Take care:") == len(wanted) == len(logs)
    for listed in ([], ["-q"]):
        text = _flat(thermlog("fleet", *logs, *listed).out)
        for one in wanted:
            assert one in checked
            assert f"Take care: {one}" in on_paper
            assert f"care {one}" in text


def _flat(text: str) -> str:
    return " ".join(text.split())


def _dragging(name: str, gap_k: float):
    from msgspec.structs import replace

    from thermlog.words.estimates import Estimate

    van = hot_rear_right()
    return replace(van, vehicle=name, axles=(replace(van.axles[1], difference_k=Estimate(gap_k)),))
