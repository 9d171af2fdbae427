"""What else a gap between left and right can be, with the share of each."""

from __future__ import annotations

import math

from thermlog.judging.axlenumbers import AxleNumbers
from thermlog.words.policy import Policy
from thermlog.words.reasons import Reason

_ROOT_2_PI = math.sqrt(2.0 * math.pi)
_MISSED_SHARE = 0.05  # from here on that a shot missed is worth another round; engineering judgement


def gap_open(numbers: AxleNumbers, policy: Policy) -> Reason:
    """A gap whose odd side is open: one side drags, the other idles, skins are unlike, or a reading is off.

    Parameters
    ----------
    numbers : AxleNumbers
    policy : Policy

    Returns
    -------
    Reason
        Shares add up to one. What neither drags nor idles is shared out between unlike surfaces and a shot
        that missed, by how well each explains the gap.
    """
    hot, cold = numbers.hot_cold
    drags, idle = hot.p_hot, cold.p_cold
    scale = max(drags + idle, 1.0)
    drags, idle = drags / scale, idle / scale
    rest = max(1.0 - drags - idle, 0.0)
    off = rest * _missed(numbers, policy)
    shares = {"share_drag": drags, "share_idle": idle, "share_skins": rest - off, "share_reading": off}
    return Reason(code="gap_open", corners=(hot.corner, cold.corner), numbers=numbers.gap_numbers | shares)


def all_hit(gap: Reason) -> bool:
    """True for an open gap that no missed shot explains: another round, which finds that, leaves it open.

    Parameters
    ----------
    gap : Reason
        Others than those of `gap_open` hold no share, and are not.
    """
    return gap.numbers.get("share_reading", 1.0) < _MISSED_SHARE


def _missed(numbers: AxleNumbers, policy: Policy) -> float:
    """Share of "a shot missed" beside "healthy brakes with unlike surfaces"."""
    hot, cold = numbers.hot_cold
    level_k, gap_k = hot.rise_k or 0.0, numbers.size_k
    spread_k = math.sqrt(2.0) * math.hypot(policy.side_spread_fraction * level_k, policy.side_spread_k) + 1e-9
    unlike = math.sqrt(2.0) * policy.skins_unlike_part * numbers.skin_fraction * level_k
    sigma_k = math.hypot(spread_k, unlike)
    healthy = math.exp(-0.5 * (gap_k / sigma_k) ** 2) / sigma_k / _ROOT_2_PI
    votes = 1 if hot.in_doubt or cold.in_doubt else min(hot.used, cold.used)
    missed = policy.miss_share ** max(votes, 1) / (level_k + 10.0)
    return missed / (missed + healthy)
