"""Logs for tests of reading, and what must hold of every log read; all numbers invented."""

from __future__ import annotations

import hashlib
import io
import math

import xlsxwriter

from thermlog.reading.gathered import LogReadings
from thermlog.reading.plainlogs import plain_logs
from thermlog.reading.read import read_content
from thermlog.reading.readoptions import ReadOptions
from thermlog.words.columns import STACKED
from thermlog.words.errors import ThermlogError
from thermlog.words.tables import Readings

PLAIN = "time_s,position,temp_c\n0,FL,80.5\n10,FR,81\n20,RL,70\n30,RR,71\n"

SEEDS = (
    PLAIN,
    "# ambient: 18 C\n# vehicle: van 7\ntime_s,position,temp_c\n0,FL,80.5\n10,FR,81\n20,RL,70\n30,RR,71\n",
    "# ambient: 18 C\n# parked: 14:03:10\n# vehicle: van 7\n# drive: coast\n"
    "time,position,temp_c\n14:05:10,FL,85.5\n14:05:20,FR,90\n14:05:30,RL,OL\n14:05:40,ambient,19\n",
    "Zeit (s);Rad;Temperatur (°C)\n0;VL;80,5\n10;VR;81,0\n20;HL;70\n30;HR;71\n",
    "time_s,FL (°C),FR (°C),RL (°C),RR (°C)\n0,80,81,70,71\n60,79,,69,70\n",
    "FL time,FL (F),FR time,FR (F)\n0,180,10,181\n60,178,70,177\n",
    "wheel,0 min,5 min\nFL,80 C,79 C\nFR,80 C,78 C\n",
    "wheel,round 1,round 2\nFL,80 C,79 C\nFR,80 C,78 C\n",
    "time_s,axle,side,temp_f,spot,emissivity\n0,1,L,180,drum,0.95\n10,1,R,181,hub,\n20,2,L,150,,0.9\n",
    "vehicle\tdrive\tdate\ttime\tposition\ttemp\tunit\n"
    "A\tB\t2031-05-04\t14:03\tFL\t80\tC\nB\tA\t2031-05-04\t14:04\tFR\t181\tF\n",
    "0,FL,85 C\n10,FR,84 C\n20,RL,70 C\n30,RR,71 C\n",
    "Report\nAmbient: 18 C\n\n"
    '"time_s","position","temp_c","note"\n0,FL,80,"a ""b"", c"\n10,FR,81,"x\ny"\nMean,,80.5,\n',
    "time_s   position      temp_c\n0     Front left     80\n10    Front right    81\n",
    "2031-05-04T14:03:10+02:00,3L,95 C\n",
    "Vehicle: A\nWheel: FL\ntime_s,temp_c\n0,80\n60,79\nWheel: FR\n10,70\nVehicle: B\nWheel: FL\n0,60\n",
    "time remaining (s),position,temp (0.1 C)\n600,FL,800\n588,FR,810\n340,FL,790\n",
    "h,min,s,am/pm,position,temp_c\n12,58,10,pm,FL,80\n1,2,0,pm,FR,81\n",
    "time,position,temp_c\n1,010,FL,80\n140310,FR,81\nPT5S,RL,70\n",
    "time_s,position,temp_c\n0,FL,80\n9,FR,81\n\ntime_s,FL (F),FR (F)\n60,175,176\nair 16\n",
    "Date: 2031-05-04\nParked: 14:03\ntime,position,temp_c\n14:05:00,FL,80\n14:05:12,FR,81\n"
    "Date: 5.5.2031\nParked: 9:20\n9:22:00,FL,70\n9:22:12,FR,71\n",
    "# date: 2031-05-04\n# parked: 0\ntime_s,position,temp_c\n0,FL,80\n# parked: 5\n9,FL,70\n",
)


def read(text: str | bytes, **options) -> LogReadings:
    """Read a log given as text."""
    content = text if isinstance(text, bytes) else text.encode()
    return read_content(content, file="log.csv", options=ReadOptions(**options))


def outcome(content: bytes, **options) -> LogReadings | ThermlogError:
    """What reading comes to; anything but a reading or a refusal is a fault of ours and goes through."""
    try:
        found = read_content(content, file="log.csv", options=ReadOptions(**options))
    except ThermlogError as refusal:
        if "\n" in str(refusal):
            raise AssertionError from refusal
        return refusal
    check_counts(found)
    return found


def told_twice(content: bytes) -> LogReadings | ThermlogError:
    """The same, and what the reader of many small logs makes of it, which must be just that, or nothing."""
    careful = outcome(content)
    log = ("log.csv", content, hashlib.sha256(content).hexdigest())
    quick = plain_logs([log, log], ReadOptions())
    assert set(quick) in ({0, 1}, set())
    for one in quick.values():
        assert isinstance(careful, LogReadings)
        assert one.gathered.record == careful.record
        assert_same_readings(one.gathered.readings, careful.readings)
    return careful


def assert_same_readings(found: Readings, other: Readings) -> None:
    """To the last bit."""
    assert found.cases == other.cases
    for column in STACKED:
        own, its = getattr(found, column.name), getattr(other, column.name)
        assert own.dtype == its.dtype
        assert own.tobytes() == its.tobytes(), column.name


def check_counts(found: LogReadings) -> None:
    """Nothing is lost, and what is used is usable."""
    record, readings = found.record, found.readings
    assert record.rows_read == record.rows_used + len(record.set_aside)
    assert record.rows_used == readings.rows > 0
    assert all(one.line >= 1 and one.reason for one in record.set_aside)
    assert all(math.isfinite(value) for value in readings.indicated_degc.tolist())
    assert readings.axle.min() >= 1
    timed = [math.isfinite(value) for value in readings.elapsed_s.tolist()]
    assert all(timed) or not any(timed)
    assert all(case.log is record for case in readings.cases)


def rows(found: LogReadings) -> list[tuple[float, str, float]]:
    """Time, corner and temperature of every reading."""
    r = found.readings
    corners = [f"{axle}{'LR'[side]}" for axle, side in zip(r.axle.tolist(), r.side.tolist(), strict=True)]
    return list(zip(r.elapsed_s.tolist(), corners, r.indicated_degc.tolist(), strict=True))


def workbook(rows_of_cells: list[list[object]]) -> bytes:
    """A workbook whose second sheet holds the rows."""
    buffer = io.BytesIO()
    with xlsxwriter.Workbook(buffer, {"in_memory": True}) as book:
        book.add_worksheet("empty")
        sheet = book.add_worksheet("log")
        for k, row in enumerate(rows_of_cells):
            sheet.write_row(k, 0, row)
    return buffer.getvalue()
