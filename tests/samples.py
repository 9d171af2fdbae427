"""Hand-made diagnoses for the tests of reports and fleets; all numbers invented."""

from __future__ import annotations

from hashlib import sha256

from msgspec.structs import replace

from thermlog.words.estimates import Estimate
from thermlog.words.findings import (
    Answer,
    Answers,
    AxleFinding,
    CornerFinding,
    Detectable,
    Diagnosis,
    NextCheck,
    PatternFinding,
    PolicyMark,
    Suspect,
    Urgent,
)
from thermlog.words.policy import load_policy
from thermlog.words.reasons import Reason
from thermlog.words.sentences import named, sentence
from thermlog.words.tables import Blind, LogRecord, Seen, SetAside
from thermlog.words.vehicle import default_vehicle

LIGHT = load_policy("light")
_USUAL_HEAT = Answer(answer="no", p=0.04, reasons=(Reason(code="heat_usual", numbers={"rise_k": 80.0}),))
_FRONT_EVEN = Reason(
    code="even",
    corners=("1L", "1R"),
    numbers={"difference_k": 3.0, "low_k": -1.0, "high_k": 7.0, "ratio": 1.03},
)
_REAR_EVEN = replace(
    _FRONT_EVEN, corners=("2L", "2R"), numbers={"difference_k": 1.0, "low_k": -3.0, "high_k": 5.0}
)
_REAR_HOT = Reason(
    code="stands_out_hot",
    corners=("2R", "2L"),
    numbers={"difference_k": 58.0, "low_k": 50.0, "high_k": 66.0, "ratio": 2.0},
)
_SEEN = tuple(
    Detectable(corner=name, rise_k=rise_k, torque_nm=rise_k / 2, lost_share=share)
    for name, rise_k, share in (("1L", 22.0, 0.4), ("1R", 21.0, 0.4), ("2L", 18.0, 0.5), ("2R", 17.0, 0.5))
)


def corner(name: str, *, at_degc: float, spot: str = "brake", **other) -> CornerFinding:
    """A fitted corner 2 min after parking, air 18 °C."""
    return CornerFinding(
        corner=name,
        axle=int(name[:-1]),
        side=name[-1],
        spot=spot,
        readings=4,
        readings_used=4,
        start_degc=at_degc + 9.0,
        tau_s=Estimate(1800.0, 1380.0, 2400.0),
        at_common_degc=Estimate(at_degc, at_degc - 4.0, at_degc + 4.0),
        rise_k=Estimate(at_degc - 18.0, at_degc - 22.0, at_degc - 14.0),
        **{"verdict": "even", "p_hot": 0.01, "p_cold": 0.01, **other},
    )


def _no_drag(even: Reason) -> Answer:
    numbers = {"limit_k": 22.0, "line_k": 50.0, "torque_nm": 11.0}
    limit = Reason(code="limit_below_line", corners=("1L",), numbers=numbers)
    return Answer(answer="no", p=0.02, reasons=(even, limit), detectable=_SEEN)


def _no_idle(even: Reason) -> Answer:
    numbers = {"share_limit": 0.5, "share_line": 0.7}
    limit = Reason(code="limit_below_line", corners=("2L",), numbers=numbers)
    return Answer(answer="no", p=0.01, reasons=(even, limit), detectable=_SEEN)


def hot_rear_right() -> Diagnosis:
    """A van whose rear right brake is hot."""
    return Diagnosis(
        log=LogRecord(
            file="logs/van12.csv",
            sha256="5d" * 32,
            rows_read=17,
            rows_used=16,
            set_aside=(
                SetAside(
                    line=9, column="temp", value="612", reason="far above its neighbours", code="impossible"
                ),
            ),
            notes=("decimal comma understood",),
        ),
        vehicle="van 12",
        drive="normal",
        description=default_vehicle(2),
        ambient_degc=18.0,
        ambient_source="log",
        parked_known=True,
        policy=PolicyMark(name=LIGHT.name, sha256="3f" * 32),
        policy_note="two axles, so light",
        common_time_s=120.0,
        corners=(
            corner("1L", at_degc=113.0),
            corner("1R", at_degc=110.0),
            corner("2L", at_degc=75.0),
            corner("2R", at_degc=133.0, verdict="hot", p_hot=0.97, reasons=(_REAR_HOT,)),
        ),
        axles=(
            AxleFinding(
                axle=1,
                difference_k=Estimate(3.0, -1.0, 7.0),
                rise_ratio=Estimate(1.03, 0.99, 1.07),
                verdict="even",
                reasons=(_FRONT_EVEN,),
            ),
            AxleFinding(
                axle=2,
                difference_k=Estimate(-58.0, -66.0, -50.0),
                rise_ratio=Estimate(2.02, 1.8, 2.3),
                verdict="hot",
                suspect="2R",
                reasons=(_REAR_HOT,),
            ),
        ),
        pattern=PatternFinding(kind="corner_hot", corners=("2R",), p=0.96, reasons=(_REAR_HOT,)),
        p_fault=0.98,
        answers=Answers(
            drag=Answer(answer="yes", p=0.97, corners=("2R",), reasons=(_REAR_HOT,)),
            idle=_no_idle(_FRONT_EVEN),
            heat=_USUAL_HEAT,
        ),
        suspects=(
            Suspect(
                cause="slide_pin_seized",
                name="Slide pin stuck",
                place=sentence("{}", named("2R")),
                standing="likely",
                for_=("one corner only",),
                against=("cannot be told from a stuck piston",),
            ),
        ),
        next_check=NextCheck(
            id="spin",
            question="Raise the wheel and turn it by hand: does it drag?",
            minutes=5.0,
            safety="Chock the other wheels and use stands.",
            why="tells drag from a heavy load",
        ),
        cautions=("Treat every wheel as hot until read.", "This screens; it does not certify."),
        notes=("one reading weighs less",),
    )


def even_van(file: str = "logs/even.csv", vehicle: str | None = "van 3") -> Diagnosis:
    """A van without an odd brake."""
    hot = hot_rear_right()
    even = replace(hot.axles[0], axle=2, difference_k=Estimate(1.0, -3.0, 5.0), reasons=(_REAR_EVEN,))
    return replace(
        hot,
        log=LogRecord(file=file, sha256=sha256(file.encode()).hexdigest(), rows_read=16, rows_used=16),
        vehicle=vehicle,
        corners=(*hot.corners[:3], corner("2R", at_degc=74.0)),
        axles=(hot.axles[0], even),
        pattern=PatternFinding(kind="none", p=0.95),
        p_fault=0.03,
        answers=Answers(drag=_no_drag(_FRONT_EVEN), idle=_no_idle(_FRONT_EVEN), heat=_USUAL_HEAT),
        suspects=(),
        next_check=None,
        notes=(),
    )


def _little_heat(rise_k: float) -> Reason:
    return Reason(code="heat_usual", numbers={"rise_k": rise_k})


def cool_van() -> Diagnosis:
    """A van on which nothing drags, driven too gently to tell whether every brake works."""
    even = even_van("logs/cool.csv", "van 8")
    little = Reason(code="not_enough_heat", numbers={"warmest_k": 22.0, "needed_k": 30.0})
    drive = Reason(code="drive_with_braking", numbers={"stops": 20.0, "from_kmh": 60.0, "missing_k": 8.0})
    idle = Answer(answer="cannot_tell", p=0.03, reasons=(little,), decides=(drive,), detectable=_SEEN)
    return replace(
        even,
        corners=tuple(corner(name, at_degc=40.0) for name in ("1L", "1R", "2L", "2R")),
        answers=replace(even.answers, idle=idle, heat=replace(_USUAL_HEAT, reasons=(_little_heat(22.0),))),
    )


def watched_van() -> Diagnosis:
    """A van whose front sides differ, and whose log leaves open which of the two is the odd one."""
    even = even_van("logs/watch.csv", "van 5")
    gap = Reason(
        code="gap_open",
        corners=("1L", "1R"),
        numbers={
            "difference_k": 24.0, "low_k": 14.0, "high_k": 34.0, "ratio": 1.4,
            "share_drag": 0.5, "share_idle": 0.2, "share_skins": 0.25, "share_reading": 0.05,
        },
    )  # fmt: skip
    coast = Reason(code="coast_drive", corners=("1L", "1R"))
    mark = Reason(code="mark_and_read", corners=("1L", "1R"))
    drag = Answer(answer="watch", p=0.42, corners=("1L",), reasons=(gap,), decides=(coast, mark))
    front = AxleFinding(
        axle=1,
        difference_k=Estimate(24.0, 14.0, 34.0),
        rise_ratio=Estimate(1.4, 1.2, 1.6),
        verdict="watch",
        reasons=(gap,),
    )
    watched = corner("1L", at_degc=110.0, verdict="watch", p_hot=0.4, reasons=(gap,))
    return replace(
        even,
        corners=(watched, corner("1R", at_degc=86.0), *even.corners[2:]),
        axles=(front, even.axles[1]),
        pattern=PatternFinding(kind="corner_hot", corners=("1L",), p=0.4, reasons=(gap,)),
        p_fault=0.55,
        answers=replace(even.answers, drag=drag, idle=_no_idle(_REAR_EVEN)),
    )


def smoking_van() -> Diagnosis:
    """An even van at whose front left wheel smoke was seen, and whose front left tyre is too hot."""
    even = even_van("logs/smoke.csv", "van 7")
    smoke = Urgent(code="smoke", corner="1L")
    tyre = Urgent(code="tyre_hot", corner="1L", spot="tyre_inner", value_degc=118.0, limit_degc=90.0)
    return replace(even, urgent=(smoke, tyre), seen=(Seen(code="smoke", corner="1L"),))


def untold_van() -> Diagnosis:
    """A van without a stated air temperature whose rear wheels were not read: nothing can be told."""
    no_air = Reason(code="no_ambient")
    unread = Reason(code="not_read", corners=("2L", "2R"))
    decides = (Reason(code="state_ambient"), Reason(code="read_unread", corners=("2L", "2R")))
    open_answer = Answer(
        answer="cannot_tell", corners=("2L", "2R"), reasons=(no_air, unread), decides=decides
    )
    bare = {"p_hot": None, "p_cold": None, "verdict": "cannot_tell", "reasons": (no_air,)}
    unfitted = CornerFinding(corner="1L", axle=1, side="L", spot="brake", readings=1, readings_used=1, **bare)
    return replace(
        even_van("logs/cold.csv", None),
        ambient_degc=None,
        ambient_source=None,
        parked_known=False,
        drive=None,
        common_time_s=None,
        corners=(unfitted, replace(unfitted, corner="1R", side="R")),
        axles=(AxleFinding(axle=1, reasons=(no_air,)),),
        pattern=PatternFinding(kind="cannot_tell", reasons=(no_air, unread)),
        p_fault=None,
        blind=(Blind(code="no_value", line=7, corner="2L", quoted="OL"),),
        answers=Answers(
            drag=open_answer, idle=open_answer, heat=replace(open_answer, corners=(), reasons=(no_air,))
        ),
        cautions=(),
    )
