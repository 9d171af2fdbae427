"""Pages of a comparison, of a job record, and of every flagged drive of a fleet."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from browser import opened
from chart_samples import VAN_EVEN, VAN_HOT, diagnosis_of
from msgspec.structs import replace
from test_pages_stop import words

from thermlog.charts.chart import limits_beside
from thermlog.charts.look import Look
from thermlog.cli.fleetreports import page_name
from thermlog.followup.proof import compare_logs
from thermlog.pages.compare import compare_page
from thermlog.words.policy import load_policy

LOGS = Path(__file__).parent.parent / "sample_logs"
BEFORE, AFTER = LOGS / "van_before_repair.csv", LOGS / "van_after_repair.csv"
VAN = LOGS / "van_front_left_hot.csv"


def test_before_and_after_stand_beside_each_other(browser, thermlog, tmp_path):
    place = tmp_path / "proof.html"
    assert thermlog("compare", str(BEFORE), str(AFTER), "--report", str(place), "--exit-zero").code == 0
    told = json.loads(thermlog("compare", str(BEFORE), str(AFTER), "--format", "json").out)
    with opened(browser, place, width=390) as page:
        assert (page.complaints, page.asked_for) == ([], [])
        assert not page.scrolls_sideways()
        hidden = "[...document.querySelectorAll('.scroll')].filter(one => one.scrollWidth > one.clientWidth)"
        assert page.page.evaluate(f"{hidden}.length") == 0  # the change is seen on a phone, not scrolled to
        assert {page.sheets(paper, tmp_path / "p.pdf") for paper in ("A4", "Letter")} == {1}
        assert page.page.locator(".drives .c svg").count() == 2 * len(told["axles"])
        for row, axle in zip(page.page.locator("tbody tr").all(), told["axles"], strict=True):
            cells = row.locator("td").all_inner_texts()
            for cell, gap in zip(cells, axle["differences"], strict=False):
                assert float(cell.split()[0]) == pytest.approx(gap["value_k"], abs=0.51)
            assert ("even again" in cells[-1]) == (axle["outcome"] == "repaired")
        assert "they clear nothing" in page.text(".gist")


def ticks(page: str, key: str) -> dict[str, dict[str, float]]:
    """Numbers of the two axes of a drawing, each with its distance from the first [pt]."""
    drawing = page[page.index(f'aria-labelledby="{key}-title"') :]
    drawing = drawing[: drawing.index("</svg>")]
    found = {}
    for axis, anchor, way in (("level", "end", 1), ("time", "middle", 0)):
        places = re.findall(
            rf'<text x="([\d.]+)" y="([\d.]+)" font-size="9" text-anchor="{anchor}">([-\d.]+)</text>', drawing
        )
        places = [(place[2], float(place[way])) for place in places]
        found[axis] = {number: round(at - places[0][1], 1) for number, at in places}
    return found


def test_before_and_after_of_an_axle_have_the_same_axes():
    """One drive is much hotter and read for longer: equal heights are equal temperatures all the same."""
    longer = replace(VAN_EVEN, rounds=9)
    page = compare_page(compare_logs([diagnosis_of(VAN_HOT), diagnosis_of(longer)], load_policy("light")))
    for axle in (1, 2):
        for unit in "CF":
            before, after = (ticks(page, f"log{k}-cooling-verdict-{axle}-{unit}") for k in (0, 1))
            assert len(before["level"]) > 2
            assert len(before["time"]) > 2
            assert before == after
    assert ticks(page, "log0-cooling-verdict-1-C") != ticks(page, "log0-cooling-verdict-2-C")


def test_clocks_that_count_from_moments_of_their_own_share_no_time_axis():
    stories = VAN_HOT, replace(VAN_EVEN, parked_known=False)
    limits = limits_beside([diagnosis_of(story) for story in stories], Look(axles=(1,)))
    assert limits is not None
    assert limits.minutes is None


def test_an_axle_that_one_of_two_vehicles_has_is_not_read_on_the_other(thermlog):
    """A van beside a combination of five axles: whoever compares them finds every axle, and no fault."""
    van, train = AFTER, LOGS / "combination_healthy.csv"
    ran = thermlog("compare", str(van), str(train), "--report", "proof.html", "--exit-zero")
    assert ran.code == 0, ran.err
    page = Path("proof.html").read_text(encoding="utf-8")
    figures = page.split("<figure>")[1:]
    assert len(figures) == 2 * 5
    assert ["not read" in one for one in figures] == [False] * 4 + [True, False] * 3


def test_a_job_has_a_page_with_its_answers_in_words(browser, thermlog, tmp_path):
    record, place = tmp_path / "card.json", tmp_path / "card.html"
    said = ["--complaint", "pulls <b>left</b>", "--part", "=slide pins", "--found", "spin_hot=drags_evenly"]
    ran = thermlog("narrow", str(VAN), "--job", str(record), "--report", str(place), "--exit-zero", *said)
    assert ran.code == 0, ran.err
    kept = json.loads(record.read_text(encoding="utf-8"))
    with opened(browser, place, width=320) as page:
        text = page.text()
        assert not page.scrolls_sideways()
        assert (page.complaints, page.asked_for) == ([], [])
        assert "pulls <b>left</b>" in text
        assert "drags evenly" in text
        assert all(cause["name"] in text for cause in kept["causes"])
        assert "front left" in text
        assert kept["wording"] in text
        assert page.sheets("A4", tmp_path / "p.pdf") == 1
    again = thermlog("narrow", str(VAN), "--report", str(tmp_path / "b.html"), "--found", "spin_hot=free")
    assert again.code == 2
    assert "--job" in again.err


def test_the_proof_is_on_the_page_of_the_job(thermlog, tmp_path):
    record, place = tmp_path / "card.json", tmp_path / "card.html"
    asked = ["--found", "spin_hot=drags_evenly", "--exit-zero"]
    assert thermlog("narrow", str(BEFORE), "--job", str(record), *asked).code == 0
    assert thermlog("compare", str(AFTER), "--job", str(record), "--exit-zero").code == 0
    ran = thermlog("narrow", str(BEFORE), "--job", str(record), "--report", str(place), *asked)
    assert ran.code == 0, ran.err
    text = place.read_text(encoding="utf-8")
    assert "Not entered yet" not in text
    assert "even again" in text


def test_a_fleet_gives_a_page_for_every_flagged_drive_and_no_other(thermlog, tmp_path):
    folder = tmp_path / "pages"
    logs = [str(LOGS / f"{name}.csv") for name in ("saloon_healthy", "van_two_drives", "van_front_left_hot")]
    ran = thermlog("fleet", *logs, "--reports", str(folder), "--exit-zero")
    told = json.loads(thermlog("fleet", *logs, "--format", "json", "--exit-zero").out)["logs"]
    flagged = [
        one for one in told if one["urgent"] or any(a["answer"] != "no" for a in one["answers"].values())
    ]
    assert ran.code == 0, ran.err
    pages = sorted(folder.iterdir())
    assert len(pages) == len(flagged) > 1
    hashes = {one["log"]["sha256"][:16] for one in flagged}
    assert all(any(name in page.read_text(encoding="utf-8") for name in hashes) for page in pages)

    pages[0].unlink()  # the page that is there stops it before this one is written again
    again = thermlog("fleet", *logs, "--reports", str(folder))
    assert not pages[0].exists()
    assert again.code == 3
    assert "--force" in again.err
    assert thermlog("fleet", *logs, "--reports", str(pages[1])).code == 3
    assert thermlog("fleet", *logs, "--reports", str(tmp_path / "no" / "where")).code == 3


def test_names_of_pages_are_safe_everywhere():
    assert page_name(3, "../../etc/passwd") == "003_passwd.html"
    assert page_name(12, "a/\u202evan\n<b>.csv") == "012__van__b_.html"
    assert page_name(1, "..") == "001___.html"
    assert len(page_name(1, "x" * 500 + ".csv")) < 80


@pytest.mark.parametrize(
    ("left", "said"), [(98.9, "-2.1 °C"), (99.0, "-2 °C"), (100.5, "-0.5 °C"), (182.4, "+81 °C")]
)
def test_two_markers_differ_by_no_decimals_that_nobody_read(thermlog, left, said):
    """The right wheel is read first, at 101.0 °C, and both rear wheels alike."""
    rows = [
        f"{40 * n + 20},{wheel},{degc - 10 * n:.1f}"
        for n in range(4)
        for wheel, degc in (("RF", 101.0), ("LF", left), ("LR", 80.0), ("RR", 80.0))
    ]
    log = "# ambient: 18 C\ntime_s,position,temp_c\n" + "\n".join(rows) + "\n"
    Path("log.csv").write_text(log, encoding="utf-8")
    thermlog("check", "log.csv", "--trainee", "sheet.html", "--exit-zero")
    sheet = words(Path("sheet.html").read_text(encoding="utf-8"))
    assert f"The first two markers differ by {said};" in sheet
