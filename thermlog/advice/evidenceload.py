"""The evidence files -> one table, everything in them checked, every mistake refused by name."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Mapping, Set
from functools import cache
from pathlib import Path
from typing import Any, TypeVar, get_args

from msgspec import Raw, Struct, ValidationError, convert, msgpack

from thermlog.advice.evidence import (
    NEAR,
    TOUCHING,
    Alike,
    AnsweredBy,
    Cause,
    EvidenceTable,
    Groups,
    KindOfBrake,
    Likelihoods,
    Observation,
)
from thermlog.advice.evidencechecks import refuse, refuse_mistakes
from thermlog.words.errors import EvidenceError
from thermlog.words.tomlfile import read_toml

FILES = {"evidence": "thermlog-evidence-2", "causes": "thermlog-causes-1", "checks": "thermlog-checks-1"}
_Record = TypeVar("_Record")
_CURE = "install thermlog again"
SOURCES: tuple[AnsweredBy, ...] = get_args(AnsweredBy)
_HOT = "hot"  # the caution of hot parts
_TOLD_AS = "told_as"
_DRIVEN = "driven"  # how a driven axle is raised
_APART = "apart"  # nobody at the pedal of a brake that is apart


BUILT = Path(__file__).with_name("evidence.msgpack")


class _Built(Struct, frozen=True, array_like=True):
    """The evidence as a wheel carries it: names of the causes, and the table, its likelihoods as bytes."""

    causes: tuple[str, ...]
    table: Raw


@cache
def evidence_table() -> EvidenceTable:
    """The bundled evidence, read once and only when something is flagged.

    A wheel carries it in one file, checked when it was built, whose thousands of numbers need no reading; a
    checkout reads the files themselves, and so does a processor whose numbers lie the other way round.
    """
    if BUILT.is_file() and sys.byteorder == "little":
        return unbuilt_evidence(BUILT.read_bytes())
    return load_evidence(BUILT.parent)


def unbuilt_evidence(built: bytes) -> EvidenceTable:
    """The evidence that a wheel carries, as `hatch_build.py` makes it."""
    carried = msgpack.decode(built, type=_Built)
    places = {cause: k for k, cause in enumerate(carried.causes)}

    def unpacked(_: type[Likelihoods], numbers: bytes) -> Likelihoods:
        return Likelihoods.unpacked(places, numbers)

    return msgpack.decode(carried.table, type=EvidenceTable, dec_hook=unpacked)


def load_evidence(folder: Path) -> EvidenceTable:
    """Evidence of a folder with ``evidence.toml``, ``causes.toml`` and ``checks.toml``.

    Raises
    ------
    EvidenceError
        A file cannot be read, or anything in it is missing, unknown or does not add up.
    """
    raw = {name: _file(folder, name, schema) for name, schema in FILES.items()}
    head = raw["evidence"]
    entries = raw["causes"]["cause"]
    causes = {key: _cause(key, entry, head) for key, entry in entries.items()}
    told_as = _told_as(entries)
    table = EvidenceTable(
        rule=head["rule"],
        setup_min=head["setup_min"],
        role=_named(head["role"]),
        role_cause=head["role_cause"],
        alike=tuple(_as(Alike, entry, "alike") for entry in head["alike"]),
        kinds={key: _as(KindOfBrake, entry, f"kind.{key}") for key, entry in head["kind"].items()},
        share=head["share"],
        needs=head["need"],
        gate=_groups(head["gate"]),
        after=_groups(head["after"]),
        before={state: _groups(orders) for state, orders in head["before"].items()},
        **{name: _named(head[name]) for name in ("moot", "only", "next", "clear", "load", "stops", "freed")},
        drums=tuple(head["set"]["drum"]),
        causes=causes,
        observations={
            key: _observation(key, entry, head, (causes, told_as))
            for key, entry in raw["checks"]["check"].items()
        },
    )
    refuse_mistakes(table)
    return table


def _file(folder: Path, name: str, schema: str) -> dict[str, Any]:
    path = folder / f"{name}.toml"
    content = read_toml(path, refusal=EvidenceError, cure=_CURE)
    if content.get("schema") != schema:
        refuse(path.name, "schema", content.get("schema"), f'"{schema}" is read here')
    return content


def _cause(key: str, entry: dict[str, Any], head: Mapping[str, Any]) -> Cause:
    where = f"cause.{key}"
    prior: dict[str, float] = {}
    # The wider name first, so that the narrower one counts.
    for name in sorted(entry.get("prior", {}), key=lambda name: -len(_kinds([name], head, where))):
        prior |= dict.fromkeys(_kinds([name], head, where), entry["prior"][name])
    confirms = [tuple(one.partition("=")[::2]) for one in entry.get("confirms", [])]
    safety = _cautions(entry.get("safety", []), head, where)
    on = {
        kind: {**card, "safety": _cautions(card.get("safety", []), head, where)}
        for kind, card in entry.get("on", {}).items()
    }
    for kind in on.keys() - prior.keys():
        refuse("causes.toml", f"{where}.on", kind, "name a kind of brake that can have it")
    stated = {name: value for name, value in entry.items() if name != _TOLD_AS}
    return _as(Cause, stated | {"prior": prior, "confirms": confirms, "safety": safety, "on": on}, where)


def _told_as(entries: Mapping[str, Mapping[str, Any]]) -> dict[str, str]:
    """Causes whose rows are those of another one wherever a check does not name them."""
    found = {key: entry[_TOLD_AS] for key, entry in entries.items() if _TOLD_AS in entry}
    for key, other in found.items():
        if other not in entries or other in found:
            refuse("causes.toml", f"cause.{key}.{_TOLD_AS}", other, "name a cause with rows of its own")
    return found


def _observation(
    key: str,
    entry: dict[str, Any],
    head: Mapping[str, Any],
    known: tuple[Mapping[str, Cause], Mapping[str, str]],
) -> Observation:
    where, (causes, told_as) = f"check.{key}", known
    kinds = _kinds(entry.get("applies_to", []), head, where)
    stated = _rows(entry.get("percent", ""), where)
    met = {cause for cause, found in causes.items() if not found.prior.keys().isdisjoint(kinds)}
    leaning = {cause: stated[other] for cause, other in told_as.items() if cause in met and other in stated}
    stated = leaning | stated
    _refuse_rows(where, stated, met, width=len(entry.get("answers", {})))
    flat = (1 / max(1, len(entry.get("answers", {}))),) * len(entry.get("answers", {}))
    p = {cause: tuple(n / 100 for n in stated[cause]) if cause in met else flat for cause in causes}
    if entry.get("source") not in SOURCES:
        refuse("checks.toml", f"{where}.source", entry.get("source"), f"write one of {', '.join(SOURCES)}")
    trailers = {"trailer", *head["set"]["trailer"]}
    made = {
        "p": Likelihoods.of(p),
        "applies_to": kinds,
        "safety": _cautions(_warned(entry, trailers), head, where),
    }
    return _as(Observation, {name: entry[name] for name in entry if name != "percent"} | made, where)


def _named(lists: Mapping[str, Iterable[str]]) -> dict[str, tuple[str, ...]]:
    return {key: tuple(names) for key, names in lists.items()}


def _groups(orders: Mapping[str, Iterable[str]]) -> dict[str, Groups]:
    """Groups of checks, the checks of one apart by bars."""
    return {
        key: tuple(tuple(one.strip() for one in group.split("|")) for group in groups)
        for key, groups in orders.items()
    }


def _rows(percent: str, where: str) -> dict[str, tuple[int, ...]]:
    """Rows of a block: numbers, a bar, the causes they hold for; a line without numbers goes on."""
    rows: dict[str, tuple[int, ...]] = {}
    numbers: tuple[int, ...] = ()
    for line in percent.splitlines():
        before, _, after = line.partition("|")
        try:
            numbers = tuple(int(cell) for cell in before.split()) or numbers
        except ValueError:
            refuse(
                "checks.toml", f"{where}.percent", line, "write whole numbers, a bar, then names of causes"
            )
        for cause in after.split():
            if cause in rows:
                refuse("checks.toml", f"{where}.percent", cause, "name every cause once")
            rows[cause] = numbers
    return rows


def _refuse_rows(where: str, rows: Mapping[str, tuple[int, ...]], met: set[str], *, width: int) -> None:
    where = f"{where}.percent"
    if lacking := sorted(met - rows.keys()):
        cure = "no row here of these causes; name each on a line"
        refuse("checks.toml", where, " ".join(lacking), cure)
    if strange := sorted(rows.keys() - met):
        cure = "no such causes, or none of these kinds of brake; take each out"
        refuse("checks.toml", where, " ".join(strange), cure)
    for cause, row in rows.items():
        if len(row) != width:
            refuse("checks.toml", where, f"{cause} {row}", f"{width} answers need {width} numbers")
        if sum(row) != 100 or min(row) < 1:
            refuse("checks.toml", where, f"{cause} {row}", "numbers from 1 on that sum to 100")


def _kinds(names: Iterable[str], head: Mapping[str, Any], where: str) -> tuple[str, ...]:
    """Kinds of brake by their names and the names of sets, each once."""
    found: dict[str, None] = {}
    for name in names:
        for kind in head["set"].get(name, [name]):
            if kind not in head["kind"]:
                refuse("evidence.toml", where, kind, "no such kind of brake or set of kinds")
            found[kind] = None
    return tuple(found)


def _warned(entry: Mapping[str, Any], trailers: Set[str]) -> list[str]:
    """Cautions of a check; what is done among wheels begins with hot parts, and none works an open brake.

    Where a raised wheel is turned it is said how a driven axle is raised; a trailer has none.
    """
    stated = [key for key in entry.get("safety", []) if key != _HOT]
    needs = entry.get("needs", [])
    near = not TOUCHING.isdisjoint(needs) or entry.get("source") in NEAR
    alone = "wheel_off" in needs and "helper" not in needs  # a helper works the brake, gently
    turned = {"lift", "turns"} <= set(needs) and not set(entry.get("applies_to", [])) <= trailers
    more = [*[_DRIVEN] * turned, *[_APART] * alone]
    return [*[_HOT] * near, *(stated if near else entry.get("safety", [])), *more]


def _cautions(keys: Iterable[str], head: Mapping[str, Any], where: str) -> str:
    for key in keys:
        if key not in head["caution"]:
            refuse("evidence.toml", f"{where}.safety", key, "no such caution")
    return " ".join(head["caution"][key] for key in keys)


def _as(record: type[_Record], entry: Mapping[str, Any], where: str) -> _Record:
    try:
        return convert(entry, record)
    except ValidationError as fault:
        msg = f"{where}: {fault}"
        raise EvidenceError(msg) from fault
