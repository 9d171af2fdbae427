"""Sides read at different spots, axles described and not read, three readings of which one disagrees."""

from __future__ import annotations

import pytest
from judgecases import told_text

from thermlog.reports.summary import headline
from thermlog.words.findings import Diagnosis

FRONT = "19,FL,81.6 35,FR,82.2 288,FR,67.4 302,FL,67.6 487,FL,58.8 505,FR,60.1"


def seen(rows: str, about: str = "") -> Diagnosis:
    lines = sorted([*FRONT.split(), *rows.split()], key=lambda row: float(row.split(",")[0]))
    table = "\n".join(lines).replace("_", " ")
    return told_text(f"# ambient: 18 C\n{about}time_s,position,temp_c\n{table}\n")


@pytest.mark.parametrize("hot", [True, False])
def test_sides_read_at_different_spots_are_said_to_be_so(hot: bool) -> None:
    """Both were read, three times each: neither "not read" nor "one reading", and the spots are asked for."""
    disc = ("107.3", "92.1", "74.1") if hot else ("57", "50", "43")
    one = seen(
        f"54,RL,58.7 268,RL,50 518,RL,43.4 72,RR_disc,{disc[0]} 254,RR_disc,{disc[1]} 535,RR_disc,{disc[2]}"
    )
    for answer in (one.answers.drag, one.answers.idle):
        codes = {reason.code for reason in answer.reasons}
        assert answer.answer in {"watch", "cannot_tell"}
        assert "spots_differ" in codes
        assert not codes & {"not_read", "single_reading"}
        assert answer.decides[0].code == "name_spots"
    assert (one.answers.drag.answer == "watch") is hot


def test_an_axle_described_and_not_read_is_named_by_its_number() -> None:
    """Beside FL, FR, RL and RR, which are axles 1 and 2."""
    one = seen("54,RL,58.7 72,RR,57 254,RR,50 268,RL,50 518,RL,43.4 535,RR,42.2", "# axles: 3\n")
    assert "axle 3 left and axle 3 right: not read" in headline(one)
    assert "rear" not in headline(one)


def test_three_readings_that_disagree_are_not_called_one() -> None:
    one = seen("54,RL,58.7 72,RR,57 254,RR,90 268,RL,50 518,RL,43.4 535,RR,80")
    (reason,) = (one for one in one.answers.drag.reasons if one.code == "single_reading")
    assert reason.numbers == {"readings": 3.0}
    assert one.answers.drag.answer == "watch"
