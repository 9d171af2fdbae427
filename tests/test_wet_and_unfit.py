"""Wheels that were washed or wet, guns that were not fit to read with, and stuck brakes in more languages.

A careful technician who hears one of these reads again, or checks that brake, whatever the figures say; a dry
test on a wet road, a washed windscreen and a gun with a new battery are none of it. Texts are invented; the
answers were written before any was run.
"""

from __future__ import annotations

import pytest
from answeredtext import CLEARED, HEAD, TABLE, answered, with_column

WET = [
    "drove through ford", "drove through a deep puddle before reading", "rained heavily on the wheels",
    "snow packed in wheels", "hosed the wheels down", "salt water on wheels", "RR iced up",
    "brakes sprayed with water", "durch eine tiefe Pfütze gefahren", "Schnee in den Rädern",
    "neige sur les roues", "ruedas mojadas", "ruote bagnate", "water op de remmen", "mokre hamulce",
    "acaba de lavarse el coche", "auto po myjni", "bilen nytvättad", "carro acabado de lavar", "auto po mytí",
    "araç yeni yıkandı",
]  # fmt: skip
UNFIT = [
    "gun showed Lo at RR", "gun display dim, hard to read", "RR showed ERR first", "gun fell in water",
    "gun just came in from the cold van", "Batterie schwach am Messgerät", "pile faible du thermomètre",
    "do not trust RR", "RR reading suspicious", "RR looks wrong", "RR kann nicht stimmen", "RR douteuse",
    "RR temperature from last week", "geschätzt", "estimé", "odhad",
    "pistola en espera", "meter op hold", "mätaren fryst", "termómetro parado", "RR disc could not be seen",
]  # fmt: skip
NOT_DRIVEN = [
    "sat for three hours first", "read after lunch, van parked all morning", "van came on a recovery truck",
    "wheels never turned", "niet gereden", "non guidato", "sürülmedi", "arrived on a trailer",
    "parked all weekend", "na lawecie",
    "mit Abschlepper gekommen",
]  # fmt: skip
AMISS = [
    "oket höger bak kärvar", "pinça traseira direita presa", "třmen pravé zadní zaseknutý",
    "arka sağ kaliper sıkışmış", "only front brakes connected", "RR caliper replaced but not bled",
    "RR caliper freed, still sticking", "had to push hard on the accelerator",
    "repair: temporarily disconnected RR", "traseira direita quente demais",
    "tył prawy za gorący", "höger bak för het", "rear right too hot", "third axle not measured",
    "tył prawy nie zmierzony", "luźne nakrętki koła", "bijon somunları gevşek", "dadi allentati",
    "sola çekiyor", "puxa para a esquerda", "pedale morbido", "lastik patlak", "punktering",
    "fren hidroliği kaçağı", "tył prawy nie hamuje", "pravé zadní nebrzdí", "höger bak bromsar inte",
]  # fmt: skip
INNOCENT = [
    "windscreen washed", "washer fluid topped up", "washing bay 2", "hands washed", "coolant water ok",
    "wet weather", "rainy day, wheels dry", "brakes dry", "no water on the brakes", "wheels not wet",
    "drove in light rain", "road wet, brakes fine", "snow on the roof", "snow forecast", "mud flaps fitted",
    "tyres muddy", "wheel arch full of mud", "ice cream van", "washed last week", "Water Lane depot",
    "drove through town", "drove through traffic", "discs dried by driving", "presa elettrica ok",
    "pinça nova", "zacisk nowy", "třmen vyměněn", "oket bytt", "kaliper yeni", "gun case wet",
    "gun dropped off for calibration last year", "gun battery new", "new battery in gun", "dim light in bay",
    "thermometer warmed up", "looks right", "not suspicious", "all discs could be seen",
    "temperature from the gun", "numbers from the gun", "blue van", "blue paint on caliper",
    "discs not blue", "Sat 12 May", "driver sat left", "stood beside the van", "weekend shift",
    "driven at the weekend", "moved to bay 3", "coasts well", "only front brakes are discs",
    "front brakes ventilated", "VAT paid", "por la mañana", "wheels turn freely, no ice",
    "Probefahrt bei Nässe", "Bremsen trocken", "frisch gewaschene Hände", "route mouillée",
    "carretera mojada", "strada bagnata", "natte weg", "neue Beläge vorn", "klocki nowe",
    "luźna rozmowa", "los geht es um 9",
    "caliper was sticking, replaced, still squeals", "kacak yok",
    "mokra droga", "estrada molhada", "system bled",
]  # fmt: skip


@pytest.mark.parametrize("text", [*WET, *UNFIT, *NOT_DRIVEN, *AMISS])
def test_neither_question_is_cleared_beside_it(text: str) -> None:
    """It may leave one question or both, or one wheel, open: never both answered by no but where it stops."""
    found = answered(f"{HEAD}# {text}\n{TABLE}")
    assert found.flagged
    assert (found.drag, found.idle) != ("no", "no") or found.urgent


@pytest.mark.parametrize("text", INNOCENT)
def test_what_is_of_something_else_leaves_a_healthy_log_healthy(text: str) -> None:
    """As a comment, and as a note in the rows of a wheel."""
    assert answered(f"{HEAD}# {text}\n{TABLE}") == CLEARED
    assert answered(with_column("note", {"RR": f'"{text}"'})) == CLEARED
