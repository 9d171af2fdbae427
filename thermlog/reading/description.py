"""The vehicle that header comments describe."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from contextlib import suppress
from typing import TypeVar, get_args

from msgspec.structs import replace

from thermlog.reading.cells import count_words, shown
from thermlog.reading.headings import plain_words
from thermlog.reading.statements import NotReadError, Said, Statements, figure, one_of
from thermlog.reading.vocabulary import Key
from thermlog.words.errors import LogRefusedError
from thermlog.words.regular import regular
from thermlog.words.tables import Ints
from thermlog.words.vehicle import (
    SPOTS,
    AxleRole,
    BrakeKind,
    FittedBrake,
    Split,
    Vehicle,
    WeightClass,
    class_of,
    default_vehicle,
    disc_or_drum,
    slowed_axles,
    with_retarder,
)

_UNBRAKED = "unbraked"
_ROLE_WORDS: dict[str, AxleRole] = {
    "steer": "steer", "steering": "steer", "front": "steer", "drive": "drive", "driven": "drive",
    "trailer": "trailer", "semi": "trailer", "lift": "lift", "liftable": "lift", "tag": "tag",
    "pusher": "pusher", "dolly": "dolly", "axle": "axle", "rear": "axle", _UNBRAKED: "axle",
}  # fmt: skip
_BRAKES: dict[str, BrakeKind] = {
    **dict.fromkeys(("disc", "discs", "disk", "disks", "scheibe", "disque"), "disc"),
    **dict.fromkeys(("drum", "drums", "trommel", "tambour", "tambor"), "drum"),
}  # fmt: skip
_FITTED: dict[str, FittedBrake] = {
    **{kind: kind for kind in get_args(FittedBrake)},
    **dict.fromkeys(("floating", "floating caliper"), "hyd_disc_floating"),
    **dict.fromkeys(("fixed", "fixed caliper"), "hyd_disc_fixed"),
    **dict.fromkeys(("s cam", "scam"), "air_drum_scam"),
    "wedge": "air_drum_wedge",
    "overrun": "overrun_drum",
    "electric": "electric_drum",
}
_BRAKE_WORDS: dict[str, str] = {word: word for word in _BRAKES} | {
    plain_words(word): word for word in _FITTED
}
_SPLITS: dict[str, Split] = {
    **dict.fromkeys(("diagonal", "x", "diagonal split", "crosswise"), "diagonal"),
    **dict.fromkeys(("front rear", "front and rear", "axle", "black white", "front/rear"), "front_rear"),
    **dict.fromkeys(("unknown", "?"), "unknown"),
}  # fmt: skip
_TRUTHS: dict[str, bool] = {
    **dict.fromkeys(("yes", "y", "true", "1", "ja", "oui", "si", "on"), True),
    **dict.fromkeys(("no", "n", "false", "0", "nein", "non", "off", "none"), False),
}
_DRIVEN = frozenset({"drive", "driven", "drive axle", "drive axles", "driven axle", "driven axles"})
_WEIGHTS: dict[str, WeightClass] = {
    **dict.fromkeys(("light", "car", "van", "light vehicle"), "light"),
    **dict.fromkeys(("heavy", "truck", "bus", "heavy vehicle"), "heavy"),
}  # fmt: skip

_BRAKE_NAMES = ", ".join((*get_args(BrakeKind), *get_args(FittedBrake)))
_BETWEEN_BRAKES = regular(r"[\s,;+/|]+")
DESCRIBING_KEYS: frozenset[Key] = frozenset(
    {"axles", "brakes", "split", "parking_brake", "regenerative", "retarder", "lifted", "unbraked",
     "tyre_radius", "weight"}
)  # fmt: skip
_DRUM = SPOTS.index("drum")
_AXLE_WORDS = frozenset({"axle", "axles"})
_V = TypeVar("_V")


def states_vehicle(statements: Statements) -> bool:
    """True if header comments describe the vehicle."""
    return any(key in DESCRIBING_KEYS for key in _describing(statements))


def axles_counted(statements: Statements) -> int:
    """How many axles a line like "axles: 3" counts; 0 where none does.

    A count describes no vehicle, for it tells neither its class nor what its axles are; but an axle that it
    counts is one of the vehicle's, read or not.

    Examples
    --------
    >>> axles_counted(Statements(said={"axles": Said(line=1, key="axles", text="3")}))
    3
    """
    said = statements.said.get("axles")
    words = (
        [] if said is None else [word for word in plain_words(said.text).split() if word not in _AXLE_WORDS]
    )
    return int(words[0]) if len(words) == 1 and words[0].isascii() and words[0].isdigit() else 0


def axles_stated(statements: Statements) -> int:
    """How many axles a line states, by a count or one by one; 0 where none does, or it cannot be read."""
    said = statements.said.get("axles")
    with suppress(NotReadError):
        return axles_counted(statements) or len(_listed(said, _ROLE_WORDS))
    return 0


def refuse_few_axles(statements: Statements, *, axle_count: int, stated: int, file: str) -> None:
    """Refuse a log that reads an axle beyond those that a line states.

    Parameters
    ----------
    statements : Statements
    axle_count, stated : int
        Highest axle number read; axles stated, 0 for none.
    file : str
        For messages.

    Raises
    ------
    LogRefusedError
    """
    if not 0 < stated < axle_count:
        return
    said = statements.said["axles"]
    problem = (
        f"{count_words(stated, 'axle')} stated, but axle {axle_count} was read; "
        "state every axle from the front"
    )
    raise LogRefusedError(
        problem,
        code="too_few_axles",
        file=file,
        line=said.line,
        column=f"# {said.key}",
        value=shown(said.text),
    )


def vehicle_described(statements: Statements, *, axle: Ints, spot: Ints, file: str) -> Vehicle | None:
    """Vehicle that header comments describe above these rows, or None if they describe none.

    Parameters
    ----------
    statements : Statements
    axle, spot : int array (rows,)
        Axle number from the front and index into `SPOTS` of what was read.
    file : str
        For messages.

    Raises
    ------
    LogRefusedError
        A description contradicts itself or the readings.
    """
    count = int(axle.max(initial=1))
    refuse_few_axles(statements, axle_count=count, stated=axles_counted(statements), file=file)
    if not states_vehicle(statements):
        return None
    return describe(statements, axle_count=count, drum=bool((spot == _DRUM).any()), file=file)


def describe(statements: Statements, *, axle_count: int, drum: bool, file: str) -> Vehicle | None:
    """Vehicle described by header comments, or None if they describe none.

    Parameters
    ----------
    statements : Statements
    axle_count : int
        Highest axle number read.
    drum : bool
        True if drums were read.
    file : str
        For messages.

    Raises
    ------
    LogRefusedError
        A description contradicts itself or the readings.
    """
    said = readable(statements, axle_count=axle_count)
    if DESCRIBING_KEYS.isdisjoint(said):
        return None
    roles = _listed(said.get("axles"), _ROLE_WORDS)
    refuse_few_axles(statements, axle_count=axle_count, stated=len(roles), file=file)
    count = len(roles) or max(axles_counted(statements), axle_count)
    brakes = _brakes(said.get("brakes"), count)
    vehicle = default_vehicle(
        count,
        weight_class=one_of(said.get("weight"), _WEIGHTS) or class_of([_fitted(one) for one in brakes]),
        drum=drum,
    )
    vehicle = _with_axles(vehicle, roles, brakes, said)
    radius_m = figure(said.get("tyre_radius"), "write metres, like 0.31")
    return replace(
        vehicle,
        split=one_of(said.get("split"), _SPLITS) or vehicle.split,
        regenerative=bool(one_of(said.get("regenerative"), _TRUTHS)),
        tyre_radius_m=radius_m or vehicle.tyre_radius_m,
        stated=True,
    )


def _describing(statements: Statements) -> dict[Key, Said]:
    """The statements, without a count of axles."""
    counted = axles_counted(statements) > 0
    return {key: one for key, one in statements.said.items() if not (counted and key == "axles")}


def unreadable(statements: Statements, *, axle_count: int) -> dict[Key, tuple[Said, NotReadError]]:
    """Describing statements that cannot be read, and what is wrong with each."""
    found: dict[Key, tuple[Said, NotReadError]] = {}
    said = _describing(statements)
    count = max(axles_counted(statements), axle_count)
    with suppress(NotReadError):  # named below
        count = len(_listed(said.get("axles"), _ROLE_WORDS)) or count
    for key, one in said.items():
        if key not in DESCRIBING_KEYS:
            continue
        try:
            _READ[key](one, count)
        except NotReadError as fault:
            found[key] = one, fault
    return found


def readable(statements: Statements, *, axle_count: int) -> dict[Key, Said]:
    """The statements without those that cannot be read."""
    bad = unreadable(statements, axle_count=axle_count)
    return {key: one for key, one in _describing(statements).items() if key not in bad}


def _with_axles(
    vehicle: Vehicle,
    roles: tuple[AxleRole, ...],
    brakes: tuple[str, ...],
    said: Mapping[Key, Said],
) -> Vehicle:
    count = len(vehicle.axles)
    parking = _axle_numbers(said.get("parking_brake"), count)
    lifted = _axle_numbers(said.get("lifted"), count)
    bare = _axle_numbers(said.get("unbraked"), count) | _unbraked_among(said.get("axles"))
    axles = tuple(
        replace(
            axle,
            role=roles[k] if roles else axle.role,
            brake=_seen(brakes[k % len(brakes)]) if brakes else axle.brake,
            fitted=_fitted(brakes[k % len(brakes)]) if brakes else None,
            parking_brake=k + 1 in parking,
            lifted=k + 1 in lifted,
            unbraked=k + 1 in bare,
        )
        for k, axle in enumerate(vehicle.axles)
    )
    slowed = _slowed(said.get("retarder"), count)
    slowed = slowed_axles(axles) if slowed is None else slowed
    return replace(vehicle, axles=with_retarder(axles, slowed))


def _fitted(word: str) -> FittedBrake | None:
    return _FITTED.get(word)


def _seen(word: str) -> BrakeKind:
    fitted = _FITTED.get(word)
    return _BRAKES[word] if fitted is None else disc_or_drum(fitted)


def _listed(said: Said | None, words: Mapping[str, _V]) -> tuple[_V, ...]:
    """Words of a list, one an axle."""
    if said is None:
        return ()
    tokens = plain_words(said.text.replace("+", " ")).split()
    unknown = [token for token in tokens if token not in words]
    if unknown:
        names = ", ".join(str(name) for name in dict.fromkeys(words.values()))
        msg = f'"{unknown[0]}" is not understood; write one word an axle: {names}'
        raise NotReadError(msg)
    return tuple(words[token] for token in tokens)


def _unbraked_among(said: Said | None) -> frozenset[int]:
    """Axles that a list of roles says have no brakes; their role stays unsaid."""
    tokens = [] if said is None else plain_words(said.text.replace("+", " ")).split()
    return frozenset(number for number, token in enumerate(tokens, start=1) if token == _UNBRAKED)


def _axle_numbers(said: Said | None, count: int) -> frozenset[int]:
    if said is None:
        return frozenset()
    words = {"front": "1", "rear": str(count), "no": "", "none": ""}
    tokens = [
        words.get(token, token)
        for token in plain_words(said.text).split()
        if token not in {"axle", "axles", "and"}
    ]
    numbers = [int(token) for token in tokens if token.isascii() and token.isdigit()]
    if len(numbers) < sum(map(bool, tokens)) or any(not 1 <= n <= count for n in numbers):
        msg = f"write axle numbers from 1 to {count}, like 2 or 2 3"
        raise NotReadError(msg)
    return frozenset(numbers)


def _slowed(said: Said | None, count: int) -> frozenset[int] | None:
    """Axles that a retarder slows; None where it is only said that there is one."""
    word = "" if said is None else plain_words(said.text)
    if word in _DRIVEN or (_TRUTHS.get(word) and not word.isdigit()):
        return None
    if word in _TRUTHS and not word.isdigit():
        return frozenset()
    first, _, rest = word.partition(" ")
    if said is not None and rest and _TRUTHS.get(first) and not first.isdigit():
        said = replace(said, text=rest)  # "yes, 2"
    try:
        return _axle_numbers(said, count)
    except NotReadError as fault:
        msg = f"{fault}; or yes or no"
        raise NotReadError(msg) from None


def _brakes(said: Said | None, count: int) -> tuple[str, ...]:
    brakes = () if said is None else tuple(_brake_words(said.text))
    if said is not None and len(brakes) not in {0, 1, count}:
        msg = f"{len(brakes)} kinds for {count} axles; write one, or one an axle"
        raise NotReadError(msg)
    return brakes


def _brake_words(text: str) -> Iterator[str]:
    """One kind a word; a word in parts, like "air-disc", is one kind, or one a part."""
    for token in _BETWEEN_BRAKES.split(text.strip()):
        word = plain_words(token)
        parts = [word] if word in _BRAKE_WORDS else word.split()
        for part in parts:
            if part not in _BRAKE_WORDS:
                msg = f'"{part}" is not understood; write one word an axle: {_BRAKE_NAMES}'
                raise NotReadError(msg)
            yield _BRAKE_WORDS[part]


_READ: dict[Key, Callable[[Said, int], object]] = {
    "axles": lambda said, _: _listed(said, _ROLE_WORDS),
    "brakes": _brakes,
    "split": lambda said, _: one_of(said, _SPLITS),
    "parking_brake": _axle_numbers,
    "regenerative": lambda said, _: one_of(said, _TRUTHS),
    "retarder": _slowed,
    "lifted": _axle_numbers,
    "unbraked": _axle_numbers,
    "tyre_radius": lambda said, _: figure(said, "write metres, like 0.31"),
    "weight": lambda said, _: one_of(said, _WEIGHTS),
}
