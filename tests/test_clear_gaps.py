"""A gap that is clear under every air there may have been is told, though nobody stated one.

All walks are invented: cooling without surprises, one corner hotter and hotter than its mate. Which gap is
clear is reckoned here from the readings alone: by the lowest air of the policy, under which two temperatures
are nearest to each other as a ratio.
"""

from __future__ import annotations

from functools import cache

import pytest
from judgecases import LORRY_K, VAN_K, Walk, axle_of, corner_of, described, told_text, walked

from thermlog.judging.diagnose import judge
from thermlog.judging.settings import Settings
from thermlog.judging.tell import tell_findings
from thermlog.words.findings import Diagnosis
from thermlog.words.policy import load_policy
from thermlog.words.tables import Drive, stack_readings
from thermlog.words.vehicle import Vehicle, mate_of

CAR, LORRY = described("steer", "drive"), described("steer", "drive", "drive", weight_class="heavy")
COLD_K = {"1L": 3.0, "1R": 1.0, "2L": 9.0, "2R": 9.0}  # hardly braked
KINDS: dict[str, tuple[dict[str, float], Vehicle | None, Drive | None]] = {
    "car": (VAN_K, CAR, "normal"),
    "undescribed car": (VAN_K, None, None),
    "car hardly braked": (COLD_K, CAR, None),
    "undescribed car hardly braked": (COLD_K, None, None),
    "car after coasting": (COLD_K, CAR, "coast"),
    "lorry": (LORRY_K, LORRY, "normal"),
    "undescribed lorry": (LORRY_K, None, None),
}
SIZES_K = tuple(float(size) for size in (*range(0, 100, 10), *range(100, 241, 20)))
WORDS = ("no", "cannot_tell", "watch", "yes")

ONE_HOT = """# weight: light
{}time_s,position,temp_c
60,FL,22
75,FR,20
90,RL,120
105,RR,28
150,FL,22
165,FR,20
180,RL,114
195,RR,27
240,FL,21
255,FR,20
270,RL,109
285,RR,27
"""
DESCRIBED = "# axles: steer drive\n# brakes: disc disc\n"


@pytest.mark.parametrize("about", ["", DESCRIBED])
def test_one_hot_wheel_is_named_without_an_air_however_much_is_said_of_the_vehicle(about: str) -> None:
    """A technician who reads 120, 114, 109 beside 28, 27, 27 °C names that wheel in any weather."""
    drag = told_text(ONE_HOT.format(about)).answers.drag

    assert drag.answer in {"watch", "yes"}
    assert drag.corners[:1] == ("2L",)
    assert "no_ambient" in {reason.code for reason in drag.reasons}


def test_the_alternatives_and_what_separates_them_are_told_beside_the_air() -> None:
    drag = told_text(ONE_HOT.format(DESCRIBED)).answers.drag

    assert drag.answer == "watch"  # the front axle as cold as the air makes no call without an air
    assert drag.reasons[0].code == "gap_open"
    shares = [value for name, value in drag.reasons[0].numbers.items() if name.startswith("share_")]
    assert sum(shares) == pytest.approx(1.0)
    steps = [step.code for step in drag.decides]
    assert {"state_ambient", "cool_and_turn"} <= set(steps)


def test_where_the_cooler_side_is_the_odd_one_under_every_air_it_is_watched_of_doing_nothing() -> None:
    """Three wheels of about 110 °C and one that stays at 27: that one has no heat in any weather."""
    rows = {"FL": (114, 98, 95), "FR": (27, 27, 27), "RL": (118, 111, 100), "RR": (107, 104, 91)}
    lines = [
        f"{60 + 60 * turn + 5 * place},{name},{temps[turn]}"
        for turn in range(3)
        for place, (name, temps) in enumerate(rows.items())
    ]
    text = "# weight: light\n" + DESCRIBED + "time_s,position,temp_c\n" + "\n".join(lines) + "\n"
    answers = told_text(text).answers

    assert (answers.idle.answer, answers.idle.corners) == ("watch", ("1R",))
    assert "1L" not in answers.drag.suspected


@cache
def growing(kind: str, corner: str, rounds: int) -> tuple[Diagnosis, ...]:
    """The same walk without an air, with one corner hotter and hotter."""
    base, vehicle, drive = KINDS[kind]
    walks = [
        walked(
            {**base, corner: base[corner] + size},
            Walk(rounds=rounds, drive=drive, description=vehicle, ambient_stated=False, vehicle=f"{size:g}"),
        )
        for size in SIZES_K
    ]
    judged = judge(stack_readings(walks), Settings())
    return tuple(tell_findings(judged, k) for k in range(len(walks)))


def is_clear(one: Diagnosis, corner: str) -> bool:
    """Past both watch marks by the lowest air, which makes the ratio of two rises the least.

    What is printed was fitted with another air than the lowest: nearer to a mark than that moves it nothing
    is asked for.
    """
    policy, gap = load_policy(one.policy.name), axle_of(one, int(corner[:-1])).difference_k
    hot, cold = (corner_of(one, name).at_common_degc for name in (corner, mate_of(corner)))
    if gap is None or gap.interval is None or hot is None or cold is None:
        return False
    least_k = min(abs(end) for end in gap.interval)
    low = policy.unstated_air_low_degc
    apart = hot.value - low >= 1.05 * policy.watch_ratio * (cold.value - low)
    return apart and hot.value > cold.value and least_k >= policy.watch_difference_k + 2.0


def strength(one: Diagnosis, corner: str) -> int:
    """How much is said of one gap: by the question of its hotter side, or by that of the cooler one."""
    asked = ((one.answers.drag, corner), (one.answers.idle, mate_of(corner)))
    words = [
        a.answer if named in a.corners else "watch" for a, named in asked if named in {*a.corners, *a.beside}
    ]
    return max(map(WORDS.index, words), default=0)


@pytest.mark.parametrize("rounds", [1, 2, 3])
@pytest.mark.parametrize(
    ("kind", "corner"), [(kind, corner) for kind in KINDS for corner in KINDS[kind][0] if corner < "3"]
)
def test_a_clear_gap_names_its_corner_at_any_size_described_or_not(
    kind: str, corner: str, rounds: int
) -> None:
    """Watched at least; where one reading may be why the cooler side is cold, that one is asked for again."""
    said = []
    for one in growing(kind, corner, rounds):
        if is_clear(one, corner):
            said.append(strength(one, corner))
            single = rounds == 1 and mate_of(corner) in one.answers.idle.corners
            assert said[-1] >= WORDS.index("cannot_tell" if single else "watch")
            assert axle_of(one, int(corner[:-1])).verdict != "even"
    assert len(said) > 1
    assert said == sorted(said)
    assert said[-1] >= WORDS.index("watch")
