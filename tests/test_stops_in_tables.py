"""What stops a vehicle is marked in the table of the text as it is in the headline; the log is invented."""

from __future__ import annotations

from judgecases import told_text

from thermlog.reports.report_text import report
from thermlog.words.policy import load_policy

HOT_TYRE = """# ambient: 18 C
time_s,position,spot,temp_c
60,FL,rotor,90
75,FL,tyre,40
90,FR,rotor,88
105,FR,tyre,41
120,RL,rotor,60
135,RL,tyre,118
150,RR,rotor,59
165,RR,tyre,39
180,RR,rotor,57
195,RL,rotor,57
210,FR,rotor,84
225,FL,rotor,85
"""


def test_a_tyre_that_stops_the_vehicle_is_not_called_even_in_the_table() -> None:
    found = told_text(HOT_TYRE)
    lines = report(found, load_policy(found.policy.name)).splitlines()
    (hot,) = (line for line in lines if line.split()[:4] == ["rear", "left", "tyre", "outer"])
    (cool,) = (line for line in lines if line.split()[:4] == ["rear", "right", "tyre", "outer"])

    assert [one.spot for one in found.urgent] == ["tyre_outer"]
    assert hot.endswith("!! STOP")
    assert cool.endswith("= even")
