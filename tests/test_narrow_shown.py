"""The part itself seen at fault in the open brake ends the search.

What a careful technician accepts, written down before: with the broken spring in his hand, or one piston of
four that stays while the others move, he has found it. He looks once more, says what to do and what else to
look at, and takes nothing further apart; unless something else that is still listed shows the same.
"""

from __future__ import annotations

import pytest
from test_narrow_dead import of_kind, walked
from test_narrow_settles import share, told

from thermlog.advice.choosing import choose, is_confirmed
from thermlog.advice.closing import is_shown_by
from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.search import Search
from thermlog.advice.twice import is_again
from thermlog.advice.weighing import cause_weights, rows, weights_of


@pytest.fixture
def rule() -> dict[str, float]:
    """The numbers that the search goes by now: a test before may have had the table read anew."""
    return evidence_table().rule


def one_piston() -> Search:
    return told(
        of_kind("hyd_disc_fixed", "corner_hot", "1L"),
        "on_stands=yes", "spin_hot=drags_evenly", "visual=nothing_seen", "stood=in_use", "frees_jerk=no_jerk",
        "bleeder_frees=no_change", "each_piston=one_stiff",
    )  # fmt: skip


def ends(search: Search) -> bool:
    """True where nothing but the same check once more is asked before the cause is named."""
    while (one := choose(search).asked) is not None:
        if not is_again(one.key):
            return False
        search = told(search, f"{one.key}={search.told[one.key.removesuffix('_again')]}")
    return choose(search).ending == "settled"


@pytest.mark.parametrize(("part", "ended"), [(0.9999, True), (1.0001, False)])
def test_one_piston_that_stays_ends_the_search_from_the_share_of_the_rule_on(monkeypatch, rule, part, ended):
    """Just above and just below the line; all other lines are out of reach."""
    search = one_piston()
    monkeypatch.setitem(rule, "settled_share", 2.0)
    monkeypatch.setitem(rule, "confirmed_share", 2.0)
    monkeypatch.setitem(rule, "again_gain", 2.0)  # no second time
    monkeypatch.setitem(rule, "shown_share", share(search, "one_piston_stuck") * part)
    assert next(iter(cause_weights(search.situation))) == "one_piston_stuck"
    assert ends(search) is ended


@pytest.mark.parametrize(("part", "shown"), [(1.001, True), (0.999, False)])
def test_what_another_listed_cause_shows_too_is_no_part_found(monkeypatch, rule, part, shown):
    """A caliper stuck all over is listed beside it, and is taken for one piston in one case of ten."""
    search = one_piston()
    asked = evidence_table().observations["each_piston"]
    most = max(asked.likelihood("one_stiff", cause) for cause in ("piston_stuck_on", "piston_stuck_off"))
    ratio = most / asked.likelihood("one_stiff", "one_piston_stuck")
    monkeypatch.setitem(rule, "shown_ratio", ratio * part)
    weights = weights_of(search.situation)
    assert is_shown_by(dict(search.situation.told), "one_piston_stuck", weights) is shown


@pytest.mark.parametrize(("part", "shown"), [(1.001, True), (0.999, False)])
def test_only_what_is_still_listed_can_take_it_away(monkeypatch, rule, part, shown):
    """Wrong parts come with a spring in the wrong hole in three cases of ten: they count while listed."""
    search = told(of_kind("hyd_drum", "corner_hot", "1L"), "on_stands=yes", "shoe_springs=broken")
    weights = weights_of(search.situation)
    ratio = weights[rows().causes.index("wrong_parts")] / weights.max()
    monkeypatch.setitem(rule, "least_ratio", float(ratio) * part)
    assert is_shown_by(dict(search.situation.told), "shoe_return_weak", weights) is shown


@pytest.mark.parametrize(
    ("kind", "cause", "seen"),
    [
        ("hyd_disc_fixed", "one_piston_stuck", "each_piston"),
        ("heavy_hyd_disc", "one_piston_stuck", "each_piston"),
        ("overrun_drum", "shoe_return_weak", "shoe_springs"),
        ("air_drum_scam", "air_shoe_spring", "shoe_springs"),
    ],
)
def test_nothing_is_taken_further_apart_once_the_part_was_seen(kind, cause, seen):
    """From 70 % on nothing follows but the same look once more."""
    ended = walked(of_kind(kind, "corner_hot", "1L"), cause)
    order = list(ended.told)
    after = [one for n, one in enumerate(order) if n > order.index(seen)]
    for n, one in enumerate(after):
        before = of_kind(kind, "corner_hot", "1L")
        for each in order[: order.index(seen) + 1 + n]:
            before = told(before, f"{each}={ended.told[each]}")
        assert is_again(one) or share(before, cause) < evidence_table().rule["shown_share"], after
    assert choose(ended).ending == "settled"
    assert is_confirmed(ended)


def test_what_is_felt_with_the_wheel_on_is_no_part_seen():
    """A jerk that freed it is shown by hardly anything else, and yet no part was in view."""
    search = told(of_kind("hyd_drum", "corner_hot", "1L"), "stood=stood", "on_stands=yes", "frees_jerk=jerk")
    assert next(iter(cause_weights(search.situation))) == "rust_bound"
    assert is_confirmed(search)
    assert not is_shown_by(dict(search.situation.told), "rust_bound", weights_of(search.situation))
