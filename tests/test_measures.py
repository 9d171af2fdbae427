"""What a remark states by a figure and a unit: from how far, how late, after what drive, a flat tyre.

A careful technician who hears that the gun was five metres away, that the brakes stood for hours, that the
van was hardly driven or that a round was copied takes the walk again; innocent distances, times and pressures
beside a healthy log change nothing. Texts are invented; answers were written before any was run.
"""

from __future__ import annotations

import pytest
from answeredtext import CLEARED, HEAD, OPEN, TABLE, answered, with_column

HARDLY_DRIVEN = [
    "van just started", "we just set off", "just pulled away from the depot", "gerade losgefahren",
    "vient de démarrer", "appena partito", "net vertrokken", "hardly driven", "only moved across the yard",
    "drove 300 m", "drove for one minute", "drove 200 yards only", "300 m gefahren", "trajet 500 m",
    "drive too short", "nur um den Block gefahren", "2 min drive", "drove 0.3 miles", "prawie nie jechał",
]  # fmt: skip
FROM_AFAR = [
    "read from 5 m away", "read from 4 metres", "readings taken from about 3 m away", "gun 5 m away",
    "aus 4 m Entfernung gemessen", "mesuré à 3 m de distance", "medido a 4 metros", "misurato da 4 metri",
    "gemeten van 4 meter afstand", "shot from 10 ft", "measured at 3m", "temps taken from ten feet",
    "distance to wheel 4 m", "Messabstand 3 m",
]  # fmt: skip
TOO_LATE = [
    "read after 2 h standing", "nach 2 h Stand gemessen", "stood for 3 hours before reading",
    "measured 90 min after parking", "read three hours after stopping", "1 h 30 Stand vor der Messung",
    "mesuré après 2 h d'arrêt", "medido tras 3 horas parado", "misurato dopo 2 ore di sosta",
    "gemeten na 2 uur stilstand", "mätt efter 2 timmar stillastående", "zmierzone po 2 godz postoju",
    "two hours after parking", "parked 3 h ago", "two days after the drive",
    "3 h nach der Fahrt", "read next day",
]  # fmt: skip
COPIED = [
    "round 3 copied from round 2", "Runde 2 von Runde 1 übernommen", "tour 2 recopié du tour 1",
    "second round copied from the first round", "round 3: same as round 2", "vuelta 2 copiada de vuelta 1",
    "Runde 3 wie Runde 2", "giro 2 copiato dal giro 1", "round 2 pasted from round 1",
]  # fmt: skip
FROZEN = ["gun: no 3 (on hold)", "gun no. 3 on hold", "gun: GX-2, on hold", "gun no 2: display frozen"]
FLAT = ["tyre psi 0", "RR tyre 0 psi", "tyre pressure RR 0.3 bar", "Reifendruck HR 0,2 bar", "tyre RL 5 psi"]
NUMBERED = ["wheel no 4 smoking", "wheel no. 4 smoke"]
INNOCENT = [
    "gun just started", "just started raining", "noise just started last week", "engine just started",
    "driver just started his shift at six", "just left the motorway", "drove 12 km", "drive 15 min",
    "test drive 20 minutes, 10 stops", "read 30 s after the drive", "drove 300 m to the bay after 20 km",
    "last 500 m downhill", "20 km drive, coasted last 300 m", "parked 5 m from the wall", "read from 0.5 m",
    "measured from 30 cm", "gun at 0.4 m", "stopped 20 m from the ramp", "tread measured 5 mm",
    "moved 10 m forward before reading", "stood 2 h before the drive", "drove 2 h on the motorway",
    "waited 2 h for parts", "after 2 h drive read at once", "read after 5 min",
    "read 20 minutes after parking",
    "2 h labour", "odometer read after 2 h run", "stand 30 min", "Stand vor der Fahrt 2 h",
    "nach 2 h Fahrt gemessen", "gelesen nach 10 min", "tyre pressures 2.4 bar", "tyre psi 36",
    "added 5 psi to the spare", "tyres within 2 psi", "air 8 bar", "brake pressure 0 bar", "tyre tread 6 mm",
    "Reifendruck 2,5 bar", "Reifendruck 8,5 bar", "log copied from paper", "copied from tablet",
    "copy to the office", "walk-round copied to office", "round 2 same route as before",
    "round 2 taken at 240 s", "gun no 3", "gun: no 3 (new)", "van no 4", "bay no. 2", "no smoke", "no noise",
    "read from 40 inches", "tyres 315/80 R22.5", "no 2 gun used", "just checked tyres", "started at 9:00",
    "1 min between rounds", "drove 2 miles", "gun distance 0.5 m", "stopping distance 12 m",
    "driving distance 12 km", "read at once after 2 h drive",
    "drive 2 h", "driven wheels at the rear", "measured at 1 m",
]  # fmt: skip


@pytest.mark.parametrize("place", ["above", "below"])
@pytest.mark.parametrize("text", [*HARDLY_DRIVEN, *FROM_AFAR, *TOO_LATE, *COPIED, *FROZEN])
def test_readings_that_tell_nothing_of_the_brakes_clear_none(text: str, place: str) -> None:
    """Neither question is answered by no, whether the remark stands above the table or below it."""
    log = f"{HEAD}# {text}\n{TABLE}" if place == "above" else f"{HEAD}{TABLE}# {text}\n"
    assert answered(log) == OPEN


@pytest.mark.parametrize(
    ("text", "code"), [*((one, "burst") for one in FLAT), *((one, "smoke") for one in NUMBERED)]
)
def test_a_tyre_without_air_and_a_numbered_wheel_that_smokes_stop_the_vehicle(text: str, code: str) -> None:
    """A pressure below 1 bar holds up no vehicle; "no 4" is a number and denies nothing."""
    assert answered(f"{HEAD}# {text}\n{TABLE}").urgent == (code,)


@pytest.mark.parametrize("text", INNOCENT)
def test_innocent_figures_leave_a_healthy_log_healthy(text: str) -> None:
    """As a comment, and as a line below the table."""
    for log in (
        f"{HEAD}# {text}\n{TABLE}",
        f"{HEAD}{TABLE}# {text}\n",
        f"{HEAD}{TABLE}{text.replace(',', ';')}\n",
    ):
        assert answered(log) == CLEARED


@pytest.mark.parametrize(
    ("heading", "usual", "odd", "stops"),
    [
        ("tyre psi", "36", "0", True), ("tyre psi", "36", "14", True), ("tyre psi", "36", "30", False),
        ("Reifendruck (bar)", "2.4", "0.9", True), ("Reifendruck (bar)", "2.4", "1.3", False),
        ("tyre pressure", "2.4", "1.1", True),
    ],
)  # fmt: skip
def test_a_column_of_tyre_pressures_tells_a_flat_one(heading: str, usual: str, odd: str, stops: bool) -> None:
    """Below 1 bar, or below half of what the others hold (36 psi: 18, 2.4 bar: 1.2)."""
    log = with_column(heading, {"RR": odd}, usual=usual)
    assert (answered(log).urgent == ("burst",)) == stops
