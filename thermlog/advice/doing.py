"""Minutes and safety of what is asked for beside physical checks, from ``doing.toml``."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import cast

from msgspec import Struct, convert
from msgspec.structs import replace

from thermlog.words.bundled import bundled
from thermlog.words.findings import NextCheck
from thermlog.words.reasons import Reason, ReasonCode
from thermlog.words.reasontexts import reason_sentence
from thermlog.words.vehicle import WeightClass

BY_THE_BOOK = "Limits and procedures come from the service information."


class Deed(Struct, frozen=True, kw_only=True):
    """One thing to do: name, tools, minutes on a light and on a heavy vehicle, and its safety sentences."""

    name: str
    tools: tuple[str, ...]
    light: float
    heavy: float
    safety: str
    safety_heavy: str | None = None


class Doing(Struct, frozen=True, kw_only=True):
    """The file."""

    rule: Mapping[str, float]
    do: Mapping[ReasonCode, Deed]
    safety: Mapping[str, str]
    tool: Mapping[str, str]

    def step(self, name: str) -> Deed | None:
        """The thing to do of that name; None where it is a check of the search for a cause."""
        return self.do.get(cast("ReasonCode", name))

    def minutes(self, code: ReasonCode, weight_class: WeightClass) -> float:
        """About how long it takes [min]."""
        deed = self.do[code]
        return deed.light if weight_class == "light" else deed.heavy

    def safe(self, code: ReasonCode, weight_class: WeightClass) -> str:
        """How to do it safely, in words."""
        deed = self.do[code]
        key = deed.safety_heavy if weight_class == "heavy" else None
        return f"{self.safety[key or deed.safety]} {BY_THE_BOOK}"


@cache
def doing() -> Doing:
    """The bundled file, read once; it is short, so that a sound vehicle costs no time."""
    raw = bundled(Path(__file__).with_name("doing.toml"))
    return convert({key: raw[key] for key in ("rule", "do", "safety", "tool")}, Doing)


def step_as_check(reason: Reason, weight: WeightClass, why: str, *, too_hot: bool) -> NextCheck:
    """What is asked for beside physical checks, with the usual numbers where the reason states none.

    Parameters
    ----------
    reason : Reason
        Of what to do.
    weight : {"light", "heavy"}
    why : str
    too_hot : bool
        True where nobody goes near the wheel before it has cooled: then it is read again meanwhile.
    """
    rule, minutes = doing().rule, doing().minutes(reason.code, weight)
    cooled = {"cool_degc": rule["cool_degc"]} | ({"again_minutes": rule["again_min"]} if too_hot else {})
    usual = {
        "coast_drive": {
            "minutes_low": rule[f"coast_low_{weight}"],
            "minutes_high": rule[f"coast_high_{weight}"],
        },
        "clear_and_wait": {"minutes": minutes},
        "cool_and_turn": cooled,
        "static_check": cooled,
    }.get(reason.code, {})
    return NextCheck(
        id=reason.code,
        question=reason_sentence(replace(reason, numbers=usual | reason.numbers)),
        minutes=minutes,
        safety=doing().safe(reason.code, weight),
        why=why,
    )


def reached_degc(degc: float | None) -> float | None:
    """The highest temperature of the rules that a reading has reached, 0 if none.

    Every rule says of it what it says of the reading.
    """
    return None if degc is None else max((rule for rule in _rules_degc() if rule <= degc), default=0.0)


@cache
def _rules_degc() -> tuple[float, ...]:
    return tuple(value for name, value in doing().rule.items() if name.endswith("_degc"))
