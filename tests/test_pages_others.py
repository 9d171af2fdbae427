"""Pages of a comparison, of a job record, and of every flagged drive of a fleet."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from browser import opened
from test_pages_stop import words

from thermlog.cli.fleetreports import page_name

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
        assert {page.sheets(paper, tmp_path / "p.pdf") for paper in ("A4", "Letter")} == {1}
        assert page.page.locator(".drives .c svg").count() == 2 * len(told["axles"])
        for row, axle in zip(page.page.locator("tbody tr").all(), told["axles"], strict=True):
            cells = row.locator("td").all_inner_texts()
            for cell, gap in zip(cells, axle["differences"], strict=False):
                assert float(cell.split()[0]) == pytest.approx(gap["value_k"], abs=0.51)
            assert ("even again" in cells[-1]) == (axle["outcome"] == "repaired")
        assert "they clear nothing" in page.text(".gist")


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
