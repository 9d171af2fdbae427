"""Evidence for the tests of the advice room: any that goes together, and the vehicles it is of."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import get_args

from hypothesis import strategies as st
from msgspec.structs import replace

from thermlog.advice.board import before_opening, board_of, may_be_asked
from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.logevidence import LogEvidence
from thermlog.advice.search import Search, advanced, begun
from thermlog.advice.situations import Situation
from thermlog.advice.urgency import HotSpots, HottestReading, urgent_lines
from thermlog.words.findings import Answer, Answers
from thermlog.words.policy import load_policy
from thermlog.words.reasons import DoCode, Reason, WhyCode
from thermlog.words.tables import Seen
from thermlog.words.vehicle import Axle, Vehicle, default_vehicle

POLICY = {"light": load_policy("light"), "heavy": load_policy("heavy")}
AIR_DISC_BUS = Vehicle(
    axles=(Axle(role="steer", brake="disc"), Axle(role="drive", brake="disc", parking_brake=True)),
    weight_class="heavy",
    stated=True,
)
CAR = Vehicle(
    axles=(Axle(role="steer", brake="disc"), Axle(brake="disc", parking_brake=True)),
    weight_class="light",
    stated=True,
)
HEAVY_DRUMS = default_vehicle(5, drum=True)


LIGHT_TRAILER = Vehicle(
    axles=(Axle(role="trailer", brake="drum", parking_brake=True),) * 2, weight_class="light", stated=True
)


def answered(kind: str, *corners: str) -> Answers:
    """Answers that say no more than an established kind does."""
    hot = kind.endswith("_hot") or kind == "several"
    untold = kind == "cannot_tell"

    def one(yes: bool) -> Answer:
        word = "cannot_tell" if untold else "yes" if yes else "no"
        return Answer(answer=word, corners=corners if yes else ())

    return Answers(drag=one(hot), idle=one(kind.endswith("_cold")), heat=one(kind == "all_hot"))


def log_evidence(kind: str, *corners: str, vehicle: Vehicle = CAR, **other) -> LogEvidence:
    """A normal drive with the hottest brake at 180 °C and nothing else read."""
    usual = {"drive": "normal", "brake_degc": 180.0, "answers": answered(kind, *corners)}
    policy = POLICY[vehicle.weight_class]
    return LogEvidence(kind=kind, corners=corners, vehicle=vehicle, policy=policy, **{**usual, **other})


def after(evidence: LogEvidence, found: Mapping[str, str] | None = None, **more: str) -> Search:
    """A search that was told these answers."""
    search = begun(evidence)
    for check, answer in {**(found or {}), **more}.items():
        search = advanced(search, check, answer)
    return search


def may_ask(key: str, situation: Situation, answered: Collection[str] = (), *, warm: bool) -> bool:
    """May this be asked now? What is answered is not the end of a drag, which no last answer of a card is."""
    found = tuple((one, tuple(evidence_table().observations[one].answers)[-1]) for one in answered)
    situation = replace(situation, found=found)
    board, opened = board_of(situation), not before_opening(situation)
    return bool(may_be_asked(board, situation, warm=warm, opened=opened)[board.at[key]])


_CORNERS = {
    "corner_hot": 1, "corner_cold": 1, "hub_hot": 1, "axle_hot": 2, "axle_cold": 2, "diagonal_hot": 2,
    "circuit_hot": 4, "all_hot": 0, "several": 2, "none": 0, "cannot_tell": 0,
}  # fmt: skip


@st.composite
def any_evidence(draw: st.DrawFn) -> LogEvidence:
    """Any evidence whose kind and corners go together."""
    kind = draw(st.sampled_from(sorted(_CORNERS)))
    vehicle = draw(
        st.sampled_from(
            [CAR, AIR_DISC_BUS, HEAVY_DRUMS, LIGHT_TRAILER, default_vehicle(2), default_vehicle(2, drum=True)]
        )
    )
    first, last = draw(st.sampled_from("LR")), len(vehicle.axles)
    axle = draw(st.integers(1, last))
    far = f"{last}{'R' if first == 'L' else 'L'}"
    corners = {
        1: (f"{axle}{first}",),
        2: ("1" + first, far) if kind in {"diagonal_hot", "several"} else (f"{axle}L", f"{axle}R"),
        4: ("1L", "1R", f"{last}L", f"{last}R"),
        0: (),
    }[_CORNERS[kind]]
    policy = POLICY[vehicle.weight_class]
    readings = tuple(
        HottestReading(corner="1L", spot=spot, value_degc=value)
        for spot in draw(st.sets(st.sampled_from(["brake", "caliper", "hub", "rim", "tyre_outer"])))
        for value in [draw(st.floats(-20, 600))]
    )
    seen = draw(st.sampled_from([(), (), (Seen(code="smoke"),), (Seen(code="smell", corner="1L"),)]))
    brakes = [one.value_degc for one in readings if one.spot in {"brake", "caliper"}]
    return log_evidence(
        kind,
        *corners,
        vehicle=vehicle,
        drive=draw(st.sampled_from([None, "normal", "coast", "verification"])),
        answers=draw(any_answers(kind, corners)),
        urgent=urgent_lines(HotSpots(readings=readings), seen, policy),
        open_side=bool(corners) and draw(st.booleans()),
        face_difference_k=draw(st.none() | st.floats(-80, 80)),
        hub_read=any(one.spot == "hub" for one in readings),
        hub_over_brake=draw(st.booleans()),
        single_reading=draw(st.booleans()),
        brake_degc=max(brakes, default=None),
    )


def any_answers(kind: str, corners: tuple[str, ...]) -> st.SearchStrategy[Answers]:
    """Answers that contain the established fault, and leave anything else open."""
    known = answered(kind, *corners)
    reasons = st.lists(
        st.builds(
            Reason,
            code=st.sampled_from(get_args(WhyCode)),
            corners=st.just(corners or ("2L", "2R")),
            numbers=st.fixed_dictionaries({"difference_k": st.floats(0, 120), "ratio": st.floats(1, 4)}),
        ),
        max_size=2,
    ).map(tuple)
    decides = st.lists(
        st.builds(Reason, code=st.sampled_from(get_args(DoCode)), corners=st.just(corners)), max_size=3
    ).map(tuple)
    open_ = st.builds(
        Answer,
        answer=st.sampled_from(["no", "watch", "cannot_tell"]),
        corners=st.just(corners),
        reasons=reasons,
        decides=decides,
    )

    def answer(one: Answer) -> st.SearchStrategy[Answer]:
        return st.builds(replace, st.just(one), reasons=reasons) if one.answer == "yes" else open_

    return st.builds(Answers, drag=answer(known.drag), idle=answer(known.idle), heat=answer(known.heat))
