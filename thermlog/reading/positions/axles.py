"""Axle numbers from the front of the whole combination, out of the words of a log."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, TypeAlias

from msgspec import Struct, field

from thermlog.reading.positions.words import word_table

if TYPE_CHECKING:
    from collections.abc import Mapping

    from thermlog.reading.positions.meanings import Meaning
    from thermlog.reading.vocabulary import AxleCount

_FEWEST_TRACTOR_AXLES = 2  # a motor vehicle that draws a trailer has at least two: common practice, no source
_END_NUMBER = {"front": 1, "middle": 2, "rear": 2}
# Roles and ends by which three axles are named from the front: none and all three, or a tag behind two.
_THREE_NAMED = (set[str](), {"front", "middle", "rear"}), ({"tag"}, {"front", "rear"})


NamedBy: TypeAlias = Literal["number", "end", "other"]


class NumberedAxles(Struct, frozen=True, kw_only=True):
    """Result of `number_axles`.

    Attributes
    ----------
    axles : mapping from text to int
        Axle number from the front of the combination, first axle 1.
    problems : mapping from text to str
        Key of [refuse] in positions.toml; every text is in exactly one of the two.
    notes : tuple of str
        How trailer axles and roles were counted.
    """

    axles: Mapping[str, int]
    problems: Mapping[str, str]
    notes: tuple[str, ...]


class _Count(Struct, kw_only=True):
    axles: dict[str, int] = field(default_factory=dict)
    problems: dict[str, str] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)


def number_axles(
    meanings: Mapping[str, Meaning], *, axle_count: AxleCount | None, strangers: bool = False
) -> NumberedAxles:
    """Give every text of one file its axle number.

    Parameters
    ----------
    meanings : mapping from text to Meaning
        One per text; sides play no part.
    axle_count : {"combined", "per_unit"} or None
        Whether trailer axles are counted on or start again at 1. Without it the numbers decide where they
        can: a trailer axle cannot be axle 1 or 2 of a combination.
    strangers : bool
        Whether other words of the file name wheels nobody knows: they may be those of the towing vehicle.

    Returns
    -------
    NumberedAxles
    """
    count = _Count()
    for unit in word_table().units:
        members = {text: m for text, m in meanings.items() if (m.unit or "tractor") == unit}
        if members:
            ahead = max((axle + meanings[text].leads for text, axle in count.axles.items()), default=0)
            if strangers and not ahead and unit != "tractor":
                ahead = _FEWEST_TRACTOR_AXLES
                count.notes.append(f"{unit} axles are counted {_BEHIND_UNKNOWN}")
            _add_unit(count, members, _counted(count, members, ahead=ahead, stated=axle_count), ahead=ahead)
    return NumberedAxles(axles=count.axles, problems=count.problems, notes=tuple(count.notes))


def _counted(
    count: _Count, members: Mapping[str, Meaning], *, ahead: int, stated: AxleCount | None
) -> AxleCount | None:
    """How the numbers of one unit are counted; None if nobody can tell."""
    numbers = [m.axle for m in members.values() if m.axle and not m.role]
    unit = next(iter(members.values())).unit
    if not numbers or unit in {"", "tractor"}:
        return "per_unit"
    if stated:
        count.notes.append(f"{unit} axles are counted {_COUNT_WORDS[stated]}, as stated")
        return stated
    if not ahead or min(numbers) <= max(ahead, _FEWEST_TRACTOR_AXLES):
        reason = (
            "they cannot be that far forward in a combination" if ahead else "no axle of another unit is here"
        )
        count.notes.append(f"{unit} axles are counted {_COUNT_WORDS['per_unit']}: {reason}")
        return "per_unit"
    if min(numbers) == ahead + 1:
        count.notes.append(
            f"{unit} axles are counted {_COUNT_WORDS['combined']}: they go on where the others end"
        )
        return "combined"
    return None


_BEHIND_UNKNOWN = "behind two of the vehicle that draws it: words that nobody knows here may be its wheels"
_COUNT_WORDS: dict[AxleCount, str] = {
    "combined": "through the combination",
    "per_unit": "from 1 in their own unit",
}


def _add_unit(count: _Count, members: Mapping[str, Meaning], how: AxleCount | None, *, ahead: int) -> None:
    """Number one unit behind `ahead` axles."""
    local = _local_axles(members, behind=ahead > 0)
    for text, axle in local.items():
        if isinstance(axle, str):
            count.problems[text] = axle
        elif how == "per_unit" or not members[text].axle:
            count.axles[text] = ahead + axle
        elif how is None:
            count.problems[text] = "trailer_count"
        elif axle <= max(ahead, _FEWEST_TRACTOR_AXLES):
            count.problems[text] = "before_trailer"
        else:
            count.axles[text] = axle
    by_words = sorted(
        {count.axles[text] for text, m in members.items() if not m.axle and text in count.axles}
    )
    if ahead and by_words:
        unit = next(iter(members.values())).unit
        places = ", ".join(f"{unit} axle {axle - ahead} = {axle}" for axle in by_words)
        count.notes.append(f"axles are named from the front of the combination: {places}")
    roles = sorted(
        {(axle, m.role) for text, m in members.items() if m.role and isinstance(axle := local[text], int)}
    )
    if any(role != "steer" for _, role in roles):
        order = ", ".join(f"{role} = {ahead + axle}" for axle, role in roles)
        count.notes.append(f"axles named by role are numbered from the front: {order}")


def _local_axles(members: Mapping[str, Meaning], *, behind: bool) -> dict[str, int | str]:
    """Axle number within one unit, or the problem."""
    numbers = {m.axle for m in members.values() if m.axle and _plain(m)}
    ends = {m.end for m in members.values() if m.end and _plain(m)}
    ranks = _role_ranks(members, behind=behind)
    roles = {m.role for m in members.values() if not _plain(m)}
    if not numbers and (roles, ends) in _THREE_NAMED:
        third = "tag" if roles else "rear"
        return {text: _of_three(m, third=third) for text, m in members.items()}
    many = max(numbers, default=0) > 2 or any(role != "steer" for role, _ in ranks)
    alone = not (numbers or ends or any(not _plain(m) for m in members.values()))
    beside = bool(numbers) or "rear" in ends
    return {
        text: _plain_axle(m, many=many, alone=alone) if _plain(m) else _role_axle(m, ranks, beside=beside)
        for text, m in members.items()
    }


def named_by(meaning: Meaning, axle: int) -> NamedBy:
    """Whether words count their axle as we do, call it front or rear of the only unit, or do neither."""
    if meaning.axle == axle:
        return "number"
    first = meaning.unit in {"", "tractor"} or axle <= 2  # else its front is not that of the combination
    return "end" if meaning.end and not meaning.role and first else "other"


def _plain(meaning: Meaning) -> bool:
    """No role, or one that adds nothing to a number, as in "lift axle 3"."""
    return not meaning.role or (meaning.role == "lift" and meaning.axle is not None)


def _of_three(meaning: Meaning, *, third: str) -> int | str:
    """Axle of a unit of which three are named by words: front, middle and rear, or front, rear and a tag."""
    if third in {meaning.end, meaning.role}:
        return 3
    return _END_NUMBER.get(meaning.end, "no_axle")


def _plain_axle(meaning: Meaning, *, many: bool, alone: bool) -> int | str:
    """Axle by number or end; `many`: more than two axles are named; `alone`: only the unit and a side are."""
    if meaning.axle:
        return "rear_number" if meaning.end == "rear" else meaning.axle
    if meaning.end in {"middle", "rear"} and (many or meaning.end == "middle"):
        return "middle" if meaning.end == "middle" else "rear_of_many"
    if meaning.end:
        return _END_NUMBER[meaning.end]
    if meaning.unit in {"", "tractor"}:
        return "no_axle"
    return 1 if alone else "trailer_no_axle"


def _role_number(meaning: Meaning) -> int:
    return meaning.axle or _END_NUMBER.get(meaning.end, 0)


def _role_ranks(members: Mapping[str, Meaning], *, behind: bool) -> dict[tuple[str, int], int]:
    """Place of each (role, number) from the front of the unit."""
    roles = word_table().roles
    keys = {(m.role, _role_number(m)) for m in members.values() if not _plain(m) and m.role != "lift"}
    unit = next(iter(members.values())).unit
    if not behind and unit in {"", "tractor"} and not any(role == "steer" for role, _ in keys):
        keys.add(("steer", 0))  # it is there though nobody read it, or it is called front
    ordered = sorted(keys, key=lambda key: (roles.index(key[0]), key[1]))
    return {key: place for place, key in enumerate(ordered, start=1)}


def _role_axle(meaning: Meaning, ranks: Mapping[tuple[str, int], int], *, beside: bool) -> int | str:
    """Place of a role among the roles, if the file names axles by nothing else."""
    if meaning.role == "lift":
        return "lift_axle"
    number = _role_number(meaning)
    if any(role == meaning.role and (number == 0) != (n == 0) for role, n in ranks):
        return "role_mixed"
    if beside and meaning.role != "steer":
        return "role_number"
    return ranks[meaning.role, number]
