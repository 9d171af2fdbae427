"""Hand-made diagnoses for the tests of charts and comparisons; all numbers invented."""

from __future__ import annotations

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from thermlog.words.estimates import Estimate
from thermlog.words.findings import (
    Answer,
    Answers,
    AxleFinding,
    CornerFinding,
    Curve,
    Diagnosis,
    PatternFinding,
    PatternKind,
    PolicyMark,
    Urgent,
    Verdict,
)
from thermlog.words.fitted import HealthyBand
from thermlog.words.reasons import Reason
from thermlog.words.tables import Drive, LogRecord
from thermlog.words.vehicle import default_vehicle, mate_of, split_corner

AMBIENT_DEGC = 18.0
COMMON_S = 120.0
NONE = np.zeros(0)


class Story(Struct, frozen=True, kw_only=True):
    """What a hand-made drive shall show."""

    rises_k: dict[str, float]  # rise at the common time, a corner or "1L hub"
    file: str = "van.csv"
    vehicle: str | None = "van 12"
    drive: Drive | None = "normal"
    rounds: int = 4
    tau_s: float = 1500.0
    half_k: float = 3.0  # half of every 95 % interval of a temperature
    kind: PatternKind = "none"
    odd: tuple[str, ...] = ()
    watched: tuple[str, ...] = ()
    urgent: tuple[Urgent, ...] = ()
    parked_known: bool = True
    ambient_known: bool = True
    misses: dict[str, int] | None = None  # corner -> round that misses
    unfitted: dict[str, Reason] | None = None  # corner -> why it has no curve
    rising: tuple[str, ...] = ()  # corners whose readings all climb
    fitted: bool = True


def diagnosis_of(story: Story) -> Diagnosis:
    """Diagnosis with curves as `story` says."""
    places = [(name.split()[0], ([*name.split(), "brake"])[1]) for name in story.rises_k]
    axle_count = max(split_corner(corner)[0] for corner, _ in places)
    corners = tuple(_corner(story, corner, spot) for corner, spot in places)
    misses = len(story.misses or {})
    rows = story.rounds * len(places)
    return Diagnosis(
        log=LogRecord(file=story.file, sha256="5d" * 32, rows_read=rows, rows_used=rows - misses),
        vehicle=story.vehicle,
        drive=story.drive,
        description=default_vehicle(axle_count),
        ambient_degc=AMBIENT_DEGC if story.ambient_known else None,
        ambient_source="log" if story.ambient_known else None,
        parked_known=story.parked_known,
        policy=PolicyMark(name="light", sha256="ab12cd34" * 8),
        policy_note="from the positions",
        common_time_s=COMMON_S if story.fitted else None,
        corners=corners,
        axles=tuple(_axle(story, axle) for axle in sorted({split_corner(c)[0] for c, _ in places})),
        pattern=PatternFinding(kind=story.kind, corners=story.odd or story.watched),
        p_fault=0.9 if story.odd else 0.05,
        answers=_answers(story),
        urgent=story.urgent,
        cautions=("Keep clear.", "This screens; it does not certify."),
        curves=tuple(
            _curve(story, corner, spot, place=k, places=len(places))
            for k, (corner, spot) in enumerate(places)
        ),
    )


def _answers(story: Story) -> Answers:
    """Yes for what is odd, watch for what is watched, cannot tell for what has no curve, else no."""
    untold = tuple(dict.fromkeys(c.split()[0] for c in story.rises_k if _no_fit(story, c.split()[0])))
    hidden = tuple(_no_fit(story, corner) or NO_FIT for corner in untold)
    open_answer = Answer(answer="cannot_tell", corners=untold, reasons=hidden)
    no = open_answer if untold else Answer(answer="no", p=0.02)
    drag = idle = no
    if story.odd and story.kind != "hub_hot":
        if "cold" in story.kind:
            idle = Answer(answer="yes", p=0.95, corners=story.odd, reasons=(Reason(code="stands_out_cold"),))
        else:
            drag = Answer(answer="yes", p=0.95, corners=story.odd, reasons=(Reason(code="stands_out_hot"),))
    if story.watched:
        drag = Answer(answer="watch", p=0.4, corners=story.watched, reasons=(_gap_open(story),))
    return Answers(drag=drag, idle=idle, heat=Answer(answer="no", p=0.03))


def _gap_open(story: Story) -> Reason:
    corner = story.watched[0]
    return Reason(
        code="gap_open",
        corners=(corner, mate_of(corner)),
        numbers={"difference_k": story.rises_k[corner] - story.rises_k[mate_of(corner)]},
    )


def _verdict(story: Story, corner: str) -> Verdict:
    if corner in story.odd and story.kind != "hub_hot":
        return "cold" if "cold" in story.kind else "hot"
    if corner in story.watched:
        return "watch"
    return "cannot_tell" if _no_fit(story, corner) else "even"


NO_FIT = Reason(code="too_few_readings")
RISING = "this corner still climbs: not fitted as cooling"


def _no_fit(story: Story, corner: str) -> Reason | None:
    if not story.fitted:
        return Reason(code="no_ambient")
    if corner in story.rising:
        return Reason(code="rising", corners=(corner,))
    return (story.unfitted or {}).get(corner)


def _corner(story: Story, corner: str, spot: str) -> CornerFinding:
    axle, side = split_corner(corner)
    reason = _no_fit(story, corner)
    rise = story.rises_k[corner if spot == "brake" else f"{corner} {spot}"]
    level = AMBIENT_DEGC + rise
    return CornerFinding(
        corner=corner,
        axle=axle,
        side=side,
        spot=spot,
        readings=story.rounds,
        readings_used=story.rounds - (corner in (story.misses or {})),
        tau_s=None if reason else Estimate(story.tau_s),
        at_common_degc=None if reason else _about(level, story.half_k),
        rise_k=_about(rise, story.half_k) if story.ambient_known and not reason else None,
        p_hot=WATCH_SHARES[0] if corner in story.watched else 0.01,
        p_cold=WATCH_SHARES[1] if mate_of(corner) in story.watched else 0.01,
        expected_degc=None if spot == "hub" or reason else _expected(story, corner),
        verdict=_hub_verdict(story, corner) if spot == "hub" else _verdict(story, corner),
        reasons=(reason,) if reason else (),
    )


WATCH_SHARES = 0.46, 0.20  # that the watched corner drags, that its mate is idle


def _expected(story: Story, corner: str) -> tuple[float, float] | None:
    """A third of the mate's rise on either side of it; as everything here, invented."""
    mate_k = story.rises_k.get(mate_of(corner))
    return None if mate_k is None else (AMBIENT_DEGC + 2.0 * mate_k / 3.0, AMBIENT_DEGC + 4.0 * mate_k / 3.0)


def _about(value: float, half: float) -> Estimate:
    return Estimate(value, value - half, value + half)


def _hub_verdict(story: Story, corner: str) -> Verdict:
    return "hot" if story.kind == "hub_hot" and corner in story.odd else "even"


def _axle(story: Story, axle: int) -> AxleFinding:
    left, right = f"{axle}L", f"{axle}R"
    reason = _no_fit(story, left) or _no_fit(story, right)
    if reason or left not in story.rises_k or right not in story.rises_k:
        return AxleFinding(axle=axle, reasons=(reason or Reason(code="one_side_read"),))
    rises = story.rises_k[left], story.rises_k[right]
    told = [_verdict(story, corner) for corner in (left, right)]
    verdict: Verdict = next((word for word in ("hot", "cold", "watch") if word in told), "even")  # type: ignore[assignment]  # one of the three
    called = [corner for corner in story.odd if corner in (left, right)]
    difference, half = rises[0] - rises[1], story.half_k * 2**0.5
    return AxleFinding(
        axle=axle,
        difference_k=_about(difference, half),
        rise_ratio=_ratio(rises, story.half_k),
        verdict=verdict,
        suspect=called[0] if len(called) == 1 and verdict in ("hot", "cold") else None,
        reasons=(_gap_open(story),) if verdict == "watch" else (),
        marks_k=(max(15.0, 0.33 * min(rises)), max(20.0, 0.5 * min(rises))),
    )


def _ratio(rises: tuple[float, float], half: float) -> Estimate:
    high, low = max(rises), min(rises)
    ends = ((high - half) / (low + half), (high + half) / (low - half)) if low > half else ()
    return Estimate(high / low, *ends)


def _curve(story: Story, corner: str, spot: str, *, place: int, places: int) -> Curve:
    rise = story.rises_k[corner if spot == "brake" else f"{corner} {spot}"]
    rng = np.random.default_rng([place, story.rounds])
    time_s = 20.0 + 18.0 * place + np.arange(story.rounds) * (places * 18.0 + 120.0)
    model = AMBIENT_DEGC + rise * np.exp(-(time_s - COMMON_S) / story.tau_s)
    reading = model + rng.normal(0.0, 1.0, story.rounds)
    left_out = [""] * story.rounds
    if corner in (story.misses or {}) and spot == "brake":
        k = (story.misses or {})[corner]
        reading[k] = AMBIENT_DEGC + 0.3 * rise
        left_out[k] = "far from the curve: aim missed"
    if corner in story.rising:
        reading = AMBIENT_DEGC + rise * (0.5 + 0.1 * np.arange(story.rounds))
        left_out = [RISING] * story.rounds
    reading = np.round(reading, 1)
    last_s = 20.0 + 18.0 * (places - 1) + (story.rounds - 1) * (places * 18.0 + 120.0)
    reason = _no_fit(story, corner)
    grid = NONE if reason else np.linspace(20.0, max(last_s, 60.0), 60)
    mean = AMBIENT_DEGC + rise * np.exp(-(grid - COMMON_S) / story.tau_s)
    half = story.half_k * (1.0 + np.abs(grid - COMMON_S) / 900.0)
    return Curve(
        corner=corner,
        spot=spot,
        elapsed_s=time_s,
        indicated_degc=reading,
        line=np.arange(story.rounds) * places + place + 2,
        left_out=tuple(left_out),
        residual_k=np.full(story.rounds, np.nan) if reason else reading - model,
        grid_s=grid,
        mean_degc=mean,
        low_degc=mean - half,
        high_degc=mean + half,
        healthy=None if reason or spot == "hub" else _healthy(story, corner, grid),
    )


def _healthy(story: Story, corner: str, grid: np.ndarray) -> HealthyBand | None:
    ends = _expected(story, corner)
    if ends is None:
        return None
    left = np.exp(-(grid - COMMON_S) / story.tau_s)
    low, high = (AMBIENT_DEGC + (end - AMBIENT_DEGC) * left for end in ends)
    return HealthyBand(grid_s=grid, low_degc=low, high_degc=high)


VAN_HOT = Story(
    rises_k={"1L": 150.0, "1R": 82.0, "2R": 55.0, "2L": 57.0},
    kind="corner_hot",
    odd=("1L",),
    file="logs/van_front_left_hot.csv",
)
VAN_EVEN = replace(
    VAN_HOT,
    rises_k={"1L": 84.0, "1R": 82.0, "2R": 55.0, "2L": 57.0},
    kind="none",
    odd=(),
    drive="verification",
    file="logs/van_after_repair.csv",
)
TRUCK = Story(
    rises_k={
        f"{axle}{side}": 90.0 + 6.0 * axle - 4.0 * (side == "L") for axle in range(1, 6) for side in "LR"
    }
    | {"3R": 31.0},
    kind="corner_cold",
    odd=("3R",),
    vehicle="T-0417",
    file="combination_axle3_right_cold.csv",
    half_k=5.0,
    rounds=3,
)
HUBS = Story(
    rises_k={
        "1L": 88.0, "1L hub": 36.0, "1R": 85.0, "1R hub": 34.0,
        "2R": 61.0, "2R hub": 78.0, "2L": 60.0, "2L hub": 29.0,
    },
    kind="hub_hot",
    odd=("2R",),
    file="hub.csv",
)  # fmt: skip
ONE_ROUND = replace(VAN_HOT, rounds=1, half_k=9.0, parked_known=False, vehicle=None, drive=None)
MISSES = replace(VAN_EVEN, misses={"1R": 1, "2L": 2, "2R": 0}, unfitted={"2R": NO_FIT})
CANNOT_TELL = replace(
    VAN_EVEN, rounds=1, kind="cannot_tell", ambient_known=False, fitted=False, parked_known=False
)
WATCH = replace(VAN_EVEN, rises_k=VAN_EVEN.rises_k | {"1L": 118.0}, kind="corner_hot", watched=("1L",))
CLIMBING = replace(VAN_EVEN, rising=("2L",))
URGENT = replace(
    VAN_EVEN,
    urgent=(
        Urgent(code="smoke", corner="2R"),
        Urgent(code="brake_hot", corner="1L", spot="brake", value_degc=412.0, limit_degc=400.0),
    ),
)
LONG_NAME = replace(
    VAN_HOT,
    file="/srv/depot north/2031-05-04 evening walk round, second gun/"
    + "unit 12 front axle repeat reading " * 3
    + ".csv",
    vehicle="unit 12 (spare, long wheelbase, $5 tag$, blue cab with the high roof)",
)


def without(diagnosis: Diagnosis, corner: str) -> Diagnosis:
    """The same drive with one side of an axle not read."""
    axle, _ = split_corner(corner)
    return replace(
        diagnosis,
        corners=tuple(c for c in diagnosis.corners if c.corner != corner),
        axles=tuple(
            AxleFinding(axle=axle, reasons=(Reason(code="one_side_read", corners=(mate_of(corner), corner)),))
            if a.axle == axle
            else a
            for a in diagnosis.axles
        ),
        curves=tuple(c for c in diagnosis.curves if c.corner != corner),
    )
