"""The verdict of one axle, branch by branch, from numbers made by hand; marks are those of the light policy.

Every number here is invented; the marks that they sit on are read from the policy itself.
"""

import pytest
from msgspec.structs import replace
from verdictcases import GONE, judged, three, unlike, why

from thermlog.words.policy import load_policy

POLICY = load_policy("light")


# even


def test_even_says_the_difference_it_found():
    verdict = judged(difference_k=-3.0, difference_interval_k=(-9.0, 3.0))
    assert three(verdict) == ("even", "even", "even")
    assert verdict.finding.suspect is None
    assert why(verdict) == "no difference found: left minus right -3 K (-9 to +3)"


def test_numbers_of_the_axle_are_handed_on():
    finding = judged(ratio=1.2, ratio_interval=(1.1, 1.3), difference_k=12.0).finding
    assert (finding.axle, finding.difference_k, finding.difference_interval_k) == (1, 12.0, (-5.0, 5.0))
    assert (finding.rise_ratio, finding.rise_ratio_interval) == (1.2, (1.1, 1.3))


# lifted


def test_lifted_axle_is_cold_by_right():
    cold = {"rise_k": 3.0, "rise_high_k": 5.0, "p_cold": 0.9}
    verdict = judged(cold, cold, lifted=True)
    assert three(verdict) == ("even", "even", "even")
    assert why(verdict) == "cold, as a lifted or unloaded axle is"
    assert three(judged(cold, cold))[0] == "cold"


def test_lifted_axle_that_got_warm_is_judged_like_any_other():
    just = {"rise_k": POLICY.minimum_rise_k}
    assert why(judged(just, just, lifted=True)).startswith("no difference found")
    below = {"rise_k": POLICY.minimum_rise_k - 0.1}
    assert "lifted" in why(judged(below, below, lifted=True))


def test_lifted_axle_without_ambient_cannot_be_called_cold():
    cold = {"rise_k": 3.0, "rise_high_k": 5.0}
    assert three(judged(cold, cold, lifted=True, ambient_known=False))[0] == "cannot_tell"


# drive without braking


@pytest.mark.parametrize(
    ("left_k", "right_k", "three_verdicts", "suspect"),
    [
        (80.0, 10.0, ("hot", "hot", "even"), "1L"),
        (79.9, 10.0, ("watch", "watch", "even"), None),
        (10.0, 80.0, ("hot", "even", "hot"), "1R"),
        (90.0, 95.0, ("hot", "hot", "hot"), None),
        (90.0, 45.0, ("hot", "hot", "watch"), "1L"),
        (10.0, 40.0, ("watch", "even", "watch"), None),
        (41.0, 40.0, ("watch", "watch", "watch"), None),
    ],
)
def test_coast_lines_hold_for_the_rise_alone(left_k, right_k, three_verdicts, suspect):
    """Lines of the light policy: 40 K watch, 80 K drag."""
    assert (POLICY.coast_watch_k, POLICY.coast_drag_k) == (40.0, 80.0)
    verdict = judged({"rise_k": left_k}, {"rise_k": right_k}, coast=True)
    assert three(verdict) == three_verdicts
    assert verdict.finding.suspect == suspect
    line = 80 if three_verdicts[0] == "hot" else 40
    hottest = max(left_k, right_k)
    assert why(verdict) == f"{hottest:.0f} K above ambient after a drive without braking (line {line} K)"


def test_coast_below_the_lines_is_judged_by_side_too():
    verdict = unlike(hot=0.9, hot_k=39.0, ratio=3.0, difference_k=26.0, coast=True)
    assert three(verdict) == ("hot", "hot", "even")
    assert "stands out hot" in why(verdict)


@pytest.mark.parametrize("silent", [GONE, {"rise_k": None, "rise_high_k": None, "rising": True}])
def test_coast_lines_need_no_mate(silent):
    verdict = judged({"rise_k": 120.0}, silent, coast=True, difference_k=None, ratio=None)
    assert three(verdict) == ("hot", "hot", "cannot_tell")
    assert verdict.finding.suspect == "1L"
    cool = judged({"rise_k": 12.0}, silent, coast=True, difference_k=None, ratio=None)
    assert three(cool) == ("cannot_tell", "cannot_tell", "cannot_tell")


def test_coast_lines_need_the_ambient():
    verdict = judged({"rise_k": 120.0}, {"rise_k": 10.0}, coast=True, ambient_known=False)
    assert three(verdict) == ("cannot_tell", "cannot_tell", "cannot_tell")


def test_cool_brakes_after_coasting_are_even_not_too_cold_to_tell():
    cool = {"rise_k": 8.0, "rise_high_k": 10.0}
    assert three(judged(cool, cool, coast=True)) == ("even", "even", "even")
    assert three(judged(cool, cool)) == ("cannot_tell", "cannot_tell", "cannot_tell")


# both sides


@pytest.mark.parametrize(("p", "verdict"), [("p_hot", "hot"), ("p_cold", "cold")])
def test_both_sides_odd_beside_the_rest(p, verdict):
    at = {p: POLICY.flag_probability}
    found = judged(at, at)
    assert three(found) == (verdict, verdict, verdict)
    assert found.finding.suspect is None
    assert f"both sides {verdict} against the other axles" in why(found)
    below = {p: POLICY.flag_probability - 1e-6}
    assert three(judged(at, below)) == ("watch", "watch", "watch")
    assert three(judged(below, at)) == ("watch", "watch", "watch")


@pytest.mark.parametrize(("p", "word"), [("p_hot", "warmer"), ("p_cold", "cooler")])
def test_both_sides_a_little_odd_are_watched(p, word):
    at = {p: POLICY.watch_probability}
    assert three(judged(at, at)) == ("watch", "watch", "watch")
    assert f"both sides {word} than the other axles let expect" in why(judged(at, at))
    assert three(judged(at, {p: POLICY.watch_probability - 1e-6}))[0] == "even"


def test_axle_is_cold_only_beside_axles_that_got_warm():
    cold = {"rise_k": 10.0, "rise_high_k": 12.0, "p_cold": 0.9}
    assert three(judged(cold, cold, others_warm=True))[0] == "cold"
    assert three(judged(cold, cold, others_warm=False))[0] == "cannot_tell"
    cooler = {"p_cold": POLICY.watch_probability}
    assert three(judged(cooler, cooler, others_warm=True))[0] == "watch"
    assert three(judged(cooler, cooler, others_warm=False))[0] == "even"
    hot = {"p_hot": 0.9}
    assert three(judged(hot, hot, others_warm=False))[0] == "hot"


# one side


@pytest.mark.parametrize("left_hotter", [True, False])
def test_hot_side(left_hotter):
    verdict = unlike(hot=0.9, left_hotter=left_hotter)
    hot, cold = ("1L", "1R") if left_hotter else ("1R", "1L")
    assert three(verdict) == (("hot", "hot", "even") if left_hotter else ("hot", "even", "hot"))
    assert verdict.finding.suspect == hot
    assert why(verdict) == (
        f"{hot} stands out hot: {hot} is 50 K above {cold} (45 to 55), rises 2.0 to 1; "
        f"the other brakes side with {cold}"
    )


@pytest.mark.parametrize("left_hotter", [True, False])
def test_cold_side(left_hotter):
    verdict = unlike(cold=0.9, left_hotter=left_hotter)
    cold = "1R" if left_hotter else "1L"
    assert three(verdict) == (("cold", "even", "cold") if left_hotter else ("cold", "cold", "even"))
    assert verdict.finding.suspect == cold
    assert why(verdict).startswith(f"{cold} stands out cold: ")


@pytest.mark.parametrize("kind", ["hot", "cold"])
def test_marks_of_ratio_difference_and_probability_are_reached_exactly(kind):
    at = {
        "ratio": POLICY.suspect_ratio,
        "difference_k": POLICY.suspect_difference_k,
        kind: POLICY.flag_probability,
    }
    lenient = replace(POLICY, cold_fraction=1.0)  # so that a ratio of 1.5 alone can be a cold side
    assert three(unlike(**at, policy=lenient))[0] == kind
    for key, value in at.items():
        short = at | {key: value - 1e-6}
        assert three(unlike(**short, policy=lenient))[0] == "watch", key


def test_ratio_without_end_counts_as_beyond_every_mark():
    verdict = unlike(hot=0.9, ratio=20.0, difference_k=95.0)
    endless = judged(
        {"p_hot": 0.9}, {"rise_k": 1.0}, difference_k=95.0, ratio=None, ratio_interval=None,
        difference_interval_k=(90.0, 100.0),
    )  # fmt: skip
    assert three(endless) == three(verdict) == ("hot", "hot", "even")
    assert "rises" not in why(endless)
    assert "1L is 95 K above 1R (90 to 100)" in why(endless)


def test_large_ratio_of_small_numbers_is_not_called():
    """Both marks must be passed: 12 K against 3 K is four to one and means nothing."""
    assert three(unlike(hot=0.9, ratio=4.0, difference_k=9.0, hot_k=12.0))[0] == "cannot_tell"


def test_cold_needs_a_warm_mate_and_a_really_low_side():
    """A cooler side above its part of the mate's rise, or a mate without heat, leaves the side open."""
    at_line = unlike(cold=0.9, hot_k=100.0, ratio=2.0, difference_k=50.0, cooler={"rise_k": 60.0})
    above_line = unlike(cold=0.9, hot_k=100.0, ratio=2.0, difference_k=50.0, cooler={"rise_k": 60.1})
    assert (three(at_line)[0], at_line.finding.suspect) == ("cold", "1R")
    assert above_line.finding.suspect is None
    warm = unlike(cold=0.9, hot_k=POLICY.minimum_rise_k, ratio=4.0, difference_k=22.5)
    cool = unlike(cold=0.9, hot_k=POLICY.minimum_rise_k - 0.1, ratio=4.0, difference_k=22.5)
    assert (warm.finding.suspect, cool.finding.suspect) == ("1R", None)


def test_open_side_says_so_and_how_to_decide():
    verdict = unlike(hot=0.5, cold=0.4)
    assert three(verdict) == ("hot", "watch", "watch")
    assert verdict.finding.suspect is None
    assert "open whether 1L drags or 1R does nothing" in why(verdict)
    assert "a drive without braking decides" in why(verdict)
    assert three(unlike(hot=0.4, cold=0.5)) == ("cold", "watch", "watch")


@pytest.mark.parametrize("left_hotter", [True, False])
@pytest.mark.parametrize(
    ("hot_k", "cold_k", "verdict"),
    [
        (POLICY.coast_watch_k, 26.0, "hot"),
        (POLICY.coast_watch_k - 0.1, 26.0, "cold"),
        (60.0, 60.0 / POLICY.suspect_ratio, "hot"),
        (60.0, 60.0 / POLICY.suspect_ratio + 0.1, "open"),
        (20.0, POLICY.coast_watch_k, "open"),
        (2.0, 3.0, "cold"),
    ],
)
def test_coast_drive_settles_an_open_side(hot_k, cold_k, verdict, left_hotter):
    """A drag keeps its side above the line and above its mate; a side without force lets both sink."""
    rises = (hot_k, cold_k) if left_hotter else (cold_k, hot_k)
    call = unlike(hot=0.5, cold=0.4, coast_rises_k=rises, left_hotter=left_hotter)
    hot, cold = ("1L", "1R") if left_hotter else ("1R", "1L")
    suspect = {"hot": hot, "cold": cold, "open": None}[verdict]
    assert call.finding.suspect == suspect
    assert (f"after the drive without braking {hot} is {hot_k:.0f} K" in why(call)) == (verdict != "open")
    if suspect is not None:
        assert (call.left, call.right)["LR".index(suspect[1])] == verdict
        assert call.finding.verdict == verdict


def test_coast_drive_calls_no_side_cold_on_a_single_reading():
    sunk = {"hot": 0.5, "cold": 0.4, "coast_rises_k": (5.0, 4.0)}
    assert unlike(**sunk).finding.suspect == "1R"
    assert unlike(**sunk, cooler={"used": 1}).finding.suspect is None
    named = unlike(hot=0.9, coast_rises_k=(5.0, 4.0))
    assert (named.finding.verdict, named.finding.suspect) == ("hot", "1L")


def test_side_is_named_from_the_share_of_the_policy_on():
    share = POLICY.side_probability
    named = unlike(hot=share * 0.75, cold=(1 - share) * 0.75 - 1e-9)
    left_open = unlike(hot=share * 0.75 - 1e-6, cold=(1 - share) * 0.75 + 1e-6)
    assert (named.finding.suspect, left_open.finding.suspect) == ("1L", None)


def test_cold_side_read_once_is_to_be_read_again():
    once = unlike(cold=0.9, cooler={"used": 1})
    assert three(once) == ("cannot_tell", "cannot_tell", "cannot_tell")
    assert "1R reads far below the others on a single reading" in why(once)
    assert "read 1R again now" in why(once)
    assert three(unlike(cold=0.9, cooler={"used": 2}))[0] == "cold"
    assert three(unlike(hot=0.9, cooler={"used": 1}))[0] == "hot"
