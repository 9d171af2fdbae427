"""A brake that was taken apart, a rod under load, a leak found on the way: what the search then says."""

from __future__ import annotations

import pytest
from advicecases import CAR, HEAVY_DRUMS, log_evidence

from thermlog.advice.choosing import askable
from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.narrowing import Found, narrow
from thermlog.advice.reassembly import put_together
from thermlog.advice.search import advanced, begun, each_min

TABLE = evidence_table()
SETUP = TABLE.setup_min


def after(evidence, **told: str):
    search = begun(evidence)
    for check, answer in told.items():
        search = advanced(search, check, answer)
    return search


def asked(search, check: str):
    board = askable(search, ()).board
    return put_together(board.asked[board.at[check]], search.situation, search.reached).asked


COLD_DRUM = log_evidence("corner_cold", "2L", vehicle=CAR)
DRUM_OFF = {"brake_kind": "hyd_drum", "on_stands": "yes", "lining_surface": "clean"}
PUT_ON = sorted(key for key, one in TABLE.observations.items() if {"applies", "turns"} & set(one.needs))


@pytest.mark.parametrize("check", PUT_ON)
def test_an_open_brake_is_put_together_before_it_is_put_on_or_its_wheel_turned(check):
    vehicle, kinds = (CAR, "hyd_drum"), TABLE.observations[check].applies_to
    kind = "hyd_drum" if "hyd_drum" in kinds else kinds[0]
    heavy = TABLE.kinds[kind].group == "heavy"
    search = begun(log_evidence("corner_cold", "2L", vehicle=HEAVY_DRUMS if heavy else vehicle[0]))
    search = advanced(search, "brake_kind", kind) if TABLE.kinds[kind].group != "trailer" else search
    assert "back on first" not in asked(search, check).ask
    search = advanced(search, "lining_surface", "clean")
    said = asked(search, check)
    assert "back on first" in said.ask
    assert ("the wheel too" in said.ask) is ("turns" in said.needs)
    assert "on again before the brake is put on" in said.safety


@pytest.mark.parametrize(
    "check", ["cylinder_moves", "piston_out", "lining_surface", "pins_slide", "cylinder_boot"]
)
def test_what_is_done_at_the_open_brake_is_asked_as_it_is(check):
    search = after(COLD_DRUM, lining_surface="clean")
    assert asked(search, check) == TABLE.observations[check]


def test_putting_together_is_counted_once_and_the_wheel_comes_off_anew():
    """By hand: 5 minutes on a light vehicle, 8 for the wheel; one pedal check closes the brake."""
    search = after(COLD_DRUM, **DRUM_OFF)
    board = askable(search, ()).board
    pedal, grips, look = (board.at[key] for key in ("pedal_feel", "hold_grips", "cylinder_boot"))
    assert each_min(search)[pedal] == TABLE.observations["pedal_feel"].minutes + SETUP["together_light"]
    assert each_min(search)[grips] == TABLE.observations["hold_grips"].minutes + SETUP["together_light"]
    assert each_min(search)[look] == TABLE.observations["cylinder_boot"].minutes
    turned = advanced(search, "hold_grips", "turns")
    assert each_min(turned)[pedal] == TABLE.observations["pedal_feel"].minutes
    assert each_min(turned)[look] == TABLE.observations["cylinder_boot"].minutes + SETUP["wheel_off_light"]


def test_every_card_that_leaves_a_brake_open_warns_of_whoever_may_work_it():
    for one in TABLE.observations.values():
        if "wheel_off" in one.needs:
            assert ("Nobody works the brake" in one.safety) is ("helper" not in one.needs)


LOADED = {
    "brake_kind": "air_drum_scam",
    "pb_state_air": "full",
    "on_stands": "yes",
    "spin_hot": "drags_evenly",
}


@pytest.mark.parametrize(
    ("told", "able"),
    [
        ({"rod_home": "home"}, True),
        ({"rod_home": "not_home"}, False),
        ({"rod_home": "home", "leak_spring": "leaks"}, False),
        ({"rod_home": "not_home", "rod_home_again": "home"}, False),
        ({"rod_home": "not_home", "hold_off": "full"}, False),
        ({"rod_home": "not_home", "spring_caged": "no_change"}, True),
    ],
)
def test_no_rod_is_unhooked_while_a_spring_may_press_on_it(told, able):
    """A full dash gauge says nothing of this chamber."""
    search = after(
        log_evidence("corner_hot", "2L", vehicle=HEAVY_DRUMS), parking_here="yes", **LOADED, **told
    )
    now = askable(search, ())
    for check in ("cam_turns", "adjuster_backed_off_air"):
        assert bool(now.able[now.board.at[check]]) is able
    never = askable(after(log_evidence("corner_hot", "2L", vehicle=HEAVY_DRUMS), **LOADED), ("rod_home",))
    assert not never.able[never.board.at["cam_turns"]]
    assert "spring_caged" not in {one.key for some in now.before.values() for one in some}


def is_of_these(check: str) -> bool:
    """Of a car's drum or of a lorry's; the table is the same for other vehicles."""
    asked = TABLE.observations[check]
    return bool({"hyd_drum", "air_drum_scam"} & set(asked.applies_to)) and "trailer" not in asked.needs


LOST = [one.split("=") for one in TABLE.stops["lost"] if is_of_these(one.split("=")[0])]


@pytest.mark.parametrize(("check", "answer"), LOST)
def test_what_is_lost_is_said_to_the_end_of_the_search(check, answer):
    kinds = TABLE.observations[check].applies_to
    vehicle = CAR if "hyd_drum" in kinds else HEAVY_DRUMS
    evidence = log_evidence("corner_cold", "2L", vehicle=vehicle)
    known = [Found(check="brake_kind", answer="hyd_drum")] if vehicle is CAR else []
    first = Found(check=check, answer=answer)
    other = next(one for one in TABLE.observations[check].answers if one != answer)
    for found in ([first], [first, Found(check=f"{check}_again", answer=other)]):
        said = narrow(evidence, [*known, *found]).cautions
        assert any("Do not drive it (found here" in one for one in said)
    good = narrow(evidence, [*known, Found(check=check, answer=other)]).cautions
    assert other == "high_and_hard" or not any("found here" in one for one in good)


def test_a_wheel_is_turned_before_it_comes_off_and_fluid_looked_at_before_it_is_raised():
    hot, cold = (log_evidence(f"corner_{sign}", "1L", vehicle=CAR) for sign in ("hot", "cold"))
    before = askable(begun(hot), ()).before
    assert "spin_hot" in [one.key for one in before["pads_slide"]]
    cooled = after(log_evidence("corner_hot", "1L", vehicle=CAR, brake_degc=320.0), cool_first="cooled")
    assert "frees_cold" in [one.key for one in askable(cooled, ()).before["pads_slide"]]
    assert "gate_fluid" in [one.key for one in askable(begun(cold), ()).before["hold_grips"]]
    assert {"stood", "frees_jerk"} <= {one.key for one in before["bleeder_frees"]}
    assert {"stood", "frees_jerk"} <= {one.key for one in before["piston_back_shut"]}
