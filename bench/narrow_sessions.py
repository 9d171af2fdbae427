"""Does the guided search find the cause, and sooner than a fixed order or a greedy one?

    python bench/narrow_sessions.py [--each 60] [--write]

Every cause, on every kind of brake that can have it and as every verdict it shows itself as, is looked for in
simulated sessions. Each check is answered as that cause mostly would; one answer in ten is another one, drawn
from the row of the cause. Which brake is fitted is seen and never wrong. Three ways to choose the next check
meet the same answers under the same gates and stop by the same rule:

- thermlog: expected information per minute,
- textbook: a fixed order, look, turn, parking brake, pins, pads, the rest, the pressure ladder last,
- greedy: the check that best confirms the cause that is likeliest at the moment, whatever it costs.

`--write` puts the table into docs/narrow.md.
"""

from __future__ import annotations

import argparse
import math
import random
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import partial
from multiprocessing import Pool
from pathlib import Path
from statistics import mean
from typing import Any

from msgspec import Struct
from narrow_cases import TABLE, Case, cases

from thermlog.advice.candidates import (
    BRAKE_KIND,
    ON_STANDS,
    Candidate,
    candidates,
    stands_before,
    with_answer,
)
from thermlog.advice.logevidence import LogEvidence
from thermlog.advice.narrowing import Found, narrow
from thermlog.advice.suspects import Situation, cause_weights, situation_of
from thermlog.advice.telling import before_opening

PAGE = Path(__file__).parents[1] / "docs" / "narrow.md"
HEAD, TAIL = "<!-- sessions: made by bench/narrow_sessions.py -->", "<!-- end of sessions -->"
WRONG = 0.1  # share of answers that are not the usual one
MOST_CHECKS = 80
MOST_KEPT = 200_000  # states remembered by their answers
FIRST = (
    "visual", "spin_hot", "pb_state", "pb_state_air", "pins_slide", "pads_slide", "wear_pads",
    "piston_back_shut", "piston_draws_back", "each_piston", "piston_out", "tappets_back", "hold_grips",
    "hold_grips_air", "lets_go", "lets_go_air", "stroke", "rod_home", "shoe_springs",
    "adjuster_backed_off", "bearing_spin", "bearing_rock",
)  # fmt: skip
LADDER = (*TABLE.role["ladder_fluid"], *TABLE.role["ladder_air"])
_MIDDLE = (key for key in TABLE.observations if key not in {*FIRST, *LADDER})
TEXTBOOK = {key: n for n, key in enumerate((BRAKE_KIND, "parking_here", *FIRST, *_MIDDLE, *LADDER))}
ALIKE = [set(pair.causes) for pair in TABLE.alike]


class State(Struct, frozen=True, kw_only=True):
    """What of a search is remembered: the next check ("" at the end), the first causes, how it ended."""

    check: str
    first: tuple[str, ...]
    ending: str | None
    minutes: float


class Ended(Struct, frozen=True, kw_only=True):
    """The end of one session."""

    right: bool
    minutes: float
    checks: int
    ending: str | None
    first: str


Choice = Callable[[LogEvidence, Sequence[Found], State], str]


class Searches:
    """All sessions of one case, states remembered by their answers."""

    def __init__(self) -> None:
        self.states: dict[tuple[int, tuple[Found, ...]], State] = {}

    def state(self, evidence: LogEvidence, found: Sequence[Found]) -> State:
        key = (id(evidence), tuple(found))
        if key not in self.states:
            if len(self.states) > MOST_KEPT:
                self.states.clear()
            told = narrow(evidence, found)
            self.states[key] = State(
                check=told.check.id if told.check and told.answers else "",
                first=tuple(one.cause for one in told.suspects[:2]),
                ending=told.ending,
                minutes=told.minutes,
            )
        return self.states[key]

    def session(self, case: Case, number: int, choose: Choice) -> Ended:
        """One search from the log to its end."""
        evidence = case.places[number % len(case.places)]
        found = list(case.known)
        for _ in range(MOST_CHECKS):
            state = self.state(evidence, found)
            if not state.check:
                break
            found.append(answer(case, number, choose(evidence, found, state)))
        state = self.state(evidence, found)
        asked = [one for one in found[len(case.known) :] if one.check != ON_STANDS]
        return Ended(
            right=is_right(case.cause, state.first),
            minutes=state.minutes,
            checks=len(asked),
            ending=state.ending,
            first=state.first[0] if state.first else "-",
        )


def is_right(cause: str, first: tuple[str, ...]) -> bool:
    """True if it stands first, or second in a pair that is named as alike."""
    return first[:1] == (cause,) or (cause in first and set(first) in ALIKE)


def answer(case: Case, number: int, check: str) -> Found:
    """What this session finds; the same whoever asks, and whenever."""
    if check == ON_STANDS:
        return Found(check=check, answer="yes")
    if check == "parking_here":
        acts = TABLE.causes[case.cause].requires.endswith("_brake_here")
        return Found(check=check, answer="yes" if acts else "no")
    asked = TABLE.observations.get(check)
    if asked is None or case.kind not in asked.applies_to:
        # The mechanic sees what is fitted; a check of another kind of brake shows it, too.
        return Found(check=BRAKE_KIND, answer=case.kind)
    row, words = asked.p[case.cause], tuple(asked.answers)
    usual = max(range(len(row)), key=lambda k: row[k])
    luck = random.Random(f"{case.cause} {case.kind} {case.verdict} {number} {check}")  # noqa: S311 - no secret
    if luck.random() < WRONG:
        others = [k for k in range(len(row)) if k != usual]
        usual = luck.choices(others, [row[k] for k in others])[0]
    return Found(check=check, answer=words[usual])


# how the next check is chosen


def by_thermlog(evidence: LogEvidence, found: Sequence[Found], state: State) -> str:  # noqa: ARG001 - a Choice
    return state.check


def by_textbook(evidence: LogEvidence, found: Sequence[Found], state: State) -> str:
    first = min(allowed(evidence, found, state), key=lambda one: TEXTBOOK[one.key], default=None)
    return gated(first, found) if first else state.check


def by_greed(evidence: LogEvidence, found: Sequence[Found], state: State) -> str:
    confirming = partial(confirms, situation=situation_after(evidence, found))
    best = max(allowed(evidence, found, state), key=confirming, default=None)
    return gated(best, found) if best else state.check


def confirms(one: Candidate, situation: Situation) -> float:
    """How much the answers of the likeliest cause would speak for it against all others [bit]."""
    weights = cause_weights(situation)
    first, *others = weights
    beside = sum(weights[cause] for cause in others)
    row = one.asked.p[first]
    rest = [sum(weights[c] * one.asked.p[c][k] for c in others) / beside for k in range(len(row))]
    told = sum(p * math.log2(p / q) for p, q in zip(row, rest, strict=True) if p > 0 and q > 0)
    return situation.share_of(one.asked.applies_to) * told


def allowed(evidence: LogEvidence, found: Sequence[Found], state: State) -> list[Candidate]:
    """What may be asked now, under the gates of thermlog."""
    situation, told = situation_after(evidence, found), {one.check for one in found}
    return [
        one
        for one in candidates(situation)
        if one.key not in told
        and one.allowed(evidence, situation, state.minutes)
        and ("opens" not in one.asked.needs or not before_opening(situation, told))
    ]


def situation_after(evidence: LogEvidence, found: Sequence[Found]) -> Situation:
    situation = situation_of(evidence)
    for one in found:
        situation = with_answer(situation, one.check, one.answer)
    return situation


def gated(one: Candidate, found: Sequence[Found]) -> str:
    gate = stands_before(one, {each.check: each.answer for each in found})
    return one.key if gate is None else gate.key


STRATEGIES: dict[str, Choice] = {"thermlog": by_thermlog, "textbook": by_textbook, "greedy": by_greed}


# what comes of it


def ends(case: Case, each: int) -> dict[str, list[Ended]]:
    searches = Searches()
    return {name: [searches.session(case, n, by) for n in range(each)] for name, by in STRATEGIES.items()}


def all_ends(each: int) -> dict[Case, dict[str, list[Ended]]]:
    """Sessions of every case; a cause has `each` or a few more, shared by its cases."""
    every = cases()
    count: dict[str, int] = defaultdict(int)
    for case in every:
        count[case.cause] += 1
    jobs = [(case, math.ceil(each / count[case.cause])) for case in every]
    with Pool(2) as pool:
        return dict(zip(every, pool.starmap(ends, jobs, chunksize=1), strict=True))


def merged(some: Iterable[Mapping[str, list[Ended]]]) -> dict[str, list[Ended]]:
    joined: dict[str, list[Ended]] = {name: [] for name in STRATEGIES}
    for one in some:
        for name, ended in one.items():
            joined[name] += ended
    return joined


def grouped(results: Mapping[Case, Any], key: Callable[[Case], str]) -> dict[str, dict[str, list[Ended]]]:
    groups: dict[str, list[Any]] = defaultdict(list)
    for case, ended in results.items():
        groups[key(case)].append(ended)
    return {name: merged(some) for name, some in groups.items()}


def row(name: str, ended: Mapping[str, list[Ended]]) -> str:
    right = " | ".join(f"{100 * mean(one.right for one in some):.0f}" for some in ended.values())
    minutes = " | ".join(f"{mean(one.minutes for one in some):.0f}" for some in ended.values())
    checks = " | ".join(f"{mean(one.checks for one in some):.1f}" for some in ended.values())
    return f"| {name} | {right} | {minutes} | {checks} |"


def tables(results: Mapping[Case, dict[str, list[Ended]]]) -> str:
    names = list(STRATEGIES)
    parts = []
    for title, key in (
        ("verdict", lambda case: f"`{case.verdict}`"),
        ("kind of brake", lambda case: TABLE.brake_words[case.kind]),
        ("cause", lambda case: TABLE.causes[case.cause].short),
    ):
        head = [title, *(f"{word}: {name}" for word in ("right [%]", "min", "checks") for name in names)]
        lines = [f"| {' | '.join(head)} |", "| --- |" + " ---: |" * (len(head) - 1)]
        lines += [row(name, ended) for name, ended in grouped(results, key).items()]
        parts.append("\n".join([*lines, row("**in all**", merged(results.values()))]))
    return "\n\n".join(parts)


def wrong(results: Mapping[Case, dict[str, list[Ended]]]) -> str:
    """Where thermlog is right in less than half of the sessions, and what it says instead."""
    lines = []
    for case, ended in results.items():
        some = ended["thermlog"]
        if mean(one.right for one in some) < 0.5:
            said: dict[str, int] = defaultdict(int)
            for one in some:
                said[f"{one.first} ({one.ending})"] += 1
            most = sorted(said.items(), key=lambda pair: -pair[1])[:3]
            lines.append(f"{case.cause} {case.kind} {case.verdict}: {most}")
    return "\n".join(lines)


def renewed(page: str, text: str) -> str:
    before, rest = page.split(HEAD)
    return f"{before}{HEAD}\n\n{text}\n\n{TAIL}{rest.split(TAIL)[1]}"


def main(arguments: Sequence[str] | None = None) -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("--each", type=int, default=60, help="sessions a cause")
    parser.add_argument("--write", action="store_true", help="put the table into docs/narrow.md")
    chosen = parser.parse_args(arguments)
    results = all_ends(chosen.each)
    total = len(merged(results.values())["thermlog"])
    count = f"At least {chosen.each} sessions a cause, {total} for each way to choose, {len(results)} cases."
    text = f"{count}\n\n{tables(results)}"
    print(f"{text}\n\nRight in less than half of the sessions:\n{wrong(results)}")
    if chosen.write:
        PAGE.write_text(renewed(PAGE.read_text(encoding="utf-8"), text), encoding="utf-8")


if __name__ == "__main__":
    main()
