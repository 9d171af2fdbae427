"""Comments that say what was seen, though they are no statement of it."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from thermlog.reading.cellwords import bare_letters, cell_words, no_wheel_word
from thermlog.reading.headings import plain_words
from thermlog.reading.identities import without_identities
from thermlog.reading.keyvalue import pair_in
from thermlog.reading.namedaxles import axles_told
from thermlog.reading.observations import Remark
from thermlog.reading.positions.resolve import looks_like_position
from thermlog.reading.remarks.alarms import alarms_of, endangers, names_brake, said_idle, said_stuck, weighs
from thermlog.reading.remarks.doubted import doubt_told, gun_unit, odd_setting
from thermlog.reading.remarks.harmsaid import harm_said
from thermlog.reading.remarks.heatsaid import gun_showed_over, heat_said
from thermlog.reading.remarks.plainsaid import MADE_UP, says_no_more
from thermlog.reading.remarks.repairs import works_of
from thermlog.reading.remarks.sights import places_told, sees_nothing, told_sights
from thermlog.reading.remarks.signs import is_marked
from thermlog.reading.remarks.wornsaid import worn_said
from thermlog.reading.severalsaid import LONGEST_LINE
from thermlog.reading.spottitles import titled_spot
from thermlog.reading.statements import is_statement
from thermlog.reading.vocabulary import KEYS, Key
from thermlog.words.regular import regular
from thermlog.words.seenwords import PULLS, SeenCode

if TYPE_CHECKING:
    from collections.abc import Iterable

    from thermlog.reading.files.comments import Comment

_MARK = regular("[:=]")
# Beside these it may be driven to where it is looked at.
_NO_STOP: frozenset[SeenCode] = frozenset({"abs_lamp", *PULLS})
_MENDED: frozenset[SeenCode] = frozenset({"loose"})
_NAMED: frozenset[Key] = frozenset({"vehicle", "by", "gun"})
# Their values are names, or are read for what was seen elsewhere.
_NAMES: frozenset[Key] = _NAMED | {"seen", "taken_back"}
_AFTER_NAME = regular(r"[,;()]+|\s-+\s")
# Of the vehicle and its drive: people answer them in words of their own.
_DESCRIBING: frozenset[Key] = frozenset(
    {"drive", "axles", "brakes", "split", "parking_brake", "regenerative", "retarder", "lifted", "unbraked",
     "weight", "emissivity", "distance", "label", "odometer", "date", "started", "ambient"}
)  # fmt: skip


def tells_sight(text: str) -> bool:
    """True if a comment says in free words that something was seen at the vehicle.

    Examples
    --------
    >>> tells_sight("RR started smoking"), tells_sight("vehicle: fire engine 3"), tells_sight("no smoke")
    (True, False, False)
    >>> tells_sight("vehicle: van 7, RR smoking"), tells_sight("by: R. Burns")
    (True, False)
    """
    key = _key_of(text)
    if key in _NAMED:
        return any(looks_like_position(one.place) for one in told_sights(_beside_name(text)))
    return bool(_codes_of(text)) and key not in _NAMES


def _beside_name(text: str) -> str:
    """What stands behind a name, "JB, RR hot": what may be of a wheel, not of the name."""
    pair = pair_in(text)
    if pair is None:
        return ""
    _, *rest = _AFTER_NAME.split(pair.text)
    said = ", ".join(filter(None, map(str.strip, rest)))
    return said or (pair.text if _key_of(text) == "vehicle" else "")


def _codes_of(text: str) -> set[SeenCode]:
    """What a comment says was seen; nuts that a repair found loose were tightened by it."""
    sights = told_sights(text)
    placed = any(one.place for one in sights) or bool(sights and places_told(text))
    if _said_first(text).upper() in cell_words().address and not placed:
        return set()
    codes = {one.code for one in sights}
    return codes - _MENDED if _key_of(text) == "repair" else codes


def said_of_remark(text: str) -> str:
    """What a remark says, without the key of its comment.

    Examples
    --------
    >>> said_of_remark("remark: no smoke"), said_of_remark("smoke: none")
    ('no smoke', 'smoke: none')
    """
    return _MARK.split(text, maxsplit=1)[-1].strip() if _key_of(text) == "remark" else text


def _key_of(text: str) -> Key | None:
    return KEYS.get(_said_first(text))


def _said_first(text: str) -> str:
    """Words of a comment up to its first mark; all of them where it has none."""
    return plain_words(_MARK.split(text, maxsplit=1)[0])


def told_apart(comments: Iterable[Comment]) -> tuple[list[Comment], list[Remark]]:
    """Comments that state something, and remarks: "remark: ...", and what was seen.

    Where somebody says that nothing is seen now, what a repair cured is past.
    """
    keyed = [(_key_of(comment.text), comment) for comment in comments]
    now = [comment.text for key, comment in keyed if key == "seen"]
    cured = bool(now) and all(sees_nothing(_MARK.split(text, maxsplit=1)[-1]) for text in now)
    kept, told = [], []
    for key, comment in keyed:
        if says_no_more(comment.text):
            kept.append(comment)
            continue
        tells, speaks = tells_sight(comment.text), _speaks_under(key, comment.text)
        speaks |= tells_harm(comment.text)
        if tells and cured and key == "repair":
            tells = speaks = False
        told_of = key == "remark" or _warns(comment.text) or _counts_axles(comment.text)
        if tells or speaks or told_of or states_heat(comment.text):
            text = (key in _NAMED and _beside_name(comment.text)) or comment.text
            text = f"gun: {text}" if key == "gun" and text != comment.text else text
            told.append(Remark(line=comment.line, text=text, row=None, of_wheel=False, strict=False))
        if not (tells or speaks) or is_statement(comment.text, remarks=True):
            kept.append(comment)
    return kept, told


def _speaks_under(key: Key | None, text: str) -> bool:
    """True where a comment says more of the brakes than its key asks for: "brakes: RR seized"."""
    if key is None:
        return speaks_of_brakes(text)
    pair = pair_in(text)
    if pair is None or _is_made_up(text):
        return False
    if key == "repair":  # not done, or not lately: it is as the line says
        return not works_of(pair.text) and speaks_of_brakes(pair.text)
    if key == "spot":
        return titled_spot(text) is None
    if key in _NAMED:
        rest = _beside_name(text)
        stuck = said_stuck(rest) or said_idle(rest)
        return bool(places_told(rest)) and (stuck or (rest != pair.text and speaks_of_brakes(rest)))
    return key in _DESCRIBING and (
        speaks_of_brakes(pair.text) or speaks_of_brakes(f"{pair.name} {pair.text}")
    )


def is_remark(text: str) -> bool:
    """True for words that count as a remark wherever they stand: above or among the rows, or in a cell.

    Examples
    --------
    >>> is_remark("HR caliper stuck"), is_remark("vehicle was washed"), is_remark("end of log")
    (True, True, False)
    """
    told = tells_sight(text) or _key_of(text) == "remark" or _warns(text) or speaks_of_brakes(text)
    return told or _counts_axles(text)


def is_line_told(text: str) -> bool:
    """True for a line of words that counts as a remark: also where one word of harm makes it one."""
    return is_remark(text) or tells_harm(text)


@lru_cache(maxsize=4096)
def tells_harm(text: str, *, at_wheel: bool = False) -> bool:
    """True for a line or a cell with a word of harm about a brake, a reading or the drive.

    Parameters
    ----------
    text : str
    at_wheel : bool
        It stands beside one wheel, and need not name one.

    Examples
    --------
    >>> [tells_harm(text) for text in ("RR growls", "vehicle: van 7, RR growls", "by: R. Growls", "gun ok")]
    [True, True, False, False]
    """
    key = _key_of(text)
    if key in _NAMED:
        rest, pair = _beside_name(text), pair_in(text)
        return pair is not None and rest != pair.text and (harm_said(rest) or _warns(rest))
    if key not in {None, "remark"} or len(text) > LONGEST_LINE or _is_made_up(text):
        return False
    said = said_of_remark(text)
    named = titled_spot(said) is not None or (looks_like_position(said) and not is_marked(said))
    asked = at_wheel and _MARK.search(said) is not None  # "noise: yes" is what a column asks
    if named or asked or no_wheel_word(said, whole=True) or is_statement(said, remarks=True):
        return False
    return not sees_nothing(said) and harm_said(said, at_wheel=at_wheel)


def _counts_axles(text: str) -> bool:
    """True for a line that counts axles and says nothing else; a name that does is a statement."""
    return axles_told(text) > 0 and not is_statement(text)


def warns_of_danger(text: str, *, at_wheel: bool = False) -> bool:
    """True for words that stop a vehicle, whatever was read: what was seen, a wheel held, loose or too hot.

    Parameters
    ----------
    text : str
        Of a log that is refused: a comment, a line or a cell.
    at_wheel : bool
        It stands beside one wheel, and need not name one.

    Examples
    --------
    >>> warns_of_danger("remark: smoke at LF"), warns_of_danger("vehicle: fire engine 3")
    (True, False)
    >>> [warns_of_danger(text, at_wheel=True) for text in ("very hot", "does nothing", "cold")]
    [True, True, False]
    """
    key = _key_of(text)
    if key in _NAMES or _is_made_up(text):
        return tells_sight(text)
    if _codes_of(text) - _NO_STOP:
        return True
    said = said_of_remark(text)
    idle = said_idle(said, at_wheel=at_wheel) and (at_wheel or names_brake(said) or bool(places_told(said)))
    idle = idle and cell_words().by_hand.get(bare_letters(said)) != "cold"  # in place of a temperature
    stuck = said_stuck(said, at_wheel=at_wheel) and (at_wheel or bool(places_told(said)))
    return key != "repair" and (idle or stuck or endangers(said, at_wheel=at_wheel))


@lru_cache(maxsize=4096)
def _warns(text: str) -> bool:
    """True for words beside which a brake, or a reading, is not what the figures say."""
    key = _key_of(text)
    if key != "gun" and (key in _NAMES | {"repair"} or _is_made_up(text)):
        return False
    beside = f"gun: {_beside_name(text)}" if key == "gun" else text
    doubted = doubt_told(text) is not None or doubt_told(beside) is not None or gun_unit(text) is not None
    doubted |= odd_setting(text) and key in {None, "remark", "gun"}  # with its own key it is of the surface
    if doubted or key == "gun":
        return doubted  # "gun: on hold"
    return bool(alarms_of(text)) or gun_showed_over(text)


def states_heat(text: str) -> bool:
    """True for a line without a key that states a temperature of a part, or a shot of the gun.

    Examples
    --------
    >>> states_heat("hub 130"), states_heat("wheel nuts 130 Nm"), states_heat("ambient: 18 C")
    (True, False, False)
    """
    plain = _key_of(text) is None and len(text) <= LONGEST_LINE and not _is_made_up(text)
    return plain and bool(heat_said(text)) and not is_statement(text, remarks=True)


def _is_made_up(text: str) -> bool:
    """True for the line of a log that nobody took."""
    return _said_first(text) in MADE_UP


@lru_cache(maxsize=4096)  # the logs of a depot state much the same
def speaks_of_brakes(text: str) -> bool:
    """True for a line without a key that says something of a wheel, that a brake does nothing, or is worn.

    Examples
    --------
    >>> speaks_of_brakes("squeals at LF"), speaks_of_brakes("yellow line disconnected")
    (True, True)
    >>> speaks_of_brakes("pads at 6 mm"), speaks_of_brakes("pads at 1.5 mm")
    (False, True)
    >>> speaks_of_brakes("Brake check, spring"), speaks_of_brakes("rear axle"), speaks_of_brakes("wheel: RF")
    (False, False, False)
    """
    if (
        len(text) > LONGEST_LINE
        or is_statement(text, remarks=True)
        or titled_spot(text) is not None
        or (looks_like_position(text) and not is_marked(text))
    ):
        return False
    named = bool(places_told(without_identities(text)))
    dead = said_idle(text) and names_brake(text)
    return named or dead or said_stuck(text) or worn_said(text) or weighs(text)
