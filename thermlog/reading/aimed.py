"""Where the gun pointed, as a remark beside a reading says it: at a tyre, a rim, a hub, or past the wheel."""

from __future__ import annotations

from typing import TYPE_CHECKING

from thermlog.reading.cells import count_words, shown
from thermlog.reading.cellwords import cell_words
from thermlog.reading.positions.resolve import spot_of
from thermlog.reading.positions.words import tokens_of, word_table
from thermlog.words.vehicle import FACE_SPOTS, SPOTS, Spot

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from thermlog.reading.sifting import Sifting


def noted_spot(text: str) -> Spot | None:
    """Spot that a whole remark, or a cell for the spot, names; None if it says anything else.

    Examples
    --------
    >>> noted_spot("on tyre"), noted_spot("rim only"), noted_spot("hub area"), noted_spot("hub hot")
    ('tyre_outer', 'rim', 'hub', None)
    """
    words = cell_words()
    tokens = tokens_of(text)
    left = [token for token in tokens if token not in words.between | words.only | words.about]
    return spot_of(" ".join(tokens)) or (spot_of(" ".join(left)) if left else None)


def faces_of_discs(work: Sifting, cells: Sequence[str]) -> dict[str, Spot]:
    """What "inner" and "outer" alone in a column of spots are: faces of the disc, where wheels are not dual.

    A front axle that steers has one wheel a side; where such a one is so read, all of the log are faces.
    Elsewhere they may be the tyres of a dual pair, and nothing is guessed.
    """
    duals, filler = word_table().duals, word_table().filler
    told: dict[str, Spot] = {}
    for text in set(cells):
        tokens = [token for token in tokens_of(text) if token not in filler]
        if len(tokens) == 1 and tokens[0] in duals:
            told[text] = "rotor_inner" if duals[tokens[0]] == "inner" else "rotor_outer"
    front = any(text in told and _at_front(work, row) for row, text in enumerate(cells))
    if not front:
        return {}
    words = ", ".join(f'"{shown(text.strip(), 40)}"' for text in sorted(told))
    work.notes.append(
        f"{words} in the column of spots: taken as faces of the disc, for a front axle has them"
    )
    return told


def _at_front(work: Sifting, row: int) -> bool:
    """True at the first axle of a vehicle, where its words say that others are behind it."""
    code = work.code[row]
    return code >= 0 and int(work.codes.axle[code]) == 1 < int(work.codes.axles_least[code])


def noted_miss(text: str) -> bool:
    """True for a remark that the shot missed, whatever it hit instead.

    Examples
    --------
    >>> noted_miss("missed, rim"), noted_miss("missed its service")
    (True, False)
    """
    words = cell_words()
    left = [token for token in tokens_of(text) if token not in words.between | words.only]
    rest = [token for token in left if token not in words.missed]
    return len(rest) < len(left) and (not rest or spot_of(" ".join(rest)) is not None)


def aim_by_remarks(work: Sifting) -> None:
    """Spots of readings whose remark says where the gun pointed; readings that missed are set aside."""
    found: dict[int, Spot] = {}
    for row, text in _remarks(work):
        if noted_miss(text):
            problem = "the remark says that the reading missed; read the wheel again"
            names, columns = work.asked.plan.names, work.asked.plan.remarks
            work.drop(row, (names[columns[0]] if columns else "remark", text), "by_hand", problem)
        elif (spot := noted_spot(text)) is not None and not _stated(work, row):
            found[row] = spot
    if len(found) < len(work.live()):  # some readings of a brake have no more than its name
        found = {row: spot for row, spot in found.items() if spot not in FACE_SPOTS}
    if not found:
        return
    spots = work.spots if work.spots is not None else [-1] * len(work.code)
    for row, spot in found.items():
        spots[row] = SPOTS.index(spot)
    work.spots = spots
    _note(work, found)


def _remarks(work: Sifting) -> Iterator[tuple[int, str]]:
    """Readings with a remark of their own; of several in a line of the table, all."""
    own = [one for one in work.seen.remarks if one.of_wheel and not one.strict and one.row is not None]
    if not own:
        return
    rows: dict[int, list[int]] = {}
    for row, line in enumerate(work.seen.line):
        rows.setdefault(line, []).append(row)
    for one in own:
        for row in rows[one.line]:
            yield row, one.text


def _stated(work: Sifting, row: int) -> bool:
    """True where a column of spots, or the words for the wheel, name a spot."""
    in_column = work.spots is not None and work.spots[row] >= 0
    code = work.code[row]
    return in_column or (code >= 0 and SPOTS[int(work.codes.spot[code])] != "brake")


def _note(work: Sifting, found: dict[int, Spot]) -> None:
    for spot in dict.fromkeys(found.values()):
        lines = [work.seen.line[row] for row in found if found[row] == spot]
        first = next(text for row, text in _remarks(work) if found.get(row) == spot)
        many = count_words(len(lines), "reading")
        work.notes.append(
            f"{many}, first in line {lines[0]}, taken as of the {spot.replace('_', ' ')}, as the remark says "
            f'("{shown(first.strip(), 40)}")'
        )
