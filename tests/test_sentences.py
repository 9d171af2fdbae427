"""Temperatures and corners inside sentences, as a page shows them."""

from __future__ import annotations

import pickle

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec import Struct

from thermlog.words.sentences import (
    Degrees,
    Page,
    Sentence,
    capital,
    degc,
    kelvin,
    named,
    on_page,
    sentence,
    with_article,
)

ENDS = kelvin(73, bare=True), kelvin(90)
GAP = sentence("{} is {} above {} ({} to {})", named("1L"), kelvin(81.4), named("1R"), *ENDS)
CELSIUS, FAHRENHEIT = Page(unit="C"), Page(unit="F")
NOTE = sentence("a brake reads {}", degc(640.0))


class Finding(Struct, frozen=True, kw_only=True):
    name: str
    why: tuple[str, ...]
    below: Finding | None = None


def test_by_itself_it_speaks_kelvin_and_celsius():
    assert GAP == "1L is 81 K above 1R (73 to 90 K)"
    assert NOTE == "a brake reads 640 °C"


def test_differences_lose_the_32_and_round_once():
    # 81.4 K are 146.52 °F; 81 K would be 145.8
    assert on_page(GAP, FAHRENHEIT) == "1L is 147 °F above 1R (131 to 162 °F)"
    assert on_page(GAP, CELSIUS) == "1L is 81 °C above 1R (73 to 90 °C)"
    assert on_page(NOTE, FAHRENHEIT) == "a brake reads 1184 °F"  # 640 · 9/5 + 32


def test_sentences_in_sentences_follow():
    told = sentence("{}: walk round again", sentence("{}, rises {} to 1", GAP, "1.9"))
    assert (
        on_page(told, FAHRENHEIT) == "1L is 147 °F above 1R (131 to 162 °F), rises 1.9 to 1: walk round again"
    )


def test_corners_are_named_by_the_axles_of_the_vehicle():
    both = sentence("{} not read", named("2L", "2R"))
    assert both == "2L and 2R not read"
    assert on_page(both, Page(axle_count=2)) == "rear left and rear right not read"
    assert on_page(both, Page(axle_count=5)) == "axle 2 left and axle 2 right not read"
    assert on_page(capital(both), Page(axle_count=2)) == "Rear left and rear right not read"


def test_digits():
    ends = (kelvin(end, bare=True) for end in (5.2, -0.3, 11))
    assert sentence("{} ({} to {})", *ends) == "5 (0 to 11)"
    assert sentence("{} {}", degc(18.333, digits=None), degc(18.25, digits=1)) == "18.33 °C 18.2 °C"


@given(
    st.floats(-1e4, 1e4) | st.integers(-99, 99).map(lambda n: n / 20),
    st.sampled_from((0, 1)),
)
def test_no_zero_has_a_minus_and_halves_go_as_round_has_them(value, digits):
    shown = Degrees(value=value, step=True, digits=digits, bare=True).text(None)
    assert shown == format(round(value, digits) + 0.0, f".{digits}f")


def test_text_in_the_unit_is_plain_and_stays():
    shown = on_page(GAP, FAHRENHEIT)
    assert not isinstance(shown, Sentence)
    assert on_page(shown, CELSIUS) == shown


def test_records_and_tuples_are_gone_through_and_the_rest_stays_itself():
    plain = Finding(name="front", why=("read again",))
    found = Finding(name="rear", why=(GAP, "plain"), below=Finding(name="hub", why=(NOTE,)))
    shown = on_page((plain, found), FAHRENHEIT)
    assert shown[0] is plain
    assert shown[1].why == (on_page(GAP, FAHRENHEIT), "plain")
    assert shown[1].below.why == ("a brake reads 1184 °F",)
    assert found.why[0] is GAP


def test_travels_between_processes():
    again = pickle.loads(pickle.dumps(sentence("{{{}}}", GAP)))  # noqa: S301 - our own
    assert again == "{1L is 81 K above 1R (73 to 90 K)}"
    assert on_page(again, FAHRENHEIT) == "{1L is 147 °F above 1R (131 to 162 °F)}"


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (sentence("not enough heat: {} needed", kelvin(30)), "Not enough heat: 30 K needed"),
        (sentence("{}: read again", sentence("too few {}", "readings")), "Too few readings: read again"),
        (GAP, str(GAP)),
        (sentence("{} above ambient", kelvin(12)), "12 K above ambient"),
        ("", ""),
    ],
)
def test_capital_keeps_the_temperatures(text, expected):
    assert capital(text) == expected
    assert isinstance(capital(text), Sentence) == isinstance(text, Sentence)


@given(st.floats(-300.0, 900.0))
def test_celsius_shows_the_same_number_as_kelvin(value):
    text = sentence("{}", kelvin(value))
    assert on_page(text, CELSIUS) == text.replace(" K", " °C")
    assert "-0 " not in text


@pytest.mark.parametrize(
    ("noun", "said"),
    [
        ("floating caliper", "a floating caliper"),
        ("hydraulic drum", "a hydraulic drum"),
        ("air disc", "an air disc"),
        ("overrun or electric trailer drum", "an overrun or electric trailer drum"),
        ("S-cam air drum", "an S-cam air drum"),
        ("solid disc", "a solid disc"),
    ],
)
def test_an_article_follows_the_sound_of_its_noun(noun, said):
    assert with_article(noun) == said
