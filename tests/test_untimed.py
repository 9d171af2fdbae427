"""Logs without times: kept, shown, and never judged as if they were timed."""

import pytest
from judgecases import tell

from thermlog.fitting.fit import NO_READING
from thermlog.fitting.stack import UNTIMED
from thermlog.judging.diagnose import judge
from thermlog.judging.settings import Settings
from thermlog.reading.read import read_content

ROUNDS = b"""# ambient: 18 C
wheel,round 1,round 2,round 3
FL,120 C,100 C,90 C
FR,80 C,70 C,65 C
RL,60 C,55 C,50 C
RR,61 C,54 C,50 C
"""


@pytest.fixture(scope="module")
def judged():
    return judge(read_content(ROUNDS, file="rounds.csv").readings, Settings())


def test_no_reading_votes_and_none_is_lost(judged):
    """All twelve readings are kept and marked as without a time."""
    assert judged.readings.rows == 12
    assert set(judged.fits.left_out.tolist()) == {UNTIMED}
    assert set(judged.fits.state.ravel().tolist()) == {NO_READING}


def test_verdict_is_cannot_tell_and_names_the_cure(judged):
    """Both axles: no times, and what to write; no list of twelve readings that do not vote."""
    found = tell(judged, 0, curves=True)

    assert [axle.verdict for axle in found.axles] == ["cannot_tell", "cannot_tell"]
    assert all([reason.code for reason in axle.reasons] == ["no_times"] for axle in found.axles)
    assert found.answers.drag.answer == found.answers.idle.answer == "cannot_tell"
    assert "write_times" in {reason.code for reason in found.answers.drag.decides}
    assert found.pattern.kind == "cannot_tell"
    assert [corner.readings for corner in found.corners] == [3, 3, 3, 3]
    assert not any("does not vote" in note or "did not settle" in note for note in found.notes)
    assert found.curves == ()


def test_chart_without_times_is_drawn(judged):
    """A chart of such a log shows words instead of curves."""
    from thermlog.charts.chart import figure_of

    assert figure_of(tell(judged, 0, curves=True)).axes
