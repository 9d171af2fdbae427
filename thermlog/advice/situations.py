"""What is known beside the odd corner: kind of brake, parking brake, answers; what causes it leaves.

All numbers stand in the evidence files and are engineering judgement.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from functools import lru_cache
from typing import Literal, assert_never

from msgspec import Struct
from msgspec.structs import replace

from thermlog.advice.depotcauses import factors
from thermlog.advice.evidence import Cause, Tends
from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.logevidence import LogEvidence
from thermlog.advice.urgency import light_trailer
from thermlog.words.kinds import kind_of
from thermlog.words.policy import CausesFound
from thermlog.words.seenwords import PULLS
from thermlog.words.vehicle import TRAILING, Axle, Split, Vehicle, WeightClass, split_corner

# What makes a brake hot alone is no cause of one that is known to be cold, and the other way round.
_NEVER: Mapping[str, frozenset[Tends]] = {
    "colder": frozenset({"hot", "hub_hot"}),
    "hotter": frozenset({"cold"}),
}


class Situation(Struct, frozen=True, kw_only=True):
    """All that moves the ranking; the same for every vehicle with the same answers, so results are kept.

    `steered`: is it one wheel that steers; `shares`: what the suspect's brake may be; `parking`: does the
    parking brake act on its axles, and `sprung`: on any of them; `idle`: does the description make cool
    brakes normal here; `trailer`: are its axles described as a trailer's ("" if not), all of them, a part
    beside others that work, or some beside others not read; `rests`: may cold axles have been raised, or
    hardly loaded; `answers`: what the log answers itself; `found`: what was found at the wheel since;
    `causes_found`: what the depot's own jobs confirmed before.
    """

    weight_class: WeightClass
    steered: bool
    split: Split
    shares: tuple[tuple[str, float], ...]
    parking: Literal["yes", "assumed", "no"]
    sprung: bool = False
    idle: bool
    trailer: Literal["", "all", "part", "some"] = ""
    rests: bool = False
    answers: tuple[tuple[str, str], ...]
    found: tuple[tuple[str, str], ...] = ()
    causes_found: CausesFound | None = None

    @property
    def told(self) -> tuple[tuple[str, str], ...]:
        """All answers, those of the log first."""
        return (*self.answers, *self.found)

    @property
    def unfound(self) -> Situation:
        """The same before anything was found at the wheel: what is worked out once a situation goes by it."""
        return replace(self, found=())

    def share_of(self, brakes: Collection[str]) -> float:
        """Probability that the brake is one of these kinds."""
        return sum(share for kind, share in self.shares if kind in brakes)

    @property
    def sign(self) -> str:
        """What the log says of the suspect, by the name of the answer; "" where it says nothing of it."""
        return dict(self.answers).get(evidence_table().named("sign"), "")

    @property
    def wrong_split(self) -> bool:
        """True if the stated hydraulic split does not join the corners that stand out."""
        joins = {"diagonal": "diagonal_pair", "front_rear": "axle_pair"}.get(self.split)
        seen = dict(self.answers).get(evidence_table().named("scope"))
        return joins is not None and seen != joins and seen in {"diagonal_pair", "axle_pair"}


def parking_first(situation: Situation) -> bool:
    """True where the parking brake may hold what drags; of a heavy vehicle hardly a single corner."""
    said, table = dict(situation.answers), evidence_table()
    single = said.get(table.named("scope")) == "one_corner" and situation.weight_class == "heavy"
    return situation.sign == "hotter" and situation.parking != "no" and not single


def situation_of(evidence: LogEvidence) -> Situation:
    """The part of the evidence that moves the ranking."""
    vehicle = evidence.vehicle
    here = [vehicle.axle(number) for number in evidence.axles]
    return Situation(
        weight_class=vehicle.weight_class,
        steered=len(evidence.corners) == 1 and here[0].role == "steer",
        split=vehicle.split,
        shares=_shares(vehicle, here),
        parking=_parking(evidence, here),
        sprung=_sprung(evidence, here),
        idle=evidence.spared,
        trailer=_trailer(evidence),
        rests=_rests(evidence, here),
        answers=_answers(evidence),
        causes_found=evidence.policy.causes_found,
    )


def priors(situation: Situation) -> Mapping[str, float]:
    """Prior share of every cause that this brake, axle and vehicle can have; answers do not move it."""
    return _priors(situation.unfound)


@lru_cache(maxsize=4096)
def _priors(situation: Situation) -> Mapping[str, float]:
    known = situation.causes_found
    here = {} if known is None else factors(known, situation.weight_class)
    raw = {
        key: _prior(cause, situation) * here.get(key, 1.0) for key, cause in evidence_table().causes.items()
    }
    total = sum(raw.values())
    return {key: prior / total for key, prior in raw.items() if prior > 0}


def _prior(cause: Cause, situation: Situation) -> float:
    return sum(_by_kind(cause, situation).values()) * _fitting(cause, situation)


def _by_kind(cause: Cause, situation: Situation) -> dict[str, float]:
    """Prior of a cause on each kind of brake that this may be, with the share of that kind."""
    unsaid = cause.requires == "idle_axle_here" and not situation.idle
    least = evidence_table().rule["idle_unsaid"]
    return {
        kind: share * (least if unsaid and kind in cause.prior else cause.prior.get(kind, 0.0))
        for kind, share in situation.shares
    }


def brake_parts(situation: Situation) -> dict[str, dict[str, float]]:
    """Probability of every kind of brake, given each cause that is possible here."""
    found = {}
    for key in priors(situation):
        parts = _by_kind(evidence_table().causes[key], situation)
        total = sum(parts.values())
        found[key] = {kind: part / total for kind, part in parts.items()}
    return found


def _fitting(cause: Cause, situation: Situation) -> float:
    """Factor on a prior by what the vehicle has there; 0 where it lacks what the cause needs."""
    rule = evidence_table().rule
    factor = 1.0
    if cause.tends in _NEVER.get(situation.sign, frozenset()):
        return 0.0
    if cause.requires.endswith("_brake_here") and situation.parking == "no":
        return 0.0
    if cause.requires.endswith("trailer_here") and not situation.trailer:
        return 0.0
    if cause.requires == "whole_trailer_here" and situation.trailer != "some":
        factor *= rule[f"{situation.trailer}_of_trailer"]
    if cause.requires == "parking_brake_here":
        factor *= rule["parking_factor"]
    if cause.requires == "idle_axle_here" and situation.idle:
        factor *= rule["idle_factor"]
    if "circuit" in cause.scope and situation.wrong_split:
        factor *= rule["wrong_split"]
    return factor


def _shares(vehicle: Vehicle, axles: list[Axle]) -> tuple[tuple[str, float], ...]:
    """Kinds of brake on these axles, averaged."""
    sums: dict[str, float] = {}
    for axle in axles:
        if axle.fitted is not None:
            sums[axle.fitted] = sums.get(axle.fitted, 0.0) + 1.0 / len(axles)
            continue
        known = axle.brake or ("steer" if axle.role == "steer" else "axle")
        light_trails = light_trailer(vehicle) or (vehicle.weight_class == "light" and _trails(axle))
        usual = "trailer_axle" if light_trails else f"{vehicle.weight_class}_{known}"
        for kind, share in evidence_table().share[usual].items():
            sums[kind] = sums.get(kind, 0.0) + share / len(axles)
    return tuple(sums.items())


def _trails(axle: Axle) -> bool:
    return axle.role in TRAILING


def _trailer(evidence: LogEvidence) -> Literal["", "all", "part", "some"]:
    """How much of a trailer stands out: what all its brakes hang on works where another axle of it does."""
    trailing = evidence.vehicle.trailing
    odd = set(evidence.axles)
    if not odd <= trailing:
        return ""
    if odd == trailing:
        return "all"
    read = {split_corner(corner)[0] for corner, _ in evidence.degc}
    return "part" if read & trailing - odd else "some"


def _rests(evidence: LogEvidence, axles: list[Axle]) -> bool:
    """True for whole cold axles that may have had no work: no steered axle, nor all that a trailer has."""
    steered = any(axle.role == "steer" for axle in axles) or 1 in evidence.axles
    whole = evidence.fault.sign == "cold" and len(evidence.corners) >= 2 * len(axles)
    return whole and not steered and _trailer(evidence) != "all"


def _parking(evidence: LogEvidence, axles: list[Axle]) -> Literal["yes", "assumed", "no"]:
    """One parking brake can hold all that stands out only if it acts on all axles concerned."""
    enough = any if evidence.fault.scope == "several" else all
    if _describes_parking(evidence.vehicle):
        return "yes" if enough(axle.parking_brake for axle in axles) else "no"
    # Not described: hardly ever on the first axle, usually behind it, and on the only axle of a trailer
    # (common practice, no source).
    alone = len(evidence.vehicle.axles) == 1 and all(map(_trails, axles))
    return "assumed" if alone or enough(number > 1 for number in evidence.axles) else "no"


def _sprung(evidence: LogEvidence, axles: list[Axle]) -> bool:
    """A spring may press where any of the axles has one; behind the first where nobody describes them."""
    if _describes_parking(evidence.vehicle):
        return any(axle.parking_brake for axle in axles)
    return max(evidence.axles) > 1


def _describes_parking(vehicle: Vehicle) -> bool:
    return any(axle.parking_brake for axle in vehicle.axles)


def _only_axle(evidence: LogEvidence) -> bool:
    """True for both brakes of the only axle: that it stands out and that the whole vehicle does are one."""
    return len(evidence.vehicle.axles) == 1 and len(evidence.corners) == 2


def _answers(evidence: LogEvidence) -> tuple[tuple[str, str], ...]:
    """What the log answers by itself, in the order of the evidence file."""
    clearly_hot = evidence.fault.sign == "hot" and not evidence.open_side
    found = {
        "scope": None if _only_axle(evidence) else evidence.fault.stands_out,
        "sign": _sign(evidence),
        "repeat": "one_reading" if evidence.single_reading else None,
        "coast": "still_hot" if clearly_hot and evidence.drive == "coast" else None,
        "face": _face(evidence.face_difference_k) if evidence.fault == kind_of("corner", "hot") else None,
        "hub": _hub(evidence),
        "pull": _pull(evidence),
        "pedal": "spongy_or_low" if "pedal" in evidence.seen else None,
        "air": "falls" if "air_loss" in evidence.seen else None,
    }
    table = evidence_table()
    return tuple((table.named(role), answer) for role, answer in found.items() if answer)


def _sign(evidence: LogEvidence) -> str | None:
    if evidence.open_side:
        return "open"
    if evidence.fault.scope == "hub":
        return "not_different"
    sign = evidence.fault.sign
    match sign:
        case "hot":
            return "hotter"
        case "cold":
            return "colder"
        case "mixed" | "none":
            return None
        case _:
            assert_never(sign)


def _pull(evidence: LogEvidence) -> str | None:
    """What a stated pull says of one suspect; towards a hot one it is still asked: braking or rolling."""
    sign, sides = evidence.fault.sign, {corner[-1] for corner in evidence.corners}
    towards = {PULLS[code] in sides for code in evidence.seen if PULLS.get(code) is not None}
    if len(sides) != 1 or len(towards) != 1 or evidence.open_side or sign not in {"hot", "cold"}:
        return None
    if towards == {False}:
        return "away_from_suspect_when_braking"
    return "to_suspect_when_braking" if sign == "cold" else None


def _face(difference_k: float | None) -> str | None:
    if difference_k is None:
        return None
    if abs(difference_k) < evidence_table().rule["face_difference_k"]:
        return "about_same"
    return "inner_hotter" if difference_k > 0 else "outer_hotter"


def _hub(evidence: LogEvidence) -> str | None:
    """What the hub of the first corner says; a hot brake warms its hub, too."""
    if evidence.hub_odd and evidence.hub_over_brake:
        return "hub_hotter_than_brake"
    if evidence.fault.scope == "hub":
        return "hub_alone"
    if evidence.fault != kind_of("corner", "hot") or not evidence.hub_read:
        return None
    over_mate = any(
        one.code == "hub_over_mate" and one.corner in evidence.corners[:1] for one in evidence.urgent
    )
    return "hub_above_mate" if over_mate else "hub_not_odd"
