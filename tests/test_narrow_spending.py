"""What will be done in any case costs nothing more when it is done now: against plain sums from the cards."""

from __future__ import annotations

import numpy as np
import pytest
from advicecases import HEAVY_DRUMS, LIGHT_TRAILER, log_evidence

from thermlog.advice.board import believed
from thermlog.advice.choosing import askable
from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.search import advanced, begun
from thermlog.advice.spending import confirming_p, extra_min, minutes_with, waiting_min

TABLE = evidence_table()
LORRY = log_evidence("corner_cold", "2L", vehicle=HEAVY_DRUMS)
SEARCHES = [
    (log_evidence("corner_hot", "1L"), {"brake_kind": "hyd_disc_floating"}),
    (
        log_evidence("corner_hot", "1L"),
        {"brake_kind": "hyd_disc_floating", "on_stands": "yes", "wear_pads": "even"},
    ),
    (LORRY, {}),
    (LORRY, {"stroke": "within_limit", "on_stands": "yes"}),
    (log_evidence("corner_hot", "2L", vehicle=HEAVY_DRUMS), {"gauge_chamber": "air_left"}),
    (log_evidence("corner_cold", "1L", vehicle=LIGHT_TRAILER), {"brake_kind": "electric_drum"}),
]


class Weighed:
    """A search with what may be asked, the minutes of each, and what of them is extra."""

    def __init__(self, evidence, found):
        self.search = begun(evidence)
        for check, answer in found.items():
            self.search = advanced(self.search, check, answer)
        now = askable(self.search, ())
        self.board, self.able = now.board, now.able
        self.minutes = minutes_with(self.search, self.board, now.before) + waiting_min(
            self.search, self.board
        )
        self.needed = confirming_p(self.search, self.board, self.able, self.minutes)
        self.extra = extra_min(self.search, self.board, self.able, self.minutes)

    def share(self, *causes: str) -> float:
        return sum(believed(self.search.situation)[list(TABLE.causes).index(one)] for one in causes)

    def of(self, values, check: str) -> float:
        return float(values[self.board.at[check]])


@pytest.mark.parametrize(("evidence", "found"), SEARCHES)
def test_extra_minutes_are_never_more_than_all_and_never_less_than_none(evidence, found):
    it = Weighed(evidence, found)
    assert np.all(it.extra >= -1e-9)  # rounding of a sum
    assert np.all(it.extra <= it.minutes + 1e-9)
    assert np.all((it.needed >= 0.0) & (it.needed <= 1.0 + 1e-9))
    assert not it.needed[~it.able].any()  # what may not be asked confirms nothing
    assert (it.extra < it.minutes - 0.1).any()


def test_a_soaked_lining_is_confirmed_by_nothing_but_a_look_at_it():
    """From the cards; linings that are not bedded are confirmed by the same look."""
    it = Weighed(LORRY, {"stroke": "within_limit"})
    assert {one.check for one in TABLE.causes["lining_contaminated"].confirms} == {"lining_surface"}
    looked_at = it.share("lining_contaminated", "pads_not_bedded")
    assert it.of(it.needed, "lining_surface") == pytest.approx(looked_at)


def test_what_confirms_a_likely_cause_is_nearly_free_and_what_shares_its_lifting_cheaper():
    it = Weighed(LORRY, {"stroke": "within_limit", "visual": "nothing_seen", "hold_grips_air": "turns"})
    own = TABLE.observations["lining_surface"].minutes
    off = TABLE.setup_min["wheel_off_heavy"]
    lift = it.of(it.minutes, "lining_surface") - own - off  # lifting, where the axle is not on stands yet
    p_off = sum(it.of(it.needed, check) for check in it.board.at if "wheel_off" in needs(check))
    p_lift = sum(it.of(it.needed, check) for check in it.board.at if "lift" in needs(check))
    p_own = it.of(it.needed, "lining_surface")
    expected = own * (1 - p_own) + off * (1 - p_off) + lift * (1 - p_lift)
    assert 0.3 < p_own <= p_off < 1.0
    assert it.of(it.extra, "lining_surface") == pytest.approx(expected)


def needs(check: str) -> tuple[str, ...]:
    one = TABLE.observations.get(check)
    return tuple(one.needs) if one else ()


def test_both_rungs_of_a_ladder_are_needed_and_one_that_was_climbed_no_more():
    """A restricted air hose is named by air left at the chamber and none before the hose."""
    hot = log_evidence("corner_hot", "2L", vehicle=HEAVY_DRUMS)
    both = {one.check for one in TABLE.causes["air_hose_restricted"].confirms}
    assert both == {"gauge_chamber", "gauge_modulator"}
    begin = Weighed(hot, {})
    for check in both:
        assert begin.of(begin.needed, check) >= begin.share("air_hose_restricted") > 0.0
    climbed = Weighed(hot, {"gauge_chamber": "air_left"})
    assert climbed.of(climbed.needed, "gauge_modulator") >= climbed.share("air_hose_restricted") > 0.0
    assert climbed.of(climbed.needed, "gauge_chamber") == 0.0
