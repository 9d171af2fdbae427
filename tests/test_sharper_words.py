"""The line below a "no": what would sharpen it, in the unit of the page."""

from __future__ import annotations

import pytest
from judgecases import EXACT, VAN_K, walked
from msgspec.structs import replace
from readcases import read

from thermlog.judging.diagnose import judge
from thermlog.judging.settings import Settings
from thermlog.judging.tell import tell_all
from thermlog.pages.report import answer_boxes
from thermlog.reports.limitwords import sharper_words
from thermlog.reports.report_text import report
from thermlog.words.findings import Answer
from thermlog.words.policy import load_policy
from thermlog.words.sharpening import Sharper

ROUND = Sharper(by="round", why_not="hardly_less")
HOTTER = Sharper(by="hotter", why_not="hardly_less")
PAINT = Sharper(by="paint", corner="1R", rise_k=31.0, torque_nm=10.2)
COAST = Sharper(by="coast", corner="1R", rise_k=15.0, torque_nm=3.25)
MARK = "the same matt black mark on both sides, off the friction faces"


@pytest.mark.parametrize(
    ("steps", "show", "line"),
    [
        (
            (ROUND, HOTTER, PAINT, COAST),
            "C",
            f"sharper with {MARK} (31 °C, 10 N·m) or a drive without braking (15 °C, 3.2 N·m); "
            "hardly with one more round or a drive half as hot again",
        ),
        ((COAST,), "F", "sharper with a drive without braking (27 °F, 3.2 N·m)"),
        ((Sharper(by="paint", corner="1L", lost_share=0.413),), "C", f"sharper with {MARK} (41 %)"),
        ((ROUND, Sharper(by="hotter", why_not="not_driven")), "C", "hardly sharper with one more round"),
        ((Sharper(by="paint", why_not="surfaces_known"),), "C", ""),
        ((), "C", ""),
    ],
)
def test_what_helps_is_named_with_its_limit_and_the_rest_by_name(steps, show, line):
    """Kelvin in degrees of the page: 15 K are 27 °F; what is left out for another reason is not spoken of."""
    assert sharper_words(Answer(answer="no", sharper=steps), show) == line


def test_text_and_page_say_it_below_each_no():
    judged = judge(walked(VAN_K, replace(EXACT, rounds=4)), Settings())
    (told,) = tell_all(judged, [0], curves=False, sharper=True)
    drag, idle = told.answers.drag, told.answers.idle
    assert (drag.answer, idle.answer) == ("no", "no")
    text = report(told, load_policy("light"))
    boxes = answer_boxes(told)
    for answer, box in zip((drag, idle), boxes, strict=False):
        line = sharper_words(answer, "C")
        assert f"    - {line}\n" in text
        assert box.sharper is not None
        assert (box.sharper.c.lower(), box.sharper.f.lower()) == tuple(
            sharper_words(answer, show).lower() for show in ("C", "F")
        )
    assert boxes[2].sharper is None  # of the heat of the whole vehicle nobody asks


HUB_LOG = """# ambient: 15 C
# axles: trailer trailer
# brakes: drum drum
# drive: normal
since_parked_s,position,spot,temp_c
30,1L,drum,62
60,1R,drum,60
80,2L,drum,64
100,2R,drum,63
330,1L,drum,58
360,1R,drum,56
380,2L,drum,60
400,2R,drum,59
"""


@pytest.mark.parametrize(("hub", "offered"), [("", True), ("410,1L,hub,95\n430,1L,hub,94\n", False)])
def test_beside_a_hub_that_is_watched_nobody_is_sent_on_a_drive(hub, offered):
    """The caution says that the bearing is looked at before the vehicle moves again."""
    (told,) = tell_all(judge(read(HUB_LOG + hub).readings, Settings()), [0], curves=False, sharper=True)
    assert told.answers.drag.answer == "no"
    drives = {one.by: one.why_not for one in told.answers.drag.sharper if one.by in {"hotter", "coast"}}
    assert len(drives) == 2
    assert ("not_driven" not in drives.values()) is offered


def test_beside_a_brake_that_is_watched_nobody_is_sent_on_a_drive_either():
    """Half its share of heat: it is tried standing first."""
    judged = judge(walked(VAN_K | {"1R": 0.42 * VAN_K["1R"]}, replace(EXACT, rounds=4)), Settings())
    (told,) = tell_all(judged, [0], curves=False, sharper=True)
    assert told.answers.idle.suspects
    assert {one.why_not for one in told.answers.drag.sharper if one.by != "round"} <= {"not_driven"}
