"""The verdict of one axle where it cannot tell or only watches; marks are those of the light policy."""

import pytest
from verdictcases import GONE, judged, three, unlike, why

from thermlog.words.policy import load_policy

POLICY = load_policy("light")


# nothing to compare


@pytest.mark.parametrize(("side", "corner"), [("left", "1L"), ("right", "1R")])
def test_missing_side(side, corner):
    verdict = judged(**{side: GONE}, difference_k=None, difference_interval_k=None, ratio=None)
    assert three(verdict) == ("cannot_tell", "cannot_tell", "cannot_tell")
    assert why(verdict) == f"{corner} not read at the spot of the other side: read both sides at one spot"


def test_rising_side_says_when_to_read_again():
    verdict = judged({"rising": True, "p_hot": 0.9}, ratio=None, difference_k=90.0)
    assert three(verdict) == ("cannot_tell", "cannot_tell", "cannot_tell")
    assert why(verdict) == ("1L still rising, cooling has not begun: walk round again in about 5 minutes")
    assert "1L and 1R still rising" in why(judged({"rising": True}, {"rising": True}))


@pytest.mark.parametrize("coast", [True, False])
def test_side_that_never_changes_is_no_measurement(coast):
    held = {"unchanged": True, "rise_k": 150.0, "p_hot": 0.99}
    verdict = judged(held, {"rise_k": 20.0}, difference_k=130.0, ratio=7.5, coast=coast)
    assert three(verdict) == ("cannot_tell", "cannot_tell", "cannot_tell")
    assert why(verdict).startswith("1L: all readings alike, yet a brake that warm cools: is the gun on hold?")


def test_unknown_ambient_is_asked_for_and_gives_no_ratio():
    verdict = judged({"p_hot": 0.99}, ambient_known=False, difference_k=60.0, ratio=3.0)
    assert three(verdict) == ("cannot_tell", "cannot_tell", "cannot_tell")
    assert "# ambient: 18 C" in why(verdict)
    assert "--ambient" in why(verdict)
    assert verdict.finding.rise_ratio is None
    assert verdict.finding.rise_ratio_interval is None
    assert verdict.finding.difference_k == 60.0


# not enough heat


def test_not_enough_heat_counts_the_upper_end_of_the_warmer_side():
    def cool(high_k):
        return judged({"rise_k": 5.0, "rise_high_k": 8.0}, {"rise_k": 20.0, "rise_high_k": high_k})

    verdict = cool(POLICY.minimum_rise_k - 0.1)
    assert three(verdict) == ("cannot_tell", "cannot_tell", "cannot_tell")
    assert "at most 30 K above ambient, and 30 K above it are needed: drive 15 to 20 minutes" in why(verdict)
    assert three(cool(POLICY.minimum_rise_k))[0] == "even"


# watch


@pytest.mark.parametrize("left_hotter", [True, False])
@pytest.mark.parametrize("kind", ["hot", "cold"])
def test_watch_marks_the_odd_side_and_names_no_suspect(kind, left_hotter):
    verdict = unlike(**{kind: 0.3}, left_hotter=left_hotter)
    odd_is_left = left_hotter == (kind == "hot")
    assert three(verdict) == (("watch", "watch", "even") if odd_is_left else ("watch", "even", "watch"))
    assert verdict.finding.suspect is None
    assert "more than usual, not enough to call" in why(verdict)


def test_watch_marks_are_reached_exactly():
    at = {
        "ratio": POLICY.watch_ratio,
        "difference_k": POLICY.watch_difference_k,
        "hot": POLICY.watch_probability,
    }
    assert three(unlike(**at)) == ("watch", "watch", "even")
    for key, value in at.items():
        assert three(unlike(**at | {key: value - 1e-6}))[0] == "even", key


def test_watch_on_a_single_low_reading_is_to_be_read_again():
    verdict = unlike(cold=0.3, cooler={"used": 1})
    assert three(verdict)[0] == "cannot_tell"
    assert "single reading" in why(verdict)


# too wide

WIDE = {
    "difference_k": 5.0,
    "difference_interval_k": (-20.0, 30.0),
    "ratio": 1.05,
    "ratio_interval": (0.8, 2.0),
}


def test_interval_that_reaches_a_strong_fault_in_doubt_is_too_wide():
    verdict = judged({"p_hot": 0.15, "used": 2}, {"p_cold": 0.0, "used": 1}, **WIDE)
    assert three(verdict) == ("cannot_tell", "cannot_tell", "cannot_tell")
    assert why(verdict) == (
        "too few readings: the difference can be up to 30 K; "
        "read 1L and 1R again while they are warm (1R has 1)"
    )
    assert "(1L has 2)" in why(judged({"p_hot": 0.2, "used": 2}, {"used": 2}, **WIDE))


@pytest.mark.parametrize(
    "change",
    [
        {"difference_interval_k": (-20.0, 29.9)},
        {"ratio_interval": (0.8, 1.99)},
        {"left": {"p_hot": 0.13}},  # 0.13 + 0.01 of the mate: below the doubt of 0.15
    ],
)
def test_interval_is_not_too_wide_if_it_ends_or_nobody_doubts(change):
    doubt = {"left": {"p_hot": 0.2}} | WIDE
    assert three(judged(**doubt))[0] == "cannot_tell"
    assert three(judged(**doubt | change))[0] == "even"


def test_ratio_without_interval_does_not_excuse_a_wide_difference():
    assert three(judged({"p_hot": 0.2}, **WIDE | {"ratio_interval": None}))[0] == "cannot_tell"


# unlike cooling


def test_unlike_cooling_rates_turn_even_into_watch_and_say_why():
    ratio = POLICY.tau_unlike_ratio
    verdict = judged({"tau_s": 1800.0 * ratio * 1.001}, log_tau_sigmas=3.0)
    assert three(verdict) == ("watch", "even", "even")
    assert len(verdict.finding.why) == 2
    assert "clearly unlike rates (time constants 48 and 30 min)" in why(verdict)
    slow_right = judged({}, {"tau_s": 1800.0 * ratio * 1.001}, log_tau_sigmas=3.0)
    assert "(time constants 30 and 48 min)" in why(slow_right)


@pytest.mark.parametrize(
    ("left", "about"),
    [
        ({"tau_s": 1800.0 * POLICY.tau_unlike_ratio * 0.999}, {"log_tau_sigmas": 9.0}),
        ({"tau_s": 9000.0}, {"log_tau_sigmas": 2.99}),
        ({"tau_s": 9000.0, "used": 2}, {"log_tau_sigmas": 9.0}),
        ({"tau_s": None}, {"log_tau_sigmas": 9.0}),
    ],
)
def test_cooling_rates_that_are_not_clearly_unlike(left, about):
    verdict = judged(left, **about)
    assert three(verdict)[0] == "even"
    assert len(verdict.finding.why) == 1


def test_unlike_cooling_adds_to_a_verdict_and_never_weakens_it():
    verdict = unlike(hot=0.9, log_tau_sigmas=5.0, cooler={"tau_s": 600.0})
    assert three(verdict) == ("hot", "hot", "even")
    assert "hub feeding heat" in verdict.finding.why[1]
    assert len(judged(GONE, ratio=None, log_tau_sigmas=5.0).finding.why) == 1
