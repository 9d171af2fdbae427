"""Remarks that are no sight and clear nothing: heat that was felt, water on it, a loose wheel, one held.

And a brake that is said to do nothing, or felt cold: it may be so, whatever the gun showed.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from thermlog.reading.cellwords import cell_words, runs_of, within
from thermlog.reading.positions.resolve import looks_like_position
from thermlog.reading.positions.words import tokens_of
from thermlog.reading.remarks.answered import answer_told
from thermlog.reading.remarks.measures import is_long_wait, is_short_drive
from thermlog.reading.remarks.sights import told_sights
from thermlog.reading.remarks.signs import drawn_in
from thermlog.reading.remarks.verdicts import is_compared, is_condemned, is_side_hotter
from thermlog.reading.remarks.wholesaid import says_wholly
from thermlog.words.regular import regular

_PARTS = regular(r"[,;!|]|(?<!\b[Nn]o)\.|\s-\s|\b(?:and|but|und|et)\b")  # "no. 3" is a number
_SHORT_FORM = regular(r"(?<!\w)(?:[^\W\d_]\.){2,}[^\W\d_]?(?!\w)")
_LONGEST = 4  # tokens of the longest words of these tables
_DENIES = 2  # tokens from "not" to the work that was not done: "not yet mended"


@lru_cache(maxsize=4096)
def alarms_of(text: str, *, at_wheel: bool = False) -> tuple[str, ...]:
    """What a remark in free words says that leaves no brake cleared, each in its own words.

    A wheel cooled with water is no longer as the drive left it, a hand that could not hold tells of heat that
    the gun may have missed, and a reading may be said to be another wheel's, or the vehicle not to be driven.
    `at_wheel`: it stands beside one wheel, and need not name one. A loose wheel that was seen is a sight.

    Examples
    --------
    >>> alarms_of("wheel too hot to touch, RL"), alarms_of("very hot day"), alarms_of("wheel nuts not loose")
    (('wheel too hot to touch, RL',), (), ())
    """
    parts = (tokens_of(part) for part in _PARTS.split(_undotted(text)) if not _is_loose(part))
    told = (at_wheel and _marked_hot(text)) or _unit_passed_over(text)
    told = told or answer_told(text, at_wheel=at_wheel) in {"sound", "water"}
    told = told or _drawn_danger(text, at_wheel=at_wheel) or is_short_drive(text)
    told = told or is_long_wait(text) or _hardly_driven(tokens_of(text))
    return (text.strip(),) if told or any(_alarms(part, at_wheel=at_wheel) for part in parts) else ()


def endangers(text: str, *, at_wheel: bool = False) -> bool:
    """True where it is heat, or a wheel or brake that is amiss, and not how it was read, driven or washed.

    Examples
    --------
    >>> endangers("LF wheel nuts loose"), endangers("RR too hot to touch"), endangers("washed")
    (True, True, False)
    """
    if (at_wheel and _marked_hot(text)) or _drawn_danger(text, at_wheel=at_wheel):
        return True
    return any(_perils(tokens_of(part), at_wheel=at_wheel) for part in _PARTS.split(_undotted(text)))


@lru_cache(maxsize=4096)
def felt_hot(text: str, *, at_wheel: bool = False) -> bool:
    """True for a remark that alarms by nothing but heat that a hand felt.

    Examples
    --------
    >>> felt_hot("RR too hot to touch"), felt_hot("RR too hot to touch, cooled with water")
    (True, False)
    >>> felt_hot("very hot"), felt_hot("very hot", at_wheel=True), felt_hot("very hot day", at_wheel=True)
    (False, True, False)
    """
    if at_wheel and _marked_hot(text):
        return True
    parts = [part for part in map(tokens_of, _PARTS.split(text)) if _alarms(part, at_wheel=at_wheel)]
    return bool(parts) and all(
        _too_hot(part, at_wheel=at_wheel) or says_wholly(part, "felt_hot", at_wheel=at_wheel)
        for part in parts
    )


@lru_cache(maxsize=4096)
def said_stuck(text: str, *, at_wheel: bool = False) -> bool:
    """True for a remark that a wheel drags when it is turned, or that a part of its brake is stuck, unmended.

    Examples
    --------
    >>> said_stuck("RR binds"), said_stuck("caliper RR stuck"), said_stuck("caliper stuck, replaced")
    (True, True, False)
    >>> said_stuck("does not drag"), said_stuck("stuck in traffic"), said_stuck("RR does not turn freely")
    (False, False, True)
    >>> said_stuck("stuck"), said_stuck("stuck", at_wheel=True)
    (False, True)
    """
    stuck = any(_sticks(part, at_wheel=at_wheel) for part in _unmended(text))
    return stuck or answer_told(text, at_wheel=at_wheel) == "free"


@lru_cache(maxsize=4096)
def said_idle(text: str, *, at_wheel: bool = False) -> bool:
    """True for a remark that a brake does nothing, has nothing to work with, or felt cold to a hand.

    Examples
    --------
    >>> said_idle("RR hose disconnected"), said_idle("RL bremst nicht"), said_idle("RR cold to touch")
    (True, True, True)
    >>> said_idle("battery disconnected"), said_idle("hose cut, renewed"), said_idle("not stone cold")
    (False, False, False)
    >>> said_idle("cold"), said_idle("cold", at_wheel=True), said_idle("cold day", at_wheel=True)
    (False, True, False)
    """
    idle = any(_idles(part, at_wheel=at_wheel) for part in _unmended(text))
    return idle or answer_told(text, at_wheel=at_wheel) == "works"


def _sticks(part: Sequence[str], *, at_wheel: bool) -> bool:
    words, said, calm = cell_words().alarm, frozenset(part), cell_words().nothing
    if said & (words["elsewhere"] | words["fastener"]):
        return False
    if any(calm.isdisjoint(rest) for _, rest in within(part, words["turns_hard"])):
        return True
    held = bool(said & words["binds"] or (said & words["stuck"] and said & words["stuck_part"]))
    return (held or _wheel_stuck(part) or (at_wheel and _said_alone(part, "stuck"))) and calm.isdisjoint(said)


def _wheel_stuck(part: Sequence[str]) -> bool:
    """True for "LR seized" and "rear brakes stuck on": a wheel, or the brakes of some, and no other part."""
    words, said = cell_words().alarm, frozenset(part)
    if not said & words["stuck"] or said & words["not_of_brake"]:
        return False
    return bool(said & words["undone_part"]) or _names_wheel([t for t in part if t not in words["stuck"]])


def _unmended(text: str) -> list[list[str]]:
    """Tokens of each part of a remark; none where it says that something was mended: it was so before.

    All of them together where a part says that it is still so: "caliper freed, still sticking".
    """
    words, parts = cell_words().alarm, [tokens_of(part) for part in _PARTS.split(text)]
    if not any(map(is_mended, parts)):
        return parts
    wrong = words["stuck"] | words["binds"] | words["undone"]
    still = any(not words["still"].isdisjoint(part) and not wrong.isdisjoint(part) for part in parts)
    return [tokens_of(text)] if still else []


def is_mended(part: Sequence[str]) -> bool:
    """True for a word of work that was done: no "not" and no "to be" stands before it."""
    mended, undone = cell_words().alarm["mended"], cell_words().nothing | cell_words().alarm["ahead"]
    return any(
        token in mended and undone.isdisjoint(part[max(k - _DENIES, 0) : k]) for k, token in enumerate(part)
    )


def speaks_of_braking(text: str, *, at_wheel: bool = False) -> bool:
    """True for a remark about a wheel, a part of a brake, a tyre or a stop, whatever it says of it.

    Parameters
    ----------
    text : str
    at_wheel : bool
        It stands beside one wheel, or names one.

    Examples
    --------
    >>> speaks_of_braking("squeaks", at_wheel=True), speaks_of_braking("nearly did not stop")
    (True, True)
    >>> speaks_of_braking("hot day", at_wheel=True), speaks_of_braking("customer waiting")
    (False, False)
    """
    table, words, tokens = cell_words(), cell_words().alarm, tokens_of(text)
    said = frozenset(tokens)
    if said & (words["elsewhere"] - words["fender"] | (table.fine - table.all_of_them)) or is_mended(tokens):
        return False
    if said & table.nothing and said & (words["stuck"] | words["binds"] | words["loose"]):
        return False  # "not seized": it was looked at
    parts = words["felt"] | words["undone_part"] | words["held_by"] | words["stuck_part"] | words["stopping"]
    return at_wheel or bool(said & parts)


def weighs(text: str) -> bool:
    """True for a line that names no wheel, and yet is no plain note: another gun, the sun, a vibration.

    Examples
    --------
    >>> weighs("rear read with the other gun"), weighs("sunny"), weighs("no vibration")
    (True, False, False)
    """
    beside = (rest for _, rest in within(tokens_of(text), cell_words().alarm["to_weigh"]))
    return any(cell_words().nothing.isdisjoint(rest) for rest in beside)


def names_brake(text: str) -> bool:
    """True where a part of a brake is named: what is said is of no other thing on board."""
    return not cell_words().alarm["undone_part"].isdisjoint(tokens_of(text))


def _idles(part: Sequence[str], *, at_wheel: bool) -> bool:
    words, said = cell_words().alarm, set(part)
    if not said.isdisjoint(words["not_of_brake"]):
        return False
    if at_wheel and cell_words().by_hand.get("".join(part)) == "cold":
        return True
    calm = cell_words().nothing | cell_words().deniable  # "no brake warning"
    if any(calm.isdisjoint(rest) for _, rest in within(part, words["idle"])):
        return True
    if at_wheel and is_compared(part, "colder"):
        return True
    undone = not said.isdisjoint(words["undone"]) and not said.isdisjoint(words["undone_part"])
    alone = at_wheel or any(map(looks_like_position, part))  # "RR isolated"
    undone = undone or (alone and _said_alone(part, "undone_alone"))
    return undone and cell_words().nothing.isdisjoint(said)


def _said_alone(part: Sequence[str], name: str) -> bool:
    """True where nothing but a wheel stands beside a word of a list."""
    words = cell_words().alarm
    rest = [token for token in part if token not in words[name]]
    fill = words["alone_fill"] | cell_words().between
    return len(rest) < len(part) and all(token in fill or looks_like_position(token) for token in rest)


def _undotted(text: str) -> str:
    """A text whose short forms have no dots: "n.i.O." is one word."""
    return _SHORT_FORM.sub(lambda found: found[0].replace(".", ""), text) if "." in text else text


def _drawn_danger(text: str, *, at_wheel: bool) -> bool:
    """True for a sign of danger at a wheel, at a part of its brake, or alone."""
    if drawn_in(text) != "danger":
        return False
    tokens = tokens_of(text)
    parts = cell_words().alarm["felt"] | cell_words().alarm["undone_part"]
    named = any(one in parts or looks_like_position(one) for one in tokens) or looks_like_position(text)
    return at_wheel or named or not tokens


def _marked_hot(text: str) -> bool:
    """True for "hot!": who marks it so means more than that a brake is warm after a drive."""
    tokens = tokens_of(text)
    return "!" in text and len(tokens) == 1 and cell_words().by_hand.get(tokens[0]) == "hot"


def _alarms(part: Sequence[str], *, at_wheel: bool) -> bool:
    wholly = any(says_wholly(part, means, at_wheel=at_wheel) for means in ("alarm", "felt_hot"))
    if wholly or _perils(part, at_wheel=at_wheel):
        return True
    words, said = cell_words().alarm, set(part)
    beside = within(part, words["misread"] | words["undriven"])
    if any((words["elsewhere"] | words["hereafter"]).isdisjoint(rest) for _, rest in beside):
        return True
    if not words["elsewhere"].isdisjoint(said):
        return False
    if _passed_over(part, at_wheel=at_wheel):
        return True
    if any(within(part, words["day_before"])):
        return False
    stood = not words["stood"].isdisjoint(said) and any(within(part, words["long_time"]))
    return stood or _wetted(part, at_wheel=at_wheel)


def _wetted(part: Sequence[str], *, at_wheel: bool) -> bool:
    """True where it was washed, went through water, or has water, snow or mud on its wheels."""
    words, said = cell_words().alarm, frozenset(part)
    if said & (words["not_wet"] | cell_words().nothing):
        return False
    alone = at_wheel or any(map(looks_like_position, part))
    on_it = bool(said & words["wet"] and said & words["wetted"]) and not said & cell_words().fine
    on_it = on_it or (alone and _said_alone([one for one in part if one not in words["wet_fill"]], "wet"))
    through = bool(said & words["through"] and said & words["crossed"])
    return (
        on_it
        or through
        or ((words["ahead"] | words["hereafter"]).isdisjoint(said) and any(within(part, words["washed"])))
    )


def _hardly_driven(part: Sequence[str]) -> bool:
    """True for "van just started": nothing but the vehicle and its drive is named."""
    words = cell_words().alarm
    fill = words["alone_fill"] | words["drawing"] | cell_words().between
    return any(fill.issuperset(rest) for _, rest in within(part, words["hardly_driven"]))


def _perils(part: Sequence[str], *, at_wheel: bool) -> bool:
    """True where it is not how it was read, driven or washed that is told."""
    words, said = cell_words().alarm, set(part)
    told = within(part, words["of_all"] | words["keep_off"])
    calm = cell_words().nothing | words["flat_spot"]
    if any(calm.isdisjoint(rest) for _, rest in told) or "".join(part) in words["off_alone"]:
        return True
    if _heat_marked(part, at_wheel=at_wheel) or _parking_brake_dead(part):
        return True
    if not words["elsewhere"].isdisjoint(said):
        return False
    if _too_hot(part, at_wheel=at_wheel) or _parking_brake_on(part):
        return True
    amiss = _marred(part) or _amiss(part) or is_condemned(part, at_wheel=at_wheel) or is_side_hotter(part)
    amiss = amiss or (at_wheel and (is_compared(part, "side_hotter") or _said_alone(part, "amiss")))
    return cell_words().nothing.isdisjoint(said) and amiss


def _names_wheel(tokens: Sequence[str]) -> bool:
    """True where a wheel is named, by one word or by several: "RR", "tył prawy"."""
    return any(
        looks_like_position("".join(tokens[a:b])) or looks_like_position(" ".join(tokens[a:b]))
        for a, b, _ in runs_of(tokens, _LONGEST)
    )


def _is_loose(text: str) -> bool:
    return any(one.code == "loose" for one in told_sights(text))


def _marred(part: Sequence[str]) -> bool:
    """True where what holds or brakes a wheel is loose or cracked, or water was on it."""
    words, said = cell_words().alarm, set(part)
    if not words["not_held"].isdisjoint(said):
        return False
    pairs = (("cooled", "water"), ("loose", "held_by"), ("cracked", "felt"), ("cracked", "undone_part"))
    return any(not words[one].isdisjoint(said) and not words[other].isdisjoint(said) for one, other in pairs)


def _amiss(part: Sequence[str]) -> bool:
    """True where something is amiss at a wheel or a part of its brake, named and not said to be fine."""
    words = cell_words().alarm
    if not (words["not_of_brake"] | words["mended"] | cell_words().fine).isdisjoint(part):
        return False
    parts = words["felt"] | words["undone_part"] | words["held_by"]
    return any(
        any(map(looks_like_position, rest)) or (said in words["amiss"] and not parts.isdisjoint(rest))
        for said, rest in within(part, words["amiss"] | words["hotter"])
    )


def _passed_over(part: Sequence[str], *, at_wheel: bool) -> bool:
    """True where a wheel, and nothing else, is said not to have been read: its readings are in doubt."""
    felt = cell_words().alarm["felt"]
    for _, rest in within(part, cell_words().alarm["passed_over"]):
        left = [one for one in rest if one not in felt]
        named = bool(left) and (all(map(looks_like_position, left)) or looks_like_position(" ".join(left)))
        if named or (at_wheel and not left):
            return True
    return False


def _unit_passed_over(text: str) -> bool:
    """True where a trailer, or one end of the vehicle, is said not to have been read."""
    tokens, words = tokens_of(text), cell_words().alarm
    of_unit = not words["drawn"].isdisjoint(tokens)
    for part in map(tokens_of, _PARTS.split(text)):
        for _, rest in within(part, words["passed_over"]):
            ends = not words["ends"].isdisjoint(rest) and (words["undone_part"] | words["ends"]).issuperset(
                rest
            )
            if ends or (of_unit and (words["drawn"] | words["undone_part"]).issuperset(rest)):
                return True
    return False


def _parking_brake_on(part: Sequence[str]) -> bool:
    """True where it was driven with the parking brake on; a parked vehicle is held by it."""
    words = cell_words().alarm
    named = any(within(part, words["parking"]))
    driven = "ON" in part and not words["drove"].isdisjoint(part)
    return named and (
        driven or any(cell_words().nothing.isdisjoint(rest) for _, rest in within(part, words["left_on"]))
    )


def _parking_brake_dead(part: Sequence[str]) -> bool:
    """True where the parking brake is said to do nothing."""
    words = cell_words().alarm
    return any(within(part, words["parking"])) and any(within(part, words["idle"]))


def _heat_marked(part: Sequence[str], *, at_wheel: bool) -> bool:
    """True for "hub cap melted RR": what great heat left at a wheel, or at a part of it."""
    words, said = cell_words().alarm, frozenset(part)
    marks, other = words["heat_mark"], (words["elsewhere"] - words["fender"]) | words["burns_else"]
    if not any(within(part, marks)) or said & other or not cell_words().nothing.isdisjoint(said):
        return False
    if at_wheel or (marks | words["worn_part"]).issuperset(said):  # nothing else can be meant
        return True
    return bool(said & words["felt"]) or any(map(looks_like_position, said - marks))


def _too_hot(part: Sequence[str], *, at_wheel: bool) -> bool:
    """True for words of a cell that is too hot, of a wheel or a part that a hand would touch; for a burn."""
    words, nothing = cell_words(), cell_words().nothing
    too_hot, burnt = frozenset(words.too_hot), words.alarm["burnt"]
    for said, rest in within(part, too_hot | burnt):
        if not nothing.isdisjoint(rest):
            continue
        felt = not words.alarm["felt"].isdisjoint(part) or _names_wheel(rest)
        if felt or said in burnt or (at_wheel and not rest):
            return True
    burnt_by_it = not words.alarm["singed"].isdisjoint(part) and not words.alarm["worn_by"].isdisjoint(part)
    return burnt_by_it and nothing.isdisjoint(part)
