"""Words for fluid that comes out, a wheel that is locked, a pumped pedal and a pull, in ten languages.

All logs are invented. What a careful technician takes each remark for was written down before it was run.
"""

from __future__ import annotations

import pytest
from readcases import read

from thermlog.reading.remarks.sights import told_sights

LEAKS = [
    *(
        "leaking",
        "leaks",
        "dripping",
        "weeping",
        "Leckage",
        "tropft",
        "verliert Flüssigkeit",
        "lekt",
        "lekt olie",
    ),
    *("fuite", "perdita", "perde", "pierde", "vazamento", "cieknie", "hub oil leaking", "leak, fixed before"),
]
LOCKS = [
    *(
        "locked",
        "wheel is locked",
        "blockiert",
        "bloqué",
        "bloqueada",
        "bloccata",
        "geblokkeerd",
        "zablokowane",
    ),
    "Rad blockiert",
]


def seen(note: str) -> list[tuple[str, str | None]]:
    """What was seen in a log with a remark in the row of the rear right wheel."""
    rows = f'15,FL,119,\n30,FR,117,\n45,RR,75,"{note}"\n60,RL,74,\n'
    log = read(f"# ambient: 16 C\ntime_s,position,temp_c,note\n{rows}")
    return [(one.code, one.corner) for one in log.readings.cases[0].seen]


@pytest.mark.parametrize(("code", "note"), [*(("leak", x) for x in LEAKS), *(("locked", x) for x in LOCKS)])
def test_in_the_row_of_a_wheel_the_word_alone_is_enough(code: str, note: str) -> None:
    assert seen(note) == [(code, "2R")]


@pytest.mark.parametrize(
    ("text", "code", "place"),
    [
        ("fluid weeping at RR", "leak", "RR"),
        ("Bremsflüssigkeit tropft HR", "leak", "HR"),
        ("lekkage RR", "leak", "RR"),
        ("perdita olio RR", "leak", "RR"),
        ("loses brake fluid", "leak", ""),
        ("air leaking", "air_loss", ""),
        ("perde aria", "air_loss", ""),
        ("miękki pedał", "pedal", ""),
        ("pedal pumps up", "pedal", ""),
        ("ściąga w prawo", "pull_right", ""),
        ("tire à gauche", "pull_left", ""),
    ],
)
def test_a_comment_says_what_and_where(text: str, code: str, place: str) -> None:
    assert [(one.code, one.place) for one in told_sights(text)] == [(code, place)]


@pytest.mark.parametrize(
    "text",
    [
        *("no leaks", "not leaking", "leak-free", "dry, no leak", "kein Leck", "pas de fuite", "no drips"),
        *(
            "engine oil leak",
            "coolant leaking",
            "tyre leaking",
            "roof leaks",
            "dripping wet",
            "Stossdämpfer leckt",
        ),
        *("checked for leaks", "Leckage geprüft", "leak test", "lost oil cap", "perde potenza"),
        *(
            "locked compound",
            "locker",
            "lock nut",
            "diff locked",
            "keys locked in cab",
            "not locked",
            "unlocked",
        ),
        *("route bloquée", "Einfahrt blockiert", "tire left hot", "left tire", "pedal firm"),
    ],
)
def test_what_is_denied_or_of_something_else_is_not_seen(text: str) -> None:
    assert told_sights(text) == ()
