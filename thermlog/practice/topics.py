"""What a practice case is about and how hard it is: topic and level -> everything the simulator is told.

Walk, gun, surfaces and vehicle are drawn first and apart from the fault, so that nothing in a log but its
temperatures depends on what was planted. In every topic some vehicles are healthy. All shares and sizes are
engineering judgement, common practice, no source; how hard they make a case is measured by
``bench/practice_levels.py``.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Literal, TypeAlias

import numpy as np
from msgspec import Struct, field

from thermlog.simulation.builds import fault_places
from thermlog.simulation.onelog import SkinName, Wanted
from thermlog.simulation.vehicleclass import VEHICLE_CLASSES, VehicleClass
from thermlog.words.findings import PatternKind
from thermlog.words.kinds import NONE, fault_kind

Level: TypeAlias = Literal[1, 2, 3]
Topic: TypeAlias = Literal[
    "stagger", "shiny", "one_lap", "misses", "hard_stop", "cold", "diagonal", "parking", "bearing", "coast"
]
# Streams of chance of a case, apart from each other.
_VEHICLE, _FAULT, _SIMULATOR, _TOPIC = 11, 12, 13, 14
_HEAVY_TORQUE = 5.0  # a lorry's brakes against a car's: own estimate by wheel load


class LevelPlan(Struct, frozen=True, kw_only=True):
    """How hard the cases of a level are, where their topic does not say otherwise.

    Attributes
    ----------
    classes : tuple of str
        Vehicles drawn from.
    drag_nm : tuple of float
        Least and most torque of a dragging brake or a failing bearing on a light vehicle [N·m].
    lost : tuple of float
        Least and most of its work that a dead brake has lost, 0 to 1.
    rounds, seconds, one_way, misses, skins
        The walk, the hand and the surfaces, as in `onelog.Wanted`.
    """

    classes: tuple[str, ...]
    drag_nm: tuple[float, float]
    lost: tuple[float, float]
    rounds: int
    seconds: float
    one_way: bool
    misses: float
    skins: SkinName


LEVELS: Mapping[Level, LevelPlan] = {
    1: LevelPlan(
        classes=("car_disc", "van_disc"), drag_nm=(40.0, 80.0), lost=(0.9, 1.0),
        rounds=4, seconds=12.0, one_way=False, misses=0.0, skins="rusty",
    ),
    2: LevelPlan(
        classes=("car_disc", "car_drum", "van_disc", "pickup_drum", "trailer2_drum", "bus_disc"),
        drag_nm=(18.0, 40.0), lost=(0.75, 0.95),
        rounds=3, seconds=15.0, one_way=False, misses=0.03, skins="mixed",
    ),
    3: LevelPlan(
        classes=("car_disc", "car_drum", "pickup_drum", "trailer2_drum", "rigid2_drum", "rigid3_drum"),
        drag_nm=(7.0, 20.0), lost=(0.5, 0.8),
        rounds=2, seconds=20.0, one_way=True, misses=0.08, skins="uneven",
    ),
}  # fmt: skip


class TopicPlan(Struct, frozen=True, kw_only=True):
    """What makes a topic.

    Attributes
    ----------
    title : str
        For people.
    faults : mapping of kind to float
        What may be planted, and how often against the others; a vehicle that cannot have it goes without.
    by_level : mapping of Level to dict
        Fields of `onelog.Wanted` that the topic sets.
    classes : tuple of str
        Vehicles, where the topic needs its own.
    at_parking_brake : bool
        True if what sits at an axle or a corner sits where the parking brake is.
    """

    title: str
    faults: Mapping[PatternKind, float]
    by_level: Mapping[Level, Mapping[str, Any]] = field(default_factory=dict)
    classes: tuple[str, ...] = ()
    at_parking_brake: bool = False


_SINGLE: Mapping[PatternKind, float] = {"none": 0.4, "corner_hot": 0.4, "corner_cold": 0.2}


def _each(**values: tuple[Any, Any, Any]) -> dict[Level, dict[str, Any]]:
    """Fields with their value at each of the three levels."""
    return {level: {name: three[k] for name, three in values.items()} for k, level in enumerate(LEVELS)}


TOPICS: Mapping[Topic, TopicPlan] = {
    "stagger": TopicPlan(
        title="minutes between the wheels", faults=_SINGLE,
        by_level=_each(seconds_per_reading=(30.0, 50.0, 75.0), one_way=(True,) * 3, rounds=(3, 2, 2)),
    ),
    "shiny": TopicPlan(
        title="bright and dull metal", faults=_SINGLE,
        by_level=_each(skins=("mixed", "uneven", "uneven"), rounds=(3, 3, 3), misses=(0.0, 0.0, 0.03)),
    ),
    "one_lap": TopicPlan(
        title="one lap only", faults={"none": 0.35, "corner_hot": 0.35, "corner_cold": 0.3},
        by_level=_each(rounds=(1, 1, 1), misses=(0.0, 0.08, 0.12)),
    ),
    "misses": TopicPlan(
        title="shots that miss", faults=_SINGLE,
        by_level=_each(misses=(0.10, 0.18, 0.28), rounds=(4, 3, 2)),
    ),
    "hard_stop": TopicPlan(
        title="a hard last stop",
        faults={"none": 0.4, "corner_hot": 0.3, "axle_hot": 0.15, "all_hot": 0.15},
        by_level=_each(last_stop_kmh=(60.0, 85.0, 110.0)),
    ),
    "cold": TopicPlan(
        title="a brake that stays cold",
        faults={"none": 0.25, "corner_cold": 0.45, "axle_cold": 0.15, "corner_hot": 0.15},
    ),
    "diagonal": TopicPlan(
        title="across the vehicle", faults={"none": 0.25, "diagonal_hot": 0.4, "corner_hot": 0.35},
        classes=("car_disc", "car_drum"),
    ),
    "parking": TopicPlan(
        title="the parking brake", faults={"none": 0.3, "axle_hot": 0.35, "corner_hot": 0.35},
        classes=("car_disc", "car_drum", "van_disc", "pickup_drum"), at_parking_brake=True,
    ),
    "bearing": TopicPlan(
        title="hub or brake", faults={"none": 0.3, "hub_hot": 0.4, "corner_hot": 0.3},
        by_level=_each(spots=(("brake", "hub"),) * 3),
        classes=("car_disc", "van_disc", "trailer2_drum"),
    ),
    "coast": TopicPlan(
        title="a drive without braking",
        faults={"none": 0.4, "corner_hot": 0.4, "axle_hot": 0.2},
        by_level=_each(drive=("coast",) * 3),
    ),
}  # fmt: skip


def drawn_topic(seed: int) -> Topic:
    """A topic by the seed, all alike likely."""
    names = tuple(TOPICS)
    return names[int(np.random.default_rng([seed, _TOPIC]).integers(len(names)))]


def wanted_case(seed: int, level: Level, topic: Topic) -> Wanted:
    """Everything that the simulator is told.

    Parameters
    ----------
    seed : int
        From 0 to 2**63 - 1.
    level : {1, 2, 3}
    topic : Topic

    Returns
    -------
    Wanted
        The same for the same arguments. Only fault, corner and their size depend on what is planted.
    """
    plan, base = TOPICS[topic], LEVELS[level]
    names = plan.classes or base.classes
    # apart for every topic and level: who knows one case of a seed knows nothing of the others
    own = (seed, level, tuple(TOPICS).index(topic))
    rng = np.random.default_rng([*own, _VEHICLE])
    kind = VEHICLE_CLASSES[names[int(rng.integers(len(names)))]]
    usual: dict[str, Any] = {
        "rounds": base.rounds,
        "seconds_per_reading": base.seconds,
        "one_way": base.one_way,
        "miss_share": base.misses,
        "skins": base.skins,
    }
    set_by_topic = {
        ("miss_share" if k == "misses" else k): v for k, v in plan.by_level.get(level, {}).items()
    }
    return Wanted(
        vehicle_class=kind.name,
        seed=int(np.random.default_rng([*own, _SIMULATOR]).integers(2**62)),
        **(usual | set_by_topic),
        **_planted(np.random.default_rng([*own, _FAULT]), kind, plan, base),
    )


def _planted(
    rng: np.random.Generator, kind: VehicleClass, plan: TopicPlan, base: LevelPlan
) -> dict[str, Any]:
    """Fault, place and size."""
    possible = [name for name in plan.faults if fault_places(kind, name)]
    weights = np.array([plan.faults[name] for name in possible])
    name = possible[int(rng.choice(len(possible), p=weights / weights.sum()))]
    torque_nm = float(np.exp(rng.uniform(*np.log(base.drag_nm))))
    lost = float(rng.uniform(*base.lost))
    axles = [k for k, one in enumerate(kind.axles, start=1) if one.axle.parking_brake]
    axle = axles[int(rng.integers(len(axles)))] if axles else 1
    side = "LR"[int(rng.integers(2))]
    heavy = _HEAVY_TORQUE if kind.weight_class == "heavy" else 1.0
    found: dict[str, Any] = {"fault": name}
    if name == NONE.name:
        return found
    if plan.at_parking_brake and fault_kind(name).has_place:
        found["corner"] = f"{axle}{side}"
    if fault_kind(name).size == "loss":
        return found | {"lost_fraction": round(lost, 2)}
    return found | {"drag_nm": round(heavy * torque_nm, 1)}
