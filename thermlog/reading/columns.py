"""A header row to a plan: which layout the table has and what each column is."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

from msgspec.structs import replace

from thermlog.reading.cells import shown
from thermlog.reading.headings import (
    Heading,
    figures_named,
    part_named,
    plain_words,
    read_heading,
    side_named,
)
from thermlog.reading.otherheadings import told_by_the_others
from thermlog.reading.plan import Plan, TempColumn
from thermlog.reading.positions.words import unlike_parts
from thermlog.reading.vocabulary import BRAKE_PARTS, OTHER_PARTS, TIME_PARTS, TimeUnit
from thermlog.words.columns import ONCE, TAKING, Role
from thermlog.words.vehicle import BRAKE_SPOTS, Spot

_SIDES = 2
_LOOSE = frozenset({"wheel", "end"})  # say nothing beside a part that is named


@lru_cache(maxsize=1024)
def plan_columns(header: tuple[str, ...]) -> Plan:
    """Plan of a table from its header row.

    Parameters
    ----------
    header : tuple of str
        The cells of the header row.

    Returns
    -------
    Plan
        With ``layout`` None if the row is no header of a log.

    Examples
    --------
    >>> plan_columns(("time_s", "position", "temp_c")).layout
    'long'
    >>> plan_columns(("t", "FL", "FR")).layout, plan_columns(("a", "b")).layout
    ('wide', None)
    """
    headings = told_by_the_others([read_heading(cell) for cell in header])
    names = tuple(shown(" ".join(h.text.split())) or f"column {k + 1}" for k, h in enumerate(headings))
    blank = Plan(layout=None, width=len(header), names=names)
    score = sum(h.role not in {None, "moment"} for h in headings)
    plan = _singles(replace(blank, score=score), headings)
    if plan.lack:
        return plan
    for name, heading in zip(names, headings, strict=True):
        if heading.role == "temperature" and heading.strange_unit:
            return plan.without(
                "unit", f'column "{name}" states no temperature unit known here; write C, F or K'
            )
    return _by_side(plan, headings) or _layout(plan, headings)


def _singles(plan: Plan, headings: list[Heading]) -> Plan:
    """Columns that a table has once at most."""
    index: dict[Role, int] = {}
    about: dict[Role, int] = {}
    unknown = []
    for k, heading in enumerate(headings):
        role = heading.role
        if role in ONCE:
            if role in index:
                both = f'columns "{plan.names[index[role]]}" and "{plan.names[k]}" both name the {role}'
                return plan.without("two_columns", both)
            index[role] = k
        elif role in TAKING:
            about.setdefault(role, k)
        elif role is None and heading.text:
            unknown.append(k)
    return replace(
        plan,
        index=index,
        about=about,
        unknown=tuple(unknown),
        beside=tuple(
            _temp(plan, headings, k, figures=of) for k in unknown if (of := figures_named(plan.names[k]))
        ),
        remarks=tuple(k for k, heading in enumerate(headings) if heading.role == "note"),
        sights=tuple(k for k, heading in enumerate(headings) if heading.role == "seen"),
        metres=next((h.metres for h in headings if h.role == "distance" and h.metres), 1.0),
    )


def _layout(plan: Plan, headings: list[Heading]) -> Plan:
    wheels = [k for k, h in enumerate(headings) if h.role == "wheel"]
    moments = [k for k, h in enumerate(headings) if h.role == "moment"]
    temps = [k for k, h in enumerate(headings) if h.role == "temperature" or _is_part(h)]
    placed = "position" in plan.index or {"axle", "side"} <= plan.index.keys()
    if wheels and not placed and not moments and all(map(_is_part, (headings[k] for k in temps))):
        return _wide(plan, headings, wheels)
    if placed and not wheels and (len(moments) >= 2 or (moments and not temps)):
        return _rounds(plan, headings, moments)
    if temps and not wheels:
        return _of_unlike_parts(plan, headings, temps) or _long(plan, headings, temps, placed=placed)
    if wheels and (placed or temps):
        return plan.without(
            "wheel_columns", "there are wheel columns beside a position or temperature column"
        )
    if placed and not temps:
        return plan.without("no_temperature_column", "no column of temperatures is recognised")
    return plan.without("columns", "no column of temperatures and no column of wheels is recognised")


def _times(headings: list[Heading]) -> list[int]:
    return [k for k, h in enumerate(headings) if h.role == "time"]


def _shared_time(plan: Plan, headings: list[Heading]) -> Plan:
    """The one time column, the columns that make one time, or none."""
    if parts := _time_parts(headings):
        columns = dict(parts)
        return replace(
            plan,
            time_parts=parts,
            index={**plan.index, "time": parts[0][0]},
            time_unit=parts[-1][1],
            unknown=tuple(k for k in plan.unknown if k not in columns),
        )
    times = _times(headings)
    if len(times) > 1:
        return _one_of_several_times(plan, headings, times)
    if not times:
        if any(h.role == "lap" for h in headings):
            laps = "times counted from the reading before are no times of readings; add the total time"
            return plan.without("time_columns", laps)
        return plan
    heading = headings[times[0]]
    return replace(
        plan,
        index={**plan.index, "time": times[0]},
        time_unit=heading.time_unit,
        since_parked=heading.since_parked,
        countdown=heading.countdown,
        of_day=heading.of_day,
        digits=heading.digits,
        strange_time=heading.strange_unit,
    )


def _time_parts(headings: list[Heading]) -> tuple[tuple[int, TimeUnit], ...]:
    """Hours, minutes and seconds in columns of their own: two or three of them, each once, side by side."""
    found = [(k, TIME_PARTS[word]) for k, h in enumerate(headings) if (word := h.text.lower()) in TIME_PARTS]
    units = [unit for _, unit in found]
    whole = units in (["h", "min", "s"], ["h", "min"], ["min", "s"])
    others = [k for k in _times(headings) if k not in dict(found)]
    return tuple(found) if whole and not others and found[-1][0] - found[0][0] == len(found) - 1 else ()


_TOTAL = frozenset({"total", "elapsed", "cumulative", "cum", "gesamt", "gesamtzeit", "since"})


def _one_of_several_times(plan: Plan, headings: list[Heading], times: list[int]) -> Plan:
    elapsed = [k for k in times if plain_words(headings[k].text) != "serial"]  # of a part or a gun
    if len(elapsed) != 1:
        elapsed = [k for k in times if headings[k].time_unit or headings[k].since_parked]
    if len(elapsed) != 1:
        elapsed = [k for k in times if not _TOTAL.isdisjoint(plan.names[k].lower().replace("_", " ").split())]
    if len(elapsed) != 1:
        names = " and ".join(f'"{plan.names[k]}"' for k in times)
        return plan.without("two_columns", f"columns {names} both look like times")
    kept = [
        h if k not in times or k == elapsed[0] else replace(h, role="note") for k, h in enumerate(headings)
    ]
    return _shared_time(_taken_from(plan, "times", elapsed[0], times), kept)


def _temp(plan: Plan, headings: list[Heading], k: int, **more: Any) -> TempColumn:
    return TempColumn(index=k, name=plan.names[k], unit=headings[k].unit, factor=headings[k].factor, **more)


def _taken_from(plan: Plan, what: str, chosen: int, columns: list[int]) -> Plan:
    """The plan with a note that one of several columns is read."""
    others = ", ".join(f'"{plan.names[k]}"' for k in columns if k != chosen)
    note = f'{what} taken from column "{plan.names[chosen]}", not from {others}'
    return replace(plan, notes=(*plan.notes, note))


def _is_part(heading: Heading) -> bool:
    """True for "hub_c", which says no more than a part of the wheel end, or unlike ones, and a unit."""
    named = part_named(heading.text) is not None or unlike_parts(heading.text)
    return heading.role is None and heading.unit is not None and named


def _of_unlike_parts(plan: Plan, headings: list[Heading], temps: list[int]) -> Plan | None:
    """The plan that lacks a column of one part, where a heading names several: "hub rim c"."""
    name = next((plan.names[k] for k in temps if unlike_parts(headings[k].text)), None)
    problem = f'column "{name}" names unlike parts of a wheel end'
    return None if name is None else plan.without("two_columns", problem)


def _long(plan: Plan, headings: list[Heading], temps: list[int], *, placed: bool) -> Plan:
    parts = {k: spot for k in temps if (spot := _beside_brake(headings[k], alone=len(temps) == 1))}
    temps = [k for k in temps if k not in parts]
    calipers = [k for k in temps if part_named(headings[k].text) == "caliper"]
    if len(calipers) < len(temps):  # beside a column of the disc or drum it is a part of the wheel end
        parts |= dict.fromkeys(calipers, "caliper")
        temps = [k for k in temps if k not in parts]
    if len(temps) > 1:
        plan, temps = _one_temperature(plan, headings, temps)
    if len(temps) > 1:
        plan, temps = _told_by_part(plan, temps)
    plan, parts = _one_of_each_part(plan, headings, parts)
    if plan.lack:
        return plan
    columns = [(k, None) for k in temps[:1]] + list(parts.items())
    plan = replace(
        plan,
        layout="long",
        temps=tuple(_temp(plan, headings, k, spot=spot) for k, spot in columns),
        unknown=tuple(k for k in plan.unknown if k not in dict(columns)),
    )
    plan = _shared_time(plan, headings)
    if plan.lack:
        return plan
    if len(temps) > 1:
        names = " and ".join(f'"{plan.names[k]}"' for k in temps)
        return replace(plan, temps=()).without("two_columns", f"columns {names} both look like temperatures")
    return plan if placed else plan.without("no_wheel_column", "no column says which wheel was read")


def _beside_brake(heading: Heading, *, alone: bool) -> Spot | None:
    """Part beside the brake that a heading names; "wheel" is one only where another column is, too."""
    spot = part_named(heading.text)
    words = plain_words(heading.text).split()
    firm = " ".join(word for word in words if word not in _LOOSE)
    is_loose = alone and "wheel" in words and part_named(firm) is None
    return None if spot in BRAKE_SPOTS or is_loose else spot


def _one_of_each_part(
    plan: Plan, headings: list[Heading], parts: dict[int, Spot]
) -> tuple[Plan, dict[int, Spot]]:
    """The plan with a note of the parts that have columns of their own, and one column of each."""
    kept: dict[Spot, int] = {}
    for spot in dict.fromkeys(parts.values()):
        own = [k for k in parts if parts[k] == spot]
        if len(own) > 1:
            plan, own = _one_temperature(plan, headings, own)
        if len(own) > 1:
            names = " and ".join(f'"{plan.names[k]}"' for k in own)
            return plan.without("two_columns", f"columns {names} both look like temperatures"), parts
        kept[spot] = own[0]
    told = [f'{spot.replace("_", " ")} from column "{plan.names[k]}"' for spot, k in kept.items()]
    notes = (f"readings beside the brakes: {', '.join(told)}",) if told else ()
    return replace(plan, notes=(*plan.notes, *notes)), {k: spot for spot, k in kept.items()}


def _one_temperature(plan: Plan, headings: list[Heading], temps: list[int]) -> tuple[Plan, list[int]]:
    """The same readings in two units: one is taken."""
    units = [headings[k].unit for k in temps]
    if None in units or len(set(units)) < len(units):
        return plan, temps
    first = next((k for k in temps if headings[k].unit == "C"), temps[0])
    others = (_temp(plan, headings, k, figures="again") for k in temps if k != first)
    plan = replace(plan, beside=(*plan.beside, *others))
    return _taken_from(plan, "temperatures", first, temps), [first]


def _told_by_part(plan: Plan, temps: list[int]) -> tuple[Plan, list[int]]:
    """Road, tyre and brake in columns of their own: the brake is read, the others are named."""
    tokens = {k: frozenset(plain_words(plan.names[k]).split()) for k in temps}
    brakes = [k for k in temps if tokens[k] & BRAKE_PARTS]
    plain = [k for k in temps if not tokens[k] & (BRAKE_PARTS | OTHER_PARTS)]
    chosen = brakes or plain
    if len(chosen) != 1 or not all(tokens[k] & (BRAKE_PARTS | OTHER_PARTS) for k in temps if k not in chosen):
        return plan, temps
    return _taken_from(plan, "temperatures", chosen[0], temps), chosen


def _wide(plan: Plan, headings: list[Heading], wheels: list[int]) -> Plan:
    temps = tuple(_temp(plan, headings, k, wheel=headings[k].wheel) for k in wheels)
    plan = replace(plan, temps=temps)
    times = _times(headings)
    if len(times) == len(wheels) and (len(times) > 1 or headings[times[0]].wheel):
        return _paired(plan, headings, times)
    plan = _shared_time(replace(plan, layout="wide"), headings)
    return plan if plan.lack or plan.score > 1 else plan.without("columns", "only one column is recognised")


def _by_side(plan: Plan, headings: list[Heading]) -> Plan | None:
    """A row an axle, a column for each of its sides, both read at the time of the row; None if it is none."""
    roles = {heading.role for heading in headings}
    if "axle" not in plan.index or roles & {"position", "side", "wheel", "moment"}:
        return None
    words = {k: side_named(one.text) for k, one in enumerate(headings) if one.role in {None, "temperature"}}
    sides = {k: side for k, side in words.items() if side}
    others = [k for k, one in enumerate(headings) if one.role == "temperature" and k not in sides]
    if others or len(sides) != _SIDES or len(set(sides.values())) != _SIDES:
        return None
    temps = tuple(_temp(plan, headings, k, wheel=side) for k, side in sides.items())
    unknown = tuple(k for k in plan.unknown if k not in sides)
    score = plan.score + sum(headings[k].role is None for k in sides)
    return _shared_time(replace(plan, layout="sides", temps=temps, unknown=unknown, score=score), headings)


def _paired(plan: Plan, headings: list[Heading], times: list[int]) -> Plan:
    """Each wheel column with the time column that names the same wheel, or stands beside it on one side."""
    named = {headings[k].wheel: k for k in times if headings[k].wheel}
    if named:
        pairs = [named.get(temp.wheel) for temp in plan.temps]
    else:
        shift = times[0] - plan.temps[0].index
        pairs = [temp.index + shift if temp.index + shift in times else None for temp in plan.temps]
        pairs = pairs if abs(shift) == 1 else [None]
    if None in pairs:
        return plan.without("time_columns", "the time columns cannot be told apart by wheel")
    temps = tuple(replace(temp, time_index=k) for temp, k in zip(plan.temps, pairs, strict=True))
    first = headings[times[0]]
    same = {headings[k].time_unit for k in times}
    if len(same) > 1:
        return plan.without("time_columns", "the time columns state different units")
    return replace(
        plan,
        layout="paired",
        temps=temps,
        time_unit=first.time_unit,
        since_parked=first.since_parked,
        countdown=first.countdown,
        strange_time=first.strange_unit,
    )


def _rounds(plan: Plan, headings: list[Heading], moments: list[int]) -> Plan:
    """A column a round: times in the headings, in columns of their own, or nowhere."""
    times = {headings[k].number: k for k in _times(headings)}
    own_time = {k: times.get(headings[k].number) if headings[k].number is not None else None for k in moments}
    temps = tuple(
        _temp(plan, headings, k, moment=headings[k].moment, time_index=own_time[k]) for k in moments
    )
    plan = replace(plan, layout="rounds", temps=temps, score=plan.score + len(temps))
    own = [temp.time_index is not None for temp in temps]
    if times and not (all(own) and len(times) == len(temps)):
        return plan.without("time_columns", "the time columns do not match the rounds")
    units = {headings[k].time_unit for k in (times.values() if times else moments)} - {None}
    written = [temp.moment for temp in temps]
    if len(units) > 1 or (None in written and any(written)):
        return plan.without("wheel_columns", "the headings of the rounds are of different kinds")
    first = headings[next(iter(times.values()))] if times else headings[moments[0]]
    return _counted(
        replace(
            plan,
            time_unit=units.pop() if units else None,
            countdown=first.countdown,
            strange_time=first.strange_unit if times else "",
        )
    )


def _counted(plan: Plan) -> Plan:
    """Headings 1, 2, 3 without a unit count rounds; they are no times."""
    counts = [str(k + 1) for k in range(len(plan.temps))]
    if [temp.moment for temp in plan.temps] == counts and plan.time_unit is None:
        temps = tuple(replace(temp, moment=None) for temp in plan.temps)
        note = "headings 1, 2, 3 ... taken as round numbers, not as times"
        return replace(plan, temps=temps, notes=(*plan.notes, note))
    return plan
