"""Logs of a depot: each case gets its unit, and is read again where its unit has words of its own."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct, field
from msgspec.structs import replace

from thermlog.reading.cells import shown
from thermlog.reading.gathered import LogReadings
from thermlog.reading.read import Logs, read_log, stated_vehicle
from thermlog.words.errors import LogRefusedError
from thermlog.words.tables import stack_readings

if TYPE_CHECKING:
    from collections.abc import Callable

    from thermlog.judging.settings import Settings
    from thermlog.reading.depotfile import Depot, DepotUnit
    from thermlog.words.errors import ThermlogError
    from thermlog.words.tables import Case, Readings

_FROM: dict[str, str] = {"file": "the name of the file", "folder": "the name of its folder"}


class AlikeLogs(Struct, kw_only=True, eq=False):
    """Logs, or parts of them, that are judged alike.

    Attributes
    ----------
    settings : Settings
    logs : list of LogReadings
    places : list of list of (int, int)
        Of every case of every log: number of the log among all, and its own within it.
    """

    settings: Settings
    logs: list[LogReadings] = field(default_factory=list)
    places: list[list[tuple[int, int]]] = field(default_factory=list)

    def readings(self) -> Readings:
        """Of all logs, stacked."""
        return stack_readings([log.readings for log in self.logs])

    def all_places(self) -> tuple[tuple[int, int], ...]:
        """Of every case of `readings`."""
        return tuple(place for own in self.places for place in own)


def logs_of_units(read: Logs, settings: Settings, content_of: Callable[[str], bytes]) -> Logs:
    """Logs under the names of their units, each read as its unit has it.

    Parameters
    ----------
    read : Logs
        Read as the settings have it for a log of no unit.
    settings : Settings
        Without a depot nothing changes.
    content_of : callable
        Gives the bytes of a log that is read again.
    """
    depot = settings.depot
    if depot is None:
        return read
    logs = [_of_units(log, settings, depot, content_of) for log in read.logs]
    refused: list[tuple[str, ThermlogError]] = []
    known = {log.record.file for log in logs}
    for file, refusal in read.refused:  # the words of its unit may make a log readable
        if file in known:  # of a sheet that was passed over
            refused.append((file, refusal))
            continue
        unit = depot.named(stated_vehicle(file, content_of)) or _in_path(file, depot)
        again = _read_again(file, unit, settings, content_of)
        if again is None:
            refused.append((file, refusal))
        else:
            logs.append(_named(again, depot))
    return replace(read, logs=tuple(logs), refused=tuple(refused))


def shares_of(read: Logs, settings: Settings) -> list[AlikeLogs]:
    """Logs put together by what holds for their units; without a depot all of them are one share.

    Parameters
    ----------
    read : Logs
        From `logs_of_units`.
    settings : Settings
    """
    if settings.depot is None:
        places = [[(n, k) for k in range(len(log.readings.cases))] for n, log in enumerate(read.logs)]
        return [AlikeLogs(settings=settings, logs=list(read.logs), places=places)]
    shares = [AlikeLogs(settings=one) for one in settings.variants]
    for number, log in enumerate(read.logs):
        kept: dict[int, list[int]] = {}
        for k, case in enumerate(log.readings.cases):
            unit, _ = unit_of(case, settings.depot)
            kept.setdefault(settings.units["" if unit is None else unit.id], []).append(k)
        for variant, own in kept.items():
            whole = len(own) == len(log.readings.cases)
            shares[variant].logs.append(log if whole else replace(log, readings=log.readings.of_cases(own)))
            shares[variant].places.append([(number, k) for k in own])
    return [share for share in shares if share.logs] or shares[:1]


def _of_units(
    log: LogReadings, settings: Settings, depot: Depot, content_of: Callable[[str], bytes]
) -> LogReadings:
    """A log with the words of its unit, if it is of one that has its own."""
    units = {unit.id: unit for case in log.readings.cases if (unit := unit_of(case, depot)[0]) is not None}
    if len(units) == 1:
        (unit,) = units.values()
        log = _read_again(log.record.file, unit, settings, content_of) or log
    return _named(log, depot)


def _read_again(
    file: str, unit: DepotUnit | None, settings: Settings, content_of: Callable[[str], bytes]
) -> LogReadings | None:
    """A log read with the words of a unit; None if it has none, or if they do not help."""
    if unit is None or not unit.positions:
        return None
    try:
        own = settings.variants[settings.units[unit.id]].reading
        return read_log(file, own, content_of=content_of)
    except LogRefusedError:
        return None


def _named(log: LogReadings, depot: Depot) -> LogReadings:
    """Cases under the names of their units, with a note where that is not what the log says."""
    table = log.readings
    told = [(case, *unit_of(case, depot)) for case in table.cases]
    notes = dict.fromkeys(note for case, unit, where in told if (note := _note(case, unit, where)))
    record = replace(log.record, notes=(*log.record.notes, *notes))
    cases = tuple(_of_unit(replace(case, log=record), unit or depot.stranger) for case, unit, _ in told)
    return replace(log, record=record, readings=replace(table, cases=cases))


def _of_unit(case: Case, unit: DepotUnit) -> Case:
    """A case under the name of its unit, with the air that the depot states where the log does not."""
    if unit.id:
        case = replace(case, vehicle=unit.id)
    if case.ambient_degc is None and unit.ambient_degc is not None:
        case = replace(case, ambient_degc=unit.ambient_degc, ambient_source="assumed")
    return case


def _note(case: Case, unit: DepotUnit | None, where: str) -> str | None:
    if unit is None or case.vehicle == unit.id:
        return None
    if where in _FROM:
        return f'taken as unit "{unit.id}" of the depot by {_FROM[where]}'
    return f'"{shown(case.vehicle or "")}" is unit "{unit.id}" of the depot'


def unit_of(case: Case, depot: Depot) -> tuple[DepotUnit | None, str]:
    """The unit of a case and how it was found; what a log says comes before the name of its file.

    Parameters
    ----------
    case : Case
    depot : Depot

    Returns
    -------
    unit : Unit or None
    where : str
        "log", "file" or "folder".
    """
    if case.vehicle is not None:
        return depot.named(case.vehicle), "log"
    found = depot.in_path(case.log.file)
    return (None, "log") if found is None else found


def _in_path(file: str, depot: Depot) -> DepotUnit | None:
    found = depot.in_path(file)
    return None if found is None else found[0]
