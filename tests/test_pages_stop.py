"""What stops a vehicle, or leaves it open, stands on every page; the owner is sent where the order is."""

from __future__ import annotations

import html
import re
from pathlib import Path

import pytest
from browser import opened

LOGS = Path(__file__).parent.parent / "sample_logs"
# its brakes are even: nothing but the line added counts
HEALTHY = (LOGS / "saloon_healthy.csv").read_text(encoding="utf-8")
PAGES = ("report", "customer", "trainee")
SEEN = ("smoke at RF", "glow at LR", "flame", "sparks at RR", "burst tyre at LF", "fluid leak at LF",
        "locked wheel at RR", "smell", "soft pedal", "grinding at RL", "brake warning lamp")  # fmt: skip


@pytest.fixture
def pages(thermlog, tmp_path):
    """Text of each page of a log, and of the four lines."""

    def made(log: str) -> dict[str, str]:
        place = tmp_path / "log.csv"
        place.write_text(log, encoding="utf-8")
        files = {kind: tmp_path / f"{kind}.html" for kind in PAGES}
        wanted = [part for kind, file in files.items() for part in (f"--{kind}", str(file))]
        ran = thermlog("check", str(place), "-q", "-f", *wanted)
        return {kind: words(file.read_text(encoding="utf-8")) for kind, file in files.items()} | {
            "text": ran.out
        }

    return made


def words(page: str) -> str:
    """What a page says, drawings and scripts left out."""
    bare = re.sub(r"<(style|script|svg).*?</\1>", " ", page, flags=re.DOTALL)
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", bare)).split())


@pytest.mark.parametrize("sight", SEEN)
def test_what_stops_the_vehicle_stands_on_every_page(pages, sight):
    made = pages(f"{HEALTHY}# seen: {sight}\n")
    stop = re.search(r"STOP DRIVING: ([^;\n]+)", made["text"])
    assert stop is not None
    for kind in ("report", "trainee"):
        assert f"STOP DRIVING: {stop[1]}" in made[kind]
    assert f"leave the vehicle where it is: {stop[1]}" in made["customer"]


def test_the_trainee_is_shown_the_axle_that_stops_the_vehicle(pages):
    # the smoke stands at the front, the widest gap of two even axles behind
    assert "saloon , front" in pages(f"{HEALTHY}# seen: smoke at RF\n")["trainee"]
    assert "saloon , rear" in pages(HEALTHY)["trainee"]


def test_the_trainee_is_shown_what_is_called_before_what_is_watched(thermlog, tmp_path):
    """Axle 3 left is watched, axle 4 right drags: the sheet is about the brake that drags."""
    log, sheet = tmp_path / "train.csv", tmp_path / "sheet.html"
    made = ("--class", "combination5_drum", "--fault", "corner_hot", "--corner", "4R", "--seed", "3")
    thermlog("simulate", *made, "-o", str(log))
    told = thermlog("check", str(log), "-q", "--trainee", str(sheet)).out
    assert "axle 4 right drags; axle 3 left may, too" in told
    assert "drums , axle 4" in words(sheet.read_text(encoding="utf-8"))


@pytest.mark.parametrize(
    ("line", "noted", "step"),
    [
        ("# seen: pulls left", "the vehicle pulls left", "Look at the brakes"),
        ("# seen: ABS lamp", "the lamp of the ABS is lit", "Look at the brakes"),
        ("# seen: mist at RR", "mist", "look where something was noticed"),
    ],
)
def test_the_owner_is_told_what_leaves_it_open_and_is_sent_on_no_drive_for_it(pages, line, noted, step):
    made = pages(f"{HEALTHY}{line}\n")
    assert "cannot be told" in made["text"]
    assert "could not tell" in made["customer"]
    assert noted in made["customer"]
    assert step in made["customer"]
    assert "after a drive of the right kind" not in made["customer"]
    assert "cannot be told" in made["trainee"]  # even as its axle is, the vehicle is not cleared


def test_a_wheel_that_was_not_read_is_read_and_not_driven_for(pages):
    unread = "\n".join(line for line in HEALTHY.splitlines() if ",RL," not in line)
    assert "Measure every wheel again" in pages(f"{unread}\n")["customer"]


def test_a_time_of_day_is_shown_as_people_write_it(pages):
    rows = "14:03:30,LF,77\n14:03:48,RF,76\n14:04:06,RR,67\n14:04:25,LR,66\n"
    shown = pages(f"# ambient: 18 C\ntime,position,temp_c\n{rows}")["report"]
    assert "14:03:30" in shown
    assert "T14:03" not in shown


@pytest.mark.parametrize("width", [320, 390, 770, 1000, 1280])
def test_the_finding_of_each_axle_is_in_sight_on_any_screen(browser, pages, tmp_path, width):
    pages(
        "\n".join(line for line in HEALTHY.splitlines() if ",RL," not in line)
    )  # "cannot tell" is the longest
    with opened(browser, tmp_path / "report.html", width=width) as shown:
        assert not shown.scrolls_sideways()
        frame = shown.page.locator(".lr").locator("..").bounding_box()
        cells = [one.bounding_box() for one in shown.page.locator(".lr td:last-child .st").all()]
    assert len(cells) == 2
    assert frame is not None
    for cell in cells:
        assert cell is not None
        assert frame["x"] <= cell["x"]
        assert cell["x"] + cell["width"] <= frame["x"] + frame["width"] + 0.5
