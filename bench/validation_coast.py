"""Drives without braking: what they find alone, and what both drives of one vehicle answer together."""

from __future__ import annotations

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from validation_scores import Found, as_before, corner_tables, found, hot_part
from validation_sets import Array
from validation_walks import YES, Said, said
from validation_worlds import MIXED_FROM_NM, Batch, Cell, WorldName, batch

from thermlog.judging.diagnose import judge
from thermlog.judging.settings import Settings
from thermlog.judging.tell import tell_findings
from thermlog.words.findings import Answers
from thermlog.words.tables import Drive, Readings, stack_readings

DRIVES: tuple[Drive, ...] = ("normal", "coast")


class Coast(Struct, frozen=True, kw_only=True):
    """One class after a drive without braking.

    Attributes
    ----------
    found : Found
        Of single drags at the stated false alarms.
    alarms : dict of str to float
        Share of healthy vehicles at watch or more, and at yes.
    open_share : float
        Share of healthy vehicles whose drag question stays open.
    """

    world: WorldName
    kind: str
    skins: str
    found: Found
    alarms: dict[str, float]
    open_share: float


class BothDrives(Struct, frozen=True, kw_only=True):
    """One class and fault: a normal drive alone, and with a drive without braking beside it.

    Attributes
    ----------
    right_alone, right_both : float
        Share of the vehicles whose odd corner alone is named, in the right sense, by a yes.
    wrong_alone, wrong_both : float
        Share with a yes in the wrong sense.
    """

    world: WorldName
    kind: str
    skins: str
    fault: str
    right_alone: float
    right_both: float
    wrong_alone: float
    wrong_both: float


def coasted(cell: Cell, count: int, seed: int) -> Coast:
    """Healthy vehicles and single drags after a drive without braking, three rounds."""
    calm, hot = (
        batch(replace(cell, drive="coast"), fault, count, seed + number)
        for number, fault in enumerate(("none", "corner_hot"))
    )
    scores = [_scores(one) for one in (calm, hot)]
    some = hot.size >= MIXED_FROM_NM
    words = [one.drag.answer for one in _answers(calm.readings)]
    return Coast(
        world=cell.world,
        kind=cell.kind,
        skins=cell.skins,
        found=found(scores[0], {name: score[some] for name, score in scores[1].items()}, seed),
        alarms={
            "watch": float(np.mean([word in {"watch", "yes"} for word in words])),
            "yes": float(np.mean([word == "yes" for word in words])),
        },
        open_share=float(np.mean([word == "cannot_tell" for word in words])),
    )


def _scores(made: Batch) -> dict[str, Array]:
    judged = judge(made.readings, Settings())
    _, mean, _ = corner_tables(made.readings, judged.comparison.common_time_s, 0)
    return {
        "thermlog": np.nan_to_num(judged.patterns.p_drag),
        "as before": hot_part(as_before(judged.evidence)),
        "difference of means": np.nanmax(np.abs(mean[:, 0::2] - mean[:, 1::2]), axis=1),
        "hottest over median": np.nanmax(mean, axis=1) - np.nanmedian(mean, axis=1),
    }


def both_drives(cell: Cell, fault: str, count: int, seed: int) -> BothDrives:
    """The same vehicles driven twice."""
    normal, coast = (batch(replace(cell, drive=drive), fault, count, seed) for drive in DRIVES)
    sense = "idle" if fault.endswith("cold") else "drag"
    alone = _answers(_named(normal.readings))
    together = _answers(stack_readings([_named(normal.readings), _named(coast.readings)]))[:count]
    right, wrong = {}, {}
    for name, told in (("alone", alone), ("both", together)):
        other = "drag" if sense == "idle" else "idle"
        ours: Said = said([getattr(one, sense) for one in told], normal.odd)
        theirs: Said = said([getattr(one, other) for one in told], normal.odd)
        right[name] = float((ours.own & (ours.word == YES)).mean())
        wrong[name] = float((theirs.word == YES).mean())
    return BothDrives(
        world=cell.world,
        kind=cell.kind,
        skins=cell.skins,
        fault=fault,
        right_alone=right["alone"],
        right_both=right["both"],
        wrong_alone=wrong["alone"],
        wrong_both=wrong["both"],
    )


def _named(readings: Readings) -> Readings:
    """Readings with a name for each vehicle, which ties its two drives."""
    cases = tuple(replace(case, vehicle=f"vehicle {k}") for k, case in enumerate(readings.cases))
    return replace(readings, cases=cases)


def _answers(readings: Readings) -> list[Answers]:
    judged = judge(readings, Settings())
    return [tell_findings(judged, k).answers for k in range(len(readings.cases))]
