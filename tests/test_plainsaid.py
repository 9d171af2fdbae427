"""Comments that say no more than they state: none of them tells anything to the module that hears remarks."""

from __future__ import annotations

from itertools import product

import pytest

from thermlog.reading import beheld
from thermlog.reading.files.comments import Comment
from thermlog.reading.positions.resolve import spot_of
from thermlog.reading.remarks.alarms import alarms_of, said_idle, said_stuck
from thermlog.reading.remarks.heatsaid import over_said
from thermlog.reading.remarks.plainsaid import _WORDS, MADE_UP, says_no_more
from thermlog.reading.spottitles import titled_spot
from thermlog.reading.vocabulary import DRIVES_BY_WORD, KEYS

FIGURES = [f"{tenths / 10:.1f}" for tenths in range(-400, 1300, 7)] + [*map(str, range(-40, 130))]


def keys_of(kind: str) -> list[str]:
    return [word for word, key in KEYS.items() if key == kind]


@pytest.fixture(autouse=True)
def all_heard(monkeypatch):
    """Nothing is passed over while it is asked whether it may be."""
    monkeypatch.setattr(beheld, "says_no_more", lambda _: False)


def tells(text: str) -> bool:
    return bool(beheld.told_apart([Comment(line=1, text=text)])[1]) or titled_spot(text) is not None


@pytest.mark.parametrize(
    ("kind", "values"),
    [
        ("drive", [*DRIVES_BY_WORD]),
        ("ambient", [f"{figure}{unit}" for figure, unit in product(FIGURES[::9], ("", " C", "F", " K"))]),
        ("parking_brake", ["1", "2", "12"]),
        ("split", ["diagonal", "front rear"]),
        ("tyre_radius", ["0.50 m", "0.5", ".31 m", "0.3"]),
        ("label", [*map(str, (*range(130), 315, 1998, 20310504, 10**18))]),
    ],
)
def test_what_says_no_more_tells_nothing(kind, values):
    """Every key of a kind, every word for a drive, figures from -40 to 130."""
    texts = [f"{key}: {value}" for key, value in product(keys_of(kind), values)]
    plain = [text for text in texts if says_no_more(text)]

    assert len(plain) >= 0.3 * len(texts)
    assert [text for text in plain if tells(text)] == []


@pytest.mark.parametrize("kind", ["axles", "brakes", "weight"])
def test_bare_descriptions_tell_nothing(kind):
    """All words of them, one to three in a line: what is heard is heard in runs of few words."""
    lines = [" ".join(some) for count in (1, 2, 3) for some in product(sorted(_WORDS), repeat=count)]

    assert all(says_no_more(f"{keys_of(kind)[0]}: {line}") for line in lines)
    assert [line for line in sorted(lines) if tells(f"{keys_of(kind)[0]}: {line}")] == []


def test_every_figure_of_an_air_temperature_tells_nothing():
    assert [text for one in FIGURES if tells(text := f"ambient: {one} C") or not says_no_more(text)] == []


@pytest.mark.parametrize("key", sorted(MADE_UP))
@pytest.mark.parametrize("fault", ["slide pins seized at the front left", "dead brake, RR cold", "too hot"])
def test_what_was_made_up_tells_its_fault_to_nobody(key, fault):
    assert says_no_more(f"{key}: {fault}")
    assert not tells(f"{key}: {fault}")
    assert not says_no_more(f"{key}: smoke at RR")
    assert tells(f"{key}: smoke at RR")


@pytest.mark.parametrize("name", ["delivery van 12", "two axle lorry 5", "4x4 van", "blue", "fire engine 3"])
def test_a_name_that_says_no_more_tells_nothing(name):
    assert all(says_no_more(f"{key}: {name}") for key in keys_of("vehicle"))
    assert not any(tells(f"{key}: {name}") for key in keys_of("vehicle"))


def test_a_vehicle_whose_name_was_taken_out_tells_nothing():
    """`plainlogs` puts the sign in its place before it asks."""
    assert [key for key in keys_of("vehicle") if tells(f"{key}: §")] == []


@pytest.mark.parametrize(
    "text",
    ["axles: steer seized", "brakes: drum LF", "brakes: hot", "axles: 2", "split: rear",
     "brake split: diagonal",
     "drive: no braking", "drive: 100 m", "ambient: hot", "ambient: 18 C, RR hot", "ambient: 1234567",
     "seed: 1L", "remark: 5", "drive normal", "simulated", "5", "vehicle: van 7 RR",
     "vehicle: van 7 smoking", "vehicle: van (7)"],
)  # fmt: skip
def test_whatever_else_a_comment_says_is_heard(text):
    assert not says_no_more(text)


@pytest.mark.parametrize(
    "word", ["drum", "disc", "rotor", "caliper", "hub", "rim", "tyre", "Trommel", "Nabe", "Felge", "disque"]
)
def test_a_word_for_a_part_in_a_cell_is_no_remark(word):
    """`remarks` passes it over: what it would be held against finds nothing in it."""
    assert spot_of(word) is not None
    assert not any(one(word) for one in (beheld.is_remark, said_stuck, said_idle, over_said))
    assert alarms_of(word, at_wheel=True) == ()
