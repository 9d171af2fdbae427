"""Parts that were watched beside the brakes on an earlier drive: what was not read again is not cleared."""

from __future__ import annotations

from collections.abc import Sequence

from thermlog.followup.stops import Stop
from thermlog.followup.watchline import heat_share
from thermlog.words.findings import Diagnosis
from thermlog.words.parts import SPOT_NAMES, PartAbove
from thermlog.words.reasons import ChangeCode, Reason
from thermlog.words.vehicle import BRAKE_SPOTS, mate_of, split_corner


def parts_before(before: Sequence[Diagnosis], now: Sequence[Diagnosis]) -> tuple[Stop, ...]:
    """What was watched beside the brakes on earlier drives and is not by the drives that count now.

    Parameters
    ----------
    before, now : sequence of Diagnosis
        Of one vehicle.

    Returns
    -------
    tuple of Stop
        Each part once. It is settled where a drive of the same kind read it and what it stood above, and was
        warm enough that the old gap would still be past its mark.
    """
    still = {(one.corner, one.spot) for log in now for one in log.parts_above}
    still |= {(one.corner, one.spot) for log in now for one in log.urgent if one.corner and one.spot}
    found: dict[tuple[str, str], Stop] = {}
    for log in before:
        for one in log.parts_above:
            if (one.corner, one.spot) not in still:
                found.setdefault((one.corner, one.spot), _stop(one, log, now))
    return tuple(found.values())


def _stop(one: PartAbove, log: Diagnosis, now: Sequence[Diagnosis]) -> Stop:
    reading = [each for each in now if _read_beside(one, each)]
    shown = any(_would_show(one, log, each) for each in reading)
    code: ChangeCode = "part_no_more" if shown else "part_read_otherwise" if reading else "part_not_read"
    name = SPOT_NAMES[one.spot]
    reason = Reason(
        code=code,
        corners=(one.corner, mate_of(one.corner)) if one.over == "mate" else (one.corner,),
        numbers={"difference_k": one.difference_k, "mark_k": one.mark_k},
        quoted=name,
    )
    return Stop(reason=reason, settled=shown, do="read_part", part=name)


def _read_beside(one: PartAbove, now: Diagnosis) -> bool:
    """True if the part was read now, and what it stood above."""
    read = {c.corner for c in now.corners if c.spot == one.spot and c.at_common_degc is not None}
    if one.over == "mate":
        return {one.corner, mate_of(one.corner)} <= read
    if one.over == "brake":
        brakes = {c.corner for c in now.corners if c.spot in BRAKE_SPOTS and c.at_common_degc is not None}
        return one.corner in read & brakes
    number = split_corner(one.corner)[0]
    return one.corner in read and any(split_corner(corner)[0] != number for corner in read)


def _would_show(one: PartAbove, log: Diagnosis, now: Diagnosis) -> bool:
    if (log.drive == "coast") != (now.drive == "coast"):
        return False
    share = heat_share(log, now, split_corner(one.corner)[0], frozenset())
    return one.difference_k * share > one.mark_k
