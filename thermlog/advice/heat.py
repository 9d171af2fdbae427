"""Whether a brake is too hot for anybody near a wheel."""

from __future__ import annotations

from thermlog.advice.doing import doing
from thermlog.advice.logevidence import LogEvidence


def is_too_hot(evidence: LogEvidence) -> bool:
    """True from the temperature on at which nobody goes nearer to a wheel than the gun: it cools first."""
    return evidence.brake_degc is not None and evidence.brake_degc >= doing().rule["no_drive_degc"]
