"""Short warnings that fit what was read and seen, the most urgent first; none hides another."""

from __future__ import annotations

from collections.abc import Sequence

from thermlog.advice.doing import doing
from thermlog.advice.logevidence import LogEvidence, makes_cool
from thermlog.advice.urgency import has_fluid, light_trailer
from thermlog.words.findings import Answers, Urgent, UrgentCode
from thermlog.words.sentences import degc, named, sentence
from thermlog.words.vehicle import Vehicle, mate_of, split_corner

# {0} is what was read, {1} where.
_URGENT: dict[UrgentCode, str] = {
    "flame": "Flames{1}: everyone away, fire service; a tyre fire flares up again after it seems out.",
    "smoke": "Smoke{1}: stop, everyone away, fire service; open nothing, move nothing.",
    "glow": "Something glows{1}: stop, everyone away, fire service; never water on glowing metal.",
    "tyre_hot": (
        "Stop driving and keep clear: a tyre reads {0}{1} and can burst, up to a day later; never stand at "
        "the sidewall, never let air out of a hot tyre."
    ),
    "rim_hot": (
        "Stop driving and keep clear: a rim reads {0}{1}; it cooks the bead of its tyre, which can burst."
    ),
    "brake_hot": (
        "Stop driving: a brake reads {0}{1}; it can fail or set fire to what is near; let it cool by itself, "
        "never with water."
    ),
    "over_range": (
        "Stop driving and keep clear: the gun was above its range{1}, which may be the hottest wheel of all; "
        "let it cool by itself, never with water."
    ),
    "hub_hot": "Stop driving: a hub reads {0}{1}; its bearing can seize or lose the wheel.",
    "hub_over_brake": "Stop driving: a hub hotter than its brake{1} can be a failing bearing.",
    "hub_over_mate": "Stop driving: a hub far above its mate{1} can be a failing bearing.",
    "caliper_hot": "Stop driving: a caliper reads {0}{1}; brake fluid can boil, and the pedal then sinks.",
    "burst": "A tyre burst{1}: stop and keep clear; the tyre or the brake beside it may be as hot.",
    "melted": (
        "A part has melted{1}: stop and keep clear; what melted it may be as hot, and a tyre beside it can "
        "burst."
    ),
    "sparks": "Sparks{1}: stop driving; metal runs on metal, and can set fire to what is near.",
    "grease": "Grease thrown out{1}: stop driving; a bearing without it can seize or lose the wheel.",
    "locked": "A wheel that locks{1}: stop driving; it is not moved until it is known what holds it.",
    "loose": "A wheel that is loose{1}: stop driving; it can come off, and what held it may be broken.",
    "pedal": (
        "The pedal is soft, long or sinks: stop driving; a circuit may be lost, and the next press may find "
        "nothing."
    ),
    "air_loss": "Air hisses or is lost{1}: stop driving; what is lost there is lost to the brakes.",
    "brake_lamp": "The brake lamp is lit: stop driving until fluid, parking brake and air are looked at.",
    "grind": "Grinding{1}: stop driving; linings may be down to the metal, or a bearing is breaking up.",
    "leak": "Fluid comes out{1}: stop driving; what is lost there is lost to the brakes.",
    "steam": "Steam{1}: stop driving until a person has found what is so hot; keep clear until it cooled.",
    "smell": "A smell of burning{1}: stop driving until a person has found where it comes from.",
}
_INSPECT = (
    "Whatever was that hot is inspected before it is used again: tyre, rim, linings, grease, seals and fluid."
)
# What stops a vehicle though nothing need have been hot.
_WITHOUT_HEAT: frozenset[UrgentCode] = frozenset(
    {"loose", "locked", "pedal", "air_loss", "leak", "brake_lamp", "grind"}
)
_NO_FURTHER = "Do not keep driving a dragging brake; stop at once on smoke, smell or a growing pull."
_RUNS_HOT = "Do not keep driving what runs hot; stop at once on smoke, smell or a growing pull."
_NOT_RELIED_ON = (
    "Do not rely on a vehicle with a brake that does not work: no driving on the road until that brake is "
    "checked and put right."
)
_SOFT_PEDAL = (
    "A pedal that is soft or sinks after heat: the vehicle stays where it is until the reason is found."
)
_HOT_METAL = "Brakes, hubs and rims burn skin without glowing: treat every wheel as hot until read."
_STORED_FORCE = "Keep clear of pushrods and adjusters; never open or hammer a spring-brake chamber."
_STORED_AIR = "Drain the air before a line is opened; uncouple a trailer only with its wheels chocked."
_DUST = "Treat brake dust as harmful: enclosed filtered vacuum or wet cleaning, never an air line."
_MAY_ROLL = "Motor parking brake: service mode before anything is pushed back or taken off, wheels chocked."
_HIGH_VOLTAGE = "High voltage: made safe by a trained person before work, and the vehicle may move by itself."
_REFIT = "Linings, discs and drums go in by the axle, bolts by their torque, measured, not felt."
_PUMP = "Pump the pedal until it is firm, and look for leaks, before the vehicle moves after work."
_STROKES = "Set and check every stroke after work, before the vehicle moves."
_COOL_IS_NO_CLEARANCE = "A cool reading is not a clearance: the gun sees one spot of one surface once."
_SCREENS_ONLY = (
    "thermlog screens; it never certifies: service information, the local inspection code and a qualified"
    " person decide, the roller bench tells the force."
)


def cautions(evidence: LogEvidence) -> tuple[str, ...]:
    """Short warnings, the most urgent first.

    Parameters
    ----------
    evidence : LogEvidence

    Returns
    -------
    tuple of str
        A line for every kind of urgent finding, what follows from heat and from work at this kind of
        vehicle, and two lines that always stand.
    """
    said = [*_urgent(evidence), *_of_heat(evidence), *_of_work(evidence)]
    return (*said, _COOL_IS_NO_CLEARANCE, _SCREENS_ONLY)


def of_faults(answers: Answers, vehicle: Vehicle, *, warms: bool = False, worked: bool = False) -> str:
    """What a fault that is called forbids, in one line; empty where nothing is.

    Parameters
    ----------
    answers : Answers
    vehicle : Vehicle
        Where it makes cool brakes normal, one without heat forbids nothing.
    warms : bool
        True if a hub, or the whole vehicle, is called hot, where no brake is said to drag.
    worked : bool
        True if the brakes are known to have had work, whatever the vehicle can do.
    """
    said = [_NO_FURTHER] if answers.drag.answer == "yes" else [_RUNS_HOT] if warms else []
    if answers.idle.answer == "yes" and (worked or not _may_be_spared(answers.idle.corners, vehicle)):
        said.append(_NOT_RELIED_ON)
    return " ".join(said)


def _may_be_spared(corners: Sequence[str], vehicle: Vehicle) -> bool:
    """True where the vehicle makes whole axles cool: one side that works shows that its axle had work."""
    axles = {split_corner(corner)[0] for corner in corners}
    alone = any(mate_of(corner) not in corners for corner in corners)
    return not alone and makes_cool(vehicle, axles)


def _urgent(evidence: LogEvidence) -> list[str]:
    """One line a code, at its hottest; where it tells of heat, that such parts are not simply used again."""
    by_code: dict[UrgentCode, list[Urgent]] = {}
    for one in evidence.urgent:
        by_code.setdefault(one.code, []).append(one)
    said: list[str] = [_said(alike) for alike in by_code.values()]
    return said if by_code.keys() <= _WITHOUT_HEAT else [*said, _INSPECT]


def _said(alike: list[Urgent]) -> str:
    """One line for everything urgent of one code, the hottest first."""
    first, *others = alike
    read = "" if first.value_degc is None else degc(first.value_degc)
    where = "" if first.corner is None else sentence(" at {}", named(first.corner))
    more = [one.corner for one in others if one.corner is not None]
    also = sentence("{} (also {})", where, named(*more)) if more else where
    return sentence(_URGENT[first.code], read, also)


def _of_heat(evidence: LogEvidence) -> list[str]:
    warms = evidence.fault.sign == "hot"  # several faults are as the answers say
    forbidden = of_faults(evidence.answers, evidence.vehicle, warms=warms)
    hottest = max((evidence.brake_degc or 0.0, *(one.value_degc or 0.0 for one in evidence.urgent)))
    beyond = any(one.code == "over_range" for one in evidence.urgent)
    boiled = (
        beyond
        or hottest >= doing().rule["no_drive_degc"]
        or any(one.code in {"brake_hot", "caliper_hot"} for one in evidence.urgent)
    )
    said = [forbidden] if forbidden else []
    if boiled and has_fluid(evidence.vehicle):
        said.append(_SOFT_PEDAL)
    if warms or evidence.answers.drag.answer == "yes" or beyond or hottest >= doing().rule["cool_degc"]:
        said.append(_HOT_METAL)
    return said


def _of_work(evidence: LogEvidence) -> list[str]:
    """What is dangerous about the work that a fault asks for, by the kind of vehicle."""
    vehicle = evidence.vehicle
    if not evidence.fault.is_fault:
        return []
    said = [_STORED_FORCE, _STORED_AIR] if vehicle.weight_class == "heavy" else []
    said.append(_DUST)
    if has_fluid(vehicle) and any(vehicle.axle(axle).parking_brake for axle in evidence.axles):
        said.append(_MAY_ROLL)
    if vehicle.regenerative:
        said.append(_HIGH_VOLTAGE)
    said.append(_REFIT)
    after = _STROKES if vehicle.weight_class == "heavy" else _PUMP
    return said if light_trailer(vehicle) else [*said, after]
