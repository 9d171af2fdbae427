"""Which drives of a batch are of one vehicle, and which of them go together."""

from __future__ import annotations

from collections.abc import Sequence

from thermlog.words.moments import DAY_S, moment_s
from thermlog.words.tables import Case
from thermlog.words.vehicle import unit_key


def same_vehicle(cases: Sequence[Case]) -> dict[int, list[int]]:
    """All cases of the vehicle of each case, where it is named and there are several."""
    named: dict[str, list[int]] = {}
    for k, case in enumerate(cases):
        if case.vehicle is not None:
            named.setdefault(unit_key(case.vehicle), []).append(k)
    return {k: alike for alike in named.values() if len(alike) > 1 for k in alike}


def coast_cases(cases: Sequence[Case], *, across_logs: bool) -> list[int | None]:
    """The drive without braking that goes with every other drive of the same vehicle.

    Parameters
    ----------
    cases : sequence of Case
    across_logs : bool
        False: only drives of the same log go together.

    Returns
    -------
    list of int or None
        In the same log, else under the same vehicle name in another; None where there is none or several. A
        drive of unknown ambient tells no rise and does not count, nor does one of another day: what a brake
        did then is no answer to what it does now.
    """
    coasting: dict[tuple[str | None, str | None], list[int]] = {}
    for k, case in enumerate(cases):
        if case.drive == "coast" and case.ambient_degc is not None:
            coasting.setdefault((case.log.sha256, _unit(case)), []).append(k)
            if across_logs:
                coasting.setdefault((None, _unit(case)), []).append(k)
    if not coasting:
        return [None] * len(cases)
    found = [None if case.drive == "coast" else _only_coast(coasting, case) for case in cases]
    return [
        None if other is None or days_apart(case, cases[other]) else other
        for case, other in zip(cases, found, strict=True)
    ]


def verified_cases(cases: Sequence[Case]) -> dict[int, int]:
    """The drive after the repair that follows every other drive of the same vehicle in the same log.

    Parameters
    ----------
    cases : sequence of Case

    Returns
    -------
    dict of int to int
        Empty where there is none; drives of which several follow are left out.
    """
    found: dict[tuple[str, str | None], list[int]] = {}
    for k, case in enumerate(cases):
        if case.drive == "verification":
            found.setdefault((case.log.sha256, _unit(case)), []).append(k)
    if not found:
        return {}
    after = {k: found.get((case.log.sha256, _unit(case)), []) for k, case in enumerate(cases)}
    return {k: later[0] for k, later in after.items() if len(later) == 1 and later != [k]}


def _unit(case: Case) -> str | None:
    """Name of the vehicle without what people write one way today and another way tomorrow."""
    return None if case.vehicle is None else unit_key(case.vehicle)


def days_apart(case: Case, other: Case) -> int:
    """Whole days between two drives; 0 on the same day, and where a date is not stated."""
    one, two = moment_s(case.taken_at), moment_s(other.taken_at)
    return 0 if one is None or two is None else round(abs(one - two) / DAY_S)


def braked_cases(coast: list[int | None]) -> list[int | None]:
    """The drive with braking that goes with every drive without; None where there is none or several."""
    found: dict[int, list[int]] = {}
    for k, other in enumerate(coast):
        if other is not None:
            found.setdefault(other, []).append(k)
    return [found[k][0] if len(found.get(k, ())) == 1 else None for k in range(len(coast))]


def _only_coast(coasting: dict[tuple[str | None, str | None], list[int]], case: Case) -> int | None:
    here = coasting.get((case.log.sha256, _unit(case)), [])
    elsewhere = [] if case.vehicle is None else coasting.get((None, _unit(case)), [])
    return next((found[0] for found in (here, elsewhere) if len(found) == 1), None)
