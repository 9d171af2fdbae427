"""A "no" beside what was seen counts as a denial where it is plain; else nothing is cleared by it."""

from __future__ import annotations

import pytest
from judgecases import told_text

from thermlog.reading.remarks.sights import read_sights, told_sights, unclear_denials
from thermlog.reading.statements import drive_word

SOUND = """# ambient: 18 C
{head}seconds since stop,position,temp_c,note
60,FL,80,
75,FR,81,{note}
90,RR,60,
105,RL,61,
360,FL,72,
375,FR,73,
390,RR,54,
405,RL,55,
660,FL,65,
675,FR,66,
690,RR,50,
705,RL,50,
"""
PLAIN = (
    "no smoke", "no sign of smoke", "no smoke at RF", "smoke: none", "smoke not seen", "kein Rauch",
    "no smoke or smell",
    "without any smoke", "no burning smell", "no smell of burning", "LF not smoking", "isn't smoking",
    "no smoke after repair", "pas de fumee", "nothing smoking",
)  # fmt: skip
UNCLEAR = (
    "no flames only smoke", "did not stop smoking", "smoke not from engine", "no doubt smoke",
    "smoke? not sure",
    "nicht wenig Rauch", "never seen so much smoke", "not smoking now but did",
)  # fmt: skip


@pytest.mark.parametrize("note", PLAIN)
def test_a_plain_denial_clears(note):
    found = told_text(SOUND.format(head="", note=note))

    assert (found.urgent, found.answers.drag.answer, found.flagged) == ((), "no", False)


@pytest.mark.parametrize("note", UNCLEAR)
def test_words_that_may_deny_something_else_clear_nothing(note):
    """What a technician expects: whoever wrote it is asked what was seen; no all-clear till then."""
    found = told_text(SOUND.format(head="", note=note))

    assert unclear_denials(note)
    assert found.answers.drag.answer == "cannot_tell"
    assert found.answers.drag.decides[0].code == "name_sight"


@pytest.mark.parametrize("note", UNCLEAR)
def test_the_same_stated_as_seen(note):
    found = told_text(SOUND.format(head=f"# seen: {note}\n", note=""))

    assert read_sights(note).strange or read_sights(note).found
    assert found.flagged


def test_smoke_without_fire_is_smoke():
    assert [one.code for one in told_sights("smoke without fire")] == ["smoke"]
    assert [one.code for one in read_sights("smoke without fire at RF").found] == ["smoke"]


@pytest.mark.parametrize(
    "words",
    [
        "without brakes",
        "motorway, hardly braked",
        "no braking at all",
        "ohne Bremsen",
        "sans freiner",
        "not much braking",
    ],
)
def test_a_drive_said_to_be_without_braking_is_one(words):
    assert drive_word(words) == "coast"


@pytest.mark.parametrize(
    "words", ["no traffic, normal braking", "downhill", "braked as usual", "brakes not new"]
)
def test_other_words_of_a_drive_are_not_guessed(words):
    assert drive_word(words) is None
