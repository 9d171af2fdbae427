"""What the simulated searches are about: each cause on each kind of brake as each verdict it shows."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from thermlog.advice.candidates import BRAKE_KIND
from thermlog.advice.evidence import Cause
from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.logevidence import LogEvidence
from thermlog.advice.narrowing import Found
from thermlog.advice.suspects import situation_of
from thermlog.words.findings import Answer, Answers, PatternKind
from thermlog.words.policy import load_policy
from thermlog.words.vehicle import Axle, BrakeKind, Vehicle

TABLE = evidence_table()
POLICY = {"light": load_policy("light"), "heavy": load_policy("heavy")}
# What stands out when a cause of a scope shows itself; "circuit" is a diagonal or neighbouring axles.
GROUPS = {
    "corner": ("corner",),
    "axle": ("axle",),
    "circuit": ("circuit",),
    "vehicle": ("all",),
    "corner_or_circuit": ("corner", "circuit"),
    "corner_or_axle": ("corner", "axle"),
    "axle_or_circuit": ("axle", "circuit"),
    "any": ("corner", "axle"),
}
SIGNS = {
    "hot": ("hot",),
    "cold": ("cold",),
    "hot_or_cold": ("hot", "cold"),
    "either": ("hot", "cold"),
    "hub_hot": ("hub",),
}


class Case(Struct, frozen=True, kw_only=True):
    """A cause, the brake that has it, and what the log says.

    Attributes
    ----------
    cause, kind : str
    verdict : PatternKind
    places : tuple of LogEvidence
        The same on the first axle and behind it, where both can be.
    known : tuple of Found
        The kind of brake, where a log or a description cannot say it.
    """

    cause: str
    kind: str
    verdict: PatternKind
    places: tuple[LogEvidence, ...]
    known: tuple[Found, ...] = ()


def cases() -> tuple[Case, ...]:
    """All of them, in the order of the file of causes."""
    return tuple(case for key, cause in TABLE.causes.items() for case in _cases_of(key, cause))


def _cases_of(key: str, cause: Cause) -> Iterator[Case]:
    for kind in cause.brakes:
        vehicle = _vehicle(kind, cause)
        for verdict in _verdicts(cause, vehicle):
            places = tuple(
                _evidence(verdict, vehicle, axle, bearing=cause.tends == "hub_hot")
                for axle in _axles(kind, cause, vehicle, verdict)
            )
            told = all(dict(situation_of(one).shares).get(kind) for one in places)
            known = () if told else (Found(check=BRAKE_KIND, answer=kind),)
            yield Case(cause=key, kind=kind, verdict=verdict, places=places, known=known)


def _verdicts(cause: Cause, vehicle: Vehicle) -> Iterator[PatternKind]:
    for sign in SIGNS[cause.tends]:
        if sign == "hub":
            yield from ("hub_hot", "corner_hot")
            continue
        for group in GROUPS[cause.scope]:
            if group == "circuit" and cause.requires == "whole_trailer_here":
                yield f"trailer_{sign}"  # type: ignore[misc] # names of kinds are made of the two
            elif group != "circuit":
                yield f"{group}_{sign}"  # type: ignore[misc]
            elif "trailer" in {axle.role for axle in vehicle.axles[:1]}:
                yield f"axle_{sign}"  # type: ignore[misc] # both axles of a light trailer are one group
            else:
                across = vehicle.weight_class == "light" and not cause.requires.endswith("trailer_here")
                yield f"{'diagonal' if across else 'circuit'}_{sign}"  # type: ignore[misc]


def _vehicle(kind: str, cause: Cause) -> Vehicle:
    """A vehicle that has this kind of brake, and what the cause needs."""
    group, brake = TABLE.kinds[kind].group, _disc_or_drum(kind)
    idle = cause.requires == "idle_axle_here"
    if group == "trailer":
        axles = [Axle(role="trailer", brake=brake, parking_brake=kind == "overrun_drum")] * 2
        if cause.requires == "whole_trailer_here":  # it stands out beside the brakes of what tows it
            axles = [Axle(role="steer", brake="disc"), Axle(brake="disc", parking_brake=True), *axles]
    elif group == "light":
        axles = [Axle(role="steer", brake=brake), Axle(brake=brake, parking_brake=True)]
    else:
        steer = Axle(role="steer", brake=brake)
        axles = [steer, *[Axle(role="drive", brake=brake, parking_brake=True)] * 2]
        axles[2:] = [Axle(role="tag", brake=brake)] if idle else axles[2:]
        behind = Axle(role="trailer", brake=brake, parking_brake=True)
        axles += [behind] * 2 if cause.requires.endswith("trailer_here") else []
    return Vehicle(
        axles=tuple(axles),
        weight_class="heavy" if group == "heavy" else "light",
        regenerative=idle and group == "light",
        stated=True,
    )


def _disc_or_drum(kind: str) -> BrakeKind:
    return "disc" if "disc" in kind else "drum"


def _axles(kind: str, cause: Cause, vehicle: Vehicle, verdict: str) -> tuple[int, ...]:
    """First axles of where it can stand out."""
    if cause.requires.endswith("trailer_here"):
        return (len(vehicle.axles) - 1,)
    if cause.requires == "idle_axle_here" and vehicle.weight_class == "heavy":
        return (3,)
    across = verdict.startswith("diagonal")
    if verdict.startswith("circuit") or cause.requires or kind == "hyd_drum":
        return (1,) if across else (2,)
    return (1,) if across or verdict == "all_hot" else (1, 2)


def _evidence(verdict: PatternKind, vehicle: Vehicle, axle: int, *, bearing: bool) -> LogEvidence:
    """A normal drive with the hottest brake at 180 °C and nothing else read."""
    group, sign = verdict.split("_")
    corners = {
        "corner": (f"{axle}L",),
        "hub": (f"{axle}L",),
        "axle": (f"{axle}L", f"{axle}R"),
        "diagonal": ("1L", "2R"),
        **dict.fromkeys(("circuit", "trailer"), (f"{axle}L", f"{axle}R", f"{axle + 1}L", f"{axle + 1}R")),
        "all": (),
    }[group]
    hot = Answer(answer="yes" if sign == "hot" and group != "hub" else "no", corners=corners)
    cold = Answer(answer="yes" if sign == "cold" else "no", corners=corners)
    heat = Answer(answer="yes" if group == "all" else "no", corners=corners)
    return LogEvidence(
        kind=verdict,
        corners=corners,
        answers=Answers(drag=hot, idle=cold, heat=heat),
        vehicle=vehicle,
        drive="normal",
        policy=POLICY[vehicle.weight_class],
        brake_degc=180.0,
        hub_read=bearing,
        hub_over_brake=bearing,
    )
