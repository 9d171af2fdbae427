"""What somebody wrote in a table -> a record whose types say what may stand there, or a refusal by name."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from types import UnionType
from typing import (
    TYPE_CHECKING,
    Annotated,
    Any,
    Literal,
    TypeAlias,
    TypeVar,
    Union,
    get_args,
    get_origin,
)

from msgspec import UNSET, Meta, Struct, UnsetType, ValidationError, convert
from msgspec.structs import fields

from thermlog.words.errors import PolicyError

if TYPE_CHECKING:
    from thermlog.words.errors import ThermlogError

_Record = TypeVar("_Record", bound=Struct)
KeyPath: TypeAlias = tuple[str | int, ...]


class Misfit(Struct, frozen=True, kw_only=True):
    """The first thing in a table that its type does not allow.

    Attributes
    ----------
    steps : tuple of str or int
        Keys down to the value; a number counts the items of a list, first item 1.
    found : object
        What stands there; `UNSET` where a key is missing.
    cure : str
        What may stand there.
    unknown : bool
        True if the key itself may not stand there.
    """

    steps: KeyPath
    found: object | UnsetType
    cure: str
    unknown: bool = False


_PLAIN_CURES = {bool: "write true or false, without quotes", str: "write a text in quotes"}
Refusal: TypeAlias = Callable[[Misfit], "ThermlogError"]


def cure(text: str) -> Meta:
    """What a refusal of a value of this type says, where its limits alone do not say it well."""
    return Meta(extra={"cure": text})


# Where a number comes from; beside every number of the bundled files.
SourceText = Annotated[str, Meta(pattern=r"\S"), cure("the number has no source; say where it comes from")]


def record_of(table: object, kind: type[_Record], refusal: Refusal) -> _Record:
    """Convert a table to a record.

    Parameters
    ----------
    table : object
        As `tomlfile` reads it.
    kind : type
        A `msgspec.Struct` that forbids unknown fields. A dict in it whose keys are words of a `Literal`
        needs every one of them, and a ``Meta(min_length=...)`` that says so.
    refusal : callable
        Makes the exception from a `Misfit`.

    Raises
    ------
    ThermlogError
        As `refusal` makes it: key unknown or missing, value of the wrong kind or out of range.
    """
    try:
        return convert(table, kind)
    except ValidationError as wrong:
        raise refusal(_misfit(table, kind, ())) from wrong


def policy_refusal(where: str) -> Refusal:
    """Refusals of a file of assumptions, by file, table, key, value found and cure."""

    def refusal(misfit: Misfit) -> PolicyError:
        *tables, key = misfit.steps
        place = f"{where}, [{'.'.join(map(str, tables))}]" if tables else where
        if misfit.found is UNSET:
            return PolicyError(f'{place}: "{key}" is missing; {misfit.cure}')
        found = repr(misfit.found) if isinstance(misfit.found, str) else str(misfit.found)
        if misfit.found == 0 and not isinstance(misfit.found, bool):
            found = "zero"
        said = ": no such key" if misfit.unknown else ""
        return PolicyError(f"{place}: {key} is {found}{said}; {misfit.cure}")

    return refusal


def _misfit(found: object, kind: Any, steps: KeyPath) -> Misfit:
    """Where a value that is known not to fit goes wrong, as deep inside as can be told."""
    bare, remarks = _bare(kind)
    for step, value, of in _inside(found, bare):
        here = (*steps, step)
        if isinstance(of, str):
            return Misfit(steps=here, found=value, cure=of, unknown=value is not UNSET)
        try:
            convert(value, of)
        except ValidationError:
            return _misfit(value, of, here)
    return Misfit(steps=steps, found=found, cure=_cure(bare, remarks, steps))


def _bare(kind: Any) -> tuple[Any, tuple[Meta, ...]]:
    """A type without None and without remarks, and the remarks."""
    remarks: tuple[Meta, ...] = ()
    while (origin := get_origin(kind)) in {Annotated, Union, UnionType}:
        remarks += kind.__metadata__ if origin is Annotated else ()
        kind = get_args(kind)[0]
    return kind, remarks


def _inside(found: object, bare: Any) -> Iterator[tuple[str | int, object, Any]]:
    """What stands inside a table or a list: step, value and type; for a wrong key its cure comes first."""
    if isinstance(found, list) and get_origin(bare) is list:
        yield from ((number, value, get_args(bare)[0]) for number, value in enumerate(found, start=1))
    if not isinstance(found, dict) or not (types := _types(found, bare)):
        return
    known, needed = types
    strange = [key for key in found if key not in known]
    instead = f"found {', '.join(strange)}; " if strange else ""
    yield from ((key, UNSET, f"{instead}it needs {', '.join(needed)}") for key in needed if key not in found)
    yield from ((key, found[key], _nearest(key, known)) for key in strange)
    yield from ((key, value, known[key]) for key, value in found.items())


def _types(found: dict[str, Any], bare: Any) -> tuple[dict[str, Any], list[str]] | None:
    """Type of the value of every key that may stand in a table, and the keys that must; None for no table."""
    if isinstance(bare, type) and issubclass(bare, Struct):
        about = fields(bare)
        return {one.encode_name: one.type for one in about}, [
            one.encode_name for one in about if one.required
        ]
    if get_origin(bare) is not dict:
        return None
    words, of = get_args(bare)
    listed = list(get_args(words)) if get_origin(words) is Literal else []
    return dict.fromkeys(listed or found, of), listed


def _nearest(key: str, known: Iterable[str]) -> str:
    from difflib import get_close_matches

    near = get_close_matches(key, list(known), n=1)
    return f'did you mean "{near[0]}"?' if near else f"write one of {', '.join(known)}"


def _cure(bare: Any, remarks: tuple[Meta, ...], steps: KeyPath) -> str:
    for remark in remarks:
        if remark.extra:
            return str(remark.extra["cure"])
    if get_origin(bare) is Literal:
        words = [f'"{word}"' for word in get_args(bare)]
        return f"write {'one of ' if len(words) > 1 else ''}{', '.join(words)}"
    if bare in {int, float}:
        return f"a number{_range(remarks)} is needed"
    place = ".".join(map(str, steps))
    tables = f"tables headed [[{place}]]" if get_origin(bare) is list else f"a table headed [{place}]"
    return _PLAIN_CURES.get(bare, f"write it as {tables}")


def _range(remarks: tuple[Meta, ...]) -> str:
    """Limits in words.

    Examples
    --------
    >>> _range((Meta(ge=0.1, le=1.0),)), _range((Meta(gt=0, le=1),)), _range(())
    (' from 0.1 to 1', ' above 0 and at most 1', '')
    """
    words = {"gt": "above", "ge": "at least", "lt": "below", "le": "at most"}
    limits = {name: limit for one in remarks for name in words if (limit := getattr(one, name)) is not None}
    if limits.keys() == {"ge", "le"}:
        return f" from {limits['ge']:g} to {limits['le']:g}"
    said = " and ".join(f"{words[name]} {limit:g}" for name, limit in limits.items())
    return f" {said}" if said else ""
