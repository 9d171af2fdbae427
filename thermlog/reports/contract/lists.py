"""What was understood of a log, and a whole fleet, as JSON tells them."""

from __future__ import annotations

import math
from typing import Literal

from msgspec import Struct

from thermlog.fleet.fleetlist import Duplicate, LearnedSkins
from thermlog.fleet.worklist import WorkList
from thermlog.reading.files.paths import PassedFiles
from thermlog.reading.gathered import LogReadings, Understood
from thermlog.reading.read import Unreadable
from thermlog.reports.contract.check import CheckObject, LogObject
from thermlog.reports.contract.document import DocumentObject
from thermlog.reports.contract.jsonnumbers import taken_over
from thermlog.reports.contract.work import WorkObject
from thermlog.reports.lacks import lacks
from thermlog.reports.wording import six_digits
from thermlog.words.bounds import CornerName, Count, Share
from thermlog.words.errors import TroubleCode
from thermlog.words.tables import Drive, Readings
from thermlog.words.unread import UnreadDanger
from thermlog.words.vehicle import SIDES, SPOTS, Spot, corner_name


class LacksObject(Struct, frozen=True, kw_only=True):
    """What a check of one vehicle and drive will lack.

    Attributes
    ----------
    vehicle : str or None
        As stated.
    drive : {"normal", "coast", "verification"} or None
        Kind of drive, as stated.
    lacks : tuple of str
        In words, the weightiest first; empty if nothing is missing.
    """

    vehicle: str | None
    drive: Drive | None
    lacks: tuple[str, ...]


class ReadingObject(Struct, frozen=True, kw_only=True):
    """One reading as it was understood.

    Attributes
    ----------
    line : int
        Line in the file.
    vehicle : str or None
        Vehicle it belongs to, as stated.
    drive : {"normal", "coast", "verification"} or None
        Drive it belongs to, as stated.
    corner : str
        Axle number from the front and the vehicle's own side.
    spot : str
        What was aimed at.
    elapsed_s : float or None
        Since the wheels stopped, or on the log's own clock [s]; null in a log without times.
    temp_degc : float
        What the gun showed [°C].
    """

    line: Count
    vehicle: str | None
    drive: Drive | None
    corner: CornerName
    spot: Spot
    elapsed_s: float | None
    temp_degc: float


class InspectObject(DocumentObject, frozen=True, kw_only=True):
    """What was understood of a log.

    Attributes
    ----------
    log : LogObject
        The input file and what became of its rows.
    understood : Understood
        How it was read.
    ambient_degc : float or None
        Air temperature of the log's first vehicle and drive [°C]; null if nobody stated one.
    lacks : tuple of LacksObject
        What a check will lack, for each vehicle and drive.
    readings : tuple of ReadingObject
        Every reading that is judged, by vehicle, drive and time.
    """

    log: LogObject
    understood: Understood
    ambient_degc: float | None
    lacks: tuple[LacksObject, ...]
    readings: tuple[ReadingObject, ...]

    @classmethod
    def of(cls, log: LogReadings) -> InspectObject:
        """One log."""
        table = log.readings
        return cls(
            log=LogObject.of(log.record),
            understood=log.understood,
            ambient_degc=six_digits(table.cases[0].ambient_degc) if table.cases else None,
            lacks=tuple(
                LacksObject(vehicle=one.vehicle, drive=one.drive, lacks=lacks(table, k))
                for k, one in enumerate(table.cases)
            ),
            readings=_readings(table),
        )


def _readings(table: Readings) -> tuple[ReadingObject, ...]:
    columns = (
        table.case, table.line, table.axle, table.side, table.spot, table.elapsed_s, table.indicated_degc,
    )  # fmt: skip
    return tuple(
        ReadingObject(
            line=line,
            vehicle=table.cases[case].vehicle,
            drive=table.cases[case].drive,
            corner=corner_name(axle, SIDES[side]),
            spot=SPOTS[spot],
            elapsed_s=elapsed_s if math.isfinite(elapsed_s) else None,
            temp_degc=float(f"{indicated_degc:.6g}"),
        )
        for case, line, axle, side, spot, elapsed_s, indicated_degc in zip(
            *(column.tolist() for column in columns), strict=True
        )
    )


class SkinsObject(Struct, frozen=True, kw_only=True):
    """How often the brakes of a vehicle look alike to the gun.

    Attributes
    ----------
    source : {"learned", "assumed"}
        From these logs, or as the policy has it.
    even_share : float or None
        Share of vehicles; null: each policy's own.
    logs : int
        Logs it was learned from.
    """

    source: Literal["learned", "assumed"] = "assumed"
    even_share: Share | None = None
    logs: Count = 0

    @classmethod
    def of(cls, skins: LearnedSkins | None) -> SkinsObject:
        """What was learned, if anything was."""
        if skins is None:
            return cls()
        return cls(source="learned", even_share=six_digits(skins.even_share), logs=skins.logs)


class UnreadableObject(Struct, frozen=True, kw_only=True):
    """A log that was refused, and why.

    Attributes
    ----------
    file : str
        Path as given.
    reason : str
        File, line, column, value found and the cure, as far as they are known.
    code : TroubleCode
        The same for programs; more may come.
    line, column, value : int, str, str or None
        Where in the file, and what stands there; None where there is no such place.
    vehicle : str or None
        As stated in it.
    dangers : tuple of UnreadDanger
        What it says that stops the vehicle; not read is not cleared.
    """

    file: str
    reason: str
    code: TroubleCode
    line: int | None
    column: str | None
    value: str | None
    vehicle: str | None
    dangers: tuple[UnreadDanger, ...]

    @classmethod
    def of(cls, refused: Unreadable) -> UnreadableObject:
        """One log."""
        return taken_over(cls, refused)


class FleetObject(DocumentObject, frozen=True, kw_only=True):
    """Every log judged, and the files that could not be read.

    Attributes
    ----------
    logs : tuple of CheckObject
        In the order of the files, as ``thermlog check`` tells each.
    unreadable : tuple of UnreadableObject
        Files that were refused.
    duplicates : tuple of Duplicate
        Files of the same content as one already judged.
    passed_over : tuple of PassedFiles
        Files in folders that are no logs by their ending.
    work : WorkObject
        The list of work: what to stop, check, watch, and drive or read again.
    skins : SkinsObject
        How often the brakes of a vehicle look alike to the gun.
    """

    logs: tuple[CheckObject, ...] = ()
    unreadable: tuple[UnreadableObject, ...] = ()
    duplicates: tuple[Duplicate, ...] = ()
    passed_over: tuple[PassedFiles, ...] = ()
    work: WorkObject = WorkObject()
    skins: SkinsObject = SkinsObject()

    @classmethod
    def around(cls, work: WorkList) -> FleetObject:
        """All of a fleet but its logs, which are written one by one."""
        return cls(
            unreadable=tuple(map(UnreadableObject.of, work.unreadable)),
            duplicates=work.duplicates,
            passed_over=work.passed_over,
            work=WorkObject.of(work),
            skins=SkinsObject.of(work.skins),
        )
