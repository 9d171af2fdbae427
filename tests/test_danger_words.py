"""Words for danger, for a brake that holds and for one that does nothing, as people write them in a hurry.

A careful technician stops for what glows, sparks, burns or pours out, however it is spelt; takes a caliper
that hangs for one that may drag; takes a brake that is bypassed or not swept for one that may not work. What
is denied, or was mended, is neither. Texts are invented; answers were written first.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from logs import HEALTHY_K, log_text

from thermlog.reading.remarks.alarms import alarms_of, felt_hot, said_idle, said_stuck
from thermlog.reading.remarks.sights import read_sights, told_sights

STOPS = [
    ("glimmt", "glow"), ("Belag glimmte", "glow"), ("funkt", "sparks"), ("Funken", "sparks"),
    ("lodert", "flame"), ("steht in Brand", "flame"), ("pissing fluid", "leak"),
    ("brake fluid pouring out", "leak"), ("fluid everywhere", "leak"), ("Bremsflüssigkeit spritzt", "leak"),
    ("liquide gicle", "leak"), ("hub grease all over", "grease"), ("Fett überall", "grease"),
    ("S M O K E", "smoke"), ("s.m.o.k.e", "smoke"), ("smkoe", "smoke"), ("somke at RR", "smoke"),
    ("ruach", "smoke"), ("falmes", "flame"), ("leaikng", "leak"), ("wheel would not turn", "locked"),
    ("Rad dreht sich nicht mehr", "locked"), ("Luft entweicht", "air_loss"), ("flat tyre", "burst"),
    ("Reifen platt", "burst"), ("tyre melted", "melted"), ("RR tire has melted", "melted"),
    ("pneu fondu", "melted"), ("hub cap melted RR", "melted"), ("melted wheel trim LF", "melted"),
    ("Radkappe geschmolzen", "melted"), ("Nabendeckel HR verschmolzen", "melted"),
    ("Reifen geschmolzen", "melted"), ("enjoliveur fondu ARD", "melted"), ("tapacubos derretido", "melted"),
    ("neumático derretido", "melted"), ("copriruota fuso", "melted"), ("gomma fusa", "melted"),
    ("wieldop gesmolten", "melted"), ("band gesmolten", "melted"), ("hjulkapsel smeltet", "melted"),
    ("brake failure", "pedal"), ("Bremsversagen", "pedal"),
    ("Pedal fällt durch", "pedal"), ("pédale s'enfonce", "pedal"),
    ("LF wheel nuts loose", "loose"), ("wheel nuts finger tight RF", "loose"), ("loose wheel", "loose"),
    ("one wheel nut missing LR", "loose"), ("wheel studs sheared", "loose"), ("Radmuttern locker", "loose"),
]  # fmt: skip
ADMITTED = [
    ("nothing except a little smoke RR", "smoke"), ("nichts außer Rauch HR", "smoke"),
    ("smoke not much", "smoke"), ("not much smoke", "smoke"), ("not smoking badly", "smoke"),
    ("rien sauf fumée ARD", "smoke"), ("nothing apart from a glow RR", "glow"),
]  # fmt: skip
NOT_SEEN = [
    "no smoke", "no smoke at all", "kein Rauch", "glimmt nicht", "funkt nicht", "no sparks", "no s m o k e",
    "no smkoe", "no fluid pouring out", "no grease all over", "no flat tyre", "no tyre melted",
    "hub cap not melted", "Radkappe nicht geschmolzen",
    "snow melted on tyre", "Schnee am Rad geschmolzen", "glace fondue sur la roue", "engine cover melted",
    "kein Bremsversagen",
    "pedal firm", "Pedal fällt nicht durch", "Luft entweicht nicht", "fluid low", "F L, R R",
    "a b c d e", "doors open", "wheel nuts not loose", "no loose wheel nuts",
    "wheel nuts torqued, were loose", "wheel trim loose", "wheel cover missing", "spare wheel missing",
    "steering wheel loose", "jockey wheel loose", "wheel chock missing",
    "wheel speed sensor loose", "wheel weight missing", "wheel cylinder loose",
]  # fmt: skip
STUCK = [
    "Bremse hängt", "Sattel hängt", "Belag fest", "läuft schwer", "dreht nicht frei", "won't free off",
    "Kolben geht nicht zurück", "Handbremsseil fest", "handbrake stuck on", "slider tight", "klemmt",
    "caliper would not release", "piston does not retract", "étrier grippé", "pinza agarrotada",
    "pastiglie bloccato", "stuck", "Führungsbolzen festgerostet",
]  # fmt: skip
NOT_STUCK = [
    "not stuck", "hängt nicht", "Sattel nicht fest", "brake freed up and tested", "Sattel gangbar gemacht",
    "Radmuttern fest", "wheel nuts tight", "Tür klemmt", "stuck in traffic", "slider tight, greased",
    "klemmt nicht", "dreht frei", "Bremse hängt nicht", "pedal stiff",
]  # fmt: skip
IDLE = [
    "Beläge fehlen", "caliper bypassed", "disconnected", "not doing anything", "hose clamped",
    "rust all over, not being swept", "disc not swept", "Bremse stillgelegt", "plaquettes manquent",
    "freno anulado", "Scheibe voller Rost",
]  # fmt: skip
NOT_IDLE = [
    "battery disconnected", "hose clamped, clamp removed and refitted", "pads not missing",
    "not disconnected",
    "slight rust on edge", "sensor bypassed", "brake freed up and tested",
]  # fmt: skip
HEAT = ["singed my glove", "can feel the heat from a metre away", "Handschuh versengt", "gant brûlé"]
CLEARS_NOTHING = [
    "charred", "burned", "burnt", "scorched", "sizzling", "pads burnt", "linings charred", "brake sizzling",
    "Trommel hat Risse HR", "RR tyre bald", "disc split RR", "Handbremse war angezogen",
    "handbrake stuck on", "tambour fissuré ARD",
]  # fmt: skip
CALM = [
    "not burnt", "nothing scorched",
    "no cracks in drum", "tyre not bald", "Handbremse angezogen", "handbrake not stuck on",
    "no heat felt", "bald fällig HR", "glove box stuck",
]  # fmt: skip


@pytest.mark.parametrize(("text", "code"), STOPS)
def test_what_is_seen_stops_however_it_is_spelt(text, code):
    assert {one.code for one in told_sights(text)} == {code}


@pytest.mark.parametrize(("text", "code"), ADMITTED)
def test_a_little_of_it_was_seen(text, code):
    assert [one.code for one in read_sights(text).found] == [code]
    assert [one.code for one in told_sights(text)] == [code]


@pytest.mark.parametrize("text", NOT_SEEN)
def test_what_is_denied_was_not_seen(text):
    assert (told_sights(text), read_sights(text).found) == ((), ())


@pytest.mark.parametrize("text", STUCK)
def test_a_brake_that_holds_may_drag(text):
    assert said_stuck(text, at_wheel=True)


@pytest.mark.parametrize("text", NOT_STUCK)
def test_what_is_free_mended_or_something_else_does_not(text):
    assert not said_stuck(text, at_wheel=True)


@pytest.mark.parametrize("text", IDLE)
def test_a_brake_with_nothing_to_work_with_may_be_idle(text):
    assert said_idle(text, at_wheel=True)


@pytest.mark.parametrize("text", NOT_IDLE)
def test_what_is_connected_again_or_of_something_else_is_not(text):
    assert not said_idle(text, at_wheel=True)


@pytest.mark.parametrize("text", HEAT)
def test_heat_that_burnt_a_glove_was_felt(text):
    assert felt_hot(text, at_wheel=True)


@pytest.mark.parametrize("text", CLEARS_NOTHING)
def test_what_may_break_or_was_left_on_clears_nothing(text):
    assert alarms_of(text)


@pytest.mark.parametrize("text", CALM)
def test_what_is_sound_does_not(text):
    assert alarms_of(text, at_wheel=True) == ()


@pytest.mark.parametrize(
    "text", ["nothing except a little smoke RR", "nichts außer Rauch HR", "Luft entweicht HR"]
)
def test_a_line_of_what_was_seen_stops_the_vehicle(thermlog, text):
    Path("log.csv").write_text(f"# seen: {text}\n{log_text(HEALTHY_K)}", encoding="utf-8")
    ran = thermlog("check", "log.csv", "-q")
    assert (ran.code, "STOP DRIVING" in ran.out) == (1, True)


@pytest.mark.parametrize(
    ("text", "drag", "idle"),
    [("Bremse hängt", "cannot_tell", "cannot_tell"), ("disconnected", "no", "cannot_tell"),
     ("not stuck", "no", "no")],
)  # fmt: skip
def test_a_remark_in_the_row_of_a_wheel_opens_its_question(thermlog, text, drag, idle):
    head, *rows = [row for row in log_text(HEALTHY_K).splitlines() if not row.startswith("#")]
    noted = [f"{head},note", *(f"{row},{text if k == 3 else ''}" for k, row in enumerate(rows))]
    Path("log.csv").write_text("\n".join(["# ambient: 18 C", *noted, ""]), encoding="utf-8")
    ran = thermlog("check", "log.csv", "--format", "json")
    found = json.loads(ran.out)["answers"]
    assert (found["drag"]["answer"], found["idle"]["answer"]) == (drag, idle)
    assert ran.code == (0 if drag == idle == "no" else 1)
