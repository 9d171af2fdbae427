"""A drive with braking and one without, of the same vehicle: what the two settle, and what they leave open.

Walks are made up; what each must say is engineering judgement, common practice, no source.
"""

from __future__ import annotations

from itertools import product

import pytest
from judgecases import VAN_K, Walk, all_told, described, walked
from msgspec.structs import replace

from thermlog.judging.settings import Settings
from thermlog.words.findings import Diagnosis
from thermlog.words.policy import load_policy

POLICY = load_policy("light")
CAR = described("steer", "drive")
COOL_K = dict.fromkeys(VAN_K, 8.0)
PARTS = (0.05, 0.2, 0.4, 0.6, 0.75, 0.9, 1.1, 1.3, 1.45, 1.6, 2.0, 3.0, 4.0)  # of the rise of one corner
Rises = dict[str, float]


def both(pairs: list[tuple[Rises, Rises]], walk: Walk) -> list[tuple[Diagnosis, Diagnosis]]:
    """Findings of both drives of every vehicle, judged as one batch."""
    tables = []
    for k, (normal, coast) in enumerate(pairs):
        named = replace(walk, vehicle=f"unit {k}", seed=k + 1)
        tables += [walked(normal, named), walked(coast, replace(named, drive="coast"))]
    told = all_told(tables, Settings())
    return list(zip(told[::2], told[1::2], strict=True))


def codes(reasons: tuple[object, ...]) -> list[str]:
    return [reason.code for reason in reasons]  # type: ignore[attr-defined]


@pytest.mark.parametrize("rounds", [1, 2, 4])
@pytest.mark.parametrize("description", [CAR, None])
def test_no_yes_stands_below_the_line_of_a_yes_and_no_plain_gap_is_cleared(rounds: int, description) -> None:
    """One corner after the other, from dead to four times as hot; one of both drives, or both, have it."""
    pairs = []
    for corner, part, stays in product(VAN_K, PARTS, (False, True)):
        normal = VAN_K | {corner: part * VAN_K[corner]}
        pairs.append((normal, COOL_K | {corner: 60.0} if stays else COOL_K))
    for drives in both(pairs, Walk(rounds=rounds, description=description)):
        for one in drives:
            drag, idle, _ = one.answers.each
            assert drag.answer != "yes" or (drag.p or 0.0) >= POLICY.drag_call_probability
            assert idle.answer != "yes" or (idle.p or 0.0) >= POLICY.idle_call_probability
        drag, idle, _ = drives[0].answers.each
        assert [one.answers.drag.answer for one in drives] == [drag.answer] * 2
        assert [one.answers.idle.answer for one in drives] == [idle.answer] * 2
        for axle in drives[0].axles:
            gap, ratio = axle.difference_k, axle.rise_ratio
            assert gap is not None
            past = gap.size.low is not None and gap.size.low >= POLICY.watch_difference_k
            if past and (ratio is None or ratio.value >= POLICY.watch_ratio):
                here = {f"{axle.axle}L", f"{axle.axle}R"}
                spoken = {*drag.corners, *idle.corners}
                assert here & spoken, (axle, drag, idle)


@pytest.mark.parametrize("corner", VAN_K)
@pytest.mark.parametrize("part", [1.45, 1.8, 2.2, 2.6])
def test_a_hot_brake_that_sinks_is_watched_and_its_healthy_mate_not_called(corner: str, part: float) -> None:
    """It may hold pressure after braking; that the mate idles would need a mate colder than the others."""
    normal = VAN_K | {corner: part * VAN_K[corner]}
    ((braked, coast),) = both([(normal, COOL_K)], Walk(rounds=3, description=CAR))
    for one in (braked, coast):
        assert (one.answers.drag.answer, one.answers.drag.corners) == ("watch", (corner,))
        assert codes(one.answers.drag.reasons) == ["hot_after_braking"]
        assert one.answers.drag.decides[0].code in {"repeat_drive", "cool_and_turn"}
        assert one.answers.idle.answer == "no"
        assert one.flagged


@pytest.mark.parametrize("corner", VAN_K)
def test_a_dead_brake_stays_called_beside_a_cool_drive_without_braking(corner: str) -> None:
    ((braked, _),) = both([(VAN_K | {corner: 3.0}, COOL_K)], Walk(rounds=3, description=CAR))
    assert braked.answers.drag.answer == "no"
    assert (braked.answers.idle.answer, braked.answers.idle.corners) == ("yes", (corner,))


def test_a_whole_axle_that_is_hot_after_braking_alone_is_watched() -> None:
    """Rears at three times their share: neither cleared, nor sent on the drive that was made already."""
    normal = VAN_K | {"2L": 190.0, "2R": 191.0}
    ((braked, _),) = both([(normal, COOL_K)], Walk(rounds=3, description=CAR))
    assert (braked.answers.drag.answer, braked.answers.drag.corners) == ("watch", ("2L", "2R"))
    steps = {step.code for one in braked.answers.each for step in one.decides}
    assert "coast_drive" not in steps


def test_what_the_drive_without_braking_cannot_tell_does_not_clear_what_the_other_calls() -> None:
    coast = {corner: rise_k for corner, rise_k in COOL_K.items() if corner != "2R"}
    ((braked, _),) = both([(VAN_K | {"1L": 260.0}, coast)], Walk(rounds=3, description=CAR))
    assert (braked.answers.drag.answer, braked.answers.drag.corners) == ("yes", ("1L",))
