"""What is asked before what: springs held off before a rod, one rung at a time, nothing made moot."""

from __future__ import annotations

import pytest
from advicecases import AIR_DISC_BUS, CAR, HEAVY_DRUMS, LIGHT_TRAILER, after, log_evidence

from thermlog.advice.choosing import askable, choose
from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.narrowing import Found, narrow
from thermlog.advice.search import advanced, begun

TABLE = evidence_table()
AIR = {"parking_here": "yes", "on_stands": "yes", "spin_hot": "drags_evenly", "rod_home": "not_home"}


def asked_on(evidence, told: dict[str, str], cause: str, *, most: int = 40) -> dict[str, str]:
    """All that is told after these answers, the others as the cause mostly shows itself."""
    found = [Found(check=check, answer=answer) for check, answer in told.items()]
    for _ in range(most):
        state = narrow(evidence, found)
        if state.check is None or not state.answers:
            break
        asked = TABLE.observations.get(state.check.id)
        answers = [one.id for one in state.answers]
        usual = answers[0] if asked is None else max(answers, key=lambda one: asked.likelihood(one, cause))
        found.append(Found(check=state.check.id, answer=usual))
    return {one.check: one.answer for one in found}


def askable_now(search) -> set[str]:
    """Names of all that may be asked, now or after what stands before it."""
    now = askable(search, ())
    return {one.key for one, able in zip(now.board.asked, now.able, strict=True) if able}


def test_a_wheel_that_must_come_off_in_any_case_comes_off_before_what_only_costs_time():
    """A cold lorry brake, its stroke right: half of that is the lining, and only a look at it confirms it."""
    order = list(asked_on(log_evidence("corner_cold", "2L", vehicle=HEAVY_DRUMS), {}, "lining_contaminated"))
    assert order[0] == "stroke"
    assert not {"hose_look", "pull", "chamber_match"} & set(order[: order.index("lining_surface")])


# What needs heat, and what outlasts it on a heavy vehicle: 20 minutes to lift and 40 to take the wheel off.
BUS = log_evidence("corner_hot", "1L", vehicle=AIR_DISC_BUS)
LORRY = log_evidence("corner_cold", "2L", vehicle=HEAVY_DRUMS)
BEFORE_THE_WHEEL_COMES_OFF = [
    (BUS, "tappet_stuck_on", "th_face", "tappets_back"),
    (BUS, "slide_pin_seized", "th_face", "pins_slide_air"),
    (LORRY, "lining_contaminated", "read_once_more", "lining_surface"),
]


@pytest.mark.parametrize(("evidence", "cause", "by_heat", "outlasts"), BEFORE_THE_WHEEL_COMES_OFF)
def test_what_only_heat_can_tell_comes_before_what_outlasts_it(evidence, cause, by_heat, outlasts):
    assert {"hot", "warm"} & set(TABLE.observations[by_heat].needs)
    assert "wheel_off" in TABLE.observations[outlasts].needs
    order = list(asked_on(evidence, {}, cause))
    assert order.index(by_heat) < order.index(outlasts)


@pytest.mark.parametrize("brake_degc", [45.0, 180.0])
@pytest.mark.parametrize("kind", ["corner_hot", "hub_hot", "corner_cold"])
def test_nothing_is_read_by_gun_once_the_brakes_are_cold(kind, brake_degc):
    """Hub, faces, tyre: cold, all read the air. 45 °C is below `warm_degc` of doing.toml, 180 °C above."""
    by_gun = {key for key, one in TABLE.observations.items() if one.source == "gun"}
    assert {"th_hub", "th_face", "hub_later", "tyre_read"} <= by_gun
    can = askable_now(begun(log_evidence(kind, "1L", brake_degc=brake_degc)))
    warm = brake_degc > 100.0
    assert bool(by_gun & can) is warm
    assert ("th_hub" in can) is (warm and kind == "corner_hot")  # of an odd hub the log tells it


def test_what_heat_tells_waits_for_checks_that_leave_it_time(monkeypatch):
    """On a car wheel and pads take a quarter of an hour: only after 45 minutes does the rule act."""
    car = log_evidence("corner_hot", "1L", vehicle=CAR)
    ruled = list(asked_on(car, {}, "piston_stuck_on"))
    monkeypatch.setitem(evidence_table().rule, "heat_rate", 9.0)  # bit/min: no check tells so much
    first = ruled.index("bleeder_frees") + 1
    assert list(asked_on(car, {}, "piston_stuck_on"))[:first] == ruled[:first]
    assert "th_face" not in asked_on(BUS, {}, "slide_pin_seized")  # the wheel of a bus comes off first then


@pytest.mark.parametrize("cause", ["spring_chamber", "cam_bushing", "hold_off_low", "adjuster_tight"])
def test_no_rod_is_unhooked_before_the_springs_are_known_to_be_held_off(cause):
    told = asked_on(log_evidence("corner_hot", "2R", vehicle=HEAVY_DRUMS), AIR, cause)
    order = list(told)
    assert "spring_caged" not in order
    for loosened in {"cam_turns", "adjuster_backed_off_air"} & set(order):
        assert order.index("pb_state_air") < order.index(loosened)
        assert told["pb_state_air"] == "full"


@pytest.mark.parametrize("kind", ["hyd_disc_fixed", "hyd_disc_floating", "hyd_drum"])
@pytest.mark.parametrize("cause", ["hose_holds_pressure", "mc_port_blocked", "rotor_drum_runout"])
def test_a_ladder_is_climbed_one_rung_at_a_time_and_only_while_it_frees(kind, cause):
    start = {"brake_kind": kind, "on_stands": "yes", "spin_hot": "drags_evenly", "visual": "nothing_seen"}
    told = asked_on(log_evidence("corner_hot", "1L", vehicle=CAR), start, cause)
    rungs = TABLE.role["ladder_fluid"]
    climbed = [check for check in told if check in rungs]
    assert climbed == list(rungs[: len(climbed)])
    assert all(told[rung] == "frees" for rung in climbed[:-1])


@pytest.mark.parametrize("cause", ["park_cable", "park_shoes", "parkbrake_axle", "drum_shoes_tight"])
def test_parking_brake_is_looked_at_turned_and_slackened_before_it_is_unhooked(cause):
    told = asked_on(
        log_evidence("corner_hot", "2L", vehicle=CAR),
        {"brake_kind": "hyd_drum", "parking_here": "yes", "on_stands": "yes"}, cause,
    )  # fmt: skip
    order = [check for check in told if check in TABLE.after["lever_unhooked"][1] or "_" in check]
    usual = ["pb_state", "spin_hot", "cable_slackened", "lever_unhooked"]
    met = [check for check in order if check in usual]
    assert met == usual[: len(met)]
    assert "pb_state" in met


HUBS = [
    log_evidence("hub_hot", "1L"),
    log_evidence("corner_hot", "1L", hub_read=True, hub_over_brake=True),
    log_evidence("hub_hot", "2R", vehicle=HEAVY_DRUMS),
]


@pytest.mark.parametrize("spun", ["smooth", "tight", "brake_drags"])
@pytest.mark.parametrize("evidence", HUBS)
def test_a_wheel_whose_hub_stands_out_is_rocked_right_after_it_was_spun(evidence, spun):
    """Common practice, no source: spin it, rock it, and where there is play rock it with the brake held."""
    told = {"on_stands": "yes", "bearing_spin": spun}
    assert choose(after(evidence, {"on_stands": "yes"})).asked.key == "bearing_spin"
    assert choose(after(evidence, told)).asked.key == "bearing_rock"
    loose = choose(after(evidence, told, bearing_rock="play"))
    assert loose.ending == "settled" or loose.asked.key == "bearing_brake_held"
    assert spun == "tight" or loose.ending is None
    for rocked in ({"bearing_rock": "no_play"}, {}):  # no play that a held brake could take away
        assert "bearing_brake_held" not in askable_now(after(evidence, told | rocked))


@pytest.mark.parametrize("evidence", HUBS[:2])
def test_play_that_the_held_brake_takes_away_is_the_bearing_however_smoothly_it_spins(evidence):
    told = {"on_stands": "yes", "bearing_spin": "smooth", "bearing_rock": "play"}
    gone = [Found(check=c, answer=a) for c, a in {**told, "bearing_brake_held": "gone"}.items()]
    stays = [Found(check=c, answer=a) for c, a in {**told, "bearing_brake_held": "stays"}.items()]
    assert (narrow(evidence, gone).ending, narrow(evidence, gone).suspects[0].cause) == (
        "settled", "wheel_bearing",
    )  # fmt: skip
    assert narrow(evidence, stays).suspects[0].cause != "wheel_bearing"  # a joint: it is not driven either
    assert any("was found bad (play)" in line for line in narrow(evidence, stays).cautions)


@pytest.mark.parametrize("answer", ["hub_alone", "hub_hotter_than_brake", "hub_not_odd"])
def test_a_hub_that_the_gun_finds_odd_at_the_wheel_has_its_bearing_tried_next(answer):
    asked = choose(after(log_evidence("corner_hot", "1L"), {"on_stands": "yes", "th_hub": answer})).asked.key
    assert (asked == "bearing_spin") is (answer != "hub_not_odd")


@pytest.mark.parametrize(
    ("told", "kind", "leak"),
    [
        ({"gate_fluid": "low"}, "hyd_disc_floating", "leak"),
        ({"gate_fluid": "low"}, "hyd_drum", "leak"),
        ({"gate_pedal": "sinks", "gate_fluid": "right"}, "hyd_disc_floating", "leak"),
        ({"gate_fluid_surge": "low"}, "surge_hyd", "leak_surge"),
    ],
)
@pytest.mark.parametrize("verdict", ["corner_cold", "corner_hot"])
def test_a_leak_is_looked_for_before_a_wheel_is_raised_where_fluid_was_lost(verdict, told, kind, leak):
    """While it stands on its wheels a lamp and a helper find what is wet; also inside of wheel and tyre."""
    vehicle = LIGHT_TRAILER if kind == "surge_hyd" else CAR
    evidence = log_evidence(verdict, "1L", vehicle=vehicle)
    choice = choose(after(evidence, {"brake_kind": kind, **told}))
    assert (choice.asked.key, choice.wanted) == (leak, None)
    assert "inside of wheel and tyre" in TABLE.observations[leak].how
    sound = {check: next(iter(TABLE.observations[check].answers)) for check in told}
    assert choose(after(evidence, {"brake_kind": kind, **sound})).asked.key != leak


FREES = {
    "spin_hot", "frees_cold", "frees_jerk", "lets_go", "lets_go_air", "cable_slackened", "lever_unhooked",
    "motor_home", "adjuster_backed_off", "adjuster_backed_off_air", "disc_backed_off", "rods_unhooked",
    "bleeder_frees", "hose_outlet_frees", "master_frees", "unplug", "battery_off", "pin_pushed_in",
}  # fmt: skip


@pytest.mark.parametrize("kind", sorted(TABLE.kinds))
@pytest.mark.parametrize("verdict", ["corner", "axle"])
def test_a_brake_that_does_nothing_is_never_asked_whether_it_drags_or_frees(kind, verdict):
    """Neither at first nor as what stands before opening a line: whether it grips is asked instead."""
    vehicle = {"light": CAR, "heavy": HEAVY_DRUMS, "trailer": LIGHT_TRAILER}[TABLE.kinds[kind].group]
    corners = ("2L",) if verdict == "corner" else ("2L", "2R")
    told = {"brake_kind": kind, "parking_here": "yes"}
    for sign, met in (("cold", False), ("hot", True)):
        search = after(log_evidence(f"{verdict}_{sign}", *corners, vehicle=vehicle), told)
        before = {one.key for some in askable(search, ()).before.values() for one in some}
        assert bool(FREES & (askable_now(search) | before)) is met


@pytest.mark.parametrize(
    ("vehicle", "told", "made"),
    [(CAR, {}, "lets_go"), (HEAVY_DRUMS, {"pb_state_air": "full"}, "lets_go_air")],
)
@pytest.mark.parametrize("felt", ["free", "still_drags_cold"])
def test_a_hot_brake_that_turns_freely_cold_is_made_to_drag_again(vehicle, told, made, felt):
    """Whether it lets go at once or slowly parts a hose from a piston before anything is taken apart."""
    evidence = log_evidence("corner_hot", "1L", vehicle=vehicle, brake_degc=45.0)
    found = {"parking_here": "no", **told} if vehicle is HEAVY_DRUMS else told
    asked = choose(after(evidence, {**found, "on_stands": "yes", "frees_cold": felt})).asked.key
    assert (asked == made) is (felt == "free")


HEAT_ONLY = {"foot_or_assist", "when_drags", "tyre_look", "bearing_spin", "bearing_rock", "frees_jerk"}


@pytest.mark.parametrize("vehicle", [CAR, HEAVY_DRUMS])
def test_a_brake_that_does_nothing_is_not_asked_what_makes_one_hot(vehicle):
    """Nobody asks after a soft tyre, a growl or a foot on the pedal because a brake stayed cold."""
    for sign, asked in (("cold", set()), ("hot", HEAT_ONLY)):
        can = askable_now(begun(log_evidence(f"corner_{sign}", "1L", vehicle=vehicle)))
        assert can & HEAT_ONLY == asked


@pytest.mark.parametrize(
    ("told", "rolled"),
    [
        ({}, False),
        ({"gate_pedal": "holds"}, True),
        ({"gate_pedal": "sinks"}, False),
        ({"gate_pedal": "holds", "bearing_spin": "rough"}, False),
        ({"gate_pedal": "holds", "leak": "wet"}, False),
        ({"gate_pedal": "holds", "on_stands": "no"}, True),
        ({"gate_pedal": "holds", "on_stands": "yes"}, False),
    ],
)
def test_nothing_is_rolled_onto_a_bench_before_its_pedal_was_found_to_hold(told, rolled):
    """A bench needs the vehicle to move: not with a sinking pedal, a leak, a bad bearing, or on stands."""
    search = begun(log_evidence("corner_cold", "1L", vehicle=CAR))
    for check, answer in told.items():
        search = advanced(search, check, answer)
    now = askable(search, ())
    k = now.board.at["roller_force"]
    assert bool(now.able[k] and "roller_force" not in now.before) is rolled
    drags = advanced(begun(log_evidence("corner_hot", "1L", vehicle=CAR)), "gate_pedal", "holds")
    assert not askable(drags, ()).able[k]


@pytest.mark.parametrize(
    ("brake", "cause"),
    [
        ("hyd_disc_floating", "piston_stuck_off"),
        ("hyd_disc_floating", "supply_blocked"),
        ("hyd_disc_fixed", "park_lever"),
        ("hyd_disc_fixed", "park_motor"),
    ],
)
def test_a_piston_is_tried_with_the_bleeder_shut_before_it_is_tried_open(brake, cause):
    """A piston that moves with the line shut needs no line opened."""
    start = {"brake_kind": brake, "on_stands": "yes", "spin_hot": "drags_evenly"}
    told = asked_on(log_evidence("corner_hot", "1L", vehicle=CAR), start, cause)
    order = list(told)
    assert "piston_back_open" in order
    assert order.index("piston_back_shut") < order.index("piston_back_open")
    assert told["piston_back_shut"] == "stiff"


def test_every_check_that_stands_before_another_can_be_asked_without_it():
    """No circle: what stands before a check does not wait for that check."""
    orders = {key: {one for group in TABLE.after.get(key, ()) for one in group} for key in TABLE.after}
    for key, before in orders.items():
        assert all(key not in orders.get(one, ()) for one in before)


@pytest.mark.parametrize(
    ("cause", "vehicle", "rungs"),
    [
        ("hose_holds_pressure", CAR, ("hose_outlet_frees", "hose_inlet_frees")),
        ("abs_valve_holds", CAR, ("hose_inlet_frees", "modulator_frees")),
        ("abs_air_holds", HEAVY_DRUMS, ("gauge_modulator", "gauge_relay")),
    ],
)
def test_what_two_rungs_enclose_is_not_named_before_both_were_climbed(cause, vehicle, rungs):
    """A hose is not condemned because its lower end freed the wheel: the next point up the line decides."""
    said = {} if vehicle is HEAVY_DRUMS else {"brake_kind": "hyd_disc_floating"}
    evidence = log_evidence("corner_hot", "1L", vehicle=vehicle)
    told = asked_on(evidence, {**said, "on_stands": "yes", "spin_hot": "drags_evenly"}, cause)
    found = [Found(check=check, answer=answer) for check, answer in told.items()]
    state = narrow(evidence, found)
    assert (state.suspects[0].cause, state.ending) == (cause, "settled")
    # An air valve near the chamber may be gauged from either end; a rung that is moot is not made.
    assert set(rungs) <= set(told) or vehicle is HEAVY_DRUMS
    if vehicle is CAR:
        first = [one for one in found if one.check != rungs[1]]
        assert narrow(evidence, first).ending is None
        assert rungs[1] in asked_on(evidence, {one.check: one.answer for one in first}, cause)


FREEING = {
    "piston_back_shut",
    "each_piston",
    "piston_draws_back",
}  # a piston that was moved need not drag any more


@pytest.mark.parametrize("kind", ["hyd_disc_fixed", "hyd_disc_floating"])
@pytest.mark.parametrize(
    "cause",
    ["piston_stuck_on", "one_piston_stuck", "hose_holds_pressure", "slide_pin_seized", "rotor_drum_runout"],
)
def test_what_needs_a_dragging_wheel_is_asked_before_a_piston_is_moved(kind, cause):
    """As a workshop does it, common practice, no source: look, turn, open the bleeder while it drags.

    A stiff pin, seen with the wheel off, names a seized pin before any piston is moved.
    """
    start = {"brake_kind": kind, "on_stands": "yes", "spin_hot": "drags_evenly"}
    order = list(asked_on(log_evidence("corner_hot", "1L", vehicle=CAR), start, cause))
    moved = min((order.index(check) for check in FREEING & set(order)), default=len(order))
    if (cause, kind) == ("slide_pin_seized", "hyd_disc_floating"):
        assert "pins_slide" in order
        assert moved == len(order)
    else:
        assert moved == len(order) or {"visual", "bleeder_frees"} & set(order)
    for first in {"visual", "bleeder_frees"} & set(order):
        assert order.index(first) < moved


@pytest.mark.parametrize("cause", ["park_cable", "park_shoes", "drum_shoes_tight"])
def test_a_cable_is_slackened_before_shoes_are_backed_off(cause):
    start = {
        "brake_kind": "hyd_drum",
        "parking_here": "yes",
        "on_stands": "yes",
        "pb_state": "not_fully_released",
    }
    order = list(asked_on(log_evidence("corner_hot", "2L", vehicle=CAR), start, cause))
    assert "cable_slackened" in order
    assert "adjuster_backed_off" not in order[: order.index("cable_slackened")]
