"""Hand-made diagnoses for the tests of reports and fleets; all numbers invented."""

from __future__ import annotations

from hashlib import sha256

from msgspec.structs import replace

from thermlog.words.findings import (
    AxleFinding,
    CornerFinding,
    Diagnosis,
    NextCheck,
    PatternFinding,
    PolicyMark,
    Suspect,
)
from thermlog.words.policy import load_policy
from thermlog.words.sentences import named, sentence
from thermlog.words.tables import LogRecord, SetAside
from thermlog.words.vehicle import default_vehicle

LIGHT = load_policy("light")


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
        tau_s=1800.0,
        tau_interval_s=(1380.0, 2400.0),
        at_common_degc=at_degc,
        interval_degc=(at_degc - 4.0, at_degc + 4.0),
        rise_k=at_degc - 18.0,
        **{"verdict": "even", "p_hot": 0.01, "p_cold": 0.01, **other},
    )


def hot_rear_right() -> Diagnosis:
    """A van whose rear right brake is hot."""
    return Diagnosis(
        log=LogRecord(
            file="logs/van12.csv",
            sha256="5d" * 32,
            rows_read=17,
            rows_used=16,
            set_aside=(SetAside(line=9, column="temp", value="612", reason="far above its neighbours"),),
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
            corner("2R", at_degc=133.0, verdict="hot", p_hot=0.97, why=("stands out from all others",)),
        ),
        axles=(
            AxleFinding(
                axle=1,
                difference_k=3.0,
                difference_interval_k=(-1.0, 7.0),
                rise_ratio=1.03,
                rise_ratio_interval=(0.99, 1.07),
                verdict="even",
                why=("within the marks",),
            ),
            AxleFinding(
                axle=2,
                difference_k=-58.0,
                difference_interval_k=(-66.0, -50.0),
                rise_ratio=2.02,
                rise_ratio_interval=(1.8, 2.3),
                verdict="hot",
                suspect="2R",
                why=("right is far above left and above the front",),
            ),
        ),
        pattern=PatternFinding(kind="corner_hot", corners=("2R",), p=0.96, why=("one corner explains all",)),
        p_fault=0.98,
        suspects=(
            Suspect(
                cause="slide_pin_seized",
                name="Slide pin stuck",
                place=sentence("{}", named("2R")),
                standing="fits best",
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
    even = replace(hot.axles[0], axle=2, difference_k=1.0, difference_interval_k=(-3.0, 5.0))
    return replace(
        hot,
        log=LogRecord(file=file, sha256=sha256(file.encode()).hexdigest(), rows_read=16, rows_used=16),
        vehicle=vehicle,
        corners=(*hot.corners[:3], corner("2R", at_degc=74.0)),
        axles=(hot.axles[0], even),
        pattern=PatternFinding(kind="none", p=0.95),
        p_fault=0.03,
        suspects=(),
        next_check=None,
        notes=(),
    )


def untold_van() -> Diagnosis:
    """A van read too cold to judge, nothing fitted."""
    missing = "rise of 6 K is under the 30 K needed; read again within 5 min after a normal drive"
    bare = {"p_hot": None, "p_cold": None, "verdict": "cannot_tell", "why": (missing,)}
    unfitted = CornerFinding(corner="1L", axle=1, side="L", spot="brake", readings=1, readings_used=1, **bare)
    return replace(
        even_van("logs/cold.csv", None),
        ambient_degc=None,
        ambient_source=None,
        parked_known=False,
        drive=None,
        common_time_s=None,
        corners=(unfitted, replace(unfitted, corner="1R", side="R")),
        axles=(AxleFinding(axle=1, why=(missing,)),),
        pattern=PatternFinding(kind="cannot_tell", why=(missing,)),
        p_fault=None,
        cautions=(),
    )
