"""Findings that a mechanic knows to speak for one cause do so, whatever usual answers stand beside them."""

from __future__ import annotations

import pytest
from advicecases import HEAVY_DRUMS, LIGHT_TRAILER, after, log_evidence

from thermlog.advice.board import turns_free
from thermlog.advice.choosing import askable, choose
from thermlog.advice.closing import answered_against, is_enclosed, is_rung
from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.narrowing import Found, narrow
from thermlog.advice.search import Search, advanced
from thermlog.advice.weighing import cause_weights

TABLE = evidence_table()
TOLD = {"none", *(key for key, asked in TABLE.observations.items() if asked.source == "log")}
SIGNS = {
    "hot": {"hot", "hub_hot", "hot_or_cold", "either"},
    "cold": {"cold", "hot_or_cold", "either"},
}
# A confirmation is met this many times as often with its cause as with what else the brake may have (own
# choice). A sign of many faults, as a spongy pedal, a wheel that can be turned or uneven pads, stays below.
OFTEN = 3.0
PEDAL_DRUMS = ("hyd_drum", "heavy_hyd_drum")


def first_after(evidence, found: dict[str, str]) -> list[str]:
    return list(cause_weights(after(evidence, found).situation))


# a leak that is seen


@pytest.mark.parametrize("kind", ["hyd_disc_floating", "hyd_disc_fixed", *PEDAL_DRUMS, "surge_hyd"])
@pytest.mark.parametrize("level", ["right", "low"])
def test_what_is_wet_while_the_brake_is_held_leaks(kind, level):
    """It weeps: neither the level nor the pedal need show it, and nothing else need be known."""
    vehicle = {"heavy_hyd_drum": HEAVY_DRUMS, "surge_hyd": LIGHT_TRAILER}.get(kind)
    more = {} if vehicle is None else {"vehicle": vehicle}
    leak, fluid = ("leak_surge", "gate_fluid_surge") if kind == "surge_hyd" else ("leak", "gate_fluid")
    pedal = {} if kind == "surge_hyd" else {"gate_pedal": "holds"}
    found = {"brake_kind": kind, leak: "wet", fluid: level, **pedal}
    ranked = first_after(log_evidence("corner_cold", "1L", **more), found)
    if "disc" in kind:
        assert ranked[0] == "supply_leaking"
    else:  # a cylinder drips from the lower edge of its drum, too
        assert {*ranked[:2]} == {"supply_leaking", "cylinder_leaking"}


def test_a_leak_that_let_air_in_is_a_leak():
    """Spongy, pumped up, weak at the bleeder: air came in where it is wet."""
    found = {
        "brake_kind": "hyd_disc_floating", "hold_grips": "turns", "pedal_pumps": "higher",
        "pedal_feel": "spongy_or_low", "gate_pedal": "holds", "leak": "wet", "bleeder_flow": "weak_or_slow",
        "circuit_gauge": "builds",
    }  # fmt: skip
    assert first_after(log_evidence("corner_cold", "1L"), found)[0] == "supply_leaking"


@pytest.mark.parametrize("kind", PEDAL_DRUMS)
def test_an_oily_lining_with_a_wet_boot_is_the_cylinder(kind):
    """Pedal, level and outside show nothing of a cylinder that leaks into its drum."""
    vehicle = {"vehicle": HEAVY_DRUMS} if kind.startswith("heavy") else {}
    found = {
        "brake_kind": kind, "lining_surface": "oily", "cylinder_boot": "wet", "gate_fluid": "right",
        "gate_pedal": "holds", "leak": "dry", "cylinder_moves": "moves",
    }  # fmt: skip
    ranked = first_after(log_evidence("corner_cold", "2L", **vehicle), found)
    weights = cause_weights(after(log_evidence("corner_cold", "2L", **vehicle), found).situation)
    assert ranked[:2] == ["cylinder_leaking", "lining_contaminated"]
    assert weights["cylinder_leaking"] > 3.0 * weights["lining_contaminated"]


# what confirms a cause


def often(cause: str, check: str, answer: str, kind: str, tends: set[str]) -> float:
    """How many times as often the cause shows it as its rivals on this kind do, by their priors."""
    asked = TABLE.observations[check]
    rivals = {
        key: one.prior[kind]
        for key, one in TABLE.causes.items()
        if key != cause and kind in one.prior and one.tends in tends
    }
    beside = sum(asked.likelihood(answer, key) * prior for key, prior in rivals.items())
    return asked.likelihood(answer, cause) * sum(rivals.values()) / beside


@pytest.mark.parametrize("cause", list(TABLE.causes))
def test_what_confirms_a_cause_is_hardly_met_with_its_rivals(cause):
    """Of the checks that are asked; a drive that proves no fault proves only that."""
    card = TABLE.causes[cause]
    for one in card.confirms[:1] if card.together else card.confirms:
        if is_rung(one.check) or one.check in TOLD:
            continue
        for kind in card.prior.keys() & set(TABLE.observations[one.check].applies_to):
            for tends in SIGNS.values():
                if card.tends in tends:
                    assert often(cause, one.check, one.answer, kind, tends) >= OFTEN, (one, kind)


@pytest.mark.parametrize(
    ("cause", "sign"),
    [
        ("supply_leaking", "gate_fluid=low"),
        ("circuit_dead", "gate_fluid=low"),
        ("piston_stuck_off", "hold_grips=turns"),
        ("tappet_stuck_off", "hold_grips_air=turns"),
        ("rods_slack", "rods_grip=turns"),
        ("spring_chamber", "hold_off=full"),
        ("pads_not_bedded", "job_before=brake_parts"),
        ("air_in_hydraulics", "pedal_feel=spongy_or_low"),
        ("slide_pin_seized", "wear_pads=inner_more"),
        ("disc_adjuster_tight", "running_clearance=none"),
        ("lining_contaminated", "lining_surface=glazed"),
    ],
)
def test_a_sign_of_many_faults_confirms_none(cause, sign):
    shown = {f"{one.check}={one.answer}" for one in TABLE.causes[cause].confirms}
    assert shown
    assert sign not in shown


# a cause whose own check spoke against it


def settled_but(monkeypatch, evidence, found: dict[str, str]) -> Search:
    """A search in which nothing more is needed to call what leads."""
    search = after(evidence, found)
    monkeypatch.setitem(evidence_table().rule, "settled_share", 0.0)
    monkeypatch.setitem(evidence_table().rule, "again_gain", 2.0)  # not by gain
    return search


def denied_cases():
    """Of every cause: an answer to a check of its card that it hardly ever gives."""
    for name, cause in TABLE.causes.items():
        for one in cause.confirms:
            asked = TABLE.observations[one.check]
            worst = min(asked.answers, key=lambda answer: asked.likelihood(answer, name))
            if asked.repeats and asked.likelihood(worst, name) < TABLE.rule["misfit"]:
                yield name, one.check, worst


@pytest.mark.parametrize(("cause", "check", "against"), list(denied_cases()))
def test_an_answer_that_a_cause_hardly_gives_speaks_against_it_until_it_is_made_again(cause, check, against):
    card = TABLE.causes[cause]
    assert answered_against({check: against}, cause) == (check,)
    right = next(one.answer for one in card.confirms if one.check == check)
    assert answered_against({check: against, f"{check}_again": right}, cause) == ()
    assert answered_against({}, cause) == ()


def test_pins_that_seemed_free_are_tried_again_before_they_are_named(monkeypatch):
    """Uneven pads, an inner face hotter, but pins that move with two fingers: a slip, or not the pins."""
    found = {
        "brake_kind": "hyd_disc_floating", "on_stands": "yes", "spin_hot": "drags_evenly",
        "th_face": "inner_hotter", "wear_pads": "tapered", "pads_slide": "slide",
        "piston_draws_back": "draws_back", "piston_back_shut": "smooth", "lining_surface": "clean",
        "piston_back_open": "smooth", "pins_slide": "free", "visual": "torn_or_rusty",
        "read_once_more": "comes_back",
    }  # fmt: skip
    evidence = log_evidence("corner_hot", "1L")
    assert first_after(evidence, found)[0] == "slide_pin_seized"
    search = settled_but(monkeypatch, evidence, found)
    assert choose(search).asked.key == "pins_slide_again"
    stiff = advanced(search, "pins_slide_again", "stiff")
    free = advanced(search, "pins_slide_again", "free")
    assert (choose(stiff).ending, choose(free).asked) == ("settled", None)


# what two rungs enclose


def enclosed() -> list[str]:
    return [name for name, cause in TABLE.causes.items() if is_enclosed(cause)]


def test_only_the_ladder_tells_a_hose_from_what_lies_above_it():
    assert {"hose_holds_pressure", "abs_valve_holds", "air_hose_restricted", "relay_holds"} <= {*enclosed()}
    assert "slide_pin_seized" not in enclosed()


@pytest.mark.parametrize(
    ("skipped", "ending"), [((), "inseparable"), (("bleeder_frees", "hose_outlet_frees"), "no_check")]
)
def test_a_hose_is_not_left_before_its_ladder_was_climbed(skipped, ending):
    """All that speaks for it but the rungs, which a wheel that turned free at first keeps shut."""
    found = {
        "brake_kind": "hyd_disc_floating", "on_stands": "yes", "visual": "nothing_seen", "spin_hot": "free",
        "piston_back_shut": "stiff", "lets_go": "seconds", "pressure_left": "much", "lamp": "dark",
        "frees_cold": "free", "scan": "nothing", "hose_look": "sound",
        "bleeder_flow": "weak_or_slow", "spin_hot_again": "free",
    }  # fmt: skip
    evidence = log_evidence("corner_hot", "1L")
    told = [Found(check=check, answer=answer) for check, answer in found.items()]
    state = narrow(evidence, told, skipped)
    while state.check is not None:
        skipped = (*skipped, state.check.id)
        state = narrow(evidence, told, skipped)
    assert state.suspects[0].cause == "hose_holds_pressure"
    assert state.remedy is None
    assert state.ending in {ending, "no_check"}
    climbed = {"bleeder_frees": "frees", "hose_outlet_frees": "frees", "hose_inlet_frees": "no_change"}
    told = [Found(check=check, answer=answer) for check, answer in (found | climbed).items()]
    assert narrow(evidence, told).ending == "settled"


# a brake that does too little, a coupling, a wheel felt cold


@pytest.mark.parametrize("kind", ["hyd_disc_floating", "heavy_hyd_disc"])
def test_stiff_pins_under_clean_linings_make_a_brake_cold(kind):
    """One pad does the work: it grips by hand, does too little on the road, and nothing soaked it."""
    found = {
        "brake_kind": kind, "hold_grips": "grips", "lining_surface": "clean", "wear_pads": "inner_more",
        "pins_slide": "stiff", "parts_match": "alike", "roller_force": "weak",
    }  # fmt: skip
    vehicle = {"vehicle": HEAVY_DRUMS} if kind.startswith("heavy") else {}
    weights = cause_weights(after(log_evidence("corner_cold", "1L", **vehicle), found).situation)
    assert next(iter(weights)) == "slide_pin_seized"
    assert weights["lining_contaminated"] < TABLE.rule["possible_ratio"] * weights["slide_pin_seized"]


def test_a_tube_that_stays_in_explains_rods_that_free_the_wheel_when_slackened():
    """The tube pulls them: slack rods, or shoes backed off, free a wheel then, too."""
    told = {"brake_kind": "overrun_drum", "rods_unhooked": "frees", "adjuster_backed_off": "frees"}
    evidence = log_evidence("axle_hot", "1L", "1R", vehicle=LIGHT_TRAILER)
    for force in ("firm", "stuck"):
        stays = told | {"drawtube_force": force, "drawtube_out": "stays_in"}
        assert first_after(evidence, stays)[0] == "overrun_stuck"
    out = told | {"drawtube_force": "firm", "drawtube_out": "comes_out"}
    assert first_after(evidence, out)[0] == "rods_tight"


# Pressure, and what heat made tight, are gone when the brake is cold.
LET_GO = (
    "hose_holds_pressure", "air_hose_restricted", "mc_port_blocked", "mc_seals_swollen", "booster_holds",
    "treadle_holds", "relay_holds", "abs_valve_holds", "abs_air_holds", "trailer_emergency_valve",
    "by_wire_holds",
)  # fmt: skip


@pytest.mark.parametrize("cause", LET_GO)
def test_a_wheel_that_is_free_when_cold_acquits_nothing_that_lets_go_by_then(cause):
    """Whoever waited until it was cold felt nothing warm, and is asked only what he feels."""
    asked = TABLE.observations["frees_cold"]
    assert len(asked.answers) == 2
    sound = asked.likelihood("free", "normal_or_measurement")
    assert asked.likelihood("free", cause) > sound / 2.0  # two in a row still leave it worth naming


def test_the_answers_of_a_wheel_felt_cold_say_what_is_felt_cold():
    said = TABLE.observations["frees_cold"].answers
    assert all("cold" in words for words in said.values())
    assert not any("warm" in words or "never" in words for words in said.values())


@pytest.mark.parametrize(
    ("found", "free"),
    [
        ({}, None),
        ({"spin_hot": "free"}, True),
        ({"frees_cold": "free"}, True),
        ({"spin_hot": "drags_evenly", "frees_cold": "free"}, False),
        ({"spin_hot": "free", "frees_cold": "still_drags_cold"}, False),
        ({"spin_hot": "drags_evenly", "spin_hot_again": "free"}, True),
        ({"frees_cold": "free", "lets_go": "seconds"}, False),
        ({"frees_cold": "free", "lets_go": "at_once"}, True),
        ({"lets_go": "at_once"}, None),
    ],
)
def test_a_wheel_that_dragged_warm_or_cold_is_no_free_wheel(found, free):
    """Free by now, it is made to drag again: the ladder stays open, and nothing is cleared by it."""
    search = after(log_evidence("corner_hot", "1L"), {"brake_kind": "hyd_disc_floating", **found})
    assert turns_free(search.situation.found) is free
    now = askable(search, ())
    assert bool(now.able[now.board.at["bleeder_frees"]]) is not free
    told = [Found(check=check, answer=answer) for check, answer in found.items()]
    ended = narrow(log_evidence("corner_hot", "1L"), told).ending
    assert ended is None
