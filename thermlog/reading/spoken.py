"""What remarks say of wheels that the gun does not clear, and which wheels they speak of."""

from __future__ import annotations

import math
from itertools import islice
from typing import TYPE_CHECKING

import numpy as np

from thermlog.reading.aimed import noted_miss, noted_spot
from thermlog.reading.beheld import said_of_remark, tells_harm
from thermlog.reading.cells import shown, unit_word
from thermlog.reading.cellwords import bare_letters, cell_words
from thermlog.reading.positions.resolve import resolve_positions
from thermlog.reading.positions.words import take_spot, tokens_of
from thermlog.reading.remarks.alarms import alarms_of, felt_hot, names_brake, said_idle, said_stuck
from thermlog.reading.remarks.doubted import doubt_told, gun_unit, names_other_spot, odd_setting
from thermlog.reading.remarks.heatsaid import heat_said, over_said
from thermlog.reading.remarks.sights import places_told, tells_no_more, unclear_denials
from thermlog.reading.remarks.wholesaid import wholly_told
from thermlog.reading.wheelcodes import position_rules
from thermlog.words.regular import regular
from thermlog.words.tables import Blind
from thermlog.words.units import Unit, to_degc
from thermlog.words.vehicle import BRAKE_SPOTS, SPOTS, Spot, corner_name

if TYPE_CHECKING:
    from collections.abc import Iterator

    from thermlog.reading.observations import Remark
    from thermlog.reading.sifted import Sifted

# By so much may a brake show more beside the place aimed at: own judgement, common practice, no source.
SWEPT_K = 15.0
_LONE = regular(r"[~≈>]?\s*(?:ca\.?|circa|about|approx\.?|etwa)?\s*(\d{2,3}(?:[.,]\d)?)\s*!*")
_BOUNDS = regular(
    r"(?:between|from|zwischen|von|entre|de|tra|da)?\s*\d{2,3}(?:[.,]\d)?\s*(?:-|–|to|and|bis|und|à|et|a|y|e|/)\s*"
    r"(\d{2,3}(?:[.,]\d)?)"
)
_MOST_LONE = 3  # of a log; more are a quantity of their own: judgement


def blind_of_remark(work: Sifted, remark: Remark) -> Iterator[Blind]:
    """What a remark in free words says of wheels that the gun does not clear; else that it tells of harm."""
    said = said_of_remark(remark.text)
    found = [*_understood(work, remark, said)]
    if not found and _only_harms(remark, said):
        found = [Blind(code="unread_sight", line=remark.line, quoted=shown(said, 60))]
    yield from found


def _understood(work: Sifted, remark: Remark, said: str) -> Iterator[Blind]:
    beside, quoted = remark.at_row is not None, shown(said, 60)
    felt = corners_spoken_of(work, remark, said) if felt_hot(said, at_wheel=beside) else ()
    for corner in felt:
        yield Blind(code="felt_hot", line=remark.line, corner=corner, quoted=quoted)
    for stuck in _stuck_at(work, remark, said) if said_stuck(said, at_wheel=beside) else ():
        yield Blind(code="said_stuck", line=remark.line, corner=stuck, quoted=quoted)
    for idle in _said_of(work, remark, said) if said_idle(said, at_wheel=beside) else ():
        yield Blind(code="said_idle", line=remark.line, corner=idle, quoted=quoted)
    most_degc = _most_said_degc(work, remark, said)
    for hot in _hotter_said(work, remark, said):
        yield Blind(
            code="unread_cell",
            line=remark.line,
            corner=hot,
            quoted=quoted,
            value_degc=most_degc if hot else None,
            spot=_part_said(said),
        )
    for words in (*unclear_denials(said), *(() if felt else alarms_of(said, at_wheel=beside))):
        yield Blind(code="unread_sight", line=remark.line, quoted=shown(words, 60))
    if _is_doubted(work, remark, said):
        yield from _doubted(work, remark, said)


def _only_harms(remark: Remark, said: str) -> bool:
    """True where a word of harm is all that is understood of a remark.

    A complaint of no wheel is why it was driven, and is answered by the readings.
    """
    if noted_miss(said) or noted_spot(said) is not None:
        return False
    key, mark, _ = remark.text.partition(":")
    if mark and bare_letters(key) in cell_words().alarm["complaint"] and not places_told(said):
        return False
    return not tells_no_more(said) and tells_harm(remark.text, at_wheel=remark.at_row is not None)


def _is_doubted(work: Sifted, remark: Remark, said: str) -> bool:
    """True where a remark says that a reading is not its brake's, or that the gun showed another unit."""
    unit, stated = gun_unit(said), work.temps.base
    if (unit is not None and unit != stated) or odd_setting(said):
        return True
    doubt = doubt_told(said, at_wheel=remark.at_row is not None)
    if doubt != "spot" or remark.at_row is None:
        return doubt is not None
    if noted_spot(said) is not None or noted_miss(said):
        return False  # it was taken as of that part, or set aside
    spot = spot_tried(work, remark.at_row)
    return spot is None or spot in BRAKE_SPOTS


def _doubted(work: Sifted, remark: Remark, said: str) -> Iterator[Blind]:
    """Wheels whose readings are in doubt: those named, and that of the row; all where none can be told."""
    named = corners_spoken_of(work, remark, said)
    own = own_corner(work, remark)
    corners = dict.fromkeys((*named, *(() if own is None else (own,))))
    quoted = shown(said, 60)
    of_more = wholly_told(said, "reading") and not places_told(said)  # "rears from last month"
    if not named or not corners or of_more:
        yield Blind(code="doubted", line=remark.line, quoted=quoted)
        return
    for corner in corners:
        yield Blind(code="doubted", line=remark.line, corner=corner, quoted=quoted)


def _hotter_said(work: Sifted, remark: Remark, said: str) -> tuple[str | None, ...]:
    """Wheels of which it states heat clearly above what was read there, or that the gun was over range.

    None where no wheel can be told: then above all that was read.
    """
    corners: tuple[str | None, ...] = corners_spoken_of(work, remark, said) or (None,)
    if over_said(said):
        return corners
    most_degc = _most_said_degc(work, remark, said)
    if most_degc is None:
        return ()
    if corners == (None,) and names_other_spot(said):  # of any wheel: also of the coolest
        wheels = {work.codes.corner(work.code[row]) for row in work.live()}
        beside_degc = min((_read_degc(work, remark, one) for one in wheels), default=-math.inf)
        return corners if most_degc > beside_degc + SWEPT_K else ()
    return tuple(one for one in corners if most_degc > _read_degc(work, remark, one) + SWEPT_K)


def _most_said_degc(work: Sifted, remark: Remark, said: str) -> float | None:
    """The highest temperature that it states [°C]."""
    row = remark.row if remark.row is not None else 0
    figures = heat_said(said) or _lone_figure(work, remark, said)
    stated = (in_degc(work, row, figure, unit) for figure, unit in figures)
    return max((degc for degc in stated if degc is not None), default=None)


def _part_said(said: str) -> Spot | None:
    """The part beside the brake that it states heat of, where it names that one alone."""
    spots = {take_spot([token], wheel_is_spot=False)[0] for token in tokens_of(said)} - {None}
    return spots.pop() if len(spots) == 1 else None


def _lone_figure(work: Sifted, remark: Remark, said: str) -> tuple[tuple[float, None], ...]:
    """A note beside a reading that is a figure and no more: another reading, unless many rows have one."""
    found = _LONE.fullmatch(said.strip()) or _BOUNDS.fullmatch(said.strip().lower())
    if found is None or remark.at_row is None:
        return ()
    alike = (one for one in work.seen.remarks if _LONE.fullmatch(one.text.strip()))
    few = len(list(islice(alike, _MOST_LONE + 1))) <= _MOST_LONE
    return ((float(found[1].replace(",", ".")), None),) if few else ()


def _read_degc(work: Sifted, remark: Remark, corner: str | None) -> float:
    """What a remark is held against: the reading in its row, else the hottest of its wheel, else of all."""
    degc, live = work.temps.degc, work.live()
    beside = remark.row if corner is not None and corner == own_corner(work, remark) else None
    if beside is not None and beside in live:
        return float(degc[beside])
    own = [row for row in live if corner in {None, work.codes.corner(work.code[row])}]
    return float(np.nanmax(degc[np.array(own, dtype=np.int64)], initial=-np.inf))


def in_degc(work: Sifted, row: int, figure: float, written: Unit | None) -> float | None:
    """A figure of a row, in the unit written beside it, else in that of its row or column [°C]."""
    own = work.seen.extra.get("unit")
    unit = written or (unit_word(own[row]) if own else None) or work.temps.base
    if unit is None:
        return None
    column = 0 if work.seen.which is None else work.seen.which[row]
    return float(to_degc(figure * work.asked.plan.temps[column].factor, unit))


def corners_spoken_of(work: Sifted, remark: Remark, said: str) -> tuple[str, ...]:
    """Wheels a remark is about: those named, else that of the row; none where any cannot be told."""
    named = [named_corner(work, one) for one in places_told(said)]
    if not named and remark.at_row is not None:
        named = [own_corner(work, remark)]
    known = tuple(dict.fromkeys(one for one in named if one is not None))
    return known if None not in named else ()


def _said_of(work: Sifted, remark: Remark, said: str) -> tuple[str | None, ...]:
    """Wheels whose brake is said to do nothing; None where it is a brake, and nobody can tell which."""
    return corners_spoken_of(work, remark, said) or ((None,) if names_brake(said) else ())


def _stuck_at(work: Sifted, remark: Remark, said: str) -> tuple[str | None, ...]:
    """Wheels said to bind; None where nobody can tell which: then it may be any of them.

    A complaint of no wheel is why it was driven, and is answered by the readings.
    """
    key, mark, _ = remark.text.partition(":")
    asked = bool(mark) and bare_letters(key) in cell_words().alarm["complaint"]
    return corners_spoken_of(work, remark, said) or (() if asked else (None,))


def own_corner(work: Sifted, remark: Remark) -> str | None:
    """Wheel of the row that a remark stands in."""
    return None if remark.at_row is None else work.codes.corner(work.code[remark.at_row])


def named_corner(work: Sifted, place: str) -> str | None:
    """Corner that words name, by the words of the file, or else alone."""
    return resolved_corner(work, place) or resolved_corner(work, place, alone=True)


def resolved_corner(work: Sifted, place: str, *, alone: bool = False) -> str | None:
    """Corner that words name, by the words of the file or else alone."""
    own = [] if alone else [text for text, code in work.codes.of.items() if code >= 0]
    position = (
        resolve_positions([*own, place], position_rules(work.asked)).known.get(place) if place else None
    )
    return corner_name(position.axle, position.side) if position is not None else None


def spot_tried(work: Sifted, row: int) -> Spot | None:
    """Where a reading was tried: as its row says, else as the word for its wheel."""
    said = -1 if work.spots is None else work.spots[row]
    code = work.code[row]
    spot = int(work.codes.spot[code]) if said < 0 <= code else said
    return SPOTS[spot] if spot >= 0 else None
