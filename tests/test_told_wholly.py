"""Remarks told wholly in known words, which leave nothing cleared; one word more, and they are another thing.

A careful reader clears nothing beside readings of another day, by eye, or of a gun that died; beside a wheel
passed over, a vehicle that stood or was carried, a lift axle that stuck, or what great heat left. Texts are
invented; answers were written first. Words of languages other than English: from memory, not checked.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from test_trade_words import BARE, PLACES

from thermlog.reading.namedaxles import axles_told
from thermlog.reading.remarks.alarms import alarms_of, felt_hot
from thermlog.reading.remarks.doubted import doubt_told
from thermlog.reading.remarks.sights import read_sights, told_sights

NOT_THESE = [
    "left rear not accessible today", "côté droit non mesuré", "pistola sin pila", "pirometr rozładowany",
    "some rows got lost", "Messliste unvollständig", "read with dead battery",
    "rear values taken over from Monday's sheet", "front axle data are a week old",
    "nobody read the back wheels", "ran out of paper after the fronts", "linkes Hinterrad nicht erreicht",
    "Batterie fast leer beim Messen", "rears from last month", "Werte hinten von gestern",
    "valeurs arrière d'hier", "lecturas traseras de ayer", "valori posteriori di ieri",
    "achterwaarden van gisteren", "tylne pomiary z wczoraj", "fronts are last week's",
    "rear axle temps are from Monday's walk", "rear readings are of the other van", "fronts belong to van 8",
    "lecturas de otro vehículo", "guessed the spot", "rears estimated by hand",
    "hinten mit der Hand geschätzt", "arrière au pif", "traseras a ojo", "rear values by eye",
    "dummy figures", "test data, not real", "did not do the left side of the trailer",
    "linke Seite vom Anhänger nicht gemacht", "côté gauche pas fait",
    "no hice el lado izquierdo del remolque", "lato sinistro non fatto",
    "linkerkant van de aanhanger niet gedaan", "lewej strony przyczepy nie zrobiono",
    "ran out of time for the last wheel", "only did the fronts", "no access to rear wheels",
    "inner wheels not read", "log incomplete", "page 2 missing", "Liste unvollständig",
    "gun battery died at the last wheel", "Akku vom Gerät am letzten Rad leer", "gun switched itself off",
    "left side copied over from an older sheet", "hinten aus dem Gedächtnis", "nur die Vorderachse gemacht",
    "nearside rear couldn't be reached", "solo mido delante", "only three wheels read",
    "mixed up with van 12", "log breaks off here", "thermometer battery went flat before the end",
    "batteria scarica a metà", "thermometer kept showing the same number",
    "the readings are not from this truck", "skipped the back axle because of the rain",
    "achterste wielen overgeslagen", "la pistola si è spenta", "gun reads 20 too low",
    "battery gave up at RR", "not read", "nicht gemessen", "non mesuré", "sin medir",
]  # fmt: skip
OTHER_SPOT = [
    "mesuré à travers l'enjoliveur", "letto attraverso il copricerchio", "mierzone przez kołpak",
    "wheel covers were left on", "pointed at the tyre walls", "read on the backplates",
]  # fmt: skip
ALARMS = [
    "sitting in the yard for a week", "macchina ferma da una settimana", "arrived by tow truck",
    "cerchio annerito", "drove through a flooded street", "came in on the back of a truck",
    "moved ten metres only", "scorch marks on the RR rim", "Radkappe angeschmolzen",
    "lift axle stuck in the air", "parked since morning", "steht seit heute Morgen", "garé depuis ce matin",
    "stoi od rana", "stood all day", "standing since 8 this morning", "in the yard since Friday", "towed in",
    "przyholowany", "came on a hook", "only rolled from the yard", "solo spostata dal cortile",
    "nur umgeparkt", "let it cool down before reading", "erst abkühlen lassen",
    "brake cleaner sprayed on first", "came out of the car wash", "afgespoten voor het meten",
    "lift axle would not go up", "Liftachse klemmt", "third axle was lifted", "hub cap burnt",
    "Radkappe verbrannt", "jante brûlée", "cerchio bruciato", "rim blued", "LF rotor was blue",
    "wheel paint has turned brown from heat", "Nabendeckel verschmort", "nur ein paar Meter gerollt",
    "alleen geduwd", "llevaba parado desde ayer", "wagen stond twee dagen stil",
    "brakes allowed to cool off for half an hour", "was winched onto the ramp",
    "came straight out of a puddle",
]  # fmt: skip
BY_HAND = [
    "rear left: hand felt hot", "hinten links: fühlt sich heiß an", "left rear hot to touch",
    "back left wheel was hot when I touched it", "could not keep my hand on the LR wheel",
    "trasera izquierda: caliente a la mano", "tył lewy: gorący w dotyku", "RR: could feel heat",
]  # fmt: skip
CALM = [
    "remorque 1", "camion remorque", "gun held at 30 cm", "voiture lavée demain",
    "the owner quit smoking last year", "phone with dead battery", "van is a week old",
    "ran out of paper towels", "Rechnung von gestern übernommen", "he gave up smoking",
    "scratch marks on the RR rim", "Getränke vorher gekühlt", "coffee cold since the morning",
    "tyres new last month", "rear pads changed last month", "rear tyres from last month",
    "came in yesterday", "invoice from last month open", "owner also has another vehicle",
    "key of van 8 is on the same ring", "price estimated by phone", "all fine by eye",
    "did not do the tyre pressures", "left mirror not done", "headlamp left side still to do",
    "no wheel left out", "service book incomplete", "paperwork missing",
    "vehicle battery died, jump started", "gun switched itself off after the last reading", "gun not off",
    "gun battery replaced before", "wheel covers removed before reading", "read on the discs",
    "mud flaps torn", "driven since morning", "seit heute Morgen unterwegs",
    "will stay in the yard till Friday", "tow bar fitted", "rolled freely on the ramp",
    "nach dem Messen umgeparkt", "let engine cool for oil check", "car wash closed", "to be washed after",
    "will be hosed down afterwards", "wird danach gewaschen", "lift axle works", "car lift would not go up",
    "hub cap scratched", "bulb burnt out rear left", "blue rims", "fuse burnt",
    "goes out on a low loader tomorrow", "spare wheel missing", "hub cap missing", "no wheel felt hot",
    "only two rounds read", "sheet copied for the customer", "list copied to the office", "gun case broken",
    "stopped for diesel after three hours", "car washed last Saturday", "VL Fenster klemmt",
    "could not keep time", "gun packed in its case after the second round", "wird mit dem Hänger abgeholt",
    "pare-brise mouillé", "camion au garage deux jours la semaine prochaine", "parked up beside the gate",
    "trailer MOT to follow", "dashboard glowed", "clutch smells new", "cabin felt hot",
    "rear left door sticks",
]  # fmt: skip


@pytest.mark.parametrize("text", NOT_THESE)
def test_what_was_read_may_not_be_of_these_brakes(text: str) -> None:
    assert doubt_told(text) == "reading"


@pytest.mark.parametrize("text", OTHER_SPOT)
def test_the_gun_saw_another_part(text: str) -> None:
    assert doubt_told(text) == "spot"


@pytest.mark.parametrize("text", ALARMS)
def test_nothing_is_cleared_beside_it(text: str) -> None:
    assert alarms_of(text)


@pytest.mark.parametrize("text", BY_HAND)
def test_a_hand_felt_heat_at_a_wheel(text: str) -> None:
    assert felt_hot(text)


@pytest.mark.parametrize("at_wheel", [False, True])
@pytest.mark.parametrize("text", CALM)
def test_one_word_more_and_it_is_another_thing(text: str, *, at_wheel: bool) -> None:
    assert doubt_told(text, at_wheel=at_wheel) is None
    assert alarms_of(text, at_wheel=at_wheel) == ()
    assert told_sights(text) == ()


@pytest.mark.parametrize(
    ("text", "axles"),
    [("three-axle lorry", 3), ("6x4", 3), ("6 x 2 tractor", 3), ("8x4 tipper", 4), ("5 axles", 5),
     ("Vierachser", 4),
     ("camion à trois essieux", 3), ("camión de 3 ejes", 3), ("autocarro a tre assi", 3),
     ("vrachtwagen met 3 assen", 3), ("ciężarówka trzyosiowa", 3), ("tri-axle", 3), ("4 axles altogether", 4),
     ("twin-axle trailer behind", 4), ("two-axle van", 2), ("4x4", 2),
     ("parked beside a three-axle lorry", 0), ("next inspection 5 axles trailer tomorrow", 0),
     ("bay is for 5 axles", 0), ("next job: 6x4 tipper", 0), ("read both axles", 0)],
)  # fmt: skip
def test_axles_that_a_line_counts_and_says_nothing_else(text: str, axles: int) -> None:
    assert axles_told(text) == axles


@pytest.mark.parametrize("text", ["disque rouge vif", "roue rougie ARD"])
def test_iron_seen_red_glows(text: str) -> None:
    assert [one.code for one in told_sights(text)] == ["glow"]


@pytest.mark.parametrize("text", ["voiture rouge vif", "disque de stationnement rouge"])
def test_red_paint_does_not(text: str) -> None:
    assert told_sights(text) == ()


def test_a_question_mark_for_what_was_seen_is_no_answer() -> None:
    assert read_sights("?").strange == ("?",)
    assert read_sights("-").strange == ()


def answers(thermlog, log: str) -> dict:
    Path("a.csv").write_text(log, encoding="utf-8")
    return json.loads(thermlog("check", "a.csv", "--format", "json").out)["answers"]


@pytest.mark.parametrize("place", PLACES)
@pytest.mark.parametrize("words", ["rears from last month", "parked since morning", "5 axles"])
def test_no_log_is_cleared_beside_it_wherever_it_stands(thermlog, words, place):
    assert answers(thermlog, PLACES[place](words))["drag"]["answer"] == "cannot_tell"


@pytest.mark.parametrize("words", ["rear pads changed last month", "two-axle van", "next job: 6x4 tipper"])
def test_beside_other_words_all_is_cleared(thermlog, words):
    assert {one["answer"] for one in answers(thermlog, PLACES["remark"](words)).values()} == {"no"}


def test_axles_stated_are_believed_before_a_remark(thermlog):
    """Two are stated, so that five are of another vehicle."""
    told = answers(thermlog, f"# axles: 2\n# 5 axles\n{BARE}")
    assert told["drag"]["answer"] == "no"


def test_readings_of_an_end_are_not_those_of_the_row_alone(thermlog):
    """The note stands in the row of the rear left wheel, and speaks of both rear wheels."""
    told = answers(thermlog, PLACES["note"]("rears from last month"))
    doubted = [one for one in told["drag"]["reasons"] if one["code"] == "doubted"]
    assert [one["corners"] for one in doubted] == [[]]
