"""Charts asked for at the command line: for a phone, and without the finding."""

import re
from pathlib import Path

from logs import DRAGGING_K, write_log

HERE = Path()


def test_a_chart_for_a_phone_is_narrow_and_a_neutral_one_says_nothing_of_the_finding(thermlog):
    log = write_log(HERE, "hot.csv", DRAGGING_K)
    for name, more in (("wide", ()), ("narrow", ("--chart-width", "narrow")), ("mute", ("--chart-neutral",))):
        assert thermlog("check", log, "--chart", f"{name}.svg", *more).code == 1
    wide, narrow, mute = (
        Path(f"{name}.svg").read_text(encoding="utf-8") for name in ("wide", "narrow", "mute")
    )
    sizes = [
        [float(one) for one in re.findall(r'viewBox="0 0 (\S+) (\S+)"', svg)[0]] for svg in (wide, narrow)
    ]
    assert sizes[0][0] > 2.0 * sizes[1][0]
    assert sizes[1][0] < 280.0  # points: letters of 9 points are 12 dots high at 360 dots across
    assert all(word in wide and word in narrow for word in ("HOT", "hatched", "hot.csv"))
    assert not any(word in mute for word in ("HOT", "hatched", "hot.csv", "drag"))
