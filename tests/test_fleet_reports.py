"""Pages of a depot's drives say what its list says, whatever else was read and remembered with them."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import Any

import pytest
from test_pages_stop import words

LOGS = Path(__file__).parent.parent / "sample_logs"
SMOKE = "# seen: smoke\n"


def log(day: str, front_left: float, above: str = "") -> str:
    """Two rounds of one vehicle."""
    warm = {"FL": front_left, "FR": 92.0, "RL": 60.0, "RR": 61.0}
    rows = [
        f"{20 + 60 * n + 10 * k},{wheel},{degc - 3 * n}\n"
        for n in range(2)
        for k, (wheel, degc) in enumerate(warm.items())
    ]
    head = f"# vehicle: unit 7\n# date: {day} 08:00\n# ambient: 15 C\n{above}time_s,position,temp_c\n"
    return head + "".join(rows)


def judged(thermlog: Any, *more: str) -> tuple[list[dict[str, Any]], list[str]]:
    """Drives as the list has them in JSON, and the words of every page, by name."""
    ran = thermlog("fleet", ".", "--reports", "pages", "--exit-zero", "--format", "json", *more)
    assert ran.code == 0, ran.err
    pages = sorted(Path("pages").iterdir())
    return json.loads(ran.out)["logs"], [words(page.read_text(encoding="utf-8")) for page in pages]


def said(told: dict[str, Any]) -> list[str]:
    """Probabilities of both questions as a page words them, those that are not next to nothing or sure."""
    shares = [told["answers"][question]["p"] for question in ("drag", "idle")]
    return [f"probability {round(100 * p)} %" for p in shares if p is not None and 0.02 < p < 0.98]


@pytest.mark.parametrize("front_left", [90.0, 190.0])
@pytest.mark.parametrize("jobs", ["1", "2"])
def test_a_page_knows_of_the_drives_that_were_judged_with_it(thermlog, front_left, jobs):
    """A vehicle that smoked a week before: even on the second day, or with a brake that drags."""
    Path("a.csv").write_text(log("2026-03-02", front_left, SMOKE), encoding="utf-8")
    Path("b.csv").write_text(log("2026-03-09", front_left), encoding="utf-8")
    told, pages = judged(thermlog, "--history", "h.db", "--jobs", jobs)
    assert len(pages) == len(told) == 2
    (later,) = [one for one in told if one["log"]["file"].endswith("b.csv")]
    (page,) = [page for page in pages if "2026-03-09 08:00:00" in page]
    assert "stopped on 2026-03-02 (smoke)" in page
    assert [one for one in said(later) if one not in page] == []


def test_every_drive_of_a_file_has_its_own_page(thermlog):
    shutil.copy(LOGS / "van_two_drives.csv", "two.csv")
    told, pages = judged(thermlog)
    second, first = pages  # in the order of the names: "-2" stands before ".html"
    assert sorted(page.name for page in Path("pages").iterdir()) == ["001_two-2.html", "001_two.html"]
    for drive, page in zip(told, (first, second), strict=True):
        assert said(drive)
        assert [one for one in said(drive) if one not in page] == []
