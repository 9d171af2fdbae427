"""One axle in numbers made by hand, for the tests of its verdict; every number invented."""

from msgspec.structs import replace

from thermlog.judging.axlenumbers import AxleNumbers, SideNumbers
from thermlog.judging.verdict import AxleVerdict, judge_axle
from thermlog.words.policy import load_policy

POLICY = load_policy("light")
LEFT = SideNumbers(
    corner="1L", rise_k=100.0, rise_high_k=104.0, p_hot=0.01, p_cold=0.01,
    readings=4, used=4, rising=False, unchanged=False, tau_s=1800.0,
)  # fmt: skip
EVEN = AxleNumbers(
    axle=1,
    left=LEFT,
    right=replace(LEFT, corner="1R"),
    difference_k=0.0,
    difference_interval_k=(-5.0, 5.0),
    ratio=1.0,
    ratio_interval=(0.95, 1.05),
    log_tau_sigmas=0.0,
    others_warm=True,
    ambient_known=True,
    coast=False,
    lifted=False,
)


GONE = {
    "readings": 0, "used": 0, "rise_k": None, "rise_high_k": None, "tau_s": None, "p_hot": 0.0, "p_cold": 0.0,
}  # fmt: skip


def judged(left=None, right=None, *, policy=POLICY, **about) -> AxleVerdict:
    """The even axle with some numbers changed."""
    numbers = replace(
        EVEN, left=replace(EVEN.left, **(left or {})), right=replace(EVEN.right, **(right or {})), **about
    )
    return judge_axle(numbers, policy)


def unlike(hot=0.0, cold=0.0, *, left_hotter=True, ratio=2.0, difference_k=50.0, hot_k=100.0, **about):
    """An axle whose hotter side is hot with probability `hot`, its cooler side cold with `cold`."""
    upper = {"rise_k": hot_k, "rise_high_k": hot_k + 4.0, "p_hot": hot}
    lower = {"rise_k": hot_k / ratio, "rise_high_k": hot_k / ratio + 4.0, "p_cold": cold}
    lower |= about.pop("cooler", {})
    sign = 1.0 if left_hotter else -1.0
    about = {
        "difference_k": sign * difference_k,
        "difference_interval_k": tuple(sorted((sign * (difference_k - 5.0), sign * (difference_k + 5.0)))),
        "ratio": ratio,
        "ratio_interval": (ratio - 0.1, ratio + 0.1),
    } | about
    sides = (upper, lower) if left_hotter else (lower, upper)
    return judged(*sides, **about)


def three(verdict: AxleVerdict) -> tuple[str, str, str]:
    return verdict.finding.verdict, verdict.left, verdict.right


def why(verdict: AxleVerdict) -> str:
    return " | ".join(verdict.finding.why)
