"""Whether a brake is too hot for anybody near a wheel, or a part too hot for a hand."""

from __future__ import annotations

import math

from thermlog.advice.doing import doing
from thermlog.advice.logevidence import LogEvidence


def is_too_hot(evidence: LogEvidence) -> bool:
    """True from the temperature on at which nobody goes nearer to a wheel than the gun: it cools first."""
    return evidence.brake_degc is not None and evidence.brake_degc >= doing().rule["no_drive_degc"]


def is_too_hot_to_touch(evidence: LogEvidence) -> bool:
    """True from the temperature on at which whatever brings somebody to a wheel waits until it has cooled."""
    return hottest_degc(evidence) >= doing().rule["cool_degc"]


def hottest_degc(evidence: LogEvidence) -> float:
    """Hottest that was read of a brake or a part beside it [°C]; minus infinity where nothing was."""
    read = (value for value in (evidence.brake_degc, evidence.part_degc) if value is not None)
    return max(read, default=-math.inf)
