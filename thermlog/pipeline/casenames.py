"""Which of several drives of a log a user means: by number, vehicle, drive."""

from __future__ import annotations

from typing import TYPE_CHECKING

from thermlog.words.errors import OptionError

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from thermlog.words.findings import Diagnosis


def the_case(wanted: str | None, told: Sequence[Diagnosis]) -> int:
    """The one case that is named, or the only one there is.

    Parameters
    ----------
    wanted : str, optional
        Its number, first 1, or its vehicle, its drive, or both with a comma between.
    told : sequence of Diagnosis

    Raises
    ------
    OptionError
        There is no such case, or there are several.
    """
    named = named_cases(wanted, told)
    if len(named) > 1:
        msg = f"the log holds several drives ({listed_cases(named, told)}); choose one by its number"
        raise OptionError(msg)
    return named[0]


def named_cases(wanted: str | None, told: Sequence[Diagnosis]) -> list[int]:
    """Cases of this number, vehicle, drive, or both; all where none is named.

    Parameters
    ----------
    wanted : str, optional
    told : sequence of Diagnosis

    Raises
    ------
    OptionError
        There is none.
    """
    named = list(range(len(told))) if wanted is None else _cases_of(wanted, told)
    if not named:
        msg = f'no case "{wanted}"; the log holds {listed_cases(range(len(told)), told)}'
        raise OptionError(msg)
    return named


def _cases_of(wanted: str, told: Sequence[Diagnosis]) -> list[int]:
    text = wanted.strip().casefold()
    if text.isascii() and text.isdigit():
        return [k for k in range(len(told)) if k + 1 == int(text)]
    return [k for k, one in enumerate(told) if text in _names(one)]


def _names(one: Diagnosis) -> set[str]:
    vehicle, drive = ((name or "-").casefold() for name in (one.vehicle, one.drive))
    return {vehicle, drive, f"{vehicle}, {drive}"}


def listed_cases(some: Iterable[int], told: Sequence[Diagnosis]) -> str:
    """Some cases by number, vehicle and drive, as a refusal lists them.

    Parameters
    ----------
    some : iterable of int
    told : sequence of Diagnosis
    """
    return "; ".join(f"{k + 1}: {told[k].vehicle or '-'}, {told[k].drive or '-'}" for k in some)
