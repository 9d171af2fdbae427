"""The check, reading or drive that tells most per minute now, and what to beware of."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from functools import lru_cache
from math import log2

from msgspec.structs import replace

from thermlog.advice.suspects import (
    LogEvidence,
    Observation,
    Situation,
    cause_weights,
    evidence_table,
    situation_of,
)
from thermlog.words.findings import NextCheck, PatternKind, Suspect
from thermlog.words.sentences import degc, sentence
from thermlog.words.vehicle import axle_words, corner_words, mate_of

_MOST_ANSWERS = 3  # answers explained beside a check
_BY_THE_BOOK = "Limits and procedures come from the service information."
_COOL_IS_NO_CLEARANCE = "A cool reading is not a clearance: the gun sees one spot of one surface once."
_SCREENS_ONLY = (
    "thermlog screens; it never certifies: service information, the local inspection code and a qualified"
    " person decide."
)
_HOT_METAL = "Brakes, hubs and rims burn skin without glowing: treat every wheel as hot until read."
_NO_FURTHER = "Do not keep driving a dragging brake; stop at once on smoke, smell or a growing pull."
_STORED_FORCE = "Keep clear of pushrods and adjusters; never open or hammer a spring-brake chamber."
# Bare metal that burns within seconds; engineering judgement, common practice, no source.
_BURNS_DEGC = 50.0


def next_check(evidence: LogEvidence, suspects: tuple[Suspect, ...]) -> NextCheck | None:
    """What to do next.

    Parameters
    ----------
    evidence : LogEvidence
    suspects : tuple of Suspect
        From `suspects.rank_suspects` for the same evidence.

    Returns
    -------
    NextCheck or None
        None if nothing is odd. ``read_again`` or ``drive_again`` if nothing can be told, ``coast_drive`` if
        the odd side is open, or whether all brakes drag, and nothing is too hot to drive, else the check
        with the highest expected information per minute. Hydraulics stay shut until the wheel was looked at
        and turned by hand and its parking brake checked.
    """
    if evidence.watched is not None:
        return _settle_shared(evidence, evidence.watched)
    if evidence.kind == "cannot_tell":
        return _again(evidence)
    settled = _settle_side(evidence) if evidence.open_side else None
    if settled or not suspects:
        return settled
    first = suspects[0].cause
    if first == "wheel_bearing" or evidence.hub_odd:
        return _bearing(evidence)
    if first == "idle_by_design" and not _urgent_lines(evidence):
        return _under_load(evidence)
    doubtful = evidence.single_reading and evidence.kind.endswith("_cold")
    return _confirm(evidence) if doubtful or first == "normal_or_measurement" else _telling(evidence)


def cautions(evidence: LogEvidence) -> tuple[str, ...]:
    """Short warnings that fit what was read, the most urgent first.

    Urgent lines come from the policy (``urgent_brake_degc``, ``urgent_hub_degc``, ``urgent_tyre_degc``).
    """
    hottest = max(evidence.brake_degc or 0.0, evidence.hub_degc or 0.0, evidence.tyre_degc or 0.0)
    dragging = evidence.kind == "several" or evidence.kind.endswith("_hot")
    said = _urgent_lines(evidence)
    if dragging and not said:
        said.append(_NO_FURTHER)
    if dragging or hottest >= _BURNS_DEGC:
        said.append(_HOT_METAL)
    if evidence.vehicle.weight_class == "heavy" and evidence.kind not in {"none", "cannot_tell"}:
        said.append(_STORED_FORCE)
    return (*said, _COOL_IS_NO_CLEARANCE, _SCREENS_ONLY)


def _urgent_lines(evidence: LogEvidence) -> list[str]:
    policy = evidence.policy
    said: list[str] = []
    if evidence.tyre_degc is not None and evidence.tyre_degc >= policy.urgent_tyre_degc:
        said.append(
            sentence(
                "Stop driving and keep clear: a tyre reads {} and can burst, even hours later; never stand "
                "at the sidewall, never let air out of a hot tyre.",
                degc(evidence.tyre_degc),
            )
        )
    if evidence.brake_degc is not None and evidence.brake_degc >= policy.urgent_brake_degc:
        said.append(
            sentence(
                "Stop driving: a brake reads {}; it can fail or set fire to what is near; let it cool by "
                "itself, never with water.",
                degc(evidence.brake_degc),
            )
        )
    if evidence.hub_degc is not None and evidence.hub_degc >= policy.urgent_hub_degc:
        said.append(
            sentence(
                "Stop driving: a hub reads {}; its bearing can seize or lose the wheel.",
                degc(evidence.hub_degc),
            )
        )
    elif evidence.hub_odd:
        said.append("Stop driving: a hot hub can be a failing bearing.")
    return said


def _again(evidence: LogEvidence) -> NextCheck:
    """Read again while something is warm, else drive again; never a drive while something is urgent."""
    wants_drive = "drive" in (evidence.repeat or "").lower()
    urgent = bool(_urgent_lines(evidence))
    warm = evidence.brake_degc is not None and _is_warm(evidence)
    if urgent or (warm and not wants_drive):
        what, safety = "read", "Parked level and chocked, engine off; use the gun, not the hand."
        usual = "Read every corner once more, same spot, left and right of an axle one right after the other."
    else:
        what, safety = "drive", "Only if pedal, brakes and tyres are sound; stop on smoke, smell or pull."
        usual = "Repeat the drive with usual braking and read every corner twice, at once after parking."
    return NextCheck(
        id=f"{what}_again",
        question=usual if evidence.repeat is None or (urgent and wants_drive) else evidence.repeat,
        minutes=_setup(evidence, what),
        safety=f"{safety} {_BY_THE_BOOK}",
        why="The log cannot tell; this supplies what is missing.",
    )


def _settle_side(evidence: LogEvidence) -> NextCheck | None:
    """A drive without braking, if one may be asked for and was not made yet."""
    pair = tuple(dict.fromkeys(side for corner in evidence.corners for side in (corner, mate_of(corner))))
    if not _urgent_lines(evidence) and evidence.drive != "coast":
        return _coast_drive(
            replace(evidence, corners=pair),
            asks="which side stays hot?",
            why=(
                "Left and right differ, but this drive cannot say whether the hot side drags or the cold side"
                " is idle: without braking a working brake cools, a dragging one stays hot."
            ),
        )
    # Without a pattern there are no suspects to choose a check by, so the pair is looked at as a hot one.
    return (
        _telling(replace(evidence, corners=pair, kind="corner_hot"))
        if evidence.kind == "none" and pair
        else None
    )


def _settle_shared(evidence: LogEvidence, watched: PatternKind) -> NextCheck:
    """A drive without braking likewise, else the check that tells most if all these brakes drag."""
    if _urgent_lines(evidence) or evidence.drive == "coast":
        return _telling(replace(evidence, kind=watched))
    return _coast_drive(
        evidence,
        asks="do they stay hot?",
        why=(
            "A fault that these brakes share leaves left and right alike: without braking working brakes"
            " cool, dragging ones stay hot."
        ),
    )


def _coast_drive(evidence: LogEvidence, *, asks: str, why: str) -> NextCheck:
    # A disc follows its heat in minutes, a heavy drum in a quarter of an hour: engineering judgement.
    driven = "10 to 15" if evidence.vehicle.weight_class == "light" else "20 to 30"
    return NextCheck(
        id="coast_drive",
        question=(
            f"Drive {driven} min at a steady pace, slowing by engine and gradient instead of the brakes, then"
            f" read {_named(evidence)} again at once: {asks}"
        ),
        minutes=_setup(evidence, "drive"),
        safety=(
            "Only if pedal, brakes and tyres are sound; quiet route, early slowing; brake whenever safety"
            f" asks; stop at once on smoke, smell or pull. {_BY_THE_BOOK}"
        ),
        why=why,
    )


def _bearing(evidence: LogEvidence) -> NextCheck:
    why = "A hub that is hot by itself points to its bearing; a failing bearing can seize or lose the wheel."
    return _as_check(evidence, "bearing_check", why)


def _under_load(evidence: LogEvidence) -> NextCheck:
    words = " and ".join(axle_words(axle, len(evidence.vehicle.axles)) for axle in evidence.axles)
    where = words if words.startswith("axle") else f"the {words} axle"
    return NextCheck(
        id="drive_again",
        question=(
            f"Was {where} raised, lightly loaded or slowed by the motor? If so, drive again loaded and,"
            " if the vehicle allows it, without motor braking, and read again."
        ),
        minutes=_setup(evidence, "drive"),
        safety=f"Drive only with sound brakes and a legal load. {_BY_THE_BOOK}",
        why="Brakes that had no work to do stay cool: that is no fault, and no proof of health either.",
    )


def _confirm(evidence: LogEvidence) -> NextCheck:
    return NextCheck(
        id="read_again",
        question=(
            f"Read {_named(evidence)} and the rest again while still warm, same spot, left and right one"
            " right after the other: does the difference stay?"
        ),
        minutes=_setup(evidence, "read"),
        safety=f"Parked level and chocked, engine off; use the gun, not the hand. {_BY_THE_BOOK}",
        why="A reading that missed the brake looks just like this; another one costs little.",
    )


def _telling(evidence: LogEvidence) -> NextCheck:
    """The check with the highest expected information per minute."""
    situation = situation_of(evidence)
    wheels, axles = _places(evidence)
    workable = _is_warm(evidence) and not _urgent_lines(evidence)
    key = _best_check(situation, wheels, axles, warm=workable)
    doubt = " Only one reading stands behind this: repeat it first." if evidence.single_reading else ""
    return _as_check(evidence, key, _why(situation, key) + doubt)


def _is_warm(evidence: LogEvidence) -> bool:
    return evidence.brake_degc is None or evidence.brake_degc >= evidence_table().rule["warm_degc"]


@lru_cache(maxsize=4096)
def _best_check(situation: Situation, wheels: int, axles: int, *, warm: bool) -> str:
    table = evidence_table()
    answered = {key for key, _ in situation.answers}
    return max(
        (key for key in table.observations if may_ask(key, situation, answered, warm=warm)),
        key=lambda key: _rate(situation, key, wheels=wheels, axles=axles),
    )


def may_ask(key: str, situation: Situation, answered: Collection[str], *, warm: bool) -> bool:
    """True if a check applies here, is not answered yet and is safe in the present state.

    Parameters
    ----------
    key : str
        Name of the observation in the evidence file.
    situation : Situation
    answered : collection of str
        Observations answered so far.
    warm : bool
        False if the brakes are too cool for a check that needs heat, or too hot to work at.
    """
    asked = evidence_table().observations[key]
    applies = asked.source != "log" and key not in answered and situation.share_of(asked.applies_to) > 0
    hot = warm and dict(situation.answers).get("th_sign") != "colder"
    possible = hot or "hot" not in asked.needs
    parking = situation.parking != "no" or "parking" not in asked.needs
    return applies and possible and parking and ("opens" not in asked.needs or _may_open(situation, answered))


def _may_open(situation: Situation, answered: Collection[str]) -> bool:
    """True once the wheel was looked at and turned by hand, and the parking brake (if any) checked."""
    turned = not {"spin_hot", "frees_cold"}.isdisjoint(answered)
    parked = situation.parking == "no" or "pb_state" in answered
    return "visual" in answered and turned and parked


def _rate(situation: Situation, key: str, *, wheels: int, axles: int) -> float:
    """Expected information per minute [bit/min], doubled where it cannot be made up later."""
    table = evidence_table()
    asked = table.observations[key]
    gain = information_bits(_believed(situation), asked) * situation.share_of(asked.applies_to)
    hurry = table.rule["hot_first"] if "hot" in asked.needs else 1.0
    minutes = _minutes(asked, situation.weight_class, wheels=wheels, axles=axles)
    return gain * hurry / (minutes + table.rule["overhead_min"])


@lru_cache(maxsize=4096)
def _believed(situation: Situation) -> Mapping[str, float]:
    return held_below(cause_weights(situation), evidence_table().rule["most_share"])


def held_below(weights: Mapping[str, float], most: float) -> dict[str, float]:
    """Weights as shares of one, the largest held at `most`: coarse judgement never makes a cause certain.

    Parameters
    ----------
    weights : mapping of str to float
        The heaviest first, at least two.
    most : float
        Largest share allowed, above one half.
    """
    total = sum(weights.values())
    shares = {cause: weight / total for cause, weight in weights.items()}
    first, share = next(iter(shares.items()))
    if share <= most:
        return shares
    return {cause: most if cause == first else p * (1 - most) / (1 - share) for cause, p in shares.items()}


def information_bits(believed: Mapping[str, float], asked: Observation) -> float:
    """Expected information of a question about the cause [bit]: the mutual information of cause and answer.

    Parameters
    ----------
    believed : mapping of str to float
        Share of every cause, summing to one.
    asked : Observation
        No answer may be impossible under a believed cause.

    References
    ----------
    .. [1] Cover and Thomas, *Elements of Information Theory*, 2nd ed., Wiley 2006, eq. 2.28 (from memory, not
       checked).
    """
    gain = 0.0
    for k, p_answer in enumerate(_answer_shares(believed, asked)):
        for cause, share in believed.items():
            gain += share * asked.p[cause][k] * log2(asked.p[cause][k] / p_answer)
    return gain


def _answer_shares(believed: Mapping[str, float], asked: Observation) -> list[float]:
    answers = range(len(asked.answers))
    return [sum(share * asked.p[cause][k] for cause, share in believed.items()) for k in answers]


def _minutes(asked: Observation, weight_class: str, *, wheels: int, axles: int) -> float:
    """Time for a check, with getting there; a check at a wheel is made at every wheel concerned."""
    setup = evidence_table().setup_min
    reached = sum(setup[f"{state}_{weight_class}"] for state in ("lift", "wheel_off") if state in asked.needs)
    return asked.minutes * (wheels if "{place}" in asked.ask else 1) + reached * axles


def _places(evidence: LogEvidence) -> tuple[int, int]:
    """Number of wheels and of axles concerned."""
    return len(evidence.corners) or 2 * len(evidence.axles), len(evidence.axles)


def _as_check(evidence: LogEvidence, key: str, why: str) -> NextCheck:
    asked, (wheels, axles) = evidence_table().observations[key], _places(evidence)
    return NextCheck(
        id=key,
        question=("Stop driving. " if _urgent_lines(evidence) else "")
        + asked.ask.format(place=_named(evidence)),
        minutes=_minutes(asked, evidence.vehicle.weight_class, wheels=wheels, axles=axles),
        safety=f"{asked.safety} {_BY_THE_BOOK}",
        why=why,
    )


@lru_cache(maxsize=4096)
def _why(situation: Situation, key: str) -> str:
    """Which cause each of the likeliest answers would speak for."""
    table = evidence_table()
    asked, believed = table.observations[key], _believed(situation)
    shares, words = _answer_shares(believed, asked), tuple(asked.answers.values())
    meant: dict[str, list[str]] = {}
    for k in sorted(range(len(shares)), key=lambda k: -shares[k])[:_MOST_ANSWERS]:
        # Squared: a cause that is believed and explains the answer well, not the believed one by habit.
        fit = {cause: share * asked.p[cause][k] ** 2 for cause, share in believed.items()}
        meant.setdefault(max(fit, key=lambda cause: fit[cause]), []).append(f'"{words[k]}"')
    said = (f"{' or '.join(answers)} would point to {table.causes[c].short}" for c, answers in meant.items())
    return f"It tells most per minute now: {', '.join(said)}."


def _setup(evidence: LogEvidence, what: str) -> float:
    return evidence_table().setup_min[f"{what}_{evidence.vehicle.weight_class}"]


def _named(evidence: LogEvidence) -> str:
    """The place in words with the names of its corners."""
    count = len(evidence.vehicle.axles)
    if evidence.kind == "all_hot":
        return "each wheel"
    if 0 < len(evidence.corners) < 3:
        return " and ".join(f"{corner_words(corner, count)} ({corner})" for corner in evidence.corners)
    return " and ".join(f"{axle_words(axle, count)} left and right" for axle in evidence.axles)
