"""One vehicle's log in any dialect: delimiter, unit, layout, time form, language, place of the air."""

from __future__ import annotations

import random
from collections.abc import Callable
from datetime import datetime, timedelta

from msgspec import Struct
from readcases import workbook

CORNERS = ("1L", "1R", "2L", "2R")
WALK_S = ((0, 12, 25, 37), (240, 252, 265, 277), (486, 497, 511, 523))
DEGC = ((85.5, 84.0, 61.5, 152.0), (80.0, 79.0, 58.0, 141.5), (75.5, 74.5, 55.0, 132.0))
AIR_DEGC = 18.0
START = datetime(2031, 5, 4, 14, 3, 10)  # noqa: DTZ001 - a clock on a wall
NOON = datetime(2031, 5, 4, 12, 55, 0)  # noqa: DTZ001 - so that the walk passes one o'clock
LATE = NOON - timedelta(hours=1)  # and so noon
EPOCH_S = 1_935_669_790

CODES: dict[str, tuple[str, str, str, str]] = {
    "english": ("FL", "FR", "RL", "RR"),
    "back": ("FL", "FR", "BL", "BR"),
    "hand": ("LHF", "RHF", "LHR", "RHR"),
    "numbers": ("1L", "1R", "2L", "2R"),
    "axles": ("A1L", "A1R", "A2L", "A2R"),
    "words": ("front left", "front right", "rear left", "rear right"),
    "back words": ("left front", "right front", "left back", "right back"),
    "german": ("VL", "VR", "HL", "HR"),
    "german words": ("vorne links", "vorne rechts", "hinten links", "hinten rechts"),
    "french": ("AVG", "AVD", "ARG", "ARD"),
    "spanish": ("DI", "DD", "TI", "TD"),
    "portuguese": ("DE", "DD", "TE", "TD"),
    "italian": ("AS", "AD", "PS", "PD"),
    "dutch": ("LV", "RV", "LA", "RA"),
    "nordic": ("VF", "HF", "VB", "HB"),
    "polish": ("LP", "PP", "LT", "PT"),
    "czech": ("PL", "PP", "ZL", "ZP"),
}
# time, position, temperature, vehicle, air, wheel line
HEADS: dict[str, tuple[str, str, str, str, str]] = {
    "english": ("time", "position", "temp", "vehicle", "ambient"),
    "plain": ("elapsed", "wheel", "temperature", "car", "air temp"),
    "german": ("Zeit", "Rad", "Temperatur", "Fahrzeug", "Außentemperatur"),
    "french": ("temps", "roue", "température", "véhicule", "température ambiante"),
    "spanish": ("tiempo", "rueda", "temperatura", "vehículo", "temperatura ambiente"),
    "portuguese": ("tempo", "roda", "temperatura", "veículo", "temperatura do ar"),
    "italian": ("tempo", "ruota", "temperatura", "veicolo", "temperatura aria"),
    "dutch": ("tijd", "wiel", "temperatuur", "voertuig", "omgevingstemperatuur"),
    "nordic": ("tid", "hjul", "temperatur", "fordon", "utetemperatur"),
    "polish": ("czas", "kolo", "temperatura", "pojazd", "temperatura powietrza"),
    "czech": ("čas", "kolo", "teplota", "vozidlo", "teplota vzduchu"),
}
SIGNS = {"C": ("°C", "C", "degC", "deg C"), "F": ("°F", "F", "degF", "deg F"), "K": ("K", "kelvin")}


class TimeForm(Struct, frozen=True, kw_only=True):
    """How times are written: what the heading adds, the cell of a moment, and where the form may stand."""

    write: Callable[[int], str]
    unit: str = ""
    heading: str = ""
    decimals: bool = False
    long_only: bool = False
    refused: bool = False


def _at(s: int, start: datetime = START) -> datetime:
    return start + timedelta(seconds=s)


def _scaled(per_second: float, digits: int) -> Callable[[int], str]:
    return lambda s: f"{s * per_second:.{digits}f}"


def _twelve(s: int) -> str:
    moment = _at(s, NOON)
    return f"{(moment.hour - 1) % 12 + 1}:{moment:%M:%S}"


def _grouped(s: int) -> str:
    at = 980 + s
    return str(at) if at < 1000 else f"{at // 1000},{at % 1000:03d}"


TIMES: dict[str, TimeForm] = {
    "seconds": TimeForm(write=str, unit="s"),
    "bare seconds": TimeForm(write=str),
    "milliseconds": TimeForm(write=_scaled(1e3, 0), unit="ms"),
    "tenths": TimeForm(write=_scaled(10, 0), unit="0.1 s"),
    "hundredths": TimeForm(write=_scaled(100, 0), unit="cs"),
    "microseconds": TimeForm(write=_scaled(1e6, 0), unit="µs"),
    "nanoseconds": TimeForm(write=_scaled(1e9, 0), unit="ns"),
    "minutes": TimeForm(write=_scaled(1 / 60, 6), unit="min", decimals=True),
    "bare minutes": TimeForm(write=_scaled(1 / 60, 6), decimals=True),
    "hours": TimeForm(write=_scaled(1 / 3600, 8), unit="h", decimals=True),
    "days": TimeForm(write=_scaled(1 / 86400, 9), unit="days", decimals=True),
    "serial days": TimeForm(write=lambda s: f"{47972.585532 + s / 86400:.8f}", decimals=True),
    "epoch": TimeForm(write=lambda s: str(EPOCH_S + s)),
    "epoch ms": TimeForm(write=lambda s: str((EPOCH_S + s) * 1000)),
    "epoch us": TimeForm(write=lambda s: str((EPOCH_S + s) * 1_000_000)),
    "epoch ns": TimeForm(write=lambda s: str((EPOCH_S + s) * 1_000_000_000)),
    "clock": TimeForm(write=lambda s: f"{_at(s):%H:%M:%S}"),
    "past midnight": TimeForm(write=lambda s: f"{_at(s, datetime(2031, 5, 4, 23, 57)):%H:%M:%S}"),  # noqa: DTZ001
    "clock in digits": TimeForm(write=lambda s: f"{_at(s):%H%M%S}"),
    "clock in digits, named": TimeForm(write=lambda s: f"{_at(s):%H%M%S}", heading="hhmmss"),
    "twelve hours": TimeForm(write=_twelve),
    "am and pm": TimeForm(write=lambda s: f"{_at(s, LATE):%I:%M:%S %p}"),
    "am and pm beside": TimeForm(write=lambda s: f"{_at(s, LATE):%I:%M:%S|%p}", long_only=True),
    "three columns": TimeForm(write=lambda s: f"{_at(s):%H|%M|%S}", heading="h|min|s", long_only=True),
    "two columns": TimeForm(write=lambda s: f"{s // 60}|{s % 60}", heading="min|sec", long_only=True),
    "date beside": TimeForm(
        write=lambda s: f"2031-05-04|{_at(s):%H:%M:%S}", heading="date|time", long_only=True
    ),
    "iso": TimeForm(write=lambda s: _at(s).isoformat()),
    "iso with offset": TimeForm(write=lambda s: _at(s).isoformat() + "+02:00"),
    "iso basic": TimeForm(write=lambda s: f"{_at(s):%Y%m%dT%H%M%S}"),
    "day first": TimeForm(write=lambda s: f"{_at(s):%d.%m.%Y %H:%M:%S}"),
    "named month": TimeForm(write=lambda s: f"{_at(s):%d} May {_at(s):%Y %H:%M:%S}"),
    "time first": TimeForm(write=lambda s: f"{_at(s):%H:%M:%S} 2031-05-04"),
    "mm:ss": TimeForm(write=lambda s: f"{s // 60:02d}:{s % 60:02d}", unit="mm:ss"),
    "mm:ss bare": TimeForm(write=lambda s: f"{s // 60}:{s % 60:02d}"),
    "h:mm:ss": TimeForm(write=lambda s: f"0:{s // 60:02d}:{s % 60:02d}"),
    "words": TimeForm(write=lambda s: f"{s // 60} min {s % 60} s"),
    "strokes": TimeForm(write=lambda s: f"{s // 60}'{s % 60:02d}''"),
    "seconds in the cell": TimeForm(write=lambda s: f"{s} s"),
    "iso duration": TimeForm(write=lambda s: f"PT{s // 60}M{s % 60}S"),
    "timedelta": TimeForm(write=lambda s: f"0 days 00:{s // 60:02d}:{s % 60:02d}"),
    "made hours by a sheet": TimeForm(write=lambda s: f"{s // 60}:{s % 60:02d}:00"),
    "thousands": TimeForm(write=_grouped, unit="s"),
    "counted down": TimeForm(write=lambda s: str(900 - s), heading="time remaining (s)"),
    "countdown by the clock": TimeForm(
        write=lambda s: f"{(900 - s) // 60}:{(900 - s) % 60:02d}", unit="mm:ss"
    ),
    "past the hour": TimeForm(write=lambda s: f"{(3500 + s) // 60 % 60}:{(3500 + s) % 60:02d}", unit="mm:ss"),
    "no unit known": TimeForm(write=str, unit="ticks", refused=True),
    "seconds without minutes": TimeForm(write=lambda s: str(s % 60), unit="s", refused=True),
}  # fmt: skip


class Dialect(Struct, frozen=True, kw_only=True):
    """How one log is written."""

    delimiter: str
    decimal: str
    quoted: bool
    line_end: str
    encoding: str
    unit: str
    unit_place: str
    sign: int
    layout: str
    time: str
    brackets: str
    codes: str
    heads: str
    air: str
    order: str
    preamble: bool
    blank_lines: bool
    workbook: bool


def any_dialect(dice: random.Random) -> Dialect:
    """One of some hundred million."""
    layout = dice.choice(
        ["long", "long", "axle and side", "blocks", "two tables", "wide", "paired", "rounds"]
    )
    long = layout in {"long", "axle and side"}
    delimiter = dice.choice([",", ";", "\t", "|", "  "])
    airs = ["colon", "bare", "comment", *(["fahrenheit", "column"] if long else [])]
    if layout == "long" or (long and delimiter != "  "):  # an empty cell among blanks is none
        airs.append("row")
    order = dice.choice(["as read", "as read", "newest first", "by wheel"]) if long else "as read"
    times = [name for name, form in TIMES.items() if layout == "long" or not form.long_only]
    if order == "newest first":  # then rising times are what nobody can tell from others
        times.remove("countdown by the clock")
    unit_places = ["heading", "cell", "comment", "column", "tenths"]
    return Dialect(
        delimiter=delimiter,
        decimal=dice.choice([".", ","]),
        quoted=dice.random() < 0.3,
        line_end=dice.choice(["\n", "\r\n", "\r"]),
        encoding=dice.choice(["utf-8", "utf-8-sig", "utf-16", "cp1252", "utf-8"]),
        unit=dice.choice(["C", "F", "K"]),
        unit_place=dice.choice(unit_places),
        sign=dice.randrange(2),
        layout=layout,
        time=dice.choice(times),
        brackets=dice.choice([" ({})", " [{}]", "_{}", " in {}"]),
        codes=dice.choice(sorted(CODES)),
        heads=dice.choice(sorted(HEADS)),
        air=dice.choice(airs),
        order=order,
        preamble=dice.random() < 0.2,
        blank_lines=dice.random() < 0.2,
        workbook=dice.random() < 0.03,
    )  # fmt: skip


# ---- writing --------------------------------------------------------------------------------------------


def _number(value: float, d: Dialect) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".").replace(".", d.decimal)


def _figure(degc: float, d: Dialect) -> str:
    value = {"C": degc, "F": degc * 1.8 + 32, "K": degc + 273.15}[d.unit]
    if d.unit_place == "tenths":
        return str(round(value * 10))
    text = _number(value, d)
    return f"{text} {SIGNS[d.unit][d.sign]}" if d.unit_place == "cell" else text


def _time(s: int, d: Dialect) -> list[str]:
    form = TIMES[d.time]
    text = form.write(s)
    return (text.replace(".", d.decimal) if form.decimals else text).split("|")


def _time_heads(d: Dialect, number: str = "") -> list[str]:
    form = TIMES[d.time]
    if form.heading:
        return [f"{head} {number}".strip() for head in form.heading.split("|")]
    time = f"{HEADS[d.heads][0]} {number}".strip()
    if form.unit:
        bare = d.brackets in {"_{}", " in {}"} and (form.unit == "ticks" or {" ", ":"} & set(form.unit))
        time += (" ({})" if bare else d.brackets).format(form.unit)
    return [time, "am/pm"] if d.time == "am and pm beside" else [time]


def _temp_head(word: str, d: Dialect) -> str:
    if d.unit_place == "tenths":
        return f"{word} (0.1 {d.unit})"
    return f"{word} ({SIGNS[d.unit][d.sign]})" if d.unit_place == "heading" else word


def _unit_cells(d: Dialect) -> tuple[list[str], list[str]]:
    return (["unit"], [SIGNS[d.unit][d.sign]]) if d.unit_place == "column" else ([], [])


def _rows_long(d: Dialect, wheels: list[list[str]], heads: list[str]) -> list[list[str]]:
    head, sign = _unit_cells(d)
    extra = [_temp_head(HEADS[d.heads][4], d)] if d.air == "column" else []
    air = [_figure(AIR_DEGC, d)] if d.air == "column" else []
    places = [(turn, k) for turn in range(len(WALK_S)) for k in range(4)]
    if d.order == "newest first":
        places.reverse()
    elif d.order == "by wheel":
        places.sort(key=lambda place: place[1])
    rows = [
        [*_time(WALK_S[turn][k], d), *wheels[k], _figure(DEGC[turn][k], d), *sign, *air] for turn, k in places
    ]
    if d.air == "row":
        at = WALK_S[0][0] if d.order == "newest first" else WALK_S[-1][3]
        place = ["", HEADS[d.heads][4]] if len(wheels[0]) == 2 else [HEADS[d.heads][4]]
        rows.append([*_time(at, d), *place, _figure(AIR_DEGC, d), *sign])
    return [[*_time_heads(d), *heads, _temp_head(HEADS[d.heads][2], d), *head, *extra], *rows]


def _rows_wide(d: Dialect) -> list[list[str]]:
    head, sign = _unit_cells(d)
    codes = CODES[d.codes]
    rows = [
        [*_time(walk[0], d), *(_figure(degc, d) for degc in degcs), *sign]
        for walk, degcs in zip(WALK_S, DEGC, strict=True)
    ]
    return [[*_time_heads(d), *(_temp_head(code, d) for code in codes), *head], *rows]


def _rows_paired(d: Dialect) -> list[list[str]]:
    head, sign = _unit_cells(d)
    (time,) = _time_heads(d)
    heads = [cell for code in CODES[d.codes] for cell in (f"{code} {time}", _temp_head(code, d))]
    rows = [
        [cell for s, degc in zip(walk, degcs, strict=True) for cell in (*_time(s, d), _figure(degc, d))]
        + sign
        for walk, degcs in zip(WALK_S, DEGC, strict=True)
    ]
    return [heads + head, *rows]


def _rows_rounds(d: Dialect) -> list[list[str]]:
    head, sign = _unit_cells(d)
    _, position, temp, *_ = HEADS[d.heads]
    numbers = [str(turn + 1) for turn in range(len(WALK_S))]
    heads = [cell for n in numbers for cell in (*_time_heads(d, n), _temp_head(f"{temp} {n}", d))]
    rows = [
        [code, *(cell for turn in range(len(WALK_S))
                 for cell in (*_time(WALK_S[turn][0], d), _figure(DEGC[turn][k], d))), *sign]
        for k, code in enumerate(CODES[d.codes])
    ]  # fmt: skip
    return [[position, *heads, *head], *rows]


def _tables(d: Dialect) -> list[list[str]]:
    """Rows of cells; a row of one cell is a line of its own."""
    codes = [[code] for code in CODES[d.codes]]
    position = [HEADS[d.heads][1]]
    if d.layout == "axle and side":
        return _rows_long(d, [["1", "L"], ["1", "R"], ["2", "L"], ["2", "R"]], ["axle", "side"])
    if d.layout == "wide":
        return _rows_wide(d)
    if d.layout == "paired":
        return _rows_paired(d)
    if d.layout == "rounds":
        return _rows_rounds(d)
    if d.layout == "blocks":
        return _rows_blocks(d)
    rows = _rows_long(d, codes, position)
    return rows if d.layout == "long" else [*rows[:5], *rows[:1], *rows[5:]]


def _rows_blocks(d: Dialect) -> list[list[str]]:
    head, sign = _unit_cells(d)
    rows = [[*_time_heads(d), _temp_head(HEADS[d.heads][2], d), *head]]
    for k, code in enumerate(CODES[d.codes]):
        rows.append([f"{HEADS[d.heads][1]}: {code}"])
        rows += [
            [*_time(walk[k], d), _figure(degcs[k], d), *sign]
            for walk, degcs in zip(WALK_S, DEGC, strict=True)
        ]
    return rows


def _cell(text: str) -> object:
    """A cell of a workbook: numbers are stored as such, but for digits that a clock shows."""
    try:
        return float(text) if text[:1] != "0" or text[1:2] in {"", "."} else text
    except ValueError:
        return text


def written(d: Dialect) -> bytes:
    """The bytes of the log."""
    rows = _tables(d)
    quote = d.quoted or any(d.delimiter in cell for row in rows for cell in row if len(row) > 1)

    def line(row: list[str]) -> str:
        return d.delimiter.join(f'"{cell}"' if quote and len(row) > 1 else cell for cell in row)

    air = f"{_number(AIR_DEGC, d)} C"
    word = HEADS[d.heads][4]
    lines = {
        "colon": [f"{word}: {air}"], "bare": [f"{word} {air}"], "comment": [f"# {word}: {air}"],
        "fahrenheit": [f"# {word}: {_number(AIR_DEGC * 1.8 + 32, d)} °F"],
    }.get(d.air, [])  # fmt: skip
    if d.unit_place == "comment":
        lines.append(f"# unit: {d.unit}")
    if d.preamble:
        lines.append("Depot round")
    if d.workbook:
        return workbook([[text] for text in lines] + [[_cell(text) for text in row] for row in rows])
    body = [line(row) for row in rows]
    if d.blank_lines:
        body = [text for row in body for text in (row, "")]
    text = d.line_end.join([*lines, *body, ""])
    try:
        return text.encode(d.encoding)
    except UnicodeEncodeError:
        return text.encode("utf-8")


def truth(d: Dialect) -> list[tuple[float, str, float]]:
    """Elapsed from the first reading, corner and temperature of every reading, sorted."""
    one_time = d.layout in {"wide", "rounds"}
    return sorted(
        (float(walk[0] if one_time else walk[k]), CORNERS[k], degcs[k])
        for walk, degcs in zip(WALK_S, DEGC, strict=True)
        for k in range(4)
    )
