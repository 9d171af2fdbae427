"""Tables and words that a technician expects to be read: a row an axle, places beside wheels, more languages.

All logs are invented; what each reading is was written down from the table by hand.
"""

from __future__ import annotations

import pytest
from readcases import read

from thermlog.words.errors import LogRefusedError
from thermlog.words.vehicle import SPOTS

AIR = "# ambient: 18 C\n"


def told(text: str, **options):
    """Wheel and spot of every reading with its time and temperature, by wheel and then time."""
    table = read(text, **options).readings
    rows = zip(
        table.axle.tolist(), ["LR"[side] for side in table.side], [SPOTS[spot] for spot in table.spot],
        table.elapsed_s.tolist(), table.indicated_degc.round(1).tolist(), strict=True,
    )  # fmt: skip
    return sorted((f"{axle}{side}", spot, at_s, degc) for axle, side, spot, at_s, degc in rows)


def wheels(text: str, **options):
    return [(wheel, degc) for wheel, _, _, degc in told(text, **options)]


EIGHT = [
    ("1L", 75.0), ("1L", 82.0), ("1R", 74.0), ("1R", 81.0), ("2L", 54.0), ("2L", 58.0), ("2R", 53.0),
    ("2R", 57.0),
]  # fmt: skip
VALUES = [(1, 82, 81), (2, 58, 57), (1, 75, 74), (2, 54, 53)]


@pytest.mark.parametrize(
    ("axle", "left", "right"),
    [("axle", "left_c", "right_c"), ("Achse", "links (°C)", "rechts (°C)"), ("essieu", "gauche", "droite"),
     ("eje", "izquierda_c", "derecha_c"), ("axle", "L (C)", "R (C)"), ("axle", "temp left", "temp right"),
     ("Axle no", "LH_degC", "RH_degC"), ("dingil", "sol (°C)", "sağ (°C)"), ("asse", "SX", "DX")],
)  # fmt: skip
@pytest.mark.parametrize("times", [False, True])
def test_a_row_an_axle_with_a_column_a_side(axle, left, right, times):
    head, rows = f"{axle},{left},{right}", [",".join(map(str, row)) for row in VALUES]
    if times:
        head, rows = f"time_s,{head}", [f"{60 * k},{row}" for k, row in enumerate(rows)]
    assert sorted(wheels(AIR + "\n".join([head, *rows]) + "\n", unit="C")) == EIGHT


def test_both_sides_stand_at_the_time_of_their_row():
    found = told(AIR + "time_s,axle,left_c,right_c\n20,1,82,81\n60,2,58,57\n")
    assert [(wheel, at_s) for wheel, _, at_s, _ in found] == [("1L", 20), ("1R", 20), ("2L", 60), ("2R", 60)]


def test_axles_may_be_words_and_sides_in_fahrenheit():
    text = "axle,left_f,right_f\nfront,180,179\nrear,140,139\n"
    assert wheels(AIR + text) == [("1L", 82.2), ("1R", 81.7), ("2L", 60.0), ("2R", 59.4)]


def test_an_empty_cell_of_a_side_is_a_wheel_that_was_passed_over():
    found = read(AIR + "time_s,axle,left_c,right_c\n0,1,82,81\n30,2,58,\n").readings
    assert [(one.code, one.corner) for one in found.cases[0].blind] == [("no_value", "2R")]


@pytest.mark.parametrize(
    "head", ["axle,left_c", "axle,left_c,temp_c", "axle,left_c,links_c,right_c", "axle,left_c,left_f",
             "round,left_c,right_c"]
)  # fmt: skip
def test_a_table_that_leaves_a_side_or_the_axle_open_is_refused(head):
    row = ",".join(["1", *["80"] * head.count(",")])
    with pytest.raises(LogRefusedError):
        read(f"{AIR}{head}\n{row}\n{row}\n")


@pytest.mark.parametrize("place", ["Stelle", "Messstelle", "Messpunkt", "point", "emplacement", "place"])
def test_a_column_of_places_beside_one_of_wheels_is_where_was_aimed(place):
    rows = "0;VL;Bremsscheibe;82\n9;VR;Bremsscheibe;81\n20;HL;Nabe;38\n30;HR;Nabe;37\n"
    found = told(f"{AIR}Zeit (s);Rad;{place};Temperatur (°C)\n{rows}")
    assert [(wheel, spot) for wheel, spot, _, _ in found] == [
        ("1L", "rotor_outer"), ("1R", "rotor_outer"), ("2L", "hub"), ("2R", "hub")
    ]  # fmt: skip


def test_a_column_of_places_alone_names_the_wheels():
    assert wheels(f"{AIR}Stelle;Temp (°C)\nVL;82\nVR;81\nHL;58\nHR;57\n") == [
        ("1L", 82.0), ("1R", 81.0), ("2L", 58.0), ("2R", 57.0)
    ]  # fmt: skip


def test_two_columns_that_may_both_be_wheels_are_refused():
    with pytest.raises(LogRefusedError) as refusal:
        read(f"{AIR}Rad;Position;Temp (°C)\nVL;1;82\nVR;2;81\n")
    assert refusal.value.code == "two_columns"


@pytest.mark.parametrize(
    ("tractor", "trailer"),
    [("Zugmaschine Achse {} {}", "Auflieger Achse {} {}"), ("Motorwagen {} {}", "Anhänger {} {}"),
     ("LKW Achse {} {}", "Sattelauflieger Achse {} {}")],
)  # fmt: skip
def test_german_words_for_tractor_and_trailer(tractor, trailer):
    """Axles of the trailer are counted from 1 in their own unit: behind the two of the tractor."""
    places = [(unit, axle) for unit, axles in ((tractor, 2), (trailer, 3)) for axle in range(1, axles + 1)]
    rows = [
        f"{unit.format(axle, side)};{60 + 2 * k + (side == 'rechts')}"
        for k, (unit, axle) in enumerate(places)
        for side in ("links", "rechts")
    ]
    assert wheels(AIR + "\n".join(["Rad;Temp (°C)", *rows]) + "\n") == [
        (f"{axle}{side}", 60.0 + 2 * (axle - 1) + (side == "R")) for axle in range(1, 6) for side in "LR"
    ]


@pytest.mark.parametrize(
    ("front", "rear", "left", "right"),
    [("tracteur 1 {}", "remorque 1 {}", "gauche", "droite"),
     ("tractora eje 1 {}", "semirremolque eje 1 {}", "izquierda", "derecha"),
     ("trekker 1 {}", "oplegger 1 {}", "links", "rechts"),
     ("çekici 1 {}", "dorse 1 {}", "sol", "sağ"), ("motrice asse 1 {}", "rimorchio asse 1 {}", "SX", "DX")],
)  # fmt: skip
def test_other_words_for_tractor_and_trailer(front, rear, left, right):
    words = [front.format(left), front.format(right), rear.format(left), rear.format(right)]
    rows = [f"{60 + k},{word}" for k, word in enumerate(words)]
    assert wheels(AIR + "\n".join(["temp_c,position", *rows]) + "\n") == [
        ("1L", 60.0), ("1R", 61.0), ("2L", 62.0), ("2R", 63.0)
    ]  # fmt: skip


@pytest.mark.parametrize(
    "words",
    [("ön sol", "ön sağ", "arka sol", "arka sağ"), ("sol ön", "sağ ön", "sol arka", "sağ arka"),
     ("ÖN SOL TEKER", "ÖN SAĞ TEKER", "ARKA SOL TEKER", "ARKA SAĞ TEKER"),
     ("1. dingil sol", "1. dingil sağ", "2. dingil sol", "2. dingil sağ")],
)  # fmt: skip
@pytest.mark.parametrize("head", ["zaman (sn);teker;sıcaklık (°C)", "saniye;tekerlek;SICAKLIK (°C)"])
def test_turkish_headings_and_wheels(words, head):
    rows = [f"{10 * k};{word};{60 + k}" for k, word in enumerate(words)]
    found = told("\n".join(["# ortam: 18 C", head, *rows]) + "\n")
    assert found == [(wheel, "brake", 10.0 * k, 60.0 + k) for k, wheel in enumerate(("1L", "1R", "2L", "2R"))]


def test_turkish_air_is_believed_and_saat_is_the_clock():
    found = read(
        "# ortam sıcaklığı: 18 C\nsaat;teker;sıcaklık (°C)\n14:03:10;ön sol;82\n14:03:25;ön sağ;81\n"
    )
    case = found.readings.cases[0]
    assert (case.ambient_degc, found.readings.elapsed_s.tolist()) == (18.0, [0.0, 15.0])


FACES = "0,FL,{0},82\n9,FL,{1},84\n20,FR,{0},81\n30,FR,{1},83\n"


@pytest.mark.parametrize(("outer", "inner"), [("outer", "inner"), ("Outside", "Inside"), ("aussen", "innen")])
def test_inner_and_outer_of_a_front_wheel_are_faces_of_its_disc(outer, inner):
    found = read(f"{AIR}time_s,position,spot,temp_c\n{FACES.format(outer, inner)}")
    spots = [SPOTS[spot] for spot in found.readings.spot]
    assert spots == ["rotor_outer", "rotor_inner", "rotor_outer", "rotor_inner"]
    assert any("faces of the disc" in note for note in found.record.notes)


@pytest.mark.parametrize("wheel", ["3", "trailer 1", "1"])
def test_of_an_axle_that_may_have_dual_tyres_inner_and_outer_are_not_guessed(wheel):
    rows = FACES.format("outer", "inner").replace("FL", f"{wheel} left").replace("FR", f"{wheel} right")
    with pytest.raises(LogRefusedError) as refusal:
        read(f"{AIR}time_s,position,spot,temp_c\n{rows}")
    assert refusal.value.code == "spot"


@pytest.mark.parametrize(
    "word", ["Stillstand", "Geparkeerd", "Postój", "Abgestellt", "geparkt", "Durdu", "stationné",
             "zaparkowano", "parkeret", "estacionado"]
)  # fmt: skip
def test_the_moment_the_wheels_stopped_in_more_words(word):
    found = read(f"{AIR}# {word}: 14:00\ntime,position,temp_c\n14:02,FL,82\n14:03,FR,81\n").readings
    assert found.cases[0].parked_known
    assert found.elapsed_s.tolist() == [120.0, 180.0]


@pytest.mark.parametrize("corner", ["wheel", ""])
@pytest.mark.parametrize("mark", [",", ";", "\t"])
def test_a_second_header_with_other_times_begins_another_walk(corner, mark):
    """Two walks on one sheet: the later one was read with the times of the first."""
    rows = f"{corner},10:03,10:07\nFL,90,80\nFR,91,81\n{corner},10:33,10:37\nFL,60,54\nFR,61,55\n"
    found = told(f"{AIR}# parked: 10:02\n{rows.replace(',', mark)}")
    assert [(wheel, at_s, degc) for wheel, _, at_s, degc in found] == [
        ("1L", 60.0, 90.0), ("1L", 300.0, 80.0), ("1L", 1860.0, 60.0), ("1L", 2100.0, 54.0),
        ("1R", 60.0, 91.0), ("1R", 300.0, 81.0), ("1R", 1860.0, 61.0), ("1R", 2100.0, 55.0),
    ]  # fmt: skip


def test_the_same_header_again_is_passed_over():
    rows = "wheel,10:03,10:07\nFL,90,80\nwheel,10:03,10:07\nFR,91,81\n"
    assert wheels(f"{AIR}{rows}") == [("1L", 90.0), ("1L", 80.0), ("1R", 91.0), ("1R", 81.0)]


ROUNDS = ["FL", "FR", "RL", "RR"] * 3
PARTS = {
    "a row a reading": "time_s,position,temp_c,drive,note\n"
    + "".join(
        f"{20 * k},{wheel},{90 - k},{'coast' if k >= 7 else 'normal'},{'smoke' if k == 5 else ''}\n"
        + ("broken,row\n" if k == 6 else "")
        for k, wheel in enumerate(ROUNDS)
    ),
    "a column a wheel": "time_s,FL,FR,RL,RR,note\n"
    + "".join(
        f"{60 * k},{90 - k},{89 - k},{'' if k == 7 else 71 - k},{70 - k},{'smoke RL' if k == 8 else ''}\n"
        for k in range(9)
    ),
    "two tables": "time_s,position,temp_c\n"
    + "".join(f"{20 * k},FL,{90 - k}\n" for k in range(5))
    + "time_s,position,temp_f\n"
    + "".join(f"{200 + 20 * k},FR,{190 - k}\n" for k in range(5)),
}


@pytest.mark.parametrize("name", PARTS)
def test_a_long_log_is_read_in_parts_as_it_is_as_a_whole(name, monkeypatch):
    """What stands beside readings of a later part (a remark, an empty cell) stays with its own reading."""
    text = "# ambient: 18 C\n" + PARTS[name]
    whole = read(text)
    monkeypatch.setattr("thermlog.reading.files.dialect.BLOCK_ROWS", 3)
    parts = read(text)
    assert parts.record == whole.record
    assert parts.readings.cases == whole.readings.cases
    for column in ("case", "line", "axle", "side", "elapsed_s", "indicated_degc"):
        assert getattr(parts.readings, column).tolist() == getattr(whole.readings, column).tolist()


def test_columns_of_a_second_table_have_their_own_unit():
    """158 °F are (158 - 32) / 1.8 = 70 °C."""
    text = "time_s,FL (C),FR (C)\n0,90,89\ntime_s,RL (F),RR (F)\n60,158,158\n"
    assert wheels(AIR + text) == [("1L", 90.0), ("1R", 89.0), ("2L", 70.0), ("2R", 70.0)]
