"""The road test and walk-round guide: labels, numbers of the policy, text, card, page of the docs."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from browser import opened

from thermlog.advice.guide import guide_of, guide_parts
from thermlog.reports.report_guide import guide_markdown
from thermlog.words.policy import load_policy
from thermlog.words.sentences import Page, on_page

PAGE = Path(__file__).parent.parent / "docs" / "walk-round.md"
BLOCK = re.compile(r"(<!-- guide: [^>]*-->\n)(.*?)(<!-- end of guide -->)", re.DOTALL)
LABELS = {"common practice, no source", "from memory, not checked"}


def shown(weight: str, show: str = "C"):
    return on_page(guide_of(load_policy(weight), weight), Page(unit=show))


def test_every_point_says_where_it_comes_from():
    """One of the two labels, or a published source with its section."""
    for part in guide_parts():
        for point in part.point:
            assert point.source in LABELS or re.search(r"S\d+\.\d", point.source), point


@pytest.mark.parametrize("weight", ["light", "heavy"])
def test_the_lines_of_the_stop_are_those_of_the_policy(weight):
    policy = load_policy(weight)
    (stop,) = [part for part in shown(weight) if part.stop]
    said = " ".join(point.text for point in stop.point)
    wanted = [
        policy.urgent_brake_degc,
        policy.urgent_hub_degc,
        policy.urgent_rim_degc,
        policy.urgent_caliper_degc,
    ]
    assert [float(number) for number in re.findall(r"(\d+) °C", said)] == [*wanted, policy.urgent_tyre_degc]
    assert "{" not in " ".join(point.text for part in shown(weight) for point in part.point)


def test_fahrenheit_and_classes(thermlog):
    """300 °C is 572 °F; a heavy drum wants a longer coast than a car, as the next check says it too."""
    text = thermlog("guide", "--weight", "heavy", "--show", "F").out
    assert "Above 572 °F at a brake" in text
    assert "20 to 30 min" in text
    assert "10 to 15 min" in thermlog("guide").out


def test_quiet_is_the_gate_and_the_stop(thermlog):
    text = thermlog("guide", "-q").out
    assert re.findall(r"^(\d)  ", text, re.MULTILINE) == ["1", "7"]
    assert "no source" not in text.replace("Limits", "")


def test_the_documentation_shows_the_guide(request):
    page = PAGE.read_text(encoding="utf-8")
    made = BLOCK.sub(lambda found: f"{found[1]}\n{guide_markdown(shown('light'))}\n{found[3]}", page)
    if request.config.getoption("--update-golden"):
        PAGE.write_text(made, encoding="utf-8")
    assert PAGE.read_text(encoding="utf-8") == made


@pytest.mark.parametrize(("weight", "show"), [("light", "C"), ("heavy", "F")])
def test_the_card_is_one_sheet_and_asks_for_nothing(browser, thermlog, tmp_path, weight, show):
    card = tmp_path / "card.html"
    assert (
        thermlog("guide", "--format", "html", "--weight", weight, "--show", show, "-o", str(card)).code == 0
    )
    with opened(browser, card, width=320) as seen:
        assert (seen.complaints, seen.asked_for) == ([], [])
        assert not seen.scrolls_sideways()
        assert "300 °C" in seen.text() if show == "C" else "572 °F" in seen.text()
        for paper in ("A4", "Letter"):
            assert seen.sheets(paper, tmp_path / f"{paper}.pdf") == 1
